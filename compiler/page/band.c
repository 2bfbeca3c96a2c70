/* page_band: a band of work under its clock time, as pieces. */
#include <string.h>

#include "page/parts.h"

#define HEADING_AIR 6.0  /* between a heading and the words at its far end */
#define CLOCK_AIR 4.0    /* between clock and title */
#define SAMPLE 11.0      /* of the thick line, in the legend */
#define SAMPLE_AIR 3.0
#define PAD (MIN(5.0, setter->level->pad))
#define FACT 7.0         /* column of the facts' numbers */
#define COST_NARROW 0.5  /* mm: of a narrower column of facts */

/* ---- headings ---- */

/* Clock and title as one line. */
static Line *heading_line(const Setter *setter, const Block *block)
{
    Line *line = arena_new0(setter->arena, Line);
    line->runs = arena_list(setter->arena);
    for (guint i = 0; block->clock && i < block->clock->runs->len; i++)
        g_ptr_array_add(line->runs, g_ptr_array_index(block->clock->runs, i));
    if (block->clock && block->title) {
        Run *space = arena_new0(setter->arena, Run);
        space->text = "\u2003"; /* as wide as the type is high */
        g_ptr_array_add(line->runs, space);
    }
    for (guint i = 0; block->title && i < block->title->runs->len; i++)
        g_ptr_array_add(line->runs, g_ptr_array_index(block->title->runs, i));
    return line;
}

/* Words at the far end of a heading, behind a sample of the thick line that they explain. */
static double put_far(Setter *setter, const Line *line, double x, double y, double width)
{
    double natural = width_of(setter, TYPE_CLOSE, line) + 0.5, free = width - SAMPLE - SAMPLE_AIR;
    double words = natural <= free ? natural : MIN(free, MAX(natural * 0.56, free * 0.6));
    InkStyle style = style_of(setter, TYPE_CLOSE);
    double left = x + width - words, middle = y + style.size * INK_POINT * style.leading / 2 + 0.2;
    add_rule(setter, RULE_BARE, left - SAMPLE - SAMPLE_AIR + RULE_BARE / 2, middle, left - SAMPLE_AIR, middle);
    return add_line(setter, "P", style, line, left, y, words);
}

/* Words at the far end of a heading, or under it where both need more than a line. */
double put_heading(Setter *setter, const Block *block, double x, double y, double width)
{
    const Line *line = heading_line(setter, block);
    double natural = 0, height = 0;
    if (line->runs->len > 0) {
        natural = MIN(width, width_of(setter, TYPE_BAND, line) + 1) + HEADING_AIR;
        height = put_line(setter, setter->headed ? "H3" : "H2", TYPE_BAND, line, x, y, width);
        last_box(setter)->bookmark = 2;
    }
    if (!block->aside)
        return height;
    const double drop = setter->level->pleasing > 0 ? 1 : 0; /* so that both stand on one line */
    double free = width - natural, aside = width_of(setter, TYPE_CLOSE, block->aside) + SAMPLE + SAMPLE_AIR;
    const Scratch before = scratch_open(setter);
    double under = height + put_far(setter, block->aside, 0, 0, width);
    gboolean lower = free > width / 3 && larger(height, put_far(setter, block->aside, 0, 0, free) + drop) <= under;
    scratch_close(setter, before);
    if (aside <= free || (lower && aside <= 1.9 * free))
        return larger(height, put_far(setter, block->aside, x + natural, y + drop, free) + drop);
    return height + put_far(setter, block->aside, x, y + height, width);
}

/* ---- what stands between rows ---- */

static double put_facts(Setter *setter, const Block *stop, double x, double y, double width)
{
    double at = y;
    box_open(&setter->pile, "L");
    for (guint i = 0; i < stop->lines->len; i++) {
        g_autofree char *text = g_strdup_printf("%u", i + 1);
        const InkRun number = {arena_copy(setter->arena, text), TRUE, NULL};
        box_open(&setter->pile, "LI");
        add_runs(setter, "Lbl", style_of(setter, TYPE_CLOSE), &number, 1, x, at, FACT);
        at += put_line(setter, "LBody", TYPE_CLOSE, line_at(stop, i), x + FACT, at, width - FACT) + 0.5;
        box_close(&setter->pile);
    }
    box_close(&setter->pile);
    return at - y;
}

