/* sketch: pictures of doing; like this / not like this. */
#include <math.h>

#include "drawing/parts.h"

#define SCENE_WIDTH 52.0
#define SCENE_HEIGHT 44.0
#define SCENE_LOW 28.0
#define SCENE_SKIN 37.0 /* what lies below the muscle says nothing; the sharps box is as high */

/* Of what lies across and is thin. */
static gboolean is_low(FigureKind kind)
{
    return kind == FIGURE_PEN_CARTRIDGE || kind == FIGURE_PEN_NEEDLE || kind == FIGURE_PEN_CAPS ||
           kind == FIGURE_PEN_INNER || kind == FIGURE_PEN_OFF || kind == FIGURE_TIP_OFF || kind == FIGURE_TAP;
}

static gboolean is_of_skin(FigureKind kind)
{
    return kind == FIGURE_STRETCH || kind == FIGURE_PINCH || kind == FIGURE_ANGLE;
}

static double sketch_height(FigureKind kind)
{
    gboolean middling = is_of_skin(kind) || kind == FIGURE_SHARPS;
    return is_low(kind) ? SCENE_LOW : middling ? SCENE_SKIN : SCENE_HEIGHT;
}

FigureSize sketch_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink;
    return (FigureSize){room.width, sketch_height(shape->kind) * (room.width / SCENE_WIDTH)};
}

/* ---- vials and syringe ---- */

static void bubble(Ink *ink, double x, double y, double radius)
{
    ink_pen(ink, INK_FINE_LINE);
    cairo_arc(ink_cairo(ink), x, y, radius, 0, 2 * G_PI);
    ink_fill_white_and_stroke(ink);
}

/* The needle slants so that the liquid runs down the glass. */
static void push_into(Ink *ink)
{
    const SyringeSign syringe = {22.2, 28, -72, 0.35, 0.72, 11};
    const Point trickle[] = {{22.2, 28.2}, {20.4, 29.6}, {19.6, 31.6}, {19.5, 34.6}, {19.5, 37}};
    shape_vial(ink, VIAL_POWDER, 0.3, FALSE, 18, 18, 0.86);
    shape_syringe(ink, &syringe);
    ink_pen(ink, INK_STRONG);
    cairo_set_source_rgb(ink_cairo(ink), 0.30, 0.50, 0.72);
    shape_curve(ink, trickle, G_N_ELEMENTS(trickle));
    shape_arrow(ink, 41, 2, 38.2, 10.6);
}

static void swirl(Ink *ink)
{
    const SyringeSign syringe = {26, 25, -90, 0, 0.42, 11};
    shape_turn(ink, 26, 36, 16, 0.72 * G_PI, 2.4 * G_PI);
    shape_vial(ink, VIAL_MIXED, 0.5, FALSE, 19.6, 17, 0.86);
    shape_syringe(ink, &syringe);
}

#define FINGER 6.0

static void nail(Ink *ink, double x, double y, double degrees)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_rotate(cairo, degrees * G_PI / 180);
    cairo_move_to(cairo, -1.6, -5.4);
    cairo_line_to(cairo, -1.6, -3.2);
    cairo_arc_negative(cairo, 0, -2.6, 1.6, G_PI, 0);
    cairo_line_to(cairo, 1.6, -5.4);
    ink_stroke(ink);
    cairo_restore(cairo);
}

static Limb finger_limb(double x, double y, double degrees, double length)
{
    double right = sin(degrees * G_PI / 180), up = -cos(degrees * G_PI / 180), tip = FINGER / 2;
    return (Limb){{x + tip * right, y + tip * up}, {x + length * right, y + length * up}, FINGER};
}

/* A fingertip, seen from its back, at (x, y), reaching away by degrees (0: upwards). */
static void finger(Ink *ink, double x, double y, double degrees, double length)
{
    const Limb limb = finger_limb(x, y, degrees, length);
    shape_limbs(ink, &limb, 1, 1);
    nail(ink, x, y, degrees);
}

