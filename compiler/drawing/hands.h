/* hands: a real hand's bones with flesh round them.  One unit is a centimetre of a hand 19 cm
 * long; a right hand, flipped the left one.  A finger is a chain of joints: thinner between
 * them, round outside a bend and creased inside, never a tube. */
#ifndef HANDS_H
#define HANDS_H

#include "drawing/art.h"

typedef struct Finger {
    guint count; /* of joints, base to tip: at most four */
    Spot joint[4];
    double width[4];
} Finger;

typedef enum NailSide { NAIL_NONE, NAIL_TOP, NAIL_LEFT, NAIL_RIGHT } NailSide;

#define FOLDED 1000.0 /* for an angle: the finger is folded under */

/* An arm that is not straight: its outline, in the frame that outer was taken in. */
typedef struct OwnArm {
    Path outline;
    cairo_matrix_t outer;
    double grey; /* of arm and hand */
} OwnArm;

/* From the back, fingers up, wrist at the origin, thumb at the left. */
typedef struct FlatHand {
    double index, middle, ring, little; /* clock angles, or FOLDED */
    double thumb;
    double arm; /* length */
    gboolean tendons;
    double arm_turn; /* clock angle of the arm; 0: 180, straight down */
    const OwnArm *own; /* or NULL */
} FlatHand;

void hand_flat(Ink *ink, const FlatHand *hand);

/* What a hand holds is drawn between its fingers and its thumb. */
typedef void (*HeldDraw)(Ink *ink, gconstpointer data);
typedef struct Held {
    HeldDraw draw; /* or NULL */
    gconstpointer data;
} Held;

/* The side of the thumb, from the right; thumb and index meet at the origin about a thing so
 * thick. */
typedef struct PinchHand {
    double thick, arm;
    double arm_turn; /* clock angle; 0: 84 */
    const OwnArm *own; /* or NULL */
} PinchHand;

void hand_pinch(Ink *ink, const PinchHand *hand, Held held);

/* From the right round an upright thing of this half-width at x = 0; the thumb in front. */
typedef struct GripHand {
    double half, arm;
    int fingers;      /* that peep out behind */
    double thumb_end; /* y of the thumb's tip */
    gboolean on_top;  /* the thumb presses down on it, at that y */
} GripHand;

void hand_grip(Ink *ink, const GripHand *hand, Held held);

/* From the right; the syringe stands needle down, its flange at the origin, the top of its
 * plunger so far above: fingers under the flange, the thumb on the plunger. */
void hand_plunger(Ink *ink, double plunger, double arm, Held held);

/* From the right, the index finger's tip at the origin, about to tap. */
void hand_flick(Ink *ink, double arm);

/* From the back, fingers up, thumb left: index and thumb spread to stretch the skin. */
void hand_spread(Ink *ink, double arm);

#endif
