/* art: curves and shapes of the pictures of doing, for the files of this room only.
 * A path is a list of knots; a smooth curve runs through them, and turns sharply at those
 * that are corners.  All lengths are in the units of the drawing at hand, all weights in mm
 * of the page.  Nothing is mirrored by ink_mirror here. */
#ifndef ART_H
#define ART_H

#include "drawing/ink.h"

#define ART_LINE INK_OUTLINE
#define ART_FINE 0.24 /* nails, creases, marks of a scale */
#define ART_BOLD 0.6  /* what is pointed at; small arrows */
#define ART_HEAVY 0.8 /* arrows of doing */
#define ART_SKIN 0.87 /* a body; hands at work are white */
#define ART_GREY 0.72 /* steel, rubber, lids */
#define ART_PITCH 1.25 /* em, of words in a picture that take more than a line: as around it */
#define ART_BONE 0.28 /* ink of what lies under the skin: dashed */

typedef struct Spot {
    double x, y;
} Spot;

typedef struct Knot {
    double x, y;
    int corner;
} Knot;

#define PATH_MOST 48

typedef struct Path {
    guint count;
    Knot knots[PATH_MOST];
} Path;

/* Most knots are no corners and leave that out. */
#pragma GCC diagnostic ignored "-Wmissing-field-initializers"

Path path_of(const Knot *knots, gsize count);
#define PATH(...) path_of((const Knot[]){__VA_ARGS__}, G_N_ELEMENTS(((const Knot[]){__VA_ARGS__})))
/* The same with a corner at every knot. */
Path path_sharp(const Spot *spots, gsize count);
#define SHARP(...) path_sharp((const Spot[]){__VA_ARGS__}, G_N_ELEMENTS(((const Spot[]){__VA_ARGS__})))
Path path_box(double x1, double y1, double x2, double y2);
/* Part of an ellipse, degrees: 0 right, 90 down. */
Path path_arc(double x, double y, double across, double down, double from, double until);
/* Left and right exchanged about x = middle. */
Path path_mirror(const Path *path, double middle);
void path_add(Path *path, Spot spot, int corner);

/* A frame of its own: origin, turn in degrees, scale; flipped: left and right exchanged. */
void art_at(Ink *ink, double x, double y, double degrees, double scale);
void art_at_flipped(Ink *ink, double x, double y, double degrees, double scale);
void art_end(Ink *ink);
/* One call that draws, in such a frame. */
#define art_placed(ink, x, y, degrees, scale, ...) (art_at(ink, x, y, degrees, scale), __VA_ARGS__, art_end(ink))
#define art_placed_flipped(ink, x, y, degrees, scale, ...) \
    (art_at_flipped(ink, x, y, degrees, scale), __VA_ARGS__, art_end(ink))
/* A path of the frame that outer was taken in, in the frame of now. */
Path art_inward(Ink *ink, const Path *path, const cairo_matrix_t *outer);
void art_clip(Ink *ink, const Path *path); /* until art_end */

void art_trace(Ink *ink, const Path *path, gboolean closed);
void art_line(Ink *ink, Path path, double weight);
void art_close(Ink *ink, Path path, double weight);
void art_toned(Ink *ink, Path path, double weight, double grey); /* a line that is not black */
void art_dashed(Ink *ink, Path path, gboolean closed, double weight, double grey);
void art_fill(Ink *ink, Path path, double grey);
void art_shape(Ink *ink, Path path, double grey);  /* filled, with its outline */
void art_stroke_line(Ink *ink, double x1, double y1, double x2, double y2, double weight);
void art_box(Ink *ink, double x1, double y1, double x2, double y2, double grey);
typedef struct ArtBox { double x, y, width, height, radius; } ArtBox; /* with round corners */
void art_rounded(Ink *ink, ArtBox box, double grey, double weight);
/* Shapes grown together: one outline round all of them. */
void art_union(Ink *ink, const Path *paths, gsize count, double grey);
void art_liquid(Ink *ink, Path path); /* filled, hatched */
void art_powder(Ink *ink, Path path); /* filled, dotted */
void art_hub(Ink *ink, Path path, const char *colour); /* filled with a hub's colour, outlined */
/* grey < 0: not filled.  weight 0: no outline. */
void art_ellipse(Ink *ink, double x, double y, double across, double down, double grey, double weight);
void art_circle(Ink *ink, double x, double y, double radius, double grey, double weight);
void art_dashed_circle(Ink *ink, double x, double y, double across, double down, double grey);

void art_arrow(Ink *ink, Path path, double weight, double head);
void art_big_arrow(Ink *ink, Path path);
void art_target(Ink *ink, double x, double y, double radius);
void art_cross(Ink *ink, double x, double y, double half);
/* The same on a hatched ground, with white around it. */
void art_cross_clear(Ink *ink, double x, double y, double half);
void art_tick(Ink *ink, double x, double y, double half);
/* Words of so many points on paper, whatever the drawing's scale. */
void art_words(Ink *ink, const char *text, double points, InkAlign align, double x, double baseline);

Spot spot_polar(Spot from, double clock, double distance); /* clock: degrees, 0 up, 90 right */
Spot spot_between(Spot a, Spot b, double share);
Spot spot_turned(double x, double y, double degrees);

#endif