/* Two fingers of one hand. */
static void two_fingers(Ink *ink, double x1, double x2, double y, double degrees)
{
    const Limb both[] = {finger_limb(x1, y, degrees, 40), finger_limb(x2, y, -degrees, 40)};
    shape_limbs(ink, both, G_N_ELEMENTS(both), 1);
    nail(ink, x1, y, degrees);
    nail(ink, x2, y, -degrees);
}

static void tapping_finger(Ink *ink, double x, double y)
{
    finger(ink, x, y, 90, 32);
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, x, y - 5, x + 1.8, y - 6.6);
    ink_line(ink, x, y + 5, x + 1.8, y + 6.6);
}

static void bubbles(Ink *ink, double fill)
{
    const SyringeSign syringe = {20, 0.5, 90, fill, 0.98, SIGN_NEEDLE};
    shape_syringe(ink, &syringe);
    bubble(ink, 19.2, 18, 0.9);
    bubble(ink, 21.2, 18.8, 0.6);
    bubble(ink, 19.4, 20.8, 0.6);
    bubble(ink, 20.8, 22.2, 0.45);
    tapping_finger(ink, 24, 22);
}

/* The same, lower, and full. */
static void tap(Ink *ink)
{
    cairo_save(ink_cairo(ink));
    cairo_translate(ink_cairo(ink), 10, 0);
    cairo_scale(ink_cairo(ink), 0.58, 0.58);
    bubbles(ink, 0.85);
    cairo_restore(ink_cairo(ink));
}

/* The same while the needle is still in the vial. */
static void bubbles_back(Ink *ink)
{
    const SyringeSign syringe = {20, 14.6, 90, 0.45, 0.68, 9};
    shape_vial(ink, VIAL_MIXED, 0.35, TRUE, 14, 0, 0.8);
    shape_syringe(ink, &syringe);
    bubble(ink, 19.4, 27.6, 0.7);
    bubble(ink, 20.8, 28.4, 0.5);
    tapping_finger(ink, 23.4, 31);
}

/* The front of a syringe. */
static void syringe_front(Ink *ink, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, 33, y - 1.6, 4, 3.2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, 37, y - 5, 12, 10);
    ink_fill_water(ink);
    ink_stroke(ink);
    shape_break(ink, 49, y - 5, y + 5);
}

#define CHANGE_Y 26.0
#define TIP_Y 13.0

/* The cap turns off the bare tip. */
static void tip_off(Ink *ink)
{
    syringe_front(ink, TIP_Y);
    ink_rounded(ink, 13, TIP_Y - 2.8, 11, 5.6, 1);
    ink_fill_grey(ink, 0.78);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, 13, TIP_Y - 2.8, 11, 5.6, 1);
    ink_stroke(ink);
    for (int i = 0; i < 3; i++)
        ink_line(ink, 14.4, TIP_Y - 1.5 + i * 1.5, 22.6, TIP_Y - 1.5 + i * 1.5);
    shape_turn(ink, 18.5, TIP_Y + 9, 6, 0.1 * G_PI, 1.6 * G_PI);
    shape_arrow(ink, 24, TIP_Y - 8, 14, TIP_Y - 8);
}

/* Two fingers hold the hub, never the needle. */
static void needle_off(Ink *ink, const char *hub)
{
    ink_pen(ink, 0.5);
    ink_line(ink, 0.5, CHANGE_Y, 12, CHANGE_Y);
    shape_hub(ink, hub, 12, CHANGE_Y, 9, 1.2, 2.8, TRUE);
    syringe_front(ink, CHANGE_Y);
    finger(ink, 17, CHANGE_Y - 2.6, 0, 40);
    finger(ink, 17, CHANGE_Y + 2.6, 180, 40);
    shape_arrow(ink, 32, CHANGE_Y - 10, 23, CHANGE_Y - 10);
}

/* The needle is in its cap while it goes on. */
static void needle_on(Ink *ink, const char *hub)
{
    ink_pen(ink, 0.5);
    ink_line(ink, 2, CHANGE_Y, 12, CHANGE_Y);
    shape_hub(ink, hub, 14, CHANGE_Y, 9, 1.2, 2.8, FALSE);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, 0.2, CHANGE_Y - 2.6, 16, 5.2, INK_RADIUS);
    ink_stroke(ink);
    syringe_front(ink, CHANGE_Y);
    shape_arrow(ink, 23, CHANGE_Y - 10, 32, CHANGE_Y - 10);
}

