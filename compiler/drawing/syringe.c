/* syringe: the syringe and the needles, life size; the night strip. */
#include "drawing/parts.h"

#include <math.h>

#include "drawing/parts.h"

/* ---- the syringe ---- */

#define HUB_MM 9.0 /* hub of a needle, beyond the nozzle */
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
    SyringeParts parts = {0};
    parts.hub = x + real(figure->needle_mm);
    parts.nozzle = parts.hub + (real(figure->needle_mm) > 0 ? HUB_MM : 0);
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

FigureSize syringe_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)room;
    SyringeParts parts = parts_of(&shape->syringe, 0, 0);
    return (FigureSize){parts.thumb + THUMB_MM, parts.bottom + BELOW_MM};
}

/* A needle in its true length and thickness, its end ground to a slant. */
static void needle_at(Ink *ink, NeedleLook look, double od, double tip, double hub_start, double middle)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, tip, middle + od / 2);
    cairo_line_to(cairo, tip + 2 * od, middle - od / 2);
    cairo_line_to(cairo, hub_start, middle - od / 2);
    cairo_line_to(cairo, hub_start, middle + od / 2);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0);
    shape_hub(ink, look.hub, hub_start, middle, HUB_MM, 1.1, 2.4, look.filling);
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

static void number(Ink *ink, const SyringeFigure *figure, Rational volume, double x,
                   double baseline)
{
    Rational printed = figure->u100 ? rational_mul(volume, rational_make(100, 1)) : volume;
    g_autoptr(GString) text = g_string_new(NULL);
    rational_print(text, printed, 3, NULL);
    InkStyle style = {
        .size = NUMBER_SIZE, .align = INK_CENTRE, .bold = rational_equal(volume, figure->fill_ml)};
    ink_label(ink, style, text->str, x, baseline);
}

/* Every mark and every number of the real barrel.  Marks stand on its lower edge;
 * numbers stand below it, so that nothing hides them. */
static void scale(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts)
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
        if (numbered && i > 0)
            number(ink, figure, volume, at, parts->bottom + 4);
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

/* The words start at the pointer, or further left where they would leave the page. */
static void pointer_words(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts,
                          double x)
{
    InkStyle bold = {.size = 14, .bold = TRUE}, plain = {.size = 12};
    const InkRun line = {figure->pointer, TRUE, NULL};
    const InkRun note = {figure->pointer_note ? figure->pointer_note : "", FALSE, NULL};
    double first = ink_text_width(ink, bold, &line, 1) + 3;
    double all = first + ink_text_width(ink, plain, &note, 1);
    double start = MAX(x, MIN(parts->rim - 1.5, x + WIDEST_MM - all)),
           baseline = parts->top - ABOVE_MM + 4.6;
    ink_label(ink, bold, figure->pointer, start, baseline);
    ink_label(ink, plain, note.text, start + first, baseline);
    ink_mark(ink, "pointer words end", start + all, baseline);
}

void syringe_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const SyringeFigure *figure = &shape->syringe;
    SyringeParts parts = parts_of(figure, x, y);
    if (real(figure->needle_mm) > 0)
        needle_at(ink, figure->needle, gauge_mm(figure->gauge), x, parts.hub, parts.middle);
    barrel(ink, &parts);
    rod(ink, figure, &parts);
    stopper(ink, &parts);
    ink_mark(ink, "zero", parts.zero, parts.middle);
    scale(ink, figure, &parts);
    rim(ink, &parts, figure->pointer != NULL);
    ink_pen(ink, INK_OUTLINE);
    barrel_path(ink_cairo(ink), &parts);
    ink_stroke(ink);
    handles(ink, figure, &parts);
    if (figure->pointer)
        pointer_words(ink, figure, &parts, x);
}

/* ---- needles, inside the outline of a bank card ---- */

#define CARD_WIDTH 85.60 /* ISO/IEC 7810 ID-1 */
#define CARD_HEIGHT 53.98
#define CARD_RADIUS 3.18
#define BAR_MM 50.0

double gauge_mm(gint64 gauge)
{
    static const double od[] = {1.6,  1.4, 1.2,  1.1, 0.9,  0.8,  0.7, 0.6,
                                0.55, 0.5, 0.45, 0.4, 0.36, 0.33, 0.3,
                                0.25, 0.23, 0.2, 0.18};
    return gauge < 16 ? od[0] : od[MIN(gauge - 16, (gint64)G_N_ELEMENTS(od) - 1)];
}

