/* things: shapes that drawings share; vials and the other things of the kit. */
#include <math.h>

#include "drawing/parts.h"

/* ---- lines ---- */

/* Catmull-Rom through all points, as Bezier pieces. */
void shape_smooth(cairo_t *cairo, const Point *points, gsize count, gboolean go_on)
{
    if (go_on)
        cairo_line_to(cairo, points[0].x, points[0].y);
    else
        cairo_move_to(cairo, points[0].x, points[0].y);
    for (gsize i = 0; i + 1 < count; i++) {
        Point before = points[i > 0 ? i - 1 : i], from = points[i], to = points[i + 1];
        Point after = points[i + 2 < count ? i + 2 : i + 1];
        cairo_curve_to(cairo, from.x + (to.x - before.x) / 6, from.y + (to.y - before.y) / 6,
                       to.x - (after.x - from.x) / 6, to.y - (after.y - from.y) / 6, to.x, to.y);
    }
}

void shape_curve(Ink *ink, const Point *points, gsize count)
{
    shape_smooth(ink_cairo(ink), points, count, FALSE);
    ink_stroke(ink);
}

void shape_dashed(Ink *ink, double x1, double y1, double x2, double y2)
{
    const double dash = ink_on_paper(ink, 1.4);
    ink_pen(ink, INK_OUTLINE);
    cairo_set_dash(ink_cairo(ink), &dash, 1, 0);
    ink_line(ink, x1, y1, x2, y2);
    cairo_set_dash(ink_cairo(ink), NULL, 0, 0);
}

static void limb_lines(cairo_t *cairo, const Limb *limbs, gsize count, double more)
{
    for (gsize i = 0; i < count; i++) {
        cairo_set_line_width(cairo, limbs[i].width + more);
        cairo_move_to(cairo, limbs[i].from.x, limbs[i].from.y);
        cairo_line_to(cairo, limbs[i].to.x, limbs[i].to.y);
        cairo_stroke(cairo);
    }
}

/* All limbs thick and black, then all a little thinner: what shows is the outline. */
void shape_limbs(Ink *ink, const Limb *limbs, gsize count, double grey)
{
    double outline = ink_on_paper(ink, INK_OUTLINE);
    ink_pen(ink, INK_OUTLINE);
    limb_lines(ink_cairo(ink), limbs, count, outline);
    cairo_set_source_rgb(ink_cairo(ink), grey, grey, grey);
    limb_lines(ink_cairo(ink), limbs, count, -outline);
    ink_pen(ink, INK_OUTLINE);
}

#define WAVE 1.1

void shape_break(Ink *ink, double x, double top, double bottom)
{
    cairo_t *cairo = ink_cairo(ink);
    const double third = (bottom - top) / 3;
    cairo_move_to(cairo, x + 3 * WAVE, top - 1);
    cairo_line_to(cairo, x, top - 1);
    cairo_line_to(cairo, x, top);
    cairo_curve_to(cairo, x - 2 * WAVE, top + third, x + 2 * WAVE, bottom - third, x, bottom);
    cairo_line_to(cairo, x, bottom + 1);
    cairo_line_to(cairo, x + 3 * WAVE, bottom + 1);
    cairo_close_path(cairo);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_fill(cairo);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, x, top);
    cairo_curve_to(cairo, x - 2 * WAVE, top + third, x + 2 * WAVE, bottom - third, x, bottom);
    ink_stroke(ink);
}

void shape_end_frame(Ink *ink, double x, double y, double width, double height)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_reset_clip(cairo);
    ink_pen(ink, INK_OUTLINE);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_rectangle(cairo, x, y, width, height);
    ink_stroke(ink);
}

static void arrow_head(Ink *ink, double x, double y, double angle)
{
    cairo_t *cairo = ink_cairo(ink);
    double size = ink_on_paper(ink, 2.2);
    cairo_move_to(cairo, x - size * cos(angle - 0.55), y - size * sin(angle - 0.55));
    cairo_line_to(cairo, x, y);
    cairo_line_to(cairo, x - size * cos(angle + 0.55), y - size * sin(angle + 0.55));
    ink_stroke(ink);
}

