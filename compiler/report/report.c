/* report: see report.h. */
#include "report/report.h"

Report *report_new(Arena *arena, const char *title)
{
    Report *report = arena_new0(arena, Report);
    report->arena = arena;
    report->title = arena_copy(arena, title);
    report->items = arena_list(arena);
    report_heading(report, REPORT_TITLE, title);
    return report;
}

static ReportItem *item(Report *report, ReportKind kind, const char *text)
{
    ReportItem *added = arena_new0(report->arena, ReportItem);
    added->kind = kind;
    added->text = text ? arena_copy(report->arena, text) : NULL;
    added->lines = arena_list(report->arena);
    g_ptr_array_add(report->items, added);
    return added;
}

ReportItem *report_heading(Report *report, ReportKind kind, const char *text) { return item(report, kind, text); }

void report_text(Report *report, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    item(report, REPORT_TEXT, text);
}

ReportItem *report_entry(Report *report, const char *label, const char *text)
{
    ReportItem *entry = item(report, REPORT_ENTRY, text);
    entry->label = arena_copy(report->arena, label);
    return entry;
}

void report_line(const Report *report, ReportItem *entry, const char *link, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    ReportLine *line = arena_new0(report->arena, ReportLine);
    line->text = arena_copy(report->arena, text);
    line->link = link ? arena_copy(report->arena, link) : NULL;
    g_ptr_array_add(entry->lines, line);
}

void report_fold(const Report *report, ReportItem *entry, const char *fold, const char *paper,
                 const char *text)
{
    report_line(report, entry, NULL, "%s", text);
    ReportLine *line = g_ptr_array_index(entry->lines, entry->lines->len - 1);
    line->fold = arena_copy(report->arena, fold);
    line->paper = arena_copy(report->arena, paper);
}

ReportChart *report_chart(Report *report, const char *title, const char *first, const char *second)
{
    ReportChart *chart = arena_new0(report->arena, ReportChart);
    chart->title = arena_copy(report->arena, title);
    chart->first = first;
    chart->second = second;
    chart->bars = g_array_new(FALSE, FALSE, sizeof(ReportBar));
    arena_defer(report->arena, (GDestroyNotify)g_array_unref, chart->bars);
    item(report, REPORT_CHART, title)->chart = chart;
    return chart;
}

void report_bar(const Report *report, ReportChart *chart, const char *label, guint first, guint second)
{
    const ReportBar bar = {arena_copy(report->arena, label), first, second};
    g_array_append_val(chart->bars, bar);
}
