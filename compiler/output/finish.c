/* output_finish: see output_finish.h. */
#define _GNU_SOURCE /* memmem */
#include "output/finish.h"

#include <stdio.h>
#include <string.h>

#include "output/seal.h"
#include "output/text.h"

typedef struct Update {
    const char *text;    /* the file, with a NUL behind it */
    gsize length;
    long table;          /* offset of the cross-reference table */
    int objects, root, info;
    GString *out;
    GArray *entries;     /* of Entry */
} Update;

typedef struct Entry {
    int object;
    gsize offset;
} Entry;

/* ---- reading ---- */

#define TAIL 64 /* the last lines of a file: startxref, its number, %%EOF */

static gboolean read_trailer(Update *update)
{
    const char *tail = update->text + update->length - MIN(TAIL, update->length);
    const char *start = strstr(tail, "startxref");
    if (!start || sscanf(start, "startxref %ld", &update->table) != 1 || update->table <= 0 ||
        (gsize)update->table >= update->length)
        return FALSE;
    if (sscanf(update->text + update->table, "xref 0 %d", &update->objects) != 1)
        return FALSE;
    const char *trailer = strstr(update->text + update->table, "trailer");
    const char *root = trailer ? strstr(trailer, "/Root ") : NULL, *info = trailer ? strstr(trailer, "/Info ") : NULL;
    return root && info && sscanf(root, "/Root %d", &update->root) == 1 && sscanf(info, "/Info %d", &update->info) == 1;
}

/* Where an object starts: lines of 20 bytes, behind two lines of heading. */
static const char *object_at(const Update *update, int object)
{
    const char *line = strchr(update->text + update->table, '\n');
    line = line ? strchr(line + 1, '\n') : NULL;
    if (!line || object < 0 || object >= update->objects)
        return NULL;
    long offset = strtol(line + 1 + 20L * object, NULL, 10);
    return offset > 0 && (gsize)offset < update->length ? update->text + offset : NULL;
}

static gboolean says(const char *object, const char *end, const char *words)
{
    return g_strstr_len(object, end - object, words) != NULL;
}

/* ---- writing ---- */

static void begin(Update *update, int object)
{
    Entry entry = {object, update->length + update->out->len};
    g_array_append_val(update->entries, entry);
}

/* The object again, with more keys before the end of its dictionary. */
static gboolean extend(Update *update, int object, const char *more)
{
    const char *start = object_at(update, object);
    const char *end = start ? strstr(start, "endobj") : NULL;
    if (!end)
        return FALSE;
    while (end > start && strncmp(end, ">>", 2) != 0)
        end--;
    begin(update, object);
    g_string_append_len(update->out, start, end - start);
    g_string_append_printf(update->out, "   %s\n>>\nendobj\n", more);
    return TRUE;
}

static char *metadata(const FinishWords *words)
{
    g_autofree char *title = g_markup_escape_text(words->title, -1);
    return g_strdup_printf(
        "<?xpacket begin=\"\xef\xbb\xbf\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">"
        "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" "
        "xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"><dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">%s</rdf:li>"
        "</rdf:Alt></dc:title><dc:language><rdf:Bag><rdf:li>%s</rdf:li></rdf:Bag></dc:language>"
        "<xmp:CreateDate>%s</xmp:CreateDate></rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>",
        title, words->language, words->made);
}

static gboolean catalogue(Update *update, const FinishWords *words)
{
    g_autofree char *packet = metadata(words);
    int object = update->objects;
    begin(update, object);
    g_string_append_printf(update->out, "%d 0 obj\n<< /Type /Metadata /Subtype /XML /Length %zu >>\nstream\n%s\n"
                           "endstream\nendobj\n", object, strlen(packet), packet);
    g_autofree char *more = g_strdup_printf("/Lang (%s)\n   /ViewerPreferences << /DisplayDocTitle true "
                                            "/PrintScaling /None >>\n   /Metadata %d 0 R", words->language, object);
    g_autofree char *keys = output_seal_keys(words->record);
    return extend(update, update->root, more) && extend(update, update->info, keys);
}

/* A link's name for those who cannot see it: where it leads. */
static char *link_name(const char *start, const char *end)
{
    const char *uri = g_strstr_len(start, end - start, "/URI (tel:");
    if (says(start, end, "/Dest"))
        return g_strdup("/Contents (to what stands further down)");
    const char *close = uri ? memchr(uri, ')', (gsize)(end - uri)) : NULL;
    return close ? g_strdup_printf("/Contents (%.*s)", (int)(close - uri - 10), uri + 10) : NULL;
}

/* Streams hold any byte, so the end is looked for by length. */
static const char *object_end(const Update *update, const char *start)
{
    return memmem(start, update->length - (gsize)(start - update->text), "endobj", strlen("endobj"));
}

