/* wording_tables: rows of cells to find, to read and to write in: the days of a course, and
 * what the clinic packs, asks and notes. */
#include <string.h>

#include "wording/parts.h"

#define CALLS 2 /* lines for telephone calls; common practice, no source */
#define TICK_BOX "\342\230\220"

static void add_cell(const Wording *wording, Block *row, const char *phrase, const Filling *filling)
{
    g_ptr_array_add(row->lines, wording_line(wording, phrase, filling, 0));
}

/* Right and left in turn, right first, as Rotation_SIDES says. */
static const char *side_phrase(guint act) { return act % 2 == 0 ? "side_right" : "side_left"; }

/* Which cartridge or pen, and whether it is begun on this day. */
static void container_cell(const Wording *wording, Block *row, guint act)
{
    const PlanInjection *injection = wording->injection;
    const Filling filling[] = {{"n", arena_format(wording->arena, "%u", plan_container_of(injection, act))},
                               {NULL, NULL}};
    add_cell(wording, row, plan_begins_new(injection, act) ? "day_container_new" : "day_container", filling);
}

static void add_day(const Wording *wording, Block *block, guint act)
{
    const Value value = {.set = TRUE, .moment = ((const Act *)g_ptr_array_index(wording->injection->acts, act))->at};
    const Filling filling[] = {{"act_date", wording_value(wording, &value, KIND_MOMENT, FORM_DATE)}, {NULL, NULL}};
    Block *row = block_new(wording->arena, BLOCK_ROW, block->role);
    row->number = (int)act + 1;
    add_cell(wording, row, "day_date", filling);
    if (condition_holds(wording, "sides"))
        add_cell(wording, row, side_phrase(act), NULL);
    if (condition_holds(wording, "numbered"))
        container_cell(wording, row, act);
    add_cell(wording, row, "day_box", NULL);
    add_cell(wording, row, "day_box", NULL);
    g_ptr_array_add(block->items, row);
}

static void days_fill(const Wording *wording, Block *block)
{
    add_cell(wording, block, "head_date", NULL);
    if (condition_holds(wording, "sides"))
        add_cell(wording, block, "head_side", NULL);
    if (condition_holds(wording, "numbered"))
        add_cell(wording, block, plan_takes_cartridge(wording->injection)  ? "head_cartridge"
                                 : condition_holds(wording, "pen")         ? "head_pen"
                                                                           : "head_vial", NULL);
    add_cell(wording, block, "head_time", NULL);
    add_cell(wording, block, "head_by", NULL);
    for (guint i = wording->injection->done; i < wording->injection->acts->len; i++)
        add_day(wording, block, i);
}

/* ---- the clinic's ---- */

static Block *add_row(const Wording *wording, Block *block)
{
    Block *row = block_new(wording->arena, BLOCK_ROW, block->role);
    g_ptr_array_add(block->items, row);
    return row;
}

static void add_box(const Wording *wording, Block *row, gboolean tick)
{
    Line *line = line_of_text(wording->arena, tick ? TICK_BOX : "");
    if (!tick)
        g_ptr_array_set_size(line->runs, 0);
    g_ptr_array_add(row->lines, line);
}

/* Each thing, ticked by one and by another. */
static void packing_fill(Wording *wording, Block *block)
{
    g_autoptr(GPtrArray) things = g_ptr_array_new();
    packing_lines(wording, things);
    for (guint i = 0; i < things->len; i++) {
        Block *row = add_row(wording, block);
        g_ptr_array_add(row->lines, g_ptr_array_index(things, i));
        add_box(wording, row, TRUE);
        add_box(wording, row, TRUE);
    }
}

/* What stands in its lines becomes rows, each with boxes; its title the first head. */
static void lines_fill(const Wording *wording, Block *block, gboolean tick)
{
    g_autoptr(GPtrArray) lines = g_ptr_array_copy(block->lines, NULL, NULL);
    g_ptr_array_set_size(block->lines, 0);
    g_ptr_array_add(block->lines, block->title);
    block->title = NULL;
    add_cell(wording, block, tick ? "head_alone" : "day_box", NULL);
    if (tick)
        add_cell(wording, block, "head_helped", NULL);
    for (guint i = 0; i < lines->len; i++) {
        Block *row = add_row(wording, block);
        g_ptr_array_add(row->lines, g_ptr_array_index(lines, i));
        add_box(wording, row, tick);
        if (tick)
            add_box(wording, row, tick);
    }
}

static void calls_fill(const Wording *wording, Block *block)
{
    for (int i = 0; i < CALLS; i++) {
        Block *row = add_row(wording, block);
        for (guint cell = 0; cell < block->lines->len; cell++)
            add_box(wording, row, FALSE);
    }
}

void table_fill(Wording *wording, Block *block, const char *source)
{
    if (g_strcmp0(source, "days") == 0)
        days_fill(wording, block);
    else if (g_strcmp0(source, "packing") == 0)
        packing_fill(wording, block);
    else if (g_strcmp0(source, "calls") == 0)
        calls_fill(wording, block);
    else
        lines_fill(wording, block, g_strcmp0(source, "ticked") == 0);
}
