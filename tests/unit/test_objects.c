/* A file of a few objects, written here by hand, is finished and put together with others: every byte of what
 * comes out is said here, by ISO 32000-2 (7.5 for tables, 14.7 and 14.8 for tags, 14.9.2 and 14.9.3 for
 * languages and alternatives). */
#define _GNU_SOURCE /* memmem */
#include <gio/gio.h>
#include <string.h>

#include "output/finish.h"
#include "output/output.h"

#include "cmocka_all.h"

/* ---- a file of numbered objects ---- */

typedef struct Written {
    GString *text;
    GArray *places; /* of gsize, by object; 0: free */
} Written;

static Written written_new(void)
{
    return (Written){g_string_new(NULL), g_array_new(FALSE, TRUE, sizeof(gsize))};
}

static void written_free(Written *written)
{
    g_string_free(written->text, TRUE);
    g_array_unref(written->places);
}

static void put_place(Written *written, guint object)
{
    if (written->places->len <= object)
        g_array_set_size(written->places, object + 1);
    g_array_index(written->places, gsize, object) = written->text->len;
}

static void put_bytes(Written *written, guint object, const char *body, gsize length)
{
    put_place(written, object);
    g_string_append_printf(written->text, "%u 0 obj\n", object);
    g_string_append_len(written->text, body, (gssize)length);
    g_string_append(written->text, "\nendobj\n");
}

static void put(Written *written, guint object, const char *body) { put_bytes(written, object, body, strlen(body)); }

static void put_stream(Written *written, guint object, const char *keys, const char *bytes, gsize length)
{
    g_autoptr(GString) body = g_string_new(NULL);
    g_string_append_printf(body, "<< %s >>\nstream\n", keys);
    g_string_append_len(body, bytes, (gssize)length);
    g_string_append(body, "\nendstream");
    put_bytes(written, object, body->str, body->len);
}

static void put_table(Written *written, const char *trailer)
{
    gsize start = written->text->len;
    g_string_append_printf(written->text, "xref\n0 %u\n0000000000 65535 f \n", written->places->len);
    for (guint i = 1; i < written->places->len; i++) {
        gsize place = g_array_index(written->places, gsize, i);
        g_string_append_printf(written->text, "%010zu %05d %c \n", place, place ? 0 : 65535, place ? 'n' : 'f');
    }
    g_string_append_printf(written->text, "trailer\n<< /Size %u\n%s>>\nstartxref\n%zu\n%%%%EOF\n", written->places->len,
                           trailer, start);
}

/* ---- what cairo might have written ---- */

#define CONTENT "q 1 0 0 1 0 0 cm /P <</MCID 0>> BDC (12 0 R) Tj EMC f Q"

static GByteArray *packed(const char *words)
{
    g_autoptr(GZlibCompressor) deflate = g_zlib_compressor_new(G_ZLIB_COMPRESSOR_FORMAT_ZLIB, 6);
    GByteArray *out = g_byte_array_new();
    char room[400];
    gsize read, made;
    assert_int_equal(g_converter_convert(G_CONVERTER(deflate), words, strlen(words), room, sizeof room,
                                         G_CONVERTER_INPUT_AT_END, &read, &made, NULL), G_CONVERTER_FINISHED);
    g_byte_array_append(out, (const guint8 *)room, (guint)made);
    return out;
}

enum { CATALOGUE = 1, ABOUT, NODE, PAGE, STREAM, LENGTH, FIGURE, HEADING, PART, TELEPHONE, DOWN, OUTSIDE, FONT, LAST,
       TREE, KEYS, LINES, COUNT };

