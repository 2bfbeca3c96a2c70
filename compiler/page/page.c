/* page: type, pagination, running head and foot. */
#include "page/page.h"

#include <string.h>

#include "page/parts.h"

#define HEAD_TOP 11.0
#define FOOT_HEIGHT 24.0 /* from the paper's lower edge */
#define PAGE_NUMBER 30.0 /* room for "page 10 of 12" */
#define SIDE_MARGIN 25.4 /* one inch */

PageSpec page_spec(Paper paper, gboolean large)
{
    PageSpec spec = {.margin = SIDE_MARGIN, .top = SIDE_MARGIN, .bottom = FOOT_HEIGHT + 3};
    gboolean letter = paper == Paper_LETTER;
    spec.width = letter ? 215.9 : 210;
    spec.height = letter ? 279.4 : 297;
    spec.body = large ? 18 : 14;
    return spec;
}

/* ---- type ---- */

double measure(const Setter *setter) { return MIN(setter->width, 152.4); }

/* A side column, wider where the type is larger. */
double column(const Setter *setter, double width) { return width * setter->spec.body / 14; }

InkStyle type(const Setter *setter, double size, gboolean bold)
{
    /* Large print scales what is read; headings stand at 20 to 22 points (American
     * Council of the Blind, large print guidelines); what is larger grows a little. */
    double scaled = size;
    if (setter->spec.body > 14)
        scaled = size <= 14 ? size * setter->spec.body / 14 : size <= 23 ? 20 + (size - 16) * 2 / 7 : size + 4;
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

double line_width(const Setter *setter, InkStyle style, const Line *line)
{
    return ink_text_width(setter->ink, style, runs_of(setter, line), line->runs->len);
}

gboolean line_breaks(const Setter *setter, InkStyle style, const Line *line, double width)
{
    return ink_text_breaks(setter->ink, style, runs_of(setter, line), line->runs->len, width);
}

double line_draw(const Setter *setter, InkStyle style, const Line *line, double x, double y, double width)
{
    return ink_text_draw(setter->ink, style, runs_of(setter, line), line->runs->len, x, y, width);
}

double tagged_line(const Setter *setter, const char *tag, InkStyle style, const Line *line, double x, double y,
                   double width)
{
    gboolean body = strcmp(tag, "LBody") == 0; /* holds paragraphs, so that a link can stand beside them */
    if (body)
        ink_tag(setter->ink, tag);
    ink_tag(setter->ink, body ? "P" : tag);
    double height = line_draw(setter, style, line, x, y, width);
    ink_untag(setter->ink, body ? "P" : tag);
    ink_close_links(setter->ink);
    if (body)
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
    piece->aside = setter->aside;
    g_ptr_array_add(setter->pieces, piece);
    return piece;
}

static void draw_heading(const Setter *setter, const Piece *piece, double x, double y)
{
    gboolean first = strcmp(piece->tag, "H1") == 0;
    ink_bookmark(setter->ink, !first, line_text(setter->arena, piece->line), y);
    tagged_line(setter, piece->tag, type(setter, first ? 23 : 20, TRUE), piece->line, x, y, setter->width);
}

static void add_heading(Setter *setter, const Line *line, gboolean first, gboolean new_page)
{
    double height = line_height(setter, type(setter, first ? 23 : 20, TRUE), line, setter->width);
    Piece *piece = piece_add(setter, draw_heading, height, first ? 0 : 8);
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

static double room(const PageSpec *spec) { return spec->height - spec->top - spec->bottom; }

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

gboolean keep_together(Setter *setter, guint first, double share)
{
    double height = 0, limit = room(&setter->spec) * share;
    for (guint i = first, last; i < setter->pieces->len; i = last + 1) {
        const Piece *piece = g_ptr_array_index(setter->pieces, i);
        height += group_height(setter->pieces, i, &last) + (i > first ? piece->gap : 0);
        if (height > limit)
            return FALSE;
        if (i > first)
            ((Piece *)g_ptr_array_index(setter->pieces, i - 1))->keep = TRUE;
    }
    return TRUE;
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
    add_heading(setter, title_line(setter), TRUE, FALSE);
    for (guint i = 0; i < setter->document->sections->len; i++)
        add_section(setter, g_ptr_array_index(setter->document->sections, i), i == 0 ? 0 : setter->pieces->len);
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

/* The first words of a group, to tell which one it is. */
static const char *words_of(const Setter *setter, const Piece *piece)
{
    const Block *block = piece->block;
    const Line *line = piece->line ? piece->line : block && block->title ? block->title
                       : block && block->lines->len > 0 ? g_ptr_array_index(block->lines, 0) : NULL;
    return line ? line_text(setter->arena, line) : "";
}

static void too_tall(const Setter *setter, Diagnostics *diagnostics, double height, const Piece *first)
{
    Finding *finding = finding_add(diagnostics, RULE_does_not_fit, PLACE_NOWHERE);
    finding_fact(finding, "what begins \"%s\" is %d mm tall, on a page that takes %d mm", words_of(setter, first),
                 (int)height, (int)room(&setter->spec));
    finding_help(finding, "shorten the texts of this block");
}

/* ---- where pages end ---- */

/* A stretch of pieces that no page end may part. */
typedef struct Group {
    guint from, until;
    double gap, height; /* gap: above it, unless it starts a page */
    gboolean urgent;    /* every page that ends before it costs more */
    double cost;        /* of a page that starts with it */
    double best;        /* cheapest way to set this group and all behind it */
    guint next;         /* the group that starts the page after */
} Group;

/* A page should end where a task ends; inside a list is worst. */
#define COST_PAGE 10.0
#define COST_TASK 0.0
#define COST_TITLE 1.0
#define COST_INSIDE 2.5
#define COST_URGENT 6.0
#define COST_AIR 3.0 /* of an empty page; a half empty one costs a quarter */

static double cost_of_start(const Piece *piece)
{
    gboolean heading = piece->tag && (strcmp(piece->tag, "H1") == 0 || strcmp(piece->tag, "H2") == 0);
    return heading ? COST_TASK : piece->tag ? COST_TITLE : COST_INSIDE;
}

/* The longest part of a group that a page holds and that ends where pieces may be parted;
 * the group as it is when there is none. */
static void let_go(const Setter *setter, Group *group)
{
    double height = 0, limit = room(&setter->spec);
    guint until = group->until;
    for (guint i = group->from; i < until; i++) {
        const Piece *piece = g_ptr_array_index(setter->pieces, i);
        height += piece->height + (i > group->from ? piece->gap : 0);
        if (height > limit)
            return;
        if (!piece->yields)
            continue;
        group->until = i;
        group->height = height;
    }
}

static GArray *groups_of(const Setter *setter, Diagnostics *diagnostics)
{
    GArray *groups = g_array_new(FALSE, TRUE, sizeof(Group));
    for (guint i = 0; i < setter->pieces->len;) {
        const Piece *first = g_ptr_array_index(setter->pieces, i);
        Group group = {.from = i, .gap = first->gap, .cost = cost_of_start(first)};
        group.height = group_height(setter->pieces, i, &group.until);
        if (group.height > room(&setter->spec))
            let_go(setter, &group);
        if (group.height > room(&setter->spec))
            too_tall(setter, diagnostics, group.height, first);
        for (guint j = group.from; j <= group.until; j++)
            group.urgent |= ((const Piece *)g_ptr_array_index(setter->pieces, j))->urgent;
        i = group.until + 1;
        g_array_append_val(groups, group);
    }
    return groups;
}

/* The last urgent group, or 0. */
static guint urgent_group(const GArray *groups)
{
    guint urgent = 0;
    for (guint i = 0; i < groups->len; i++)
        if (g_array_index(groups, Group, i).urgent)
            urgent = i;
    return urgent;
}

static gboolean must_start_page(const Setter *setter, const Group *group)
{
    return ((const Piece *)g_ptr_array_index(setter->pieces, group->from))->new_page;
}

/* The cheapest end for a page that starts with this group, all later ones known. */
static void choose_end(const Setter *setter, GArray *groups, guint start, guint urgent)
{
    Group *group = &g_array_index(groups, Group, start);
    double limit = room(&setter->spec), height = 0;
    group->best = G_MAXDOUBLE;
    for (guint end = start; end < groups->len; end++) {
        const Group *last = &g_array_index(groups, Group, end);
        height += last->height + (end > start ? last->gap : 0);
        if (end > start && (height > limit || must_start_page(setter, last)))
            break;
        double air = MAX(0, limit - height) / limit, cost = COST_PAGE + group->cost;
        if (end < urgent)
            cost += COST_URGENT;
        if (end + 1 < groups->len)
            cost += COST_AIR * air * air + g_array_index(groups, Group, end + 1).best;
        if (cost < group->best) {
            group->best = cost;
            group->next = end + 1;
        }
    }
}

static void place_group(Pages *pages, const Group *group, double *y)
{
    for (guint i = group->from; i <= group->until; i++) {
        const Piece *piece = g_ptr_array_index(pages->setter.pieces, i);
        *y += *y > 0 ? piece->gap : 0;
        Placed placed = {piece, *y};
        g_array_append_val(pages->placed, placed);
        *y += piece->height;
    }
}

static void distribute(Pages *pages, Diagnostics *diagnostics)
{
    g_autoptr(GArray) groups = groups_of(&pages->setter, diagnostics);
    const guint urgent = urgent_group(groups);
    for (guint i = groups->len; i-- > 0;)
        choose_end(&pages->setter, groups, i, urgent);
    for (guint start = 0; start < groups->len; start = g_array_index(groups, Group, start).next) {
        double y = 0;
        g_array_append_val(pages->starts, pages->placed->len);
        for (guint i = start; i < g_array_index(groups, Group, start).next; i++)
            place_group(pages, &g_array_index(groups, Group, i), &y);
    }
}

Pages *page_lay_out(Arena *arena, Ink *ink, const Document *document, PageSpec spec, Diagnostics *diagnostics)
{
    Pages *pages = arena_new0(arena, Pages);
    pages->setter = (Setter){.arena = arena, .ink = ink, .document = document, .spec = spec,
                             .width = spec.width - 2 * spec.margin, .pieces = arena_list(arena)};
    pages->placed = g_array_new(FALSE, FALSE, sizeof(Placed));
    pages->starts = g_array_new(FALSE, FALSE, sizeof(guint));
    arena_defer(arena, (GDestroyNotify)g_array_unref, pages->placed);
    arena_defer(arena, (GDestroyNotify)g_array_unref, pages->starts);
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
    ink_close_links(setter->ink);
    InkStyle small = {.size = 10, .grey = 0.25, .leading = 1.2};
    const InkRun foot = {setter->document->foot, FALSE, NULL};
    ink_text_draw(ink, small, &foot, 1, setter->spec.margin, y + 8, setter->width - PAGE_NUMBER);
    const InkRun number = {page_words(setter, page, pages), FALSE, NULL};
    small.align = INK_RIGHT;
    ink_text_draw(ink, small, &number, 1, setter->spec.margin + setter->width - PAGE_NUMBER, y + 8, PAGE_NUMBER);
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
    ink_shape_label(setter->ink, style, setter->document->draft, 0, 0);
    cairo_restore(cairo);
    const InkRun again = {setter->document->draft, TRUE, NULL}; /* and where nothing covers it */
    style = (InkStyle){.size = 12, .bold = TRUE, .align = INK_RIGHT};
    ink_text_draw(setter->ink, style, &again, 1, setter->spec.margin, HEAD_TOP - 6, setter->width);
}

/* ---- drawing ---- */

/* A list that goes on ends with the page and starts anew on the next, so that the
 * foot stands in none. */
static const char *draw_pieces(const Pages *pages, guint from, guint until, const char *open)
{
    const Setter *setter = &pages->setter;
    if (open)
        ink_tag(setter->ink, open);
    for (guint i = from; i < until; i++) {
        const Placed *placed = &g_array_index(pages->placed, Placed, i);
        if (placed->piece->opens)
            ink_tag(setter->ink, open = placed->piece->opens);
        Setter column = *setter;
        column.width -= placed->piece->aside;
        placed->piece->draw(&column, placed->piece, setter->spec.margin, setter->spec.top + placed->y);
        if (!placed->piece->closes)
            continue;
        ink_untag(setter->ink, placed->piece->closes);
        open = NULL;
    }
    if (open)
        ink_untag(setter->ink, open);
    return open;
}

static const char *draw_page(const Pages *pages, guint page, const char *open)
{
    const Setter *setter = &pages->setter;
    ink_mirror(setter->ink, setter->document->right_to_left ? setter->spec.width : 0);
    guint from = g_array_index(pages->starts, guint, page);
    guint until = page + 1 < pages->starts->len ? g_array_index(pages->starts, guint, page + 1) : pages->placed->len;
    draw_draft(setter);
    draw_head(setter);
    open = draw_pieces(pages, from, until, open);
    draw_foot(setter, (int)page + 1, page_count(pages));
    return open;
}

/* The document is one for all parts, and closes before its last page ends. */
static void close_part(Ink *ink, PagePart part)
{
    if (part != PAGE_WHOLE)
        ink_untag(ink, "Sect");
    if (part != PAGE_FIRST)
        ink_untag(ink, "Document");
}

void page_draw(const Pages *pages, Ink *ink, PagePart part)
{
    if (part != PAGE_SECOND)
        ink_tag(ink, "Document");
    if (part != PAGE_WHOLE)
        ink_tag(ink, "Sect");
    const char *open = NULL;
    for (guint page = 0; page < pages->starts->len; page++) {
        open = draw_page(pages, page, open);
        if (page + 1 == pages->starts->len)
            close_part(ink, part);
        ink_next_page(ink);
    }
}
