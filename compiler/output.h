/* output: finished documents as bytes, and bytes as files.
 * output_pdf is in the paper program only; output_publish in both. */
#ifndef OUTPUT_H
#define OUTPUT_H

#include "report.h"
#include "wording.h"

/* The document as a PDF of its own, in memory.  paper: Paper_A4 or Paper_LETTER.
 * large: the large-print build.  NULL after findings (does_not_fit,
 * glyph_missing).  The caller owns the bytes. */
GBytes *output_pdf(Arena *arena, const Document *document, ChoiceWord paper, gboolean large,
                   Diagnostics *diagnostics);

/* Whether sheets can be read back here; FALSE with *error naming the library that is
 * not there.  Waits while it is loaded. */
gboolean output_ready(GError **error);

/* A report as a PDF; made is an RFC 3339 time.  NULL with *error when the fonts
 * are not there.  The caller owns the bytes. */
GBytes *output_report(const Report *report, ChoiceWord paper, const char *made, GError **error);

/* Writes bytes as folder/name, mode 0600, whole or not at all: an older file
 * stays untouched until the new one is durable.  The folder is made when it is
 * not there (0700).  FALSE with *error naming the file. */
gboolean output_publish(const char *folder, const char *name, GBytes *bytes, GError **error);

#endif
