/* sketch_sites: where on the body.  A small person shows the place, the large
 * drawing how to find it: by hand, as it is taught; distances are not to scale. */
#include "drawing/parts.h"

#define SITE_WIDTH 60.0
#define SITE_HEIGHT 56.0
#define BODY_LEFT 14.0 /* the large drawing stands right of this, 46 wide */
#define BODY_WIDTH 46.0

FigureSize site_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)shape, (void)room;
    return (FigureSize){SITE_WIDTH, SITE_HEIGHT};
}

/* ---- bodies ---- */

#define CURVE(points) points, G_N_ELEMENTS(points)

/* White between a left and a right contour, both from above; then the two lines. */
static void trunk(Ink *ink, const Point *left, gsize left_count, const Point *right,
                  gsize right_count)
{
    cairo_t *cairo = ink_cairo(ink);
    g_autofree Point *back = g_new(Point, right_count);
    for (gsize i = 0; i < right_count; i++)
        back[i] = right[right_count - 1 - i];
    shape_smooth(cairo, left, left_count, FALSE);
    shape_smooth(cairo, back, right_count, TRUE);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 1);
    ink_pen(ink, INK_OUTLINE);
    shape_curve(ink, left, left_count);
    shape_curve(ink, right, right_count);
}

/* Draws the same on the other side of the body's middle line. */
static void mirrored(Ink *ink, const Point *points, gsize count)
{
    g_autofree Point *other = g_new(Point, count);
    for (gsize i = 0; i < count; i++)
        other[i] = (Point){BODY_WIDTH - points[i].x, points[i].y};
    ink_pen(ink, INK_OUTLINE);
    shape_curve(ink, points, count);
    shape_curve(ink, other, count);
}

static void symmetric_trunk(Ink *ink, const Point *left, gsize count)
{
    g_autofree Point *right = g_new(Point, count);
    for (gsize i = 0; i < count; i++)
        right[i] = (Point){BODY_WIDTH - left[i].x, left[i].y};
    trunk(ink, left, count, right, count);
}

/* The side of the hip: the heel of the hand on the knob of the thigh bone, the first
 * finger on the front corner of the hip bone, the others apart; the spot is between. */
static void ventrogluteal(Ink *ink)
{
    static const Point front[] = {{12, 0},    {10.5, 7}, {8, 14},  {8.2, 21},
                                  {10.4, 27}, {10, 36},  {11, 46}, {12.5, 56}};
    static const Point back[] = {{33, 0},  {32.4, 5},  {34.6, 11}, {39.6, 18}, {42.4, 26},
                                 {41, 33}, {36, 38.6}, {34.4, 45}, {33, 56}};
    static const Point fold[] = {{36, 38.6}, {33, 39.6}, {30.6, 39}};
    static const Point crest[] = {{12.5, 18}, {16, 11.6}, {23, 8.6}, {30, 9.6}, {35.6, 13.4}};
    static const Limb hand[] = {{{26.5, 37}, {37, 60}, 8},       {{26, 34}, {25.4, 29.5}, 11.5},
                                {{22, 27.6}, {14.2, 17.6}, 3.4}, {{26, 26}, {27.4, 11.6}, 3.4},
                                {{29, 27}, {32, 14}, 3.4},       {{30.6, 30}, {35.4, 19}, 3},
                                {{21.6, 34}, {14.6, 30.6}, 3.8}};
    trunk(ink, CURVE(front), CURVE(back));
    shape_curve(ink, CURVE(fold));
    ink_pen(ink, INK_FINE_LINE);
    shape_curve(ink, CURVE(crest));
    shape_limbs(ink, CURVE(hand), 1);
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, 28.4, 25.4, 29.6, 17); /* between the fingers that lie together */
    shape_target(ink, 21.2, 18.2);
}

/* The buttock in quarters; the upper outer one. */
static void dorsogluteal(Ink *ink)
{
    static const Point side[] = {{9, 0},    {8.6, 6},  {6, 13}, {3.4, 22},
                                 {3.2, 30}, {5.4, 39}, {7, 48}, {8, 56}};
    static const Point inner[] = {{22.3, 40}, {21.4, 46}, {20.4, 56}};
    static const Point under[] = {{22.8, 38}, {20, 41}, {14.6, 41.4}, {9.4, 38.6}};
    static const Point cleft[] = {{23, 21}, {22.6, 28}, {23, 38}};
    cairo_t *cairo = ink_cairo(ink);
    symmetric_trunk(ink, CURVE(side));
    cairo_save(cairo);
    shape_smooth(cairo, CURVE(side), FALSE);
    cairo_line_to(cairo, 13, 56);
    cairo_line_to(cairo, 13, 0);
    cairo_clip(cairo);
    cairo_rectangle(cairo, 0, 13, 13, 14);
    ink_fill_grey(ink, 0.88);
    cairo_restore(cairo);
    mirrored(ink, CURVE(side));
    mirrored(ink, CURVE(inner));
    mirrored(ink, CURVE(under));
    shape_curve(ink, CURVE(cleft));
    shape_dashed(ink, 3.4, 27, 22.6, 27);
    shape_dashed(ink, 13, 13, 13, 41);
    shape_target(ink, 8.6, 20.4);
}

