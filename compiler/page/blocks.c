/* page_blocks: each kind of block as pieces. */
#include <string.h>

#include "page/parts.h"

#define TICK 5.5
#define WRITE_HEIGHT 12.5 /* room for a hand */
#define PARAGRAPH_GAP 2.6
#define BLOCK_GAP 5.0

static const Line *line_at(const Block *block, guint index) { return g_ptr_array_index(block->lines, index); }
static const Block *item_at(const Block *block, guint index) { return g_ptr_array_index(block->items, index); }

static void add_tick(Setter *setter, double x, double y)
{
    box_add(&setter->pile, BOX_TICK, x, y + 0.6, TICK, TICK);
}

static double add_words(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y;
    for (guint i = 0; i < block->lines->len; i++)
        at += add_line(setter, "P", type(setter, 14, FALSE), line_at(block, i), x, at, width);
    return at - y;
}

/* An entry of a list: its words alone. */
static double add_entry(Setter *setter, const Line *line, double x, double y, double width)
{
    box_open(&setter->pile, "LI");
    double height = add_line(setter, "LBody", type(setter, 14, FALSE), line, x, y, width);
    box_close(&setter->pile);
    return height;
}

/* ---- paragraphs ---- */

static double words_height(const Setter *setter, const Block *block, double width)
{
    double height = 0;
    for (guint i = 0; i < block->lines->len; i++)
        height += line_height(setter, type(setter, 14, FALSE), line_at(block, i), width);
    return height;
}

/* A few sentences are not parted from one another. */
#define FEW 45.0 /* mm */

static void add_paragraphs(Setter *setter, const Block *block)
{
    guint first = setter->pieces->len;
    for (guint i = 0; i < block->lines->len; i++) {
        Piece *piece = piece_open(setter, PARAGRAPH_GAP);
        piece->begins = line_text(setter->arena, line_at(block, i));
        piece->words = TRUE;
        piece_close(setter, piece,
                    add_line(setter, "P", type(setter, 14, FALSE), line_at(block, i), 0, 0, measure(setter)));
    }
    if (words_height(setter, block, measure(setter)) < FEW)
        keep_together(setter, first, 0.5);
}

static void add_bullets(Setter *setter, const Block *block)
{
    double size = setter->spec.body * INK_POINT;
    for (guint i = 0; i < block->lines->len; i++) {
        Piece *piece = piece_open(setter, 1.2);
        piece->begins = line_text(setter->arena, line_at(block, i));
        box_add(&setter->pile, BOX_DOT, 2 - 0.9, size * 0.6 - 0.9, 1.8, 1.8);
        piece_close(setter, piece, add_entry(setter, line_at(block, i), 6, 0, measure(setter) - 6));
    }
}

/* The pieces from here on are one list of the structure. */
static void as_list(Setter *setter, guint first)
{
    if (first >= setter->pieces->len)
        return;
    ((Piece *)g_ptr_array_index(setter->pieces, first))->opens = "L";
    ((Piece *)g_ptr_array_index(setter->pieces, setter->pieces->len - 1))->closes = "L";
}

static void add_list(Setter *setter, const Block *block)
{
    guint first = setter->pieces->len;
    add_bullets(setter, block);
    as_list(setter, first);
    if (!setter->aside)
        keep_together(setter, first, 0.4);
    if (strcmp(block->role, "emergency") == 0 && setter->pieces->len > first)
        ((Piece *)g_ptr_array_index(setter->pieces, setter->pieces->len - 1))->urgent = TRUE;
}

/* ---- a warning: a bar at its left ---- */

static void add_caution(Setter *setter, const Block *block)
{
    Piece *piece = piece_open(setter, 4);
    piece->keep = piece->words = TRUE;
    PageBox *bar = box_add(&setter->pile, BOX_FILL, 0, 0, 1.6, 0);
    bar->height = 1.2 + add_words(setter, block, 5, 0.6, measure(setter) - 5);
    piece_close(setter, piece, bar->height);
}

/* Words inside a box are no longer than words outside one. */
static double boxed_words(const Setter *setter, double sides) { return MIN(measure(setter), setter->width - sides); }

