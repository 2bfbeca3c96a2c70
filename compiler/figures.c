/* figures: the syringe and the needles, life size; the night strip. */
#include "figures.h"

#include <math.h>

/* The one place where exact numbers become lengths on paper. */
static double real(Rational value) { return (double)value.num / (double)value.den; }

/* ---- the syringe ---- */

#define HUB_MM 9.0          /* hub of a needle, beyond the nozzle */
#define NOZZLE_MM 6.0
#define FLANGE_MM 2.0
#define THUMB_MM 3.0
#define ABOVE_MM 13.0       /* room for the pointer's words */
#define STOPPER_MM 6.5
#define WIDEST_MM 158.0
#define ROD_SHOWN_MM 14.0   /* of the plunger's rod, behind the flange */
#define LONG_MARK 0.42      /* of the barrel's height */
#define SHORT_MARK 0.24
#define NUMBER_SIZE 8.0

typedef struct SyringeParts {
    double tip, hub, nozzle, zero, end, flange, thumb; /* x from the figure's left */
    double top, bottom, middle;                        /* y of the barrel */
} SyringeParts;

double figure_syringe_at(const SyringeFigure *figure, Rational volume_ml)
{
    return figure->scale_mm * real(volume_ml) / real(figure->capacity_ml);
}

static SyringeParts parts_of(const SyringeFigure *figure)
{
    SyringeParts parts = {0};
    parts.hub = figure->needle_mm;
    parts.nozzle = parts.hub + (figure->needle_mm > 0 ? HUB_MM : 0);
    parts.zero = parts.nozzle + NOZZLE_MM;
    parts.end = parts.zero + figure->scale_mm;
    parts.flange = parts.end + 6;
    double rim = parts.zero + figure_syringe_at(figure, figure->fill_ml);
    double thumb = MAX(parts.flange + FLANGE_MM + 4, rim + STOPPER_MM + figure->scale_mm * 0.35 + ROD_SHOWN_MM);
    parts.thumb = MIN(thumb, MAX(WIDEST_MM - THUMB_MM, parts.flange + FLANGE_MM + 4));
    parts.top = ABOVE_MM;
    parts.bottom = parts.top + figure->barrel_mm;
    parts.middle = (parts.top + parts.bottom) / 2;
    return parts;
}

FigureSize figure_syringe_size(const SyringeFigure *figure)
{
    SyringeParts parts = parts_of(figure);
    return (FigureSize){parts.thumb + THUMB_MM, parts.bottom + 5};
}

static void needle_at(Ink *ink, const char *hub, double od, double tip, double hub_start, double middle)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, MAX(od, 0.3));
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    ink_line(ink, tip, middle, hub_start, middle);
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, hub_start, middle - 1.1);
    cairo_line_to(cairo, hub_start + 3.2, middle - 1.7);
    cairo_line_to(cairo, hub_start + HUB_MM, middle - 2.4);
    cairo_line_to(cairo, hub_start + HUB_MM, middle + 2.4);
    cairo_line_to(cairo, hub_start + 3.2, middle + 1.7);
    cairo_line_to(cairo, hub_start, middle + 1.1);
    cairo_close_path(cairo);
    ink_fill_hub(ink, hub);
    ink_stroke(ink);
}

static void barrel(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, double x, double y)
{
    double rim = parts->zero + figure_syringe_at(figure, figure->fill_ml);
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x + parts->nozzle, y + parts->middle - 1.5, NOZZLE_MM - 2, 3);
    ink_fill_white_and_stroke(ink);
    cairo_move_to(cairo, x + parts->zero - 2, y + parts->middle - 2.2);
    cairo_line_to(cairo, x + parts->zero, y + parts->top);
    cairo_line_to(cairo, x + parts->flange, y + parts->top);
    cairo_line_to(cairo, x + parts->flange, y + parts->bottom);
    cairo_line_to(cairo, x + parts->zero, y + parts->bottom);
    cairo_line_to(cairo, x + parts->zero - 2, y + parts->middle + 2.2);
    cairo_close_path(cairo);
    ink_fill_white_and_stroke(ink);
    if (rim > parts->zero) {
        cairo_rectangle(cairo, x + parts->zero, y + parts->top + 0.3, rim - parts->zero, figure->barrel_mm - 0.6);
        ink_fill_water(ink);
        cairo_new_path(cairo);
    }
}

static void plunger(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    double rim = x + parts->zero + figure_syringe_at(figure, figure->fill_ml);
    double stopper = MIN(STOPPER_MM, x + parts->flange - rim - 1);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, rim + stopper, y + parts->middle - 1.6, x + parts->thumb - rim - stopper, 3.2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, rim, y + parts->top + 0.4, stopper, figure->barrel_mm - 0.8);
    ink_fill_grey(ink, 0.72);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, rim + stopper * 0.4, y + parts->top + 0.4, rim + stopper * 0.4, y + parts->bottom - 0.4);
    ink_line(ink, rim + stopper * 0.7, y + parts->top + 0.4, rim + stopper * 0.7, y + parts->bottom - 0.4);
    ink_pen(ink, INK_STRONG);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    ink_line(ink, rim, y + parts->top + 0.4, rim, y + parts->bottom - 0.4);
    ink_mark(ink, "rim", rim, y + parts->middle);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x + parts->flange, y + parts->top - 4, FLANGE_MM, figure->barrel_mm + 8);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + parts->thumb, y + parts->middle - figure->barrel_mm * 0.6, THUMB_MM - 0.6,
                    figure->barrel_mm * 1.2);
    ink_fill_white_and_stroke(ink);
}

