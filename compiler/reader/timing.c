/* reader_timing: when an injection is due.
 *   36 h before egg collection      2 h after first-dose
 *   9 pm on day +1                  9 pm on day +1 for 10 days
 *   together with trigger */
#include "reader/parts.h"

#include <string.h>

/* The nearest of the anchor words, or NULL. */
static const char *anchor_nearest(const char *word)
{
    guint count;
    guint first = choice_first(CHOICES_Anchor, &count);
    const char *words[CHOICE_COUNT];
    for (guint i = 0; i < count; i++)
        words[i] = choice_word((ChoiceWord)(first + i));
    g_autofree char *lower = g_utf8_strdown(word, -1);
    return nearest_word(lower, words, count);
}

/* An anchor word or something that can be the name of an injection. */
static gboolean timing_from(const Written *written, Part part, Timing *out)
{
    ChoiceWord anchor;
    gboolean known = choice_find(CHOICES_Anchor, part.text, &anchor);
    gboolean name = pattern_matches(kind_row(AS_CODE)->pattern, part.text, G_REGEX_DOLLAR_ENDONLY);
    if (known || name) {
        out->from = part.text;
        const Node *node = written->node;
        out->from_place = node->verbatim ? place_within(node->place, part.skip,
                                                        (int)g_utf8_strlen(part.text, -1))
                                         : node->place;
        return TRUE;
    }
    const char *near = anchor_nearest(part.text);
    Finding *finding = fault_at(written, RULE_timing_form, part.skip, -1);
    finding_fact(finding, "\"%s\" is neither an event nor the name of an injection", part.text);
    if (near)
        finding_help(finding, "write \"%s\"", near);
    else
        finding_help(finding, "write the protocol's anchor, or the name of another injection");
    return FALSE;
}

static gboolean timing_elapsed(const Written *written, Part offset, Part from, Timing *out)
{
    out->kind = TIMING_ELAPSED;
    gboolean first = part_amount(written, offset, 1u << DIM_TIME, &out->offset);
    gboolean second = timing_from(written, from, out);
    return first && second;
}

/* "+1", "-6" or "0". */
static gboolean timing_day(const Written *written, Part part, int *out)
{
    if (pattern_matches("^([+-][1-9][0-9]{0,2}|0)$", part.text, 0)) {
        *out = (int)g_ascii_strtoll(part.text, NULL, 10);
        return TRUE;
    }
    int length = (int)g_utf8_strlen(part.text, -1);
    Finding *finding = fault_at(written, RULE_timing_form, part.skip, length);
    finding_fact(finding, "days count from the anchor's date: -1 before it, 0 on it, +1 after it");
    finding_help(finding, "write the day with its sign, like \"9 pm on day +1\"");
    return FALSE;
}

static gboolean timing_days(const Written *written, Part part, int *out)
{
    Quantity days;
    if (!part_amount(written, part, 1u << DIM_TIME, &days))
        return FALSE;
    if (days.unit == UNIT_days && days.number.den == 1 && days.number.num <= 366) {
        *out = (int)days.number.num;
        return TRUE;
    }
    int length = (int)g_utf8_strlen(part.text, -1);
    Finding *finding = fault_at(written, RULE_timing_form, part.skip, length);
    finding_fact(finding, "a course lasts a whole number of days, 366 at most");
    finding_help(finding, "write the days like \"9 pm on day +1 for 10 days\"");
    return FALSE;
}

/* "day -2" */
static const char *day_words(Arena *arena, int day)
{
    return arena_format(arena, day > 0 ? "day +%d" : "day %d", day);
}

/* Midnight belongs to two days: the choice of a minute changes the day too. */
static const char *midnight_help(const Written *written, Part day)
{
    Arena *arena = written->reader->arena;
    if (!pattern_matches("^([+-][1-9][0-9]{0,2}|0)$", day.text, 0))
        return NULL;
    int on = (int)g_ascii_strtoll(day.text, NULL, 10);
    const char *before = day_words(arena, on - 1), *same = day_words(arena, on), *after = day_words(arena, on + 1);
    return arena_format(arena, "where %s begins: \"11:59 pm on %s\" or \"12:01 am on %s\"; where it ends: "
                        "\"11:59 pm on %s\" or \"12:01 am on %s\"; at midday: \"noon on %s\"",
                        same, before, same, same, after, same);
}

static gboolean timing_calendar(const Written *written, Part clock, Part rest, Timing *out)
{
    Part day = rest, days;
    out->kind = TIMING_CALENDAR;
    out->days = 1;
    gboolean course = part_cut(written, rest, " for ", &day, &days);
    gboolean fine = part_clock(written, clock, RULE_timing_form, midnight_help(written, day), &out->minute);
    fine = timing_day(written, day, &out->day) && fine;
    return (!course || timing_days(written, days, &out->days)) && fine;
}

/* "10 pm two days before egg collection": a clock time needs its day. */
static gboolean clock_without_day(const Written *written)
{
    const char *pattern = "^[0-9]{1,2}([:.][0-9]{2})? ?([ap]\\.?m\\.?)?,? .*(before|after) ";
    const char *text = written->node->text;
    if (pattern_matches("^[0-9.,/ ]+(h|min|days?) ", text, 0) ||
        !pattern_matches(pattern, text, G_REGEX_CASELESS) ||
        !pattern_matches("[ap]\\.?m|^[0-9]+:", text, G_REGEX_CASELESS))
        return FALSE;
    Finding *finding = fault_at(written, RULE_timing_form, 0, -1);
    finding_fact(finding, "a clock time stands with a day, which counts from the anchor's date");
    finding_help(finding, "two days before it is \"10 pm on day -2\", the day after it \"10 pm on day +1\"");
    return TRUE;
}

gboolean read_timing(const Written *written, gpointer out)
{
    Timing *timing = out;
    Part whole = part_whole_text(written), first, second;
    if (clock_without_day(written))
        return FALSE;
    if (part_cut(written, whole, " on day ", &first, &second))
        return timing_calendar(written, first, second, timing);
    if (g_str_has_prefix(whole.text, "together with ")) {
        timing->kind = TIMING_TOGETHER;
        Part from = part_inside(written, whole, (int)strlen("together with "), -1);
        return timing_from(written, from, timing);
    }
    timing->before = part_cut(written, whole, " before ", &first, &second);
    if (timing->before || part_cut(written, whole, " after ", &first, &second))
        return timing_elapsed(written, first, second, timing);
    return fault_form(written, RULE_timing_form, NULL);
}
