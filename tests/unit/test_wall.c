/* The page of a night for the wall, of rows made by hand: where each box stands, in the kind of list that
 * sheet --boxes prints.  tests/unit/wall.boxes has it; what differs now is written to .build/wall.boxes, to be
 * looked at and, when it is meant, put in its place. */
#include <cairo-pdf.h>
#include <string.h>

#include "page/page.h"

#include "cmocka_all.h"

typedef struct Wall {
    Arena *arena;
    Diagnostics *diagnostics;
    cairo_surface_t *surface;
    cairo_t *cairo;
    Ink *ink;
} Wall;

static int setup(void **state)
{
    Wall *wall = g_new0(Wall, 1);
    wall->arena = arena_new();
    wall->diagnostics = diagnostics_new(wall->arena);
    wall->surface = cairo_pdf_surface_create(NULL, 612, 792);
    wall->cairo = cairo_create(wall->surface);
    wall->ink = ink_new(wall->cairo, NULL);
    assert_true(wall->ink && ink_set_language(wall->ink, "en", NULL));
    *state = wall;
    return 0;
}

static int teardown(void **state)
{
    Wall *wall = *state;
    ink_free(wall->ink);
    cairo_destroy(wall->cairo);
    cairo_surface_destroy(wall->surface);
    arena_free(wall->arena);
    g_free(wall);
    return 0;
}

/* ---- rows by hand ---- */

/* Words with a bar on each side are marked. */
static Line *line(Wall *wall, const char *text)
{
    Line *made = arena_new0(wall->arena, Line);
    g_auto(GStrv) parts = g_strsplit(text, "|", -1);
    made->runs = arena_list(wall->arena);
    for (guint i = 0; parts[i]; i++) {
        Run *run = arena_new0(wall->arena, Run);
        run->text = arena_copy(wall->arena, parts[i]);
        run->marked = i % 2 == 1;
        if (*run->text)
            g_ptr_array_add(made->runs, run);
    }
    return made;
}

/* Its lines have a slash between. */
static Block *block(Wall *wall, BlockKind kind, const char *role, const char *text)
{
    Block *made = block_new(wall->arena, kind, role);
    g_auto(GStrv) lines = g_strsplit(text, "/", -1);
    for (char **one = lines; *one; one++)
        g_ptr_array_add(made->lines, line(wall, *one));
    return made;
}

static Block *row(Wall *wall, int number)
{
    static const struct { BlockKind kind; const char *role, *text;
    } cells[] = {
        {BLOCK_TEXT, "time", "11:30 pm/11:15 pm to 11:45 pm/eggs Friday"},
        {BLOCK_TEXT, "code", "LC-2|04|1/|7|, printed"},
        {BLOCK_TEXT, "medicine", "a medicine with a name that takes more than one line/10,000 units, 1 mL/the hip"},
        {BLOCK_TEXT, "phone", "902 555 0142/25 G x 1.5 in/helper"},
        {BLOCK_WRITE, "called", "at/by"},
        {BLOCK_WRITE, "injected", "at/yes/no"}};
    Block *made = block(wall, BLOCK_ROW, "row", "");
    made->number = number;
    for (gsize i = 0; i < G_N_ELEMENTS(cells); i++)
        g_ptr_array_add(made->items, block(wall, cells[i].kind, cells[i].role, cells[i].text));
    return made;
}

