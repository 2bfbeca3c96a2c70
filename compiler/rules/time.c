/* rules_time: mixing ahead, order, midnight, clock changes. */
#include <string.h>

#include "rules/checks.h"

#define MINUTE 60
#define DAY_MINUTES 1440

static gboolean is_anchor(const Plan *plan, const char *word)
{
    return PRESENT(plan->protocol->anchor) && strcmp(word, choice_word(plan->protocol->anchor.value)) == 0;
}

/* "up to 6 h in the refrigerator, at once", as the label's row says. */
static const char *keeps_listed(const Judge *judge, const MixingRow *row)
{
    const char *list = NULL;
    for (guint i = 0; i < row->keep.items->len; i++) {
        const Keep *keep = g_ptr_array_index(row->keep.items, i);
        if (!PRESENT(*keep))
            continue;
        const char *one = keep->at_once ? "at once"
                                        : arena_format(judge->arena, "up to %s %s", judge_amount(judge, keep->limit),
                                                       choice_word(keep->kept_at));
        list = list ? arena_format(judge->arena, "%s, %s", list, one) : one;
    }
    return list ? list : "nothing that can be read";
}

/* TRUE when the label keeps the mixture as long where the protocol keeps it. */
static gboolean label_keeps(const MixingRow *row, const Keep *ahead)
{
    for (guint i = 0; i < row->keep.items->len; i++) {
        const Keep *keep = g_ptr_array_index(row->keep.items, i);
        if (PRESENT(*keep) && !keep->at_once && keep->kept_at == ahead->kept_at &&
            quantity_compare(ahead->limit, keep->limit) <= 0)
            return TRUE;
    }
    return FALSE;
}

static void ahead_fault(const Judge *judge, const PlanInjection *injection, const Keep *ahead)
{
    Finding *finding = judge_add(judge, RULE_mix_before_label, 0, injection, ahead->at.place);
    if (ABSENT(injection->row->keep))
        finding_fact(finding, "the label's row does not say that the mixture keeps at all");
    else
        finding_fact(finding, "mixed up to %s ahead %s; the label's row allows: %s",
                     judge_amount(judge, ahead->limit), choice_word(ahead->kept_at),
                     keeps_listed(judge, injection->row));
    finding_note(finding, PRESENT(injection->row->keep) ? injection->row->keep.at.place
                                                        : injection->row->add.at.place, "the label's row");
    finding_help(finding, "shorten it to what the label allows, or remove \"ahead\" to mix at once");
}

/* The longest that the label keeps it anywhere; not rational_ok when it states no time. */
static Rational longest_kept(const MixingRow *row)
{
    Rational longest = RATIONAL_OVERFLOW;
    for (guint i = 0; i < row->keep.items->len; i++) {
        const Keep *keep = g_ptr_array_index(row->keep.items, i);
        Rational limit = PRESENT(*keep) && !keep->at_once ? quantity_base(keep->limit) : RATIONAL_OVERFLOW;
        if (rational_ok(limit) && (!rational_ok(longest) || rational_compare(limit, longest) > 0))
            longest = limit;
    }
    return longest;
}

/* Even mixed at the start of the preparation it waits until it is given, at the latest at
 * the end of the window. */
static void waits_too_long(const Judge *judge, const PlanInjection *injection, const Keep *ahead)
{
    gboolean said = PRESENT(*ahead) && !ahead->at_once;
    Rational waits = plan_mixed_for(judge->plan, injection);
    Rational kept = said ? quantity_base(ahead->limit) : longest_kept(injection->row);
    if (!rational_ok(waits) || !rational_ok(kept) || rational_compare(waits, kept) <= 0)
        return;
    Finding *finding = judge_add(judge, RULE_mix_before_label, 0, injection,
                                 judge_place(said ? &ahead->at : &injection->order->mix.at, injection));
    if (said)
        finding_fact(finding, "mixed when the preparation starts, it waits up to %s; \"ahead\" allows %s",
                     judge_hours(judge, waits), judge_hours(judge, kept));
    else
        finding_fact(finding, "mixed when the preparation starts, it waits up to %s; the label's row allows: %s",
                     judge_hours(judge, waits), keeps_listed(judge, injection->row));
    finding_note(finding, judge->plan->clinic->preparation.start.at.place, "the start of the preparation");
    finding_help(finding, said ? "make \"ahead\" longer, if the label allows it, or remove it"
                               : "start the preparation later, or shorten the window behind the time");
}

