/* commands_beside: see commands/beside.h. */
#define _GNU_SOURCE /* memmem */
#include "commands/beside.h"

#include <malloc.h>
#include <string.h>

#include "syntax/syntax.h"

#define FEW_WORDS 16 /* that are looked for in a roster before it is read */

static const Node *node_at(const Node *root, const char *key, const char *inner)
{
    const Node *node = root ? node_get(root, key) : NULL;
    if (node && inner)
        node = node_get(node, inner);
    return node && node->kind == NODE_TEXT ? node : NULL;
}

static const char *text_at(const Node *root, const char *key, const char *inner, Place *place)
{
    const Node *node = node_at(root, key, inner);
    if (place)
        *place = node ? node->place : root->place;
    return node ? node->text : "";
}

/* Without the weekday before it. */
static const char *day_alone(const char *date)
{
    const char *space = strrchr(date, ' ');
    return space ? space + 1 : date;
}

void beside_describe(Arena *arena, const Node *root, BesidePerson *out)
{
    out->code = text_at(root, "patient", NULL, &out->place);
    out->shown = text_at(root, "name", NULL, &out->name_place);
    out->order = text_at(root, "order", NULL, &out->order_place);
    out->sheet = text_at(root, "sheet", NULL, &out->sheet_place);
    out->day = day_alone(text_at(root, "anchor", "on", NULL));
    out->hour = text_at(root, "anchor", "clock", NULL);
    g_autofree char *folded = g_utf8_casefold(out->shown, -1);
    out->name = arena_copy(arena, folded);
}

const char *people_code(const RosterRow *row)
{
    return row->root ? text_at(row->root, "patient", NULL, NULL) : "";
}

/* ---- in other files: what is wrong within one is told by a check of it, and passed over ---- */

gboolean beside_lost(GError *error)
{
    gboolean lost = !g_error_matches(error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
    if (lost)
        terminal_say(stderr, "dosewright: %s; who stands there was not compared\n", error->message);
    g_error_free(error);
    return lost;
}

static void lose(Listing *people, GError *error) { people->lost |= beside_lost(error); }

const Node *beside_person_in(Arena *arena, const char *path, GError **error)
{
    const Source *source;
    FileKind kind;
    Diagnostics *unsaid = diagnostics_new(arena);
    if (!g_str_has_suffix(path, ".yaml") || source_read(arena, path, SYNTAX_FILE_LIMIT, &source, error) != SOURCE_READ)
        return NULL;
    const Node *root = syntax_parse(arena, source, unsaid);
    gboolean person = root && root->kind == NODE_MAP && reader_kind(root, unsaid, &kind) && kind == FILE_PATIENT;
    return person ? root : NULL;
}

static void add_elsewhere(Listing *people, Arena *arena, const BesideFile *file, const Node *root)
{
    BesidePerson person = {.elsewhere = TRUE};
    beside_describe(arena, root, &person);
    beside_add(people->beside, people->marks->len + people->elsewhere->len, &person);
    g_array_append_val(people->elsewhere, *file);
}

static void add_roster(Listing *people, const char *path)
{
    RosterRow row;
    GError *error = NULL;
    Arena *whole = arena_new(), *arena = arena_new();
    Roster *roster = roster_open(whole, path, diagnostics_new(whole), &error);
    if (error)
        lose(people, error);
    while (roster && roster_next(roster, arena, &row)) {
        const BesideFile file = {path, TRUE, row.at};
        if (row.root)
            add_elsewhere(people, arena, &file, row.root);
        arena_free(arena);
        arena = arena_new();
    }
    arena_free(arena);
    arena_free(whole);
}

static void add_file(Session *session, Listing *people, GHashTable *known, const char *path)
{
    if (!g_hash_table_add(known, g_canonicalize_filename(path, NULL)))
        return;
    const char *kept = arena_copy(session->arena, path);
    if (roster_is(path)) {
        add_roster(people, kept);
        return;
    }
    GError *error = NULL;
    Arena *arena = arena_new();
    const Node *root = beside_person_in(arena, path, &error);
    if (error)
        lose(people, error);
    if (root)
        add_elsewhere(people, arena, &(BesideFile){.path = kept}, root);
    arena_free(arena);
}

/* Only the files beside it: what lies below may be anybody's. */
static void add_beside(Session *session, Listing *people, GHashTable *known)
{
    g_autofree char *folder = g_path_get_dirname(people->path);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir))) {
        g_autofree char *path = strcmp(folder, ".") == 0 ? g_strdup(entry) : g_build_filename(folder, entry, NULL);
        if (entry[0] != '.' && g_file_test(path, G_FILE_TEST_IS_REGULAR))
            add_file(session, people, known, path);
    }
}