static Document *night(Wall *wall, int rows, int heading, const int *along, int dots)
{
    Document *document = arena_new0(wall->arena, Document);
    DocumentSection *section = arena_new0(wall->arena, DocumentSection);
    *document = (Document){.language = "en", .title = "Tonight", .head = line(wall, "Head"), .foot = "foot",
                           .foot_call = line(wall, "902 555 0142"), .page_of = "page {page} of {pages}", .list = TRUE,
                           .for_clinic = TRUE, .page_sign = "Tonight", .sections = arena_list(wall->arena)};
    section->role = "night";
    section->blocks = arena_list(wall->arena);
    g_ptr_array_add(document->sections, section);
    Block *hours = block(wall, BLOCK_HOURS, "hours", "6 pm/8 pm/10 pm/midnight/2 am/4 am/6 am");
    hours->title = line(wall, "Tuesday");
    hours->aside = line(wall, "Wednesday");
    for (int i = 0; i < dots; i++) {
        Block *dot = block(wall, BLOCK_ROW, "dot", "");
        dot->number = 96 + i;
        dot->along = along ? along[i] : i * 10;
        g_ptr_array_add(hours->items, dot);
    }
    Block *table = block(wall, BLOCK_NIGHT, "night", "time/code/medicine/phone/called/injected");
    for (int i = 0; i < rows; i++) {
        if (i == heading) {
            Block *day = block(wall, BLOCK_ROW, "heading", "");
            day->title = line(wall, "after midnight");
            g_ptr_array_add(table->items, day);
        }
        g_ptr_array_add(table->items, row(wall, 96 + i));
    }
    g_ptr_array_add(section->blocks, hours);
    g_ptr_array_add(section->blocks, table);
    g_ptr_array_add(section->blocks, block(wall, BLOCK_REMARKS, "remarks", "One remark./Another remark."));
    return document;
}

static Pages *lay_out(Wall *wall, const Document *document, gboolean large)
{
    return page_lay_out(wall->arena, wall->ink, document, page_spec(large ? Paper_A4 : Paper_LETTER, large),
                        wall->diagnostics);
}

/* ---- box by box ---- */

/* At the ends, at midnight, so near that dots are stacked, and just far enough. */
static const int along[] = {0, 1, 300, 300, 300, 322, 345, 360, 719, 720};

static void test_boxes(void **state)
{
    Wall *wall = *state;
    g_autoptr(GString) now = g_string_new(NULL);
    for (int large = 0; large < 2; large++)
        page_print(lay_out(wall, night(wall, 6, 4, along, G_N_ELEMENTS(along)), large), now);
    g_autofree char *pinned = NULL;
    assert_true(g_file_get_contents(TEST_DATA "/unit/wall.boxes", &pinned, NULL, NULL));
    if (strcmp(pinned, now->str) != 0)
        g_file_set_contents(".build/wall.boxes", now->str, -1, NULL);
    assert_string_equal(now->str, pinned);
}

/* ---- many ---- */

static void count(const PageBox *box, double left, gpointer dots)
{
    (void)left;
    *(int *)dots += box->kind == BOX_DOT;
}

static int dots_of(const Pages *pages)
{
    int dots = 0;
    for (int page = 0; page < page_count(pages); page++)
        box_visit(page_box(pages, page), count, &dots);
    return dots;
}

/* The hours have no dots when there are too many, in all or at one hour; each row has its number all the same. */
static void test_many(void **state)
{
    static const int same[9] = {300, 300, 300, 300, 300, 300, 300, 300, 300};
    Wall *wall = *state;
    assert_int_equal(dots_of(lay_out(wall, night(wall, 1, -1, same, 8), FALSE)), 1 + 8);
    assert_int_equal(dots_of(lay_out(wall, night(wall, 1, -1, same, 9), FALSE)), 1);
    assert_int_equal(dots_of(lay_out(wall, night(wall, 1, -1, NULL, 64), FALSE)), 1 + 64);
    assert_int_equal(dots_of(lay_out(wall, night(wall, 1, -1, NULL, 65), FALSE)), 1);
    const Pages *pages = lay_out(wall, night(wall, 40, -1, NULL, 40), FALSE);
    assert_int_equal(dots_of(pages), 80);
    assert_true(page_count(pages) > 2);
    assert_int_equal(diagnostics_count(wall->diagnostics), 0);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {TEST(test_boxes), TEST(test_many)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
