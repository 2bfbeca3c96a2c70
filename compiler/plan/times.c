/* plan_times: from the anchor to every act, and back.  Elapsed time counts in
 * UTC; clock times count in the zone where the person will be. */
#include <string.h>

#include "plan/parts.h"

#define MINUTE 60

Moment plan_moment(const Plan *plan, Instant instant)
{
    Moment moment = {.instant = instant, .zone = plan->zone};
    moment.local = zone_local(plan->zone, instant, &moment.offset);
    return moment;
}

const Act *plan_first_act(const PlanInjection *injection)
{
    return injection->acts->len > 0 ? g_ptr_array_index(injection->acts, 0) : NULL;
}

const Act *plan_last_act(const PlanInjection *injection)
{
    guint count = injection->acts->len;
    return count > 0 ? g_ptr_array_index(injection->acts, count - 1) : NULL;
}

/* ---- the anchor ---- */

static void find_anchor(Plan *plan)
{
    const AnchorTime *anchor = &plan->patient->anchor;
    if (!PRESENT(anchor->on) || !PRESENT(anchor->clock) || !PRESENT(plan->clinic->zone))
        return;
    Instant instants[2];
    LocalTime local = {anchor->on.day, anchor->clock.minute};
    plan->anchor_count = zone_instants(plan->clinic->zone.zone, local, instants);
    gboolean chosen = PRESENT(anchor->which);
    plan->anchor_known = plan->anchor_count == 1 || (plan->anchor_count == 2 && chosen);
    if (plan->anchor_known)
        plan->anchor = instants[chosen && anchor->which.value == Occurrence_SECOND ? 1 : 0];
}

/* ---- acts ---- */

static void add_act(Arena *arena, PlanInjection *injection, Act act)
{
    Act *kept = arena_new0(arena, Act);
    *kept = act;
    g_ptr_array_add(injection->acts, kept);
}

static gint64 minutes_of(Quantity span)
{
    return rational_floor(quantity_base(span));
}

/* Whole minutes only: a sheet shows no seconds. */
static gboolean in_minutes(Quantity span)
{
    Rational minutes = quantity_base(span);
    return rational_ok(minutes) && minutes.den == 1;
}

static gboolean counts_from_anchor(const Plan *plan, const Timing *when)
{
    return PRESENT(plan->protocol->anchor) && when->from &&
           strcmp(when->from, choice_word(plan->protocol->anchor.value)) == 0;
}

static PlanInjection *injection_named(const Plan *plan, const char *name)
{
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        if (PRESENT(injection->order->name) && strcmp(injection->order->name.text, name) == 0)
            return injection;
    }
    return NULL;
}

/* An act at an elapsed time from a known instant, checked by the way back. */
static void elapsed_act(Arena *arena, const Plan *plan, PlanInjection *injection, Instant from)
{
    const Timing *when = &injection->order->when;
    gint64 seconds = minutes_of(when->offset) * MINUTE;
    Instant at = when->before ? from - seconds : from + seconds;
    Act act = {.exists = TRUE, .at = plan_moment(plan, at)};
    act.wanted = act.at.local;
    Instant both[2];
    act.twice = zone_instants(plan->zone, act.at.local, both) == 2; /* no sheet could say which */
    gint64 day_minutes = (gint64)act.at.local.day * 1440 + act.at.local.minute;
    Instant back = day_minutes * MINUTE - act.at.offset + (when->before ? seconds : -seconds);
    g_assert(back == from - from % MINUTE);
    add_act(arena, injection, act);
    injection->timed = TRUE;
}

static void calendar_acts(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    injection->timed = TRUE;
    for (int i = 0; i < MAX(1, when->days); i++) {
        Act act = {.wanted = {plan->patient->anchor.on.day + when->day + i, when->minute}};
        Instant instants[2];
        int count = zone_instants(plan->zone, act.wanted, instants);
        act.exists = count > 0;
        act.twice = count == 2;
        if (act.exists)
            act.at = plan_moment(plan, instants[0]);
        g_assert(!act.exists || act.at.local.minute == act.wanted.minute);
        injection->timed = injection->timed && count == 1;
        add_act(arena, injection, act);
    }
}

/* TRUE when this pass could time the injection. */
static gboolean time_injection(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    if (injection->acts->len > 0 || !PRESENT(*when))
        return FALSE;
    if (when->kind == TIMING_CALENDAR) {
        calendar_acts(arena, plan, injection);
        return TRUE;
    }
    if (when->kind == TIMING_ELAPSED && !in_minutes(when->offset))
        return FALSE;
    if (when->kind == TIMING_ELAPSED && counts_from_anchor(plan, when)) {
        elapsed_act(arena, plan, injection, plan->anchor);
        injection->from_anchor = TRUE;
        return TRUE;
    }
    const PlanInjection *other = injection_named(plan, when->from);
    const Act *first = other && other != injection ? plan_first_act(other) : NULL;
    if (!first || !other->timed)
        return FALSE;
    injection->from_anchor = other->from_anchor;
    if (when->kind == TIMING_ELAPSED) {
        elapsed_act(arena, plan, injection, first->at.instant);
    } else {
        add_act(arena, injection, *first);
        injection->timed = TRUE;
    }
    return TRUE;
}

/* ---- what follows from the times ---- */

static void relate_to_anchor(const Plan *plan, PlanInjection *injection)
{
    if (!injection->timed)
        return;
    Instant first = plan_first_act(injection)->at.instant;
    Instant last = plan_last_act(injection)->at.instant;
    Instant from = MIN(first, plan->anchor), until = MAX(last, plan->anchor);
    injection->offset_minutes = (plan->anchor - first) / MINUTE;
    injection->clock_change = zone_change(plan->zone, from, until, &injection->change);
}

