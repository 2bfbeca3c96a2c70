/* compare: two revisions of a protocol in the words of the person who injects. */
#ifndef COMPARE_H
#define COMPARE_H

#include "diagnostic.h"
#include "plan.h"

typedef struct CompareSide {
    const Plan *plan;         /* without a patient */
    Diagnostics *diagnostics; /* judged */
    const char *meaning;      /* seal_text of the protocol, or NULL when it cannot be read */
} CompareSide;

/* Appends the differences, one a line, then the findings that appear or vanish.
 * TRUE when the meaning is the same. */
gboolean compare_protocols(const CompareSide *old, const CompareSide *new, GString *out);

#endif
