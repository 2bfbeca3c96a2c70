/* fingers: outlines from joints and widths. */
#include "drawing/fingers.h"

#include <math.h>

static Spot direction(Spot from, Spot to)
{
    double x = to.x - from.x, y = to.y - from.y, far = MAX(hypot(x, y), 1e-9);
    return (Spot){x / far, y / far};
}

static Spot side_of(Spot along) { return (Spot){along.y, -along.x}; }

static Spot from(Spot spot, Spot along, double distance)
{
    return (Spot){spot.x + distance * along.x, spot.y + distance * along.y};
}

static double far_apart(Spot a, Spot b) { return hypot(b.x - a.x, b.y - a.y); }

Finger finger_of(const Spot *joints, gsize count, const double *widths)
{
    Finger finger = {.count = (guint)count};
    g_assert(count >= 2 && count <= G_N_ELEMENTS(finger.joint));
    for (gsize i = 0; i < count; i++) {
        finger.joint[i] = joints[i];
        finger.width[i] = widths[i];
    }
    return finger;
}

Finger finger_chain(Spot base, const Bone *bones, gsize count, const double *widths)
{
    Spot joints[4] = {base};
    for (gsize i = 0; i < count; i++)
        joints[i + 1] = spot_polar(joints[i], bones[i].clock, bones[i].length);
    return finger_of(joints, count + 1, widths);
}

/* Outside a bend the knuckle stands out; inside a strong one the skin creases. */
static void bend(const Finger *finger, guint i, Path *left, Path *right)
{
    Spot before = direction(finger->joint[i - 1], finger->joint[i]);
    Spot after = direction(finger->joint[i], finger->joint[i + 1]);
    Spot a = side_of(before), b = side_of(after), across = direction((Spot){0, 0}, (Spot){a.x + b.x, a.y + b.y});
    double turned = before.x * after.y - before.y * after.x, width = finger->width[i];
    double half = acos(CLAMP(before.x * after.x + before.y * after.y, -1, 1)) / 2;
    double inner = width / 2 / MAX(0.6, cos(half)) * 0.97, outer = width / 2 * 1.05;
    double l = turned > 0 ? outer : inner, r = turned > 0 ? inner : outer;
    if (fabs(turned) < 0.12)
        l = r = width / 2 * 1.02;
    path_add(left, from(finger->joint[i], across, l), half > 0.42 && turned <= 0);
    path_add(right, from(finger->joint[i], across, -r), half > 0.42 && turned > 0);
}

void finger_edges(const Finger *finger, Path *left, Path *right)
{
    guint last = finger->count - 1;
    left->count = right->count = 0;
    for (guint i = 0; i < last; i++) {
        Spot here = finger->joint[i], next = finger->joint[i + 1], along = direction(here, next);
        Spot across = side_of(along);
        if (i == 0) {
            path_add(left, from(here, across, finger->width[0] / 2), 0);
            path_add(right, from(here, across, -finger->width[0] / 2), 0);
        } else {
            bend(finger, i, left, right);
        }
        gboolean tip = i == last - 1;
        double tip_width = finger->width[last];
        double share = tip ? MAX(0.3, 1 - 0.46 * tip_width / far_apart(here, next)) : 0.52;
        double width = tip ? tip_width : (finger->width[i] + finger->width[i + 1]) / 2 * 0.95;
        Spot middle = spot_between(here, next, share);
        path_add(left, from(middle, across, width / 2), 0);
        path_add(right, from(middle, across, -width / 2), 0);
    }
}

static Spot knot_spot(const Path *path, guint i) { return (Spot){path->knots[i].x, path->knots[i].y}; }

/* One edge up, over the tip, the other down. */
static Path round_tip(const Path *left, Spot tip, const Path *right)
{
    Path path = *left;
    path_add(&path, tip, 0);
    for (guint i = right->count; i > 0; i--)
        path_add(&path, knot_spot(right, i - 1), right->knots[i - 1].corner);
    return path;
}

