/* dosewright_edits: see dosewright_edits.h. */
#include "commands/dosewright_edits.h"

#include <string.h>
#include <sys/stat.h>
#include <glib/gstdio.h>

typedef struct Edit {
    gsize offset, length; /* in bytes */
    const char *words;
} Edit;

struct FileEdits {
    Arena *arena;
    const char *path;
    const Source *source;
    GArray *edits; /* of Edit, from the end of the file to its beginning */
};

FileEdits *edits_new(Arena *arena, const char *path, GError **error)
{
    g_autofree char *text = NULL;
    gsize length;
    if (!g_file_get_contents(path, &text, &length, error))
        return NULL;
    FileEdits *edits = arena_new0(arena, FileEdits);
    edits->arena = arena;
    edits->path = arena_copy(arena, path);
    edits->source = source_from_text(arena, path, text, length);
    edits->edits = g_array_new(FALSE, FALSE, sizeof(Edit));
    arena_defer(arena, (GDestroyNotify)g_array_unref, edits->edits);
    return edits;
}

void edits_put(FileEdits *edits, Place place, const char *words)
{
    const Place whole = {edits->source, place_line(place), place.column, place.length};
    gsize offset = source_offset(whole);
    const char *start = edits->source->text + offset;
    const Edit edit = {offset, (gsize)(g_utf8_offset_to_pointer(start, place.length) - start),
                       arena_copy(edits->arena, words)};
    guint at = 0;
    while (at < edits->edits->len && g_array_index(edits->edits, Edit, at).offset > offset)
        at++;
    if (at == edits->edits->len || g_array_index(edits->edits, Edit, at).offset != offset)
        g_array_insert_val(edits->edits, at, edit);
}

gboolean edits_any(const FileEdits *edits) { return edits->edits->len > 0; }

static gboolean write_text(const FileEdits *edits, const char *text, gsize length, GError **error)
{
    struct stat before;
    gboolean known = stat(edits->path, &before) == 0;
    g_autofree char *folder = g_path_get_dirname(edits->path), *name = g_path_get_basename(edits->path);
    g_autoptr(GBytes) bytes = g_bytes_new(text, length);
    return publish_file(folder, name, bytes, error) &&
           (!known || g_chmod(edits->path, (int)(before.st_mode & 0777)) == 0);
}

const char *edits_text(const FileEdits *edits)
{
    g_autoptr(GString) text = g_string_new_len(edits->source->text, (gssize)edits->source->length);
    for (guint i = 0; i < edits->edits->len; i++) {
        const Edit *edit = &g_array_index(edits->edits, Edit, i);
        g_string_erase(text, (gssize)edit->offset, (gssize)edit->length);
        g_string_insert(text, (gssize)edit->offset, edit->words);
    }
    return arena_copy(edits->arena, text->str);
}

gboolean edits_write(const FileEdits *edits, GError **error)
{
    const char *text = edits_text(edits);
    return write_text(edits, text, strlen(text), error);
}

gboolean edits_undo(const FileEdits *edits, GError **error)
{
    return write_text(edits, edits->source->text, edits->source->length, error);
}
