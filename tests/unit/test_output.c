/* The finished file against the words it was made from: a sheet that says
 * anything else, or less, is not released. */
#define _GNU_SOURCE /* memmem */
#include <cairo-pdf.h>
#include <gio/gio.h>
#include <string.h>

#include "output/output.h"
#include "output/artifact.h"
#include "output/finish.h"
#include "output/reader.h"
#include "output/rims.h"
#include "output/seal.h"
#include "reader/reader.h"

#include "cmocka_all.h"

#define BASE "tests/rules/base/"

typedef struct Fixture {
    Arena *arena;
    Diagnostics *diagnostics;
} Fixture;

static int setup(void **state)
{
    Fixture *fixture = g_new0(Fixture, 1);
    fixture->arena = arena_new();
    fixture->diagnostics = diagnostics_new(fixture->arena);
    *state = fixture;
    return 0;
}

static int teardown(void **state)
{
    Fixture *fixture = *state;
    arena_free(fixture->arena);
    g_free(fixture);
    return 0;
}

static Node *read_file(Fixture *fixture, const char *name, const char *old, const char *new)
{
    g_autofree char *text = NULL;
    g_autofree char *path = g_strconcat(BASE, name, NULL);
    assert_true(g_file_get_contents(path, &text, NULL, NULL));
    g_autoptr(GString) changed = g_string_new(text);
    if (old)
        g_string_replace(changed, old, new, 1);
    const Source *source = source_from_text(fixture->arena, name, changed->str, changed->len);
    return syntax_parse(fixture->arena, source, fixture->diagnostics);
}

/* The document of the clean clinic, with one text of the patient's file changed. */
static const Printing on_a4 = {.paper = Paper_A4};

static gboolean dated_by_hand = FALSE;

static Document *document_with(Fixture *fixture, const char *old, const char *new)
{
    Arena *arena = fixture->arena;
    Diagnostics *found = fixture->diagnostics;
    PlanContext context = {1795000000, "test", "0123456789abcdef", "", dated_by_hand, NULL, NULL};
    Plan *plan = plan_build(arena, reader_clinic(arena, read_file(fixture, "clinic.yaml", NULL, NULL), found),
                            reader_shelf(arena, read_file(fixture, "shelf.yaml", NULL, NULL), found),
                            reader_protocol(arena, read_file(fixture, "protocols/base.yaml", NULL, NULL), found),
                            reader_patient(arena, read_file(fixture, "patients/base.yaml", old, new), found), &context);
    Phrases *phrases = phrases_read(arena, "templates", "en", found, NULL);
    Template *template = template_read(arena, "templates", "home-injection", found, NULL);
    Document *document = wording_sheet(arena, plan, plan->injections, template, phrases,
            FALSE, found);
    assert_non_null(document);
    return document;
}

static void test_whole(void **state)
{
    Fixture *fixture = *state;
    Document *document = document_with(fixture, NULL, NULL);
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    assert_non_null(bytes);
    assert_int_equal(diagnostics_count(fixture->diagnostics), 0);
}

/* A page of another hour, person or sheet is told from the words at once. */
static void test_other_values(void **state)
{
    Fixture *fixture = *state;
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document_with(fixture, NULL, NULL), &on_a4,
                                         fixture->diagnostics);
    const char *changes[][2] = {{"clock: 11:30 am", "clock: 11:40 am"},
                                {"patient: base", "patient: other"},
                                {"lot: A1", "lot: A72"}};
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++) {
        Diagnostics *found = diagnostics_new(fixture->arena);
        Document *other = document_with(fixture, changes[i][0], changes[i][1]);
        assert_false(output_read_back(other, bytes, NULL, found));
        assert_int_equal(finding_rule(diagnostics_at(found, 0)), RULE_read_back_differs);
    }
}

