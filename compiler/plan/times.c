/* plan_times: from the anchor to every act, and back.  Elapsed time counts in
 * UTC; clock times count in the zone where the person will be, and days from the
 * date that the event has at the clinic. */
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
    return injection->acts->len > 0 ? g_ptr_array_index(injection->acts, injection->done) : NULL;
}

const Act *plan_last_act(const PlanInjection *injection)
{
    guint count = injection->acts->len;
    return count > 0 ? g_ptr_array_index(injection->acts, count - 1) : NULL;
}

gint64 plan_minutes(const Amount *span)
{
    Rational minutes = PRESENT(*span) ? quantity_base(span->quantity) : RATIONAL_OVERFLOW;
    return rational_ok(minutes) && minutes.den == 1 ? minutes.num : -1;
}

Instant plan_window_end(const PlanInjection *injection, const Act *act)
{
    const Window *window = &injection->order->window;
    gboolean after = PRESENT(*window) && !window->exact;
    return act->at.instant + (after ? rational_floor(quantity_base(window->after)) * MINUTE : 0);
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

/* An act at an elapsed time from a known instant, checked by the way back. */
static void elapsed_act(Arena *arena, const Plan *plan, PlanInjection *injection, Instant from)
{
    const Timing *when = &injection->order->when;
    gint64 seconds = rational_floor(quantity_base(when->offset)) * MINUTE;
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

/* Of the act so many days behind the first. */
static Day calendar_day(Day event, const Timing *when, int behind) { return event + when->day + behind; }

gboolean plan_starts(const Protocol *protocol, int *days)
{
    *days = G_MAXINT;
    for (guint i = 0; i < protocol->injections.items->len; i++) {
        const Timing *when = &((const Injection *)g_ptr_array_index(protocol->injections.items, i))->when;
        if (!PRESENT(*when) || when->kind != TIMING_CALENDAR)
            return FALSE;
        *days = MIN(*days, (int)calendar_day(0, when, 0));
    }
    return protocol->injections.items->len > 0;
}

static void calendar_acts(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    injection->timed = TRUE;
    for (int i = 0; i < MAX(1, when->days); i++) {
        Act act = {.wanted = {calendar_day(plan->patient->anchor.on.day, when, i), when->minute}};
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

static gboolean whole_minutes(Quantity span)
{
    Rational minutes = quantity_base(span);
    return rational_ok(minutes) && minutes.den == 1;
}

/* Behind what it counts from; what counts in a circle, or from nothing, stays untimed. */
static void time_injection(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    const PlanInjection *other = injection->counts_from;
    if (!PRESENT(*when) || (when->kind == TIMING_ELAPSED && !whole_minutes(when->offset)))
        return;
    if (when->kind == TIMING_CALENDAR) {
        calendar_acts(arena, plan, injection);
        return;
    }
    gboolean anchored = !other && rational_ok(injection->before_anchor);
    const Act *first = other && other->timed ? plan_first_act(other) : NULL;
    if (!anchored && !first)
        return;
    injection->from_anchor = anchored || other->from_anchor;
    if (when->kind == TIMING_ELAPSED) {
        elapsed_act(arena, plan, injection, first ? first->at.instant : plan->anchor);
    } else if (first) {
        add_act(arena, injection, *first);
        injection->timed = TRUE;
    }
}

/* ---- what follows from the times ---- */

/* A running course is told from the first day that is left. */
static void count_done(const Plan *plan, PlanInjection *injection)
{
    guint done = 0;
    if (!injection->timed || plan_window_end(injection, plan_last_act(injection)) <= plan->now)
        return;
    while (plan_window_end(injection, g_ptr_array_index(injection->acts, done)) <= plan->now)
        done++;
    injection->done = done;
}

static void relate_to_anchor(const Plan *plan, PlanInjection *injection)
{
    if (injection->timed)
        injection->offset_minutes = (plan->anchor - plan_first_act(injection)->at.instant) / MINUTE;
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
    for (guint i = 0; i < plan->by_reference->len; i++)
        time_injection(arena, plan, g_ptr_array_index(plan->by_reference, i));
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        count_done(plan, injection);
        relate_to_anchor(plan, injection);
    }
    if (!all_timed(plan))
        return;
    g_ptr_array_sort(plan->injections, by_time);
    for (guint i = 0; i < plan->injections->len; i++)
        ((PlanInjection *)g_ptr_array_index(plan->injections, i))->number = (int)i + 1;
}
