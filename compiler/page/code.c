/* page_code: the telephone's code stands at the end of the lines, beside blocks
 * that leave it room.  What stands beside it is set narrower, and with it. */
#include "page/parts.h"

#include "drawing/drawing.h"

#define COLUMN_GAP 6.0

static const Figure *code_figure(const Block *block)
{
    const Figure *figure = block->figures->len > 0 ? g_ptr_array_index(block->figures, 0) : NULL;
    return figure && figure->shape.kind == FIGURE_CODE ? figure : NULL;
}

static gboolean is_night(const Block *block)
{
    return block->figures->len > 0 &&
           ((const Figure *)g_ptr_array_index(block->figures, 0))->shape.kind == FIGURE_NIGHT_STRIP;
}

/* The block with a code that can be drawn, or NULL. */
static const Block *code_block(const Setter *setter, const DocumentSection *section)
{
    for (guint i = 0; i < section->blocks->len; i++) {
        const Block *block = g_ptr_array_index(section->blocks, i);
        if (block->kind == BLOCK_LIST && code_figure(block) && figure_has_drawing(setter, code_figure(block)))
            return block;
    }
    return NULL;
}

static Extent code_extent(const Setter *setter, const Block *block)
{
    return figure_extent(setter, code_figure(block), setter->width);
}

#define BULLET 6.0
#define MOST_BESIDE 90.0 /* of one block: what stands beside the code is never split */

/* A date that may not break can be wider than what the code leaves. */
static gboolean can_stand_beside(const Setter *setter, const Block *block, double width)
{
    if (block->title && !line_breaks(setter, type(setter, 16, TRUE), block->title, width))
        return FALSE;
    double height = 0;
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *line = g_ptr_array_index(block->lines, i);
        if (!line_breaks(setter, type(setter, 14, FALSE), line, width - BULLET))
            return FALSE;
        height += line_height(setter, type(setter, 14, FALSE), line, width - BULLET);
    }
    return height <= MOST_BESIDE && block->kind != BLOCK_CALL; /* a box is as wide as the page */
}

static void open_aside(Setter *setter, const Block *code)
{
    setter->code = code;
    setter->aside = code_extent(setter, code).width + COLUMN_GAP;
    setter->width -= setter->aside;
    setter->aside_from = setter->pieces->len;
}

/* Height of the pieces beside the code, which starts with the first of them. */
static double height_beside(const Setter *setter)
{
    double height = 0;
    for (guint i = setter->aside_from; i < setter->pieces->len; i++) {
        const Piece *piece = g_ptr_array_index(setter->pieces, i);
        height += piece->height + (i > setter->aside_from ? piece->gap : 0);
    }
    return height;
}

static void keep_all(Setter *setter, guint from, guint until)
{
    for (guint i = from; i < until; i++)
        ((Piece *)g_ptr_array_index(setter->pieces, i))->keep = TRUE;
}

/* The code comes after what it stands beside, in reading order too. */
static void close_aside(Setter *setter)
{
    if (!setter->code)
        return;
    setter->width += setter->aside;
    setter->aside = 0;
    double beside = height_beside(setter);
    keep_all(setter, setter->aside_from, setter->pieces->len);
    Extent extent = code_extent(setter, setter->code);
    Piece *piece = piece_open(setter, 0);
    add_figure(setter, code_figure(setter->code), setter->width - extent.width, -beside, extent.width);
    piece_close(setter, piece, MAX(0, extent.height - beside));
    setter->code = NULL;
    setter->code_end = setter->pieces->len;
}

/* A list of when to call first is read whole or not at all. */
static void add_block(Setter *setter, const Block *block)
{
    guint first = setter->pieces->len;
    pieces_of_block(setter, block);
    if (code_figure(block))
        keep_together(setter, first, 0.8);
    if (block->kind == BLOCK_CALL)
        setter->call_end = setter->pieces->len;
}

/* The first block beside the code; one that is too wide stands above it. */
static void start_aside(Setter *setter, const Block *code, const Block *block)
{
    double width = setter->width - code_extent(setter, code).width - COLUMN_GAP;
    gboolean beside = can_stand_beside(setter, block, width);
    if (!beside)
        add_block(setter, block);
    open_aside(setter, code);
    if (beside)
        add_block(setter, block);
    else
        close_aside(setter);
}

void pieces_of_section(Setter *setter, const DocumentSection *section)
{
    const Block *code = code_block(setter, section);
    setter->code_end = 0;
    for (guint i = 0; i < section->blocks->len; i++) {
        const Block *block = g_ptr_array_index(section->blocks, i);
        if (setter->code && !can_stand_beside(setter, block, setter->width))
            close_aside(setter);
        if (code && (setter->code_place == CODE_BESIDE_NIGHT ? is_night(block) : block == code))
            start_aside(setter, code, block);
        else
            add_block(setter, block);
        if (setter->code && (setter->code_place == CODE_BESIDE_BLOCK ||
                             height_beside(setter) >= code_extent(setter, setter->code).height))
            close_aside(setter);
    }
    close_aside(setter);
}
