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
