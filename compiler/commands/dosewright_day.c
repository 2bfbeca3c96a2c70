/* dosewright_day: see dosewright_day.h. */
#define _GNU_SOURCE /* pipe2, F_SETPIPE_SZ */
#include "commands/dosewright_day.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#define PEOPLE_A_PROCESS 32
#define ROOM (1024 * 1024) /* for results that wait for their turn */

/* Some people in the hands of a process. */
typedef struct Batch {
    guint next, until; /* whose result is awaited */
    pid_t process;
    int results;
} Batch;

typedef struct Crew {
    const DayRun *run;
    DayPrint *print;
    GQueue batches;   /* of Batch*, in the order of the roster */
    guint waiting;    /* the first person whom nobody works on */
    GHashTable *told; /* findings that several people share, once told */
    int worst;
    gboolean broken;  /* the system fails: nobody else is begun */
} Crew;

/* ---- processes ---- */

static gboolean start(Crew *crew, Batch *batch)
{
    int ends[2];
    pid_t parent = getpid();
    if (pipe2(ends, O_CLOEXEC) != 0)
        return FALSE;
    fcntl(ends[0], F_SETPIPE_SZ, ROOM);
    fflush(stdout);
    fflush(stderr);
    people_prepare(crew->run->people, batch->next, batch->until);
    batch->process = fork();
    if (batch->process == 0) {
        prctl(PR_SET_PDEATHSIG, SIGTERM); /* whoever waits for the results is gone */
        if (getppid() != parent)
            _exit(EXIT_SYSTEM);
        close(ends[0]);
        day_work(crew->run, batch->next, batch->until, ends[1]);
    }
    people_prepared(crew->run->people);
    close(ends[1]);
    batch->results = ends[0];
    if (batch->process > 0)
        return TRUE;
    close(ends[0]);
    return FALSE;
}

static int end_of(Batch *batch)
{
    int status = 0;
    close(batch->results);
    while (waitpid(batch->process, &status, 0) < 0 && errno == EINTR)
        ;
    return WIFEXITED(status) ? WEXITSTATUS(status) : EXIT_OWN;
}

static void no_process(Crew *crew)
{
    terminal_say(stderr, "dosewright: cannot start a process: %s\n", g_strerror(errno));
    crew->worst = EXIT_SYSTEM;
    crew->broken = TRUE;
}

static void start_some(Crew *crew, guint most)
{
    while (!crew->broken && crew->batches.length < most && crew->waiting < crew->run->until) {
        Batch *batch = g_new0(Batch, 1);
        batch->next = crew->waiting;
        batch->until = MIN(crew->run->until, batch->next + PEOPLE_A_PROCESS);
        crew->waiting = batch->until;
        g_queue_push_tail(&crew->batches, batch);
        if (!start(crew, batch)) {
            no_process(crew);
            g_free(g_queue_pop_tail(&crew->batches));
        }
    }
}

/* ---- results ---- */

static void show_progress(const Crew *crew, guint done)
{
    const DayRun *run = crew->run;
    if (!isatty(STDERR_FILENO))
        return;
    terminal_say(stderr, "%u of %u: %u printed, %u stopped, %u waiting\n", done, run->until - run->from,
                 day_print_count(crew->print, DAY_PRINTED) + day_print_count(crew->print, DAY_KEPT),
                 day_print_count(crew->print, DAY_STOPPED), day_print_count(crew->print, DAY_WAITING));
}

static void take(Crew *crew, const DayResult *result)
{
    int status = day_print_add(crew->print, result);
    FILE *stream = crew->run->session->format == FINDINGS_LINES ? stdout : stderr;
    if (g_hash_table_add(crew->told, g_strdup(result->shared)))
        fputs(result->shared, stream);
    fputs(result->findings, stream);
    crew->worst = MAX(crew->worst, MAX(status, result->status));
    crew->broken |= status == EXIT_SYSTEM || result->status == EXIT_SYSTEM;
    guint done = result->index + 1 - crew->run->from;
    if (done % PEOPLE_A_PROCESS == 0 || result->index + 1 == crew->run->until)
        show_progress(crew, done);
}

/* A process broke off with this person: the others must not suffer for it. */
static void take_failed(Crew *crew, Batch *batch, int status)
{
    const RosterMark *mark = &g_array_index(crew->run->people->marks, RosterMark, batch->next);
    const DayResult failed = {.index = batch->next, .row = mark->number, .state = DAY_FAILED,
                              .status = status == EXIT_FINE ? EXIT_OWN : status, .code = "", .when = "", .told = "",
                              .why = "", .findings = "", .shared = "", .sheets = "", .slips = "", .blank = "",
                              .facts = "", .by = "", .language = ""};
    take(crew, &failed);
    batch->next++;
    if (!crew->broken && batch->next < batch->until) {
        if (start(crew, batch))
            return;
        no_process(crew);
    }
    g_free(g_queue_pop_head(&crew->batches));
}