/* A time that was typed in is marked on every page. */
static void test_typed_date(void **state)
{
    Fixture *fixture = *state;
    assert_null(document_with(fixture, NULL, NULL)->dated);
    dated_by_hand = TRUE;
    Document *document = document_with(fixture, NULL, NULL);
    dated_by_hand = FALSE;
    assert_string_equal(document->dated, "The date was typed in.");
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    int pages = 0, with = 0;
    assert_true(output_pages_with(bytes, "typed in.", &pages, &with));
    assert_true(pages > 1 && with == pages);
}

static void test_cut_short(void **state)
{
    Fixture *fixture = *state;
    Document *document = document_with(fixture, NULL, NULL);
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    gsize size = g_bytes_get_size(bytes);
    for (gsize part = 0; part < 4; part++) {
        g_autoptr(GBytes) cut = g_bytes_new_from_bytes(bytes, 0, size * part / 4);
        assert_false(output_read_back(document, cut, NULL, diagnostics_new(fixture->arena)));
    }
}

/* A scale of eleven marks, 36 points long, drawn in a frame that is shifted and twice as
 * large, and its rim; other strokes and a figure without a scale beside it.  A rim ends where
 * the marks do; another strong upright line is an arrow. */
static void test_rims_of(void **state)
{
    (void)state;
    g_autoptr(GString) content = g_string_new("/Figure <</MCID 3>> BDC q 2 0 0 2 100 50 cm 0.3 w\n");
    for (int i = 0; i <= 10; i++)
        g_string_append_printf(content, "%g 40 m %g 44 l S ", i * 1.8, i * 1.8);
    g_string_append(content, "1 w 9 40 m 9 60 l S 12 30 m 12 60 l S 0 0 m 5 5 l S (a \\( S) Tj Q EMC\n"
                             "/Figure <</MCID 4>> BDC 5 w 9 30 m 9 60 l S EMC /P <</MCID 5>> BDC 1 0 m 1 9 l S EMC");
    g_autoptr(GArray) drawn = g_array_new(FALSE, FALSE, sizeof(DrawnSyringe));
    DrawnFigures figures = {drawn, 0};
    output_rims_of(content->str, content->len, &figures);
    assert_int_equal(figures.count, 2);
    assert_int_equal(drawn->len, 1);
    const DrawnSyringe *syringe = &g_array_index(drawn, DrawnSyringe, 0);
    assert_int_equal(syringe->marks, 11);
    assert_true(syringe->pointed);
    assert_true(syringe->zero == 100 && syringe->last == 136 && syringe->rim == 118);
}

/* The base protocol draws 1 mL into a syringe of 3 mL with 31 marks, twice. */
static void test_rims_differ(void **state)
{
    Fixture *fixture = *state;
    Document *document = document_with(fixture, NULL, NULL);
    const double scale = 300, slack = 0.1 * 72 / 25.4;
    g_autoptr(GArray) drawn = g_array_new(FALSE, FALSE, sizeof(DrawnSyringe));
    DrawnSyringe right = {.zero = 10, .last = 10 + scale, .rim = 110, .marks = 31, .pointed = TRUE};
    g_array_append_val(drawn, right);
    g_autofree char *missing = output_rims_differ(document, drawn);
    assert_non_null(missing);
    g_array_append_val(drawn, right);
    assert_null(output_rims_differ(document, drawn));
    g_array_index(drawn, DrawnSyringe, 1).rim += slack * 1.1;
    g_autofree char *shifted = output_rims_differ(document, drawn);
    assert_non_null(shifted);
    g_array_index(drawn, DrawnSyringe, 1) = right;
    g_array_index(drawn, DrawnSyringe, 0).marks = 30;
    g_autofree char *mark = output_rims_differ(document, drawn);
    assert_non_null(mark);
    g_array_index(drawn, DrawnSyringe, 0) = right;
    g_array_append_val(drawn, right);
    g_autofree char *more = output_rims_differ(document, drawn);
    assert_non_null(more);
}