Path finger_shape(const Finger *finger)
{
    Path left, right;
    finger_edges(finger, &left, &right);
    left.knots[0].corner = right.knots[0].corner = 1;
    return round_tip(&left, finger->joint[finger->count - 1], &right);
}

Path path_from(const Path *path, double distance)
{
    Path rest = {.count = 0};
    for (guint i = 0; i + 1 < path->count; i++) {
        Spot here = knot_spot(path, i), next = knot_spot(path, i + 1);
        double step = far_apart(here, next);
        if (rest.count > 0) {
            path_add(&rest, next, path->knots[i + 1].corner);
        } else if (distance < step) {
            path_add(&rest, spot_between(here, next, distance / step), 0);
            path_add(&rest, next, path->knots[i + 1].corner);
        }
        distance -= step;
    }
    if (rest.count == 0)
        path_add(&rest, knot_spot(path, path->count - 1), 0);
    return rest;
}

void finger_draw(Ink *ink, const Finger *finger, double left_from, double right_from)
{
    finger_draw_toned(ink, finger, left_from, right_from, 1);
}

void finger_draw_toned(Ink *ink, const Finger *finger, double left_from, double right_from, double grey)
{
    Path left, right;
    finger_edges(finger, &left, &right);
    left = path_from(&left, left_from);
    right = path_from(&right, right_from);
    Path edge = round_tip(&left, finger->joint[finger->count - 1], &right);
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, 2 * ART_LINE);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    art_trace(ink, &edge, FALSE);
    cairo_stroke(cairo);
    art_fill(ink, finger_shape(finger), grey);
}

/* A point of the last bone: back from the tip, and across, in widths. */
static Spot on_tip(const Finger *finger, double back, double across)
{
    guint last = finger->count - 1;
    Spot along = direction(finger->joint[last - 1], finger->joint[last]), side = side_of(along);
    double width = finger->width[last];
    return from(from(finger->joint[last], along, -back * width), side, across * width);
}

void finger_nail(Ink *ink, const Finger *finger, NailSide side)
{
    static const Spot top[] = {{.22, .30}, {.55, .33}, {.86, .26}, {.98, 0}, {.86, -.26}, {.55, -.33}, {.22, -.30},
                               {.10, 0}};
    static const Spot edge[] = {{.98, .50}, {.86, .34}, {.5, .30}, {.16, .30}};
    Path path = {.count = 0};
    if (side == NAIL_NONE)
        return;
    if (side == NAIL_TOP) {
        for (gsize i = 0; i < G_N_ELEMENTS(top); i++)
            path_add(&path, on_tip(finger, top[i].x, top[i].y), 0);
        art_close(ink, path, ART_FINE);
        return;
    }
    for (gsize i = 0; i < G_N_ELEMENTS(edge); i++)
        path_add(&path, on_tip(finger, edge[i].x, side == NAIL_LEFT ? edge[i].y : -edge[i].y), 0);
    art_line(ink, path, ART_FINE);
}

void finger_crease(Ink *ink, const Finger *finger, guint joint, int side, double share)
{
    Spot before = direction(finger->joint[joint - 1], finger->joint[joint]);
    Spot after = direction(finger->joint[joint], finger->joint[joint + 1]);
    Spot along = direction((Spot){0, 0}, (Spot){before.x + after.x, before.y + after.y}), across = side_of(along);
    double width = finger->width[joint];
    const Spot back[] = {{-.05, .5 * share}, {.05, 0}, {-.05, -.5 * share}};
    const Spot nick[] = {{0, .5 * side}, {.04, .30 * side}, {-.02, .16 * side}};
    const Spot *at = side == 0 ? back : nick;
    Path path = {.count = 0};
    for (int i = 0; i < 3; i++)
        path_add(&path, from(from(finger->joint[joint], along, at[i].x * width), across, at[i].y * width), 0);
    art_line(ink, path, ART_FINE);
}