/* Body by object; those of STREAM and FONT are made. */
static const char *const bodies[COUNT] = {
    [CATALOGUE] = "<< /Type /Catalog\n   /Pages 3 0 R\n   /StructTreeRoot 15 0 R\n   /Outlines 17 0 R\n>>",
    [ABOUT] = "<< /Producer (cairo \\(of a test\\) 7 0 R)\n>>",
    [NODE] = "<< /Type /Pages\n   /Kids [ 4 0 R ]\n   /Count 1\n>>",
    [PAGE] = "<< /Type /Page\n   /Parent 3 0 R\n   /StructParents 0\n   /Annots [ 10 0 R 11 0 R 12 0 R ]\n"
             "   /Contents 5 0 R\n   /Rest [ .5 -1.5 11 0 Rx 12 0 /R#20e 1 (a \\) (7 0 R) b) 4 0 R]\n>>",
    [FIGURE] = "<< /Type /StructElem\n   /S /Figure\n   /P 9 0 R\n>>",
    [HEADING] = "<< /Type /StructElem\n   /S /TH\n   /P 9 0 R\n>>",
    [PART] = "<< /Type /StructElem\n   /S /Sect\n   /P 15 0 R\n   /K [ 7 0 R 8 0 R 14 0 R ]\n>>",
    [TELEPHONE] =
        "<< /Type /Annot\n   /Subtype /Link\n   /A << /S /URI /URI (tel:+15550142) >>\n   /StructParent 1\n>>",
    [DOWN] = "<< /Type /Annot\n   /Subtype /Link\n   /Dest (low)\n   /StructParent 2\n>>",
    [OUTSIDE] = "<< /Type /Annot\n   /Subtype /Link\n   /A << /S /URI /URI (other:1) >>\n   /StructParent 3\n>>",
    [LAST] = "<< /Type /StructElem\n   /S /Figure\n   /P 9 0 R\n>>",
    [TREE] = "<< /Type /StructTreeRoot\n   /ParentTree 16 0 R\n   /K [ 9 0 R  8 0 R ]\n>>",
    [KEYS] = "<< /Nums [\n0 7 0 R 1 8 0 R\n2 9 0 R 3 14 0 R ] >>",
    [LINES] = "<< /Type /Outlines >>",
};

/* What stands in the font's stream is none of the tags, and no number in it is a reference. */
#define FONT_BYTES "/S /Figure 7 0 R"

typedef struct Change {
    int object;
    const char *body;    /* instead of its own */
    const char *trailer; /* instead of the file's own */
    long length;         /* added to the stated length of the content */
} Change;

/* The file, with one thing changed. */
static GByteArray *drawn(const Change *change)
{
    Written file = written_new();
    g_autoptr(GByteArray) content = packed(CONTENT);
    g_string_append(file.text, "%PDF-1.5\n");
    for (guint object = CATALOGUE; object < COUNT; object++) {
        g_autofree char *length = g_strdup_printf("   %ld", content->len + change->length);
        const char *body = (int)object == change->object ? change->body : object == LENGTH ? length : bodies[object];
        if (object == STREAM && change->object != STREAM)
            put_stream(&file, object, "/Length 6 0 R\n   /Filter /FlateDecode\n", (const char *)content->data,
                       content->len);
        else if (object == FONT)
            put_stream(&file, object, "/Length 16", FONT_BYTES, strlen(FONT_BYTES));
        else if (body)
            put(&file, object, body);
    }
    g_array_set_size(file.places, COUNT);
    put_table(&file, change->trailer ? change->trailer : "   /Root 1 0 R\n   /Info 2 0 R\n");
    GByteArray *bytes = g_byte_array_new();
    g_byte_array_append(bytes, (const guint8 *)file.text->str, (guint)file.text->len);
    written_free(&file);
    return bytes;
}

static const char *const languages[] = {"de", NULL};

static GBytes *finished(const Change *change, guint alternatives)
{
    g_autoptr(GPtrArray) texts = g_ptr_array_new();
    static const char *const words[] = {"A", "B)", "C"};
    for (guint i = 0; i < alternatives; i++)
        g_ptr_array_add(texts, (gpointer)words[i]);
    const FinishWords finish = {.language = "en-GB",
                                .parts = languages,
                                .title = "A & B",
                                .made = "2026-11-24T09:00:00Z",
                                .record = "k: v\n",
                                .alternatives = texts};
    g_autoptr(GByteArray) bytes = drawn(change);
    return output_finish(bytes, &finish);
}

static const Change none = {0};

/* ---- finishing ---- */

#define PACKET "<?xpacket begin=\"\xef\xbb\xbf\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" \
    "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">" \
    "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" " \
    "xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"><dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">A &amp; B</rdf:li>" \
    "</rdf:Alt></dc:title><dc:language><rdf:Bag><rdf:li>en-GB</rdf:li></rdf:Bag></dc:language>" \
    "<xmp:CreateDate>2026-11-24T09:00:00Z</xmp:CreateDate></rdf:Description></rdf:RDF></x:xmpmeta>\n" \
    "<?xpacket end=\"r\"?>"

