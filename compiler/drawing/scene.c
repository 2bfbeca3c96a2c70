/* scene: the frame of every picture that is drawn in units, 60 wide. */
#include "drawing/scenes.h"

#include "drawing/parts.h"

#define UNITS 60.0

typedef struct SceneRow {
    double high;
    SceneDraw draw;
} SceneRow;

static const SceneRow rows[FIGURE_COUNT] = {
#define SCENE(id, numbers, high, draw) [FIGURE_##id] = {high, scene_##draw},
#include "figure/figures.def"
};

FigureSize scene_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink;
    return (FigureSize){room.width, room.width * rows[shape->kind].high / UNITS};
}

void scene_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    cairo_t *cairo = ink_cairo(ink);
    art_at(ink, x, y, 0, room.width / UNITS);
    cairo_rectangle(cairo, 0, 0, UNITS, rows[shape->kind].high);
    cairo_clip(cairo);
    rows[shape->kind].draw(ink, shape, room.type);
    art_end(ink);
}
