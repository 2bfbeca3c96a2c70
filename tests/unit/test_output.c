/* The finished file against the words it was made from: a sheet that says
 * anything else, or less, is not released. */
#include <cairo-pdf.h>
#include <gio/gio.h>
#include <string.h>

#include "output/artifact.h"
#include "output/finish.h"
#include "output/reader.h"
#include "output/rims.h"
#include "output/seal.h"
#include "page/page.h"

#include "output_fixture.h"

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

/* A time that was typed in is told once, where the sheet says when it was made, and on no page that she reads. */
static void test_typed_date(void **state)
{
    Fixture *fixture = *state;
    const char *made = line_text(fixture->arena, document_with(fixture, NULL, NULL)->made);
    assert_null(strstr(made, "typed in"));
    dated_by_hand = TRUE;
    Document *document = document_with(fixture, NULL, NULL);
    dated_by_hand = FALSE;
    assert_null(document->dated);
    assert_non_null(strstr(line_text(fixture->arena, document->made), "(typed)"));
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    int pages = 0, with = 0;
    assert_true(output_pages_with(bytes, "(typed)", &pages, &with));
    assert_true(pages > 1 && with == 1);
}

/* The first run of the document that holds these words says others. */
static gboolean change_block(Block *block, const char *old, const char *new, Arena *arena)
{
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *line = g_ptr_array_index(block->lines, i);
        for (guint j = 0; j < line->runs->len; j++) {
            Run *run = g_ptr_array_index(line->runs, j);
            const char *at = strstr(run->text, old);
            if (!at)
                continue;
            run->text = arena_format(arena, "%.*s%s%s", (int)(at - run->text), run->text, new, at + strlen(old));
            return TRUE;
        }
    }
    for (guint i = 0; i < block->items->len; i++)
        if (change_block(g_ptr_array_index(block->items, i), old, new, arena))
            return TRUE;
    return FALSE;
}

static Document *document_saying(Fixture *fixture, const char *old, const char *new)
{
    Document *document = document_with(fixture, NULL, NULL);
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        for (guint k = 0; k < section->blocks->len; k++)
            if (change_block(g_ptr_array_index(section->blocks, k), old, new, fixture->arena))
                return document;
    }
    fail_msg("no run says %s", old);
    return NULL;
}

/* A number that is the same with another unit is another amount; with a digit more, another number. */
static void test_other_amounts(void **state)
{
    static const char *const changes[][2] = {{"1\302\240mL", "1\302\240mg"},
                                             {"10,000\302\240units", "10,000\302\240mg"},
                                             {"11:30\302\240pm", "11:30\302\240am"}, {"10,000", "100,000"},
                                             {"0142", "0143"}};
    Fixture *fixture = *state;
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document_with(fixture, NULL, NULL), &on_a4,
                                         fixture->diagnostics);
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++) {
        Diagnostics *found = diagnostics_new(fixture->arena);
        Document *other = document_saying(fixture, changes[i][0], changes[i][1]);
        assert_false(output_read_back(other, bytes, NULL, found));
        assert_int_equal(finding_rule(diagnostics_at(found, 0)), RULE_read_back_differs);
    }
}

/* The boxes of a document's pages, as they would be drawn. */
static const GPtrArray *boxes_of(Fixture *fixture, Ink *ink, const Document *document)
{
    const Pages *pages = page_lay_out(fixture->arena, ink, document, page_spec(Paper_A4, FALSE), fixture->diagnostics);
    GPtrArray *boxes = arena_list(fixture->arena);
    for (int page = 0; page < page_count(pages); page++)
        g_ptr_array_add(boxes, (gpointer)page_box(pages, page));
    return boxes;
}

/* Each box must say its own words, letter for letter: also where no number is another one. */
static void test_other_words(void **state)
{
    static const char *const changes[][2] = {{"Wash", "Wish"}, {"Do not", "Do now"}, {"empty", "emptx"}};
    Fixture *fixture = *state;
    Document *document = document_with(fixture, NULL, NULL);
    g_autoptr(GBytes) bytes = output_pdf(fixture->arena, document, &on_a4, fixture->diagnostics);
    cairo_surface_t *surface = cairo_pdf_surface_create(NULL, 595, 842);
    cairo_t *cairo = cairo_create(surface);
    Ink *ink = ink_new(cairo, NULL);
    assert_true(ink && ink_set_language(ink, "en", NULL));
    g_autoptr(GArray) syringes = g_array_new(FALSE, FALSE, sizeof(DrawnSyringe));
    for (gsize i = 0; i <= G_N_ELEMENTS(changes); i++) {
        Diagnostics *found = diagnostics_new(fixture->arena);
        g_autoptr(GString) told = g_string_new(NULL);
        gboolean same = i == G_N_ELEMENTS(changes);
        Document *other = same ? document : document_saying(fixture, changes[i][0], changes[i][1]);
        output_read_back(other, bytes, &(Drawn){boxes_of(fixture, ink, other), syringes}, found);
        diagnostics_print(found, told, FALSE);
        assert_true(strstr(told->str, "a drawing differs") != NULL); /* none was drawn here */
        assert_int_equal(strstr(told->str, "it should say") != NULL, !same);
        assert_int_equal(strstr(told->str, "it says") != NULL, !same);
    }
    ink_free(ink);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
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

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {TEST(test_whole), TEST(test_other_values), TEST(test_cut_short),
                                       TEST(test_typed_date), TEST(test_other_amounts), TEST(test_other_words),
                                       TEST(test_finish_refuses), TEST(test_rims_of), TEST(test_rims_differ),
                                       TEST(test_seal), TEST(test_artifacts), TEST(test_marker),
                                       TEST(test_reader)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
