/* rules_night: one person's night against the clock: too late, too soon, the date of the
 * procedure, the telephone. */
#include <string.h>

#include "rules/checks.h"

#define MINUTE 60
#define DAY_MINUTES 1440
#define MORNING (6 * 60)
#define BEDTIME (22 * 60)

static const Act *first_act(const PlanInjection *injection)
{
    return injection->timed ? plan_first_act(injection) : NULL;
}

static const char *now_text(const Judge *judge)
{
    return judge_time(judge, zone_local(judge->plan->zone, judge->plan->now, NULL));
}

/* A running course may be printed again for the days that are left, and the sheet says so. */
static void course_runs(const Judge *judge, const PlanInjection *injection)
{
    Finding *finding = judge_add(judge, RULE_already_past, SEVERITY_NOTE, injection,
                                 judge->plan->patient->anchor.on.at.place);
    finding_fact(finding, "%u of %u days lie behind; the sheet is for the days from %s", injection->done,
                 injection->acts->len, judge_time(judge, first_act(injection)->at.local));
    finding_help(finding, "is the course running? If not, correct the procedure's date");
}

void check_already_past(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Act *act = first_act(injection);
        if (act && injection->done > 0)
            course_runs(judge, injection);
        if (!act || plan_window_end(injection, act) > judge->plan->now)
            continue;
        LocalTime end = zone_local(judge->plan->zone, plan_window_end(injection, act), NULL);
        Finding *finding = judge_add(judge, RULE_already_past, SEVERITY_ERROR, injection,
                                     judge->plan->patient->anchor.on.at.place);
        if (plan_window_end(injection, act) == act->at.instant)
            finding_fact(finding, "it was at %s exactly; now it is %s", judge_time(judge, act->at.local),
                         now_text(judge));
        else
            finding_fact(finding, "it was at %s, with a window to %s; now it is %s",
                         judge_time(judge, act->at.local), judge_time(judge, end), now_text(judge));
        finding_help(finding, "was it missed? Telephone the physician now. If not, correct the procedure's date or "
                              "clock time");
    }
}

/* The hours of the sheet before mixing begins. */
static const struct {
    ValueId value;
    const char *what;
} early_hours[] = {
    {VALUE_check_kit, "checking the kit"},
    {VALUE_call_by, "calling about a missing thing"},
    {VALUE_set_alarms, "setting the alarms"},
    {VALUE_take_out, "taking the box out of the refrigerator"},
};

static gboolean gone(const Judge *judge, const Value *value)
{
    return value->set && value->moment.instant < judge->plan->now;
}

static gboolean any_gone(const Judge *judge, const PlanInjection *injection)
{
    for (gsize i = 0; i < G_N_ELEMENTS(early_hours); i++)
        if (gone(judge, plan_value(judge->plan, injection, early_hours[i].value)))
            return TRUE;
    return FALSE;
}

static void say_hours_gone(const Judge *judge, const PlanInjection *injection, Finding *finding)
{
    for (gsize i = 0; i < G_N_ELEMENTS(early_hours); i++) {
        const Value *value = plan_value(judge->plan, injection, early_hours[i].value);
        if (gone(judge, value))
            finding_fact(finding, "%s: %s has passed", early_hours[i].what,
                         judge_time(judge, value->moment.local));
    }
}

/* "35 min" from now to then. */
static const char *left(const Judge *judge, Instant then)
{
    return judge_hours(judge, rational_make((then - judge->plan->now) / MINUTE, 1));
}

/* Too late to prepare: before the minute of the injection, or after it with the window open. */
static void no_time_left(const Judge *judge, const PlanInjection *injection, const Act *act, const Value *start)
{
    Finding *finding = judge_add(judge, RULE_too_soon, SEVERITY_ERROR, injection,
                                 judge->plan->patient->anchor.on.at.place);
    Instant end = plan_window_end(injection, act);
    const char *ends = arena_format(judge->arena, "its window ends at %s, in %s",
                                    judge_time(judge, zone_local(judge->plan->zone, end, NULL)),
                                    left(judge, end));
    if (act->at.instant <= judge->plan->now) {
        finding_fact(finding, "the injection was due at %s; now it is %s", judge_time(judge, act->at.local),
                     now_text(judge));
        finding_fact(finding, "%s", ends);
        finding_help(finding, "telephone the physician now, who says whether it is still given and how: a sheet comes "
                              "too late");
        return;
    }
    finding_fact(finding, "the preparation had to start at %s; now it is %s",
                 judge_time(judge, start->moment.local), now_text(judge));
    finding_fact(finding, "the injection is due at %s, in %s%s%s", judge_time(judge, act->at.local),
                 left(judge, act->at.instant), end > act->at.instant ? "; " : "", end > act->at.instant ? ends : "");
    finding_help(finding, "telephone the physician and the person now: the preparation takes %s, and less is left",
                 judge_hours(judge, rational_make((act->at.instant - start->moment.instant) / MINUTE, 1)));
}

