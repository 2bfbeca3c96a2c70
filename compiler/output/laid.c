/* output_laid: where the blocks of a sheet stand, without drawing it. */
#include <cairo-pdf.h>
#include <string.h>

#include "output/output.h"
#include "page/page.h"

struct OutputLaid {
    Arena *arena;
    const Pages *pages;
};

OutputLaid *output_lay_out(Arena *arena, const Document *document, Paper paper, Diagnostics *diagnostics,
                           GError **error)
{
    const PageSpec spec = page_spec(paper, FALSE);
    cairo_surface_t *nowhere = cairo_pdf_surface_create(NULL, spec.width / INK_POINT, spec.height / INK_POINT);
    cairo_t *cairo = cairo_create(nowhere);
    Ink *ink = ink_new(cairo, error);
    OutputLaid *laid = NULL;
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    if (ink && ink_set_language(ink, document->language, error)) {
        laid = arena_new0(arena, OutputLaid);
        *laid = (OutputLaid){arena, page_lay_out(arena, ink, document, spec, diagnostics)};
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

static cairo_status_t collect(void *bytes, const unsigned char *data, unsigned int length)
{
    g_byte_array_append(bytes, data, length);
    return CAIRO_STATUS_SUCCESS;
}

static GBytes *picture_of(cairo_surface_t *surface)
{
    GByteArray *bytes = g_byte_array_new();
    cairo_status_t status = cairo_surface_write_to_png_stream(surface, collect, bytes);
    g_assert(status == CAIRO_STATUS_SUCCESS);
    return g_byte_array_free_to_bytes(bytes);
}

static gboolean draw_page(Arena *arena, Ink *ink, const Document *document, const PageSpec *spec, int page, int *pages,
                          Diagnostics *diagnostics)
{
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    const Pages *laid = page_lay_out(arena, ink, document, *spec, diagnostics);
    *pages = laid ? page_count(laid) : 0;
    if (diagnostics_open(diagnostics, SEVERITY_ERROR) > before || page >= *pages)
        return FALSE;
    ink_tag(ink, "Document");
    page_draw(laid, ink, page);
    ink_untag(ink, "Document");
    return TRUE;
}

GBytes *output_look(Arena *arena, const Document *document, Paper paper, int page, int width, int *pages,
                    Diagnostics *diagnostics, GError **error)
{
    const PageSpec spec = page_spec(paper, FALSE);
    const double scale = width / (spec.width / INK_POINT);
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, (int)(width * spec.height / spec.width));
    cairo_t *cairo = cairo_create(surface);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    cairo_set_source_rgb(cairo, 0, 0, 0);
    cairo_scale(cairo, scale, scale);
    Ink *ink = ink_new(cairo, error);
    gboolean fine = ink && ink_set_language(ink, document->language, error) &&
                    draw_page(arena, ink, document, &spec, page, pages, diagnostics);
    if (ink)
        ink_free(ink);
    cairo_destroy(cairo);
    GBytes *picture = fine ? picture_of(surface) : NULL;
    cairo_surface_destroy(surface);
    return picture;
}

/* ---- where a block stands ---- */

typedef struct Seeking {
    Arena *arena;
    const char *words;
    gboolean found;
} Seeking;

static void look(const PageBox *box, double left, gpointer data)
{
    Seeking *seeking = data;
    (void)left;
    seeking->found |= box->kind == BOX_TEXT && strcmp(box_words(seeking->arena, box), seeking->words) == 0;
}

int output_page_of(const Block *block, gpointer data)
{
    const OutputLaid *laid = data;
    if (block->lines->len == 0)
        return 0;
    Seeking seeking = {laid->arena, line_text(laid->arena, g_ptr_array_index(block->lines, 0)), FALSE};
    for (int page = 0; page < page_count(laid->pages); page++) {
        box_visit(page_box(laid->pages, page), look, &seeking);
        if (seeking.found)
            return page + 1;
    }
    return 0;
}
