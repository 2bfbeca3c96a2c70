/* reader_lint: forms in prose that have been misread: found by pattern, each at
 * its exact place.  Only how a thing is written; numbers that the plan holds
 * are the rules' business. */
#include "reader/parts.h"

#include <string.h>

typedef struct Abbreviation {
    const char *hint, *pattern, *fault, *write, *source;
} Abbreviation;

static const Abbreviation abbreviations[] = {
#define ABBREVIATION(hint, pattern, fault, write, source) {hint, pattern, fault, write, source},
#include "reader/abbreviations.def"
};

/* Numbers as people write them before a household measure. */
#define COUNTED "([0-9][0-9/.,]*|one|two|three|four|five|six|eight|ten|twelve|half a|a few)[ -]"
#define MEASURES "(ounce|oz|grain|drop|cup|minim|dram|pint|capful)(ful)?s?\\b"
#define SPOONS "\\b(" COUNTED ")?(tea|table|dessert)[ -]?spoon(ful)?s?\\b" \
    "|(?<![a-z])(" COUNTED ")?(tsp|tbsp|tbs|gtts?)\\b\\.?"

#define SPACE "[ \\x{A0}\\x{202F}]?"

typedef struct FormRow {
    RuleId rule;
    const char *hint; /* as in abbreviations.def */
    const char *pattern;
    NumberFault fault; /* how number_mended mends it; FINE: help says how */
    const char *help;
} FormRow;

static const FormRow form_rows[] = {
    {RULE_trailing_zero, "0", "[0-9][0-9,]*\\.[0-9]*0(?![0-9])(?!\\.[0-9])(?! ?[AaPp]\\.?[Mm])",
     NUMBER_TRAILING_ZERO, NULL},
    {RULE_naked_decimal, ".", "(?<![A-Za-z0-9.,)])\\.[0-9]+", NUMBER_NAKED_DECIMAL, NULL},
    {RULE_household_measure, "poon|POON|tsp|TSP|tbs|TBS|unce|UNCE|oz|OZ|rain|RAIN|rop|ROP|up|UP|inim"
            "|ram|int|tt",
            "(?i)\\b" COUNTED MEASURES "(?! of (blood|liquid|water))|" SPOONS, NUMBER_FINE,
     "write the volume in mL, or leave the amount to the sheet's steps"},
    {RULE_midnight_words, "night|NIGHT|12|:00|h00|elve",
     "(?i)\\bmid[ -]?night\\b|(?<![0-9:.])12([:.]00)?" SPACE "[ap]\\.?" SPACE "m\\b|(?<![0-9:])(0?0|24)[:h]00\\b"
     "|\\b(12|twelve)( o'clock)? at night\\b",
     NUMBER_FINE, "write 11:59 pm or 12:01 am with the day, or noon"},
};

/* Calls found(context) at each match; the place in code points. */
typedef void (*FoundFunction)(const Written *written, gconstpointer row, Severity severity,
                              const char *match, int skip);

/* Which pairs of bytes a text holds, some of them in one bit: what is not there need not be looked
 * for, and of the hundred hints hardly one is in a text. */
typedef struct Pairs { guint64 bits[16]; } Pairs;

static guint pair_bit(const char *at) { return ((guchar)at[0] * 37u + (guchar)at[1]) % 1024; }

static Pairs pairs_of(const char *text)
{
    Pairs pairs = {{0}};
    for (const char *at = text; at[0] && at[1]; at++)
        pairs.bits[pair_bit(at) / 64] |= (guint64)1 << pair_bit(at) % 64;
    return pairs;
}

/* One of the words of a hint, and where its first pair stands among the bits. */
typedef struct Hint {
    const char *word; /* NULL behind the last one */
    gsize length;
    guint bit;
} Hint;

/* "drop|DROP", taken apart once in a process. */
static const Hint *hints_of(const char *words)
{
    GArray *hints = g_array_new(TRUE, FALSE, sizeof(Hint));
    while (*words) {
        Hint hint = {words, strcspn(words, "|"), pair_bit(words)};
        g_array_append_val(hints, hint);
        words += hint.length + (words[hint.length] == '|');
    }
    return (const Hint *)g_array_free(hints, FALSE);
}