/* Three fingers below the tip of the shoulder, above the line of the armpit. */
static void deltoid(Ink *ink)
{
    static const Point outer[] = {{10, 0},    {10.4, 5},  {15, 8.6},  {24, 10}, {31, 13},
                                  {35.4, 20}, {36.6, 28}, {35.4, 37}, {34, 46}, {33.4, 56}};
    static const Point inner[] = {{20, 34}, {21.6, 40}, {22, 48}, {22, 56}};
    static const Point chest[] = {{20, 34}, {18.4, 42}, {18, 56}};
    cairo_t *cairo = ink_cairo(ink);
    shape_smooth(cairo, CURVE(outer), FALSE);
    cairo_line_to(cairo, 0, 56);
    cairo_line_to(cairo, 0, 0);
    cairo_close_path(cairo);
    ink_fill_grey(ink, 1);
    ink_pen(ink, INK_OUTLINE);
    shape_curve(ink, CURVE(outer));
    shape_curve(ink, CURVE(inner));
    shape_curve(ink, CURVE(chest));
    for (int i = 0; i < 3; i++) {
        const Limb finger = {{25.4, 13.4 + i * 3.6}, {52, 12.4 + i * 3.6}, 3.6};
        shape_limbs(ink, &finger, 1, 1);
    }
    shape_dashed(ink, 20, 34, 36, 34);
    shape_target(ink, 29.4, 27.6);
}

/* A hand below the hip and a hand above the knee; between them, the outer half. */
static void thigh(Ink *ink)
{
    static const Point outer[] = {{4, 0},    {2.6, 9},  {3.8, 20}, {6.8, 32},
                                  {8.4, 41}, {7.4, 47}, {7.6, 56}};
    static const Point inner[] = {{22.6, 9},  {22, 18},   {20, 31},
                                  {18.2, 41}, {18.6, 47}, {17.2, 56}};
    static const Point knee[] = {{10.4, 42}, {12, 45}, {15, 45}, {16.4, 42.4}};
    static const Point groin[] = {{5, 3}, {13, 6.4}, {22.6, 9}};
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    shape_smooth(cairo, CURVE(outer), FALSE);
    cairo_line_to(cairo, 13, 56);
    cairo_line_to(cairo, 13, 0);
    cairo_clip(cairo);
    cairo_rectangle(cairo, 0, 16, 13, 17);
    ink_fill_grey(ink, 0.88);
    cairo_restore(cairo);
    mirrored(ink, CURVE(outer));
    mirrored(ink, CURVE(inner));
    mirrored(ink, CURVE(knee));
    mirrored(ink, CURVE(groin));
    shape_dashed(ink, 3, 16, 22, 16);
    shape_dashed(ink, 7, 33, 19.6, 33);
    shape_target(ink, 9, 24.4);
}

/* Two fingers away from the navel, all round it. */
static void abdomen(Ink *ink)
{
    static const Point side[] = {{7, 0},    {7.4, 8},  {6.2, 16}, {3.6, 26},
                                 {2.2, 36}, {2.8, 46}, {4, 56}};
    static const Point groin[] = {{3.6, 41}, {10, 47}, {17, 51.6}, {21, 53}};
    static const Limb hand[] = {{{32, 48}, {38, 62}, 13},
                                {{26.2, 21.4}, {27.2, 42}, 3.5},
                                {{29.7, 20.6}, {30.7, 42}, 3.5},
                                {{35.6, 34.6}, {35.6, 44}, 3.4}};
    cairo_t *cairo = ink_cairo(ink);
    const double dash = ink_on_paper(ink, 1.4);
    symmetric_trunk(ink, CURVE(side));
    ink_rounded(ink, 7.4, 12.5, 31.2, 24, 11.6);
    ink_fill_grey(ink, 0.90);
    ink_pen(ink, INK_FINE_LINE); /* a copy may lose the tone */
    ink_rounded(ink, 7.4, 12.5, 31.2, 24, 11.6);
    ink_stroke(ink);
    cairo_arc(cairo, 23, 24.5, 8.7, 0, 2 * G_PI);
    ink_fill_grey(ink, 1);
    ink_pen(ink, INK_OUTLINE);
    cairo_set_dash(cairo, &dash, 1, 0);
    cairo_arc(cairo, 23, 24.5, 8.7, 0, 2 * G_PI);
    ink_stroke(ink);
    cairo_set_dash(cairo, NULL, 0, 0);
    mirrored(ink, CURVE(groin));
    ink_pen(ink, INK_OUTLINE);
    cairo_move_to(cairo, 23, 22.8);
    cairo_curve_to(cairo, 24.4, 23.4, 24.4, 25.6, 23, 26.2);
    cairo_curve_to(cairo, 21.6, 25.6, 21.6, 23.4, 23, 22.8);
    ink_stroke(ink);
    shape_limbs(ink, CURVE(hand), 1);
    shape_target(ink, 35, 24.5);
}

