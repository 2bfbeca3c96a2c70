/* load: see load.h. */
#include "reader/reader.h"

#include <string.h>
#include <sys/stat.h>

#include <glib/gstdio.h>

#include "reader/layout.h"
#include "syntax/syntax.h"

#define STEPS_UP 8 /* folders above a file in which its clinic is looked for */

/* One file, read once however many cases need it. */
typedef struct Parsed {
    const Source *source;
    Node *root;            /* NULL after findings */
    gboolean known;        /* kind is set */
    FileKind kind;
} Parsed;

/* A clinic, a shelf or a roster's protocol that many cases share: read once, with its findings. */
typedef struct Shared {
    const Source *source;
    const Clinic *clinic;
    const Shelf *shelf;
    const Protocol *protocol;
    Diagnostics *diagnostics;
    gboolean asked;   /* of a protocol: whether sheets go on from an approved revision before it */
    const char *kept; /* then its path; else NULL */
} Shared;

struct Loader {
    Arena *arena;
    const char *clinic_folder;
    GHashTable *sources; /* path -> const Source*, for files that many cases share */
    GHashTable *shared;  /* path -> Shared* */
    GHashTable *digests; /* Source* of this loader -> SHA-256 in hex */
    SealMemo *seals;     /* of what is shared */
    GHashTable *folders; /* folder of a file -> its clinic's, or NULL */
};

Loader *loader_new(Arena *arena, const char *clinic_folder)
{
    Loader *loader = arena_new0(arena, Loader);
    loader->arena = arena;
    loader->clinic_folder = clinic_folder;
    loader->sources = g_hash_table_new(g_str_hash, g_str_equal);
    loader->shared = g_hash_table_new(g_str_hash, g_str_equal);
    loader->digests = g_hash_table_new(NULL, NULL);
    loader->seals = seal_memo_new(arena);
    loader->folders = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, loader->folders);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, loader->sources);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, loader->shared);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, loader->digests);
    return loader;
}

/* Raises file_too_large; any other failure is the system's.  Known again is only what stays with the loader. */
static gboolean read_source(Loader *loader, Arena *arena, const char *path, Diagnostics *diagnostics,
                            const Source **out, GError **error)
{
    *out = g_hash_table_lookup(loader->sources, path);
    if (*out)
        return TRUE;
    SourceStatus status = source_read(arena, path, SYNTAX_FILE_LIMIT, out, error);
    if (status == SOURCE_UNREADABLE)
        return FALSE;
    if (status == SOURCE_TOO_LARGE) {
        Finding *finding = finding_add(diagnostics, RULE_file_too_large, (Place){*out, 1, 1, 1});
        finding_fact(finding, "the limit is %d MiB", SYNTAX_FILE_LIMIT / (1024 * 1024));
        finding_help(finding, "split the file, or check that it is the file you meant");
        return TRUE;
    }
    if (arena == loader->arena)
        g_hash_table_insert(loader->sources, arena_copy(arena, path), (gpointer)*out);
    return TRUE;
}

void loader_put(Loader *loader, const char *path, const char *text)
{
    const Source *source = source_from_text(loader->arena, path, text, strlen(text));
    g_hash_table_insert(loader->sources, arena_copy(loader->arena, path), (gpointer)source);
}

static gboolean parse(Loader *loader, Arena *arena, const char *path, Diagnostics *diagnostics, Parsed *out,
                      GError **error)
{
    *out = (Parsed){0};
    if (!read_source(loader, arena, path, diagnostics, &out->source, error))
        return FALSE;
    if (out->source->length == 0 && diagnostics_count(diagnostics) > 0)
        return TRUE;
    out->root = syntax_parse(arena, out->source, diagnostics);
    if (out->root)
        out->known = reader_kind(out->root, diagnostics, &out->kind);
    return TRUE;
}