void shape_arrow(Ink *ink, double x1, double y1, double x2, double y2)
{
    ink_pen(ink, INK_STRONG);
    ink_line(ink, x1, y1, x2, y2);
    arrow_head(ink, x2, y2, atan2(y2 - y1, x2 - x1));
}

#define RING_FLAT 0.36

void shape_turn(Ink *ink, double x, double y, double radius, double from, double until)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_STRONG);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, 1, RING_FLAT);
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, 0, 0, radius, from, until);
    cairo_restore(cairo);
    ink_stroke(ink);
    double along = atan2(RING_FLAT * cos(until), -sin(until));
    arrow_head(ink, x + radius * cos(until), y + RING_FLAT * radius * sin(until), along);
}

void shape_tick(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, 1.0);
    cairo_move_to(cairo, x, y + 2.4);
    cairo_line_to(cairo, x + 2, y + 4.6);
    cairo_line_to(cairo, x + 6, y);
    ink_stroke(ink);
}

void shape_cross(Ink *ink, double x, double y, double width, double height)
{
    ink_pen(ink, 1.0);
    ink_line(ink, x, y, x + width, y + height);
    ink_line(ink, x + width, y, x, y + height);
}

void shape_target(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_STRONG);
    cairo_arc(cairo, x, y, 3, 0, 2 * G_PI);
    ink_fill_white_and_stroke(ink);
    cairo_arc(cairo, x, y, 1.1, 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
    ink_mark(ink, "target", x, y);
}

/* ---- vials and ampoules ---- */

#define VIAL_FLOOR 29.6
#define VIAL_NECK 6.2
#define VIAL_BODY 18.0 /* height of the part that holds */

static void vial_path(cairo_t *cairo)
{
    cairo_move_to(cairo, 4.6, VIAL_NECK);
    cairo_line_to(cairo, 4.6, 7.6);
    cairo_curve_to(cairo, 4.6, 9.6, 0.6, 9.4, 0.6, 12.6);
    cairo_line_to(cairo, 0.6, 28.2);
    cairo_arc_negative(cairo, 2.0, 28.2, 1.4, G_PI, G_PI_2);
    cairo_line_to(cairo, 13.0, VIAL_FLOOR);
    cairo_arc_negative(cairo, 13.0, 28.2, 1.4, G_PI_2, 0);
    cairo_line_to(cairo, 14.4, 12.6);
    cairo_curve_to(cairo, 14.4, 9.4, 10.4, 9.6, 10.4, 7.6);
    cairo_line_to(cairo, 10.4, VIAL_NECK);
    cairo_close_path(cairo);
}

static void ampoule_path(cairo_t *cairo)
{
    cairo_move_to(cairo, 6.4, 1.2);
    cairo_curve_to(cairo, 5.2, 5, 5.2, 7.6, 6.5, 9.4);
    cairo_curve_to(cairo, 3.6, 11, 3.4, 12.4, 3.4, 14);
    cairo_line_to(cairo, 3.4, 28.4);
    cairo_arc_negative(cairo, 4.6, 28.4, 1.2, G_PI, G_PI_2);
    cairo_line_to(cairo, 10.4, VIAL_FLOOR);
    cairo_arc_negative(cairo, 10.4, 28.4, 1.2, G_PI_2, 0);
    cairo_line_to(cairo, 11.6, 14);
    cairo_curve_to(cairo, 11.6, 12.4, 11.4, 11, 8.5, 9.4);
    cairo_curve_to(cairo, 9.8, 7.6, 9.8, 5, 8.6, 1.2);
    cairo_close_path(cairo);
}

