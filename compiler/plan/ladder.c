/* plan_ladder: the window and the preparation, each with its clock time.  Whatever is
 * asked of the person stands before the injection; nothing is printed for midnight. */
#include "plan/parts.h"

#define MINUTE 60
#define CALL_AHEAD 60        /* minutes between the last call and the start: time to act on it */
#define EVENING (21 * 60)    /* when the alarms are set for a night; common practice, no source */
#define BEDTIME (22 * 60)
#define MORNING (6 * 60)
#define LATEST_BACK 4        /* days; one more than two zones can lie apart with the hours of a day */

/* ---- midnight is never printed ---- */

static Moment beside(const Plan *plan, Moment moment, int minutes)
{
    return moment.local.minute == 0 ? plan_moment(plan, moment.instant + minutes * MINUTE) : moment;
}

/* A time that must not come later: 11:59 pm instead. */
static Moment at_latest(const Plan *plan, Moment moment) { return beside(plan, moment, -1); }

/* A time that must not come earlier: 12:01 am instead. */
Moment plan_not_before(const Plan *plan, Moment moment) { return beside(plan, moment, 1); }

static gint64 wall_minutes(LocalTime local) { return (gint64)local.day * 1440 + local.minute; }

static LocalTime wall_clock(gint64 minutes) { return (LocalTime){(Day)(minutes / 1440), (int)(minutes % 1440)}; }

/* So many minutes after the act.  Of a course the clock time that holds on every day is
 * meant: the rules judge whether it does on the day of a change. */
static Moment from_act(const Plan *plan, const PlanInjection *injection, gint64 minutes)
{
    const Act *act = plan_first_act(injection);
    Moment moment = plan_moment(plan, act->at.instant + minutes * MINUTE);
    if (injection->acts->len - injection->done < 2)
        return moment;
    Instant instants[2];
    LocalTime local = wall_clock(wall_minutes(act->at.local) + minutes);
    if (zone_instants(plan->zone, local, instants) > 0)
        return plan_moment(plan, instants[0]);
    moment.local = local;
    return moment;
}

/* A time of the preparation at midnight moves by a minute: which way, the clinic says. */
static Moment to_do(const Plan *plan, const PlanInjection *injection, gint64 minutes_before)
{
    const MidnightChoice *midnight = &plan->clinic->preparation.midnight;
    gboolean later = PRESENT(*midnight) && midnight->value == Midnight_LATER;
    Moment moment = from_act(plan, injection, -minutes_before);
    return later ? plan_not_before(plan, moment) : at_latest(plan, moment);
}

/* ---- the window ---- */

/* An edge is moved inwards only, so that the window never gets wider. */
static void find_window(const Plan *plan, PlanInjection *injection)
{
    const Window *window = &injection->order->window;
    if (!PRESENT(*window))
        return;
    const Act *act = plan_first_act(injection);
    gint64 before = window->exact ? 0 : rational_floor(quantity_base(window->before));
    gint64 after = window->exact ? 0 : rational_floor(quantity_base(window->after));
    injection->windowed = TRUE;
    injection->earliest = before > 0 ? plan_not_before(plan, from_act(plan, injection, -before)) : act->at;
    injection->latest = after > 0 ? at_latest(plan, from_act(plan, injection, after)) : act->at;
}

/* ---- rungs ---- */

static void add_rung(Arena *arena, PlanInjection *injection, RungKind kind, Moment at)
{
    Rung *rung = arena_new0(arena, Rung);
    *rung = (Rung){kind, at};
    guint place = injection->ladder->len;
    while (place > 0) {
        const Rung *before = g_ptr_array_index(injection->ladder, place - 1);
        if (before->at.instant < at.instant || (before->at.instant == at.instant && before->kind <= kind))
            break;
        place--;
    }
    g_ptr_array_insert(injection->ladder, (int)place, rung);
}

/* The instant of a minute of one day on the clinic's clock; FALSE when there is none by then. */
static gboolean desk_minute(const Plan *plan, Day day, const ClockTime *clock, Instant by, Instant *out)
{
    Instant instants[2];
    LocalTime wanted = {day, clock->minute};
    if (zone_instants(plan->clinic->zone.zone, wanted, instants) == 0 || instants[0] > by)
        return FALSE;
    *out = instants[0];
    return TRUE;
}

/* The last day on which the clinic can still be called about what is missing; the kit is
 * checked on the same day. */
