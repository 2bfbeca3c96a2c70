/* scenes_ready: hands, vials and labels, before anything is drawn up. */
#include "drawing/scenes.h"

static const double closed_angles[] = {3, 0, -3.2, -5};

static FlatHand closed_hand(double thumb, double arm)
{
    return (FlatHand){closed_angles[0], closed_angles[1], closed_angles[2], closed_angles[3], thumb, arm, FALSE, 0};
}

void scene_wash(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const FlatHand under = closed_hand(-24, 8), over = closed_hand(-34, 8);
    static const double foam[][3] = {{19, 21, 1.7},  {22.6, 17.2, 1.1}, {40, 46, 1.5},  {44, 43.4, .9}, {13.5, 24, 1.1},
                                     {31, 47.5, 1.8}, {24, 48, 1.0},    {46, 18.6, 1.3}, {42.6, 16.8, .8}};
    art_shape(ink, PATH({44, -8, 1}, {44, -2}, {41, 1}, {33, 1}, {29, 3.5}, {28.5, 7.5, 1}, {34.5, 7.5, 1}, {35.2, 5.8},
                        {42, 5.6}, {48, 2.5}, {50, -2}, {50, -8, 1}), 1);
    art_liquid(ink, PATH({29.4, 7.8, 1}, {33.6, 7.8, 1}, {34.2, 16}, {36, 30, 1}, {27.0, 30, 1}, {28.8, 16}));
    art_line(ink, PATH({29.4, 7.8}, {28.8, 16}, {27.0, 30}), ART_FINE);
    art_line(ink, PATH({33.6, 7.8}, {34.2, 16}, {36, 30}), ART_FINE);
    art_placed_flipped(ink, 2.5, 40.5, 74, 1.8, hand_flat(ink, &under));
    art_placed(ink, 57, 31.5, -80, 1.8, hand_flat(ink, &over));
    for (gsize i = 0; i < G_N_ELEMENTS(foam); i++)
        art_circle(ink, foam[i][0], foam[i][1], foam[i][2], 1, ART_LINE);
}

static Bottle bottle_of(ThingKind kind)
{
    gboolean powder = kind == THING_POWDER;
    return (Bottle){.wide = 4.6, .high = 7, .level = powder ? .22 : .6,
                    .content = powder ? CONTENT_POWDER : CONTENT_LIQUID};
}

/* The lid flies off: it leaves an arc behind. */
void scene_lid_off(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const Bottle bottle = bottle_of(shape->thing.kind);
    const PinchHand hand = {1.2, 14, 0};
    double top = 48 - (bottle.high + .95) * 3.6;
    art_placed(ink, 24, 48, 0, 3.6, prop_vial(ink, &bottle));
    art_big_arrow(ink, PATH({15.4, top - 1}, {15.6, top - 7}, {20.5, top - 11.6}));
    art_placed(ink, 29.5, top - 7.4, -14, 1.7, hand_pinch(ink, &hand, NOTHING_HELD));
    art_at(ink, 27.5, top - 6.2, -24, 1);
    art_shape(ink, PATH({-5.6, -.9, 1}, {5.6, -.9, 1}, {5.6, .9, 1}, {-5.6, .9, 1}), .5);
    art_end(ink);
}

void scene_wipe_top(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    Bottle bottle = bottle_of(shape->thing.kind);
    const PinchHand hand = {0, 12, 0};
    bottle.high = 8.4;
    art_placed(ink, 22, 53, 0, 3.4, prop_vial(ink, &bottle));
    art_placed(ink, 21, 18.5, -16, 1.9, hand_pinch(ink, &hand, NOTHING_HELD));
    art_shape(ink, PATH({13.0, 20.6}, {15.2, 17.6}, {22, 16.6}, {28.6, 17.6}, {30.6, 20.4}, {28, 22.6}, {22, 23.0},
                        {15.5, 22.8}), 1);
    for (int i = 0; i < 4; i++)
        art_stroke_line(ink, 15.9 + i * 3.1, 19.2, 17.1 + i * 3.1, 20.6, ART_FINE);
    art_big_arrow(ink, path_arc(15.5, 19, 9.0, 8.6, 128, 268));
}