/* Turned over, what a vial holds lies at its rubber top. */
static void content(Ink *ink, void (*path)(cairo_t *), VialKind kind, double level, gboolean over)
{
    cairo_t *cairo = ink_cairo(ink);
    double height = VIAL_BODY * level, top = over ? VIAL_NECK : VIAL_FLOOR - height;
    if (kind == VIAL_EMPTY || level <= 0)
        return;
    cairo_save(cairo);
    path(cairo);
    cairo_clip(cairo);
    cairo_rectangle(cairo, 0, top, VIAL_WIDTH, over ? height + 3.2 : height);
    if (kind == VIAL_POWDER)
        ink_fill_powder(ink);
    else
        ink_fill_water(ink);
    ink_pen(ink, INK_FINE_LINE);
    ink_stroke(ink);
    cairo_restore(cairo);
}

static void glass(Ink *ink, VialKind kind, double level, gboolean over)
{
    cairo_t *cairo = ink_cairo(ink);
    void (*path)(cairo_t *) = kind == VIAL_AMPOULE ? ampoule_path : vial_path;
    path(cairo);
    ink_fill_grey(ink, 1);
    content(ink, path, kind, level, over);
    ink_pen(ink, INK_OUTLINE);
    path(cairo);
    ink_stroke(ink);
    if (kind == VIAL_AMPOULE) {
        ink_line(ink, 6.5, 9.4, 8.5, 9.4); /* where it snaps */
        return;
    }
    ink_rounded(ink, 3.2, 2.4, 8.6, VIAL_NECK - 2.4, 0.7);
    ink_fill_grey(ink, 0.78);
    ink_rounded(ink, 3.2, 2.4, 8.6, VIAL_NECK - 2.4, 0.7);
    ink_stroke(ink);
}

void shape_vial(Ink *ink, VialKind kind, double level, gboolean over, double x, double y,
                double scale)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, scale, scale);
    if (over) {
        cairo_translate(cairo, VIAL_WIDTH, VIAL_HEIGHT);
        cairo_rotate(cairo, G_PI);
    }
    glass(ink, kind, level, over);
    cairo_restore(cairo);
}

/* ---- syringe and needle as signs ---- */

static void hub_bands(Ink *ink, double grey, double x, double y, double length, double narrow, double wide)
{
    ink_pen(ink, 0.7);
    if (grey < 0.4)
        cairo_set_source_rgb(ink_cairo(ink), 1, 1, 1);
    for (int i = 0; i < 2; i++) {
        double share = 0.36 + 0.26 * i, half = narrow + (wide * 0.82 - narrow) * share;
        ink_line(ink, x + length * share, y - half, x + length * share, y + half);
    }
}

void shape_hub(Ink *ink, const char *hub, double x, double y, double length, double narrow,
               double wide, gboolean banded)
{
    cairo_t *cairo = ink_cairo(ink);
    double grey = ink_hub_grey(hub), collar = x + length - 1.2;
    cairo_move_to(cairo, x, y - narrow);
    cairo_line_to(cairo, collar, y - wide * 0.82);
    cairo_line_to(cairo, collar, y - wide);
    cairo_line_to(cairo, x + length, y - wide);
    cairo_line_to(cairo, x + length, y + wide);
    cairo_line_to(cairo, collar, y + wide);
    cairo_line_to(cairo, collar, y + wide * 0.82);
    cairo_line_to(cairo, x, y + narrow);
    cairo_close_path(cairo);
    ink_fill_hub(ink, hub);
    ink_pen(ink, INK_OUTLINE);
    ink_stroke(ink);
    if (banded)
        hub_bands(ink, grey, x, y, length, narrow, wide);
    if (banded || grey > 0.75)
        return;
    ink_pen(ink, INK_FINE_LINE);
    if (grey < 0.4)
        cairo_set_source_rgb(cairo, 1, 1, 1);
    for (int i = -1; i <= 1; i += 2)
        ink_line(ink, x + 1.2, y + i * narrow * 0.4, collar - 0.8, y + i * wide * 0.36);
}

