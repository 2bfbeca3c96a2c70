/* page: a document's blocks as pieces on pages, in mm.  Edits no words; type
 * never shrinks; a piece (a row of panels, a box) is never split.
 */
#ifndef PAGE_H
#define PAGE_H

#include "page/box.h"

typedef struct PageSpec {
    double width, height;  /* of the sheet of paper, mm */
    double margin;         /* left and right */
    double top, bottom;    /* where content starts and ends, from the paper's edges */
    double air;            /* so much of the height goes into the air between bands, and into nothing else */
    gboolean large;        /* large print: see the two sizes of each type in grid.h */
} PageSpec;

/* paper: Paper_A4 or Paper_LETTER. */
PageSpec page_spec(Paper paper, gboolean large);

typedef struct Pages Pages;

/* Measures and distributes.  Owned by the arena.  Raises does_not_fit for what no page holds. */
Pages *page_lay_out(Arena *arena, Ink *ink, const Document *document, PageSpec spec,
                    Diagnostics *diagnostics);
int page_count(const Pages *pages);
/* Everything on a page, the first of which is 0; places count from its corner. */
const PageBox *page_box(const Pages *pages, int page);
/* All boxes as text, one a line: for those who want to know why a page looks as it does. */
void page_print(const Pages *pages, GString *out);
/* Draws one page, in the language that the ink is set to; the caller opens and closes the tags
 * around pages, and ends the page. */
void page_draw(const Pages *pages, Ink *ink, int page);

#endif
