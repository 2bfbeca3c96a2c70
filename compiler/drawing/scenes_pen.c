/* scenes_pen: the pen, its cartridge, its caps. */
#include "drawing/scenes.h"

static void pen_at(Ink *ink, const FigureShape *shape, double x, double y, double scale, PenStick pen)
{
    pen.needle = shape->scene.needle;
    art_placed(ink, x, y, 90, scale, prop_pen(ink, &pen));
}

static void cap_lying(Ink *ink, double x, double y, double scale)
{
    art_placed(ink, x, y, 0, scale, prop_big_cap(ink));
}

/* The pen's own cap, its open end at (x, y), lying to the left. */
static void pen_cap(Ink *ink, double x, double y, double scale)
{
    art_at(ink, x, y, 0, scale);
    art_shape(ink, PATH({0, -2.3, 1}, {-12, -2.3, 1}, {-13.4, -1.4}, {-13.4, 1.4}, {-12, 2.3, 1}, {0, 2.3, 1}),
              ART_SKIN);
    art_line(ink, SHARP({-10.6, -1.1}, {-1.6, -1.1}), ART_BOLD);
    art_end(ink);
}

void scene_pen_cap(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const FigureShape plain = {.kind = shape->kind};
    pen_at(ink, &plain, 25, 7, 1.3, (PenStick){.level = .7});
    pen_cap(ink, 21, 7, 1.3);
    prop_table(ink, 23.4, 0, 60);
    art_arrow(ink, PATH({12, 11.4}, {10, 14}, {10.6, 17.4}), ART_BOLD, 2);
    art_at(ink, 20, 20.4, 0, 1.3);
    art_dashed(ink, SHARP({0, -2.1}, {-13, -2.1}, {-13, 2.1}, {0, 2.1}), TRUE, ART_FINE, 0);
    art_end(ink);
}

static void pen_half(Ink *ink, double x, double y)
{
    art_box(ink, x, y - 1.8, x + 4.6, y + 1.8, 1);
    art_box(ink, x + 4.6, y - 5, x + 22, y + 5, 1);
    art_box(ink, x + 8, y - 2.6, x + 14, y + 2.6, 1);
}

static void empty_holder(Ink *ink, double x, double y)
{
    art_box(ink, x, y - 2.2, x + 2.4, y + 2.2, 1);
    art_box(ink, x + 2.4, y - 4.2, x + 17, y + 4.2, 1);
    art_stroke_line(ink, x + 4.4, y - 2.6, x + 15.4, y - 2.6, ART_FINE);
}

/* The front is unscrewed, and the old cartridge comes out of it. */
void scene_pen_open(Ink *ink, const FigureShape *shape, double type)
{
    (void)type, (void)shape;
    empty_holder(ink, 1, 11);
    art_line(ink, path_arc(33, 11, 2.8, 8.4, 80, 258), ART_HEAVY);
    pen_half(ink, 39, 11);
    art_big_arrow(ink, path_arc(33, 11, 2.8, 8.4, 78, -32));
    art_placed(ink, 24, 26.4, 0, 1.5, prop_cartridge(ink));
    art_arrow(ink, PATH({12, 17, 1}, {13, 23}, {21, 26.4}), ART_BOLD, 2);
}

/* Metal end first into the front, the front onto the pen; the cartridge's number over it. */
void scene_pen_load(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const double y = 10;
    empty_holder(ink, 1, y);
    art_placed(ink, 21.6, y, 0, 1.75, prop_cartridge(ink));
    if (shape->scene.amount)
        art_arrow(ink, SHARP({30.4, .2}, {30.4, y - 2.6}), ART_BOLD, 1.6);
    pen_half(ink, 45, y);
    art_circle(ink, 22.8, y, 3.2, -1, ART_BOLD);
    art_arrow(ink, PATH({33, 21}, {20, 21}), ART_HEAVY, 2.4);
    art_arrow(ink, PATH({56, 21}, {43, 21}), ART_HEAVY, 2.4);
}

/* Screwed on as seen from the cap: clockwise, so the near side goes down. */
static void turn_on(Ink *ink, double x, double y, gboolean front)
{
    if (front)
        art_big_arrow(ink, path_arc(x, y, 2.8, 8.4, -78, 32));
    else
        art_line(ink, path_arc(x, y, 2.8, 8.4, 80, 258), ART_HEAVY);
}

/* Its paper is peeled off; in both caps the needle is screwed straight on. */
void scene_pen_screw(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    turn_on(ink, 13, 21, FALSE);
    cap_lying(ink, 20, 21, 1.5);
    art_placed(ink, 20.6, 21, -90, 1.3, prop_hub(ink, shape->scene.needle, 2.4, .8, 1.5));
    turn_on(ink, 13, 21, TRUE);
    art_shape(ink, PATH({20.2, 17.4, 1}, {20.6, 12.4}, {23.6, 8.6}, {29, 7.4, 1}, {31.4, 10.4, 1}, {26.6, 11.4},
                        {23.8, 14}, {22.4, 18.6, 1}), .93);
    art_arrow(ink, PATH({32, 6.6}, {39, 5.4}), ART_BOLD, 2);
    pen_at(ink, shape, 36, 21, 1.5, (PenStick){.level = .8});
    art_arrow(ink, PATH({33, 29}, {25, 29}), ART_HEAVY, 2.4);
}

