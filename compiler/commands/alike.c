/* commands_alike: whom the person of a file of her own might be mistaken for: the people of the same day in
 * the clinic's folder of people, and in the rosters of its folder. */
#define _GNU_SOURCE /* memmem */
#include <string.h>
#include <unistd.h>

#include "commands/beside.h"

/* What is known of a clinic's people: those of one day, or after a second day was asked for all. */
typedef struct Known {
    Arena *arena;
    GHashTable *days;  /* "2026-11-26" -> GPtrArray* of BesidePerson* */
    const char *day;   /* NULL: of all days */
    struct Known *before; /* of one day, whose places stand in findings; or NULL */
} Known;

static void add(const Known *known, const Node *root)
{
    BesidePerson *person = arena_new0(known->arena, BesidePerson);
    beside_describe(known->arena, root, person);
    if (!*person->day || !*person->name || (known->day && strcmp(known->day, person->day) != 0))
        return;
    GPtrArray *people = g_hash_table_lookup(known->days, person->day);
    if (!people) {
        people = arena_list(known->arena);
        g_hash_table_insert(known->days, (gpointer)person->day, people);
    }
    g_ptr_array_add(people, person);
}

/* TRUE when it may name somebody of the day; a file that is not of that day is not read further, and one that
 * the system does not give is told. */
static gboolean may_hold(const Known *known, const char *path)
{
    GError *error = NULL;
    int descriptor = source_open(path, &error);
    g_autoptr(GMappedFile) file = descriptor >= 0 ? g_mapped_file_new_from_fd(descriptor, FALSE, &error) : NULL;
    if (descriptor >= 0)
        close(descriptor);
    if (error)
        beside_lost(error);
    if (!file || g_mapped_file_get_length(file) == 0)
        return FALSE;
    return !known->day || memmem(g_mapped_file_get_contents(file), g_mapped_file_get_length(file), known->day,
                                 strlen(known->day));
}

static void add_roster(const Known *known, const char *path)
{
    RosterRow row;
    GError *error = NULL;
    Roster *roster = roster_open(known->arena, path, diagnostics_new(known->arena), &error);
    if (error)
        beside_lost(error);
    while (roster && roster_next(roster, known->arena, &row))
        if (row.root)
            add(known, row.root);
}

static void add_file(const Known *known, const char *path)
{
    if (!may_hold(known, path))
        return;
    if (roster_is(path)) {
        add_roster(known, path);
        return;
    }
    GError *error = NULL;
    const Node *root = beside_person_in(known->arena, path, &error);
    if (error)
        beside_lost(error);
    if (root)
        add(known, root);
}

static gint by_words(gconstpointer a, gconstpointer b) { return strcmp(*(char *const *)a, *(char *const *)b); }

/* Other files that lie there are nobody's. */
static void add_rosters_of(const Known *known, const char *folder)
{
    GPtrArray *paths = arena_list(known->arena);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir))) {
        const char *path = arena_format(known->arena, "%s/%s", folder, entry);
        if (entry[0] != '.' && !g_file_test(path, G_FILE_TEST_IS_DIR) && roster_is(path))
            g_ptr_array_add(paths, (gpointer)path);
    }
    g_ptr_array_sort(paths, by_words);
    for (guint i = 0; i < paths->len; i++)
        add_file(known, g_ptr_array_index(paths, i));
}

static Known *read_all(const char *folder, const char *day)
{
    Known *known = g_new0(Known, 1);
    known->arena = arena_new();
    known->days = g_hash_table_new(g_str_hash, g_str_equal);
    known->day = day ? arena_copy(known->arena, day) : NULL;
    GPtrArray *paths = arena_list(known->arena);
    if (loader_list(known->arena, loader_people_folder(known->arena, folder), paths, NULL))
        for (guint i = 0; i < paths->len; i++)
            add_file(known, g_ptr_array_index(paths, i));
    add_rosters_of(known, folder);
    return known;
}

static void known_free(gpointer data)
{
    for (Known *known = data, *before; known; known = before) {
        before = known->before;
        g_hash_table_unref(known->days);
        arena_free(known->arena);
        g_free(known);
    }
}

GHashTable *alike_new(void) { return g_hash_table_new_full(g_str_hash, g_str_equal, g_free, known_free); }

static const GPtrArray *of_day(GHashTable *folders, const char *folder, const char *day)
{
    gpointer key;
    Known *known = g_hash_table_lookup(folders, folder);
    if (!known || (known->day && strcmp(known->day, day) != 0)) {
        Known *more = read_all(folder, known ? NULL : day);
        more->before = known;
        if (known && g_hash_table_steal_extended(folders, folder, &key, NULL))
            g_free(key);
        g_hash_table_insert(folders, g_strdup(folder), more);
        known = more;
    }
    return g_hash_table_lookup(known->days, day);
}

const char *alike_of(Session *session, const Case *file)
{
    const Patient *patient = file->patient;
    BesidePerson person = {0};
    if (!session->alike || !patient || !file->folder || !PRESENT(patient->patient) || !PRESENT(patient->name) ||
        !PRESENT(patient->anchor.on))
        return NULL;
    CalendarDate date = day_date(patient->anchor.on.day);
    g_autofree char *day = g_strdup_printf("%04d-%02d-%02d", date.year, date.month, date.day);
    g_autofree char *name = g_utf8_casefold(patient->name.text, -1);
    const GPtrArray *others = of_day(session->alike, file->folder, day);
    person = (BesidePerson){.code = patient->patient.text, .name = name, .shown = patient->name.text, .day = day,
                            .place = patient->patient.at.place, .name_place = patient->name.at.place};
    return others ? beside_like(session->arena, &person, others, file->diagnostics) : NULL;
}
