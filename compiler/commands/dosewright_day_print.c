/* dosewright_day_print: see dosewright_day.h. */
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include <glib/gstdio.h>

#include "commands/dosewright_day.h"
#include "drawing/drawing.h"

#define SUMMARY "summary.txt"

/* A print file on its way. */
typedef struct Volume {
    const char *name; /* "print" */
    char *file;       /* "print-002.pdf" */
    PublishStream *stream;
    Merge *merge;
    int pages;
} Volume;

struct DayPrint {
    const DayRun *run;
    Volume sheets, slips;
    guint volume;          /* the one at hand, from 0 */
    GHashTable *blanks;    /* "language paper" -> GBytes* of the page that says it is blank */
    GHashTable *written;   /* print files and pages for the wall of this run */
    GArray *nights;        /* of DayNight, in order of time */
    GString *printed, *stopped, *waiting, *failed, *wall;
    guint counts[DAY_STATES];
};

DayPrint *day_print_new(const DayRun *run)
{
    DayPrint *print = g_new0(DayPrint, 1);
    print->run = run;
    print->sheets.name = "print";
    print->slips.name = "slips";
    print->blanks = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_bytes_unref);
    print->written = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    print->printed = g_string_new(NULL);
    print->stopped = g_string_new(NULL);
    print->waiting = g_string_new(NULL);
    print->failed = g_string_new(NULL);
    print->wall = g_string_new(NULL);
    print->nights = g_array_new(FALSE, FALSE, sizeof(DayNight));
    return print;
}

static void abandon(Volume *volume)
{
    if (volume->stream)
        publish_abandon(g_steal_pointer(&volume->stream));
    if (volume->merge)
        output_merge_free(g_steal_pointer(&volume->merge));
    g_clear_pointer(&volume->file, g_free);
}

void day_print_free(DayPrint *print)
{
    GString *texts[] = {print->printed, print->stopped, print->waiting, print->failed, print->wall};
    abandon(&print->sheets);
    abandon(&print->slips);
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        g_string_free(texts[i], TRUE);
    g_hash_table_unref(print->blanks);
    g_hash_table_unref(print->written);
    g_array_unref(print->nights);
    g_free(print);
}

guint day_print_count(const DayPrint *print, DayState state) { return print->counts[state]; }

/* ---- print files ---- */

static gboolean write_on(gpointer stream, const void *bytes, gsize length, GError **error)
{
    return publish_write(stream, bytes, length, error);
}

static char *volume_name(const DayPrint *print, const Volume *volume)
{
    if (print->run->people->marks->len <= DAY_PEOPLE_A_FILE)
        return g_strdup_printf("%s.pdf", volume->name);
    return g_strdup_printf("%s-%03u.pdf", volume->name, print->volume + 1);
}

static gboolean open_volume(DayPrint *print, Volume *volume, GError **error)
{
    if (volume->stream)
        return TRUE;
    volume->file = volume_name(print, volume);
    volume->pages = 0;
    volume->stream = publish_open(print->run->folder, volume->file, error);
    if (!volume->stream)
        return FALSE;
    volume->merge = output_merge_new(volume->name, write_on, volume->stream);
    return TRUE;
}

static gboolean close_volume(DayPrint *print, Volume *volume, GError **error)
{
    if (!volume->stream)
        return TRUE;
    gboolean fine = output_merge_end(volume->merge, error) && publish_close(g_steal_pointer(&volume->stream), error);
    if (fine)
        g_hash_table_add(print->written, g_strdup(volume->file));
    abandon(volume);
    return fine;
}

/* ---- the blank back of a leaf ---- */

/* Fonts are opened in threads, so a process of its own draws it: this one must be able to
 * start others. */
static GBytes *draw_apart(const DayResult *result, const char *language, const char *words)
{
    int ends[2];
    if (pipe(ends) != 0)
        return NULL;
    pid_t child = fork();
    if (child == 0) {
        gsize length;
        ink_prepare();
        GBytes *page = output_blank(language, words, result->paper, NULL);
        const char *bytes = page ? g_bytes_get_data(page, &length) : NULL;
        for (gsize at = 0; bytes && at < length;) {
            ssize_t done = write(ends[1], bytes + at, length - at);
            if (done <= 0)
                break;
            at += (gsize)done;
        }
        ink_prepared();
        _exit(0);
    }
    close(ends[1]);
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    guint8 block[4096];
    ssize_t got;
    while ((got = read(ends[0], block, sizeof block)) > 0)
        g_byte_array_append(bytes, block, (guint)got);
    close(ends[0]);
    while (child > 0 && waitpid(child, NULL, 0) < 0 && errno == EINTR)
        ;
    return bytes->len > 0 ? g_byte_array_free_to_bytes(g_steal_pointer(&bytes)) : NULL;
}

static GBytes *blank_of(DayPrint *print, const DayResult *result)
{
    g_autofree char *key = g_strdup_printf("%s %d", result->language, (int)result->paper);
    GBytes *page = g_hash_table_lookup(print->blanks, key);
    if (!page && (page = draw_apart(result, result->language, result->blank)) != NULL)
        g_hash_table_insert(print->blanks, g_steal_pointer(&key), page);
    return page;
}