/* The big cap waits on the table, its open end to the pen; the small one goes away. */
void scene_pen_uncap(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    pen_at(ink, shape, 42, 7.4, 1.5, (PenStick){.long_needle = 3.6, .level = .8});
    art_placed(ink, 27, 7.4, 0, 1.5, prop_small_cap(ink));
    art_arrow(ink, PATH({19, 7.4}, {11, 7.4}), ART_BOLD, 2);
    prop_table(ink, 26.8, 0, 60);
    cap_lying(ink, 34, 23.5, 1.5);
    art_arrow(ink, PATH({39, 12}, {37.6, 16.4}, {31, 18}), ART_HEAVY, 2.4);
}

typedef struct HeldPen {
    const FigureShape *shape;
} HeldPen;

static void sliding_pen(Ink *ink, gconstpointer data)
{
    const HeldPen *held = data;
    Spot at = spot_turned(-6.4, 2.9, 24);
    art_at(ink, at.x, at.y, 114, .82);
    const PenStick pen = {held->shape->scene.needle, 3.8, .5, 0, FALSE, FALSE};
    prop_pen(ink, &pen);
    art_end(ink);
}

void scene_pen_slide(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const PinchHand works = {3.0, 14, 0}, away = {0, 16, 0};
    const HeldPen held = {shape};
    prop_table(ink, 28, 0, 60);
    cap_lying(ink, 19, 24.2, 1.7);
    art_placed(ink, 42.5, 19.8, -24, 1.45, hand_pinch(ink, &works, (Held){sliding_pen, &held}));
    art_arrow(ink, PATH({30, 16.6}, {22, 18}), ART_HEAVY, 2.4);
    art_placed_flipped(ink, 14.4, 9.6, 26, 1.0, hand_pinch(ink, &away, NOTHING_HELD));
    art_cross(ink, 21.6, 4.6, 3.2);
}

static void held_cap(Ink *ink, gconstpointer data)
{
    (void)data;
    art_placed(ink, 0, 2.6, 90, 1, prop_big_cap(ink));
}

/* Held by its sides, never by its end. */
void scene_pen_unscrew(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const PinchHand hand = {3.0, 14, 0};
    const PenStick pen = {shape->scene.needle, 0, .3, 0, FALSE, FALSE};
    art_placed(ink, 13, 45, 0, .8, prop_sharps(ink, 15, 14));
    art_placed(ink, 33, 25, 180, 1.6, prop_pen(ink, &pen));
    art_line(ink, path_arc(33, 23.6, 6.6, 2.4, 168, 385), ART_HEAVY);
    art_placed(ink, 33, 15.6, -10, 1.6, hand_pinch(ink, &hand, (Held){held_cap, NULL}));
    art_big_arrow(ink, path_arc(33, 23.6, 6.6, 2.4, 168, 58));
    art_dashed(ink, PATH({24, 12}, {16, 16}, {13, 25}), FALSE, ART_LINE, 0);
    art_fill(ink, SHARP({11.6, 25}, {14.4, 25}, {12.8, 28.4}), 0);
}

/* The rubber at the pen's end, before its needle. */
void scene_pen_wipe(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const FigureShape plain = {.kind = shape->kind};
    const PinchHand hand = {1.0, 14, 0};
    pen_at(ink, &plain, 24, 24, 1.7, (PenStick){.level = .7});
    art_placed_flipped(ink, 20, 17.4, 16, 1.45, hand_pinch(ink, &hand, NOTHING_HELD));
    art_at(ink, 21.6, 23.6, -8, 1);
    art_box(ink, -3.4, -6.4, 3.4, 6.4, 1);
    art_stroke_line(ink, 0, -6.4, 0, 6.4, ART_FINE);
    art_end(ink);
    art_arrow(ink, path_arc(22, 24, 8.4, 11.4, 60, 150), ART_HEAVY, 2.4);
}

static void fridge(Ink *ink, double x, double high)
{
    art_box(ink, x, 2, x + 16, 2 + high, 1);
    art_stroke_line(ink, x, 2 + high * .34, x + 16, 2 + high * .34, ART_LINE);
    art_stroke_line(ink, x + 13.4, 2 + high * .12, x + 13.4, 2 + high * .25, 0.9);
    art_stroke_line(ink, x + 13.4, 2 + high * .42, x + 13.4, 2 + high * .62, 0.9);
}

/* The carton comes out of the refrigerator. */
void scene_fridge_out(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    fridge(ink, 4, 30);
    art_big_arrow(ink, PATH({23, 20}, {33, 20}));
    art_placed(ink, 36, 9, 0, .98, prop_box(ink));
}

/* Its cap on, no needle, into the refrigerator. */
void scene_pen_away(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const FigureShape plain = {.kind = shape->kind};
    pen_at(ink, &plain, 10.6, 16, .92, (PenStick){.level = .6});
    pen_cap(ink, 14.6, 16, .92);
    art_big_arrow(ink, PATH({35, 16}, {42, 16}));
    fridge(ink, 43.6, 27);
}

/* A telephone, old enough to be known by everybody. */
void scene_phone(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    art_rounded(ink, (ArtBox){20, 2, 20, 36, 2.6}, 1, ART_BOLD);
    art_box(ink, 22.4, 7, 37.6, 31, 1);
    art_circle(ink, 30, 34.4, 1.3, -1, ART_LINE);
    for (int row = 0; row < 4; row++)
        for (int column = 0; column < 3; column++)
            art_circle(ink, 25.2 + column * 4.8, 11.4 + row * 5.2, 1.2, .3, 0);
    for (int side = -1; side <= 1; side += 2)
        for (int i = 1; i <= 2; i++)
            art_line(ink, path_arc(30 + side * 13, 12, side * 2.6 * i, 4.2 * i, -50, 50), ART_BOLD);
}
