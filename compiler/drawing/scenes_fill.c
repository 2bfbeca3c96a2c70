/* scenes_fill: air, liquid and powder, and the syringe that moves them. */
#include "drawing/scenes.h"

static Stick stick_of(const FigureShape *shape, double needle, double barrel, double wide, double fill)
{
    return (Stick){.needle = shape->scene.needle, .long_needle = needle, .barrel = barrel, .wide = wide, .fill = fill};
}

/* ---- the needle's cap comes off and waits on the table ---- */

void scene_cap_to_table(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    Stick stick = stick_of(shape, 4.4, 6.2, 1.7, .42);
    stick.dry = TRUE;
    prop_syringe_at(ink, &stick, 17, 9, 90, 2.1);
    art_arrow(ink, PATH({46, 3.0}, {57, 3.0}), ART_HEAVY, 2.4);
    if (shape->scene.amount)
        art_arrow(ink, SHARP({35.8, .2}, {35.8, 5.6}), ART_BOLD, 1.8);
    prop_table(ink, 25.4, 0, 60);
    art_placed(ink, 17, 22.9, 0, 2.1, prop_cap(ink, 6.6, 2.3));
    art_arrow(ink, PATH({12, 9}, {5.4, 10.4}, {3, 14}, {3.4, 18}), ART_BOLD, 2.0);
}

/* ---- the liquid's vial ---- */

/* Two small steps: upright, the air goes in above the liquid; then turned over, tip in the liquid.  How far to pull is
 * the barrel's own picture. */
void scene_air_in(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const Bottle bottle = {.wide = 4.6, .high = 7, .level = .55, .content = CONTENT_LIQUID};
    Stick pushes = stick_of(shape, 4.6, 5, 1.7, 0), pulls = stick_of(shape, 4.0, 5, 1.7, 0);
    pushes.plunge = 1.4;
    art_placed(ink, 13, 45, 0, 2.5, prop_vial(ink, &bottle));
    prop_syringe_at(ink, &pushes, 13, 30.2, 0, 1.55);
    art_stroke_line(ink, 11.2, 25.3, 14.8, 25.3, ART_LINE);
    art_big_arrow(ink, PATH({20, 4}, {20, 14}));
    art_big_arrow(ink, PATH({25.4, 24}, {28.6, 19.6}, {34.5, 20.4}, {36.6, 25}));
    art_placed(ink, 48, 21.4, 0, 2.5, prop_vial_over(ink, &bottle));
    prop_syringe_at(ink, &pulls, 48, 15.5, 180, 1.55);
}

/* From the liquid's vial to the powder's, both standing; the liquid runs down the glass. */
void scene_down_glass(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const Bottle liquid = {.wide = 4.6, .high = 7, .level = .5, .content = CONTENT_LIQUID};
    const Bottle powder = {.wide = 5.4, .high = 6.6, .level = .2, .content = CONTENT_POWDER};
    Stick stick = stick_of(shape, 6.4, 4.4, 1.9, .5);
    if (!shape->scene.ampoule)
        art_placed(ink, 8, 34.4, 0, 2.2, prop_vial(ink, &liquid));
    art_big_arrow(ink, PATH({9, 13}, {12.6, 7.4}, {19, 5}, {26, 7}, {29, 12.6}));
    art_at(ink, 42, 34.4, 0, 2.7);
    prop_vial(ink, &powder);
    art_liquid(ink, PATH({-2.5, -4.2, 1}, {-2.05, -3.8}, {-1.95, -2.6}, {-1.6, -1.5, 1}, {-2.5, -1.2, 1}));
    art_line(ink, PATH({-2.4, -4.3, 1}, {-2.0, -3.6}, {-1.95, -2.6}, {-1.6, -1.5}), ART_LINE);
    prop_syringe_at(ink, &stick, -2.2, -4.2, 38, .6);
    art_stroke_line(ink, -1.7, -7.5, 1.7, -7.5, ART_LINE);
    art_end(ink);
    prop_table(ink, 34.6, 0, 60);
}

/* The needle stays in: vial and syringe are swirled as one. */
static void vial_with_syringe(Ink *ink, gconstpointer data)
{
    const FigureShape *shape = data;
    const Bottle bottle = {.wide = 4.6, .high = 6.4, .level = .34, .content = CONTENT_LIQUID};
    Stick stick = stick_of(shape, 5.2, 6.6, 1.5, 0);
    stick.plunge = .9;
    art_at(ink, 0, 4.2, 0, 1);
    prop_vial(ink, &bottle);
    art_line(ink, path_arc(0, -1.75, 1.5, .4, 20, 330), ART_FINE);
    art_end(ink);
    prop_syringe_at(ink, &stick, 0, 2.0, 0, 1);
    art_stroke_line(ink, -1.4, -3.15, 1.4, -3.15, ART_LINE);
}

void scene_swirl_vial(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const GripHand grip = {2.3, 12, 3, -1.2};
    art_line(ink, path_arc(25, 55.4, 16, 4.0, 176, 364), ART_HEAVY);
    art_placed(ink, 25, 43.4, 0, 2.35, hand_grip(ink, &grip, (Held){vial_with_syringe, shape}));
    art_big_arrow(ink, path_arc(25, 55.4, 16, 4.0, 176, 66));
}

