/* hands: flat, pinching, gripping, pushing, tapping, stretching. */
#include "drawing/hands.h"

#include "drawing/fingers.h"

/* ---- arm and palm ---- */

typedef struct Forearm {
    Spot wrist;
    double clock, wrist_width, end_width, length;
} Forearm;

/* Left edge away from the hand, then the right one back; without the parts inside the palm. */
static void forearm_edges(const Forearm *arm, Spot out[6])
{
    const Spot along[] = {{.6, .495}, {.55, 0}, {1, 0}};
    double middle = (arm->wrist_width + arm->end_width) / 4;
    double far[3] = {.6, arm->length * along[1].x, arm->length};
    double half[3] = {arm->wrist_width * .495, middle, arm->end_width / 2};
    for (int i = 0; i < 3; i++) {
        Spot centre = spot_polar(arm->wrist, arm->clock, far[i]);
        out[i] = spot_polar(centre, arm->clock - 90, half[i]);
        out[5 - i] = spot_polar(centre, arm->clock + 90, half[i]);
    }
}

/* One outline of palm and arm, so that the wrist has no kink: the palm's first and last knots
 * give way to the arm. */
static Path arm_joined(const Path *palm, const Forearm *arm, gboolean from_side)
{
    Spot edges[6];
    Path path = {.count = 0};
    forearm_edges(arm, edges);
    for (guint i = 1; i + 1 < palm->count; i++)
        path.knots[path.count++] = palm->knots[i];
    for (int i = 0; i < 6; i++) {
        int at = from_side ? 5 - i : i;
        path_add(&path, edges[at], at == 2 || at == 3);
    }
    return path;
}

static Path own_arm(Ink *ink, const OwnArm *own) { return art_inward(ink, &own->outline, &own->outer); }

/* ---- flat ---- */

typedef struct FlatFingers {
    Finger index, middle, ring, little, thumb;
} FlatFingers;

static Finger flat_finger(Spot base, double clock, const double lengths[3], double second, double third,
                          const double *widths)
{
    const Bone bones[] = {{clock, lengths[0]}, {clock + second, lengths[1]}, {clock + third, lengths[2]}};
    return finger_chain(base, bones, 3, widths);
}

static Finger folded_finger(Spot base, double clock, double length, const double *widths)
{
    const Bone bones[] = {{clock, length}, {clock / 2, length * .95}};
    return finger_chain(base, bones, 2, widths);
}

static FlatFingers flat_fingers(const FlatHand *hand)
{
    FlatFingers f;
    f.index = flat_finger((Spot){-2.75, -8.8}, hand->index, WIDTHS(4.4, 2.6, 2.2), 1, 1, INDEX_WIDTHS);
    f.middle = flat_finger((Spot){-.85, -9.3}, hand->middle, WIDTHS(4.8, 2.9, 2.3), 0, 0, MIDDLE_WIDTHS);
    f.ring = hand->ring == FOLDED
                 ? folded_finger((Spot){1.0, -8.5}, 6, 2.1, WIDTHS(1.95, 1.9, 1.85))
                 : flat_finger((Spot){1.05, -8.9}, hand->ring, WIDTHS(4.4, 2.7, 2.2), -1, -2, RING_WIDTHS);
    f.little = hand->little == FOLDED
                   ? folded_finger((Spot){2.55, -7.4}, 8, 1.8, WIDTHS(1.8, 1.75, 1.7))
                   : flat_finger((Spot){2.75, -7.9}, hand->little, WIDTHS(3.5, 2.1, 1.9), -2, -3, LITTLE_WIDTHS);
    f.thumb = flat_finger((Spot){-1.5, -2.6}, hand->thumb - 8, WIDTHS(3.6, 3.0, 2.7), 11, 17, THUMB_WIDTHS);
    return f;
}

