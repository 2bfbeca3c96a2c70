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

static void draw_number(const Setter *setter, int number, double x, double y)
{
    g_autofree char *text = g_strdup_printf("%d", number);
    const InkRun run = {text, TRUE, NULL};
    InkStyle style = type(setter, 14, TRUE);
    style.align = INK_RIGHT;
    ink_tag(setter->ink, "Lbl");
    ink_text_draw(setter->ink, style, &run, 1, x, y, NUMBER);
    ink_untag(setter->ink, "Lbl");
}

static void place_figure(const Setter *setter, const Block *step, const Figure *figure, double x, double y)
{
    Extent extent = figure_extent(setter, figure, setter->width);
    if (stands_beside(setter, figure))
        figure_place(setter, figure, x + setter->width - extent.width, y, extent.width);
    else
        figure_place(setter, figure, x, y + text_height(setter, step, text_width(setter, figure)) + 2, setter->width);
}

static void draw_step(const Setter *setter, const Piece *piece, double x, double y)
{
    const Block *step = piece->block;
    const Figure *figure = figure_of(step);
    double width = text_width(setter, figure), at = y;
    ink_tick_box(setter->ink, x, y + 0.6, TICK);
    ink_tag(setter->ink, "LI");
    draw_number(setter, step->number, x + TICK, y);
    ink_tag(setter->ink, "LBody");
    for (guint i = 0; i < step->lines->len; i++)
        at += tagged_line(setter, "P", type(setter, 14, FALSE), g_ptr_array_index(step->lines, i), x + TEXT_LEFT, at,
                          width);
    if (figure)
        place_figure(setter, step, figure, x, y);
    ink_untag(setter->ink, "LBody");
    ink_untag(setter->ink, "LI");
}

void pieces_of_steps(Setter *setter, const Block *block)
{
    gboolean opens = FALSE;
    for (guint i = 0; i < block->items->len; i++) {
        const Block *step = g_ptr_array_index(block->items, i);
        const Figure *figure = figure_of(step);
        if (step->title)
            title_in_list(setter, step);
        opens = step->title != NULL;
        double height = text_height(setter, step, text_width(setter, figure));
        if (figure) {
            double drawing = figure_extent(setter, figure, setter->width).height;
            height = stands_beside(setter, figure) ? MAX(height, drawing) : height + 2 + drawing;
        }
        Piece *piece = piece_add(setter, draw_step, height, 2.6);
        piece->block = step;
        piece->opens = opens ? "L" : NULL;
        gboolean first_of_list = i == 0 && block->items->len > 1;
        piece->keep = step->stays || step->stays_if_room || first_of_list;
        piece->yields = !step->stays;
    }
}
