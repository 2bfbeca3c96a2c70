/* The page maker on documents made by hand: where rails are thick, where pages end, what is
 * refused, and where boxes stand on a page that runs from the right. */
#include <cairo-pdf.h>
#include <math.h>
#include <string.h>

#include "output/read_boxes.h"
#include "page/grid.h"
#include "page/page.h"

#include "cmocka_all.h"

typedef struct Desk {
    Arena *arena;
    Diagnostics *diagnostics;
    cairo_surface_t *surface;
    cairo_t *cairo;
    Ink *ink;
    Document document;
} Desk;

static cairo_status_t drop(void *closure, const unsigned char *data, unsigned int length)
{
    (void)closure, (void)data, (void)length;
    return CAIRO_STATUS_SUCCESS;
}

static Line *line(Desk *desk, const char *text)
{
    Line *made = arena_new0(desk->arena, Line);
    Run *run = arena_new0(desk->arena, Run);
    run->text = text;
    made->runs = arena_list(desk->arena);
    g_ptr_array_add(made->runs, run);
    return made;
}

static Block *block(Desk *desk, BlockKind kind, const char *text)
{
    Block *made = arena_new0(desk->arena, Block);
    made->kind = kind;
    made->role = "test";
    made->lines = arena_list(desk->arena);
    made->items = arena_list(desk->arena);
    made->figures = arena_list(desk->arena);
    if (text)
        g_ptr_array_add(made->lines, line(desk, text));
    return made;
}

static DocumentSection *section(Desk *desk, const char *role, gboolean new_page)
{
    DocumentSection *made = arena_new0(desk->arena, DocumentSection);
    made->role = role;
    made->new_page = new_page;
    made->blocks = arena_list(desk->arena);
    g_ptr_array_add(desk->document.sections, made);
    return made;
}

static Block *band(Desk *desk, DocumentSection *in, const char *title)
{
    Block *made = block(desk, BLOCK_BAND, NULL);
    made->title = line(desk, title);
    g_ptr_array_add(in->blocks, made);
    return made;
}

static Block *panel(Desk *desk, Block *in, int number, NeedleState needle, const char *text)
{
    Block *made = block(desk, BLOCK_PANEL, text);
    made->number = number;
    made->needle = needle;
    g_ptr_array_add(in->items, made);
    return made;
}

static int setup(void **state)
{
    Desk *desk = g_new0(Desk, 1);
    desk->arena = arena_new();
    desk->diagnostics = diagnostics_new(desk->arena);
    desk->surface = cairo_pdf_surface_create_for_stream(drop, NULL, 612, 792);
    desk->cairo = cairo_create(desk->surface);
    desk->ink = ink_new(desk->cairo, NULL);
    assert_non_null(desk->ink);
    desk->document = (Document){.language = "en", .title = "Title", .head = line(desk, "Head"),
                                .foot_call = line(desk, "902 555 0142"), .foot = "sheet 1",
                                .page_of = "page {page} of {pages}", .sections = arena_list(desk->arena)};
    *state = desk;
    return 0;
}

static int teardown(void **state)
{
    Desk *desk = *state;
    ink_free(desk->ink);
    cairo_destroy(desk->cairo);
    cairo_surface_destroy(desk->surface);
    arena_free(desk->arena);
    g_free(desk);
    return 0;
}

static Pages *lay_out(Desk *desk, Paper paper, gboolean large)
{
    PageSpec spec = page_spec(paper, large);
    return page_lay_out(desk->arena, desk->ink, &desk->document, spec, desk->diagnostics);
}

/* ---- what is looked for ---- */

typedef struct Search {
    const char *words; /* NULL: thick rules */
    double y, left, width, height;
    guint found;
} Search;

static void look(const PageBox *box, double left, gpointer data)
{
    Search *search = data;
    gboolean thick = box->kind == BOX_RULE && fabs(box->weight - RULE_BARE) < 0.01;
    gboolean words = box->kind == BOX_TEXT && search->words &&
                     g_str_has_prefix(box_words(box->arena, box), search->words);
    if (search->words ? !words : !thick)
        return;
    search->found++;
    search->y = box->y;
    search->left = left;
    search->width = box->width;
    search->height = box->height;
}

