/* scenes_give: bubbles, the drop, the needle in and out, and clearing away. */
#include "drawing/scenes.h"

typedef struct Placed {
    Stick stick;
    double x, y, degrees, scale;
} Placed;

static void held_placed(Ink *ink, gconstpointer data)
{
    const Placed *p = data;
    prop_syringe_at(ink, &p->stick, p->x, p->y, p->degrees, p->scale);
}

/* ---- needle up ---- */

void scene_tap_up(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const GripHand grip = {1.5, 12, 3, -.9};
    const Placed held = {{.needle = shape->scene.needle, .long_needle = 3.0, .barrel = 12, .wide = 1.9, .fill = .6,
                          .plunge = 2.6, .air = 1.6}, 0, -21.5, 180, 1.6};
    static const double bubbles[][3] = {{32.2, 24.6, .8}, {34.0, 22.4, .65}, {33.6, 27.6, .6}};
    art_placed(ink, 33, 40, 0, 1.8, hand_grip(ink, &grip, (Held){held_placed, &held}));
    for (gsize i = 0; i < G_N_ELEMENTS(bubbles); i++)
        art_circle(ink, bubbles[i][0], bubbles[i][1], bubbles[i][2], 1, ART_FINE);
    art_placed_flipped(ink, 29.6, 24, -4, 1.6, hand_flick(ink, 10));
    for (int i = 0; i < 3; i++) {
        Spot from = spot_polar((Spot){29, 22.2}, -58 + i * 26, 3.4), to = spot_polar((Spot){29, 22.2}, -58 + i * 26,
                6.2);
        art_stroke_line(ink, from.x, from.y, to.x, to.y, ART_LINE);
    }
    art_arrow(ink, PATH({41, 27}, {41, 15}), ART_BOLD, 2);
}

static void drop_source(Ink *ink, const FigureShape *shape)
{
    if (shape->scene.pen) {
        const PenStick pen = {shape->scene.needle, 2.2, .6, 0, FALSE, FALSE};
        art_placed(ink, 8, 10.4, 180, 1.18, prop_pen(ink, &pen));
        prop_drop(ink, 8, 5.0, 1.0);
        return;
    }
    const Stick stick = {.needle = shape->scene.needle, .long_needle = 5.0, .barrel = 8, .wide = 2.0, .fill = .6};
    prop_syringe_at(ink, &stick, 8, 6.2, 180, 1.6);
    prop_drop(ink, 8, 5.0, 1.0);
}

/* What is waited for, much enlarged: a drop that sits on the tip. */
void scene_drop(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const double x = 38, y = 22, r = 20;
    drop_source(ink, shape);
    art_circle(ink, 8, 6.6, 4.2, -1, ART_LINE);
    art_stroke_line(ink, 9.8, 2.8, 32, 2.9, ART_FINE);
    art_stroke_line(ink, 9.6, 10.4, 23, 35.2, ART_FINE);
    prop_lens_begin(ink, x, y, r);
    if (shape->scene.pen) {
        art_shape(ink, SHARP({x - 1.2, y - 3}, {x + 1.2, y - 5.4}, {x + 1.2, y + 10}, {x - 1.2, y + 10}), 1);
        art_placed(ink, x, y + 9, 0, 1, prop_hub(ink, shape->scene.needle, 14, 2.4, 5));
        prop_drop(ink, x + .1, y - 8.6, 4.8);
    } else {
        art_shape(ink, SHARP({x - 2, y}, {x + 2, y - 5}, {x + 2, y + 12}, {x - 2, y + 12}), 1);
        art_stroke_line(ink, x - 1, y + .4, x + 1.3, y - 2.6, ART_FINE);
        art_placed(ink, x, y + 11, 0, 1, prop_hub(ink, shape->scene.needle, 12, 3.4, 5.6));
        prop_drop(ink, x + .7, y - 7.4, 5.2);
    }
    prop_lens_end(ink, x, y, r);
}

/* ---- in the skin ---- */