/* ---- the lead ---- */

#define LEAD_PAD 4.6
#define LEAD_SIDE(setter) column(setter, 54.0) /* of its right column */

static double lead_inner(const Setter *setter) { return boxed_words(setter, 2 * LEAD_PAD); }

/* In large print the amount stands under the minute, not beside it. */
static gboolean stacks(const Setter *setter) { return setter->spec.body > 14; }

static InkStyle clock_style(const Setter *setter)
{
    InkStyle style = type(setter, 54, TRUE);
    style.leading = 1.02;
    return style;
}

/* Where the clock time is long ("11:30 p. m."), the amount goes under it too. */
static gboolean lead_stacks(const Setter *setter, const Block *block, double inner)
{
    const Run *clock = g_ptr_array_index(line_at(block, 2)->runs, 0);
    const InkRun run = {clock->text, TRUE, NULL};
    return stacks(setter) ||
           ink_text_width(setter->ink, clock_style(setter), &run, 1) > inner - LEAD_SIDE(setter) - 5;
}

/* The minute, and the amount beside or under it. */
static double add_minute(Setter *setter, const Block *block, double x, double y, double inner)
{
    InkStyle plain = type(setter, 14, FALSE);
    const Line *amount = line_at(block, 4);
    if (lead_stacks(setter, block, inner)) {
        double big = add_line(setter, "P", clock_style(setter), line_at(block, 2), x, y, inner);
        return big + add_line(setter, "P", plain, amount, x, y + big, inner);
    }
    double words = line_height(setter, plain, amount, LEAD_SIDE(setter));
    double big = add_line(setter, "P", clock_style(setter), line_at(block, 2), x, y, inner - LEAD_SIDE(setter) - 5);
    double rule = x + inner - LEAD_SIDE(setter) - 5;
    add_rule(setter, INK_FINE_LINE, rule, y + 3, rule, y + MAX(big, words + 4) - 1);
    add_line(setter, "P", plain, amount, rule + 5, y + MAX(2, (big - words) / 2), LEAD_SIDE(setter));
    return MAX(big, words + 4);
}

static void add_lead(Setter *setter, const Block *block)
{
    Piece *piece = piece_open(setter, 3);
    double inner = lead_inner(setter), at = LEAD_PAD - 1.5;
    PageBox *ground = add_tint(setter, 0, 0, setter->width, 0);
    at += add_line(setter, "P", type(setter, 17, FALSE), line_at(block, 0), LEAD_PAD, at, inner);
    at += add_line(setter, "P", type(setter, 21, FALSE), line_at(block, 1), LEAD_PAD, at + 0.5, inner);
    at += 2 + add_minute(setter, block, LEAD_PAD, at + 2, inner);
    at += add_line(setter, "P", type(setter, 14, FALSE), line_at(block, 3), LEAD_PAD, at, inner);
    ground->height = at - 2 + LEAD_PAD;
    piece_close(setter, piece, ground->height);
}

/* ---- whom to call: the one box of page one ---- */

#define CALL_PAD 4.2

static double call_inner(const Setter *setter) { return boxed_words(setter, 2 * CALL_PAD); }

/* In large print the first number stands under the title, not beside the words. */
static double call_side(const Setter *setter) { return stacks(setter) ? call_inner(setter) : 64.0; }

static double call_left(const Setter *setter)
{
    return stacks(setter) ? call_inner(setter) : call_inner(setter) - call_side(setter) - 5;
}

static InkStyle number_type(const Setter *setter)
{
    InkStyle style = type(setter, 25, TRUE);
    style.leading = 1.15;
    return style;
}

static double add_phone(Setter *setter, const Block *phone, double x, double y)
{
    double at = y + add_line(setter, "P", number_type(setter), line_at(phone, 0), x, y, call_side(setter));
    for (guint i = 1; i < phone->lines->len; i++)
        at += add_line(setter, "P", type(setter, 12, FALSE), line_at(phone, i), x, at, call_side(setter));
    return at - y;
}

/* The other numbers stand side by side under a rule, apart from the first. */
#define OTHERS_GAP 4.0

