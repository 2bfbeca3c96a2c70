/* reader_form: values made of several parts: spans, needles, windows, keeping,
 * hours and timing. */
#include "reader/parts.h"

#include <string.h>

/* Help that says the time as it was meant; FALSE when nobody can tell. */
static gboolean clock_help(const Written *written, Finding *finding, const char *text)
{
    g_auto(GStrv) readings = clock_readings(text);
    if (!readings[0])
        return FALSE;
    fault_readings(finding, written, readings);
    return TRUE;
}

/* "12:00am", which only its form hides from the strict reading. */
static gboolean means_midnight(const char *text)
{
    int minute;
    g_auto(GStrv) readings = clock_readings(text);
    return readings[0] && !readings[1] && clock_parse(readings[0], &minute).fault == MOMENT_MIDNIGHT;
}

gboolean part_clock(const Written *written, Part part, RuleId form, const char *help, int *minute)
{
    MomentRead read = clock_parse(part.text, minute);
    if (read.fault == MOMENT_FINE)
        return TRUE;
    int length = read.length > 0 ? read.length : -1;
    gboolean midnight = read.fault == MOMENT_MIDNIGHT || means_midnight(part.text);
    RuleId rule = midnight ? RULE_midnight_words : form;
    Finding *finding = fault_at(written, rule, part.skip + read.skip, length);
    if (midnight) {
        const char *no_day = "write 11:59 pm of the day that ends, 12:01 am of the day that begins, or noon";
        finding_help(finding, "%s", help ? help : no_day);
        return FALSE;
    }
    if (read.fault == MOMENT_NO_CLOCK)
        finding_fact(finding, "no clock shows this time");
    if (read.fault == MOMENT_MIXED_CLOCK)
        finding_fact(finding, "a time on the 24-hour clock has no am or pm");
    if (clock_help(written, finding, part.text))
        return FALSE;
    if (form == RULE_clock_form)
        fault_help(finding, written);
    else
        finding_help(finding, "write the clock time like \"9 pm\", \"9:30 pm\" or \"21:30\"");
    return FALSE;
}

gboolean read_clock(const Written *written, gpointer out)
{
    int *minute = &((ClockTime *)out)->minute;
    return part_clock(written, part_whole_text(written), RULE_clock_form, NULL, minute);
}

/* One meaning, and a time that can be read. */
static gboolean is_plain(char **readings)
{
    int minute;
    return readings[0] && !readings[1] && clock_parse(readings[0], &minute).fault == MOMENT_FINE;
}

/* "8 am - 2 pm", "8am until 2pm": both times can be read, but for what stands between. */
static gboolean hours_fault(const Written *written)
{
    Finding *finding = fault_at(written, RULE_clock_form, 0, -1);
    g_auto(GStrv) parts = g_regex_split_simple(" *(?:-|\342\200\223|\\buntil\\b|\\btill\\b|\\bto\\b) *",
                                               written->node->text, 0, 0);
    if (g_strv_length(parts) == 2) {
        g_auto(GStrv) from = clock_readings(parts[0]);
        g_auto(GStrv) until = clock_readings(parts[1]);
        if (is_plain(from) && is_plain(until)) {
            finding_help(finding, "write \"%s to %s\"", from[0], until[0]);
            return FALSE;
        }
    }
    fault_help(finding, written);
    return FALSE;
}

gboolean read_clock_span(const Written *written, gpointer out)
{
    ClockSpan *span = out;
    Part whole = part_whole_text(written), from, until;
    if (g_str_equal(whole.text, "at any hour")) {
        span->all_day = TRUE;
        return TRUE;
    }
    if (!part_cut(written, whole, " to ", &from, &until))
        return hours_fault(written);
    gboolean first = part_clock(written, from, RULE_clock_form, NULL, &span->from);
    gboolean second = part_clock(written, until, RULE_clock_form, NULL, &span->until);
    if (!first || !second)
        return FALSE;
    if (span->from == span->until)
        return fault_form(written, RULE_clock_form, "both clock times are the same");
    return TRUE;
}

