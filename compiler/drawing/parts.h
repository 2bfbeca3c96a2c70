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

/* ---- vials ---- */

typedef enum VialKind { VIAL_POWDER, VIAL_LIQUID, VIAL_MIXED, VIAL_EMPTY, VIAL_AMPOULE } VialKind;

#define VIAL_WIDTH 15.0
#define VIAL_HEIGHT 30.0

typedef struct Point {
    double x, y;
} Point;

#define PAIR_TYPE 17.0 /* the page draws pairs smaller: 12 points there */

/* A smooth open path through the points, from a new start or on from the current point. */
void shape_smooth(cairo_t *cairo, const Point *points, gsize count, gboolean go_on);
/* The same, drawn as a line. */
void shape_curve(Ink *ink, const Point *points, gsize count);
void shape_dashed(Ink *ink, double x1, double y1, double x2, double y2);

/* A limb with round ends. */
typedef struct Limb {
    Point from, to;
    double width;
} Limb;

/* Limbs grown together: one outline round all of them, white (grey 1) or toned inside. */
void shape_limbs(Ink *ink, const Limb *limbs, gsize count, double grey);

/* Ends the clip to a frame: its edge is drawn clean, where cut shapes would leave a fringe. */
void shape_end_frame(Ink *ink, double x, double y, double width, double height);

/* A vial standing with its rubber top up, or turned over; level 0..1 of what it holds. */
void shape_vial(Ink *ink, VialKind kind, double level, gboolean over, double x, double y, double scale);

/* A syringe as a sign, the needle's tip at (x, y), turned by degrees (0: needle to the
 * left).  Lengths are in units; its plunger stands further out the fuller it is. */
typedef struct SyringeSign {
    double x, y, degrees;
    double fill;   /* 0..1 */
    double unit;   /* mm */
    double needle; /* units; 0: bare, the nozzle's end at (x, y) */
} SyringeSign;

#define SIGN_NEEDLE 10.0
#define SIGN_HUB 4.0
#define SIGN_NOZZLE 2.0
#define SIGN_BARREL 14.0
#define SIGN_ROD 17.0 /* rim to thumb */
#define SIGN_HEIGHT 5.4
void shape_syringe(Ink *ink, const SyringeSign *sign);

/* A pen with a dial as a sign, turned as a syringe is; out: its button stands out. */
typedef struct PenSign {
    double x, y, degrees;
    double unit;   /* mm */
    double needle; /* units; 0: bare */
    const char *hub;
    gboolean out;
    gboolean brief; /* shorter than it is, where there is little room */
} PenSign;

void shape_pen(Ink *ink, const PenSign *sign);
void shape_cartridge(Ink *ink, double x, double y, double scale);

void sketch_pen_cartridge(Ink *ink);
void sketch_pen_needle(Ink *ink, const char *hub);
void sketch_pen_caps(Ink *ink, const char *hub);
void sketch_pen_inner(Ink *ink, const char *hub);
void sketch_pen_drop(Ink *ink, const char *hub);
void sketch_pen_off(Ink *ink, const char *hub);
/* A pen's needle in the skin, its button pressed home or half-way; and its window, at zero or
 * with the number that is left. */
void pair_pen_button(Ink *ink, gboolean home);
void pair_pen_window(Ink *ink, const char *number, gboolean home);
/* Where a long thing is broken off in a drawing: a waved edge from (x, top) down to bottom. */
void shape_break(Ink *ink, double x, double top, double bottom);

/* A needle's hub from its narrow to its wide end; dark hubs have light ribs, middling
 * ones dark ribs and light ones none, so that a grey copy tells them apart. */
/* banded: two rings tell it from another hub when the colours are lost. */
void shape_hub(Ink *ink, const char *hub, double x, double y, double length, double narrow, double wide,
               gboolean banded);
void shape_sharps(Ink *ink, double x, double y, double scale);
void shape_arrow(Ink *ink, double x1, double y1, double x2, double y2);
/* Part of a flat ring with an arrow head, for swirling. */
void shape_turn(Ink *ink, double x, double y, double radius, double from, double until);
void shape_tick(Ink *ink, double x, double y);
void shape_cross(Ink *ink, double x, double y, double width, double height);
void shape_target(Ink *ink, double x, double y);

#endif
