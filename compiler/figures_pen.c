/* figures_pen: the pen with a dial, its cartridge, and what is done with them.
 * A plain pen of no maker: only what every such pen has. */
#include <math.h>

#include "figures_parts.h"

/* ---- the pen as a sign ---- */

#define HUB 4.0
#define HOLDER 18.0
#define HOLDER_HALF 2.4
#define BODY 22.0
#define BODY_HALF 3.2
#define WINDOW_AT 6.0 /* from the body's start */
#define WINDOW 9.0
#define WINDOW_HALF 1.9
#define DIAL 4.0
#define STEM 4.0 /* how far the button comes out */
#define BUTTON 1.6

static void box(Ink *ink, double x, double half, double length, double radius)
{
    ink_rounded(ink, x, -half, length, 2 * half, radius);
    ink_fill_white_and_stroke(ink);
}

/* The holder is clear: the cartridge shows, with its liquid and its stopper. */
static void holder(Ink *ink, double x, double level)
{
    cairo_t *cairo = ink_cairo(ink);
    double glass = HOLDER - 2, liquid = (glass - 2) * level;
    box(ink, x, HOLDER_HALF, HOLDER, 0.8);
    cairo_rectangle(cairo, x + 1.6, -1.5, liquid, 3);
    ink_fill_water(ink);
    cairo_new_path(cairo);
    cairo_rectangle(cairo, x + 1.6 + liquid, -1.5, 2, 3);
    ink_fill_grey(ink, 0.45);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x + 1.6, -1.5, glass - 1.6, 3);
    ink_stroke(ink);
}

static void ribs(Ink *ink, double x, double half)
{
    ink_pen(ink, INK_FINE_LINE);
    for (int i = -2; i <= 2; i++)
        ink_line(ink, x + 0.8, i * half * 0.36, x + DIAL - 0.8, i * half * 0.36);
    ink_pen(ink, INK_OUTLINE);
}

static void body(Ink *ink, double x, gboolean out)
{
    double dial = x + BODY, stem = out ? STEM : 0.4;
    box(ink, x, BODY_HALF, BODY, 1);
    box(ink, x + WINDOW_AT, WINDOW_HALF, WINDOW, 0.5);
    box(ink, dial, BODY_HALF + 0.2, DIAL, 0.8);
    ribs(ink, dial, BODY_HALF);
    box(ink, dial + DIAL, 1.5, stem, 0.1);
    box(ink, dial + DIAL + stem, 2.7, BUTTON, 0.6);
}

void shape_pen(Ink *ink, const PenSign *sign)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, sign->x, sign->y);
    cairo_rotate(cairo, sign->degrees * G_PI / 180);
    cairo_scale(cairo, sign->unit, sign->unit);
    double hub = sign->needle > 0 ? HUB : 0, start = sign->needle + hub;
    if (hub > 0) {
        ink_pen(ink, 0.5);
        ink_line(ink, 0, 0, sign->needle, 0);
        shape_hub(ink, sign->hub, sign->needle, 0, hub, 0.9, 2.2, FALSE);
    }
    ink_pen(ink, INK_OUTLINE);
    holder(ink, start, 0.7);
    body(ink, start + HOLDER, sign->out);
    cairo_restore(cairo);
}

/* Neck and metal cap at the left, stopper at the right. */
void shape_cartridge(Ink *ink, double x, double y, double scale)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, scale, scale);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, 0, -1.7, 2.6, 3.4);
    ink_fill_grey(ink, 0.78);
    cairo_rectangle(cairo, 0, -1.7, 2.6, 3.4);
    ink_stroke(ink);
    cairo_rectangle(cairo, 2.6, -1.2, 1.4, 2.4);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, 4, -2.6, 15, 5.2);
    ink_fill_water(ink);
    cairo_new_path(cairo);
    cairo_rectangle(cairo, 19, -2.6, 3, 5.2);
    ink_fill_grey(ink, 0.45);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, 4, -2.6, 20, 5.2);
    ink_stroke(ink);
    cairo_restore(cairo);
}

/* ---- the whole pen, with the number in its window ---- */

#define LARGE 2.35
#define LARGE_NEEDLE 7.0
#define LARGE_TOP 22.0 /* middle of the pen below the pointer's words */

static double window_left(void) { return (LARGE_NEEDLE + HUB + HOLDER + WINDOW_AT) * LARGE; }

FigureSize figure_pen_size(const PenFigure *figure)
{
    (void)figure;
    return (FigureSize){(LARGE_NEEDLE + HUB + HOLDER + BODY + DIAL + STEM + BUTTON) * LARGE + 1,
                        LARGE_TOP + (BODY_HALF + 0.6) * LARGE};
}

