/* rules_offset: how far from the event each kind of injection lies, and on which side. */
#include <string.h>

#include "rules/checks.h"

#define MINUTE 60
#define DAY_MINUTES 1440
#define NEAR 72          /* hours before the event: what is given earlier is seldom a trigger */
#define WIDEST_TRIGGER 2 /* hours from the earliest minute to the latest; our own choice, no source */
#define WIDEST_DAILY 4   /* the same for the daily doses of a course: 2 h either side (sources.csv TT30) */
#define REACH 30         /* minutes that a window may pass the published hours by; our own choice, no source */
#define PAIR_USUAL 12    /* hours between the two injections of a double trigger; published are 0 and 6 (TT13) */
#define PAIR_MOST 24

static Rational hours(gint64 count) { return rational_make(count * 60, 1); }

static gboolean beyond(Rational value, Rational least, Rational most)
{
    return rational_compare(value, least) < 0 || rational_compare(value, most) > 0;
}

/* ---- what a medicine is for ---- */

typedef enum Use { USE_UNKNOWN, USE_TRIGGER, USE_AGONIST, USE_ANTAGONIST, USE_STIMULATION, USE_LUTEAL } Use;

static Use use_of(const PlanInjection *injection)
{
    static const struct { const char *words; Use use; } uses[] = {
#define USE(words, use) {words, USE_##use},
#include "rules/limits.def"
    };
    if (!injection->medicine || !PRESENT(injection->medicine->generic))
        return USE_UNKNOWN;
    g_autofree char *generic = g_ascii_strdown(injection->medicine->generic.text, -1);
    for (gsize i = 0; i < G_N_ELEMENTS(uses); i++)
        if (strstr(generic, uses[i].words))
            return uses[i].use;
    return USE_UNKNOWN;
}

static gboolean single(const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    return PRESENT(*when) && (when->kind != TIMING_CALENDAR || when->days < 2);
}

static gboolean may_trigger(const PlanInjection *injection)
{
    Use use = use_of(injection);
    return single(injection) && (use == USE_UNKNOWN || use == USE_TRIGGER || use == USE_AGONIST);
}

/* ---- the range of an event ---- */

typedef struct Range {
    const char *event;
    Rational usual_least, usual_most, least, most; /* minutes before the event */
    gint64 widest; /* hours of a window */
    const Span *house; /* NULL: the clinic has no limits of its own */
} Range;

