/* What is worked out from the strokes of a page: words of a content stream (ISO 32000-2, 7.2, 7.3 and 7.8.2), its
 * matrices and paths (8.3.4, 8.4, 8.5), and the scale and the rim of a syringe in them. */
#include <string.h>

#include "output/content.h"
#include "output/rims.h"

#include "cmocka_all.h"

#define MM (72 / 25.4)

/* ---- words ---- */

/* Each token: n its number, / a name, o an operator. */
static void test_tokens(void **state)
{
    (void)state;
    static const struct { const char *text, *said;
    } cases[] = {{"", ""},
                 {" \n\r\t\f", ""},
                 {"q", "o q,"},
                 {"1 .5 -.25 +3 -12.125 0", "n 1,n 0.5,n -0.25,n 3,n -12.125,n 0,"},
                 {"/A/B[1 2]cm", "/ /A,/ /B,n 1,n 2,o cm,"},
                 {"(a)S", "o S,"},
                 {"(a(b)c)S", "o S,"},
                 {"(a\\)b)S", "o S,"},
                 {"(\\\\)S", "o S,"},
                 {"((S)", ""},
                 {"(a\\", ""},
                 {"<feff S>f", "o f,"},
                 {"<feff", ""},
                 {"<</A 1>>BDC", "/ /A,n 1,o BDC,"},
                 {"<<", ""},
                 {"<", ""},
                 {"f*", "o f*,"},
                 {"a{b}c%d", "o a,o b,o c,o d,"},
                 {"1,5", "n 15,"}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GString) said = g_string_new(NULL);
        g_autofree char *exact = g_memdup2(cases[i].text, strlen(cases[i].text)); /* nothing behind it */
        ContentScan scan = {exact, exact + strlen(cases[i].text)};
        Token token;
        while (content_next(&scan, &token)) {
            if (token.kind == TOKEN_NUMBER)
                g_string_append_printf(said, "n %g,", token_number(&token));
            else
                g_string_append_printf(said, "%c %.*s,", token.kind == TOKEN_NAME ? '/' : 'o', (int)token.length,
                                       token.start);
        }
        assert_string_equal(said->str, cases[i].said);
        assert_ptr_equal(scan.at, scan.end);
    }
    const Token token = {TOKEN_OPERATOR, "cmx", 2};
    assert_true(token_is(&token, "cm"));
    assert_false(token_is(&token, "cmx"));
    assert_false(token_is(&token, "c"));
    assert_false(token_is(&token, "re"));
}

/* ---- syringes ---- */

/* All that were found, one a line: figure, marks, first and last mark, and the rim. */
static char *found_in(const char *content, guint *count)
{
    g_autoptr(GArray) drawn = g_array_new(FALSE, FALSE, sizeof(DrawnSyringe));
    DrawnFigures figures = {drawn, 0};
    GString *said = g_string_new(NULL);
    output_rims_of(content, strlen(content), &figures);
    for (guint i = 0; i < drawn->len; i++) {
        const DrawnSyringe *one = &g_array_index(drawn, DrawnSyringe, i);
        g_string_append_printf(said, "%u: %u from %.6g to %.6g", one->figure, one->marks, one->zero, one->last);
        if (one->pointed)
            g_string_append_printf(said, ", rim %.6g", one->rim);
        g_string_append(said, "\n");
    }
    if (count)
        *count = figures.count;
    return g_string_free(said, FALSE);
}

static void expect(const char *content, const char *wanted)
{
    g_autofree char *said = found_in(content, NULL);
    assert_string_equal(said, wanted);
}

/* So many marks 10 points apart from x = 10, from y = 20 up, so many mm long. */
static char *marks(int count, double mm)
{
    GString *text = g_string_new("0.5 w ");
    for (int i = 0; i < count; i++)
        g_string_append_printf(text, "%d 20 m %d %.4f l S ", 10 + i * 10, 10 + i * 10, 20 + mm * MM);
    return g_string_free(text, FALSE);
}

static void expect_figure(const char *before, int count, double mm, const char *behind, const char *wanted)
{
    g_autofree char *scale = marks(count, mm);
    g_autofree char *content = g_strdup_printf("/Figure <</MCID 0>> BDC %s %s %s EMC", before, scale, behind);
    expect(content, wanted);
}

