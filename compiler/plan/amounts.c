/* plan_amounts: from the dose ordered to the mark of the syringe, and back. */
#include "plan/parts.h"

static Rational unknown(void) { return RATIONAL_OVERFLOW; }
static Rational whole(gint64 number) { return rational_make(number, 1); }

static Rational millilitres(const Amount *amount)
{
    if (!PRESENT(*amount) || quantity_dimension(amount->quantity) != DIM_VOLUME)
        return unknown();
    return quantity_in(amount->quantity, UNIT_mL).number;
}

static Rational base_of(const Amount *amount)
{
    return PRESENT(*amount) ? quantity_base(amount->quantity) : unknown();
}

/* The dose and the box count in the same kind: both mass or both units. */
static gboolean same_kind(const PlanInjection *injection)
{
    const Amount *dose = &injection->order->dose, *content = &injection->medicine->content;
    return PRESENT(*dose) && PRESENT(*content) &&
           quantity_dimension(dose->quantity) == quantity_dimension(content->quantity);
}

/* A slip in a dose must not fill memory with steps; so many do not hold it, and a rule says so. */
#define MOST_CONTAINERS 1000

/* Containers opened in one act: as ordered, or as many as the dose needs. */
static gint64 containers_of(const PlanInjection *injection)
{
    const Injection *order = injection->order;
    if (PRESENT(order->vials))
        return MIN(order->vials.value, MOST_CONTAINERS);
    if (!ABSENT(order->vials) || !same_kind(injection))
        return 0;
    const Amount *most = &injection->medicine->content, *given = &injection->medicine->deliverable;
    if (PRESENT(*given) && quantity_dimension(given->quantity) == quantity_dimension(most->quantity))
        most = given;
    Rational needed = rational_div(base_of(&order->dose), base_of(most));
    return rational_ok(needed) ? CLAMP(rational_ceiling(needed), 1, MOST_CONTAINERS) : 0;
}

static gboolean routes_allow(const MixingRow *row, const Choice *route)
{
    if (!PRESENT(row->routes) || !PRESENT(*route))
        return TRUE;
    for (guint i = 0; i < row->routes.items->len; i++) {
        const Choice *allowed = g_ptr_array_index(row->routes.items, i);
        if (allowed->value == route->value)
            return TRUE;
    }
    return FALSE;
}

static const MixingRow *row_for(const PlanInjection *injection)
{
    const Amount *add = &injection->order->mix.add;
    if (!PRESENT(*add))
        return NULL;
    for (guint i = 0; i < injection->medicine->mixing.items->len; i++) {
        const MixingRow *row = g_ptr_array_index(injection->medicine->mixing.items, i);
        if (PRESENT(row->add) && quantity_compare(row->add.quantity, add->quantity) == 0 &&
            routes_allow(row, &injection->order->route))
            return row;
    }
    return NULL;
}

gboolean plan_gives_all(const PlanInjection *injection)
{
    return PRESENT(injection->order->dose_is) && injection->order->dose_is.value == DoseIs_WHOLE;
}

/* What the label says results from one vial; unknown when it says nothing. */
static Rational label_volume(const PlanInjection *injection)
{
    const MixingRow *row = injection->row;
    if (!row)
        return unknown();
    if (PRESENT(row->makes))
        return millilitres(&row->makes);
    if (PRESENT(row->strength) &&
        quantity_dimension(row->strength.strength.amount) ==
            quantity_dimension(injection->medicine->content.quantity))
        return volume_for_dose(injection->medicine->content.quantity, row->strength.strength);
    return unknown();
}

/* Each vial of powder swells the liquid by what the label's row says it does. */
static Rational final_volume(const PlanInjection *injection)
{
    Rational one = label_volume(injection);
    if (!rational_ok(one))
        return plan_gives_all(injection) ? injection->add_ml : unknown();
    Rational swelling = rational_sub(one, injection->add_ml);
    Rational all = rational_mul(swelling, whole(injection->containers));
    return rational_add(injection->add_ml, all);
}

/* A strength of so much in so many mL, kept in the units the box uses. */
static Strength strength_of(const PlanInjection *injection, Rational volume_ml)
{
    UnitId unit = injection->medicine->content.quantity.unit;
    Rational in_unit = rational_div(injection->content, unit_row(unit)->in_base);
    return (Strength){{rational_div(in_unit, volume_ml), unit}, quantity_make(1, 1, UNIT_mL)};
}

