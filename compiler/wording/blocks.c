/* wording_blocks: each kind of block, filled from the plan. */
#include <string.h>

#include "wording/parts.h"

#define LEAD_LINES 5
#define NO_BREAK_SPACE "\302\240"

Block *block_new(const Wording *wording, BlockKind kind, const char *role)
{
    Block *block = arena_new0(wording->arena, Block);
    block->kind = kind;
    block->role = role;
    block->lines = arena_list(wording->arena);
    block->items = arena_list(wording->arena);
    block->figures = arena_list(wording->arena);
    return block;
}

static Block *add_item(const Wording *wording, Block *parent, BlockKind kind)
{
    Block *item = block_new(wording, kind, parent->role);
    g_ptr_array_add(parent->items, item);
    return item;
}

static void add_line(Block *block, Line *line)
{
    if (line->runs->len > 0)
        g_ptr_array_add(block->lines, line);
}

static void add_phrase(const Wording *wording, Block *block, const char *id)
{
    add_line(block, wording_line(wording, id, NULL, 0));
}

/* ---- telephones ---- */

static void phone(const Wording *wording, Block *block, ValueId number, const char *role, const char *line_id)
{
    const Value *value = plan_value(wording->plan, NULL, number);
    if (!value->set)
        return;
    Block *item = add_item(wording, block, BLOCK_PHONE);
    item->role = role;
    Line *line = line_of_text(wording->arena, wording_value(wording, value, KIND_PHONE, FORM_PLAIN));
    Run *run = g_ptr_array_index(line->runs, 0);
    run->strong = run->from_value = TRUE;
    run->value = number;
    if (PRESENT(value->phone->dial))
        run->dial = arena_format(wording->arena, "tel:%s", value->phone->dial.text);
    add_line(item, line);
    if (phrase_named(wording->phrases, line_id))
        add_phrase(wording, item, line_id);
}

static void call_night(const Wording *wording, Block *block)
{
    gboolean away = condition_holds(wording, "away"); /* the hours are the clinic's */
    gboolean any_hour = plan_value(wording->plan, NULL, VALUE_phone_night_hours)->clocks.all_day;
    phone(wording, block, VALUE_phone_night, "night", away && !any_hour ? "call_night_away" : "call_night");
}

static void call(const Wording *wording, Block *block)
{
    gboolean away = condition_holds(wording, "away");
    call_night(wording, block);
    phone(wording, block, VALUE_phone_day, "day", away ? "call_day_away" : "call_day");
    phone(wording, block, VALUE_phone_emergency, "emergency", "call_emergency");
}

/* ---- times ---- */

/* With a pen in a course a new container is taken out of the cold, not the medicine. */
static const char *rung_phrase(const Wording *wording, RungKind kind)
{
    const PlanInjection *injection = wording->injection;
    const RungRow *row = rung_row(kind);
    if (way_row(injection->way)->use == USE_DIALLED && kind == RUNG_TAKE_OUT && condition_holds(wording, "course"))
        return plan_takes_cartridge(injection) ? "rung_TAKE_OUT_CARTRIDGE" : "rung_TAKE_OUT_PEN";
    const char *ending = "";
    switch (way_row(injection->way)->use) {
    case USE_DRAWN: ending = plan_fills_last(injection) ? row->fixed : ""; break;
    case USE_FILLED: ending = row->filled; break;
    case USE_DIALLED: ending = row->pen; break;
    }
    return arena_format(wording->arena, "rung_%s%s", row->id, ending);
}

static gboolean has_helper(const PlanInjection *injection)
{
    return PRESENT(injection->order->give.by) && injection->order->give.by.value == Giver_HELPER;
}

static Line *clock_line(const Wording *wording, ValueId id, LocalTime local)
{
    Line *line = line_of_text(wording->arena, wording_clock(wording, local.minute));
    Run *run = g_ptr_array_index(line->runs, 0);
    run->text = g_strcmp0(run->text, "") == 0 ? "-" : run->text;
    run->from_value = TRUE;
    run->value = id;
    run->injection = wording->injection;
    return line;
}

/* A box to be taken out is one more thing to be woken for; of a pen's, not on every day. */
static gboolean wakes_for_box(const Wording *wording)
{
    return wording->injection->values[VALUE_take_out].set &&
           !(wording->injection->way == WAY_PEN && condition_holds(wording, "course"));
}

