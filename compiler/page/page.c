/* page: a document's sections as boxes on pages. */
#include "page/page.h"

#include "page/parts.h"

#define LETTER_HEIGHT 279.4
#define A4_SHIFT 4.0 /* a part of what A4 is higher goes to each edge, the rest into air */

PageSpec page_spec(Paper paper, gboolean large)
{
    gboolean letter = paper == Paper_LETTER;
    PageSpec spec = {.width = letter ? 215.9 : 210, .height = letter ? LETTER_HEIGHT : 297, .large = large};
    double shift = letter ? 0 : A4_SHIFT;
    spec.margin = (spec.width - BLOCK_WIDTH) / 2;
    spec.top = BLOCK_TOP + HEAD_ROOM + shift;
    spec.bottom = FOOT_RULE + FOOT_AIR + shift + (large ? FOOT_LARGE : 0);
    spec.air = spec.height - LETTER_HEIGHT - 2 * shift;
    return spec;
}

struct Pages {
    Setter setter;
    GPtrArray *boxes; /* of PageBox*: each a page */
};

static Pages *lay_out(Arena *arena, Ink *ink, const Document *document, PageSpec spec, Diagnostics *diagnostics)
{
    Pages *pages = arena_new0(arena, Pages);
    Setter *setter = &pages->setter;
    *setter = (Setter){.arena = arena, .ink = ink, .document = document, .spec = spec, .large = spec.large,
                       .print = spec.large ? PRINT_LARGE : document->for_clinic ? PRINT_CLINIC : PRINT_ORDINARY,
                       .scratch = arena_new(), .level = &page_levels[0], .rows_width = BLOCK_WIDTH,
                       .pieces = arena_list(arena)};
    arena_defer(arena, (GDestroyNotify)arena_free, setter->scratch);
    pages->boxes = arena_list(arena);
    measures_begin(setter);
    box_pile_begin(&setter->pile, arena);
    setter->tall = ink_stretch(ink);
    setter->head_room = HEAD_ROOM + head_beyond_line(setter);
    setter->spec.top += setter->head_room - HEAD_ROOM;
    pages_of_sheet(setter, pages->boxes, diagnostics);
    return pages;
}

typedef struct Drawable {
    Ink *ink;
    gboolean fine;
} Drawable;

static void try_box(const PageBox *box, double left, gpointer data)
{
    (void)left;
    Drawable *pages = data;
    if (box->kind == BOX_TEXT && box->crowded)
        pages->fine &= ink_text_holds(pages->ink, box->style, box->runs, box->count, box->width);
}

/* No words that are wider than their place: those would be refused when they are drawn. */
static gboolean can_be_drawn(const Pages *pages, Ink *ink)
{
    Drawable tried = {ink, TRUE};
    for (int page = 0; page < page_count(pages); page++)
        box_visit(page_box(pages, page), try_box, &tried);
    return tried.fine;
}

/* On both sides of one leaf; NULL: it has no room there. */
static Pages *lay_on_leaf(Arena *arena, Ink *ink, const Document *document, PageSpec spec)
{
    Document *folded = arena_new0(arena, Document);
    *folded = *document;
    folded->sections = document->leaf;
    Pages *pages = lay_out(arena, ink, folded, spec, diagnostics_new(arena));
    if (page_count(pages) == 0 || page_count(pages) > LEAF_PAGES || !can_be_drawn(pages, ink))
        return NULL;
    document_fold(document);
    return pages;
}

Pages *page_lay_out(Arena *arena, Ink *ink, const Document *document, PageSpec spec, Diagnostics *diagnostics)
{
    Pages *pages = document->leaf && !spec.large ? lay_on_leaf(arena, ink, document, spec) : NULL;
    return pages ? pages : lay_out(arena, ink, document, spec, diagnostics);
}

int page_count(const Pages *pages) { return (int)pages->boxes->len; }

const PageBox *page_box(const Pages *pages, int page) { return g_ptr_array_index(pages->boxes, page); }

void page_print(const Pages *pages, GString *out)
{
    for (int page = 0; page < page_count(pages); page++) {
        g_string_append_printf(out, "page %d\n", page + 1);
        box_print(out, page_box(pages, page), 1);
    }
}

void page_draw(const Pages *pages, Ink *ink, int page) { box_draw(ink, page_box(pages, page)); }
