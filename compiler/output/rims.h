/* output_rims: where the syringes' rims really stand on a finished page, worked out
 * from the strokes of its content alone. */
#ifndef OUTPUT_RIMS_H
#define OUTPUT_RIMS_H

#include "page/page.h"

/* A syringe as it was drawn, in points along its barrel. */
typedef struct DrawnSyringe {
    double zero, last, rim; /* first mark, last mark, pointer */
    guint marks;
    gboolean pointed;
    guint figure; /* the how-manieth figure of the file it is; the first is 1 */
    const FigureShape *shape; /* which that is, as far as known */
} DrawnSyringe;

typedef struct DrawnFigures {
    GArray *syringes; /* of DrawnSyringe, in the order of drawing */
    guint count;      /* of all figures so far */
} DrawnFigures;

/* Adds the syringes of one page's content (ISO 32000-1, 8.5). */
void output_rims_of(const char *content, gsize length, DrawnFigures *out);
/* Says of each which figure it is, and drops what looks like a syringe and is another picture: a
 * row of ribs beside a strong line.  pages: of PageBox*, all of the file. */
void output_rims_sift(GArray *syringes, const GPtrArray *pages);

/* Compares them with the document's figures in turn: as many marks as the syringe
 * has, the rim at the plan's volume within 0.1 mm.  NULL when all agree, else what
 * does not; the caller owns it. */
char *output_rims_differ(const Document *document, const GArray *drawn);

#endif
