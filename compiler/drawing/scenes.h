/* scenes: the pictures that are drawn 60 units wide at any width. */
#ifndef SCENES_H
#define SCENES_H

#include "drawing/figures.h"
#include "drawing/hands.h"
#include "drawing/props.h"

/* type: points of words inside, on paper. */
typedef void (*SceneDraw)(Ink *ink, const FigureShape *shape, double type);

#define SCENE(id, numbers, high, draw) void scene_##draw(Ink *ink, const FigureShape *shape, double type);
#include "figure/figures.def"

/* Of worded.c: their words are drawn there. */
void scene_pen_load(Ink *ink, const FigureShape *shape, double type);
void scene_cap_to_table(Ink *ink, const FigureShape *shape, double type);
void scene_wipe_spot(Ink *ink, const FigureShape *shape, double type);
void scene_press(Ink *ink, const FigureShape *shape, double type);

/* A vial turned over, the tip in the liquid or above it; 34 wide, 50 high. */
void scene_turned_over(Ink *ink, NeedleLook needle, gboolean good);

#define NOTHING_HELD ((Held){NULL, NULL})

#endif
