/* page_kit: what must lie on the table, and tables of days. */
#include <string.h>

#include "page/parts.h"

#define WORDS_AIR 1.6
#define TICK_WORDS_AIR 3.2
#define ROW_AIR (setter->level->row_gap < 1.5 ? 1.0 : 2.0)
#define ITEM_GAP (setter->level->row_gap < 0.7 ? 2.0 : 3.0) /* on the fullest page less */
#define MOST_SPARE 14.0  /* that an item gets of what its row leaves */
static const double widest_items[] = {58, 50, 44, 38}; /* longer words break */

/* ---- things ---- */

static gboolean is_life_size(const Block *item)
{
    return item->kind == BLOCK_ITEM && (item->thing.kind == FIGURE_PACK || item->thing.kind == FIGURE_CARD);
}

static FigureRoom room_of(const Setter *setter, const Block *item, double width)
{
    double thing = setter->level->thing * (setter->large ? 1.3 : 1);
    return (FigureRoom){is_life_size(item) ? width : MIN(width, thing), style_of(setter, TYPE_CLOSE).size};
}

static double thing_width(const Setter *setter, const Block *item, double width)
{
    if (item->kind == BLOCK_TICK || (!is_life_size(item) && setter->level->thing <= 0))
        return 0;
    return size_of(setter, &item->thing, room_of(setter, item, width)).width;
}

static double put_item_words(Setter *setter, const Block *item, double x, double y, double width)
{
    double at = y;
    for (guint i = 0; i < item->lines->len; i++)
        at += put_line(setter, "P", TYPE_CLOSE, line_at(item, i), x, at, width);
    return at - y;
}

/* Unbroken: the same at every level. */
static double words_width(const Setter *setter, const Block *item)
{
    Measure *measure = measure_of_words(setter, item);
    for (guint i = 0; !measure->known && i < item->lines->len; i++)
        measure->words = larger(measure->words, width_of(setter, TYPE_CLOSE, line_at(item, i)));
    measure->known = TRUE;
    return measure->words;
}

/* What an item takes when no line of its words is broken, at most so much. */
static double natural_width(const Setter *setter, const Block *item, double most)
{
    double words = words_width(setter, item), drawing = thing_width(setter, item, most);
    double left = item->kind == BLOCK_TICK ? tick_side(setter) + TICK_WORDS_AIR : drawing > 0 ? drawing + WORDS_AIR : 0;
    return MIN(most, left + words + 0.5);
}

/* The tick that closes the list, behind its last thing. */
static double put_item_tick(Setter *setter, const Block *tick, double x, double y, double width, double tall)
{
    const Scratch before = scratch_open(setter);
    double height = put_tick(setter, tick, 0, 0, width);
    scratch_close(setter, before);
    return put_tick(setter, tick, x, y + MAX(0, (tall - height) / 2), width);
}

/* A thing, its words beside it; in the middle of the row's height when that is known. */
static double put_whole_item(Setter *setter, const Block *item, double x, double y, double width, double tall)
{
    if (item->kind == BLOCK_TICK)
        return put_item_tick(setter, item, x, y, width, tall);
    double drawing = thing_width(setter, item, width), height = 0;
    double left = drawing > 0 ? drawing + WORDS_AIR : 0;
    if (drawing > 0) {
        FigureRoom offered = room_of(setter, item, width);
        height = size_of(setter, &item->thing, offered).height;
        PageBox *box = add_shape(setter, &item->thing, offered, x, y + MAX(0, (tall - height) / 2));
        box->alt = item->lines->len > 0 ? line_text(setter->arena, line_at(item, 0)) : "";
    }
    const Scratch before = scratch_open(setter);
    double words = put_item_words(setter, item, 0, 0, width - left);
    scratch_close(setter, before);
    put_item_words(setter, item, x + left, y + MAX(0, (MAX(tall, height) - words) / 2), width - left);
    return MAX(height, words);
}