#define RIM "2 w 15 20 m 15 40 l S "

/* Ten marks are a scale, three are one when a rim stands on their line. */
static void test_how_many_marks(void **state)
{
    (void)state;
    expect_figure("", 10, 2, "", "1: 10 from 10 to 100\n");
    expect_figure("", 9, 2, "", "");
    expect_figure("", 3, 2, RIM, "1: 3 from 10 to 30, rim 15\n");
    expect_figure("", 2, 2, RIM, "");
    expect_figure("", 9, 2, "2 w 15 20.2 m 15 40 l S", "");          /* on another line: an arrow */
    expect_figure("", 9, 2, "2 w 15 19.8 m 15 40 l S", "");
    expect_figure("", 9, 2, "2 w 15 20.09 m 15 40 l S", "1: 9 from 10 to 90, rim 15\n");
    expect_figure("", 9, 2, "2 w 15 40 m 15 20 l S", "1: 9 from 10 to 90, rim 15\n");
    expect_figure("", 9, 2, "2 w 85 30 m 85 50 l S " RIM "75 30 m 75 50 l S", "1: 9 from 10 to 90, rim 15\n");
}

/* How long and how strong a stroke is says what it is. */
static void test_what_a_stroke_is(void **state)
{
    (void)state;
    expect_figure("", 10, 0.51, "", "1: 10 from 10 to 100\n");
    expect_figure("", 10, 0.49, "", "");
    expect_figure("", 10, 5.9, "", "1: 10 from 10 to 100\n");
    expect_figure("", 10, 11.9, "", "1: 10 from 10 to 100\n"); /* fine: the long marks of a wide barrel */
    expect_figure("", 10, 12.1, "", "");
    static const struct { double width, mm; gboolean mark, rim; } strokes[] = {
        {1.72, 5.1, FALSE, TRUE}, {1.69, 5.1, TRUE, FALSE}, {1.72, 4.9, TRUE, FALSE}, {1.69, 6.1, FALSE, FALSE},
        {1.1, 6.1, TRUE, FALSE}, {1.15, 6.1, FALSE, FALSE}};
    for (gsize i = 0; i < G_N_ELEMENTS(strokes); i++) {
        g_autofree char *last =
            g_strdup_printf("%g w 200 20 m 200 %.4f l S", strokes[i].width, 20 + strokes[i].mm * MM);
        expect_figure("", 10, 2, last, strokes[i].rim ? "1: 10 from 10 to 100, rim 200\n"
                      : strokes[i].mark ? "1: 11 from 10 to 200\n" : "1: 10 from 10 to 100\n");
    }
    static const struct { const char *path; gboolean mark;
    } paths[] = {{"200 20 m 200.02 24 l S", TRUE},
                 {"200 20 m 200.04 24 l S", FALSE},
                 {"200 20 m 199.96 24 l S", FALSE},
                 {"200 20 m 200 24 l 200 25 l S", FALSE},
                 {"200 20 m S", FALSE},
                 {"200 20 m 200 24 l h S", FALSE},
                 {"200 20 m 200 24 l 1 1 2 2 3 3 c S", FALSE},
                 {"200 20 m 200 24 l 1 1 2 2 v S", FALSE},
                 {"200 20 m 200 24 l 1 1 2 2 y S", FALSE},
                 {"200 20 4 4 re 200 20 m 200 24 l S", FALSE},
                 {"200 20 m 200 24 l f 200 20 m 200 24 l S", TRUE},
                 {"1 1 m n 200 20 m 200 24 l S", TRUE},
                 {"1 1 m f* 200 20 m 200 24 l S", TRUE},
                 {"1 1 m B 200 20 m 200 24 l S", TRUE},
                 {"1 1 m b 200 20 m 200 24 l S", TRUE},
                 {"1 1 m s 200 20 m 200 24 l S", TRUE},
                 {"1 1 m F 200 20 m 200 24 l S", TRUE},
                 {"1 1 m S 200 20 m 200 24 l S", TRUE},
                 {"7 7 7 7 7 200 20 m 7 200 24 l S", TRUE},
                 {"200 20 m 200 24 l 9 l S", TRUE},
                 {"(9 9 m) Tj 200 20 m 200 24 l S", TRUE},
                 {"1 1 m 200 20 m 200 24 l S", FALSE}};
    for (gsize i = 0; i < G_N_ELEMENTS(paths); i++)
        expect_figure("", 10, 2, paths[i].path, paths[i].mark ? "1: 11 from 10 to 200\n" : "1: 10 from 10 to 100\n");
}

