/* syntax_bytes: see syntax_bytes.h. */
#include "syntax/bytes.h"
#include "syntax/syntax.h"

#include <string.h>

#define MOST_REPORTED 20   /* of one kind, so that a binary file gives no flood */
#define DEEPEST_BRACKETS 64 /* libyaml's time grows with the square of the depth */

typedef struct Scan {
    const Source *source;
    Diagnostics *diagnostics;
    gboolean unsafe;
    guint hidden;
    int brackets;
    gboolean table; /* cells, in which tabs and brackets mean nothing */
} Scan;

static Finding *report(Scan *scan, RuleId rule, gsize offset, gsize length)
{
    return finding_add(scan->diagnostics, rule, source_place(scan->source, offset, length));
}

static void refuse_encoding(Scan *scan, gsize offset, const char *what, const char *help)
{
    Finding *finding = report(scan, RULE_encoding, offset, 1);
    finding_fact(finding, "%s", what);
    finding_help(finding, "%s", help);
    scan->unsafe = TRUE;
}

/* ---- letters ---- */

/* In a text, where lines end and tabs part. */
static gboolean is_unwanted(gunichar letter)
{
    return source_hidden(letter) && letter != '\n' && letter != '\r' && letter != '\t';
}

static void refuse_hidden(Scan *scan, gsize offset, gsize length, gunichar letter)
{
    if (scan->hidden++ >= MOST_REPORTED)
        return;
    Finding *finding = report(scan, RULE_hidden_characters, offset, length);
    finding_fact(finding, "U+%04X cannot be seen, or changes the order of what is seen", letter);
    finding_help(finding, "delete it and type the text again by hand");
}

/* Scripts whose letters pass for Latin ones. */
static int look_alike_script(gunichar letter)
{
    if (!g_unichar_isalpha(letter))
        return 0;
    GUnicodeScript script = g_unichar_get_script(letter);
    if (script == G_UNICODE_SCRIPT_LATIN)
        return (letter >= 0xFF21 && letter <= 0xFF5A) ? 2 : 1;
    gboolean alike = script == G_UNICODE_SCRIPT_CYRILLIC || script == G_UNICODE_SCRIPT_GREEK ||
                     script == G_UNICODE_SCRIPT_ARMENIAN || script == G_UNICODE_SCRIPT_CHEROKEE;
    return alike ? 2 : 0;
}

typedef struct Word {
    gsize start;
    int scripts; /* bit 0: Latin or digits, bit 1: look-alikes */
} Word;

static void end_word(Scan *scan, const Word *word, gsize end)
{
    if (word->scripts != 3 || scan->hidden++ >= MOST_REPORTED)
        return;
    Finding *finding = report(scan, RULE_hidden_characters, word->start, end - word->start);
    finding_fact(finding, "this word mixes letters of two scripts that look alike");
    finding_help(finding, "type the word again by hand, with one keyboard");
}

static void follow_word(Scan *scan, Word *word, gunichar letter, gsize offset)
{
    int script = letter < 0x80 ? g_ascii_isalnum((char)letter)
                 : g_unichar_isdigit(letter) ? 1 : look_alike_script(letter);
    if (script == 0) {
        end_word(scan, word, offset);
        *word = (Word){offset, 0};
        return;
    }
    if (word->scripts == 0)
        word->start = offset;
    word->scripts |= script;
}

/* ---- lines ---- */

static void check_indent(Scan *scan, gsize line_start)
{
    gsize offset = line_start;
    while (scan->source->text[offset] == ' ')
        offset++;
    if (scan->source->text[offset] != '\t')
        return;
    Finding *finding = report(scan, RULE_tab_indent, offset, 1);
    finding_help(finding, "use spaces, two for each level");
    scan->unsafe = TRUE;
}

/* Line ends that YAML takes for line ends and an editor may not show as such. */
static gboolean odd_line_end(Scan *scan, gunichar letter, gsize offset)
{
    if (letter == '\r' && scan->source->text[offset + 1] != '\n') {
        refuse_encoding(scan, offset, "a carriage return without a line feed ends a line unseen",
                        "save the file with ordinary line ends (LF or CRLF)");
        return TRUE;
    }
    if (letter == 0x85 || letter == 0x2028 || letter == 0x2029) {
        refuse_encoding(scan, offset, "this character ends a line, and most editors do not show it",
                        "delete it and press Enter instead");
        return TRUE;
    }
    return FALSE;
}

