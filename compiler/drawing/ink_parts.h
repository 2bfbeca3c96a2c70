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

/* What decides how a text is set. */
typedef struct InkText {
    const InkRun *runs;
    gsize count;
    int size, width;   /* 1/100 point, 1/1000 mm; 0 of one that is only measured; width below 0: one line */
    gboolean bold;
    gsize from, until; /* the bytes of a line that is set alone; 0, 0: all of it */
    guint hash;
} InkText;

/* A text that is set in lines of some width.  All widths here are pango's units at the size at
 * which all text is set, so that one measure holds for every size. */
typedef struct InkLines {
    int width, lines;
    gboolean breaks; /* no word is wider, no date had to be parted */
} InkLines;

/* What was made of a text. */
typedef struct InkSet {
    InkText text;        /* its runs lie behind it */
    PangoLayout *layout; /* NULL of one that is only measured */
    int natural;         /* width of its longest paragraph in one line */
    int paragraphs;
    GArray *pieces;      /* of its line breaks, as ink_pieces() cuts it; NULL: only pango knows */
    GArray *measured;    /* of InkLines, in no order; NULL until one is */
} InkSet;

/* Borrows the runs. */
InkText ink_text_of(InkStyle style, const InkRun *runs, gsize count, double width);
GHashTable *ink_sets_new(void); /* InkText * -> InkSet *, which it owns */
InkSet *ink_set_new(const InkText *text); /* the words are copied */
void ink_set_free(gpointer set);
InkSet *ink_set_find(const Ink *ink, const InkText *text); /* or NULL */
void ink_set_keep(Ink *ink, InkSet *set);
/* What may not be parted, of a text in one line; NULL where more than widths decides how it breaks. */
GArray *ink_pieces(PangoLayout *layout);
/* The lines of this width (pango's units) that the pieces fill; FALSE: it has to be set to see it. */
gboolean ink_pieces_lines(const GArray *pieces, int width, InkLines *lines);
/* What is known of this width, or follows from others. */
gboolean ink_set_lines(const InkSet *set, int width, InkLines *lines);

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
    GPtrArray *flawed;   /* of InkSet*: with a letter missing: not kept for other sheets, so that each is told */
    GHashTable *sets;    /* see ink_sets.c: measured first, drawn later */
};

/* The first trouble is the one that is kept.  letter: the one without a glyph, or 0. */
void ink_trouble(Ink *ink, InkTrouble trouble, const char *text, gunichar letter);

#endif
