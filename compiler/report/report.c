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
    added->cells = arena_list(report->arena);
    g_ptr_array_add(report->items, added);
    return added;
}

void report_heading(Report *report, ReportKind kind, const char *text)
{
    item(report, kind, text);
}

void report_text(Report *report, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    item(report, REPORT_TEXT, text);
}

ReportItem *report_open_row(Report *report, ReportKind kind) { return item(report, kind, NULL); }

void report_row(Report *report, ReportKind kind, ...)
{
    ReportItem *row = item(report, kind, NULL);
    va_list cells;
    va_start(cells, kind);
    for (const char *cell; (cell = va_arg(cells, const char *));)
        g_ptr_array_add(row->cells, arena_copy(report->arena, cell));
    va_end(cells);
}

void report_bar(Report *report, const char *text, int value, int most, const char *note)
{
    ReportItem *bar = item(report, REPORT_BAR, text);
    bar->value = CLAMP(value, 0, most);
    bar->most = MAX(1, most);
    bar->note = note ? arena_copy(report->arena, note) : "";
}

/* ---- as a web page ---- */

static const char style[] =
    "body{font:16px/1.5 Andika,sans-serif;margin:0 auto;max-width:60em;padding:1em;color:#111;background:#fff}"
    "h1{font-size:1.7em}h2{font-size:1.3em;margin-top:2em;border-top:1px solid #999;padding-top:.5em}"
    "h3{font-size:1.05em;margin-bottom:.2em}table{border-collapse:collapse;width:100%;margin:.5em 0}"
    "th,td{text-align:left;vertical-align:top;padding:.25em .6em .25em 0;border-bottom:1px solid #ccc}"
    ".wide{overflow-x:auto}.bar{display:flex;gap:.6em;align-items:center;margin:.2em 0}"
    ".bar b{flex:0 0 14em;font-weight:normal}.bar i{flex:1;height:.9em;border:1px solid #555;background:#fff}"
    ".bar i u{display:block;height:100%;background:#777}.bar span{flex:0 0 10em}"
    "@media(max-width:40em){.bar{flex-wrap:wrap}.bar b{flex:1 0 100%}}"
    "@media print{h2,h3{break-after:avoid}tr{break-inside:avoid}}";

static void escaped(GString *out, const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text, -1);
    g_autofree char *safe = g_markup_escape_text(valid, -1);
    g_string_append(out, safe);
}

static void element(GString *out, const char *tag, const char *text)
{
    g_string_append_printf(out, "<%s>", tag);
    escaped(out, text);
    g_string_append_printf(out, "</%s>\n", tag);
}

static void row_html(GString *out, const ReportItem *row)
{
    const char *tag = row->kind == REPORT_HEAD ? "th scope=\"col\"" : "td";
    g_string_append(out, "<tr>");
    for (guint i = 0; i < row->cells->len; i++) {
        g_string_append_printf(out, "<%s>", tag);
        escaped(out, g_ptr_array_index(row->cells, i));
        g_string_append(out, row->kind == REPORT_HEAD ? "</th>" : "</td>");
    }
    g_string_append(out, "</tr>\n");
}

static void bar_html(GString *out, const ReportItem *bar)
{
    g_string_append(out, "<div class=\"bar\"><b>");
    escaped(out, bar->text);
    g_string_append_printf(out, "</b><i><u style=\"width:%d%%\"></u></i><span>", bar->value * 100 / bar->most);
    escaped(out, bar->note);
    g_string_append(out, "</span></div>\n");
}

static gboolean in_table(const ReportItem *item)
{
    return item->kind == REPORT_HEAD || item->kind == REPORT_ROW;
}

static void item_html(GString *out, const ReportItem *item)
{
    switch (item->kind) {
    case REPORT_TITLE: element(out, "h1", item->text); break;
    case REPORT_HEADING: element(out, "h2", item->text); break;
    case REPORT_PART: element(out, "h3", item->text); break;
    case REPORT_TEXT: element(out, "p", item->text); break;
    case REPORT_BAR: bar_html(out, item); break;
    case REPORT_HEAD:
    case REPORT_ROW: row_html(out, item); break;
    }
}

void report_html(const Report *report, GString *out)
{
    g_string_append(out, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                         "<meta name=\"viewport\" content=\"width=device-width\">\n");
    element(out, "title", report->title);
    g_string_append_printf(out, "<style>%s</style>\n</head>\n<body>\n", style);
    gboolean open = FALSE;
    for (guint i = 0; i < report->items->len; i++) {
        const ReportItem *item = g_ptr_array_index(report->items, i);
        gboolean wanted = in_table(item);
        if (open && (!wanted || item->kind == REPORT_HEAD))
            g_string_append(out, "</table></div>\n");
        if (wanted && (!open || item->kind == REPORT_HEAD))
            g_string_append(out, "<div class=\"wide\"><table>\n");
        open = wanted;
        item_html(out, item);
    }
    g_string_append(out, open ? "</table></div>\n</body>\n</html>\n" : "</body>\n</html>\n");
}
