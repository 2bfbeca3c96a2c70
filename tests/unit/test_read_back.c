/* Small pages, drawn here, against small documents: what the reading back lets pass and what it says. */
#include <cairo-pdf.h>
#include <string.h>

#include "output/seal.h"
#include "page/page.h"

#include "output_fixture.h"

#define SIGN "LIST"
#define SPACE "\302\240"

/* ---- pages ---- */

static cairo_status_t append(void *bytes, const unsigned char *data, unsigned int length)
{
    g_byte_array_append(bytes, data, length);
    return CAIRO_STATUS_SUCCESS;
}

/* A line of words at 20 mm and another one each 10 mm further down, a page behind each form feed.  (Two lone
 * digits with a space between come back as one word.) */
static GBytes *drawn(const char *text, gboolean sealed)
{
    GByteArray *written = g_byte_array_new();
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(append, written, 595, 842);
    cairo_t *cairo = cairo_create(surface);
    g_auto(GStrv) pages = g_strsplit(text, "\f", -1);
    cairo_select_font_face(cairo, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    for (char **page = pages; *page; page++) {
        g_auto(GStrv) lines = g_strsplit(*page, "\n", -1);
        for (guint i = 0; lines[i]; i++) {
            cairo_move_to(cairo, 20 / INK_POINT, (20 + 10 * i) / INK_POINT);
            cairo_show_text(cairo, lines[i]);
        }
        cairo_show_page(cairo);
    }
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    cairo_surface_destroy(surface);
    g_autofree char *keys = output_seal_keys("list: yes\n");
    GString *file = g_string_new_len((const char *)written->data, written->len);
    g_string_append_printf(file, "%s\n%%%%EOF\n", keys);
    if (sealed)
        output_seal_fill(file);
    g_byte_array_unref(written);
    return g_string_free_to_bytes(file);
}

/* ---- documents ---- */

static Line *line_of(Arena *arena, const char *text)
{
    Line *line = arena_new0(arena, Line);
    Run *run = arena_new0(arena, Run);
    line->runs = arena_list(arena);
    run->from_value = *text == '='; /* what is printed of a value */
    run->text = text + run->from_value;
    g_ptr_array_add(line->runs, run);
    return line;
}

static Block *block_of(Arena *arena, BlockKind kind, int number, const char *text)
{
    Block *block = arena_new0(arena, Block);
    *block = (Block){.kind = kind, .number = number, .lines = arena_list(arena), .items = arena_list(arena),
                     .figures = arena_list(arena)};
    if (text)
        g_ptr_array_add(block->lines, line_of(arena, text));
    return block;
}

/* A list of one section. */
static Document *list(Arena *arena)
{
    Document *document = arena_new0(arena, Document);
    DocumentSection *section = arena_new0(arena, DocumentSection);
    section->blocks = arena_list(arena);
    *document = (Document){.language = "en", .title = "", .foot = "", .list = TRUE, .page_sign = SIGN,
                           .sections = arena_list(arena)};
    g_ptr_array_add(document->sections, section);
    return document;
}

static Block *add(Document *document, Block *block)
{
    const DocumentSection *section = g_ptr_array_index(document->sections, 0);
    g_ptr_array_add(section->blocks, block);
    return block;
}

static int by_words(gconstpointer left, gconstpointer right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

/* What is found on those pages, sorted, with a comma between. */
static void expect_drawn(const Document *document, const char *text, const Drawn *boxes, const char *wanted)
{
    Arena *arena = arena_new();
    Diagnostics *found = diagnostics_new(arena);
    g_autoptr(GBytes) bytes = drawn(text, TRUE);
    g_autoptr(GString) told = g_string_new(NULL), said = g_string_new(NULL);
    gboolean same = output_read_back(document, bytes, boxes, found);
    assert_int_equal(same, diagnostics_count(found) == 0);
    diagnostics_print(found, told, FALSE);
    g_auto(GStrv) lines = g_strsplit(told->str, "\n", -1);
    g_autoptr(GPtrArray) facts = g_ptr_array_new();
    for (char **line = lines; *line; line++)
        if (strchr(*line, '"'))
            g_ptr_array_add(facts, g_strstrip(*line));
    g_ptr_array_sort(facts, by_words);
    for (guint i = 0; i < facts->len; i++)
        g_string_append_printf(said, "%s%s", i > 0 ? ", " : "", (const char *)g_ptr_array_index(facts, i));
    assert_string_equal(said->str, wanted);
    arena_free(arena);
}

static void expect(const Document *document, const char *text, const char *wanted)
{
    expect_drawn(document, text, NULL, wanted);
}

/* ---- numbers ---- */

static void test_numbers(void **state)
{
    static const struct { const char *words, *page, *said;
    } cases[] = {
        {"take 5 now", "take 5 now", ""},
        {"take 5 now", "take 6 now", "it says \"6\", it should say \"5\""},
        {"take 5 now", "take now", "it should say \"5\""},
        {"take now", "take 5 now", "it says \"5\""},
        {"5 and 5", "5", "it should say \"5\""},
        {"5", "5 and 5", ""}, /* a head stands on each page */
        {"10,000 at 11:30", "10,000 at 11:30", ""},
        {"10,000 at 11:30", "10.000 at 11,30",
         "it says \"10.000\", it says \"11,30\", it should say \"10,000\", it should say "
         "\"11:30\""},
        {"0.5", "0 or 5", "it says \"5\", it should say \"0.5\""},
        {"at 5.", "at 5, or:", ""},
        {"5" SPACE "mL", "5" SPACE "mL", ""},
        {"5" SPACE "mL", "5 mL", ""},
        {"5" SPACE "mL", "5 mLto fill", ""},
        {"5" SPACE "mL", "5 mg", "it should say \"5 mL\""},
        {"5" SPACE "mL", "5  mL", ""}, /* the reader gives two spaces as one */
        {"5 mL", "5 mg", ""},
        {"5" SPACE "mL and 5" SPACE "mL", "5 mL and 5 mLto", ""},
        {"5" SPACE "mL and 5" SPACE "mL", "5 mL and 5 ml", "it should say \"5 mL\""},
        {"5" SPACE "%", "5" SPACE "&", ""}, /* no letters, no unit */
        {"0142 902", "0142902", ""},
        {"142 902", "142902", ""},
        {"14 290", "14290", "it says \"14290\", it should say \"14\", it should say \"290\""},
        {"142 90", "14290", "it says \"14290\", it should say \"142\", it should say \"90\""},
        {"142 902", "142903", "it says \"142903\", it should say \"142\", it should say \"902\""},
        {"142 902", "143902", "it says \"143902\", it should say \"142\", it should say \"902\""},
        {"142902 142 902", "142902 142 902", ""},
        {"142902 142 902", "142902", "it should say \"142\", it should say \"902\""},
    };
    Fixture *fixture = *state;
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Document *document = list(fixture->arena);
        g_autofree char *page = g_strdup_printf(SIGN "\n%s", cases[i].page);
        add(document, block_of(fixture->arena, BLOCK_TEXT, 0, cases[i].words));
        expect(document, page, cases[i].said);
    }
    Document *many = list(fixture->arena);
    g_autoptr(GBytes) page = drawn(SIGN, TRUE);
    add(many, block_of(fixture->arena, BLOCK_TEXT, 0, "11 22 33 44 55 66"));
    assert_false(output_read_back(many, page, NULL, fixture->diagnostics));
    assert_int_equal(diagnostics_count(fixture->diagnostics), 5);
}

/* Words that run from the right come in the order of the eye: their units are not compared. */
static void test_from_right(void **state)
{
    Fixture *fixture = *state;
    Document *document = list(fixture->arena);
    document->right_to_left = TRUE;
    add(document, block_of(fixture->arena, BLOCK_TEXT, 0, "=5" SPACE "word"));
    expect(document, SIGN "\n5 drow", "");
    expect(document, SIGN "\n6 drow", "it says \"6\", it should say \"5\"");
    Document *first = list(fixture->arena);
    first->second = document;
    add(first, block_of(fixture->arena, BLOCK_TEXT, 0, "=7" SPACE "mL"));
    expect(first, SIGN "\n7 mL\f" SIGN "\n5 drow", "");
    expect(first, SIGN "\n7 Lm\f" SIGN "\n5 drow", "it should say \"7 mL\", it should say \"7mL\"");
    g_autoptr(GBytes) bytes = drawn("\327\251\327\234\327\225\327\235 5", FALSE);
    g_autoptr(GPtrArray) texts = output_page_texts(bytes);
    for (const char *at = g_ptr_array_index(texts, 0); *at; at = g_utf8_next_char(at))
        assert_false(g_utf8_get_char(at) >= 0x2000 && g_utf8_get_char(at) < 0x2070);
}

/* The numbers of the running head and foot may stand there, those of pages and steps too. */
static void test_furniture(void **state)
{
    Fixture *fixture = *state;
    Document *document = list(fixture->arena);
    DocumentSection *section = g_ptr_array_index(document->sections, 0);
    Line **const lines[] = {&document->head,   &document->foot_call, &document->foot_more,
                            &document->person, &document->made,      &section->head};
    const char **const texts[] = {&document->foot, &document->dated, &document->clinic};
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++) {
        expect(document, SIGN "\n77", "it says \"77\"");
        *lines[i] = line_of(fixture->arena, "77");
        expect(document, SIGN "\n77", "");
        *lines[i] = NULL;
    }
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        *texts[i] = "77";
        expect(document, SIGN "\n77", "");
        *texts[i] = i == 0 ? "" : NULL;
    }
    expect(document, SIGN "\n0 and 1", "");
    expect(document, SIGN "\n2", "it says \"2\"");
    expect(document, SIGN "\n2\f" SIGN, "");
    add(document, block_of(fixture->arena, BLOCK_PANEL, 2, NULL));
    expect(document, SIGN "\n2", "");
}