/* The longest row that ends on one line counts, wherever the others are drawn. */
static void test_longest_row(void **state)
{
    (void)state;
    g_autoptr(GString) low = g_string_new(NULL), near = g_string_new(NULL);
    for (int i = 0; i < 9; i++)
        g_string_append_printf(low, "%d 10 m %d 15 l S %d 30 m %d 35 l S ", 300 + i, 300 + i, 500 - i, 500 - i);
    for (int i = 0; i < 3; i++)
        g_string_append_printf(near, "%d 20.09 m %d 25 l S ", 5 - i, 5 - i);
    expect_figure(low->str, 10, 2, "", "1: 10 from 10 to 100\n");
    expect_figure("", 10, 2, low->str, "1: 10 from 10 to 100\n");
    expect_figure(low->str, 8, 2, RIM "310 10 m 310 40 l S", "1: 9 from 300 to 308, rim 310\n");
    expect_figure(near->str, 10, 2, "", "1: 13 from 3 to 100\n");
    g_autofree char *shuffled = g_strdup_printf("%s 5 20 m 5 25 l S 55 20 m 55 25 l S 7 20 m 7 25 l S", near->str);
    expect_figure("", 10, 2, shuffled, "1: 16 from 3 to 100\n");
}

/* Matrices turn, move and widen; q keeps them, Q brings them back, 32 deep. */
static void test_matrices(void **state)
{
    (void)state;
    expect_figure("1 0 0 1 5 0 cm", 10, 2, "", "1: 10 from 15 to 105\n");
    expect_figure("2 0 0 1 5 0 cm", 10, 2, "", "1: 10 from 25 to 205\n");
    expect_figure("1 0 0 1 7 0 cm 2 0 0 2 5 3 cm", 10, 2, "", "1: 10 from 32 to 212\n");
    expect_figure("2 0 0 2 5 3 cm 1 0 0 1 7 0 cm", 10, 2, "", "1: 10 from 39 to 219\n");
    expect_figure("0 1 -1 0 500 0 cm", 10, 2, "", ""); /* lies */
    expect_figure("0 1 -1 0 500 7 cm 0 -1 1 0 3 500 cm", 10, 2, "", "1: 10 from 10 to 100\n");
    expect_figure("0 0 5 0 1 cm 0 0 1 5 0 cm", 10, 2, "", "1: 10 from 10 to 100\n"); /* five numbers are no matrix */
    expect_figure("1 2 1 0 0 1 5 0 cm", 10, 2, "", "1: 10 from 15 to 105\n");
    expect_figure("q 1 0 0 1 5 0 cm Q", 10, 2, "", "1: 10 from 10 to 100\n");
    expect_figure("q q 1 0 0 1 5 0 cm q Q Q 1 0 0 1 1 0 cm", 10, 2, "", "1: 10 from 11 to 101\n");
    expect_figure("", 10, 2, "q 5 w Q 15 20 m 15 40 l S", "1: 11 from 10 to 100\n"); /* its width came back: a mark */
    expect_figure("", 10, 2, "2 w q 0.1 w Q 15 20 m 15 40 l S", "1: 10 from 10 to 100, rim 15\n");
    expect_figure("", 10, 2, "2 w w 15 20 m 15 40 l S", "1: 10 from 10 to 100, rim 15\n");
    expect_figure("2 0 0 2 0 0 cm", 10, 2, "0.9 w 15 20 m 15 30 l S", "1: 10 from 20 to 200, rim 30\n");
    g_autoptr(GString) deep = g_string_new(NULL);
    for (int i = 0; i < 32; i++)
        g_string_append(deep, "q 1 0 0 1 1 0 cm ");
    expect_figure(deep->str, 10, 2, "", "1: 10 from 42 to 132\n");
    for (int i = 0; i < 32; i++)
        g_string_append(deep, "Q ");
    expect_figure(deep->str, 10, 2, "", "1: 10 from 10 to 100\n");
}

