/* output_merge: many sheets in one print file, one after the other.  libqpdf was measured: it
 * takes 6.5 ms a sheet, holds all of them at once and drops the tree of tags; copying objects
 * under new numbers takes a tenth of that.  Reads the files that this program makes: cairo's
 * tables of objects, with the parts that finish.c appended. */
#define _GNU_SOURCE /* memmem */
#include <stdlib.h>
#include <string.h>

#include "output/output.h"
#include "output/text.h"

/* Numbers of the objects that all sheets share. */
enum { CATALOG = 1, PAGES, TREE, PARENTS, OUTLINES, INFO, WHOLE, FIRST_FREE };

typedef struct Numbered {
    int object, low, high; /* of a leaf of the tree of parents: its first and last key */
} Numbered;

typedef struct Bookmark {
    char *title;
    int page;
} Bookmark;

struct Merge {
    MergeWrite write;
    gpointer data;
    char *title;
    guint64 at;         /* bytes written */
    GArray *offsets;    /* of guint64, by number of object */
    GArray *nodes;      /* of int: a node of the tree of pages for each sheet */
    GArray *roots;      /* of int: a root of tags for each sheet */
    GArray *leaves;     /* of Numbered */
    GArray *bookmarks;  /* of Bookmark */
    int parents;        /* keys of the tree of parents so far */
    int pages;
};

/* ---- writing ---- */

static gboolean put(Merge *merge, const char *bytes, gsize length, GError **error)
{
    merge->at += length;
    return merge->write(merge->data, bytes, length, error);
}

static void begin(Merge *merge, int object)
{
    g_array_index(merge->offsets, guint64, object) = merge->at;
}

static int new_object(Merge *merge)
{
    const guint64 nowhere = 0;
    g_array_append_val(merge->offsets, nowhere);
    return (int)merge->offsets->len - 1;
}

static void free_bookmark(gpointer data) { g_free(((Bookmark *)data)->title); }

Merge *output_merge_new(const char *title, MergeWrite write, gpointer data)
{
    Merge *merge = g_new0(Merge, 1);
    merge->write = write;
    merge->data = data;
    merge->title = g_strdup(title);
    merge->offsets = g_array_new(FALSE, TRUE, sizeof(guint64));
    g_array_set_size(merge->offsets, FIRST_FREE);
    merge->nodes = g_array_new(FALSE, FALSE, sizeof(int));
    merge->roots = g_array_new(FALSE, FALSE, sizeof(int));
    merge->leaves = g_array_new(FALSE, FALSE, sizeof(Numbered));
    merge->bookmarks = g_array_new(FALSE, FALSE, sizeof(Bookmark));
    g_array_set_clear_func(merge->bookmarks, free_bookmark);
    return merge;
}

void output_merge_free(Merge *merge)
{
    GArray *arrays[] = {merge->offsets, merge->nodes, merge->roots, merge->leaves, merge->bookmarks};
    for (gsize i = 0; i < G_N_ELEMENTS(arrays); i++)
        g_array_unref(arrays[i]);
    g_free(merge->title);
    g_free(merge);
}

/* ---- reading one sheet ---- */

typedef struct Sheet {
    const char *text; /* with a NUL behind it */
    gsize length;
    GArray *places;   /* of gsize: where each object starts, 0 when it is free */
    int catalog, info, pages, tree, parents, metadata, outlines; /* -1 when it has none */
    GArray *roots;    /* of int */
    int base;         /* added to each number */
    int first_parent; /* added to each key of the tree of parents */
} Sheet;

/* Lines of 20 bytes for a run of objects; what was read before is newer.  Returns the place
 * behind it, NULL when it is no such table. */
static const char *read_run(Sheet *sheet, const char *at)
{
    char *end;
    long first = strtol(at, &end, 10), count = strtol(end, &end, 10);
    if (*end == ' ')
        end++;
    if (*end != '\n' || first < 0 || count < 0 || (gsize)count > sheet->length / 20)
        return NULL;
    if ((gsize)(first + count) > sheet->places->len)
        g_array_set_size(sheet->places, (guint)(first + count));
    for (long i = 0; i < count; i++) {
        const char *line = end + 1 + 20 * i;
        if (line + 20 > sheet->text + sheet->length)
            return NULL;
        gsize *place = &g_array_index(sheet->places, gsize, first + i);
        if (line[17] == 'n' && *place == 0)
            *place = (gsize)strtoull(line, NULL, 10);
    }
    return end + 1 + 20 * count;
}