/* ---- a person's files ---- */

static gboolean add_file(DayPrint *print, Volume *volume, const DayResult *result, const char *name, GError **error)
{
    int pages = 0, blank_pages = 0;
    g_autofree char *path = g_build_filename(print->run->sheets, name, NULL);
    g_autoptr(GMappedFile) file = g_mapped_file_new(path, FALSE, error);
    if (!file)
        return FALSE;
    g_autoptr(GBytes) bytes = g_mapped_file_get_bytes(file);
    if (!output_merge_add(volume->merge, bytes, result->code, &pages, error))
        return FALSE;
    if (pages % 2 == 1) { /* the next begins on a right-hand page */
        GBytes *blank = blank_of(print, result);
        if (!blank) {
            g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_FAILED, "the blank back of %s could not be drawn", name);
            return FALSE;
        }
        if (!output_merge_add(volume->merge, blank, NULL, &blank_pages, error))
            return FALSE;
    }
    volume->pages += pages + blank_pages;
    return TRUE;
}

static gboolean add_files(DayPrint *print, Volume *volume, const DayResult *result, const char *names, GError **error)
{
    g_auto(GStrv) each = g_strsplit(names, "/", -1);
    if (!open_volume(print, volume, error))
        return FALSE;
    for (char **name = each; *name; name++)
        if (!add_file(print, volume, result, *name, error))
            return FALSE;
    return TRUE;
}

static void note_night(DayPrint *print, DayNight night)
{
    guint at = 0;
    while (at < print->nights->len && g_array_index(print->nights, DayNight, at).evening < night.evening)
        at++;
    if (at == print->nights->len || g_array_index(print->nights, DayNight, at).evening != night.evening)
        g_array_insert_val(print->nights, at, night);
}

/* What stands on the disk is confirmed in the record, in the order of the roster. */
static gboolean confirm(const DayPrint *print, const DayResult *result, GError **error)
{
    const DayRun *run = print->run;
    if (!run->record)
        return TRUE;
    g_auto(GStrv) names = g_strsplit(result->sheets, "/", -1);
    g_autoptr(GPtrArray) files = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GPtrArray) kept = g_ptr_array_new_with_free_func((GDestroyNotify)g_bytes_unref);
    for (char **name = names; *name; name++) {
        g_autofree char *path = g_build_filename(run->sheets, *name, NULL);
        g_autoptr(GMappedFile) mapped = g_mapped_file_new(path, FALSE, error);
        if (!mapped)
            return FALSE;
        PublishFile *file = g_new(PublishFile, 1);
        *file = (PublishFile){*name, g_mapped_file_get_bytes(mapped)};
        g_ptr_array_add(kept, file->bytes);
        g_ptr_array_add(files, file);
    }
    return record_printed(run->record, result->number, result->code, result->by, result->facts, files, error);
}

/* ---- the summary ---- */

static void say_json(const DayPrint *print, const DayResult *result, const char *pages)
{
    static const char *const words[] = {"printed", "printed earlier", "stopped", "waiting", "failed"};
    g_autoptr(GString) out = g_string_new("{\"person\":");
    if (print->run->session->format != FINDINGS_LINES)
        return;
    source_json(out, result->code);
    g_string_append_printf(out, ",\"row\":%u,\"state\":\"%s\",\"sheet\":%" G_GINT64_FORMAT ",\"injection\":",
                           result->row, words[result->state], result->number);
    source_json(out, result->when);
    g_string_append(out, ",\"pages\":");
    source_json(out, pages);
    g_string_append(out, ",\"why\":");
    source_json(out, result->why);
    g_string_append(out, "}\n");
    fputs(out->str, stdout);
}

static void say_person(DayPrint *print, const DayResult *result, int first_page)
{
    g_autofree char *pages = NULL;
    const char *code = *result->code ? result->code : "(no code)";
    if (result->state <= DAY_KEPT && print->run->parts == 0)
        pages = g_strdup_printf("%s pages %d to %d", print->sheets.file, first_page, print->sheets.pages);
    say_json(print, result, pages ? pages : "");
    switch (result->state) {
    case DAY_PRINTED:
    case DAY_KEPT:
        g_string_append_printf(print->printed, "  %-14s sheet %-6" G_GINT64_FORMAT " %-26s %s%s\n", code,
                               result->number, result->told, pages ? pages : "",
                               result->state == DAY_KEPT ? ", printed earlier" : "");
        break;
    case DAY_STOPPED:
        g_string_append_printf(print->stopped, "  %-14s row %-8u %s\n", code, result->row, result->why);
        break;
    case DAY_WAITING:
        g_string_append_printf(print->waiting, "  %-14s row %-8u %s\n", code, result->row, result->why);
        break;
    case DAY_FAILED:
    case DAY_STATES:
        g_string_append_printf(print->failed, "  %-14s row %u\n", code, result->row);
        break;
    }
}

