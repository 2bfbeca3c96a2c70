/* props: the things that hands hold, drawn a third too thick so that they read when small.
 * Units are those of the frame at hand; most things are about as large as in centimetres. */
#ifndef PROPS_H
#define PROPS_H

#include "drawing/art.h"
#include "figure/figure.h"

/* How a syringe is drawn: the needle's tip at the origin, needle down.  All lengths in units. */
typedef struct Stick {
    NeedleLook needle;
    double long_needle;  /* tip to hub */
    double barrel, wide; /* 0: 6.2, 1.5 */
    double fill;         /* 0..1 of the barrel */
    double plunge;       /* from the flange to the plunger's top; 0: as far as the fill says */
    gboolean capped;     /* its needle is in its cap */
    gboolean bare;       /* no needle: the open tip alone */
    gboolean lock;       /* with a collar that a needle is turned into */
    gboolean dry;        /* it holds air */
    gboolean fixed;      /* insulin type: thin, the needle without a hub of its own */
    gboolean smooth;     /* without marks */
    double air;          /* units of air above the liquid, at the needle's end */
} Stick;

/* The same at a place, turned: 0 needle down, 180 needle up, 90 needle to the left. */
void prop_syringe_at(Ink *ink, const Stick *stick, double x, double y, double degrees, double scale);

/* A needle's hub from its narrow end at (0, 0) down to (0, length), with its ring or ribs. */
void prop_hub(Ink *ink, NeedleLook look, double length, double narrow, double wide);
/* A loose cap, its open end at (0, 0), lying to the left. */
void prop_cap(Ink *ink, double length, double wide);

typedef enum Content { CONTENT_NONE, CONTENT_LIQUID, CONTENT_POWDER } Content;

/* Upright, the middle of its floor at the origin. */
typedef struct Bottle {
    double wide, high;
    double level;     /* of its body: 0..1 */
    double tilt;      /* degrees that it leans: the surface stays level */
    Content content;
    gboolean lid;     /* its flip lid is on */
} Bottle;

void prop_vial(Ink *ink, const Bottle *bottle);
/* Turned over, the end of its rubber at (0, 0), its body above; level from the neck up. */
void prop_vial_over(Ink *ink, const Bottle *bottle);

void prop_sharps(Ink *ink, double wide, double high); /* the middle of its floor at the origin */
void prop_watch(Ink *ink, double x, double y, double radius);
void prop_table(Ink *ink, double y, double from, double until);
/* A round drop that sits on a tip. */
void prop_drop(Ink *ink, double x, double y, double radius);
/* A circle that shows its inside enlarged: between lens_begin and lens_end all is cut to it. */
void prop_lens_begin(Ink *ink, double x, double y, double radius);
void prop_lens_end(Ink *ink, double x, double y, double radius);
/* A carton, 23 by 22. */
void prop_box(Ink *ink);
void prop_gauze(Ink *ink, double x, double y, double side);

/* Skin, fat and muscle as lines, cells and strokes, from the line of the skin down. */
void prop_layers(Ink *ink, const Path *skin, double muscle, double bottom);
void prop_fat(Ink *ink, const Spot *cells, gsize count, double radius);

/* ---- the pen ---- */

typedef struct PenStick {
    NeedleLook needle;
    double long_needle; /* 0: none */
    double level;       /* of the cartridge */
    double out;         /* how far the button stands out */
    gboolean big_cap, small_cap;
} PenStick;

#define PEN_LONG 27.0 /* from the holder's thread to the end of the dial */
/* Needle down, the thread's end at the origin; the pen above it. */
void prop_pen(Ink *ink, const PenStick *pen);
void prop_big_cap(Ink *ink);   /* open end at (0, 0), lying to the left */
void prop_small_cap(Ink *ink); /* the same */
void prop_cartridge(Ink *ink); /* metal end at (0, 0), lying to the right */

#endif
