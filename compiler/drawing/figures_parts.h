/* figures_parts: shapes that several drawings share; for figures*.c only. */
#ifndef FIGURES_PARTS_H
#define FIGURES_PARTS_H

#include "drawing/figures.h"

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

void scene_pen_cartridge(Ink *ink);
void scene_pen_needle(Ink *ink, const char *hub);
void scene_pen_caps(Ink *ink, const char *hub);
void scene_pen_inner(Ink *ink, const char *hub);
void scene_pen_drop(Ink *ink, const char *hub);
void scene_pen_off(Ink *ink, const char *hub);
/* A pen's needle in the skin, its button pressed home or half-way; and its window, at zero or
 * with the number that is left. */
void pair_pen_button(Ink *ink, gboolean home);
void pair_pen_window(Ink *ink, const char *number, gboolean home);
/* A needle in its sealed tub, 26 by 24 from (x, y). */
void thing_pen_needle(Ink *ink, const char *hub, double x, double y);
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