static void forget_names(const DayPrint *print, const char *names)
{
    g_auto(GStrv) each = g_strsplit(names, "/", -1);
    for (char **name = each; *name; name++)
        g_hash_table_remove(print->run->strange, *name);
}

int day_print_add(DayPrint *print, const DayResult *result)
{
    GError *error = NULL;
    gboolean fine = TRUE;
    if (result->index / DAY_PEOPLE_A_FILE != print->volume) {
        fine = close_volume(print, &print->sheets, &error) && close_volume(print, &print->slips, &error);
        print->volume = result->index / DAY_PEOPLE_A_FILE;
    }
    int first_page = print->sheets.stream ? print->sheets.pages + 1 : 1;
    print->counts[result->state]++;
    if (fine && result->state <= DAY_KEPT) {
        forget_names(print, result->sheets);
        forget_names(print, result->slips);
        if (result->night.noon != 0)
            note_night(print, result->night);
        if (print->run->parts == 0)
            fine = confirm(print, result, &error) && add_files(print, &print->sheets, result, result->sheets, &error) &&
                   add_files(print, &print->slips, result, result->slips, &error);
    }
    say_person(print, result, first_page);
    return fine ? EXIT_FINE : commands_system_error(error);
}

/* A file of an earlier run has people in it who may have been stopped since. */
static void remove_old(const DayPrint *print)
{
    const char *name;
    g_autoptr(GDir) there = g_dir_open(print->run->folder, 0, NULL);
    while (there && (name = g_dir_read_name(there))) {
        gboolean ours = (g_str_has_suffix(name, ".pdf") &&
                         (g_str_has_prefix(name, "print") || g_str_has_prefix(name, "slips"))) ||
                        g_str_has_prefix(name, "night-");
        g_autofree char *path = g_build_filename(print->run->folder, name, NULL);
        if (ours && !g_hash_table_contains(print->written, name))
            g_unlink(path);
    }
}

/* A long roster's lines are never copied. */
static gboolean add_part(PublishStream *out, const char *heading, const GString *lines, GError **error)
{
    g_autofree char *head = g_strdup_printf("\n%s\n", heading);
    return lines->len == 0 || (publish_write(out, head, strlen(head), error) &&
                               publish_write(out, lines->str, lines->len, error));
}

static gint by_words(gconstpointer a, gconstpointer b) { return strcmp(*(char *const *)a, *(char *const *)b); }

static gboolean add_strange(const DayPrint *print, PublishStream *out, GError **error)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new();
    GHashTableIter iter;
    gpointer name;
    g_hash_table_iter_init(&iter, print->run->strange);
    while (g_hash_table_iter_next(&iter, &name, NULL))
        g_ptr_array_add(names, name);
    g_ptr_array_sort(names, by_words);
    g_autoptr(GString) lines = g_string_new(NULL);
    for (guint i = 0; i < names->len; i++)
        g_string_append_printf(lines, "  %s/%s\n", DAY_SHEETS, (char *)g_ptr_array_index(names, i));
    return add_part(out, "in the folder and not of this day as it stands now: do not hand out", lines, error);
}

static gboolean add_head(const DayPrint *print, PublishStream *out, GError **error)
{
    const Session *session = print->run->session;
    const guint *counts = print->counts;
    g_autofree char *roster = g_path_get_basename(print->run->people->path);
    const char *time = commands_time(session, print->run->clinic, session->now);
    g_autofree char *head = g_strdup_printf(
        "%s, made %s%s\n%u people: %u printed, %u stopped, %u waiting%s\n", roster, time,
        session->options.now ? " (time typed in)" : "", print->run->people->marks->len,
        counts[DAY_PRINTED] + counts[DAY_KEPT], counts[DAY_STOPPED], counts[DAY_WAITING],
        counts[DAY_FAILED] ? ", and some failed" : "");
    return publish_write(out, head, strlen(head), error);
}

static int write_summary(DayPrint *print)
{
    GError *error = NULL;
    PublishStream *out = publish_open(print->run->folder, SUMMARY, &error);
    gboolean fine =
        out && add_head(print, out, &error) && add_part(out, "failed: run it again", print->failed, &error) &&
        add_part(out, "stopped: no sheet until this is put right", print->stopped, &error) &&
        add_part(out, "waiting for an approval, a review or an acceptance in writing", print->waiting, &error) &&
        add_part(out, "printed, in the order of the roster", print->printed, &error) &&
        add_part(out, "for the wall: who injects when", print->wall, &error) && add_strange(print, out, &error) &&
        publish_close(g_steal_pointer(&out), &error);
    if (out)
        publish_abandon(out);
    return fine ? EXIT_FINE : commands_system_error(error);
}

int day_print_end(DayPrint *print)
{
    GError *error = NULL;
    if (print->run->parts > 0)
        return EXIT_FINE;
    if (!close_volume(print, &print->sheets, &error) || !close_volume(print, &print->slips, &error))
        return commands_system_error(error);
    int status = day_nights(print->run, print->nights, print->wall, print->written);
    if (status == EXIT_SYSTEM)
        return status;
    remove_old(print);
    return MAX(status, write_summary(print));
}
