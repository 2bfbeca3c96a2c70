/* output_report: a report as a tagged PDF on plain pages: a label and its text side by side, so
 * that no column is ever too narrow for its words. */
#include <cairo-pdf.h>

#include "drawing/drawing.h"
#include "output/finish.h"
#include "output/output.h"
#include "page/page.h"

#define MARGIN 20.0
#define FOOT 5.0
#define LABEL 42.0      /* of the width, for an entry's label */
#define LINE 9.0        /* that a heading takes, and the first lines of a text */
#define CHART_HEAD 12.0 /* that the heading of a chart takes */
#define AIR 1.2         /* above and below an entry */
#define KEPT_BELOW 60.0 /* no more than so much of what follows a heading has to stand on its page */

static const InkStyle strong = {.size = 10, .bold = TRUE, .leading = 1.25}, small = {.size = 10, .leading = 1.25};

typedef struct Press {
    const Report *report;
    Ink *ink;
    GHashTable *names;    /* of items: name -> "#name" */
    double width, height; /* of the paper, mm */
    double y;
    int page;
} Press;

static cairo_status_t collect(void *bytes, const unsigned char *data, unsigned int length)
{
    g_byte_array_append(bytes, data, length);
    return CAIRO_STATUS_SUCCESS;
}

static void end_page(Press *press)
{
    g_autofree char *foot = g_strdup_printf("%s, page %d", press->report->title, press->page++);
    ink_close_links(press->ink);
    ink_label(press->ink, (InkStyle){.size = 9, .align = INK_CENTRE}, foot, press->width / 2, press->height - 8);
    ink_next_page(press->ink);
    press->y = MARGIN;
}

static void make_room(Press *press, double height)
{
    if (press->y + height > press->height - MARGIN - FOOT && press->y > MARGIN)
        end_page(press);
}

/* The text between x and the right margin, under a tag; a page that is full ends before it. */
static void put(Press *press, const char *tag, InkStyle style, const char *text, const char *link, double x)
{
    const InkRun run = {text, style.bold, link};
    double width = press->width - MARGIN - x;
    make_room(press, ink_text_height(press->ink, style, &run, 1, width));
    ink_tag(press->ink, tag);
    press->y += ink_text_draw(press->ink, style, &run, 1, x, press->y, width);
    ink_untag(press->ink, tag);
}

static double text_height(Press *press, InkStyle style, const char *text, double width)
{
    const InkRun run = {text, style.bold, NULL};
    return ink_text_height(press->ink, style, &run, 1, width);
}

/* ---- headings and texts ---- */

/* below: of what follows, so much stands on the same page. */
static void heading(Press *press, const ReportItem *item, double below)
{
    static const struct { const char *tag; double size, gap; } rows[] = {
        [REPORT_TITLE] = {"H1", 18, 0}, [REPORT_HEADING] = {"H2", 14, 7}, [REPORT_PART] = {"H3", 11.5, 4},
        [REPORT_UNDER] = {"H4", 10, 2}};
    InkStyle style = {.size = rows[item->kind].size, .bold = TRUE};
    double gap = press->y > MARGIN ? rows[item->kind].gap : 0;
    make_room(press, gap + text_height(press, style, item->text, press->width - 2 * MARGIN) + below);
    press->y += press->y > MARGIN ? gap : 0;
    if (item->kind <= REPORT_HEADING)
        ink_bookmark(press->ink, item->kind == REPORT_HEADING, item->text, press->y);
    put(press, rows[item->kind].tag, style, item->text, NULL, MARGIN);
}

/* ---- entries ---- */

static const char *link_of(const Press *press, const ReportLine *line)
{
    return line->link ? g_hash_table_lookup(press->names, line->link) : NULL;
}

/* A thousand names fill a page, and more run off it. */
static const char *on_paper(const ReportLine *line) { return line->fold ? line->paper : line->text; }

