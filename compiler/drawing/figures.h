/* figures: the pictures of the room figure as line art in millimetres, life size where size
 * matters.  Words come from the caller; none stand here.  (x, y) is the top left corner.
 *
 * One grid of line weights, one tint, one way of hatching: see ink.h.  Water is
 * hatched as well as blue and powder is dotted, so that a photocopy still tells
 * them apart. */
#ifndef FIGURES_H
#define FIGURES_H

#include "drawing/ink.h"
#include "figure/figure.h"

typedef struct FigureSize {
    double width, height; /* mm */
} FigureSize;

/* What the page offers. */
typedef struct FigureRoom {
    double width; /* mm: what has no size of its own is drawn so wide */
    double type;  /* points: of words inside pictures that have no size of their own */
} FigureRoom;

/* Nothing of a picture lies outside its size.  Life-size pictures have a size of their own,
 * whatever is offered; no size: it cannot be drawn (a code whose text is too long). */
FigureSize figure_size(Ink *ink, const FigureShape *shape, FigureRoom room);
void figure_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room);

/* The dark and light modules of a code alone, mm: this much around them must stay white. */
extern const double figure_code_quiet;

#define FIGURE_THING_WIDTH 26.0
#define FIGURE_THING_HEIGHT 24.0

#endif
