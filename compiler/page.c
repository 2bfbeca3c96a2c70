/* page: type, pagination, running head and foot. */
#include "page.h"

#include <string.h>

#include "page_parts.h"

#define HEAD_TOP 9.0
#define FOOT_HEIGHT 24.0 /* from the paper's lower edge */
#define SIDE_MARGIN 25.4 /* one inch */

PageSpec page_spec(ChoiceWord paper, gboolean large)
{
    PageSpec spec = {.margin = SIDE_MARGIN, .top = 21, .bottom = FOOT_HEIGHT + 3};
    gboolean letter = paper == Paper_LETTER;
    spec.width = letter ? 215.9 : 210;
    spec.height = letter ? 279.4 : 297;
    spec.body = large ? 18 : 14;
    return spec;
}

/* ---- type ---- */

InkStyle type(const Setter *setter, double size, gboolean bold)
{
    /* Large print scales what is read; what is large already grows less. */
    double scale = setter->spec.body / 14;
    double scaled = size <= 14 ? size * scale : size + 14 * (scale - 1);
    return (InkStyle){.size = scaled, .bold = bold};
}

static InkRun *runs_of(const Setter *setter, const Line *line)
{
    InkRun *runs = arena_alloc(setter->arena, MAX(1, line->runs->len) * sizeof(InkRun));
    for (guint i = 0; i < line->runs->len; i++) {
        const Run *run = g_ptr_array_index(line->runs, i);
        runs[i] = (InkRun){run->text, run->strong, run->dial};
    }
    return runs;
}

double line_height(const Setter *setter, InkStyle style, const Line *line, double width)
{
    return ink_text_height(setter->ink, style, runs_of(setter, line), line->runs->len, width);
}

double line_draw(const Setter *setter, InkStyle style, const Line *line, double x, double y, double width)
{
    return ink_text_draw(setter->ink, style, runs_of(setter, line), line->runs->len, x, y, width);
}

double tagged_line(const Setter *setter, const char *tag, InkStyle style, const Line *line, double x, double y,
                   double width)
{
    ink_tag(setter->ink, tag);
    double height = line_draw(setter, style, line, x, y, width);
    ink_untag(setter->ink, tag);
    return height;
}

/* ---- pieces ---- */

Piece *piece_add(Setter *setter, PieceDraw draw, double height, double gap)
{
    Piece *piece = arena_new0(setter->arena, Piece);
    piece->draw = draw;
    piece->height = height;
    piece->gap = gap;
    g_ptr_array_add(setter->pieces, piece);
    return piece;
}

static void draw_heading(const Setter *setter, const Piece *piece, double x, double y)
{
    gboolean first = strcmp(piece->tag, "H1") == 0;
    tagged_line(setter, piece->tag, type(setter, first ? 23 : 20, TRUE), piece->line, x, y, setter->width);
}

static void add_heading(Setter *setter, const Line *line, gboolean first, gboolean new_page)
{
    double height = line_height(setter, type(setter, first ? 23 : 20, TRUE), line, setter->width);
    Piece *piece = piece_add(setter, draw_heading, height, first ? 0 : 9);
    piece->line = line;
    piece->tag = first ? "H1" : "H2";
    piece->keep = TRUE;
    piece->new_page = new_page;
}

static Line *title_line(const Setter *setter)
{
    Line *line = arena_new0(setter->arena, Line);
    Run *run = arena_new0(setter->arena, Run);
    run->text = setter->document->title;
    line->runs = arena_list(setter->arena);
    g_ptr_array_add(line->runs, run);
    return line;
}

static void add_sections(Setter *setter)
{
    add_heading(setter, title_line(setter), TRUE, FALSE);
    for (guint i = 0; i < setter->document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(setter->document->sections, i);
        setter->headed = section->heading != NULL;
        if (section->heading)
            add_heading(setter, section->heading, FALSE, section->new_page);
        for (guint j = 0; j < section->blocks->len; j++)
            pieces_of_block(setter, g_ptr_array_index(section->blocks, j));
    }
}

/* ---- pages ---- */

typedef struct Placed {
    const Piece *piece;
    double y;
} Placed;

struct Pages {
    Setter setter;
    GArray *placed;  /* of Placed, all pages */
    GArray *starts;  /* of guint: the first of each page */
};

static double room(const PageSpec *spec) { return spec->height - spec->top - spec->bottom; }

static void too_tall(const Setter *setter, Diagnostics *diagnostics, double height)
{
    Finding *finding = finding_add(diagnostics, RULE_does_not_fit, PLACE_NOWHERE);
    finding_fact(finding, "a piece %d mm tall on a page that takes %d mm", (int)height, (int)room(&setter->spec));
    finding_help(finding, "shorten the texts of this block");
}

/* Height of a piece and of those that must stay with it. */
static double group_height(GPtrArray *pieces, guint first, guint *last)
{
    double height = 0;
    guint i = first;
    for (; i < pieces->len; i++) {
        const Piece *piece = g_ptr_array_index(pieces, i);
        height += piece->height + (i > first ? piece->gap : 0);
        if (!piece->keep)
            break;
    }
    *last = MIN(i, pieces->len - 1);
    return height;
}

static void distribute(Pages *pages, Diagnostics *diagnostics)
{
    const Setter *setter = &pages->setter;
    double y = 0, limit = room(&setter->spec);
    guint start = 0;
    g_array_append_val(pages->starts, start);
    for (guint i = 0; i < setter->pieces->len;) {
        guint last;
        const Piece *first = g_ptr_array_index(setter->pieces, i);
        double height = group_height(setter->pieces, i, &last);
        double gap = y > 0 ? first->gap : 0;
        if (height > limit)
            too_tall(setter, diagnostics, height);
        if (y > 0 && (first->new_page || y + gap + height > limit)) {
            start = pages->placed->len;
            g_array_append_val(pages->starts, start);
            y = gap = 0;
        }
        for (guint j = i; j <= last; j++) {
            const Piece *piece = g_ptr_array_index(setter->pieces, j);
            y += j == i ? gap : piece->gap;
            Placed placed = {piece, y};
            g_array_append_val(pages->placed, placed);
            y += piece->height;
        }
        i = last + 1;
    }
}