void check_too_soon(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Act *act = first_act(injection);
        const Value *start = plan_value(judge->plan, injection, VALUE_start);
        if (!act || !start->set || plan_window_end(injection, act) <= judge->plan->now)
            continue;
        if (gone(judge, start)) {
            no_time_left(judge, injection, act, start);
            continue;
        }
        if (!any_gone(judge, injection))
            continue;
        Finding *finding = judge_add(judge, RULE_too_soon, SEVERITY_WARNING, injection,
                                     judge->plan->patient->anchor.on.at.place);
        say_hours_gone(judge, injection, finding);
        finding_fact(finding, "the preparation starts at %s; now it is %s",
                     judge_time(judge, start->moment.local), now_text(judge));
        finding_help(finding, "make sure by telephone that the person is ready, then accept it");
    }
}

void check_anchor_implausible(const Judge *judge)
{
    const AnchorTime *anchor = &judge->plan->patient->anchor;
    const Procedures *procedures = &judge->plan->clinic->procedures;
    const AnchorChoice *event = &judge->plan->protocol->anchor;
    if (!judge_anchor_readable(judge) || !PRESENT(procedures->days) || !PRESENT(procedures->hours) ||
        (PRESENT(*event) && event->value == Anchor_INTERCOURSE)) /* at home, at any hour */
        return;
    int wanted = Weekdays_MONDAY + (int)day_weekday(anchor->on.day) - MONDAY;
    if (!list_has(&procedures->days, wanted)) {
        Finding *finding = judge_add(judge, RULE_anchor_implausible, 0, NULL, anchor->on.at.place);
        finding_fact(finding, "it is a %s", weekday_name(day_weekday(anchor->on.day)));
        finding_note(finding, procedures->days.at.place, "the clinic's days");
        finding_help(finding, "check the date, or accept it when it is so");
    } else if (!clock_span_holds(&procedures->hours, anchor->clock.minute)) {
        Finding *finding = judge_add(judge, RULE_anchor_implausible, 0, NULL, anchor->clock.at.place);
        finding_fact(finding, "it is at %s", judge_clock(judge, anchor->clock.minute));
        finding_note(finding, procedures->hours.at.place, "the clinic's hours");
        finding_help(finding, "check the clock time (am or pm?), or accept it when it is so");
    }
}

void check_anchor_far(const Judge *judge)
{
    if (!judge->plan->anchor_known)
        return;
    Instant first = judge->plan->anchor; /* a course may lead up to it */
    EACH_INJECTION(judge, injection)
        if (first_act(injection))
            first = MIN(first, first_act(injection)->at.instant);
    gint64 ahead = first - judge->plan->now;
    if (ahead <= 7 * (gint64)DAY_MINUTES * MINUTE)
        return;
    Finding *finding = judge_add(judge, RULE_anchor_far, 0, NULL, judge->plan->patient->anchor.on.at.place);
    finding_fact(finding, "it is on %s; now it is %s",
                 judge_time(judge, zone_local(judge->plan->zone, judge->plan->anchor, NULL)), now_text(judge));
    finding_help(finding, "check month and year, or accept it when it is so");
}

/* The clinic's hours for kit and calls, on the clock of a person in another zone. */
void check_asked_at_night(const Judge *judge)
{
    static const struct { ValueId value; const char *what; } asked[] = {
        {VALUE_check_kit, "the kit is checked by"}, {VALUE_call_by, "calls about a missing thing end at"}};
    const ZoneField *zone = &judge->plan->patient->zone;
    const Preparation *desk = &judge->plan->clinic->preparation;
    const ClockSpan awake = {.from = MORNING, .until = BEDTIME};
    EACH_INJECTION(judge, injection) {
        Finding *finding = NULL;
        for (gsize i = 0; i < G_N_ELEMENTS(asked); i++) {
            const Value *value = plan_value(judge->plan, injection, asked[i].value);
            if (!value->set || clock_span_holds(&awake, value->moment.local.minute))
                continue;
            finding = finding ? finding : judge_add(judge, RULE_asked_at_night, 0, injection,
                                                    PRESENT(*zone) ? zone->at.place : desk->call_by.at.place);
            finding_fact(finding, "%s %s, in %s", asked[i].what, judge_time(judge, value->moment.local),
                         zone_name(judge->plan->zone));
        }
        if (!finding)
            continue;
        finding_note(finding, desk->call_by.at.place, "the clinic's hours");
        finding_help(finding, "agree by telephone when she checks the kit and calls, then accept it");
    }
}

