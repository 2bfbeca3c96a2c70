/* sketch_pen: the pen with a dial, its cartridge, and what is done with them.
 * A plain pen of no maker: only what every such pen has. */
#include <math.h>

#include "drawing/parts.h"

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
#define BRIEF 0.5 /* of holder and body, in a sign that is shortened */

static void box(Ink *ink, double x, double half, double length, double radius)
{
    ink_rounded(ink, x, -half, length, 2 * half, radius);
    ink_fill_white_and_stroke(ink);
}

/* The holder is clear: the cartridge shows, with its liquid and its stopper. */
static void holder(Ink *ink, double x, double length, double level)
{
    cairo_t *cairo = ink_cairo(ink);
    double glass = length - 2, liquid = (glass - 2) * level;
    box(ink, x, HOLDER_HALF, length, 0.8);
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

static void body(Ink *ink, double x, double share, gboolean out)
{
    double dial = x + BODY * share, stem = out ? STEM : 0.4;
    box(ink, x, BODY_HALF, BODY * share, 1);
    box(ink, x + WINDOW_AT * share, WINDOW_HALF, WINDOW * share, 0.5);
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
    double hub = sign->needle > 0 ? HUB : 0, start = sign->needle + hub, share = sign->brief ? BRIEF : 1;
    if (hub > 0) {
        ink_pen(ink, 0.5);
        ink_line(ink, 0, 0, sign->needle, 0);
        shape_hub(ink, sign->hub, sign->needle, 0, hub, 0.9, 2.2, FALSE);
    }
    ink_pen(ink, INK_OUTLINE);
    holder(ink, start, HOLDER * share, 0.7);
    body(ink, start + HOLDER * share, share, sign->out);
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
#define LARGE_NEEDLE 3.4
#define LARGE_TOP 18.5 /* middle of the pen below the pointer's words */

static double window_left(void) { return (LARGE_NEEDLE + HUB + HOLDER + WINDOW_AT) * LARGE; }

FigureSize pen_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)shape, (void)room;
    return (FigureSize){(LARGE_NEEDLE + HUB + HOLDER + BODY + DIAL + STEM + BUTTON) * LARGE + 1,
                        LARGE_TOP + (BODY_HALF + 0.6) * LARGE};
}

void pen_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const PenFigure *figure = &shape->pen;
    const PenSign sign = {x, y + LARGE_TOP, 0, LARGE, LARGE_NEEDLE, figure->needle.hub, TRUE, FALSE};
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

#define MIDDLE 17.0 /* of what lies across a low scene */

/* The cartridge goes into the open holder, its thin end first. */
void sketch_pen_cartridge(Ink *ink)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, 20, MIDDLE - 6);
    cairo_line_to(cairo, 5, MIDDLE - 6);
    cairo_line_to(cairo, 5, MIDDLE - 3);
    cairo_line_to(cairo, 1, MIDDLE - 3);
    cairo_line_to(cairo, 1, MIDDLE + 3);
    cairo_line_to(cairo, 5, MIDDLE + 3);
    cairo_line_to(cairo, 5, MIDDLE + 6);
    cairo_line_to(cairo, 20, MIDDLE + 6);
    ink_fill_white_and_stroke(ink);
    shape_cartridge(ink, 14, MIDDLE, 1.5);
    shape_arrow(ink, 40, MIDDLE - 11, 26, MIDDLE - 11);
}

/* The front of a pen: its thread, its clear holder and the cartridge in it. */
static void front(Ink *ink, double x, double y, double end)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x, y - 3.4, 4, 6.8);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + 4, y - 5.6, end - x - 4, 11.2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + 6, y - 3.4, end - x - 6, 6.8);
    ink_fill_water(ink);
    ink_stroke(ink);
    shape_break(ink, end, y - 5.6, y + 5.6);
}

static void cap(Ink *ink, double x, double y, double length, double half)
{
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, x, y - half, length, 2 * half, 1.2);
    ink_fill_white_and_stroke(ink);
}

/* Its outer cap, wide end to the right, as a tub with a rim. */
static void outer_cap(Ink *ink, double x, double y)
{
    cap(ink, x, y, 15, 4.6);
    cap(ink, x + 14, y, 2, 5.8);
}