static InkStyle other_type(const Setter *setter, guint line)
{
    return line == 0 ? type(setter, 16, TRUE) : type(setter, 12, FALSE);
}

/* What an other number takes when no line of it is broken. */
static double other_natural(const Setter *setter, const Block *phone)
{
    double width = 0;
    for (guint i = 0; i < phone->lines->len; i++)
        width = MAX(width, line_width(setter, other_type(setter, i), line_at(phone, i)));
    return width + OTHERS_GAP;
}

/* Equal columns, unless one needs more and the others can give it. */
static double other_width(const Setter *setter, const Block *block, guint index)
{
    guint count = block->items->len - 1;
    double total = setter->width - 2 * CALL_PAD, free = total, widest = 0;
    for (guint i = 1; i <= count; i++) {
        double natural = other_natural(setter, item_at(block, i));
        free -= natural;
        widest = MAX(widest, natural);
    }
    gboolean equal = free < 0 || widest <= total / count;
    return equal ? total / count : other_natural(setter, item_at(block, index)) + free / count;
}

static double add_others(Setter *setter, const Block *block, double x, double y)
{
    double height = 0;
    if (block->items->len < 2)
        return 0;
    add_rule(setter, INK_FINE_LINE, x, y + 1, x + setter->width - 2 * CALL_PAD, y + 1);
    for (guint i = 1; i < block->items->len; i++) {
        const Block *phone = item_at(block, i);
        double at = y + 2.5, width = other_width(setter, block, i);
        for (guint j = 0; j < phone->lines->len; j++)
            at += add_line(setter, "P", other_type(setter, j), line_at(phone, j), x, at, width - OTHERS_GAP);
        x += width;
        height = MAX(height, at - y - 2.5);
    }
    return height + 3;
}

/* The words, and the first number under or beside their title; returns where the
 * rest may start. */
static double add_call_words(Setter *setter, const Block *block, double x, double y)
{
    double left = call_left(setter), at = y + CALL_PAD - 1, beside = at;
    at += add_line(setter, "P", type(setter, 18, TRUE), block->title, x, at, left);
    if (block->items->len > 0 && stacks(setter))
        at += add_phone(setter, item_at(block, 0), x, at);
    at += add_words(setter, block, x, at, left);
    if (block->items->len > 0 && !stacks(setter))
        beside += add_phone(setter, item_at(block, 0), x + left + 5, beside - 0.5);
    return MAX(at, beside);
}

static void add_call(Setter *setter, const Block *block)
{
    Piece *piece = piece_open(setter, BLOCK_GAP);
    PageBox *frame = add_frame(setter, INK_STRONG, 0, 0, setter->width, 0, INK_RADIUS * 2);
    double words = add_call_words(setter, block, CALL_PAD, 0);
    frame->height = words + 1 + add_others(setter, block, CALL_PAD, words) + CALL_PAD - 3.5;
    piece_close(setter, piece, frame->height);
}

/* ---- the ladder ---- */

/* The clocks stand in a column as wide as the widest of them. */
static double clocks_width(const Setter *setter, const Block *ladder)
{
    double width = column(setter, 24.0);
    for (guint i = 0; i < ladder->items->len; i++) {
        const Run *clock = g_ptr_array_index(line_at(item_at(ladder, i), 0)->runs, 0);
        const InkRun run = {clock->text, TRUE, NULL};
        width = MAX(width, ink_text_width(setter->ink, type(setter, 14, TRUE), &run, 1) + 1);
    }
    return width;
}

static double add_rung(Setter *setter, const Block *rung, double left)
{
    gboolean last = strcmp(rung->role, "inject") == 0;
    double y = 0;
    box_open(&setter->pile, "LI");
    if (rung->title)
        y += add_line(setter, "LBody", type(setter, 12, TRUE), rung->title, 0, 0, setter->width);
    add_tick(setter, 0, y);
    InkStyle clock = type(setter, 14, last);
    clock.align = INK_RIGHT;
    add_line(setter, "Lbl", clock, line_at(rung, 0), TICK, y, left - TICK - 5);
    double at = y;
    for (guint i = 1; i < rung->lines->len; i++)
        at += add_line(setter, "LBody", type(setter, 14, last), line_at(rung, i), left, at, setter->width - left);
    box_close(&setter->pile);
    return y + MAX(at - y, TICK + 1);
}

