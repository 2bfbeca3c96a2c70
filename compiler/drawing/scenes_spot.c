/* scenes_spot: where on the body, with the bones that are felt and the hands that feel them.
 * Drawn for the right side; the left one is its mirror. */
#include "drawing/scenes.h"

#include <math.h>

#include "drawing/parts.h"

#define TARGET 2.2

static FlatHand laid(double thumb, double arm) { return (FlatHand){3, 0, -3.2, -5, thumb, arm, FALSE, 0}; }

static void bone_circle(Ink *ink, double x, double y, double across, double down)
{
    art_dashed_circle(ink, x, y, across, down, ART_BONE);
}

/* ---- the side of the hip ---- */

/* Between the shirt and the trousers, which say where up is. */
static void hip_side(Ink *ink, double high)
{
    const Path body = PATH({15.4, -14, 1}, {15.5, 5}, {12.5, 14}, {7, 24}, {5.5, 31}, {8, 38.5}, {12.5, 43}, {13.5, 52},
                           {15, high + 2, 1}, {45.5, high + 2, 1}, {47.5, 52}, {47, 42}, {46, 34}, {48, 26},
                           {50.5, 17}, {50.5, 8}, {48.5, -14, 1});
    art_shape(ink, body, ART_SKIN);
    art_line(ink, PATH({7.8, 38.2}, {12, 40}, {17.5, 39.3}), ART_LINE);
    art_line(ink, PATH({46, 34}, {42.5, 36}, {39.5, 39.5}), ART_FINE);
    art_shape(ink, PATH({12.4, -14, 1}, {12.6, 3.4, 1}, {22, 4.8}, {32, 4.0}, {42, 5.0}, {52, 3.6, 1},
                        {51.4, -14, 1}), 1);
    art_line(ink, PATH({12.8, .9}, {22, 2.3}, {32, 1.5}, {42, 2.5}, {51.8, 1.1}), ART_FINE);
    art_shape(ink, PATH({9.6, 45.4, 1}, {22, 47.4}, {36, 47.2}, {49.6, 44.8, 1}, {49.4, high + 2, 1},
                        {10.4, high + 2, 1}), 1);
    art_line(ink, PATH({9.8, 48.4}, {22, 50.4}, {36, 50.2}, {49.6, 47.8}), ART_FINE);
}

/* Felt, not seen: the hip's wing above the palm. */
static void hip_wing(Ink *ink)
{
    const Path wing = PATH({43.8, 17.2}, {41.5, 12.5}, {35.5, 8.6}, {28, 7.6}, {20, 10}, {14.2, 16.5}, {15.0, 19.5},
                           {20, 21}, {22.5, 26}, {25, 31}, {32, 31}, {37.5, 27.5}, {41, 22.5}, {43.6, 20});
    art_fill(ink, wing, .94);
    art_dashed(ink, wing, TRUE, ART_LINE, ART_BONE);
}

/* The helper's palm lies on the bump, the index finger points to the front bone: the spot is in
 * the middle of the V. */
static void ventrogluteal_helper(Ink *ink, const SiteFigure *site)
{
    (void)site;
    const FlatHand hand = {-31, 19, 22, 31, -56, 18, FALSE, 0};
    hip_side(ink, 60);
    hip_wing(ink);
    art_placed_flipped(ink, 24.4, 40.9, 20, 1.6, hand_flat(ink, &hand));
    bone_circle(ink, 28.3, 32, 3.3, 3.9);
    bone_circle(ink, 43.9, 20.4, 2.8, 2.8);
    art_target(ink, 35.2, 20.0, 2.7);
}

/* Looking down one's own side: the thumb lies at the back, so the middle finger goes to the front
 * bone and the index finger along the crest. */