static void ladder(const Wording *wording, Block *block)
{
    Day last = 0;
    for (guint i = 0; i < wording->injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(wording->injection->ladder, i);
        Block *item = add_item(wording, block, BLOCK_RUNG);
        item->role = rung->kind == RUNG_INJECT ? "inject" : block->role;
        add_line(item, clock_line(wording, rung_row(rung->kind)->value, rung->at.local));
        add_phrase(wording, item, rung_phrase(wording, rung->kind));
        if (!wording->paged && rung->kind == RUNG_SET_ALARMS && has_helper(wording->injection))
            add_phrase(wording, item, "rung_helper");
        if (rung->kind == RUNG_SET_ALARMS && wakes_for_box(wording))
            add_phrase(wording, item, "rung_box_alarm");
        if (i > 0 && rung->at.local.day != last) /* the day, wherever it changes */
            item->title = line_of_text(wording->arena,
                                       wording_value(wording,
                                                     &wording->injection->values[rung_row(rung->kind)->value],
                                                     KIND_MOMENT, FORM_DATE));
        last = rung->at.local.day;
    }
}

/* A container is changed on its day, not when it looks empty; one that serves all days is not marked. */
static const char *day_phrase(const PlanInjection *injection, guint act)
{
    const WayRow *way = way_row(injection->way);
    gboolean pen = way->use == USE_DIALLED, marked = pen || way->mixes || injection->served > 1;
    if (!marked || !plan_begins_new(injection, act))
        return "rung_day";
    if (!pen)
        return "rung_day_vial";
    return plan_takes_cartridge(injection) ? "rung_day_cartridge" : "rung_day_pen";
}

#define DAYS_TOGETHER 7 /* more in one list lose the reader (CDC Clear Communication Index, item 8) */

/* Days of one list, in lists as long as one another. */
static guint days_together(guint days)
{
    guint lists = (days + DAYS_TOGETHER - 1) / DAYS_TOGETHER;
    return (days + lists - 1) / lists;
}

static void dates(Wording *wording, Block *block)
{
    guint done = wording->injection->done, left = wording->injection->acts->len - done;
    for (guint i = done; i < wording->injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(wording->injection->acts, i);
        const Value value = {.set = TRUE, .moment = act->at};
        const Filling filling[] = {
            {"act_date", wording_value(wording, &value, KIND_MOMENT, FORM_DATE)},
            {"act_clock", wording_value(wording, &value, KIND_MOMENT, FORM_CLOCK)},
            {"act_number", arena_format(wording->arena, "%u", i + 1)}, {NULL, NULL}};
        Block *item = add_item(wording, block, BLOCK_RUNG);
        item->number = (int)i + 1;
        add_line(item, clock_line(wording, VALUE_injection_time, act->at.local));
        add_line(item, wording_line(wording, day_phrase(wording->injection, i), filling, 0));
        if (i > done && (i - done) % days_together(left) == 0)
            item->title = wording_line(wording, "title_days_more", NULL, 0);
    }
}

/* ---- the kit ---- */

/* A plan that prints names a medicine of the shelf, which says what it comes in. */
static const ContainerRow *container_of(const PlanInjection *injection)
{
    return container_row(injection->medicine->container.value);
}

static const char *name_phrase(const Wording *wording, const Item *item)
{
    switch (item->kind) {
    case ITEM_MEDICINE:
        return way_row(wording->injection->way)->mixes ? "kit_medicine_powder" : container_of(wording->injection)->kit;
    case ITEM_DILUENT: return plan_draws_ampoule(wording->injection) ? "kit_diluent_ampoule" : "kit_diluent";
    case ITEM_SYRINGE: return "kit_syringe";
    case ITEM_DRAWING_NEEDLE: return "kit_drawing_needle";
    case ITEM_MIXING_SYRINGE: return "kit_mixing_syringe";
    case ITEM_MIXING_NEEDLE: return "kit_mixing_needle";
    case ITEM_INJECTING_NEEDLE: return "kit_injecting_needle";
    case ITEM_PEN: return "kit_pen";
    case ITEM_SUPPLY: return "kit_supply";
    }
    g_assert_not_reached();
}