static void add_rungs(Setter *setter, const Block *block)
{
    double left = TICK + clocks_width(setter, block) + 5;
    for (guint i = 0; i < block->items->len; i++) {
        const Block *rung = item_at(block, i);
        Piece *piece = piece_open(setter, rung->title ? 4.0 : i ? 1.0 : 2.0);
        piece->keep = i + 1 < block->items->len; /* one look shows the whole evening */
        piece_close(setter, piece, add_rung(setter, rung, left));
    }
}

/* ---- the days of a course ---- */

static double tick_words(const Setter *setter) { return boxed_words(setter, TICK + 4); }

#define DAY_GAP 2.2
#define DAY_WRITE 61.0 /* the box for the time and the name: room for a hand */

/* The boxes stand beside the dates, or under them where one date needs the whole line. */
static gboolean days_stack(const Setter *setter, const Block *days)
{
    double beside = setter->width - TICK - 4 - DAY_WRITE - 4;
    for (guint i = 0; i < days->items->len; i++)
        if (!line_breaks(setter, type(setter, 14, FALSE), line_at(item_at(days, i), 1), beside))
            return TRUE;
    return FALSE;
}

static double add_date(Setter *setter, const Line *line, gboolean stacked)
{
    double across = stacked ? tick_words(setter) : setter->width - TICK - 4 - DAY_WRITE - 4;
    double words = MAX(TICK + 1, line_height(setter, type(setter, 14, FALSE), line, across));
    double height = stacked ? words + 1 + WRITE_HEIGHT : MAX(words, WRITE_HEIGHT);
    double y = stacked ? 0 : (height - words) / 2;
    add_tick(setter, 0, y);
    add_entry(setter, line, TICK + 4, y, across);
    double wide = stacked ? tick_words(setter) : DAY_WRITE, left = stacked ? TICK + 4 : setter->width - wide;
    add_frame(setter, INK_OUTLINE, left, stacked ? words + 1 : (height - WRITE_HEIGHT) / 2, wide, WRITE_HEIGHT,
              INK_RADIUS);
    return height;
}

static void add_days(Setter *setter, const Block *block)
{
    guint first = setter->pieces->len;
    gboolean stacked = days_stack(setter, block);
    for (guint i = 0; i < block->items->len; i++) {
        const Block *day = item_at(block, i);
        if (day->title)
            title_in_list(setter, day);
        Piece *piece = piece_open(setter, DAY_GAP);
        piece->begins = line_text(setter->arena, line_at(day, 1));
        piece->opens = day->title ? "L" : NULL;
        piece_close(setter, piece, add_date(setter, line_at(day, 1), stacked));
    }
    keep_together(setter, first, 0.9); /* one look shows the course */
}

static void add_ticks(Setter *setter, const Block *block)
{
    for (guint i = 0; i < block->lines->len; i++) {
        Piece *piece = piece_open(setter, 1);
        piece->begins = line_text(setter->arena, line_at(block, i));
        add_tick(setter, 0, 0);
        double height = add_entry(setter, line_at(block, i), TICK + 4, 0, tick_words(setter));
        piece_close(setter, piece, MAX(TICK + 1, height));
    }
}

/* ---- the kit: each thing drawn, its count and name beside it ---- */

#define KIT_DRAWING 25.5
#define KIT_LEFT 31.0 /* of its words */

/* Two beside each other; in large print one. */
static guint kit_columns(const Setter *setter) { return stacks(setter) ? 1 : 2; }

static double cell_width(const Setter *setter) { return setter->width / kit_columns(setter); }

static double cell_words(const Setter *setter, const Block *item)
{
    double height = 0;
    for (guint i = 0; i < item->lines->len; i++)
        height += line_height(setter, type(setter, i ? 12 : 14, FALSE), line_at(item, i),
                              cell_width(setter) - KIT_LEFT - 2);
    return height;
}

