/* Drawings measured where they were drawn: marks within 0.1 mm, life size within
 * 0.2 mm, the strip's dot within 0.5 mm. */
#include <cairo-pdf.h>
#include <math.h>
#include <string.h>

#include "drawing/figures.h"

#include "cmocka_all.h"

typedef struct Sheet {
    cairo_surface_t *surface;
    cairo_t *cairo;
    Ink *ink;
} Sheet;

static cairo_status_t drop(void *closure, const unsigned char *data, unsigned int length)
{
    (void)closure, (void)data, (void)length;
    return CAIRO_STATUS_SUCCESS;
}

static int setup(void **state)
{
    Sheet *paper = g_new0(Sheet, 1);
    paper->surface = cairo_pdf_surface_create_for_stream(drop, NULL, 612, 792);
    paper->cairo = cairo_create(paper->surface);
    paper->ink = ink_new(paper->cairo, NULL);
    assert_non_null(paper->ink);
    *state = paper;
    return 0;
}

static int teardown(void **state)
{
    Sheet *paper = *state;
    ink_free(paper->ink);
    cairo_destroy(paper->cairo);
    cairo_surface_destroy(paper->surface);
    g_free(paper);
    return 0;
}

static const InkMark *mark(Sheet *paper, const char *name)
{
    const GArray *marks = ink_marks(paper->ink);
    for (guint i = marks->len; i > 0; i--)
        if (strcmp(g_array_index(marks, InkMark, i - 1).name, name) == 0)
            return &g_array_index(marks, InkMark, i - 1);
    fail_msg("no mark %s", name);
    return NULL;
}

static guint count(Sheet *paper, const char *name)
{
    guint found = 0;
    for (guint i = 0; i < ink_marks(paper->ink)->len; i++)
        found += strcmp(g_array_index(ink_marks(paper->ink), InkMark, i).name, name) == 0;
    return found;
}

static void near(double given, double wanted, double tolerance)
{
    if (fabs(given - wanted) > tolerance)
        fail_msg("%.3f mm instead of %.3f mm", given, wanted);
}

static const FigureRoom wide = {160, 12};

static Rational mm(double length) { return rational_make((gint64)(length * 10 + 0.5), 10); }

static FigureShape syringe(gint64 capacity, gint64 every, gint64 number, double scale, gint64 fill)
{
    return (FigureShape){FIGURE_SYRINGE_DOSE,
                         .syringe = {.capacity_ml = rational_make(capacity, 100),
                                     .mark_every_ml = rational_make(every, 100),
                                     .number_every_ml = rational_make(number, 100), .scale_mm = mm(scale),
                                     .barrel_mm = mm(10), .fill_ml = rational_make(fill, 100), .pointer = "x",
                                     .needle_mm = mm(38.1), .gauge = 22, .needle = {"black", FALSE}}};
}

static void test_syringe(void **state)
{
    Sheet *paper = *state;
    const struct { gint64 capacity, every, number; double scale; gint64 fill; guint marks, numbered; } cases[] = {
        {300, 10, 50, 49, 100, 24, 7}, {100, 2, 10, 57, 80, 40, 11}, {500, 20, 100, 52, 480, 20, 6},
        {100, 5, 10, 57, 0, 10, 11}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        guint marks = count(paper, "mark"), numbered = count(paper, "numbered mark");
        FigureShape figure = syringe(cases[i].capacity, cases[i].every, cases[i].number, cases[i].scale,
                cases[i].fill);
        figure_draw(paper->ink, &figure, 20, 20, wide);
        double wanted = cases[i].scale * cases[i].fill / cases[i].capacity;
        near(mark(paper, "rim")->x - mark(paper, "zero")->x, wanted, 0.1);
        assert_int_equal(count(paper, "mark") - marks, cases[i].marks);
        assert_int_equal(count(paper, "numbered mark") - numbered, cases[i].numbered);
        near(mark(paper, "numbered mark")->x - mark(paper, "zero")->x, cases[i].scale, 0.1);
    }
}

/* The ends of the numbers in order, and how near two of them come. */
static double nearest_numbers(Sheet *paper, guint from)
{
    double until = -G_MAXDOUBLE, nearest = G_MAXDOUBLE;
    for (guint i = from; i < ink_marks(paper->ink)->len; i++) {
        const InkMark *at = &g_array_index(ink_marks(paper->ink), InkMark, i);
        if (strcmp(at->name, "number from") == 0)
            nearest = MIN(nearest, at->x - until);
        if (strcmp(at->name, "number until") == 0)
            until = at->x;
    }
    return nearest;
}

