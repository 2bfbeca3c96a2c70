/* page_panel: one act: its number, what to do, its picture. */
#include "page/parts.h"

#define GAP 3.0          /* between words and picture */
#define LEAST_WORDS 40.0 /* no column of words is narrower, mm of ordinary print */
#define MOST_WORDS 112.0
#define MOST_FULL 150.0 /* where no paragraph keeps its measure */
#define LEAST_SIDE 26.0  /* of remarks beside a picture */
#define WRITE_LABEL_AIR 2.0 /* above a tick or a box, on a full page less */
#define MOST_PICTURES 4

/* Where the words of a panel stand, and its pictures; wide: beside, a label wider than a column. */
typedef enum Arrangement { PICTURE_UNDER, PICTURE_BESIDE, PICTURE_WIDE, ARRANGEMENTS } Arrangement;

static double least(const Setter *setter, double mm) { return setter->large ? mm * 1.46 : mm; }

/* No line of words is longer. */
static double most_words(const Setter *setter)
{
    return least(setter, setter->level->measure < BLOCK_WIDTH ? MOST_WORDS : MOST_FULL);
}

static double number_width(const Setter *setter, const Block *panel)
{
    double one = setter->level->number, two = one + 3;
    return least(setter, panel->number >= 10 ? two : one) * (setter->large ? 0.85 : 1);
}

static double put_number(Setter *setter, const Block *panel, double x, double y)
{
    g_autofree char *text = g_strdup_printf("%d", panel->number);
    const InkRun run = {arena_copy(setter->arena, text), TRUE, NULL};
    double width = number_width(setter, panel);
    InkStyle large = grid_type(setter->print, TYPE_PANEL);
    double height = add_runs(setter, "Lbl", large, &run, 1, x, y, ink_text_width(setter->ink, large, &run, 1) + 0.1);
    if (!panel->half)
        return height;
    InkStyle style = grid_type(setter->print, TYPE_BAND);
    style.align = INK_CENTRE;
    const InkRun half = {panel->half, TRUE, NULL};
    return height + add_runs(setter, "Lbl", style, &half, 1, x, y + height - 1, width - 3);
}

/* ---- pictures ---- */

/* Words inside a picture do not shrink with it: it gets a column, or most of one. */
#define WITH_WORDS 56.0
#define LEAST_WITH_WORDS 28.0
#define LABEL_MOST 74.0
#define LABEL_STEP 1.0
#define LEFT_OVER 18.0 /* of each thing that is counted */
#define LEAST_PICTURE 22.0
#define LEAST_BARREL 54.0 /* of a barrel that is cut, for its pointer's words */

static gboolean is_barrel(FigureKind kind)
{
    return kind == FIGURE_SYRINGE_ADD || kind == FIGURE_SYRINGE_DOSE || kind == FIGURE_SYRINGE_GIVE;
}

/* What it takes at least: more than it is offered when its size is its own. */
static double needed(const Setter *setter, const Figure *figure)
{
    double least_width = is_barrel(figure->shape.kind)     ? least(setter, LEAST_BARREL)
                         : figure->words == WORDS_INSIDE ? least(setter, LEAST_WITH_WORDS) : LEAST_PICTURE;
    const FigureRoom offered = {least_width, grid_type(setter->print, TYPE_BODY).size};
    return larger(least_width, size_of(setter, &figure->shape, offered).width);
}

/* Of a label: a column, or so wide that it takes the fewest lines. */
static double label_wanted(const Setter *setter, const Figure *figure)
{
    if (!setter->wide_labels)
        return WITH_WORDS;
    const double type = grid_type(setter->print, TYPE_BODY).size;
    double best = WITH_WORDS, low = size_of(setter, &figure->shape, (FigureRoom){best, type}).height;
    for (double width = WITH_WORDS + LABEL_STEP; width <= LABEL_MOST; width += LABEL_STEP) {
        double height = size_of(setter, &figure->shape, (FigureRoom){width, type}).height;
        if (height < low - 1) {
            low = height;
            best = width;
        }
    }
    return best;
}

static double wanted(const Setter *setter, const Figure *figure)
{
    double picture = setter->level->picture * (figure->pleases ? setter->level->pleasing : 1);
    double each = MIN(LEFT_OVER, setter->level->picture / 2);
    double words = figure->shape.kind == FIGURE_LEFT_OVER    ? each * figure->shape.things.count
                   : figure->shape.kind == FIGURE_READ_LABEL ? label_wanted(setter, figure)
                                                             : MIN(WITH_WORDS, picture * 1.15);
    /* With its words; what is left is counted, not read. */
    gboolean grows = figure->words == WORDS_INSIDE && figure->shape.kind != FIGURE_LEFT_OVER;
    double most = grows                              ? least(setter, words)
                  : figure->words == WORDS_INSIDE ? words : picture * (setter->large ? 1.2 : 1);
    return larger(most, needed(setter, figure));
}