Pages *page_lay_out(Arena *arena, Ink *ink, const Document *document, PageSpec spec, Diagnostics *diagnostics)
{
    Pages *pages = arena_new0(arena, Pages);
    pages->setter = (Setter){arena, ink, document, spec, spec.width - 2 * spec.margin, FALSE, arena_list(arena)};
    pages->placed = g_array_new(FALSE, FALSE, sizeof(Placed));
    pages->starts = g_array_new(FALSE, FALSE, sizeof(guint));
    arena_defer(arena, (GDestroyNotify)g_array_unref, pages->placed);
    arena_defer(arena, (GDestroyNotify)g_array_unref, pages->starts);
    ink_set_right_to_left(ink, document->right_to_left);
    add_sections(&pages->setter);
    distribute(pages, diagnostics);
    return pages;
}

int page_count(const Pages *pages) { return (int)pages->starts->len; }

/* ---- running head and foot ---- */

static void draw_head(const Setter *setter)
{
    InkStyle small = {.size = 10.5, .grey = 0.25, .leading = 1.2};
    line_draw(setter, small, setter->document->head, setter->spec.margin, HEAD_TOP, setter->width);
}

/* The number first and large, then the rest of the line. */
static void draw_call(const Setter *setter, double y)
{
    const Line *line = setter->document->foot_call;
    InkRun *runs = runs_of(setter, line);
    guint first = 0;
    while (first < line->runs->len && !((const Run *)g_ptr_array_index(line->runs, first))->dial)
        first++;
    if (first == line->runs->len)
        first = 0;
    InkStyle large = {.size = 18, .bold = TRUE}, rest = {.size = 12};
    double x = setter->spec.margin;
    double width = ink_text_width(setter->ink, large, &runs[first], 1);
    ink_text_draw(setter->ink, large, &runs[first], 1, x, y - 1, width + 1);
    ink_text_draw(setter->ink, rest, runs + first + 1, line->runs->len - first - 1, x + width + 2, y + 1.2,
                  setter->width - width - 2);
}

static const char *page_words(const Setter *setter, int page, int pages)
{
    g_autoptr(GString) text = g_string_new(setter->document->page_of);
    g_autofree char *number = g_strdup_printf("%d", page);
    g_autofree char *total = g_strdup_printf("%d", pages);
    g_string_replace(text, "{page}", number, 0);
    g_string_replace(text, "{pages}", total, 0);
    return arena_copy(setter->arena, text->str);
}

static void draw_foot(const Setter *setter, int page, int pages)
{
    double y = setter->spec.height - FOOT_HEIGHT;
    Ink *ink = setter->ink;
    ink_pen(ink, INK_FINE_LINE);
    ink_line(ink, setter->spec.margin, y - 1.5, setter->spec.margin + setter->width, y - 1.5);
    draw_call(setter, y);
    InkStyle small = {.size = 10, .grey = 0.25, .leading = 1.2};
    const InkRun foot = {setter->document->foot, FALSE, NULL};
    ink_text_draw(ink, small, &foot, 1, setter->spec.margin, y + 8, setter->width - 24);
    const InkRun number = {page_words(setter, page, pages), FALSE, NULL};
    small.align = INK_RIGHT;
    ink_text_draw(ink, small, &number, 1, setter->spec.margin + setter->width - 24, y + 8, 24);
}

static void draw_draft(const Setter *setter)
{
    if (!setter->document->draft)
        return;
    cairo_t *cairo = ink_cairo(setter->ink);
    cairo_save(cairo);
    cairo_translate(cairo, setter->spec.width / 2, setter->spec.height / 2);
    cairo_rotate(cairo, -0.9);
    InkStyle style = {.size = 60, .bold = TRUE, .grey = 0.88, .align = INK_CENTRE};
    ink_label(setter->ink, style, setter->document->draft, 0, 0);
    cairo_restore(cairo);
    style = (InkStyle){.size = 12, .bold = TRUE, .align = INK_RIGHT}; /* and where nothing covers it */
    ink_label(setter->ink, style, setter->document->draft, setter->spec.margin + setter->width, HEAD_TOP - 1.5);
}

/* ---- drawing ---- */

static void draw_page(const Pages *pages, guint page)
{
    const Setter *setter = &pages->setter;
    guint from = g_array_index(pages->starts, guint, page);
    guint until = page + 1 < pages->starts->len ? g_array_index(pages->starts, guint, page + 1) : pages->placed->len;
    draw_draft(setter);
    draw_head(setter);
    for (guint i = from; i < until; i++) {
        const Placed *placed = &g_array_index(pages->placed, Placed, i);
        if (placed->piece->opens)
            ink_tag(setter->ink, placed->piece->opens);
        placed->piece->draw(setter, placed->piece, setter->spec.margin, setter->spec.top + placed->y);
        if (placed->piece->closes)
            ink_untag(setter->ink, placed->piece->closes);
    }
    draw_foot(setter, (int)page + 1, page_count(pages));
}

void page_draw(const Pages *pages, Ink *ink)
{
    ink_tag(ink, "Document");
    for (guint page = 0; page < pages->starts->len; page++) {
        draw_page(pages, page);
        if (page + 1 == pages->starts->len)
            ink_untag(ink, "Document");
        ink_next_page(ink);
    }
}