static double entry_height(Press *press, const ReportItem *entry)
{
    double left = press->width - 2 * MARGIN - LABEL;
    double height = text_height(press, strong, entry->text, left);
    for (guint i = 0; i < entry->lines->len; i++)
        height += text_height(press, small, on_paper(g_ptr_array_index(entry->lines, i)), left);
    return MAX(height, text_height(press, strong, entry->label, LABEL - 4)) + 2 * AIR;
}

static void draw_label(Press *press, const char *label)
{
    const InkRun run = {label, TRUE, NULL};
    ink_tag(press->ink, "Lbl");
    ink_text_draw(press->ink, strong, &run, 1, MARGIN, press->y, LABEL - 4);
    ink_untag(press->ink, "Lbl");
}

static void draw_entry(Press *press, const ReportItem *entry)
{
    double page = press->height - 2 * MARGIN - FOOT, height = entry_height(press, entry);
    make_room(press, MIN(height, page));
    double least = press->y + text_height(press, strong, entry->label, LABEL - 4) + 2 * AIR;
    int first = press->page;
    ink_pen(press->ink, INK_FINE_LINE);
    ink_line(press->ink, MARGIN, press->y, press->width - MARGIN, press->y);
    press->y += AIR;
    ink_tag(press->ink, "LI");
    draw_label(press, entry->label);
    ink_tag(press->ink, "LBody");
    put(press, "P", strong, entry->text, NULL, MARGIN + LABEL);
    for (guint i = 0; i < entry->lines->len; i++) {
        const ReportLine *line = g_ptr_array_index(entry->lines, i);
        put(press, "P", small, on_paper(line), link_of(press, line), MARGIN + LABEL);
    }
    ink_untag(press->ink, "LBody");
    ink_untag(press->ink, "LI");
    press->y += AIR;
    if (press->page == first)
        press->y = MAX(press->y, least);
}

/* ---- charts ---- */

static void chart_bar(gpointer data, int x, int y, int width, int height, ChartFill fill)
{
    const Press *press = data;
    cairo_rectangle(ink_cairo(press->ink), MARGIN + x, press->y + y, width, height);
    ink_pen(press->ink, INK_FINE_LINE);
    if (fill == CHART_SOLID) {
        ink_fill_grey(press->ink, 0.25);
        cairo_rectangle(ink_cairo(press->ink), MARGIN + x, press->y + y, width, height);
    }
    ink_stroke(press->ink);
}

static void chart_words(gpointer data, int x, int baseline, const char *text)
{
    const Press *press = data;
    ink_label(press->ink, (InkStyle){.size = 9}, text, MARGIN + x, press->y + baseline);
}

static void chart_rule(gpointer data, int x, int y, int height)
{
    const Press *press = data;
    ink_pen(press->ink, INK_FINE_LINE);
    ink_line(press->ink, MARGIN + x, press->y + y, MARGIN + x, press->y + y + height);
}

static void draw_chart(Press *press, const ReportItem *item)
{
    const ChartPen pen = {press, chart_bar, chart_words, chart_rule};
    const ReportItem title = {.kind = REPORT_PART, .text = item->text};
    double height = report_chart_height(item->chart);
    make_room(press, height + CHART_HEAD);
    heading(press, &title, 0);
    press->y += AIR;
    ink_tag_figure(press->ink, report_chart_says(press->report->arena, item->chart));
    report_chart_draw(item->chart, &pen);
    ink_untag(press->ink, "Figure");
    press->y += height + AIR;
}

/* How much of the items from this one on stands together. */
static double kept_height(Press *press, guint index)
{
    const ReportItem *item = index < press->report->items->len ? g_ptr_array_index(press->report->items, index) : NULL;
    if (!item)
        return 0;
    if (item->kind == REPORT_CHART)
        return report_chart_height(item->chart) + CHART_HEAD;
    if (item->kind == REPORT_ENTRY)
        return MIN(KEPT_BELOW, entry_height(press, item));
    return item->kind == REPORT_TEXT ? LINE : LINE + kept_height(press, index + 1);
}