/* The pictures of a panel that are shown at this level. */
static guint shown(const Setter *setter, const Block *panel, const Figure *out[MOST_PICTURES])
{
    guint count = 0;
    for (guint i = 0; i < panel->figures->len && count < MOST_PICTURES; i++) {
        const Figure *figure = g_ptr_array_index(panel->figures, i);
        if (!figure->pleases || setter->level->pleasing > 0)
            out[count++] = figure;
    }
    return count;
}

/* Beside each other each gives up the same part of what it wants beyond what it needs. */
static double share_of(const Setter *setter, const Figure *const *figures, guint count, double width)
{
    double least_sum = (count - 1) * GAP, most = least_sum;
    for (guint i = 0; i < count; i++) {
        least_sum += needed(setter, figures[i]);
        most += wanted(setter, figures[i]);
    }
    return most <= width ? 1 : most > least_sum ? (width - least_sum) / (most - least_sum) : -1;
}

/* All pictures of a panel beside each other; where that is too narrow, below each other. */
static Extent put_pictures(Setter *setter, const Block *panel, double x, double y, double width)
{
    const Figure *figures[MOST_PICTURES];
    guint count = shown(setter, panel, figures);
    double share = count > 0 ? share_of(setter, figures, count, width) : 1;
    Extent extent = {0, 0};
    for (guint i = 0; i < count; i++) {
        double least_width = needed(setter, figures[i]), more = wanted(setter, figures[i]) - least_width;
        double offered = share >= 0 ? least_width + share * MAX(0, more) : MIN(width, wanted(setter, figures[i]));
        double right = share >= 0 && extent.width > 0 ? extent.width + GAP : 0;
        double down = share < 0 && extent.height > 0 ? extent.height + GAP / 2 : 0;
        Extent one = put_picture(setter, figures[i], x + right, y + down, MAX(offered, least_width));
        extent.width = MAX(extent.width, right + one.width);
        extent.height = MAX(extent.height, down + one.height);
    }
    return extent;
}

static Extent pictures_extent(Setter *setter, const Block *panel, double width)
{
    const Scratch before = scratch_open(setter);
    Extent extent = put_pictures(setter, panel, 0, 0, width);
    scratch_close(setter, before);
    return extent;
}

/* ---- what stands at the side: remarks, ticks, boxes to write in ---- */

static gboolean has_side(const Block *panel) { return panel->lines->len > 1 || panel->items->len > 0; }

/* A tick needs room for its box beside its words. */
static double least_side(const Setter *setter, const Block *panel)
{
    return least(setter, panel->items->len > 0 ? LEAST_SIDE + TICK_SIDE : LEAST_SIDE);
}

static double put_write(Setter *setter, const Block *write, double x, double y, double width)
{
    double label = 0;
    if (write->lines->len > 0)
        label = put_line(setter, "P", TYPE_CLOSE, line_at(write, 0), x, y, width);
    add_frame(setter, INK_OUTLINE, x, y + label, width, WRITE_SIDE, RADIUS / 2);
    return label + WRITE_SIDE;
}

static double put_side(Setter *setter, const Block *panel, double x, double y, double width)
{
    double at = y;
    for (guint i = 1; i < panel->lines->len; i++)
        at += put_remark(setter, "P", line_at(panel, i), x, at, width);
    for (guint i = 0; i < panel->items->len; i++) {
        const Block *item = item_at(panel, i);
        at += at > y ? MIN(WRITE_LABEL_AIR, 3 * setter->level->row_gap) : 0;
        at += item->kind == BLOCK_WRITE ? put_write(setter, item, x, at, width)
                                        : put_tick(setter, item, x, at, width);
    }
    return at - y;
}

static double side_height(Setter *setter, const Block *panel, double width)
{
    const Scratch before = scratch_open(setter);
    double height = put_side(setter, panel, 0, 0, width);
    return scratch_close(setter, before) > 0 ? G_MAXDOUBLE : height;
}

/* ---- the two arrangements ---- */

static double put_text(Setter *setter, const Block *panel, double x, double y, double width)
{
    InkStyle style = grid_type(setter->print, TYPE_BODY);
    style.leading = setter->level->pitch;
    return panel->lines->len > 0 ? add_line(setter, "P", style, line_at(panel, 0), x, y,
                                            MIN(width, most_words(setter))) : 0;
}

