/* plan_steps: which steps this injection takes, in the order of doing. */
#include "plan/parts.h"

typedef struct Work {
    Arena *arena;
    const Plan *plan;
    PlanInjection *injection;
    Section section;
} Work;

static void step(Work *work, StepId id, int vial)
{
    Step *added = arena_new0(work->arena, Step);
    *added = (Step){id, work->section, vial};
    g_ptr_array_add(work->injection->steps, added);
}

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
    step(work, ampoule ? STEP_powder_caps_off : STEP_caps_off, 0);
    step(work, ampoule ? STEP_wipe_powder_tops : STEP_wipe_tops, 0);
    if (ampoule) {
        step(work, STEP_tap_ampoule, 0);
        step(work, STEP_snap_ampoule, 0);
    }
    step(work, plan_mixes_apart(work->injection) ? STEP_fit_mixing_needle_apart : STEP_fit_mixing_needle, 0);
    if (!ampoule) {
        step(work, STEP_air_for_liquid, 0);
        step(work, STEP_into_liquid, 0);
    }
    step(work, ampoule ? STEP_draw_liquid_ampoule : STEP_draw_liquid, 0);
}

/* A measured dose is set to its line while the needle is still in the vial. */
static void clear_bubbles(Work *work, gboolean ampoule)
{
    if (plan_gives_all(work->injection) || ampoule) {
        step(work, STEP_bubbles_up, 0);
        return;
    }
    step(work, STEP_bubbles_back, 0);
    step(work, STEP_leave_vial, 0);
}

/* The liquid moves on only when no powder is left in the vial before. */
static void mix(Work *work)
{
    const PlanInjection *injection = work->injection;
    work->section = SECTION_LIQUID;
    if (injection->openings == 0) {
        step(work, STEP_take_mixed, 0);
        return;
    }
    if (injection->openings < plan_days(injection))
        step(work, STEP_mix_if_listed, 0);
    take_liquid(work, plan_snaps(injection) > 0);
    work->section = SECTION_MIX;
    step(work, STEP_to_powder, 0);
    step(work, STEP_into_powder, 0);
    step(work, STEP_swirl, 0);
    step(work, STEP_see_clear, 0);
    for (int vial = 2; vial <= injection->containers; vial++) {
        step(work, STEP_next_vial_draw, vial);
        step(work, STEP_next_vial_push, vial);
        step(work, STEP_next_vial_swirl, vial);
    }
    if (plan_mixes_apart(injection)) {
        step(work, STEP_mixing_syringe_away, 0);
        return;
    }
    work->section = SECTION_FILL;
    step(work, STEP_tip_in_powder, 0);
    step(work, plan_gives_all(injection) ? STEP_draw_back_all : STEP_draw_back_part, 0);
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
    work->section = SECTION_FILL;
    gboolean mixed = plan_mixes_apart(injection), ampoule = !mixed && plan_snaps(injection) > 0;
    if (injection->way == WAY_READY && plan_days(injection) > 1 && injection->served > 1 &&
        plan_doses_each(injection) > 0)
        step(work, STEP_vial_new_if_listed, 0);
    if (ampoule) {
        step(work, STEP_tap_ampoule, 0);
        step(work, STEP_snap_ampoule, 0);
    } else {
        step(work, is_course(injection) || mixed ? STEP_wipe_top_again : STEP_wipe_top, 0);
    }
    step(work, plan_has_fixed_needle(injection) ? STEP_take_fixed_cap_off : STEP_fit_drawing_needle, 0);
    if (!ampoule) {
        step(work, STEP_air_for_dose, 0);
        step(work, STEP_into_vial, 0);
        step(work, STEP_tip_in_vial, 0);
    }
    step(work, drawing_step(injection, ampoule), 0);
    clear_bubbles(work, ampoule);
}

static void prefilled(Work *work)
{
    work->section = SECTION_FILL;
    step(work, STEP_look_liquid, 0);
    if (plan_has_fixed_needle(work->injection))
        return;
    step(work, STEP_prefilled_needle_open, 0);
    step(work, STEP_prefilled_tip_off, 0);
    step(work, STEP_prefilled_needle_on, 0);
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
    work->section = SECTION_FILL;
    if (is_course(injection) && !plan_takes_cartridge(injection))
        step(work, STEP_pen_new_if_empty, 0);
    step(work, STEP_pen_cap_off, 0);
    if (plan_takes_cartridge(injection))
        step(work, is_course(injection) ? STEP_cartridge_in_if_none : STEP_cartridge_in, 0);
    step(work, STEP_look_liquid, 0);
    step(work, STEP_wipe_seal, 0);
    step(work, STEP_pen_needle_open, 0);
    step(work, STEP_pen_needle_on, 0);
}

