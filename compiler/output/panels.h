/* output_panels: on which page each panel of a laid out sheet stands. */
#ifndef OUTPUT_PANELS_H
#define OUTPUT_PANELS_H

#include "page/page.h"

typedef struct Panels Panels;

/* Owned by the arena, in which the document and its pages live. */
Panels *panels_of(Arena *arena, const Document *document, const Pages *pages);
/* From 1; 0: on none. */
int panels_page(const Panels *panels, const Block *block);
/* A line for each injection, as OUTPUT_PANELS says. */
void panels_say(const Panels *panels, GString *out);

#endif
