/* scenes_change: one needle off, the next one on; the syringe laid down. */
#include "drawing/scenes.h"

typedef struct Fingers {
    const FigureShape *shape;
    Stick stick;
    double y, degrees;
    Spot at;
    double scale;
} Fingers;

static void held_syringe(Ink *ink, gconstpointer data)
{
    const Fingers *held = data;
    prop_syringe_at(ink, &held->stick, held->at.x, held->at.y, held->degrees, held->scale);
}

static Stick change_stick(const FigureShape *shape)
{
    return (Stick){.needle = shape->scene.needle, .long_needle = 4.4, .barrel = 12, .wide = 1.9, .fill = .42,
                   .plunge = 2.2};
}

/* One hand slides the needle into the cap that lies on the table; the other keeps away. */
void scene_cap_slide(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const PinchHand works = {1.4, 14, 0}, away = {0, 16, 0};
    Spot tip = spot_turned(-11.6, 3.4, 30);
    Fingers held = {shape, {.needle = shape->scene.needle, .long_needle = 5.0, .barrel = 6, .wide = 1.7, .fill = .5,
                            .plunge = 1.6}, 0, 120, tip, 1.5};
    prop_table(ink, 27.6, 0, 60);
    art_placed(ink, 20.5, 25.1, 0, 1, prop_cap(ink, 15, 5));
    art_placed(ink, 44.5, 19.4, -30, 1.55, hand_pinch(ink, &works, (Held){held_syringe, &held}));
    art_arrow(ink, PATH({29, 17.4}, {21, 18.8}), ART_HEAVY, 2.4);
    art_placed_flipped(ink, 14.4, 11.6, 26, 1.02, hand_pinch(ink, &away, NOTHING_HELD));
    art_cross(ink, 21.4, 5.0, 3.4);
}

/* The back half of a turn lies behind, its front half with the head before the thing: from left
 * to right unscrews what is seen needle up. */
static void turn_arrow(Ink *ink, double x, double y, gboolean off, gboolean front)
{
    const Path back = path_arc(x, y, 6.6, 2.6, 168, 385);
    const Path off_front = path_arc(x, y, 6.6, 2.6, 168, 58), on_front = path_arc(x, y, 6.6, 2.6, 12, 122);
    if (!front)
        art_line(ink, back, ART_HEAVY);
    else
        art_big_arrow(ink, off ? off_front : on_front);
}

static void covered_needle(Ink *ink, gconstpointer data)
{
    (void)data;
    art_at(ink, 0, 0, 4, 1);
    art_shape(ink, SHARP({-1.0, -3.2}, {1.0, -3.2}, {1.15, 2.2}, {-1.15, 2.2}), 1);
    art_end(ink);
}

/* Its cap is on: the fingers hold the cap, never the needle. */
void scene_twist_off(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const GripHand grip = {1.5, 12, 3, -.9};
    const PinchHand pinch = {1.8, 12, 0};
    Fingers held = {shape, change_stick(shape), 0, 180, {0, -24.6}, 1.6};
    held.stick.capped = TRUE;
    if (!shape->scene.slip)
        turn_arrow(ink, 34, 5.4, TRUE, FALSE);
    art_placed(ink, 34, 50, 0, 1.75, hand_grip(ink, &grip, (Held){held_syringe, &held}));
    art_placed_flipped(ink, 34, 17.6, 4, 1.6, hand_pinch(ink, &pinch, (Held){covered_needle, NULL}));
    if (shape->scene.slip)
        art_big_arrow(ink, PATH({41, 13}, {41, 3}));
    else
        turn_arrow(ink, 34, 5.4, TRUE, TRUE);
    art_dashed(ink, PATH({13, 29}, {10.8, 35}, {10.7, 42}), FALSE, ART_LINE, 0);
    art_fill(ink, SHARP({9.4, 42}, {12, 42}, {10.7, 45.2}), 0);
    art_placed(ink, 11, 65, 0, .94, prop_sharps(ink, 15, 14));
}

