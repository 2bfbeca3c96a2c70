/* page_night: the page of a night for the wall: twelve hours with a dot for each injection, and
 * a row for each, three lines high, so that thirteen stand on one page. */
#include <string.h>

#include "page/parts.h"

/* ---- the hours ---- */

#define BAR 7.0
#define DOT 5.4        /* across */
#define DOT_APART 5.7  /* dots that stand closer are stacked */
#define MOST_DOTS 64
#define MOST_LEVELS 8  /* a night with more at one hour has the hours alone: the rows say the rest */
#define DAYS 4.2       /* high, the two weekdays above the dots */
#define HOURS 12
#define BAR_GREY 0.8

/* How high each dot stands, and how many stand at all: one that would touch its neighbour goes
 * above it. */
static guint stack(const Block *hours, double width, guint levels[MOST_DOTS], guint *count_out)
{
    guint highest = 0, count = hours->items->len > MOST_DOTS ? 0 : hours->items->len;
    for (guint i = 0; i < count; i++) {
        levels[i] = 0;
        for (guint k = 0; k < i; k++) {
            double apart = (item_at(hours, i)->along - item_at(hours, k)->along) * width / (HOURS * 60);
            if (levels[k] == levels[i] && apart < DOT_APART) {
                levels[i]++;
                k = (guint)-1; /* from the start, one level higher */
            }
        }
        highest = MAX(highest, levels[i]);
    }
    *count_out = highest < MOST_LEVELS ? count : 0;
    return highest < MOST_LEVELS ? highest : 0;
}

static void put_number(Setter *setter, int number, double x, double y, double side)
{
    const InkRun run = {arena_format(setter->arena, "%d", number), TRUE, NULL};
    InkStyle style = {.size = number < 100 ? 10.5 : 8, .bold = TRUE, .grey = 1, .align = INK_CENTRE, .leading = 1.2};
    box_add(&setter->pile, BOX_DOT, x, y, side, side);
    add_runs(setter, "P", style, &run, 1, x, y + (side - style.size * INK_POINT * 1.2) / 2, side);
}

static void put_bar(Setter *setter, double x, double y, double width)
{
    box_add(&setter->pile, BOX_FILL, x, y, width, BAR)->grey = BAR_GREY;
    add_frame(setter, INK_OUTLINE, x, y, width, BAR, 0);
    for (int i = 0; i <= HOURS; i++) {
        double at = x + width * i / HOURS;
        add_rule(setter, INK_OUTLINE, at, y + BAR, at, y + BAR + (i % 2 ? 0.8 : 1.6));
    }
}

static void put_days(Setter *setter, const Block *hours, double x, double y, double width)
{
    InkStyle day = grid_type(setter->print, TYPE_SMALL);
    day.bold = TRUE;
    if (hours->aside)
        add_line(setter, "P", day, hours->aside, x + width / 2 + 2, y, width / 2 - 2);
    day.align = INK_RIGHT;
    if (hours->title)
        add_line(setter, "P", day, hours->title, x, y, width / 2 - 2);
}

static double put_clocks(Setter *setter, const Block *hours, double x, double y, double width)
{
    InkStyle style = grid_type(setter->print, TYPE_SMALL);
    double tall = 0, step = width / MAX(1, hours->lines->len - 1);
    for (guint i = 0; i < hours->lines->len; i++) {
        gboolean first = i == 0, last = i + 1 == hours->lines->len;
        style.align = first ? INK_LEFT : last ? INK_RIGHT : INK_CENTRE;
        double left = first ? x : x + i * step - step / 2 + 0.5, wide = first || last ? step / 2 - 0.5 : step - 1;
        tall = larger(tall, add_line(setter, "P", style, line_at(hours, i), left, y, wide));
    }
    return tall;
}

