/* ink_parts: how an Ink is held; for ink*.c only. */
#ifndef INK_PARTS_H
#define INK_PARTS_H

#include <pango/pango.h>

#include "drawing/ink.h"

/* How a language is set. */
typedef struct InkScript {
    const char *tag;          /* BCP 47, its first part */
    const char *family;
    const char *package;      /* that brings the files, in Debian */
    const char *files[2];
    GUnicodeScript enlarged;  /* letters that are set larger than the rest, or none */
    double scale;             /* by so much */
    double stretch;           /* of the line pitch */
    gboolean right_to_left;
} InkScript;

const InkScript *ink_script(const char *tag);
gboolean ink_load_script(const InkScript *script, GError **error);
PangoFontMap *ink_font_map(GError **error);

/* The size at which all text is set, in points.  Each size would be a face of its own,
 * with its own search for the font.  This one is a whole number of pango's units both in
 * mm and on the page, so that sizes come out as they were asked for. */
#define INK_SET_SIZE 45.0
PangoFontDescription *ink_face(const InkScript *script); /* at that size; the caller frees it */

struct Ink {
    cairo_t *cairo;
    PangoContext *context;
    const InkScript *script;
    double mirror;
    InkTrouble trouble;
    char *trouble_text;
    gunichar missing_letter;
    int page;
    int bookmark; /* the last entry of the outline's first level */
    GArray *marks;
    GPtrArray *links; /* of char*: attributes of links drawn over, but not written yet */
    GPtrArray *alternatives;
    const InkScript *face; /* whose extents were asked for last */
    double face_ascent, face_descent;
    GPtrArray *flawed;   /* layouts with a letter missing: never kept, so that each sheet is told */
    GHashTable *layouts; /* text, style and width -> PangoLayout: measured first, drawn later */
};

/* The first trouble is the one that is kept.  letter: the one without a glyph, or 0. */
void ink_trouble(Ink *ink, InkTrouble trouble, const char *text, gunichar letter);

#endif