/* The object as it was, with a key more at its end. */
static void put_more(Written *file, guint object, const char *more)
{
    gsize length = strlen(bodies[object]) - strlen(">>");
    g_autofree char *body = g_strdup_printf("%.*s   %s\n>>", (int)length, bodies[object], more);
    put(file, object, body);
}

/* A table of those objects alone that are new (7.5.6). */
static void put_update(Written *file, gsize previous)
{
    gsize start = file->text->len;
    g_string_append(file->text, "xref\n");
    for (guint object = 0; object < file->places->len; object++) {
        gsize place = g_array_index(file->places, gsize, object);
        if (place)
            g_string_append_printf(file->text, "%u 1\n%010zu 00000 n \n", object, place);
    }
    g_string_append_printf(file->text,
                           "trailer\n<< /Size %u /Root 1 0 R /Info 2 0 R /Prev %zu >>\nstartxref\n%zu\n%%%%EOF\n",
                           COUNT + 1, previous, start);
}

static void test_finished(void **state)
{
    (void)state;
    Written wanted = written_new();
    g_autoptr(GByteArray) before = drawn(&none), content = packed(CONTENT);
    g_string_append_len(wanted.text, (const char *)before->data, before->len);
    gsize previous = (gsize)((char *)memmem(before->data, before->len, "xref\n0 ", 7) - (char *)before->data);
    g_autofree char *keys = g_strdup_printf("/Length %zu", strlen(PACKET));
    g_autofree char *packet_keys = g_strdup_printf("/Type /Metadata /Subtype /XML %s", keys);
    put_stream(&wanted, COUNT, packet_keys, PACKET, strlen(PACKET));
    put_more(&wanted, CATALOGUE,
             "/Lang (en-GB)\n   /ViewerPreferences << /DisplayDocTitle true /PrintScaling /None >>\n"
             "   /Metadata 18 0 R");
    put_more(&wanted, ABOUT, "/DosewrightRecord <FEFF006B003A00200076000A>\n   /DosewrightSeal <"
             "0000000000000000000000000000000000000000000000000000000000000000>");
    g_autoptr(GByteArray) marked = output_artifacts((const char *)content->data, content->len, NULL, NULL);
    g_autofree char *stream_keys = g_strdup_printf("/Length %u /Filter /FlateDecode", marked->len);
    put_stream(&wanted, STREAM, stream_keys, (const char *)marked->data, marked->len);
    put_more(&wanted, PAGE, "/Tabs /S");
    put_more(&wanted, FIGURE, "/Alt <FEFF0041>");
    put_more(&wanted, HEADING, "/A << /O /Table /Scope /Column >>");
    put_more(&wanted, PART, "/Lang (de)");
    put_more(&wanted, TELEPHONE, "/Contents (+15550142)");
    put_more(&wanted, DOWN, "/Contents (to what stands further down)");
    put_more(&wanted, LAST, "/Alt <FEFF00420029>");
    put_update(&wanted, previous);

    g_autoptr(GBytes) made = finished(&none, 2);
    assert_non_null(made);
    assert_true(output_seal_holds(made));
    gsize length;
    g_autofree char *bytes = g_memdup2(g_bytes_get_data(made, &length), g_bytes_get_size(made));
    assert_int_equal(length, wanted.text->len);
    char *seal = memmem(bytes, length, "/DosewrightSeal <", 17);
    assert_non_null(seal);
    memset(seal + 17, '0', 64);
    assert_memory_equal(bytes, wanted.text->str, length);
    written_free(&wanted);
}

/* A file of another form, or with a picture more or less than was said, is not finished. */
static void test_unfinished(void **state)
{
    (void)state;
    static const Change changes[] = {
        {.trailer = "   /Info 2 0 R\n"}, {.trailer = "   /Root 1 0 R\n"}, {.trailer = "   /Root x\n   /Info 2 0 R\n"},
        {.trailer = "   /Root 1 0 R\n   /Info x\n"}, {.trailer = "   /Root 19 0 R\n   /Info 2 0 R\n"},
        {.trailer = "   /Root 1 0 R\n   /Info 18 0 R\n"}, {.trailer = "   /Root -1 0 R\n   /Info 2 0 R\n"},
        {.length = -1000}, {.length = 1000000}, {.length = -20},
        {.object = LENGTH, .body = "   0"}, {.object = LENGTH, .body = NULL},
        {.object = STREAM, .body = "<< /Filter /FlateDecode >>\nstream\n123\nendstream"},
        {.object = STREAM, .body = NULL}, {.object = PAGE, .body = "<< /Type /Page >>"},
        {.object = HEADING, .body = "<< /S /Figure >>"}, {.object = FIGURE, .body = "<< /S /P >>"},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++)
        assert_null(finished(&changes[i], 2));
    for (guint i = 0; i < 4; i++) {
        g_autoptr(GBytes) made = finished(&none, i);
        assert_int_equal(made != NULL, i == 2);
    }
}