/* In a small sign the two edges of the rod would run into one. */
static void sign_rod(Ink *ink, double rim)
{
    if (ink_on_paper(ink, 1) < 1.7) {
        cairo_rectangle(ink_cairo(ink), rim, -0.9, SIGN_ROD, 1.8);
        ink_fill_white_and_stroke(ink);
        return;
    }
    ink_pen(ink, 0.5);
    ink_line(ink, rim, 0, rim + SIGN_ROD, 0);
    ink_pen(ink, INK_OUTLINE);
}

/* What a sign's syringe is made of, right of its nozzle. */
static void sign_barrel(Ink *ink, double barrel, double fill)
{
    cairo_t *cairo = ink_cairo(ink);
    double rim = barrel + SIGN_BARREL * fill, half = SIGN_HEIGHT / 2,
           end = barrel + SIGN_BARREL + 1;
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, barrel, -half, end - barrel, 2 * half);
    ink_fill_white_and_stroke(ink);
    sign_rod(ink, rim);
    if (fill > 0.02) {
        cairo_rectangle(cairo, barrel, -half, rim - barrel, 2 * half);
        ink_fill_water(ink);
        ink_stroke(ink);
    }
    cairo_rectangle(cairo, rim, -half, MIN(2.0, end - rim), 2 * half);
    ink_fill_grey(ink, 0.45);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, barrel, -half, end - barrel, 2 * half);
    ink_stroke(ink);
    ink_rounded(ink, end, -half - 2.2, 1.2, 2 * half + 4.4, 0.6);
    ink_fill_white_and_stroke(ink);
    ink_rounded(ink, rim + SIGN_ROD, -half, 1.2, 2 * half, 0.6);
    ink_fill_white_and_stroke(ink);
}

void shape_syringe(Ink *ink, const SyringeSign *sign)
{
    cairo_t *cairo = ink_cairo(ink);
    double hub = sign->needle > 0 ? SIGN_HUB : 0, nozzle = sign->needle + hub;
    cairo_save(cairo);
    cairo_translate(cairo, sign->x, sign->y);
    cairo_rotate(cairo, sign->degrees * G_PI / 180);
    cairo_scale(cairo, sign->unit, sign->unit);
    if (hub > 0) {
        ink_pen(ink, 0.5);
        ink_line(ink, 0, 0, sign->needle, 0);
    }
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, nozzle - 0.6, -0.9, SIGN_NOZZLE + 0.6, 1.8);
    ink_fill_white_and_stroke(ink);
    if (hub > 0)
        shape_hub(ink, "white", sign->needle, 0, hub, 0.7, 1.6, FALSE);
    sign_barrel(ink, nozzle + SIGN_NOZZLE, sign->fill);
    cairo_restore(cairo);
}

/* ---- the sharps box ---- */

/* An opaque box, 24 by 24. */
void shape_sharps(Ink *ink, double x, double y, double scale)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, scale, scale);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, 3.4, 11.4);
    cairo_line_to(cairo, 20.6, 11.4);
    cairo_line_to(cairo, 19.6, 24);
    cairo_line_to(cairo, 4.4, 24);
    cairo_close_path(cairo);
    ink_fill_white_and_stroke(ink);
    ink_rounded(ink, 2, 8.4, 20, 3.2, 0.8);
    ink_fill_grey(ink, 0.8);
    ink_rounded(ink, 2, 8.4, 20, 3.2, 0.8);
    ink_stroke(ink);
    ink_rounded(ink, 7.4, 8.4, 9.2, 1.3, 0.5); /* it is open */
    ink_fill_grey(ink, 0.2);
    ink_pen(ink, 0.5);
    ink_line(ink, 7.4, 17.8, 12.4, 17.8);
    shape_hub(ink, "white", 12.4, 17.8, 4.2, 0.6, 1.5, FALSE);
    cairo_restore(cairo);
}
