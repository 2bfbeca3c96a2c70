/* output_read_back: the finished bytes, read by another library (poppler), must
 * say what the document says: every number of it with its unit, and no other; every
 * name, weekday and place of the plan; the steps in their order.  The syringes' rims
 * are worked out from the strokes. */
#ifndef OUTPUT_READ_BACK_H
#define OUTPUT_READ_BACK_H

#include "wording.h"

/* TRUE when they do; else read_back_differs findings say what is missing or
 * strange.  Numbers are all digits with what stands between them: of times, dates,
 * volumes, counts, telephone numbers and codes.  The person's code must be read
 * on every page.  drawn: of DrawnSyringe, as output_rims_of found
 * them; NULL when only the words matter. */
gboolean output_read_back(const Document *document, GBytes *bytes, const GArray *drawn, Diagnostics *diagnostics);

/* How many pages a finished sheet has and on how many of them the word stands;
 * FALSE when it cannot be read. */
gboolean output_pages_with(GBytes *bytes, const char *word, int *pages, int *with);

#endif