static int number_behind(const char *text, const char *key)
{
    const char *at = text ? strstr(text, key) : NULL;
    return at ? atoi(at + strlen(key)) : -1;
}

static gboolean read_tables(Sheet *sheet)
{
    const char *start = NULL, *at = sheet->text;
    while ((at = memmem(at, sheet->length - (gsize)(at - sheet->text), "startxref\n", 10)) != NULL)
        start = at += 10;
    long table = start ? atol(start) : -1;
    for (int round = 0; table >= 0 && round < 8; round++) {
        if (table <= 0 || (gsize)table + 5 >= sheet->length || strncmp(sheet->text + table, "xref\n", 5) != 0)
            return FALSE;
        const char *run = sheet->text + table + 5;
        while (run && g_ascii_isdigit(*run))
            run = read_run(sheet, run);
        if (!run || !g_str_has_prefix(run, "trailer"))
            return FALSE;
        g_autofree char *trailer = g_strndup(run, MIN(400, sheet->length - (gsize)(run - sheet->text)));
        if (sheet->catalog < 0) {
            sheet->catalog = number_behind(trailer, "/Root ");
            sheet->info = number_behind(trailer, "/Info ");
        }
        table = number_behind(trailer, "/Prev ");
    }
    return sheet->catalog > 0;
}

/* Behind "N 0 obj"; NULL when there is none. */
static const char *body(const Sheet *sheet, int object)
{
    gsize place = object > 0 && (guint)object < sheet->places->len ? g_array_index(sheet->places, gsize, object) : 0;
    const char *at = place > 0 && place < sheet->length ? strstr(sheet->text + place, " obj") : NULL;
    return at ? at + strlen(" obj") : NULL;
}

static void read_roots(Sheet *sheet)
{
    const char *tree = sheet->tree > 0 ? body(sheet, sheet->tree) : NULL;
    const char *end = tree ? strstr(tree, "endobj") : NULL, *list = tree ? strstr(tree, "/K ") : NULL;
    if (!list || list > end)
        return;
    list += strlen("/K ");
    list += *list == '[';
    while (*list == ' ')
        list++;
    while (g_ascii_isdigit(*list)) {
        int root = atoi(list);
        g_array_append_val(sheet->roots, root);
        list = strchr(list, 'R');
        for (list = list ? list + 1 : ""; *list == ' ';)
            list++;
    }
}

static gboolean read_sheet(Sheet *sheet)
{
    if (!read_tables(sheet))
        return FALSE;
    const char *start = body(sheet, sheet->catalog), *end = start ? strstr(start, "endobj") : NULL;
    g_autofree char *catalog = end ? g_strndup(start, (gsize)(end - start)) : NULL;
    sheet->pages = number_behind(catalog, "/Pages ");
    sheet->tree = number_behind(catalog, "/StructTreeRoot ");
    sheet->metadata = number_behind(catalog, "/Metadata ");
    sheet->outlines = number_behind(catalog, "/Outlines ");
    const char *tree = sheet->tree > 0 ? body(sheet, sheet->tree) : NULL;
    sheet->parents = tree ? number_behind(tree, "/ParentTree ") : -1;
    read_roots(sheet);
    return body(sheet, sheet->pages) != NULL;
}

/* ---- an object under its new number ---- */

static gboolean is_root(const Sheet *sheet, int object)
{
    for (guint i = 0; i < sheet->roots->len; i++)
        if (g_array_index(sheet->roots, int, i) == object)
            return TRUE;
    return FALSE;
}

/* A sheet's tags hang below the one root of all. */
static int renumber(const Sheet *sheet, int object) { return object == sheet->tree ? WHOLE : sheet->base + object; }

/* The place behind a string that begins here. */
static const char *past_string(const char *at, const char *end)
{
    int depth = 0;
    for (; at < end; at++) {
        if (*at == '\\')
            at++;
        else if (*at == '(')
            depth++;
        else if (*at == ')' && --depth == 0)
            return at + 1;
    }
    return end;
}

/* "12 0 R" at the place: the place behind it; NULL when something else stands there. */
static const char *reference(const char *at, int *object)
{
    char *end;
    *object = (int)strtol(at, &end, 10);
    return strncmp(end, " 0 R", 4) == 0 && !g_ascii_isalnum(end[4]) ? end + 4 : NULL;
}

