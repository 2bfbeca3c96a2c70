/* syringe: the syringe in life size, whole or cut to the room that there is. */
#include "drawing/art.h"
#include "drawing/parts.h"

#include <math.h>

#include "drawing/parts.h"

/* ---- the syringe ---- */

#define NOZZLE_MM 6.0
#define FLANGE_MM 2.0
#define FLANGE_AFTER_MM 6.0 /* behind the last mark */
#define THUMB_MM 2.4
#define THUMB_OUT_MM 6.0 /* behind the flange, the plunger wholly in */
#define ABOVE_MM 13.0    /* room for the pointer's words */
#define BELOW_MM 5.0     /* for the numbers */
#define STOPPER_MM 6.5
#define RIB_MM 1.6
#define WIDEST_MM 158.0 /* of a page of A4 between its margins */
#define LONG_MARK 0.42  /* of the barrel's height */
#define SHORT_MARK 0.24
#define NUMBER_SIZE 8.0

typedef struct SyringeParts {
    gint64 first_number; /* 0: zero has its number too */
    double right;        /* mm: no number goes further */
    double number_size;  /* points */
    double rim_size;     /* of the rim's own number */
    double number_end;   /* mm: where the number before ends */
    double number_below; /* mm: baseline below the barrel */
    double hub, nozzle, zero, rim, flange, thumb; /* x on the page */
    gboolean broken;                              /* the rod is drawn shorter than it is */
    double top, bottom, middle, scale_top;        /* y on the page; marks stand below scale_top */
} SyringeParts;

/* Where a volume's line stands, in mm right of the zero line. */
static double at_volume(const SyringeFigure *figure, Rational volume_ml)
{
    return real(figure->scale_mm) * real(volume_ml) / real(figure->capacity_ml);
}

static SyringeParts parts_of(const SyringeFigure *figure, double x, double y)
{
    SyringeParts parts = {.first_number = 1, .right = G_MAXDOUBLE, .number_size = NUMBER_SIZE, .rim_size = NUMBER_SIZE,
                          .number_end = -G_MAXDOUBLE, .number_below = 4};
    parts.hub = x + real(figure->needle_mm);
    parts.nozzle = parts.hub + (real(figure->needle_mm) > 0 ? SHAPE_HUB_MM : 0);
    parts.zero = parts.nozzle + NOZZLE_MM;
    parts.rim = parts.zero + at_volume(figure, figure->fill_ml);
    parts.flange = parts.zero + real(figure->scale_mm) + FLANGE_AFTER_MM;
    double in = parts.flange + FLANGE_MM + THUMB_OUT_MM;
    double true_thumb = in + (parts.rim - parts.zero);
    parts.thumb = MIN(true_thumb, MAX(x + WIDEST_MM - THUMB_MM, in));
    parts.broken = true_thumb > parts.thumb;
    parts.top = y + ABOVE_MM;
    parts.bottom = parts.top + real(figure->barrel_mm);
    parts.middle = (parts.top + parts.bottom) / 2;
    parts.scale_top = parts.bottom - real(figure->barrel_mm) * LONG_MARK;
    return parts;
}

static void barrel_path(cairo_t *cairo, const SyringeParts *parts)
{
    cairo_move_to(cairo, parts->zero - 2, parts->middle - 1.5);
    cairo_line_to(cairo, parts->zero, parts->top);
    cairo_line_to(cairo, parts->flange, parts->top);
    cairo_line_to(cairo, parts->flange, parts->bottom);
    cairo_line_to(cairo, parts->zero, parts->bottom);
    cairo_line_to(cairo, parts->zero - 2, parts->middle + 1.5);
    cairo_close_path(cairo);
}

/* The liquid is hatched above the marks and plain behind them: they must be read. */
static void barrel(Ink *ink, const SyringeParts *parts)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, parts->nozzle, parts->middle - 1.5, parts->zero - 2 - parts->nozzle, 3);
    ink_fill_white_and_stroke(ink);
    barrel_path(cairo, parts);
    ink_fill_white_and_stroke(ink);
    if (parts->rim <= parts->zero)
        return;
    cairo_rectangle(cairo, parts->zero, parts->top, parts->rim - parts->zero,
                    parts->scale_top - parts->top);
    ink_fill_water(ink);
    cairo_new_path(cairo);
    cairo_rectangle(cairo, parts->zero, parts->scale_top, parts->rim - parts->zero,
                    parts->bottom - parts->scale_top);
    ink_fill_water_plain(ink);
    cairo_new_path(cairo);
}

