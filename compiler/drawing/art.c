/* art: a curve through knots leaves each one along the tangent of the circle through its
 * neighbours, with handles after Hobby (Smooth, easy to compute interpolating splines, 1986):
 * few points give a round line that never swings wide. */
#include "drawing/art.h"

#include <math.h>

#define RADIANS(degrees) ((degrees) * G_PI / 180)

static Spot minus(Spot a, Spot b) { return (Spot){a.x - b.x, a.y - b.y}; }

static Spot plus(Spot a, Spot b, double times) { return (Spot){a.x + times * b.x, a.y + times * b.y}; }

static double length(Spot a) { return hypot(a.x, a.y); }

static Spot unit(Spot a)
{
    double long_as = MAX(length(a), 1e-9);
    return (Spot){a.x / long_as, a.y / long_as};
}

Spot spot_between(Spot a, Spot b, double share) { return plus(a, minus(b, a), share); }

Spot spot_polar(Spot from, double clock, double distance)
{
    return (Spot){from.x + distance * sin(RADIANS(clock)), from.y - distance * cos(RADIANS(clock))};
}

Spot spot_turned(double x, double y, double degrees)
{
    double c = cos(RADIANS(degrees)), s = sin(RADIANS(degrees));
    return (Spot){x * c - y * s, x * s + y * c};
}

/* ---- paths ---- */

Path path_of(const Knot *knots, gsize count)
{
    Path path = {.count = (guint)count};
    g_assert(count <= PATH_MOST);
    for (gsize i = 0; i < count; i++)
        path.knots[i] = knots[i];
    return path;
}

void path_add(Path *path, Spot spot, int corner)
{
    g_assert(path->count < PATH_MOST);
    path->knots[path->count++] = (Knot){spot.x, spot.y, corner};
}

Path path_sharp(const Spot *spots, gsize count)
{
    Path path = {.count = 0};
    for (gsize i = 0; i < count; i++)
        path_add(&path, spots[i], 1);
    return path;
}

Path path_box(double x1, double y1, double x2, double y2)
{
    return SHARP({x1, y1}, {x2, y1}, {x2, y2}, {x1, y2});
}

#define ARC_KNOTS 9

Path path_arc(double x, double y, double across, double down, double from, double until)
{
    Path path = {.count = 0};
    for (int i = 0; i < ARC_KNOTS; i++) {
        double angle = RADIANS(from + (until - from) * i / (ARC_KNOTS - 1));
        path_add(&path, (Spot){x + across * cos(angle), y + down * sin(angle)}, 0);
    }
    return path;
}

Path path_mirror(const Path *path, double middle)
{
    Path other = *path;
    for (guint i = 0; i < path->count; i++)
        other.knots[i].x = 2 * middle - path->knots[i].x;
    return other;
}

/* ---- smooth curves ---- */

static Spot spot_at(const Path *path, guint i) { return (Spot){path->knots[i].x, path->knots[i].y}; }

/* No direction of its own at a corner and at an open end. */
static gboolean tangent_at(const Path *path, gboolean closed, guint i, Spot *out)
{
    guint n = path->count;
    if (path->knots[i].corner || (!closed && (i == 0 || i == n - 1)))
        return FALSE;
    Spot before = minus(spot_at(path, i), spot_at(path, (i + n - 1) % n));
    Spot after = minus(spot_at(path, (i + 1) % n), spot_at(path, i));
    double a = before.x * before.x + before.y * before.y + 1e-9, b = after.x * after.x + after.y * after.y + 1e-9;
    *out = unit((Spot){before.x / a + after.x / b, before.y / a + after.y / b});
    return TRUE;
}

static double handle(double out, double in)
{
    double so = sin(out), si = sin(in), co = cos(out), ci = cos(in);
    double rho = (2 + sqrt(2) * (so - si / 16) * (si - so / 16) * (co - ci)) /
                 (1 + 0.5 * (sqrt(5) - 1) * co + 0.5 * (3 - sqrt(5)) * ci);
    return MIN(rho, 2.2);
}

static Spot reflected(Spot tangent, Spot chord)
{
    double along = 2 * (tangent.x * chord.x + tangent.y * chord.y);
    return (Spot){along * chord.x - tangent.x, along * chord.y - tangent.y};
}

static double turn(Spot chord, Spot tangent)
{
    return atan2(chord.x * tangent.y - chord.y * tangent.x, chord.x * tangent.x + chord.y * tangent.y);
}

typedef struct Segment {
    Spot from, first, second, to;
} Segment;

static Segment segment(const Path *path, gboolean closed, guint i)
{
    guint j = (i + 1) % path->count;
    Spot from = spot_at(path, i), to = spot_at(path, j), chord = unit(minus(to, from)), leave, arrive;
    gboolean leaves = tangent_at(path, closed, i, &leave), arrives = tangent_at(path, closed, j, &arrive);
    if (!leaves)
        leave = arrives ? reflected(arrive, chord) : chord;
    if (!arrives)
        arrive = leaves ? reflected(leave, chord) : chord;
    double out = turn(chord, leave), in = -turn(chord, arrive), third = length(minus(to, from)) / 3;
    return (Segment){from, plus(from, leave, third * handle(out, in)), plus(to, arrive, -third * handle(in, out)), to};
}