void check_mix_before_label(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Keep *ahead = &injection->order->mix.ahead;
        if (!injection->row)
            continue;
        if (PRESENT(*ahead) && !ahead->at_once && !label_keeps(injection->row, ahead))
            ahead_fault(judge, injection, ahead);
        else
            waits_too_long(judge, injection, ahead);
    }
}

/* ---- order ---- */

static void judge_pair(const Judge *judge, const PlanInjection *first, const PlanInjection *second)
{
    Rational a = first->before_anchor, b = second->before_anchor;
    if (!rational_ok(a) || !rational_ok(b))
        return;
    gboolean paired = second->order->when.kind == TIMING_TOGETHER || first->order->when.kind == TIMING_TOGETHER;
    int order = rational_compare(a, b);
    if (order > 0 || (order == 0 && paired))
        return;
    Finding *finding = judge_add(judge, RULE_order_of_injections, 0, second, second->order->when.at.place);
    const char *name = first->order->name.text, *second_name = second->order->name.text;
    if (order == 0)
        finding_fact(finding, "%s and %s fall on the same minute", name, second_name);
    else
        finding_fact(finding, "%s comes %s before %s, which is written above it", second_name,
                     judge_hours(judge, rational_sub(b, a)), name);
    finding_note(finding, first->order->when.at.place, "the time of %s", name);
    if (order == 0)
        finding_help(finding, "write \"when: together with %s\" if that is meant, or correct one of the times", name);
    else
        finding_help(finding, "correct one of the times, or move %s above %s", second_name, name);
}

/* Injections as written: a plan with a patient has sorted them by time. */
static int by_place(gconstpointer left, gconstpointer right)
{
    const PlanInjection *a = *(const PlanInjection *const *)left, *b = *(const PlanInjection *const *)right;
    return place_compare(a->order->name.at.place, b->order->name.at.place);
}

void check_order_of_injections(const Judge *judge)
{
    GPtrArray *written = arena_list(judge->arena);
    EACH_INJECTION(judge, injection)
        if (PRESENT(injection->order->name))
            g_ptr_array_add(written, (gpointer)injection);
    g_ptr_array_sort(written, by_place);
    for (guint i = 1; i < written->len; i++)
        judge_pair(judge, g_ptr_array_index(written, i - 1), g_ptr_array_index(written, i));
}

static void circle_fault(const Judge *judge, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    Finding *finding = judge_add(judge, RULE_anchor_unknown, 0, injection,
                                 when->from_place.source ? when->from_place : when->at.place);
    finding_fact(finding, "the times count in a circle: from %s, and that counts from %s again", when->from,
                 injection->order->name.text);
    finding_help(finding, "count one of them from the protocol's anchor");
}

void check_anchor_unknown(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Timing *when = &injection->order->when;
        if (!PRESENT(*when) || when->kind == TIMING_CALENDAR || is_anchor(judge->plan, when->from))
            continue;
        if (injection->leads_circle)
            circle_fault(judge, injection);
        if (injection->counts_from || UNREAD(judge->plan->protocol->anchor))
            continue;
        Finding *finding = judge_add(judge, RULE_anchor_unknown, 0, injection,
                                     when->from_place.source ? when->from_place : when->at.place);
        GPtrArray *names = arena_list(judge->arena);
        for (guint i = 0; i < judge->plan->injections->len; i++) {
            const PlanInjection *known = g_ptr_array_index(judge->plan->injections, i);
            if (known != injection && PRESENT(known->order->name))
                g_ptr_array_add(names, (gpointer)known->order->name.text);
        }
        const char *near = nearest_word(when->from, (const char *const *)names->pdata, names->len);
        const char *anchor = PRESENT(judge->plan->protocol->anchor)
                                 ? choice_word(judge->plan->protocol->anchor.value) : "its anchor";
        if (near)
            finding_help(finding, "did you mean \"%s\"?", near);
        else
            finding_help(finding, "count from %s or from another injection of this protocol", anchor);
    }
}

