/* page_writes: room for handwriting: boxes and ticks in a row. */
#include <string.h>

#include "page/parts.h"

#define LABEL_AIR 2.0
#define BETWEEN 5.0
#define BETWEEN_LEAST 2.5
#define TICK_WORDS 40.0 /* behind boxes with their labels above, words of a tick may break to this */
#define DROP 1.4
#define DROP_BESIDE 1.6 /* of words before their box */
#define DROP_GIVEN 3.4  /* before one of GIVEN_SIDE */
#define UNDER_AIR 0.8 /* below a box that stands under its words */

/* One thing in a row of boxes: words, with a box behind or under them or a tick before. */
typedef struct Slot {
    const Block *item;
    const Line *line;
    double words;  /* their width, with the tick */
    double least;  /* mm that it takes at least */
    double tall;   /* of its box; 0: none */
    gboolean under; /* its box stands under its words, as wide as there is room */
} Slot;

/* beside: every box stands behind its words. */
static Slot slot_of(const Setter *setter, const Block *item, const Line *line, gboolean beside)
{
    double tick = item->kind == BLOCK_TICK ? tick_side(setter) + 3 : 0;
    Slot slot = {.item = item, .line = line, .words = tick + width_of(setter, TYPE_CLOSE, line) + 0.5};
    gboolean given = strcmp(item->role, "given") == 0, sign = strcmp(item->role, "sign") == 0;
    slot.least = slot.words;
    if (item->kind != BLOCK_WRITE)
        return slot;
    slot.tall = given ? GIVEN_SIDE : sign ? SIGNED_SIDE : setter->print == PRINT_CLINIC ? WRITE_CLINIC : WRITE_SIDE;
    slot.under = (given || sign) && !beside;
    double box = given ? GIVEN_LEAST : sign ? WRITE_SIGNED : WRITE_LEAST;
    slot.least = slot.under ? larger(slot.words, box) : slot.words + LABEL_AIR + box;
    return slot;
}

/* Each label of an item has a box of its own. */
static GArray *slots_at(const Setter *setter, const Block *block, gboolean beside)
{
    GArray *slots = g_array_new(FALSE, TRUE, sizeof(Slot));
    gboolean under = FALSE;
    if (block->mark) { /* of two injections, which one these boxes belong to */
        Line *mark = line_of_words(setter, block->mark);
        ((Run *)g_ptr_array_index(mark->runs, 0))->strong = TRUE;
        Slot slot = slot_of(setter, block, mark, beside);
        g_array_append_val(slots, slot);
    }
    for (guint i = 0; i < block->items->len; i++) {
        const Block *item = item_at(block, i);
        for (guint j = 0; j < item->lines->len; j++) {
            Slot slot = slot_of(setter, item, line_at(item, j), beside);
            if (under && item->kind == BLOCK_TICK)
                slot.least = MIN(slot.least, TICK_WORDS * (setter->large ? 1.46 : 1));
            under |= slot.under;
            g_array_append_val(slots, slot);
        }
    }
    return slots;
}

static void put_box(Setter *setter, double x, double y, double width, double height)
{
    PageBox *white = box_add(&setter->pile, BOX_FILL, x, y, width, height);
    white->grey = 1; /* on a tinted ground too */
    add_frame(setter, INK_OUTLINE, x, y, width, height, RADIUS / 3);
}

static double put_slot(Setter *setter, const Slot *slot, double x, double y, double width)
{
    if (slot->item->kind == BLOCK_TICK)
        return put_tick(setter, slot->item, x, y + 1, width) + 1;
    double words = slot->under || slot->tall == 0 ? width : MIN(slot->words, width);
    double drop = slot->under || slot->tall == 0 ? DROP : slot->tall >= GIVEN_SIDE ? DROP_GIVEN : DROP_BESIDE;
    double height = drop + put_line(setter, "P", TYPE_CLOSE, slot->line, x, y + drop, words);
    if (slot->tall == 0)
        return height;
    if (slot->under) {
        put_box(setter, x, y + height, width, slot->tall);
        return height + slot->tall + UNDER_AIR;
    }
    put_box(setter, x + words + LABEL_AIR, y, width - words - LABEL_AIR, slot->tall);
    return larger(height, slot->tall);
}

/* How many slots from one on stand in a line; more: what each box gets beyond its least, between: air. */
static guint line_of_slots(const GArray *slots, guint from, double width, double *more, double *between)
{
    double used = 0;
    guint boxes = 0, until = from;
    for (; until < slots->len; until++) {
        const Slot *slot = &g_array_index(slots, Slot, until);
        double next = used + slot->least;
        if (until > from && next + (until - from) * BETWEEN_LEAST > width)
            break;
        used = next;
        boxes += slot->tall > 0;
    }
    guint gaps = until - from - 1;
    *between = gaps > 0 ? CLAMP((width - used) / gaps, BETWEEN_LEAST, BETWEEN) : 0;
    *more = boxes > 0 ? MAX(0, MIN(30, (width - used - gaps * *between) / boxes)) : 0;
    return until;
}

/* On a full page boxes stand behind their words where all then fit in one line. */
static GArray *slots_of(const Setter *setter, const Block *block, double width)
{
    double more = 0, between = 0;
    GArray *beside = slots_at(setter, block, TRUE);
    if (setter->level->pleasing <= 0 && line_of_slots(beside, 0, width, &more, &between) == beside->len)
        return beside;
    g_array_unref(beside);
    return slots_at(setter, block, FALSE);
}

/* Words before boxes stand above them where all the boxes then fit in one line. */
static gboolean leads_rest(const GArray *slots, guint first, guint until, double width)
{
    const Slot *slot = &g_array_index(slots, Slot, first);
    double more = 0, between = 0;
    return first == 0 && until < slots->len && slot->item->kind == BLOCK_TEXT &&
           line_of_slots(slots, 1, width, &more, &between) == slots->len;
}

double put_writes(Setter *setter, const Block *block, double x, double y, double width)
{
    g_autoptr(GArray) slots = slots_of(setter, block, width);
    double at = y + put_titled(setter, block, x, y, width), more = 0, between = 0;
    for (guint i = 0; i < block->lines->len; i++)
        at += put_line(setter, "P", TYPE_CLOSE, line_at(block, i), x, at, width);
    for (guint i = 0, until; i < slots->len; i = until) {
        double tall = 0, left = x;
        until = line_of_slots(slots, i, width, &more, &between);
        if (leads_rest(slots, i, until, width))
            until = i + 1;
        for (guint j = i; j < until; j++) {
            const Slot *slot = &g_array_index(slots, Slot, j);
            double own = MIN(slot->least + (slot->tall > 0 ? more : 0), x + width - left);
            if (slot->tall == 0 && j + 1 == until)
                own = MIN(slot->words, x + width - left);
            tall = larger(tall, put_slot(setter, slot, left, at, own));
            left += own + between;
        }
        at += tall + (until < slots->len ? MIN(2, setter->level->row_gap) : 0);
    }
    return at - y;
}

double put_labelled(Setter *setter, const Block *block, double x, double y, double width)
{
    Block row = *block;
    row.title = NULL;
    row.lines = arena_list(setter->arena);
    row.items = arena_list(setter->arena);
    g_ptr_array_add(row.items, (gpointer)block);
    return put_writes(setter, &row, x, y, width);
}