static Search find(const Pages *pages, int page, const char *words)
{
    Search search = {.words = words};
    box_visit(page_box(pages, page), look, &search);
    return search;
}

/* The page on which the words begin; -1: none. */
static int page_with(const Pages *pages, const char *words)
{
    for (int page = 0; page < page_count(pages); page++)
        if (find(pages, page, words).found > 0)
            return page;
    return -1;
}

/* ---- rails ---- */

/* Thick from the panel in which the cap comes off, to the middle of the one that puts the needle away. */
static void test_rails(void **state)
{
    Desk *desk = *state;
    Block *work = band(desk, section(desk, "work", FALSE), "Work");
    panel(desk, work, 1, NEEDLE_COVERED, "Wash.");
    panel(desk, work, 2, NEEDLE_UNCOVERED, "Cap off.");
    panel(desk, work, 3, NEEDLE_PUT_AWAY, "Into the box.");
    const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
    assert_int_equal(page_count(pages), 1);
    Search thick = find(pages, 0, NULL), second = find(pages, 0, "2"), third = find(pages, 0, "3");
    assert_int_equal(thick.found, 1);
    assert_true(thick.left > second.left && thick.left < second.left + 14);
    assert_true(thick.left + thick.width > third.left && thick.left + thick.width < third.left + COLUMN);
    assert_true(find(pages, 0, "Wash.").y == find(pages, 0, "Into the box.").y); /* one row */
}

/* ---- where pages end ---- */

static const char *const long_words =
    "Push the needle into the liquid vial. Push the air in. Turn over. Pull until the rim is on the line. Then wait, "
    "and read the line again aloud before you go on to the next panel of this row, slowly and with both hands.";

/* Forty panels do not go on one page; no leaf is turned between the cap's coming off and going on. */
static void test_bare_stretch(void **state)
{
    Desk *desk = *state;
    Block *work = band(desk, section(desk, "work", FALSE), "Work");
    for (int i = 1; i <= 40; i++) {
        NeedleState needle = i < 20 || i > 27 ? NEEDLE_COVERED : i == 20 ? NEEDLE_UNCOVERED
                             : i == 27 ? NEEDLE_PUT_AWAY : NEEDLE_BARE;
        panel(desk, work, i, needle, arena_format(desk->arena, "Act%d. %s", i, long_words));
    }
    const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
    assert_true(page_count(pages) > 1);
    int first = page_with(pages, "Act20."), last = page_with(pages, "Act27.");
    assert_true(first >= 0 && (first == last || (last == first + 1 && first % 2 == 1))); /* counted from 0 */
}

/* A stretch that no page holds lies on two that lie open together, however many leaves are before it. */
static void test_bare_across(void **state)
{
    Desk *desk = *state;
    for (int before = 0; before < 3; before++) {
        desk->document.sections = arena_list(desk->arena);
        for (int i = 0; i < before; i++)
            panel(desk, band(desk, section(desk, "before", TRUE), "Before"), 1, NEEDLE_COVERED, "Read.");
        Block *work = band(desk, section(desk, "work", TRUE), "Work");
        for (int i = 1; i <= 30; i++) {
            NeedleState needle = i < 4 || i > 26 ? NEEDLE_COVERED : i == 4 ? NEEDLE_UNCOVERED
                                 : i == 26 ? NEEDLE_PUT_AWAY : NEEDLE_BARE;
            panel(desk, work, i, needle, arena_format(desk->arena, "Act%d. %s", i, long_words));
        }
        const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
        assert_int_equal(diagnostics_count(desk->diagnostics), 0);
        int first = page_with(pages, "Act4."), last = page_with(pages, "Act26.");
        assert_true(first > 0 && last == first + 1 && first % 2 == 1); /* counted from 0 */
    }
}