/* The least room of a barrel, and every line for the rim: no two numbers touch, and its own
 * number always stands. */
static void test_numbers_apart(void **state)
{
    Sheet *paper = *state;
    const struct { gint64 capacity, every, number; double scale; } cases[] = {
        {50, 1, 10, 30}, {50, 1, 10, 40}, {50, 1, 5, 45}, {30, 1, 5, 30}, {100, 1, 10, 57}, {100, 2, 5, 57},
        {300, 10, 50, 52}, {1000, 20, 100, 60}};
    const FigureRoom rooms[] = {{20, 12.3}, {90, 12.3}, {60, 18}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++)
        for (gint64 fill = cases[i].number; fill <= cases[i].capacity; fill += cases[i].number)
            for (gsize room = 0; room < G_N_ELEMENTS(rooms); room++) {
                guint from = ink_marks(paper->ink)->len, numbers = count(paper, "number from");
                FigureShape figure = syringe(cases[i].capacity, cases[i].every, cases[i].number, cases[i].scale, fill);
                figure_draw(paper->ink, &figure, 20, 20, rooms[room]);
                if (nearest_numbers(paper, from) < 0.5)
                    fail_msg("case %zu, rim at %" G_GINT64_FORMAT ": %.2f mm between two numbers", i, fill,
                             nearest_numbers(paper, from));
                assert_true(count(paper, "number from") >= numbers + 2);
            }
}

/* Line weights are those of the page however small a drawing is made. */
static void test_weights(void **state)
{
    Sheet *paper = *state;
    ink_pen(paper->ink, INK_OUTLINE);
    near(cairo_get_line_width(paper->cairo), INK_OUTLINE, 0.001);
    cairo_save(paper->cairo);
    cairo_rotate(paper->cairo, 1);
    cairo_scale(paper->cairo, 0.5, 0.5);
    ink_pen(paper->ink, INK_OUTLINE);
    near(cairo_get_line_width(paper->cairo), 2 * INK_OUTLINE, 0.001);
    cairo_restore(paper->cairo);
}

/* Hubs that are often handed out together do not copy to the same grey. */
static void test_hubs_in_grey(void **state)
{
    (void)state;
    const char *pairs[][2] = {{"black", "orange"}, {"pink", "orange"}, {"deep green", "orange"},
                              {"yellow", "deep blue"}, {"pink", "deep blue"}};
    for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++)
        assert_true(fabs(ink_hub_grey(pairs[i][0]) - ink_hub_grey(pairs[i][1])) > 0.1);
    near(ink_hub_grey("no such colour"), 1, 0.001);
}

/* Cut to its room, the zero line and the rim are never lost, and lengths stay true. */
static void test_syringe_cut(void **state)
{
    Sheet *paper = *state;
    const struct { gint64 capacity, every, number; double scale; gint64 fill; double room, type; } cases[] = {
        {300, 10, 50, 52, 100, 92, 12}, {300, 10, 50, 52, 300, 75, 12}, {100, 2, 10, 57, 25, 60, 12},
        {100, 2, 10, 57, 100, 80, 18}, {500, 20, 100, 48, 480, 70, 18}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        FigureShape figure = syringe(cases[i].capacity, cases[i].every, cases[i].number, cases[i].scale,
                                     cases[i].fill);
        FigureRoom room = {cases[i].room, cases[i].type};
        figure.kind = FIGURE_SYRINGE_GIVE;
        guint marks = count(paper, "mark") + count(paper, "numbered mark");
        figure_draw(paper->ink, &figure, 20, 20, room);
        double zero = mark(paper, "zero")->x, rim = mark(paper, "rim")->x;
        near(rim - zero, cases[i].scale * cases[i].fill / cases[i].capacity, 0.1);
        assert_true(zero >= 20 + 3 && rim + 6.5 <= 20 + cases[i].room);
        guint wanted = (guint)(cases[i].capacity / cases[i].every + 1);
        assert_int_equal(count(paper, "mark") + count(paper, "numbered mark") - marks, wanted);
    }
    assert_int_equal(ink_problem(paper->ink, NULL), INK_FINE);
}

