/* page_blocks: each kind of block as pieces. */
#include <string.h>

#include "page/parts.h"

#define TICK 5.5
#define WRITE_HEIGHT 12.5 /* room for a hand */
#define PARAGRAPH_GAP 2.6
#define BLOCK_GAP 5.0

static const Line *line_at(const Block *block, guint index) { return g_ptr_array_index(block->lines, index); }
static const Block *item_at(const Block *block, guint index) { return g_ptr_array_index(block->items, index); }

/* ---- titles and paragraphs ---- */

static void draw_title(const Setter *setter, const Piece *piece, double x, double y)
{
    tagged_line(setter, piece->tag, type(setter, 16, TRUE), piece->line, x, y, setter->width);
}

void add_title(Setter *setter, const Block *block)
{
    if (!block->title)
        return;
    double height = line_height(setter, type(setter, 16, TRUE), block->title, setter->width);
    Piece *piece = piece_add(setter, draw_title, height, BLOCK_GAP);
    piece->line = block->title;
    piece->tag = setter->headed ? "H3" : "H2"; /* no level is skipped */
    piece->keep = TRUE;
}

void title_in_list(Setter *setter, const Block *item)
{
    Piece *before = g_ptr_array_index(setter->pieces, setter->pieces->len - 1);
    before->closes = "L";
    add_title(setter, item);
}

static void draw_paragraph(const Setter *setter, const Piece *piece, double x, double y)
{
    tagged_line(setter, "P", type(setter, 14, FALSE), piece->line, x, y, measure(setter));
}

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
        double height = line_height(setter, type(setter, 14, FALSE), line_at(block, i), measure(setter));
        Piece *piece = piece_add(setter, draw_paragraph, height, PARAGRAPH_GAP);
        piece->line = line_at(block, i);
    }
    if (words_height(setter, block, measure(setter)) < FEW)
        keep_together(setter, first, 0.5);
}

static void draw_bullet(const Setter *setter, const Piece *piece, double x, double y)
{
    Ink *ink = setter->ink;
    double size = setter->spec.body * INK_POINT;
    cairo_arc(ink_cairo(ink), ink_place(ink, x + 2, 0), y + size * 0.6, 0.9, 0, 2 * G_PI);
    ink_fill_grey(ink, 0);
    ink_tag(ink, "LI");
    tagged_line(setter, "LBody", type(setter, 14, FALSE), piece->line, x + 6, y, measure(setter) - 6);
    ink_untag(ink, "LI");
}