/* Filling and injecting, a page each, lie open together: an even page and the odd one behind it. */
static void test_facing(void **state)
{
    Desk *desk = *state;
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    Block *fill = band(desk, section(desk, "fill", TRUE), "Fill");
    panel(desk, fill, 2, NEEDLE_UNCOVERED, "Fill it.");
    panel(desk, fill, 3, NEEDLE_PUT_AWAY, "Cap on.");
    DocumentSection *given = section(desk, "inject", TRUE);
    given->faces = TRUE;
    panel(desk, band(desk, given, "Inject"), 4, NEEDLE_COVERED, "Inject it.");
    const Pages *pages = lay_out(desk, Paper_A4, FALSE);
    assert_int_equal(page_count(pages), 3);
    assert_int_equal(page_with(pages, "Fill it."), 1);
    assert_int_equal(page_with(pages, "Inject it."), 2);
    assert_true(find(pages, 0, "page 1 of 3").found == 1);
}

/* A needle that is bare is never bare across two pages while one page more avoids it. */
static void test_bare_on_one_page(void **state)
{
    Desk *desk = *state;
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    Block *work = band(desk, section(desk, "work", TRUE), "Work");
    for (int i = 2; i <= 30; i++) {
        NeedleState needle = i < 18 || i > 25 ? NEEDLE_COVERED : i == 18 ? NEEDLE_UNCOVERED
                             : i == 25 ? NEEDLE_PUT_AWAY : NEEDLE_BARE;
        panel(desk, work, i, needle, arena_format(desk->arena, "Act%d. %s", i, long_words));
    }
    const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
    assert_true(page_count(pages) > 2);
    assert_true(page_with(pages, "Act18.") > 0);
    assert_int_equal(page_with(pages, "Act18."), page_with(pages, "Act25."));
}

/* "shared": the next section goes on upon the same page, though it wants a new one. */
static void test_shared(void **state)
{
    Desk *desk = *state;
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    DocumentSection *kits = section(desk, "kits", TRUE);
    panel(desk, band(desk, kits, "Kits"), 2, NEEDLE_COVERED, "Look.");
    panel(desk, band(desk, section(desk, "fill", TRUE), "Fill"), 3, NEEDLE_COVERED, "Fill it.");
    assert_int_equal(page_count(lay_out(desk, Paper_LETTER, FALSE)), 3);
    kits->shares = TRUE;
    const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
    assert_int_equal(page_count(pages), 2);
    assert_int_equal(page_with(pages, "Fill it."), 1);
}

/* Page one of so many paragraphs, with a kit, and the work on the page behind it. */
static void with_kit(Desk *desk, guint paragraphs)
{
    desk->document.sections = arena_list(desk->arena);
    DocumentSection *first = section(desk, "first", FALSE);
    for (guint i = 0; i < paragraphs; i++)
        g_ptr_array_add(first->blocks, block(desk, BLOCK_TEXT, long_words));
    Block *pair = block(desk, BLOCK_PAIR, NULL), *left = block(desk, BLOCK_COLUMNS, NULL);
    Block *note = block(desk, BLOCK_NOTE, "See page "), *kit = block(desk, BLOCK_KIT, long_words);
    Line *page = line(desk, "?");
    left->columns = 1;
    note->role = "kit-page";
    ((Run *)g_ptr_array_index(page->runs, 0))->page_of = "kits";
    g_ptr_array_add(note->lines, page);
    kit->title = line(desk, "The kit");
    g_ptr_array_add(left->items, block(desk, BLOCK_TEXT, "Times."));
    g_ptr_array_add(left->items, note);
    g_ptr_array_add(pair->items, left);
    g_ptr_array_add(pair->items, kit);
    g_ptr_array_add(first->blocks, pair);
    panel(desk, band(desk, section(desk, "fill", TRUE), "Fill"), 1, NEEDLE_COVERED, "Fill it.");
}

