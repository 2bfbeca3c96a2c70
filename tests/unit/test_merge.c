/* Many sheets in one print file, pages as pictures, and the page on which a panel stands. */
#define _GNU_SOURCE /* memmem */
#include <cairo-pdf.h>
#include <gio/gio.h>
#include <string.h>

#include "output_fixture.h"

static gboolean append_merged(gpointer data, const void *bytes, gsize length, GError **error)
{
    (void)error;
    g_string_append_len(data, bytes, (gssize)length);
    return TRUE;
}

static gboolean write_nothing(gpointer data, const void *bytes, gsize length, GError **error)
{
    gint *left = data;
    (void)bytes, (void)length;
    if ((*left)-- > 0)
        return TRUE;
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOSPC, "full");
    return FALSE;
}

static GBytes *printed_for(Fixture *fixture, const char *old, const char *new)
{
    GBytes *bytes = output_pdf(fixture->arena, document_with(fixture, old, new), &on_a4, fixture->diagnostics);
    assert_non_null(bytes);
    return bytes;
}

/* Every object begins where the table says (ISO 32000-2, 7.5.4), and no other stands in the file. */
static int objects_in_table(const GString *file)
{
    const char *start = g_strrstr(file->str, "startxref\n");
    if (!start) /* g_strrstr ends at the first zero of a stream */
        start = (const char *)memmem(file->str + file->len - 40, 40, "startxref\n", 10);
    assert_non_null(start);
    int count = 0, used = 0;
    const char *table = file->str + atol(start + 10);
    assert_int_equal(sscanf(table, "xref 0 %d", &count), 1);
    const char *line = strchr(strchr(table, '\n') + 1, '\n') + 1;
    for (int object = 0; object < count; object++, line += 20) {
        if (line[17] != 'n')
            continue;
        g_autofree char *wanted = g_strdup_printf("%d 0 obj", object);
        assert_memory_equal(file->str + atol(line), wanted, strlen(wanted));
        used++;
    }
    assert_memory_equal(line, "trailer\n", 8);
    return used;
}

static int times_in(const GString *file, const char *words)
{
    int times = 0;
    const char *at = file->str, *end = file->str + file->len;
    while ((at = memmem(at, (gsize)(end - at), words, strlen(words))) != NULL) {
        at += strlen(words);
        times++;
    }
    return times;
}

/* Each key of the tree of parents (ISO 32000-2, 14.7.5.4) is that of one page or link, and none is left out. */
static void keys_are_whole(const GString *file)
{
    const char *next = memmem(file->str, file->len, "/ParentTreeNextKey ", 19), *end = file->str + file->len;
    assert_non_null(next);
    int keys = atoi(next + 19);
    g_autofree gboolean *seen = g_new0(gboolean, keys);
    for (const char *at = file->str; (at = memmem(at, (gsize)(end - at), "/StructParent", 13)) != NULL;) {
        at += 13 + (at[13] == 's');
        int key = atoi(at);
        assert_in_range(key, 0, keys - 1);
        assert_false(seen[key]);
        seen[key] = TRUE;
        g_autofree char *leads = g_strdup_printf("\n%d ", key), *first = g_strdup_printf("[\n%d ", key);
        assert_true(times_in(file, leads) > 0 || times_in(file, first) > 0);
    }
    for (int key = 0; key < keys; key++)
        assert_true(seen[key]);
}