/* What was drawn up stays in the syringe: it is held needle up. */
static void needle_change(Ink *ink, const FigureShape *shape)
{
    const SceneFigure *figure = &shape->scene;
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    if (!figure->level) {
        cairo_translate(cairo, SCENE_WIDTH / 2, 0);
        cairo_rotate(cairo, G_PI_2);
        cairo_scale(cairo, 0.86, 0.86);
        cairo_translate(cairo, 0, -CHANGE_Y);
    }
    if (shape->kind == FIGURE_NEEDLE_OFF)
        needle_off(ink, figure->needle.hub);
    else
        needle_on(ink, figure->needle.hub);
    cairo_restore(cairo);
}

/* ---- skin ---- */

#define SKIN_Y 29.0
#define FAT_DEEP 1.5
#define MUSCLE_DEEP 8.0

/* The upper edge of a layer; bump lifts its middle. */
static void layer_edge(cairo_t *cairo, double top, double lift, gboolean go_on)
{
    const Point edge[] = {{0, top},
                          {8, top},
                          {15, top - lift * 0.08},
                          {19.6, top - lift * 0.5},
                          {22, top - lift * 0.9},
                          {26, top - lift},
                          {30, top - lift * 0.9},
                          {32.4, top - lift * 0.5},
                          {37, top - lift * 0.08},
                          {44, top},
                          {SCENE_WIDTH, top}};
    shape_smooth(cairo, edge, G_N_ELEMENTS(edge), go_on);
}

/* Skin, fat and muscle with its fibres; the words are the caption's. */
static void layers(Ink *ink, double bump)
{
    cairo_t *cairo = ink_cairo(ink);
    static const double depth[] = {0, FAT_DEEP, MUSCLE_DEEP}, grey[] = {0.80, 0.96, 0.84},
                        share[] = {1, 1, 0.15};
    for (int layer = 0; layer < 3; layer++) {
        cairo_move_to(cairo, 0, SCENE_HEIGHT);
        layer_edge(cairo, SKIN_Y + depth[layer], bump * share[layer], TRUE);
        cairo_line_to(cairo, SCENE_WIDTH, SCENE_HEIGHT);
        cairo_close_path(cairo);
        ink_fill_grey(ink, grey[layer]);
    }
    ink_pen(ink, INK_FINE_LINE);
    for (int i = 0; i < 3; i++) {
        layer_edge(cairo, SKIN_Y + MUSCLE_DEEP + i * 2.4, bump * 0.15, FALSE);
        ink_stroke(ink);
    }
    ink_pen(ink, INK_OUTLINE);
    layer_edge(cairo, SKIN_Y, bump, FALSE);
    ink_stroke(ink);
}

static void stretch(Ink *ink)
{
    layers(ink, 0);
    two_fingers(ink, 16, 36, SKIN_Y + 0.6, 16);
    shape_arrow(ink, 11.5, SKIN_Y - 4, 2.5, SKIN_Y - 4);
    shape_arrow(ink, 40.5, SKIN_Y - 4, 49.5, SKIN_Y - 4);
}

/* Thumb and finger of one hand on the sides of the fold, the tips at x and as far right of the middle. */
static void one_hand(Ink *ink, double x, double tip)
{
    const double left = x - 0.8, right = SCENE_WIDTH - left, knuckle = tip - 19;
    const Limb hand[] = {{{left, tip}, {left - 5, tip - 8.5}, 5.4},
                         {{left - 5, tip - 8.5}, {left + 2.4, knuckle}, 6.4},
                         {{right, tip}, {right + 5.4, tip - 8.5}, 5.4},
                         {{right + 5.4, tip - 8.5}, {right - 1.4, knuckle}, 6.4},
                         {{left + 3.4, knuckle - 1}, {right - 2.4, knuckle - 1}, 9},
                         {{left + 5, knuckle - 3}, {right + 20, knuckle - 24}, 10},
                         {{right - 2.4, knuckle - 1}, {right + 22, knuckle - 20}, 9}};
    shape_limbs(ink, hand, G_N_ELEMENTS(hand), 1);
    ink_pen(ink, INK_FINE_LINE); /* nails */
    cairo_t *cairo = ink_cairo(ink);
    cairo_arc(cairo, left - 1, tip - 0.4, 1.5, 0.65 * G_PI, 1.35 * G_PI);
    ink_stroke(ink);
    cairo_arc(cairo, right + 1, tip - 0.4, 1.5, -0.35 * G_PI, 0.35 * G_PI);
    ink_stroke(ink);
}