/* A kit for which page one has no room stands behind the work, and page one says where; else nothing does. */
static void test_kit_last(void **state)
{
    Desk *desk = *state;
    const Pages *pages = NULL;
    guint paragraphs = 0;
    do {
        with_kit(desk, ++paragraphs);
        pages = lay_out(desk, Paper_LETTER, FALSE);
        assert_int_equal(page_count(pages), 2);
        assert_int_equal(find(pages, 0, "See page ").found, page_with(pages, "The kit") == 0 ? 0 : 1);
    } while (page_with(pages, "The kit") == 0);
    assert_true(paragraphs > 5);
    assert_int_equal(page_with(pages, "The kit"), 1);
    assert_int_equal(find(pages, 0, "2").found, 1);
    assert_true(find(pages, 1, "The kit").y > find(pages, 1, "Fill it.").y);
}

/* The kits of two injections, of so many paragraphs, on the page of the first work. */
static void with_kits(Desk *desk, guint paragraphs)
{
    desk->document.sections = arena_list(desk->arena);
    Block *note = block(desk, BLOCK_TEXT, "See page ");
    Line *page = line(desk, "?");
    ((Run *)g_ptr_array_index(page->runs, 0))->page_of = "kits";
    g_ptr_array_add(note->lines, page);
    g_ptr_array_add(section(desk, "first", FALSE)->blocks, note);
    DocumentSection *kits = section(desk, "kits", TRUE);
    kits->shares = TRUE;
    for (guint i = 0; i < paragraphs; i++)
        g_ptr_array_add(kits->blocks, block(desk, BLOCK_TEXT, i == 0 ? "The kits." : long_words));
    Block *fill = band(desk, section(desk, "fill", TRUE), "Fill");
    panel(desk, fill, 1, NEEDLE_UNCOVERED, "Fill it.");
    panel(desk, fill, 2, NEEDLE_PUT_AWAY, "Cap on.");
    g_ptr_array_add(section(desk, "last", TRUE)->blocks, block(desk, BLOCK_TEXT, "After it."));
}

/* On how many places of all pages the words begin. */
static guint times_on(const Pages *pages, const char *words)
{
    guint times = 0;
    for (int page = 0; page < page_count(pages); page++)
        times += find(pages, page, words).found;
    return times;
}

/* Kits for which the page of the first work has no room stand at the end, and page one names their page. */
static void test_kits_last(void **state)
{
    Desk *desk = *state;
    const Pages *pages = NULL;
    guint paragraphs = 0;
    do {
        with_kits(desk, ++paragraphs);
        pages = lay_out(desk, Paper_LETTER, FALSE);
        assert_int_equal(page_count(pages), 3);
        assert_int_equal(page_with(pages, "Fill it."), 1);
        assert_int_equal(find(pages, 0, page_with(pages, "The kits.") == 1 ? "2" : "3").found, 1);
    } while (page_with(pages, "The kits.") == 1);
    assert_true(paragraphs > 5);
    assert_int_equal(page_with(pages, "The kits."), 2);
    assert_true(find(pages, 2, "The kits.").y > find(pages, 2, "After it.").y);
}

/* Where the end is no better place they stand where they stood, and nothing of the sheet is lost or said twice. */
static void test_kits_back(void **state)
{
    static const char *const words[] = {"The kits.", "After it.", "Why it is so.", "Fill it."};
    Desk *desk = *state;
    guint at_front = 0, at_end = 0;
    for (guint paragraphs = 1; paragraphs < 60; paragraphs++) {
        Block *why = block(desk, BLOCK_TEXT, "Why it is so.");
        why->role = "why"; /* it closes the sheet */
        with_kits(desk, paragraphs);
        const GPtrArray *sections = desk->document.sections;
        g_ptr_array_add(((DocumentSection *)g_ptr_array_index(sections, sections->len - 1))->blocks, why);
        const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
        for (gsize i = 0; i < G_N_ELEMENTS(words); i++)
            assert_int_equal(times_on(pages, words[i]), 1);
        gboolean front = page_with(pages, "The kits.") <= page_with(pages, "Fill it.");
        at_front += front && paragraphs > 20; /* more than the page of the first work holds */
        at_end += !front;
        assert_true(page_with(pages, "Why it is so.") >= page_with(pages, "After it."));
    }
    assert_true(at_front > 0 && at_end > 0);
}

