/* page_box: what a page is made of.  A box has its place and size on the page and says what
 * it prints: words, a drawing or a shape.  Measuring makes boxes, once; drawing, the tags of
 * the structure, the debug output and the read-back walk them.
 *
 * All lengths are mm.  x counts from the side where lines begin: from the right on a page
 * that runs from there. */
#ifndef PAGE_BOX_H
#define PAGE_BOX_H

#include "drawing/drawing.h"
#include "wording/wording.h"

typedef enum BoxKind {
    BOX_GROUP,
    BOX_TEXT,
    BOX_DRAWING,
    BOX_TINT,   /* a filled ground with round corners */
    BOX_FRAME,  /* a line round it */
    BOX_RULE,   /* a line from its corner to the opposite one */
    BOX_FILL,   /* black, or paler */
    BOX_ARROW,  /* a head that points to the end of the line, or up */
    BOX_DOT,    /* black */
    BOX_TICK,   /* to tick */
    BOX_MARK,   /* large pale words across the page */
} BoxKind;

typedef struct PageBox PageBox;
struct PageBox {
    BoxKind kind;
    double x, y, width, height;
    const char *tag;         /* of the structure around it, or NULL */
    gboolean links;          /* links drawn until its end are written behind it */
    int bookmark;            /* level of the outline's entry that leads to it; 0: none */
    gboolean from_right;     /* of a page: it runs from the right */
    PageBox *first, *last;   /* of what is in a group, in order */
    PageBox *next, *around;  /* in the same group; the group */

    InkStyle style;          /* of words */
    const InkRun *runs;
    gsize count;
    gboolean crowded;        /* a word is wider than the box, or a date has to be parted */

    double weight, radius;   /* of shapes */
    double grey;             /* 0 black, 1 white */
    gboolean upward;         /* of an arrow */

    const FigureShape *shape; /* of drawings */
    FigureRoom room;
    const char *alt;
    Arena *arena;
};

/* Where boxes go while a piece is measured: the innermost open group. */
typedef struct BoxPile {
    Arena *arena;
    PageBox *open; /* NULL: what is added stands by itself */
} BoxPile;

void box_pile_begin(BoxPile *pile, Arena *arena);
/* Behind what is in the group; a box is in one group at most. */
void box_take(PageBox *group, PageBox *box);
PageBox *box_add(BoxPile *pile, BoxKind kind, double x, double y, double width, double height);
PageBox *box_open(BoxPile *pile, const char *tag);
/* Gives the group the extent of what is in it. */
PageBox *box_close(BoxPile *pile);
/* Of everything in it too. */
void box_move(PageBox *box, double dx, double dy);

void box_draw(Ink *ink, const PageBox *page);
/* All boxes that are no group, in order; left: where they really stand, from the page's left edge. */
typedef void (*BoxVisit)(const PageBox *box, double left, gpointer data);
void box_visit(const PageBox *page, BoxVisit visit, gpointer data);
/* The words of a box as bare text. */
const char *box_words(Arena *arena, const PageBox *box);
/* One line a box, those inside further in. */
void box_print(GString *out, const PageBox *box, guint depth);

#endif
