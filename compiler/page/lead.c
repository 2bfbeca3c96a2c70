/* page_lead: the blocks of page one and of the last page. */
#include <string.h>

#include "page/parts.h"

#define PAD (setter->level->pad)
#define BULLET 5.0
#define COST_CROWDED 1000.0 /* of a word or a date that has to be parted */
#define MINUTE_AIR 1.5 /* its digits reach up to the line above */
#define FULL_AIR 2.5   /* and letters that fill the whole of their square higher still */
#define TALL 1.1       /* a script with marks above and below its letters */
#define TALL_AIR 1.2   /* from a box to such a line, at least */
#define LEAST_AIR 0.6  /* and to any heading */
#define TALL_TAIL 2.0  /* free below a minute of such letters; a full page takes it back */
#define FIRST_FULL_LETTER 0x2E80 /* the Unicode Standard: from here on letters of East Asia */
#define MINUTE_BESIDE 6.0 /* between the minute and what stands beside it */
#define LEAST_WHAT 60.0
#define DOT 1.3
#define MARK 9.0       /* side of "A" and "B" */
#define MARK_AIR 3.0

static gboolean has_role(const Block *block, const char *role) { return strcmp(block->role, role) == 0; }

static const char *heading_tag(const Setter *setter) { return setter->headed ? "H3" : "H2"; }

/* Title, then paragraphs. */
double put_titled(Setter *setter, const Block *block, double x, double y, double width)
{
    if (!block->title)
        return 0;
    InkStyle style = style_of(setter, setter->in_box ? TYPE_CLOSE : TYPE_BAND);
    style.bold = TRUE;
    return add_line(setter, heading_tag(setter), style, block->title, x, y, width);
}

static double put_text_from(Setter *setter, const Block *block, guint from, double x, double y, double width)
{
    double at = y;
    for (guint i = from; i < block->lines->len; i++)
        at += put_line(setter, "P", TYPE_CLOSE, line_at(block, i), x, at, MIN(width, setter->level->measure)) +
              (i + 1 < block->lines->len ? 0.8 : 0);
    return at - y;
}

static double put_text(Setter *setter, const Block *block, double x, double y, double width)
{
    double title = put_titled(setter, block, x, y, width);
    return title + put_text_from(setter, block, 0, x, y + title, width);
}

/* The last line of a list of signs may be no sign: it has no dot when it is strong throughout. */
static gboolean is_strong(const Line *line)
{
    for (guint i = 0; i < line->runs->len; i++)
        if (!((const Run *)g_ptr_array_index(line->runs, i))->strong)
            return FALSE;
    return line->runs->len > 0;
}

static double put_list(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y + put_titled(setter, block, x, y, width) + (block->title ? 0.8 : 0);
    double middle = style_of(setter, TYPE_CLOSE).size * INK_POINT * 0.62;
    box_open(&setter->pile, "L");
    for (guint i = 0; i < block->lines->len; i++) {
        gboolean plain = is_strong(line_at(block, i));
        double left = plain ? 0 : BULLET;
        if (!plain)
            box_add(&setter->pile, BOX_DOT, x + 0.8, at + middle - DOT / 2, DOT, DOT);
        box_open(&setter->pile, "LI");
        at += put_line(setter, "LBody", TYPE_CLOSE, line_at(block, i), x + left, at, width - left) + 0.7;
        box_close(&setter->pile);
    }
    box_close(&setter->pile);
    return at - y;
}

/* ---- the minute ---- */

/* White on black, or black on white: both survive any copy. */
static double put_mark(Setter *setter, const char *mark, double x, double y)
{
    gboolean first = strcmp(mark, "A") == 0;
    const InkRun run = {mark, TRUE, NULL};
    InkStyle style = {.size = larger(MARK_POINTS, grid_type(setter->print, TYPE_BAND).size), .bold = TRUE,
                      .leading = 1.2, .align = INK_CENTRE, .grey = first ? 1 : 0};
    if (first)
        box_add(&setter->pile, BOX_FILL, x, y, MARK, MARK);
    add_frame(setter, INK_STRONG, x, y, MARK, MARK, 0);
    add_runs(setter, "P", style, &run, 1, x,
             y + MARK_DROP + (MARK - style.size * INK_POINT * style.leading) / 2, MARK);
    return MARK + MARK_AIR;
}

