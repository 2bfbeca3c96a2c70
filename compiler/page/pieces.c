/* page_pieces: what stands together on a page. */
#include "page/parts.h"

Piece *piece_open(Setter *setter, double gap)
{
    Piece *piece = arena_new0(setter->arena, Piece);
    piece->gap = gap;
    piece->begins = "";
    setter->pile.open = NULL; /* no page yet: it stands by itself */
    piece->box = box_open(&setter->pile, NULL);
    piece->box->width = BLOCK_WIDTH;
    return piece;
}

void piece_close(Setter *setter, Piece *piece, double height)
{
    piece->height = piece->box->height = height;
    box_close(&setter->pile);
    g_ptr_array_add(setter->pieces, piece);
}
