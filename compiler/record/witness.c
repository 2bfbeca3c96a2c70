/* witness: a chain whose end was cut off still looks whole; the witness, a small file beside
 * clinic.yaml, has seen how long it was. */
#include <string.h>

#include "record/parts.h"

#define WITNESS_FILE "record.head"

static char *path_of(const char *folder) { return g_build_filename(folder, WITNESS_FILE, NULL); }

gboolean record_was_kept(const char *folder)
{
    g_autofree char *path = path_of(folder);
    return g_file_test(path, G_FILE_TEST_EXISTS);
}

gboolean witness_read(Arena *arena, const char *folder, Witness *out, GError **error)
{
    *out = (Witness){0};
    g_autofree char *path = path_of(folder), *text = NULL;
    g_autoptr(GError) why = NULL;
    if (!g_file_get_contents(path, &text, NULL, &why)) {
        if (g_error_matches(why, G_FILE_ERROR, G_FILE_ERROR_NOENT))
            return TRUE;
        g_propagate_error(error, g_steal_pointer(&why));
        return FALSE;
    }
    const char *entry = record_value(arena, text, "entry"), *number = record_value(arena, text, "number");
    out->digest = record_value(arena, text, "digest");
    out->there = entry && number && out->digest;
    if (!out->there) {
        g_set_error(error, STORE_ERROR, STORE_BROKEN, "%s does not say how far the record went: bring back the last "
                    "backup of it", path);
        return FALSE;
    }
    out->entry = g_ascii_strtoll(entry, NULL, 10);
    out->number = g_ascii_strtoll(number, NULL, 10);
    return TRUE;
}

gboolean witness_write(const char *folder, const Witness *witness, GError **error)
{
    g_autofree char *text = g_strdup_printf("entry: %" G_GINT64_FORMAT "\nnumber: %" G_GINT64_FORMAT "\ndigest: %s\n",
                                            witness->entry, witness->number, witness->digest);
    g_autoptr(GBytes) bytes = g_bytes_new(text, strlen(text));
    return publish_file(folder, WITNESS_FILE, bytes, error);
}
