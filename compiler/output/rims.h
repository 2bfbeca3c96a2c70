/* output_rims: where the syringes' rims really stand on a finished page, worked out
 * from the strokes of its content alone. */
#ifndef OUTPUT_RIMS_H
#define OUTPUT_RIMS_H

#include "wording/wording.h"

/* A syringe as it was drawn, in points along its barrel. */
typedef struct DrawnSyringe {
    double zero, last, rim; /* first mark, last mark, pointer */
    guint marks;
    gboolean pointed;
} DrawnSyringe;

/* Adds the syringes of one page's content (ISO 32000-1, 8.5) to the array of
 * DrawnSyringe, in the order of drawing. */
void output_rims_of(const char *content, gsize length, GArray *out);

/* Compares them with the document's figures in turn: as many marks as the syringe
 * has, the rim at the plan's volume within 0.1 mm.  NULL when all agree, else what
 * does not; the caller owns it. */
char *output_rims_differ(const Document *document, const GArray *drawn);

#endif