/* The height does not hang on how tall the row is. */
static double put_item(Setter *setter, const Block *item, double x, double y, double width, double tall)
{
    Measure *measure = setter->scratches > 0 ? measure_of_block(setter, item, width) : NULL;
    if (measure && measure->known) {
        setter->crowds += measure->crowds;
        return measure->height;
    }
    guint before = setter->crowds;
    double height = put_whole_item(setter, item, x, y, width, tall);
    if (measure) {
        measure->known = TRUE;
        measure->height = height;
        measure->crowds = setter->crowds - before;
    }
    return height;
}

/* A pack and the tick have all the room, small things so much. */
static double most_width(const Setter *setter, const Block *item, double widest, double width)
{
    return is_life_size(item) || item->kind == BLOCK_TICK ? width : MIN(width, widest * (setter->large ? 1.46 : 1));
}

/* Things stand beside each other as far as their words need not break; packs in their true size
 * among themselves. */
static guint row_end(const Setter *setter, const Block *kit, guint first, guint until, double widest, double width,
                     double *used)
{
    guint end = first;
    for (*used = 0; end < until; end++) {
        double most = most_width(setter, item_at(kit, end), widest, width);
        double more = natural_width(setter, item_at(kit, end), most) + (end > first ? ITEM_GAP : 0);
        gboolean other = is_life_size(item_at(kit, end)) != is_life_size(item_at(kit, first));
        if (end > first && (*used + more > width || other || item_at(kit, end)->title))
            break;
        *used += more;
    }
    return end;
}

static double put_row(Setter *setter, const Block *kit, guint from, guint end, double widest, double spare,
                      double tall, double x, double y, double width)
{
    double height = 0, left = x;
    for (guint i = from; i < end; i++) {
        double most = most_width(setter, item_at(kit, i), widest, width);
        double own = natural_width(setter, item_at(kit, i), most) + spare;
        height = larger(height, put_item(setter, item_at(kit, i), left, y, own, tall));
        left += own + ITEM_GAP;
    }
    return height;
}

/* ---- small things in rows of so many, their words broken to fit ---- */

#define MOST_ACROSS 5
#define PACK_AIR 0.6
#define COST_CROWDED 1000.0
#define COST_BROKEN 1.0 /* mm, of cells that are all as wide as the row allows: words that are not broken read better */

/* A pack in its true size takes all of a cell: its words stand under it. */
static double put_pack(Setter *setter, const Block *item, double x, double y, double width)
{
    FigureRoom offered = room_of(setter, item, width);
    FigureSize size = size_of(setter, &item->thing, offered);
    PageBox *box = add_shape(setter, &item->thing, offered, x, y);
    box->alt = item->lines->len > 0 ? line_text(setter->arena, line_at(item, 0)) : "";
    set_crowded(setter, box, size.width > width); /* another way to set it is found */
    return size.height + PACK_AIR + put_item_words(setter, item, x, y + size.height + PACK_AIR, width);
}

static double put_cells(Setter *setter, const Block *kit, guint from, guint end, guint across, double tall, double x,
                        double y, double width)
{
    double own = (width + ITEM_GAP) / across - ITEM_GAP, height = 0;
    for (guint i = from; i < end; i++) {
        const Block *item = item_at(kit, i);
        double left = x + (i - from) * (own + ITEM_GAP);
        height = larger(height, is_life_size(item) ? put_pack(setter, item, left, y, own)
                                                   : put_item(setter, item, left, y, own, tall));
    }
    return height;
}

static double put_grid(Setter *setter, const Block *kit, guint from, guint until, guint across, double x, double y,
                       double width)
{
    double at = y;
    for (guint i = from; i < until; i += across) {
        guint end = MIN(i + across, until);
        if (setter->scratches > 0) { /* no box stays, and none is taller for its row */
            at += put_cells(setter, kit, i, end, across, 0, x, at, width) + ROW_AIR;
            continue;
        }
        const Scratch before = scratch_open(setter);
        double tall = put_cells(setter, kit, i, end, across, 0, 0, 0, width);
        scratch_close(setter, before);
        at += put_cells(setter, kit, i, end, across, tall, x, at, width) + ROW_AIR;
    }
    return at - y;
}