static const char *job_phrase(const Wording *wording, const Item *item)
{
    const WayRow *way = way_row(wording->injection->way);
    switch (item->kind) {
    case ITEM_MEDICINE: return way->medicine_job;
    case ITEM_DILUENT: return plan_draws_ampoule(wording->injection) ? "job_ampoule" : "job_diluent";
    case ITEM_SYRINGE:
        if (wording->paged && plan_has_fixed_needle(wording->injection))
            return "job_syringe_fixed"; /* two syringes of one size are told apart */
        return plan_mixes_apart(wording->injection) ? "job_syringe_ready" : way->syringe_job;
    case ITEM_DRAWING_NEEDLE: return "job_drawing_needle";
    case ITEM_MIXING_SYRINGE: return "job_mixing_syringe";
    case ITEM_MIXING_NEEDLE: return "job_mixing_needle";
    case ITEM_INJECTING_NEEDLE: return "job_injecting_needle";
    case ITEM_PEN: return "job_pen";
    case ITEM_SUPPLY: return item->supply == Supply_SHARPS_BOX ? "job_sharps" : NULL;
    }
    g_assert_not_reached();
}

static const char *used_phrase(const Wording *wording, ItemKind kind, gboolean before)
{
    const PlanInjection *injection = wording->injection;
    switch (kind) {
    case ITEM_MEDICINE:
        if (way_row(injection->way)->mixes)
            return before || !condition_holds(wording, "whole") ? "used_powder_part" : "used_powder";
        return container_of(injection)->used;
    case ITEM_DILUENT: return plan_draws_ampoule(injection) ? "used_ampoule" : "used_liquid";
    case ITEM_MIXING_SYRINGE: return "used_mixing_syringe";
    case ITEM_MIXING_NEEDLE: return "used_mixing_needle";
    case ITEM_SYRINGE: return "used_syringe";
    case ITEM_DRAWING_NEEDLE: return "used_needle";
    case ITEM_INJECTING_NEEDLE: return "used_injecting";
    case ITEM_PEN: return "used_pen";
    case ITEM_SUPPLY: break;
    }
    g_assert_not_reached();
}

/* On a sheet, what one injection takes; on the clinic's pages, all that is handed out. */
static gint64 shown_count(const Wording *wording, const Item *item, gboolean whole)
{
    if (wording->paged) /* once for all days; of what two injections share, each its part */
        return wording->injections->len > 1 && item->kind == ITEM_SUPPLY ? item->used : item->count;
    gboolean course = wording->injection->acts->len > 1, shared = wording->plan->injections->len > 1;
    return !whole && (course || (shared && item->kind == ITEM_SUPPLY)) ? item->used : item->count;
}

/* Its count and name; of a part of what is handed out, the name alone. */
static Line *item_name(const Wording *wording, const Item *from, int shown)
{
    const char *thing = from->kind == ITEM_SUPPLY ? wording_word(wording, (ChoiceWord)from->supply, shown) : "";
    const Filling filling[] = {{"n", arena_format(wording->arena, "%d", shown)}, {"thing", thing}, {NULL, NULL}};
    gboolean part = shown != from->count && from->kind != ITEM_SUPPLY;
    if (!part)
        return wording_line(wording, name_phrase(wording, from), filling, shown);
    if (from->kind == ITEM_SYRINGE)
        return wording_line(wording, "kit_syringe_one", filling, shown);
    Line *line = wording_line(wording, used_phrase(wording, from->kind, TRUE), filling, shown);
    for (guint i = 0; i < line->runs->len; i++)
        ((Run *)g_ptr_array_index(line->runs, i))->strong = TRUE;
    return line;
}

static void item_job(const Wording *wording, Block *item, const Item *from)
{
    const char *job = job_phrase(wording, from);
    gboolean all = item->number == from->count;
    if (job)
        add_phrase(wording, item, job);
    const Value *spare = plan_value(wording->plan, wording->injection, VALUE_spare_needles);
    if (from->kind == ITEM_INJECTING_NEEDLE && all && spare->set && spare->number > 0)
        add_phrase(wording, item, "job_spare");
    if (from->kind == ITEM_MEDICINE && !all && way_row(wording->injection->way)->use == USE_DIALLED)
        add_phrase(wording, item, plan_takes_cartridge(wording->injection) ? "job_new_cartridge" : "job_new_pen");
}

/* Things to inject with, then things for the skin and for clearing away. */
static void kit(const Wording *wording, Block *block, gboolean whole)
{
    gboolean supplies = FALSE;
    for (guint i = 0; i < wording->injection->kit->len; i++) {
        const Item *from = g_ptr_array_index(wording->injection->kit, i);
        Block *item = add_item(wording, block, BLOCK_ITEM);
        item->number = (int)shown_count(wording, from, whole);
        item->thing = wording_thing(wording, from, item->number);
        if (wording->paged)
            item->thing = wording_drawn(wording, from, item->number);
        if (!wording->paged && (i == 0 || supplies != (from->kind == ITEM_SUPPLY))) {
            supplies = from->kind == ITEM_SUPPLY;
            item->title = wording_line(wording, supplies ? "title_kit_supplies" : "title_kit_things", NULL, 0);
        }
        add_line(item, item_name(wording, from, item->number));
        item_job(wording, item, from);
    }
}

