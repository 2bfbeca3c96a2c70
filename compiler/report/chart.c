/* report_chart: the places of a chart's shapes, for whoever draws them. */
#include "report/report.h"

#define ROW 6       /* from bar to bar */
#define BAR 4
#define LEFT 26     /* of the bars; their labels stand before it */
#define ROOM 42     /* for the longest bar; its numbers stand behind it */
#define MARK 5      /* most that one thing takes */
#define HEAD 8      /* of the key */

static int shown_width(guint value, guint most)
{
    int width = (int)(value * ROOM / most);
    return value > 0 ? MAX(1, MIN(width, (int)value * MARK)) : 0;
}

static guint longest(const ReportChart *chart)
{
    guint most = 1;
    for (guint i = 0; i < chart->bars->len; i++) {
        const ReportBar *bar = &g_array_index(chart->bars, ReportBar, i);
        most = MAX(most, bar->first + bar->second);
    }
    return most;
}

int report_chart_height(const ReportChart *chart) { return HEAD + (int)chart->bars->len * ROW + 1; }

static char *numbers(const ReportBar *bar)
{
    if (bar->first > 0 && bar->second > 0)
        return g_strdup_printf("%u + %u", bar->first, bar->second);
    return bar->first + bar->second > 0 ? g_strdup_printf("%u", bar->first + bar->second) : g_strdup("");
}

static void draw_key(const ReportChart *chart, const ChartPen *pen)
{
    pen->bar(pen->data, 1, 1, BAR, BAR, CHART_SOLID);
    pen->words(pen->data, 7, 4, chart->first);
    pen->bar(pen->data, 50, 1, BAR, BAR, CHART_OPEN);
    pen->words(pen->data, 56, 4, chart->second);
}

void report_chart_draw(const ReportChart *chart, const ChartPen *pen)
{
    guint most = longest(chart);
    draw_key(chart, pen);
    for (guint i = 0; i < chart->bars->len; i++) {
        const ReportBar *bar = &g_array_index(chart->bars, ReportBar, i);
        g_autofree char *value = numbers(bar);
        int y = HEAD + (int)i * ROW, first = shown_width(bar->first, most), second = shown_width(bar->second, most);
        pen->words(pen->data, 1, y + 3, bar->label);
        if (first > 0)
            pen->bar(pen->data, LEFT, y, first, BAR, CHART_SOLID);
        if (second > 0)
            pen->bar(pen->data, LEFT + first, y, second, BAR, CHART_OPEN);
        if (*value)
            pen->words(pen->data, LEFT + first + second + 2, y + 3, value);
    }
    pen->rule(pen->data, LEFT, HEAD - 1, (int)chart->bars->len * ROW);
}

char *report_chart_says(Arena *arena, const ReportChart *chart)
{
    g_autoptr(GString) words = g_string_new(chart->title);
    for (guint i = 0; i < chart->bars->len; i++) {
        const ReportBar *bar = &g_array_index(chart->bars, ReportBar, i);
        if (bar->first + bar->second > 0)
            g_string_append_printf(words, "; %s: %u %s, %u %s", bar->label, bar->first, chart->first, bar->second,
                                   chart->second);
    }
    return arena_copy(arena, words->str);
}
