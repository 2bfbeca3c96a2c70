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

static gint64 spares_of(const PlanInjection *injection)
{
    const Number *spare = &injection->order->give.spare_needles;
    return PRESENT(*spare) ? spare->value : 0;
}

/* What is mixed with, each time a powder is mixed. */
static void mixing_things(Arena *arena, PlanInjection *injection)
{
    if (injection->way != WAY_POWDER || injection->openings == 0)
        return;
    if (injection->diluent)
        item(arena, injection->kit, ITEM_DILUENT, injection->openings, 1)->diluent = injection->diluent;
    if (!plan_mixes_apart(injection))
        return;
    if (injection->mixing_syringe)
        item(arena, injection->kit, ITEM_MIXING_SYRINGE, injection->openings, 1)->syringe = injection->mixing_syringe;
    if (injection->mixing_needle)
        item(arena, injection->kit, ITEM_MIXING_NEEDLE, injection->openings, 1)->needle = injection->mixing_needle;
}

static void kit_of(Arena *arena, PlanInjection *injection)
{
    gint64 acts = plan_days(injection);
    injection->kit = arena_list(arena);
    if (!injection->medicine)
        return;
    item(arena, injection->kit, ITEM_MEDICINE, injection->served, injection->containers)
        ->medicine = injection->medicine;
    mixing_things(arena, injection);
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

/* Supplies that the steps use: in one act of an injection, and in the whole protocol. */
static gint64 plan_supply_used(const PlanInjection *injection, Supply supply)
{
    if (supply == Supply_WIPE)
        return plan_tops(injection) + 1;
    if (supply == Supply_GAUZE)
        return 1 + plan_snaps(injection);
    return 1;
}

/* Of a mixed vial that serves several days, what only the days of mixing use. */
static gint64 mixing_supply(const PlanInjection *injection, Supply supply)
{
    if (injection->way != WAY_POWDER)
        return 0;
    if (supply == Supply_WIPE)
        return plan_tops(injection) - plan_mixes_apart(injection);
    return supply == Supply_GAUZE ? plan_snaps(injection) : 0;
}

gint64 plan_supply_needed(const Plan *plan, Supply supply)
{
    gint64 needed = 0;
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        gint64 days = plan_days(injection), without = plan_doses_each(injection) > 0 ? days - injection->openings : 0;
        needed += plan_supply_used(injection, supply) * days - mixing_supply(injection, supply) * without;
    }
    return supply == Supply_SHARPS_BOX ? MIN(needed, 1) : needed;
}

static gboolean same_thing(const Item *a, const Item *b)
{
    return a->kind == b->kind && a->medicine == b->medicine && a->diluent == b->diluent &&
           a->syringe == b->syringe && a->needle == b->needle && a->pen == b->pen && a->supply == b->supply;
}

/* A container that an earlier injection opened is handed out once. */
static void add_up(Arena *arena, GPtrArray *kit, const Item *more, const PlanInjection *injection)
{
    gint64 count = more->kind == ITEM_MEDICINE ? injection->opened : more->count;
    for (guint i = 0; i < kit->len; i++) {
        Item *there = g_ptr_array_index(kit, i);
        if (same_thing(there, more)) {
            there->count += count;
            return;
        }
    }
    Item *copy = item(arena, kit, more->kind, more->count, more->used);
    *copy = *more;
    copy->count = count;
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

/* ---- what trace says of a supply ---- */

static ValueId supply_value(Supply supply)
{
    switch (supply) {
    case Supply_WIPE: return VALUE_alcohol_wipes;
    case Supply_GAUZE: return VALUE_gauze_pads;
    case Supply_PLASTER: return VALUE_small_plasters;
    case Supply_SHARPS_BOX: return VALUE_sharps_boxes;
    }
    g_assert_not_reached();
}

/* What one act uses of it, and for what. */
static const char *each_time(Arena *arena, const PlanInjection *injection, Supply supply)
{
    switch (supply) {
    case Supply_WIPE: return arena_format(arena, "%d for rubber tops and 1 for the skin", plan_tops(injection));
    case Supply_GAUZE:
        return arena_format(arena, "1 for the spot and %d for glass that is snapped", plan_snaps(injection));
    case Supply_PLASTER: return "1 for the spot";
    case Supply_SHARPS_BOX: return "1 for all needles";
    }
    g_assert_not_reached();
}

/* Two injections on one sheet share what is handed out: each shows what it uses. */
static void supply_counts(Arena *arena, const Plan *plan, PlanInjection *injection, const gint64 *needed)
{
    for (guint i = 0; i < plan->protocol->kit.items->len; i++) {
        const KitItem *supply = g_ptr_array_index(plan->protocol->kit.items, i);
        if (!PRESENT(supply->item) || !PRESENT(supply->count))
            continue;
        gint64 used = plan_supply_used(injection, supply->item.value);
        Value *value = &injection->values[supply_value(supply->item.value)];
        value->set = TRUE;
        value->number = plan_one_sheet(plan) ? used : supply->count.value;
        value->how = arena_format(arena, "%d handed out; used each time: %s, together %d; needed for the whole "
                                  "protocol: %d", (int)supply->count.value,
                                  each_time(arena, injection, supply->item.value), (int)used,
                                  (int)needed[i]);
        value->origins = arena_list(arena);
        g_ptr_array_add(value->origins, (gpointer)&supply->count.at.place);
    }
}

/* Of each supply of the kit, in its order: how many the whole protocol needs. */
static const gint64 *supplies_needed(Arena *arena, const Plan *plan)
{
    const GPtrArray *items = plan->protocol->kit.items;
    gint64 *needed = arena_alloc(arena, (items->len + 1) * sizeof *needed);
    for (guint i = 0; i < items->len; i++) {
        const KitItem *supply = g_ptr_array_index(items, i);
        needed[i] = PRESENT(supply->item) ? plan_supply_needed(plan, supply->item.value) : 0;
    }
    return needed;
}

void plan_kits(Arena *arena, Plan *plan)
{
    plan->kit = arena_list(arena);
    const gint64 *needed = supplies_needed(arena, plan);
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        kit_of(arena, injection);
        for (guint j = 0; j < injection->kit->len; j++)
            add_up(arena, plan->kit, g_ptr_array_index(injection->kit, j), injection);
        add_supplies(arena, plan, injection->kit, injection);
        supply_counts(arena, plan, injection, needed);
    }
    add_supplies(arena, plan, plan->kit, NULL);
}
