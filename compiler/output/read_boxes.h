/* output_read_boxes: what a finished page says, box by box.  Words that stand beside each
 * other belong to their own boxes, however a reader joins them. */
#ifndef OUTPUT_READ_BOXES_H
#define OUTPUT_READ_BOXES_H

#include "output/reader.h"
#include "page/page.h"

/* One box of words or one drawing, with the letters that were read in it. */
typedef struct ReadBox {
    const PageBox *box; /* NULL: letters outside every box */
    double left;        /* mm from the page's left edge */
    GString *text;      /* in the order of reading; a space where the reader had one or was elsewhere between */
    GArray *letters;    /* the same without spaces, with their places */
} ReadBox;

/* The letters line by line, each line from left to right: a reader may take columns for lines.
 * The caller owns it. */
char *output_read_lines(const ReadBox *one);

/* Of ReadBox, in the order of the page's boxes, the strays last; the caller owns it. */
GArray *output_read_boxes(const PageBox *page, const ReadPage *read);

#endif
