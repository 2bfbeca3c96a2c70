/* bare: straight cairo and pango with the system's fonts, drawing the very pages of a
 * sheet from a list that tests/bench/pages.py makes: lines of text and paths, no checks,
 * no tags, no layout.
 * usage: bare LIST OUT.pdf [COUNT]
 * With a count, so often in one process and in memory, printing the milliseconds of each. */
#include <cairo-pdf.h>
#include <pango/pangocairo.h>
#include <stdio.h>
#include <stdlib.h>

static void draw_text(cairo_t *cairo, const char *line)
{
    double size, x, y;
    int bold, start = 0;
    if (sscanf(line, "T %lf %d %lf %lf %n", &size, &bold, &x, &y, &start) != 4)
        return;
    PangoLayout *layout = pango_cairo_create_layout(cairo);
    PangoFontDescription *font = pango_font_description_from_string(bold ? "Sans Bold" : "Sans");
    pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_text(layout, line + start, -1);
    cairo_set_source_rgb(cairo, 0, 0, 0);
    cairo_move_to(cairo, x, y);
    pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(layout, 0));
    cairo_new_path(cairo);
    pango_font_description_free(font);
    g_object_unref(layout);
}

static void draw_path(cairo_t *cairo, const char *line)
{
    double v[6] = {0};
    sscanf(line + 1, "%lf %lf %lf %lf %lf %lf", &v[0], &v[1], &v[2], &v[3], &v[4], &v[5]);
    switch (line[0]) {
    case 'm': cairo_move_to(cairo, v[0], v[1]); break;
    case 'l': cairo_line_to(cairo, v[0], v[1]); break;
    case 'c': cairo_curve_to(cairo, v[0], v[1], v[2], v[3], v[4], v[5]); break;
    case 'h': cairo_close_path(cairo); break;
    case 'n': cairo_new_path(cairo); break;
    case 'f':
        cairo_set_source_rgb(cairo, v[0], v[1], v[2]);
        cairo_fill(cairo);
        break;
    case 'S':
        cairo_set_line_width(cairo, v[0]);
        cairo_set_source_rgb(cairo, v[1], v[2], v[3]);
        cairo_stroke(cairo);
        break;
    default: break;
    }
}

static cairo_status_t collect(void *bytes, const unsigned char *data, unsigned int length)
{
    g_byte_array_append(bytes, data, length);
    return CAIRO_STATUS_SUCCESS;
}

static gboolean draw(cairo_surface_t *surface, char **lines)
{
    cairo_t *cairo = cairo_create(surface);
    gboolean open = FALSE;
    for (; *lines; lines++) {
        if ((*lines)[0] == 'P' && open)
            cairo_show_page(cairo);
        open = TRUE;
        if ((*lines)[0] == 'T')
            draw_text(cairo, *lines);
        else
            draw_path(cairo, *lines);
    }
    cairo_show_page(cairo);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    gboolean fine = cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(surface);
    return fine;
}

int main(int argc, char **argv)
{
    g_autofree char *text = NULL;
    if (argc < 3 || argc > 4 || !g_file_get_contents(argv[1], &text, NULL, NULL))
        return 2;
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    if (argc == 3)
        return !draw(cairo_pdf_surface_create(argv[2], 612, 792), lines);
    for (int i = 0; i < atoi(argv[3]); i++) {
        gint64 start = g_get_monotonic_time();
        g_autoptr(GByteArray) bytes = g_byte_array_new();
        if (!draw(cairo_pdf_surface_create_for_stream(collect, bytes, 612, 792), lines))
            return 1;
        printf("%.3f\n", (double)(g_get_monotonic_time() - start) / 1000);
    }
    return 0;
}
