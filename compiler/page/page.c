/* page: sections as pieces, pieces as pages. */
#include "page/page.h"

#include "page/parts.h"

#define SIDE_MARGIN 25.4 /* one inch */

/* The kinds of block that only the grid knows. */
static gboolean has_bands(const Document *document)
{
    for (guint i = 0; document && i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        for (guint j = 0; j < section->blocks->len; j++)
            if (((const Block *)g_ptr_array_index(section->blocks, j))->kind >= BLOCK_BAND)
                return TRUE;
    }
    return FALSE;
}

#define LETTER_HEIGHT 279.4
#define A4_SHIFT 4.0 /* a part of what A4 is higher goes to each edge, the rest into air */

PageSpec page_spec(const Document *document, Paper paper, gboolean large)
{
    gboolean letter = paper == Paper_LETTER;
    PageSpec spec = {.margin = SIDE_MARGIN, .top = SIDE_MARGIN, .bottom = FOOT_HEIGHT + 3, .body = large ? 18 : 14};
    spec.width = letter ? 215.9 : 210;
    spec.height = letter ? LETTER_HEIGHT : 297;
    spec.sheet = has_bands(document);
    if (!spec.sheet)
        return spec;
    double shift = letter ? 0 : A4_SHIFT;
    spec.margin = (spec.width - BLOCK_WIDTH) / 2;
    spec.top = BLOCK_TOP + HEAD_ROOM + shift;
    spec.bottom = FOOT_RULE + FOOT_AIR + shift + (large ? FOOT_LARGE : 0);
    spec.air = spec.height - LETTER_HEIGHT - 2 * shift;
    return spec;
}

static void add_heading(Setter *setter, const Line *line, gboolean first, gboolean new_page)
{
    Piece *piece = piece_open(setter, first ? 0 : 8);
    piece->begins = line_text(setter->arena, line);
    piece->tag = first ? "H1" : "H2";
    piece->keep = TRUE;
    piece->new_page = new_page;
    double height = add_line(setter, piece->tag, type(setter, first ? 23 : 20, TRUE), line, 0, 0, setter->width);
    PageBox *words = g_ptr_array_index(piece->box->inside, 0);
    words->bookmark = first ? 1 : 2;
    piece_close(setter, piece, height);
}

/* The pieces of a stretch fit on a page. */
static gboolean fits(const Setter *setter, guint first, guint end)
{
    double height = 0;
    for (guint i = first; i < end; i++) {
        const Piece *piece = g_ptr_array_index(setter->pieces, i);
        height += piece->height + (i > first ? piece->gap : 0);
    }
    return height <= room(&setter->spec);
}

static gboolean try_section(Setter *setter, const DocumentSection *section, guint first, guint start, CodePlace place)
{
    g_ptr_array_set_size(setter->pieces, (int)start);
    setter->code_place = place;
    pieces_of_section(setter, section);
    setter->code_place = CODE_BESIDE_WORDS;
    return keep_together(setter, first, 1);
}

/* All of the section on one page, or else as much as goes on it with the code.  No
 * code sends the box of whom to call to the next page. */
static void keep_section(Setter *setter, const DocumentSection *section, guint first, guint start)
{
    if (try_section(setter, section, first, start, CODE_BESIDE_WORDS))
        return;
    try_section(setter, section, first, start, CODE_BESIDE_BLOCK);
    if (fits(setter, first, setter->code_end))
        return;
    gboolean call = fits(setter, first, setter->call_end);
    try_section(setter, section, first, start, CODE_BESIDE_NIGHT);
    if (setter->code_end == 0 || (call && !fits(setter, first, setter->call_end)))
        try_section(setter, section, first, start, CODE_BESIDE_WORDS);
}

#define ONE_LINE 12.0 /* of ordinary or large print */

static void add_section(Setter *setter, const DocumentSection *section, guint first)
{
    setter->headed = section->heading != NULL;
    if (section->heading)
        add_heading(setter, section->heading, FALSE, section->new_page);
    guint start = setter->pieces->len;
    pieces_of_section(setter, section);
    if (section->heading && setter->pieces->len > start + 1) {
        Piece *first_piece = g_ptr_array_index(setter->pieces, start);
        first_piece->keep |= first_piece->height < ONE_LINE; /* no heading with one line under it */
    }
    if (section->together)
        keep_section(setter, section, first, start);
}

static void add_sections(Setter *setter)
{
    add_heading(setter, line_of_words(setter, setter->document->title), TRUE, FALSE);
    for (guint i = 0; i < setter->document->sections->len; i++)
        add_section(setter, g_ptr_array_index(setter->document->sections, i), i == 0 ? 0 : setter->pieces->len);
}

/* ---- pages ---- */

struct Pages {
    Setter setter;
    GPtrArray *boxes; /* of PageBox*: each a page */
};

static void set_on_grid(Setter *setter, GPtrArray *pages, Diagnostics *diagnostics)
{
    setter->width = BLOCK_WIDTH;
    setter->large = setter->spec.body > 14;
    setter->level = &page_levels[0];
    setter->head_room = HEAD_ROOM + head_beyond_line(setter);
    setter->spec.top += setter->head_room - HEAD_ROOM;
    pages_of_sheet(setter, pages, diagnostics);
}

Pages *page_lay_out(Arena *arena, Ink *ink, const Document *document, PageSpec spec, Diagnostics *diagnostics)
{
    Pages *pages = arena_new0(arena, Pages);
    pages->setter = (Setter){.arena = arena, .ink = ink, .document = document, .spec = spec,
                             .width = spec.width - 2 * spec.margin, .pieces = arena_list(arena)};
    pages->boxes = arena_list(arena);
    box_pile_begin(&pages->setter.pile, arena);
    if (spec.sheet) {
        set_on_grid(&pages->setter, pages->boxes, diagnostics);
    } else {
        add_sections(&pages->setter);
        pages_of_pieces(&pages->setter, pages->boxes, diagnostics);
    }
    return pages;
}

gboolean page_on_grid(const Pages *pages) { return pages->setter.spec.sheet; }

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
