/* bare: straight cairo and pango with the system's fonts, drawing pages like those
 * of a sheet: text by the paragraph, line drawings, no checks, no tags.
 * usage: bare TEXT-FILE PAGES OUT.pdf */
#include <cairo-pdf.h>
#include <pango/pangocairo.h>
#include <stdlib.h>

#define LINES_A_PAGE 32

static void draw_things(cairo_t *cairo)
{
    for (int i = 0; i < 4; i++) {
        cairo_rectangle(cairo, 380, 120 + i * 140, 90, 60);
        cairo_stroke(cairo);
        for (int j = 0; j < 30; j++) {
            cairo_move_to(cairo, 380 + j * 3, 180 + i * 140);
            cairo_line_to(cairo, 380 + j * 3, 172 + i * 140);
            cairo_stroke(cairo);
        }
    }
}

static void draw_line(cairo_t *cairo, const char *text, double y)
{
    PangoLayout *layout = pango_cairo_create_layout(cairo);
    PangoFontDescription *font = pango_font_description_from_string("Sans 14");
    pango_layout_set_font_description(layout, font);
    pango_layout_set_width(layout, 460 * PANGO_SCALE);
    pango_layout_set_text(layout, text, -1);
    cairo_move_to(cairo, 72, y);
    pango_cairo_show_layout(cairo, layout);
    pango_font_description_free(font);
    g_object_unref(layout);
}

int main(int argc, char **argv)
{
    g_autofree char *text = NULL;
    if (argc != 4 || !g_file_get_contents(argv[1], &text, NULL, NULL))
        return 2;
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    guint count = g_strv_length(lines), next = 0;
    cairo_surface_t *surface = cairo_pdf_surface_create(argv[3], 612, 792);
    cairo_t *cairo = cairo_create(surface);
    for (int page = 0; page < atoi(argv[2]); page++) {
        for (int i = 0; i < LINES_A_PAGE / 2 && next < count; i++, next++)
            draw_line(cairo, lines[next], 72 + i * 40);
        draw_things(cairo);
        cairo_show_page(cairo);
    }
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    int status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return status != CAIRO_STATUS_SUCCESS;
}
