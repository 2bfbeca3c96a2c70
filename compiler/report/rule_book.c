/* report_rule_book: every rule, in chapters. */
#include "report/report.h"

#include <string.h>

static const char *severity_words(int severities)
{
    if (severities & SEVERITY_ERROR)
        return severities & SEVERITY_WARNING ? "error or warning" : "error";
    return severities & SEVERITY_WARNING ? "warning" : "note";
}

static void chapter(Report *report, const char *subject)
{
    report_heading(report, REPORT_HEADING, arena_format(report->arena, "Rules about %s", subject));
    for (int i = 0; i < RULE_COUNT; i++) {
        const RuleRow *row = rule_row((RuleId)i);
        if (strcmp(row->subject, subject) != 0)
            continue;
        report_heading(report, REPORT_PART, arena_format(report->arena, "%s (%s)", row->id,
                                                         severity_words(row->severities)));
        report_text(report, "It says: %s.", row->message);
        report_text(report, "Why: %s", row->reason);
        report_text(report, "Source: %s.", row->source);
    }
}

Report *review_rule_book(Arena *arena, const char *version)
{
    static const char *const subjects[] = {"reading", "text", "governance", "medicine", "syringe", "site",
                                           "time", "person", "storage", "output"};
    Report *report = report_new(arena, "Rule book");
    report_text(report, "The %d rules of dosewright %s. An error stops a sheet. A warning stops it until someone who "
                "may has accepted it in writing: rule, reason, name, dates. The program chooses no medicine, dose, "
                "site or hour; the prescriber's order, the label in the box, local law and licensed practice decide.",
                (int)RULE_COUNT, version);
    for (gsize i = 0; i < G_N_ELEMENTS(subjects); i++)
        chapter(report, subjects[i]);
    return report;
}