/* From a box to its first line. */
static double top_air(const Setter *setter) { return MAX(PAD - 2, setter->tall > TALL ? TALL_AIR : LEAST_AIR); }

static double minute_air(const Setter *setter, const Line *clock)
{
    for (guint i = 0; i < clock->runs->len; i++)
        for (const char *at = ((const Run *)g_ptr_array_index(clock->runs, i))->text; *at; at = g_utf8_next_char(at))
            if (g_utf8_get_char(at) >= FIRST_FULL_LETTER)
                return MINUTE_AIR + FULL_AIR;
    return setter->tall > TALL ? MINUTE_AIR + FULL_AIR : MINUTE_AIR;
}

static double minute_tail(const Setter *setter)
{
    return setter->tall > TALL && setter->level->pleasing <= 0 ? TALL_TAIL : 0;
}

/* In large print two injections share page one only if what is given begins beside its minute: as many lines as
 * end above the foot of the digits.  Returns how many. */
static guint put_as_far_as(Setter *setter, const Block *block, double x, double y, double width, double foot)
{
    guint i = 0;
    for (double at = y; width >= LEAST_WHAT && i < block->lines->len; i++) {
        double height = height_of(setter, TYPE_CLOSE, line_at(block, i), width);
        if (at + height > foot)
            break;
        put_line(setter, "P", TYPE_CLOSE, line_at(block, i), x, at, width);
        at += height + 0.8;
    }
    return i;
}

#define BESIDE_AIR 1.2 /* between what is given and the night below it */

/* What stands beside the minute or below it, from an item on: what is given, and the night where it has its place
 * here. */
static double put_when_items(Setter *setter, const Block *block, guint from, double x, double y, double width)
{
    double at = y;
    for (guint i = from; i < block->items->len; i++)
        at += (i > from ? BESIDE_AIR : 0) + put_block(setter, item_at(block, i), x, at, width);
    return at - y;
}

/* beside: width of what stands at its right. */
static double put_when_at(Setter *setter, const Block *block, double beside, double x, double y, double width)
{
    PageBox *ground = add_tint(setter, x, y, width, 0);
    PageBox *frame = add_frame(setter, INK_OUTLINE, x, y, width, 0, RADIUS);
    const Block *what = block->items->len > 0 ? item_at(block, 0) : NULL;
    double side = setter->large || !what ? 0 : beside, inner = width - 2 * PAD - (side > 0 ? side + PAD : 0);
    gboolean stacks = side > 0 && block->clock &&
                      width_of(setter, TYPE_MINUTE, block->clock) > inner - (block->mark ? MARK + MARK_AIR : 0);
    if (stacks)
        inner = width - 2 * PAD;
    double left = x + PAD, at = y + PAD - 2;
    double shift = block->mark ? put_mark(setter, block->mark, left, at + 0.6) : 0;
    left += shift;
    inner -= shift;
    at += block->title ? put_line(setter, heading_tag(setter), TYPE_BAND, block->title, left, at + 0.5, inner) : 0;
    double air = block->clock ? minute_air(setter, block->clock) : 0;
    guint told = 0; /* how many lines of what is given stand beside the minute */
    if (block->clock) {
        double taken = width_of(setter, TYPE_MINUTE, block->clock) + MINUTE_BESIDE, top = at + air;
        at = top + put_line(setter, "P", TYPE_MINUTE, block->clock, left, top, inner) - minute_tail(setter);
        if (setter->large && block->mark && what)
            told = put_as_far_as(setter, what, left + taken, top, inner - taken, at);
    }
    at += put_lines(setter, block, 0, TYPE_CLOSE, left, at + 0.5, inner) + 0.5;
    double rule = x + width - PAD - side - PAD / 2, end = at;
    if (what && side > 0 && !stacks) {
        end = y + PAD - 1 + put_when_items(setter, block, 0, rule + PAD / 2 + 1, y + PAD - 1, side - 1);
        add_rule(setter, INK_FINE_LINE, rule, y + PAD, rule, MAX(at, end) - 2);
    } else if (what) {
        end = at + 1 + put_text_from(setter, what, told, left, at + 1, x + width - PAD - left);
        end += put_when_items(setter, block, 1, left, end + BESIDE_AIR, x + width - PAD - left);
    }
    ground->height = frame->height = MAX(at, end) + PAD - 2 - y;
    ground->radius = RADIUS;
    return frame->height;
}

