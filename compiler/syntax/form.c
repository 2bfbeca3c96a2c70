/* syntax_form: where the YAML itself is broken, the sign that did it: an opening quote
 * or bracket rather than the place, often lines further down, where reading stopped. */
#include "syntax/form.h"

#include <string.h>

Place syntax_place(const Source *source, yaml_mark_t start, yaml_mark_t end)
{
    Place place = {source, (int)start.line + 1, (int)start.column + 1, 1};
    if ((gsize)place.line > source->line_count)
        place = (Place){source, (int)source->line_count, 1, 1};
    else if (end.line == start.line && end.column > start.column)
        place.length = (int)(end.column - start.column);
    return place;
}

typedef struct Broken {
    Diagnostics *diagnostics;
    const char *problem;      /* as the library says it */
    Place stop, from;         /* where reading stopped; where what it was reading began */
    gboolean at_end;          /* it stopped at the end of the file */
    gboolean in_brackets;     /* between [ and ] or { and } */
    const Quoted *quoted;
} Broken;

static const char *text_at(Place place) { return place.source->text + source_offset(place); }

static Finding *fault_at(const Broken *broken, Place place)
{
    return finding_add(broken->diagnostics, RULE_yaml_form, place);
}

/* ---- quotes ---- */

static const char *quote_word(char quote) { return quote == '"' ? "double quote (\")" : "single quote (')"; }

/* TRUE when the text between quotes ended here, with at most spaces between. */
static gboolean after_quote(const Broken *broken)
{
    if (!broken->quoted->there)
        return FALSE;
    Place end = syntax_place(broken->stop.source, broken->quoted->end, broken->quoted->end);
    if (end.line != broken->stop.line || end.column > broken->stop.column)
        return FALSE;
    return strspn(text_at(end), " ") >= (gsize)(broken->stop.column - end.column);
}

static void quote_open(const Broken *broken, Place open)
{
    char quote = *text_at(open);
    Finding *finding = fault_at(broken, open);
    finding_fact(finding, "this %s opens a text, and no other closes it", quote_word(quote));
    finding_help(finding, "write %c at the end of the text, or remove this one", quote);
}

/* The quote that closed a text is the opening one of another, lines further down, or an
 * apostrophe. */
static void quote_early(const Broken *broken)
{
    const Quoted *quoted = broken->quoted;
    Place open = syntax_place(broken->stop.source, quoted->start, quoted->start);
    Place close = syntax_place(broken->stop.source, quoted->end, quoted->end);
    close.column--;
    char quote = *text_at(open);
    if (open.line != close.line) {
        Finding *finding = fault_at(broken, open);
        finding_fact(finding, "this %s is not closed on its line, so the text runs on to the next one, on line %d",
                     quote_word(quote), close.line);
        finding_note(finding, close, "the next one");
        finding_help(finding, "write %c at the end of the text, or remove this one", quote);
        return;
    }
    Finding *finding = fault_at(broken, close);
    finding_fact(finding, "this %s closes the text, and more stands after it", quote_word(quote));
    finding_note(finding, open, "it was opened here");
    if (quote == '\'')
        finding_help(finding, "when this is an apostrophe, put the whole text between double quotes");
    else
        finding_help(finding, "put the whole text between the quotes%s",
                     broken->in_brackets ? ", or a comma after them" : ", or remove them");
}

/* ---- brackets ---- */

static char partner(char bracket)
{
    static const char pairs[] = "[]{}";
    const char *found = strchr(pairs, bracket);
    gsize index = found ? (gsize)(found - pairs) : 0;
    return pairs[index ^ 1];
}

/* TRUE when a bracket further down closes the one that opens here. */
static gboolean is_closed(Place open)
{
    int depth = 0;
    for (const char *at = text_at(open); *at; at++) {
        depth += (*at == '[' || *at == '{') - (*at == ']' || *at == '}');
        if (depth == 0)
            return TRUE;
    }
    return FALSE;
}

static void bracket_fault(const Broken *broken)
{
    Place open = broken->from;
    char bracket = *text_at(open), here = *text_at(broken->stop), close = partner(bracket);
    if (here == ']' || here == '}') {
        Finding *finding = fault_at(broken, broken->stop);
        finding_fact(finding, "this %c does not close the bracket that is open, which is %c", here, bracket);
        finding_note(finding, open, "it was opened here");
        finding_help(finding, "write %c here, or %c there", close, partner(here));
    } else if (!is_closed(open)) {
        Finding *finding = fault_at(broken, open);
        finding_fact(finding, "the bracket %c opens here, and no %c closes it", bracket, close);
        if (!broken->at_end && broken->stop.line != open.line)
            finding_note(finding, broken->stop, "reading got as far as this");
        finding_help(finding, bracket == '[' ? "write ] after the last entry, like [first, second]"
                                             : "write } after the last value, like {item: gauze pad, count: 2}");
    } else {
        Finding *finding = fault_at(broken, broken->stop);
        finding_fact(finding, "no comma stands before this entry, or a value holds a colon and a space");
        finding_note(finding, open, "the bracket that is open");
        finding_help(finding, bracket == '[' ? "put commas between the entries, like [first, second]"
                                             : "put commas between the keys, like {item: gauze pad, count: 2}");
    }
}