/* Each row of a list shows its number, but for those of the hours. */
static void test_rows(void **state)
{
    Fixture *fixture = *state;
    Document *document = list(fixture->arena);
    Block *night = add(document, block_of(fixture->arena, BLOCK_NIGHT, 0, NULL));
    for (int row = 41; row <= 42; row++)
        g_ptr_array_add(night->items, block_of(fixture->arena, BLOCK_ROW, row, NULL));
    g_ptr_array_add(night->items, block_of(fixture->arena, BLOCK_ROW, 0, NULL));
    g_ptr_array_add(night->items, block_of(fixture->arena, BLOCK_TEXT, 43, NULL));
    expect(document, SIGN "\n41 42", "");
    expect(document, SIGN "\n42", "it should say \"41\"");
    expect(document, SIGN "\n41", "it should say \"42\"");
    night->kind = BLOCK_HOURS;
    expect(document, SIGN, "");
}

/* ---- words ---- */

static void test_values(void **state)
{
    Fixture *fixture = *state;
    Document *document = list(fixture->arena);
    Block *block = add(document, block_of(fixture->arena, BLOCK_TEXT, 0, "said by nobody"));
    expect(document, SIGN, ""); /* what is no value is not looked for here */
    g_ptr_array_add(block->lines, line_of(fixture->arena, "=Maren T. (at)"));
    expect(document, SIGN "\nMaren T. at", "");
    expect(document, SIGN "\nMa ren", "");
    expect(document, SIGN "\nMareen", "it should say \"Maren\"");
    Block *inner = block_of(fixture->arena, BLOCK_TEXT, 0, "=Friday;one:two/six,and");
    g_ptr_array_add(block->items, inner);
    expect(document, SIGN "\nMaren Friday one two six and", "");
    expect(document, SIGN "\nMaren Monday one two",
           "it should say \"Friday\", it should say \"and\", it should say \"six\"");
    Document *first = list(fixture->arena);
    first->second = document;
    expect(first, SIGN "\nFriday one two six and", "it should say \"Maren\"");
}