static void add_cell(Setter *setter, const Block *item, double left, double height)
{
    double at = MAX(0, (height - cell_words(setter, item)) / 2);
    add_thing(setter, item, left, (height - KIT_DRAWING) / 2);
    for (guint j = 0; j < item->lines->len; j++)
        at += add_line(setter, "P", type(setter, j ? 12 : 14, FALSE), line_at(item, j), left + KIT_LEFT, at,
                       cell_width(setter) - KIT_LEFT - 2);
}

/* A row ends where a group of things ends. */
static guint row_end(const Setter *setter, const Block *block, guint first)
{
    guint until = first + 1;
    while (until < block->items->len && until < first + kit_columns(setter) && !item_at(block, until)->title)
        until++;
    return until;
}

static void add_kit(Setter *setter, const Block *block)
{
    guint first = setter->pieces->len;
    for (guint i = 0, until; i < block->items->len; i = until) {
        if (item_at(block, i)->title)
            add_title(setter, item_at(block, i));
        until = row_end(setter, block, i);
        double height = KIT_DRAWING;
        for (guint j = i; j < until; j++)
            height = MAX(height, cell_words(setter, item_at(block, j)));
        Piece *piece = piece_open(setter, 2);
        for (guint j = i; j < until; j++)
            add_cell(setter, item_at(block, j), (j - i) * cell_width(setter), height);
        piece_close(setter, piece, height);
    }
    keep_together(setter, first, 0.75); /* one look shows all that is needed, under its heading */
}

/* ---- the pause ---- */

static void add_checks(Setter *setter, const Block *block)
{
    Piece *piece = piece_open(setter, BLOCK_GAP);
    PageBox *ground = add_tint(setter, 0, 0, setter->width, 0);
    double at = 4;
    at += add_line(setter, "P", type(setter, 16, TRUE), block->title, 5, at, boxed_words(setter, 10));
    box_open(&setter->pile, "L");
    for (guint i = 0; i < block->items->len; i++) {
        add_tick(setter, 5, at);
        double height = add_entry(setter, line_at(item_at(block, i), 0), 14, at, boxed_words(setter, 20));
        at += MAX(TICK + 1, height) + 1;
    }
    box_close(&setter->pile);
    ground->height = at + 4;
    piece_close(setter, piece, ground->height);
}

/* ---- room for handwriting ---- */

#define WRITE_LABEL(setter) column(setter, 62.0)
#define SIGN_LABEL(setter) ((setter)->width * 0.55)

static double write_height(const Setter *setter, const Line *line)
{
    return MAX(WRITE_HEIGHT, line_height(setter, type(setter, 14, FALSE), line, WRITE_LABEL(setter)));
}

static void add_write(Setter *setter, const Line *line)
{
    double words = line_height(setter, type(setter, 14, FALSE), line, WRITE_LABEL(setter));
    double height = write_height(setter, line);
    add_line(setter, "P", type(setter, 14, FALSE), line, 0, MAX(0, (height - words) / 2), WRITE_LABEL(setter));
    add_frame(setter, INK_OUTLINE, WRITE_LABEL(setter) + 4, 0, setter->width - WRITE_LABEL(setter) - 4, height,
              INK_RADIUS);
}

static void add_sign(Setter *setter, const Line *line)
{
    double words = line_height(setter, type(setter, 14, FALSE), line, SIGN_LABEL(setter));
    double height = write_height(setter, line);
    add_line(setter, "P", type(setter, 14, FALSE), line, 0, height - words, SIGN_LABEL(setter));
    add_rule(setter, INK_FINE_LINE, setter->width * 0.58, height - 1, setter->width, height - 1);
}

static void add_writing(Setter *setter, const Block *block, void (*add)(Setter *, const Line *))
{
    for (guint i = 0; i < block->lines->len; i++) {
        Piece *piece = piece_open(setter, 2.5);
        piece->begins = line_text(setter->arena, line_at(block, i));
        add(setter, line_at(block, i));
        piece_close(setter, piece, write_height(setter, line_at(block, i)));
    }
}

/* ---- the summary ---- */

