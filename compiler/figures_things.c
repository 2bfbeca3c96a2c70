/* figures_things: vials and the other things of the kit. */
#include <math.h>

#include "figures_parts.h"

/* ---- shared shapes ---- */

static void vial_path(cairo_t *cairo)
{
    cairo_move_to(cairo, 4.6, 6.2);
    cairo_line_to(cairo, 4.6, 7.6);
    cairo_curve_to(cairo, 4.6, 9.6, 0.6, 9.4, 0.6, 12.6);
    cairo_line_to(cairo, 0.6, 28.2);
    cairo_arc_negative(cairo, 2.0, 28.2, 1.4, G_PI, G_PI_2);
    cairo_line_to(cairo, 13.0, 29.6);
    cairo_arc_negative(cairo, 13.0, 28.2, 1.4, G_PI_2, 0);
    cairo_line_to(cairo, 14.4, 12.6);
    cairo_curve_to(cairo, 14.4, 9.4, 10.4, 9.6, 10.4, 7.6);
    cairo_line_to(cairo, 10.4, 6.2);
    cairo_close_path(cairo);
}

static void vial_content(Ink *ink, VialKind kind, double level, gboolean over)
{
    cairo_t *cairo = ink_cairo(ink);
    double bottom = 29.3, top = bottom - 18 * level;
    if (kind == VIAL_EMPTY || level <= 0)
        return;
    cairo_save(cairo);
    vial_path(cairo);
    cairo_clip(cairo);
    if (over) /* turned over, what it holds lies at the rubber top */
        cairo_rectangle(cairo, 0, 6.2, VIAL_WIDTH, 3.2 + 18 * level);
    else
        cairo_rectangle(cairo, 0, top, VIAL_WIDTH, bottom - top + 1);
    if (kind == VIAL_POWDER)
        ink_fill_powder(ink);
    else
        ink_fill_water(ink);
    cairo_new_path(cairo);
    cairo_restore(cairo);
}

static void ampoule_path(cairo_t *cairo)
{
    cairo_move_to(cairo, 6.2, 1.2);
    cairo_curve_to(cairo, 5.2, 5, 5.2, 8, 6.6, 9.6);
    cairo_curve_to(cairo, 3.6, 11, 3.4, 12.4, 3.4, 14);
    cairo_line_to(cairo, 3.4, 29.4);
    cairo_line_to(cairo, 11.6, 29.4);
    cairo_line_to(cairo, 11.6, 14);
    cairo_curve_to(cairo, 11.6, 12.4, 11.4, 11, 8.4, 9.6);
    cairo_curve_to(cairo, 9.8, 8, 9.8, 5, 8.8, 1.2);
    cairo_close_path(cairo);
}

static void draw_ampoule(Ink *ink, double level)
{
    cairo_t *cairo = ink_cairo(ink);
    ampoule_path(cairo);
    ink_fill_white_and_stroke(ink);
    cairo_save(cairo);
    ampoule_path(cairo);
    cairo_clip(cairo);
    cairo_rectangle(cairo, 0, 29.3 - 15 * level, VIAL_WIDTH, 16);
    ink_fill_water(ink);
    cairo_new_path(cairo);
    cairo_restore(cairo);
    ink_pen(ink, INK_OUTLINE);
    ampoule_path(cairo);
    ink_stroke(ink);
}

static void draw_vial(Ink *ink, VialKind kind, double level, gboolean over)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    vial_path(cairo);
    ink_fill_white_and_stroke(ink);
    vial_content(ink, kind, level, over);
    ink_pen(ink, INK_OUTLINE);
    vial_path(cairo);
    ink_stroke(ink);
    ink_rounded(ink, 3.2, 2.4, 8.6, 3.8, 0.7);
    ink_fill_grey(ink, 0.78);
    ink_rounded(ink, 3.2, 2.4, 8.6, 3.8, 0.7);
    ink_pen(ink, INK_OUTLINE);
    ink_stroke(ink);
}