/* Each row of the card has its words beside it: needles first, the bar last. */
#define ROWS_TOP 3.0
#define ROWS_HEIGHT 39.0
#define BAR_ROW 47.5
#define INSET 8.0
#define WORDS_GAP 5.0
#define WORDS_WIDTH 66.0

FigureSize needles_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)room;
    const NeedlesFigure *figure = &shape->needles;
    return (FigureSize){CARD_WIDTH + WORDS_GAP + WORDS_WIDTH, CARD_HEIGHT + (figure->card_label ? 6.5 : 0)};
}

/* A length between two small strokes. */
static void measure(Ink *ink, double weight, double x1, double x2, double y, double half)
{
    ink_pen(ink, weight);
    cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
    ink_line(ink, x1, y, x2, y);
    ink_line(ink, x1, y - half, x1, y + half);
    ink_line(ink, x2, y - half, x2, y + half);
}

static void one_needle(Ink *ink, const NeedleShape *needle, double x, double y)
{
    double hub_start = x + real(needle->length_mm);
    needle_at(ink, needle->look, gauge_mm(needle->gauge), x, hub_start, y);
    ink_mark(ink, "needle tip", x, y);
    ink_mark(ink, "needle hub", hub_start, y);
    measure(ink, INK_FINE_LINE, x, hub_start, y + 3.6, 0.9);
}

/* Up to two texts, one below the other, about the middle of their row. */
static void row_words(Ink *ink, const char *strong, const char *plain, double x, double middle)
{
    const InkRun first = {strong ? strong : "", TRUE, NULL}, second = {plain, FALSE, NULL};
    InkStyle bold = {.size = 14, .bold = TRUE, .leading = 1.2},
             normal = {.size = 12, .leading = 1.25};
    double upper = strong ? ink_text_height(ink, bold, &first, 1, WORDS_WIDTH) : 0;
    double lower = ink_text_height(ink, normal, &second, 1, WORDS_WIDTH);
    double top = middle - (upper + lower) / 2;
    if (strong)
        ink_text_draw(ink, bold, &first, 1, x, top, WORDS_WIDTH);
    ink_text_draw(ink, normal, &second, 1, x, top + upper, WORDS_WIDTH);
}

void needles_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const NeedlesFigure *figure = &shape->needles;
    double words = x + CARD_WIDTH + WORDS_GAP, row_high = ROWS_HEIGHT / MAX(1, figure->count), bar = y + BAR_ROW;
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, x, y, CARD_WIDTH, CARD_HEIGHT, CARD_RADIUS);
    ink_stroke(ink);
    ink_mark(ink, "card left", x, y);
    ink_mark(ink, "card right", x + CARD_WIDTH, y + CARD_HEIGHT);
    for (guint i = 0; i < figure->count; i++) {
        const NeedleShape *needle = &figure->needles[i];
        double middle = y + ROWS_TOP + row_high * (i + 0.5);
        one_needle(ink, needle, x + INSET, middle - 1);
        row_words(ink, needle->job, needle->detail, words, middle);
    }
    measure(ink, INK_STRONG, x + INSET, x + INSET + BAR_MM, bar, 1.5);
    ink_mark(ink, "bar left", x + INSET, bar);
    ink_mark(ink, "bar right", x + INSET + BAR_MM, bar);
    row_words(ink, NULL, figure->bar_label, words, bar);
    if (figure->card_label)
        ink_label(ink, (InkStyle){.size = 12}, figure->card_label, x, y + CARD_HEIGHT + 5);
}

/* ---- the night strip ---- */

#define STRIP_HOURS 12
#define STRIP_TOP 5.5
#define STRIP_BAR 6.0
#define STRIP_CLOCKS 6.0 /* baseline of the clock labels below the bar */

static gboolean at_night(int minute) { return minute >= 18 * 60 || minute < 6 * 60; }

/* Minutes from the strip's left end. */
static int along(int minute)
{
    int start = at_night(minute) ? 18 * 60 : 6 * 60;
    return (minute - start + 24 * 60) % (24 * 60);
}

