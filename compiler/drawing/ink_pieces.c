/* ink_pieces: how many lines a text takes in a column, without setting it again.  Pango fills lines
 * one after the other with what may not be parted, and the widths that it does so by are those of
 * the text in one line; so the answer follows from them, wherever no decision is a near one.  Where
 * one is, or the text is none of plain left-to-right words, it is set, and pango says. */
#include <string.h>

#include "drawing/ink_parts.h"

/* What may not be parted, and the spaces behind it, which count for nothing at a line's end. */
typedef struct Piece {
    int width, space;
    gboolean last;   /* of its paragraph */
    gboolean parted; /* between runs */
    gboolean edge;   /* its spaces are several, or the last of a run: pango may count them */
} Piece;

typedef struct Cutting {
    GArray *pieces;
    Piece open;
    const PangoLogAttr *attrs; /* of the text's letters */
    const char *text;
} Cutting;

static void close_piece(Cutting *cutting, gboolean last)
{
    cutting->open.last = last;
    g_array_append_val(cutting->pieces, cutting->open);
    cutting->open = (Piece){0};
}

/* A letter, by its number in the text.  FALSE when only pango knows what becomes of it. */
static gboolean take_letter(Cutting *cutting, glong letter, int width)
{
    const PangoLogAttr *attr = &cutting->attrs[letter];
    if (attr->is_line_break && (attr->break_inserts_hyphen || attr->break_removes_preceding))
        return FALSE;
    if (attr->is_line_break && (cutting->open.width > 0 || cutting->open.space > 0))
        close_piece(cutting, FALSE);
    if (attr->is_white) {
        cutting->open.edge = cutting->open.space > 0;
        cutting->open.space += width;
    } else {
        cutting->open.width += cutting->open.space + width;
        cutting->open.space = 0;
        cutting->open.edge = FALSE;
    }
    return TRUE;
}

static gboolean take_run(Cutting *cutting, PangoGlyphItem *run)
{
    const PangoItem *item = run->item;
    if (item->analysis.level != 0 || memchr(cutting->text + item->offset, '\t', (gsize)item->length))
        return FALSE;
    g_autofree int *widths = g_new0(int, (gsize)item->num_chars);
    pango_glyph_item_get_logical_widths(run, cutting->text, widths);
    cutting->open.parted = cutting->open.width > 0;
    cutting->open.edge = cutting->open.space > 0;
    glong first = g_utf8_pointer_to_offset(cutting->text, cutting->text + item->offset);
    for (int i = 0; i < item->num_chars; i++)
        if (!take_letter(cutting, first + i, widths[i]))
            return FALSE;
    return TRUE;
}

static gboolean take_line(Cutting *cutting, const PangoLayoutLine *line)
{
    if (line->resolved_dir != PANGO_DIRECTION_LTR)
        return FALSE;
    for (GSList *run = line->runs; run; run = run->next)
        if (!take_run(cutting, run->data))
            return FALSE;
    close_piece(cutting, TRUE);
    return TRUE;
}

GArray *ink_pieces(PangoLayout *layout)
{
    int letters;
    Cutting cutting = {g_array_new(FALSE, FALSE, sizeof(Piece)), {0},
                       pango_layout_get_log_attrs_readonly(layout, &letters), pango_layout_get_text(layout)};
    for (GSList *line = pango_layout_get_lines_readonly(layout); line; line = line->next)
        if (!take_line(&cutting, line->data)) {
            g_array_unref(cutting.pieces);
            return NULL;
        }
    return cutting.pieces;
}

#define NEAR 2 /* of pango's units, 1024 to the point */

typedef struct Filling {
    int width, lines;
    int used;       /* of the last line */
    gboolean wider; /* something stands over the edge */
} Filling;

/* FALSE when only pango knows where it stands. */
static gboolean put_piece(Filling *filling, const Piece *piece)
{
    int room = piece->width + (piece->edge ? piece->space : 0);
    if (filling->used > 0 && filling->used + room + NEAR > filling->width) {
        if (filling->used + piece->width <= filling->width + NEAR)
            return FALSE;
        filling->lines++;
        filling->used = 0;
    }
    gboolean begins = filling->used == 0, fits = room + NEAR <= filling->width;
    gboolean wider = piece->width > filling->width + NEAR;
    filling->used += piece->width + piece->space;
    filling->wider = filling->wider || wider;
    return !begins || fits || (wider && !piece->parted);
}

gboolean ink_pieces_lines(const GArray *pieces, int width, InkLines *lines)
{
    Filling filling = {.width = width, .lines = 0};
    gboolean begins = TRUE;
    for (guint i = 0; i < pieces->len; i++) {
        const Piece *piece = &g_array_index(pieces, Piece, i);
        filling.lines += begins;
        filling.used = begins ? 0 : filling.used;
        if (!put_piece(&filling, piece))
            return FALSE;
        begins = piece->last;
    }
    *lines = (InkLines){width, filling.lines, !filling.wider};
    return TRUE;
}
