/* wording_kept: phrase sets and templates that a server reads once, before it forks its answers. */
#include "wording/parts.h"

#include <string.h>

typedef struct Kept {
    const Source *own, *under; /* as read; under: of the set that it is based on, or NULL */
    gpointer read;
} Kept;

static GHashTable *all; /* path of its own file -> Kept*; to the end of the process */

static gboolean same(const Source *source)
{
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    return source_read_bytes(source->name, source->length + 1, bytes, NULL) == SOURCE_READ &&
           bytes->len == source->length && memcmp(bytes->data, source->text, source->length) == 0;
}

gpointer wording_kept(const char *path)
{
    const Kept *kept = all ? g_hash_table_lookup(all, path) : NULL;
    return kept && same(kept->own) && (!kept->under || same(kept->under)) ? kept->read : NULL;
}

static void keep(Arena *arena, const Source *own, const Source *under, gpointer read)
{
    Kept *kept = arena_new0(arena, Kept);
    *kept = (Kept){own, under, read};
    all = all ? all : g_hash_table_new(g_str_hash, g_str_equal);
    g_hash_table_insert(all, (gpointer)own->name, kept);
}

gboolean wording_keep(const char *folder, const char *name, const char *tag)
{
    g_autoptr(GError) error = NULL;
    Arena *arena = arena_new();
    Diagnostics *found = diagnostics_new(arena);
    Template *template = name ? template_read(arena, folder, arena_copy(arena, name), found, &error) : NULL;
    Phrases *phrases = tag && !error ? phrases_read(arena, folder, tag, found, &error) : NULL;
    gboolean fine = (template || !name) && (phrases || !tag) && diagnostics_count(found) == 0;
    if (fine && template)
        keep(arena, template->source, NULL, template);
    if (fine && phrases)
        keep(arena, phrases->source, phrases->under, phrases);
    if (!fine)
        arena_free(arena);
    return fine;
}