/* Bytes that are no PDF of ours, or a picture too few, are not finished. */
static void test_finish_refuses(void **state)
{
    (void)state;
    const char *bad[] = {"", "x", "%PDF-1.5\nstartxref\n5\n%%EOF\n", "startxref\n-3\n%%EOF\n",
            "startxref\n999999\n%%EOF\n"};
    g_autoptr(GPtrArray) none = g_ptr_array_new();
    FinishWords words = {.language = "en", .title = "title", .made = "2026-11-24T09:00:00Z", .record = "identity: a\n",
                         .alternatives = none};
    for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
        g_autoptr(GByteArray) bytes = g_byte_array_new();
        g_byte_array_append(bytes, (const guint8 *)bad[i], (guint)strlen(bad[i]));
        assert_null(output_finish(bytes, &words));
    }
}

/* Any byte that differs breaks the seal, also one behind the end. */
static void test_seal(void **state)
{
    Fixture *fixture = *state;
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document_with(fixture, NULL, NULL), &on_a4,
                                         fixture->diagnostics);
    gsize size;
    const guint8 *data = g_bytes_get_data(bytes, &size);
    assert_true(output_seal_holds(bytes));
    for (gsize at = 0; at <= size; at += size / 97) {
        g_autofree guint8 *other = g_malloc(size + 1);
        memcpy(other, data, size);
        other[at] = at < size ? other[at] ^ 1 : ' ';
        g_autoptr(GBytes) changed = g_bytes_new(other, MAX(size, at + 1));
        assert_false(output_seal_holds(changed));
    }
    const char *record = output_seal_record(fixture->arena, bytes);
    const char *identity = output_record_value(fixture->arena, record, "identity");
    assert_string_equal(output_record_value(fixture->arena, record, "check_code"),
                        plan_spoken_code(fixture->arena, identity));
    assert_null(output_record_value(fixture->arena, record, "ident"));
}

/* What stands between marks becomes an artifact; what is marked stays as it is. */
static void test_artifacts(void **state)
{
    (void)state;
    static const struct { const char *before, *after; } cases[] = {
        {"", "/Artifact BMC\n\nEMC\n"},
        {"q 0 0 5 5 re f Q", "/Artifact BMC\nq 0 0 5 5 re f Q\nEMC\n"},
        {"q\n/P << /MCID 0 >> BDC (a) Tj EMC\nf",
         "/Artifact BMC\nq\nEMC\n/P << /MCID 0 >> BDC (a) Tj EMC\n/Artifact BMC\nf\nEMC\n"},
        {"/P <<>> BDC /Span <<>> BDC EMC EMC",
         "/Artifact BMC\n\nEMC/P <<>> BDC /Span <<>> BDC EMC EMC\n/Artifact BMC\nEMC\n"},
        {"f /Span <</ActualText <feffBDC0>>> BDC EMC",
         "/Artifact BMC\nf\nEMC /Span <</ActualText <feffBDC0>>> BDC EMC\n/Artifact BMC\nEMC\n"},
        {"(EMC \\) BDC (EMC)) Tj /EMC gs", "/Artifact BMC\n(EMC \\) BDC (EMC)) Tj /EMC gs\nEMC\n"},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GString) out = g_string_new(NULL);
        output_mark_artifacts(cases[i].before, strlen(cases[i].before), out);
        g_autofree char *said = g_strdup(out->str), *wanted = g_strdup(cases[i].after);
        assert_string_equal(g_strstrip(said), g_strstrip(wanted));
    }
    assert_null(output_artifacts("no zlib", 7, NULL, NULL));
}

static void append_stream(GByteArray *file, const char *words)
{
    g_autoptr(GZlibCompressor) deflate = g_zlib_compressor_new(G_ZLIB_COMPRESSOR_FORMAT_ZLIB, 6);
    g_autofree char *before = g_strdup_printf("%u 0 obj\n<< /Length 9 0 R\n   /Filter /FlateDecode\n>>\nstream\n",
                                              file->len);
    char packed[200];
    gsize read, written;
    assert_int_equal(g_converter_convert(G_CONVERTER(deflate), words, strlen(words), packed, sizeof packed,
                                         G_CONVERTER_INPUT_AT_END, &read, &written, NULL), G_CONVERTER_FINISHED);
    g_byte_array_append(file, (const guint8 *)before, (guint)strlen(before));
    g_byte_array_append(file, (const guint8 *)packed, (guint)written);
    g_byte_array_append(file, (const guint8 *)"\nendstream\nendobj\n", 18);
}

