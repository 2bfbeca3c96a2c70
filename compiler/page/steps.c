/* page_steps: a step, its number, its tick box and its figure, never apart. */
#include "page/parts.h"

#define TICK 5.5
#define NUMBER 10.0
#define TEXT_LEFT (TICK + NUMBER + 3)
#define BESIDE 70.0 /* a figure no wider stands beside its step */

static const Figure *figure_of(const Block *step)
{
    return step->figures->len > 0 ? g_ptr_array_index(step->figures, 0) : NULL;
}

static gboolean stands_beside(const Setter *setter, const Figure *figure)
{
    return figure && setter->spec.body <= 14 && figure_extent(setter, figure, setter->width).width <= BESIDE;
}

static double text_width(const Setter *setter, const Figure *figure)
{
    double width = setter->width - TEXT_LEFT - 1;
    if (stands_beside(setter, figure))
        width -= figure_extent(setter, figure, setter->width).width + 6;
    return MIN(measure(setter), width);
}

static double text_height(const Setter *setter, const Block *step, double width)
{
    double height = 0;
    for (guint i = 0; i < step->lines->len; i++)
        height += line_height(setter, type(setter, 14, FALSE), g_ptr_array_index(step->lines, i), width);
    return MAX(height, TICK + 1);
}

static void add_number(Setter *setter, int number, double x)
{
    g_autofree char *text = g_strdup_printf("%d", number);
    const InkRun run = {arena_copy(setter->arena, text), TRUE, NULL};
    InkStyle style = type(setter, 14, TRUE);
    style.align = INK_RIGHT;
    add_runs(setter, "Lbl", style, &run, 1, x, 0, NUMBER);
}

/* Returns how far down it reaches. */
static double place_figure(Setter *setter, const Block *step, const Figure *figure)
{
    Extent extent = figure_extent(setter, figure, setter->width);
    gboolean beside = stands_beside(setter, figure);
    double y = beside ? 0 : text_height(setter, step, text_width(setter, figure)) + 2;
    if (beside)
        add_figure(setter, figure, setter->width - extent.width, 0, extent.width);
    else
        add_figure(setter, figure, 0, y, setter->width);
    return y + extent.height;
}

static double add_step(Setter *setter, const Block *step)
{
    const Figure *figure = figure_of(step);
    double width = text_width(setter, figure), at = 0, drawn = 0;
    box_add(&setter->pile, BOX_TICK, 0, 0.6, TICK, TICK);
    box_open(&setter->pile, "LI");
    add_number(setter, step->number, TICK);
    box_open(&setter->pile, "LBody");
    for (guint i = 0; i < step->lines->len; i++)
        at += add_line(setter, "P", type(setter, 14, FALSE), g_ptr_array_index(step->lines, i), TEXT_LEFT, at, width);
    if (figure)
        drawn = place_figure(setter, step, figure);
    box_close(&setter->pile);
    box_close(&setter->pile);
    return MAX(MAX(at, TICK + 1), drawn);
}

void pieces_of_steps(Setter *setter, const Block *block)
{
    gboolean opens = FALSE;
    for (guint i = 0; i < block->items->len; i++) {
        const Block *step = g_ptr_array_index(block->items, i);
        if (step->title)
            title_in_list(setter, step);
        opens = step->title != NULL;
        Piece *piece = piece_open(setter, 2.6);
        piece->begins = step->title ? line_text(setter->arena, step->title)
                        : step->lines->len > 0 ? line_text(setter->arena, g_ptr_array_index(step->lines, 0)) : "";
        piece->opens = opens ? "L" : NULL;
        gboolean first_of_list = i == 0 && block->items->len > 1;
        piece->keep = step->stays || step->stays_if_room || first_of_list;
        piece->yields = !step->stays;
        piece_close(setter, piece, add_step(setter, step));
    }
}
