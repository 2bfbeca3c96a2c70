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

static void add_blank(Setter *setter, const Line *line, double x, double y)
{
    const InkRun words = {line_text(setter->arena, line), FALSE, NULL};
    double from = x + ink_text_width(setter->ink, label_type(setter), &words, 1) + 2;
    add_rule(setter, INK_FINE_LINE, from, y + BLANK_HEIGHT - 1, x + label_width(setter) - 2 * PAD,
             y + BLANK_HEIGHT - 1);
}

static double add_label(Setter *setter, const Block *block, double x)
{
    PageBox *frame = add_frame(setter, INK_OUTLINE, x, 0, label_width(setter), 0, 0);
    double at = PAD;
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *line = line_at(block, i);
        double drop = is_blank(setter, line) ? 3.5 : 0;
        add_line(setter, "P", label_type(setter), line, x + PAD, at + drop, label_width(setter) - 2 * PAD);
        if (drop > 0)
            add_blank(setter, line, x + PAD, at);
        at += label_line(setter, line);
    }
    return frame->height = at + PAD;
}

void pieces_of_labels(Setter *setter, const Block *block)
{
    for (guint i = 0; i < (guint)block->number; i += ACROSS) {
        Piece *piece = piece_open(setter, i == 0 ? 2.6 : 0);
        double height = 0;
        for (guint j = i; j < MIN(i + ACROSS, (guint)block->number); j++)
            height = add_label(setter, block, (j - i) * label_width(setter));
        piece_close(setter, piece, height);
    }
}