/* ---- the vial turned over, the syringe below ---- */

typedef struct Over {
    double tip, level, fill, air, plunge;
} Over;

static void turned_over(Ink *ink, NeedleLook needle, double x, double scale, const Over *over)
{
    const Bottle bottle = {.wide = 5.6, .high = 9.4, .level = over->level, .content = CONTENT_LIQUID};
    Stick stick = {.needle = needle, .long_needle = (42 - over->tip) / 1.9, .barrel = 6, .wide = 1.9,
                   .fill = over->fill,
                   .air = over->air, .plunge = over->plunge};
    art_at(ink, x, 0, 0, scale);
    art_placed(ink, 0, 37.2, 0, 3.1, prop_vial_over(ink, &bottle));
    prop_syringe_at(ink, &stick, 0, over->tip, 180, 1.9);
    art_end(ink);
}

/* A stretch of the barrel, needle up: the old line, the rim two small lines further down. */
static void lines_of_air(Ink *ink, const FigureShape *shape, double type)
{
    const double x = 41, y = 25, r = 17.5, half = 8, step = 5.2, old = y - 6;
    const double rim = old + step * (double)CLAMP(shape->scene.count, 1, 3);
    prop_lens_begin(ink, x, y, r);
    art_liquid(ink, path_box(x - half, y - r, x + half, rim));
    art_fill(ink, path_box(x - half, rim, x + half, rim + step * 1.5), .6);
    art_box(ink, x - half * .4, rim + step * 1.5, x + half * .4, y + r, 1);
    art_stroke_line(ink, x - half, rim, x + half, rim, 1.2);
    art_stroke_line(ink, x - half, y - r, x - half, y + r, ART_LINE);
    art_stroke_line(ink, x + half, y - r, x + half, y + r, ART_LINE);
    art_dashed(ink, SHARP({x - half, old}, {x + half, old}), FALSE, ART_BOLD, 0);
    for (int i = -3; i < 6; i++)
        art_stroke_line(ink, x + half, old + i * step, x + half * (i == 0 ? .2 : .5), old + i * step, ART_LINE);
    art_words(ink, shape->scene.amount, type, INK_LEFT, x + half * 1.3, old + ink_on_paper(ink, type * .12));
    prop_lens_end(ink, x, y, r);
}

void scene_empty_needle(Ink *ink, const FigureShape *shape, double type)
{
    const Over over = {33, 0, .56, 2.0, 0};
    if (shape->scene.vial) {
        turned_over(ink, shape->scene.needle, 11, .62, &over);
    } else {
        Stick stick = stick_of(shape, 5.2, 7.6, 1.9, .6);
        stick.air = 1.2;
        prop_syringe_at(ink, &stick, 11, 3, 180, 1.9);
    }
    double from = shape->scene.vial ? 30.4 : 22;
    art_stroke_line(ink, 13.4, from, 32, 9.5, ART_FINE);
    art_stroke_line(ink, 13.4, from + 3.4, 30, 38.8, ART_FINE);
    lines_of_air(ink, shape, type);
    art_big_arrow(ink, PATH({20.5, 38}, {20.5, 48}));
}

/* A finger taps the barrel; then the plunger pushes the bubbles back where they came from. */
void scene_bubble_back(Ink *ink, const FigureShape *shape, double type)
{
    (void)type;
    const Over taps = {27, .5, .6, 0, 0}, pushes = {27, .5, .5, 0, 0};
    static const double in_barrel[][3] = {{10.4, 29.4, .75}, {12.4, 30.6, .6}, {11, 32, .6}};
    static const double in_vial[][3] = {{40.2, 11.6, .9}, {44.4, 9.6, .8}, {46.2, 12.6, .7}};
    turned_over(ink, shape->scene.needle, 11.4, .64, &taps);
    turned_over(ink, shape->scene.needle, 43, .64, &pushes);
    for (gsize i = 0; i < G_N_ELEMENTS(in_barrel); i++)
        art_circle(ink, in_barrel[i][0], in_barrel[i][1], in_barrel[i][2], 1, ART_FINE);
    for (gsize i = 0; i < G_N_ELEMENTS(in_vial); i++)
        art_circle(ink, in_vial[i][0], in_vial[i][1], in_vial[i][2], 1, ART_FINE);
    art_placed(ink, 14.2, 31.6, 0, .95, hand_flick(ink, 10));
    for (int i = 0; i < 3; i++)
        art_stroke_line(ink, 8.6 - i * .5, 28 + i * 3.6, 5.6 - i * .5, 27 + i * 4.6, ART_LINE);
    art_big_arrow(ink, PATH({51.4, 45}, {51.4, 33}));
}

/* The vial large, and of the syringe no more than its end: what differs is the needle's tip. */
void scene_turned_over(Ink *ink, NeedleLook needle, gboolean good)
{
    const Over over = {good ? 29 : 14, .4, good ? .9 : .3, 0, 0};
    const Path room = path_box(0, 0, 34, 46);
    art_clip(ink, &room);
    art_at(ink, 0, -4.2, 0, 1);
    turned_over(ink, needle, 13, .95, &over);
    art_end(ink);
    art_end(ink);
}