static char *folder_above(Arena *arena, const char *from)
{
    g_autofree char *folder = g_strdup(from);
    for (int step = 0; step < STEPS_UP; step++) {
        g_autofree char *candidate = g_build_filename(folder, CLINIC_FILE, NULL);
        if (g_file_test(candidate, G_FILE_TEST_IS_REGULAR))
            return arena_copy(arena, folder);
        g_autofree char *whole = g_canonicalize_filename(folder, NULL);
        if (strcmp(whole, "/") == 0)
            break;
        char *up = strcmp(folder, ".") == 0 || g_str_has_suffix(folder, "..")
                       ? g_build_filename(folder, "..", NULL)
                       : g_path_get_dirname(folder);
        g_free(folder);
        folder = up;
    }
    return NULL;
}

/* Looked for once for all files of a folder. */
char *loader_clinic_folder(Loader *loader, const char *path)
{
    gpointer known;
    if (loader->clinic_folder)
        return arena_copy(loader->arena, loader->clinic_folder);
    g_autofree char *folder = strcmp(path, "-") == 0 ? g_strdup(".") : g_path_get_dirname(path);
    if (g_hash_table_lookup_extended(loader->folders, folder, NULL, &known))
        return known;
    known = folder_above(loader->arena, folder);
    g_hash_table_insert(loader->folders, arena_copy(loader->arena, folder), known);
    return known;
}

/* A path inside a folder; nothing is put before it when the folder is this one. */
static char *inside(const char *folder, const char *first, const char *second)
{
    return strcmp(folder, ".") == 0 ? g_build_filename(first, second, NULL)
                                    : g_build_filename(folder, first, second, NULL);
}

static Finding *missing(Diagnostics *diagnostics, RuleId rule, Place place, const char *what)
{
    Finding *finding = finding_add(diagnostics, rule, place);
    finding_help(finding, "%s", what);
    return finding;
}

/* ---- names that an editor or a file manager made longer ---- */

/* Length of the name without an ending that was meant for .yaml; 0 when it has none. */
static gsize misnamed_stem(const char *name)
{
    static const char *const endings[] = {".yaml.txt", ".yml.txt", ".yml", ".yaml"};
    g_autofree char *plain = g_ascii_strdown(name, -1);
    for (gsize i = 0; i < G_N_ELEMENTS(endings); i++)
        if (g_str_has_suffix(plain, endings[i]) && !g_str_has_suffix(name, ".yaml"))
            return strlen(name) - strlen(endings[i]);
    return 0;
}

/* A file of the folder that was meant to be called so; NULL when there is none. */
static char *misnamed(Arena *arena, const char *folder, const char *wanted)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    gsize stem = strlen(wanted) - strlen(".yaml");
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir)))
        if (misnamed_stem(entry) == stem && strncmp(entry, wanted, stem) == 0)
            return strcmp(folder, ".") == 0 ? arena_copy(arena, entry) : arena_format(arena, "%s/%s", folder, entry);
    return NULL;
}

/* Says so in place of the help; FALSE when there is no such file. */
static gboolean tell_misnamed(Loader *loader, Finding *finding, const char *folder, const char *wanted)
{
    const char *found = misnamed(loader->arena, folder, wanted);
    if (found)
        finding_help(finding, "rename %s to %s", found, wanted);
    return found != NULL;
}

/* The same of a protocol or a person whose file has another ending, or none, as a copy that an editor kept. */
static gsize other_stem(const char *name, const Parsed *parsed)
{
    gboolean found_by_name = parsed->root && parsed->known &&
                             (parsed->kind == FILE_PROTOCOL || parsed->kind == FILE_PATIENT);
    if (!found_by_name || g_str_has_suffix(name, ".yaml") || g_str_has_suffix(name, ".json"))
        return 0;
    const char *ending = strstr(name, ".yaml"), *point = strrchr(name, '.');
    return ending && ending > name ? (gsize)(ending - name)
           : point && point > name ? (gsize)(point - name)
                                   : strlen(name);
}