typedef double (*SidedPut)(Setter *setter, const Block *block, double side, double x, double y, double width);

/* What stands at the right gets more room, or less, where that makes the box lower. */
static double put_sided(Setter *setter, const Block *block, SidedPut put, double x, double y, double width)
{
    static const double sides[] = {COLUMN + 4, COLUMN + 14, COLUMN + 26, COLUMN - 6, COLUMN - 14};
    double best = sides[0], least = G_MAXDOUBLE;
    for (gsize i = 0; !setter->large && i < G_N_ELEMENTS(sides); i++) {
        const Scratch before = scratch_open(setter);
        double cost = put(setter, block, sides[i], 0, 0, width) + (double)i * 0.5;
        cost += COST_CROWDED * scratch_close(setter, before);
        best = cost < least ? sides[i] : best;
        least = MIN(least, cost);
    }
    return put(setter, block, best, x, y, width);
}

static double put_when(Setter *setter, const Block *block, double x, double y, double width)
{
    return put_sided(setter, block, put_when_at, x, y, width);
}

/* ---- whom to call ---- */

#define LEAST_BESIDE 20.0

/* Who answers stands beside the number, where the words have room. */
static gboolean stands_beside(const Setter *setter, const Block *phone, double free)
{
    if (free < (setter->large ? 2 : 1) * LEAST_BESIDE)
        return FALSE;
    for (guint i = 1; i < phone->lines->len; i++)
        if (!line_breaks(setter, style_of(setter, TYPE_CLOSE), line_at(phone, i), free))
            return FALSE;
    return TRUE;
}

static double put_phone(Setter *setter, const Block *phone, double x, double y, double width)
{
    double number = width_of(setter, TYPE_NUMBER_TO_CALL, line_at(phone, 0)) + 1, free = width - number - 4;
    double height = put_line(setter, "P", TYPE_NUMBER_TO_CALL, line_at(phone, 0), x, y, MAX(width, number));
    gboolean beside = stands_beside(setter, phone, free);
    double at = y + (beside ? height * 0.1 : height);
    for (guint i = 1; i < phone->lines->len; i++)
        at += put_line(setter, "P", TYPE_CLOSE, line_at(phone, i), beside ? x + number + 4 : x, at,
                       beside ? free : width);
    return MAX(height, at - y);
}

static double put_call_words(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y + put_titled(setter, block, x, y, width);
    for (guint i = 0; i < block->items->len; i++)
        if (item_at(block, i)->kind == BLOCK_PHONE)
            at += put_phone(setter, item_at(block, i), x, at, width) + 0.5;
    for (guint i = 0; i < block->lines->len; i++)
        at += put_line(setter, "P", TYPE_CLOSE, line_at(block, i), x, at, width) + MIN(1, setter->level->row_gap / 2);
    return at - y;
}

/* ---- the ladder ---- */

#define RUNG_DOT 3.4
#define RUNG_AIR 1.7

static double clocks_width(const Setter *setter, const Block *ladder)
{
    double width = 0;
    for (guint i = 0; i < ladder->items->len; i++)
        width = MAX(width, width_of(setter, TYPE_CLOSE, line_at(item_at(ladder, i), 0)));
    return width * 1.08 + 1; /* they are set bold */
}

