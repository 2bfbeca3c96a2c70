/* output_artifact: what a page draws outside the structure tree (running head and
 * foot, tick boxes, rules, tints) is marked as an artifact, so that a screen
 * reader passes over it (ISO 14289-1, 7.1).  cairo 1.16 cannot write such marks. */
#ifndef OUTPUT_ARTIFACT_H
#define OUTPUT_ARTIFACT_H

#include <glib.h>

/* The page's content, as cairo compressed it (zlib), with marks, compressed
 * again.  NULL when it is no such content.  The caller owns the result.  read: called
 * with the very content that was compressed; may be NULL. */
typedef void (*ContentRead)(const char *content, gsize length, gpointer data);
GByteArray *output_artifacts(const char *compressed, gsize length, ContentRead read, gpointer data);

/* The same on plain content; appends to out. */
void output_mark_artifacts(const char *content, gsize length, GString *out);

#endif
