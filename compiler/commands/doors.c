/* commands_doors: see commands/doors.h. */
#include "commands/doors.h"

#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>

/* Our own sheets take 0.1 s, and 150 MB of addresses. */
#define READER_SECONDS 10
#define READER_MEMORY (384UL << 20)

typedef struct Opening {
    Session *session;
    Confine *confine;
    unsigned doors;
    gboolean network;
} Opening;

/* ---- the clinic ---- */

/* What may lead out of a clinic's folder by a link and is read all the same. */
static void read_links(const Opening *opening, const char *folder)
{
    static const char *const names[] = {"clinic.yaml", "shelf.yaml", "protocols", "patients", "approvals"};
    struct stat there;
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *path = g_build_filename(folder, names[i], NULL);
        if (lstat(path, &there) == 0 && S_ISLNK(there.st_mode))
            confine_read(opening->confine, path);
    }
}

/* A record on a server is asked through libpq, which reads names, certificates and passwords where its
 * manual says ("The Password File", "SSL Support"). */
static void open_server(Opening *opening)
{
    static const char *const own[] = {".pgpass", ".postgresql", ".pg_service.conf"};
    opening->network = TRUE;
    confine_read(opening->confine, "/etc");
    for (gsize i = 0; i < G_N_ELEMENTS(own); i++) {
        g_autofree char *path = g_build_filename(g_get_home_dir(), own[i], NULL);
        confine_read(opening->confine, path);
    }
}

static void open_record(Opening *opening, const Case *file)
{
    const Text *address = file->clinic ? &file->clinic->record : NULL;
    const char *folder = file->folder ? file->folder : ".";
    if (!address || !PRESENT(*address))
        return;
    if (record_on_server(address->text)) {
        open_server(opening);
    } else {
        g_autofree char *path = g_build_filename(folder, address->text, NULL);
        g_autofree char *around = g_path_get_dirname(path);
        confine_write(opening->confine, around);
    }
    confine_write(opening->confine, folder); /* the witness */
}

static void open_clinic(Opening *opening, const char *folder)
{
    g_autofree char *path = g_build_filename(folder, "clinic.yaml", NULL);
    Case file;
    confine_read(opening->confine, folder);
    read_links(opening, folder);
    if (opening->doors & DOOR_CLINIC)
        confine_write(opening->confine, folder);
    if ((opening->doors & DOOR_RECORD) && g_file_test(path, G_FILE_TEST_IS_REGULAR) &&
        loader_load(opening->session->loader, path, &file, NULL))
        open_record(opening, &file);
}

/* ---- what was typed ---- */

/* Clinics below a folder that belongs to none, each with its record. */
static void open_below(Opening *opening, const char *folder)
{
    g_autoptr(GPtrArray) paths = g_ptr_array_new();
    if (!(opening->doors & DOOR_RECORD) || !loader_list(opening->session->arena, folder, paths, NULL))
        return;
    for (guint i = 0; i < paths->len; i++) {
        const char *path = g_ptr_array_index(paths, i);
        if (!g_str_has_suffix(path, "/clinic.yaml"))
            continue;
        g_autofree char *clinic = g_path_get_dirname(path);
        open_clinic(opening, clinic);
    }
}

static void open_folder(Opening *opening, const char *folder, gboolean named)
{
    g_autofree char *inner = g_build_filename(folder, "-", NULL), *above = g_path_get_dirname(folder);
    const char *clinic = loader_clinic_folder(opening->session->loader, inner);
    confine_read(opening->confine, folder);
    if (opening->doors & DOOR_BESIDE)
        confine_write(opening->confine, folder);
    if (clinic)
        open_clinic(opening, clinic);
    else
        confine_list(opening->confine, above); /* for a clinic.yaml of another ending */
    if (named && !clinic)
        open_below(opening, folder);
}

static void open_word(Opening *opening, const char *word)
{
    if (!g_file_test(word, G_FILE_TEST_EXISTS))
        return;
    if (g_file_test(word, G_FILE_TEST_IS_DIR)) {
        open_folder(opening, word, TRUE);
        return;
    }
    confine_read(opening->confine, word);
    if (opening->doors & DOOR_SHEET) {
        const char *clinic = loader_clinic_folder(opening->session->loader, word);
        if (clinic)
            open_clinic(opening, clinic);
        return;
    }
    g_autofree char *folder = g_path_get_dirname(word);
    open_folder(opening, folder, FALSE);
}

static void open_words(Opening *opening)
{
    const Options *options = &opening->session->options;
    const char *const files[] = {options->since, options->rest, options->templates};
    const char *clinic = loader_clinic_folder(opening->session->loader, "-");
    if (clinic)
        open_clinic(opening, clinic);
    for (char **word = options->words; word && *word; word++)
        open_word(opening, *word);
    for (gsize i = 0; i < G_N_ELEMENTS(files); i++)
        if (files[i])
            confine_read(opening->confine, files[i]);
    confine_read(opening->confine, commands_templates(opening->session->arena));
}

static void open_out(const Opening *opening)
{
    const Options *options = &opening->session->options;
    char **words = options->words;
    if ((opening->doors & DOOR_OUT) && options->out)
        confine_write(opening->confine, options->out);
    else if (opening->doors & DOOR_HERE)
        confine_write(opening->confine, ".");
    if ((opening->doors & DOOR_COPY) && words && words[0] && words[1] && strcmp(words[0], "backup") == 0) {
        g_autofree char *folder = g_path_get_dirname(words[1]);
        confine_write(opening->confine, folder);
    }
}

/* ---- closing ---- */

void doors_next_sheet(void)
{
    struct rusage used;
    struct rlimit seconds;
    if (getrusage(RUSAGE_SELF, &used) != 0 || getrlimit(RLIMIT_CPU, &seconds) != 0)
        return;
    const rlim_t until = (rlim_t)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) + READER_SECONDS;
    /* Below the hard end, at which nothing can be said any more. */
    seconds.rlim_cur = seconds.rlim_max == RLIM_INFINITY ? until : MIN(MAX(seconds.rlim_max, 1) - 1, until);
    setrlimit(RLIMIT_CPU, &seconds);
}

static void limit_reader(void)
{
    const struct rlimit memory = {READER_MEMORY, READER_MEMORY};
    if (!SANITIZED) /* whose shadow is larger than any limit */
        setrlimit(RLIMIT_AS, &memory);
}

void doors_close(Session *session, unsigned doors)
{
    if (doors & DOOR_SERVES)
        return;
    Opening opening = {session, confine_new(), doors, FALSE};
    confine_read_system(opening.confine);
    if (doors & DOOR_WORDS)
        open_words(&opening);
    open_out(&opening);
    if (doors & DOOR_ASKS)
        confine_run(opening.confine, commands_program(session->arena, COMMANDS_PAPER));
    if (doors & DOOR_SHEET)
        limit_reader();
    confine_close(opening.confine, (doors & DOOR_ASKS ? CONFINE_START : 0u) |
                                        (doors & DOOR_SHEET ? CONFINE_READER : 0u) |
                                        (opening.network ? CONFINE_NETWORK : 0u));
}

void commands_close_desk(Session *session, const Case *clinic, const char *templates)
{
    Opening opening = {session, confine_new(), DOOR_RECORD | DOOR_CLINIC, FALSE};
    confine_read_system(opening.confine);
    confine_read(opening.confine, templates);
    open_clinic(&opening, clinic->folder);
    confine_close(opening.confine, CONFINE_NETWORK);
}
