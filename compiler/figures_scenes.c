/* figures_scenes: pictures of doing, sites on the body, like this / not like this. */
#include <math.h>

#include "figures_parts.h"

#define SCENE_WIDTH 52.0
#define SCENE_HEIGHT 44.0

FigureSize figure_scene_size(const SceneFigure *figure)
{
    (void)figure;
    return (FigureSize){SCENE_WIDTH, SCENE_HEIGHT};
}

/* ---- vials and syringe ---- */

static void push_into(Ink *ink, double x, double y)
{
    shape_vial(ink, VIAL_POWDER, 0.3, FALSE, x + 8, y + 14, 1);
    shape_syringe(ink, x + 13, y + 27, -68, 0.3, 34);
    shape_arrow(ink, x + 38, y + 4, x + 35, y + 12);
}

static void swirl(Ink *ink, double x, double y)
{
    shape_vial(ink, VIAL_MIXED, 0.5, FALSE, x + 18, y + 8, 1);
    shape_turn(ink, x + 25.5, y + 40, 14, 2.6, 6.9);
}

static void draw_back(Ink *ink, double x, double y)
{
    shape_vial(ink, VIAL_MIXED, 0.35, TRUE, x + 10, y, 0.8);
    shape_syringe(ink, x + 16, y + 18, 90, 0.5, 26);
    shape_arrow(ink, x + 26, y + 34, x + 26, y + 42);
}

static void bubbles(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    shape_syringe(ink, x + 22, y + 1, 90, 0.75, 42);
    for (int i = 0; i < 3; i++) {
        ink_pen(ink, INK_FINE_LINE);
        cairo_arc(cairo, x + 21 + i * 1.1, y + 17.5 + (i % 2) * 1.6, 0.7, 0, 2 * G_PI);
        ink_fill_white_and_stroke(ink);
    }
    shape_arrow(ink, x + 38, y + 24, x + 28, y + 22);
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, x + 40, y + 20, x + 43, y + 19);
    ink_line(ink, x + 40, y + 28, x + 43, y + 29);
}

static void change_needle(Ink *ink, double x, double y)
{
    figure_thing_draw(ink, THING_NEEDLE, "white", x - 1, y + 4);
    shape_arrow(ink, x + 28, y + 16, x + 17, y + 10);
    figure_thing_draw(ink, THING_NEEDLE, "medium grey", x - 1, y + 24);
    shape_arrow(ink, x + 17, y + 29, x + 28, y + 27);
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(cairo, x + 33, y + 16, 19, 10);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + 28.6, y + 19.4, 4.4, 3.2);
    ink_fill_white_and_stroke(ink);
    cairo_rectangle(cairo, x + 33.3, y + 16.3, 8, 9.4);
    ink_fill_water(ink);
    cairo_new_path(cairo);
}

/* ---- skin ---- */

#define SKIN_Y 26.0

/* Skin, fat and muscle as three bands; the words are the caption's. */
static void layers(Ink *ink, double x, double y, double bump)
{
    cairo_t *cairo = ink_cairo(ink);
    for (int layer = 0; layer < 3; layer++) {
        static const double depth[] = {0, 2, 10};
        static const double grey[] = {0.85, 0.96, 0.78};
        double top = y + SKIN_Y + depth[layer], lift = layer < 2 ? bump : bump * 0.25;
        cairo_move_to(cairo, x, y + SCENE_HEIGHT);
        cairo_line_to(cairo, x, top);
        cairo_curve_to(cairo, x + 14, top, x + 16, top - lift, x + 26, top - lift);
        cairo_curve_to(cairo, x + 36, top - lift, x + 38, top, x + 52, top);
        cairo_line_to(cairo, x + 52, y + SCENE_HEIGHT);
        cairo_close_path(cairo);
        ink_fill_grey(ink, grey[layer]);
    }
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, x, y + SKIN_Y);
    cairo_curve_to(cairo, x + 14, y + SKIN_Y, x + 16, y + SKIN_Y - bump, x + 26, y + SKIN_Y - bump);
    cairo_curve_to(cairo, x + 36, y + SKIN_Y - bump, x + 38, y + SKIN_Y, x + 52, y + SKIN_Y);
    ink_stroke(ink);
}

