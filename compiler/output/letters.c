/* output_letters: whether the fonts of a language's sheets have every letter of a text. */
#include "output/output.h"

#include <cairo-pdf.h>

#include "drawing/drawing.h"

static cairo_status_t nowhere(void *closure, const unsigned char *data, unsigned int length)
{
    (void)closure;
    (void)data;
    (void)length;
    return CAIRO_STATUS_SUCCESS;
}

gboolean output_lacks(const char *language, const char *text, gunichar *letter, GError **error)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(nowhere, NULL, 100, 100);
    cairo_t *cairo = cairo_create(surface);
    Ink *ink = ink_new(cairo, error);
    gboolean fine = ink && ink_set_language(ink, language, error);
    *letter = 0;
    if (fine) {
        const InkRun run = {text, FALSE, NULL};
        ink_text_width(ink, (InkStyle){.size = 12}, &run, 1);
        *letter = ink_missing_letter(ink);
    }
    if (ink)
        ink_free(ink);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return fine;
}
