/* worded: scenes with a time or an amount.  Its words do not shrink with the picture: where they
 * have no room in it they get a line of their own. */
#include "drawing/scenes.h"

#include "drawing/parts.h"

#define UNITS 60.0
#define LEADING 1.3
#define CAPITAL 0.72 /* of the type: how high a figure stands */

typedef struct WordedRow {
    double high;                  /* units */
    double from, until, baseline; /* units: where the words stand, if they fit */
    double over;                  /* or 0; units: their middle, on a line above the picture */
    SceneDraw draw;
} WordedRow;

static const WordedRow rows[FIGURE_COUNT] = {
    [FIGURE_CAP_TO_TABLE] = {28, 0, 0, 0, 35.6, scene_cap_to_table},
    [FIGURE_WIPE_SPOT] = {34, 38, 60, 29.5, 0, scene_wipe_spot},
    [FIGURE_PEN_LOAD] = {26, 0, 0, 0, 30.4, scene_pen_load},
    [FIGURE_PRESS] = {34, 38, 60, 29.5, 0, scene_press},
};

static double words_wide(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    const InkRun run = {shape->scene.amount, TRUE, NULL};
    return ink_text_width(ink, (InkStyle){.size = room.type, .bold = TRUE}, &run, 1);
}

#define LEAST_UNDER_WATCH 22.0 /* units: the watch ends there */

static gboolean words_fit(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    const WordedRow *row = &rows[shape->kind];
    double unit = room.width / UNITS, high = room.type * INK_POINT * CAPITAL;
    gboolean clear = row->baseline > 40 || (row->baseline - LEAST_UNDER_WATCH) * unit >= high;
    return clear && words_wide(ink, shape, room) <= (row->until - row->from) * unit;
}

static double line_high(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    if (!shape->scene.amount || words_fit(ink, shape, room))
        return 0;
    return room.type * INK_POINT * LEADING;
}

FigureSize worded_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    double high = rows[shape->kind].high * room.width / UNITS;
    return (FigureSize){room.width, high + line_high(ink, shape, room)};
}

/* Above or below the picture, as near to their middle as the width allows; or within it. */
static void words_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    const WordedRow *row = &rows[shape->kind];
    const InkStyle style = {.size = room.type, .bold = TRUE, .align = INK_CENTRE};
    double unit = room.width / UNITS, half = MIN(words_wide(ink, shape, room), room.width) / 2;
    double line = line_high(ink, shape, room);
    double middle = (row->over > 0 ? row->over : line > 0 ? UNITS / 2 : (row->from + row->until) / 2) * unit;
    double baseline = row->over > 0 ? line * 0.78 : line > 0 ? row->high * unit + line * 0.82 : row->baseline * unit;
    ink_label(ink, style, shape->scene.amount, x + CLAMP(middle, half, room.width - half), y + baseline);
}

void worded_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    const WordedRow *row = &rows[shape->kind];
    art_at(ink, x, y + (row->over > 0 ? line_high(ink, shape, room) : 0), 0, room.width / UNITS);
    cairo_rectangle(ink_cairo(ink), 0, 0, UNITS, row->high);
    cairo_clip(ink_cairo(ink));
    row->draw(ink, shape, room.type);
    art_end(ink);
    if (shape->scene.amount)
        words_draw(ink, shape, x, y, room);
}
