/* page_pieces: what stands together on a page, and headings. */
#include "page/parts.h"

#define TITLE_GAP 5.0

Piece *piece_open(Setter *setter, double gap)
{
    Piece *piece = arena_new0(setter->arena, Piece);
    piece->gap = gap;
    piece->begins = "";
    g_ptr_array_set_size(setter->pile.open, 0); /* no page yet: it stands by itself */
    piece->box = box_open(&setter->pile, NULL);
    piece->box->width = setter->width;
    return piece;
}

void piece_close(Setter *setter, Piece *piece, double height)
{
    piece->height = piece->box->height = height;
    box_close(&setter->pile);
    g_ptr_array_add(setter->pieces, piece);
}

double room(const PageSpec *spec) { return spec->height - spec->top - spec->bottom; }

double group_height(GPtrArray *pieces, guint first, guint *last)
{
    double height = 0;
    guint i = first;
    for (; i < pieces->len; i++) {
        const Piece *piece = g_ptr_array_index(pieces, i);
        height += piece->height + (i > first ? piece->gap : 0);
        if (!piece->keep)
            break;
    }
    *last = MIN(i, pieces->len - 1);
    return height;
}

gboolean keep_together(Setter *setter, guint first, double share)
{
    double height = 0, limit = room(&setter->spec) * share;
    for (guint i = first, last; i < setter->pieces->len; i = last + 1) {
        const Piece *piece = g_ptr_array_index(setter->pieces, i);
        height += group_height(setter->pieces, i, &last) + (i > first ? piece->gap : 0);
        if (height > limit)
            return FALSE;
        if (i > first)
            ((Piece *)g_ptr_array_index(setter->pieces, i - 1))->keep = TRUE;
    }
    return TRUE;
}

void add_title(Setter *setter, const Block *block)
{
    if (!block->title)
        return;
    Piece *piece = piece_open(setter, TITLE_GAP);
    piece->begins = line_text(setter->arena, block->title);
    piece->tag = setter->headed ? "H3" : "H2"; /* no level is skipped */
    piece->keep = TRUE;
    piece_close(setter, piece, add_line(setter, piece->tag, type(setter, 16, TRUE), block->title, 0, 0, setter->width));
}

void title_in_list(Setter *setter, const Block *item)
{
    Piece *before = g_ptr_array_index(setter->pieces, setter->pieces->len - 1);
    before->closes = "L";
    add_title(setter, item);
}