/* How far small things, or packs, follow one another without a title of their own. */
static guint alike_end(const Block *kit, guint first, guint until)
{
    guint end = first + 1;
    while (end < until && is_life_size(item_at(kit, end)) == is_life_size(item_at(kit, first)) &&
           !item_at(kit, end)->title)
        end++;
    return end;
}

/* So many in a row that the least height is taken and no word is parted; 0: better as wide as each wants to be. */
static guint choose_across(Setter *setter, const Block *kit, guint from, guint until, double flowing, double width)
{
    guint best = 0;
    double least = flowing;
    for (guint across = 1; across <= MOST_ACROSS; across++) {
        const Scratch before = scratch_open(setter);
        double cost = put_grid(setter, kit, from, until, across, 0, 0, width) + COST_BROKEN;
        cost += COST_CROWDED * scratch_close(setter, before);
        best = cost < least ? across : best;
        least = MIN(least, cost);
    }
    return best;
}

/* A row of things, whose words break only where they need to; end: the first of the next one. */
static double put_flowing_row(Setter *setter, const Block *kit, guint from, guint until, double widest, double x,
                              double y, double width, guint *end)
{
    double used, whole, most = widest;
    *end = row_end(setter, kit, from, until, widest, width, &used);
    if (row_end(setter, kit, from, *end, width, width, &whole) == *end) {
        used = whole;
        most = width;
    }
    double spare = MIN(MOST_SPARE, MAX(0, width - used) / (*end - from)), tall = 0;
    if (setter->scratches == 0) {
        const Scratch before = scratch_open(setter);
        tall = put_row(setter, kit, from, *end, most, spare, 0, 0, 0, width);
        scratch_close(setter, before);
    }
    return put_row(setter, kit, from, *end, most, spare, tall, x, y, width) + ROW_AIR;
}

static double put_flowing(Setter *setter, const Block *kit, guint from, guint until, double widest, double x, double y,
                          double width)
{
    double at = y;
    for (guint i = from, end; i < until; i = end)
        at += put_flowing_row(setter, kit, i, until, widest, x, at, width, &end);
    return at - y;
}

/* How wide the widest small thing may be so that the least height is taken and no word is parted; height: what it
 * takes then. */
static double choose_widest(Setter *setter, const Block *kit, guint from, guint until, double width, double *height)
{
    double best = widest_items[0], least = G_MAXDOUBLE;
    for (gsize i = 0; i < G_N_ELEMENTS(widest_items); i++) {
        const Scratch before = scratch_open(setter);
        *height = put_flowing(setter, kit, from, until, widest_items[i], 0, 0, width) + (i > 0 ? COST_BROKEN : 0);
        *height += COST_CROWDED * scratch_close(setter, before);
        best = *height < least ? widest_items[i] : best;
        least = MIN(least, *height);
    }
    *height = least;
    return best;
}

static double put_things(Setter *setter, const Block *kit, guint until, double x, double y, double width)
{
    double at = y;
    for (guint i = 0, end; i < until; i = end) {
        const Block *first = item_at(kit, i);
        if (first->title)
            at += put_line(setter, "P", TYPE_CLOSE, first->title, x, at, width);
        end = alike_end(kit, i, until);
        double flowing, widest = choose_widest(setter, kit, i, end, width, &flowing);
        guint across = choose_across(setter, kit, i, end, flowing, width);
        at += across > 0 ? put_grid(setter, kit, i, end, across, x, at, width)
                         : put_flowing(setter, kit, i, end, widest, x, at, width);
    }
    return at - y;
}

double put_sentences(Setter *setter, const Block *block, double x, double y, double width)
{
    if (setter->level->pleasing > 0 || setter->large || block->lines->len < 2)
        return put_lines(setter, block, 0, TYPE_CLOSE, x, y, width);
    Line joined = {arena_list(setter->arena)};
    Run *space = arena_new0(setter->arena, Run);
    space->text = " ";
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *line = line_at(block, i);
        for (guint j = 0; j < line->runs->len; j++)
            g_ptr_array_add(joined.runs, g_ptr_array_index(line->runs, j));
        if (i + 1 < block->lines->len)
            g_ptr_array_add(joined.runs, space);
    }
    return put_line(setter, "P", TYPE_CLOSE, &joined, x, y, width);
}

