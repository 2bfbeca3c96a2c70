/* needles: needles in their packs, and a bank card's length, in life size. */
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

#define CARD_WIDTH 85.60 /* ISO/IEC 7810 ID-1 */

double gauge_mm(gint64 gauge)
{
    static const double od[] = {1.6,  1.4, 1.2,  1.1, 0.9,  0.8,  0.7, 0.6,
                                0.55, 0.5, 0.45, 0.4, 0.36, 0.33, 0.3,
                                0.25, 0.23, 0.2, 0.18};
    return gauge < 16 ? od[0] : od[MIN(gauge - 16, (gint64)G_N_ELEMENTS(od) - 1)];
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

#define CARD_BELOW 6.0 /* of the line below its words, clear of what follows too */

/* Words that would leave nothing of the line stand above it. */
static gboolean card_apart(double words) { return words > CARD_WIDTH - 8; }

FigureSize card_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    double words = card_words(ink, shape, room), row = MAX(4.0, room.type * INK_POINT * 1.35);
    return (FigureSize){MAX(CARD_WIDTH, words), row + (card_apart(words) ? CARD_BELOW : 0)};
}

void card_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    FigureSize size = card_size(ink, shape, room);
    double words = card_words(ink, shape, room), centre = x + size.width / 2, left = centre - CARD_WIDTH / 2;
    gboolean apart = card_apart(words);
    double row = apart ? size.height - CARD_BELOW : size.height;
    double middle = apart ? y + size.height - CARD_BELOW * .6 : y + row / 2;
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
