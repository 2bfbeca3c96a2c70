/* dosewright_day_folder: see dosewright_day.h. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>
#include <glib/gstdio.h>

#include "commands/dosewright_day.h"
#include "commands/dosewright_number.h"

#define NOTE "day.note"
#define NOTE_HOURS 12 /* an unfinished run is taken up with its own time of making, but not the next day */
#define AT_ONCE 500   /* numbers given in one transaction */

/* ---- the note of an unfinished run ---- */

static char *digest_of_roster(const DayRun *run, GError **error)
{
    char block[64 * 1024];
    int descriptor = source_open(run->people->path, error);
    if (descriptor < 0)
        return NULL;
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    ssize_t got;
    while ((got = read(descriptor, block, sizeof block)) > 0)
        g_checksum_update(sum, (const guchar *)block, got);
    close(descriptor);
    return g_strdup(g_checksum_get_string(sum));
}

static int write_note(const DayRun *run, gboolean done)
{
    GError *error = NULL;
    g_autofree char *digest = digest_of_roster(run, &error);
    if (!digest)
        return commands_system_error(error);
    char *text = g_strdup_printf("roster: %s\nmade: %" G_GINT64_FORMAT "\ntyped: %s\ndone: %s\n", digest,
                                 (gint64)run->session->now, run->session->options.now ? "yes" : "no",
                                 done ? "yes" : "no");
    g_autoptr(GBytes) bytes = g_bytes_new_take(text, strlen(text));
    return publish_file(run->folder, NOTE, bytes, &error) ? EXIT_FINE : commands_system_error(error);
}

static const char *word_of(Arena *arena, const char *text, const char *word)
{
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    gsize length = strlen(word);
    for (char **line = lines; *line; line++)
        if (strncmp(*line, word, length) == 0 && g_str_has_prefix(*line + length, ": "))
            return arena_copy(arena, *line + length + 2);
    return "";
}

/* The time of making of the unfinished run holds for what is still to be made: then both
 * together give what one undisturbed run would have given. */
static int take_up(DayRun *run)
{
    GError *error = NULL;
    Session *session = run->session;
    g_autofree char *path = g_build_filename(run->folder, NOTE, NULL), *text = NULL;
    g_autofree char *digest = digest_of_roster(run, &error);
    if (!digest)
        return commands_system_error(error);
    if (!g_file_get_contents(path, &text, NULL, NULL))
        return write_note(run, FALSE);
    Instant made = (Instant)g_ascii_strtoll(word_of(session->arena, text, "made"), NULL, 10);
    gboolean same = strcmp(word_of(session->arena, text, "roster"), digest) == 0;
    gboolean open = strcmp(word_of(session->arena, text, "done"), "no") == 0;
    gboolean typed = strcmp(word_of(session->arena, text, "typed"), "yes") == 0;
    gboolean recent = session->now >= made && session->now - made < NOTE_HOURS * 3600;
    if (!same || !open || (session->options.now ? !typed || made != session->now : typed || !recent))
        return write_note(run, FALSE);
    session->now = made;
    run->resumed = TRUE;
    return EXIT_FINE;
}

int day_done(const DayRun *run) { return write_note(run, TRUE); }

/* ---- whose turn ---- */

/* Parts work side by side; a whole run, or one that puts the parts together, works alone. */
static gboolean take_turn(const DayRun *run, int lock, int kind)
{
    if (flock(lock, kind | LOCK_NB) == 0)
        return TRUE;
    if (errno == EWOULDBLOCK)
        terminal_say(stderr, "%s: another run works here; waiting for it\n", run->folder);
    while (flock(lock, kind) != 0)
        if (errno != EINTR)
            return FALSE;
    return TRUE;
}

static void remove_left_over(const char *folder)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    publish_left_over(folder, names);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *path = g_build_filename(folder, g_ptr_array_index(names, i), NULL);
        g_unlink(path);
    }
}

static gint by_words(gconstpointer a, gconstpointer b) { return strcmp(*(char *const *)a, *(char *const *)b); }

static gint by_number(gconstpointer left, gconstpointer right)
{
    const DayNamed *a = left, *b = right;
    return (a->number > b->number) - (a->number < b->number);
}

/* Each part of a name that is a number may be the sheet's. */
static void add_numbers(DayRun *run, guint index)
{
    g_auto(GStrv) parts = g_strsplit(g_ptr_array_index(run->there, index), "-", -1);
    for (char **part = parts; *part; part++) {
        const DayNamed named = {g_ascii_strtoll(*part, NULL, 10), index};
        if (named.number > 0 && strspn(*part, "0123456789") == strlen(*part))
            g_array_append_val(run->numbered, named);
    }
}

static void read_folder(DayRun *run)
{
    const char *name;
    g_autoptr(GDir) there = g_dir_open(run->sheets, 0, NULL);
    while (there && (name = g_dir_read_name(there))) {
        if (!g_str_has_suffix(name, ".pdf"))
            continue;
        char *kept = arena_copy(run->session->arena, name);
        g_hash_table_add(run->strange, kept);
        if (!g_str_has_suffix(name, "-" DAY_SLIPS ".pdf"))
            g_ptr_array_add(run->there, kept);
    }
    g_ptr_array_sort(run->there, by_words);
    for (guint i = 0; i < run->there->len; i++)
        add_numbers(run, i);
    g_array_sort(run->numbered, by_number);
}