static void pinch(Ink *ink)
{
    layers(ink, 13);
    one_hand(ink, 18.6, SKIN_Y - 5);
}

/* The true angle to the skin; the needle ends in the layer that is meant. */
static void angle(Ink *ink, const FigureShape *shape)
{
    const SceneFigure *figure = &shape->scene;
    cairo_t *cairo = ink_cairo(ink);
    double lean = (double)figure->angle * G_PI / 180, unit = 0.84;
    double deep = figure->muscle ? MUSCLE_DEEP + 3 : FAT_DEEP + 3;
    double needle = deep / sin(lean) + 0.6, entry = figure->angle < 75 && figure->muscle ? 18 : 26;
    double fold = figure->muscle ? 0 : 9, skin = SKIN_Y - fold;
    const SyringeSign syringe = {
        entry - deep / tan(lean), skin + deep, -(double)figure->angle, 0.5, unit, needle / unit};
    layers(ink, fold);
    if (fold > 0) /* held until the needle is out */
        one_hand(ink, 17.8, SKIN_Y - 3.4);
    ink_pen(ink, INK_OUTLINE);
    cairo_new_sub_path(cairo);
    cairo_arc_negative(cairo, entry, skin, fold > 0 ? 7.5 : 11, 0, -lean);
    ink_stroke(ink);
    const PenSign pen = {syringe.x, syringe.y, syringe.degrees, unit, syringe.needle, figure->needle.hub, FALSE, TRUE};
    if (figure->pen)
        shape_pen(ink, &pen);
    else
        shape_syringe(ink, &syringe);
}

/* The elbow rests against the outer corner of a wall. */
static void steady(Ink *ink)
{
    cairo_t *cairo = ink_cairo(ink);
    static const Limb body[] = {{{17, 7}, {17, 8}, 10.5},        {{17, 12}, {17, 20}, 5},
                                {{13, 21.6}, {21, 21.6}, 9},     {{17, 24}, {17, 60}, 13},
                                {{9.5, 21.4}, {5.4, 34}, 6},     {{5.4, 34}, {5.4, 50}, 5.2},
                                {{25.5, 21.5}, {35.2, 33}, 6.4}, {{35.2, 33}, {24, 42}, 5.2}};
    cairo_rectangle(cairo, 38.6, 0, 6, SCENE_HEIGHT);
    ink_fill_grey(ink, 0.86);
    cairo_rectangle(cairo, 44.6, 0, SCENE_WIDTH - 44.6, SCENE_HEIGHT);
    ink_fill_tint(ink);
    ink_pen(ink, INK_STRONG);
    ink_line(ink, 38.6, 0, 38.6, SCENE_HEIGHT);
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, 44.6, 0, 44.6, SCENE_HEIGHT);
    shape_limbs(ink, body, G_N_ELEMENTS(body), 1);
    shape_target(ink, 30, 26.8);
}

static void sharps(Ink *ink)
{
    const SyringeSign used = {26, 21, -90, 0, 0.66, 8};
    shape_syringe(ink, &used); /* needle first */
    shape_sharps(ink, 9.2, 2, 1.4);
    shape_arrow(ink, 36, 2, 36, 10);
}

typedef void (*Sketch)(Ink *ink, const FigureShape *shape);

#define SKETCH(name, call)                                        \
    static void sketch_of_##name(Ink *ink, const FigureShape *shape) \
    {                                                             \
        (void)shape;                                              \
        call;                                                     \
    }
