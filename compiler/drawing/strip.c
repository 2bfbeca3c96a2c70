/* strip: the twelve hours around an injection, shaded evenly, the window cut out. */
#include "drawing/figures.h"

#include <math.h>
#include <string.h>

#include "drawing/parts.h"

#define STRIP_HOURS 12

static gboolean at_night(int minute) { return minute >= 18 * 60 || minute < 6 * 60; }

/* Minutes from the strip's left end. */
static int along(int minute)
{
    int start = at_night(minute) ? 18 * 60 : 6 * 60;
    return (minute - start + 24 * 60) % (24 * 60);
}

/* Time runs as the language is read. */
static double at_share(const Ink *ink, double share, double x, double width)
{
    return x + width * (ink_from_right(ink) ? 1 - share : share);
}

static double at_minute(const Ink *ink, int minute, double x, double width)
{
    return at_share(ink, along(minute) / (STRIP_HOURS * 60.0), x, width);
}

/* The day whose name stands at the left of the middle, or at the right. */
static const char *day_beside(const Ink *ink, const StripFigure *figure, gboolean left)
{
    return left != ink_from_right(ink) ? figure->left_day : figure->right_day;
}

/* Where a label would start that is centred about x and kept within the strip. */
static double label_start(Ink *ink, InkStyle style, const char *text, double at, double x,
                          double width, double *wide)
{
    const InkRun run = {text, style.bold, NULL};
    *wide = ink_text_width(ink, style, &run, 1);
    return CLAMP(at - *wide / 2, x, x + width - *wide);
}

/* Where the label of a minute that matters stands. */
typedef struct TimeLabel { const char *text; double start, wide; } TimeLabel;

#define LABEL_GAP 3.0

static TimeLabel time_label(Ink *ink, InkStyle style, const StripFigure *figure, double x, double width)
{
    TimeLabel label = {.text = figure->time};
    double at = at_minute(ink, figure->minute, x, width);
    label.start = label_start(ink, style, figure->time, at, x, width, &label.wide);
    return label;
}

static gboolean meets(const TimeLabel *label, double start, double wide)
{
    return start + wide + LABEL_GAP >= label->start && start <= label->start + label->wide + LABEL_GAP;
}

/* Clock labels, leaving room for those that matter. */
static void clocks(Ink *ink, const StripFigure *figure, double x, double baseline, double width, double type)
{
    const InkStyle bold = {.size = type, .bold = TRUE}, plain = {.size = type, .grey = 0.2};
    double wide, free_from = x;
    const TimeLabel first = time_label(ink, bold, figure, x, width);
    TimeLabel also = figure->also ? time_label(ink, bold, figure->also, x, width) : first;
    if (figure->also && meets(&first, also.start, also.wide)) /* beside the first, on the side of its dot */
        also.start = also.start >= first.start ? first.start + first.wide + LABEL_GAP
                                               : first.start - LABEL_GAP - also.wide;
    for (int i = 0; i <= STRIP_HOURS / 2; i++) { /* from left to right */
        const char *clock = figure->clocks[ink_from_right(ink) ? STRIP_HOURS / 2 - i : i];
        double start = label_start(ink, plain, clock, x + width * i / (STRIP_HOURS / 2.0), x, width, &wide);
        if (meets(&first, start, wide) || meets(&also, start, wide) || start < free_from)
            continue;
        ink_label(ink, plain, clock, start, baseline);
        free_from = start + wide + LABEL_GAP;
    }
    ink_label(ink, bold, first.text, first.start, baseline);
    if (figure->also && strcmp(first.text, also.text) != 0)
        ink_label(ink, bold, also.text, also.start, baseline);
}

#define NIGHT_BAR 7.5
#define NIGHT_SHADE 0.72
#define NIGHT_OUT 1.4  /* the window stands out of the bar */
#define NIGHT_LEAST 3.6 /* mm that a window is drawn wide */

static double line_of(FigureRoom room) { return room.type * INK_POINT * 1.35; }

FigureSize night_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)shape;
    return (FigureSize){room.width, 2 * line_of(room) + NIGHT_BAR + 2.4};
}

static void night_bar(Ink *ink, const StripFigure *figure, double x, double top, double width)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x, top, width, NIGHT_BAR);
    ink_fill_grey(ink, at_night(figure->minute) ? NIGHT_SHADE : 1);
    cairo_rectangle(cairo, x, top, width, NIGHT_BAR);
    ink_stroke(ink);
    for (int i = 0; i <= STRIP_HOURS; i++) { /* filled: a stroke would be a mark of a syringe */
        double at = x + width * i / STRIP_HOURS;
        cairo_rectangle(cairo, at - INK_OUTLINE / 2, top + NIGHT_BAR, INK_OUTLINE, i % 2 ? 0.8 : 1.6);
        ink_fill_grey(ink, 0);
    }
}

static void night_window(Ink *ink, const StripFigure *figure, double x, double top, double width)
{
    double earliest = at_minute(ink, figure->from, x, width), latest = at_minute(ink, figure->until, x, width);
    double from = MIN(earliest, latest), until = MAX(earliest, latest), dot = at_minute(ink, figure->minute, x, width);
    if (figure->from == figure->until)
        from = until = dot;
    if (until - from < NIGHT_LEAST) {
        from = (from + until - NIGHT_LEAST) / 2;
        until = from + NIGHT_LEAST;
    }
    ink_pen(ink, 1.0);
    ink_rounded(ink, from, top - NIGHT_OUT, until - from, NIGHT_BAR + 2 * NIGHT_OUT, 0.8);
    ink_fill_white_and_stroke(ink);
    cairo_arc(ink_cairo(ink), dot, top + NIGHT_BAR / 2, MIN(2.1, (until - from) / 2 - 0.4), 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
    ink_mark(ink, "strip dot", dot, top + NIGHT_BAR / 2);
    ink_mark(ink, "window left", from, top);
    ink_mark(ink, "window right", until, top);
}

static void night_days(Ink *ink, const StripFigure *figure, double x, double top, double width, double type)
{
    InkStyle day = {.size = type, .bold = TRUE};
    double middle = x + width / 2, baseline = top - 2.2;
    if (!at_night(figure->minute)) {
        day.align = ink_from_right(ink) ? INK_RIGHT : INK_LEFT;
        ink_label(ink, day, figure->left_day, at_share(ink, 0, x, width), baseline);
        return;
    }
    ink_pen(ink, INK_STRONG);
    cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
    ink_line(ink, middle, top - 2.2 - type * INK_POINT * 0.7, middle, top + NIGHT_BAR + 1.6);
    ink_label(ink, day, day_beside(ink, figure, FALSE), middle + 2, baseline);
    day.align = INK_RIGHT;
    ink_label(ink, day, day_beside(ink, figure, TRUE), middle - 2, baseline);
}

void night_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    const StripFigure *figure = &shape->strip;
    double top = y + line_of(room), width = room.width, bottom = top + NIGHT_BAR;
    night_bar(ink, figure, x, top, width);
    night_days(ink, figure, x, top, width, room.type);
    if (figure->also)
        night_window(ink, figure->also, x, top, width);
    night_window(ink, figure, x, top, width);
    ink_mark(ink, "strip left", x, top);
    ink_mark(ink, "strip right", x + width, top);
    clocks(ink, figure, x, bottom + room.type * INK_POINT + 1.8, width, room.type);
}