/* A panel begins with its number and its first twelve letters, behind the one before it. */
static void test_steps(void **state)
{
    Fixture *fixture = *state;
    Document *document = list(fixture->arena);
    Block *band = add(document, block_of(fixture->arena, BLOCK_BAND, 0, NULL));
    Block *first = block_of(fixture->arena, BLOCK_PANEL, 1, "Wash your hands now."), *second =
        block_of(fixture->arena, BLOCK_PANEL, 2, "Wipe.");
    second->half = "b";
    g_ptr_array_add(band->items, first);
    g_ptr_array_add(band->items, second);
    expect(document, SIGN "\n1 Wash your hands now.\n2b Wipe.", "");
    expect(document, SIGN "\n1 Wash your handy.\n2b Wipe.", "");
    expect(document, SIGN "\n1 Wash your has.\n2b Wipe.", "out of order or missing: step \"1Washyourhand\"");
    expect(document, SIGN "\n2b Wipe.\n1 Wash your hands now.", "out of order or missing: step \"2bWipe.\"");
    expect(document, SIGN "\n1 Wash your hands now.\n2a Wipe.", "out of order or missing: step \"2bWipe.\"");
    expect(document, SIGN "\n2 Wash your hands now.\n2b Wipe.", "out of order or missing: step \"1Washyourhand\"");
    g_ptr_array_set_size(second->lines, 0); /* only a picture */
    expect(document, SIGN "\n1 Wash your hands now.", "");
    document->right_to_left = TRUE;
    expect(document, SIGN "\n1", "");
}