static void ventrogluteal_own(Ink *ink, const SiteFigure *site)
{
    (void)site;
    const Path leg = PATH({10.5, 60, 1}, {9.8, 52}, {11.2, 44}, {14.6, 34}, {18, 24.5}, {20.5, 16}, {22, 8, 1},
                          {29.5, 8, 1}, {31, 15}, {34.5, 23}, {40, 31}, {46.5, 40}, {49.2, 49}, {47, 60, 1});
    const FlatHand hand = {-46, -6, 7, 17, -66, 14, FALSE, 191};
    art_shape(ink, PATH({22, 12.4, 1}, {17, 11.6}, {12.5, 10.6}, {10.0, 10.2}, {8.9, 9.3}, {9.6, 8.4, 1}, {7.8, 8.4},
                        {7.0, 7.4}, {7.9, 6.6, 1}, {6.3, 6.6}, {5.7, 5.6}, {6.8, 5.0, 1}, {5.4, 4.7}, {5.2, 3.7},
                        {6.6, 3.2, 1}, {4.8, 2.4}, {5.4, .9}, {8.2, 1.2}, {14, 2.8}, {20, 3.4}, {26.5, 3.2}, {30, 5},
                        {30.6, 8.4}, {29, 12, 1}), ART_SKIN);
    for (int i = 0; i < 4; i++)
        art_line(ink, PATH({9.6 - i, 8.4 - i * 1.73}, {11 - i, 8.3 - i * 1.73}, {12 - i, 8.7 - i * 1.73}), ART_FINE);
    art_fill(ink, leg, ART_SKIN);
    art_line(ink, PATH({10.5, 60, 1}, {9.8, 52}, {11.2, 44}, {14.6, 34}, {18, 24.5}, {20.5, 16}, {22, 8, 1}), ART_LINE);
    art_line(ink, PATH({29.5, 8, 1}, {31, 15}, {34.5, 23}, {40, 31}, {46.5, 40}, {49.2, 49}, {47, 60, 1}), ART_LINE);
    art_line(ink, PATH({23.2, 17.6}, {25.6, 18.8}, {28.2, 17.6}), ART_FINE);
    art_placed(ink, 42.4, 29.2, -110, 1.62, hand_flat(ink, &hand));
    bone_circle(ink, 34.6, 32.6, 3.3, 3.3);
    bone_circle(ink, 13.4, 40.6, 2.6, 2.6);
    art_target(ink, 21.4, 44.6, 2.0);
    art_shape(ink, PATH({4, 70, 1}, {5.5, 62}, {10, 56.4}, {22, 57.4}, {36, 57.4}, {48, 56.0}, {54, 61.5},
                        {56, 70, 1}), 1);
}

/* ---- the buttock from behind ---- */

static void dorsogluteal(Ink *ink, const SiteFigure *site)
{
    (void)site;
    const Path left = PATH({14.5, -2, 1}, {14.2, 4}, {10.5, 13}, {6.6, 24}, {6.4, 34}, {8.2, 44}, {9.5, 62, 1});
    Path body = left;
    for (guint i = left.count; i > 0; i--)
        path_add(&body, (Spot){60 - left.knots[i - 1].x, left.knots[i - 1].y}, left.knots[i - 1].corner);
    art_shape(ink, body, ART_SKIN);
    art_clip(ink, &body);
    art_fill(ink, PATH({42, 12.2, 1}, {46, 12.0}, {50, 14}, {53, 22.5}, {54, 27, 1}, {42, 27, 1}), 1);
    art_end(ink);
    /* the nerve runs down the inner lower part: never there */
    Path never = PATH({31, 28, 1}, {41.6, 28, 1}, {41.8, 36}, {40.4, 41.6, 1}, {36, 42.6}, {31, 39.6, 1});
    art_clip(ink, &never);
    for (double at = 20; at < 60; at += 2.2) {
        art_stroke_line(ink, at, 26, at + 18, 44, ART_LINE);
    }
    art_end(ink);
    art_close(ink, never, ART_FINE);
    art_cross_clear(ink, 36.4, 35, 3.2);
    art_close(ink, body, ART_LINE);
    art_line(ink, PATH({30, 17}, {29.8, 28}, {30, 40, 1}), ART_LINE);
    art_line(ink, PATH({30, 40}, {24, 43.2}, {14, 41}), ART_LINE);
    art_line(ink, PATH({30, 40}, {36, 43.2}, {46, 41}), ART_LINE);
    art_line(ink, PATH({29.2, 42, 1}, {28.6, 50}, {28.3, 62}), ART_LINE);
    art_line(ink, PATH({30.8, 42, 1}, {31.4, 50}, {31.7, 62}), ART_LINE);
    art_dashed(ink, SHARP({42, 6.4}, {42, 44}), FALSE, ART_LINE, 0);
    art_dashed(ink, SHARP({31, 27}, {55, 27}), FALSE, ART_LINE, 0);
    art_target(ink, 47.6, 19.6, TARGET);
}