/* Two ribs and a waist.  Marks are printed on the barrel, in front of it. */
static void stopper(Ink *ink, const SyringeParts *parts)
{
    cairo_t *cairo = ink_cairo(ink);
    double length = MIN(STOPPER_MM, parts->flange - parts->rim - 0.5);
    double waist = parts->rim + RIB_MM, end = parts->rim + length;
    cairo_rectangle(cairo, parts->rim, parts->top, RIB_MM, parts->bottom - parts->top);
    cairo_rectangle(cairo, waist, parts->top + 0.7, length - 2 * RIB_MM,
                    parts->bottom - parts->top - 1.4);
    cairo_rectangle(cairo, end - RIB_MM, parts->top, RIB_MM, parts->bottom - parts->top);
    ink_fill_grey(ink, 0.80);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, end, parts->top, end, parts->scale_top - 0.6);
}

/* Two strokes across the rod: it is longer than drawn. */
static void break_sign(Ink *ink, double x, double middle, double half)
{
    cairo_t *cairo = ink_cairo(ink);
    const Point left[] = {{x - 1.2, middle + half + 1},
                          {x - 0.1, middle + half * 0.3},
                          {x - 0.9, middle - half * 0.3},
                          {x + 0.2, middle - half - 1}};
    Point right[G_N_ELEMENTS(left)];
    for (gsize i = 0; i < G_N_ELEMENTS(left); i++)
        right[i] = (Point){left[i].x + 1.6, left[i].y};
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x - 0.5, middle - half - 0.4, 1.6, 2 * half + 0.8);
    ink_fill_grey(ink, 1);
    shape_curve(ink, left, G_N_ELEMENTS(left));
    shape_curve(ink, right, G_N_ELEMENTS(right));
}

static void rod(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts)
{
    double start = MIN(parts->rim + STOPPER_MM, parts->flange),
           half = MAX(1.1, real(figure->barrel_mm) * 0.16);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(ink_cairo(ink), start, parts->middle - half, parts->thumb - start, 2 * half);
    ink_fill_white_and_stroke(ink);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, start, parts->middle, parts->thumb, parts->middle);
    if (parts->broken)
        break_sign(ink, (parts->flange + FLANGE_MM + parts->thumb) / 2, parts->middle, half);
}

static void handles(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts)
{
    double thumb = MAX(real(figure->barrel_mm) * 0.55, 4.2);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, parts->flange, parts->top - 4, FLANGE_MM, real(figure->barrel_mm) + 8, INK_RADIUS);
    ink_fill_white_and_stroke(ink);
    ink_rounded(ink, parts->thumb, parts->middle - thumb, THUMB_MM, 2 * thumb, INK_RADIUS);
    ink_fill_white_and_stroke(ink);
    ink_mark(ink, "thumb", parts->thumb + THUMB_MM, parts->middle);
}

static GString *printed_number(const SyringeFigure *figure, Rational volume)
{
    GString *text = g_string_new(NULL);
    rational_print(text, figure->u100 ? rational_mul(volume, rational_make(100, 1)) : volume, 3, NULL);
    return text;
}

static double number_wide(Ink *ink, const SyringeFigure *figure, Rational volume, double size)
{
    g_autoptr(GString) text = printed_number(figure, volume);
    const InkRun run = {text->str, TRUE, NULL};
    return ink_text_width(ink, (InkStyle){.size = size, .bold = TRUE}, &run, 1);
}

#define NUMBER_APART 0.5 /* mm: two numbers any nearer read as one */

static double number_half(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, Rational volume)
{
    gboolean at_rim = rational_equal(volume, figure->fill_ml);
    return number_wide(ink, figure, volume, at_rim ? parts->rim_size : parts->number_size) / 2;
}

/* The rim's own number has the first claim on its room. */
static gboolean beside_rim(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, Rational volume, double x)
{
    double half = number_half(ink, figure, parts, volume);
    double rim = number_half(ink, figure, parts, figure->fill_ml);
    gboolean rim_numbered = rational_div(figure->fill_ml, figure->number_every_ml).den == 1;
    return rim_numbered && fabs(x - parts->rim) < half + rim + NUMBER_APART;
}

/* A barrel's own letters are smaller than a sheet's may be: what would touch is left out. */
static void number(Ink *ink, const SyringeFigure *figure, SyringeParts *parts, Rational volume, double x)
{
    gboolean at_rim = rational_equal(volume, figure->fill_ml);
    double half = number_half(ink, figure, parts, volume);
    if (x + half > parts->right || x - half < parts->number_end + NUMBER_APART ||
        (!at_rim && beside_rim(ink, figure, parts, volume, x)))
        return;
    g_autoptr(GString) text = printed_number(figure, volume);
    InkStyle style = {
        .size = at_rim ? parts->rim_size : parts->number_size, .align = INK_CENTRE, .bold = at_rim};
    ink_label(ink, style, text->str, x, parts->bottom + parts->number_below);
    ink_mark(ink, "number from", x - half, parts->bottom + parts->number_below);
    ink_mark(ink, "number until", x + half, parts->bottom + parts->number_below);
    parts->number_end = x + half;
}