static void add_all_elsewhere(Session *session, Listing *people)
{
    const char *folder = loader_clinic_folder(session->loader, people->path);
    g_autoptr(GHashTable) known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    GPtrArray *paths = arena_list(session->arena);
    if (!folder)
        return;
    people->apart = !loader_lies_below(people->path, folder);
    g_hash_table_add(known, g_canonicalize_filename(people->path, NULL));
    if (loader_list(session->arena, loader_people_folder(session->arena, folder), paths, NULL))
        for (guint i = 0; i < paths->len; i++)
            add_file(session, people, known, g_ptr_array_index(paths, i));
    if (!people->apart)
        add_beside(session, people, known);
}

static gboolean read_elsewhere(Listing *people, const BesideFile *file, BesidePerson *out)
{
    RosterRow row = {0};
    GError *error = NULL;
    const Node *root = file->listed ? NULL : beside_person_in(people->arena, file->path, &error);
    if (file->listed) {
        Roster *roster = roster_open(people->arena, file->path, diagnostics_new(people->arena), &error);
        if (error)
            lose(people, g_steal_pointer(&error));
        if (!roster)
            return FALSE;
        roster_go(roster, &file->mark);
        if (!roster_next(roster, people->arena, &row))
            return FALSE;
        root = row.root;
    }
    if (error)
        lose(people, error);
    if (!root)
        return FALSE;
    out->elsewhere = TRUE;
    out->copy = people->apart;
    beside_describe(people->arena, root, out);
    return TRUE;
}

/* ---- read again ---- */

static gboolean read_again(gpointer data, guint index, BesidePerson *out)
{
    Listing *people = data;
    RosterRow row;
    *out = (BesidePerson){0};
    if (!people->arena)
        people->arena = arena_new();
    if (index >= people->marks->len)
        return read_elsewhere(people, &g_array_index(people->elsewhere, BesideFile, index - people->marks->len), out);
    roster_go(people->again, &g_array_index(people->marks, RosterMark, index));
    if (!roster_next(people->again, people->arena, &row) || !row.root)
        return FALSE;
    beside_describe(people->arena, row.root, out);
    return TRUE;
}

const char *people_compare(Arena *arena, Listing *people, const RosterRow *row)
{
    BesidePerson person = {0};
    const BesideReader reader = {read_again, people};
    if (!row->root)
        return NULL;
    beside_describe(arena, row->root, &person);
    return beside_judge(arena, people->beside, row->at.index, &person, &reader, row->diagnostics);
}

void people_prepare(Listing *people, guint from, guint until)
{
    const BesideReader reader = {read_again, people};
    beside_prepare(people->beside, from, until, &reader);
    people_forget(people);
}

void people_prepared(Listing *people) { beside_prepared(people->beside); }

void people_forget(Listing *people)
{
    g_clear_pointer(&people->arena, arena_free);
}

void people_forget_with(Listing *people, Arena *arena)
{
    if (people->arena)
        arena_defer(arena, (GDestroyNotify)arena_free, g_steal_pointer(&people->arena));
}

static void add_all(Session *session, Listing *people)
{
    RosterRow row;
    Arena *arena = arena_new();
    while (roster_next(people->roster, arena, &row)) {
        BesidePerson person = {0};
        g_array_append_val(people->marks, row.at);
        if (row.root) {
            beside_describe(arena, row.root, &person);
            beside_add(people->beside, row.at.index, &person);
        }
        arena_free(arena);
        arena = arena_new();
    }
    arena_free(arena);
    add_all_elsewhere(session, people);
    beside_settle(people->beside);
    malloc_trim(0); /* what has grown and gone again would be handed to each process */
}

gboolean people_reopen(Session *session, Listing *people)
{
    GError *error = NULL;
    Diagnostics *told = diagnostics_new(session->arena); /* the first opening has said it */
    people->roster = roster_open(session->arena, people->path, told, &error);
    people->again = people->roster ? roster_open(session->arena, people->path, told, &error) : NULL;
    if (people->again)
        return TRUE;
    commands_system_error(error);
    return FALSE;
}

/* What holds for all of its people is said once. */
static void judge_whole(Session *session, const Listing *people, Diagnostics *found)
{
    const Place whole = {source_from_text(session->arena, people->path, "", 0), 1, 1, 1};
    if (people->marks->len == 0)
        finding_help(finding_add(found, RULE_file_empty, whole), "write a row for each person");
    else if (!loader_clinic_folder(session->loader, people->path))
        finding_help(finding_add(found, RULE_clinic_missing, whole),
                     "put the roster into the clinic's folder, or name that folder with --clinic");
}

Listing *people_read(Session *session, const char *path, int *status)
{
    GError *error = NULL;
    Diagnostics *found = diagnostics_new(session->arena);
    Listing *people = arena_new0(session->arena, Listing);
    people->path = path;
    people->marks = g_array_new(FALSE, FALSE, sizeof(RosterMark));
    people->elsewhere = g_array_new(FALSE, FALSE, sizeof(BesideFile));
    arena_defer(session->arena, (GDestroyNotify)g_array_unref, people->marks);
    arena_defer(session->arena, (GDestroyNotify)g_array_unref, people->elsewhere);
    people->beside = beside_new(session->arena);
    people->roster = roster_open(session->arena, path, found, &error);
    if (!people->roster) {
        *status = commands_system_error(error);
        return NULL;
    }
    add_all(session, people);
    if (diagnostics_count(found) == 0)
        judge_whole(session, people, found);
    if (diagnostics_count(found) > 0)
        commands_report(session, found);
    *status = diagnostics_stops(found) ? EXIT_FINDINGS : EXIT_FINE;
    if (*status == EXIT_FINE && (people->lost || !people_reopen(session, people)))
        *status = EXIT_SYSTEM;
    return *status == EXIT_FINE ? people : NULL;
}