static void add_kit_check(Arena *arena, const Plan *plan, PlanInjection *injection, Instant start)
{
    const Preparation *preparation = &plan->clinic->preparation;
    gboolean calls = PRESENT(preparation->call_by);
    Instant by = start - CALL_AHEAD * MINUTE, checked, called = by;
    Day day = zone_local(plan->clinic->zone.zone, start, NULL).day;
    for (int back = 0; PRESENT(preparation->check_kit) && back < LATEST_BACK; back++) {
        if (!desk_minute(plan, day - back, &preparation->check_kit, by, &checked) ||
            (calls && !desk_minute(plan, day - back, &preparation->call_by, by, &called)))
            continue;
        add_rung(arena, injection, RUNG_CHECK_KIT, at_latest(plan, plan_moment(plan, checked)));
        injection->has_call_by = calls;
        injection->call_by = at_latest(plan, plan_moment(plan, called));
        return;
    }
}

/* Nobody gets up to set an alarm: what falls into the night is set the evening before. */
static Moment by_day(const Plan *plan, Moment at)
{
    LocalTime evening = {at.local.day - (at.local.minute < MORNING), EVENING};
    Instant instants[2];
    gboolean night = at.local.minute >= BEDTIME || at.local.minute < MORNING;
    return night && zone_instants(plan->zone, evening, instants) > 0 ? plan_moment(plan, instants[0]) : at;
}

static const Rung *rung_at(const PlanInjection *injection, Instant at)
{
    for (guint i = 0; i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        if (rung->at.instant == at)
            return rung;
    }
    return NULL;
}

#define APART 5 /* minutes between checking the kit and setting the alarms */

/* Behind the other rungs, so that it can make way for them: a little after the kit is
 * checked, a minute before anything else. */
static void add_alarms(Arena *arena, const Plan *plan, PlanInjection *injection, Instant start)
{
    gint64 minutes = plan_minutes(&plan->clinic->preparation.alarms);
    if (minutes < 0)
        return;
    Moment at = by_day(plan, plan_moment(plan, start - minutes * MINUTE));
    const Rung *taken = rung_at(injection, at.instant);
    if (taken && taken->kind == RUNG_CHECK_KIT && at.instant + APART * MINUTE < start)
        at = plan_moment(plan, at.instant + APART * MINUTE);
    while (rung_at(injection, at.instant))
        at = by_day(plan, plan_moment(plan, at.instant - MINUTE));
    add_rung(arena, injection, RUNG_SET_ALARMS, at);
}

/* A cold box must come out of the refrigerator some time before it is handled. */
static const Amount *take_out_of(const PlanInjection *injection)
{
    static const Amount none;
    return injection->medicine ? &injection->medicine->storage.take_out : &none;
}

/* Where nothing is mixed there is less to do; with a filled syringe there is nothing to
 * prepare but oneself. */
static const Amount *start_span(const Plan *plan, const PlanInjection *injection)
{
    const Preparation *preparation = &plan->clinic->preparation;
    gboolean filled = injection->way == WAY_PREFILLED;
    gboolean mixed = injection->way == WAY_POWDER; /* also with a syringe whose needle is fixed to it */
    gboolean ready = filled || injection->way == WAY_PEN || (plan_fills_last(injection) && !mixed);
    if (ready && plan_minutes(&preparation->start_ready) >= 0)
        return &preparation->start_ready;
    return filled && plan_minutes(&preparation->sit) >= 0 ? &preparation->sit : &preparation->start;
}

const Field *plan_start_setting(const Plan *plan, const PlanInjection *injection)
{
    return &start_span(plan, injection)->at;
}

/* ---- mixing ---- */

static gint64 minutes_ahead(const PlanInjection *injection)
{
    const Keep *ahead = &injection->order->mix.ahead;
    if (injection->way != WAY_POWDER || !PRESENT(*ahead) || ahead->at_once)
        return -1;
    return rational_floor(quantity_base(ahead->limit));
}

Rational plan_mixed_for(const Plan *plan, const PlanInjection *injection)
{
    const Window *window = &injection->order->window;
    gint64 start = plan_minutes(start_span(plan, injection));
    if (injection->way != WAY_POWDER || start < 0)
        return RATIONAL_OVERFLOW;
    Rational waits = rational_make(start, 1);
    return PRESENT(*window) && !window->exact ? rational_add(waits, quantity_base(window->after)) : waits;
}