/* ---- one person's night ---- */

static const Act *act_at_midnight(const PlanInjection *injection)
{
    for (guint i = 0; i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        if (act->exists && act->at.local.minute == 0)
            return act;
    }
    return NULL;
}

/* The injection itself: any other time is printed a minute beside midnight. */
void check_lands_on_midnight(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Act *act = act_at_midnight(injection);
        if (!act)
            continue;
        Finding *finding = judge_add(judge, RULE_lands_on_midnight, 0, injection,
                                     judge->plan->patient->anchor.clock.at.place);
        finding_note(finding, injection->order->when.at.place, "counted back by this");
        Day day = act->at.local.day;
        const LocalTime before = {day - 1, 23 * 60 + 59}, after = {day, 1};
        finding_help(finding, "ask the physician for %s or %s: the program moves no injection by itself",
                     judge_time(judge, before), judge_time(judge, after));
    }
}

static void anchor_fault(const Judge *judge, RuleId rule, const char *help)
{
    const AnchorTime *anchor = &judge->plan->patient->anchor;
    Finding *finding = judge_add(judge, rule, 0, NULL, anchor->clock.at.place);
    LocalTime local = {anchor->on.day, anchor->clock.minute};
    finding_fact(finding, "%s in %s", judge_time(judge, local), zone_name(judge->plan->clinic->zone.zone));
    finding_help(finding, "%s", help);
}

static void act_fault(const Judge *judge, RuleId rule, const PlanInjection *injection, const Act *act,
                      const char *help)
{
    Finding *finding = judge_add(judge, rule, 0, injection, injection->order->when.at.place);
    finding_fact(finding, "%s in %s", judge_time(judge, act->wanted), zone_name(judge->plan->zone));
    finding_help(finding, "%s", help);
}

/* ---- every day of a course ---- */

typedef struct Daily {
    ValueId value;
    gboolean edge;    /* of the window: it must not lie farther off; the others must not lie nearer */
    const char *what;
} Daily;

/* What the sheet prints once, for every day. */
static const Daily daily[] = {
    {VALUE_mix_from, FALSE, "mixing may begin"},
    {VALUE_take_out, FALSE, "the box comes out of the refrigerator"},
    {VALUE_start, FALSE, "the preparation starts"},
    {VALUE_sit, FALSE, "the person sits down"},
    {VALUE_earliest, TRUE, "the window begins"},
    {VALUE_latest, TRUE, "the window ends"},
};

/* What it prints once, for the first day. */
static const Daily once[] = {
    {VALUE_check_kit, FALSE, "the kit is checked"},
    {VALUE_call_by, FALSE, "the time to call ends"},
    {VALUE_set_alarms, FALSE, "the alarms are set"},
};

static gint64 wall(LocalTime local) { return (gint64)local.day * DAY_MINUTES + local.minute; }

/* How often the clock time of this row comes on the day of this act: 0, 1, 2; an hour that
 * is missing or comes twice between the two counts too. */
static int times_that_day(const Judge *judge, const PlanInjection *injection, const Act *act, const Daily *row,
                          LocalTime *there)
{
    const Moment *printed = &plan_value(judge->plan, injection, row->value)->moment;
    const Act *first = plan_first_act(injection);
    gint64 at = wall(act->at.local) + wall(printed->local) - wall(first->at.local);
    *there = (LocalTime){(Day)(at / DAY_MINUTES), (int)(at % DAY_MINUTES)};
    Instant both[2];
    int count = zone_instants(judge->plan->zone, *there, both);
    if (count != 1 || injection->acts->len - injection->done < 2)
        return count;
    gint64 apart = ABS(act->at.instant - both[0]);
    gint64 wanted = ABS(wall(first->at.local) - wall(printed->local)) * MINUTE;
    if (row->edge)
        return apart > wanted ? 2 : 1;
    return apart < wanted ? 0 : 1;
}

