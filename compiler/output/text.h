/* output_text: text strings of a PDF (ISO 32000-1, 7.9.2.2), as UTF-16 in
 * hexadecimal digits. */
#ifndef OUTPUT_TEXT_H
#define OUTPUT_TEXT_H

#include <glib.h>

/* "<FEFF0041>"; the caller frees it. */
char *output_pdf_text(const char *text);
/* Back again; NULL when it is no such string.  The caller frees it. */
char *output_pdf_text_read(const char *digits);

#endif