static void add_bullets(Setter *setter, const Block *block)
{
    for (guint i = 0; i < block->lines->len; i++) {
        double height = line_height(setter, type(setter, 14, FALSE), line_at(block, i), measure(setter) - 6);
        Piece *piece = piece_add(setter, draw_bullet, height, 1.2);
        piece->line = line_at(block, i);
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

static void draw_caution(const Setter *setter, const Piece *piece, double x, double y)
{
    Ink *ink = setter->ink;
    cairo_rectangle(ink_cairo(ink), ink_place(ink, x, 1.6), y, 1.6, piece->height);
    ink_fill_grey(ink, 0);
    double at = y + 0.6;
    for (guint i = 0; i < piece->block->lines->len; i++)
        at += tagged_line(setter, "P", type(setter, 14, FALSE), line_at(piece->block, i), x + 5, at,
                          measure(setter) - 5);
}

static void add_caution(Setter *setter, const Block *block)
{
    double height = 1.2;
    for (guint i = 0; i < block->lines->len; i++)
        height += line_height(setter, type(setter, 14, FALSE), line_at(block, i), measure(setter) - 5);
    Piece *piece = piece_add(setter, draw_caution, height, 4);
    piece->block = block;
    piece->keep = TRUE;
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

/* The minute, and the amount beside or under it; returns the height. */
static double draw_minute(const Setter *setter, const Block *block, double x, double y, double inner)
{
    InkStyle plain = type(setter, 14, FALSE);
    const Line *amount = line_at(block, 4);
    if (lead_stacks(setter, block, inner)) {
        double big = tagged_line(setter, "P", clock_style(setter), line_at(block, 2), x, y, inner);
        return big + tagged_line(setter, "P", plain, amount, x, y + big, inner);
    }
    double words = line_height(setter, plain, amount, LEAD_SIDE(setter));
    double big = tagged_line(setter, "P", clock_style(setter), line_at(block, 2), x, y, inner - LEAD_SIDE(setter) - 5);
    double rule = x + inner - LEAD_SIDE(setter) - 5;
    ink_pen(setter->ink, INK_FINE_LINE);
    ink_line(setter->ink, rule, y + 3, rule, y + MAX(big, words + 4) - 1);
    tagged_line(setter, "P", plain, amount, rule + 5, y + MAX(2, (big - words) / 2), LEAD_SIDE(setter));
    return MAX(big, words + 4);
}

static double minute_height(const Setter *setter, const Block *block, double inner)
{
    InkStyle plain = type(setter, 14, FALSE);
    if (lead_stacks(setter, block, inner))
        return line_height(setter, clock_style(setter), line_at(block, 2), inner) +
               line_height(setter, plain, line_at(block, 4), inner);
    double words = line_height(setter, plain, line_at(block, 4), LEAD_SIDE(setter)) + 4;
    return MAX(words, line_height(setter, clock_style(setter), line_at(block, 2), inner - LEAD_SIDE(setter) - 5));
}

static void draw_lead(const Setter *setter, const Piece *piece, double x, double y)
{
    const Block *block = piece->block;
    double inner = lead_inner(setter), left = x + LEAD_PAD, at = y + LEAD_PAD - 1.5;
    ink_rounded(setter->ink, x, y, setter->width, piece->height, INK_RADIUS * 2);
    ink_fill_tint(setter->ink);
    at += tagged_line(setter, "P", type(setter, 17, FALSE), line_at(block, 0), left, at, inner);
    at += tagged_line(setter, "P", type(setter, 21, FALSE), line_at(block, 1), left, at + 0.5, inner);
    at += 2 + draw_minute(setter, block, left, at + 2, inner);
    tagged_line(setter, "P", type(setter, 14, FALSE), line_at(block, 3), left, at, inner);
}

static void add_lead(Setter *setter, const Block *block)
{
    double inner = lead_inner(setter);
    double height = 2 * LEAD_PAD - 1.5 + minute_height(setter, block, inner);
    height += line_height(setter, type(setter, 17, FALSE), line_at(block, 0), inner);
    height += line_height(setter, type(setter, 21, FALSE), line_at(block, 1), inner);
    height += line_height(setter, type(setter, 14, FALSE), line_at(block, 3), inner);
    piece_add(setter, draw_lead, height, 3)->block = block;
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

static double call_left_height(const Setter *setter, const Block *block, double width)
{
    return line_height(setter, type(setter, 18, TRUE), block->title, width) + words_height(setter, block, width);
}

static InkStyle number_type(const Setter *setter)
{
    InkStyle style = type(setter, 25, TRUE);
    style.leading = 1.15;
    return style;
}

static double phone_height(const Setter *setter, const Block *phone)
{
    double height = line_height(setter, number_type(setter), line_at(phone, 0), call_side(setter));
    for (guint i = 1; i < phone->lines->len; i++)
        height += line_height(setter, type(setter, 12, FALSE), line_at(phone, i), call_side(setter));
    return height;
}

static double draw_phone(const Setter *setter, const Block *phone, double x, double y)
{
    double at = y + tagged_line(setter, "P", number_type(setter), line_at(phone, 0), x, y, call_side(setter));
    for (guint i = 1; i < phone->lines->len; i++)
        at += tagged_line(setter, "P", type(setter, 12, FALSE), line_at(phone, i), x, at, call_side(setter));
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

static double others_height(const Setter *setter, const Block *block)
{
    double height = 0;
    for (guint i = 1; i < block->items->len; i++) {
        const Block *phone = item_at(block, i);
        double one = 0, width = other_width(setter, block, i) - OTHERS_GAP;
        for (guint j = 0; j < phone->lines->len; j++)
            one += line_height(setter, other_type(setter, j), line_at(phone, j), width);
        height = MAX(height, one);
    }
    return height > 0 ? height + 3 : 0;
}

static void draw_others(const Setter *setter, const Block *block, double x, double y)
{
    if (block->items->len < 2)
        return;
    ink_pen(setter->ink, INK_FINE_LINE);
    ink_line(setter->ink, x, y + 1, x + setter->width - 2 * CALL_PAD, y + 1);
    for (guint i = 1; i < block->items->len; i++) {
        const Block *phone = item_at(block, i);
        double at = y + 2.5, width = other_width(setter, block, i);
        for (guint j = 0; j < phone->lines->len; j++)
            at += tagged_line(setter, "P", other_type(setter, j), line_at(phone, j), x, at, width - OTHERS_GAP);
        x += width;
    }
}

/* The words, and the first number under or beside their title; returns where the
 * rest may start. */
static double draw_call_words(const Setter *setter, const Block *block, double x, double y)
{
    double left = call_left(setter), at = y + CALL_PAD - 1, beside = at;
    at += tagged_line(setter, "P", type(setter, 18, TRUE), block->title, x, at, left);
    if (block->items->len > 0 && stacks(setter))
        at += draw_phone(setter, item_at(block, 0), x, at);
    for (guint i = 0; i < block->lines->len; i++)
        at += tagged_line(setter, "P", type(setter, 14, FALSE), line_at(block, i), x, at, left);
    if (block->items->len > 0 && !stacks(setter))
        beside += draw_phone(setter, item_at(block, 0), x + left + 5, beside - 0.5);
    return MAX(at, beside);
}

static void draw_call_box(const Setter *setter, const Piece *piece, double x, double y)
{
    const Block *block = piece->block;
    ink_pen(setter->ink, INK_STRONG);
    ink_rounded(setter->ink, x, y, setter->width, piece->height, INK_RADIUS * 2);
    ink_stroke(setter->ink);
    draw_others(setter, block, x + CALL_PAD, draw_call_words(setter, block, x + CALL_PAD, y));
}

static void add_call(Setter *setter, const Block *block)
{
    double words = call_left_height(setter, block, call_left(setter));
    double phone = block->items->len > 0 ? phone_height(setter, item_at(block, 0)) : 0;
    double top = stacks(setter) ? words + phone : MAX(words, phone);
    double height = top + others_height(setter, block) + 2 * CALL_PAD - 3.5;
    piece_add(setter, draw_call_box, height, BLOCK_GAP)->block = block;
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

static double rung_left(const Setter *setter, const Block *ladder) { return TICK + clocks_width(setter, ladder) + 5; }

static void draw_rung(const Setter *setter, const Piece *piece, double x, double y)
{
    const Block *rung = item_at(piece->block, piece->from);
    double left = rung_left(setter, piece->block);
    gboolean last = strcmp(rung->role, "inject") == 0;
    ink_tag(setter->ink, "LI");
    if (rung->title)
        y += tagged_line(setter, "LBody", type(setter, 12, TRUE), rung->title, x, y, setter->width);
    ink_tick_box(setter->ink, x, y + 0.6, TICK);
    InkStyle clock = type(setter, 14, last);
    clock.align = INK_RIGHT;
    tagged_line(setter, "Lbl", clock, line_at(rung, 0), x + TICK, y, left - TICK - 5);
    for (guint i = 1; i < rung->lines->len; i++)
        y += tagged_line(setter, "LBody", type(setter, 14, last), line_at(rung, i), x + left, y, setter->width - left);
    ink_untag(setter->ink, "LI");
}

static void add_rungs(Setter *setter, const Block *block)
{
    for (guint i = 0; i < block->items->len; i++) {
        const Block *rung = item_at(block, i);
        double height = 0;
        for (guint j = 1; j < rung->lines->len; j++)
            height += line_height(setter, type(setter, 14, FALSE), line_at(rung, j),
                                  setter->width - rung_left(setter, block));
        height = MAX(height, TICK + 1);
        if (rung->title)
            height += line_height(setter, type(setter, 12, TRUE), rung->title, setter->width);
        Piece *piece = piece_add(setter, draw_rung, height, rung->title ? 4.0 : i ? 1.0 : 2.0);
        piece->block = block;
        piece->from = i;
        piece->keep = i + 1 < block->items->len; /* one look shows the whole evening */
    }
}

/* ---- the days of a course ---- */

static double tick_words(const Setter *setter) { return boxed_words(setter, TICK + 4); }

static void draw_day(const Setter *setter, const Piece *piece, double x, double y)
{
    ink_tick_box(setter->ink, x, y + 0.6, TICK);
    ink_tag(setter->ink, "LI");
    tagged_line(setter, "LBody", type(setter, 14, FALSE), piece->line, x + TICK + 4, y, tick_words(setter));
    ink_untag(setter->ink, "LI");
}

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

static double day_words(const Setter *setter, const Block *days)
{
    return days_stack(setter, days) ? tick_words(setter) : setter->width - TICK - 4 - DAY_WRITE - 4;
}

static double day_words_height(const Setter *setter, const Block *days, const Line *line)
{
    return MAX(TICK + 1, line_height(setter, type(setter, 14, FALSE), line, day_words(setter, days)));
}

static void draw_date(const Setter *setter, const Piece *piece, double x, double y)
{
    double words = day_words_height(setter, piece->block, piece->line);
    gboolean stacked = days_stack(setter, piece->block);
    double box = stacked ? y + words + 1 : y + (piece->height - WRITE_HEIGHT) / 2;
    y += stacked ? 0 : (piece->height - words) / 2;
    ink_tick_box(setter->ink, x, y + 0.6, TICK);
    ink_tag(setter->ink, "LI");
    tagged_line(setter, "LBody", type(setter, 14, FALSE), piece->line, x + TICK + 4, y,
                day_words(setter, piece->block));
    ink_untag(setter->ink, "LI");
    ink_pen(setter->ink, INK_OUTLINE);
    double wide = stacked ? tick_words(setter) : DAY_WRITE;
    double left = stacked ? x + TICK + 4 : x + setter->width - wide;
    ink_rounded(setter->ink, left, box, wide, WRITE_HEIGHT, INK_RADIUS);
    ink_stroke(setter->ink);
}

static void add_days(Setter *setter, const Block *block)
{
    guint first = setter->pieces->len;
    for (guint i = 0; i < block->items->len; i++) {
        const Block *day = item_at(block, i);
        const Line *line = line_at(day, 1);
        if (day->title)
            title_in_list(setter, day);
        double words = day_words_height(setter, block, line);
        double height = days_stack(setter, block) ? words + 1 + WRITE_HEIGHT : MAX(words, WRITE_HEIGHT);
        Piece *piece = piece_add(setter, draw_date, height, DAY_GAP);
        piece->block = block;
        piece->line = line;
        piece->opens = day->title ? "L" : NULL;
    }
    keep_together(setter, first, 0.9); /* one look shows the course */
}

static void add_ticks(Setter *setter, const Block *block)
{
    for (guint i = 0; i < block->lines->len; i++) {
        double height = line_height(setter, type(setter, 14, FALSE), line_at(block, i), tick_words(setter));
        piece_add(setter, draw_day, MAX(TICK + 1, height), 1)->line = line_at(block, i);
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

static void draw_kit_row(const Setter *setter, const Piece *piece, double x, double y)
{
    for (guint i = piece->from; i < piece->until; i++) {
        const Block *item = item_at(piece->block, i);
        double left = x + (i - piece->from) * cell_width(setter);
        double at = y + MAX(0, (piece->height - cell_words(setter, item)) / 2);
        ink_tag_figure(setter->ink, line_text(setter->arena, line_at(item, 0)));
        kit_drawing(setter, item, left, y + (piece->height - KIT_DRAWING) / 2);
        ink_untag(setter->ink, "Figure");
        for (guint j = 0; j < item->lines->len; j++)
            at += tagged_line(setter, "P", type(setter, j ? 12 : 14, FALSE), line_at(item, j), left + KIT_LEFT, at,
                              cell_width(setter) - KIT_LEFT - 2);
    }
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
        Piece *piece = piece_add(setter, draw_kit_row, height, 2);
        piece->block = block;
        piece->from = i;
        piece->until = until;
    }
    keep_together(setter, first, 0.75); /* one look shows all that is needed, under its heading */
}

/* ---- the pause ---- */

static double check_height(const Setter *setter, const Block *block)
{
    double height = line_height(setter, type(setter, 16, TRUE), block->title, boxed_words(setter, 10)) + 8;
    for (guint i = 0; i < block->items->len; i++)
        height += MAX(TICK + 1, line_height(setter, type(setter, 14, FALSE), line_at(item_at(block, i), 0),
                                            boxed_words(setter, 20))) + 1;
    return height;
}

static void draw_checks(const Setter *setter, const Piece *piece, double x, double y)
{
    const Block *block = piece->block;
    Ink *ink = setter->ink;
    ink_rounded(ink, x, y, setter->width, piece->height, INK_RADIUS * 2);
    ink_fill_tint(ink);
    double at = y + 4;
    at += tagged_line(setter, "P", type(setter, 16, TRUE), block->title, x + 5, at, boxed_words(setter, 10));
    ink_tag(ink, "L");
    for (guint i = 0; i < block->items->len; i++) {
        ink_tick_box(ink, x + 5, at + 0.6, TICK);
        ink_tag(ink, "LI");
        double height = tagged_line(setter, "LBody", type(setter, 14, FALSE), line_at(item_at(block, i), 0),
                                    x + 14, at, boxed_words(setter, 20));
        ink_untag(ink, "LI");
        at += MAX(TICK + 1, height) + 1;
    }
    ink_untag(ink, "L");
}

static void add_checks(Setter *setter, const Block *block)
{
    piece_add(setter, draw_checks, check_height(setter, block), BLOCK_GAP)->block = block;
}

/* ---- room for handwriting ---- */

#define WRITE_LABEL(setter) column(setter, 62.0)
static void draw_write(const Setter *setter, const Piece *piece, double x, double y)
{
    double words = line_height(setter, type(setter, 14, FALSE), piece->line, WRITE_LABEL(setter));
    tagged_line(setter, "P", type(setter, 14, FALSE), piece->line, x, y + MAX(0, (piece->height - words) / 2),
            WRITE_LABEL(setter));
    ink_pen(setter->ink, INK_OUTLINE);
    ink_rounded(setter->ink, x + WRITE_LABEL(setter) + 4, y, setter->width - WRITE_LABEL(setter) - 4,
            piece->height, INK_RADIUS);
    ink_stroke(setter->ink);
}

#define SIGN_LABEL(setter) ((setter)->width * 0.55)

static void draw_sign(const Setter *setter, const Piece *piece, double x, double y)
{
    double words = line_height(setter, type(setter, 14, FALSE), piece->line, SIGN_LABEL(setter));
    tagged_line(setter, "P", type(setter, 14, FALSE), piece->line, x, y + piece->height - words, SIGN_LABEL(setter));
    ink_pen(setter->ink, INK_FINE_LINE);
    ink_line(setter->ink, x + setter->width * 0.58, y + piece->height - 1, x + setter->width, y + piece->height - 1);
}

static void add_writing(Setter *setter, const Block *block, PieceDraw draw)
{
    for (guint i = 0; i < block->lines->len; i++) {
        double words = line_height(setter, type(setter, 14, FALSE), line_at(block, i), WRITE_LABEL(setter));
        Piece *piece = piece_add(setter, draw, MAX(WRITE_HEIGHT, words), 2.5);
        piece->line = line_at(block, i);
    }
}

/* ---- the summary ---- */

static void draw_summary(const Setter *setter, const Piece *piece, double x, double y)
{
    const Block *block = piece->block;
    ink_rounded(setter->ink, x, y, setter->width, piece->height, INK_RADIUS * 2);
    ink_fill_tint(setter->ink);
    double at = y + 3.5;
    at += tagged_line(setter, "P", type(setter, 16, TRUE), block->title, x + 5, at, boxed_words(setter, 10));
    for (guint i = 0; i < block->lines->len; i++)
        at += tagged_line(setter, "P", type(setter, 14, FALSE), line_at(block, i), x + 5, at, boxed_words(setter, 10));
}

static void add_summary(Setter *setter, const Block *block)
{
    double height = 7 + line_height(setter, type(setter, 16, TRUE), block->title, boxed_words(setter, 10)) +
                    words_height(setter, block, boxed_words(setter, 10));
    piece_add(setter, draw_summary, height, BLOCK_GAP + 1)->block = block;
}

/* ---- figures in the flow ---- */

static void draw_figures(const Setter *setter, const Piece *piece, double x, double y)
{
    for (guint i = 0; i < piece->block->figures->len; i++) {
        const Figure *figure = g_ptr_array_index(piece->block->figures, i);
        figure_place(setter, figure, x, y, setter->width);
        y += figure_extent(setter, figure, setter->width).height;
    }
}

static void add_figures(Setter *setter, const Block *block)
{
    double height = 0;
    for (guint i = 0; i < block->figures->len; i++)
        height += figure_extent(setter, g_ptr_array_index(block->figures, i), setter->width).height;
    piece_add(setter, draw_figures, height, 4)->block = block;
}

/* Words that introduce steps stay with the first of them, and those before a caution with it. */
static void keep_last(Setter *setter)
{
    Piece *last = setter->pieces->len > 0 ? g_ptr_array_index(setter->pieces, setter->pieces->len - 1) : NULL;
    if (last && (last->draw == draw_paragraph || last->draw == draw_caution))
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
    case BLOCK_WRITE: add_writing(setter, block, draw_write); return;
    case BLOCK_SIGN: add_writing(setter, block, draw_sign); return;
    case BLOCK_PHONE: case BLOCK_RUNG: case BLOCK_STEP: case BLOCK_ITEM: case BLOCK_CHECK:
        break; /* items: their block places them */
    case BLOCK_BAND: case BLOCK_PANEL: case BLOCK_STOP: case BLOCK_GO: case BLOCK_LOOP:
    case BLOCK_LEGEND: case BLOCK_TICK: case BLOCK_NOTE: case BLOCK_WHEN: case BLOCK_PAIR:
    case BLOCK_COLUMNS: case BLOCK_SAY: case BLOCK_WRITES: case BLOCK_TABLE: case BLOCK_ROW:
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