/* ---- pages and the file ---- */

static void test_pages(void **state)
{
    Fixture *fixture = *state;
    Document *document = list(fixture->arena);
    expect(document, SIGN "\f" SIGN, "");
    expect(document, SIGN "\nx\f" "other", "a page lacks \"" SIGN "\"");
    Diagnostics *found = fixture->diagnostics;
    g_autoptr(GBytes) open = drawn(SIGN, FALSE);
    assert_false(output_read_back(document, open, NULL, found));
    g_autoptr(GString) told = g_string_new(NULL);
    diagnostics_print(found, told, FALSE);
    assert_non_null(strstr(told->str, "it lacks \"its own seal\""));
    g_autoptr(GBytes) three = drawn("one two\fone\ftwo", TRUE);
    int pages = 0, with = 0;
    assert_true(output_pages_with(three, "two", &pages, &with));
    assert_true(pages == 3 && with == 2);
    g_autoptr(GBytes) nothing = g_bytes_new_static("no file", 7);
    assert_false(output_pages_with(nothing, "two", &pages, &with));
    assert_true(pages == 0 && with == 0);
    assert_null(output_page_texts(nothing));
}

/* ---- boxes ---- */

static PageBox *page_with(Arena *arena, BoxPile *pile)
{
    box_pile_begin(pile, arena);
    PageBox *page = box_open(pile, NULL);
    page->width = 210;
    return page;
}

static PageBox *box(Arena *arena, BoxPile *pile, BoxKind kind, double y, const char *text)
{
    PageBox *one = box_add(pile, kind, 19, y, 60, 6);
    InkRun *run = arena_new0(arena, InkRun);
    run->text = text;
    one->style.size = 10;
    one->runs = run;
    one->count = text ? 1 : 0;
    return one;
}

