/* dosewright_night: see dosewright_night.h. */
#include "commands/dosewright_night.h"

#include <malloc.h>
#include <stdio.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "drawing/drawing.h"
#include "output/output.h"

#define ORDINARY_COLUMNS 100
#define LOOK_AGAIN 30 /* seconds, after which files and record are read anew */

/* The list is of the night that comes: who is still open of the last one is not on it. */
static void add_last(Session *session, char **words, GString *out)
{
    NightRequest request;
    Night *night;
    gboolean any = FALSE;
    if (evening_of(session, words, 0, &request, &night) != EXIT_FINE || !night)
        return;
    for (guint i = 0; i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (!night_is_open(row))
            continue;
        if (!any)
            g_string_append_printf(out, "\nof last night, %s, not settled:\n",
                                   weekday_name(day_weekday(night->evening)));
        any = TRUE;
        g_string_append_printf(out, "  %-12s %s  %s\n", row->code, row->clock,
                               night_state_words(session->arena, night, row->state));
    }
}

/* No night at all; who has no valid sheet could be of it, and is a finding. */
static int nobody_tonight(const NightRequest *request, const GString *last)
{
    for (guint i = 0; i < request->stopped->len; i++)
        terminal_say(stderr, "%s: no valid sheet\n",
                     ((const NightStopped *)g_ptr_array_index(request->stopped, i))->code);
    terminal_say(stdout, "nobody injects tonight\n%s", last->str);
    return request->stopped->len > 0 ? EXIT_FINDINGS : EXIT_FINE;
}

/* NULL with a status when there is none.  last: takes who is open of the night before it. */
static Night *gather(Session *session, char **words, NightRequest *request, GString *last, int *status)
{
    Night *night;
    int nights;
    *status = evening_shown(session, words, &nights, request, &night);
    if (*status == EXIT_FINE && nights == 1)
        add_last(session, words, last);
    if (*status == EXIT_FINE && !night)
        *status = nobody_tonight(request, last);
    return night;
}

/* ---- the page ---- */

static void lay_by(Session *session, GPtrArray *files, const char *name, GBytes *bytes)
{
    PublishFile *file = arena_new0(session->arena, PublishFile);
    *file = (PublishFile){name, bytes};
    arena_defer(session->arena, (GDestroyNotify)g_bytes_unref, bytes);
    g_ptr_array_add(files, file);
}

const char *night_file(Arena *arena, Day evening, const char *ending)
{
    CalendarDate date = day_date(evening);
    return arena_format(arena, "night-%04d-%02d-%02d%s", date.year, date.month, date.day, ending);
}

static gboolean add_bytes(gpointer data, const void *bytes, gsize length, GError **error)
{
    (void)error;
    g_byte_array_append(data, bytes, length);
    return TRUE;
}

static gboolean merge_part(const Night *night, guint part, const Printing *printing, Merge *merge, Diagnostics *found)
{
    int pages;
    Arena *arena = arena_new();
    g_autoptr(GBytes) bytes = output_pdf(arena, night_part(arena, night, part), printing, found);
    gboolean fine = bytes && output_merge_add(merge, bytes, NULL, &pages, NULL);
    arena_free(arena);
    return fine;
}

/* A long list is drawn part by part into one file.  NULL after findings. */
static GBytes *night_pdf(Session *session, const Night *night, const Printing *printing, Diagnostics *found)
{
    guint parts = night_parts(night);
    if (parts == 1)
        return output_pdf(session->arena, night_document(session->arena, night), printing, found);
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    Merge *merge = output_merge_new(night_part(session->arena, night, 0)->title, add_bytes, bytes);
    gboolean fine = TRUE;
    for (guint part = 0; part < parts && fine; part++)
        fine = merge_part(night, part, printing, merge, found);
    fine = fine && output_merge_end(merge, NULL);
    output_merge_free(merge);
    return fine ? g_byte_array_free_to_bytes(g_steal_pointer(&bytes)) : NULL;
}

GBytes *evening_pdf(Session *session, Night *night, NightRequest *request, Diagnostics *found)
{
    const Printing printing = {night->clinic->paper.value, FALSE, NULL};
    night_forget_people(night, request);
    return night_pdf(session, night, &printing, found);
}

/* The files written are named in the list. */
static int write_page(Session *session, Night *night, NightRequest *request, GPtrArray *files)
{
    GError *error = NULL;
    Diagnostics *found = diagnostics_new(session->arena);
    Printing printing = {.large = session->options.large};
    int status = commands_paper(session, night->clinic, &printing.paper);
    if (status != EXIT_FINE)
        return status;
    GString *text = session->options.text ? g_string_new(NULL) : NULL;
    if (text)
        night_text(night, TRUE, text);
    night_forget_people(night, request);
    malloc_trim(0);
    GBytes *bytes = night_pdf(session, night, &printing, found);
    if (!bytes) {
        commands_report(session, found);
        return output_ready(&error) ? EXIT_FINDINGS : commands_system_error(error);
    }
    lay_by(session, files, night_file(session->arena, night->evening, ".pdf"), bytes);
    if (text)
        lay_by(session, files, night_file(session->arena, night->evening, ".txt"), g_string_free_to_bytes(text));
    return publish_files(session->options.out, files, &error) ? EXIT_FINE : commands_system_error(error);
}

static int write_and_say(Session *session, Night *night, NightRequest *request, const GString *last)
{
    GPtrArray *files = arena_list(session->arena);
    int status = write_page(session, night, request, files);
    if (status != EXIT_FINE)
        return status;
    for (guint i = 0; i < files->len; i++)
        terminal_say(stdout, "%s/%s\n", session->options.out, ((const PublishFile *)g_ptr_array_index(files, i))->name);
    fputs(last->str, stdout);
    return night->stopped->len > 0 ? EXIT_FINDINGS : EXIT_FINE;
}