/* Where two fingers lie together, the edge between them is drawn from the web. */
static void between(Ink *ink, const Finger *a, const Finger *b, double angle_a, double angle_b)
{
    Path left, right, other_left, other_right;
    if (angle_a == FOLDED || angle_b == FOLDED || ABS(angle_b - angle_a) >= 6)
        return;
    finger_edges(a, &left, &right);
    finger_edges(b, &other_left, &other_right);
    right = path_from(&right, 1.9);
    other_left = path_from(&other_left, 1.9);
    Path line = {.count = 0};
    for (guint i = 0; i < MIN(5, MIN(right.count, other_left.count)); i++)
        path_add(&line, (Spot){(right.knots[i].x + other_left.knots[i].x) / 2,
                               (right.knots[i].y + other_left.knots[i].y) / 2}, 0);
    art_line(ink, line, ART_LINE);
}

/* The back of a folded finger: its knuckle. */
static void folded_marks(Ink *ink, const Finger *finger, const Finger *neighbour, double from, guint knots)
{
    Path left, right;
    Finger knuckle = *finger;
    knuckle.joint[1] = spot_between(finger->joint[1], finger->joint[2], .6);
    finger_crease(ink, &knuckle, 1, 0, .5);
    finger_edges(neighbour, &left, &right);
    right = path_from(&right, from);
    right.count = MIN(right.count, knots);
    if (right.count > 1)
        art_line(ink, right, ART_LINE);
}

static void flat_marks(Ink *ink, const FlatHand *hand, const FlatFingers *f)
{
    const struct { const Finger *finger; double angle; } all[] = {
        {&f->index, hand->index}, {&f->middle, hand->middle}, {&f->ring, hand->ring}, {&f->little, hand->little}};
    for (gsize i = 0; i < G_N_ELEMENTS(all); i++) {
        if (all[i].angle == FOLDED) {
            folded_marks(ink, all[i].finger, all[i - 1].finger, i == 2 ? 1.0 : .8, all[i - 1].angle == FOLDED ? 3 : 2);
            continue;
        }
        finger_crease(ink, all[i].finger, 1, 0, .55);
        finger_nail(ink, all[i].finger, NAIL_TOP);
        if (i > 0)
            between(ink, all[i - 1].finger, all[i].finger, all[i - 1].angle, all[i].angle);
    }
    finger_nail(ink, &f->thumb, NAIL_TOP);
    finger_crease(ink, &f->thumb, 2, 0, .5);
}

static void tendons(Ink *ink)
{
    art_toned(ink, SHARP({-2.75, -7.9}, {-2.0, -5.3}), ART_FINE, ART_BONE);
    art_toned(ink, SHARP({-.85, -8.4}, {-.6, -5.6}), ART_FINE, ART_BONE);
    art_toned(ink, SHARP({1.05, -8.1}, {.8, -5.8}), ART_FINE, ART_BONE);
}

void hand_flat(Ink *ink, const FlatHand *hand)
{
    const Path palm = PATH({-2.65, .3, 1}, {-2.95, -1.4}, {-3.55, -4.2}, {-3.7, -6.6}, {-3.7, -8.6}, {-2.6, -10.4},
                           {-.5, -11.0}, {1.4, -10.3}, {3.1, -8.9}, {3.6, -7.4}, {3.5, -4.6}, {3.0, -2.0},
                           {2.6, .3, 1});
    const Forearm arm = {{0, .4}, hand->arm_turn != 0 ? hand->arm_turn : 180, 5.2, 6.4, hand->arm};
    FlatFingers f = flat_fingers(hand);
    const Path parts[] = {hand->own ? palm : arm_joined(&palm, &arm, FALSE), finger_shape(&f.thumb),
                          finger_shape(&f.little), finger_shape(&f.ring), finger_shape(&f.index),
                          finger_shape(&f.middle), hand->own ? own_arm(ink, hand->own) : palm};
    art_union(ink, parts, hand->own ? 7 : 6, hand->own ? hand->own->grey : 1);
    flat_marks(ink, hand, &f);
    if (hand->tendons)
        tendons(ink);
}

/* ---- pinch ---- */

static void held_draw(Ink *ink, Held held)
{
    if (held.draw)
        held.draw(ink, held.data);
}