static double put_go(Setter *setter, const Block *go, double x, double y, double width)
{
    double at = y;
    if (go->title) {
        InkStyle strong = style_of(setter, TYPE_CLOSE);
        strong.bold = TRUE;
        at += add_line(setter, "P", strong, go->title, x, at + 0.6, width) + 2;
    }
    for (guint i = 0; i < go->items->len; i++)
        at += put_tick(setter, item_at(go, i), x, at, width) + 1.5;
    for (guint i = 0; i < go->lines->len; i++)
        at += put_line(setter, "P", i == 0 ? TYPE_BAND : TYPE_CLOSE, line_at(go, i), x, at, width);
    return at - y;
}

/* thirds: of the width, of the facts; when to go on stands beside them. */
static double put_stop_at(Setter *setter, const Block *stop, double thirds, double x, double y, double width)
{
    PageBox *ground = add_tint(setter, x, y, width, 0);
    PageBox *frame = add_frame(setter, INK_OUTLINE, x, y, width, 0, RADIUS);
    const Block *go = stop->items->len > 0 ? item_at(stop, 0) : NULL;
    gboolean stacks = setter->large || !go;
    double rule = (width + GUTTER) * thirds / COLUMNS - GUTTER, left = stacks ? width - 2 * PAD : rule - PAD - 4;
    double at = y + PAD - 1, right = stacks ? x + PAD : x + rule + 4;
    at += put_line(setter, setter->headed ? "H4" : "H3", TYPE_BAND, stop->title, x + PAD, at, left) + 0.8;
    at += put_facts(setter, stop, x + PAD, at, left);
    double top = stacks ? at + 2 : y + PAD - 1, end = at;
    if (go)
        end = top + put_go(setter, go, right, top, x + width - PAD - right);
    double height = MAX(at, end) + PAD - 1 - y;
    if (!stacks)
        add_rule(setter, INK_FINE_LINE, x + rule, y + PAD, x + rule, y + height - PAD);
    ground->height = frame->height = height;
    ground->radius = RADIUS;
    return height;
}

/* Two thirds and one; on a full page the facts have less where the box is lower so. */
double put_stop(Setter *setter, const Block *stop, double x, double y, double width)
{
    static const double shares[] = {2, 1.85, 1.7, 1.55};
    double best = shares[0], least = G_MAXDOUBLE;
    for (gsize i = 0; !setter->large && setter->level->pleasing <= 0 && i < G_N_ELEMENTS(shares); i++) {
        const Scratch before = scratch_open(setter);
        double cost = put_stop_at(setter, stop, shares[i], 0, 0, width) + (double)i * COST_NARROW;
        cost = scratch_close(setter, before) > 0 ? G_MAXDOUBLE : cost;
        best = cost < least ? shares[i] : best;
        least = MIN(least, cost);
    }
    return put_stop_at(setter, stop, best, x, y, width);
}

/* ---- the pieces of a band ---- */

/* What tells a person which block is meant. */
static const char *first_words(const Setter *setter, const Block *block, const char *otherwise)
{
    const Line *line = block->title ? block->title : block->lines->len > 0 ? line_at(block, 0) : NULL;
    return line ? line_text(setter->arena, line) : otherwise;
}

typedef struct Work {
    Setter *setter;
    GPtrArray *cells; /* of Block*: panels that stand in rows and are not placed yet */
    gboolean bare;
} Work;

static void place_rows(Work *work)
{
    if (work->cells->len > 0)
        work->bare = pieces_of_rows(work->setter, work->cells, work->bare);
    g_ptr_array_set_size(work->cells, 0);
}

static void place_piece(Work *work, const Block *block)
{
    Setter *setter = work->setter;
    place_rows(work);
    Piece *piece = piece_open(setter, block->kind == BLOCK_STOP ? setter->level->band_gap * 0.6
                                                                : setter->level->row_gap);
    piece->begins = first_words(setter, block, "");
    piece->bare = work->bare;
    piece_close(setter, piece, put_block(setter, block, 0, 0, BLOCK_WIDTH));
}