/* ---- many in one ---- */

/* Two pages, a free object, one root of tags without brackets round it, no language. */
static GBytes *plain(const char *pages, const char *page)
{
    Written file = written_new();
    g_string_append(file.text, "%PDF-1.5\n");
    put(&file, 1, "<< /Type /Catalog /Pages 3 0 R /StructTreeRoot 8 0 R >>");
    put(&file, 2, "<< >>");
    put(&file, 3, pages);
    put(&file, 4, page);
    put(&file, 5, "<< /Type /Page /Parent 3 0 R /Contents 6 0 R >>");
    put_stream(&file, 6, "/Length 5", "4 0 R", 5);
    put(&file, 8, "<< /Type /StructTreeRoot /ParentTree 9 0 R /K 10 0 R >>");
    put(&file, 9, "<< /Nums [0 10 0 R] >>");
    put(&file, 10, "<< /S /Document /K [] >>");
    put_table(&file, "/Root 1 0 R /Info 2 0 R ");
    GBytes *bytes = g_bytes_new(file.text->str, file.text->len);
    written_free(&file);
    return bytes;
}

#define PLAIN_PAGES "<< /Type /Pages /Kids [4 0 R 5 0 R] /Count 2 >>"
#define PLAIN_PAGE "<< /Type /Page /Parent 3 0 R /StructParents 0 /Contents 6 0 R >>"

static G_GNUC_PRINTF(3, 4) void put_f(Written *file, guint object, const char *format, ...)
{
    va_list words;
    va_start(words, format);
    g_autofree char *body = g_strdup_vprintf(format, words);
    va_end(words);
    put(file, object, body);
}

/* The finished file as it stands among others: its numbers are base more, its keys first more. */
static void want_finished(Written *all, guint base, int first)
{
    g_autoptr(GByteArray) content = packed(CONTENT);
    g_autoptr(GByteArray) marked = output_artifacts((const char *)content->data, content->len, NULL, NULL);
    g_autofree char *keys = g_strdup_printf("/Length %u /Filter /FlateDecode", marked->len);
    const guint b = base;
    put_f(all, b + NODE, "<< /Type /Pages\n   /Kids [ %u 0 R ]\n   /Count 1\n/Parent 2 0 R >>", b + PAGE);
    put_f(all, b + PAGE,
          "<< /Type /Page\n   /Parent %u 0 R\n   /StructParents %d\n   /Annots [ %u 0 R %u 0 R %u 0 R ]\n"
          "   /Contents %u 0 R\n   /Rest [ .5 -1.5 11 0 Rx 12 0 /R#20e 1 (a \\) (7 0 R) b) %u 0 R]\n   /Tabs /S\n>>",
          b + NODE, first, b + TELEPHONE, b + DOWN, b + OUTSIDE, b + STREAM, b + PAGE);
    put_stream(all, b + STREAM, keys, (const char *)marked->data, marked->len);
    put_f(all, b + LENGTH, "   %u", content->len);
    put_f(all, b + FIGURE, "<< /Type /StructElem\n   /S /Figure\n   /P %u 0 R\n   /Alt <FEFF0041>\n>>", b + PART);
    put_f(all, b + HEADING, "<< /Type /StructElem\n   /S /TH\n   /P %u 0 R\n   /A << /O /Table /Scope /Column >>\n"
          "/Lang (en-GB) >>", b + PART);
    put_f(all, b + PART,
          "<< /Type /StructElem\n   /S /Sect\n   /P 7 0 R\n   /K [ %u 0 R %u 0 R %u 0 R ]\n   /Lang (de)\n"
          "/Lang (en-GB) >>",
          b + FIGURE, b + HEADING, b + LAST);
    put_f(all, b + TELEPHONE, "<< /Type /Annot\n   /Subtype /Link\n   /A << /S /URI /URI (tel:+15550142) >>\n"
          "   /StructParent %d\n   /Contents (+15550142)\n>>", first + 1);
    put_f(all, b + DOWN, "<< /Type /Annot\n   /Subtype /Link\n   /Dest (low)\n   /StructParent %d\n"
          "   /Contents (to what stands further down)\n>>", first + 2);
    put_f(all, b + OUTSIDE, "<< /Type /Annot\n   /Subtype /Link\n   /A << /S /URI /URI (other:1) >>\n"
          "   /StructParent %d\n>>", first + 3);
    put_stream(all, b + FONT, "/Length 16", FONT_BYTES, strlen(FONT_BYTES));
    put_f(all, b + LAST, "<< /Type /StructElem\n   /S /Figure\n   /P %u 0 R\n   /Alt <FEFF00420029>\n>>", b + PART);
    put_f(all, b + KEYS, "<< /Limits [%d %d] /Nums [\n%d %u 0 R\n%d %u 0 R\n%d %u 0 R\n%d %u 0 R\n] >>", first,
          first + 3, first, b + FIGURE, first + 1, b + HEADING, first + 2, b + PART, first + 3, b + LAST);
}

