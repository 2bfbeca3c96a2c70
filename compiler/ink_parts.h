/* ink_parts: how an Ink is held; for ink*.c only. */
#ifndef INK_PARTS_H
#define INK_PARTS_H

#include <pango/pango.h>

#include "ink.h"

struct Ink {
    cairo_t *cairo;
    PangoContext *context;
    gboolean right_to_left;
    InkTrouble trouble;
    char *trouble_text;
    int page;
    int bookmark; /* the last entry of the outline's first level */
    GArray *marks;
    GPtrArray *alternatives;
    GHashTable *layouts; /* text, style and width -> PangoLayout: measured first, drawn later */
};

/* The first trouble is the one that is kept. */
void ink_trouble(Ink *ink, InkTrouble trouble, const char *text);

#endif