/* A finger or thumb as a rounded shape whose tip is at (x, y). */
static void finger(Ink *ink, double x, double y, double degrees)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_rotate(cairo, degrees * G_PI / 180);
    ink_pen(ink, INK_OUTLINE);
    ink_rounded(ink, -2.8, -16, 5.6, 16, 2.8);
    ink_fill_white_and_stroke(ink);
    cairo_arc(cairo, 0, -2.4, 1.5, G_PI * 0.1, G_PI * 0.9);
    ink_stroke(ink);
    cairo_restore(cairo);
}

static void stretch(Ink *ink, double x, double y)
{
    layers(ink, x, y, 0);
    finger(ink, x + 17, y + SKIN_Y, 14);
    finger(ink, x + 35, y + SKIN_Y, -14);
    shape_arrow(ink, x + 13, y + SKIN_Y - 8, x + 5, y + SKIN_Y - 8);
    shape_arrow(ink, x + 39, y + SKIN_Y - 8, x + 47, y + SKIN_Y - 8);
}

static void pinch(Ink *ink, double x, double y)
{
    layers(ink, x, y, 9);
    finger(ink, x + 15.5, y + SKIN_Y - 4, -32);
    finger(ink, x + 36.5, y + SKIN_Y - 4, 32);
}

static void angle(Ink *ink, const SceneFigure *figure, double x, double y)
{
    layers(ink, x, y, 0);
    double lean = figure->angle * G_PI / 180;
    double depth = figure->muscle ? 14 : 7;
    double entry = x + 24, tip_x = entry - depth * cos(lean), tip_y = y + SKIN_Y + depth * sin(lean);
    shape_syringe(ink, tip_x, tip_y, -(double)figure->angle, 0.5, 40);
    ink_pen(ink, INK_FINE_LINE);
    cairo_new_sub_path(ink_cairo(ink));
    cairo_arc_negative(ink_cairo(ink), entry, y + SKIN_Y, 10, 0, -lean);
    ink_stroke(ink);
}

static void steady(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_STRONG);
    cairo_move_to(cairo, x + 40, y);
    cairo_line_to(cairo, x + 40, y + 20);
    cairo_line_to(cairo, x + 52, y + 20);
    ink_stroke(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_arc(cairo, x + 20, y + 8, 5.5, 0, 2 * G_PI);
    ink_fill_white_and_stroke(ink);
    cairo_move_to(cairo, x + 14, y + 44);
    cairo_curve_to(cairo, x + 9, y + 30, x + 8, y + 18, x + 16, y + 15.5);
    cairo_line_to(cairo, x + 25, y + 15.5);
    cairo_curve_to(cairo, x + 34, y + 16, x + 38, y + 18, x + 39.4, y + 22);
    cairo_line_to(cairo, x + 38, y + 32);
    cairo_line_to(cairo, x + 33, y + 31.6);
    cairo_line_to(cairo, x + 32.6, y + 24);
    cairo_curve_to(cairo, x + 30, y + 26, x + 29, y + 36, x + 29, y + 44);
    ink_fill_white_and_stroke(ink);
    shape_target(ink, x + 34, y + 20.4);
}

static void sharps(Ink *ink, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x + 8, y + 8);
    cairo_scale(cairo, 1.4, 1.4);
    figure_thing_draw(ink, THING_SHARPS, NULL, 0, 0);
    cairo_restore(cairo);
    shape_arrow(ink, x + 40, y + 2, x + 34, y + 9);
}