/* ---- ampoule, warm vial, vials lying ---- */

static void ampoule(Ink *ink, gconstpointer data)
{
    (void)data;
    const double r = 1.2;
    art_at(ink, 0, 5.6, 0, 1.5);
    Path glass = PATH({-r, 0, 1}, {r, 0, 1}, {r, -6.0, 1}, {r * .8, -6.8}, {.45, -7.4}, {.40, -8.0, 1}, {-.40, -8.0, 1},
                      {-.45, -7.4}, {-r * .8, -6.8}, {-r, -6.0, 1});
    art_fill(ink, glass, 1);
    art_liquid(ink, path_box(-r, -5.0, r, 0));
    art_close(ink, glass, ART_LINE);
    art_circle(ink, 0, -7.0, .28, 0, 0);
    art_end(ink);
}

static void ampoule_top(Ink *ink, gconstpointer data)
{
    (void)data;
    art_at(ink, -.3, 3.6, -22, 1.5);
    art_shape(ink, PATH({-.42, .5, 1}, {.42, .5, 1}, {.48, 0}, {.66, -.8}, {.66, -3.2}, {0, -4.0}, {-.66, -3.2},
                        {-.66, -.8}, {-.48, 0}), 1);
    art_end(ink);
    art_shape(ink, PATH({-2.4, -3.2, 1}, {.2, -3.7}, {2.8, -2.9, 1}, {2.5, -.2}, {3.1, 2.5, 1}, {.4, 2.1},
                        {-2.4, 2.9, 1}, {-2.0, .1}), 1);
    for (int i = 0; i < 4; i++) {
        double at = -1.7 + i * 1.15;
        art_stroke_line(ink, at, -2.9, at + .1, 1.9, ART_FINE);
        art_stroke_line(ink, -1.9, at, 2.4, at, ART_FINE);
    }
}

/* The dot faces the thumb; the neck breaks away from it. */
void scene_snap(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const GripHand grip = {1.8, 10, 3, -1.2};
    const PinchHand pinch = {1.6, 12, 0};
    art_placed(ink, 27, 41, 0, 2.0, hand_grip(ink, &grip, (Held){ampoule, NULL}));
    art_placed_flipped(ink, 31.0, 16.4, 20, 1.9, hand_pinch(ink, &pinch, (Held){ampoule_top, NULL}));
    art_big_arrow(ink, PATH({37.5, 16}, {43.5, 13}, {46.6, 5.4}));
    for (int i = 0; i < 3; i++) {
        Spot from = spot_polar((Spot){27, 29.2}, -50 + i * 45, 2.2), to = spot_polar((Spot){27, 29.2}, -50 + i * 45,
                4.2);
        art_stroke_line(ink, from.x, from.y, to.x, to.y, ART_LINE);
    }
}

static void vial_in_hand(Ink *ink, gconstpointer data)
{
    art_placed(ink, 0, 4.6, 0, 1.0, prop_vial(ink, data));
}

/* A vial in the closed hand. */
void scene_warm(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const Bottle bottle = {.wide = 4.2, .high = 8, .level = .7, .content = CONTENT_LIQUID};
    const GripHand grip = {2.1, 12, 4, -.6};
    art_placed(ink, 18, 14.4, 0, 2.1, hand_grip(ink, &grip, (Held){vial_in_hand, &bottle}));
}

/* So many lie empty, the others still stand. */
void scene_vials(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const gint64 all = CLAMP(shape->scene.of, 1, 6);
    const double step = 58.0 / MAX(all, 3), scale = MIN(2.1, step / 6.2);
    const Bottle full = {.wide = 4.6, .high = 6.4, .level = .24, .content = CONTENT_POWDER};
    const Bottle empty = {.wide = 4.6, .high = 6.4};
    prop_table(ink, 19, 0, 60);
    for (gint64 i = 0; i < all; i++) {
        double x = (60 - step * (double)all) / 2 + step * ((double)i + .5);
        gboolean lies = i < shape->scene.count;
        art_placed(ink, lies ? x - 3.7 * scale : x, lies ? 19 - 2.3 * scale : 19, lies ? 90 : 0, scale,
            prop_vial(ink, lies ? &empty : &full));
    }
}