double put_kit(Setter *setter, const Block *kit, double x, double y, double width)
{
    double at = y + put_heading(setter, kit, x, y, width) + ROW_AIR;
    at += put_things(setter, kit, kit->items->len, x, at, width);
    return at - y + put_sentences(setter, kit, x, at, MIN(width, setter->level->measure));
}

/* ---- tables ---- */

#define BALLOT "\u2610"
#define CELL_AIR 4.0
#define TICK_AIR 2.5 /* of a column of ticks */
#define MOST_CELLS 8
/* Box in a row. */
#define TABLE_WRITE (setter->level->row_gap < 1.5 ? 6.3 : setter->level->row_gap < 2 ? 7.4 : GIVEN_SIDE)
#define LINE_AIR 0.4 /* between a box and the lines of its row */
#define TABLE_TICK 5.5
/* Row without boxes to write in. */
#define TABLE_TICK_ROW (setter->level->row_gap < 1.5 ? 6.0 : setter->level->row_gap < 2 ? 7.0 : 9.0)
#define LEAST_ABREAST 6 /* rows */

typedef enum CellKind { CELL_WORDS, CELL_WRITE, CELL_TICK } CellKind;

static CellKind cell_kind(const Setter *setter, const Line *line)
{
    const char *text = line_text(setter->arena, line);
    return *text == '\0' ? CELL_WRITE : strcmp(text, BALLOT) == 0 ? CELL_TICK : CELL_WORDS;
}

#define LEAST_CELL 24.0 /* mm, of a column whose words are to break */

/* Boxes to write in share what is left; of words alone the first column has the rest.  What lacks is taken from the
 * widest, whose words break, or else from the boxes, or from all. */
static void share_spare(double *widths, const gboolean *write, guint count, guint writes, double spare)
{
    guint widest = 0;
    double used = 0;
    for (guint j = 0; j < count; j++) {
        widest = widths[j] > widths[widest] ? j : widest;
        used += widths[j];
    }
    if (count > 0 && (spare >= 0 ? writes == 0 : widths[widest] + spare >= LEAST_CELL)) {
        widths[spare >= 0 ? 0 : widest] += spare;
        return;
    }
    for (guint j = 0; j < count; j++)
        if (writes == 0 || write[j])
            widths[j] += writes > 0 ? spare / writes : spare * widths[j] / used;
}

/* The time and who gave it take a hand's writing alike, so their boxes are as wide as each other; heads break. */
static void even_boxes(const Setter *setter, const Block *table, double *widths, const gboolean *write, guint count)
{
    double all = 0, boxes = 0;
    for (guint j = 0; j < count; j++) {
        all += write[j] ? widths[j] : 0;
        boxes += write[j];
    }
    for (guint j = 0; j < MIN(count, table->lines->len); j++)
        if (write[j] && !line_breaks(setter, style_of(setter, TYPE_CLOSE), line_at(table, j), all / boxes - 1))
            return;
    for (guint j = 0; j < count; j++)
        widths[j] = write[j] ? all / boxes : widths[j];
}