/* Work of so many panels on the third page, and so many paragraphs behind it. */
static const Pages *work_and_more(Desk *desk, int panels, guint behind)
{
    desk->document.sections = arena_list(desk->arena);
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    panel(desk, band(desk, section(desk, "fill", TRUE), "Fill"), 2, NEEDLE_COVERED, "Fill it.");
    Block *work = band(desk, section(desk, "inject", TRUE), "Inject");
    for (int i = 1; i <= panels; i++) {
        NeedleState needle = i < 5 || i > 7 ? NEEDLE_COVERED : i == 5 ? NEEDLE_UNCOVERED
                             : i == 7 ? NEEDLE_PUT_AWAY : NEEDLE_BARE;
        panel(desk, work, i + 2, needle, arena_format(desk->arena, "Act%d. %s", i, long_words));
    }
    DocumentSection *last = section(desk, "last", FALSE);
    for (guint i = 0; i < behind; i++)
        g_ptr_array_add(last->blocks, block(desk, BLOCK_TEXT, long_words));
    return lay_out(desk, Paper_LETTER, FALSE);
}

/* Work that one page holds stands on it, however much is behind it: no leaf is turned before all is put away. */
static void test_work_unturned(void **state)
{
    Desk *desk = *state;
    int panels = 8;
    while (page_count(work_and_more(desk, panels + 1, 0)) == 3)
        panels++;
    g_autofree char *act = g_strdup_printf("Act%d.", panels);
    for (guint behind = 0; behind < 30; behind++) {
        const Pages *pages = work_and_more(desk, panels, behind);
        assert_int_equal(page_with(pages, "Act1."), 2);
        assert_int_equal(page_with(pages, act), 2);
    }
}

/* That the date was typed in stands on every page, in the foot of large print too; the code stands beside the
 * page's number. */
static void test_dated(void **state)
{
    Desk *desk = *state;
    desk->document.dated = "The date was typed in.";
    desk->document.foot = "Sheet 1 \302\267 order R-1 \302\267 code ABCDE";
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    panel(desk, band(desk, section(desk, "work", TRUE), "Work"), 2, NEEDLE_COVERED, "Do.");
    for (int large = 0; large < 2; large++) {
        const Pages *pages = lay_out(desk, Paper_LETTER, large);
        for (int page = 0; page < page_count(pages); page++)
            assert_int_equal(find(pages, page, "The date was typed in.").found, 1);
    }
    const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
    assert_true(fabs(find(pages, 1, "code ABCDE").y - find(pages, 1, "page 2 of 2").y) < 0.01);
    assert_int_equal(find(pages, 1, "Sheet 1 \302\267 order R-1").found, 1);
}

/* The running head ends above what the page begins with, in every script and both sizes. */
static void test_head_above(void **state)
{
    static const char *const heads[] = {"Nora X. FH-1 800 units", "Nora X. FH-1 800 \345\215\225\344\275\215",
                                        "Nora X. FH-1 800 \331\210\330\255\330\257\330\251"};
    Desk *desk = *state;
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    g_ptr_array_add(section(desk, "after", TRUE)->blocks, block(desk, BLOCK_TEXT, "This is normal."));
    for (gsize i = 0; i < G_N_ELEMENTS(heads); i++) {
        desk->document.head = line(desk, heads[i]);
        for (int large = 0; large < 2; large++) {
            const Pages *pages = lay_out(desk, Paper_LETTER, large);
            Search head = find(pages, 1, "Nora X."), text = find(pages, 1, "This is normal.");
            assert_true(head.found == 1 && text.found == 1 && head.y + head.height <= text.y + 0.01);
        }
    }
}

