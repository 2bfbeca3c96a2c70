/* output: finished documents as bytes, and bytes as files.
 * In the paper program only. */
#ifndef OUTPUT_H
#define OUTPUT_H

#include "report/report.h"
#include "wording/wording.h"

/* How a document is printed. */
typedef struct Printing {
    Paper paper; /* Paper_A4 or Paper_LETTER */
    gboolean large;   /* the large-print build */
    GString *boxes;   /* gets what stands where on each page, one box a line; or NULL */
} Printing;

/* The document as a PDF of its own, in memory.  NULL after findings (does_not_fit,
 * glyph_missing).  The caller owns the bytes. */
GBytes *output_pdf(Arena *arena, const Document *document, const Printing *printing, Diagnostics *diagnostics);

/* A sheet laid out and not drawn, as it would be printed. */
typedef struct OutputLaid OutputLaid;
/* NULL after findings, or with *error when the fonts are not there.  Owned by the arena. */
OutputLaid *output_lay_out(Arena *arena, const Document *document, Paper paper, gboolean large,
                           Diagnostics *diagnostics, GError **error);
/* The page on which a block's words stand, from 1; 0: on none. */
int output_page_of(const Block *block, OutputLaid *laid);

/* A page of the document, the first of which is 0, as a PNG so many pixels wide: drawn at once and
 * not read back, to be looked at while somebody types, never to be printed.  *pages: how many
 * there are.  NULL after findings, or with *error; a word without room or a letter without a glyph, on
 * whichever page, is a finding beside the picture.  The caller owns the bytes. */
GBytes *output_look(Arena *arena, const Document *document, Paper paper, int page, int width, int *pages,
                    Diagnostics *diagnostics, GError **error);

/* TRUE when nothing of the document would be refused for its letters or its room; else findings, or *error. */
gboolean output_fits(Arena *arena, const Document *document, Paper paper, Diagnostics *diagnostics, GError **error);

/* Whether sheets can be read back here; FALSE with *error naming the library that is
 * not there.  Waits while it is loaded. */
gboolean output_ready(GError **error);

/* The first letter of the text that the fonts of this language's sheets lack, or 0; FALSE
 * with *error when the fonts are not there. */
gboolean output_lacks(const char *language, const char *text, gunichar *letter, GError **error);

/* A report as a PDF; made is an RFC 3339 time.  NULL with *error when the fonts
 * are not there.  The caller owns the bytes. */
GBytes *output_report(const Report *report, Paper paper, const char *made, GError **error);

/* One page that says that it is blank, for the back of a leaf; NULL with *error when the fonts
 * are not there.  The caller owns the bytes. */
GBytes *output_blank(const char *language, const char *words, Paper paper, GError **error);

/* ---- many sheets in one print file: the bytes of each stay what they were but for the numbers
 * of its objects; the tags and their tree are kept.  A writer that keeps nothing of a sheet but
 * where its objects went: as much memory for a thousand sheets as for ten. */

typedef struct Merge Merge;
typedef gboolean (*MergeWrite)(gpointer data, const void *bytes, gsize length, GError **error);

Merge *output_merge_new(const char *title, MergeWrite write, gpointer data);
/* Adds all pages of a file of our own; mark: its bookmark, or NULL.  *pages is how many.  FALSE
 * with *error when it cannot be written, or is no such file. */
gboolean output_merge_add(Merge *merge, GBytes *file, const char *mark, int *pages, GError **error);
/* Writes what belongs to all of them. */
gboolean output_merge_end(Merge *merge, GError **error);
void output_merge_free(Merge *merge);

/* ---- reading a sheet again: the finished bytes, read by another library (poppler), must
 * say what the document says: every number of it with its unit, and no other; every
 * name, weekday and place of the plan; the steps in their order.  The syringes' rims
 * are worked out from the strokes. */

/* TRUE when they do; else read_back_differs findings say what is missing or
 * strange.  Numbers are all digits with what stands between them: of times, dates,
 * volumes, counts, telephone numbers and codes.  The person's code must be read
 * on every page.  Where the boxes of the pages are known, numbers that stand beside each other
 * are told apart by them, and each box must say its own words, letter for letter. */
typedef struct Drawn {
    const GPtrArray *pages;  /* of PageBox*: what was drawn where */
    const GArray *syringes;  /* of DrawnSyringe, as output_rims_of found them */
} Drawn;

/* drawn: NULL when only the words matter. */
gboolean output_read_back(const Document *document, GBytes *bytes, const Drawn *drawn, Diagnostics *diagnostics);

/* The words of each page of a finished file (of char*; NULL for a page that cannot be
 * read), owned by the caller; NULL when it cannot be opened. */
GPtrArray *output_page_texts(GBytes *bytes);

/* How many pages a finished sheet has and on how many of them the word stands;
 * FALSE when it cannot be read. */
gboolean output_pages_with(GBytes *bytes, const char *word, int *pages, int *with);

/* A page of a finished file, the first of which is 0, as a PNG so many pixels wide.  NULL with
 * *error when it cannot be read.  The caller owns the bytes. */
GBytes *output_picture(GBytes *file, int page, int width, GError **error);

/* TRUE when the file ends where its maker ended it and no byte differs. */
gboolean output_seal_holds(GBytes *file);
/* How lines of it begin that say on which page each panel of an injection stands:
 * "panel_pages_1: wipe 3, push 4". */
#define OUTPUT_PANELS "panel_pages_"
/* The record, or NULL when the file has none. */
const char *output_seal_record(Arena *arena, GBytes *file);
/* The value behind a word of the record, or NULL. */
const char *output_record_value(Arena *arena, const char *record, const char *word);

#endif
