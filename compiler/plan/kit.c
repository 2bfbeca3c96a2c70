/* plan_kit: what is handed out, counted. */
#include "plan/parts.h"

static Item *item(Arena *arena, GPtrArray *kit, ItemKind kind, gint64 count, gint64 used)
{
    Item *added = arena_new0(arena, Item);
    added->kind = kind;
    added->count = count;
    added->used = used;
    g_ptr_array_add(kit, added);
    return added;
}

static gint64 acts_of(const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    return PRESENT(*when) && when->kind == TIMING_CALENDAR ? MAX(1, when->days) : 1;
}

/* The drop that is pushed out of a pen before each dose. */
static Rational drop_ml(const PlanInjection *injection)
{
    gboolean known = injection->pen && PRESENT(injection->pen->flow_check) && injection->has_strength;
    if (injection->way != WAY_PEN || !known)
        return rational_make(0, 1);
    return volume_for_dose(injection->pen->flow_check.quantity, injection->strength);
}

/* What a label says can be given has left out one drop already. */
Rational plan_volume_given(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    if (!PRESENT(medicine->volume))
        return RATIONAL_OVERFLOW;
    if (PRESENT(medicine->deliverable) && injection->has_strength)
        return volume_for_dose(medicine->deliverable.quantity, injection->strength);
    return rational_sub(quantity_in(medicine->volume.quantity, UNIT_mL).number, drop_ml(injection));
}

/* An ampoule that was snapped open keeps for nothing. */
static gboolean keeps_once_opened(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    gboolean single = PRESENT(medicine->single_dose) && medicine->single_dose.value == YesNo_YES;
    gboolean ampoule = PRESENT(medicine->container) && medicine->container.value == Container_AMPOULE;
    return !single && ((injection->way == WAY_READY && !ampoule) || injection->way == WAY_PEN);
}

gint64 plan_doses_each(const PlanInjection *injection)
{
    if (!keeps_once_opened(injection) || !rational_ok(injection->exact_ml))
        return 0;
    /* What is left and holds no whole dose is not used: no dose comes from two. */
    gboolean larger = rational_ok(injection->volume_ml) &&
                      rational_compare(injection->volume_ml, injection->exact_ml) > 0;
    Rational drop = drop_ml(injection);
    Rational takes = rational_add(larger ? injection->volume_ml : injection->exact_ml, drop);
    Rational doses = rational_div(rational_add(plan_volume_given(injection), drop), takes);
    return rational_ok(doses) ? rational_floor(doses) : 0;
}

/* A vial for many doses serves a whole course; a single-dose one serves once. */
static gint64 containers_in_all(const PlanInjection *injection)
{
    gint64 acts = acts_of(injection), each = plan_doses_each(injection);
    return each > 0 ? (acts + each - 1) / each : injection->containers * acts;
}

static gint64 spares_of(const PlanInjection *injection)
{
    const Number *spare = &injection->order->give.spare_needles;
    return PRESENT(*spare) ? spare->value : 0;
}

static void kit_of(Arena *arena, PlanInjection *injection)
{
    gint64 acts = acts_of(injection);
    injection->kit = arena_list(arena);
    if (!injection->medicine)
        return;
    item(arena, injection->kit, ITEM_MEDICINE, containers_in_all(injection), injection->containers)
        ->medicine = injection->medicine;
    if (injection->diluent && injection->way == WAY_POWDER)
        item(arena, injection->kit, ITEM_DILUENT, acts, 1)->diluent = injection->diluent;
    if (injection->syringe && injection->way != WAY_PREFILLED)
        item(arena, injection->kit, ITEM_SYRINGE, acts, 1)->syringe = injection->syringe;
    if (injection->pen && plan_takes_cartridge(injection))
        item(arena, injection->kit, ITEM_PEN, 1, 1)->pen = injection->pen;
    if (injection->drawing_needle)
        item(arena, injection->kit, ITEM_DRAWING_NEEDLE, acts, 1)->needle = injection->drawing_needle;
    if (injection->injecting_needle)
        item(arena, injection->kit, ITEM_INJECTING_NEEDLE, acts + spares_of(injection), 1)->needle =
            injection->injecting_needle;
}

gint64 plan_supply_used(const PlanInjection *injection, Supply supply)
{
    if (supply == Supply_WIPE)
        return plan_tops(injection) + 1;
    if (supply == Supply_GAUZE)
        return 1 + plan_snaps(injection);
    return 1;
}

gint64 plan_supply_needed(const Plan *plan, Supply supply)
{
    gint64 needed = 0;
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        needed += plan_supply_used(injection, supply) * acts_of(injection);
    }
    return supply == Supply_SHARPS_BOX ? MIN(needed, 1) : needed;
}

static gboolean same_thing(const Item *a, const Item *b)
{
    return a->kind == b->kind && a->medicine == b->medicine && a->diluent == b->diluent &&
           a->syringe == b->syringe && a->needle == b->needle && a->pen == b->pen && a->supply == b->supply;
}

static void add_up(Arena *arena, GPtrArray *kit, const Item *more)
{
    for (guint i = 0; i < kit->len; i++) {
        Item *there = g_ptr_array_index(kit, i);
        if (same_thing(there, more)) {
            there->count += more->count;
            return;
        }
    }
    Item *copy = item(arena, kit, more->kind, more->count, more->used);
    *copy = *more;
}

/* Supplies as the protocol hands them out, shared by all its injections. */
static void add_supplies(Arena *arena, const Plan *plan, GPtrArray *kit, const PlanInjection *injection)
{
    for (guint i = 0; i < plan->protocol->kit.items->len; i++) {
        const KitItem *supply = g_ptr_array_index(plan->protocol->kit.items, i);
        if (!PRESENT(supply->item) || !PRESENT(supply->count))
            continue;
        gint64 used = injection ? plan_supply_used(injection, supply->item.value)
                                : plan_supply_needed(plan, supply->item.value);
        item(arena, kit, ITEM_SUPPLY, supply->count.value, used)->supply = supply->item.value;
    }
}

void plan_kits(Arena *arena, Plan *plan)
{
    plan->kit = arena_list(arena);
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        kit_of(arena, injection);
        for (guint j = 0; j < injection->kit->len; j++)
            add_up(arena, plan->kit, g_ptr_array_index(injection->kit, j));
        add_supplies(arena, plan, injection->kit, injection);
    }
    add_supplies(arena, plan, plan->kit, NULL);
}
