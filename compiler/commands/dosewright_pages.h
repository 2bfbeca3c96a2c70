/* dosewright_pages: which pages of a sheet a file holds, in which order. */
#ifndef DOSEWRIGHT_PAGES_H
#define DOSEWRIGHT_PAGES_H

#include <glib.h>

/* Adds what is wrong with the pages, as char* to be freed: one that is missing, there
 * twice, out of its place, or of no sheet with this code.  texts: of each page, as
 * output_page_texts gives them; labels: as the record writes them, "page {page} of
 * {pages}", one for each language, ended by NULL. */
void pages_faults(const GPtrArray *texts, const char *code, const char *const *labels, GPtrArray *faults);

#endif
