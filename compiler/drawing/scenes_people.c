/* scenes_people: somebody from the front, who sits at a table or leans on a door frame; and the
 * skin that is stretched, seen from above. */
#include "drawing/scenes.h"

typedef struct Turned {
    Stick stick;
    Spot at;
    double degrees, scale;
} Turned;

static void held_placed(Ink *ink, gconstpointer data)
{
    const Turned *held = data;
    prop_syringe_at(ink, &held->stick, held->at.x, held->at.y, held->degrees, held->scale);
}

/* Head and neck, no face: its middle at (x, y). */
static void head(Ink *ink, double x, double y, double scale)
{
    art_at(ink, x, y, 0, scale);
    art_shape(ink, PATH({-3.4, 5, 1}, {-3.3, 9.2}, {-6.2, 11.8}, {0, 16.5}, {6.2, 11.8}, {3.3, 9.2}, {3.4, 5, 1}),
              ART_SKIN);
    art_shape(ink, PATH({0, -7.8}, {5.4, -5.2}, {6.3, .5}, {4.4, 5.4}, {0, 8.0}, {-4.4, 5.4}, {-6.3, .5},
                        {-5.4, -5.2}), ART_SKIN);
    art_shape(ink, PATH({-6.3, 2.5, 1}, {-7.6, -2}, {-5.8, -7.4}, {0, -9.6}, {5.8, -7.4}, {7.6, -2}, {6.3, 2.5, 1},
                        {5.4, -1.6}, {2.4, -4.4, 1}, {-2.0, -3.4}, {-5.2, -.8}), .45);
    art_end(ink);
}

static OwnArm own_arm(Ink *ink, Path outline)
{
    OwnArm arm = {.outline = outline, .grey = ART_SKIN};
    cairo_get_matrix(ink_cairo(ink), &arm.outer);
    return arm;
}

/* The helper injects; the arm that gets it lies loose on a table. */
static void at_table(Ink *ink, const FigureShape *shape)
{
    const PinchHand helper = {.arm = 12};
    const Turned held = {{.needle = shape->scene.needle, .long_needle = 1.5, .barrel = 5.6, .wide = 1.8, .fill = .6},
                         spot_turned(-7.75, 0, -24), 66, 1.15};
    art_shape(ink, PATH({13.5, 20.6, 1}, {7.6, 22.8}, {4.8, 28}, {4.2, 36}, {5, 48, 1}, {30, 48, 1}, {30, 36}, {30, 28},
                        {28.4, 22.6}, {24, 20.6, 1}, {18.6, 24.6}), 1);
    head(ink, 18.7, 9.4, .92);
    art_fill(ink, PATH({12.6, 20.9, 1}, {9, 22.2}, {8, 30}, {9, 38}, {28.4, 38}, {29, 30}, {28.4, 22.2},
                       {24.8, 20.9, 1},
                       {22, 24}, {18.7, 25.2}, {15.4, 24}), 1);
    art_line(ink, PATH({12.6, 20.9, 1}, {15.4, 24}, {18.7, 25.2}, {22, 24}, {24.8, 20.9, 1}), ART_LINE);
    art_shape(ink, SHARP({-3, 45.5}, {64, 45.5}, {70, 57}, {-3, 57}), 1);
    art_stroke_line(ink, -3, 59.4, 70, 59.4, ART_LINE);
    const OwnArm arm = own_arm(ink, PATH({15.6, 46.9, 1}, {20, 46.9}, {25, 46.4}, {29.4, 45.2}, {30.4, 40}, {29.2, 33},
                                         {27.2, 28}, {26.5, 21.2, 1}, {31.5, 22.4}, {35.6, 26}, {37.4, 32}, {37.4, 39},
                                         {38.6, 45}, {37.6, 50.4}, {33, 52.3}, {25, 52.0}, {20, 51.4},
                                             {15.6, 51.1, 1}));
    const FlatHand lies = {.index = 3, .middle = 0, .ring = -3.2, .little = -5, .thumb = 14, .own = &arm};
    art_placed(ink, 17.4, 49.0, -90, .86, hand_flat(ink, &lies));
    art_shape(ink, PATH({24.8, 20.9, 1}, {31.6, 22.0}, {36, 25.9}, {37.2, 29.2, 1}, {32.4, 31.6}, {28.3, 31.0, 1},
                        {27.6, 25}), 1);
    art_placed(ink, 48.0, 34.6, 24, 1.25, hand_pinch(ink, &helper, (Held){held_placed, &held}));
}

