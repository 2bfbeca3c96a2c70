/* neighbours: the people's files that stand in the same folder as one that was named. */
#include "reader/reader.h"

#include <string.h>

#include "reader/layout.h"
#include "syntax/syntax.h"

/* What is being gathered. */
typedef struct Gathering {
    Arena *arena;
    const Case *of;
    GHashTable *known; /* canonical paths that are there already */
    GPtrArray *out;
} Gathering;

/* A file that cannot be read, or is no person's, is told by a check of it and passed over here. */
static void take_file(const Gathering *gathering, const char *path)
{
    const Source *source;
    Arena *arena = gathering->arena;
    char *whole = g_canonicalize_filename(path, NULL);
    if (!g_str_has_suffix(path, ".yaml") || !g_hash_table_add(gathering->known, whole))
        return;
    Diagnostics *unsaid = diagnostics_new(arena);
    if (source_read(arena, path, SYNTAX_FILE_LIMIT, &source, NULL) != SOURCE_READ)
        return;
    const Node *root = syntax_parse(arena, source, unsaid);
    FileKind kind;
    if (!root || root->kind != NODE_MAP || !reader_kind(root, unsaid, &kind) || kind != FILE_PATIENT)
        return;
    Case *file = arena_new0(arena, Case);
    *file = (Case){.path = arena_copy(arena, path), .kind = kind, .clinic = gathering->of->clinic,
                   .patient = reader_patient(arena, root, unsaid), .folder = gathering->of->folder,
                   .neighbour = TRUE, .diagnostics = unsaid};
    g_ptr_array_add(gathering->out, file);
}

static void take_folder(const Gathering *gathering, const char *folder)
{
    GPtrArray *paths = arena_list(gathering->arena);
    if (!loader_list(gathering->arena, folder, paths, NULL))
        return;
    for (guint i = 0; i < paths->len; i++)
        take_file(gathering, g_ptr_array_index(paths, i));
}

/* Only the files beside it: what lies below may be anybody's. */
static void take_beside(const Gathering *gathering, const char *path)
{
    g_autofree char *folder = g_path_get_dirname(path);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir))) {
        g_autofree char *beside = g_build_filename(folder, entry, NULL);
        if (entry[0] != '.' && g_file_test(beside, G_FILE_TEST_IS_REGULAR))
            take_file(gathering, beside);
    }
}

gboolean loader_lies_below(const char *path, const char *folder)
{
    g_autofree char *whole = g_canonicalize_filename(path, NULL), *above = g_canonicalize_filename(folder, NULL);
    gsize length = strlen(above);
    return g_str_has_prefix(whole, above) && (whole[length] == '/' || length == 1);
}

char *loader_people_folder(Arena *arena, const char *folder)
{
    return strcmp(folder, ".") == 0 ? arena_copy(arena, PATIENT_FOLDER)
                                    : arena_format(arena, "%s/%s", folder, PATIENT_FOLDER);
}

void loader_neighbours(Arena *arena, Case *of, GHashTable *known, GPtrArray *out)
{
    const Gathering gathering = {arena, of, known, out};
    if (!of->folder || !of->clinic || !of->patient)
        return;
    /* A copy on standard input or in a folder of somebody's own is still that person's, and so is a
     * bundle that stands in place of a file. */
    of->apart = !g_str_has_suffix(of->path, ".yaml") || !loader_lies_below(of->path, of->folder);
    const char *people = loader_people_folder(arena, of->folder);
    if (g_hash_table_add(known, g_canonicalize_filename(people, NULL)))
        take_folder(&gathering, people);
    if (!of->apart)
        take_beside(&gathering, of->path);
}