/* ---- the thigh ---- */

/* Own view, sitting: the knee is at the top; the outer middle third lies between two hands. */
static void thigh(Ink *ink, const SiteFigure *site)
{
    (void)site;
    const FlatHand knee = laid(-26, 8), hip = laid(-26, 8);
    const Path leg = PATH({12, 66, 1}, {12.6, 52}, {14.6, 36}, {17.4, 20}, {19.6, 9}, {24, 4}, {31, 3}, {37, 5},
                          {40.6, 11}, {43.6, 22}, {46.4, 36}, {48.4, 52}, {49.4, 66, 1});
    art_shape(ink, leg, ART_SKIN);
    art_line(ink, PATH({22.6, 10.6}, {29.6, 13.4}, {36.6, 10.6}), ART_FINE);
    art_line(ink, PATH({25, 6.6}, {30, 5.4}, {35, 6.8}), ART_FINE);
    art_clip(ink, &leg);
    art_fill(ink, SHARP({33.4, 20}, {60, 20}, {60, 44}, {34.3, 44}), 1);
    art_end(ink);
    art_dashed(ink, SHARP({33.4, 22}, {34.3, 42}), FALSE, ART_LINE, 0);
    art_close(ink, leg, ART_LINE);
    art_placed_flipped(ink, 7.0, 19.6, 86, 1.62, hand_flat(ink, &knee));
    art_placed(ink, 60.0, 46.6, -88, 1.62, hand_flat(ink, &hip));
    art_target(ink, 40.2, 32.4, TARGET);
    art_shape(ink, PATH({2, 72, 1}, {3.4, 58.4}, {12, 55.8}, {30, 57.4}, {48, 55.8}, {57, 58.4}, {59, 72, 1}), 1);
    art_line(ink, PATH({3.6, 60.2}, {12, 57.6}, {30, 59.2}, {48, 57.6}, {56.6, 60.2}), ART_FINE);
}

/* ---- the upper arm ---- */

/* To scale, 2.3 units a centimetre: the nerve lies near 5 cm below the bone (review of places on
 * the upper arm, 2022), so fingers that leave their spot there push the mark of the nerve down
 * in the picture, and a rule speaks. */
#define ARM_BONE 17.6
#define ARM_NERVE (ARM_BONE + 5.2 * 2.3)
#define ARM_SPOT 1.8

static void arm_outline(Ink *ink)
{
    art_shape(ink, PATH({24, -3, 1}, {22.5, 4}, {17, 9}, {11, 16}, {8.5, 30}, {9.5, 48}, {12, 64, 1}, {49, 64, 1},
                        {52.5, 48}, {53.5, 34}, {51, 22}, {45.5, 13.5}, {42, 8}, {41.5, -3, 1}), 1);
}

static void arm_nerve(Ink *ink, const Path *arm, double top)
{
    const double bottom = top + 8.6;
    art_clip(ink, arm);
    const Path band = path_box(0, top, 60, bottom);
    art_clip(ink, &band);
    for (double at = 0; at < 60; at += 2.2)
        art_stroke_line(ink, at, top, at + 10, top + 10, ART_LINE);
    art_stroke_line(ink, 0, top, 60, top, ART_BOLD);
    art_stroke_line(ink, 0, bottom, 60, bottom, ART_BOLD);
    art_end(ink);
    art_end(ink);
    art_cross_clear(ink, 38.4, top + 4.3, 2.4);
    ink_mark(ink, "nerve", 30, top);
    ink_mark(ink, "bone edge", 30, ARM_BONE);
}

