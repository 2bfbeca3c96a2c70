/* dosewright_day_night: see dosewright_day.h.  A process of its own draws each page, since fonts
 * are opened in threads. */
#include <errno.h>
#include <signal.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "commands/dosewright_day.h"
#include "commands/dosewright_night.h"

/* Who comes from a file of her own injects that night too. */
static char *people_folder(const DayRun *run)
{
    Session *session = run->session;
    const char *clinic = loader_clinic_folder(session->loader, run->people->path);
    char *folder = clinic ? arena_format(session->arena, "%s/patients", clinic) : NULL;
    return folder && g_file_test(folder, G_FILE_TEST_IS_DIR) ? folder : NULL;
}

static int draw(const DayRun *run, const DayNight *night)
{
    Session own = *run->session;
    char *words[] = {(char *)run->people->path, people_folder(run), NULL};
    own.arena = arena_new();
    own.loader = loader_new(own.arena, own.options.clinic);
    own.all = diagnostics_new(own.arena);
    own.now = night->noon;
    return night_publish(&own, words, run->session->now);
}

static int draw_apart(const DayRun *run, const DayNight *night)
{
    int status = 0;
    pid_t parent = getpid();
    fflush(stdout);
    fflush(stderr);
    pid_t child = fork();
    if (child < 0) {
        terminal_say(stderr, "dosewright: cannot start a process: %s\n", g_strerror(errno));
        return EXIT_SYSTEM;
    }
    if (child == 0) {
        prctl(PR_SET_PDEATHSIG, SIGTERM); /* whoever waits for the page is gone */
        _exit(getppid() == parent ? draw(run, night) : EXIT_SYSTEM);
    }
    while (waitpid(child, &status, 0) < 0 && errno == EINTR)
        ;
    return WIFEXITED(status) ? WEXITSTATUS(status) : EXIT_OWN;
}

int day_nights(const DayRun *run, const GArray *nights, GString *lines, GHashTable *written)
{
    int worst = EXIT_FINE;
    if (run->people->marks->len > DAY_PEOPLE_A_FILE) {
        g_string_append_printf(lines, "  none for more than %d people: dosewright night makes them\n",
                               DAY_PEOPLE_A_FILE);
        return worst;
    }
    for (guint i = 0; i < nights->len && worst < EXIT_SYSTEM; i++) {
        const DayNight *night = &g_array_index(nights, DayNight, i);
        const char *name = night_file(run->session->arena, night->evening, ".pdf");
        int status = draw_apart(run, night);
        worst = MAX(worst, status);
        if (status != EXIT_FINE)
            continue;
        g_string_append_printf(lines, "  %s\n", name);
        g_hash_table_add(written, g_strdup(name));
        if (run->session->options.text)
            g_hash_table_add(written, g_strdup(night_file(run->session->arena, night->evening, ".txt")));
    }
    return worst;
}
