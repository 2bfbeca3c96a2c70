/* page_parts: what page*.c share. */
#ifndef PAGE_PARTS_H
#define PAGE_PARTS_H

#include "page/box.h"
#include "page/grid.h"
#include "page/page.h"

/* What stands together and is never split: a group of boxes, measured from its corner. */
typedef struct Piece {
    PageBox *box;
    double height, gap;      /* gap: air above, unless it starts a page */
    gboolean keep;           /* stays with the next piece */
    gboolean band;           /* its gap is one between bands */
    gboolean first_page;     /* belongs on page one: whom to call */
    gboolean bare;           /* at its end a needle is bare: no page ends here */
    gboolean works;          /* stands in a band in which a needle is used */
    gboolean washed;         /* at its end hands are clean and a needle is still to come or bare: no leaf is turned */
    gboolean injects;        /* it stands in the band of the injection */
    const DocumentSection *section; /* that it opens, or NULL */
    const char *begins;      /* its first words, and the number of the panel that has them or 0, to tell which one */
    int number;              /* it is, at any level */
} Piece;

typedef struct Setter {
    Arena *arena;
    Arena *scratch, *kept;   /* of what is only measured; the other one meanwhile */
    guint scratches;         /* that are open */
    Ink *ink;
    const Document *document;
    PageSpec spec;
    BoxPile pile;            /* of the piece that is measured */
    const PageLevel *level;  /* what has yielded so far */
    gboolean large;
    double tall;             /* a line of this script by one of Latin letters: 1 or more */
    Print print; /* how large its type is */
    double rows_left, rows_width; /* of rows of panels: narrower inside a track */
    double head_room;        /* of the running head, mm: more where it takes two lines */
    gboolean headed;         /* the section at hand has a heading of its own */
    gboolean in_box;         /* the list at hand stands below others in a box: its title is no larger than its words */
    gboolean wide_labels;    /* of the panel at hand: a label may be wider than a column */
    guint crowds;            /* boxes that are crowded, of what is measured */
    GHashTable *measures;    /* of Measure: see measures.c */
    Block *kit_note, *kit_pair; /* see kit_last.c */
    DocumentSection *kits;   /* of two injections, while they stand at the end */
    guint kits_at;           /* where it stood */
    GPtrArray *pieces;       /* of Piece*, while measuring */
} Setter;

typedef struct Extent { double width, height; } Extent;

/* The lines and the items of a block. */
static inline const Line *line_at(const Block *block, guint index) { return g_ptr_array_index(block->lines, index); }
static inline const Block *item_at(const Block *block, guint index) { return g_ptr_array_index(block->items, index); }

/* ---- type: see type.c ---- */

double line_height(const Setter *setter, InkStyle style, const Line *line, double width);
/* Unbroken. */
double line_width(const Setter *setter, InkStyle style, const Line *line);
/* No word is wider, and no date with its time has to be parted. */
gboolean line_breaks(const Setter *setter, InkStyle style, const Line *line, double width);
Line *line_of_words(const Setter *setter, const char *text);

/* ---- boxes of words and shapes, into the open group; they return the height ---- */

double add_runs(Setter *setter, const char *tag, InkStyle style, const InkRun *runs, gsize count, double x, double y,
                double width);
double add_line(Setter *setter, const char *tag, InkStyle style, const Line *line, double x, double y, double width);
PageBox *last_box(const Setter *setter); /* that was added */
/* A word of it is wider than it, or it is wider than its place: once for each box. */
void set_crowded(Setter *setter, PageBox *box, gboolean crowded);
void add_rule(Setter *setter, double weight, double x1, double y1, double x2, double y2);
PageBox *add_frame(Setter *setter, double weight, double x, double y, double width, double height, double radius);
PageBox *add_tint(Setter *setter, double x, double y, double width, double height);

/* Unlike MAX it makes each box once. */
static inline double larger(double a, double b) { return a > b ? a : b; }

/* ---- on the grid: boxes from (x, y) on; they return the height ---- */

/* The type with the line pitch of the level. */
InkStyle style_of(const Setter *setter, TypeSize size);
double put_line(Setter *setter, const char *tag, TypeSize size, const Line *line, double x, double y, double width);
/* Paler: remarks and captions. */
double put_remark(Setter *setter, const char *tag, const Line *line, double x, double y, double width);
double put_lines(Setter *setter, const Block *block, guint from, TypeSize size, double x, double y, double width);
double height_of(const Setter *setter, TypeSize size, const Line *line, double width);
double width_of(const Setter *setter, TypeSize size, const Line *line);
/* A drawing no wider than this; no height when it cannot be drawn. */
Extent put_picture(Setter *setter, const Figure *figure, double x, double y, double width);

/* ---- measuring: see measures.c ---- */

/* A group that stands in no piece, to measure what is put into it; closing it tells how many of its
 * texts are crowded. */
typedef struct Scratch {
    PageBox *open; /* what was open before it */
    guint crowds;
} Scratch;