static void receive_one(Crew *crew)
{
    DayResult result = {0};
    Batch *batch = g_queue_peek_head(&crew->batches);
    if (!day_receive(batch->results, &result)) {
        take_failed(crew, batch, end_of(batch));
        return;
    }
    take(crew, &result);
    g_variant_unref(result.holder);
    if (++batch->next < batch->until && !crew->broken)
        return;
    end_of(batch);
    g_free(g_queue_pop_head(&crew->batches));
}

static void dismiss(Crew *crew)
{
    Batch *batch;
    while ((batch = g_queue_pop_head(&crew->batches))) {
        kill(batch->process, SIGTERM);
        end_of(batch);
        g_free(batch);
    }
}

static int print_all(const DayRun *run)
{
    int jobs = run->session->options.jobs > 0 ? run->session->options.jobs : (int)g_get_num_processors();
    Crew crew = {.run = run, .print = day_print_new(run), .waiting = run->from};
    crew.told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_queue_init(&crew.batches);
    start_some(&crew, (guint)jobs);
    while (crew.batches.length > 0 && !crew.broken) {
        receive_one(&crew);
        start_some(&crew, (guint)jobs);
    }
    dismiss(&crew);
    int status = crew.broken ? EXIT_SYSTEM : day_print_end(crew.print);
    guint printed = day_print_count(crew.print, DAY_PRINTED) + day_print_count(crew.print, DAY_KEPT);
    guint stopped = day_print_count(crew.print, DAY_STOPPED), waiting = day_print_count(crew.print, DAY_WAITING);
    guint all = run->until - run->from, told = printed + stopped + waiting;
    terminal_say(stderr, "%u people: %u printed, %u stopped, %u waiting%s\n", all, printed, stopped, waiting,
                 told < all ? "; the rest was not reached: run it again" : "");
    g_hash_table_unref(crew.told);
    day_print_free(crew.print);
    return MAX(status, crew.worst);
}

/* ---- the command ---- */

/* "3/16" */
static gboolean read_part(DayRun *run)
{
    const char *word = run->session->options.part;
    guint count = run->people->marks->len;
    char *end;
    run->until = count;
    if (!word)
        return TRUE;
    guint64 part = g_ascii_strtoull(word, &end, 10);
    guint64 parts = *end == '/' ? g_ascii_strtoull(end + 1, &end, 10) : 0;
    if (*end || part < 1 || part > parts || parts > 100000)
        return FALSE;
    run->part = (guint)part;
    run->parts = (guint)parts;
    run->from = (guint)(count * (part - 1) / parts);
    run->until = (guint)(count * part / parts);
    return TRUE;
}

static void set_lists(DayRun *run)
{
    Arena *arena = run->session->arena;
    run->numbers = g_array_new(FALSE, FALSE, sizeof(DayNumber));
    run->numbered = g_array_new(FALSE, FALSE, sizeof(DayNamed));
    run->there = arena_list(arena);
    run->strange = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(arena, (GDestroyNotify)g_array_unref, run->numbers);
    arena_defer(arena, (GDestroyNotify)g_array_unref, run->numbered);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, run->strange);
}

static int run_day(DayRun *run)
{
    int lock = -1;
    int status = day_begin(run, &lock);
    if (status == EXIT_FINE)
        status = day_number(run);
    if (status == EXIT_FINE) {
        status = print_all(run);
        if (status <= EXIT_FINDINGS && run->parts == 0)
            status = MAX(status, day_done(run));
    }
    if (lock >= 0)
        close(lock);
    return status;
}

int command_day(Session *session)
{
    int status;
    const Options *options = &session->options;
    if (!options->words)
        return commands_usage("name one roster");
    if (!options->out)
        return commands_usage("say with --out which folder the day's sheets go into");
    if (session->format == FINDINGS_SARIF || options->template_name || options->draft)
        return commands_usage("a day is told as text or lines, and prints final sheets of the ordinary template");
    static char *nobody[] = {NULL};
    DayRun run = {.session = session, .folder = options->out};
    if (!options->replacing) /* --replace brings back nobody whose order was cancelled */
        session->options.replacing = nobody;
    run.sheets = arena_format(session->arena, "%s/%s", options->out, DAY_SHEETS);
    run.people = people_read(session, options->words[0], &status);
    if (!run.people)
        return status;
    if (!read_part(&run))
        return commands_usage("--part is as 3/16: the third of sixteen parts of the roster");
    set_lists(&run);
    return run_day(&run);
}