/* A file that only its name keeps from being found. */
static void check_name(Loader *loader, const char *path, const Parsed *parsed, Diagnostics *diagnostics)
{
    g_autofree char *name = g_path_get_basename(path);
    gsize stem = misnamed_stem(name);
    if (stem == 0 && strcmp(path, "-") != 0)
        stem = other_stem(name, parsed);
    if (stem == 0)
        return;
    Finding *finding = finding_add(diagnostics, RULE_file_name, (Place){parsed->source, 1, 1, 1});
    finding_fact(finding, "it is called \"%s\"", name);
    finding_help(finding, "rename it to \"%s.yaml\"; where the ending is not shown, let the file manager show the "
                          "endings of names first", arena_copy_length(loader->arena, name, stem));
}

/* Reads a companion file of the wanted kind; *root is NULL after findings. */
static gboolean companion(Loader *loader, const char *path, FileKind wanted,
                          Diagnostics *diagnostics, GPtrArray *sources, Node **root, GError **error)
{
    Parsed parsed;
    if (!parse(loader, loader->arena, path, diagnostics, &parsed, error))
        return FALSE;
    *root = NULL;
    g_ptr_array_add(sources, (gpointer)parsed.source);
    if (!parsed.root || !parsed.known)
        return TRUE;
    if (parsed.kind == wanted)
        *root = parsed.root;
    else
        missing(diagnostics, RULE_file_kind, parsed.root->place,
                "the file's name says one thing and its first key another: rename the file");
    return TRUE;
}

/* What stands at this path, read the first time it is asked for. */
static const Shared *shared_file(Loader *loader, const char *path, FileKind wanted, GError **error)
{
    Shared *known = g_hash_table_lookup(loader->shared, path);
    if (known)
        return known;
    Node *root = NULL;
    GPtrArray *sources = arena_list(loader->arena);
    known = arena_new0(loader->arena, Shared);
    known->diagnostics = diagnostics_new(loader->arena);
    if (!companion(loader, path, wanted, known->diagnostics, sources, &root, error))
        return NULL;
    known->source = g_ptr_array_index(sources, 0);
    if (root && wanted == FILE_CLINIC)
        known->clinic = reader_clinic(loader->arena, root, known->diagnostics);
    else if (root && wanted == FILE_SHELF)
        known->shelf = reader_shelf(loader->arena, root, known->diagnostics);
    else if (root)
        known->protocol = reader_protocol(loader->arena, root, known->diagnostics);
    g_hash_table_insert(loader->shared, arena_copy(loader->arena, path), known);
    return known;
}

static gboolean load_clinic(Loader *loader, const char *folder, Case *out, GPtrArray *sources, GError **error)
{
    g_autofree char *path = inside(folder, CLINIC_FILE, NULL);
    const Shared *shared = shared_file(loader, path, FILE_CLINIC, error);
    if (!shared)
        return FALSE;
    g_ptr_array_add(sources, (gpointer)shared->source);
    diagnostics_append(out->diagnostics, shared->diagnostics);
    out->clinic = shared->clinic;
    return TRUE;
}

static gboolean load_shelf(Loader *loader, const char *folder, Place from, Case *out,
                           GPtrArray *sources, GError **error)
{
    g_autofree char *path = inside(folder, SHELF_FILE, NULL);
    if (!g_hash_table_contains(loader->shared, path) && !g_file_test(path, G_FILE_TEST_EXISTS)) {
        Finding *finding = missing(out->diagnostics, RULE_shelf_missing, from,
                                   "put a file shelf.yaml beside clinic.yaml: it says what the clinic stocks");
        tell_misnamed(loader, finding, folder, SHELF_FILE);
        return TRUE;
    }
    const Shared *shared = shared_file(loader, path, FILE_SHELF, error);
    if (!shared)
        return FALSE;
    g_ptr_array_add(sources, (gpointer)shared->source);
    diagnostics_append(out->diagnostics, shared->diagnostics);
    out->shelf = shared->shelf;
    out->seals = loader->seals;
    return TRUE;
}