/* Packs and the card's line (ISO/IEC 7810, 85.60 mm) in life size; the night's window. */
static void test_life_size_alone(void **state)
{
    Sheet *paper = *state;
    FigureShape pack = {FIGURE_PACK, .pack = {{"orange", FALSE}, mm(25.4), 25, 2}};
    FigureShape card = {FIGURE_CARD, .card = {"as long as a bank card"}};
    FigureShape night = {FIGURE_NIGHT,
                         .strip = {23 * 60 + 30, 23 * 60, 24 * 60 - 1, "Tuesday", "Wednesday",
                                   {"", "", "", "", "", "", ""}, "11:30 pm", NULL}};
    figure_draw(paper->ink, &pack, 20, 20, wide);
    near(mark(paper, "needle hub")->x - mark(paper, "needle tip")->x, 25.4, 0.2);
    figure_draw(paper->ink, &card, 20, 60, wide);
    near(mark(paper, "card right")->x - mark(paper, "card left")->x, 85.60, 0.2);
    figure_draw(paper->ink, &night, 20, 90, wide);
    double left = mark(paper, "strip left")->x;
    near(mark(paper, "strip dot")->x - left, 160 * 5.5 / 12, 0.5);
    near(mark(paper, "window left")->x - left, 160 * 5.0 / 12, 0.5);
    near(mark(paper, "window right")->x - left, 160 * 5.98333 / 12, 0.5);
}

/* Read from the right, time runs from the right, and the right picture of a pair stands there. */
static void test_from_right(void **state)
{
    Sheet *paper = *state;
    FigureShape night = {FIGURE_NIGHT,
                         .strip = {23 * 60 + 30, 23 * 60, 24 * 60 - 1, "a", "b",
                                   {"", "", "", "", "", "", ""}, "c", NULL}};
    if (!ink_set_language(paper->ink, "ar", NULL))
        skip(); /* its fonts are not there */
    figure_draw(paper->ink, &night, 20, 90, wide);
    near(mark(paper, "strip dot")->x - mark(paper, "strip left")->x, 160 * 6.5 / 12, 0.5);
    assert_true(mark(paper, "window left")->x < mark(paper, "strip dot")->x);
}

/* Each place has its picture; the left side is the mirror of the right one. */
static void test_spots(void **state)
{
    Sheet *paper = *state;
    const struct { Site site; SiteView view; guint targets; } spots[] = { /* who lies is shown whole beside it */
        {Site_VENTROGLUTEAL, VIEW_HELPER, 2}, {Site_VENTROGLUTEAL, VIEW_OWN, 1}, {Site_DORSOGLUTEAL, VIEW_HELPER, 2},
        {Site_DELTOID, VIEW_HELPER, 1}, {Site_THIGH, VIEW_OWN, 1}, {Site_ABDOMEN, VIEW_OWN, 1}};
    for (gsize i = 0; i < G_N_ELEMENTS(spots); i++)
        for (int left = 0; left < 2; left++) {
            FigureShape figure = {FIGURE_SPOT, .site = {.site = spots[i].site, .view = spots[i].view, .left = left}};
            FigureRoom room = {45, 12};
            FigureSize size = figure_size(paper->ink, &figure, room);
            guint before = count(paper, "target");
            figure_draw(paper->ink, &figure, 20, 30, room);
            assert_int_equal(count(paper, "target") - before, spots[i].targets);
            const InkMark *target = mark(paper, "target");
            assert_true(target->x > 20 + 2 && target->x < 20 + size.width - 2);
            assert_true(target->y > 30 + 2 && target->y < 30 + size.height - 2);
        }
}

/* Where each side has its day both are drawn, the left one at the left, each the other's mirror. */
static void test_both_sides(void **state)
{
    Sheet *paper = *state;
    const Site sites[] = {Site_VENTROGLUTEAL, Site_DORSOGLUTEAL};
    for (gsize i = 0; i < G_N_ELEMENTS(sites); i++) {
        FigureShape figure = {FIGURE_SPOT, .site = {.site = sites[i], .either = TRUE, .left_word = "left",
                                                    .right_word = "right"}};
        FigureRoom room = {48, 12};
        FigureSize size = figure_size(paper->ink, &figure, room);
        guint before = count(paper, "target");
        figure_draw(paper->ink, &figure, 20, 30, room);
        assert_int_equal(count(paper, "target") - before, 2);
        const InkMark *right = mark(paper, "target"), *left = right;
        while ((--left)->x == right->x || strcmp(left->name, "target") != 0) {}
        assert_true(left->x < 20 + size.width / 2 && right->x > 20 + size.width / 2);
        near(left->x - 20, right->x - 20 - size.width / 2 - 2, 0.1);
        assert_true(fabs(left->y - right->y) > 2);
        near(left->y - 30, size.height - 12 * INK_POINT * 1.3 - (right->y - 30), 0.3);
    }
}

