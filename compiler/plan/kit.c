/* plan_kit: what is handed out, counted. */
#include "plan/parts.h"

/* How many over the whole course, and over the days of it that are left. */
typedef struct Counts { gint64 all, left; } Counts;

static Item *item(Arena *arena, GPtrArray *kit, ItemKind kind, Counts counts, gint64 used)
{
    Item *added = arena_new0(arena, Item);
    added->kind = kind;
    added->count = counts.all;
    added->left = counts.left;
    added->used = used;
    g_ptr_array_add(kit, added);
    return added;
}

static Counts one_each_day(const PlanInjection *injection, gint64 spares)
{
    gint64 days = plan_days(injection);
    return (Counts){days + spares, days - injection->done + spares};
}

/* Days that are left on which a container is opened. */
static gint64 openings_left(const PlanInjection *injection)
{
    gint64 openings = 0;
    for (guint act = injection->done; act < (guint)plan_days(injection); act++)
        openings += injection->opens[act] > 0;
    return openings;
}

/* Those that are opened, and the one in use on the first day that is left; where powder is left
 * too, the mixed vial is not counted with it. */
static Counts containers_of(const PlanInjection *injection)
{
    gint64 left = 0;
    for (guint act = injection->done; act < (guint)plan_days(injection); act++)
        left += injection->opens[act];
    gboolean in_use = plan_doses_each(injection) > 0 && injection->opens[injection->done] == 0;
    gboolean apart = injection->way == WAY_POWDER && injection->done > 0 && left > 0;
    return (Counts){injection->served, left + (in_use && !apart)};
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
    const Counts mixings = {injection->openings, openings_left(injection)};
    if (injection->diluent)
        item(arena, injection->kit, ITEM_DILUENT, mixings, 1)->diluent = injection->diluent;
    if (!plan_mixes_apart(injection))
        return;
    if (injection->mixing_syringe)
        item(arena, injection->kit, ITEM_MIXING_SYRINGE, mixings, 1)->syringe = injection->mixing_syringe;
    if (injection->mixing_needle)
        item(arena, injection->kit, ITEM_MIXING_NEEDLE, mixings, 1)->needle = injection->mixing_needle;
}

static void kit_of(Arena *arena, PlanInjection *injection)
{
    const Counts daily = one_each_day(injection, 0), pen = {1, 1};
    injection->kit = arena_list(arena);
    if (!injection->medicine)
        return;
    item(arena, injection->kit, ITEM_MEDICINE, containers_of(injection), injection->containers)
        ->medicine = injection->medicine;
    mixing_things(arena, injection);
    if (injection->syringe && injection->way != WAY_PREFILLED)
        item(arena, injection->kit, ITEM_SYRINGE, daily, 1)->syringe = injection->syringe;
    if (injection->pen && plan_takes_cartridge(injection))
        item(arena, injection->kit, ITEM_PEN, pen, 1)->pen = injection->pen;
    if (injection->drawing_needle)
        item(arena, injection->kit, ITEM_DRAWING_NEEDLE, daily, 1)->needle = injection->drawing_needle;
    if (injection->injecting_needle)
        item(arena, injection->kit, ITEM_INJECTING_NEEDLE, one_each_day(injection, spares_of(injection)), 1)->needle =
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

/* On these days of an injection, on so many of which something is opened. */
static gint64 used_over(const PlanInjection *injection, Supply supply, gint64 days, gint64 openings)
{
    gint64 without = plan_doses_each(injection) > 0 ? days - openings : 0;
    return plan_supply_used(injection, supply) * days - mixing_supply(injection, supply) * without;
}

gint64 plan_supply_needed(const Plan *plan, Supply supply)
{
    gint64 needed = 0;
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        needed += used_over(injection, supply, plan_days(injection), injection->openings);
    }
    return supply == Supply_SHARPS_BOX ? MIN(needed, 1) : needed;
}

/* A supply as it is handed out for the whole protocol, counted once. */
typedef struct Handed {
    const KitItem *written;
    Supply supply;
    Counts counts; /* left: what the days left of all injections still need */
    gint64 needed; /* by the whole protocol */
} Handed;

static Counts handed_counts(const Plan *plan, const KitItem *supply)
{
    gint64 left = 0, all = supply->count.value;
    guint done = 0;
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        gint64 days = plan_days(injection) - injection->done;
        left += used_over(injection, supply->item.value, days, openings_left(injection));
        done += injection->done;
    }
    return (Counts){all, done == 0 || supply->item.value == Supply_SHARPS_BOX ? all : MIN(left, all)};
}

