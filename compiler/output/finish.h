/* output_finish: what a reader with a screen reader needs and cairo does not
 * write: language, title display, alternative texts, catalogue data, tab order,
 * names of links.  Appended to the file as an update, so that no byte of the
 * drawing changes. */
#ifndef OUTPUT_FINISH_H
#define OUTPUT_FINISH_H

#include "output/marker.h"

typedef struct FinishWords {
    const char *language;        /* BCP 47 */
    const char *const *parts;    /* of each part of the document (Sect), as many as there are */
    const char *title;
    const char *made;            /* RFC 3339 */
    const char *record;          /* of its making: see output_seal.h */
    const GPtrArray *alternatives; /* of char*: one for each Figure, in order of drawing */
    ContentRead read;            /* gets each page's content as it is written; may be NULL */
    gpointer read_data;
    Marker *marker;              /* that was shown the bytes as they grew, or NULL */
} FinishWords;

/* Bytes as cairo 1.16 writes them (a classic cross-reference table), finished.
 * NULL when they are not of that form or the figures do not match: a mistake of
 * ours, which the caller asserts on.  The caller owns the result. */
GBytes *output_finish(GByteArray *bytes, const FinishWords *words);

#endif