/* The first bracket that closes more than the line opens. */
static gboolean lone_bracket(const Broken *broken, Place *bracket)
{
    const Source *source = broken->stop.source;
    gsize start = source->line_starts[broken->stop.line - 1];
    gsize length = strcspn(source->text + start, "\n");
    int depth = 0;
    for (gsize i = 0; i < length; i++) {
        char letter = source->text[start + i];
        depth += (letter == '[' || letter == '{') - (letter == ']' || letter == '}');
        if (depth < 0) {
            *bracket = source_place(source, start + i, 1);
            return TRUE;
        }
    }
    return FALSE;
}

static void lone_bracket_fault(const Broken *broken, Place bracket)
{
    char sign = *text_at(bracket);
    Finding *finding = fault_at(broken, bracket);
    finding_fact(finding, "this %c closes a bracket that was never opened", sign);
    finding_help(finding, "write %c where it should open, or remove this one", partner(sign));
}

/* ---- lines ---- */

/* What the library says, in the words of someone who writes protocols. */
static const struct {
    const char *said, *fact, *help;
} plain_words[] = {
    {"could not find expected ':'", "a line has no colon after its key",
     "write \"key: value\", with a colon and a space"},
    {"cannot start any token", "a text cannot begin with this sign", "put the text between quotes"},
    {"block sequence entries", "an entry that begins with \"- \" stands on the line of its key",
     "put it on a line of its own, two spaces further in than the key"},
    {"unknown escape", "a backslash stands between double quotes",
     "write it without the backslash, or between single quotes"},
    {"expected node content", "a value is missing here", "look for a bracket or comma too many"},
};

/* Spaces at the start of a line, counted from 1; -1 of an empty line. */
static int indent_of(const Source *source, int line)
{
    const char *start = source->text + source->line_starts[line - 1];
    gsize spaces = strspn(start, " ");
    return start[spaces] == '\n' || start[spaces] == '\0' || start[spaces] == '#' ? -1 : (int)spaces;
}

/* A line that begins elsewhere than the lines around it. */
static void indent_fault(Finding *finding, Place place)
{
    int own = indent_of(place.source, place.line), before = -1;
    for (int line = place.line - 1; line > 0 && before < 0; line--)
        before = indent_of(place.source, line);
    if (own != before && own >= 0 && before >= 0)
        finding_fact(finding, "this line begins with %d %s, the one before it with %d", own,
                     own == 1 ? "space" : "spaces", before);
    else
        finding_fact(finding, "this line fits neither the list nor the keys before it");
    finding_help(finding, "entries of one list or group begin with the same number of spaces; "
                          "what belongs to a key stands two spaces further in");
}

/* TRUE when a colon and a space stand before this column: the one here is a second. */
static gboolean second_colon(Place place)
{
    const char *start = place.source->text + place.source->line_starts[place.line - 1];
    const char *here = place.source->text + source_offset(place);
    return g_strstr_len(start, here - start, ": ") != NULL;
}

static void words_of_library(const Broken *broken, Finding *finding)
{
    for (gsize i = 0; i < G_N_ELEMENTS(plain_words); i++)
        if (strstr(broken->problem, plain_words[i].said)) {
            finding_fact(finding, "%s", plain_words[i].fact);
            finding_help(finding, "%s", plain_words[i].help);
            return;
        }
    finding_fact(finding, "something stands here that does not belong after what is before it");
    finding_help(finding, "look for a missing colon, quote, comma or bracket here or just before");
}

static void line_fault(const Broken *broken, const char *context)
{
    Place stop = broken->stop, bracket;
    gboolean colon = strstr(broken->problem, "mapping values") != NULL;
    gboolean first = stop.column - 1 == indent_of(stop.source, stop.line);
    if (lone_bracket(broken, &bracket)) {
        lone_bracket_fault(broken, bracket);
        return;
    }
    Finding *finding = fault_at(broken, stop);
    if (colon && second_colon(stop)) {
        finding_fact(finding, "a colon and a space stand inside a text");
        finding_help(finding, "put the whole text between quotes, like \"Now: your injection\"");
    } else if (colon || (first && strstr(broken->problem, "did not find expected"))) {
        indent_fault(finding, stop);
    } else {
        words_of_library(broken, finding);
        /* Where a group of keys began says nothing: often it is the file's first line. */
        if (context && !strstr(context, "block") && place_compare(broken->from, stop) != 0)
            finding_note(finding, broken->from, "what cannot be read began here");
    }
}

void syntax_form_fault(Diagnostics *diagnostics, const Source *source, const yaml_parser_t *parser,
                       const Quoted *quoted)
{
    const char *problem = parser->problem ? parser->problem : "";
    Broken broken = {
        .diagnostics = diagnostics,
        .problem = problem,
        .stop = syntax_place(source, parser->problem_mark, parser->problem_mark),
        .from = syntax_place(source, parser->context_mark, parser->context_mark),
        .in_brackets = strstr(problem, "',' or") != NULL,
        .quoted = quoted,
    };
    broken.at_end = *text_at(broken.stop) == '\0';
    if (strstr(problem, "unexpected end of stream"))
        quote_open(&broken, broken.from);
    else if (after_quote(&broken) && strstr(problem, "did not find expected"))
        quote_early(&broken);
    else if (broken.in_brackets)
        bracket_fault(&broken);
    else
        line_fault(&broken, parser->context);
}
