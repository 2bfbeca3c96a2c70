/* dosewright_reports: the commands that write reports, as web page and PDF. */
#include "commands/dosewright_reports.h"

#include <stdio.h>

#include "output/output.h"
#include "report/report.h"

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
    if (!publish_file(folder, html_name, html, &error) || !publish_file(folder, pdf_name, pdf, &error))
        return commands_system_error(error);
    printf("%s/%s\n%s/%s\n", folder, html_name, folder, pdf_name);
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

int command_review(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a folder of clinics or protocols");
    GError *error = NULL;
    g_autofree char *earlier = NULL;
    if (session->options.since && !g_file_get_contents(session->options.since, &earlier, NULL, &error))
        return commands_system_error(error);
    GPtrArray *paths = arena_list(session->arena), *cases = arena_list(session->arena);
    for (char **word = session->options.words; *word; word++)
        if (!commands_collect(session, *word, paths, &error))
            return commands_system_error(error);
    for (guint i = 0; i < paths->len; i++)
        if (!add_case(session, g_ptr_array_index(paths, i), cases))
            return EXIT_SYSTEM;
    Day today = (Day)(session->now / 86400);
    return publish(session, review_report(session->arena, cases, earlier, today, commands_version()), "review");
}