/* Fingers laid below the bone's edge: the spot is just under them, in the middle. */
static void deltoid(Ink *ink, const SiteFigure *site)
{
    gboolean three = site->fingers > 2;
    double spot = three ? 30.4 : 27.8;
    const FlatHand two_fingers = {1.4, .2, FOLDED, FOLDED, -24, 6, FALSE, 0};
    const FlatHand three_fingers = {3, 0, -3.2, FOLDED, -24, 6, FALSE, 0};
    const Path arm = PATH({19.5, 64, 1}, {18.8, 54}, {18.2, 44}, {17.2, 34}, {18, 25}, {22, 18}, {28, 14.6},
                          {34.5, 13.6}, {40.5, 15.8}, {45, 21.5}, {46.6, 30}, {45.2, 39}, {43.2, 47}, {42.6, 56},
                          {43, 64, 1});
    arm_outline(ink);
    art_shape(ink, arm, ART_SKIN);
    arm_nerve(ink, &arm, MAX(ARM_NERVE, spot + ARM_SPOT + .6));
    art_close(ink, arm, ART_LINE);
    art_line(ink, PATH({42.4, 45}, {38.6, 51}, {33.4, 54.6}), ART_FINE);
    art_line(ink, PATH({21, 45}, {25, 51}, {30.6, 54.6}), ART_FINE);
    art_dashed(ink, PATH({22.4, 14.0}, {26, 11.8}, {32, 11.2}, {37.4, 13.0}, {38.6, 16.0}, {32, ARM_BONE}, {25, 17.4}),
               TRUE, ART_LINE, ART_BONE);
    art_placed(ink, -7.4, three ? 24.9 : 25.5, 90, 2.3, hand_flat(ink, three ? &three_fingers : &two_fingers));
    art_target(ink, 32, spot, ARM_SPOT);
}

/* ---- the belly ---- */

static void navel(Ink *ink, double x, double y)
{
    art_ellipse(ink, x, y, 2.0, 2.4, .6, ART_BOLD);
    art_line(ink, PATH({x - 1.0, y + .2}, {x, y - .8}, {x + 1.0, y + .2}), ART_BOLD);
}

/* A foot far below, its toes at the top: who sees it so looks down. */
static void foot_below(Ink *ink)
{
    static const double toes[][3] = {{-2.7, 2.9, 1.6}, {-.3, 2.2, 1.15}, {1.6, 2.6, 1.05}, {3.2, 3.4, 1.0},
                                     {4.5, 4.6, .9}};
    for (gsize i = 0; i < G_N_ELEMENTS(toes); i++)
        art_circle(ink, toes[i][0], toes[i][1], toes[i][2], ART_SKIN, ART_LINE);
    art_fill(ink, PATH({-4.2, 4.2}, {-2.6, 3.0}, {1, 3.2}, {4.6, 5.2}, {4.8, 8}, {4, 13, 1}, {-4, 13, 1}, {-4.6, 8}),
             ART_SKIN);
    art_line(ink, PATH({-4.2, 3.4, 1}, {-4.7, 6}, {-4.4, 9}, {-4, 13, 1}), ART_LINE);
    art_line(ink, PATH({5.3, 5.2, 1}, {5.0, 8}, {4, 13, 1}), ART_LINE);
}

/* Own view, standing or sitting, looking down: feet, trousers, belly, the shirt held up; own left is
 * at the left. */
static void looking_down(Ink *ink)
{
    for (int right = 0; right < 2; right++) {
        Path leg = PATH({6, 24, 1}, {9, 16}, {13.4, 9.6, 1}, {26, 9.6, 1}, {28.6, 15}, {29.6, 24, 1});
        if (right)
            art_placed(ink, 40.4, .4, 0, .92, foot_below(ink));
        else
            art_placed_flipped(ink, 19.6, .4, 0, .92, foot_below(ink));
        art_shape(ink, right ? path_mirror(&leg, 30) : leg, 1);
    }
    art_shape(ink, PATH({3, 62, 1}, {3.4, 48}, {4.6, 38}, {5.4, 30}, {4.6, 20, 1}, {16, 17.4}, {30, 16.4}, {44, 17.4},
                        {55.4, 20, 1}, {54.6, 30}, {55.4, 38}, {56.6, 48}, {57, 62, 1}), ART_SKIN);
    art_shape(ink, PATH({4.2, 23.0, 1}, {16, 20.2}, {30, 19.2}, {44, 20.2}, {55.8, 23.0, 1}, {55.6, 18.4, 1},
                        {44, 15.6}, {30, 14.6}, {16, 15.6}, {4.4, 18.4, 1}), 1);
}