static double put_rung(Setter *setter, const Block *rung, double x, double y, double clocks, double width)
{
    gboolean inject = strcmp(rung->role, "inject") == 0;
    InkStyle clock = style_of(setter, TYPE_CLOSE), words = clock;
    clock.bold = TRUE;
    clock.align = INK_RIGHT;
    words.bold = inject;
    double left = x + clocks + 2 * RUNG_AIR + RUNG_DOT, at = y;
    box_open(&setter->pile, "LI");
    add_line(setter, "Lbl", clock, line_at(rung, 0), x, y, clocks);
    for (guint i = 1; i < rung->lines->len; i++)
        at += add_line(setter, "LBody", words, line_at(rung, i), left, at, x + width - left);
    box_close(&setter->pile);
    return at - y;
}

static void put_rung_dot(Setter *setter, double x, double y, gboolean inject)
{
    double middle = style_of(setter, TYPE_CLOSE).size * INK_POINT * 0.6;
    double size = inject ? RUNG_DOT * 1.3 : RUNG_DOT;
    PageBox *dot = box_add(&setter->pile, BOX_DOT, x - size / 2, y + middle - size / 2, size, size);
    if (inject)
        return;
    dot = box_add(&setter->pile, BOX_DOT, x - size / 2 + 0.5, y + middle - size / 2 + 0.5, size - 1, size - 1);
    dot->grey = 1;
}

static double put_ladder(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y + put_titled(setter, block, x, y, width) + 1, clocks = clocks_width(setter, block);
    double line = x + clocks + RUNG_AIR + RUNG_DOT / 2, first = at, last = at;
    double middle = style_of(setter, TYPE_CLOSE).size * INK_POINT * 0.6;
    PageBox *way = box_add(&setter->pile, BOX_RULE, line, 0, 0, 0);
    way->weight = INK_OUTLINE;
    box_open(&setter->pile, "L");
    for (guint i = 0; i < block->items->len; i++) {
        const Block *rung = item_at(block, i);
        if (rung->title) { /* the day, where it changes */
            InkStyle day = style_of(setter, TYPE_CLOSE);
            day.bold = TRUE;
            double natural = line_width(setter, day, rung->title) + 0.5, free = x + width - line - RUNG_DOT;
            double left = natural <= free ? line + RUNG_DOT : x;
            PageBox *white = box_add(&setter->pile, BOX_FILL, left, at, natural, 0); /* the way passes behind it */
            white->grey = 1;
            white->height = add_line(setter, "LI", day, rung->title, left, at, x + width - left);
            at += white->height;
        }
        first = i == 0 ? at : first;
        put_rung_dot(setter, line, at, strcmp(rung->role, "inject") == 0);
        last = at;
        at += put_rung(setter, rung, x, at, clocks, width) + MIN(1, setter->level->row_gap / 2);
    }
    box_close(&setter->pile);
    way->y = first + middle;
    way->height = last - first;
    return at - y;
}

/* ---- a picture with words: the night strip, the code ---- */

static double put_code(Setter *setter, const Block *block, double x, double y, double width)
{
    const Figure *figure = g_ptr_array_index(block->figures, 0);
    double quiet = figure_code_quiet;
    Extent code = put_picture(setter, figure, x + quiet, y + quiet, width - 2 * quiet);
    double beside = width - code.width - 2 * quiet - 2, height = code.height + (code.height > 0 ? 2 * quiet : 0);
    if (code.height > 0 && beside >= (setter->large ? 50 : 26))
        return larger(height, put_lines(setter, block, 0, TYPE_CLOSE, x + width - beside, y + quiet, beside) + quiet);
    return height + put_lines(setter, block, 0, TYPE_CLOSE, x, y + height, width);
}

/* The lines from one on, so many. */
static Block *some_lines(const Setter *setter, const Block *block, guint from, guint until)
{
    Block *part = arena_new0(setter->arena, Block);
    *part = *block;
    part->lines = arena_list(setter->arena);
    for (guint i = from; i < until; i++)
        g_ptr_array_add(part->lines, g_ptr_array_index(block->lines, i));
    return part;
}