static void capped_needle(Ink *ink, gconstpointer data)
{
    const FigureShape *shape = data;
    art_at(ink, -.1, -1.2, 4, 1.75);
    art_placed(ink, 0, 2.2, 0, 1, prop_hub(ink, shape->scene.needle, 1.5, .30, .52));
    art_shape(ink, PATH({-.62, 2.8, 1}, {-.42, -1.8, 1}, {0, -2.3}, {.42, -1.8, 1}, {.62, 2.8, 1}), 1);
    art_stroke_line(ink, 0, 2, 0, -1.4, ART_FINE);
    art_end(ink);
}

/* The new one comes on in its cap. */
void scene_twist_on(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const GripHand grip = {1.5, 12, 3, -.9};
    const PinchHand pinch = {1.8, 12, 0};
    Fingers held = {shape, change_stick(shape), 0, 180, {0, -20.8}, 1.6};
    held.stick.bare = TRUE;
    held.stick.lock = !shape->scene.slip;
    held.stick.barrel = 10.6;
    if (!shape->scene.slip)
        turn_arrow(ink, 34, 22.6, FALSE, FALSE);
    art_placed(ink, 34, 50, 0, 1.75, hand_grip(ink, &grip, (Held){held_syringe, &held}));
    art_placed_flipped(ink, 34, 11.6, 4, 1.6, hand_pinch(ink, &pinch, (Held){capped_needle, shape}));
    if (!shape->scene.slip)
        turn_arrow(ink, 34, 22.6, FALSE, TRUE);
    art_big_arrow(ink, PATH({45, 7}, {45, 18}));
}

/* A filled syringe: the cap turns off its tip. */
void scene_tip_cap_off(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const GripHand grip = {1.5, 12, 3, -.9};
    const PinchHand pinch = {1.4, 12, 0};
    Fingers held = {shape, change_stick(shape), 0, 180, {0, -16.6}, 1.6};
    held.stick.bare = TRUE;
    held.stick.barrel = 9;
    held.stick.fill = .7;
    held.stick.long_needle = 1.5;
    held.stick.lock = !shape->scene.slip;
    turn_arrow(ink, 34, 5.2, TRUE, FALSE);
    art_placed(ink, 34, 42, 0, 1.6, hand_grip(ink, &grip, (Held){held_syringe, &held}));
    art_placed_flipped(ink, 34, 15.6, 4, 1.5, hand_pinch(ink, &pinch, (Held){covered_needle, NULL}));
    turn_arrow(ink, 34, 5.2, TRUE, TRUE);
}

static void loose_cap(Ink *ink, gconstpointer data)
{
    (void)data;
    art_placed(ink, -.2, 1.6, 94, 1, prop_cap(ink, 6.6, 1.9));
}

/* Straight off, not sideways: the needle stays as it is. */
void scene_cap_off(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const GripHand grip = {1.5, 12, 3, -.9};
    const PinchHand pinch = {1.6, 12, 0};
    Fingers held = {shape, change_stick(shape), 0, 180, {0, -20.4}, 1.6};
    held.stick.fixed = shape->scene.fixed;
    held.stick.wide = shape->scene.fixed ? 1.3 : 1.9;
    held.stick.barrel = 9;
    art_placed(ink, 34, 54, 0, 1.75, hand_grip(ink, &grip, (Held){held_syringe, &held}));
    art_placed_flipped(ink, 34, 11.6, 4, 1.6, hand_pinch(ink, &pinch, (Held){loose_cap, NULL}));
    art_big_arrow(ink, PATH({44, 15}, {44, 3}));
}

/* Filled, its cap on, flat on the table. */
void scene_lies_ready(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const Stick stick = {.needle = shape->scene.needle, .long_needle = shape->scene.fixed ? 2.6 : 4.6,
                         .barrel = shape->scene.fixed ? 8 : 6.4, .wide = shape->scene.fixed ? 1.1 : 1.8, .fill = .55,
                         .capped = TRUE, .fixed = shape->scene.fixed};
    art_shape(ink, SHARP({8, 3}, {52, 3}, {60, 20}, {0, 20}), 1);
    art_shape(ink, SHARP({0, 20}, {60, 20}, {60, 23.4}, {0, 23.4}), ART_GREY);
    prop_syringe_at(ink, &stick, 10, 11, 90, 2.2);
    art_toned(ink, SHARP({14, 15.4}, {51, 15.4}), ART_FINE, ART_BONE);
}