void packing_lines(Wording *wording, GPtrArray *out)
{
    Block *things = block_new(wording, BLOCK_KIT, "packing");
    kit(wording, things, TRUE);
    for (guint i = 0; i < things->items->len; i++) {
        const Block *item = g_ptr_array_index(things->items, i);
        Line *line = g_ptr_array_index(item->lines, 0);
        for (guint j = 1; j < item->lines->len; j++) {
            const Line *job = g_ptr_array_index(item->lines, j);
            Line *joint = line_of_text(wording->arena, wording_plain(wording, "format_list", NULL, 0));
            g_ptr_array_add(line->runs, g_ptr_array_index(joint->runs, 0));
            for (guint k = 0; k < job->runs->len; k++)
                g_ptr_array_add(line->runs, g_ptr_array_index(job->runs, k));
        }
        g_ptr_array_add(out, line);
    }
}

static void list_thing(const Wording *wording, GString *list, const char *words)
{
    g_string_append_printf(list, "%s%s", list->len ? wording_plain(wording, "format_list", NULL, 0) : "", words);
}

gint64 item_left(const Plan *plan, const PlanInjection *injection, const Item *item)
{
    if (item->kind == ITEM_DILUENT && injection->openings < plan_days(injection))
        return 0; /* a mixed vial serves days on which no liquid is opened */
    if (item->kind == ITEM_MEDICINE || item->kind == ITEM_DILUENT)
        return item->used;
    gboolean once = injection->acts->len == 1 && item->kind != ITEM_SYRINGE;
    gboolean supply = item->kind == ITEM_SUPPLY;
    if (!once || (supply && (item->supply == Supply_SHARPS_BOX || plan->injections->len > 1))) /* still in use */
        return 0;
    return item->count - item->used;
}

const char *things_left(const Wording *wording)
{
    const PlanInjection *injection = wording->injection;
    g_autoptr(GString) list = g_string_new(NULL);
    for (guint i = 0; i < injection->kit->len; i++) {
        const Item *item = g_ptr_array_index(injection->kit, i);
        if (item->kind != ITEM_MEDICINE && item->kind != ITEM_DILUENT) /* the rest is in the picture */
            continue;
        const Filling filling[] = {{"n", arena_format(wording->arena, "%" G_GINT64_FORMAT, item->used)}, {NULL, NULL}};
        list_thing(wording, list, wording_plain(wording, used_phrase(wording, item->kind, FALSE), filling, item->used));
    }
    return arena_copy(wording->arena, list->str);
}

/* All that is handed out for a course: things of the injection, or supplies. */
static const char *all_things(const Wording *wording, gboolean supplies)
{
    const PlanInjection *injection = wording->injection;
    g_autoptr(GString) list = g_string_new(NULL);
    for (guint i = 0; i < injection->kit->len; i++) {
        const Item *item = g_ptr_array_index(injection->kit, i);
        if ((item->kind == ITEM_SUPPLY) != supplies)
            continue;
        const char *count = arena_format(wording->arena, "%" G_GINT64_FORMAT, item->count);
        const Filling filling[] = {{"n", count}, {NULL, NULL}};
        const char *words = supplies ? arena_format(wording->arena, "%s%s%s", count, NO_BREAK_SPACE,
                                                    wording_word(wording, (ChoiceWord)item->supply, item->count))
                                     : wording_plain(wording, used_phrase(wording, item->kind, TRUE), filling,
                                                     item->count);
        list_thing(wording, list, words);
    }
    return arena_copy(wording->arena, list->str);
}

/* ---- steps ---- */

/* "Turn the vial over. *Figure B*": the pointer follows the step's words. */
static void point_at(const Wording *wording, Line *line, const Figure *figure)
{
    const Filling filling[] = {{"letter", figure->letter}, {NULL, NULL}};
    const Line *pointer = wording_line(wording, "see_figure", filling, 0);
    for (guint i = 0; i < pointer->runs->len; i++) {
        Run *run = g_ptr_array_index(pointer->runs, i);
        if (i > 0) /* after the space before them, its words stay together */
            run->text = wording_unbroken(wording->arena, run->text);
        g_ptr_array_add(line->runs, run);
    }
}