static void shirt_below(Ink *ink)
{
    art_shape(ink, PATH({-2, 62, 1}, {0, 52}, {3, 46.4, 1}, {11, 45.0}, {20, 46.2}, {30, 45.2}, {40, 46.2}, {49, 45.0},
                        {57, 46.4, 1}, {60, 52}, {62, 62, 1}), 1);
    art_line(ink, PATH({2.4, 48.2}, {11, 46.8}, {20, 48}, {30, 47}, {40, 48}, {49, 46.8}, {57.6, 48.2}), ART_FINE);
}

/* Navel, two fingers beside it, then the spot. */
static void abdomen(Ink *ink, const SiteFigure *site)
{
    const FlatHand hand = {1.4, .2, FOLDED, FOLDED, -26, 4, FALSE, 0};
    looking_down(ink);
    shirt_below(ink);
    navel(ink, 30, 33);
    art_placed(ink, 38.8, 57, 0, 1.62, hand_flat(ink, &hand));
    if (site->either)
        art_target(ink, 17.0, 33, 2.6);
    art_target(ink, 43.0, 33, 2.6);
}

/* ---- how the person lies, seen from above ---- */

#define LIE_HIGH 44.0

/* On the right; the left one is the mirror across the body's length. */
static const Spot side_spot = {21.4, 14.8}, front_spot = {26.2, 26.6};

/* A limb with round ends, from and until so wide. */
static Path limb(Spot a, Spot b, double from, double until)
{
    double dx = b.x - a.x, dy = b.y - a.y, far = MAX(hypot(dx, dy), 1e-6);
    double ux = dx / far, uy = dy / far, nx = -uy, ny = ux, f = from / 2, u = until / 2;
    return PATH({a.x + nx * f, a.y + ny * f}, {a.x - ux * f, a.y - uy * f}, {a.x - nx * f, a.y - ny * f},
                {b.x - nx * u, b.y - ny * u}, {b.x + ux * u, b.y + uy * u}, {b.x + nx * u, b.y + ny * u});
}

/* Hair at the back of a head that looks so many degrees. */
static void head_above(Ink *ink, double x, double y, double looks)
{
    art_circle(ink, x, y, 4.2, ART_SKIN, ART_LINE);
    art_at(ink, x, y, looks, 1);
    art_shape(ink, PATH({0, 4.2, 1}, {-3, 3}, {-4.2, 0}, {-3, -3}, {0, -4.2, 1}, {-1.4, -2}, {-1.8, 0}, {-1.4, 2}),
              .35);
    art_end(ink);
}

/* On the left side, knees bent; head at the right, front towards the reader. */
static void on_the_side(Ink *ink)
{
    const Path under[] = {limb((Spot){22, 19}, (Spot){21, 29}, 8, 6.4), limb((Spot){21, 30}, (Spot){8, 33}, 6, 4),
                          limb((Spot){7.4, 33}, (Spot){5.4, 36.4}, 3.4, 2.8)};
    const Path arm_under[] = {limb((Spot){41, 18}, (Spot){46, 26}, 4, 3.4), limb((Spot){46, 26}, (Spot){52, 24}, 3.4,
            2.6)};
    const Path over[] = {limb((Spot){21, 16.4}, (Spot){17.6, 26.4}, 9.4, 7),
                         limb((Spot){17.4, 26.8}, (Spot){6, 27}, 6.2, 4.2),
                         limb((Spot){5.4, 27.2}, (Spot){3.4, 31}, 3.6, 3.0),
                         PATH({16.6, 15}, {19, 10.4}, {25, 10}, {31, 11.6}, {38, 10}, {44, 10.6}, {46.4, 14.4},
                              {44.4, 19},
                              {37, 20.6}, {29, 19.8}, {23, 21.6}, {18, 20})};
    const Path arm[] = {limb((Spot){41.6, 14.6}, (Spot){35, 22}, 4.8, 4), limb((Spot){35, 22}, (Spot){43, 26.6}, 3.8,
                                                                               3)};
    art_union(ink, under, G_N_ELEMENTS(under), ART_SKIN);
    art_union(ink, arm_under, G_N_ELEMENTS(arm_under), ART_SKIN);
    art_union(ink, over, G_N_ELEMENTS(over), ART_SKIN);
    art_shape(ink, PATH({28.4, 11.2, 1}, {33, 11}, {38, 10}, {44, 10.6}, {46.4, 14.4}, {44.4, 19}, {37, 20.6},
                        {28.8, 19.8, 1}, {27.8, 15.4}), 1);
    art_union(ink, arm, G_N_ELEMENTS(arm), ART_SKIN);
    head_above(ink, 51.6, 14.8, -100);
    art_target(ink, side_spot.x, side_spot.y, 1.9);
}