/* Words take what they need, boxes to write in share the rest. */
static guint share_columns(const Setter *setter, const Block *table, double width, double widths[MOST_CELLS])
{
    guint count = table->lines->len, writes = 0;
    double used = 0;
    gboolean write[MOST_CELLS] = {FALSE};
    for (guint i = 0; i < table->items->len; i++)
        count = MAX(count, item_at(table, i)->lines->len);
    count = MIN(count, MOST_CELLS);
    for (guint j = 0; j < count; j++) {
        gboolean ticks = table->items->len > 0 && j < item_at(table, 0)->lines->len &&
                         cell_kind(setter, line_at(item_at(table, 0), j)) == CELL_TICK;
        double air = ticks ? TICK_AIR : CELL_AIR;
        widths[j] = j < table->lines->len ? width_of(setter, TYPE_CLOSE, line_at(table, j)) + air : 0;
        for (guint i = 0; i < table->items->len; i++) {
            const Block *row = item_at(table, i);
            CellKind kind = j < row->lines->len ? cell_kind(setter, line_at(row, j)) : CELL_WORDS;
            write[j] |= kind == CELL_WRITE;
            if (kind == CELL_WORDS && j < row->lines->len)
                widths[j] = MAX(widths[j], width_of(setter, TYPE_CLOSE, line_at(row, j)) + CELL_AIR);
        }
        writes += write[j];
        used += widths[j];
    }
    share_spare(widths, write, count, writes, width - used);
    if (strcmp(table->role, "days") == 0 && writes > 0)
        even_boxes(setter, table, widths, write, count);
    return count;
}

static void put_cell(Setter *setter, const Line *line, double x, double y, double width, double tall)
{
    const double box = MAX(TABLE_WRITE, MIN(GIVEN_SIDE, tall - LINE_AIR)); /* tall words leave more room to write */
    switch (cell_kind(setter, line)) {
    case CELL_WRITE:
        add_frame(setter, INK_OUTLINE, x, y + (tall - box) / 2, width - CELL_AIR / 2, box, RADIUS / 3);
        break;
    case CELL_TICK: box_add(&setter->pile, BOX_TICK, x + 1, y + (tall - TABLE_TICK) / 2, TABLE_TICK, TABLE_TICK); break;
    case CELL_WORDS: {
        double words = height_of(setter, TYPE_CLOSE, line, width - 1);
        put_line(setter, "TD", TYPE_CLOSE, line, x, y + (tall - words) / 2, width - 1);
        break;
    }
    }
}

static gboolean has_cell(const Setter *setter, const Block *row, CellKind kind)
{
    for (guint j = 0; j < row->lines->len; j++)
        if (cell_kind(setter, line_at(row, j)) == kind)
            return TRUE;
    return FALSE;
}

/* A row to tick off needs less room than one to write in. */
static double least_row(const Setter *setter, const Block *row)
{
    gboolean ticks = has_cell(setter, row, CELL_TICK) && !has_cell(setter, row, CELL_WRITE);
    return ticks ? TABLE_TICK_ROW : TABLE_WRITE + LINE_AIR;
}

static double put_table_row(Setter *setter, const Block *row, const double *widths, guint count, double x, double y)
{
    double tall = least_row(setter, row), at = x;
    for (guint j = 0; j < MIN(count, row->lines->len); j++)
        if (cell_kind(setter, line_at(row, j)) == CELL_WORDS)
            tall = MAX(tall, height_of(setter, TYPE_CLOSE, line_at(row, j), widths[j] - 1) + 1);
    box_open(&setter->pile, "TR");
    for (guint j = 0; j < MIN(count, row->lines->len); j++) {
        put_cell(setter, line_at(row, j), at, y, widths[j], tall);
        at += widths[j];
    }
    box_close(&setter->pile);
    return tall;
}

/* Each row a small box, beside the next: the days of a course at a glance. */
static double put_strip(Setter *setter, const Block *table, double x, double y, double width)
{
    guint count = MAX(1, table->items->len), across = setter->large ? MIN(count, 4) : MIN(count, 10);
    double gap = 1.5, share = (width + gap) / across - gap, at = y, tall = 0;
    for (guint i = 0; i < table->items->len; i++) {
        const Block *row = item_at(table, i);
        double height = 2;
        for (guint j = 0; j < row->lines->len; j++)
            height += height_of(setter, TYPE_CLOSE, line_at(row, j), share - 2);
        tall = MAX(tall, height);
    }
    InkStyle style = style_of(setter, TYPE_CLOSE);
    style.align = INK_CENTRE;
    for (guint i = 0; i < table->items->len; i++) {
        const Block *row = item_at(table, i);
        double left = x + (i % across) * (share + gap), line = at + 1;
        add_frame(setter, row->boxed ? RULE_BARE * 0.8 : INK_OUTLINE, left, at, share, tall, RADIUS / 2);
        for (guint j = 0; j < row->lines->len; j++)
            line += add_line(setter, "P", style, line_at(row, j), left + 1, line, share - 2);
        if (i % across == across - 1 && i + 1 < table->items->len)
            at += tall + gap;
    }
    return at + tall - y;
}