/* Every mark and every number of the real barrel.  Marks hang from its upper
 * edge; numbers stand under the barrel on white, so that nothing hides them. */
static void scale(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, double x, double y)
{
    gint64 count = rational_floor(rational_div(figure->capacity_ml, figure->mark_every_ml));
    InkStyle style = {.size = NUMBER_SIZE, .align = INK_CENTRE};
    for (gint64 i = 0; i <= count; i++) {
        Rational volume = rational_mul(figure->mark_every_ml, rational_make(i, 1));
        Rational groups = rational_div(volume, figure->number_every_ml);
        gboolean numbered = groups.den == 1;
        double at = x + parts->zero + figure_syringe_at(figure, volume);
        double reach = figure->barrel_mm * (numbered ? LONG_MARK : SHORT_MARK);
        ink_pen(ink, numbered ? 0.3 : INK_FINE_LINE);
        cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
        ink_line(ink, at, y + parts->bottom - reach, at, y + parts->bottom);
        ink_mark(ink, numbered ? "numbered mark" : "mark", at, y + parts->bottom);
        if (!numbered || i == 0)
            continue;
        Rational printed = figure->u100 ? rational_mul(volume, rational_make(100, 1)) : volume;
        g_autoptr(GString) text = g_string_new(NULL);
        rational_print(text, printed, 3, NULL);
        ink_label(ink, style, text->str, at, y + parts->bottom + 4);
    }
}

static void pointer(Ink *ink, const SyringeFigure *figure, const SyringeParts *parts, double x, double y)
{
    if (!figure->pointer)
        return;
    double rim = x + parts->zero + figure_syringe_at(figure, figure->fill_ml);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, rim, y + 6.2, rim, y + parts->top - 0.6);
    cairo_move_to(ink_cairo(ink), rim - 1.3, y + parts->top - 3);
    cairo_line_to(ink_cairo(ink), rim, y + parts->top - 0.5);
    cairo_line_to(ink_cairo(ink), rim + 1.3, y + parts->top - 3);
    ink_stroke(ink);
    InkStyle bold = {.size = 14, .bold = TRUE};
    const InkRun run = {figure->pointer, TRUE, NULL};
    double width = ink_text_width(ink, bold, &run, 1);
    ink_label(ink, bold, figure->pointer, rim - 1.5, y + 4.6);
    if (figure->pointer_note)
        ink_label(ink, (InkStyle){.size = 12}, figure->pointer_note, rim + width + 1.5, y + 4.6);
}

void figure_syringe_draw(Ink *ink, const SyringeFigure *figure, double x, double y)
{
    SyringeParts parts = parts_of(figure);
    if (figure->needle_mm > 0)
        needle_at(ink, figure->hub, figure->needle_od_mm, x, x + parts.hub, y + parts.middle);
    barrel(ink, figure, &parts, x, y);
    plunger(ink, figure, &parts, x, y);
    ink_mark(ink, "zero", x + parts.zero, y + parts.middle);
    scale(ink, figure, &parts, x, y);
    pointer(ink, figure, &parts, x, y);
}

/* ---- needles, inside the outline of a bank card ---- */

#define CARD_WIDTH 85.60 /* ISO/IEC 7810 ID-1 */
#define CARD_HEIGHT 53.98
#define CARD_RADIUS 3.18
#define BAR_MM 50.0

double figure_gauge_mm(gint64 gauge)
{
    static const double od[] = {1.6, 1.4, 1.2, 1.1, 0.9, 0.8, 0.7, 0.6, 0.55, 0.5, 0.45, 0.4, 0.36, 0.33, 0.3};
    return gauge >= 16 && gauge <= 30 ? od[gauge - 16] : 0.5;
}

FigureSize figure_needles_size(const NeedlesFigure *figure)
{
    (void)figure;
    return (FigureSize){CARD_WIDTH + 66, CARD_HEIGHT + 6};
}

static void one_needle(Ink *ink, const NeedleShape *needle, double x, double y)
{
    double hub_start = x + needle->length_mm;
    needle_at(ink, needle->hub, needle->od_mm, x, hub_start, y);
    ink_mark(ink, "needle tip", x, y);
    ink_mark(ink, "needle hub", hub_start, y);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, x, y + 2.6, x, y + 4.4);
    ink_line(ink, hub_start, y + 2.6, hub_start, y + 4.4);
    ink_line(ink, x, y + 3.5, hub_start, y + 3.5);
}