/* Of Handed. */
static GArray *handed_out(const Plan *plan)
{
    GArray *all = g_array_new(FALSE, FALSE, sizeof(Handed));
    for (guint i = 0; i < plan->protocol->kit.items->len; i++) {
        const KitItem *supply = g_ptr_array_index(plan->protocol->kit.items, i);
        if (!PRESENT(supply->item) || !PRESENT(supply->count))
            continue;
        Supply kind = supply->item.value;
        Handed handed = {supply, kind, handed_counts(plan, supply), plan_supply_needed(plan, kind)};
        g_array_append_val(all, handed);
    }
    return all;
}

static gboolean same_thing(const Item *a, const Item *b)
{
    return a->kind == b->kind && a->medicine == b->medicine && a->diluent == b->diluent &&
           a->syringe == b->syringe && a->needle == b->needle && a->pen == b->pen && a->supply == b->supply;
}

/* A container that an earlier injection opened is handed out once. */
static void add_up(Arena *arena, GPtrArray *kit, const Item *more, const PlanInjection *injection)
{
    gboolean opened = more->kind == ITEM_MEDICINE;
    gboolean by_another = opened && injection->opened_by && injection->opens[injection->done] == 0;
    const Counts counts = {opened ? injection->opened : more->count, by_another ? more->left - 1 : more->left};
    for (guint i = 0; i < kit->len; i++) {
        Item *there = g_ptr_array_index(kit, i);
        if (same_thing(there, more)) {
            there->count += counts.all;
            there->left += counts.left;
            return;
        }
    }
    Item *copy = item(arena, kit, more->kind, counts, more->used);
    *copy = *more;
    copy->count = counts.all;
    copy->left = counts.left;
}

/* One pen takes all cartridges of its medicine, whichever injection they are for. */
static gboolean is_pen_of_earlier(const Plan *plan, guint number, const Item *thing)
{
    const PlanInjection *injection = g_ptr_array_index(plan->injections, number);
    for (guint i = 0; thing->kind == ITEM_PEN && i < number; i++)
        if (((const PlanInjection *)g_ptr_array_index(plan->injections, i))->medicine == injection->medicine)
            return TRUE;
    return FALSE;
}

/* Supplies as the protocol hands them out, shared by all its injections. */
static void add_supplies(Arena *arena, const GArray *handed, GPtrArray *kit, const PlanInjection *injection)
{
    for (guint i = 0; i < handed->len; i++) {
        const Handed *one = &g_array_index(handed, Handed, i);
        gint64 used = injection ? plan_supply_used(injection, one->supply) : one->needed;
        item(arena, kit, ITEM_SUPPLY, one->counts, used)->supply = one->supply;
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
static void supply_counts(Arena *arena, const Plan *plan, const GArray *handed, PlanInjection *injection)
{
    gboolean one_sheet = plan_one_sheet(plan);
    for (guint i = 0; i < handed->len; i++) {
        const Handed *one = &g_array_index(handed, Handed, i);
        gint64 used = plan_supply_used(injection, one->supply);
        const char *left = one->counts.left == one->counts.all
                               ? "" : arena_format(arena, ", for the days left: %d", (int)one->counts.left);
        Value *value = &injection->values[supply_value(one->supply)];
        value->set = TRUE;
        value->number = one_sheet ? used : one->counts.left;
        value->how = arena_format(arena, "%d handed out; used each time: %s, together %d; needed for the whole "
                                  "protocol: %d%s", (int)one->counts.all, each_time(arena, injection, one->supply),
                                  (int)used, (int)one->needed, left);
        value->origins = arena_list(arena);
        g_ptr_array_add(value->origins, (gpointer)&one->written->count.at.place);
    }
}

void plan_kits(Arena *arena, Plan *plan)
{
    g_autoptr(GArray) handed = handed_out(plan);
    plan->kit = arena_list(arena);
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        kit_of(arena, injection);
        for (guint j = 0; j < injection->kit->len; j++)
            if (!is_pen_of_earlier(plan, i, g_ptr_array_index(injection->kit, j)))
                add_up(arena, plan->kit, g_ptr_array_index(injection->kit, j), injection);
        add_supplies(arena, handed, injection->kit, injection);
        supply_counts(arena, plan, handed, injection);
    }
    add_supplies(arena, handed, plan->kit, NULL);
}