static void place_loop(Work *work, const Block *loop)
{
    g_assert(work->cells->len > 0); /* the template's check sees to it that a panel opened it */
    work->bare = piece_of_loop(work->setter, work->cells, loop, work->bare);
    g_ptr_array_set_size(work->cells, 0);
}

/* The tick that ends a band stands in its last panel. */
static gboolean joins_panel(Work *work, const Block *tick)
{
    guint last = work->cells->len;
    const Block *panel = last > 0 ? g_ptr_array_index(work->cells, last - 1) : NULL;
    if (tick->kind != BLOCK_TICK || !panel || panel->kind != BLOCK_PANEL)
        return FALSE;
    Block *joined = arena_new0(work->setter->arena, Block);
    *joined = *panel;
    joined->items = arena_list(work->setter->arena);
    for (guint i = 0; i < panel->items->len; i++)
        g_ptr_array_add(joined->items, g_ptr_array_index(panel->items, i));
    g_ptr_array_add(joined->items, (gpointer)tick);
    g_ptr_array_index(work->cells, last - 1) = joined;
    return TRUE;
}

static void place_item(Work *work, const Block *item)
{
    if (joins_panel(work, item))
        return;
    if (item->kind == BLOCK_LOOP) {
        place_loop(work, item);
    } else if (item->kind == BLOCK_PANEL || item->kind == BLOCK_TICK) {
        if (item->opens_loop)
            place_rows(work);
        g_ptr_array_add(work->cells, (gpointer)item);
    } else {
        place_piece(work, item);
    }
}

static void place_heading(Setter *setter, const Block *band)
{
    Piece *piece = piece_open(setter, setter->level->band_gap);
    piece->begins = line_text(setter->arena, heading_line(setter, band));
    piece->keep = piece->band = TRUE;
    piece_close(setter, piece, put_heading(setter, band, 0, 0, BLOCK_WIDTH));
}

static gboolean uses_needle(const Block *band)
{
    for (guint i = 0; i < band->items->len; i++)
        if (item_at(band, i)->kind == BLOCK_PANEL && item_at(band, i)->needle != NEEDLE_COVERED)
            return TRUE;
    return FALSE;
}

/* From the start of a band in which a needle is bare until it is covered, nobody touches a page. */
static void mark_work(Setter *setter, const Block *band, guint from)
{
    const gboolean works = uses_needle(band), injects = strcmp(band->role, "give") == 0;
    gboolean washed = FALSE;
    for (guint i = setter->pieces->len; i-- > from;) {
        Piece *piece = g_ptr_array_index(setter->pieces, i);
        piece->washed = washed |= piece->bare;
        piece->works = works;
        piece->injects = injects;
    }
}

static void place_band(Setter *setter, const Block *band)
{
    g_autoptr(GPtrArray) cells = g_ptr_array_new();
    Work work = {setter, cells, FALSE};
    guint from = setter->pieces->len;
    if (band->title || band->clock || band->aside)
        place_heading(setter, band);
    for (guint i = 0; i < band->items->len; i++)
        place_item(&work, item_at(band, i));
    place_rows(&work);
    mark_work(setter, band, from);
}

/* In large print what stands side by side stands below each other, and may be parted. */
static gboolean is_parted(const Setter *setter, const Block *block)
{
    return setter->large && !block->title && strcmp(block->role, "left") != 0 && strcmp(block->role, "ladders") != 0 &&
           (block->kind == BLOCK_PAIR || (block->kind == BLOCK_COLUMNS && !block->boxed));
}

#define TABLE_SPARE 30.0 /* mm of a page for what stands above and below a table */

/* Taller than a page of which so much is spared. */
static gboolean is_taller(Setter *setter, const Block *block, double spare)
{
    const Scratch before = scratch_open(setter);
    double height = put_block(setter, block, 0, 0, BLOCK_WIDTH);
    scratch_close(setter, before);
    return height > page_capacity(setter) - spare;
}