double put_hours(Setter *setter, const Block *hours, double x, double y, double width)
{
    guint count, levels[MOST_DOTS], highest = stack(hours, width, levels, &count);
    double top = y + DAYS + highest * DOT_APART;
    put_days(setter, hours, x, y, width);
    put_bar(setter, x, top, width);
    add_rule(setter, INK_STRONG, x + width / 2, y, x + width / 2, top + BAR + 1.6);
    for (guint i = 0; i < count; i++) {
        const Block *dot = item_at(hours, i);
        double at = x + width * dot->along / (HOURS * 60.0);
        put_number(setter, dot->number, CLAMP(at - DOT / 2, x, x + width - DOT),
                   top + (BAR - DOT) / 2 - levels[i] * DOT_APART, DOT);
    }
    return top + BAR + 1.8 + put_clocks(setter, hours, x, top + BAR + 1.8, width) - y;
}

double put_remarks(Setter *setter, const Block *block, double x, double y, double width)
{
    double at = y;
    for (guint i = 0; i < block->lines->len; i++)
        at += add_line(setter, "P", grid_type(setter->print, TYPE_SMALL), line_at(block, i), x, at, width);
    return at - y;
}

/* ---- the rows ---- */

#define NUMBER_WIDTH 8.5
#define CELL_AIR 1.2
#define RULE_MIDNIGHT 1.0
#define ROW_AIR 0.4
#define CELL_PITCH 1.09
#define MARK_PAD 0.5
#define MARK_UP 0.3   /* type stands high in its line */
#define TABLE_MOST 196.0 /* mm: a table that is not higher stays whole */
#define CHUNK 5          /* of longer ones, so many rows stay together */

static const double widths[] = {41, 24, 48, 30.5, 15, 19};

/* Words that are marked stand white on black, each in a box of its own. */
static double put_marked(Setter *setter, InkStyle style, const Line *line, double x, double y)
{
    double at = x, tall = 0;
    for (guint i = 0; i < line->runs->len; i++) {
        const Run *run = g_ptr_array_index(line->runs, i);
        const InkRun one = {run->text, run->strong, NULL};
        InkStyle own = style;
        double width = ink_text_width(setter->ink, style, &one, 1), height = style.size * INK_POINT * style.leading;
        if (run->marked) {
            box_add(&setter->pile, BOX_FILL, at, y - MARK_UP, width + 2 * MARK_PAD, height);
            own.grey = 1;
            at += MARK_PAD;
        }
        tall = larger(tall, add_runs(setter, "P", own, &one, 1, at, y, width + 0.3));
        at += width + (run->marked ? MARK_PAD : 0);
    }
    return tall;
}

static gboolean any_marked(const Line *line)
{
    for (guint i = 0; i < line->runs->len; i++)
        if (((const Run *)g_ptr_array_index(line->runs, i))->marked)
            return TRUE;
    return FALSE;
}

static InkStyle cell_style(const Setter *setter, const Block *cell, guint line)
{
    InkStyle style = grid_type(setter->print, TYPE_SMALL);
    style.leading = CELL_PITCH;
    if (line == 0 && strcmp(cell->role, "time") == 0)
        style.size = setter->large ? 17 : 13;
    else if (line == 0)
        style.size += 0.7;
    return style;
}

static double put_words(Setter *setter, const Block *cell, double x, double y, double width)
{
    double at = y + (strcmp(cell->role, "time") == 0 ? 0 : 0.5); /* nearer to the larger type's line */
    for (guint i = 0; i < cell->lines->len; i++) {
        InkStyle style = cell_style(setter, cell, i);
        const Line *line = line_at(cell, i);
        gboolean in_row = any_marked(line) && width_of(setter, TYPE_SMALL, line) < width;
        at += in_row ? put_marked(setter, style, line, x, at) : add_line(setter, "P", style, line, x, at, width);
    }
    return at - y;
}

/* A frame with its labels: at, by; or at, yes and no with a tick box each. */
static void put_boxes(Setter *setter, const Block *cell, double x, double y, double width, double height)
{
    InkStyle style = {.size = 8, .leading = 1.2};
    double half = height / 2, side = 3.2;
    add_frame(setter, INK_OUTLINE, x, y, width, height, INK_RADIUS);
    add_rule(setter, INK_FINE_LINE, x, y + half, x + width, y + half);
    add_line(setter, "P", style, line_at(cell, 0), x + 0.8, y + 0.3, width - 1.6);
    for (guint i = 1, count = cell->lines->len - 1; i <= count; i++) {
        double share = (width - 1) / count, left = x + 0.8 + (i - 1) * share;
        add_line(setter, "P", style, line_at(cell, i), left, y + half + 0.3, share - (count > 1 ? side : 0));
        if (count > 1)
            add_frame(setter, INK_OUTLINE, left + share - side - 0.6, y + height - side - 0.6, side, side, 0.5);
    }
}

