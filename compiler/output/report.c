/* output_report: a report as a PDF, on plain pages. */
#include <cairo-pdf.h>

#include "drawing/drawing.h"
#include "output/output.h"
#include "page/page.h"

#define MARGIN 20.0
#define FOOT 15.0

typedef struct Press {
    Ink *ink;
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
    g_autofree char *number = g_strdup_printf("%d", press->page++);
    ink_label(press->ink, (InkStyle){.size = 10, .align = INK_CENTRE}, number, press->width / 2, press->height - 8);
    ink_next_page(press->ink);
    press->y = MARGIN;
}

static void make_room(Press *press, double height)
{
    if (press->y + height > press->height - MARGIN - FOOT && press->y > MARGIN)
        end_page(press);
}

static void paragraph(Press *press, const char *text, double size, gboolean bold, double gap)
{
    const InkRun run = {text, bold, NULL};
    InkStyle style = {.size = size, .bold = bold};
    double width = press->width - 2 * MARGIN;
    double height = ink_text_height(press->ink, style, &run, 1, width);
    make_room(press, height + gap + (bold ? 12 : 0));
    press->y += gap;
    press->y += ink_text_draw(press->ink, style, &run, 1, MARGIN, press->y, width);
}

/* A cell's share of the width: the first of a matrix is wide, the rest narrow. */
static double cell_width(const Press *press, guint cells, guint index)
{
    double all = press->width - 2 * MARGIN;
    if (cells > 6)
        return index == 0 ? 55 : (all - 55) / (cells - 1);
    return all / cells;
}

static double cell_height(Press *press, const ReportItem *row, guint index, gboolean bold)
{
    const InkRun run = {g_ptr_array_index(row->cells, index), bold, NULL};
    InkStyle style = {.size = 9, .leading = 1.25};
    return ink_text_height(press->ink, style, &run, 1, cell_width(press, row->cells->len, index) - 2);
}

static void draw_row(Press *press, const ReportItem *row)
{
    gboolean bold = row->kind == REPORT_HEAD;
    double height = 0, x = MARGIN;
    for (guint i = 0; i < row->cells->len; i++)
        height = MAX(height, cell_height(press, row, i, bold));
    make_room(press, height + 2 + (bold ? 12 : 0));
    for (guint i = 0; i < row->cells->len; i++) {
        const InkRun run = {g_ptr_array_index(row->cells, i), bold, NULL};
        InkStyle style = {.size = 9, .leading = 1.25};
        ink_text_draw(press->ink, style, &run, 1, x, press->y + 1, cell_width(press, row->cells->len, i) - 2);
        x += cell_width(press, row->cells->len, i);
    }
    press->y += height + 2;
    ink_pen(press->ink, INK_FINE_LINE);
    ink_line(press->ink, MARGIN, press->y, press->width - MARGIN, press->y);
}

static void draw_bar(Press *press, const ReportItem *bar)
{
    double left = MARGIN + 50, most = press->width - 2 * MARGIN - 90;
    make_room(press, 7);
    ink_label(press->ink, (InkStyle){.size = 10}, bar->text, MARGIN, press->y + 4.5);
    ink_pen(press->ink, INK_FINE_LINE);
    cairo_rectangle(ink_cairo(press->ink), left, press->y + 1, most, 4);
    ink_stroke(press->ink);
    cairo_rectangle(ink_cairo(press->ink), left, press->y + 1, most * bar->value / bar->most, 4);
    ink_fill_grey(press->ink, 0.5);
    ink_label(press->ink, (InkStyle){.size = 10}, bar->note, left + most + 3, press->y + 4.5);
    press->y += 7;
}

static void draw_item(Press *press, const ReportItem *item)
{
    switch (item->kind) {
    case REPORT_TITLE: paragraph(press, item->text, 20, TRUE, 0); break;
    case REPORT_HEADING: paragraph(press, item->text, 15, TRUE, 8); break;
    case REPORT_PART: paragraph(press, item->text, 11, TRUE, 4); break;
    case REPORT_TEXT: paragraph(press, item->text, 10, FALSE, 1); break;
    case REPORT_HEAD:
    case REPORT_ROW: draw_row(press, item); break;
    case REPORT_BAR: draw_bar(press, item); break;
    }
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
    Press press = {ink_new(cairo, error), spec.width, spec.height, MARGIN, 1};
    for (guint i = 0; press.ink && i < report->items->len; i++)
        draw_item(&press, g_ptr_array_index(report->items, i));
    if (press.ink)
        end_page(&press);
    gboolean fine = press.ink != NULL;
    ink_free(press.ink);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    g_assert(!fine || cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS);
    cairo_surface_destroy(surface);
    if (fine)
        return g_byte_array_free_to_bytes(bytes);
    g_byte_array_unref(bytes);
    return NULL;
}