gboolean read_span(const Written *written, gpointer out)
{
    Span *span = out;
    guint dimensions = 1u << written->row->argument;
    Part from, until;
    if (!part_cut(written, part_whole_text(written), " to ", &from, &until))
        return fault_form(written, RULE_span_form, NULL);
    gboolean cold = written->row->argument == DIM_TEMPERATURE;
    gboolean first = cold ? part_amount_or_zero(written, from, dimensions, &span->from)
                          : part_amount(written, from, dimensions, &span->from);
    gboolean second = part_amount(written, until, dimensions, &span->until);
    if (!first || !second)
        return FALSE;
    if (quantity_compare(span->from, span->until) >= 0)
        return fault_form(written, RULE_span_form, "the first is not the smaller one");
    return TRUE;
}

gboolean read_needle(const Written *written, gpointer out)
{
    NeedleField *needle = out;
    Part gauge, length;
    if (strstr(written->node->text, "\303\227")) /* the sign for times */
        return fault_form(written, RULE_needle_form, "between gauge and length stands the letter x");
    if (!part_cut(written, part_whole_text(written), " x ", &gauge, &length))
        return fault_form(written, RULE_needle_form, NULL);
    if (g_ascii_isalpha(gauge.text[0]))
        return fault_part(written, RULE_needle_form, gauge,
                          "gauge and length alone name a needle; \"filter: yes\" stands on the shelf");
    gboolean first = part_amount(written, gauge, 1u << DIM_GAUGE, &needle->gauge);
    gboolean second = part_amount(written, length, 1u << DIM_LENGTH, &needle->length);
    if (!first || !second)
        return FALSE;
    if (needle->gauge.number.den != 1)
        return fault_part(written, RULE_needle_form, gauge, "a gauge is a whole number");
    return TRUE;
}

/* "10 min before to 30 min after"; one of the two may be zero. */
static gboolean window_sides(const Written *written, Part before, Part after, Window *out)
{
    Part side;
    int length = (int)g_utf8_strlen(after.text, -1) - (int)strlen(" after");
    if (!g_str_has_suffix(after.text, " after") || length < 1)
        return fault_form(written, RULE_window_form, NULL);
    side = part_inside(written, after, 0, length);
    guint time = 1u << DIM_TIME;
    gboolean first = part_amount_or_zero(written, before, time, &out->before);
    gboolean second = part_amount_or_zero(written, side, time, &out->after);
    if (!first || !second)
        return FALSE;
    if (out->before.number.num == 0 && out->after.number.num == 0)
        return fault_form(written, RULE_window_form, "write \"exactly\" for no room at all");
    return TRUE;
}

gboolean read_window(const Written *written, gpointer out)
{
    Window *window = out;
    Part whole = part_whole_text(written), before, after;
    if (g_str_equal(whole.text, "exactly")) {
        window->exact = TRUE;
        window->before = window->after = quantity_make(0, 1, UNIT_min);
        return TRUE;
    }
    if (part_cut(written, whole, " before to ", &before, &after))
        return window_sides(written, before, after, window);
    if (!part_cut(written, whole, " either side", &before, &after) || after.text[0] != '\0')
        return fault_form(written, RULE_window_form, NULL);
    gboolean fine = part_amount(written, before, 1u << DIM_TIME, &window->before);
    window->after = window->before;
    return fine;
}

/* The place at the end of "6 h in the refrigerator"; *time is what stands before. */
static gboolean keep_place(const Written *written, Part limit, KeptAt *place, Part *time)
{
    guint count;
    guint first = choice_first(CHOICES_KeptAt, &count);
    for (guint i = first; i < first + count; i++) {
        char *ending = arena_format(written->reader->arena, " %s", choice_word((ChoiceWord)i));
        Part after;
        if (!part_cut(written, limit, ending, time, &after) || after.text[0] != '\0')
            continue;
        *place = (KeptAt)i;
        return TRUE;
    }
    return FALSE;
}

gboolean read_keep(const Written *written, gpointer out)
{
    Keep *keep = out;
    Part whole = part_whole_text(written), nothing, limit, time;
    keep->at_once = g_str_equal(whole.text, "at once");
    if (keep->at_once)
        return TRUE;
    if (!part_cut(written, whole, "up to ", &nothing, &limit) || nothing.text[0] != '\0' ||
        !keep_place(written, limit, &keep->kept_at, &time))
        return fault_form(written, RULE_keep_form, NULL);
    return part_amount(written, time, 1u << DIM_TIME, &keep->limit);
}