void hand_pinch(Ink *ink, const PinchHand *hand, Held held)
{
    const double g = hand->thick / 2;
    const Finger ring = FINGER(WIDTHS(1.9, 1.7, 1.5, 1.3), {8.6, -1.0 - g * .2}, {5.3, -2.1 - g * .4},
                               {3.0, -1.0 - g * .6}, {1.3, .6 - g * .8});
    const Finger middle = FINGER(WIDTHS(2.0, 1.8, 1.55, 1.4), {8.2, -1.7 - g * .2}, {4.4, -3.5 - g * .4},
                                 {1.8, -2.1 - g * .7}, {-.35, .15 - g});
    const Finger index = FINGER(WIDTHS(2.4, 1.95, 1.65, 1.45), {7.9, -2.3 - g * .2}, {3.9, -4.7 - g * .5},
                                {1.4, -3.3 - g * .8}, {.1, -.7 - g});
    const Finger thumb = FINGER(WIDTHS(3.2, 2.35, 2.0, 1.65), {9.9, 1.3}, {6.6, 2.9 + g * .4}, {3.6, 2.4 + g * .8},
                                {.3, .75 + g});
    const Path palm = PATH({13.9, -2.4, 1}, {11, -3.2}, {8.6, -3.5 - g * .15}, {7.2, -3.1 - g * .2, 1},
                           {6.9, -1.5 - g * .15, 1}, {8.1, -.6 - g * .05}, {7.9, 1.0 + g * .2},
                           {6.7, 1.9 + g * .45, 1}, {7.6, 2.5 + g * .3, 1}, {9.4, 2.85 + g * .1}, {11.8, 2.6},
                           {13.9, 2.3, 1});
    const Forearm arm = {{13.6, -.05}, hand->arm_turn != 0 ? hand->arm_turn : 84, 4.75, 6.0, hand->arm};
    const double grey = hand->own ? hand->own->grey : 1;
    const Path parts[] = {hand->own ? palm : arm_joined(&palm, &arm, TRUE), finger_shape(&index),
                          hand->own ? own_arm(ink, hand->own) : palm};
    finger_draw_toned(ink, &ring, 0, 0, grey);
    finger_draw_toned(ink, &middle, 0, 0, grey);
    art_union(ink, parts, hand->own ? 3 : 2, grey);
    finger_nail(ink, &index, NAIL_LEFT);
    finger_crease(ink, &index, 1, 1, .5);
    held_draw(ink, held);
    finger_draw_toned(ink, &thumb, .5, 1.5, grey);
    finger_nail(ink, &thumb, NAIL_TOP);
    finger_crease(ink, &thumb, 2, 0, .5);
}

/* ---- grip ---- */

static void grip_thumb(Ink *ink, const GripHand *hand)
{
    const double y = hand->thumb_end;
    if (hand->on_top) {
        const Finger thumb = FINGER(WIDTHS(3.3, 2.5, 2.1, 1.75), {8.2, -1.2}, {5.8, y + .9}, {3.0, y - 1.1},
                                    {-.7, y - .6});
        finger_draw(ink, &thumb, 1.2, 2.6);
        finger_nail(ink, &thumb, NAIL_RIGHT);
        finger_crease(ink, &thumb, 2, -1, .5);
        return;
    }
    const Finger thumb = FINGER(WIDTHS(3.2, 2.4, 2.1, 1.75), {8.4, 2.4}, {5.4, 1.4}, {2.6, .2}, {-.7, y});
    art_line(ink, PATH({hand->half + .2, -1.0}, {3.4, -1.2}, {5.0, -1.6}, {6.2, -1.5}), ART_LINE);
    finger_draw(ink, &thumb, 2.6, 2.0);
    finger_nail(ink, &thumb, NAIL_TOP);
    finger_crease(ink, &thumb, 2, 0, .5);
}