/* Light where the day is, darkest at midnight; never so dark that the dot drowns. */
static void shade(Ink *ink, double x, double top, double width, gboolean night)
{
    cairo_t *cairo = ink_cairo(ink);
    double dark = night ? 0.68 : 0.97;
    cairo_pattern_t *pattern = cairo_pattern_create_linear(x, 0, x + width, 0);
    cairo_pattern_add_color_stop_rgb(pattern, 0, 0.97, 0.97, 0.97);
    cairo_pattern_add_color_stop_rgb(pattern, 0.5, dark, dark, dark);
    cairo_pattern_add_color_stop_rgb(pattern, 1, 0.97, 0.97, 0.97);
    cairo_rectangle(cairo, x, top, width, STRIP_BAR);
    cairo_set_source(cairo, pattern);
    cairo_fill_preserve(cairo);
    cairo_pattern_destroy(pattern);
    ink_pen(ink, INK_OUTLINE);
    cairo_stroke(cairo);
    for (int i = 0; i <= STRIP_HOURS; i++) { /* filled: a stroke would be a mark of a syringe */
        double at = x + width * i / STRIP_HOURS, bottom = top + STRIP_BAR;
        cairo_rectangle(cairo, at - INK_OUTLINE / 2, bottom, INK_OUTLINE, i % 2 ? 0.7 : 1.4);
        ink_fill_grey(ink, 0);
    }
}

static void days(Ink *ink, const StripFigure *figure, double x, double top, double width)
{
    InkStyle day = {.size = 12, .bold = TRUE};
    if (!at_night(figure->minute)) {
        ink_label(ink, day, figure->left_day, x, top - 1.6);
        return;
    }
    double middle = x + width / 2;
    ink_pen(ink, INK_STRONG);
    ink_line(ink, middle, top - 4.8, middle, top + STRIP_BAR);
    ink_label(ink, day, figure->right_day, middle + 2, top - 1.6);
    day.align = INK_RIGHT;
    ink_label(ink, day, figure->left_day, middle - 2, top - 1.6);
}

double figure_strip_free(Ink *ink, const FigureShape *shape, double width)
{
    const StripFigure *figure = &shape->strip;
    const InkRun day = {figure->left_day, TRUE, NULL};
    return at_night(figure->minute) ? width / 2 - 5 - ink_text_width(ink, (InkStyle){.size = 12, .bold = TRUE}, &day, 1)
                                    : 0;
}

/* Where a label would start that is centred about x and kept within the strip. */
static double label_start(Ink *ink, InkStyle style, const char *text, double at, double x,
                          double width, double *wide)
{
    const InkRun run = {text, style.bold, NULL};
    *wide = ink_text_width(ink, style, &run, 1);
    return CLAMP(at - *wide / 2, x, x + width - *wide);
}

/* Clock labels, leaving room for the one that matters. */
static void clocks(Ink *ink, const StripFigure *figure, double x, double baseline, double width,
                   double dot)
{
    const InkStyle bold = {.size = 12, .bold = TRUE}, plain = {.size = 12, .grey = 0.2};
    double time_wide, wide, free_from = x;
    double time_start = label_start(ink, bold, figure->time, dot, x, width, &time_wide);
    for (int i = 0; i <= STRIP_HOURS / 2; i++) {
        double at = x + width * i / (STRIP_HOURS / 2.0);
        double start = label_start(ink, plain, figure->clocks[i], at, x, width, &wide);
        gboolean apart = start + wide + 3 < time_start || start > time_start + time_wide + 3;
        if (!apart || start < free_from)
            continue;
        ink_label(ink, plain, figure->clocks[i], start, baseline);
        free_from = start + wide + 3;
    }
    ink_label(ink, bold, figure->time, time_start, baseline);
}

#define STRIP_HEIGHT 19.0

FigureSize strip_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)shape;
    return (FigureSize){room.width, STRIP_HEIGHT};
}

void strip_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    const StripFigure *figure = &shape->strip;
    double width = room.width;
    cairo_t *cairo = ink_cairo(ink);
    double top = y + STRIP_TOP, middle = top + STRIP_BAR / 2;
    double dot = x + width * along(figure->minute) / (STRIP_HOURS * 60.0);
    shade(ink, x, top, width, at_night(figure->minute));
    days(ink, figure, x, top, width);
    cairo_arc(cairo, dot, middle, 2.7, 0, 2 * G_PI);
    ink_pen(ink, INK_OUTLINE);
    ink_fill_white_and_stroke(ink);
    cairo_arc(cairo, dot, middle, 1.9, 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
    ink_mark(ink, "strip dot", dot, middle);
    ink_mark(ink, "strip left", x, top);
    ink_mark(ink, "strip right", x + width, top);
    clocks(ink, figure, x, top + STRIP_BAR + STRIP_CLOCKS, width, dot);
}