static void day_fault(const Judge *judge, RuleId rule, const PlanInjection *injection, const Daily *row,
                      LocalTime there)
{
    Finding *finding = judge_add(judge, rule, 0, injection, injection->order->when.at.place);
    finding_fact(finding, "%s in %s: %s", judge_time(judge, there), zone_name(judge->plan->zone), row->what);
    finding_help(finding, injection->from_anchor ? "ask the physician to move the injection or the event"
                          : row->edge ? "ask the physician for another window, or another clock time"
                                      : "choose another clock time for this injection");
}

/* One finding a day: what is printed for all days must hold on each. */
static void each_day(const Judge *judge, const PlanInjection *injection, RuleId rule, int unwanted)
{
    for (guint i = injection->done; injection->timed && i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        gboolean found = FALSE;
        for (gsize row = 0; !found && row < G_N_ELEMENTS(daily); row++) {
            LocalTime there;
            found = plan_value(judge->plan, injection, daily[row].value)->set &&
                    times_that_day(judge, injection, act, &daily[row], &there) == unwanted;
            if (found)
                day_fault(judge, rule, injection, &daily[row], there);
        }
    }
}

void check_local_time_missing(const Judge *judge)
{
    if (judge_anchor_readable(judge) && judge->plan->anchor_count == 0)
        anchor_fault(judge, RULE_local_time_missing, "ask for the procedure's time again: the clocks go forward");
    EACH_INJECTION(judge, injection) {
        for (guint i = 0; i < injection->acts->len; i++) {
            const Act *act = g_ptr_array_index(injection->acts, i);
            if (!act->exists)
                act_fault(judge, RULE_local_time_missing, injection, act, "choose another clock time for this course");
        }
        each_day(judge, injection, RULE_local_time_missing, 0);
    }
}

static void once_twice(const Judge *judge, const PlanInjection *injection)
{
    for (gsize row = 0; row < G_N_ELEMENTS(once); row++) {
        const Value *value = plan_value(judge->plan, injection, once[row].value);
        Instant both[2];
        if (value->set && zone_instants(judge->plan->zone, value->moment.local, both) == 2)
            day_fault(judge, RULE_local_time_twice, injection, &once[row], value->moment.local);
    }
}

void check_local_time_twice(const Judge *judge)
{
    if (judge_anchor_readable(judge) && judge->plan->anchor_count == 2 && ABSENT(judge->plan->patient->anchor.which))
        anchor_fault(judge, RULE_local_time_twice,
                     "add \"which: first\" (before the clocks go back) or \"which: second\"");
    EACH_INJECTION(judge, injection) {
        gboolean twice = FALSE;
        for (guint i = 0; i < injection->acts->len; i++) {
            const Act *act = g_ptr_array_index(injection->acts, i);
            twice |= act->twice;
            if (act->twice)
                act_fault(judge, RULE_local_time_twice, injection, act,
                          injection->from_anchor ? "ask the physician to move the injection or the event"
                                                 : "choose another clock time for this course");
        }
        if (twice)
            continue;
        once_twice(judge, injection);
        each_day(judge, injection, RULE_local_time_twice, 2);
    }
}

void check_clock_changes(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!injection->clock_change)
            continue;
        Finding *finding = judge_add(judge, RULE_clock_changes, 0, injection, injection->order->when.at.place);
        finding_fact(finding, "from %s to %s, %s", judge_time(judge, change_before(injection->change)),
                     judge_time(judge, change_after(injection->change)),
                     injection->change_later       ? "between the injection and the event"
                     : injection->acts->len > 1    ? "during the course"
                                                   : "between the first preparation and the injection");
        finding_help(finding, "nothing needs mending: the change is counted in, and the sheet says so; when you speak "
                              "of it, name clock times and count no hours");
    }
}