static int by_time(gconstpointer left, gconstpointer right)
{
    const PlanInjection *a = *(const PlanInjection *const *)left;
    const PlanInjection *b = *(const PlanInjection *const *)right;
    if (a->timed && b->timed) {
        Instant first = plan_first_act(a)->at.instant, second = plan_first_act(b)->at.instant;
        if (first != second)
            return first < second ? -1 : 1;
    }
    return a->number - b->number;
}

static gboolean all_timed(const Plan *plan)
{
    for (guint i = 0; i < plan->injections->len; i++)
        if (!((const PlanInjection *)g_ptr_array_index(plan->injections, i))->timed)
            return FALSE;
    return TRUE;
}

void plan_times(Arena *arena, Plan *plan)
{
    if (!plan->patient)
        return;
    find_anchor(plan);
    if (!plan->anchor_known || !plan->zone)
        return;
    for (gboolean moved = TRUE; moved;) {
        moved = FALSE;
        for (guint i = 0; i < plan->injections->len; i++)
            moved |= time_injection(arena, plan, g_ptr_array_index(plan->injections, i));
    }
    for (guint i = 0; i < plan->injections->len; i++)
        relate_to_anchor(plan, g_ptr_array_index(plan->injections, i));
    if (!all_timed(plan))
        return;
    g_ptr_array_sort(plan->injections, by_time);
    for (guint i = 0; i < plan->injections->len; i++)
        ((PlanInjection *)g_ptr_array_index(plan->injections, i))->number = (int)i + 1;
}

/* ---- the ladder ---- */

static void add_rung(Arena *arena, PlanInjection *injection, RungKind kind, Moment at)
{
    Rung *rung = arena_new0(arena, Rung);
    *rung = (Rung){kind, at};
    guint place = injection->ladder->len;
    while (place > 0) {
        const Rung *before = g_ptr_array_index(injection->ladder, place - 1);
        if (before->at.instant <= at.instant)
            break;
        place--;
    }
    g_ptr_array_insert(injection->ladder, (int)place, rung);
}

static void add_before(Arena *arena, const Plan *plan, PlanInjection *injection, RungKind kind,
                       Instant from, const Amount *span)
{
    if (PRESENT(*span) && in_minutes(span->quantity))
        add_rung(arena, injection, kind,
                 plan_moment(plan, from - minutes_of(span->quantity) * MINUTE));
}

/* The last time that the clinic's clock showed this minute, at least an hour before. */
static gboolean last_clock(const Plan *plan, int minute, Instant before, Instant *out)
{
    const Zone *desk = plan->clinic->zone.zone;
    LocalTime local = zone_local(desk, before, NULL);
    for (int back = 0; back < 3; back++) {
        Instant instants[2];
        LocalTime wanted = {local.day - back, minute};
        if (zone_instants(desk, wanted, instants) > 0 && instants[0] + 60 * MINUTE <= before) {
            *out = instants[0];
            return TRUE;
        }
    }
    return FALSE;
}

/* A cold box must come out of the refrigerator some time before it is handled. */
static const Amount *take_out_of(const PlanInjection *injection)
{
    static const Amount none;
    const Medicine *medicine = injection->medicine;
    return medicine ? &medicine->storage.take_out : &none;
}

/* With a filled syringe there is nothing to prepare but oneself. */
static const Amount *start_span(const PlanInjection *injection, const Preparation *preparation)
{
    gboolean sits = PRESENT(preparation->sit) && in_minutes(preparation->sit.quantity);
    return injection->way == WAY_PREFILLED && sits ? &preparation->sit : &preparation->start;
}

/* A change of the clocks while the person prepares, or within the window, is told too. */
static void change_on_the_way(const Plan *plan, PlanInjection *injection)
{
    const Window *window = &injection->order->window;
    const Rung *first = g_ptr_array_index(injection->ladder, 0);
    Instant last = plan_last_act(injection)->at.instant;
    if (PRESENT(*window) && !window->exact && in_minutes(window->after))
        last += minutes_of(window->after) * MINUTE;
    if (!injection->clock_change)
        injection->clock_change = zone_change(plan->zone, first->at.instant, last, &injection->change);
}

void plan_ladder(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    if (!injection->timed)
        return;
    const Preparation *preparation = &plan->clinic->preparation;
    Instant at = plan_first_act(injection)->at.instant, checked;
    if (!PRESENT(preparation->start) || !in_minutes(preparation->start.quantity))
        return;
    gboolean filled = injection->way == WAY_PREFILLED;
    Instant start = at - minutes_of(start_span(injection, preparation)->quantity) * MINUTE;
    if (PRESENT(preparation->check_kit) &&
        last_clock(plan, preparation->check_kit.minute, start, &checked))
        add_rung(arena, injection, RUNG_CHECK_KIT, plan_moment(plan, checked));
    add_before(arena, plan, injection, RUNG_SET_ALARMS, start, &preparation->alarms);
    add_before(arena, plan, injection, RUNG_TAKE_OUT, filled ? at : start, take_out_of(injection));
    add_rung(arena, injection, RUNG_START, plan_moment(plan, start));
    if (!filled)
        add_before(arena, plan, injection, RUNG_SIT, at, &preparation->sit);
    add_rung(arena, injection, RUNG_INJECT, plan_first_act(injection)->at);
    change_on_the_way(plan, injection);
}