void scene_arm_table(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    art_at(ink, .6, 0, 0, .90);
    at_table(ink, shape);
    art_end(ink);
}

/* Alone: the arm hangs and leans on a door frame, which pushes its muscle forward. */
void scene_arm_frame(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const Path arm = PATH({28.5, 21, 1}, {33, 21.6}, {37.6, 24.4}, {41.8, 29}, {44.2, 34}, {43.6, 38.4}, {41.2, 41.5},
                          {40.9, 47}, {40.8, 52}, {40.2, 58}, {39.6, 72, 1}, {33, 72, 1}, {32.6, 60}, {31.4, 52},
                          {30.4, 44}, {29.6, 34}, {28, 28, 1});
    const Turned held = {{.needle = shape->scene.needle, .long_needle = 3.0, .barrel = 5.4, .wide = 2.0, .fill = .55,
                          .plunge = 2.6}, spot_turned(-13.2, 0, 22), 112, 1.12};
    art_fill(ink, path_box(47.4, -2, 62, 72), .92);
    art_box(ink, 41.5, -2, 47.4, 72, 1);
    art_stroke_line(ink, 45.4, -2, 45.4, 72, ART_FINE);
    art_box(ink, 51.5, 38.5, 56.5, 45.5, 1);
    art_close(ink, path_box(53, 40.2, 55, 43.8), ART_FINE);
    art_shape(ink, PATH({13.4, 20.0, 1}, {8.5, 22.2}, {7.5, 27}, {9.5, 36}, {10, 46}, {9.4, 72, 1}, {30.6, 72, 1},
                        {30, 46},
                        {30.5, 36}, {31.5, 28}, {30.5, 22}, {25.6, 20.0, 1}, {19.5, 24}), 1);
    head(ink, 19.5, 9.4, .92);
    art_fill(ink, PATH({13.6, 20.4, 1}, {10, 22}, {10, 32}, {29, 32}, {29, 22}, {25.4, 20.4, 1}, {22.8, 24},
                       {19.5, 25.2},
                       {16.2, 24}), 1);
    art_line(ink, PATH({13.4, 20.0, 1}, {16.2, 24}, {19.5, 25.2}, {22.8, 24}, {25.6, 20.0, 1}), ART_LINE);
    art_shape(ink, arm, ART_SKIN);
    art_target(ink, 40.0, 31.7, 1.7);
    const OwnArm own = own_arm(ink, PATH({8.6, 22, 1}, {5, 25}, {2.6, 33}, {2.0, 42}, {3.4, 47.2}, {7.2, 47.6},
                                         {11, 43.4},
                                         {14.2, 39.4}, {16.6, 36.1, 1}, {15.2, 31.3, 1}, {12.6, 33.8}, {9.9, 36.8, 1},
                                         {10.6, 31}, {11.8, 25, 1}));
    const PinchHand hand = {.own = &own};
    art_placed(ink, 28.2, 30.6, 166, .95, hand_pinch(ink, &hand, (Held){held_placed, &held}));
}

/* Thumb and index finger draw apart: the spot between them lies flat. */
void scene_spread(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    art_fill(ink, path_box(0, 0, 60, 50), ART_SKIN);
    art_placed(ink, 44, 46, 0, 2.15, hand_spread(ink, 6));
    art_target(ink, 25.5, 19.5, 2.3);
    art_big_arrow(ink, PATH({29.5, 10.5}, {32, 6}, {33.5, 1.9}));
    art_big_arrow(ink, PATH({16.5, 26.0}, {11.5, 29.2}, {5.5, 30.6}));
}

/* An alarm is to be set here. */
void scene_bell(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    art_fill(ink, PATH({10, 44, 1}, {16, 38}, {18, 24}, {22, 12}, {30, 8}, {38, 12}, {42, 24}, {44, 38}, {50, 44, 1}),
             0);
    art_circle(ink, 30, 6, 4, 0, 0);
    art_circle(ink, 30, 50, 6, 0, 0);
}
