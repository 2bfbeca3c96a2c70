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

static gboolean routes_allow(const MixingRow *row, const RouteChoice *route)
{
    return !PRESENT(row->routes) || !PRESENT(*route) || list_has(&row->routes, route->value);
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

/* The volume that the row's strength makes of one vial's content; unknown when it states none. */
static Rational volume_by_strength(const PlanInjection *injection)
{
    const MixingRow *row = injection->row;
    if (!row || !PRESENT(row->strength) || !PRESENT(injection->medicine->content))
        return unknown();
    return volume_for_dose(injection->medicine->content.quantity, row->strength.strength);
}

/* What is in one vial once mixed.  A row that counts on less than it adds says so by what can
 * be drawn back: the vial is filled above its content, and holds at least what was added. */
static Rational vial_volume(const PlanInjection *injection)
{
    const MixingRow *row = injection->row;
    if (row && PRESENT(row->makes))
        return millilitres(&row->makes);
    Rational volume = volume_by_strength(injection);
    if (rational_ok(volume) && PRESENT(row->withdraw) && rational_compare(volume, injection->add_ml) < 0)
        return injection->add_ml;
    return volume;
}

/* Each vial of powder swells the liquid by what the label's row says it does. */
static Rational swollen(const PlanInjection *injection, Rational one)
{
    Rational swelling = rational_sub(one, injection->add_ml);
    return rational_add(injection->add_ml, rational_mul(swelling, whole(injection->containers)));
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

/* A label that states both strength and volume is dosed by its strength: the volume it prints
 * is an approximate one, and is what limits the drawing. */
static void powder_strength(PlanInjection *injection)
{
    Rational stated = volume_by_strength(injection);
    if (rational_ok(stated) && injection->containers == 1) {
        set_strength(injection, injection->row->strength.strength);
        return;
    }
    if (rational_ok(stated) && rational_compare(stated, injection->add_ml) < 0)
        return; /* what several vials make, each filled above its content, no label says */
    set_strength(injection, strength_of(injection, rational_ok(stated) ? swollen(injection, stated)
                                                                       : injection->final_ml));
}

/* What each vial keeps back is lost in each that shares the liquid. */
static Rational powder_drawable(const PlanInjection *injection, Rational one)
{
    Rational stated = injection->row ? millilitres(&injection->row->withdraw) : unknown();
    if (!rational_ok(stated))
        return injection->final_ml;
    Rational kept = rational_sub(one, stated);
    return rational_sub(injection->final_ml, rational_mul(kept, whole(injection->containers)));
}

static void powder(PlanInjection *injection)
{
    injection->row = row_for(injection);
    injection->add_ml = millilitres(&injection->order->mix.add);
    if (!rational_ok(injection->add_ml) || injection->containers == 0)
        return;
    Rational one = vial_volume(injection);
    if (!rational_ok(one) && plan_gives_all(injection))
        one = injection->add_ml; /* all that can be drawn back, whatever it measures */
    injection->final_ml = rational_ok(one) ? swollen(injection, one) : unknown();
    if (!rational_ok(injection->final_ml))
        return;
    powder_strength(injection);
    injection->drawable_ml = powder_drawable(injection, one);
    if (plan_gives_all(injection))
        injection->exact_ml = injection->drawable_ml;
}

static void ready(PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    injection->final_ml = rational_mul(millilitres(&medicine->volume), whole(MAX(1, injection->containers)));
    if (PRESENT(medicine->strength))
        set_strength(injection, medicine->strength.strength);
    else if (rational_ok(injection->final_ml) && injection->containers > 0)
        set_strength(injection, strength_of(injection, injection->final_ml));
    injection->drawable_ml = injection->final_ml;
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

static Rational on_mark(const Syringe *syringe, Rational volume_ml)
{
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
        injection->volume_ml = on_mark(injection->syringe, injection->exact_ml);
    injection->add_on_mark_ml = on_mark(injection->mixing_syringe, injection->add_ml);
    if (!rational_ok(injection->volume_ml) || !injection->has_strength)
        return;
    injection->dose_drawn = dose_in_volume(injection->volume_ml, injection->strength);
    injection->moved = rational_difference(injection->volume_ml, injection->exact_ml);
}

void plan_amounts(PlanInjection *injection)
{
    injection->content = injection->add_ml = injection->final_ml = unknown();
    injection->drawable_ml = injection->exact_ml = injection->volume_ml = injection->add_on_mark_ml = unknown();
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