/* The protocol in the clinic's folder whose name is nearest to the word. */
static const char *nearest_protocol(Loader *loader, const char *folder, const char *word)
{
    g_autofree char *path = g_build_filename(folder, PROTOCOL_FOLDER, NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    if (!dir)
        return NULL;
    GPtrArray *names = arena_list(loader->arena);
    const char *entry;
    while ((entry = g_dir_read_name(dir)))
        if (g_str_has_suffix(entry, ".yaml"))
            g_ptr_array_add(names, arena_copy_length(loader->arena, entry, strlen(entry) - 5));
    return nearest_word(word, (const char *const *)names->pdata, names->len);
}

static gboolean read_protocol(Loader *loader, const char *path, Case *out, GPtrArray *sources, GError **error)
{
    Node *root = NULL;
    if (!companion(loader, path, FILE_PROTOCOL, out->diagnostics, sources, &root, error))
        return FALSE;
    if (root)
        out->protocol = reader_protocol(loader->arena, root, out->diagnostics);
    return TRUE;
}

static gboolean waits(Arena *arena, const char *folder, const char *name, const Protocol *written)
{
    const Text *seal = written ? &written->approval.seal : NULL;
    if (!written || !PRESENT(written->revision))
        return FALSE;
    if (!PRESENT(written->approval) || !PRESENT(*seal))
        return TRUE;
    /* a new revision under the line that approved the one before */
    gint64 approved = loader_kept_revision(arena, folder, name, seal->text);
    return approved > 0 && approved < written->revision.value;
}

const char *loader_goes_on(Arena *arena, const char *folder, const char *name, const Protocol *written)
{
    return waits(arena, folder, name, written)
               ? loader_kept_before(arena, folder, name, written->revision.value, LOADER_ANY_DAY) : NULL;
}

static void tell_waiting(Case *out, const Protocol *written)
{
    out->waiting = written->revision.value;
    Finding *finding = finding_add(out->diagnostics, RULE_revision_waits, written->revision.at.place);
    finding_fact(finding, "the sheet is of revision %" G_GINT64_FORMAT ", which was approved",
                 out->protocol ? out->protocol->revision.value : 0);
    finding_help(finding, "have revision %" G_GINT64_FORMAT " approved, or leave it until it is", out->waiting);
}

/* While a new revision waits for its approval, sheets go on from the approved one before it:
 * what is wrong with the new text is told by a check of that file. */
static gboolean take_approved(Loader *loader, const char *folder, Case *out, GPtrArray *sources, GError **error)
{
    const Protocol *written = out->protocol;
    const char *kept = loader_goes_on(loader->arena, folder, out->patient->protocol.text, written);
    if (!kept)
        return TRUE;
    Case approved = {.diagnostics = diagnostics_new(loader->arena)};
    g_ptr_array_remove_index(sources, sources->len - 1);
    if (!read_protocol(loader, kept, &approved, sources, error))
        return FALSE;
    out->protocol = approved.protocol;
    diagnostics_drop(out->diagnostics, written->protocol.at.place.source);
    diagnostics_append(out->diagnostics, approved.diagnostics);
    tell_waiting(out, written);
    return TRUE;
}

static gboolean load_protocol(Loader *loader, const char *folder, Case *out, GPtrArray *sources,
                              GError **error)
{
    const Text *name = &out->patient->protocol;
    if (!PRESENT(*name))
        return TRUE;
    g_autofree char *file = g_strconcat(name->text, ".yaml", NULL);
    g_autofree char *path = inside(folder, PROTOCOL_FOLDER, file);
    if (!g_file_test(path, G_FILE_TEST_EXISTS)) {
        const char *near = nearest_protocol(loader, folder, name->text);
        Finding *finding = finding_add(out->diagnostics, RULE_protocol_missing, name->at.place);
        finding_fact(finding, "there is no file %s/%s in the clinic's folder", PROTOCOL_FOLDER, file);
        g_autofree char *protocols = inside(folder, PROTOCOL_FOLDER, NULL);
        if (tell_misnamed(loader, finding, protocols, file))
            return TRUE;
        if (near)
            finding_help(finding, "did you mean \"%s\"?", near);
        else
            finding_help(finding, "name a protocol of this clinic");
        return TRUE;
    }
    return read_protocol(loader, path, out, sources, error) && take_approved(loader, folder, out, sources, error);
}

static void read_own(Arena *arena, const Parsed *parsed, Case *out)
{
    if (parsed->kind == FILE_PROTOCOL)
        out->protocol = reader_protocol(arena, parsed->root, out->diagnostics);
    else if (parsed->kind == FILE_PATIENT)
        out->patient = reader_patient(arena, parsed->root, out->diagnostics);
    else if (parsed->kind == FILE_CLINIC)
        out->clinic = reader_clinic(arena, parsed->root, out->diagnostics);
    else if (parsed->kind == FILE_SHELF)
        out->shelf = reader_shelf(arena, parsed->root, out->diagnostics);
}

static char *digest_of_source(Arena *arena, const Source *source)
{
    g_autofree char *digest = digest_hex(source->text, source->length);
    return arena_copy(arena, digest);
}

/* What many cases share is read through once. */
static const char *digest_of_file(Loader *loader, const Source *source)
{
    char *known = g_hash_table_lookup(loader->digests, source);
    if (known)
        return known;
    known = digest_of_source(loader->arena, source);
    g_hash_table_insert(loader->digests, (gpointer)source, known);
    return known;
}

/* Of the digests of all files, the first own of which no other case shares, and of what is said of the person
 * (NULL: of a file). */
static const char *digest_of(Loader *loader, Arena *arena, guint own, const GPtrArray *sources,
                             const char *said)
{
    DigestRun *run = digest_run_new();
    for (guint i = 0; i < sources->len; i++) {
        const Source *source = g_ptr_array_index(sources, i);
        const char *digest = i < own ? digest_of_source(arena, source) : digest_of_file(loader, source);
        digest_run_add(run, digest, strlen(digest));
    }
    if (said)
        digest_run_add(run, said, strlen(said));
    g_autofree char *digest = digest_run_end(run);
    return arena_copy(arena, digest);
}

gboolean loader_load(Loader *loader, const char *path, Case *out, GError **error)
{
    return loader_load_in(loader, loader->arena, path, out, error);
}

gboolean loader_load_in(Loader *loader, Arena *own, const char *path, Case *out, GError **error)
{
    *out = (Case){.path = path, .diagnostics = diagnostics_new(own)};
    Parsed parsed;
    if (!parse(loader, own, path, out->diagnostics, &parsed, error))
        return FALSE;
    check_name(loader, path, &parsed, out->diagnostics);
    if (!parsed.root || !parsed.known)
        return TRUE;
    out->kind = parsed.kind;
    GPtrArray *sources = arena_list(own);
    g_ptr_array_add(sources, (gpointer)parsed.source);
    read_own(own, &parsed, out);
    const char *folder = loader_clinic_folder(loader, path);
    out->folder = folder;
    if (!folder && parsed.kind != FILE_CLINIC) {
        Finding *finding = missing(out->diagnostics, RULE_clinic_missing, parsed.root->place,
                                   "put clinic.yaml in this folder or one above it, or name its folder with --clinic");
        g_autofree char *here = g_path_get_dirname(path), *above = g_path_get_dirname(here);
        if (!tell_misnamed(loader, finding, here, CLINIC_FILE))
            tell_misnamed(loader, finding, above, CLINIC_FILE);
        return TRUE;
    }
    if (parsed.kind != FILE_CLINIC && !load_clinic(loader, folder, out, sources, error))
        return FALSE;
    if (parsed.kind == FILE_PROTOCOL || parsed.kind == FILE_PATIENT)
        if (!load_shelf(loader, folder, parsed.root->place, out, sources, error))
            return FALSE;
    if (out->patient && !load_protocol(loader, folder, out, sources, error))
        return FALSE;
    out->digest = digest_of(loader, own, 1, sources, NULL);
    return TRUE;
}

/* A roster's protocol, and whether its people go on from the revision before it. */
static const Shared *shared_protocol(Loader *loader, const char *folder, const char *path, const char *name,
                                     GError **error)
{
    Shared *shared = (Shared *)shared_file(loader, path, FILE_PROTOCOL, error);
    if (shared && !shared->asked) {
        shared->kept = loader_goes_on(loader->arena, folder, name, shared->protocol);
        shared->asked = TRUE;
    }
    return shared;
}

/* FALSE when the system failed; a protocol that is not there is a finding of load_protocol. */
static gboolean share_protocol(Loader *loader, const char *folder, Case *out, GPtrArray *sources, GError **error)
{
    const Text *name = &out->patient->protocol;
    g_autofree char *file = PRESENT(*name) ? g_strconcat(name->text, ".yaml", NULL) : NULL;
    g_autofree char *path = file ? inside(folder, PROTOCOL_FOLDER, file) : NULL;
    if (!path || (!g_hash_table_contains(loader->shared, path) && !g_file_test(path, G_FILE_TEST_EXISTS)))
        return load_protocol(loader, folder, out, sources, error);
    const Shared *written = shared_protocol(loader, folder, path, name->text, error);
    const Shared *taken = written && written->kept ? shared_file(loader, written->kept, FILE_PROTOCOL, error) : written;
    if (!taken)
        return FALSE;
    g_ptr_array_add(sources, (gpointer)taken->source);
    diagnostics_append(out->diagnostics, taken->diagnostics);
    out->protocol = taken->protocol;
    if (written->kept)
        tell_waiting(out, written->protocol);
    return TRUE;
}

gboolean loader_listed(Loader *loader, const char *path, const Listed *listed, Case *out, GError **error)
{
    *out = (Case){.path = path, .kind = FILE_PATIENT, .diagnostics = listed->diagnostics};
    const Node *root = listed->root;
    const char *folder = loader_clinic_folder(loader, path);
    g_autoptr(GPtrArray) sources = g_ptr_array_new();
    out->patient = reader_listed(listed->arena, root, listed->table, out->diagnostics);
    out->folder = folder;
    if (!folder) {
        missing(out->diagnostics, RULE_clinic_missing, root->place,
                "put clinic.yaml in this folder or one above it, or name its folder with --clinic");
        return TRUE;
    }
    if (!load_clinic(loader, folder, out, sources, error) ||
        !load_shelf(loader, folder, root->place, out, sources, error) ||
        !share_protocol(loader, folder, out, sources, error))
        return FALSE;
    out->digest = digest_of(loader, listed->arena, 0, sources, listed->words);
    return TRUE;
}

static int by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

gboolean loader_list(Arena *arena, const char *folder, GPtrArray *out, GError **error)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, error);
    if (!dir)
        return FALSE;
    GPtrArray *names = arena_list(arena);
    const char *entry;
    while ((entry = g_dir_read_name(dir)))
        if (entry[0] != '.')
            g_ptr_array_add(names, arena_copy(arena, entry));
    g_ptr_array_sort(names, by_text);
    for (guint i = 0; i < names->len; i++) {
        const char *name = g_ptr_array_index(names, i);
        g_autofree char *path = g_build_filename(folder, name, NULL);
        GStatBuf there;
        if (g_lstat(path, &there) == 0 && S_ISDIR(there.st_mode)) {
            if (strcmp(name, KEPT_FOLDER) == 0)
                continue;
            if (!loader_list(arena, path, out, error))
                return FALSE;
        } else if (g_str_has_suffix(name, ".yaml") || misnamed_stem(name) > 0) {
            g_ptr_array_add(out, arena_copy(arena, path));
        }
    }
    return TRUE;
}

static char *path_there(Arena *arena, const char *folder, const char *within, const char *name)
{
    g_autofree char *file = g_strconcat(name, ".yaml", NULL);
    g_autofree char *path = strchr(name, '/') ? NULL : inside(folder, within, file);
    return path && g_file_test(path, G_FILE_TEST_EXISTS) ? arena_copy(arena, path) : NULL;
}

char *loader_protocol_path(Arena *arena, const char *folder, const char *name)
{
    return path_there(arena, folder, PROTOCOL_FOLDER, name);
}

char *loader_patient_path(Arena *arena, const char *folder, const char *code)
{
    return path_there(arena, folder, PATIENT_FOLDER, code);
}
