/* pairs: like this, not like this.  The wrong one is crossed in its corner, so that the fault
 * stays to be seen. */
#include "drawing/scenes.h"

#include "drawing/parts.h"

#define HALF 34.0 /* units that one picture is wide */
#define SIGN 2.4

typedef void (*PairDraw)(Ink *ink, const FigureShape *shape, gboolean good, double type);

/* ---- pictures ---- */

static void bits(Ink *ink, const FigureShape *shape, gboolean good, double type)
{
    (void)shape, (void)type;
    static const double lumps[][3] = {{-1.3, -.7, .5}, {.2, -.5, .42}, {1.2, -.9, .5}, {-.4, -1.6, .34}, {.9, -2.0, .3},
                                      {-1.5, -2.2, .26}};
    const Bottle bottle = {.wide = 4.6, .high = 6.6, .level = .42, .content = CONTENT_LIQUID};
    art_at(ink, 15, 29, 0, 3.5);
    prop_vial(ink, &bottle);
    for (gsize i = 0; !good && i < G_N_ELEMENTS(lumps); i++)
        art_circle(ink, lumps[i][0], lumps[i][1], lumps[i][2], .2, ART_FINE);
    art_end(ink);
}

static void tip(Ink *ink, const FigureShape *shape, gboolean good, double type)
{
    (void)type;
    scene_turned_over(ink, shape->pair.needle, good);
}

/* A strip of skin below; the needle is in it, the syringe upright and thick, so that what is left in
 * it is seen at half the size too. */
#define SKIN_LINE 37.0
#define UPRIGHT 14.0

static void in_skin(Ink *ink, const FigureShape *shape, double fill)
{
    const Stick stick = {.needle = shape->pair.needle, .long_needle = 2.4, .barrel = 6, .wide = 3.2, .fill = fill,
                         .fixed = shape->pair.fixed, .smooth = TRUE};
    art_fill(ink, path_box(2, SKIN_LINE, 26, 43), ART_SKIN);
    art_stroke_line(ink, 2, SKIN_LINE, 26, SKIN_LINE, ART_BOLD);
    prop_syringe_at(ink, &stick, UPRIGHT, 42, 0, 3);
}

static void pushed(Ink *ink, const FigureShape *shape, gboolean good, double type)
{
    (void)type;
    in_skin(ink, shape, good ? .01 : .5);
}

static void blood(Ink *ink, const FigureShape *shape, gboolean good, double type)
{
    (void)type;
    in_skin(ink, shape, .6);
    if (good)
        return;
    const double x = UPRIGHT;
    art_fill(ink, PATH({x, 29.4}, {x + 2.6, 28.2}, {x + 3.2, 25.6}, {x + 1.4, 23.8}, {x + .6, 20.6}, {x - 1.4, 23.2},
                       {x - 3.4, 25.0}, {x - 2.6, 28.4}), .15);
}

#define WINDOW 17.2    /* wide */
#define WINDOW_TYPE 1.35
#define WINDOW_AIR 1.6 /* mm beside its number, at both sides together */

static void window_box(Ink *ink, double x, double y, const char *number, double type)
{
    art_rounded(ink, (ArtBox){x - WINDOW / 2, y - 5.4, WINDOW, 10.8, 1.6}, 1, ART_BOLD);
    art_words(ink, number, type * WINDOW_TYPE, INK_CENTRE, x, y + ink_on_paper(ink, type * .17));
}

static void zero(Ink *ink, const FigureShape *shape, gboolean good, double type)
{
    window_box(ink, 14, 9, good ? "0" : shape->pair.number, type);
}

/* The number goes down to nothing: both windows are right, so neither has a sign. */
static void counted_down(Ink *ink, const FigureShape *shape, gboolean first, double type)
{
    window_box(ink, 17, 9, first ? shape->pair.number : "0", type);
    if (!first)
        art_big_arrow(ink, PATH({-4, 9}, {3.6, 9}));
}

typedef struct PairRow {
    double high;
    gboolean unsigned_; /* neither is wrong */
    PairDraw draw;
} PairRow;