/* Opening brackets that stand open together, roughly: quoted ones count too, so
 * the cap is far above what nodes may nest. */
static void count_brackets(Scan *scan, gunichar letter, gsize offset)
{
    if (letter == '[' || letter == '{')
        scan->brackets++;
    else if ((letter == ']' || letter == '}') && scan->brackets > 0)
        scan->brackets--;
    else if (letter == '\n' && scan->brackets > 0 && scan->brackets <= DEEPEST_BRACKETS)
        return;
    if (scan->brackets == DEEPEST_BRACKETS + 1) {
        Finding *finding = report(scan, RULE_too_deep, offset, 1);
        finding_fact(finding, "the limit is %d open brackets", DEEPEST_BRACKETS);
        finding_help(finding, "check that this is the file you meant");
        scan->unsafe = TRUE;
        scan->brackets++;
    }
}

/* A tab after a line break only: libyaml indents by spaces. */
static void scan_letters(Scan *scan)
{
    const char *text = scan->source->text, *end = text + scan->source->length;
    Word word = {0};
    for (const char *at = text; at < end && !scan->unsafe;) {
        gsize offset = (gsize)(at - text);
        gunichar letter = (guchar)*at < 0x80 ? (guchar)*at : g_utf8_get_char(at);
        const char *next = g_utf8_next_char(at);
        if (letter < 0x80 && letter >= 0x20 && letter != 0x7F) {
            if (!scan->table)
                count_brackets(scan, letter, offset);
        } else if (!odd_line_end(scan, letter, offset)) {
            if (is_unwanted(letter))
                refuse_hidden(scan, offset, (gsize)(next - at), letter);
            if (letter == '\n' && next < end && !scan->table)
                check_indent(scan, offset + 1);
        }
        follow_word(scan, &word, letter, offset);
        at = next;
    }
    end_word(scan, &word, scan->source->length);
}

/* ---- the whole file ---- */

static gboolean has_wide_mark(const Source *source)
{
    const guchar *bytes = (const guchar *)source->text;
    return source->length >= 2 &&
           ((bytes[0] == 0xFF && bytes[1] == 0xFE) || (bytes[0] == 0xFE && bytes[1] == 0xFF));
}

static gboolean scan_bytes(const Source *source, Diagnostics *diagnostics, gboolean table)
{
    Scan scan = {.source = source, .diagnostics = diagnostics, .table = table};
    const char *nul = memchr(source->text, '\0', source->length);
    const char *fault;
    if (has_wide_mark(source)) {
        refuse_encoding(&scan, 0, "the file is UTF-16", "save it again as UTF-8 without a mark");
    } else if (g_str_has_prefix(source->text, "\357\273\277")) {
        refuse_encoding(&scan, 0, "a byte-order mark, which cannot be seen, stands before the first letter",
                        "save the file again as UTF-8 without a byte-order mark (editors also say: without BOM)");
    } else if (nul) {
        refuse_encoding(&scan, (gsize)(nul - source->text), "a NUL byte stands here",
                        "save the file again as plain UTF-8 text");
    } else if (!g_utf8_validate(source->text, (gssize)source->length, &fault)) {
        refuse_encoding(&scan, (gsize)(fault - source->text), "this byte is not UTF-8",
                        "save the file again as UTF-8");
    } else {
        if (!table)
            check_indent(&scan, 0);
        scan_letters(&scan);
    }
    return !scan.unsafe && scan.hidden == 0;
}

gboolean syntax_bytes_scan(const Source *source, Diagnostics *diagnostics)
{
    return scan_bytes(source, diagnostics, FALSE);
}

gboolean syntax_cells_safe(const Source *source, Diagnostics *diagnostics)
{
    return scan_bytes(source, diagnostics, TRUE);
}

void syntax_bytes_in_text(Diagnostics *diagnostics, const char *text, Place place, gboolean verbatim)
{
    if (verbatim)
        return;
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        if (!is_unwanted(letter))
            continue;
        Finding *finding = finding_add(diagnostics, RULE_hidden_characters, place);
        finding_fact(finding, "U+%04X cannot be seen, or changes the order of what is seen", letter);
        finding_help(finding, "delete it and type the text again by hand");
        return;
    }
}