void figure_needles_draw(Ink *ink, const NeedlesFigure *figure, double x, double y)
{
    ink_pen(ink, INK_FINE_LINE);
    ink_rounded(ink, x, y, CARD_WIDTH, CARD_HEIGHT, CARD_RADIUS);
    ink_stroke(ink);
    ink_mark(ink, "card left", x, y);
    ink_mark(ink, "card right", x + CARD_WIDTH, y + CARD_HEIGHT);
    double gap = (CARD_HEIGHT - 16) / figure->count;
    for (guint i = 0; i < figure->count; i++) {
        const NeedleShape *needle = &figure->needles[i];
        double middle = y + 7 + gap * i + 2;
        one_needle(ink, needle, x + 8, middle);
        const InkRun job = {needle->job, TRUE, NULL}, detail = {needle->detail, FALSE, NULL};
        double below = ink_text_draw(ink, (InkStyle){.size = 14, .bold = TRUE}, &job, 1, x + CARD_WIDTH + 5,
                middle - 5, 60);
        ink_text_draw(ink, (InkStyle){.size = 12}, &detail, 1, x + CARD_WIDTH + 5, middle - 5 + below, 60);
    }
    double bar = y + CARD_HEIGHT - 8;
    ink_pen(ink, INK_STRONG);
    cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
    ink_line(ink, x + 8, bar, x + 8 + BAR_MM, bar);
    ink_line(ink, x + 8, bar - 1.5, x + 8, bar + 1.5);
    ink_line(ink, x + 8 + BAR_MM, bar - 1.5, x + 8 + BAR_MM, bar + 1.5);
    ink_mark(ink, "bar left", x + 8, bar);
    ink_mark(ink, "bar right", x + 8 + BAR_MM, bar);
    ink_label(ink, (InkStyle){.size = 10}, figure->bar_label, x + 8, bar + 5);
    ink_label(ink, (InkStyle){.size = 10}, figure->card_label, x, y + CARD_HEIGHT + 4.5);
}

/* ---- the night strip ---- */

#define STRIP_HOURS 12

static gboolean at_night(int minute) { return minute >= 18 * 60 || minute < 6 * 60; }

/* Minutes from the strip's left end. */
static int along(int minute)
{
    int start = at_night(minute) ? 18 * 60 : 6 * 60;
    return (minute - start + 24 * 60) % (24 * 60);
}

static void shade(Ink *ink, double x, double y, double width, double height, gboolean night)
{
    cairo_t *cairo = ink_cairo(ink);
    for (int i = 0; i < STRIP_HOURS; i++) {
        double from_middle = fabs(i + 0.5 - STRIP_HOURS / 2.0) / (STRIP_HOURS / 2.0);
        double grey = night ? 0.70 + 0.26 * from_middle : 0.96;
        cairo_rectangle(cairo, x + width * i / STRIP_HOURS, y, width / STRIP_HOURS + 0.05, height);
        ink_fill_grey(ink, grey);
    }
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x, y, width, height);
    ink_stroke(ink);
}

void figure_strip_draw(Ink *ink, const StripFigure *figure, double x, double y, double width)
{
    gboolean night = at_night(figure->minute);
    double top = y + 6, height = 6.5, middle = x + width / 2;
    double dot = x + width * along(figure->minute) / (STRIP_HOURS * 60.0);
    shade(ink, x, top, width, height, night);
    ink_pen(ink, INK_STRONG);
    if (night)
        ink_line(ink, middle, top - 4.5, middle, top + height);
    InkStyle day = {.size = 12, .bold = TRUE, .align = INK_RIGHT};
    ink_label(ink, day, figure->left_day, night ? middle - 2 : x + width, top - 1.6);
    day.align = INK_LEFT;
    if (night)
        ink_label(ink, day, figure->right_day, middle + 2, top - 1.6);
    cairo_t *cairo = ink_cairo(ink);
    cairo_arc(cairo, dot, top + height / 2, 2.6, 0, 2 * G_PI);
    ink_fill_white_and_stroke(ink);
    cairo_arc(cairo, dot, top + height / 2, 1.7, 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
    ink_mark(ink, "strip dot", dot, top + height / 2);
    ink_mark(ink, "strip left", x, top);
    ink_mark(ink, "strip right", x + width, top);
    InkStyle clock = {.size = 12, .grey = 0.2, .align = INK_CENTRE};
    double room = 16;
    for (int i = 0; i <= STRIP_HOURS / 2; i++) {
        double at = x + width * i / (STRIP_HOURS / 2.0);
        clock.align = i == 0 ? INK_LEFT : i == STRIP_HOURS / 2 ? INK_RIGHT : INK_CENTRE;
        if (figure->clocks[i][0] && fabs(at - dot) > room)
            ink_label(ink, clock, figure->clocks[i], at, top + height + 5);
    }
    InkStyle time = {.size = 12, .bold = TRUE, .align = INK_CENTRE};
    time.align = dot < x + 12 ? INK_LEFT : dot > x + width - 12 ? INK_RIGHT : INK_CENTRE;
    ink_label(ink, time, figure->time, dot, top + height + 5);
}