void check_zone_differs(const Judge *judge)
{
    const Patient *patient = judge->plan->patient;
    if (!PRESENT(patient->zone) || !PRESENT(judge->plan->clinic->zone) ||
        strcmp(zone_name(patient->zone.zone), zone_name(judge->plan->clinic->zone.zone)) == 0)
        return;
    Finding *finding = judge_add(judge, RULE_zone_differs, 0, NULL, patient->zone.at.place);
    finding_fact(finding, "the person in %s, the clinic in %s", zone_name(patient->zone.zone),
                 zone_name(judge->plan->clinic->zone.zone));
    if (judge->plan->anchor_known) {
        LocalTime there = zone_local(patient->zone.zone, judge->plan->anchor, NULL);
        if (there.day != patient->anchor.on.day)
            finding_fact(finding, "the event falls on %s where the person is; day 0 is the clinic's date",
                         judge_time(judge, there));
    }
    finding_note(finding, judge->plan->clinic->zone.at.place, "the clinic's zone");
    finding_help(finding, "ask where the person will be that night, then accept it");
}

static gboolean answered(const Phone *phone, int minute)
{
    if (!PRESENT(phone->number) || !PRESENT(phone->hours))
        return FALSE;
    return clock_span_holds(&phone->hours, minute);
}

static gboolean always_answered(const Phone *phone)
{
    return PRESENT(phone->number) && PRESENT(phone->hours) && phone->hours.all_day;
}

/* What is written of it cannot be read, and that is told already. */
static gboolean unread(const Phone *phone)
{
    return (!PRESENT(phone->number) && !ABSENT(phone->number)) || (!PRESENT(phone->hours) && !ABSENT(phone->hours));
}

/* When the hands are washed for the act of an injection given at this instant. */
static Instant begins(const PlanInjection *injection, Instant given)
{
    Instant lead = 0;
    Instant first = ((const Act *)g_ptr_array_index(injection->acts, 0))->at.instant;
    for (guint i = 0; i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        if (rung->kind == RUNG_START)
            lead = first - rung->at.instant;
    }
    return given - MAX(lead, 0);
}

/* When the window round an act ends. */
static Instant closes(const PlanInjection *injection, Instant given)
{
    const Window *window = &injection->order->window;
    Rational after = PRESENT(*window) && !window->exact ? quantity_base(window->after) : rational_make(0, 1);
    return given + (rational_ok(after) ? rational_floor(after) * MINUTE : 0);
}

/* The first minute when nobody answers, of an act itself, then of the work from its beginning to the end of the
 * window: she may have to call at each of them.  Of a course each day, since the clocks of clinic and person may
 * change on different nights.  Either of the two phones will do. */
static gboolean uncovered(const Judge *judge, const PlanInjection *injection, const Phone *one, const Phone *other,
                          LocalTime *there, gboolean *is_act)
{
    const Zone *zone = judge->plan->clinic->zone.zone;
    if (always_answered(one) || always_answered(other))
        return FALSE;
    for (guint i = injection->done; injection->timed && i < injection->acts->len; i++) {
        Instant given = ((const Act *)g_ptr_array_index(injection->acts, i))->at.instant;
        Instant last = closes(injection, given);
        *there = zone_local(zone, given, NULL);
        *is_act = !answered(one, there->minute) && !answered(other, there->minute);
        if (*is_act)
            return TRUE;
        for (Instant at = begins(injection, given); at <= last; at += MINUTE) {
            *there = zone_local(zone, at, NULL);
            if (!answered(one, there->minute) && !answered(other, there->minute))
                return TRUE;
        }
    }
    return FALSE;
}

static void say_uncovered(const Judge *judge, Finding *finding, LocalTime there, gboolean is_act)
{
    if (is_act)
        finding_fact(finding, "the injection is at %s, clinic time", judge_time(judge, there));
    else
        finding_fact(finding, "nobody answers at %s, clinic time, between the beginning of the work and the end of "
                              "the window", judge_time(judge, there));
}

void check_second_not_covered(const Judge *judge)
{
    const Phones *phones = &judge->plan->clinic->phones;
    const Phone *second = &phones->second;
    if (!PRESENT(judge->plan->clinic->zone) || ABSENT(*phones) || unread(second))
        return;
    EACH_INJECTION(judge, injection) {
        LocalTime there;
        gboolean is_act;
        if (!uncovered(judge, injection, second, second, &there, &is_act))
            continue;
        Finding *finding = judge_add(judge, RULE_second_not_covered, 0, injection,
                                     PRESENT(second->hours) ? second->hours.at.place : phones->at.place);
        say_uncovered(judge, finding, there, is_act);
        finding_help(finding, "under phones add \"second: {number: ..., hours: at any hour, answers: ...}\" and "
                              "\"second_after: 5 min\"");
    }
}