#define WINDOW_LINES 2 /* what the dot is, and the window */

/* The window at the left, what else there is to say of the night at the right. */
static double put_strip_halves(Setter *setter, const Block *block, double x, double y, double width)
{
    double half = (width - GUTTER) / 2;
    double left = put_sentences(setter, some_lines(setter, block, 0, WINDOW_LINES), x, y, half);
    double right = put_sentences(setter, some_lines(setter, block, WINDOW_LINES, block->lines->len), x + half + GUTTER,
                                 y, half);
    return MAX(left, right);
}

/* Two columns, so that a line is not too long to read; on a full page one, where that is lower. */
static double put_strip_words(Setter *setter, const Block *block, double x, double y, double width)
{
    double most = MIN(width, setter->level->measure);
    if (setter->large || block->lines->len <= WINDOW_LINES)
        return put_sentences(setter, block, x, y, most);
    const Scratch before = scratch_open(setter);
    double parted = put_strip_halves(setter, block, 0, 0, width);
    gboolean lower = setter->level->pleasing <= 0 && put_sentences(setter, block, 0, 0, most) < parted - 0.1;
    scratch_close(setter, before);
    return lower ? put_sentences(setter, block, x, y, most) : put_strip_halves(setter, block, x, y, width);
}

static double put_figures(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y + put_titled(setter, block, x, y, width);
    if (block->figures->len > 0 && ((const Figure *)g_ptr_array_index(block->figures, 0))->shape.kind == FIGURE_CODE)
        return at - y + put_code(setter, block, x, at, width);
    for (guint i = 0; i < block->figures->len; i++) {
        Extent extent = put_picture(setter, g_ptr_array_index(block->figures, i), x, at, width);
        set_crowded(setter, last_box(setter), extent.width > width + 0.1); /* another way to share the row is found */
        at += extent.height + 0.3;
    }
    return at - y + put_strip_words(setter, block, x, at, width);
}

/* ---- side by side ---- */

static double put_pair_at(Setter *setter, const Block *block, double x, double y, double width, double share)
{
    double left = put_block(setter, item_at(block, 0), x, y, share);
    double right = put_block(setter, item_at(block, 1), x + share + GUTTER, y, width - share - GUTTER);
    return MAX(left, right);
}

#define COST_OTHER (setter->level->row_gap < 1.0 ? 1.0 : 6.0) /* mm: of another share than the template asks for */

static double put_stacked(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y, gap = setter->large ? 4 : 1.5;
    for (guint i = 0; i < block->items->len; i++)
        at += put_block(setter, item_at(block, i), x, at, width) + gap;
    return at - gap - y;
}

/* The share of the first that it asks for, or another where words would be crowded; below each other where
 * they are at each. */
static double put_pair(Setter *setter, const Block *block, double x, double y, double width)
{
    static const double thirds[] = {1, 1.1, 1.25, 1.5, 1.55, 2};
    double asked = setter->large ? COLUMNS / 2.0 : block->columns > 0 ? block->columns : 1, best = 0;
    double least = G_MAXDOUBLE;
    if ((setter->large && !has_role(block, "ladders")) || block->items->len != 2 || asked >= COLUMNS)
        return put_stacked(setter, block, x, y, width);
    for (gsize i = 0; i < G_N_ELEMENTS(thirds); i++) {
        double share = (width + GUTTER) * thirds[i] / COLUMNS - GUTTER;
        const Scratch before = scratch_open(setter);
        double cost = put_pair_at(setter, block, 0, 0, width, share) + (thirds[i] == asked ? 0 : COST_OTHER);
        cost += COST_CROWDED * scratch_close(setter, before);
        best = cost < least ? share : best;
        least = MIN(least, cost);
    }
    return least < COST_CROWDED ? put_pair_at(setter, block, x, y, width, best)
                                : put_stacked(setter, block, x, y, width);
}

#define MOST_ACROSS 4

