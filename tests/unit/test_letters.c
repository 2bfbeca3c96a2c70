/* Which letters of a page belong to which of its boxes, and what the boxes then say. */
#include <string.h>

#include "output/read_boxes.h"

#include "cmocka_all.h"

typedef struct Fixture {
    Arena *arena;
    BoxPile pile;
    PageBox *page;
    GString *text;
    GArray *x, *y, *wide;
} Fixture;

static int setup(void **state)
{
    Fixture *fixture = g_new0(Fixture, 1);
    fixture->arena = arena_new();
    box_pile_begin(&fixture->pile, fixture->arena);
    fixture->page = box_open(&fixture->pile, NULL);
    fixture->text = g_string_new(NULL);
    fixture->x = g_array_new(FALSE, FALSE, sizeof(double));
    fixture->y = g_array_new(FALSE, FALSE, sizeof(double));
    fixture->wide = g_array_new(FALSE, FALSE, sizeof(double));
    *state = fixture;
    return 0;
}

static int teardown(void **state)
{
    Fixture *fixture = *state;
    g_string_free(fixture->text, TRUE);
    g_array_unref(fixture->x);
    g_array_unref(fixture->y);
    g_array_unref(fixture->wide);
    arena_free(fixture->arena);
    g_free(fixture);
    return 0;
}

/* A letter whose middle stands here, 1 mm wide. */
static void letter(Fixture *fixture, const char *one, double x, double y)
{
    const double wide = 1;
    g_string_append(fixture->text, one);
    g_array_append_val(fixture->x, x);
    g_array_append_val(fixture->y, y);
    g_array_append_val(fixture->wide, wide);
}

/* Letters that touch. */
static void word(Fixture *fixture, const char *letters, double x, double y)
{
    for (gsize i = 0; letters[i]; i++)
        letter(fixture, (const char[]){letters[i], '\0'}, x + (double)i, y);
}

static GArray *boxes(Fixture *fixture)
{
    const ReadPage read = {fixture->text->str, (double *)(void *)fixture->x->data, (double *)(void *)fixture->y->data,
                           (double *)(void *)fixture->wide->data, fixture->x->len};
    return output_read_boxes(fixture->page, &read);
}

/* The boxes' words, and those of no box last, with a bar between. */
static void expect(Fixture *fixture, const char *wanted)
{
    g_autoptr(GArray) found = boxes(fixture);
    g_autoptr(GString) said = g_string_new(NULL);
    for (guint i = 0; i < found->len; i++) {
        const ReadBox *one = &g_array_index(found, ReadBox, i);
        assert_int_equal(one->box == NULL, i + 1 == found->len);
        g_string_append_printf(said, "%s%s", i > 0 ? "|" : "", one->text->str);
    }
    assert_string_equal(said->str, wanted);
    g_string_truncate(fixture->text, 0);
    g_array_set_size(fixture->x, 0);
    g_array_set_size(fixture->y, 0);
    g_array_set_size(fixture->wide, 0);
}

static PageBox *add(Fixture *fixture, BoxKind kind, double x, double y, double width, double height)
{
    PageBox *box = box_add(&fixture->pile, kind, x, y, width, height);
    box->style.size = 10;
    return box;
}

/* A letter whose middle is up to 0.3 mm outside is inside. */
static void test_edges(void **state)
{
    Fixture *fixture = *state;
    add(fixture, BOX_TEXT, 20, 20, 10, 5);
    static const struct { double x, y; const char *said; } places[] = {
        {25, 22, "A|"}, {19.71, 22, "A|"}, {19.69, 22, "|A"}, {30.29, 22, "A|"}, {30.31, 22, "|A"},
        {25, 19.71, "A|"}, {25, 19.69, "|A"}, {25, 25.29, "A|"}, {25, 25.31, "|A"}};
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++) {
        letter(fixture, "A", places[i].x, places[i].y);
        expect(fixture, places[i].said);
    }
}

/* Words before pictures, small boxes before large ones, whichever comes first; what only colours takes none. */
static void test_closest(void **state)
{
    Fixture *fixture = *state;
    add(fixture, BOX_TINT, 0, 0, 100, 100);
    add(fixture, BOX_DRAWING, 0, 0, 100, 100);
    add(fixture, BOX_DRAWING, 10, 10, 2, 2);
    add(fixture, BOX_TEXT, 10, 10, 40, 4);
    add(fixture, BOX_TEXT, 10, 10, 20, 6);
    add(fixture, BOX_TEXT, 10, 10, 30, 5);
    letter(fixture, "A", 11, 11);
    letter(fixture, "B", 45, 13);
    letter(fixture, "C", 60, 60);
    letter(fixture, "D", 35, 13);
    expect(fixture, "C ||B |A |D|");
}

