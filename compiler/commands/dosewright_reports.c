/* dosewright_reports: the commands that write reports, as web page and PDF. */
#include "commands/dosewright_reports.h"

#include <stdio.h>

#include "output/output.h"
#include "report/report.h"

/* A line a finding; a hundred thousand of them stay below it. */
#define EARLIER_LIMIT (256u << 20)

static int publish(Session *session, const Report *report, const char *name)
{
    const char *folder = session->options.out ? session->options.out : ".";
    GError *error = NULL;
    GString *page = g_string_new(NULL);
    report_html(report, page);
    g_autoptr(GBytes) html = g_string_free_to_bytes(page);
    g_autoptr(GDateTime) made = g_date_time_new_from_unix_utc(session->now);
    g_autofree char *stamp = g_date_time_format(made, "%Y-%m-%dT%H:%M:%SZ");
    Paper paper = g_strcmp0(session->options.paper, choice_word(Paper_LETTER)) == 0 ? Paper_LETTER : Paper_A4;
    g_autoptr(GBytes) pdf = output_report(report, paper, stamp, &error);
    if (!pdf)
        return commands_system_error(error);
    g_autofree char *html_name = g_strconcat(name, ".html", NULL);
    g_autofree char *pdf_name = g_strconcat(name, ".pdf", NULL);
    const PublishFile html_file = {html_name, html}, pdf_file = {pdf_name, pdf};
    g_autoptr(GPtrArray) files = g_ptr_array_new();
    g_ptr_array_add(files, (gpointer)&html_file);
    g_ptr_array_add(files, (gpointer)&pdf_file);
    if (!publish_files(folder, files, &error))
        return commands_system_error(error);
    terminal_say(stdout, "%s/%s\n%s/%s\n", folder, html_name, folder, pdf_name);
    return EXIT_FINE;
}

int command_rule_book(Session *session)
{
    return publish(session, review_rule_book(session->arena, commands_version()), "rule-book");
}

static gboolean add_case(Session *session, const char *path, GPtrArray *cases)
{
    Case file;
    Plan *plan;
    if (!commands_judge(session, path, &file, &plan))
        return FALSE;
    gboolean broken = diagnostics_open(file.diagnostics, SEVERITY_ERROR) > 0;
    if (file.kind == FILE_PATIENT || (file.kind != FILE_PROTOCOL && !broken))
        return TRUE; /* people are not what a review of protocols is about */
    ReviewCase *one = arena_new0(session->arena, ReviewCase);
    *one = (ReviewCase){path, file.clinic, file.protocol, file.diagnostics};
    g_ptr_array_add(cases, one);
    return TRUE;
}

/* The lines of an earlier check. */
static gboolean read_earlier(Session *session, const Source **out, GError **error)
{
    SourceStatus status = source_read(session->arena, session->options.since, EARLIER_LIMIT, out, error);
    if (status == SOURCE_TOO_LARGE)
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                    "%s holds more than %u MiB: it is no report of an earlier check", session->options.since,
                    EARLIER_LIMIT >> 20);
    return status == SOURCE_READ;
}

int command_review(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a folder of clinics or protocols");
    GError *error = NULL;
    const Source *earlier = NULL;
    if (session->options.since && !read_earlier(session, &earlier, &error))
        return commands_system_error(error);
    GPtrArray *paths = arena_list(session->arena), *cases = arena_list(session->arena);
    for (char **word = session->options.words; *word; word++)
        if (!commands_collect(session, *word, paths, &error))
            return commands_system_error(error);
    for (guint i = 0; i < paths->len; i++)
        if (!add_case(session, g_ptr_array_index(paths, i), cases))
            return EXIT_SYSTEM;
    Day today = (Day)(session->now / 86400);
    const char *lines = earlier ? earlier->text : NULL;
    Report *report = review_report(session->arena, cases, lines, today, commands_version());
    if (session->options.now)
        report_text(report, "The date of this report was typed in.");
    return publish(session, report, "review");
}
