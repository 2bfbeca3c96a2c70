/* commands_check: judge files and folders and print what was found. */
#include "commands.h"

#include <stdio.h>

typedef struct Tally {
    guint files, stopped;
} Tally;

/* Judges one file; an exit status. */
static int check_one(Session *session, const char *path, Tally *tally)
{
    Case file;
    Plan *plan;
    if (!commands_judge(session, path, &file, &plan))
        return EXIT_SYSTEM;
    commands_report(session, file.diagnostics);
    gboolean stops = diagnostics_stops(file.diagnostics);
    tally->files++;
    tally->stopped += stops ? 1 : 0;
    return stops ? EXIT_FINDINGS : EXIT_FINE;
}

gboolean commands_collect(Session *session, const char *word, GPtrArray *paths, GError **error)
{
    if (g_file_test(word, G_FILE_TEST_IS_DIR))
        return loader_list(session->arena, word, paths, error);
    g_ptr_array_add(paths, (gpointer)word);
    return TRUE;
}

int command_check(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a file or a folder to check");
    GPtrArray *paths = arena_list(session->arena);
    GError *error = NULL;
    for (char **word = session->options.words; *word; word++)
        if (!commands_collect(session, *word, paths, &error))
            return commands_system_error(error);
    if (paths->len == 0)
        return commands_usage("there is no .yaml file there");
    int worst = EXIT_FINE;
    Tally tally = {0};
    for (guint i = 0; i < paths->len; i++) {
        int status = check_one(session, g_ptr_array_index(paths, i), &tally);
        worst = MAX(worst, status);
    }
    if (session->format == FINDINGS_TEXT)
        fprintf(stderr, "%u %s checked, %u with findings that stop a sheet\n", tally.files,
                tally.files == 1 ? "file" : "files", tally.stopped);
    return worst;
}