/* On the front, toes turned in; head at the right. */
static void on_the_front(Ink *ink)
{
    const Path body[] = {limb((Spot){22, 17.6}, (Spot){14, 16.6}, 8.6, 6.4), limb((Spot){14, 16.6}, (Spot){5, 17.4}, 6,
            4),
                         limb((Spot){22, 26.4}, (Spot){14, 27.4}, 8.6, 6.4), limb((Spot){14, 27.4}, (Spot){5, 26.6}, 6,
                                 4),
                         PATH({18.6, 15}, {25, 13.4}, {32, 15.2}, {42, 13.4}, {45, 17}, {45.4, 22}, {45, 27},
                              {42, 30.6},
                              {32, 28.8}, {25, 30.6}, {18.6, 29}, {17.6, 22})};
    const Path feet[] = {limb((Spot){3.8, 17.2}, (Spot){3.4, 20.4}, 3.4, 2.8),
                         limb((Spot){3.8, 26.8}, (Spot){3.4, 23.6}, 3.4, 2.8)};
    const Path left[] = {limb((Spot){42.6, 14.4}, (Spot){47, 7.6}, 4.4, 3.6),
                         limb((Spot){47, 7.6}, (Spot){55, 10}, 3.6, 2.8)};
    const Path right[] = {limb((Spot){42.6, 29.6}, (Spot){47, 36.4}, 4.4, 3.6),
                          limb((Spot){47, 36.4}, (Spot){55, 34}, 3.6, 2.8)};
    art_union(ink, left, G_N_ELEMENTS(left), ART_SKIN);
    art_union(ink, right, G_N_ELEMENTS(right), ART_SKIN);
    art_union(ink, feet, G_N_ELEMENTS(feet), ART_SKIN);
    art_union(ink, body, G_N_ELEMENTS(body), ART_SKIN);
    art_line(ink, PATH({3, 22}, {10, 22}, {18, 22}), ART_FINE);
    art_line(ink, PATH({18, 22}, {23, 22}, {28, 22}), ART_LINE);
    art_shape(ink, PATH({31, 14.9, 1}, {42, 13.4}, {45, 17}, {45.4, 22}, {45, 27}, {42, 30.6}, {31, 29.1, 1},
                        {32, 22}), 1);
    head_above(ink, 50.6, 22, -20);
    art_target(ink, front_spot.x, front_spot.y, 1.6);
}

static void person_lies(Ink *ink, const SiteFigure *site)
{
    gboolean front = site->site == Site_DORSOGLUTEAL;
    art_at(ink, 0, site->left ? LIE_HIGH : 0, 0, 1);
    if (site->left) /* from above the left side is the mirror across the body's length */
        cairo_scale(ink_cairo(ink), 1, -1);
    art_box(ink, .4, 3, 59.6, 41, 1);
    ink_rounded(ink, 46.6, front ? 12 : 6, 12, front ? 20 : 19, 3);
    ink_pen(ink, ART_FINE);
    ink_stroke(ink);
    if (front)
        on_the_front(ink);
    else
        on_the_side(ink);
    art_end(ink);
}

/* ---- rows ---- */

typedef struct SpotRow {
    double high; /* units */
    double from; /* the first unit that is shown of one who lies */
    gboolean lies; /* drawn standing, shown turned as the person lies, head at the right */
    void (*draw)(Ink *ink, const SiteFigure *site);
} SpotRow;