static const Knot fold_knots[] = {{-1, 37, 0},  {8, 37, 0},    {15.5, 36.4, 0}, {20.5, 33.6, 0}, {22.6, 29, 0},
                                  {25, 24.6, 0}, {30, 22.8, 0}, {35, 24.6, 0},   {37.4, 29, 0},   {39.5, 33.6, 0},
                                  {44.5, 36.4, 0}, {52, 37, 0}, {61, 37, 0}};
static const Spot fold_cells[] = {
    {3, 41.5},    {7, 43.6},    {11, 41.3}, {15, 43.3}, {19, 39.9}, {20, 44},   {24, 41.5}, {24.5, 34}, {28, 44},
    {27.5, 38},   {31, 40.8},   {34.5, 37}, {34, 43.4}, {38, 40.8}, {41, 44},   {42.5, 40.2}, {46.5, 42.6}, {50, 41.2},
    {54, 43.2},   {58, 41.4},   {25.8, 29}, {34.8, 32}, {34.6, 28}, {30, 35.2}};

#define FOLD_MUSCLE 46.6

static Stick skin_stick(const FigureShape *shape, double needle)
{
    const SceneFigure *scene = &shape->scene;
    return (Stick){.needle = scene->needle, .long_needle = needle, .barrel = scene->fixed ? 6.4 : 5.4,
                   .wide = scene->fixed ? 1.2 : 1.9, .fill = .5, .fixed = scene->fixed};
}

/* The tip's place and the line of entry, degrees to the skin. */
static void into_skin(Ink *ink, const FigureShape *shape, Spot tip, double needle, double scale, double lean)
{
    if (shape->scene.pen) {
        const PenStick pen = {shape->scene.needle, needle - 1.6, .6, 1.6, FALSE, FALSE};
        art_at(ink, tip.x, tip.y, -lean, scale);
        art_placed(ink, 0, -needle, 0, 1, prop_pen(ink, &pen));
        art_end(ink);
        return;
    }
    Stick stick = skin_stick(shape, needle);
    prop_syringe_at(ink, &stick, tip.x, tip.y, -lean, scale);
}

static void angle_mark(Ink *ink, Spot entry, double angle)
{
    if (angle > 80) {
        art_line(ink, SHARP({entry.x + .6, entry.y - 3.6}, {entry.x + 4.2, entry.y - 3.6}, {entry.x + 4.2, entry.y}),
                 ART_LINE);
        return;
    }
    art_dashed(ink, SHARP({entry.x - 15.4, entry.y}, {entry.x - 2.6, entry.y}), FALSE, ART_FINE, 0);
    art_line(ink, path_arc(entry.x, entry.y, 13, 13, 180, 180 + angle), ART_LINE);
}

/* Behind the fold the fingers hold it; the other hand is not shown: it holds the barrel. */
static void in_fold(Ink *ink, const FigureShape *shape)
{
    const double angle = (double)shape->scene.angle, lean = 90 - angle;
    const PinchHand hand = {angle > 70 ? 6.2 : 6.6, 12, 0};
    const Path skin = path_of(fold_knots, G_N_ELEMENTS(fold_knots));
    art_placed(ink, 30.2, 29.6, angle > 70 ? -42 : -60, 1.75, hand_pinch(ink, &hand, NOTHING_HELD));
    prop_layers(ink, &skin, FOLD_MUSCLE, 54);
    prop_fat(ink, fold_cells, G_N_ELEMENTS(fold_cells), 1.5);
    if (angle > 70) {
        into_skin(ink, shape, (Spot){30, 33.6}, 5.9, 1.8, 0);
    } else {
        into_skin(ink, shape, (Spot){31, 33}, 6.4, 1.8, lean);
        angle_mark(ink, (Spot){24.4, 26.4}, angle);
    }
}

/* No cells where the needle runs. */
static void flat_layers(Ink *ink, double skin, double muscle, double bottom, double keep)
{
    const Path line = SHARP({-1, skin}, {61, skin});
    prop_layers(ink, &line, muscle, bottom);
    for (int i = 0; i < 20; i++) {
        Spot cell = {2 + i * 3.0, skin + 3.7 + i % 2 * 2.4};
        if (ABS(cell.x - keep) > 2.2 && cell.y + 1.4 < muscle)
            prop_fat(ink, &cell, 1, 1.2);
    }
}

