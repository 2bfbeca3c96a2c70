/* page_put: words, pictures and ticks on the grid. */
#include "page/parts.h"

#define REMARK_GREY 0.2 /* a poor photocopy keeps it */

/* A script whose letters are set larger beside others needs no larger heading for it. */
static gboolean is_display(TypeSize size)
{
    return size == TYPE_MINUTE || size == TYPE_TITLE || size == TYPE_BAND;
}

InkStyle style_of(const Setter *setter, TypeSize size)
{
    InkStyle style = grid_type(setter->print, size);
    if (!setter->large && is_display(size))
        style.size /= setter->tall;
    if (size == TYPE_CLOSE)
        style.leading = setter->level->close;
    return style;
}

double put_line(Setter *setter, const char *tag, TypeSize size, const Line *line, double x, double y, double width)
{
    return add_line(setter, tag, style_of(setter, size), line, x, y, width);
}

double put_remark(Setter *setter, const char *tag, const Line *line, double x, double y, double width)
{
    InkStyle style = style_of(setter, TYPE_CLOSE);
    style.grey = REMARK_GREY;
    return add_line(setter, tag, style, line, x, y, width);
}

double put_lines(Setter *setter, const Block *block, guint from, TypeSize size, double x, double y, double width)
{
    double at = y;
    for (guint i = from; i < block->lines->len; i++)
        at += put_line(setter, "P", size, line_at(block, i), x, at, width);
    return at - y;
}

double height_of(const Setter *setter, TypeSize size, const Line *line, double width)
{
    return line_height(setter, style_of(setter, size), line, width);
}

double width_of(const Setter *setter, TypeSize size, const Line *line)
{
    return line_width(setter, style_of(setter, size), line);
}

PageBox *add_shape(Setter *setter, const FigureShape *shape, FigureRoom offered, double x, double y)
{
    FigureSize size = size_of(setter, shape, offered);
    PageBox *box = box_add(&setter->pile, BOX_DRAWING, x, y, size.width, size.height);
    box->shape = shape;
    box->room = offered;
    return box;
}

Extent put_picture(Setter *setter, const Figure *figure, double x, double y, double width)
{
    FigureRoom offered = {width, style_of(setter, TYPE_BODY).size};
    FigureSize size = size_of(setter, &figure->shape, offered);
    offered.width = MAX(offered.width, size.width); /* words inside may ask for more */
    if (size.width <= 0)
        return (Extent){0, 0};
    box_open(&setter->pile, NULL);
    PageBox *drawing = add_shape(setter, &figure->shape, offered, x, y);
    drawing->alt = figure->alt;
    box_close(&setter->pile);
    return (Extent){size.width, size.height};
}

#define TICK_AIR 2.5

double tick_side(const Setter *setter)
{
    static const double sides[] = {
        [PRINT_ORDINARY] = TICK_SIDE, [PRINT_LARGE] = TICK_LARGE, [PRINT_CLINIC] = TICK_CLINIC};
    return sides[setter->print];
}

double put_tick(Setter *setter, const Block *tick, double x, double y, double width)
{
    double side = tick_side(setter), words = 0;
    box_add(&setter->pile, BOX_TICK, x, y, side, side);
    for (guint i = 0; i < tick->lines->len; i++)
        words += put_line(setter, "P", TYPE_CLOSE, line_at(tick, i), x + side + TICK_AIR,
                          y + 0.4 + words, width - side - TICK_AIR);
    return MAX(side, words + 0.4);
}
