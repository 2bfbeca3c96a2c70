/* output_reader: the words of a finished file's pages, by another library (poppler). */
#ifndef OUTPUT_READER_H
#define OUTPUT_READER_H

#include <glib.h>

/* Loads the library in a thread of its own, so that it is there when the drawing is done.
 * May be left out, and may be called again. */
void output_reader_prepare(void);
/* Waits for the library.  FALSE with *error when it cannot be loaded. */
gboolean output_reader_ready(GError **error);

/* A page as it was read. */
typedef struct ReadPage {
    char *text;       /* or NULL when it cannot be read */
    double *x, *y;    /* the middle of each letter, mm from the page's upper left corner; NULL when unknown */
    double *wide;     /* each letter's width, mm */
    guint letters;
} ReadPage;

typedef struct Reader Reader;

/* Begins to read the pages in a thread of its own. */
Reader *output_reader_begin(GBytes *bytes);

/* Helps to read, and ends.  The pages in order (of ReadPage*), owned by the caller; NULL with
 * *error when the file cannot be opened. */
GPtrArray *output_reader_end(Reader *reader, GError **error);

#endif