/* The sheets' pages follow one another with the words that they have alone; tags and bookmarks lead to them. */
static void test_merged(void **state)
{
    Fixture *fixture = *state;
    g_autoptr(GString) file = g_string_new(NULL);
    g_autoptr(GError) error = NULL;
    GBytes *sheets[] = {printed_for(fixture, NULL, NULL), printed_for(fixture, "clock: 11:30 am", "clock: 11:40 am"),
                        output_blank("en", "This page is blank.", Paper_A4, &error)};
    const char *marks[] = {"One (A)", "Zwei \\ \303\274", NULL};
    g_autoptr(GString) blank = g_string_new_len(g_bytes_get_data(sheets[2], NULL), (gssize)g_bytes_get_size(sheets[2]));
    assert_int_equal(times_in(blank, "/S /Document"), 1); /* its words are tagged too */
    assert_int_equal(times_in(blank, "/S /P"), 1);
    Merge *merge = output_merge_new("A night", append_merged, file);
    int all = 0, alternatives = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(sheets); i++) {
        int pages = 0;
        g_autoptr(GString) sheet = g_string_new_len(g_bytes_get_data(sheets[i], NULL),
                                                    (gssize)g_bytes_get_size(sheets[i]));
        alternatives += times_in(sheet, "/Alt "); /* finish.c appends the objects that have it */
        assert_true(output_merge_add(merge, sheets[i], marks[i], &pages, &error));
        g_autoptr(GPtrArray) alone = output_page_texts(sheets[i]);
        assert_int_equal(pages, alone->len);
        all += pages;
    }
    assert_true(output_merge_end(merge, &error));
    output_merge_free(merge);
    assert_int_equal(times_in(file, " 0 obj\n") + times_in(file, " 0 obj "), objects_in_table(file));
    keys_are_whole(file);
    assert_true(alternatives > 10);
    assert_int_equal(times_in(file, "/Alt "), alternatives);
    assert_int_equal(times_in(file, "/Fit]"), 2);
    assert_int_equal(times_in(file, "/Lang (en)"), 1 + 2);
    assert_int_equal(times_in(file, "/StructTreeRoot"), 2); /* its own type, and where the catalogue names it */
    g_autofree char *count = g_strdup_printf("/Count %d >>", all);
    assert_int_equal(times_in(file, count), 1);

    g_autoptr(GBytes) merged = g_bytes_new(file->str, file->len);
    g_autoptr(GPtrArray) texts = output_page_texts(merged);
    assert_int_equal(texts->len, all);
    for (gsize i = 0, page = 0; i < G_N_ELEMENTS(sheets); i++) {
        g_autoptr(GPtrArray) alone = output_page_texts(sheets[i]);
        for (guint k = 0; k < alone->len; k++)
            assert_string_equal(g_ptr_array_index(alone, k), g_ptr_array_index(texts, page++));
        g_bytes_unref(sheets[i]);
    }
}

/* A file of which a part is gone is said to be damaged, and a disk that is full stops the work. */
static void test_merge_refuses(void **state)
{
    Fixture *fixture = *state;
    g_autoptr(GBytes) sheet = printed_for(fixture, NULL, NULL);
    for (gsize part = 0; part < 3; part++) { /* in the half that cairo wrote */
        g_autoptr(GString) file = g_string_new(NULL);
        g_autoptr(GBytes) cut = g_bytes_new_from_bytes(sheet, 0, g_bytes_get_size(sheet) * part / 6);
        g_autoptr(GError) error = NULL;
        int pages = 0;
        Merge *merge = output_merge_new("A night", append_merged, file);
        assert_false(output_merge_add(merge, cut, "One", &pages, &error));
        assert_non_null(error);
        output_merge_free(merge);
    }
    static const long moves[] = {1, -1, 20, 100000000};
    for (gsize i = 0; i < G_N_ELEMENTS(moves) + 1; i++) { /* where the newest table is said to be */
        g_autoptr(GString) file = g_string_new(NULL);
        g_autofree char *bytes = g_memdup2(g_bytes_get_data(sheet, NULL), g_bytes_get_size(sheet));
        char *end = bytes + g_bytes_get_size(sheet) - 40, *start = memmem(end, 40, "startxref\n", 10);
        long place = i < G_N_ELEMENTS(moves) ? atol(start + 10) + moves[i] : 0;
        g_autoptr(GString) moved = g_string_new_len(bytes, start + 10 - bytes);
        g_string_append_printf(moved, "%ld\n%%%%EOF\n", place);
        g_autoptr(GBytes) damaged = g_bytes_new(moved->str, moved->len);
        g_autoptr(GError) error = NULL;
        int pages = 0;
        Merge *merge = output_merge_new("A night", append_merged, file);
        assert_false(output_merge_add(merge, damaged, "One", &pages, &error));
        assert_non_null(error);
        output_merge_free(merge);
    }
    for (int fails = 0; fails < 12; fails++) {
        g_autoptr(GError) error = NULL;
        int left = fails, pages = 0;
        Merge *merge = output_merge_new("A night", write_nothing, &left);
        if (output_merge_add(merge, sheet, "One", &pages, &error))
            assert_false(output_merge_end(merge, &error));
        assert_string_equal(error->message, "full");
        output_merge_free(merge);
    }
}

typedef struct Picture {
    const unsigned char *at;
    gsize left;
} Picture;

static cairo_status_t take(void *data, unsigned char *bytes, unsigned int length)
{
    Picture *picture = data;
    if (length > picture->left)
        return CAIRO_STATUS_READ_ERROR;
    memcpy(bytes, picture->at, length);
    picture->at += length;
    picture->left -= length;
    return CAIRO_STATUS_SUCCESS;
}

