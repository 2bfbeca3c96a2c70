/* rules_time: offsets, windows, order, midnight, clock changes. */
#include <string.h>

#include "rules/checks.h"

#define MINUTE 60
#define DAY_MINUTES 1440

/* ---- offsets, known without a patient ---- */

static gboolean is_anchor(const Plan *plan, const char *word)
{
    return PRESENT(plan->protocol->anchor) && strcmp(word, choice_word(plan->protocol->anchor.value)) == 0;
}

/* Minutes before the anchor, when all of it counts in elapsed time. */
static gboolean static_offset(const PlanInjection *injection, Rational *out)
{
    *out = injection->before_anchor;
    return rational_ok(*out);
}

static Rational hours(gint64 count) { return rational_make(count * 60, 1); }

typedef struct OffsetLimits {
    Rational usual_least, usual_most, least, most;
} OffsetLimits;

static OffsetLimits offset_limits(const Clinic *clinic)
{
    OffsetLimits limits = {hours(34), hours(38), hours(24), hours(42)};
    const Span *house = &clinic->limits.trigger;
    if (PRESENT(*house)) {
        limits.usual_least = quantity_base(house->from);
        limits.usual_most = quantity_base(house->until);
    }
    return limits;
}

static gboolean beyond(Rational value, Rational least, Rational most)
{
    return rational_compare(value, least) < 0 || rational_compare(value, most) > 0;
}

static gboolean of_collection(const Judge *judge)
{
    const AnchorChoice *anchor = &judge->plan->protocol->anchor;
    return PRESENT(*anchor) && anchor->value == Anchor_COLLECTION;
}

static gboolean is_trigger(const Judge *judge, const PlanInjection *injection, Rational *before)
{
    return of_collection(judge) && static_offset(injection, before) && before->num > 0;
}

/* One injection, no course, that the protocol itself puts after collection. */
static gboolean after_collection(const Judge *judge, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    Rational before;
    if (!of_collection(judge) || !PRESENT(*when))
        return FALSE;
    if (when->kind == TIMING_CALENDAR)
        return when->days < 2 && when->day > 0;
    return static_offset(injection, &before) && before.num < 0;
}

void check_offset_outside_practice(const Judge *judge)
{
    OffsetLimits limits = offset_limits(judge->plan->clinic);
    EACH_INJECTION(judge, injection) {
        Rational before;
        if (after_collection(judge, injection)) {
            Finding *finding = judge_add(judge, RULE_offset_outside_practice, SEVERITY_WARNING, injection,
                                         injection->order->when.at.place);
            finding_fact(finding, "it comes after egg collection, so it is no trigger");
            finding_help(finding, injection->order->when.kind == TIMING_CALENDAR
                                      ? "write a day before it, as \"day -2\", if that is meant, or accept it with the "
                                        "reason"
                                      : "write \"before\" if that is meant, or accept it with the reason");
        }
        if (!is_trigger(judge, injection, &before) || !beyond(before, limits.usual_least, limits.usual_most))
            continue;
        gboolean far = beyond(before, limits.least, limits.most);
        Finding *finding = judge_add(judge, RULE_offset_outside_practice, far ? SEVERITY_ERROR : SEVERITY_WARNING,
                                     injection, injection->order->when.at.place);
        finding_fact(finding, "%s before egg collection; usual are %s to %s, accepted with a reason %s to %s",
                     judge_hours(judge, before), judge_hours(judge, limits.usual_least),
                     judge_hours(judge, limits.usual_most),
                     judge_hours(judge, limits.least), judge_hours(judge, limits.most));
        if (PRESENT(judge->plan->clinic->limits.trigger))
            finding_note(finding, judge->plan->clinic->limits.trigger.at.place, "the clinic's own limits");
        finding_help(finding, far ? "correct the hours" : "correct the hours, or accept them with the reason");
    }
}

#define NEAR_COLLECTION 72 /* hours: what is given earlier is no trigger */

/* Counted from a course: cannot_be_shown speaks. */
static gboolean from_course(const PlanInjection *injection)
{
    const PlanInjection *other = injection->counts_from;
    return other && other->order->when.kind == TIMING_CALENDAR && other->order->when.days > 1;
}

/* By the clock, or by way of an injection by the clock: the hours are known for a person only. */
void check_offset_for_person(const Judge *judge)
{
    OffsetLimits limits = offset_limits(judge->plan->clinic);
    EACH_INJECTION(judge, injection) {
        Rational real = rational_make(injection->offset_minutes, 1), before;
        if (!of_collection(judge) || !injection->timed || injection->acts->len != 1 ||
            static_offset(injection, &before) || after_collection(judge, injection) ||
            from_course(injection) || !beyond(real, limits.usual_least, limits.usual_most) ||
            rational_compare(real, hours(NEAR_COLLECTION)) > 0)
            continue;
        gboolean after = real.num <= 0, late = !after && rational_compare(real, limits.least) < 0;
        Finding *finding = judge_add(judge, RULE_offset_for_person, late ? SEVERITY_ERROR : SEVERITY_WARNING, injection,
                                     injection->order->when.at.place);
        if (after)
            finding_fact(finding, "it comes after egg collection, so it is no trigger");
        else
            finding_fact(finding, "%s before egg collection; usual are %s to %s", judge_hours(judge, real),
                         judge_hours(judge, limits.usual_least), judge_hours(judge, limits.usual_most));
        finding_note(finding, judge->plan->patient->anchor.clock.at.place, "the collection");
        finding_help(finding, late ? "ask the physician for this person's hour: the eggs may not be ready"
                                   : "count it from egg collection, or accept it with the reason");
    }
}

