/* plan_steps: which steps this injection takes, in the order of doing. */
#include "plan/parts.h"

typedef struct Work {
    Arena *arena;
    const Plan *plan;
    PlanInjection *injection;
} Work;

static void add_step(const Work *work, StepId id, int vial)
{
    Step *added = arena_new0(work->arena, Step);
    *added = (Step){id, vial};
    g_ptr_array_add(work->injection->steps, added);
}

static void add_steps(const Work *work, const StepId *ids, gsize count)
{
    for (gsize i = 0; i < count; i++)
        add_step(work, ids[i], 0);
}

/* steps(work, STEP_a, STEP_b): one after the other. */
#define steps(work, ...) \
    add_steps(work, (const StepId[]){__VA_ARGS__}, G_N_ELEMENTS(((const StepId[]){__VA_ARGS__})))

gboolean plan_has_fixed_needle(const PlanInjection *injection)
{
    return injection->syringe && PRESENT(injection->syringe->needle);
}

static gboolean in_ampoule(const ContainerChoice *container)
{
    return PRESENT(*container) && container_row(container->value)->opening == OPENING_SNAPPED;
}

gboolean plan_draws_ampoule(const PlanInjection *injection)
{
    if (injection->way == WAY_POWDER && injection->diluent)
        return in_ampoule(&injection->diluent->container);
    return injection->medicine && in_ampoule(&injection->medicine->container);
}

static gboolean is_course(const PlanInjection *injection)
{
    return PRESENT(injection->order->when) && injection->order->when.days > 1;
}

gboolean plan_fills_last(const PlanInjection *injection)
{
    gboolean drawn_up = injection->way == WAY_READY || plan_mixes_apart(injection);
    return drawn_up && plan_has_fixed_needle(injection);
}

gboolean plan_needle_changes(const PlanInjection *injection)
{
    gboolean drawn_up = injection->way == WAY_POWDER || injection->way == WAY_READY;
    return drawn_up && injection->injecting_needle && injection->drawing_needle != injection->injecting_needle;
}

int plan_tops(const PlanInjection *injection)
{
    if (injection->way == WAY_POWDER) {
        gboolean ampoule = injection->diluent && in_ampoule(&injection->diluent->container);
        return (int)injection->containers + (ampoule ? 0 : 1) + plan_mixes_apart(injection);
    }
    if (injection->way == WAY_READY && injection->medicine &&
        !in_ampoule(&injection->medicine->container))
        return (int)MAX(1, injection->containers);
    return injection->way == WAY_PEN;
}

int plan_snaps(const PlanInjection *injection)
{
    if (injection->way == WAY_POWDER)
        return injection->diluent && in_ampoule(&injection->diluent->container);
    return injection->way == WAY_READY && injection->medicine && in_ampoule(&injection->medicine->container);
}

/* From a vial: air in first.  From an ampoule: it is open, and stays upright. */
static void take_liquid(Work *work, gboolean ampoule)
{
    StepId fit = plan_mixes_apart(work->injection) ? STEP_fit_mixing_needle_apart : STEP_fit_mixing_needle;
    if (ampoule)
        steps(work, STEP_powder_caps_off, STEP_wipe_powder_tops, STEP_tap_ampoule, STEP_snap_ampoule, fit,
              STEP_draw_liquid_ampoule);
    else
        steps(work, STEP_caps_off, STEP_wipe_tops, fit, STEP_air_for_liquid, STEP_into_liquid, STEP_draw_liquid);
}

/* A measured dose is set to its line while the needle is still in the vial. */
static void clear_bubbles(Work *work, gboolean ampoule)
{
    if (plan_gives_all(work->injection) || ampoule)
        steps(work, STEP_bubbles_up);
    else
        steps(work, STEP_bubbles_back, STEP_leave_vial);
}