/* The number behind a key of the dictionary, or -1. */
static long number_behind(const char *start, const char *end, const char *key)
{
    const char *at = g_strstr_len(start, end - start, key);
    return at ? strtol(at + strlen(key), NULL, 10) : -1;
}

/* The page's content again, with marks of artifacts. */
static gboolean mark_content(Update *update, long object, const FinishWords *words)
{
    const char *start = object_at(update, (int)object);
    const char *stream = start ? memmem(start, update->length - (gsize)(start - update->text), "stream\n", 7) : NULL;
    long length = stream ? number_behind(start, stream, "/Length ") : -1;
    const char *stated = length > 0 ? object_at(update, (int)length) : NULL; /* "5 0 obj\n   7998\nendobj" */
    const char *value = stated ? strstr(stated, "obj") : NULL;
    gsize bytes = value ? (gsize)strtol(value + 3, NULL, 10) : 0;
    if (bytes == 0 || bytes > update->length - (gsize)(stream + 7 - update->text))
        return FALSE;
    g_autoptr(GByteArray) marked = output_marker_take(words->marker, update->text, (gsize)(stream + 7 - update->text),
                                                      bytes, words->read, words->read_data);
    if (!marked)
        return FALSE;
    begin(update, (int)object);
    g_string_append_printf(update->out, "%ld 0 obj\n<< /Length %u /Filter /FlateDecode >>\nstream\n", object,
                           marked->len);
    g_string_append_len(update->out, (const char *)marked->data, marked->len);
    g_string_append(update->out, "\nendstream\nendobj\n");
    return TRUE;
}

static gboolean object_more(Update *update, int object, const FinishWords *words, guint *figures, guint *parts)
{
    const char *start = object_at(update, object);
    const char *end = start ? object_end(update, start) : NULL;
    g_autofree char *more = NULL;
    if (!end)
        return object == 0;
    const char *stream = memmem(start, (gsize)(end - start), "stream", strlen("stream"));
    end = stream ? stream : end;
    if (says(start, end, "/S /Figure")) {
        if (*figures >= words->alternatives->len)
            return FALSE;
        g_autofree char *text = output_pdf_text(g_ptr_array_index(words->alternatives, (*figures)++));
        more = g_strdup_printf("/Alt %s", text);
    } else if (says(start, end, "/S /TH")) {
        more = g_strdup("/A << /O /Table /Scope /Column >>");
    } else if (says(start, end, "/S /Sect")) {
        more = g_strdup_printf("/Lang (%s)", words->parts[(*parts)++]);
    } else if (says(start, end, "/Type /Page") && !says(start, end, "/Type /Pages")) {
        more = g_strdup("/Tabs /S");
        if (!mark_content(update, number_behind(start, end, "/Contents "), words))
            return FALSE;
    } else if (says(start, end, "/Subtype /Link")) {
        more = link_name(start, end);
    }
    return !more || extend(update, object, more);
}

static int by_object(gconstpointer a, gconstpointer b)
{
    return ((const Entry *)a)->object - ((const Entry *)b)->object;
}

static void table(Update *update)
{
    gsize start = update->length + update->out->len;
    g_array_sort(update->entries, by_object);
    g_string_append(update->out, "xref\n");
    for (guint i = 0; i < update->entries->len; i++) {
        const Entry *entry = &g_array_index(update->entries, Entry, i);
        g_string_append_printf(update->out, "%d 1\n%010zu 00000 n \n", entry->object, entry->offset);
    }
    g_string_append_printf(update->out,
                           "trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /Prev %ld >>\n"
                           "startxref\n%zu\n%%%%EOF\n",
                           update->objects + 1, update->root, update->info, update->table, start);
}

GBytes *output_finish(GByteArray *bytes, const FinishWords *words)
{
    g_byte_array_append(bytes, (const guint8 *)"", 1); /* an end for string functions */
    Update update = {.text = (const char *)bytes->data, .length = bytes->len - 1};
    if (!read_trailer(&update))
        return NULL;
    update.out = g_string_new(NULL);
    update.entries = g_array_new(FALSE, FALSE, sizeof(Entry));
    guint figures = 0, parts = 0;
    gboolean fine = catalogue(&update, words);
    for (int object = 0; fine && object < update.objects; object++)
        fine = object_more(&update, object, words, &figures, &parts);
    GBytes *finished = NULL;
    if (fine && figures == words->alternatives->len) {
        table(&update);
        g_string_insert_len(update.out, 0, update.text, (gssize)update.length);
        output_seal_fill(update.out);
        finished = g_bytes_new(update.out->str, update.out->len);
    }
    g_array_unref(update.entries);
    g_string_free(update.out, TRUE);
    return finished;
}