void check_night_not_covered(const Judge *judge)
{
    const Phones *phones = &judge->plan->clinic->phones;
    if (!PRESENT(phones->night.hours) || !PRESENT(judge->plan->clinic->zone) || unread(&phones->night) ||
        unread(&phones->day))
        return;
    EACH_INJECTION(judge, injection) {
        LocalTime there;
        gboolean is_act;
        if (!uncovered(judge, injection, &phones->night, &phones->day, &there, &is_act))
            continue;
        Finding *finding = judge_add(judge, RULE_night_not_covered, 0, injection, phones->night.hours.at.place);
        say_uncovered(judge, finding, there, is_act);
        finding_note(finding, injection->order->when.at.place, "the injection's time");
        finding_help(finding, "have the telephone answered then, or move the injection");
    }
}

/* ---- two injections of one evening ---- */

/* An act, and where it stands: of which injection, the how manieth of it. */
typedef struct {
    gint64 instant;
    guint injection, act;
} Given;

/* An act whose preparation begins before another injection's act is given. */
typedef struct {
    Given earlier, later;
} Overlap;

static int in_time(gconstpointer a, gconstpointer b)
{
    const Given *one = a, *other = b;
    return (one->instant > other->instant) - (one->instant < other->instant);
}

static int in_order(gconstpointer a, gconstpointer b)
{
    const Overlap *one = a, *other = b;
    const guint ours[] = {one->earlier.injection, one->later.injection, one->earlier.act, one->later.act};
    const guint theirs[] = {other->earlier.injection, other->later.injection, other->earlier.act, other->later.act};
    for (guint i = 0; i < G_N_ELEMENTS(ours); i++)
        if (ours[i] != theirs[i])
            return ours[i] < theirs[i] ? -1 : 1;
    return 0;
}

static GArray *acts_in_time(const Plan *plan)
{
    GArray *acts = g_array_new(FALSE, FALSE, sizeof(Given));
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        for (guint j = 0; injection->timed && j < injection->acts->len; j++) {
            const Act *act = g_ptr_array_index(injection->acts, j);
            const Given given = {act->at.instant, i, j};
            g_array_append_val(acts, given);
        }
    }
    g_array_sort(acts, in_time);
    return acts;
}

/* Each act looks back over what is given while it is prepared, and no farther: a protocol of
 * thousands would else take the square of their number. */
static GArray *overlaps_of(const Plan *plan)
{
    g_autoptr(GArray) acts = acts_in_time(plan);
    GArray *overlaps = g_array_new(FALSE, FALSE, sizeof(Overlap));
    for (guint i = 0; i < acts->len; i++) {
        const Given later = g_array_index(acts, Given, i);
        gint64 from = begins(g_ptr_array_index(plan->injections, later.injection), later.instant);
        for (guint j = i; j > 0 && g_array_index(acts, Given, j - 1).instant > from; j--) {
            const Given earlier = g_array_index(acts, Given, j - 1);
            const Overlap overlap = {earlier, later};
            if (earlier.injection != later.injection && earlier.instant < later.instant)
                g_array_append_val(overlaps, overlap);
        }
    }
    g_array_sort(overlaps, in_order);
    return overlaps;
}

static void tell_overlap(const Judge *judge, const Overlap *overlap)
{
    const PlanInjection *earlier = g_ptr_array_index(judge->plan->injections, overlap->earlier.injection);
    const PlanInjection *later = g_ptr_array_index(judge->plan->injections, overlap->later.injection);
    const Act *given = g_ptr_array_index(earlier->acts, overlap->earlier.act);
    const Act *next = g_ptr_array_index(later->acts, overlap->later.act);
    Finding *finding = judge_add(judge, RULE_preparations_overlap, 0, later, later->order->when.at.place);
    finding_fact(finding, "%s is due on %s; the preparation for %s on %s begins before", earlier->order->name.text,
                 judge_time(judge, given->at.local), later->order->name.text,
                 judge_time(judge, next->at.local));
    finding_note(finding, earlier->order->when.at.place, "the other injection");
    finding_help(finding, "ask the physician for hours farther apart, or for both together; or accept it with how they "
                          "are kept apart");
}

void check_preparations_overlap(const Judge *judge)
{
    g_autoptr(GArray) overlaps = overlaps_of(judge->plan);
    for (guint i = 0; i < overlaps->len; i++) {
        const Overlap *overlap = &g_array_index(overlaps, Overlap, i);
        const Overlap *before = i > 0 ? overlap - 1 : NULL;
        gboolean told = before && before->earlier.injection == overlap->earlier.injection &&
                        before->later.injection == overlap->later.injection; /* of another day of a course */
        if (!told)
            tell_overlap(judge, overlap);
    }
}
