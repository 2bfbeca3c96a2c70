/* reader_kept: what an approval rested on, as a small clinic's folder of its own. */
#include "reader/reader.h"

#include <string.h>
#include <sys/stat.h>
#include <glib/gstdio.h>

#include "reader/layout.h"

#define SEAL_DIGITS 16 /* of a seal that stand in a folder's name */

/* ---- finding and reading ---- */

static char *approvals_of(const char *clinic_folder)
{
    return strcmp(clinic_folder, ".") == 0 ? g_strdup(KEPT_FOLDER) : g_build_filename(clinic_folder, KEPT_FOLDER, NULL);
}

/* The folder of the approvals that ends in this seal, or NULL. */
static char *folder_of_seal(Arena *arena, const char *clinic_folder, const char *seal)
{
    g_autofree char *all = approvals_of(clinic_folder);
    g_autofree char *ending = g_strdup_printf("-%.*s", SEAL_DIGITS, seal);
    g_autoptr(GDir) dir = g_dir_open(all, 0, NULL);
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir)))
        if (g_str_has_suffix(entry, ending)) {
            g_autofree char *path = g_build_filename(all, entry, NULL);
            return arena_copy(arena, path);
        }
    return NULL;
}

static char *only_protocol(Arena *arena, const char *folder)
{
    g_autofree char *protocols = g_build_filename(folder, PROTOCOL_FOLDER, NULL);
    g_autoptr(GDir) dir = g_dir_open(protocols, 0, NULL);
    const char *entry = dir ? g_dir_read_name(dir) : NULL;
    g_autofree char *path = entry ? g_build_filename(protocols, entry, NULL) : NULL;
    return path ? arena_copy(arena, path) : NULL;
}

gboolean loader_kept(Arena *arena, const Case *file, const char *seal, Case *out, const char **rules,
                     const char **folder)
{
    *folder = file->folder ? folder_of_seal(arena, file->folder, seal) : NULL;
    const char *protocol = *folder ? only_protocol(arena, *folder) : NULL;
    if (!protocol)
        return FALSE;
    g_autofree char *path = g_build_filename(*folder, KEPT_RULES, NULL), *text = NULL;
    if (!g_file_get_contents(path, &text, NULL, NULL) || !loader_load(loader_new(arena, *folder), protocol, out, NULL))
        return FALSE;
    *rules = arena_copy(arena, text);
    const SealBasis basis = {out->clinic, out->shelf, out->protocol, *rules};
    const char *own = seal_make(arena, &basis);
    return own && seal_same(own, seal);
}

/* ---- writing ---- */

/* The protocol's text with the approval that it gets at its end, in place of any that it had. */
static char *approved_text(const Source *source, const Protocol *written, const char *line)
{
    g_autoptr(GString) text = g_string_new(NULL);
    g_auto(GStrv) lines = g_strsplit(source->text, "\n", -1);
    int old = written->approval.at.key.source ? written->approval.at.key.line : 0;
    gboolean leaving = FALSE;
    for (int i = 0; lines[i]; i++) {
        leaving = i + 1 == old || (leaving && !(g_ascii_isalpha(*lines[i]) || strchr("\"'#", *lines[i])));
        if (!leaving && (lines[i + 1] || *lines[i]))
            g_string_append_printf(text, "%s\n", lines[i]);
    }
    g_string_append(text, line);
    return g_strdup(text->str);
}

/* TRUE when the text, read again, is what was sealed. */
static gboolean text_holds(Arena *arena, const Case *file, const char *name, const char *text, const char *seal,
                           const char *rules)
{
    Diagnostics *found = diagnostics_new(arena);
    Node *root = syntax_parse(arena, source_from_text(arena, name, text, strlen(text)), found);
    if (!root || root->kind != NODE_MAP)
        return FALSE;
    const SealBasis basis = {file->clinic, file->shelf, reader_protocol(arena, root, found), rules};
    const char *again = seal_make(arena, &basis);
    return again && seal_same(again, seal);
}

static gboolean keep_text(const char *folder, const char *name, const char *text, gsize length, mode_t mode,
                          GError **error)
{
    g_autoptr(GBytes) bytes = g_bytes_new(text, length);
    if (!publish_file(folder, name, bytes, error))
        return FALSE;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    return g_chmod(path, (int)(mode & 0666)) == 0 && g_chmod(folder, (int)(mode & 0777)) == 0;
}

gboolean loader_keep(Arena *arena, const Case *file, const char *line, const char *seal, const char *rules,
                     const char **folder, GError **error)
{
    const Protocol *protocol = file->protocol;
    const Source *own = protocol->protocol.at.place.source;
    const Source *clinic = file->clinic->clinic.at.place.source, *shelf = file->shelf->shelf.at.place.source;
    g_autofree char *name = g_strconcat(protocol->protocol.text, ".yaml", NULL);
    g_autofree char *text = approved_text(own, protocol, line);
    if (!text_holds(arena, file, name, text, seal, rules)) {
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_FAILED,
                    "%s cannot take the approval at its end: write its keys one below the other", own->name);
        return FALSE;
    }
    const char *approved = arena_format(arena, "%s-%" G_GINT64_FORMAT "-%.*s", protocol->protocol.text,
                                        protocol->revision.value, SEAL_DIGITS, seal);
    g_autofree char *all = approvals_of(file->folder), *path = g_build_filename(all, approved, NULL);
    g_autofree char *protocols = g_build_filename(path, PROTOCOL_FOLDER, NULL);
    struct stat above;
    mode_t mode = stat(file->folder, &above) == 0 ? above.st_mode : 0700; /* whoever reads the clinic reads it */
    *folder = arena_copy(arena, path);
    return keep_text(path, CLINIC_FILE, clinic->text, clinic->length, mode, error) &&
           keep_text(path, SHELF_FILE, shelf->text, shelf->length, mode, error) &&
           keep_text(path, KEPT_RULES, rules, strlen(rules), mode, error) &&
           keep_text(protocols, name, text, strlen(text), mode, error);
}