/* ---- the small person ---- */

#define PERSON_TOP 24.0
#define PERSON_GREY 0.72

/* In tone only, so that it stays behind the large drawing. */
static void toned(Ink *ink, const Limb *limbs, gsize count)
{
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, INK_OUTLINE);
    cairo_set_source_rgb(cairo, PERSON_GREY, PERSON_GREY, PERSON_GREY);
    for (gsize i = 0; i < count; i++) {
        cairo_set_line_width(cairo, limbs[i].width);
        cairo_move_to(cairo, limbs[i].from.x, limbs[i].from.y);
        cairo_line_to(cairo, limbs[i].to.x, limbs[i].to.y);
        cairo_stroke(cairo);
    }
}

static void person(Ink *ink, gboolean from_side, Point spot)
{
    static const Limb facing[] = {{{6, 2.6}, {6, 2.8}, 4.4},    {{4.4, 8}, {7.6, 8}, 3},
                                  {{6, 8}, {6, 15}, 5.4},       {{2.6, 8}, {1.4, 16}, 1.7},
                                  {{9.4, 8}, {10.6, 16}, 1.7},  {{4.7, 15.4}, {4.4, 30}, 2.5},
                                  {{7.3, 15.4}, {7.6, 30}, 2.5}};
    static const Limb aside[] = {{{5.6, 2.6}, {5.6, 2.8}, 4.4},
                                 {{6, 8}, {6, 11}, 4.2},
                                 {{6, 11}, {6.4, 15.6}, 4.6},
                                 {{6.2, 16}, {6, 29.6}, 3},
                                 {{5.6, 30.2}, {4, 30.2}, 1.6}};
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, 0, PERSON_TOP);
    if (from_side)
        toned(ink, CURVE(aside));
    else
        toned(ink, CURVE(facing));
    cairo_arc(cairo, spot.x, spot.y, 1.5, 0, 2 * G_PI);
    ink_fill_grey(ink, 1);
    cairo_arc(cairo, spot.x, spot.y, 1.0, 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
    cairo_restore(cairo);
}

/* ---- all of them ---- */

typedef struct SitePicture {
    void (*draw)(Ink *);
    gboolean from_side;
    Point spot;      /* on the small person */
    InkAlign align;  /* of the label */
    Point label;     /* its start or end, on the baseline */
    Point leader[2]; /* from the label to the target */
} SitePicture;

/* One for each place of sites.def: a place without its picture does not compile. */
static const SitePicture site_of_VENTROGLUTEAL =
    {ventrogluteal, TRUE, {5.8, 15.4}, INK_LEFT, {0, 6}, {{11, 5.6}, {32.4, 16.2}}};
static const SitePicture site_of_DORSOGLUTEAL =
    {dorsogluteal, FALSE, {4.2, 15}, INK_LEFT, {0, 12}, {{11, 12}, {19.8, 18.4}}};
static const SitePicture site_of_DELTOID =
    {deltoid, FALSE, {9.8, 9.6}, INK_RIGHT, {60, 44}, {{53, 39.6}, {45.7, 30.4}}};
static const SitePicture site_of_THIGH = {thigh, FALSE, {4.2, 20}, INK_LEFT, {0, 16}, {{11, 16.4}, {20, 22.6}}};
static const SitePicture site_of_ABDOMEN =
    {abdomen, FALSE, {7.6, 13.6}, INK_CENTRE, {40, 7.4}, {{43, 9}, {47.6, 21.4}}};

static const SitePicture *picture_of(Site site)
{
    switch (site) {
#define SITE(id, ...) case Site_##id: return &site_of_##id;
#include "language/sites.def"
    }
    g_assert_not_reached();
}

static void label(Ink *ink, const SitePicture *row, const char *text)
{
    InkStyle style = {.size = 12, .bold = TRUE, .align = row->align};
    if (!text || !text[0])
        return;
    ink_pen(ink, INK_OUTLINE);
    ink_line(ink, row->leader[0].x, row->leader[0].y, row->leader[1].x, row->leader[1].y);
    ink_label(ink, style, text, row->label.x, row->label.y);
}

void site_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const SiteFigure *figure = &shape->site;
    cairo_t *cairo = ink_cairo(ink);
    const SitePicture *row = picture_of(figure->site);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    person(ink, row->from_side, row->spot);
    cairo_save(cairo);
    cairo_translate(cairo, BODY_LEFT, 0);
    cairo_rectangle(cairo, 0, 0, BODY_WIDTH, SITE_HEIGHT);
    cairo_clip(cairo);
    row->draw(ink);
    shape_end_frame(ink, 0, 0, BODY_WIDTH, SITE_HEIGHT);
    cairo_restore(cairo);
    label(ink, row, figure->target);
    cairo_restore(cairo);
}
