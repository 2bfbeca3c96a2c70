/* dosewright_reports: the commands that write reports, as web page and PDF. */
#include "commands/dosewright_reports.h"

#include <stdio.h>
#include <string.h>

#include "output/output.h"

#define LOOKED_BACK (60 * 86400) /* seconds: of the record, for what was accepted */

/* A line for each rule that speaks in a protocol; a hundred thousand of them stay below it. */
#define EARLIER_LIMIT (256u << 20)

/* ---- writing ---- */

static void add_file(Arena *arena, GPtrArray *files, const char *name, const char *ending, GBytes *bytes)
{
    PublishFile *file = arena_new0(arena, PublishFile);
    *file = (PublishFile){arena_format(arena, "%s.%s", name, ending), bytes};
    g_ptr_array_add(files, file);
}

/* lines: what a later review compares with, or NULL; clinic: the first, or NULL. */
static int publish(Session *session, const Report *report, const char *name, const Clinic *clinic, GString *lines)
{
    const char *folder = session->options.out ? session->options.out : ".";
    GError *error = NULL;
    Paper paper;
    int status = commands_paper(session, clinic, &paper);
    if (status != EXIT_FINE)
        return status;
    GString *page = g_string_new(NULL);
    report_html(report, page);
    g_autoptr(GBytes) html = g_string_free_to_bytes(page);
    g_autoptr(GDateTime) made = g_date_time_new_from_unix_utc(session->now);
    g_autofree char *stamp = g_date_time_format(made, "%Y-%m-%dT%H:%M:%SZ");
    g_autoptr(GBytes) pdf = output_report(report, paper, stamp, &error);
    g_autoptr(GBytes) states = lines ? g_string_free_to_bytes(lines) : NULL;
    if (!pdf)
        return commands_system_error(error);
    g_autoptr(GPtrArray) files = g_ptr_array_new();
    add_file(session->arena, files, name, "html", html);
    add_file(session->arena, files, name, "pdf", pdf);
    if (states)
        add_file(session->arena, files, name, "lines", states);
    if (!publish_files(folder, files, &error))
        return commands_system_error(error);
    for (guint i = 0; i < files->len; i++)
        terminal_say(stdout, "%s/%s\n", folder, ((const PublishFile *)g_ptr_array_index(files, i))->name);
    return EXIT_FINE;
}

int command_rule_book(Session *session)
{
    return publish(session, review_rule_book(session->arena, commands_version()), "rule-book", NULL, NULL);
}

/* ---- what changed ---- */

/* Of a day: the same files, as far as they were signed by then, judged as of its noon. */
static gboolean as_of(Session *session, const Review *review, Day day, GPtrArray **states)
{
    Session then = *session;
    then.now = (Instant)day * 86400 + 43200;
    then.loader = loader_new(session->arena, session->options.clinic);
    Review before = *review;
    before.today = day;
    before.cases = arena_list(session->arena);
    for (guint i = 0; i < review->cases->len; i++)
        if (!gather_as_of(&then, g_ptr_array_index(review->cases, i), day, before.cases))
            return FALSE;
    *states = review_states(&before);
    return TRUE;
}

/* Whoever mistyped a day looks for no file. */
static int no_earlier(const char *since, GError *error)
{
    if (since[strspn(since, "0123456789-./")] != '\0')
        return commands_system_error(error);
    g_clear_error(&error);
    return commands_usage("\"%s\" is no day of the calendar as 2026-10-01, and no file that can be read", since);
}

static int read_earlier(Session *session, Review *review)
{
    const char *since = session->options.since;
    GError *error = NULL;
    const Source *earlier = NULL;
    Day day;
    guint fault = 0;
    review->before_words = since;
    if (day_parse(since, &day, NULL).fault == MOMENT_FINE)
        return as_of(session, review, day, &review->before) ? EXIT_FINE : EXIT_SYSTEM;
    SourceStatus status = source_read(session->arena, since, EARLIER_LIMIT, &earlier, &error);
    if (status == SOURCE_UNREADABLE)
        return no_earlier(since, error);
    review->before = status == SOURCE_READ ? review_read_states(session->arena, earlier, &fault) : NULL;
    if (!review->before)
        return commands_usage("line %u of %s is not of an earlier review: name its review.lines, or a day as "
                              "2026-10-01", fault, since);
    review->before_words = arena_format(session->arena, "the review in %s", since);
    return EXIT_FINE;
}

/* ---- the whole ---- */

/* What stands in the way of a pipeline; said on standard error. */
static int pass_gate(ReviewGate gate, const guint tasks[REVIEW_GATES])
{
    guint open = 0;
    for (int i = 0; i <= (int)gate; i++)
        open += tasks[i];
    if (open > 0)
        terminal_say(stderr, "%u to do: %u stop, %u wait, %u end soon\n",
                     tasks[REVIEW_STOPS] + tasks[REVIEW_WAITS] + tasks[REVIEW_ENDS], tasks[REVIEW_STOPS],
                     tasks[REVIEW_WAITS], tasks[REVIEW_ENDS]);
    return open > 0 ? EXIT_FINDINGS : EXIT_FINE;
}

int command_review(Session *session)
{
    ReviewGate gate = REVIEW_STOPS;
    guint tasks[REVIEW_GATES] = {0};
    const Clinic *first = NULL;
    if (!session->options.words)
        return commands_usage("name a folder of clinics or protocols");
    if (session->options.gate && !review_gate_find(session->options.gate, &gate))
        return commands_usage("--gate is stops, waits or ends");
    Review review = {.arena = session->arena, .version = commands_version()};
    int status = gather_review(session, &review, session->now - LOOKED_BACK, &first);
    if (status == EXIT_FINE && session->options.since)
        status = read_earlier(session, &review);
    if (status != EXIT_FINE)
        return status;
    Report *report = review_report(&review, tasks);
    if (session->options.now)
        report_text(report, "The date of this report was typed in.");
    GString *lines = g_string_new(NULL);
    review_print_states(&review, lines);
    status = publish(session, report, "review", first, lines);
    return status == EXIT_FINE && session->options.gate ? pass_gate(gate, tasks) : status;
}