void hand_grip(Ink *ink, const GripHand *hand, Held held)
{
    static const double heights[] = {-2.0, -.15, 1.65, 3.2};
    const double *widths[] = {INDEX_WIDTHS, MIDDLE_WIDTHS, RING_WIDTHS, LITTLE_WIDTHS};
    const double r = hand->half;
    for (int i = hand->fingers - 1; i >= 0; i--) {
        double y = heights[i];
        const Finger behind = FINGER(WIDTHS(widths[i][1], widths[i][1] * .97, widths[i][2]), {r - .1, y - .1}, {0, y},
                                     {-r - .95, y + .35});
        finger_draw(ink, &behind, 0, 0);
    }
    held_draw(ink, held);
    const Path palm = PATH({13.9, -1.5, 1}, {10.8, -2.6}, {7.6, -3.5}, {4.4, -3.6}, {r + .2, -3.0}, {r - .1, -1.6},
                           {r, -.2}, {r + .7, 1.6}, {r + 1.2, 2.8}, {4.5, 4.2}, {7.5, 4.5}, {10.5, 3.9},
                           {13.9, 3.3, 1});
    const Forearm arm = {{13.6, .9}, 95, 4.8, 6.0, hand->arm};
    const Path whole = arm_joined(&palm, &arm, TRUE);
    art_union(ink, &whole, 1, 1);
    grip_thumb(ink, hand);
}

/* ---- plunger ---- */

/* The ring and little fingers, folded away below. */
static void folded_away(Ink *ink)
{
    art_shape(ink, PATH({9.0, 1.4, 1}, {6.9, 3.4}, {6.6, 4.9}, {7.6, 5.8}, {9.0, 5.3}, {10.2, 3.4}, {10.6, 1.4, 1}), 1);
    art_shape(ink, PATH({7.6, .2, 1}, {5.0, 1.9}, {4.6, 3.4}, {5.5, 4.5}, {7.1, 4.3}, {8.6, 3.0}, {9.4, .8, 1}), 1);
    art_line(ink, PATH({5.7, 3.0}, {6.4, 3.3}, {7.0, 3.0}), ART_FINE);
}

void hand_plunger(Ink *ink, double plunger, double arm_length, Held held)
{
    const double top = -plunger - 1.05;
    const Finger middle = FINGER(MIDDLE_WIDTHS, {7.6, -.2}, {3.9, 1.4}, {1.0, 1.6}, {-1.9, 1.25});
    const Finger index = FINGER(INDEX_WIDTHS, {7.6, -1.4}, {4.3, .9}, {1.5, 1.25}, {-1.3, 1.05});
    const Finger thumb = FINGER(WIDTHS(3.4, 2.4, 2.05, 1.75), {9.8, -2.4}, {6.7, -plunger - .2}, {3.3, top - .75},
                                {-.6, top + .05});
    const Path palm = PATH({13.9, -2.6, 1}, {11.4, -3.7}, {8.8, -4.9}, {7.0, -4.4}, {6.2, -2.8}, {6.1, -.6},
                           {6.8, 1.8}, {9, 3.2}, {11.5, 3.0}, {13.9, 2.2, 1});
    const Forearm arm = {{13.6, -.2}, 86, 4.8, 6.0, arm_length};
    const Path parts[] = {arm_joined(&palm, &arm, TRUE), finger_shape(&thumb)};
    finger_draw(ink, &middle, 0, 0);
    held_draw(ink, held);
    folded_away(ink);
    art_union(ink, parts, G_N_ELEMENTS(parts), 1);
    finger_draw(ink, &index, 1.5, 1.2);
    finger_nail(ink, &index, NAIL_LEFT);
    finger_crease(ink, &index, 1, 0, .5);
    finger_nail(ink, &thumb, NAIL_RIGHT);
    finger_crease(ink, &thumb, 2, -1, .5);
    art_line(ink, PATH({8.0, -1.2}, {8.9, -2.0}, {9.2, -3.2}), ART_FINE);
}

/* ---- flick ---- */