/* "/StructParents 3" at the place: the place behind it, and the key; else NULL. */
static const char *parent_key(const char *at, const char **name, int *key)
{
    static const char *const names[] = {"/StructParents ", "/StructParent "};
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        char *end;
        if (!g_str_has_prefix(at, names[i]))
            continue;
        *name = names[i];
        *key = (int)strtol(at + strlen(names[i]), &end, 10);
        return end;
    }
    return NULL;
}

/* Appends a dictionary, an array or a number with new numbers; returns where it stopped: at
 * "endobj", at "stream", or at the end. */
static const char *copy_values(const Sheet *sheet, const char *at, const char *end, GString *out)
{
    while (at < end) {
        int object, key;
        const char *next, *name;
        if (*at == '(') {
            next = past_string(at, end);
            g_string_append_len(out, at, next - at);
        } else if (g_ascii_isdigit(*at) && (next = reference(at, &object)) != NULL) {
            g_string_append_printf(out, "%d 0 R", renumber(sheet, object));
        } else if (*at == '/' && (next = parent_key(at, &name, &key)) != NULL) {
            g_string_append_printf(out, "%s%d", name, key + sheet->first_parent);
        } else if (g_ascii_isalnum(*at) || *at == '/' || *at == '.') {
            if (g_str_has_prefix(at, "endobj") || g_str_has_prefix(at, "stream\n"))
                return at;
            for (next = at + 1; next < end && (g_ascii_isalnum(*next) || strchr("._+-#*", *next)); next++)
                ;
            g_string_append_len(out, at, next - at);
        } else {
            next = at + 1;
            g_string_append_c(out, *at);
        }
        at = next;
    }
    return at;
}

/* Bytes of a stream: its length may stand in an object of its own. */
static gsize stream_length(const Sheet *sheet, const char *start, const char *stream)
{
    int object;
    const char *at = g_strstr_len(start, stream - start, "/Length ");
    if (!at)
        return 0;
    at += strlen("/Length ");
    const char *stated = reference(at, &object) ? body(sheet, object) : NULL;
    return (gsize)strtoull(stated ? stated : at, NULL, 10);
}

/* More keys before the end of the dictionary. */
static void extend(GString *out, const char *keys)
{
    char *close = g_strrstr(out->str, ">>");
    if (close)
        g_string_insert(out, close - out->str, keys);
}

static gboolean copy_object(Merge *merge, const Sheet *sheet, int object, const char *language, GError **error)
{
    const char *start = body(sheet, object), *end = sheet->text + sheet->length;
    g_autoptr(GString) out = g_string_new(NULL);
    begin(merge, renumber(sheet, object));
    g_string_append_printf(out, "%d 0 obj", renumber(sheet, object));
    const char *stop = copy_values(sheet, start, end, out);
    if (object == sheet->pages)
        extend(out, "/Parent 2 0 R ");
    if (is_root(sheet, object) && language) {
        g_autofree char *key = g_strdup_printf("/Lang (%s) ", language);
        extend(out, key);
    }
    if (g_str_has_prefix(stop, "stream\n")) {
        gsize length = stream_length(sheet, start, stop);
        if (length > sheet->length - (gsize)(stop + 7 - sheet->text))
            return FALSE;
        g_string_append_len(out, stop, (gssize)(7 + length));
        g_string_append(out, "\nendstream\n");
    }
    g_string_append(out, "endobj\n");
    return put(merge, out->str, out->len, error);
}

/* The keys of the tree of parents, each a number and what it leads to. */
static gboolean copy_parents(Merge *merge, const Sheet *sheet, GError **error)
{
    const char *at = body(sheet, sheet->parents), *end = at ? strstr(at, "endobj") : NULL;
    at = at ? strstr(at, "/Nums [") : NULL;
    if (!at || at > end)
        return TRUE;
    Numbered leaf = {renumber(sheet, sheet->parents), merge->parents, merge->parents - 1};
    g_autoptr(GString) keys = g_string_new(NULL);
    for (at += strlen("/Nums ["); at < end;) {
        char *behind;
        int object;
        at += strspn(at, " \n");
        if (!g_ascii_isdigit(*at))
            break;
        int key = (int)strtol(at, &behind, 10) + sheet->first_parent;
        const char *next = reference(behind + strspn(behind, " \n"), &object);
        if (!next)
            return FALSE;
        g_string_append_printf(keys, "%d %d 0 R\n", key, renumber(sheet, object));
        leaf.high = MAX(leaf.high, key);
        at = next;
    }
    if (leaf.high < leaf.low)
        return TRUE;
    g_autofree char *text = g_strdup_printf("%d 0 obj\n<< /Limits [%d %d] /Nums [\n%s] >>\nendobj\n", leaf.object,
                                            leaf.low, leaf.high, keys->str);
    begin(merge, leaf.object);
    g_array_append_val(merge->leaves, leaf);
    merge->parents = leaf.high + 1;
    return put(merge, text, strlen(text), error);
}