/* By SiteView; a view without its own picture has the other one's. */
typedef SpotRow SpotViews[2];

/* One for each place of sites.def: a place without its picture does not compile. */
static const SpotViews spots_of_VENTROGLUTEAL = {[VIEW_HELPER] = {53, -6, TRUE, ventrogluteal_helper},
                                                 [VIEW_OWN] = {60, 0, FALSE, ventrogluteal_own}};
static const SpotViews spots_of_DORSOGLUTEAL = {[VIEW_HELPER] = {53, 0, TRUE, dorsogluteal}};
static const SpotViews spots_of_DELTOID = {[VIEW_HELPER] = {56, 0, FALSE, deltoid}};
static const SpotViews spots_of_THIGH = {[VIEW_OWN] = {60, 0, FALSE, thigh}};
static const SpotViews spots_of_ABDOMEN = {[VIEW_OWN] = {51, 0, FALSE, abdomen}};

static const SpotRow *spots_of(Site site)
{
    switch (site) {
#define SITE(id, ...) case Site_##id: return spots_of_##id;
#include "language/sites.def"
    }
    g_assert_not_reached();
}

static const SpotRow *spot_of(const SiteFigure *site)
{
    const SpotRow *views = spots_of(site->site);
    return views[site->view].draw ? &views[site->view] : &views[VIEW_OWN - site->view];
}

static void sided(Ink *ink, gboolean left)
{
    if (left)
        art_at_flipped(ink, 60, 0, 0, 1);
    else
        art_at(ink, 0, 0, 0, 1);
}

/* What is up goes to the right; the right side of the body to the reader, or the left one. */
static void turned(Ink *ink, gboolean left, const SpotRow *row)
{
    double across = (60 - row->high) / 2;
    art_at(ink, 60 + row->from, left ? 60 - across : -across, 90, 1);
    if (left)
        cairo_scale(ink_cairo(ink), -1, 1);
}

#define UNITS 60.0
#define TWO_LEAST 54.0 /* mm of two pictures beside each other */
#define TWO_GAP 4.0

/* Of one who lies there are two pictures: both sides where each has its day, else the whole person
 * and the place on her, enlarged. */
static gboolean in_two(const FigureShape *shape)
{
    return spot_of(&shape->site)->lies;
}

static FigureRoom half_of(const FigureShape *shape, FigureRoom room)
{
    if (in_two(shape))
        room.width = (MAX(room.width, TWO_LEAST) - TWO_GAP) / 2;
    return room;
}

static double words_below(const SiteFigure *site, FigureRoom room)
{
    return site->left_word || site->right_word ? room.type * INK_POINT * 1.3 : 0;
}

FigureSize spot_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink;
    double high = spot_of(&shape->site)->high * half_of(shape, room).width / UNITS;
    return (FigureSize){in_two(shape) ? MAX(room.width, TWO_LEAST) : room.width,
                        high + words_below(&shape->site, room)};
}

/* The sides are named where the picture shows both, as the reader looks at them. */
static void side_words(Ink *ink, const SiteFigure *site, double x, double baseline, FigureRoom room)
{
    InkStyle style = {.size = room.type, .bold = TRUE};
    if (site->left_word)
        ink_label(ink, style, site->left_word, x, baseline);
    style.align = INK_RIGHT;
    if (site->right_word)
        ink_label(ink, style, site->right_word, x + room.width, baseline);
}

static void one_spot(Ink *ink, const SiteFigure *site, double x, double y, double width)
{
    const SpotRow *row = spot_of(site);
    art_at(ink, x, y, 0, width / UNITS);
    cairo_rectangle(ink_cairo(ink), 0, 0, UNITS, row->high);
    cairo_clip(ink_cairo(ink));
    if (row->lies)
        turned(ink, site->left, row);
    else
        sided(ink, site->left && !site->either);
    row->draw(ink, site);
    art_end(ink);
    art_end(ink);
}