void figure_pen_draw(Ink *ink, const PenFigure *figure, double x, double y)
{
    const PenSign sign = {x, y + LARGE_TOP, 0, LARGE, LARGE_NEEDLE, figure->hub, TRUE};
    const double middle = x + window_left() + WINDOW * LARGE / 2, top = y + LARGE_TOP - WINDOW_HALF * LARGE;
    const InkStyle bold = {.size = 14, .bold = TRUE, .align = INK_CENTRE}, plain = {.size = 12};
    const InkRun number = {figure->number, TRUE, NULL};
    shape_pen(ink, &sign);
    ink_label(ink, bold, figure->number, middle, y + LARGE_TOP + 1.8);
    ink_mark(ink, "window", middle, y + LARGE_TOP);
    double half = ink_text_width(ink, bold, &number, 1) / 2 + 3;
    ink_label(ink, bold, figure->number, middle, y + 4.8);
    ink_label(ink, plain, figure->note, middle + half, y + 4.8);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, middle, y + 7, middle, top - 0.6);
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, middle - 1.2, top - 2.6);
    cairo_line_to(cairo, middle + 1.2, top - 2.6);
    cairo_line_to(cairo, middle, top - 0.2);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0);
}

/* ---- scenes ---- */

/* The cartridge goes into the open holder, its thin end first. */
void scene_pen_cartridge(Ink *ink)
{
    cairo_t *cairo = ink_cairo(ink);
    const double middle = 27;
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, 25, middle - 8);
    cairo_line_to(cairo, 6, middle - 8);
    cairo_line_to(cairo, 6, middle - 4);
    cairo_line_to(cairo, 1, middle - 4);
    cairo_line_to(cairo, 1, middle + 4);
    cairo_line_to(cairo, 6, middle + 4);
    cairo_line_to(cairo, 6, middle + 8);
    cairo_line_to(cairo, 25, middle + 8);
    ink_fill_white_and_stroke(ink);
    shape_cartridge(ink, 17, middle, 1.9);
    shape_arrow(ink, 46, middle - 13, 32, middle - 13);
}

/* The front of a pen, cut off at the frame. */
static void front(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x, y - 3.4, 4, 6.8);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + 4, y - 5.6, 60, 11.2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + 6, y - 3.4, 60, 6.8);
    ink_fill_water(ink);
    ink_stroke(ink);
}

static void cap(Ink *ink, double x, double y, double length, double half)
{
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, x, y - half, length, 2 * half, 1.2);
    ink_fill_white_and_stroke(ink);
}

/* From left to right as they come off: outer cap, inner cap; then needle and pen. */
void scene_pen_needle(Ink *ink, const char *hub)
{
    const double middle = 27;
    cap(ink, 0.4, middle, 13, 5.4);
    cap(ink, 14.8, middle, 7.6, 1.7);
    ink_pen(ink, 0.5);
    ink_line(ink, 24, middle, 31, middle);
    shape_hub(ink, hub, 31, middle, 7.4, 1.4, 4.4, FALSE);
    front(ink, 39.6, middle);
    shape_arrow(ink, 12, middle - 11, 2, middle - 11);
    shape_arrow(ink, 24, middle - 11, 16, middle - 11);
    shape_turn(ink, 35, middle + 13, 5.6, 0.15 * G_PI, 1.6 * G_PI);
}

/* Needle up: the button is pressed until a drop stands at the tip. */
void scene_pen_flow(Ink *ink, const char *hub)
{
    cairo_t *cairo = ink_cairo(ink);
    const PenSign upright = {24, 9, 90, 1.5, 5, hub, FALSE};
    shape_pen(ink, &upright);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, 24, 1);
    cairo_curve_to(cairo, 26.2, 4.4, 27.4, 6.4, 24, 9);
    cairo_curve_to(cairo, 20.6, 6.4, 21.8, 4.4, 24, 1);
    ink_fill_water_plain(ink);
    ink_stroke(ink);
    shape_arrow(ink, 40, 5, 30, 5);
    shape_arrow(ink, 40, 42, 40, 30);
}

/* The cap lies on the table; one hand slides the needle into it. */
void scene_pen_off(Ink *ink, const char *hub)
{
    const double table = 33, middle = table - 5;
    cap(ink, 1, middle, 13, 5);
    ink_pen(ink, 0.5);
    ink_line(ink, 17, middle, 24, middle);
    shape_hub(ink, hub, 24, middle, 7.4, 1.4, 4.4, FALSE);
    front(ink, 32, middle);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, 0, table, 52, table);
    shape_arrow(ink, 30, middle - 12, 18, middle - 12);
}