Scratch scratch_open(Setter *setter);
guint scratch_close(Setter *setter, Scratch before);

/* A block at a width and a level, or a picture in some room. */
typedef struct Measure {
    gconstpointer of;
    double width;
    int how;              /* the level, or type in 1/1000 point */
    gboolean known, chosen; /* chosen: so is the arrangement of a panel */
    double height;
    guint crowds;
    int arrangement;      /* of its words and pictures: see panel.c */
    FigureSize size;      /* of a picture */
    double words;         /* wide, of a block's words */
} Measure;

typedef struct BoxPlace { double x, y, width; } BoxPlace;
typedef double (*BlockPut)(Setter *setter, const Block *block, double x, double y, double width);

void measures_begin(Setter *setter);
void measures_forget(Setter *setter); /* when words were changed */
/* Of a block that lives as long as the pages; it is filled by who asks. */
Measure *measure_of_block(const Setter *setter, const Block *block, double width);
/* Of its words alone, at any level. */
Measure *measure_of_words(const Setter *setter, const Block *block);
/* Puts the block; or only says its height and its crowds, when it is measured and was before. */
double measured_once(Setter *setter, const Block *block, BlockPut put, const BoxPlace *place);
FigureSize size_of(const Setter *setter, const FigureShape *shape, FigureRoom offered);

double tick_side(const Setter *setter);
double put_tick(Setter *setter, const Block *tick, double x, double y, double width);
double put_panel(Setter *setter, const Block *panel, double x, double y, double width);
/* A picture in its true size, or with words inside, may need more than it gets. */
gboolean panel_is_crowded(Setter *setter, const Block *panel, double width);
/* Any block that is no band. */
double put_block(Setter *setter, const Block *block, double x, double y, double width);
/* The block's lines, each a paragraph, or run together where room is scarce. */
double put_sentences(Setter *setter, const Block *block, double x, double y, double width);
double put_kit(Setter *setter, const Block *block, double x, double y, double width);
/* The night page: its strip of hours, its small words, its rows as pieces. */
double put_hours(Setter *setter, const Block *hours, double x, double y, double width);
double put_remarks(Setter *setter, const Block *block, double x, double y, double width);
void pieces_of_night(Setter *setter, const Block *night);
/* So many of its rows, with its title when the first is among them.  Owned by the arena. */
Block *table_part(const Setter *setter, const Block *table, guint from, guint until);
/* Boxes to write in and ticks in a row; what does not fit goes on in the next. */
double put_writes(Setter *setter, const Block *block, double x, double y, double width);
/* A block of labels alone is a row of boxes too. */
double put_labelled(Setter *setter, const Block *block, double x, double y, double width);
double put_table(Setter *setter, const Block *block, double x, double y, double width);
double put_heading(Setter *setter, const Block *block, double x, double y, double width);
double put_stop(Setter *setter, const Block *stop, double x, double y, double width);
double put_titled(Setter *setter, const Block *block, double x, double y, double width);
/* Panels from first on as rows under their rails, each a piece; bare: a needle is, before them.  Returns
 * whether one is behind them. */
gboolean pieces_of_rows(Setter *setter, const GPtrArray *cells, gboolean bare);
/* The same inside a closed track, as one piece with the words of the way back. */
gboolean piece_of_loop(Setter *setter, const GPtrArray *cells, const Block *loop, gboolean bare);
void pieces_of_sheet_block(Setter *setter, const Block *block);
/* mm that a page holds on Letter: A4 breaks where Letter does. */
double page_capacity(const Setter *setter);
void pages_of_sheet(Setter *setter, GPtrArray *pages, Diagnostics *diagnostics);

/* ---- pieces: see pieces.c ---- */

/* Begins a piece; its boxes are added from (0, 0) on. */
Piece *piece_open(Setter *setter, double gap);
void piece_close(Setter *setter, Piece *piece, double height);

/* ---- a kit for which page one has no room: see kit_last.c ---- */

/* The words that name the kit's page are no part of the document as long as it stands on page one. */
void kit_note_take(Setter *setter);
/* FALSE: nothing was moved. */
gboolean kit_to_end(Setter *setter);
void kit_back(Setter *setter);

/* ---- figures ---- */

/* The bare drawing. */
PageBox *add_shape(Setter *setter, const FigureShape *shape, FigureRoom offered, double x, double y);

/* ---- pages ---- */

/* What stands above and below the pieces of a page. */
void add_marks(Setter *setter);
void add_sheet_head(Setter *setter, const DocumentSection *section);
/* What the tallest running head of the document takes beyond one line, mm. */
double head_beyond_line(const Setter *setter);
void add_sheet_foot(Setter *setter, int page, int pages);
/* Piece of the person, the title and the clinic on page one. */
void piece_of_title(Setter *setter);
/* Made at, by, of which revision: at the end. */
void piece_of_making(Setter *setter);

#endif
