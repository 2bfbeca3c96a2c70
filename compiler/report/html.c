/* report_html: a report as one web page: no script, no table, nothing from elsewhere.  A label
 * and its text stand side by side where there is room, and above each other on a telephone. */
#include "report/report.h"

#define BESIDE "li .l{flex:0 0 9.5em;align-self:flex-start}li div{flex:1 1 auto;min-width:0}"

static const char style[] =
    "body{font:16px/1.45 Andika,sans-serif;margin:0 auto;max-width:52em;padding:1em;color:#111;background:#fff;"
    "overflow-wrap:anywhere}"
    "h1{font-size:1.6em;margin:.2em 0}"
    "h2{font-size:1.3em;margin:1.6em 0 .3em;border-top:2px solid #333;padding-top:.4em}"
    "h3{font-size:1.1em;margin:1.2em 0 .2em}h4{font-size:1em;margin:.9em 0 .1em}p{margin:.3em 0}"
    "ul{list-style:none;margin:0;padding:0}li{border-top:1px solid #bbb;padding:.4em 0}li p{margin:.1em 0}"
    "li .l{font-weight:bold;background:#e8e8e8;padding:0 .3em}a{color:#024}"
    "svg{display:block;width:100%;max-width:30em;height:auto;margin:.4em 0}"
    "body>details{border-top:1px solid #bbb}summary{padding:.6em 0}summary h3{display:inline;margin:0}"
    "@media(min-width:40em){li{display:flex;gap:1em}" BESIDE "}"
    "@media print{body{font-size:10pt;max-width:none;padding:0}h2,h3,h4{break-after:avoid}li,svg{break-inside:avoid}"
    "li{display:flex;gap:1em}" BESIDE "a{color:#111}}";

static void element(GString *out, const char *tag, const char *text)
{
    g_string_append_printf(out, "<%s>", tag);
    source_markup(out, text);
    g_string_append_printf(out, "</%s>\n", tag);
}

/* ---- charts ---- */

static void svg_bar(gpointer data, int x, int y, int width, int height, ChartFill fill)
{
    g_string_append_printf(data, "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"%s\" stroke=\"#111\" "
                           "stroke-width=\".4\"/>\n", x, y, width, height, fill == CHART_SOLID ? "#444" : "#fff");
}

static void svg_words(gpointer data, int x, int baseline, const char *text)
{
    g_string_append_printf(data, "<text x=\"%d\" y=\"%d\" font-size=\"3.6\">", x, baseline);
    source_markup(data, text);
    g_string_append(data, "</text>\n");
}

static void svg_rule(gpointer data, int x, int y, int height)
{
    g_string_append_printf(data, "<path d=\"M%d %dv%d\" stroke=\"#111\" stroke-width=\".4\"/>\n", x, y, height);
}

static void chart_html(GString *out, const Report *report, const ReportItem *item)
{
    const ChartPen pen = {out, svg_bar, svg_words, svg_rule};
    element(out, "h3", item->text);
    g_string_append_printf(out, "<svg role=\"img\" viewBox=\"0 0 %d %d\"><title>", CHART_WIDTH,
                           report_chart_height(item->chart));
    source_markup(out, report_chart_says(report->arena, item->chart));
    g_string_append(out, "</title>\n");
    report_chart_draw(item->chart, &pen);
    g_string_append(out, "</svg>\n");
}

/* ---- the rest ---- */

static void line_html(GString *out, const ReportLine *line)
{
    if (line->fold) {
        g_string_append(out, "<details>");
        element(out, "summary", line->fold);
        element(out, "p", line->text);
        g_string_append(out, "</details>\n");
        return;
    }
    g_string_append(out, "<p>");
    if (line->link)
        g_string_append_printf(out, "<a href=\"#%s\">", line->link);
    source_markup(out, line->text);
    g_string_append(out, line->link ? "</a></p>\n" : "</p>\n");
}

static void entry_html(GString *out, const ReportItem *entry)
{
    g_string_append(out, "<p class=\"l\">");
    source_markup(out, entry->label);
    g_string_append(out, "</p><div><p><b>");
    source_markup(out, entry->text);
    g_string_append(out, "</b></p>\n");
    for (guint i = 0; i < entry->lines->len; i++)
        line_html(out, g_ptr_array_index(entry->lines, i));
    g_string_append(out, "</div></li>\n");
}

static void open_tag(GString *out, const char *tag, const ReportItem *item)
{
    if (item->name)
        g_string_append_printf(out, "<%s id=\"%s\">", tag, item->name);
    else
        g_string_append_printf(out, "<%s>", tag);
}

static void item_html(GString *out, const Report *report, const ReportItem *item)
{
    static const char *const tags[] = {[REPORT_TITLE] = "h1", [REPORT_HEADING] = "h2", [REPORT_PART] = "h3",
                                       [REPORT_UNDER] = "h4", [REPORT_TEXT] = "p", [REPORT_ENTRY] = "li"};
    if (item->kind == REPORT_CHART) {
        chart_html(out, report, item);
        return;
    }
    open_tag(out, item->folded ? "details" : tags[item->kind], item);
    if (item->folded) {
        g_string_append(out, "<summary>");
        element(out, tags[item->kind], item->text);
        g_string_append(out, "</summary>\n");
        return;
    }
    if (item->kind == REPORT_ENTRY) {
        entry_html(out, item);
        return;
    }
    source_markup(out, item->text);
    g_string_append_printf(out, "</%s>\n", tags[item->kind]);
}

void report_html(const Report *report, GString *out)
{
    g_string_append(out, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                         "<meta name=\"viewport\" content=\"width=device-width\">\n");
    element(out, "title", report->title);
    g_string_append_printf(out, "<style>%s</style>\n</head>\n<body>\n", style);
    gboolean open = FALSE, folded = FALSE;
    for (guint i = 0; i < report->items->len; i++) {
        const ReportItem *item = g_ptr_array_index(report->items, i);
        gboolean listed = item->kind == REPORT_ENTRY;
        if (listed != open)
            g_string_append(out, listed ? "<ul>\n" : "</ul>\n");
        open = listed;
        if (folded && item->kind <= REPORT_PART)
            g_string_append(out, "</details>\n");
        folded = item->kind <= REPORT_PART ? item->folded : folded;
        item_html(out, report, item);
    }
    g_string_append_printf(out, "%s%s</body>\n</html>\n", open ? "</ul>\n" : "", folded ? "</details>\n" : "");
}