static void add_summary(Setter *setter, const Block *block)
{
    Piece *piece = piece_open(setter, BLOCK_GAP + 1);
    PageBox *ground = add_tint(setter, 0, 0, setter->width, 0);
    double at = 3.5;
    at += add_line(setter, "P", type(setter, 16, TRUE), block->title, 5, at, boxed_words(setter, 10));
    at += add_words(setter, block, 5, at, boxed_words(setter, 10));
    ground->height = at + 3.5;
    piece_close(setter, piece, ground->height);
}

/* ---- figures in the flow ---- */

static void add_figures(Setter *setter, const Block *block)
{
    Piece *piece = piece_open(setter, 4);
    double y = 0;
    for (guint i = 0; i < block->figures->len; i++) {
        const Figure *figure = g_ptr_array_index(block->figures, i);
        add_figure(setter, figure, 0, y, setter->width);
        y += figure_extent(setter, figure, setter->width).height;
    }
    piece_close(setter, piece, y);
}

/* Words that introduce steps stay with the first of them, and those before a caution with it. */
static void keep_last(Setter *setter)
{
    Piece *last = setter->pieces->len > 0 ? g_ptr_array_index(setter->pieces, setter->pieces->len - 1) : NULL;
    if (last && last->words)
        last->keep = TRUE;
}

/* Their title is drawn with what they say, inside the same frame. */
static gboolean holds_its_title(BlockKind kind)
{
    return kind == BLOCK_LEAD || kind == BLOCK_CALL || kind == BLOCK_CHECKS || kind == BLOCK_SUMMARY;
}

static void add_body(Setter *setter, const Block *block)
{
    switch (block->kind) {
    case BLOCK_LEAD: add_lead(setter, block); return;
    case BLOCK_CALL: add_call(setter, block); return;
    case BLOCK_CHECKS: add_checks(setter, block); return;
    case BLOCK_SUMMARY: add_summary(setter, block); return;
    case BLOCK_CAUTION: add_caution(setter, block); return;
    case BLOCK_TEXT: add_paragraphs(setter, block); return;
    case BLOCK_LIST: add_list(setter, block); return;
    case BLOCK_LADDER: add_rungs(setter, block); return;
    case BLOCK_DATES: add_days(setter, block); return;
    case BLOCK_STEPS: pieces_of_steps(setter, block); return;
    case BLOCK_FIGURE: add_figures(setter, block); return;
    case BLOCK_KIT: add_kit(setter, block); return;
    case BLOCK_TICKS: add_ticks(setter, block); return;
    case BLOCK_LABELS: pieces_of_labels(setter, block); return;
    case BLOCK_WRITE: add_writing(setter, block, add_write); return;
    case BLOCK_SIGN: add_writing(setter, block, add_sign); return;
    case BLOCK_PHONE: case BLOCK_RUNG: case BLOCK_STEP: case BLOCK_ITEM: case BLOCK_CHECK:
        break; /* items: their block places them */
    case BLOCK_BAND: case BLOCK_PANEL: case BLOCK_STOP: case BLOCK_GO: case BLOCK_LOOP:
    case BLOCK_LEGEND: case BLOCK_TICK: case BLOCK_NOTE: case BLOCK_WHEN: case BLOCK_PAIR:
    case BLOCK_COLUMNS: case BLOCK_SAY: case BLOCK_WRITES: case BLOCK_TABLE: case BLOCK_ROW:
    case BLOCK_HOURS: case BLOCK_NIGHT: case BLOCK_REMARKS:
        break; /* no template has them yet */
    }
    g_assert_not_reached();
}

void pieces_of_block(Setter *setter, const Block *block)
{
    BlockKind kind = block->kind;
    if (kind == BLOCK_CAUTION)
        keep_last(setter);
    if (!holds_its_title(kind))
        add_title(setter, block);
    guint first = setter->pieces->len;
    if (kind == BLOCK_STEPS || kind == BLOCK_KIT)
        keep_last(setter);
    add_body(setter, block);
    if (kind == BLOCK_LADDER || kind == BLOCK_STEPS || kind == BLOCK_DATES || kind == BLOCK_TICKS)
        as_list(setter, first);
}