static void want_plain(Written *all, guint b, int first)
{
    put_f(all, b + 3, "<< /Type /Pages /Kids [%u 0 R %u 0 R] /Count 2 /Parent 2 0 R >>", b + 4, b + 5);
    put_f(all, b + 4, "<< /Type /Page /Parent %u 0 R /StructParents %d /Contents %u 0 R >>", b + 3, first, b + 6);
    put_f(all, b + 5, "<< /Type /Page /Parent %u 0 R /Contents %u 0 R >>", b + 3, b + 6);
    put_stream(all, b + 6, "/Length 5", "4 0 R", 5);
    put(all, b + 10, "<< /S /Document /K [] >>");
    put_f(all, b + 9, "<< /Limits [%d %d] /Nums [\n%d %u 0 R\n] >>", first, first, first, b + 10);
}

/* The objects that all share have the numbers 1 to 7; behind the sheets come three bookmarks. */
static void want_shared(Written *all, guint one, guint two, guint three, guint marks)
{
    put_f(all, 2, "<< /Type /Pages /Kids [\n%u 0 R\n%u 0 R\n%u 0 R\n] /Count 4 >>", one + NODE, two + 3, three + NODE);
    put_f(all, 7, "<< /Type /StructElem /S /Document /P 3 0 R /K [\n%u 0 R\n%u 0 R\n%u 0 R\n%u 0 R\n%u 0 R\n] >>",
          one + PART, one + HEADING, two + 10, three + PART, three + HEADING);
    put(all, 3, "<< /Type /StructTreeRoot /K [7 0 R] /ParentTree 4 0 R /ParentTreeNextKey 9 >>");
    put_f(all, 4, "<< /Kids [\n%u 0 R\n%u 0 R\n%u 0 R\n] >>", one + KEYS, two + 9, three + KEYS);
    put_f(all, marks, "<< /Title <FEFF0031> /Parent 5 0 R /Dest [%u 0 R /Fit] /Next %u 0 R >>", one + PAGE, marks + 1);
    put_f(all, marks + 1, "<< /Title <FEFF0032> /Parent 5 0 R /Dest [%u 0 R /Fit] /Prev %u 0 R /Next %u 0 R >>",
          two + 4, marks, marks + 2);
    put_f(all, marks + 2, "<< /Title <FEFF0033> /Parent 5 0 R /Dest [%u 0 R /Fit] /Prev %u 0 R >>", three + PAGE,
          marks + 1);
    put_f(all, 5, "<< /Type /Outlines /First %u 0 R /Last %u 0 R /Count 3 >>", marks, marks + 2);
    put(all, 1, "<< /Type /Catalog /Pages 2 0 R /StructTreeRoot 3 0 R /Outlines 5 0 R "
        "/MarkInfo << /Marked true >> /Lang (en) /ViewerPreferences << /DisplayDocTitle true "
        "/PrintScaling /None /Duplex /DuplexFlipLongEdge >> >>");
    put(all, 6, "<< /Title <FEFF004E> >>");
    gsize start = all->text->len;
    g_string_append_printf(all->text, "xref\n0 %u\n0000000000 65535 f \n", all->places->len);
    for (guint i = 1; i < all->places->len; i++) {
        gsize place = g_array_index(all->places, gsize, i);
        g_string_append_printf(all->text, "%010zu %s \n", place, place ? "00000 n" : "65535 f");
    }
    g_string_append_printf(all->text, "trailer\n<< /Size %u /Root 1 0 R /Info 6 0 R >>\nstartxref\n%zu\n%%%%EOF\n",
                           all->places->len, start);
}

