/* wording_blocks: each kind of block, filled from the plan. */
#include <string.h>

#include "wording/parts.h"

#define NO_BREAK_SPACE "\302\240"

Block *block_new(Arena *arena, BlockKind kind, const char *role)
{
    Block *block = arena_new0(arena, Block);
    block->kind = kind;
    block->role = role;
    block->lines = arena_list(arena);
    block->items = arena_list(arena);
    block->figures = arena_list(arena);
    return block;
}

const Block *panel_in_block(const Block *block, const char *name)
{
    if (block->kind == BLOCK_PANEL && strcmp(block->role, name) == 0)
        return block;
    for (guint i = 0; i < block->items->len; i++) {
        const Block *found = panel_in_block(g_ptr_array_index(block->items, i), name);
        if (found)
            return found;
    }
    return NULL;
}

static Block *add_item(const Wording *wording, Block *parent, BlockKind kind)
{
    Block *item = block_new(wording->arena, kind, parent->role);
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

/* ---- times ---- */

/* With a pen in a course a new container is taken out of the cold, not the medicine. */
static const char *rung_phrase(const Wording *wording, RungKind kind)
{
    const PlanInjection *injection = wording->injection;
    const RungRow *row = rung_row(kind);
    if (way_row(injection->way)->use == USE_DIALLED && kind == RUNG_TAKE_OUT && condition_holds(wording, "course"))
        return plan_takes_cartridge(injection) ? "rung_TAKE_OUT_CARTRIDGE" : "rung_TAKE_OUT_PEN";
    if (kind == RUNG_CHECK_KIT && condition_holds(wording, "together"))
        return "rung_CHECK_KIT_PAGE"; /* page one has no room for two kits */
    if (kind == RUNG_START && condition_holds(wording, "mixes_apart"))
        return "rung_START_MIX"; /* on a page of its own */
    const char *ending = "";
    switch (way_row(injection->way)->use) {
    case USE_DRAWN: ending = plan_fills_last(injection) ? row->fixed : ""; break;
    case USE_FILLED: ending = row->filled; break;
    case USE_DIALLED: ending = row->pen; break;
    }
    return arena_format(wording->arena, "rung_%s%s", row->id, ending);
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

/* ---- the kit ---- */

/* A plan that prints names a medicine of the shelf, which says what it comes in. */
static const ContainerRow *container_of(const PlanInjection *injection)
{
    return container_row(injection->medicine->container.value);
}

/* What it draws from stands mixed already, from an injection before. */
static gboolean mixed_before(const PlanInjection *injection)
{
    return way_row(injection->way)->mixes && !plan_opens_yet(injection);
}

static const char *name_phrase(const Wording *wording, const Item *item)
{
    switch (item->kind) {
    case ITEM_MEDICINE:
        if (mixed_before(wording->injection))
            return "kit_medicine_mixed";
        return way_row(wording->injection->way)->mixes ? "kit_medicine_powder" : container_of(wording->injection)->kit;
    case ITEM_DILUENT: return plan_draws_ampoule(wording->injection) ? "kit_diluent_ampoule" : "kit_diluent";
    case ITEM_SYRINGE: return plan_mixes_apart(wording->injection) ? "kit_syringe_apart" : "kit_syringe";
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
    case ITEM_MEDICINE: return mixed_before(wording->injection) ? "job_medicine_mixed" : way->medicine_job;
    case ITEM_DILUENT: return plan_draws_ampoule(wording->injection) ? "job_ampoule" : "job_diluent";
    case ITEM_SYRINGE:
        if (plan_has_fixed_needle(wording->injection))
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

/* All that is still needed, once; of what two injections share, each its part, but for the clinic the whole. */
static gint64 shown_count(const Wording *wording, const Item *item, gboolean whole)
{
    return !whole && wording->injections->len > 1 && item->kind == ITEM_SUPPLY ? item->used : item->left;
}

/* Its count and name; of a part of what is handed out, the name alone. */
static Line *item_name(const Wording *wording, const Item *from, int shown)
{
    const char *thing = from->kind == ITEM_SUPPLY ? wording_word(wording, (ChoiceWord)from->supply, shown) : "";
    const Filling filling[] = {{"n", arena_format(wording->arena, "%d", shown)}, {"thing", thing}, {NULL, NULL}};
    gboolean part = shown != from->left && from->kind != ITEM_SUPPLY;
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
    gboolean all = item->number == from->left;
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
    for (guint i = 0; i < wording->injection->kit->len; i++) {
        const Item *from = g_ptr_array_index(wording->injection->kit, i);
        if (from->left == 0) /* used up on the days that are done */
            continue;
        Block *item = add_item(wording, block, BLOCK_ITEM);
        item->number = (int)shown_count(wording, from, whole);
        item->thing = wording_drawn(wording, from, item->number);
        add_line(item, item_name(wording, from, item->number));
        item_job(wording, item, from);
    }
}

void packing_lines(Wording *wording, GPtrArray *out)
{
    Block *things = block_new(wording->arena, BLOCK_KIT, "packing");
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

gint64 item_left(const PlanInjection *injection, const Item *item)
{
    if (item->kind == ITEM_MEDICINE && way_row(injection->way)->mixes && injection->opened_for_more)
        return 0; /* it is put away again */
    if (item->kind == ITEM_DILUENT && injection->openings < plan_days(injection))
        return 0; /* a mixed vial serves days on which no liquid is opened */
    return item->kind == ITEM_MEDICINE || item->kind == ITEM_DILUENT ? item->used : 0;
}

const char *things_left(const Wording *wording)
{
    const PlanInjection *injection = wording->injection;
    g_autoptr(GString) list = g_string_new(NULL);
    for (guint i = 0; i < injection->kit->len; i++) {
        const Item *item = g_ptr_array_index(injection->kit, i);
        if (item_left(injection, item) == 0)
            continue;
        const Filling filling[] = {{"n", arena_format(wording->arena, "%" G_GINT64_FORMAT, item->used)}, {NULL, NULL}};
        list_thing(wording, list, wording_plain(wording, used_phrase(wording, item->kind, FALSE), filling, item->used));
    }
    return arena_copy(wording->arena, list->str);
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

/* After the first of two, the second. */
static void next_of_sheet(const Wording *wording, Block *block)
{
    for (guint i = 0; i + 1 < wording->injections->len; i++) {
        if (g_ptr_array_index(wording->injections, i) != wording->injection)
            continue;
        Wording next = *wording;
        wording_turn_to(&next, i + 1);
        const Filling which[] = {{"which", wording_which(&next)}, {NULL, NULL}};
        add_line(block, wording_line(&next, "next_words", which, 0));
        add_line(block, wording_line(&next, "next_call", which, 0));
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

/* The days of a course that are left, by weekday and number. */
static void dates(const Wording *wording, Block *block)
{
    const PlanInjection *injection = wording->injection;
    g_autoptr(GString) list = g_string_new(NULL);
    for (guint i = injection->done; i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        list_thing(wording, list, wording_unbroken(wording->arena, wording_day(wording, act->at.local.day)));
    }
    const Filling filling[] = {{"date", arena_copy(wording->arena, list->str)}, {NULL, NULL}};
    add_line(block, wording_line(wording, "course_dates", filling, 0));
}

/* What was accepted, in words; the rule's short name is for those who write protocols. */
static const char *rule_words(const Acceptance *acceptance)
{
    RuleId id;
    return rule_find(acceptance->rule.text, &id) ? rule_row(id)->message : acceptance->rule.text;
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
    if (strcmp(source, "normal") == 0)
        sayings(wording, block, &advice->normal);
    else if (strcmp(source, "emergency") == 0)
        sayings(wording, block, &advice->emergency);
    else if (strcmp(source, "notes") == 0)
        sayings(wording, block, &wording->injection->order->notes);
    else if (strcmp(source, "others") == 0)
        others(wording, block);
    else if (strcmp(source, "next") == 0)
        next_of_sheet(wording, block);
    else if (strcmp(source, "dates") == 0)
        dates(wording, block);
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
        add_line(block, counted_line(wording, line->phrase));
    }
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
    if (template->kind == BLOCK_LADDER)
        ladder(wording, block);
    else if (template->kind == BLOCK_KIT)
        kit(wording, block, FALSE);
    bands_fill(wording, block, template);
}