/* Ways to share a row out: lists are of different length. */
static const double shares_of_two[][3] = {{1, 1}, {1.15, 0.85}, {1.3, 0.7}, {0.85, 1.15}, {0.7, 1.3}};
static const double shares_of_three[][3] = {{1, 1, 1}, {0.8, 1.2, 1}, {0.75, 1.35, 0.9}, {0.7, 1.5, 0.8},
                                            {0.9, 1.2, 0.9}, {1.3, 0.5, 1.2}, {1.05, 0.6, 1.35},
                                            {1.15, 0.6, 1.25}, {1.25, 0.6, 1.15}};

static double put_columns_row(Setter *setter, const Block *block, guint from, guint across, const double *shares,
                              double x, double y, double inner)
{
    double height = 0, left = x, unit = (inner - (across - 1) * GUTTER) / across;
    for (guint i = from; i < MIN(from + across, block->items->len); i++) {
        double width = shares ? unit * shares[i - from] : unit;
        height = larger(height, put_block(setter, item_at(block, i), left, y, width));
        left += width + GUTTER;
    }
    return height;
}

/* NULL: equal. */
static const double *choose_shares(Setter *setter, const Block *block, guint from, guint across, double inner)
{
    const double(*ways)[3] = across == 2 ? shares_of_two : shares_of_three;
    gsize count = across == 2 ? G_N_ELEMENTS(shares_of_two) : across == 3 ? G_N_ELEMENTS(shares_of_three) : 0;
    double least = G_MAXDOUBLE;
    const double *best = NULL;
    for (gsize i = 0; i < count; i++) {
        const Scratch before = scratch_open(setter);
        double cost = put_columns_row(setter, block, from, across, ways[i], 0, 0, inner) + i * 0.5;
        cost += COST_CROWDED * scratch_close(setter, before);
        best = cost < least ? ways[i] : best;
        least = MIN(least, cost);
    }
    return best;
}

/* ---- a call with its lists ---- */

#define MORE_AIR 1.0 /* from the line above more lists */

/* The lists of a call: the first stands beside the numbers, others below them beside each other. */
static Block *lists_of(const Setter *setter, const Block *call)
{
    Block *lists = arena_new0(setter->arena, Block);
    lists->items = arena_list(setter->arena);
    for (guint i = 0; i < call->items->len; i++)
        if (item_at(call, i)->kind != BLOCK_PHONE)
            g_ptr_array_add(lists->items, g_ptr_array_index(call->items, i));
    return lists;
}

static double put_more_lists(Setter *setter, const Block *lists, double x, double y, double width)
{
    const guint across = lists->items->len - 1;
    add_rule(setter, INK_FINE_LINE, x, y, x + width, y);
    setter->in_box = TRUE;
    const double *shares = choose_shares(setter, lists, 1, across, width);
    double height = put_columns_row(setter, lists, 1, across, shares, x, y + MORE_AIR, width);
    setter->in_box = FALSE;
    return MORE_AIR + height;
}

/* signs_width: of what stands at the right. */
static double put_call_at(Setter *setter, const Block *block, double signs_width, double x, double y, double width)
{
    PageBox *frame = add_frame(setter, INK_STRONG, x, y, width, 0, RADIUS);
    const Block *lists = lists_of(setter, block), *signs = lists->items->len > 0 ? item_at(lists, 0) : NULL;
    gboolean beside = signs && !setter->large;
    double side = beside ? signs_width : 0, left = width - 2 * PAD - (beside ? side + PAD : 0);
    const double top = y + top_air(setter);
    double at = top + put_call_words(setter, block, x + PAD, top, left), end = at;
    if (beside) {
        double rule = x + width - PAD - side - PAD / 2;
        end = top + put_block(setter, signs, rule + PAD / 2 + 1, top, side - 1);
        add_rule(setter, INK_FINE_LINE, rule, y + PAD, rule, MAX(at, end) - 2);
    } else if (signs) {
        end = at + 2 + put_block(setter, signs, x + PAD, at + 2, width - 2 * PAD);
    }
    end = MAX(at, end);
    if (lists->items->len > 1)
        end += put_more_lists(setter, lists, x + PAD, end, width - 2 * PAD);
    frame->height = end + PAD - 3 - y;
    return frame->height;
}

