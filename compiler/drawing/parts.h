/* parts: what the drawings share; for the files of this room only. */
#ifndef DRAWING_PARTS_H
#define DRAWING_PARTS_H

#include "drawing/figures.h"

/* ---- the rows of figures.def ---- */

typedef FigureSize (*FigureMeasure)(Ink *ink, const FigureShape *shape, FigureRoom room);
typedef void (*FigureDraw)(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room);

#define FIGURE(id, numbers, words, shape)                                                              \
    FigureSize shape##_size(Ink *ink, const FigureShape *, FigureRoom room);                           \
    void shape##_draw(Ink *ink, const FigureShape *, double x, double y, FigureRoom room);
#include "figure/figures.def"

/* The one place where exact numbers become lengths on paper; 0 where there is none. */
static inline double real(Rational value) { return value.den ? (double)value.num / (double)value.den : 0; }

/* Outer diameter of a gauge in mm, ISO 9626 by way of ISO 6009's table; 31 G to 34 G from
 * memory.  What lies outside 16 G to 34 G is drawn as the nearest. */
double gauge_mm(gint64 gauge);

/* A needle in its true length and thickness, its end ground to a slant, its hub at the right. */
#define SHAPE_HUB_MM 9.0
void shape_needle(Ink *ink, NeedleLook look, double od, double tip, double hub_start, double middle);

typedef struct Point {
    double x, y;
} Point;

/* The same, drawn as a line. */
void shape_curve(Ink *ink, const Point *points, gsize count);

/* A needle's hub from its narrow to its wide end; dark hubs have light ribs, middling
 * ones dark ribs and light ones none, so that a grey copy tells them apart.
 * banded: two rings tell it from another hub when the colours are lost. */
void shape_hub(Ink *ink, const char *hub, double x, double y, double length, double narrow, double wide,
               gboolean banded);

#endif