gint64 plan_mix_lead(const Plan *plan, const PlanInjection *injection)
{
    if (injection->has_mix_from)
        return (plan_first_act(injection)->at.instant - injection->mix_from.instant) / MINUTE;
    return MAX(0, plan_minutes(start_span(plan, injection)));
}

/* Counted back from the end of the window, since it may be given as late as that; of a
 * course, the clock time that keeps to it on every day. */
static Moment mix_not_before(const Plan *plan, const PlanInjection *injection, gint64 minutes)
{
    const Act *first = plan_first_act(injection);
    Instant at = plan_window_end(injection, first) - minutes * MINUTE, instants[2];
    gint64 latest = wall_minutes(plan_moment(plan, at).local) - wall_minutes(first->at.local), own = latest;
    for (guint i = injection->done; i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        Moment from = plan_moment(plan, plan_window_end(injection, act) - minutes * MINUTE);
        latest = MAX(latest, wall_minutes(from.local) - wall_minutes(act->at.local));
    }
    LocalTime local = wall_clock(wall_minutes(first->at.local) + latest);
    if (latest != own && zone_instants(plan->zone, local, instants) > 0)
        at = instants[1];
    return plan_not_before(plan, plan_moment(plan, at));
}

/* Nothing is mixed before the kit was checked and what was missing could be told. */
static void add_mixing(Arena *arena, const Plan *plan, PlanInjection *injection, Moment start)
{
    gint64 minutes = minutes_ahead(injection);
    if (injection->way != WAY_POWDER)
        return;
    injection->has_mix_from = TRUE;
    injection->mix_from = minutes < 0 ? start : mix_not_before(plan, injection, minutes);
    if (injection->has_call_by && injection->mix_from.instant < injection->call_by.instant)
        injection->mix_from = injection->call_by;
    if (injection->mix_from.instant < start.instant)
        add_rung(arena, injection, RUNG_MIX, injection->mix_from);
}

/* ---- the whole ladder ---- */

/* No two rungs at one minute: the later keeps its time. */
static void keep_apart(const Plan *plan, PlanInjection *injection)
{
    for (guint i = injection->ladder->len - 1; i-- > 0;) {
        Rung *rung = g_ptr_array_index(injection->ladder, i);
        const Rung *next = g_ptr_array_index(injection->ladder, i + 1);
        if (rung->at.instant >= next->at.instant)
            rung->at = at_latest(plan, plan_moment(plan, next->at.instant - MINUTE));
    }
}

/* What the sheet tells of: a change on the way to the last act, or from one injection to
 * the event, where a person counts hours on the fingers. */
static void find_change(const Plan *plan, PlanInjection *injection)
{
    const Act *last = plan_last_act(injection);
    Instant first = plan_first_act(injection)->at.instant, end = plan_window_end(injection, last);
    if (injection->ladder->len > 0)
        first = MIN(first, ((const Rung *)g_ptr_array_index(injection->ladder, 0))->at.instant);
    injection->clock_change = zone_change(plan->zone, first, end, &injection->change);
    if (injection->clock_change || injection->acts->len > 1)
        return;
    injection->change_later = zone_change(plan->zone, end, plan->anchor, &injection->change);
    injection->clock_change = injection->change_later;
}

static void add_rungs(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    const Preparation *preparation = &plan->clinic->preparation;
    gint64 minutes = plan_minutes(start_span(plan, injection));
    if (plan_minutes(&preparation->start) < 0 || minutes < 0)
        return;
    gboolean filled = injection->way == WAY_PREFILLED;
    gint64 cold = plan_minutes(take_out_of(injection)), sit = plan_minutes(&preparation->sit);
    Moment start = to_do(plan, injection, minutes);
    add_kit_check(arena, plan, injection, start.instant);
    add_mixing(arena, plan, injection, start);
    if (cold >= 0)
        add_rung(arena, injection, RUNG_TAKE_OUT, to_do(plan, injection, cold + (filled ? 0 : minutes)));
    add_rung(arena, injection, RUNG_START, start);
    if (!filled && sit >= 0)
        add_rung(arena, injection, RUNG_SIT, to_do(plan, injection, sit));
    add_rung(arena, injection, RUNG_INJECT, plan_first_act(injection)->at);
    add_alarms(arena, plan, injection, start.instant);
    keep_apart(plan, injection);
}

void plan_ladder(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    if (!injection->timed)
        return;
    find_window(plan, injection);
    add_rungs(arena, plan, injection);
    find_change(plan, injection);
}