static double put_call(Setter *setter, const Block *block, double x, double y, double width)
{
    return put_sided(setter, block, put_call_at, x, y, width);
}

#define ITEM_AIR (setter->level->row_gap < 1.5 ? 1.0 : 3.0) /* between two below each other */

/* Items beside each other under a thin line, so many in a row. */
static double put_columns(Setter *setter, const Block *block, double x, double y, double width)
{
    guint across = MAX(1, block->columns > 0 ? (guint)block->columns : block->items->len);
    across = !setter->large ? MIN(across, MOST_ACROSS) : has_role(block, "left") ? 2 : 1; /* what is a column there */
    double pad = block->boxed ? PAD : 0, inner = width - 2 * pad, at = y + (block->boxed ? top_air(setter) : 0);
    PageBox *frame = block->boxed ? add_frame(setter, INK_STRONG, x, y, width, 0, RADIUS) : NULL;
    if (!frame && across > 1) {
        add_rule(setter, INK_OUTLINE, x, y, x + width, y);
        at += 2.2;
    }
    at += put_titled(setter, block, x + pad, at, inner);
    for (guint i = 0; i < block->items->len; i += across) {
        const double *shares = choose_shares(setter, block, i, across, inner);
        at += (i > 0 ? ITEM_AIR : 0) + put_columns_row(setter, block, i, across, shares, x + pad, at, inner);
    }
    if (!frame)
        return at - y;
    frame->height = at + PAD - 3 - y;
    return frame->height;
}

/* ---- what to say ---- */

#define SAY_GAP 1.5  /* below words, between boxes */
#define SAY_DROP 2.5 /* so much less air than at the sides, below */

/* On a full page the words give what the last box needs to stand clear of the frame. */
static double put_say(Setter *setter, const Block *block, double x, double y, double width)
{
    PageBox *ground = add_tint(setter, x, y, width, 0);
    PageBox *frame = add_frame(setter, INK_OUTLINE, x, y, width, 0, RADIUS);
    double at = y + top_air(setter), inner = width - 2 * PAD, below = MAX(LEAST_AIR, PAD - SAY_DROP);
    at += put_titled(setter, block, x + PAD, at, inner);
    at += put_lines(setter, block, 0, TYPE_CLOSE, x + PAD, at, MIN(inner, setter->level->measure));
    at -= below - (PAD - SAY_DROP);
    for (guint i = 0; i < block->items->len; i++)
        at += SAY_GAP + put_block(setter, item_at(block, i), x + PAD, at + SAY_GAP, inner);
    ground->height = frame->height = at + below - y;
    ground->radius = RADIUS;
    return frame->height;
}

double put_block(Setter *setter, const Block *block, double x, double y, double width)
{
    static const BlockPut puts[] = {
        [BLOCK_WHEN] = put_when,       [BLOCK_CALL] = put_call,     [BLOCK_LADDER] = put_ladder,
        [BLOCK_FIGURE] = put_figures,  [BLOCK_PAIR] = put_pair,     [BLOCK_COLUMNS] = put_columns,
        [BLOCK_SAY] = put_say,         [BLOCK_WRITES] = put_writes, [BLOCK_LIST] = put_list,
        [BLOCK_KIT] = put_kit,         [BLOCK_TABLE] = put_table,   [BLOCK_TICK] = put_tick,
        [BLOCK_TEXT] = put_text,       [BLOCK_NOTE] = put_text,     [BLOCK_HOURS] = put_hours,
        [BLOCK_REMARKS] = put_remarks, [BLOCK_STOP] = put_stop,     [BLOCK_WRITE] = put_labelled,
    };
    g_assert(block->kind < G_N_ELEMENTS(puts) && puts[block->kind]); /* templates are checked when they are read */
    return measured_once(setter, block, puts[block->kind], &(BoxPlace){x, y, width});
}