static void append_content(const char *content, gsize length, gpointer text)
{
    g_string_append_len(text, content, (gssize)length);
}

/* A stream that was shown is marked as one that was not: the very bytes, and read when it is taken. */
static void test_marker(void **state)
{
    (void)state;
    static const char *const words[] = {"q 1 1 m Q", "0 0 9 9 re f", "S"};
    g_autoptr(GByteArray) file = g_byte_array_new();
    gsize starts[G_N_ELEMENTS(words)], lengths[G_N_ELEMENTS(words)];
    Marker *marker = output_marker_new();
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        const guint before = file->len;
        append_stream(file, words[i]);
        const char *stream = strstr((const char *)file->data + before, "stream\n") + strlen("stream\n");
        starts[i] = (gsize)(stream - (const char *)file->data);
        lengths[i] = file->len - starts[i] - 18;
        if (i < 2) /* the last is never shown */
            output_marker_show(marker, file);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        g_autoptr(GString) read = g_string_new(NULL), read_alone = g_string_new(NULL);
        const char *text = (const char *)file->data;
        g_autoptr(GByteArray) taken = output_marker_take(marker, i < 2 ? NULL : text, starts[i], lengths[i],
                                                         append_content, read);
        g_autoptr(GByteArray) alone = output_marker_take(NULL, text, starts[i], lengths[i], append_content, read_alone);
        assert_int_equal(taken->len, alone->len);
        assert_memory_equal(taken->data, alone->data, alone->len);
        assert_non_null(strstr(read->str, words[i]));
        assert_string_equal(read->str, read_alone->str);
    }
    output_marker_free(marker);
}

static cairo_status_t append(void *bytes, const unsigned char *data, unsigned int length)
{
    g_byte_array_append(bytes, data, length);
    return CAIRO_STATUS_SUCCESS;
}

/* Whichever thread reads a page, its words stand in its place. */
static void test_reader(void **state)
{
    (void)state;
    enum { PAGES = 23 };
    GByteArray *written = g_byte_array_new();
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(append, written, 200, 200);
    cairo_t *cairo = cairo_create(surface);
    for (int i = 0; i < PAGES; i++) {
        g_autofree char *words = g_strdup_printf("page%d", i);
        cairo_move_to(cairo, 20, 20);
        cairo_show_text(cairo, words);
        cairo_show_page(cairo);
    }
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    cairo_surface_destroy(surface);
    g_autoptr(GBytes) bytes = g_byte_array_free_to_bytes(written);
    g_autoptr(GPtrArray) texts = output_reader_end(output_reader_begin(bytes), NULL);
    assert_int_equal(texts->len, PAGES);
    for (int i = 0; i < PAGES; i++) {
        g_autofree char *words = g_strdup_printf("page%d", i);
        const ReadPage *page = g_ptr_array_index(texts, i);
        assert_int_equal(page->letters, g_utf8_strlen(page->text, -1));
        assert_string_equal(g_strstrip(page->text), words);
    }
    g_autoptr(GBytes) cut = g_bytes_new_from_bytes(bytes, 0, 40);
    g_autoptr(GError) error = NULL;
    assert_null(output_reader_end(output_reader_begin(cut), &error));
    assert_non_null(error);
}

/* ---- many in one file, and pictures ---- */

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
    OutputLaid *laid = output_lay_out(fixture->arena, document, Paper_A4, fixture->diagnostics, &error);
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
    const struct CMUnitTest tests[] = {TEST(test_whole), TEST(test_other_values), TEST(test_cut_short),
                                       TEST(test_typed_date),
                                       TEST(test_finish_refuses), TEST(test_rims_of), TEST(test_rims_differ),
                                       TEST(test_seal), TEST(test_artifacts), TEST(test_marker),
                                       TEST(test_reader), TEST(test_merged), TEST(test_merge_refuses), TEST(test_look),
                                       TEST(test_panels)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
