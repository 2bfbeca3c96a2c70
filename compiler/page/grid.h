/* page_grid: the rules by which a sheet's pages are made, in one place.
 *
 * What is set in a script with larger letters has its minute and its headings as much smaller in ordinary print.
 * The live block is 185 mm wide, three columns of 58 with gutters of 5.5, and 255 high on both
 * papers; what A4 is higher goes into the air between lines and bands, its pages end where they do on
 * Letter.  Type has the sizes of TYPES and no other.  What yields when words grow stands in YIELDING, in
 * that order; type, the stop box, life-size pictures, the call box and ticks never yield.  The clinic's
 * own page, read at a desk by day, has smaller type and ticks; on a full one a list to tick off stands in
 * two columns.
 *
 * Where pages end (see leaves.c):
 *   - a section that wants a new page starts one;
 *   - no page ends while a needle is bare, nor behind a heading;
 *   - a page takes the first level at which all of it fits; a section that fits at none goes
 *     on to another page, at the last level but roomy again if two pages are emptier;
 *   - a kit for which its page has no room stands behind all else, and page one says where (kit_last.c);
 *   - filling and injecting face each other (an even page and the odd one behind it) or
 *     share a page; work on two pages opens on an even one, and no leaf is turned within it;
 *   - a page on which lines stand closer than they are read with ease, or are longer, has them as they should be
 *     where air and the size of its pictures can give that room, and no picture is left out for it;
 *   - large print has eight pages at most, or ten for two injections, where any level holds it on them; a row of it
 *     has two panels at most, and where a needle is bare the row begins and ends with that;
 *   - a sheet that has a form for one leaf (a filled syringe given once) takes it in ordinary print where all of it
 *     stands on the leaf's two pages, else its ordinary form, and never anything in between;
 *   - what is left of a page is shared out between its bands and rows, up to AIR_MOST each. */
#ifndef PAGE_GRID_H
#define PAGE_GRID_H

#include "page/box.h"

#define LEAF_PAGES 2 /* both sides of one leaf */
#define LARGE_PAGES 8 /* that a sheet in large print should have at most */
#define LARGE_PAGES_TWO 10 /* of two injections */

/* ---- mm ---- */
#define BLOCK_WIDTH 185.0 /* A4 keeps 12 mm at each edge, with half the width of a line */
#define COLUMNS 3
#define COLUMN 58.0
#define GUTTER 5.5
#define BLOCK_TOP 13.1      /* where ink starts on Letter; A4 shares out what is more */
#define BANNER_TOP 4.3      /* of the mark of a draft or an invented clinic: printers leave 4.2 white */
#define BANNER_HEIGHT 6.9    /* 1.9 to the letter of an injection below it */
#define BANNER_LETTERS 6.2  /* a line of it at most */
#define BANNER_DROP 1.15    /* capitals stand high in their line */
#define BANNER_DROP_TALL 1.5
#define HEAD_ROOM 7.6       /* of the running head, to the first band */
#define FOOT_RULE 22.8      /* from the block's lower end of ink, up */
#define FOOT_LARGE 6.0      /* more in large print, whose foot has a line more */
#define FOOT_AIR 2.1        /* above the rule */
#define RULE_BARE 1.4       /* the rail of a row where a needle is bare */
#define RULE_WAY 0.35       /* and where none is */
#define RADIUS 2.5          /* of boxes */
#define TICK_SIDE 6.5
#define TICK_LARGE 7.8
#define TICK_CLINIC 5.5
#define WRITE_SIDE 9.0      /* height of a box to write in */
#define WRITE_CLINIC 7.4    /* on the clinic's page */
#define WRITE_LEAST 37.0    /* its width at least */
#define WRITE_SIGNED 42.0   /* of one for a second person's name */
#define SIGNED_SIDE 6.4
#define GIVEN_SIDE 12.1     /* of those for the time and the name that count */
#define GIVEN_LEAST 60.2
#define MARK_POINTS 18.0    /* of the letter of an injection, white on black */
#define MARK_DROP 1.2       /* it stands high in its line */
#define AIR_MOST 7.0

/* ---- type: TYPE(id, ordinary points, large points, points for the clinic, bold, line pitch) ---- */
#define TYPES                                  \
    TYPE(MINUTE, 62, 72, 62, TRUE, 1.0)        \
    TYPE(NUMBER_TO_CALL, 32, 36, 32, TRUE, 1.1) \
    TYPE(PANEL, 24, 28, 24, TRUE, 1.0)         \
    TYPE(TITLE, 22, 22, 17, TRUE, 1.2)         \
    TYPE(FOOT_NUMBER, 20, 24, 20, TRUE, 1.1)   \
    TYPE(BAND, 16.5, 20, 13.5, TRUE, 1.25)     \
    TYPE(PERSON, 16, 20, 13, FALSE, 1.25)      \
    TYPE(BODY, 12.3, 18, 10.5, FALSE, 1.32)    \
    TYPE(CLOSE, 12.3, 18, 10.5, FALSE, 1.22)   \
    TYPE(SMALL, 9.5, 12, 9.5, FALSE, 1.2)

/* For whom: a person at home, one who needs large print, whoever packs and checks at a desk by day. */
typedef enum Print { PRINT_ORDINARY, PRINT_LARGE, PRINT_CLINIC } Print;

typedef enum TypeSize {
#define TYPE(id, ...) TYPE_##id,
    TYPES
#undef TYPE
} TypeSize;

InkStyle grid_type(Print print, TypeSize size);

/* ---- what yields ---- */

typedef struct PageLevel {
    double band_gap, row_gap; /* air above a band, above a rail */
    double rail_drop;         /* from a rail to its row's words */
    double picture;           /* width of a picture whose size says nothing */
    double pleasing;          /* of one that only pleases: so much of that; 0: left out */
    double number;            /* column of the panels' numbers; one more for two digits */
    double pitch, close;      /* of the panels' lines, of all others */
    double pad;               /* inside boxes */
    double thing;             /* width of the kit's small things; 0: words alone */
    double measure;           /* no line of a paragraph is longer: 70 letters, or six inches of large print */
} PageLevel;

/* First the levels in the order in which they yield; then the same with lines that stand apart and are short, as
 * they are read with ease; then the same with lines that stand apart and may be long. */
extern const PageLevel page_levels[];
extern const int page_level_count; /* that yield */
extern const int page_level_most;  /* all */

/* Its lines are read with ease. */
gboolean page_level_is_even(const PageLevel *level);

#endif