/* ---- the other way round: files of people beside rosters ---- */

typedef struct Meeting {
    Session *session;
    GHashTable *wanted; /* codes, orders and numbers of the cases' people */
    GHashTable *known;  /* rosters that were read, by their canonical paths */
    const Case *of;
    GPtrArray *out;
} Meeting;

static gboolean is_wanted(const Meeting *meeting, const Node *root)
{
    static const char *const keys[] = {"patient", "order", "sheet"};
    for (gsize i = 0; i < G_N_ELEMENTS(keys); i++) {
        const char *text = text_at(root, keys[i], NULL, NULL);
        if (*text && g_hash_table_contains(meeting->wanted, text))
            return TRUE;
    }
    return FALSE;
}

/* A long roster is read person by person only when one of the words stands in it. */
static gboolean holds_any(const Meeting *meeting, const char *path)
{
    GHashTableIter iter;
    gpointer word;
    g_autoptr(GMappedFile) file = g_mapped_file_new(path, FALSE, NULL);
    if (!file || g_hash_table_size(meeting->wanted) > FEW_WORDS)
        return file != NULL;
    g_hash_table_iter_init(&iter, meeting->wanted);
    while (g_hash_table_iter_next(&iter, &word, NULL))
        if (memmem(g_mapped_file_get_contents(file), g_mapped_file_get_length(file), word, strlen(word)))
            return TRUE;
    return FALSE;
}

static void meet(const Meeting *meeting, const char *path, const RosterRow *row, gboolean table, Arena *arena)
{
    Case *file = arena_new0(arena, Case);
    *file = (Case){.path = arena_copy(arena, path), .kind = FILE_PATIENT, .clinic = meeting->of->clinic,
                   .folder = meeting->of->folder, .neighbour = TRUE, .diagnostics = diagnostics_new(arena)};
    file->patient = reader_listed(arena, row->root, table, file->diagnostics);
    g_ptr_array_add(meeting->out, file);
}

static void meet_roster(const Meeting *meeting, const char *path)
{
    RosterRow row;
    Arena *arena = meeting->session->arena;
    gboolean fresh = g_hash_table_add(meeting->known, g_canonicalize_filename(path, NULL));
    if (!fresh || !roster_is(path) || !holds_any(meeting, path))
        return;
    Roster *roster = roster_open(arena, path, diagnostics_new(arena), NULL);
    for (gboolean more = roster != NULL; more;) {
        Arena *own = arena_new();
        more = roster_next(roster, own, &row);
        if (more && row.root && is_wanted(meeting, row.root)) {
            arena_defer(arena, (GDestroyNotify)arena_free, own);
            meet(meeting, path, &row, roster_is_table(roster), own);
        } else {
            arena_free(own);
        }
    }
}

static void meet_folder(const Meeting *meeting, const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir))) {
        g_autofree char *path = strcmp(folder, ".") == 0 ? g_strdup(entry) : g_build_filename(folder, entry, NULL);
        if (entry[0] != '.' && g_file_test(path, G_FILE_TEST_IS_REGULAR))
            meet_roster(meeting, path);
    }
}

static void want(GHashTable *wanted, const Patient *patient)
{
    const Text *words[] = {&patient->patient, &patient->order};
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++)
        if (PRESENT(*words[i]))
            g_hash_table_add(wanted, g_strdup(words[i]->text));
    if (PRESENT(patient->sheet))
        g_hash_table_add(wanted, g_strdup_printf("%" G_GINT64_FORMAT, patient->sheet.value));
}

void people_listed_beside(Session *session, const GPtrArray *cases, GPtrArray *out)
{
    g_autoptr(GHashTable) wanted = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GHashTable) known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GHashTable) folders = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < cases->len; i++) {
        const Case *file = g_ptr_array_index(cases, i);
        if (file->patient)
            want(wanted, file->patient);
    }
    for (guint i = 0; i < cases->len; i++) {
        const Case *file = g_ptr_array_index(cases, i);
        const Meeting meeting = {session, wanted, known, file, out};
        if (!file->patient || !file->clinic || !file->folder)
            continue;
        g_autofree char *beside = g_path_get_dirname(file->path);
        if (g_hash_table_add(folders, g_strdup(file->folder)))
            meet_folder(&meeting, file->folder);
        if (!file->apart && g_hash_table_add(folders, g_strdup(beside)))
            meet_folder(&meeting, beside);
    }
}