static gboolean append(gpointer text, const void *bytes, gsize length, GError **error)
{
    (void)error;
    g_string_append_len(text, bytes, (gssize)length);
    return TRUE;
}

static void test_together(void **state)
{
    (void)state;
    g_autoptr(GBytes) sheet = finished(&none, 2), second = plain(PLAIN_PAGES, PLAIN_PAGE);
    g_autoptr(GString) text = g_string_new(NULL);
    Merge *merge = output_merge_new("N", append, text);
    GBytes *const sheets[] = {sheet, second, sheet};
    const char *const marks[] = {"1", "2", "3"};
    for (gsize i = 0; i < G_N_ELEMENTS(sheets); i++) {
        int pages = 0;
        assert_true(output_merge_add(merge, sheets[i], marks[i], &pages, NULL));
        assert_int_equal(pages, i == 1 ? 2 : 1);
    }
    assert_true(output_merge_end(merge, NULL));
    output_merge_free(merge);

    enum { ONE = 7, TWO = ONE + COUNT, THREE = TWO + 10, MARKS = THREE + COUNT + 1 };
    Written all = written_new();
    g_string_append(all.text, "%PDF-1.7\n%\xB5\xB5\xB5\xB5\n");
    want_finished(&all, ONE, 0);
    want_plain(&all, TWO, 4);
    want_finished(&all, THREE, 5);
    want_shared(&all, ONE, TWO, THREE, MARKS);
    assert_int_equal(text->len, all.text->len);
    assert_memory_equal(text->str, all.text->str, text->len);
    written_free(&all);
}

/* A table of objects that says what cannot be (7.5.4) is read no further than the file goes. */
static void test_no_table(void **state)
{
    (void)state;
    static const char *const heads[] = {"0 11\n", "0 1x\n", "-1 1\n", "0 -1\n", "0 99\n", "0 40\n", "9 11\n", "0 11 ",
                                        "x 11\n", "0 10\n"};
    for (gsize i = 0; i < G_N_ELEMENTS(heads); i++) {
        g_autoptr(GBytes) whole = plain(PLAIN_PAGES, PLAIN_PAGE);
        gsize length = g_bytes_get_size(whole);
        char *bytes = g_memdup2(g_bytes_get_data(whole, NULL), length); /* nothing behind it */
        char *table = memmem(bytes, length, "xref\n0 11\n", 10);
        assert_non_null(table);
        memcpy(table + 5, heads[i], 5);
        g_autoptr(GBytes) file = g_bytes_new_take(bytes, length);
        g_autoptr(GString) text = g_string_new(NULL);
        g_autoptr(GError) error = NULL;
        Merge *merge = output_merge_new("N", append, text);
        int pages = 0;
        assert_int_equal(output_merge_add(merge, file, NULL, &pages, &error), i == 0);
        assert_int_equal(error == NULL, i == 0);
        output_merge_free(merge);
    }
}

/* Without pages, or with one that is not whole, it is no sheet. */
static void test_no_sheet(void **state)
{
    (void)state;
    static const char *const files[][2] = {
        {"<< /Type /Pages /Count 2 >>", PLAIN_PAGE}, {"<< /Type /Pages /Kids [4 0 R 5 0 R] >>", PLAIN_PAGE},
        {"<< /Type /Pages /Kids [4 0 R] /Count 0 >>", PLAIN_PAGE},
        {PLAIN_PAGES, "<< /Length 100000 >>\nstream\nS\nendstream"}};
    for (gsize i = 0; i <= G_N_ELEMENTS(files); i++) {
        gboolean whole = i == G_N_ELEMENTS(files);
        g_autoptr(GBytes) file = whole ? plain(PLAIN_PAGES, PLAIN_PAGE) : plain(files[i][0], files[i][1]);
        g_autoptr(GString) text = g_string_new(NULL);
        g_autoptr(GError) error = NULL;
        Merge *merge = output_merge_new("N", append, text);
        int pages = 0;
        assert_int_equal(output_merge_add(merge, file, NULL, &pages, &error), whole);
        assert_int_equal(error == NULL, whole);
        output_merge_free(merge);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_finished), cmocka_unit_test(test_unfinished),
                                       cmocka_unit_test(test_together), cmocka_unit_test(test_no_table),
                                       cmocka_unit_test(test_no_sheet)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