static gboolean is_shared(const Sheet *sheet, int object)
{
    return object == sheet->catalog || object == sheet->info || object == sheet->tree || object == sheet->parents ||
           object == sheet->metadata || object == sheet->outlines;
}

/* What holds for the whole file in a sheet holds for its part of the tags here. */
static char *language_of(const Sheet *sheet)
{
    const char *catalog = body(sheet, sheet->catalog), *end = strstr(catalog, "endobj");
    const char *at = g_strstr_len(catalog, end - catalog, "/Lang (");
    const char *close = at ? strchr(at, ')') : NULL;
    return close ? g_strndup(at + 7, (gsize)(close - at) - 7) : NULL;
}

static gboolean copy_all(Merge *merge, const Sheet *sheet, GError **error)
{
    g_autofree char *language = language_of(sheet);
    for (guint object = 1; object < sheet->places->len; object++)
        new_object(merge);
    for (int object = 1; object < (int)sheet->places->len; object++)
        if (body(sheet, object) && !is_shared(sheet, object) && !copy_object(merge, sheet, object, language, error))
            return FALSE;
    return copy_parents(merge, sheet, error);
}

/* The sheet's pages and tags join those of the others. */
static gboolean join(Merge *merge, const Sheet *sheet, const char *mark, int *pages)
{
    const char *node = body(sheet, sheet->pages);
    const char *kids = strstr(node, "/Kids ["), *end = strstr(node, "endobj");
    int own = renumber(sheet, sheet->pages), count = number_behind(node, "/Count ");
    if (!kids || kids > end || count <= 0)
        return FALSE;
    g_array_append_val(merge->nodes, own);
    for (guint i = 0; i < sheet->roots->len; i++) {
        int root = renumber(sheet, g_array_index(sheet->roots, int, i));
        g_array_append_val(merge->roots, root);
    }
    if (mark) {
        Bookmark bookmark = {g_strdup(mark), renumber(sheet, atoi(kids + strlen("/Kids [")))};
        g_array_append_val(merge->bookmarks, bookmark);
    }
    *pages = count;
    merge->pages += count;
    return TRUE;
}

gboolean output_merge_add(Merge *merge, GBytes *file, const char *mark, int *pages, GError **error)
{
    static const char head[] = "%PDF-1.7\n%\xB5\xB5\xB5\xB5\n";
    GError *failed = NULL;
    gsize length;
    const char *bytes = g_bytes_get_data(file, &length);
    g_autofree char *text = g_malloc(length + 1);
    memcpy(text, bytes, length);
    text[length] = '\0';
    Sheet sheet = {.text = text, .length = length, .catalog = -1, .base = (int)merge->offsets->len - 1,
                   .first_parent = merge->parents};
    sheet.places = g_array_new(FALSE, TRUE, sizeof(gsize));
    sheet.roots = g_array_new(FALSE, FALSE, sizeof(int));
    gboolean fine = (merge->at > 0 || put(merge, head, strlen(head), &failed)) && read_sheet(&sheet) &&
                    copy_all(merge, &sheet, &failed) && join(merge, &sheet, mark, pages);
    g_array_unref(sheet.places);
    g_array_unref(sheet.roots);
    if (!fine && !failed)
        g_set_error(&failed, G_FILE_ERROR, G_FILE_ERROR_INVAL, "a sheet to be put into the print file is damaged");
    if (failed)
        g_propagate_error(error, failed);
    return fine;
}

/* ---- what belongs to all ---- */

static void list_objects(GString *out, const GArray *objects)
{
    for (guint i = 0; i < objects->len; i++)
        g_string_append_printf(out, "%d 0 R\n", g_array_index(objects, int, i));
}

static gboolean put_object(Merge *merge, int object, const char *words, GError **error)
{
    g_autofree char *text = g_strdup_printf("%d 0 obj\n%s\nendobj\n", object, words);
    begin(merge, object);
    return put(merge, text, strlen(text), error);
}

