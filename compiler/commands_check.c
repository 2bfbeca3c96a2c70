/* commands_check: judge files and folders and print what was found. */
#include "commands.h"

#include <stdio.h>

typedef struct Tally {
    guint files, stopped;
} Tally;

/* Judges one file; an exit status. */
static int check_one(Run *run, const char *path, Tally *tally)
{
    Case file;
    Plan *plan;
    if (!commands_judge(run, path, &file, &plan))
        return EXIT_SYSTEM;
    commands_report(run, file.diagnostics);
    gboolean stops = diagnostics_stops(file.diagnostics);
    tally->files++;
    tally->stopped += stops ? 1 : 0;
    return stops ? EXIT_FINDINGS : EXIT_FINE;
}

static gboolean collect(Run *run, const char *word, GPtrArray *paths, GError **error)
{
    if (g_file_test(word, G_FILE_TEST_IS_DIR))
        return loader_list(run->arena, word, paths, error);
    g_ptr_array_add(paths, (gpointer)word);
    return TRUE;
}

int command_check(Run *run)
{
    if (!run->options.words)
        return commands_usage("name a file or a folder to check");
    GPtrArray *paths = arena_list(run->arena);
    GError *error = NULL;
    for (char **word = run->options.words; *word; word++)
        if (!collect(run, *word, paths, &error))
            return commands_system_error(error);
    if (paths->len == 0)
        return commands_usage("there is no .yaml file there");
    int worst = EXIT_FINE;
    Tally tally = {0};
    for (guint i = 0; i < paths->len; i++) {
        int status = check_one(run, g_ptr_array_index(paths, i), &tally);
        worst = MAX(worst, status);
    }
    if (run->format == FINDINGS_TEXT)
        fprintf(stderr, "%u %s checked, %u with findings that stop a sheet\n", tally.files,
                tally.files == 1 ? "file" : "files", tally.stopped);
    return worst;
}