static const char *place_phrase(const Wording *wording)
{
    ChoiceWord site = choice_value(&wording->injection->order->site.at);
    return arena_format(wording->arena, "place_%s", choice_row(site)->phrase + strlen("word_"));
}

static const char *step_phrase(const Wording *wording, const Step *step)
{
    gboolean dated = plan_value(wording->plan, wording->injection, VALUE_expires)->set;
    if (step->id == STEP_check_box && dated)
        return "step_check_box_date";
    return arena_format(wording->arena, "step_%s", step_row(step->id)->id);
}

static void more_of_spot(const Wording *wording, Block *item)
{
    add_phrase(wording, item, place_phrase(wording));
    if (!condition_holds(wording, "course"))
        return;
    if (condition_holds(wording, "spots"))
        add_phrase(wording, item, "place_new_spot");
    if (condition_holds(wording, "sides"))
        add_phrase(wording, item, "place_other_side");
}

/* What a step says below its first line. */
static void more_lines(const Wording *wording, Block *item, StepId id)
{
    if (id == STEP_air_out && !plan_gives_all(wording->injection))
        add_phrase(wording, item, "air_note");
    if (id == STEP_cartridge_in_if_none)
        add_phrase(wording, item, "cartridge_rest");
    if (id == STEP_look_zero)
        add_phrase(wording, item, "zero_words");
    if (id == STEP_check_box && way_row(wording->injection->way)->mixes)
        add_phrase(wording, item, "check_liquid");
    if (id == STEP_find_spot)
        more_of_spot(wording, item);
}

static void add_step(Wording *wording, Block *block, const Step *step)
{
    const StepRow *row = step_row(step->id);
    const char *used = step->id == STEP_count_empties ? things_left(wording) : "";
    const Filling filling[] = {{"vial", arena_format(wording->arena, "%d", step->vial)}, {"used", used}, {NULL, NULL}};
    Block *item = add_item(wording, block, BLOCK_STEP);
    item->number = ++wording->step;
    if (step->id == STEP_tip_in_vial)
        item->title = wording_line(wording, "title_take", NULL, 0);
    if (step->id == STEP_next_vial_draw)
        item->title = wording_line(wording, "title_vial", filling, 0);
    Line *line = wording_line(wording, step_phrase(wording, step), filling, step->vial);
    add_line(item, line);
    more_lines(wording, item, step->id);
    item->stays = step_row(step->id)->turn == TURN_NEVER;
    item->stays_if_room = step_row(step->id)->turn == TURN_IF_FULL;
    if (row->figure == FIGURE_NONE || !figure_can_be_drawn(wording, row->figure))
        return;
    Figure *figure = wording_figure(wording, row->figure);
    g_ptr_array_add(item->figures, figure);
    point_at(wording, line, figure);
}

static void steps(Wording *wording, Block *block, Section section)
{
    for (guint i = 0; i < wording->injection->steps->len; i++) {
        const Step *step = g_ptr_array_index(wording->injection->steps, i);
        if (step->section == section)
            add_step(wording, block, step);
    }
}

/* ---- lists ---- */

static void sayings(const Wording *wording, Block *block, const List *list)
{
    for (guint i = 0; i < list->items->len; i++) {
        const Saying *saying = g_ptr_array_index(list->items, i);
        if (PRESENT(*saying))
            add_line(block, line_of_text(wording->arena, saying_text(wording, saying)));
    }
}

/* The other injections of the same protocol, each by its own sheet. */
static void others(const Wording *wording, Block *block)
{
    for (guint i = 0; i < wording->plan->injections->len; i++) {
        Wording other = *wording;
        other.injection = g_ptr_array_index(wording->plan->injections, i);
        if (other.injection != wording->injection)
            add_line(block, wording_line(&other, "other_injection", NULL, 0));
    }
}

/* After the first of two, the second. */
static void next_of_sheet(const Wording *wording, Block *block)
{
    for (guint i = 0; i + 1 < wording->injections->len; i++) {
        if (g_ptr_array_index(wording->injections, i) != wording->injection)
            continue;
        Wording next = *wording;
        wording_turn_to(&next, i + 1);
        const Filling which[] = {{"which", next.mark}, {NULL, NULL}};
        add_line(block, wording_line(&next, "next_words", which, 0));
        add_line(block, wording_line(&next, "next_call", which, 0));
    }
}