/* One hand holds the syringe, the other stretches the skin. */
static void in_stretched(Ink *ink, const FigureShape *shape)
{
    const double skin = 34, deep = shape->scene.muscle ? 49 : 40, scale = 2.0, turn = -20;
    const PinchHand holds = {1.2, 16, 0}, stretches = {0, 16, 0};
    const double needle = (deep - skin + .6) / scale;
    flat_layers(ink, skin, shape->scene.muscle ? 43 : 44, 54, 31);
    Spot tip = spot_turned(0, deep - 20.4, -turn);
    Placed held = {skin_stick(shape, needle), tip.x / 1.6, tip.y / 1.6, -turn, scale / 1.6};
    held.stick.barrel = 6.0;
    art_placed(ink, 31, 20.4, turn, 1.6, hand_pinch(ink, &holds, (Held){held_placed, &held}));
    angle_mark(ink, (Spot){31, skin}, 90);
    art_placed_flipped(ink, 15.0, skin - 2.0, 34, 1.5, hand_pinch(ink, &stretches, NOTHING_HELD));
    art_fill(ink, path_box(3, skin + 2.2, 17.4, skin + 7), .95);
    art_arrow(ink, PATH({16, skin + 4.4}, {5.6, skin + 4.4}), ART_HEAVY, 2.4);
}

void scene_skin_in(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    if (shape->scene.fold)
        in_fold(ink, shape);
    else
        in_stretched(ink, shape);
}

/* The plunger is down and stays down while she counts. */
static void pushed_pen(Ink *ink, gconstpointer data)
{
    const FigureShape *shape = data;
    const PenStick pen = {shape->scene.needle, 3.0, .1, 0, FALSE, FALSE};
    art_placed(ink, 0, 9.4, 0, .62, prop_pen(ink, &pen));
}

static void pushed_syringe(Ink *ink, gconstpointer data)
{
    const FigureShape *shape = data;
    const Stick stick = {.needle = shape->scene.needle, .long_needle = 4.6, .barrel = 6, .wide = 1.5, .fill = .01,
                         .plunge = 1.4, .fixed = shape->scene.fixed};
    prop_syringe_at(ink, &stick, 0, 12.1, 0, 1);
}

/* The needle is in to its hub; whose thumb is up lets go too soon. */
void scene_hold(Ink *ink, const FigureShape *shape, double type)
{
    const double skin = 35.6;
    const GripHand grip = {1.3, 18, 4, -7.3, TRUE};
    flat_layers(ink, skin, shape->scene.muscle ? 40.6 : 46, 50, 16);
    art_at(ink, 16, 20.4, 0, shape->scene.pen ? 1.55 : 1.9);
    if (shape->scene.pen)
        hand_grip(ink, &grip, (Held){pushed_pen, shape});
    else
        hand_plunger(ink, 1.4, 14, (Held){pushed_syringe, shape});
    art_end(ink);
    if (!shape->scene.amount)
        return;
    double radius = MAX(6.4, ink_on_paper(ink, type * INK_POINT)); /* the number does not shrink */
    art_circle(ink, 58 - radius, 1 + radius, radius, 1, ART_BOLD);
    art_words(ink, shape->scene.amount, type * 1.2, INK_CENTRE, 58 - radius,
              1 + radius + ink_on_paper(ink, type * .15));
}

void scene_out(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const double skin = 36;
    flat_layers(ink, skin, 46, 48, 20);
    const PinchHand hand = {1.2, 14, 0};
    if (shape->scene.pen) {
        const GripHand grip = {1.3, 18, 4, .6, FALSE};
        art_placed(ink, 20, 16.4, 0, 1.4, hand_grip(ink, &grip, (Held){pushed_pen, shape}));
    } else {
        Spot tip = spot_turned(0, 31 - 15, 20);
        const Placed held = {{.needle = shape->scene.needle, .long_needle = 3.4, .barrel = 5.4, .wide = 1.7,
                              .fill = .02,
                              .plunge = .9, .fixed = shape->scene.fixed}, tip.x / 1.5, tip.y / 1.5, 20, 1.25};
        art_placed(ink, 20, 15, -20, 1.5, hand_pinch(ink, &hand, (Held){held_placed, &held}));
    }
    art_big_arrow(ink, PATH({8, 31}, {8, 15}));
}