void figure_scene_draw(Ink *ink, const SceneFigure *figure, double x, double y)
{
    switch (figure->kind) {
    case SCENE_PUSH_INTO: push_into(ink, x, y); break;
    case SCENE_SWIRL: swirl(ink, x, y); break;
    case SCENE_DRAW_BACK: draw_back(ink, x, y); break;
    case SCENE_BUBBLES: bubbles(ink, x, y); break;
    case SCENE_CHANGE_NEEDLE: change_needle(ink, x, y); break;
    case SCENE_STRETCH: stretch(ink, x, y); break;
    case SCENE_PINCH: pinch(ink, x, y); break;
    case SCENE_ANGLE: angle(ink, figure, x, y); break;
    case SCENE_STEADY: steady(ink, x, y); break;
    case SCENE_SHARPS: sharps(ink, x, y); break;
    }
}

/* ---- sites ---- */

FigureSize figure_site_size(const SiteFigure *figure)
{
    (void)figure;
    return (FigureSize){60, 56};
}

static void outline(Ink *ink, const double (*points)[6], gsize count, double start_x, double start_y)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_move_to(cairo, start_x, start_y);
    for (gsize i = 0; i < count; i++)
        cairo_curve_to(cairo, points[i][0], points[i][1], points[i][2], points[i][3], points[i][4], points[i][5]);
    ink_fill_white_and_stroke(ink);
}

/* The trunk from the waist to the knees, seen from the side. */
static void side_view(Ink *ink)
{
    static const double body[][6] = {
        {17, 8, 13, 16, 13, 24}, {13, 34, 16, 44, 18, 56}, {24, 56, 30, 56, 34, 56},
        {36, 46, 43, 38, 43, 27}, {43, 18, 37, 10, 36, 0}};
    outline(ink, body, G_N_ELEMENTS(body), 20, 0);
}

static void ventrogluteal(Ink *ink)
{
    cairo_t *cairo = ink_cairo(ink);
    side_view(ink);
    ink_pen(ink, INK_FINE_LINE);
    cairo_move_to(cairo, 17, 13); /* crest of the hip bone */
    cairo_curve_to(cairo, 22, 8, 32, 8, 39, 13);
    ink_stroke(ink);
    cairo_arc(cairo, 28, 30, 1.6, 0, 2 * G_PI); /* outer knob of the thigh bone */
    ink_stroke(ink);
    cairo_arc(cairo, 18.6, 15, 1.2, 0, 2 * G_PI); /* front corner of the hip bone */
    ink_stroke(ink);
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, 28, 28, 19.4, 15.6);
    ink_line(ink, 28, 28, 32, 10.6);
    shape_target(ink, 26, 18.6);
}

static void back_view(Ink *ink)
{
    static const double body[][6] = {
        {14, 10, 9, 16, 9, 27}, {9, 38, 13, 46, 13, 56}, {20, 56, 24, 56, 27, 56},
        {28, 50, 28, 46, 29, 40}, {30, 46, 30, 50, 31, 56}, {34, 56, 40, 56, 45, 56},
        {45, 46, 49, 38, 49, 27}, {49, 16, 44, 10, 43, 0}};
    outline(ink, body, G_N_ELEMENTS(body), 15, 0);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, 29, 20, 29, 40);
}

static void dorsogluteal(Ink *ink)
{
    back_view(ink);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, 29, 27, 48.5, 27);
    ink_line(ink, 39, 15, 39, 40);
    shape_target(ink, 43.5, 21);
}

static void deltoid(Ink *ink)
{
    static const double arm[][6] = {
        {24, 2, 37, 4, 41, 14}, {44, 24, 43, 40, 42, 56}, {36, 56, 32, 56, 28, 56},
        {29, 46, 28, 38, 26, 30}, {22, 26, 14, 20, 10, 18}};
    outline(ink, arm, G_N_ELEMENTS(arm), 10, 6);
    ink_pen(ink, INK_FINE_LINE);
    for (int i = 0; i < 3; i++) { /* three fingers below the tip of the shoulder */
        ink_rounded(ink, 31, 8 + i * 4.4, 12, 4.2, 2);
        ink_fill_white_and_stroke(ink);
    }
    shape_target(ink, 36, 26);
}