int night_publish(Session *session, char **words, Instant made)
{
    NightRequest request;
    ink_prepare();
    int status = evening_gather(session, words, 0, &request);
    request.made = made;
    Night *night = status == EXIT_FINE ? night_make(session->arena, &request) : NULL;
    if (status == EXIT_FINE)
        status = night ? write_page(session, night, &request, arena_list(session->arena)) : EXIT_FINDINGS;
    ink_prepared();
    return status;
}

/* ---- the watch ---- */

static int columns_of_terminal(void)
{
    struct winsize size;
    return ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : ORDINARY_COLUMNS;
}

static void show(Session *session, NightRequest *request, const GString *last)
{
    gboolean terminal = isatty(STDOUT_FILENO);
    Session *of_second = session;
    g_autoptr(GString) screen = g_string_new(terminal ? "\033[H\033[J" : NULL);
    Arena *arena = arena_new();
    request->now = request->made = of_second->now;
    const Night *night = night_make(arena, request);
    if (night)
        night_screen(night, columns_of_terminal(), terminal, screen);
    fputs(screen->str, stdout);
    fputs(last->str, stdout);
    fflush(stdout);
    arena_free(arena);
}

/* Files and record are read anew from time to time, into an arena of their own; between, only
 * the clock moves.  A typed time stands still: one screen. */
static int watch(const Session *session, char **words)
{
    for (;;) {
        Session look = *session;
        NightRequest request;
        g_autoptr(GString) last = g_string_new(NULL);
        int status;
        look.arena = arena_new();
        look.loader = loader_new(look.arena, session->options.clinic);
        look.all = diagnostics_new(look.arena);
        if (!session->options.now)
            look.now = g_get_real_time() / G_USEC_PER_SEC;
        const Night *night = gather(&look, words, &request, last, &status);
        for (int second = 0; night && second < LOOK_AGAIN; second++) {
            show(&look, &request, last);
            if (session->options.now)
                break;
            sleep(1);
            look.now = g_get_real_time() / G_USEC_PER_SEC;
        }
        gboolean over = !night || session->options.now;
        arena_free(look.arena);
        if (over)
            return status;
    }
}

int command_night(Session *session)
{
    NightRequest request;
    g_autoptr(GString) last = g_string_new(NULL);
    int status;
    if (session->options.watch)
        return watch(session, session->options.words);
    if (session->options.out)
        ink_prepare();
    Night *night = gather(session, session->options.words, &request, last, &status);
    if (night && session->options.out) {
        status = write_and_say(session, night, &request, last);
    } else if (night) {
        g_autoptr(GString) text = g_string_new(NULL);
        night_text(night, session->options.text, text);
        g_string_append(text, last->str);
        fputs(text->str, stdout);
        status = night->stopped->len > 0 ? EXIT_FINDINGS : EXIT_FINE;
    }
    if (session->options.out)
        ink_prepared();
    return status;
}

/* ---- one person ---- */

static void say_near(const GPtrArray *near, GString *out)
{
    if (near->len > 0)
        g_string_append(out, "did you mean, of tonight:\n");
    for (guint i = 0; i < near->len; i++) {
        const NightRow *row = g_ptr_array_index(near, i);
        g_string_append_printf(out, "  %-12s %s  %s\n", row->code, row->sheet ? row->sheet : "-", row->clock);
    }
    if (near->len > 0)
        g_string_append(out, "ask for the code at the foot of the sheet again, letter by letter, and for the name; "
                             "then find that code\n");
}

/* FALSE when nobody of that night is called so; other: not the one that the list is of. */
static gboolean find_in(Session *session, const Night *night, gboolean other, GString *out)
{
    const GPtrArray *found = night ? night_find(session->arena, night, session->options.words[0]) : NULL;
    for (guint i = 0; found && i < found->len; i++) {
        if (other)
            g_string_append_printf(out, "of the night of %s:\n", weekday_name(day_weekday(night->evening)));
        night_row_text(night, g_ptr_array_index(found, i), out);
    }
    return found && found->len > 0;
}

/* Whoever rings at three may speak of last night; at eight in the morning, of the night that comes. */
static gboolean find_around(Session *session, int nights, GString *out)
{
    static const int others[] = {-1, 1};
    for (gsize i = 0; i < G_N_ELEMENTS(others); i++) {
        NightRequest request;
        Night *night;
        if (nights + others[i] > 1)
            continue;
        if (evening_of(session, session->options.words + 1, nights + others[i], &request, &night) == EXIT_FINE &&
            find_in(session, night, TRUE, out))
            return TRUE;
    }
    return FALSE;
}

int command_find(Session *session)
{
    NightRequest request;
    Night *night;
    int nights;
    char **words = session->options.words;
    if (!words)
        return commands_usage("give a person's code, a spoken code, a name or a telephone number: find 9AHC6 patients");
    int status = evening_shown(session, words + 1, &nights, &request, &night);
    g_autoptr(GString) text = g_string_new(NULL);
    if (status != EXIT_FINE)
        return status;
    gboolean found = find_in(session, night, FALSE, text) || find_around(session, nights, text);
    if (!found && !night)
        return nobody_tonight(&request, text);
    if (!found)
        g_string_append_printf(text, "nobody of tonight is called \"%s\"\n", words[0]);
    if (!found && night)
        say_near(night_near(session->arena, night, words[0]), text);
    fputs(text->str, stdout);
    return found ? EXIT_FINE : EXIT_FINDINGS;
}