static double put_table_head(Setter *setter, const Block *table, const double *widths, guint count, double x, double y)
{
    double tall = 0, at = x;
    for (guint j = 0; j < MIN(count, table->lines->len); j++)
        tall = MAX(tall, height_of(setter, TYPE_CLOSE, line_at(table, j), widths[j] - 1));
    box_open(&setter->pile, "TR");
    for (guint j = 0; j < MIN(count, table->lines->len); j++) {
        put_line(setter, "TH", TYPE_CLOSE, line_at(table, j), at, y, widths[j] - 1);
        at += widths[j];
    }
    box_close(&setter->pile);
    return tall;
}

Block *table_part(const Setter *setter, const Block *table, guint from, guint until)
{
    Block *part = arena_new0(setter->arena, Block);
    *part = *table;
    part->title = from == 0 ? table->title : NULL;
    part->items = arena_list(setter->arena);
    for (guint i = from; i < until; i++)
        g_ptr_array_add(part->items, g_ptr_array_index(table->items, i));
    return part;
}

/* Without its title. */
static double put_rows(Setter *setter, const Block *table, double x, double y, double width)
{
    double widths[MOST_CELLS], at = y;
    guint count = share_columns(setter, table, width, widths);
    box_open(&setter->pile, "Table");
    if (table->lines->len > 0)
        at += put_table_head(setter, table, widths, count, x, at) + 0.6;
    for (guint i = 0; i < table->items->len; i++) {
        add_rule(setter, INK_FINE_LINE, x, at, x + width, at);
        at += put_table_row(setter, item_at(table, i), widths, count, x, at + 0.2) + 0.4;
    }
    add_rule(setter, INK_FINE_LINE, x, at, x + width, at);
    box_close(&setter->pile);
    return at + 0.5 - y;
}

/* The second half of the rows beside the first, each under the heads. */
static double put_abreast(Setter *setter, const Block *table, double x, double y, double width)
{
    double half = (width - GUTTER) / 2, height = 0;
    guint middle = (table->items->len + 1) / 2;
    for (guint side = 0; side < 2; side++) {
        const Block *part = table_part(setter, table, side ? middle : 0, side ? table->items->len : middle);
        height = larger(height, put_rows(setter, part, x + side * (half + GUTTER), y, half));
    }
    return height;
}

/* On a full page, where nothing is written into its rows and it is lower so. */
static gboolean stands_abreast(Setter *setter, const Block *table, double width)
{
    if (setter->large || setter->level->row_gap >= 1.5 || table->items->len < LEAST_ABREAST)
        return FALSE;
    for (guint i = 0; i < table->items->len; i++)
        if (!has_cell(setter, item_at(table, i), CELL_TICK) || has_cell(setter, item_at(table, i), CELL_WRITE))
            return FALSE;
    Scratch before = scratch_open(setter);
    double one = put_rows(setter, table, 0, 0, width);
    one += scratch_close(setter, before) > 0 ? COST_CROWDED : 0;
    before = scratch_open(setter);
    double two = put_abreast(setter, table, 0, 0, width);
    two += scratch_close(setter, before) > 0 ? COST_CROWDED : 0;
    return two < one;
}

double put_table(Setter *setter, const Block *table, double x, double y, double width)
{
    double title = put_titled(setter, table, x, y, width), at = y + title;
    if (strcmp(table->role, "strip") == 0)
        return title + put_strip(setter, table, x, at, width);
    return title + (stands_abreast(setter, table, width) ? put_abreast(setter, table, x, at, width)
                                                         : put_rows(setter, table, x, at, width));
}
