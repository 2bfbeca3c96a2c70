/* page_parts: what page*.c share. */
#ifndef PAGE_PARTS_H
#define PAGE_PARTS_H

#include "page/page.h"

typedef struct Piece Piece;
typedef struct Setter Setter;

/* Draws a piece at its place. */
typedef void (*PieceDraw)(const Setter *setter, const Piece *piece, double x, double y);

/* What stands together and is never split. */
struct Piece {
    PieceDraw draw;
    double height, gap;      /* gap: air above, unless it starts a page */
    gboolean new_page, keep; /* keep: stays with the next piece */
    gboolean urgent;         /* belongs on as early a page as it can: the signs of an emergency */
    gboolean yields;         /* but lets it go when a page does not hold all that stays together */
    const char *tag;         /* of the structure tree, or NULL */
    const char *opens, *closes; /* tags around several pieces */
    const Line *line;
    const Block *block;
    guint from, until;       /* a stretch of the block's items or lines */
    double aside;            /* mm at the end of its lines that are left to the code */
    double rise;             /* mm above it where its drawing starts */
};

/* Where page one holds the telephone's code: beside its block and what follows,
 * beside its block alone, or beside the night strip and what follows. */
typedef enum CodePlace { CODE_BESIDE_WORDS, CODE_BESIDE_BLOCK, CODE_BESIDE_NIGHT } CodePlace;

struct Setter {
    Arena *arena;
    Ink *ink;
    const Document *document;
    PageSpec spec;
    double width;            /* of the text column */
    CodePlace code_place;
    const Block *code;       /* holds the code that stands beside what is added, or NULL */
    double aside;            /* mm of the column that it takes */
    guint aside_from;        /* the first piece beside it */
    guint code_end, call_end; /* behind the code (0: none), and the box of whom to call */
    gboolean headed;         /* the section at hand has a heading of its own */
    GPtrArray *pieces;       /* of Piece*, while measuring */
};

/* ---- type ---- */

/* Sizes in points for the body of 14; the large print scales them. */
/* The widest line that is read with ease: six inches (US access advice). */
double measure(const Setter *setter);
double column(const Setter *setter, double width);
InkStyle type(const Setter *setter, double size, gboolean bold);
double line_height(const Setter *setter, InkStyle style, const Line *line, double width);
/* Unbroken. */
double line_width(const Setter *setter, InkStyle style, const Line *line);
/* No word is wider, and no date with its time has to be parted. */
gboolean line_breaks(const Setter *setter, InkStyle style, const Line *line, double width);
double line_draw(const Setter *setter, InkStyle style, const Line *line, double x, double y, double width);
double tagged_line(const Setter *setter, const char *tag, InkStyle style, const Line *line, double x, double y,
                   double width);

/* ---- pieces ---- */

Piece *piece_add(Setter *setter, PieceDraw draw, double height, double gap);
/* Pieces from the first on stay on one page, as far as they fill no more than
 * this share of it; FALSE when they fill more. */
gboolean keep_together(Setter *setter, guint first, double share);
/* Pieces of one block. */
void pieces_of_block(Setter *setter, const Block *block);
void add_title(Setter *setter, const Block *block);
/* A title within a list ends it; the caller opens the next. */
void title_in_list(Setter *setter, const Block *item);
void pieces_of_labels(Setter *setter, const Block *block);
void pieces_of_steps(Setter *setter, const Block *block);

/* ---- the telephone's code ---- */

/* All pieces of a section, the code beside some of them: see page_code.c. */
void pieces_of_section(Setter *setter, const DocumentSection *section);

/* ---- figures ---- */

typedef struct Extent { double width, height; } Extent;

/* The drawing with its caption; width is what the column offers. */
Extent figure_extent(const Setter *setter, const Figure *figure, double width);
/* FALSE for a code whose text is too long for one. */
gboolean figure_has_drawing(const Setter *setter, const Figure *figure);
void figure_place(const Setter *setter, const Figure *figure, double x, double y, double width);
void kit_drawing(const Setter *setter, const Block *item, double x, double y);

#endif