void shape_vial(Ink *ink, VialKind kind, double level, gboolean over, double x, double y, double scale)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, scale, scale);
    if (over) {
        cairo_translate(cairo, VIAL_WIDTH, VIAL_HEIGHT);
        cairo_rotate(cairo, G_PI);
    }
    if (kind == VIAL_AMPOULE)
        draw_ampoule(ink, level);
    else
        draw_vial(ink, kind, level, over);
    cairo_restore(cairo);
}

FigureSize figure_vial_size(VialKind kind)
{
    (void)kind;
    return (FigureSize){VIAL_WIDTH, VIAL_HEIGHT};
}

void figure_vial_draw(Ink *ink, VialKind kind, double level, double x, double y)
{
    shape_vial(ink, kind, level, FALSE, x, y, 1);
}

void shape_syringe(Ink *ink, double x, double y, double degrees, double fill, double length)
{
    cairo_t *cairo = ink_cairo(ink);
    double needle = length * 0.26, barrel = length * 0.42, height = length * 0.13;
    double rim = needle + 3 + barrel * fill;
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_rotate(cairo, degrees * G_PI / 180);
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, 0, 0, needle, 0);
    cairo_rectangle(cairo, needle, -1, 3, 2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, rim, -0.9, length - rim - 1.6, 1.8);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, needle + 3, -height / 2, barrel, height);
    ink_fill_white_and_stroke(ink);
    if (fill > 0.02) {
        cairo_rectangle(cairo, needle + 3.2, -height / 2 + 0.2, barrel * fill - 0.2, height - 0.4);
        ink_fill_water(ink);
        cairo_new_path(cairo);
    }
    cairo_rectangle(cairo, rim, -height / 2 + 0.2, MIN(2.0, needle + 3 + barrel - rim), height - 0.4);
    ink_fill_grey(ink, 0.55);
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, needle + 3 + barrel, -height * 0.9, needle + 3 + barrel, height * 0.9);
    ink_line(ink, length - 1.6, -height * 0.6, length - 1.6, height * 0.6);
    cairo_restore(cairo);
}

static void arrow_head(Ink *ink, double x, double y, double angle)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, x - 2.2 * cos(angle - 0.5), y - 2.2 * sin(angle - 0.5));
    cairo_line_to(cairo, x, y);
    cairo_line_to(cairo, x - 2.2 * cos(angle + 0.5), y - 2.2 * sin(angle + 0.5));
    ink_stroke(ink);
}

void shape_arrow(Ink *ink, double x1, double y1, double x2, double y2)
{
    ink_pen(ink, INK_STRONG);
    ink_line(ink, x1, y1, x2, y2);
    arrow_head(ink, x2, y2, atan2(y2 - y1, x2 - x1));
}

void shape_turn(Ink *ink, double x, double y, double radius, double from, double until)
{
    ink_pen(ink, INK_STRONG);
    cairo_save(ink_cairo(ink));
    cairo_translate(ink_cairo(ink), x, y);
    cairo_scale(ink_cairo(ink), 1, 0.45);
    cairo_new_sub_path(ink_cairo(ink));
    cairo_arc(ink_cairo(ink), 0, 0, radius, from, until);
    cairo_restore(ink_cairo(ink));
    ink_stroke(ink);
    arrow_head(ink, x + radius * cos(until), y + 0.45 * radius * sin(until), until + G_PI_2 * 0.9);
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
    cairo_arc(cairo, x, y, 3.6, 0, 2 * G_PI);
    ink_fill_white_and_stroke(ink);
    cairo_arc(cairo, x, y, 1.2, 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
}

/* ---- things ---- */

static void thing_needle(Ink *ink, const char *hub, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, x + 1, y + 12, x + 17, y + 12);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, x + 17, y + 10.9);
    cairo_line_to(cairo, x + 25, y + 9.4);
    cairo_line_to(cairo, x + 25, y + 14.6);
    cairo_line_to(cairo, x + 17, y + 13.1);
    cairo_close_path(cairo);
    ink_fill_hub(ink, hub);
    ink_stroke(ink);
}