static void draw_item(Press *press, guint index)
{
    const ReportItem *item = g_ptr_array_index(press->report->items, index);
    if (item->name)
        ink_destination(press->ink, item->name, press->y);
    switch (item->kind) {
    case REPORT_TITLE:
    case REPORT_HEADING:
    case REPORT_PART:
    case REPORT_UNDER: heading(press, item, kept_height(press, index + 1)); break;
    case REPORT_TEXT: put(press, "P", small, item->text, NULL, MARGIN); break;
    case REPORT_ENTRY: draw_entry(press, item); break;
    case REPORT_CHART: draw_chart(press, item); break;
    }
}

/* Entries that follow one another are one list. */
static void draw_items(Press *press)
{
    gboolean listed = FALSE;
    ink_tag(press->ink, "Document");
    for (guint i = 0; i < press->report->items->len; i++) {
        const ReportItem *item = g_ptr_array_index(press->report->items, i);
        gboolean entry = item->kind == REPORT_ENTRY;
        if (item->screen)
            continue;
        if (entry && !listed)
            ink_tag(press->ink, "L");
        if (!entry && listed)
            ink_untag(press->ink, "L");
        listed = entry;
        draw_item(press, i);
    }
    if (listed)
        ink_untag(press->ink, "L");
    end_page(press);
    ink_untag(press->ink, "Document");
}

static GHashTable *names_of(const Report *report)
{
    GHashTable *names = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, g_free);
    for (guint i = 0; i < report->items->len; i++) {
        const ReportItem *item = g_ptr_array_index(report->items, i);
        if (item->name && !item->screen)
            g_hash_table_insert(names, (gpointer)item->name, g_strdup_printf("#%s", item->name));
    }
    return names;
}

GBytes *output_blank(const char *language, const char *words, Paper paper, GError **error)
{
    PageSpec spec = page_spec(paper, FALSE);
    GByteArray *bytes = g_byte_array_new();
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(collect, bytes, spec.width / INK_POINT,
                                                                   spec.height / INK_POINT);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
    cairo_t *cairo = cairo_create(surface);
    Ink *ink = ink_new(cairo, error);
    gboolean fine = ink && ink_set_language(ink, language, error);
    if (fine) {
        ink_tag(ink, "Document");
        ink_tag(ink, "P");
        ink_label(ink, (InkStyle){.size = 12, .align = INK_CENTRE}, words, spec.width / 2, spec.height / 2);
        ink_untag(ink, "P");
        ink_untag(ink, "Document");
        ink_next_page(ink);
    }
    if (ink)
        ink_free(ink);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    cairo_surface_destroy(surface);
    return fine ? g_byte_array_free_to_bytes(bytes) : (g_byte_array_unref(bytes), NULL);
}

GBytes *output_report(const Report *report, Paper paper, const char *made, GError **error)
{
    PageSpec spec = page_spec(paper, FALSE);
    GByteArray *bytes = g_byte_array_new();
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(collect, bytes, spec.width / INK_POINT,
                                                                   spec.height / INK_POINT);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, report->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, made);
    cairo_t *cairo = cairo_create(surface);
    g_autoptr(GHashTable) names = names_of(report);
    g_autoptr(GPtrArray) alternatives = g_ptr_array_new_with_free_func(g_free);
    Press press = {report, ink_new(cairo, error), names, spec.width, spec.height, MARGIN, 1};
    gboolean fine = press.ink && ink_set_language(press.ink, "en", error);
    if (fine)
        draw_items(&press);
    for (guint i = 0; fine && i < ink_alternatives(press.ink)->len; i++)
        g_ptr_array_add(alternatives, g_strdup(g_ptr_array_index(ink_alternatives(press.ink), i)));
    if (press.ink)
        ink_free(press.ink);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    g_assert(!fine || cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS);
    cairo_surface_destroy(surface);
    const FinishWords words = {.language = "en", .title = report->title, .made = made, .record = "report: yes\n",
                               .alternatives = alternatives};
    GBytes *finished = fine ? output_finish(bytes, &words) : NULL;
    g_assert(!fine || finished);
    g_byte_array_unref(bytes);
    return finished;
}