void art_trace(Ink *ink, const Path *path, gboolean closed)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, path->knots[0].x, path->knots[0].y);
    for (guint i = 0; i + (closed ? 0 : 1) < path->count; i++) {
        Segment s = segment(path, closed, i);
        cairo_curve_to(cairo, s.first.x, s.first.y, s.second.x, s.second.y, s.to.x, s.to.y);
    }
    if (closed)
        cairo_close_path(cairo);
}

/* ---- frames ---- */

static void frame(Ink *ink, double x, double y, double degrees, double across, double scale)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_rotate(cairo, RADIANS(degrees));
    cairo_scale(cairo, across, scale);
}

void art_at(Ink *ink, double x, double y, double degrees, double scale) { frame(ink, x, y, degrees, scale, scale); }

void art_at_flipped(Ink *ink, double x, double y, double degrees, double scale)
{
    frame(ink, x, y, degrees, -scale, scale);
}

Path art_inward(Ink *ink, const Path *path, const cairo_matrix_t *outer)
{
    Path inward = *path;
    for (guint i = 0; i < path->count; i++) {
        cairo_matrix_transform_point(outer, &inward.knots[i].x, &inward.knots[i].y);
        cairo_device_to_user(ink_cairo(ink), &inward.knots[i].x, &inward.knots[i].y);
    }
    return inward;
}

void art_end(Ink *ink) { cairo_restore(ink_cairo(ink)); }

void art_clip(Ink *ink, const Path *path)
{
    cairo_save(ink_cairo(ink));
    art_trace(ink, path, TRUE);
    cairo_clip(ink_cairo(ink));
}

/* ---- lines and shapes ---- */

static void pen(Ink *ink, double weight, double grey)
{
    ink_pen(ink, weight);
    cairo_set_source_rgb(ink_cairo(ink), grey, grey, grey);
}

static void draw(Ink *ink, const Path *path, gboolean closed, double weight, double grey)
{
    pen(ink, weight, grey);
    art_trace(ink, path, closed);
    cairo_stroke(ink_cairo(ink));
}

void art_line(Ink *ink, Path path, double weight) { draw(ink, &path, FALSE, weight, 0); }

void art_close(Ink *ink, Path path, double weight) { draw(ink, &path, TRUE, weight, 0); }

void art_toned(Ink *ink, Path path, double weight, double grey) { draw(ink, &path, FALSE, weight, grey); }

static void set_dash(Ink *ink, gboolean on)
{
    const double dash[] = {ink_on_paper(ink, 1.0), ink_on_paper(ink, 0.9)};
    cairo_set_dash(ink_cairo(ink), dash, on ? 2 : 0, 0);
}

void art_dashed(Ink *ink, Path path, gboolean closed, double weight, double grey)
{
    set_dash(ink, TRUE);
    draw(ink, &path, closed, weight, grey);
    set_dash(ink, FALSE);
}

static void paint(Ink *ink, double grey)
{
    cairo_set_source_rgb(ink_cairo(ink), grey, grey, grey);
    cairo_fill(ink_cairo(ink));
}

void art_fill(Ink *ink, Path path, double grey)
{
    art_trace(ink, &path, TRUE);
    paint(ink, grey);
}

void art_shape(Ink *ink, Path path, double grey)
{
    art_fill(ink, path, grey);
    draw(ink, &path, TRUE, ART_LINE, 0);
}

void art_stroke_line(Ink *ink, double x1, double y1, double x2, double y2, double weight)
{
    pen(ink, weight, 0);
    cairo_move_to(ink_cairo(ink), x1, y1);
    cairo_line_to(ink_cairo(ink), x2, y2);
    cairo_stroke(ink_cairo(ink));
}

void art_box(Ink *ink, double x1, double y1, double x2, double y2, double grey)
{
    art_shape(ink, path_box(x1, y1, x2, y2), grey);
}

void art_rounded(Ink *ink, ArtBox box, double grey, double weight)
{
    ink_rounded(ink, box.x, box.y, box.width, box.height, box.radius);
    ink_fill_grey(ink, grey);
    ink_rounded(ink, box.x, box.y, box.width, box.height, box.radius);
    ink_pen(ink, weight);
    ink_stroke(ink);
}

void art_union(Ink *ink, const Path *paths, gsize count, double grey)
{
    for (gsize i = 0; i < count; i++)
        draw(ink, &paths[i], TRUE, 2 * ART_LINE, 0);
    for (gsize i = 0; i < count; i++)
        art_fill(ink, paths[i], grey);
}

static void pattern(Ink *ink, const Path *path, void (*fill)(Ink *))
{
    art_trace(ink, path, TRUE);
    fill(ink);
    cairo_new_path(ink_cairo(ink));
}

