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

/* The revision in "NAME-3-9c1e4b0a52d7f318" of this name; 0 when it is of another. */
static gint64 revision_of(const char *entry, const char *name)
{
    gsize size = strlen(name);
    if (strncmp(entry, name, size) != 0 || entry[size] != '-')
        return 0;
    char *end;
    gint64 revision = g_ascii_strtoll(entry + size + 1, &end, 10);
    return *end == '-' && strlen(end + 1) == SEAL_DIGITS && !strchr(end + 1, '-') ? revision : 0;
}

gint64 loader_kept_revision(Arena *arena, const char *clinic_folder, const char *name, const char *seal)
{
    const char *folder = folder_of_seal(arena, clinic_folder, seal);
    g_autofree char *entry = folder ? g_path_get_basename(folder) : NULL;
    return entry ? revision_of(entry, name) : 0;
}

/* When it was approved, as it says; of two approvals of one revision the later one counts. */
static Day approved_on(Arena *arena, const char *path)
{
    Case file;
    gboolean read = loader_load(loader_new(arena, NULL), path, &file, NULL) && file.protocol;
    return read && PRESENT(file.protocol->approval) && PRESENT(file.protocol->approval.on)
               ? file.protocol->approval.on.day : G_MININT32;
}

const char *loader_kept_before(Arena *arena, const char *clinic_folder, const char *name, gint64 revision, Day until)
{
    g_autofree char *all = approvals_of(clinic_folder);
    g_autoptr(GDir) dir = g_dir_open(all, 0, NULL);
    const char *entry, *best = NULL;
    gint64 best_revision = 0;
    Day best_day = G_MININT32;
    while (dir && (entry = g_dir_read_name(dir))) {
        gint64 own = revision_of(entry, name);
        g_autofree char *folder = g_build_filename(all, entry, NULL);
        const char *path = own > 0 && own < revision && own >= best_revision ? only_protocol(arena, folder) : NULL;
        Day day = path ? approved_on(arena, path) : 0;
        if (!path || day > until || (own == best_revision && day < best_day))
            continue;
        best = path;
        best_revision = own;
        best_day = day;
    }
    return best;
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