SKETCH(push_into, push_into(ink))
SKETCH(swirl, swirl(ink))
SKETCH(bubbles_up, bubbles(ink, 0.55))
SKETCH(bubbles_back, bubbles_back(ink))
SKETCH(stretch, stretch(ink))
SKETCH(pinch, pinch(ink))
SKETCH(steady, steady(ink))
SKETCH(sharps, sharps(ink))
SKETCH(pen_cartridge, sketch_pen_cartridge(ink))
SKETCH(pen_needle, sketch_pen_needle(ink, shape->scene.needle.hub))
SKETCH(pen_caps, sketch_pen_caps(ink, shape->scene.needle.hub))
SKETCH(pen_inner, sketch_pen_inner(ink, shape->scene.needle.hub))
SKETCH(tip_off, tip_off(ink))
SKETCH(tap, tap(ink))
SKETCH(pen_drop, sketch_pen_drop(ink, shape->scene.needle.hub))
SKETCH(pen_off, sketch_pen_off(ink, shape->scene.needle.hub))

static const Sketch sketches[FIGURE_COUNT] = {
    [FIGURE_PUSH_INTO] = sketch_of_push_into,
    [FIGURE_SWIRL] = sketch_of_swirl,
    [FIGURE_BUBBLES] = sketch_of_bubbles_up,
    [FIGURE_BUBBLES_BACK] = sketch_of_bubbles_back,
    [FIGURE_NEEDLE_OFF] = needle_change,
    [FIGURE_NEEDLE_ON] = needle_change,
    [FIGURE_STRETCH] = sketch_of_stretch,
    [FIGURE_PINCH] = sketch_of_pinch,
    [FIGURE_ANGLE] = angle,
    [FIGURE_STEADY] = sketch_of_steady,
    [FIGURE_SHARPS] = sketch_of_sharps,
    [FIGURE_PEN_CARTRIDGE] = sketch_of_pen_cartridge,
    [FIGURE_PEN_NEEDLE] = sketch_of_pen_needle,
    [FIGURE_PEN_CAPS] = sketch_of_pen_caps,
    [FIGURE_PEN_INNER] = sketch_of_pen_inner,
    [FIGURE_TIP_OFF] = sketch_of_tip_off,
    [FIGURE_TAP] = sketch_of_tap,
    [FIGURE_PEN_DROP] = sketch_of_pen_drop,
    [FIGURE_PEN_OFF] = sketch_of_pen_off,
};

void sketch_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    cairo_t *cairo = ink_cairo(ink);
    double height = sketch_height(shape->kind), scale = room.width / SCENE_WIDTH;
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, scale, scale);
    cairo_rectangle(cairo, -0.5, -0.5, SCENE_WIDTH + 1, height + 1);
    cairo_clip(cairo);
    sketches[shape->kind](ink, shape);
    shape_end_frame(ink, -0.5, -0.5, SCENE_WIDTH + 1, height + 1);
    cairo_restore(cairo);
}

/* ---- like this, not like this ---- */

#define PAIR_GAP 42.0
#define PAIR_PICTURE 34.0

#define PAIR_LOW 25.0
#define LOW_UP 4.6 /* what is drawn about the middle of a high picture moves up */

static gboolean pair_is_low(FigureKind kind) { return kind == FIGURE_PAIR_PLUNGER || kind == FIGURE_PAIR_BUTTON; }

static double pair_height(FigureKind kind) { return pair_is_low(kind) ? PAIR_LOW : PAIR_PICTURE; }

FigureSize pair_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink;
    return (FigureSize){room.width, (pair_height(shape->kind) + 10) * (room.width / (2 * PAIR_GAP))};
}

static void powder_picture(Ink *ink, gboolean good)
{
    static const Point lumps[] = {{15.6, 24}, {21, 22.6}, {23.4, 25}};
    cairo_t *cairo = ink_cairo(ink);
    shape_vial(ink, VIAL_MIXED, 0.55, FALSE, 12, 2.6, 1);
    if (good)
        return;
    ink_rounded(ink, 12.8, 27, 13.4, 5, 1.3);
    ink_fill_powder(ink);
    ink_pen(ink, INK_FINE_LINE);
    ink_stroke(ink);
    for (gsize i = 0; i < G_N_ELEMENTS(lumps); i++) {
        cairo_arc(cairo, lumps[i].x, lumps[i].y, 1.1, 0, 2 * G_PI);
        ink_fill_powder(ink);
        ink_stroke(ink);
    }
}