/* In both its caps the needle is turned onto the thread. */
void sketch_pen_needle(Ink *ink, const char *hub)
{
    outer_cap(ink, 6, MIDDLE - 3);
    cap(ink, 8.4, MIDDLE - 3, 7, 1.5);
    shape_hub(ink, hub, 15.6, MIDDLE - 3, 5.4, 1.6, 3.8, FALSE);
    front(ink, 26, MIDDLE - 3, 49);
    shape_turn(ink, 14, MIDDLE + 6.5, 6, 0.1 * G_PI, 1.6 * G_PI);
}

/* The outer cap comes off; the inner one is still on the needle. */
void sketch_pen_caps(Ink *ink, const char *hub)
{
    outer_cap(ink, 2, MIDDLE);
    cap(ink, 22.4, MIDDLE, 8, 1.5);
    shape_hub(ink, hub, 30, MIDDLE, 5.4, 1.6, 4.2, FALSE);
    front(ink, 35.4, MIDDLE, 49);
    shape_arrow(ink, 16, MIDDLE - 10, 4, MIDDLE - 10);
}

void sketch_pen_inner(Ink *ink, const char *hub)
{
    cap(ink, 8, MIDDLE, 8, 1.5);
    ink_pen(ink, 0.5);
    ink_line(ink, 24, MIDDLE, 30, MIDDLE);
    shape_hub(ink, hub, 30, MIDDLE, 5.4, 1.6, 4.2, FALSE);
    front(ink, 35.4, MIDDLE, 49);
    shape_arrow(ink, 18, MIDDLE - 10, 6, MIDDLE - 10);
}

/* Needle up: the button is pressed home, and a drop stands at the tip. */
void sketch_pen_drop(Ink *ink, const char *hub)
{
    cairo_t *cairo = ink_cairo(ink);
    const PenSign upright = {26, 7.4, 90, 0.86, 5, hub, FALSE, TRUE};
    shape_pen(ink, &upright);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, 26, 0.8);
    cairo_curve_to(cairo, 28, 3.8, 29, 5.6, 26, 7.8);
    cairo_curve_to(cairo, 23, 5.6, 24, 3.8, 26, 0.8);
    ink_fill_water_plain(ink);
    ink_stroke(ink);
    shape_arrow(ink, 26, 44, 26, 39.4);
}

/* The cap lies on the table; one hand slides the needle into it. */
void sketch_pen_off(Ink *ink, const char *hub)
{
    const double table = 26, middle = table - 5.8;
    outer_cap(ink, 1, middle);
    ink_pen(ink, 0.5);
    ink_line(ink, 19, middle, 25, middle);
    shape_hub(ink, hub, 25, middle, 6, 1.2, 4.2, FALSE);
    front(ink, 31, middle, 49);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, 0, table, 52, table);
    shape_arrow(ink, 32, middle - 12, 20, middle - 12);
}

#define PAIR_WINDOW 17.0

#define PAIR_PEN_Y 17.0
#define PAIR_PEN_START 12.0

/* A pen with the window large: what counts is its number. */
void pair_pen_button(Ink *ink, gboolean home)
{
    const double y = PAIR_PEN_Y, start = PAIR_PEN_START, window = start + 2;
    double end = window + PAIR_WINDOW + 2, stem = home ? 0.4 : 3.6;
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, 0.5);
    ink_line(ink, 1.5, y, 6.6, y);
    shape_hub(ink, "white", 6.6, y, 3, 0.9, 2.6, FALSE);
    cairo_save(cairo);
    cairo_translate(cairo, 0, y);
    ink_pen(ink, INK_OUTLINE);
    box(ink, 9.6, 4, 3, 0.6);
    box(ink, start, 6.4, end - start, 1.2);
    box(ink, end, 1.6, stem, 0.1);
    box(ink, end + stem, 4.4, 2, 0.8);
    cairo_restore(cairo);
}

/* Before what crosses the picture out: it must be read. */
void pair_pen_window(Ink *ink, const char *number, gboolean home)
{
    const double y = PAIR_PEN_Y, window = PAIR_PEN_START + 2;
    const InkStyle style = {.size = PAIR_TYPE, .bold = TRUE, .align = INK_CENTRE};
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, window, y - 4.2, PAIR_WINDOW, 8.4, 0.8);
    ink_fill_white_and_stroke(ink);
    if (home)
        ink_shape_label(ink, style, "0", window + PAIR_WINDOW / 2, y + 2.2);
    else
        ink_label(ink, style, number, window + PAIR_WINDOW / 2, y + 2.2);
}