/* A word that a picture draws up to 8 mm beyond its size is its own, by the shortest way to its edge. */
static void test_near_picture(void **state)
{
    Fixture *fixture = *state;
    add(fixture, BOX_DRAWING, 20, 20, 10, 10);
    add(fixture, BOX_DRAWING, 50, 20, 10, 10);
    add(fixture, BOX_TEXT, 80, 20, 10, 10);
    static const struct { double x, y; const char *said; } places[] = {
        {12.1, 25, "A|||"}, {11.9, 25, "|||A"}, {37.9, 25, "A|||"}, {42.1, 25, "|A||"}, {40, 25, "|||A"},
        {25, 12.1, "A|||"}, {25, 11.9, "|||A"}, {25, 37.9, "A|||"}, {25, 38.1, "|||A"},
        {35, 35, "A|||"}, {36, 36, "|||A"}, {67.9, 25, "|A||"}, {79, 25, "|||A"}};
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++) {
        letter(fixture, "A", places[i].x, places[i].y);
        expect(fixture, places[i].said);
    }
    add(fixture, BOX_DRAWING, 36, 20, 4, 10);
    letter(fixture, "A", 34, 25);
    expect(fixture, "|||A|");
}

/* Words are parted where the reader had a space, where it went to another box and came back, where a
 * gap is wider than 0.8 mm, and at the end of a line; never twice. */
static void test_parted(void **state)
{
    Fixture *fixture = *state;
    add(fixture, BOX_TEXT, 0, 0, 40, 20);
    add(fixture, BOX_TEXT, 50, 0, 40, 20);
    letter(fixture, " ", 5, 5);
    word(fixture, "AB  CD", 5, 5);
    expect(fixture, "AB CD||");
    word(fixture, "AB", 5, 5);
    word(fixture, "CD", 60, 5);
    word(fixture, "EF", 10, 5);
    expect(fixture, "AB EF|CD |");
    word(fixture, "AB", 5, 5);
    word(fixture, "CD", 7.79, 5);
    word(fixture, "EF", 10.6, 5);
    expect(fixture, "ABCD EF||");
    word(fixture, "AB", 5, 5);
    word(fixture, "CD", 7, 6.4);
    word(fixture, "EF", 9, 8);
    expect(fixture, "ABCD EF||");
    word(fixture, "AB", 20, 5); /* backwards, as words that run from the right */
    word(fixture, "CD", 19.3, 5);
    word(fixture, "EF", 10, 5);
    expect(fixture, "ABCD EF||");
    word(fixture, "A", 45, 45);
    word(fixture, "B", 49, 49);
    expect(fixture, "||A B");
}

/* Columns that were read line by line come out as each box has them. */
static void test_lines(void **state)
{
    Fixture *fixture = *state;
    add(fixture, BOX_TEXT, 0, 0, 40, 40);
    const double same = 10 * INK_POINT * 0.4;
    word(fixture, "CD", 10, 5 + same * 0.99);
    word(fixture, "GH", 10, 5 + same * 0.99 + same * 1.01);
    word(fixture, "AB", 8, 5);
    word(fixture, "EF", 8, 5 + same * 0.99 + same * 1.01);
    g_autoptr(GArray) found = boxes(fixture);
    g_autofree char *lines = output_read_lines(&g_array_index(found, ReadBox, 0));
    assert_string_equal(lines, "ABCDEFGH");
}

/* What stands in no box is one line as far as 1.5 mm go. */
static void test_stray_lines(void **state)
{
    Fixture *fixture = *state;
    word(fixture, "B", 10, 5 + 1.49);
    word(fixture, "C", 5, 5 + 1.49 + 1.51);
    word(fixture, "A", 8, 5);
    g_autoptr(GArray) found = boxes(fixture);
    g_autofree char *lines = output_read_lines(&g_array_index(found, ReadBox, 0));
    assert_string_equal(lines, "ABC");
    g_string_assign(fixture->text, "");
    fixture->x->len = 0;
    g_autoptr(GArray) none = boxes(fixture);
    g_autofree char *nothing = output_read_lines(&g_array_index(none, ReadBox, 0));
    assert_string_equal(nothing, "");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {TEST(test_edges), TEST(test_closest), TEST(test_near_picture), TEST(test_parted),
                                       TEST(test_lines), TEST(test_stray_lines)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