/* The liquid moves on only when no powder is left in the vial before. */
static void mix(Work *work)
{
    const PlanInjection *injection = work->injection;
    if (injection->openings == 0) {
        steps(work, STEP_take_mixed);
        return;
    }
    if (injection->openings < plan_days(injection))
        steps(work, STEP_mix_if_listed);
    take_liquid(work, plan_snaps(injection) > 0);
    steps(work, STEP_to_powder, STEP_into_powder, STEP_swirl, STEP_see_clear);
    for (int vial = 2; vial <= injection->containers; vial++) {
        add_step(work, STEP_next_vial_draw, vial);
        add_step(work, STEP_next_vial_push, vial);
        add_step(work, STEP_next_vial_swirl, vial);
    }
    if (plan_mixes_apart(injection)) {
        steps(work, STEP_mixing_syringe_away);
        return;
    }
    steps(work, STEP_tip_in_powder, plan_gives_all(injection) ? STEP_draw_back_all : STEP_draw_back_part);
    clear_bubbles(work, FALSE);
}

/* The line that is drawn to: out of an ampoule, a mixed vial or a ready one. */
static StepId drawing_step(const PlanInjection *injection, gboolean ampoule)
{
    if (ampoule)
        return STEP_draw_dose_ampoule;
    if (!plan_mixes_apart(injection))
        return STEP_draw_dose;
    return plan_gives_all(injection) ? STEP_draw_back_all : STEP_draw_back_part;
}

static void draw(Work *work)
{
    const PlanInjection *injection = work->injection;
    gboolean mixed = plan_mixes_apart(injection), ampoule = !mixed && plan_snaps(injection) > 0;
    if (injection->way == WAY_READY && plan_days(injection) > 1 && injection->served > 1 &&
        plan_doses_each(injection) > 0)
        steps(work, STEP_vial_new_if_listed);
    if (ampoule)
        steps(work, STEP_tap_ampoule, STEP_snap_ampoule);
    else
        steps(work, is_course(injection) || mixed ? STEP_wipe_top_again : STEP_wipe_top);
    steps(work, plan_has_fixed_needle(injection) ? STEP_take_fixed_cap_off : STEP_fit_drawing_needle);
    if (!ampoule)
        steps(work, STEP_air_for_dose, STEP_into_vial, STEP_tip_in_vial);
    steps(work, drawing_step(injection, ampoule));
    clear_bubbles(work, ampoule);
}

static void prefilled(Work *work)
{
    steps(work, STEP_look_liquid);
    if (!plan_has_fixed_needle(work->injection))
        steps(work, STEP_prefilled_needle_open, STEP_prefilled_tip_off, STEP_prefilled_needle_on);
}

gboolean plan_takes_cartridge(const PlanInjection *injection)
{
    return injection->medicine && PRESENT(injection->medicine->container) &&
           injection->medicine->container.value == Container_CARTRIDGE;
}

/* The needle keeps its caps until all is read once more. */
static void pen(Work *work)
{
    const PlanInjection *injection = work->injection;
    if (is_course(injection) && !plan_takes_cartridge(injection))
        steps(work, STEP_pen_new_if_empty);
    steps(work, STEP_pen_cap_off);
    if (plan_takes_cartridge(injection))
        steps(work, is_course(injection) ? STEP_cartridge_in_if_none : STEP_cartridge_in);
    steps(work, STEP_look_liquid, STEP_wipe_seal, STEP_pen_needle_open, STEP_pen_needle_on);
}

static void change_needle(Work *work)
{
    const PlanInjection *injection = work->injection;
    if (plan_needle_changes(injection) && plan_empties_needle(work->plan, injection))
        steps(work, STEP_empty_needle);
    if (plan_needle_changes(injection))
        steps(work, STEP_needle_off, STEP_needle_on);
}

static void place(Work *work) { steps(work, STEP_find_spot, STEP_wipe_skin); }