/* FALSE for an event of which no source gives hours, or whose hours of the clinic could not be read. */
static gboolean range_of(const Judge *judge, Range *out)
{
    static const struct { Anchor anchor; int usual_least, usual_most, least, most; } ranges[] = {
#define OFFSET(anchor, usual_least, usual_most, least, most, source) \
    {Anchor_##anchor, usual_least, usual_most, least, most},
#include "rules/limits.def"
    };
    const AnchorChoice *anchor = &judge->plan->protocol->anchor;
    const Span *house = &judge->plan->clinic->limits.trigger;
    for (gsize i = 0; PRESENT(*anchor) && i < G_N_ELEMENTS(ranges); i++) {
        if (ranges[i].anchor != anchor->value)
            continue;
        gboolean collection = anchor->value == Anchor_COLLECTION;
        if (collection && UNREAD(*house))
            return FALSE;
        gboolean own = collection && PRESENT(*house);
        *out = (Range){choice_word(anchor->value),
                       own ? quantity_base(house->from) : hours(ranges[i].usual_least),
                       own ? quantity_base(house->until) : hours(ranges[i].usual_most),
                       hours(ranges[i].least), hours(ranges[i].most),
                       collection ? WIDEST_TRIGGER : WIDEST_DAILY, own ? house : NULL};
        return TRUE;
    }
    return FALSE;
}

void rules_trigger_bounds(Quantity *least, Quantity *most)
{
#define OFFSET(anchor, usual_least, usual_most, lowest, highest, source) \
    if (Anchor_##anchor == Anchor_COLLECTION) {                          \
        *least = quantity_make(lowest, 1, UNIT_h);                       \
        *most = quantity_make(highest, 1, UNIT_h);                       \
    }
#include "rules/limits.def"
}

static gboolean is_trigger(const PlanInjection *injection)
{
    return may_trigger(injection) && rational_ok(injection->before_anchor) && injection->before_anchor.num > 0;
}

/* One injection that the protocol itself puts behind the event.  After a collection only
 * luteal support is expected; after the others a trigger alone is out of place. */
static gboolean after_event(const Judge *judge, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    Use use = use_of(injection);
    gboolean collection = judge->plan->protocol->anchor.value == Anchor_COLLECTION;
    if (!single(injection) || use == USE_LUTEAL || (!collection && use != USE_TRIGGER && use != USE_AGONIST))
        return FALSE;
    if (when->kind == TIMING_CALENDAR)
        return when->day > 0;
    return rational_ok(injection->before_anchor) && injection->before_anchor.num < 0;
}

static void say_after(const Judge *judge, const PlanInjection *injection, const Range *range)
{
    Finding *finding = judge_add(judge, RULE_offset_outside_practice, SEVERITY_WARNING, injection,
                                 injection->order->when.at.place);
    finding_fact(finding, "it comes after %s, so it is no trigger", range->event);
    finding_help(finding, injection->order->when.kind == TIMING_CALENDAR
                              ? "say a day before it, as \"day -2\", if that is meant, or accept it with the reason"
                              : "say \"before\" in it if that is meant, or accept it with the reason");
}

void check_offset_outside_practice(const Judge *judge)
{
    Range range;
    if (!range_of(judge, &range))
        return;
    EACH_INJECTION(judge, injection) {
        Rational before = injection->before_anchor;
        if (after_event(judge, injection))
            say_after(judge, injection, &range);
        if (!is_trigger(injection) || !beyond(before, range.usual_least, range.usual_most))
            continue;
        gboolean far = beyond(before, range.least, range.most);
        Finding *finding = judge_add(judge, RULE_offset_outside_practice, far ? SEVERITY_ERROR : SEVERITY_WARNING,
                                     injection, injection->order->when.at.place);
        finding_fact(finding, "%s before %s; usual are %s to %s, accepted with a reason %s to %s",
                     judge_hours(judge, before), range.event, judge_hours(judge, range.usual_least),
                     judge_hours(judge, range.usual_most), judge_hours(judge, range.least),
                     judge_hours(judge, range.most));
        if (range.house)
            finding_note(finding, range.house->at.place, "the clinic's own limits");
        finding_help(finding, far ? "correct the hours" : "correct the hours, or accept them with the reason");
    }
}

/* Counted from a course: cannot_be_shown speaks. */
static gboolean from_course(const PlanInjection *injection)
{
    const PlanInjection *other = injection->counts_from;
    return other && other->order->when.kind == TIMING_CALENDAR && other->order->when.days > 1;
}

/* By the clock, or by way of an injection by the clock: the hours are known for a person only. */
static gboolean known_for_person(const Judge *judge, const PlanInjection *injection)
{
    return may_trigger(injection) && injection->timed && !rational_ok(injection->before_anchor) &&
           !after_event(judge, injection) && !from_course(injection) &&
           (use_of(injection) == USE_TRIGGER || injection->offset_minutes <= NEAR * 60);
}

void check_offset_for_person(const Judge *judge)
{
    Range range;
    if (!range_of(judge, &range))
        return;
    EACH_INJECTION(judge, injection) {
        Rational real = rational_make(injection->offset_minutes, 1);
        if (!known_for_person(judge, injection) || !beyond(real, range.usual_least, range.usual_most))
            continue;
        gboolean after = real.num <= 0, late = !after && rational_compare(real, range.least) < 0;
        gboolean early = rational_compare(real, range.most) > 0 && use_of(injection) != USE_UNKNOWN;
        Finding *finding = judge_add(judge, RULE_offset_for_person, late || early ? SEVERITY_ERROR : SEVERITY_WARNING,
                                     injection, injection->order->when.at.place);
        if (after)
            finding_fact(finding, "it comes after %s, so it is no trigger", range.event);
        else
            finding_fact(finding, "%s before %s; usual are %s to %s, accepted with a reason %s to %s",
                         judge_hours(judge, real), range.event, judge_hours(judge, range.usual_least),
                         judge_hours(judge, range.usual_most), judge_hours(judge, range.least),
                         judge_hours(judge, range.most));
        finding_note(finding, judge->plan->patient->anchor.clock.at.place, "the event");
        finding_help(finding, late    ? "ask the physician for this person's hour: the eggs may not be ready"
                              : early ? "ask the physician for this person's hour: the eggs may be gone"
                                      : "count it from the event, or accept it with the reason");
    }
}

/* ---- windows ---- */

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

/* A window is no wider than this; TRUE when it was told. */
static Finding *too_wide(const Judge *judge, const PlanInjection *injection, gint64 widest)
{
    const Window *window = &injection->order->window;
    Rational whole = rational_add(quantity_base(window->before), quantity_base(window->after));
    if (rational_ok(whole) && rational_compare(whole, hours(widest)) <= 0)
        return NULL;
    Finding *finding = judge_add(judge, RULE_window_too_wide, 0, injection, window->at.place);
    if (rational_ok(whole))
        finding_fact(finding, "it is %s wide from the earliest minute to the latest; %s is the most that is usual",
                     judge_hours(judge, whole), judge_hours(judge, hours(widest)));
    finding_help(finding, "let it be %s either side at most, or accept it with the reason",
                 judge_hours(judge, rational_make(widest * 30, 1)));
    return finding;
}

/* Each of its minutes is still a good one. */
static void reaches_too_far(const Judge *judge, const PlanInjection *injection, const Range *range, Finding *finding)
{
    const Window *window = &injection->order->window;
    Rational earliest = rational_add(injection->before_anchor, quantity_base(window->before));
    Rational latest = rational_sub(injection->before_anchor, quantity_base(window->after));
    Rational least = rational_sub(range->least, rational_make(REACH, 1));
    Rational most = rational_add(range->most, rational_make(REACH, 1));
    gboolean told = finding != NULL;
    if (!rational_ok(earliest) || !rational_ok(latest) || latest.num < 0 ||
        (!beyond(earliest, least, most) && !beyond(latest, least, most)))
        return;
    if (!told)
        finding = judge_add(judge, RULE_window_too_wide, 0, injection, window->at.place);
    finding_fact(finding, "it reaches from %s to %s before %s; in practice it stays between %s and %s",
                 judge_hours(judge, earliest), judge_hours(judge, latest), range->event,
                 judge_hours(judge, range->most), judge_hours(judge, range->least));
    finding_note(finding, injection->order->when.at.place, "the time that it lies round");
    if (!told)
        finding_help(finding, "shorten the side that reaches too far, or accept it with the reason");
}

void check_window_too_wide(const Judge *judge)
{
    Range range;
    gboolean ranged = range_of(judge, &range);
    EACH_INJECTION(judge, injection) {
        const Window *window = &injection->order->window;
        if (!PRESENT(*window) || window->exact)
            continue;
        gboolean trigger = ranged && (is_trigger(injection) ||
                                      (single(injection) && use_of(injection) == USE_TRIGGER));
        Finding *finding = too_wide(judge, injection, trigger ? range.widest : WIDEST_DAILY);
        if (ranged && is_trigger(injection))
            reaches_too_far(judge, injection, &range, finding);
    }
}

/* ---- injections beside one another ---- */

/* Where an act lies, on one of three scales that cannot be compared with each other. */
typedef struct Spot {
    enum { SPOT_UNKNOWN, SPOT_INSTANT, SPOT_CLOCK, SPOT_ELAPSED } scale;
    gint64 minute;
} Spot;

static Spot spot_of(const PlanInjection *injection, gboolean last)
{
    const Timing *when = &injection->order->when;
    if (!PRESENT(*when))
        return (Spot){SPOT_UNKNOWN, 0};
    if (injection->timed) {
        const Act *act = g_ptr_array_index(injection->acts, last ? injection->acts->len - 1 : 0);
        return (Spot){SPOT_INSTANT, act->at.instant / MINUTE};
    }
    if (when->kind == TIMING_CALENDAR)
        return (Spot){SPOT_CLOCK, (gint64)(when->day + (last ? MAX(1, when->days) - 1 : 0)) * DAY_MINUTES +
                                      when->minute};
    if (rational_ok(injection->before_anchor))
        return (Spot){SPOT_ELAPSED, -rational_floor(injection->before_anchor)};
    return (Spot){SPOT_UNKNOWN, 0};
}

static gboolean comparable(Spot a, Spot b) { return a.scale == b.scale && a.scale != SPOT_UNKNOWN; }

/* One of the two injections of a trigger: near the event, or of a kind that is nothing else. */
static gboolean of_trigger(const Judge *judge, const PlanInjection *injection)
{
    Use use = use_of(injection);
    if (!single(injection) || after_event(judge, injection) || (use != USE_TRIGGER && use != USE_AGONIST))
        return FALSE;
    const Timing *when = &injection->order->when;
    gint64 before = injection->timed                       ? injection->offset_minutes
                    : rational_ok(injection->before_anchor) ? rational_floor(injection->before_anchor)
                    : when->kind == TIMING_CALENDAR         ? -(gint64)when->day * DAY_MINUTES
                                                            : 0;
    return before > 0 && (use == USE_TRIGGER || before <= NEAR * 60 + PAIR_MOST * 60);
}

static void judge_pair(const Judge *judge, const PlanInjection *first, const PlanInjection *second)
{
    Spot a = spot_of(first, FALSE), b = spot_of(second, FALSE);
    gint64 apart = ABS(a.minute - b.minute);
    if (!comparable(a, b) || apart <= PAIR_USUAL * 60)
        return;
    Finding *finding = judge_add(judge, RULE_triggers_apart, apart > PAIR_MOST * 60 ? SEVERITY_ERROR
                                                                                    : SEVERITY_WARNING,
                                 second, second->order->when.at.place);
    finding_fact(finding, "%s and %s lie %s apart; at most %s are usual", first->order->name.text,
                 second->order->name.text, judge_hours(judge, rational_make(apart, 1)),
                 judge_hours(judge, hours(PAIR_USUAL)));
    finding_note(finding, first->order->when.at.place, "the time of %s", first->order->name.text);
    finding_help(finding, apart > PAIR_MOST * 60 ? "correct the day or the hours of one of them"
                                                 : "correct one of them, or accept it with the reason");
}

void check_triggers_apart(const Judge *judge)
{
    Range range;
    const PlanInjection *before = NULL;
    if (!range_of(judge, &range))
        return;
    EACH_INJECTION(judge, injection) {
        if (!of_trigger(judge, injection) || !PRESENT(injection->order->name))
            continue;
        if (before)
            judge_pair(judge, before, injection);
        before = injection;
    }
}

static void judge_stimulation(const Judge *judge, const PlanInjection *stimulation, const PlanInjection *trigger)
{
    Spot last = spot_of(stimulation, TRUE), at = spot_of(trigger, FALSE);
    if (!comparable(last, at) || last.minute < at.minute)
        return;
    Finding *finding = judge_add(judge, RULE_stimulation_after_trigger, 0, stimulation,
                                 stimulation->order->when.at.place);
    finding_fact(finding, last.minute == at.minute ? "its last dose is given with %s"
                                                   : "its last dose comes after %s", trigger->order->name.text);
    finding_note(finding, trigger->order->when.at.place, "the trigger's time");
    finding_help(finding, "let it end before the trigger: fewer days, or an earlier first one");
}

void check_stimulation_after_trigger(const Judge *judge)
{
    Range range;
    const PlanInjection *trigger = NULL;
    if (!range_of(judge, &range))
        return;
    EACH_INJECTION(judge, injection) {
        Spot now = spot_of(injection, FALSE), first = trigger ? spot_of(trigger, FALSE) : now;
        if (of_trigger(judge, injection) && PRESENT(injection->order->name) &&
            (!trigger || (comparable(now, first) && now.minute < first.minute)))
            trigger = injection;
    }
    EACH_INJECTION(judge, injection)
        if (trigger && use_of(injection) == USE_STIMULATION)
            judge_stimulation(judge, injection, trigger);
}

/* The first dose stands before the event: known from the protocol, or for this person. */
static gboolean begins_before(const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    if (injection->timed)
        return injection->offset_minutes > 0 && injection->done == 0;
    if (rational_ok(injection->before_anchor))
        return injection->before_anchor.num > 0;
    return PRESENT(*when) && when->kind == TIMING_CALENDAR && when->day < 0;
}

void check_luteal_before_event(const Judge *judge)
{
    Range range;
    if (!range_of(judge, &range))
        return;
    EACH_INJECTION(judge, injection) {
        if (use_of(injection) != USE_LUTEAL || !begins_before(injection))
            continue;
        Finding *finding = judge_add(judge, RULE_luteal_before_event, 0, injection, injection->order->when.at.place);
        finding_fact(finding, "%s supports the time after %s, and this begins before it",
                     injection->medicine->generic.text, range.event);
        finding_help(finding, "let it begin after %s, as \"day +1\"", range.event);
    }
}
