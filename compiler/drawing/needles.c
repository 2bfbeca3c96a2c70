/* needles: needles in life size inside the outline of a bank card, and in their packs. */
#include "drawing/figures.h"

#include "drawing/parts.h"

/* ---- one needle ---- */

void shape_needle(Ink *ink, NeedleLook look, double od, double tip, double hub_start, double middle)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, tip, middle + od / 2);
    cairo_line_to(cairo, tip + 2 * od, middle - od / 2);
    cairo_line_to(cairo, hub_start, middle - od / 2);
    cairo_line_to(cairo, hub_start, middle + od / 2);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0);
    shape_hub(ink, look.hub, hub_start, middle, SHAPE_HUB_MM, 1.1, 2.4, look.filling);
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
    shape_needle(ink, needle->look, gauge_mm(needle->gauge), x, hub_start, y);
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

/* ---- packs, life size ---- */

#define PACK_HIGH 14.5
#define PACK_MARGIN 6.0
#define PACK_STEP 1.8  /* of the next one behind */
#define PACKS_DEEP 5.4 /* that all behind stand out */
#define PACKS_MOST 6   /* a larger heap cannot be counted: one is drawn beside its number */
#define CAP_HALF 3.0

static gint64 packs_behind(const PackFigure *pack)
{
    return pack->count > PACKS_MOST ? 0 : MAX(1, pack->count) - 1;
}

/* How far the last one stands out. */
static double packs_deep(const PackFigure *pack) { return MIN(PACKS_DEEP, PACK_STEP * (double)packs_behind(pack)); }

static double pack_long(const PackFigure *pack)
{
    return real(pack->length_mm) + SHAPE_HUB_MM + 2 * PACK_MARGIN;
}

FigureSize pack_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)room;
    double behind = packs_deep(&shape->pack);
    return (FigureSize){pack_long(&shape->pack) + behind + INK_OUTLINE, PACK_HIGH + behind + INK_OUTLINE};
}

/* The sheath over the needle, clear: the needle shows. */
static void sheath(Ink *ink, double left, double right, double middle)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, left, middle - CAP_HALF * 0.6);
    cairo_line_to(cairo, right, middle - CAP_HALF);
    cairo_line_to(cairo, right, middle + CAP_HALF);
    cairo_line_to(cairo, left, middle + CAP_HALF * 0.6);
    cairo_close_path(cairo);
    ink_pen(ink, INK_OUTLINE);
    ink_stroke(ink);
}

void pack_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const PackFigure *pack = &shape->pack;
    double wide = pack_long(pack), first = INK_OUTLINE / 2, tip = x + first + PACK_MARGIN;
    double hub = tip + real(pack->length_mm),
        middle = y + first + packs_deep(pack) + PACK_HIGH / 2;
    gint64 behind = packs_behind(pack);
    for (gint64 i = behind; i >= 0; i--) {
        double at = behind > 0 ? packs_deep(pack) * (double)i / (double)behind : 0;
        ink_rounded(ink, x + first + at, middle - PACK_HIGH / 2 - at, wide, PACK_HIGH, INK_RADIUS);
        ink_pen(ink, INK_OUTLINE);
        ink_fill_white_and_stroke(ink);
    }
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, x + first + 2.4, middle - PACK_HIGH / 2, x + first + 2.4, middle + PACK_HIGH / 2);
    ink_line(ink, x + first + wide - 2.4, middle - PACK_HIGH / 2, x + first + wide - 2.4, middle + PACK_HIGH / 2);
    shape_needle(ink, pack->look, gauge_mm(pack->gauge), tip, hub, middle);
    ink_mark(ink, "needle tip", tip, middle);
    ink_mark(ink, "needle hub", hub, middle);
    sheath(ink, tip - 2, hub + 2.4, middle);
}

/* ---- a bank card's length ---- */

/* The words as they stand at the line; label may be NULL. */
static double card_words(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    const InkStyle style = {.size = room.type, .align = INK_CENTRE};
    const InkRun words = {shape->card.label, FALSE, NULL};
    return shape->card.label ? ink_text_width(ink, style, &words, 1) : 0;
}

/* Words that would leave nothing of the line stand above it. */
static gboolean card_apart(double words) { return words > CARD_WIDTH - 12; }

FigureSize card_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    double words = card_words(ink, shape, room), row = MAX(4.0, room.type * INK_POINT * 1.35);
    return (FigureSize){MAX(CARD_WIDTH, words), row + (card_apart(words) ? 4.0 : 0)};
}

void card_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    FigureSize size = card_size(ink, shape, room);
    double words = card_words(ink, shape, room), centre = x + size.width / 2, left = centre - CARD_WIDTH / 2;
    gboolean apart = card_apart(words);
    double row = apart ? size.height - 4.0 : size.height, middle = apart ? y + size.height - 2.0 : y + row / 2;
    double half = apart || !shape->card.label ? 0 : words / 2 + 2;
    const InkStyle style = {.size = room.type, .align = INK_CENTRE};
    ink_pen(ink, INK_OUTLINE);
    cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
    ink_line(ink, left, middle, centre - half, middle);
    ink_line(ink, centre + half, middle, left + CARD_WIDTH, middle);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, left, middle - 1.8, left, middle + 1.8);
    ink_line(ink, left + CARD_WIDTH, middle - 1.8, left + CARD_WIDTH, middle + 1.8);
    ink_mark(ink, "card left", left, middle);
    ink_mark(ink, "card right", left + CARD_WIDTH, middle);
    if (shape->card.label)
        ink_label(ink, style, shape->card.label, centre, y + row / 2 + room.type * INK_POINT * 0.34);
}