static gboolean holds_word(const char *text, const Hint *hint)
{
    for (const char *at = text; (at = strchr(at, hint->word[0])); at++)
        if (strncmp(at, hint->word, hint->length) == 0)
            return TRUE;
    return FALSE;
}

static gboolean holds_hint(const char *text, const Pairs *pairs, const Hint *hints)
{
    for (const Hint *hint = hints; hint->word; hint++)
        if ((hint->length < 2 || (pairs->bits[hint->bit / 64] >> hint->bit % 64 & 1)) && holds_word(text, hint))
            return TRUE;
    return FALSE;
}

/* TRUE when nothing was found. */
static gboolean lint_pattern(const Written *written, const char *pattern, FoundFunction found, gconstpointer row,
                             Severity severity)
{
    const char *text = written->node->text;
    GRegex *regex = pattern_compiled(pattern, 0);
    g_autoptr(GMatchInfo) match = NULL;
    gboolean none = TRUE;
    for (g_regex_match(regex, text, 0, &match); g_match_info_matches(match);
         g_match_info_next(match, NULL)) {
        int start = 0;
        g_match_info_fetch_pos(match, 0, &start, NULL);
        g_autofree char *word = g_match_info_fetch(match, 0);
        found(written, row, severity, word, (int)g_utf8_strlen(text, start));
        none = FALSE;
    }
    return none;
}

static void found_abbreviation(const Written *written, gconstpointer row, Severity severity,
                               const char *match, int skip)
{
    const Abbreviation *abbreviation = row;
    int length = (int)g_utf8_strlen(match, -1);
    Finding *finding = fault_at_as(written, RULE_unsafe_abbreviation, severity, skip, length);
    finding_fact(finding, "\"%s\" is %s (%s)", match, abbreviation->fault,
                 abbreviation->source);
    finding_help(finding, "write: %s", abbreviation->write);
}

static void found_form(const Written *written, gconstpointer row, Severity severity,
                       const char *match, int skip)
{
    const FormRow *form = row;
    int length = (int)g_utf8_strlen(match, -1);
    const char *readings = form->fault == NUMBER_TRAILING_ZERO ? number_readings(written->reader->arena, match) : NULL;
    Finding *finding = fault_at_as(written, readings ? RULE_number_form : form->rule, severity, skip, length);
    finding_fact(finding, "given \"%s\"", match);
    if (readings)
        finding_help(finding, "%s", readings);
    else if (form->fault == NUMBER_FINE)
        finding_help(finding, "%s", form->help);
    else
        finding_help(finding, "write \"%s\"",
                     number_mended(written->reader->arena, match, form->fault));
}

gboolean lint_text(const Written *written, Severity severity)
{
    static const Hint *form_hints[G_N_ELEMENTS(form_rows)], *hints[G_N_ELEMENTS(abbreviations)];
    gboolean fine = TRUE;
    const char *text = written->node->text;
    const Pairs pairs = pairs_of(text);
    for (guint i = 0; i < G_N_ELEMENTS(form_rows); i++) {
        const FormRow *row = &form_rows[i];
        form_hints[i] = form_hints[i] ? form_hints[i] : hints_of(row->hint);
        if (holds_hint(text, &pairs, form_hints[i]))
            fine = lint_pattern(written, row->pattern, found_form, row, SEVERITY_ERROR) && fine;
    }
    for (guint i = 0; i < G_N_ELEMENTS(abbreviations); i++) {
        const Abbreviation *row = &abbreviations[i];
        hints[i] = hints[i] ? hints[i] : hints_of(row->hint);
        if (holds_hint(text, &pairs, hints[i]) &&
            !lint_pattern(written, row->pattern, found_abbreviation, row, severity))
            fine = fine && severity != SEVERITY_ERROR;
    }
    return fine;
}