/* The last look, with the needle bare. */
static void bare(Work *work)
{
    const PlanInjection *injection = work->injection;
    if (injection->way == WAY_PEN) { /* a drop shows that the needle is open; then the dose is set */
        steps(work, STEP_pen_outer_off, STEP_pen_inner_off, STEP_pen_flow, STEP_pen_drop, STEP_pen_drop_again,
              STEP_pen_dial);
        return;
    }
    if (!plan_has_fixed_needle(injection) || injection->way == WAY_PREFILLED)
        steps(work, STEP_cap_off);
    if (injection->way != WAY_PREFILLED)
        steps(work, plan_needle_changes(injection) || plan_gives_all(injection) ? STEP_air_out : STEP_look_line);
    else if (!plan_gives_all(injection))
        steps(work, STEP_prefilled_bubbles, STEP_prefilled_to_line, STEP_prefilled_look_line);
}

static void give(Work *work)
{
    const PlanInjection *injection = work->injection;
    const Injection *order = injection->order;
    gboolean muscle = PRESENT(order->route) && route_row(order->route.value)->layer == LAYER_MUSCLE;
    gboolean arm = PRESENT(order->site) && site_row(order->site.value)->reach == REACH_ONE_HAND;
    gboolean alone = PRESENT(order->give.by) && order->give.by.value != Giver_HELPER, pen = injection->way == WAY_PEN;
    bare(work);
    if (PRESENT(order->window) && order->window.exact)
        steps(work, STEP_wait_minute);
    if (arm && alone)
        steps(work, STEP_steady_arm);
    if (!arm || !alone) /* the other arm's hand holds the syringe */
        steps(work, muscle ? STEP_hold_skin_flat : STEP_hold_skin_fold);
    if (pen)
        steps(work, STEP_needle_in, STEP_press_button, STEP_count_pressed, STEP_look_zero, STEP_pen_needle_out);
    else /* no bare needle waits for the gauze */
        steps(work, STEP_needle_in, STEP_push_plunger, STEP_count_slowly, STEP_needle_out, STEP_into_sharps);
}

gboolean plan_has_supply(const Plan *plan, Supply word)
{
    for (guint i = 0; i < plan->protocol->kit.items->len; i++) {
        const KitItem *supply = g_ptr_array_index(plan->protocol->kit.items, i);
        if (PRESENT(supply->item) && supply->item.value == word)
            return TRUE;
    }
    return FALSE;
}

static void after(Work *work, const Plan *plan)
{
    const PlanInjection *injection = work->injection;
    if (injection->way == WAY_PEN)
        steps(work, STEP_pen_needle_off, STEP_pen_needle_unscrew, STEP_pen_needle_away);
    steps(work, STEP_press_gauze);
    if (plan_has_supply(plan, Supply_PLASTER))
        steps(work, STEP_plaster_on);
    if (injection->way == WAY_PEN)
        steps(work, STEP_pen_cap_on);
    if (injection->way == WAY_POWDER || injection->way == WAY_READY)
        steps(work, STEP_count_empties);
    steps(work, is_course(injection) ? STEP_tick_day : STEP_write_time);
}

/* The dose into what injects it; a bare needle must not wait for the search of the spot. */
static void fill(Work *work)
{
    const PlanInjection *injection = work->injection;
    if (injection->way == WAY_POWDER)
        mix(work);
    if (plan_fills_last(injection))
        place(work);
    switch (injection->way) {
    case WAY_POWDER:
        if (plan_mixes_apart(injection))
            draw(work);
        break;
    case WAY_READY: draw(work); break;
    case WAY_PREFILLED: prefilled(work); break;
    case WAY_PEN: pen(work); break;
    }
}

void plan_steps(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    injection->steps = arena_list(arena);
    Work work = {arena, plan, injection};
    steps(&work, STEP_clear_table, STEP_wash_hands, STEP_check_box);
    if (plan_needle_changes(injection) && injection->drawing_needle)
        steps(&work, STEP_know_needles);
    fill(&work);
    change_needle(&work);
    if (!plan_fills_last(injection))
        place(&work);
    give(&work);
    after(&work, plan);
}