static void thigh(Ink *ink)
{
    static const double leg[][6] = {
        {18, 6, 17, 12, 17, 20}, {17, 32, 21, 44, 22, 56}, {27, 56, 31, 56, 35, 56},
        {38, 44, 44, 30, 43, 18}, {43, 10, 41, 4, 40, 0}};
    outline(ink, leg, G_N_ELEMENTS(leg), 19, 0);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, 17.2, 18, 43, 18);
    ink_line(ink, 20, 38, 39.6, 38);
    shape_target(ink, 23.5, 28);
}

static void abdomen(Ink *ink)
{
    cairo_t *cairo = ink_cairo(ink);
    static const double trunk[][6] = {
        {15, 12, 16, 20, 13, 30}, {9, 38, 8, 46, 9, 56}, {20, 56, 40, 56, 51, 56},
        {52, 46, 51, 38, 47, 30}, {44, 20, 45, 12, 47, 0}};
    outline(ink, trunk, G_N_ELEMENTS(trunk), 13, 0);
    cairo_arc(cairo, 30, 32, 15, 0, 2 * G_PI);
    ink_fill_grey(ink, 0.88);
    cairo_arc(cairo, 30, 32, 7, 0, 2 * G_PI);
    ink_pen(ink, INK_OUTLINE);
    ink_fill_white_and_stroke(ink);
    cairo_save(cairo);
    cairo_translate(cairo, 30, 32);
    cairo_scale(cairo, 0.7, 1);
    cairo_arc(cairo, 0, 0, 1.3, 0, 2 * G_PI);
    cairo_restore(cairo);
    ink_stroke(ink);
    shape_target(ink, 41, 33);
}

void figure_site_draw(Ink *ink, const SiteFigure *figure, double x, double y)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    ink_pen(ink, INK_OUTLINE);
    switch ((int)figure->site) {
    case Site_VENTROGLUTEAL: ventrogluteal(ink); break;
    case Site_DORSOGLUTEAL: dorsogluteal(ink); break;
    case Site_DELTOID: deltoid(ink); break;
    case Site_THIGH: thigh(ink); break;
    default: abdomen(ink); break;
    }
    cairo_restore(cairo);
}

/* ---- like this, not like this ---- */

#define PAIR_GAP 42.0
#define PAIR_PICTURE 34.0

FigureSize figure_pair_size(const PairFigure *figure)
{
    (void)figure;
    return (FigureSize){2 * PAIR_GAP, PAIR_PICTURE + 10};
}

static void pair_picture(Ink *ink, PairKind kind, gboolean good, double x, double y)
{
    if (kind == PAIR_POWDER) {
        shape_vial(ink, VIAL_MIXED, 0.5, FALSE, x + 8, y + 2, 1);
        if (!good) {
            cairo_rectangle(ink_cairo(ink), x + 9, y + 26.6, 13, 4.6);
            ink_fill_powder(ink);
            cairo_new_path(ink_cairo(ink));
        }
    } else if (kind == PAIR_AIR_GAP) {
        shape_vial(ink, VIAL_MIXED, 0.25, TRUE, x + 9, y, 0.85);
        shape_syringe(ink, x + 15.4, y + (good ? 17.6 : 9), 90, 0.5, good ? 18 : 26);
    } else {
        shape_syringe(ink, x, y + 16, 0, good ? 0 : 0.5, 34);
    }
}

void figure_pair_draw(Ink *ink, const PairFigure *figure, double x, double y)
{
    InkStyle bold = {.size = 16, .bold = TRUE}; /* the page draws pairs smaller */
    pair_picture(ink, figure->kind, TRUE, x, y);
    pair_picture(ink, figure->kind, FALSE, x + PAIR_GAP, y);
    shape_cross(ink, x + PAIR_GAP + 1, y + 3, 30, 29);
    shape_tick(ink, x, y + PAIR_PICTURE + 2);
    ink_label(ink, bold, figure->good, x + 8, y + PAIR_PICTURE + 6.5);
    shape_cross(ink, x + PAIR_GAP, y + PAIR_PICTURE + 2.4, 4, 4);
    ink_label(ink, bold, figure->bad, x + PAIR_GAP + 6.5, y + PAIR_PICTURE + 6.5);
}
