/* figures: the table of what draws each row. */
#include "drawing/figures.h"

#include "drawing/parts.h"

typedef struct DrawingRow {
    FigureMeasure size;
    FigureDraw draw;
} DrawingRow;

static const DrawingRow rows[FIGURE_COUNT] = {
#define FIGURE(id, numbers, words, shape) [FIGURE_##id] = {shape##_size, shape##_draw},
#include "figure/figures.def"
};

FigureSize figure_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    g_assert(shape->kind > FIGURE_NONE && shape->kind < FIGURE_COUNT);
    return rows[shape->kind].size(ink, shape, room);
}

void figure_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    g_assert(shape->kind > FIGURE_NONE && shape->kind < FIGURE_COUNT);
    rows[shape->kind].draw(ink, shape, x, y, room);
}