/* A figure ends where its own mark ends; strokes outside belong to none. */
static void test_figures(void **state)
{
    (void)state;
    g_autofree char *scale = marks(10, 2), *nine = marks(9, 2);
    g_autofree char *outside = g_strdup_printf("%s /P BMC %s EMC", scale, scale);
    g_autofree char *within = g_strdup_printf("/P BMC EMC /Figure <</MCID 0>> BDC /Span BMC EMC %s EMC", scale);
    g_autofree char *apart =
        g_strdup_printf("/Figure BMC %s EMC 105 20 m 105 25 l S /Figure BMC 105 20 m 105 25 l S EMC "
                        "/Figure BMC " RIM "EMC /Figure BMC %s EMC",
                        nine, scale);
    g_autofree char *nested = g_strdup_printf("/Sect BMC /Figure BMC /Figure BMC EMC %s EMC EMC", scale);
    g_autofree char *named = g_strdup_printf("/P <</Figure 1>> BDC %s EMC BMC %s EMC", scale, scale);
    g_autofree char *late = g_strdup_printf("/Figure gs BMC %s EMC", scale);
    guint count = 0;
    expect(outside, "");
    expect(within, "1: 10 from 10 to 100\n");
    expect(apart, "4: 10 from 10 to 100\n");
    expect(nested, "1: 10 from 10 to 100\n");
    expect(named, "");
    expect(late, "");
    g_autofree char *found = found_in(apart, &count);
    assert_int_equal(count, 4);
}

/* ---- which figure it is ---- */

static const PageBox *page_of(Arena *arena, const FigureKind *kinds, const char *const *alts, gsize count)
{
    BoxPile pile;
    box_pile_begin(&pile, arena);
    PageBox *page = box_open(&pile, NULL);
    for (gsize i = 0; i < count; i++) {
        PageBox *box = box_add(&pile, i == 1 ? BOX_TINT : BOX_DRAWING, 0, 0, 10, 10);
        FigureShape *shape = arena_new0(arena, FigureShape);
        shape->kind = kinds[i];
        box->shape = shape;
        box->alt = alts[i];
    }
    return page;
}

/* Pictures with words for those who do not see them are counted over all pages; what is no syringe goes. */
static void test_sift(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    static const FigureKind first[] = {FIGURE_SYRINGE_ADD, FIGURE_SYRINGE_GIVE, FIGURE_SYRINGE_GIVE, FIGURE_NIGHT};
    static const FigureKind second[] = {FIGURE_SYRINGE_DOSE, FIGURE_NIGHT, FIGURE_SYRINGE_GIVE};
    static const char *const alts[] = {"a", "b", NULL, "d"};
    GPtrArray *pages = arena_list(arena);
    g_ptr_array_add(pages, (gpointer)page_of(arena, first, alts, 4));
    g_ptr_array_add(pages, (gpointer)page_of(arena, second, (const char *const[]){"e", "f", "g"}, 3));
    g_autoptr(GArray) drawn = g_array_new(FALSE, FALSE, sizeof(DrawnSyringe));
    for (guint figure = 0; figure <= 5; figure++) {
        const DrawnSyringe one = {.figure = figure};
        g_array_append_val(drawn, one);
    }
    output_rims_sift(drawn, pages);
    static const struct { guint figure; int kind; } left[] = {
        {0, -1}, {1, FIGURE_SYRINGE_ADD}, {3, FIGURE_SYRINGE_DOSE}, {4, FIGURE_SYRINGE_GIVE}, {5, -1}};
    assert_int_equal(drawn->len, G_N_ELEMENTS(left));
    for (guint i = 0; i < drawn->len; i++) {
        const DrawnSyringe *one = &g_array_index(drawn, DrawnSyringe, i);
        assert_int_equal(one->figure, left[i].figure);
        assert_int_equal(one->shape ? (int)one->shape->kind : -1, left[i].kind);
    }
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tokens), cmocka_unit_test(test_how_many_marks), cmocka_unit_test(test_what_a_stroke_is),
        cmocka_unit_test(test_longest_row), cmocka_unit_test(test_matrices), cmocka_unit_test(test_figures),
        cmocka_unit_test(test_sift)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