static guint first_named(const DayRun *run, const char *start)
{
    guint low = 0, high = run->there->len;
    while (low < high) {
        guint middle = (low + high) / 2;
        if (strcmp(g_ptr_array_index(run->there, middle), start) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static guint first_numbered(const DayRun *run, gint64 number)
{
    guint low = 0, high = run->numbered->len;
    while (low < high) {
        guint middle = (low + high) / 2;
        if (g_array_index(run->numbered, DayNamed, middle).number < number)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

GPtrArray *day_beside(Arena *arena, const DayRun *run, const char *code, gint64 number)
{
    GPtrArray *names = arena_list(arena);
    g_autofree char *start = g_strconcat(code, "-", NULL);
    for (guint i = first_named(run, start); i < run->there->len; i++) {
        char *name = g_ptr_array_index(run->there, i);
        if (!g_str_has_prefix(name, start))
            break;
        g_ptr_array_add(names, name);
    }
    for (guint i = first_numbered(run, number); i < run->numbered->len; i++) {
        const DayNamed *named = &g_array_index(run->numbered, DayNamed, i);
        char *name = g_ptr_array_index(run->there, named->name);
        if (named->number != number)
            break;
        if (!g_ptr_array_find(names, name, NULL))
            g_ptr_array_add(names, name);
    }
    return names;
}

int day_begin(DayRun *run, int *lock)
{
    if (g_mkdir_with_parents(run->sheets, 0700) != 0) {
        terminal_say(stderr, "dosewright: cannot make the folder %s: %s\n", run->sheets, g_strerror(errno));
        return EXIT_SYSTEM;
    }
    *lock = open(run->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (*lock < 0 || !take_turn(run, *lock, LOCK_EX)) {
        terminal_say(stderr, "dosewright: cannot work in %s: %s\n", run->folder, g_strerror(errno));
        return EXIT_SYSTEM;
    }
    int status = take_up(run);
    if (status == EXIT_FINE && run->parts == 0) {
        remove_left_over(run->folder);
        remove_left_over(run->sheets);
    } else if (status == EXIT_FINE && !take_turn(run, *lock, LOCK_SH)) {
        status = EXIT_SYSTEM;
    }
    read_folder(run);
    return status;
}

/* ---- numbers ---- */

static gboolean number_one(DayRun *run, Session *own, const RosterRow *row, GError **error)
{
    Case file;
    Plan *plan;
    DayNumber number = {0};
    if (!commands_judge_listed(own, run->people->path, run->people->roster, row, NULL, &file, &plan))
        return FALSE;
    if (plan && !diagnostics_stops(file.diagnostics)) {
        GError *failed = NULL;
        const RecordWish wish = number_wish(own, &file);
        /* What does not fit is told when it would be drawn. */
        gboolean fits = number_fits(&file, plan, run->record, &wish, &failed);
        RecordAnswer answer = fits ? record_give_number(run->record, &wish, &number.given, &failed) : RECORD_STANDS;
        if (failed) {
            g_propagate_error(error, failed);
            return FALSE;
        }
        number.fine = answer == RECORD_NEW || answer == RECORD_AGAIN;
    }
    g_array_append_val(run->numbers, number);
    return TRUE;
}

/* The record of the clinic that the roster belongs to. */
static int open_record(DayRun *run)
{
    RosterRow row;
    Case file;
    Plan *plan;
    Session *session = run->session;
    roster_go(run->people->roster, &g_array_index(run->people->marks, RosterMark, 0));
    do /* a row that cannot be read names no clinic; all such are stopped */
        if (!roster_next(run->people->roster, session->arena, &row))
            return EXIT_FINE;
    while (!row.root);
    if (!commands_judge_listed(session, run->people->path, run->people->roster, &row, NULL, &file, &plan))
        return EXIT_SYSTEM;
    run->clinic = file.clinic;
    return !file.clinic || commands_record(session, &file, &run->record) ? EXIT_FINE : EXIT_SYSTEM;
}

/* Two people who must not be printed beside each other get no number either. */
static void compare(DayRun *run, Session *own, const RosterRow *row)
{
    people_compare(own->arena, run->people, row);
    people_forget(run->people);
}

static gboolean number_some(DayRun *run, guint until, GError **error)
{
    RosterRow row;
    gboolean fine = record_begin(run->record, error);
    while (fine && run->numbers->len < until) {
        Session own = *run->session;
        own.arena = arena_new();
        fine = roster_next(run->people->roster, own.arena, &row);
        if (fine) {
            compare(run, &own, &row);
            fine = !run->people->lost && number_one(run, &own, &row, error);
        }
        arena_free(own.arena);
    }
    return record_end(run->record, fine, error) && fine;
}

int day_number(DayRun *run)
{
    GError *error = NULL;
    guint count = run->people->marks->len;
    int status = open_record(run);
    if (status != EXIT_FINE || !run->record)
        return status;
    roster_go(run->people->roster, &g_array_index(run->people->marks, RosterMark, 0));
    while (run->numbers->len < count) {
        if (!number_some(run, MIN(count, run->numbers->len + AT_ONCE), &error))
            return error ? commands_system_error(error) : EXIT_SYSTEM;
        if (isatty(STDERR_FILENO) && count > AT_ONCE) /* a long roster is judged before its first sheet is drawn */
            terminal_say(stderr, "numbers: %u of %u people\n", run->numbers->len, count);
    }
    return EXIT_FINE;
}