static void packet(Ink *ink, double x, double y, double width, double height)
{
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, x, y, width, height, INK_RADIUS);
    ink_fill_white_and_stroke(ink);
}

static void thing_wipe(Ink *ink, double x, double y)
{
    packet(ink, x + 5, y + 5, 16, 14);
    ink_pen(ink, INK_FINE_LINE);
    ink_rounded(ink, x + 6.6, y + 6.6, 12.8, 10.8, 0.8);
    ink_stroke(ink);
    cairo_arc(ink_cairo(ink), x + 13, y + 12, 2.6, 0, 2 * G_PI);
    ink_fill_water(ink);
    ink_stroke(ink);
}

static void thing_gauze(Ink *ink, double x, double y)
{
    packet(ink, x + 6, y + 5, 14, 14);
    ink_pen(ink, INK_FINE_LINE);
    for (int i = 1; i < 6; i++) {
        ink_line(ink, x + 6 + i * 14 / 6.0, y + 5.6, x + 6 + i * 14 / 6.0, y + 18.4);
        ink_line(ink, x + 6.6, y + 5 + i * 14 / 6.0, x + 19.4, y + 5 + i * 14 / 6.0);
    }
}

static void thing_plaster(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x + 13, y + 12);
    cairo_rotate(cairo, -G_PI / 7);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, -10, -3.4, 20, 6.8, 3.2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, -3.6, -3.4, 7.2, 6.8);
    ink_fill_grey(ink, 0.88);
    ink_pen(ink, INK_FINE_LINE);
    cairo_rectangle(cairo, -3.6, -3.4, 7.2, 6.8);
    ink_stroke(ink);
    cairo_restore(cairo);
}

static void thing_sharps(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, x + 5, y + 7);
    cairo_line_to(cairo, x + 21, y + 7);
    cairo_line_to(cairo, x + 19.6, y + 23);
    cairo_line_to(cairo, x + 6.4, y + 23);
    cairo_close_path(cairo);
    ink_fill_white_and_stroke(ink);
    ink_rounded(ink, x + 3.6, y + 3.4, 18.8, 3.8, 1);
    ink_fill_grey(ink, 0.8);
    ink_rounded(ink, x + 3.6, y + 3.4, 18.8, 3.8, 1);
    ink_pen(ink, INK_OUTLINE);
    ink_stroke(ink);
    shape_syringe(ink, x + 13, y + 20, -90, 0, 22);
}

void figure_thing_draw(Ink *ink, ThingKind kind, const char *hub, double x, double y)
{
    double vial = x + (FIGURE_THING_WIDTH - VIAL_WIDTH * 0.78) / 2;
    switch (kind) {
    case THING_POWDER: shape_vial(ink, VIAL_POWDER, 0.32, FALSE, vial, y, 0.78); break;
    case THING_LIQUID: shape_vial(ink, VIAL_LIQUID, 0.85, FALSE, vial, y, 0.78); break;
    case THING_READY: shape_vial(ink, VIAL_MIXED, 0.7, FALSE, vial, y, 0.78); break;
    case THING_AMPOULE: shape_vial(ink, VIAL_AMPOULE, 0.8, FALSE, vial, y, 0.78); break;
    case THING_PREFILLED: shape_syringe(ink, x, y + 12, 0, 0.6, 26); break;
    case THING_SYRINGE: shape_syringe(ink, x - 4, y + 12, 0, 0, 30); break;
    case THING_NEEDLE: thing_needle(ink, hub, x, y); break;
    case THING_WIPE: thing_wipe(ink, x, y); break;
    case THING_GAUZE: thing_gauze(ink, x, y); break;
    case THING_PLASTER: thing_plaster(ink, x, y); break;
    case THING_SHARPS: thing_sharps(ink, x, y); break;
    }
}
