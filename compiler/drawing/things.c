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

/* ---- things ---- */

#define LONGEST_NEEDLE 40.0 /* mm; as long as the drawing allows */

static void thing_needle(Ink *ink, const char *hub, gboolean banded, double length, double x, double y)
{
    ink_pen(ink, INK_STRONG);
    ink_line(ink, x + 16 - 15.5 * CLAMP(length / LONGEST_NEEDLE, 0.15, 1), y + 12, x + 16, y + 12);
    shape_hub(ink, hub, x + 16, y + 12, 9.5, 1.3, 3, banded);
}

/* A sealed sachet with its notch for tearing, and what it holds. */
static void thing_wipe(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, x + 4.5, y + 4.5, 17, 15, INK_RADIUS);
    ink_fill_white_and_stroke(ink);
    ink_pen(ink, INK_FINE_LINE);
    cairo_rectangle(cairo, x + 6.5, y + 6.5, 13, 11);
    ink_stroke(ink);
    ink_rounded(ink, x + 9, y + 8.5, 8, 7, 0.6);
    ink_fill_water(ink);
    ink_pen(ink, INK_OUTLINE);
    ink_stroke(ink);
    ink_line(ink, x + 17, y + 4.5, x + 17, y + 5.8);
}

/* A folded pad of woven threads. */
static void thing_gauze(Ink *ink, double x, double y)
{
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, x + 5, y + 6.5, 14, 14, INK_RADIUS);
    ink_fill_white_and_stroke(ink);
    ink_pen(ink, INK_FINE_LINE);
    for (int i = 1; i < 7; i++) {
        ink_line(ink, x + 5 + i * 2, y + 7.4, x + 5 + i * 2, y + 19.6);
        ink_line(ink, x + 5.9, y + 6.5 + i * 2, x + 18.1, y + 6.5 + i * 2);
    }
}

static void thing_plaster(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x + 13, y + 12);
    cairo_rotate(cairo, -G_PI / 7);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, -11.5, -3.8, 23, 7.6, 3.8);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, -4, -3.8, 8, 7.6);
    ink_fill_tint(ink);
    cairo_rectangle(cairo, -4, -3.8, 8, 7.6);
    ink_stroke(ink);
    for (int i = 0; i < 4; i++) { /* holes for air */
        cairo_arc(cairo, i < 2 ? -7 : 7, i % 2 ? 1.3 : -1.3, 0.35, 0, 2 * G_PI);
        ink_fill_grey(ink, 0);
    }
    cairo_restore(cairo);
}

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

/* A filled syringe: its needle in a shield, or a cap on its bare tip. */
static void thing_filled(Ink *ink, double x, double y, double needle)
{
    const SyringeSign sign = {needle > 0 ? x : x + 3.6, y + 12, 0, 0.85, needle > 0 ? 0.56 : 0.64, needle};
    shape_syringe(ink, &sign);
    ink_pen(ink, INK_OUTLINE);
    if (needle > 0) { /* clear, over the needle and its hub */
        ink_rounded(ink, x - 0.6, y + 10.6, (SIGN_NEEDLE + SIGN_HUB) * sign.unit, 2.8, 0.6);
        ink_stroke(ink);
        return;
    }
    ink_rounded(ink, x, y + 10.4, 5, 3.2, 0.7);
    ink_fill_grey(ink, 0.78);
    ink_rounded(ink, x, y + 10.4, 5, 3.2, 0.7);
    ink_stroke(ink);
}

static void one_thing(Ink *ink, const ThingFigure *thing, double x, double y)
{
    const char *hub = thing->look.hub;
    double vial = x + (FIGURE_THING_WIDTH - VIAL_WIDTH * 0.78) / 2;
    const SyringeSign empty = {x, y + 12, 0, 0, hub ? 0.7 : 0.98, hub ? SIGN_NEEDLE * 0.6 : 0};
    const PenSign pen = {x, y + 12, 0, 0.56, 0, NULL, FALSE, FALSE};
    switch (thing->kind) {
    case THING_POWDER: shape_vial(ink, VIAL_POWDER, 0.32, FALSE, vial, y, 0.78); break;
    case THING_BOX: break; /* only the new sheet draws it */
    case THING_EMPTY_VIAL: shape_vial(ink, VIAL_EMPTY, 0, FALSE, vial, y, 0.78); break;
    case THING_LIQUID: shape_vial(ink, VIAL_LIQUID, 0.85, FALSE, vial, y, 0.78); break;
    case THING_READY: shape_vial(ink, VIAL_MIXED, 0.7, FALSE, vial, y, 0.78); break;
    case THING_AMPOULE: shape_vial(ink, VIAL_AMPOULE, 0.8, FALSE, vial, y, 0.78); break;
    case THING_PREFILLED: thing_filled(ink, x, y, SIGN_NEEDLE); break;
    case THING_PREFILLED_CAPPED: thing_filled(ink, x, y, 0); break;
    case THING_SYRINGE: shape_syringe(ink, &empty); break;
    case THING_CARTRIDGE: shape_cartridge(ink, x + 2, y + 12, 0.9); break;
    case THING_PEN: shape_pen(ink, &pen); break;
    case THING_PEN_NEEDLE: thing_pen_needle(ink, hub, x, y); break;
    case THING_NEEDLE: thing_needle(ink, hub, thing->look.filling, real(thing->needle_mm), x, y); break;
    case THING_WIPE: thing_wipe(ink, x, y); break;
    case THING_GAUZE: thing_gauze(ink, x, y); break;
    case THING_PLASTER: thing_plaster(ink, x, y); break;
    case THING_SHARPS: shape_sharps(ink, x + 1, y, 1); break;
    }
}

/* ---- as many of them as there are ---- */

#define MOST_DRAWN 10 /* more could not be counted at a glance */
#define SPREAD_ACROSS 9.0
#define SPREAD_DOWN 15.0

static gint64 things_drawn(gint64 count) { return count >= 1 && count <= MOST_DRAWN ? count : 1; }

/* Long things lie under each other, the others one before the next. */
static gboolean is_long(ThingKind kind)
{
    return kind == THING_CARTRIDGE || kind == THING_PEN || kind == THING_PREFILLED || kind == THING_PREFILLED_CAPPED ||
           kind == THING_SYRINGE || kind == THING_NEEDLE || kind == THING_PLASTER;
}

FigureSize thing_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)shape, (void)room;
    return (FigureSize){FIGURE_THING_WIDTH, FIGURE_THING_HEIGHT};
}

void thing_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const ThingFigure *thing = &shape->thing;
    gint64 drawn = things_drawn(thing->count);
    double gaps = drawn > 1 ? (double)(drawn - 1) : 1;
    double across = is_long(thing->kind) ? 0 : MIN(4.5, SPREAD_ACROSS / gaps);
    double down = is_long(thing->kind) ? MIN(6.5, SPREAD_DOWN / gaps) : 0;
    for (gint64 i = 0; i < drawn; i++) {
        double shift = (double)i - (double)(drawn - 1) / 2;
        one_thing(ink, thing, x + shift * across, y + shift * down);
        ink_mark(ink, "thing", x + shift * across, y + shift * down);
    }
}