/* What was accepted, in words; the rule's short name is for those who write protocols. */
static const char *rule_words(const Acceptance *acceptance)
{
    RuleId id;
    return rule_find(acceptance->rule.text, &id) ? rule_row(id)->message : acceptance->rule.text;
}

/* What one day of a course takes. */
static void each_day(const Wording *wording, Block *block)
{
    const Filling things[] = {{"used", all_things(wording, FALSE)}, {NULL, NULL}};
    const Filling supplies[] = {{"used", all_things(wording, TRUE)}, {NULL, NULL}};
    add_line(block, wording_line(wording, "each_day_words", things, 0));
    add_line(block, wording_line(wording, "each_day_supplies", supplies, 0));
    const Value *spare = plan_value(wording->plan, wording->injection, VALUE_spare_needles);
    if (spare->set && spare->number > 0)
        add_phrase(wording, block, "each_day_spares");
}

/* What several injections share. */
static void shared(const Wording *wording, Block *block)
{
    const Filling supplies[] = {{"used", all_things(wording, TRUE)}, {NULL, NULL}};
    add_line(block, wording_line(wording, "shared_words", supplies, 0));
}

static void acceptances(const Wording *wording, Block *block)
{
    const GPtrArray *lists[] = {wording->plan->protocol->acceptances.items,
                                wording->plan->patient->acceptances.items};
    for (gsize list = 0; list < G_N_ELEMENTS(lists); list++)
        for (guint i = 0; i < lists[list]->len; i++) {
            const Acceptance *acceptance = g_ptr_array_index(lists[list], i);
            add_line(block, line_of_text(wording->arena,
                                         arena_format(wording->arena, "%s: %s (%s)", rule_words(acceptance),
                                                      acceptance->because.text, acceptance->by.text)));
        }
}

static void from_source(Wording *wording, Block *block, const char *source)
{
    const Advice *advice = &wording->plan->clinic->advice;
    Section section;
    if (section_named(source, &section))
        steps(wording, block, section);
    else if (strcmp(source, "normal") == 0)
        sayings(wording, block, &advice->normal);
    else if (strcmp(source, "emergency") == 0)
        sayings(wording, block, &advice->emergency);
    else if (strcmp(source, "each_day") == 0)
        each_day(wording, block);
    else if (strcmp(source, "shared") == 0)
        shared(wording, block);
    else if (strcmp(source, "notes") == 0)
        sayings(wording, block, &wording->injection->order->notes);
    else if (strcmp(source, "others") == 0)
        others(wording, block);
    else if (strcmp(source, "next") == 0)
        next_of_sheet(wording, block);
    else if (strcmp(source, "night") == 0)
        call_night(wording, block);
    else if (strcmp(source, "signs") == 0)
        sayings(wording, block, &advice->signs);
    else
        acceptances(wording, block);
}

static void own_lines(Wording *wording, Block *block, const TemplateBlock *template)
{
    for (guint i = 0; i < template->lines->len; i++) {
        const TemplateLine *line = g_ptr_array_index(template->lines, i);
        if (!conditions_hold(wording, line->conditions))
            continue;
        Block *to = template->kind == BLOCK_CHECKS ? add_item(wording, block, BLOCK_CHECK) : block;
        add_line(to, counted_line(wording, line->phrase));
    }
    if (template->kind == BLOCK_LEAD && block->lines->len != LEAD_LINES)
        finding_fact(finding_add(wording->diagnostics, RULE_template_form, template->place),
                     "a lead has %d lines, this one %u", LEAD_LINES, block->lines->len);
}

void block_from(Wording *wording, Block *block, const TemplateBlock *template)
{
    if (template->source)
        from_source(wording, block, template->source);
}

void block_fill(Wording *wording, Block *block, const TemplateBlock *template)
{
    block->boxed = template->boxed;
    if (template->source && template->kind != BLOCK_NOTE && template->kind != BLOCK_TABLE)
        from_source(wording, block, template->source);
    if (!block_holds_blocks(template->kind))
        own_lines(wording, block, template);
    if (template->figure != FIGURE_NONE)
        g_ptr_array_add(block->figures, wording_figure(wording, template->figure));
    if (template->kind == BLOCK_CALL && !template->source)
        call(wording, block);
    else if (template->kind == BLOCK_LADDER)
        ladder(wording, block);
    else if (template->kind == BLOCK_DATES)
        dates(wording, block);
    else if (template->kind == BLOCK_LABELS)
        block->number = (int)wording->injection->acts->len;
    else if (template->kind == BLOCK_KIT)
        kit(wording, block, FALSE);
    bands_fill(wording, block, template);
}