/* ---- clearing away ---- */

static void held_pen_needle(Ink *ink, gconstpointer data)
{
    (void)data;
    art_placed(ink, 0, 8, 90, 1.1, prop_big_cap(ink));
}

void scene_into_box(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const PinchHand hand = {0.6, 12, 0};
    Spot tip = spot_turned(0, 11, 20);
    const Placed held = {{.needle = shape->scene.needle, .long_needle = 3.0, .barrel = 5.6, .wide = 1.7, .plunge = 1.0,
                          .fixed = shape->scene.fixed}, tip.x, tip.y, 20, 1.15};
    art_placed(ink, 30, 58, 0, 1.5, prop_sharps(ink, 15, 16));
    art_placed(ink, 30, 14, -20, 1.5,
        hand_pinch(ink, &hand, shape->scene.pen ? (Held){held_pen_needle, NULL} : (Held){held_placed, &held}));
    art_big_arrow(ink, PATH({16, 14}, {16, 26}));
}

void scene_box_full(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    static const double used[][3] = {{-6.4, -1.5, 84}, {6.4, -4.6, -80}, {-6.6, -6.4, 72}, {6.4, -9.6, -80},
                                     {-6.6, -11.6, 83}};
    const double w = 17, h = 19, level = -.75 * h;
    const Stick stick = {.long_needle = 2.8, .barrel = 5.4, .wide = 2.0, .plunge = .8, .smooth = TRUE};
    const Path inside = SHARP({-7.1, -.25}, {7.1, -.25}, {8.0, level}, {-8.0, level});
    art_at(ink, 30, 54, 0, 1.85);
    art_shape(ink, SHARP({-w * .43, 0}, {w * .43, 0}, {w * .5, -h}, {-w * .5, -h}), 1);
    art_clip(ink, &inside);
    art_fill(ink, inside, ART_SKIN);
    for (gsize i = 0; i < G_N_ELEMENTS(used); i++)
        prop_syringe_at(ink, &stick, used[i][0], used[i][1], used[i][2], 1.08);
    art_end(ink);
    art_dashed(ink, SHARP({-9.6, level}, {9.6, level}), FALSE, ART_BOLD, 0);
    art_shape(ink, path_box(-w * .57, -h - 2, w * .57, -h + .9), ART_GREY);
    art_shape(ink, SHARP({-w * .3, -h - 2}, {w * .3, -h - 2}, {w * .27, -h - 3.4}, {-w * .27, -h - 3.4}), 1);
    art_end(ink);
    art_big_arrow(ink, PATH({30, 1}, {30, 8.6}));
}

/* Gauze on the spot, two fingers on it, for so long. */
void scene_press(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const FlatHand hand = {1.4, .2, FOLDED, FOLDED, -26, 6, FALSE, 0};
    const Path skin = path_box(0, 0, 37, 34);
    art_clip(ink, &skin);
    art_fill(ink, skin, ART_SKIN);
    prop_gauze(ink, 6, 4, 17);
    art_placed(ink, 20.4, 38, -10, 1.5, hand_flat(ink, &hand));
    art_end(ink);
    prop_watch(ink, 48, 13.4, 6.4);
}

void scene_bandage(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const PinchHand left = {0, 14, 0}, right = {0, 14, 0};
    art_fill(ink, path_box(0, 0, 60, 28), ART_SKIN);
    art_at(ink, 30, 16, -8, 1);
    art_rounded(ink, (ArtBox){-15, -4.4, 30, 8.8, 4.4}, 1, ART_LINE);
    art_box(ink, -5, -4.4, 5, 4.4, .93);
    for (int i = 0; i < 4; i++)
        art_circle(ink, i < 2 ? -9 : 9, i % 2 ? 1.6 : -1.6, .4, 0, 0);
    art_end(ink);
    art_placed(ink, 43.6, 13.6, -20, 1.2, hand_pinch(ink, &right, NOTHING_HELD));
    art_placed_flipped(ink, 16.4, 17.6, 14, 1.2, hand_pinch(ink, &left, NOTHING_HELD));
}