static gboolean put_trees(Merge *merge, GError **error)
{
    g_autoptr(GString) pages = g_string_new("<< /Type /Pages /Kids [\n");
    g_autoptr(GString) whole = g_string_new(NULL);
    g_autoptr(GString) tree = g_string_new(NULL);
    g_autoptr(GString) parents = g_string_new("<< /Kids [\n");
    list_objects(pages, merge->nodes);
    g_string_append_printf(pages, "] /Count %d >>", merge->pages);
    gboolean fine = put_object(merge, PAGES, pages->str, error);
    g_string_printf(whole, "<< /Type /StructElem /S /Document /P %d 0 R /K [\n", TREE);
    list_objects(whole, merge->roots);
    g_string_append(whole, "] >>");
    fine = fine && put_object(merge, WHOLE, whole->str, error);
    g_string_append_printf(tree, "<< /Type /StructTreeRoot /K [%d 0 R] /ParentTree %d 0 R /ParentTreeNextKey %d >>",
                           WHOLE, PARENTS, merge->parents);
    fine = fine && put_object(merge, TREE, tree->str, error);
    for (guint i = 0; i < merge->leaves->len; i++)
        g_string_append_printf(parents, "%d 0 R\n", g_array_index(merge->leaves, Numbered, i).object);
    g_string_append(parents, "] >>");
    fine = fine && put_object(merge, PARENTS, parents->str, error);
    return fine;
}

static gboolean put_bookmarks(Merge *merge, GError **error)
{
    guint count = merge->bookmarks->len;
    int first = (int)merge->offsets->len;
    for (guint i = 0; i < count; i++)
        new_object(merge);
    for (guint i = 0; i < count; i++) {
        const Bookmark *bookmark = &g_array_index(merge->bookmarks, Bookmark, i);
        g_autofree char *title = output_pdf_text(bookmark->title);
        g_autoptr(GString) words = g_string_new(NULL);
        g_string_append_printf(words, "<< /Title %s /Parent %d 0 R /Dest [%d 0 R /Fit]", title, OUTLINES,
                               bookmark->page);
        if (i > 0)
            g_string_append_printf(words, " /Prev %d 0 R", first + (int)i - 1);
        if (i + 1 < count)
            g_string_append_printf(words, " /Next %d 0 R", first + (int)i + 1);
        g_string_append(words, " >>");
        if (!put_object(merge, first + (int)i, words->str, error))
            return FALSE;
    }
    g_autofree char *all = count == 0 ? g_strdup("<< /Type /Outlines >>")
                                      : g_strdup_printf("<< /Type /Outlines /First %d 0 R /Last %d 0 R /Count %u >>",
                                                        first, first + (int)count - 1, count);
    return put_object(merge, OUTLINES, all, error);
}

static gboolean put_table(Merge *merge, GError **error)
{
    guint64 start = merge->at;
    g_autoptr(GString) table = g_string_new(NULL);
    g_string_printf(table, "xref\n0 %u\n0000000000 65535 f \n", merge->offsets->len);
    for (guint i = 1; i < merge->offsets->len; i++) {
        guint64 offset = g_array_index(merge->offsets, guint64, i);
        g_string_append_printf(table, offset ? "%010" G_GUINT64_FORMAT " 00000 n \n" : "%010" G_GUINT64_FORMAT
                                                                                        " 65535 f \n", offset);
    }
    g_string_append_printf(table, "trailer\n<< /Size %u /Root %d 0 R /Info %d 0 R >>\nstartxref\n%" G_GUINT64_FORMAT
                           "\n%%%%EOF\n", merge->offsets->len, CATALOG, INFO, start);
    return put(merge, table->str, table->len, error);
}

gboolean output_merge_end(Merge *merge, GError **error)
{
    g_autofree char *title = output_pdf_text(merge->title);
    g_autofree char *info = g_strdup_printf("<< /Title %s >>", title);
    return put_trees(merge, error) && put_bookmarks(merge, error) &&
           put_object(merge, CATALOG, "<< /Type /Catalog /Pages 2 0 R /StructTreeRoot 3 0 R /Outlines 5 0 R "
                      "/MarkInfo << /Marked true >> /Lang (en) /ViewerPreferences << /DisplayDocTitle true "
                      "/PrintScaling /None /Duplex /DuplexFlipLongEdge >> >>", error) &&
           put_object(merge, INFO, info, error) && put_table(merge, error);
}