/* How dark each of 8 x 12 fields of a picture is, in thousandths. */
static void darkness(GBytes *png, int width, int fields[96])
{
    Picture picture = {g_bytes_get_data(png, NULL), g_bytes_get_size(png)};
    cairo_surface_t *surface = cairo_image_surface_create_from_png_stream(take, &picture);
    assert_int_equal(cairo_surface_status(surface), CAIRO_STATUS_SUCCESS);
    assert_int_equal(cairo_image_surface_get_width(surface), width);
    int high = cairo_image_surface_get_height(surface), stride = cairo_image_surface_get_stride(surface);
    assert_in_range(high, width * 297 / 210 - 1, width * 297 / 210 + 1); /* A4 */
    gint64 dark[96] = {0}, all[96] = {0};
    for (int y = 0; y < high; y++) {
        const guint8 *bytes = cairo_image_surface_get_data(surface) + (gsize)y * (gsize)stride;
        const guint32 *row = (const guint32 *)(const void *)bytes;
        for (int x = 0; x < width; x++) {
            int field = y * 12 / high * 8 + x * 8 / width;
            dark[field] += 765 - (gint64)((row[x] & 255) + (row[x] >> 8 & 255) + (row[x] >> 16 & 255));
            all[field] += 765;
        }
    }
    cairo_surface_destroy(surface);
    for (int i = 0; i < 96; i++)
        fields[i] = (int)(dark[i] * 1000 / all[i]);
}

#define HATCH 46 /* thousandths: a field full of a barrel's hatch, whose hairlines poppler draws paler */

/* What is looked at on a screen is what poppler makes of the printed page. */
static void test_look(void **state)
{
    Fixture *fixture = *state;
    Document *document = document_with(fixture, NULL, NULL);
    g_autoptr(GBytes) printed = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    g_autoptr(GPtrArray) texts = output_page_texts(printed);
    g_autoptr(GError) error = NULL;
    for (int page = 0; page < 2; page++) {
        int pages = 0, looked[96], painted[96];
        g_autoptr(GBytes) look = output_look(fixture->arena, document, Paper_A4, page, 420, &pages,
                                             fixture->diagnostics, &error);
        g_autoptr(GBytes) picture = output_picture(printed, page, 420, &error);
        assert_int_equal(pages, texts->len);
        darkness(look, 420, looked);
        darkness(picture, 420, painted);
        for (int i = 0; i < 96; i++)
            assert_in_range(looked[i] + HATCH, painted[i], painted[i] + 2 * HATCH);
    }
    int pages = 0;
    assert_null(output_look(fixture->arena, document, Paper_A4, (int)texts->len, 420, &pages, fixture->diagnostics,
                            &error));
    assert_null(output_picture(printed, (int)texts->len, 420, &error));
    assert_non_null(error);
}

/* How many of a panel's longer words a page has: poppler reads them in the order of lines. */
static int words_on(const char *page, const char *words)
{
    int found = 0;
    g_auto(GStrv) each = g_strsplit_set(words, " .,\302\240", -1);
    for (gsize i = 0; each[i]; i++)
        found += strlen(each[i]) > 4 && strstr(page, each[i]) != NULL;
    return found;
}

/* Each panel stands on the page that has most of its words. */
static void each_panel(const Block *block, OutputLaid *laid, Arena *arena, const GPtrArray *texts, int *panels)
{
    if (block->kind == BLOCK_PANEL) {
        const char *words = line_text(arena, g_ptr_array_index(block->lines, 0));
        int page = output_page_of(block, laid);
        assert_in_range(page, 1, texts->len);
        int here = words_on(g_ptr_array_index(texts, page - 1), words);
        for (guint i = 0; i < texts->len; i++)
            assert_true(words_on(g_ptr_array_index(texts, i), words) <= here);
        (*panels)++;
    }
    for (guint i = 0; i < block->items->len; i++)
        each_panel(g_ptr_array_index(block->items, i), laid, arena, texts, panels);
}

static void test_panels(void **state)
{
    Fixture *fixture = *state;
    Document *document = document_with(fixture, NULL, NULL);
    g_autoptr(GBytes) printed = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    g_autoptr(GPtrArray) texts = output_page_texts(printed);
    g_autoptr(GError) error = NULL;
    OutputLaid *laid = output_lay_out(fixture->arena, document, Paper_A4, FALSE, fixture->diagnostics, &error);
    assert_non_null(laid);
    int panels = 0;
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        for (guint k = 0; k < section->blocks->len; k++)
            each_panel(g_ptr_array_index(section->blocks, k), laid, fixture->arena, texts, &panels);
    }
    assert_true(panels > 12);
    const Block stranger = {.lines = arena_list(fixture->arena), .items = arena_list(fixture->arena)};
    assert_int_equal(output_page_of(&stranger, laid), 0);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {TEST(test_merged), TEST(test_merge_refuses), TEST(test_look), TEST(test_panels)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
