/* page_labels: labels in two columns, to be cut out and put on what was mixed. */
#include <string.h>

#include "page/parts.h"

#define ACROSS 2
#define PAD 4.0
#define BLANK_HEIGHT 9.5 /* of a line for handwriting */

static const Line *line_at(const Block *block, guint index) { return g_ptr_array_index(block->lines, index); }

static gboolean is_blank(const Setter *setter, const Line *line)
{
    return g_str_has_suffix(line_text(setter->arena, line), ":");
}

static InkStyle label_type(const Setter *setter) { return type(setter, 12, FALSE); }

static double label_width(const Setter *setter) { return setter->width / ACROSS; }

static double label_line(const Setter *setter, const Line *line)
{
    double words = line_height(setter, label_type(setter), line, label_width(setter) - 2 * PAD);
    return is_blank(setter, line) ? MAX(BLANK_HEIGHT, words) : words;
}

static double label_height(const Setter *setter, const Block *block)
{
    double height = 2 * PAD;
    for (guint i = 0; i < block->lines->len; i++)
        height += label_line(setter, line_at(block, i));
    return height;
}

static void draw_blank(const Setter *setter, const Line *line, double x, double y)
{
    const InkRun words = {line_text(setter->arena, line), FALSE, NULL};
    double from = x + ink_text_width(setter->ink, label_type(setter), &words, 1) + 2;
    ink_pen(setter->ink, INK_FINE_LINE);
    ink_line(setter->ink, from, y + BLANK_HEIGHT - 1, x + label_width(setter) - 2 * PAD, y + BLANK_HEIGHT - 1);
}

static void draw_label(const Setter *setter, const Block *block, double x, double y, double height)
{
    ink_pen(setter->ink, INK_OUTLINE);
    ink_rounded(setter->ink, x, y, label_width(setter), height, 0);
    ink_stroke(setter->ink);
    double at = y + PAD;
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *line = line_at(block, i);
        double drop = is_blank(setter, line) ? 3.5 : 0;
        tagged_line(setter, "P", label_type(setter), line, x + PAD, at + drop, label_width(setter) - 2 * PAD);
        if (drop > 0)
            draw_blank(setter, line, x + PAD, at);
        at += label_line(setter, line);
    }
}

static void draw_row(const Setter *setter, const Piece *piece, double x, double y)
{
    for (guint i = piece->from; i < piece->until; i++)
        draw_label(setter, piece->block, x + (i - piece->from) * label_width(setter), y, piece->height);
}

void pieces_of_labels(Setter *setter, const Block *block)
{
    for (guint i = 0; i < (guint)block->number; i += ACROSS) {
        Piece *piece = piece_add(setter, draw_row, label_height(setter, block), i == 0 ? 2.6 : 0);
        piece->block = block;
        piece->from = i;
        piece->until = MIN(i + ACROSS, (guint)block->number);
    }
}