void hand_flick(Ink *ink, double arm_length)
{
    const Finger index = FINGER(INDEX_WIDTHS, {8.4, -1.6}, {4.5, -2.9}, {2.0, -1.7}, {.5, -.1});
    const Finger folded[] = {FINGER(LITTLE_WIDTHS, {9.4, 1.4}, {6.9, 2.2}, {7.4, 4.2}, {9.4, 4.2}),
                             FINGER(RING_WIDTHS, {9, .6}, {5.6, 1.5}, {6.0, 3.6}, {8.2, 3.9}),
                             FINGER(MIDDLE_WIDTHS, {8.6, -.4}, {4.6, -.2}, {4.4, 2.2}, {6.6, 3.2})};
    const Finger thumb = FINGER(WIDTHS(3.0, 2.3, 2.0, 1.7), {10.4, 1.6}, {8.0, 2.2}, {5.9, 1.2}, {3.7, .9});
    const Path palm = PATH({13.9, -2.4, 1}, {11, -3.2}, {8.6, -3.2}, {7.2, -2.6}, {6.9, -1.0}, {7.3, 1.8}, {9.2, 3.4},
                           {11.8, 2.9}, {13.9, 2.3, 1});
    const Forearm arm = {{13.6, -.05}, 88, 4.7, 6.0, arm_length};
    const Path parts[] = {arm_joined(&palm, &arm, TRUE), finger_shape(&index)};
    for (gsize i = 0; i < G_N_ELEMENTS(folded); i++)
        finger_draw(ink, &folded[i], 0, 0);
    art_union(ink, parts, G_N_ELEMENTS(parts), 1);
    finger_nail(ink, &index, NAIL_LEFT);
    finger_crease(ink, &index, 1, 1, .5);
    finger_draw(ink, &thumb, 2.4, 2.0);
    finger_nail(ink, &thumb, NAIL_TOP);
}

/* ---- spread ---- */

static void folded_knuckle(Ink *ink, double x, double y)
{
    art_line(ink, PATH({x - .5, y + 1.3}, {x, y + 1.15}, {x + .5, y + 1.3}), ART_FINE);
}

void hand_spread(Ink *ink, double arm_length)
{
    const Finger index = FINGER(INDEX_WIDTHS, {-2.7, -8.6}, {-3.4, -13.1}, {-5.0, -15.2}, {-6.9, -15.6});
    const Finger thumb = FINGER(THUMB_WIDTHS, {-1.5, -2.6}, {-4.7, -4.9}, {-7.5, -6.9}, {-9.3, -9.4});
    const Finger folded[] = {FINGER(WIDTHS(1.75, 1.7, 1.55), {2.8, -7.8}, {3.0, -9.4}, {3.1, -10.9}),
                             FINGER(WIDTHS(1.95, 1.9, 1.8), {1.1, -8.5}, {1.25, -10.8}, {1.3, -12.9}),
                             FINGER(WIDTHS(2.05, 2.0, 1.9), {-.8, -8.8}, {-.8, -11.2}, {-.75, -13.7})};
    const Path palm = PATH({-2.65, .3, 1}, {-2.95, -1.4}, {-3.6, -4.4}, {-3.75, -6.8}, {-3.7, -8.6}, {-2.4, -9.9},
                           {-.4, -10.2}, {1.5, -9.9}, {3.2, -8.9}, {3.75, -7.4}, {3.5, -4.6}, {3.0, -2.0},
                           {2.6, .3, 1});
    const Forearm arm = {{0, 0}, 180, 5.3, 6.4, arm_length};
    const Path parts[] = {arm_joined(&palm, &arm, FALSE), finger_shape(&thumb), finger_shape(&folded[0]),
                          finger_shape(&folded[1]), finger_shape(&folded[2]), finger_shape(&index)};
    art_union(ink, parts, G_N_ELEMENTS(parts), 1);
    folded_knuckle(ink, -1.1, -13.6);
    folded_knuckle(ink, 1.1, -13.0);
    folded_knuckle(ink, 3.0, -11.2);
    art_line(ink, PATH({-1.85, -13.4}, {-1.8, -11.8}, {-1.75, -10.6}), ART_LINE);
    art_line(ink, PATH({.08, -12.9}, {.1, -11.6}, {.1, -10.4}), ART_LINE);
    art_line(ink, PATH({2.08, -11.6}, {2.0, -10.4}, {1.95, -9.4}), ART_LINE);
    finger_nail(ink, &index, NAIL_TOP);
    finger_crease(ink, &index, 1, 0, .5);
    finger_nail(ink, &thumb, NAIL_TOP);
    finger_crease(ink, &thumb, 2, 0, .5);
}