/* Every mark and every number of the real barrel.  Marks stand on its lower edge;
 * numbers stand below it, so that nothing hides them. */
static void scale(Ink *ink, const SyringeFigure *figure, SyringeParts *parts)
{
    gint64 count = rational_floor(rational_div(figure->capacity_ml, figure->mark_every_ml));
    for (gint64 i = 0; i <= count; i++) {
        Rational volume = rational_mul(figure->mark_every_ml, rational_make(i, 1));
        gboolean numbered = rational_div(volume, figure->number_every_ml).den == 1;
        double at = parts->zero + at_volume(figure, volume);
        double reach = real(figure->barrel_mm) * (numbered ? LONG_MARK : SHORT_MARK);
        ink_pen(ink, numbered ? 0.3 : INK_FINE_LINE);
        cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
        ink_line(ink, at, parts->bottom - reach, at, parts->bottom);
        ink_mark(ink, numbered ? "numbered mark" : "mark", at, parts->bottom);
        if (numbered && i >= parts->first_number)
            number(ink, figure, parts, volume, at);
    }
}

/* The rim, from wall to wall; the pointer is the same line, drawn on to its words. */
static void rim(Ink *ink, const SyringeParts *parts, gboolean pointed)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_STRONG);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    ink_line(ink, parts->rim, parts->top - (pointed ? ABOVE_MM - 6.2 : 0), parts->rim,
             parts->bottom);
    ink_mark(ink, "rim", parts->rim, parts->middle);
    if (!pointed)
        return;
    cairo_move_to(cairo, parts->rim - 1.2, parts->top - 2.4);
    cairo_line_to(cairo, parts->rim + 1.2, parts->top - 2.4);
    cairo_line_to(cairo, parts->rim, parts->top);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0);
}

/* ---- cut to its room ---- */

#define LEFT_MOST 13.0  /* mm shown before the zero line */
#define LEFT_LEAST 5.0
#define LEAST_NUMBER 8.0 /* points; of a drawn scale */
#define NUMBER_SHARE 0.85 /* of the type around */
#define RIM_SHARE 1.1
#define NUMBER_AIR 1.2 /* mm between two numbers */

/* Numbers grow with the type around, as far as neighbours stay apart. */
static void number_sizes(Ink *ink, const SyringeFigure *figure, double type, SyringeParts *parts)
{
    Rational last = figure->capacity_ml, before = rational_sub(last, figure->number_every_ml);
    double step = at_volume(figure, figure->number_every_ml) - NUMBER_AIR;
    double each = MAX(number_wide(ink, figure, last, 10), number_wide(ink, figure, before, 10)) / 10;
    parts->number_size = MAX(LEAST_NUMBER, MIN(type * NUMBER_SHARE, step / each));
    double beside = 2 * step - parts->number_size * each; /* of a number between two */
    parts->rim_size = CLAMP(beside / each, parts->number_size, type * RIM_SHARE);
    parts->number_below = parts->rim_size * INK_POINT * 0.78 + 0.6;
}

/* So narrow that the whole scale is still seen. */
static double least_cut(const SyringeFigure *figure)
{
    return LEFT_LEAST + real(figure->scale_mm) + FLANGE_AFTER_MM + FLANGE_MM + 2;
}

static FigureRoom room_cut(const SyringeFigure *figure, FigureRoom room)
{
    room.width = MAX(room.width, least_cut(figure));
    return room;
}

static SyringeParts parts_cut(Ink *ink, const SyringeFigure *figure, double x, double y, FigureRoom room)
{
    double left = CLAMP(room.width - least_cut(figure) + LEFT_LEAST, LEFT_LEAST, LEFT_MOST);
    double zero_at = real(figure->needle_mm) > 0 ? real(figure->needle_mm) + SHAPE_HUB_MM + NOZZLE_MM : NOZZLE_MM;
    SyringeParts parts = parts_of(figure, x + MIN(left, zero_at) - zero_at, y);
    double above = room.type * INK_POINT * 1.1 + 4, down = above - ABOVE_MM;
    parts.top += down, parts.bottom += down, parts.middle += down, parts.scale_top += down;
    parts.broken = FALSE;
    parts.first_number = 0;
    parts.right = x + room.width;
    parts.thumb = parts.flange + FLANGE_MM + THUMB_OUT_MM + (parts.rim - parts.zero);
    number_sizes(ink, figure, room.type, &parts);
    return parts;
}

FigureSize syringe_cut_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    room = room_cut(&shape->syringe, room);
    SyringeParts parts = parts_cut(ink, &shape->syringe, 0, 0, room);
    return (FigureSize){room.width, parts.bottom + MAX(parts.number_below + 0.6, 4.6)};
}