static void change_needle(Work *work)
{
    const PlanInjection *injection = work->injection;
    work->section = SECTION_CHANGE;
    if (!plan_needle_changes(injection))
        return;
    if (plan_empties_needle(work->plan, injection))
        step(work, STEP_empty_needle, 0);
    step(work, STEP_needle_off, 0);
    step(work, STEP_needle_on, 0);
}

static void place(Work *work)
{
    work->section = SECTION_PLACE;
    step(work, STEP_find_spot, 0);
    step(work, STEP_wipe_skin, 0);
}

/* A drop shows that the needle is open; then the dose is set. */
static void bare_pen(Work *work)
{
    step(work, STEP_pen_outer_off, 0);
    step(work, STEP_pen_inner_off, 0);
    step(work, STEP_pen_flow, 0);
    step(work, STEP_pen_drop, 0);
    step(work, STEP_pen_drop_again, 0);
    work->section = SECTION_DIAL;
    step(work, STEP_pen_dial, 0);
}

static void bare_to_line(Work *work)
{
    step(work, STEP_prefilled_bubbles, 0);
    step(work, STEP_prefilled_to_line, 0);
    step(work, STEP_prefilled_look_line, 0);
}

/* The last look, with the needle bare. */
static void bare(Work *work)
{
    const PlanInjection *injection = work->injection;
    work->section = SECTION_BARE;
    if (injection->way == WAY_PEN) {
        bare_pen(work);
        return;
    }
    if (!plan_has_fixed_needle(injection) || injection->way == WAY_PREFILLED)
        step(work, STEP_cap_off, 0);
    if (injection->way != WAY_PREFILLED)
        step(work, plan_needle_changes(injection) || plan_gives_all(injection) ? STEP_air_out : STEP_look_line, 0);
    else if (!plan_gives_all(injection))
        bare_to_line(work);
}

static void give(Work *work)
{
    const PlanInjection *injection = work->injection;
    const Injection *order = injection->order;
    gboolean muscle = PRESENT(order->route) && route_row(order->route.value)->layer == LAYER_MUSCLE;
    gboolean arm = PRESENT(order->site) && site_row(order->site.value)->reach == REACH_ONE_HAND;
    gboolean alone = PRESENT(order->give.by) && order->give.by.value != Giver_HELPER, pen = injection->way == WAY_PEN;
    bare(work);
    work->section = SECTION_GIVE;
    if (PRESENT(order->window) && order->window.exact)
        step(work, STEP_wait_minute, 0);
    if (arm && alone)
        step(work, STEP_steady_arm, 0);
    if (!arm || !alone) /* the other arm's hand holds the syringe */
        step(work, muscle ? STEP_hold_skin_flat : STEP_hold_skin_fold, 0);
    step(work, STEP_needle_in, 0);
    step(work, pen ? STEP_press_button : STEP_push_plunger, 0);
    step(work, pen ? STEP_count_pressed : STEP_count_slowly, 0);
    if (pen)
        step(work, STEP_look_zero, 0);
    step(work, pen ? STEP_pen_needle_out : STEP_needle_out, 0);
    if (!pen) /* no bare needle waits for the gauze */
        step(work, STEP_into_sharps, 0);
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
    work->section = SECTION_AFTER;
    if (injection->way == WAY_PEN) {
        step(work, STEP_pen_needle_off, 0);
        step(work, STEP_pen_needle_unscrew, 0);
        step(work, STEP_pen_needle_away, 0);
    }
    step(work, STEP_press_gauze, 0);
    if (plan_has_supply(plan, Supply_PLASTER))
        step(work, STEP_plaster_on, 0);
    if (injection->way == WAY_PEN)
        step(work, STEP_pen_cap_on, 0);
    if (injection->way == WAY_POWDER || injection->way == WAY_READY)
        step(work, STEP_count_empties, 0);
    step(work, is_course(injection) ? STEP_tick_day : STEP_write_time, 0);
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
    Work work = {arena, plan, injection, SECTION_READY};
    step(&work, STEP_clear_table, 0);
    step(&work, STEP_wash_hands, 0);
    step(&work, STEP_check_box, 0);
    if (plan_needle_changes(injection) && injection->drawing_needle)
        step(&work, STEP_know_needles, 0);
    fill(&work);
    change_needle(&work);
    if (!plan_fills_last(injection))
        place(&work);
    give(&work);
    after(&work, plan);
}
