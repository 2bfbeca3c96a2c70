/* ink: cairo and pango in millimetres.  Text is set in Andika from a private font
 * configuration, so that a sheet looks the same on every machine and starts
 * fast.  Knows nothing of what it draws.
 *
 * Troubles are sticky: drawing goes on, ink_problem says what happened first.
 * All lengths are mm, all type sizes points.  Nothing is owned by the caller
 * but the Ink. */
#ifndef INK_H
#define INK_H

#include <cairo.h>
#include <glib.h>

typedef struct Ink Ink;

#define INK_OUTLINE 0.38 /* line weight of things */
#define INK_STRONG 0.7   /* of what is held or pointed at */
#define INK_FINE_LINE 0.2
#define INK_RADIUS 1.2   /* of rounded corners */
#define INK_POINT (25.4 / 72.0) /* mm */

typedef enum InkAlign { INK_LEFT, INK_CENTRE, INK_RIGHT } InkAlign;

typedef struct InkStyle {
    double size;     /* points */
    gboolean bold;
    double grey;     /* 0 black, 1 white */
    double leading;  /* line pitch in em; 0 means the ordinary 1.35 */
    InkAlign align;
} InkStyle;

typedef struct InkRun {
    const char *text;
    gboolean bold;
    const char *link; /* "tel:+1902...", "#name" of a destination in this document, or NULL */
} InkRun;

typedef enum InkTrouble {
    INK_FINE,
    INK_GLYPH_MISSING, /* the font lacks a letter of the text */
    INK_TOO_WIDE,      /* a word is wider than its column */
    INK_FAILED,        /* cairo reports an error */
} InkTrouble;

/* Begins to load the fonts in a thread of its own; may be left out.  ink_prepared waits
 * for it: before the program ends. */
void ink_prepare(void);
void ink_prepared(void);

/* Draws on a context of 72 points to the inch (PDF).  NULL with *error when the
 * fonts are not there; the error names their package. */
Ink *ink_new(cairo_t *cairo, GError **error);
void ink_free(Ink *ink);
cairo_t *ink_cairo(Ink *ink);
InkTrouble ink_problem(const Ink *ink, const char **text);
/* Of INK_GLYPH_MISSING: the first letter of the text without a glyph; 0 of any other. */
gunichar ink_missing_letter(const Ink *ink);
/* Faces, direction and line pitch for a language (BCP 47) from now on.  FALSE
 * with *error when its fonts are not there; the error names their package. */
gboolean ink_set_language(Ink *ink, const char *tag, GError **error);
/* How much higher its lines are than those of Latin letters: 1 or more.  Numerals and names in Latin letters
 * among letters that are set larger keep their own pitch. */
double ink_stretch(const Ink *ink);
/* The language at hand is read from the right. */
gboolean ink_from_right(const Ink *ink);
/* Places on a page of this width are counted from its right edge from now on; 0:
 * from the left.  Returns what held before.  Drawings are never mirrored: switch
 * it off, having asked ink_place where they go. */
double ink_mirror(Ink *ink, double width);
double ink_place(const Ink *ink, double x, double width);

/* ---- text ---- */

double ink_text_width(Ink *ink, InkStyle style, const InkRun *runs, gsize count);
/* TRUE when no word is wider than this, and no date with its time has to be parted. */
gboolean ink_text_breaks(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width);
/* TRUE when it can be drawn: no line of it is wider, when dates are parted that have to be. */
gboolean ink_text_holds(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width);
double ink_text_height(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width);
/* Both at once. */
typedef struct InkExtent { double height; gboolean breaks; } InkExtent;
InkExtent ink_text_extent(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width);
/* Draws within width from (x, top); returns the height. */
double ink_text_draw(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double x, double top,
                     double width);
/* One short text on one line, placed by its alignment about x; baseline given. */
void ink_label(Ink *ink, InkStyle style, const char *text, double x, double baseline);

/* The same as a drawing, which no reader takes for text: for marks across a page. */
void ink_shape_label(Ink *ink, InkStyle style, const char *text, double x, double baseline);

/* ---- tags of the document's structure ---- */

void ink_tag(Ink *ink, const char *name);
void ink_untag(Ink *ink, const char *name);
/* Writes the links of the text drawn since; call it outside any tag of text. */
void ink_close_links(Ink *ink);
/* Where links to "#name" lead: the place y on the page. */
void ink_destination(Ink *ink, const char *name, double y);
/* The tag of a picture, with what it shows in words. */
void ink_tag_figure(Ink *ink, const char *alternative);
/* The words of all pictures so far, in order: of char*. */
const GPtrArray *ink_alternatives(const Ink *ink);

/* An entry of the document's outline, for the place y on the page; under: below
 * the last one that is not. */
void ink_bookmark(Ink *ink, gboolean under, const char *text, double y);

/* ---- shapes ---- */

/* Line weights and patterns are the same on paper whatever scale a drawing has. */
void ink_pen(Ink *ink, double weight);
double ink_on_paper(Ink *ink, double mm); /* so many mm of the page, in the drawing's own scale */
void ink_line(Ink *ink, double x1, double y1, double x2, double y2);
void ink_rounded(Ink *ink, double x, double y, double width, double height, double radius); /* a path */
void ink_stroke(Ink *ink);
void ink_fill_white_and_stroke(Ink *ink);
void ink_fill_tint(Ink *ink);                 /* the one pale tint */
void ink_fill_grey(Ink *ink, double grey);
void ink_fill_hub(Ink *ink, const char *colour_word); /* ISO 6009 colour of a needle's hub */
double ink_hub_grey(const char *colour_word); /* how that colour copies: 0 black .. 1 white */
void ink_fill_water(Ink *ink);                /* pale blue and hatched */
void ink_fill_water_plain(Ink *ink);          /* the same blue where marks must be read */
void ink_fill_powder(Ink *ink);               /* dotted */
void ink_tick_box(Ink *ink, double x, double y, double size);

/* ---- marks: where things were really drawn, for tests and the read-back ---- */

typedef struct InkMark {
    const char *name; /* static */
    double x, y;      /* mm on the page */
    int page;
} InkMark;

void ink_mark(Ink *ink, const char *name, double x, double y);
void ink_next_page(Ink *ink);
const GArray *ink_marks(const Ink *ink); /* of InkMark */

#endif