/* The arrow at the rim; its words go on from it, to the left of it where there is more room, and
 * over it where neither side has enough. */
static void pointer_cut(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, double x, FigureRoom room)
{
    cairo_t *cairo = ink_cairo(ink);
    InkStyle style = {.size = room.type};
    const InkRun runs[] = {{figure->pointer_note ? figure->pointer_note : "", FALSE, NULL},
                           {figure->pointer_note ? "\302\240" : "", FALSE, NULL}, {figure->pointer, TRUE, NULL}};
    double wide = ink_text_width(ink, style, runs, G_N_ELEMENTS(runs)), start = parts->rim + 2;
    if (start + wide > x + room.width)
        start = MAX(x, parts->rim - 2 - wide);
    gboolean over = start < parts->rim && start + wide > parts->rim - 2;
    ink_pen(ink, INK_STRONG);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    ink_line(ink, parts->rim, parts->top - (over ? 2.8 : room.type * INK_POINT + 3.2), parts->rim, parts->bottom);
    cairo_move_to(cairo, parts->rim - 1.3, parts->top - 2.8);
    cairo_line_to(cairo, parts->rim + 1.3, parts->top - 2.8);
    cairo_line_to(cairo, parts->rim, parts->top - 0.1);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0);
    ink_text_draw(ink, style, runs, G_N_ELEMENTS(runs), start, parts->top - room.type * INK_POINT * 1.3 - 2.6,
                  wide + 1);
}

/* The tip under the needle: a collar that it is turned into, or a plain cone. */
static void tip_collar(Ink *ink, const SyringeParts *parts)
{
    double from = parts->zero - 6.6, until = parts->zero - 2;
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(ink_cairo(ink), from, parts->middle - 2.9, until - from, 5.8);
    ink_fill_white_and_stroke(ink);
    ink_pen(ink, INK_FINE_LINE);
    for (int i = 1; i < 4; i++)
        ink_line(ink, from + i * 1.15, parts->middle - 2.7, from + i * 1.15 - 0.5, parts->middle + 2.7);
}

/* Grown into the barrel, without a hub: nothing can be taken off. */
static void fixed_needle(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts)
{
    cairo_t *cairo = ink_cairo(ink);
    const double neck = parts->zero - 2, tip = neck - 4;
    cairo_rectangle(cairo, parts->nozzle - 1, parts->middle - 2, neck - parts->nozzle + 1, 4);
    ink_fill_grey(ink, 1);
    ink_pen(ink, gauge_mm(figure->gauge));
    ink_line(ink, tip - real(figure->needle_mm), parts->middle, tip, parts->middle);
    cairo_move_to(cairo, tip, parts->middle - .5);
    cairo_line_to(cairo, neck, parts->middle - 1.5);
    cairo_line_to(cairo, neck, parts->middle + 1.5);
    cairo_line_to(cairo, tip, parts->middle + .5);
    cairo_close_path(cairo);
    ink_pen(ink, INK_OUTLINE);
    ink_fill_white_and_stroke(ink);
}

void syringe_cut_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    const SyringeFigure *figure = &shape->syringe;
    room = room_cut(figure, room);
    SyringeParts parts = parts_cut(ink, figure, x, y, room);
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_rectangle(cairo, x, parts.top - 5, room.width, parts.bottom + parts.number_below + 2 - parts.top + 5);
    cairo_clip(cairo);
    barrel(ink, &parts);
    if (figure->fixed)
        fixed_needle(ink, figure, &parts);
    else if (real(figure->needle_mm) > 0)
        shape_needle(ink, figure->needle, gauge_mm(figure->gauge), parts.hub - real(figure->needle_mm), parts.hub,
                     parts.middle);
    if (!figure->slip && !figure->fixed)
        tip_collar(ink, &parts);
    if (figure->bubble && parts.rim - parts.zero > 6)
        art_circle(ink, parts.rim - 2.6, parts.top + real(figure->barrel_mm) * 0.3, 1.3, 1, ART_LINE);
    rod(ink, figure, &parts);
    stopper(ink, &parts);
    ink_mark(ink, "zero", parts.zero, parts.middle);
    scale(ink, figure, &parts);
    cairo_restore(cairo);
    if (figure->pointer)
        pointer_cut(ink, figure, &parts, x, room);
    else
        rim(ink, &parts, FALSE);
    ink_mark(ink, "rim", parts.rim, parts.middle);
    cairo_save(cairo);
    cairo_rectangle(cairo, x, parts.top - 5, room.width, parts.bottom + parts.number_below + 2 - parts.top + 5);
    cairo_clip(cairo);
    ink_pen(ink, INK_OUTLINE);
    barrel_path(cairo, &parts);
    ink_stroke(ink);
    handles(ink, figure, &parts);
    cairo_restore(cairo);
}