void art_liquid(Ink *ink, Path path) { pattern(ink, &path, ink_fill_water); }

void art_powder(Ink *ink, Path path) { pattern(ink, &path, ink_fill_powder); }

void art_hub(Ink *ink, Path path, const char *colour)
{
    art_trace(ink, &path, TRUE);
    ink_fill_hub(ink, colour ? colour : "white");
    cairo_new_path(ink_cairo(ink));
    draw(ink, &path, TRUE, ART_LINE, 0);
}

static void ellipse_path(Ink *ink, double x, double y, double across, double down)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, across, down);
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, 0, 0, 1, 0, 2 * G_PI);
    cairo_close_path(cairo);
    cairo_restore(cairo);
}

void art_ellipse(Ink *ink, double x, double y, double across, double down, double grey, double weight)
{
    if (grey >= 0) {
        ellipse_path(ink, x, y, across, down);
        paint(ink, grey);
    }
    if (weight > 0) {
        pen(ink, weight, 0);
        ellipse_path(ink, x, y, across, down);
        cairo_stroke(ink_cairo(ink));
    }
}

void art_circle(Ink *ink, double x, double y, double radius, double grey, double weight)
{
    art_ellipse(ink, x, y, radius, radius, grey, weight);
}

void art_dashed_circle(Ink *ink, double x, double y, double across, double down, double grey)
{
    pen(ink, ART_LINE, grey);
    set_dash(ink, TRUE);
    ellipse_path(ink, x, y, across, down);
    cairo_stroke(ink_cairo(ink));
    set_dash(ink, FALSE);
}

/* ---- signs ---- */

static Spot on_segment(const Segment *s, double u)
{
    double v = 1 - u, a = v * v * v, b = 3 * v * v * u, c = 3 * v * u * u, d = u * u * u;
    return (Spot){a * s->from.x + b * s->first.x + c * s->second.x + d * s->to.x,
                  a * s->from.y + b * s->first.y + c * s->second.y + d * s->to.y};
}

/* A point of the curve about so far before its end: the head lies along what is left. */
static Spot before_end(const Path *path, double distance)
{
    Spot end = spot_at(path, path->count - 1), at = end;
    for (guint i = path->count - 1; i > 0; i--) {
        Segment s = segment(path, FALSE, i - 1);
        for (int step = 19; step >= 0; step--) {
            at = on_segment(&s, step / 20.0);
            if (length(minus(end, at)) >= distance)
                return at;
        }
    }
    return at;
}

void art_arrow(Ink *ink, Path path, double weight, double head)
{
    double size = ink_on_paper(ink, head);
    Spot end = spot_at(&path, path.count - 1), along = unit(minus(end, before_end(&path, size * 0.8)));
    Spot across = {-along.y, along.x}, base = plus(end, along, -size * 0.45), tip = plus(end, along, size * 0.6);
    Path shaft = path;
    shaft.knots[path.count - 1] = (Knot){base.x, base.y, path.knots[path.count - 1].corner};
    draw(ink, &shaft, FALSE, weight, 0);
    Spot left = plus(base, across, size * 0.48), right = plus(base, across, -size * 0.48);
    art_fill(ink, SHARP({tip.x, tip.y}, {left.x, left.y}, {right.x, right.y}), 0);
}

void art_big_arrow(Ink *ink, Path path) { art_arrow(ink, path, ART_HEAVY, 2.4); }

void art_target(Ink *ink, double x, double y, double radius)
{
    art_circle(ink, x, y, radius, 1, ART_BOLD);
    art_circle(ink, x, y, radius * 0.36, 0, 0);
    ink_mark(ink, "target", x, y);
}

#define SIGN_WEIGHT 1.0

void art_cross(Ink *ink, double x, double y, double half)
{
    art_stroke_line(ink, x - half, y - half, x + half, y + half, SIGN_WEIGHT);
    art_stroke_line(ink, x - half, y + half, x + half, y - half, SIGN_WEIGHT);
}

static void cleared(Ink *ink, double x1, double y1, double x2, double y2)
{
    pen(ink, 3 * SIGN_WEIGHT, 1);
    cairo_move_to(ink_cairo(ink), x1, y1);
    cairo_line_to(ink_cairo(ink), x2, y2);
    cairo_stroke(ink_cairo(ink));
}

void art_cross_clear(Ink *ink, double x, double y, double half)
{
    cleared(ink, x - half, y - half, x + half, y + half);
    cleared(ink, x - half, y + half, x + half, y - half);
    art_cross(ink, x, y, half);
}

void art_tick(Ink *ink, double x, double y, double half)
{
    art_line(ink, SHARP({x - half, y}, {x - half * 0.3, y + half * 0.8}, {x + half, y - half}), SIGN_WEIGHT);
}

void art_words(Ink *ink, const char *text, double points, InkAlign align, double x, double baseline)
{
    InkStyle style = {.size = ink_on_paper(ink, points), .bold = TRUE, .align = align};
    if (text && text[0])
        ink_label(ink, style, text, x, baseline);
}