static const PairRow rows[FIGURE_COUNT] = {
    [FIGURE_PAIR_BITS] = {30, FALSE, bits},   [FIGURE_PAIR_TIP] = {46, FALSE, tip},
    [FIGURE_PAIR_PUSH] = {43, FALSE, pushed}, [FIGURE_PAIR_BLOOD] = {43, FALSE, blood},
    [FIGURE_PAIR_ZERO] = {18, FALSE, zero},   [FIGURE_PEN_PUSH] = {18, TRUE, counted_down},
};

/* ---- both, with their words ---- */

#define MOST_WIDE 120.0 /* mm */
#define GAP 1.5 /* mm between picture and words */

static InkStyle words_style(FigureRoom room) { return (InkStyle){.size = room.type, .leading = ART_PITCH}; }

static double half_width(FigureRoom room) { return room.width / 2 - 2; }

static double words_height(Ink *ink, const char *words, FigureRoom room)
{
    const InkRun run = {words, FALSE, NULL};
    return words ? GAP + ink_text_height(ink, words_style(room), &run, 1, half_width(room)) : 0;
}

static double picture_height(const FigureShape *shape, FigureRoom room)
{
    return rows[shape->kind].high * room.width / (2 * HALF);
}

/* Words that do not break ask for the room that they need. */
static double room_needed(Ink *ink, const char *words, FigureRoom room)
{
    const InkRun run = {words, FALSE, NULL};
    if (!words || ink_text_breaks(ink, words_style(room), &run, 1, half_width(room)))
        return room.width;
    return 2 * (ink_text_width(ink, words_style(room), &run, 1) + 2.1);
}

/* A window is as wide as its number asks: in large print the number grows, the picture need not. */
static double windows_width(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    const InkStyle style = {.size = room.type * WINDOW_TYPE, .bold = TRUE};
    const InkRun number = {shape->pair.number, TRUE, NULL};
    gboolean has = (shape->kind == FIGURE_PAIR_ZERO || shape->kind == FIGURE_PEN_PUSH) && number.text;
    return has ? (ink_text_width(ink, style, &number, 1) + WINDOW_AIR) * 2 * HALF / WINDOW : 0;
}

/* As wide as the longest word asks. */
static FigureRoom halves_room(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    const InkRun good = {shape->pair.good, FALSE, NULL}, bad = {shape->pair.bad, FALSE, NULL};
    room.width = MAX(room.width, MIN(windows_width(ink, shape, room), MOST_WIDE));
    while (room.width < MOST_WIDE && ((good.text && !ink_text_breaks(ink, words_style(room), &good, 1,
                                                                     half_width(room))) ||
                                      (bad.text && !ink_text_breaks(ink, words_style(room), &bad, 1,
                                                                    half_width(room)))))
        room.width += 1;
    return room;
}

FigureSize halves_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    room = halves_room(ink, shape, room);
    room.width = MAX(room_needed(ink, shape->pair.good, room), room_needed(ink, shape->pair.bad, room));
    double good = words_height(ink, shape->pair.good, room), bad = words_height(ink, shape->pair.bad, room);
    return (FigureSize){room.width, picture_height(shape, room) + MAX(good, bad)};
}

static void half(Ink *ink, const FigureShape *shape, gboolean good, double x, double y, FigureRoom room)
{
    const PairRow *row = &rows[shape->kind];
    const char *words = good ? shape->pair.good : shape->pair.bad;
    const InkRun run = {words, FALSE, NULL};
    art_at(ink, x, y, 0, room.width / (2 * HALF));
    row->draw(ink, shape, good, room.type);
    if (!row->unsigned_ && good)
        art_tick(ink, HALF - SIGN - 2.5, SIGN + 1.5, SIGN);
    else if (!row->unsigned_)
        art_cross(ink, HALF - SIGN - 2.5, SIGN + 1.5, SIGN);
    art_end(ink);
    if (words)
        ink_text_draw(ink, words_style(room), &run, 1, x, y + picture_height(shape, room) + GAP, half_width(room));
}

void halves_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    room = halves_room(ink, shape, room);
    gboolean turned = ink_from_right(ink) && !rows[shape->kind].unsigned_; /* the right one is read first */
    half(ink, shape, TRUE, turned ? x + room.width / 2 : x, y, room);
    half(ink, shape, FALSE, turned ? x : x + room.width / 2, y, room);
}