/* What no page holds is refused with how much too long it is, and type does not shrink. */
static void test_too_long(void **state)
{
    Desk *desk = *state;
    g_autoptr(GString) words = g_string_new("Endless. ");
    for (int i = 0; i < 60; i++)
        g_string_append(words, long_words);
    panel(desk, band(desk, section(desk, "work", FALSE), "Work"), 1, NEEDLE_COVERED, words->str);
    assert_int_equal(page_count(lay_out(desk, Paper_LETTER, FALSE)), 0);
    assert_int_equal(diagnostics_open(desk->diagnostics, SEVERITY_ERROR), 1);
    assert_int_equal(finding_rule(diagnostics_at(desk->diagnostics, 0)), RULE_does_not_fit);
    g_autoptr(GString) told = g_string_new(NULL);
    diagnostics_print(desk->diagnostics, told, FALSE);
    int tall = 0, takes = 0, lines = 0;
    const char *facts = strstr(told->str, "what begins \"Endless. Push the needle");
    assert_non_null(facts);
    assert_int_equal(sscanf(strstr(facts, "\" is "), "\" is %d mm tall, on a page that takes %d mm", &tall, &takes), 2);
    assert_int_equal(sscanf(strchr(facts, '\n'), "%d lines too many", &lines), 1);
    assert_in_range(takes, 200, 279);                                   /* of Letter's 279 mm */
    assert_in_range(lines, (tall - takes) / 6, (tall - takes) / 5 + 1); /* 12.3 points are 4.3 mm, and some air */
}

/* A long title ends before what stands at the far end beside it, or begins below. */
static void test_title(void **state)
{
    Desk *desk = *state;
    panel(desk, band(desk, section(desk, "first", FALSE), "First"), 1, NEEDLE_COVERED, "Read.");
    desk->document.clinic = "House";
    desk->document.dated = "The date was typed in, and that by somebody else.";
    g_autoptr(GString) title = g_string_new("Title");
    for (int words = 0; words < 20; words++) {
        desk->document.title = g_string_append(title, " of work")->str;
        const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
        Search name = find(pages, 0, "Title"), house = find(pages, 0, "House");
        Search dated = find(pages, 0, "The date was typed in");
        assert_true(name.found == 1 && dated.found == 1 && house.found == 1);
        if (words > 12) /* longer than a line is */
            assert_true(name.left + name.width <= dated.left || name.y >= dated.y + dated.height - 0.01);
        assert_true(dated.y >= house.y + house.height - 0.01);
    }
}

static void count_small(const PageBox *box, double left, gpointer least)
{
    (void)left;
    if (box->kind == BOX_TEXT && box->tag)
        *(double *)least = MIN(*(double *)least, box->style.size);
}

/* Everything read is set at 12.3 points, 18 in large print (American Council of the Blind: 18). */
static void test_type(void **state)
{
    Desk *desk = *state;
    Block *work = band(desk, section(desk, "work", FALSE), "Work");
    panel(desk, work, 1, NEEDLE_COVERED, long_words);
    for (int large = 0; large < 2; large++) {
        double least = 99;
        box_visit(page_box(lay_out(desk, Paper_LETTER, large), 0), count_small, &least);
        assert_true(fabs(least - (large ? 18 : 12.3)) < 0.01);
    }
}

/* ---- whom to call ---- */

/* Who answers stands beside the number as long as 20 mm are left, 40 in large print; else below it. */
static void test_beside_number(void **state)
{
    Desk *desk = *state;
    Block *call = block(desk, BLOCK_CALL, NULL), *phone = block(desk, BLOCK_PHONE, NULL);
    call->title = line(desk, "Call");
    g_ptr_array_add(section(desk, "call", FALSE)->blocks, call);
    g_ptr_array_add(call->items, phone);
    for (int large = 0; large < 2; large++) {
        double free = 999, step = 0;
        g_autoptr(GString) number = g_string_new("77");
        for (gboolean beside = TRUE; beside; g_string_append(number, " 5")) {
            g_ptr_array_set_size(phone->lines, 0);
            g_ptr_array_add(phone->lines, line(desk, arena_copy(desk->arena, number->str)));
            g_ptr_array_add(phone->lines, line(desk, "all"));
            const Pages *pages = lay_out(desk, Paper_LETTER, large);
            Search digits = find(pages, 0, "77"), who = find(pages, 0, "all");
            beside = who.left > digits.left + 1;
            assert_true(!beside || fabs(who.y - digits.y) < digits.height / 2);
            assert_true(beside || who.y >= digits.y + digits.height - 0.01);
            step = beside && free < 900 ? MAX(step, free - who.width) : step;
            free = beside ? who.width : free;
        }
        const double least = large ? 40 : 20;
        assert_true(step > 1 && free >= least && free - step < least);
    }
}