void check_window_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!ABSENT(injection->order->window))
            continue;
        Finding *finding = judge_add(judge, RULE_window_missing, 0, injection,
                                     judge_place(&injection->order->when.at, injection));
        finding_help(finding, "ask the prescriber how exact it must be, then add \"window: exactly\", \"window: ... "
                              "min either side\" or \"window: ... min before to ... min after\"");
    }
}

/* What is no trigger: a window over a quarter of a day names no hour any more. */
static void window_of_day(const Judge *judge, const PlanInjection *injection)
{
    const Window *window = &injection->order->window;
    Rational whole = rational_add(quantity_base(window->before), quantity_base(window->after));
    if (rational_ok(whole) && rational_compare(whole, hours(6)) <= 0)
        return;
    Finding *finding = judge_add(judge, RULE_window_too_wide, 0, injection, window->at.place);
    if (rational_ok(whole))
        finding_fact(finding, "it is %s wide from the earliest minute to the latest; 6 h is the most that is usual",
                     judge_hours(judge, whole));
    finding_help(finding, "let it be 3 h either side at most, or accept it with the reason");
}

/* Earliest and latest minute of the window, in minutes before the collection. */
static void window_of_trigger(const Judge *judge, const PlanInjection *injection, Rational earliest, Rational latest)
{
    OffsetLimits limits = offset_limits(judge->plan->clinic);
    Rational whole = rational_sub(earliest, latest);
    gboolean wide = rational_compare(whole, hours(2)) > 0;
    gboolean far = beyond(earliest, limits.least, limits.most) || beyond(latest, limits.least, limits.most);
    if (!wide && !far)
        return;
    Finding *finding = judge_add(judge, RULE_window_too_wide, 0, injection, injection->order->window.at.place);
    if (wide)
        finding_fact(finding, "it is %s wide from the earliest minute to the latest; 2 h is the most that is usual",
                     judge_hours(judge, whole));
    if (far && latest.num >= 0)
        finding_fact(finding, "it reaches from %s to %s before egg collection; in practice it stays between %s and %s",
                     judge_hours(judge, earliest), judge_hours(judge, latest), judge_hours(judge, limits.most),
                     judge_hours(judge, limits.least));
    finding_note(finding, injection->order->when.at.place, "the time that it lies round");
    finding_help(finding, wide ? "let it be 1 h either side at most, or accept it with the reason"
                               : "shorten the side that reaches too far, or accept it with the reason");
}

void check_window_too_wide(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Window *window = &injection->order->window;
        Rational before;
        if (!PRESENT(*window) || window->exact)
            continue;
        if (!is_trigger(judge, injection, &before)) {
            window_of_day(judge, injection);
            continue;
        }
        Rational earliest = rational_add(before, quantity_base(window->before));
        Rational latest = rational_sub(before, quantity_base(window->after));
        if (rational_ok(earliest) && rational_ok(latest))
            window_of_trigger(judge, injection, earliest, latest);
    }
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

void check_mix_before_label(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Keep *ahead = &injection->order->mix.ahead;
        if (!PRESENT(*ahead) || ahead->at_once || !injection->row || label_keeps(injection->row, ahead))
            continue;
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
}

/* ---- order ---- */

static void judge_pair(const Judge *judge, const PlanInjection *first, const PlanInjection *second)
{
    Rational a, b;
    if (!static_offset(first, &a) || !static_offset(second, &b))
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
        if (injection->counts_from)
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
                     local_text(judge->arena, before), local_text(judge->arena, after));
    }
}

static void anchor_fault(const Judge *judge, RuleId rule, const char *help)
{
    const AnchorTime *anchor = &judge->plan->patient->anchor;
    Finding *finding = judge_add(judge, rule, 0, NULL, anchor->clock.at.place);
    LocalTime local = {anchor->on.day, anchor->clock.minute};
    finding_fact(finding, "%s in %s", local_text(judge->arena, local), zone_name(judge->plan->clinic->zone.zone));
    finding_help(finding, "%s", help);
}

static void act_fault(const Judge *judge, RuleId rule, const PlanInjection *injection, const Act *act,
                      const char *help)
{
    Finding *finding = judge_add(judge, rule, 0, injection, injection->order->when.at.place);
    finding_fact(finding, "%s in %s", local_text(judge->arena, act->wanted), zone_name(judge->plan->zone));
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
    finding_fact(finding, "%s in %s: %s", local_text(judge->arena, there), zone_name(judge->plan->zone), row->what);
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
        finding_fact(finding, "from %s to %s, %s", local_text(judge->arena, change_before(injection->change)),
                     local_text(judge->arena, change_after(injection->change)),
                     injection->change_later       ? "between the injection and the event"
                     : injection->acts->len > 1    ? "during the course"
                                                   : "between the first preparation and the injection");
        finding_help(finding, "nothing needs mending: the change is counted in, and the sheet says so; when you speak "
                              "of it, name clock times and count no hours");
    }
}