static double put_under(Setter *setter, const Block *panel, double x, double y, double width)
{
    double number = number_width(setter, panel), inner = width - number;
    double text = put_text(setter, panel, x + number, y, inner);
    Extent pictures = pictures_extent(setter, panel, width);
    gboolean indented = pictures.width <= inner;
    double left = indented ? number : 0, at = y + text + (pictures.height > 0 ? 1.6 : 0);
    if (has_side(panel) && width - left - pictures.width - GAP < least_side(setter, panel))
        left = 0; /* what stands at its side needs the room */
    put_pictures(setter, panel, x + left, at, width);
    double free = width - left - pictures.width - GAP;
    if (!has_side(panel))
        return at - y + pictures.height;
    gboolean below = setter->level->pleasing <= 0 && free >= least_side(setter, panel) &&
                     pictures.height + 1 + side_height(setter, panel, inner) < side_height(setter, panel, free);
    if (pictures.height > 0 && free >= least_side(setter, panel) && !below) {
        double side = put_side(setter, panel, x + left + pictures.width + GAP, at, free);
        return at - y + MAX(side, pictures.height);
    }
    at += pictures.height + 1;
    return at - y + put_side(setter, panel, x + number, at, inner);
}

static double put_beside(Setter *setter, const Block *panel, double x, double y, double width)
{
    double number = number_width(setter, panel);
    double room_for = width - number - GAP - least(setter, LEAST_WORDS);
    Extent pictures = pictures_extent(setter, panel, room_for);
    double words = MIN(width - number - (pictures.width > 0 ? GAP + pictures.width : 0), most_words(setter));
    double text = put_text(setter, panel, x + number, y, words);
    put_pictures(setter, panel, x + width - pictures.width, y, room_for);
    if (has_side(panel))
        text += 1 + put_side(setter, panel, x + number, y + text + 1, words);
    return MAX(text, pictures.height);
}

static double put_arranged(Setter *setter, const Block *panel, Arrangement arrangement, double x, double y,
                           double width)
{
    setter->wide_labels = arrangement == PICTURE_WIDE;
    box_open(&setter->pile, "LI");
    double number = put_number(setter, panel, x, y);
    box_open(&setter->pile, "LBody");
    double height = arrangement == PICTURE_UNDER ? put_under(setter, panel, x, y, width)
                                                 : put_beside(setter, panel, x, y, width);
    box_close(&setter->pile);
    box_close(&setter->pile);
    setter->wide_labels = FALSE;
    return MAX(number, height);
}

static gboolean fits_beside(Setter *setter, const Block *panel, double width)
{
    double room_for = width - number_width(setter, panel) - GAP - least(setter, LEAST_WORDS);
    return room_for >= 18 && pictures_extent(setter, panel, room_for).width <= room_for;
}

static gboolean may_be_wide(const Figure *const *figures, guint count)
{
    for (guint i = 0; i < count; i++)
        if (figures[i]->shape.kind == FIGURE_READ_LABEL)
            return TRUE;
    return FALSE;
}

/* The lowest one. */
static Arrangement lowest(Setter *setter, const Block *panel, double width)
{
    const Figure *figures[MOST_PICTURES];
    const guint count = shown(setter, panel, figures);
    if (count == 0 || !fits_beside(setter, panel, width))
        return PICTURE_UNDER;
    Arrangement best = PICTURE_UNDER;
    double least_height = G_MAXDOUBLE;
    const int until = may_be_wide(figures, count) ? ARRANGEMENTS : PICTURE_WIDE;
    const Scratch before = scratch_open(setter);
    for (int i = PICTURE_UNDER; i < until; i++) {
        double height = put_arranged(setter, panel, (Arrangement)i, 0, 0, width);
        best = height < least_height ? (Arrangement)i : best;
        least_height = MIN(least_height, height);
    }
    scratch_close(setter, before);
    return best;
}

static double put_chosen(Setter *setter, const Block *panel, double x, double y, double width)
{
    Measure *measure = measure_of_block(setter, panel, width);
    if (!measure->chosen)
        measure->arrangement = (int)lowest(setter, panel, width);
    measure->chosen = TRUE;
    return put_arranged(setter, panel, (Arrangement)measure->arrangement, x, y, width);
}

double put_panel(Setter *setter, const Block *panel, double x, double y, double width)
{
    return measured_once(setter, panel, put_chosen, &(BoxPlace){x, y, width});
}

gboolean panel_is_crowded(Setter *setter, const Block *panel, double width)
{
    return pictures_extent(setter, panel, width).width > width + GUTTER / 2 && !fits_beside(setter, panel, width);
}