/* Panels that begin with the same words are told apart: each stands on one page, in its order. */
static void test_same_words(void **state)
{
    enum { PANELS = 120 };
    Desk *desk = *state;
    Block *work = band(desk, section(desk, "work", FALSE), "Work");
    for (int i = 1; i <= PANELS; i++)
        panel(desk, work, i, NEEDLE_COVERED, "Push the needle in with one quick move, and hold it still.");
    for (int large = 0; large < 2; large++) {
        const Pages *pages = lay_out(desk, Paper_A4, large);
        int words = 0;
        assert_true(page_count(pages) > 2);
        for (int page = 0; page < page_count(pages); page++)
            words += find(pages, page, "Push the needle in").found;
        assert_int_equal(words, PANELS);
    }
}

/* ---- from the right ---- */

static void test_from_right(void **state)
{
    Desk *desk = *state;
    Block *work = band(desk, section(desk, "work", FALSE), "Work");
    panel(desk, work, 1, NEEDLE_COVERED, "One.");
    panel(desk, work, 2, NEEDLE_COVERED, "Two.");
    desk->document.right_to_left = TRUE;
    const Pages *pages = lay_out(desk, Paper_LETTER, FALSE);
    Search one = find(pages, 0, "1"), two = find(pages, 0, "2");
    assert_true(one.left > two.left);
    assert_true(fabs(one.left + one.width - (215.9 + BLOCK_WIDTH) / 2) < 0.1);
}

/* ---- reading ---- */

/* Two labels of a picture that a reader joins without a space are told apart by their places. */
static void test_apart(void **state)
{
    Desk *desk = *state;
    const FigureShape shape = {.kind = FIGURE_NIGHT};
    PageBox drawing = {.kind = BOX_DRAWING, .width = 100, .height = 20, .shape = &shape, .arena = desk->arena};
    PageBox page = {.kind = BOX_GROUP, .width = 200, .height = 200, .arena = desk->arena};
    box_take(&page, &drawing);
    char text[] = "18:0023:00";
    double x[] = {1, 3, 5, 7, 9, 51, 53, 55, 57, 59}, y[10] = {0}, wide[10];
    for (int i = 0; i < 10; i++)
        wide[i] = 2;
    const ReadPage read = {text, x, y, wide, 10};
    g_autoptr(GArray) boxes = output_read_boxes(&page, &read);
    assert_int_equal(boxes->len, 2);
    assert_string_equal(g_strstrip(g_array_index(boxes, ReadBox, 0).text->str), "18:00 23:00");
    assert_string_equal(g_array_index(boxes, ReadBox, 1).text->str, "");
}

int main(void)
{
#define TEST(test) cmocka_unit_test_setup_teardown(test, setup, teardown)
    const struct CMUnitTest tests[] = {TEST(test_rails), TEST(test_bare_stretch), TEST(test_bare_across),
                                       TEST(test_facing),
                                       TEST(test_bare_on_one_page), TEST(test_shared), TEST(test_kit_last),
                                       TEST(test_kits_last), TEST(test_kits_back), TEST(test_work_unturned),
                                       TEST(test_dated), TEST(test_head_above), TEST(test_too_long), TEST(test_title),
                                       TEST(test_type), TEST(test_beside_number), TEST(test_same_words),
                                       TEST(test_from_right), TEST(test_apart)};
    return cmocka_run_group_tests_name("page", tests, NULL, NULL);
}
