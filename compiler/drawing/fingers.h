/* fingers: what hands.c builds hands of. */
#ifndef FINGERS_H
#define FINGERS_H

#include "drawing/hands.h"

#define FINGER(widths, ...) finger_of((const Spot[]){__VA_ARGS__}, G_N_ELEMENTS(((const Spot[]){__VA_ARGS__})), widths)
#define WIDTHS(...) ((const double[]){__VA_ARGS__})
#define INDEX_WIDTHS WIDTHS(2.0, 1.85, 1.62, 1.5)
#define MIDDLE_WIDTHS WIDTHS(2.05, 1.9, 1.66, 1.52)
#define RING_WIDTHS WIDTHS(1.95, 1.8, 1.58, 1.45)
#define LITTLE_WIDTHS WIDTHS(1.75, 1.55, 1.36, 1.22)
#define THUMB_WIDTHS WIDTHS(2.6, 2.25, 2.05, 1.75)

Finger finger_of(const Spot *joints, gsize count, const double *widths);
/* From its base along bones: clock angle and length of each. */
typedef struct Bone {
    double clock, length;
} Bone;
Finger finger_chain(Spot base, const Bone *bones, gsize count, const double *widths);

/* Its two edges, from the base to before the tip. */
void finger_edges(const Finger *finger, Path *left, Path *right);
Path finger_shape(const Finger *finger);
/* Over what lies under it, its base left open: each edge starts so far from the base. */
void finger_draw(Ink *ink, const Finger *finger, double left_from, double right_from);
void finger_draw_toned(Ink *ink, const Finger *finger, double left_from, double right_from, double grey);
void finger_nail(Ink *ink, const Finger *finger, NailSide side);
/* A short fold across a joint: side 0 over its back, 1 or -1 a nick at its left or right. */
void finger_crease(Ink *ink, const Finger *finger, guint joint, int side, double share);
/* A path from so far along. */
Path path_from(const Path *path, double distance);

#endif
