/* plan_parts: the stages of plan_build; for plan*.c only. */
#ifndef PLAN_PARTS_H
#define PLAN_PARTS_H

#include "plan/plan.h"

/* Containers, volumes, strength, marks. */
void plan_amounts(PlanInjection *injection);
/* What stays in syringe and needles; after amounts. */
void plan_losses(const Plan *plan, PlanInjection *injection);
/* Anchor, acts, clock change; orders plan->injections by time. */
void plan_times(Arena *arena, Plan *plan);
/* What each injection counts from, and how far before the anchor that is. */
void plan_references(Arena *arena, Plan *plan);
/* Window, preparation and clock changes; after plan_times. */
void plan_ladder(Arena *arena, const Plan *plan, PlanInjection *injection);
void plan_steps(Arena *arena, const Plan *plan, PlanInjection *injection);
/* Containers over the whole plan; after times. */
void plan_containers(Arena *arena, Plan *plan);
/* Kits of the injections and of the plan; after steps. */
void plan_kits(Arena *arena, Plan *plan);
/* Fills the ledgers; last. */
void plan_ledger(Arena *arena, Plan *plan, const PlanContext *context);


/* The wall clock of an instant in the plan's zone. */
Moment plan_moment(const Plan *plan, Instant instant);
/* The clinic's setting that says how long before the injection the work begins. */
const Field *plan_start_setting(const Plan *plan, const PlanInjection *injection);
/* The same moment, or the minute after it when it reads midnight: for what must not come
 * earlier. */
Moment plan_not_before(const Plan *plan, Moment moment);
/* Minutes of a span of whole minutes, or -1: a sheet shows no seconds. */
gint64 plan_minutes(const Amount *span);
/* The act for which the container was opened that this injection draws from first, of those left. */
const Act *plan_opening_act(const PlanInjection *injection);
/* Until when that may be used: minutes that the shelf gives for use count from its first dose, those
 * of the mixing row from the hour when it may be mixed.  *limit: those of the two that end first, and
 * *at: where they are said. */
Instant plan_vial_until(const Plan *plan, const PlanInjection *injection, Rational *limit, const Field **at);
/* Rubber tops that the steps wipe, in one act. */
int plan_tops(const PlanInjection *injection);
int plan_snaps(const PlanInjection *injection);

#endif
