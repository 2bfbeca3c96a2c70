/* wording_days: the days of a course as rows to find, to read and to write in. */
#include "wording/parts.h"

static void add_cell(const Wording *wording, Block *row, const char *phrase, const Filling *filling)
{
    g_ptr_array_add(row->lines, wording_line(wording, phrase, filling, 0));
}

/* Right and left in turn, right first, as Rotation_SIDES says. */
static const char *side_phrase(guint act) { return act % 2 == 0 ? "side_right" : "side_left"; }

/* Which cartridge or pen, and whether it is begun on this day. */
static void container_cell(const Wording *wording, Block *row, guint act)
{
    guint each = (guint)MAX(1, plan_doses_each(wording->injection));
    const Filling filling[] = {{"n", arena_format(wording->arena, "%u", act / each + 1)}, {NULL, NULL}};
    add_cell(wording, row, act % each == 0 ? "day_container_new" : "day_container", filling);
}

static void add_day(const Wording *wording, Block *block, guint act)
{
    const Value value = {.set = TRUE, .moment = ((const Act *)g_ptr_array_index(wording->injection->acts, act))->at};
    const Filling filling[] = {{"act_date", wording_value(wording, &value, KIND_MOMENT, FORM_DATE)}, {NULL, NULL}};
    Block *row = block_new(wording, BLOCK_ROW, block->role);
    row->number = (int)act + 1;
    add_cell(wording, row, "day_date", filling);
    if (condition_holds(wording, "sides"))
        add_cell(wording, row, side_phrase(act), NULL);
    if (condition_holds(wording, "pen"))
        container_cell(wording, row, act);
    add_cell(wording, row, "day_box", NULL);
    add_cell(wording, row, "day_box", NULL);
    g_ptr_array_add(block->items, row);
}

void days_fill(const Wording *wording, Block *block)
{
    add_cell(wording, block, "head_date", NULL);
    if (condition_holds(wording, "sides"))
        add_cell(wording, block, "head_side", NULL);
    if (condition_holds(wording, "pen"))
        add_cell(wording, block, plan_takes_cartridge(wording->injection) ? "head_cartridge" : "head_pen", NULL);
    add_cell(wording, block, "head_time", NULL);
    add_cell(wording, block, "head_by", NULL);
    for (guint i = 0; i < wording->injection->acts->len; i++)
        add_day(wording, block, i);
}
