/* output_marker: marks the artifacts of each page's content in a thread of its own,
 * while the next page is drawn. */
#ifndef OUTPUT_MARKER_H
#define OUTPUT_MARKER_H

#include "output/artifact.h"

typedef struct Marker Marker;

Marker *output_marker_new(void);
/* Waits for what is not done. */
void output_marker_free(Marker *marker);

/* The file as far as it is written; begins to mark the streams that are new.  Copies them. */
void output_marker_show(Marker *marker, const GByteArray *file);

/* As output_artifacts of the stream at this offset of the file, whether the marker was shown
 * it or not; marker may be NULL.  The caller owns the bytes. */
GByteArray *output_marker_take(Marker *marker, const char *file, gsize offset, gsize length, ContentRead read,
                               gpointer data);

#endif