/* The place on the arm is about 1.5 in (3.8 cm) below the bone's edge (OpenStax, Pharmacology for Nurses,
 * 2024, Deltoid Injections); the axillary nerve often lies about 5 cm below it (review of deltoid sites,
 * tables 3 and 5).  Drawn at 2.3 units a centimetre, 60 units wide. */
static void test_deltoid_to_scale(void **state)
{
    Sheet *paper = *state;
    FigureShape figure = {FIGURE_SPOT, .site = {.site = Site_DELTOID, .fingers = 2}};
    const FigureRoom room = {60, 12};
    figure_draw(paper->ink, &figure, 20, 30, room);
    double bone = mark(paper, "bone edge")->y, spot = mark(paper, "target")->y, nerve = mark(paper, "nerve")->y;
    assert_true((spot - bone) / 2.3 > 3.8 && spot < nerve);
    near((nerve - bone) / 2.3, 5.2, 0.3);
}

/* A letter that the font lacks and a word that is too wide are never drawn silently. */
static void test_troubles(void **state)
{
    Sheet *paper = *state;
    const InkRun fine = {"fine words", FALSE, NULL}, broad = {"unbreakable", FALSE, NULL},
            odd = {"\351\276\215", FALSE, NULL};
    InkStyle style = {.size = 14};
    ink_text_draw(paper->ink, style, &fine, 1, 20, 20, 100);
    assert_int_equal(ink_problem(paper->ink, NULL), INK_FINE);
    ink_text_draw(paper->ink, style, &broad, 1, 20, 20, 5);
    assert_int_equal(ink_problem(paper->ink, NULL), INK_TOO_WIDE);
    Ink *other = ink_new(paper->cairo, NULL);
    ink_text_draw(other, style, &odd, 1, 20, 20, 100);
    assert_int_equal(ink_problem(other, NULL), INK_GLYPH_MISSING);
    assert_int_equal(ink_missing_letter(other), 0x9F8D);
    ink_free(other);
}

/* How many lines a text takes is told by the widths of its words; drawing it asks pango (outside: libpango). */
static void test_lines_are_counted_as_they_are_set(void **state)
{
    static const InkRun texts[][3] = {
        {{"Push the plunger slowly until it stops, and count to ten before you pull the needle out.", FALSE, NULL}},
        {{"Call us ", FALSE, NULL}, {"now, at any hour", TRUE, NULL},
         {". Do not take more unless we tell you to.", FALSE, NULL}},
        {{"half", TRUE, NULL}, {"-bold words, 10,000\302\240units in 1\302\240mL", FALSE, NULL},
         {" and/or more", TRUE, NULL}},
        {{"Tuesday,\302\240November\302\24024,\302\2402026,\302\24011:30\302\240pm\302\240(23:30)", TRUE, NULL}},
        {{"Two paragraphs:\nthe second one, with two  spaces and a very-long-word-with-hyphens", FALSE, NULL}},
        {{"mardi 24\302\240novembre\302\2402026 \303\240 "
          "23\302\240h\302\24030\302\240: votre piq\303\273re", FALSE, NULL}},
    };
    Sheet *paper = *state;
    const InkStyle style = {.size = 9};
    for (guint i = 0; i < G_N_ELEMENTS(texts); i++) {
        gsize count = texts[i][1].text ? texts[i][2].text ? 3 : 2 : 1;
        for (int step = 0; step < 400; step++) {
            double width = 4 + (step * 37 % 400) * 0.31; /* in no order, so that hardly one follows from others */
            double height = ink_text_height(paper->ink, style, texts[i], count, width);
            near(ink_text_draw(paper->ink, style, texts[i], count, 10, 10, width), height, 0.001);
        }
    }
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {
        TEST(test_syringe), TEST(test_numbers_apart), TEST(test_weights), TEST(test_hubs_in_grey),
        TEST(test_syringe_cut), TEST(test_life_size_alone), TEST(test_spots), TEST(test_both_sides),
        TEST(test_from_right), TEST(test_deltoid_to_scale),
        TEST(test_troubles), TEST(test_lines_are_counted_as_they_are_set)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
