/* plan_losses: what stays in syringe and needles, and what it costs the dose or the container. */
#include "plan/parts.h"

static Rational none(void) { return rational_make(0, 1); }

static Rational space_of(const Amount *dead_space)
{
    return PRESENT(*dead_space) ? quantity_in(dead_space->quantity, UNIT_mL).number : none();
}

static Rational of_needle(const Needle *needle) { return needle ? space_of(&needle->dead_space) : none(); }

static Rational at_least_none(Rational volume)
{
    return rational_ok(volume) && rational_compare(volume, none()) < 0 ? none() : volume;
}

gboolean plan_empties_needle(const Plan *plan, const PlanInjection *injection)
{
    const YesNoChoice *emptied = &plan->clinic->preparation.empty_filling_needle;
    return PRESENT(*emptied) && emptied->value == YesNo_YES && plan_needle_changes(injection);
}

/* A measured dose stands on its line when a new needle is put on, and fills that needle out of
 * itself; what was brought back from the filling needle makes up for it.  Of all that is drawn
 * up, what the filling needle holds goes away with it.  A needle that stays on was filled before
 * the line was set, and what stays in the nozzle was never counted. */
static Rational lost(const Plan *plan, const PlanInjection *injection)
{
    gboolean emptied = plan_empties_needle(plan, injection);
    if (!plan_needle_changes(injection))
        return none();
    Rational filling = of_needle(injection->drawing_needle), put_on = of_needle(injection->injecting_needle);
    if (plan_gives_all(injection))
        return emptied ? none() : filling;
    return emptied ? at_least_none(rational_sub(put_on, filling)) : put_on;
}

/* Out of the container goes the dose and what fills nozzle and needle while it is drawn up. */
static Rational taken(const PlanInjection *injection)
{
    Rational rest = injection->syringe ? space_of(&injection->syringe->dead_space) : none();
    if (!plan_has_fixed_needle(injection))
        rest = rational_add(rest, of_needle(injection->drawing_needle));
    return rational_add(injection->volume_ml, rest);
}

void plan_losses(const Plan *plan, PlanInjection *injection)
{
    injection->lost_ml = injection->taken_ml = RATIONAL_OVERFLOW;
    if (!rational_ok(injection->volume_ml) || (injection->way != WAY_POWDER && injection->way != WAY_READY))
        return;
    injection->lost_ml = lost(plan, injection);
    if (!plan_gives_all(injection))
        injection->taken_ml = taken(injection);
}