static void set_strength(PlanInjection *injection, Strength strength)
{
    injection->strength = strength;
    injection->has_strength = rational_ok(strength_base(strength));
}

static void powder(PlanInjection *injection)
{
    injection->row = row_for(injection);
    injection->add_ml = millilitres(&injection->order->mix.add);
    if (!rational_ok(injection->add_ml) || injection->containers == 0)
        return;
    injection->final_ml = final_volume(injection);
    if (!rational_ok(injection->final_ml))
        return;
    set_strength(injection, strength_of(injection, injection->final_ml));
    if (!plan_gives_all(injection))
        return;
    Rational drawn = injection->row ? millilitres(&injection->row->withdraw) : unknown();
    gboolean stated = rational_ok(drawn) && injection->containers == 1;
    injection->exact_ml = stated ? drawn : injection->final_ml;
}

static void ready(PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    Rational each = millilitres(&medicine->volume);
    if (rational_ok(each))
        injection->final_ml = rational_mul(each, whole(MAX(1, injection->containers)));
    if (PRESENT(medicine->strength))
        set_strength(injection, medicine->strength.strength);
    else if (rational_ok(injection->final_ml) && injection->containers > 0)
        set_strength(injection, strength_of(injection, injection->final_ml));
    if (plan_gives_all(injection))
        injection->exact_ml = injection->final_ml;
}

/* A measured part: dose to volume, and back, by different routes. */
static void measured_part(PlanInjection *injection)
{
    const Amount *dose = &injection->order->dose;
    if (!injection->has_strength || !PRESENT(*dose) || !same_kind(injection))
        return;
    injection->exact_ml = volume_for_dose(dose->quantity, injection->strength);
    if (!rational_ok(injection->exact_ml))
        return;
    Rational back = dose_in_volume(injection->exact_ml, injection->strength);
    g_assert(rational_equal(back, quantity_base(dose->quantity)));
}

static Rational on_mark(const PlanInjection *injection, Rational volume_ml)
{
    const Syringe *syringe = injection->syringe;
    Rational step = syringe ? millilitres(&syringe->mark_every) : unknown();
    return rational_ok(volume_ml) ? rational_round(volume_ml, step) : unknown();
}

/* A pen is set to a dose; its volume follows from the setting. */
static void dial(PlanInjection *injection)
{
    const Pen *pen = injection->pen;
    const Amount *dose = &injection->order->dose;
    if (!pen || !PRESENT(*dose) || !PRESENT(pen->dial_every) || !injection->has_strength ||
        quantity_dimension(pen->dial_every.quantity) != quantity_dimension(dose->quantity))
        return;
    injection->dialled = rational_round(quantity_base(dose->quantity), quantity_base(pen->dial_every.quantity));
    if (!rational_ok(injection->dialled))
        return;
    UnitId unit = dose->quantity.unit;
    Quantity set = {rational_div(injection->dialled, unit_row(unit)->in_base), unit};
    injection->volume_ml = volume_for_dose(set, injection->strength);
}

static void rounded(PlanInjection *injection)
{
    if (injection->way == WAY_PEN)
        dial(injection);
    else
        injection->volume_ml = on_mark(injection, injection->exact_ml);
    injection->add_on_mark_ml = on_mark(injection, injection->add_ml);
    if (!rational_ok(injection->volume_ml) || !injection->has_strength)
        return;
    injection->dose_drawn = dose_in_volume(injection->volume_ml, injection->strength);
    injection->moved = rational_difference(injection->volume_ml, injection->exact_ml);
}

void plan_amounts(PlanInjection *injection)
{
    injection->content = injection->add_ml = injection->final_ml = unknown();
    injection->exact_ml = injection->volume_ml = injection->add_on_mark_ml = unknown();
    injection->dose_drawn = injection->moved = injection->dialled = unknown();
    if (!injection->medicine)
        return;
    injection->containers = containers_of(injection);
    injection->content = rational_mul(base_of(&injection->medicine->content), whole(injection->containers));
    if (injection->way == WAY_POWDER)
        powder(injection);
    else
        ready(injection);
    if (PRESENT(injection->order->dose_is) && !plan_gives_all(injection))
        measured_part(injection);
    rounded(injection);
}