/* The needle's tip below or above the surface. */
static void air_gap_picture(Ink *ink, gboolean good)
{
    double tip = good ? 16.4 : 6.4, unit = 0.7;
    const SyringeSign syringe = {19.5, tip, 90, 0.45, unit, (22.8 - tip) / unit};
    shape_vial(ink, VIAL_MIXED, 0.3, TRUE, 13.1, 0, 0.85);
    shape_syringe(ink, &syringe);
    if (good)
        return;
    bubble(ink, 18.9, 29.6, 0.8);
    bubble(ink, 20.4, 31, 0.5);
}

/* The needle in the skin; the plunger or a pen's button wholly in, or not. */
static void in_skin_picture(Ink *ink, FigureKind kind, gboolean good)
{
    cairo_t *cairo = ink_cairo(ink);
    static const Point skin[] = {{5.6, 5}, {6.2, 11}, {6.4, 17}, {6.2, 23}, {5.6, 29}};
    const SyringeSign syringe = {1.5, 17, 0, good ? 0 : 0.5, 0.92, 6};
    shape_smooth(cairo, skin, G_N_ELEMENTS(skin), FALSE);
    cairo_line_to(cairo, 0, 29);
    cairo_line_to(cairo, 0, 5);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0.88);
    ink_pen(ink, INK_OUTLINE);
    shape_curve(ink, skin, G_N_ELEMENTS(skin));
    if (kind == FIGURE_PAIR_BUTTON)
        pair_pen_button(ink, good);
    else
        shape_syringe(ink, &syringe);
}

/* The wrong one is crossed out behind the thing, which must stay to be seen, where there is room. */
static void pair_picture(Ink *ink, const FigureShape *shape, gboolean good, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    double height = pair_height(shape->kind);
    cairo_rectangle(cairo, -0.5, -0.5, PAIR_GAP, height + 0.5);
    cairo_clip(cairo);
    if (!good && !pair_is_low(shape->kind))
        shape_cross(ink, 2, 1, 35, height - 2);
    cairo_save(cairo);
    cairo_translate(cairo, 0, pair_is_low(shape->kind) ? -LOW_UP : 0);
    if (shape->kind == FIGURE_PAIR_POWDER)
        powder_picture(ink, good);
    else if (shape->kind == FIGURE_PAIR_AIR_GAP)
        air_gap_picture(ink, good);
    else
        in_skin_picture(ink, shape->kind, good);
    cairo_restore(cairo);
    if (!good && pair_is_low(shape->kind)) /* behind what fills the picture nobody would see it */
        shape_cross(ink, 3, 1, 33, height - 2);
    if (shape->kind == FIGURE_PAIR_BUTTON) {
        cairo_translate(cairo, 0, -LOW_UP);
        pair_pen_window(ink, shape->pair.number, good);
        cairo_translate(cairo, 0, LOW_UP);
    }
    shape_end_frame(ink, -0.5, -0.5, PAIR_GAP, height + 0.5);
    cairo_restore(cairo);
}

void pair_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    InkStyle bold = {.size = PAIR_TYPE, .bold = TRUE};
    double words = pair_height(shape->kind) + 7, scale = room.width / (2 * PAIR_GAP);
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, scale, scale);
    pair_picture(ink, shape, TRUE, 0, 0);
    pair_picture(ink, shape, FALSE, PAIR_GAP, 0);
    shape_tick(ink, 0.5, words - 4.6);
    ink_label(ink, bold, shape->pair.good, 8.8, words);
    shape_cross(ink, PAIR_GAP + 0.5, words - 4.3, 4, 4);
    ink_label(ink, bold, shape->pair.bad, PAIR_GAP + 7, words);
    cairo_restore(cairo);
}
