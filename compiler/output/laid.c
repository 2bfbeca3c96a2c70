/* output_laid: where the blocks of a sheet stand, without drawing it. */
#include <cairo-pdf.h>
#include <png.h>
#include <string.h>

#include "output/output.h"
#include "output/panels.h"
#include "output/trouble.h"

struct OutputLaid {
    Arena *arena;
    const Document *document;
    const Pages *pages;
    Panels *panels; /* or NULL: nobody asked yet */
};

OutputLaid *output_lay_out(Arena *arena, const Document *document, Paper paper, gboolean large,
                           Diagnostics *diagnostics, GError **error)
{
    const PageSpec spec = page_spec(paper, large);
    cairo_surface_t *nowhere = cairo_pdf_surface_create(NULL, spec.width / INK_POINT, spec.height / INK_POINT);
    cairo_t *cairo = cairo_create(nowhere);
    Ink *ink = ink_new(cairo, error);
    OutputLaid *laid = NULL;
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    if (ink && ink_set_language(ink, document->language, error)) {
        laid = arena_new0(arena, OutputLaid);
        *laid = (OutputLaid){arena, document, page_lay_out(arena, ink, document, spec, diagnostics), NULL};
        if (diagnostics_open(diagnostics, SEVERITY_ERROR) > before)
            laid = NULL;
    }
    if (ink)
        ink_free(ink);
    cairo_destroy(cairo);
    cairo_surface_destroy(nowhere);
    return laid;
}

/* ---- to be looked at ---- */

/* cairo's pixels are words of 32 bits, of which the upper eight are none. */
static guint8 *bytes_of(cairo_surface_t *surface, int width, int height)
{
    const guint8 *rows = cairo_image_surface_get_data(surface);
    gsize stride = (gsize)cairo_image_surface_get_stride(surface);
    guint8 *bytes = g_malloc((gsize)width * (gsize)height * 3), *at = bytes;
    for (int y = 0; y < height; y++) {
        const guint32 *row = (const guint32 *)(const void *)(rows + (gsize)y * stride);
        for (int x = 0; x < width; x++) {
            *at++ = (guint8)(row[x] >> 16);
            *at++ = (guint8)(row[x] >> 8);
            *at++ = (guint8)row[x];
        }
    }
    return bytes;
}

/* It is looked at once, so that time counts for more than bytes.  NULL when there is no memory. */
static GBytes *picture_of(cairo_surface_t *surface)
{
    int width = cairo_image_surface_get_width(surface), height = cairo_image_surface_get_height(surface);
    png_image image = {.version = PNG_IMAGE_VERSION, .width = (png_uint_32)width, .height = (png_uint_32)height,
                       .format = PNG_FORMAT_RGB, .flags = PNG_IMAGE_FLAG_FAST};
    cairo_surface_flush(surface);
    g_autofree guint8 *pixels = bytes_of(surface, width, height);
    png_alloc_size_t length = PNG_IMAGE_PNG_SIZE_MAX(image);
    guint8 *written = g_malloc(length);
    if (png_image_write_to_memory(&image, written, &length, FALSE, pixels, 0, NULL))
        return g_bytes_new_take(g_realloc(written, length), length);
    g_free(written);
    return NULL;
}

/* All pages are drawn, since only drawing finds the word that has no room; the surface takes one of them, or
 * none.  FALSE when that is not there. */
static gboolean draw_pages(Arena *arena, Ink *ink, cairo_t *cairo, const Document *document, const PageSpec *spec,
                           int page, int *pages, Diagnostics *diagnostics)
{
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    const Pages *laid = page_lay_out(arena, ink, document, *spec, diagnostics);
    *pages = laid ? page_count(laid) : 0;
    if (diagnostics_open(diagnostics, SEVERITY_ERROR) > before || page >= *pages)
        return FALSE;
    ink_tag(ink, "Document");
    for (int i = 0; i < *pages; i++) {
        cairo_save(cairo);
        if (i != page) {
            cairo_rectangle(cairo, 0, 0, 0, 0);
            cairo_clip(cairo);
        }
        page_draw(laid, ink, i);
        cairo_restore(cairo);
    }
    ink_untag(ink, "Document");
    output_in_trouble(ink, diagnostics);
    return TRUE;
}

/* On white; FALSE after findings, or with *error. */
static gboolean draw_on(Arena *arena, cairo_surface_t *surface, const Document *document, const PageSpec *spec,
                        double scale, int page, int *pages, Diagnostics *diagnostics, GError **error)
{
    cairo_t *cairo = cairo_create(surface);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    cairo_set_source_rgb(cairo, 0, 0, 0);
    cairo_scale(cairo, scale, scale);
    Ink *ink = ink_new(cairo, error);
    gboolean fine = ink && ink_set_language(ink, document->language, error) &&
                    draw_pages(arena, ink, cairo, document, spec, page, pages, diagnostics);
    if (ink)
        ink_free(ink);
    cairo_destroy(cairo);
    return fine;
}

GBytes *output_look(Arena *arena, const Document *document, Paper paper, int page, int width, int *pages,
                    Diagnostics *diagnostics, GError **error)
{
    const PageSpec spec = page_spec(paper, FALSE);
    const double scale = width / (spec.width / INK_POINT);
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, (int)(width * spec.height / spec.width));
    gboolean fine = draw_on(arena, surface, document, &spec, scale, page, pages, diagnostics, error);
    GBytes *picture = fine ? picture_of(surface) : NULL;
    cairo_surface_destroy(surface);
    return picture;
}

gboolean output_fits(Arena *arena, const Document *document, Paper paper, Diagnostics *diagnostics, GError **error)
{
    int pages;
    const PageSpec spec = page_spec(paper, FALSE);
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    cairo_surface_t *nowhere = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 1, 1);
    gboolean drawn = draw_on(arena, nowhere, document, &spec, 1, -1, &pages, diagnostics, error);
    cairo_surface_destroy(nowhere);
    return drawn && diagnostics_open(diagnostics, SEVERITY_ERROR) == before;
}

/* ---- where a block stands ---- */

int output_page_of(const Block *block, OutputLaid *laid)
{
    if (!laid->panels)
        laid->panels = panels_of(laid->arena, laid->document, laid->pages);
    return panels_page(laid->panels, block);
}