static double put_night_row(Setter *setter, const Block *row, double y)
{
    double x = NUMBER_WIDTH, tall = 0;
    box_open(&setter->pile, "TR");
    if (row->title) {
        box_open(&setter->pile, "TD");
        InkStyle style = grid_type(setter->print, TYPE_SMALL);
        tall = add_line(setter, "P", style, row->title, x, y + 3 * ROW_AIR, BLOCK_WIDTH - x);
        box_close(&setter->pile);
        box_close(&setter->pile);
        return tall + 4 * ROW_AIR;
    }
    box_open(&setter->pile, "TD");
    put_number(setter, row->number, 0.6, y + ROW_AIR + 0.4, DOT + 0.6);
    box_close(&setter->pile);
    for (guint i = 0; i < MIN(row->items->len, G_N_ELEMENTS(widths)); i++, x += widths[i - 1]) {
        if (item_at(row, i)->kind == BLOCK_WRITE)
            continue;
        box_open(&setter->pile, "TD");
        tall = larger(tall, put_words(setter, item_at(row, i), x, y + ROW_AIR, widths[i] - CELL_AIR));
        box_close(&setter->pile);
    }
    x = NUMBER_WIDTH;
    for (guint i = 0; i < MIN(row->items->len, G_N_ELEMENTS(widths)); i++, x += widths[i - 1]) {
        if (item_at(row, i)->kind != BLOCK_WRITE)
            continue;
        box_open(&setter->pile, "TD");
        put_boxes(setter, item_at(row, i), x, y + ROW_AIR, widths[i] - CELL_AIR, tall);
        box_close(&setter->pile);
    }
    box_close(&setter->pile);
    return tall + 2 * ROW_AIR;
}

static double put_heads(Setter *setter, const Block *night)
{
    double x = NUMBER_WIDTH, tall = 0;
    InkStyle style = {.size = 8, .leading = 1.2};
    box_open(&setter->pile, "TR");
    for (guint i = 0; i < MIN(night->lines->len, G_N_ELEMENTS(widths)); i++, x += widths[i - 1])
        tall = larger(tall, add_line(setter, "TH", style, line_at(night, i), x, 0, widths[i] - 0.4));
    box_close(&setter->pile);
    return tall + 0.4;
}

static void piece_of_rows(Setter *setter, const Block *night, guint from, guint until)
{
    Piece *piece = piece_open(setter, from == 0 ? setter->level->row_gap : 0);
    piece->begins = night->role;
    piece->band = from == 0;
    box_open(&setter->pile, "Table");
    double y = put_heads(setter, night);
    for (guint i = from; i < until; i++) {
        gboolean heading = item_at(night, i)->title != NULL;
        add_rule(setter, heading ? RULE_MIDNIGHT : INK_FINE_LINE, 0, y, BLOCK_WIDTH, y);
        y += put_night_row(setter, item_at(night, i), y);
    }
    add_rule(setter, INK_FINE_LINE, 0, y, BLOCK_WIDTH, y);
    box_close(&setter->pile);
    piece_close(setter, piece, y + 0.5);
}

void pieces_of_night(Setter *setter, const Block *night)
{
    guint before = setter->pieces->len, count = night->items->len;
    piece_of_rows(setter, night, 0, count);
    if (((const Piece *)g_ptr_array_index(setter->pieces, before))->height <= TABLE_MOST)
        return;
    g_ptr_array_set_size(setter->pieces, (int)before);
    for (guint from = 0; from < count; from += CHUNK)
        piece_of_rows(setter, night, from, MIN(count, from + CHUNK));
}