/* The left side at the left, each named in its middle. */
static void both_sides(Ink *ink, const SiteFigure *site, double x, double y, FigureRoom half)
{
    SiteFigure left = *site, right = *site;
    double other = x + half.width + TWO_GAP;
    left.left = TRUE, right.left = FALSE;
    one_spot(ink, &left, x, y, half.width);
    one_spot(ink, &right, other, y, half.width);
    double baseline = y + spot_of(&left)->high * half.width / UNITS + half.type * INK_POINT;
    const InkStyle style = {.size = half.type, .bold = TRUE, .align = INK_CENTRE};
    if (left.left_word)
        ink_label(ink, style, left.left_word, x + half.width / 2, baseline);
    if (right.right_word)
        ink_label(ink, style, right.right_word, other + half.width / 2, baseline);
}

/* From the spot on the whole person to the enlarged place. */
static void person_and_spot(Ink *ink, const SiteFigure *site, double x, double y, FigureRoom half)
{
    double scale = half.width / UNITS, high = spot_of(site)->high * scale, other = x + half.width + TWO_GAP;
    double top = y + (high - LIE_HIGH * scale) / 2, radius = 7;
    Spot at = site->site == Site_DORSOGLUTEAL ? front_spot : side_spot;
    at.y = site->left ? LIE_HIGH - at.y : at.y;
    art_at(ink, x, top, 0, scale);
    person_lies(ink, site);
    art_circle(ink, at.x, at.y, radius, -1, ART_LINE);
    art_end(ink);
    one_spot(ink, site, other, y, half.width);
    double from = x + (at.x + radius * .5) * scale, middle = top + at.y * scale, reach = radius * .87 * scale;
    art_stroke_line(ink, from, middle - reach, other, y, ART_FINE);
    art_stroke_line(ink, from, middle + reach, other, y + high, ART_FINE);
    art_close(ink, path_box(other, y, other + half.width, y + high), ART_LINE);
}

void spot_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    FigureRoom half = half_of(shape, room);
    if (in_two(shape) && shape->site.either) {
        both_sides(ink, &shape->site, x, y, half);
    } else if (in_two(shape)) {
        person_and_spot(ink, &shape->site, x, y, half);
    } else {
        one_spot(ink, &shape->site, x, y, room.width);
        side_words(ink, &shape->site, x, y + spot_of(&shape->site)->high * room.width / UNITS + room.type * INK_POINT,
                   room);
    }
}

/* ---- the ring ---- */

void scene_ring(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const PinchHand hand = {1.6, 14, 0};
    art_fill(ink, path_box(0, 0, 60, 46), ART_SKIN);
    art_circle(ink, 22, 27, 15, ART_SKIN, ART_BOLD);
    art_circle(ink, 22, 27, 1.2, 0, 0);
    art_placed(ink, 40.4, 10.4, -16, 1.55, hand_pinch(ink, &hand, NOTHING_HELD));
    art_at(ink, 33.0, 17.0, 38, 1);
    art_shape(ink, SHARP({0, 0}, {-1.5, -4}, {1.5, -4}), 1);
    art_box(ink, -1.5, -17, 1.5, -4, 1);
    art_fill(ink, SHARP({0, 0}, {-.6, -1.6}, {.6, -1.6}), 0);
    art_end(ink);
}

/* Inside the ring only, and then a minute to dry. */
void scene_wipe_spot(Ink *ink, const FigureShape *shape, double type)
{
    (void)shape, (void)type;
    const PinchHand hand = {0, 14, 0};
    const Path skin = path_box(0, 0, 37, 34);
    art_clip(ink, &skin);
    art_fill(ink, skin, ART_SKIN);
    art_circle(ink, 15, 17, 12.4, ART_SKIN, ART_BOLD);
    art_placed(ink, 16.5, 16.4, -22, 1.3, hand_pinch(ink, &hand, NOTHING_HELD));
    art_at(ink, 14.6, 17.8, -14, 1);
    art_box(ink, -4.2, -3.2, 4.2, 3.2, 1);
    art_stroke_line(ink, -4.2, 0, 4.2, 0, ART_FINE);
    art_end(ink);
    art_arrow(ink, PATH({22.8, 20.6}, {21.2, 25}, {16, 26.6}, {10.6, 25}, {7.6, 20.6}), ART_BOLD, 2);
    art_end(ink);
    prop_watch(ink, 48, 13.4, 6.4);
}