static void test_boxes(void **state)
{
    Fixture *fixture = *state;
    BoxPile pile;
    PageBox *page = page_with(fixture->arena, &pile);
    g_autoptr(GArray) syringes = g_array_new(FALSE, FALSE, 1);
    GPtrArray *pages = arena_list(fixture->arena);
    const Drawn boxes = {pages, syringes};
    Document *document = list(fixture->arena);
    g_ptr_array_add(pages, page);
    PageBox *sign = box(fixture->arena, &pile, BOX_TEXT, 15, SIGN);
    PageBox *words = box(fixture->arena, &pile, BOX_TEXT, 25, "Caf\303\251 5");
    PageBox *picture = box(fixture->arena, &pile, BOX_DRAWING, 35, NULL);
    Block *block = add(document, block_of(fixture->arena, BLOCK_TEXT, 0, "5"));
    expect_drawn(document, SIGN "\nCaf\303\251 5", &boxes, "");
    expect_drawn(document, SIGN "\nCafe 5", &boxes, "it says \"Cafe5\", it should say \"Caf\303\2515\"");
    expect_drawn(document, SIGN "\nCaf\303\251", &boxes, "it says \"Caf\303\251\", it should say \"Caf\303\2515\"");
    expect_drawn(document, SIGN "\nCaf\303\251 5\n\n\n\n\nstray", &boxes, "outside every box it says \"stray\"");
    expect_drawn(document, SIGN "\nCaf\303\251 5\n66", &boxes, "it says \"66\"");
    expect_drawn(document, SIGN "\nCaf\303\251 5\nany words", &boxes, "");
    words->runs = &(InkRun){"Cafe\314\201 5", FALSE, NULL}; /* the same letter in two characters */
    expect_drawn(document, SIGN "\nCaf\303\251 5", &boxes, "");
    expect_drawn(document, SIGN "\nCaf\303\251 5\f" SIGN "\n77", &boxes, "it says \"77\""); /* of no known boxes */
    g_ptr_array_add(block->lines, line_of(fixture->arena, "=Maren"));
    expect_drawn(document, SIGN "\nCaf\303\251 5\nMaren", &boxes, "");
    page->from_right = TRUE;
    sign->x = words->x = picture->x = 210 - 19 - 60;
    expect_drawn(document, SIGN "\n5 x\nMaren", &boxes, ""); /* there numbers alone are compared */
    expect_drawn(document, SIGN "\n6 x\nMaren", &boxes, "it says \"6\", it should say \"5\"");
}

/* ---- the numbers on barrels ---- */

/* Numbers that a syringe has printed on it may stand on the page, and no others. */
static void test_barrels(void **state)
{
    Fixture *fixture = *state;
    const Document *whole = document_with(fixture, NULL, NULL);
    const char *code = plan_value(whole->plan, NULL, VALUE_person_code)->text;
    PlanInjection injection = *whole->injection, other = injection;
    Syringe syringe = *injection.syringe, larger = syringe;
    Document document = *whole;
    DocumentSection section = {.blocks = arena_list(fixture->arena)};
    document.sections = arena_list(fixture->arena);
    g_ptr_array_add(document.sections, &section);
    document.title = "";
    document.injection = &injection;
    injection.syringe = injection.mixing_syringe = &syringe;
    larger.capacity.quantity.number = rational_make(6, 1);
    larger.number_every.quantity.number = rational_make(2, 1);
    syringe.capacity.quantity.number = rational_make(3, 1);
    syringe.number_every.quantity.number = rational_make(1, 2);
    const struct { const Syringe *mixing, *others; Marks marks; const char *page, *said; } cases[] = {
        {&syringe, NULL, Marks_ML, "0 0.5 1 1.5 2 2.5 3", ""},
        {&syringe, NULL, Marks_ML, "3.5 4 300", "it says \"3.5\", it says \"300\", it says \"4\""},
        {&larger, NULL, Marks_ML, "0.5 2 4 6", ""},
        {&larger, NULL, Marks_ML, "5 and 8", "it says \"5\", it says \"8\""},
        {&syringe, NULL, Marks_U100, "50 100 300", ""},
        {&syringe, NULL, Marks_U100, "0.5 and 350", "it says \"0.5\", it says \"350\""},
        {NULL, NULL, Marks_ML, "2.5", ""},
        {&syringe, &larger, Marks_ML, "4 and 6", ""},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *page = g_strdup_printf("%s\n%s", code, cases[i].page);
        injection.mixing_syringe = cases[i].mixing;
        other.syringe = other.mixing_syringe = cases[i].others;
        section.injection = cases[i].others ? &other : NULL;
        syringe.marks.value = cases[i].marks;
        expect(&document, page, cases[i].said);
    }
    injection.syringe = injection.mixing_syringe = NULL; /* a pen */
    section.injection = NULL;
    g_autofree char *page = g_strdup_printf("%s\n2.5", code);
    expect(&document, page, "it says \"2.5\"");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {TEST(test_numbers), TEST(test_from_right), TEST(test_furniture), TEST(test_rows),
                                       TEST(test_values), TEST(test_steps), TEST(test_pages), TEST(test_boxes),
                                       TEST(test_barrels)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