/* The words below a kit that fills a page go on upon the next. */
static gboolean part_kit(Setter *setter, const Block *kit)
{
    if (kit->kind != BLOCK_KIT || kit->lines->len == 0 || !is_taller(setter, kit, 0))
        return FALSE;
    Block *things = arena_new0(setter->arena, Block), *words = arena_new0(setter->arena, Block);
    *things = *words = *kit;
    things->lines = arena_list(setter->arena);
    words->kind = BLOCK_NOTE;
    words->items = things->lines;
    words->title = words->clock = words->aside = NULL;
    pieces_of_sheet_block(setter, things);
    pieces_of_sheet_block(setter, words);
    return TRUE;
}

static void table_rows(Setter *setter, const Block *table, guint from, guint until)
{
    pieces_of_sheet_block(setter, table_part(setter, table, from, until));
}

/* A list of days longer than a page goes on upon the next, its heads above it again. */
static gboolean part_table(Setter *setter, const Block *block)
{
    if (block->kind != BLOCK_TABLE || block->items->len < 2 || !is_taller(setter, block, TABLE_SPARE))
        return FALSE;
    const guint middle = (block->items->len + 1) / 2;
    table_rows(setter, block, 0, middle);
    table_rows(setter, block, middle, block->items->len);
    return TRUE;
}

/* Few words need less air than a box or a band. */
static gboolean is_small(const Block *block)
{
    return block->kind == BLOCK_NOTE || block->kind == BLOCK_TEXT || block->kind == BLOCK_WRITES ||
           block->kind == BLOCK_TICK || block->kind == BLOCK_REMARKS;
}

/* Some of a block's items, in a block of its own. */
static Block *with_items(const Setter *setter, const Block *block, BlockKind kind, gboolean lists)
{
    Block *part = arena_new0(setter->arena, Block);
    *part = *block;
    part->kind = kind;
    part->items = arena_list(setter->arena);
    for (guint i = 0; i < block->items->len; i++) {
        Block *item = g_ptr_array_index(block->items, i);
        if ((item->kind == BLOCK_LIST) == lists)
            g_ptr_array_add(part->items, item);
    }
    return part;
}

/* In large print the numbers to call stay on page one, the signs of an emergency may go on to the next. */
static void pieces_of_call(Setter *setter, const Block *call)
{
    const Block *numbers = with_items(setter, call, BLOCK_CALL, FALSE);
    Block *signs = with_items(setter, call, BLOCK_COLUMNS, TRUE);
    signs->title = NULL;
    signs->lines = arena_list(setter->arena);
    signs->boxed = TRUE;
    for (int i = 0; i < (signs->items->len > 0 ? 2 : 1); i++) {
        const Block *part = i == 0 ? numbers : signs;
        Piece *piece = piece_open(setter, setter->level->band_gap);
        piece->begins = i == 0 ? line_text(setter->arena, call->title) : call->role;
        piece->band = TRUE;
        piece->first_page = i == 0;
        piece_close(setter, piece, put_block(setter, part, 0, 0, BLOCK_WIDTH));
    }
}

void pieces_of_sheet_block(Setter *setter, const Block *block)
{
    if (block->kind == BLOCK_BAND) {
        place_band(setter, block);
        return;
    }
    if (block->kind == BLOCK_NIGHT) {
        pieces_of_night(setter, block);
        return;
    }
    if (is_parted(setter, block)) {
        for (guint i = 0; i < block->items->len; i++)
            pieces_of_sheet_block(setter, item_at(block, i));
        return;
    }
    if (part_table(setter, block) || part_kit(setter, block))
        return;
    if (setter->large && block->kind == BLOCK_CALL && block->items->len > 0) {
        pieces_of_call(setter, block);
        return;
    }
    Piece *piece = piece_open(setter, is_small(block) ? setter->level->row_gap * 1.5 : setter->level->band_gap);
    piece->begins = first_words(setter, block, block->role);
    piece->band = !is_small(block);
    piece->first_page = block->kind == BLOCK_CALL;
    piece_close(setter, piece, put_block(setter, block, 0, 0, BLOCK_WIDTH));
}
