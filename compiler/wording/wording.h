/* wording: plan -> words and numbers in one language, as a document of sections
 * and blocks in reading order = doing order.  Chooses no position and no size.
 * The order of sections and blocks comes from a template (templates/), every
 * sentence from a phrase set (templates/languages/); both are read strictly and
 * their slots are checked against values.def when read.
 */
#ifndef WORDING_H
#define WORDING_H

#include "base/base.h"
#include "plan/plan.h"

/* A piece of text of one character: numbers, times, names and phones are runs
 * of their own, so that the page keeps them together and the finished file can
 * be read back against the plan. */
typedef struct Run {
    const char *text;      /* with no-break spaces where it must not break; names are text, never markup */
    gboolean strong;       /* bold */
    const char *dial;      /* a telephone link ("tel:+1902..."), or NULL */
    gboolean from_value;   /* TRUE when text is a printed value */
    ValueId value;         /* which */
    const PlanInjection *injection; /* of scope INJECTION */
    gboolean marked;       /* white on black: easily taken for another one on the page */
    const char *page_of;   /* the role of a section: the page maker puts the number of its first page here;
                              text stands for it until then */
} Run;

typedef struct Line {
    GPtrArray *runs;       /* of Run* */
} Line;

typedef enum BlockKind {
    BLOCK_TEXT,      /* one paragraph per line */
    BLOCK_LIST,      /* bullets: one item per line */
    BLOCK_CALL,      /* whom to call: items BLOCK_PHONE; lines below them; other items LIST: the first at their side,
                        others below, beside each other */
    BLOCK_PHONE,     /* lines[0] the number, [1] hours and who answers */
    BLOCK_LADDER,    /* items BLOCK_RUNG in order of time */
    BLOCK_RUNG,      /* title: the day, where it changes; lines[0] clock time, lines[1...] what to do */
    BLOCK_FIGURE,    /* figures, then lines */
    BLOCK_KIT,       /* items BLOCK_ITEM, drawn with counts; a TICK behind them */
    BLOCK_ITEM,      /* lines[0] count and name, [1...] its job; thing */
    BLOCK_WRITE,     /* lines: a label each, with room for handwriting */

    /* work: a band opens with its clock time; its panels stand in rows along the way of the eye */
    BLOCK_BAND,      /* clock, title; aside: words at the far end of the heading; items PANEL, STOP, LOOP, NOTE,
                        TICK, TABLE in reading order */
    BLOCK_PANEL,     /* one act: number, half; lines[0] its sentences as one paragraph, lines[1...] remarks that
                        may stand beside the picture; figures; needle; columns; items TICK, WRITE */
    BLOCK_STOP,      /* read aloud before the needle is bare: title; lines: one fact each, numbered; items[0] GO */
    BLOCK_GO,        /* title: what to do when one is not true; lines[0] the strong line that says when to go on,
                        [1...] plain; items: TICK or none */
    BLOCK_LOOP,      /* closes the track round the panels of the band since the one that opens_loop: lines[0] the
                        words of the way back, figures */
    BLOCK_TICK,      /* lines[0] beside a tick box */
    BLOCK_NOTE,      /* lines of the full width, between rows, unnumbered */

    /* page one and the last page */
    BLOCK_WHEN,      /* the box of the minute: mark; title: the night in words; clock: the minute alone (largest
                        type); lines: below it; items[0] TEXT: what, how much, where, by whom; behind
                        it the night, where it stands in this box */
    BLOCK_PAIR,      /* two items side by side; columns: how many of the three the first one takes */
    BLOCK_COLUMNS,   /* items LIST or TEXT side by side under one thin line; boxed: a frame round all */
    BLOCK_SAY,       /* a tinted box: title, lines, items WRITES */
    BLOCK_WRITES,    /* one row: items WRITE (lines[0] a label, room to write behind it), TICK and TEXT */
    BLOCK_TABLE,     /* lines: heads of the columns; items ROW */
    BLOCK_HOURS,     /* twelve hours: title and aside the days left and right of midnight, lines a clock time every
                        two hours, items ROW: number and along */
    BLOCK_NIGHT,     /* who injects when: lines heads, items ROW: number, items TEXT (lines below each other) and
                        WRITE (labels of boxes to write in); or a title across all */
    BLOCK_REMARKS,   /* lines in small type */
    BLOCK_ROW,       /* lines: its cells; an empty one is a box to write in, "\u2610" alone a tick box */
} BlockKind;

/* Where the needle is in the work of a panel. */
typedef enum NeedleState {
    NEEDLE_COVERED,
    NEEDLE_UNCOVERED, /* the cap comes off in it */
    NEEDLE_BARE,
    NEEDLE_PUT_AWAY,  /* in it the needle gets its cap or goes into the sharps box */
} NeedleState;

typedef struct Figure {
    FigureShape shape;    /* what it is drawn from */
    FigureWords words;
    const char *alt;      /* what it shows, with the value it shows */
    gboolean pleases;     /* not needed: goes first when words need its room */
} Figure;

typedef struct Block Block;
struct Block {
    BlockKind kind;
    const char *role;      /* from the template: "lead", "late", "script", "normal", "sharps" ... */
    Line *title;           /* or NULL */
    GPtrArray *lines;      /* of Line* */
    GPtrArray *items;      /* of Block* */
    GPtrArray *figures;    /* of Figure* */
    int number;            /* BLOCK_PANEL: counted through the work of an injection; BLOCK_ITEM: how many */
    FigureShape thing;     /* BLOCK_ITEM: as it is drawn */
    gboolean boxed;        /* in a frame */
    Line *clock;           /* or NULL */
    Line *aside;           /* or NULL */
    const char *mark;      /* "A", "B": which injection it belongs to, where a sheet has two; or NULL */
    const char *half;      /* "a", "b": of a panel in two halves; or NULL */
    NeedleState needle;    /* BLOCK_PANEL */
    gboolean opens_loop;   /* BLOCK_PANEL: the way back of BLOCK_LOOP leads to it */
    int along;             /* BLOCK_ROW of hours: minutes from the left end */
    int columns;           /* how many of three it wants; 0: as its words and pictures need */
};

typedef struct DocumentSection {
    const char *role;      /* "lead", "call", "ready", "mix", "change", "give", "after", "clinic" */
    Line *heading;         /* NULL for the first, whose heading is the title */
    gboolean new_page;
    gboolean shares;       /* the next section goes on upon its page, whatever that one wants */
    gboolean faces;        /* stands open beside the section before it, or on its page: no leaf is turned between */
    const PlanInjection *injection; /* whose work stands in it, where it is repeated for each; or NULL */
    const char *mark;      /* "A", "B", or NULL: shown in the head of its pages */
    Line *head;            /* the running head of its pages; NULL: the document's */
    GPtrArray *blocks;     /* of Block* */
} DocumentSection;

typedef struct Document {
    const char *language;  /* BCP 47 */
    gboolean right_to_left;
    const char *title;     /* of the file and of page 1 (H1) */
    Line *head;            /* running head: clinic, person, code, order, medicine */
    Line *foot_call;       /* running foot: whom to call at night */
    Line *foot_more;       /* who answers, the second route, the emergency number; beside foot_call; or NULL */
    Line *person;          /* name and code, large on page 1; or NULL */
    const char *clinic;    /* at the far end of every head; or NULL */
    const char *dated;     /* that the date was typed in, on every page: nobody takes it for one that was made that
                              day; or NULL, as on a person's sheet, whose last line says it */
    const char *foot;      /* running foot: sheet, order, code; small */
    Line *made;            /* once, small, at the end: made at, by, revision, digest, version; or NULL */
    const char *page_of;   /* "Page {page} of {pages}" with those two slots left for the page maker */
    const char *draft;     /* words across each page, or NULL for a final sheet */
    const char *banner;    /* on the head of each page of a draft or an invented clinic, white on black; or NULL */
    const char *subject;
    Instant made_at;
    GPtrArray *sections;   /* of DocumentSection* */
    GPtrArray *leaf;       /* of DocumentSection*: the same sheet in the form for one leaf, which it takes where that
                              has room (document_fold()); or NULL: it has none */
    const Plan *plan;
    const PlanInjection *injection; /* the first of the sheet */
    const GPtrArray *injections;  /* of PlanInjection*: all of the sheet, in order of time */
    gboolean for_clinic;   /* read by those who pack and check, by day */
    gboolean list;         /* of many people: no sheet; its plan is one that formats its words */
    const char *page_sign; /* of a list: a word that stands on each page */
    const struct Document *second; /* the same sheet in another language, printed behind it; or NULL */
} Document;

/* With nothing in it; role is not copied.  Owned by the arena. */
Block *block_new(Arena *arena, BlockKind kind, const char *role);
/* The line as bare text. */
const char *line_text(Arena *arena, const Line *line);

/* A language's phrases. */
typedef struct Phrases Phrases;

/* Words that a caller fills in: name, text pairs, ended by NULL. */
typedef struct Filling { const char *name, *text; } Filling;
typedef struct Template Template;

/* Reads templates/languages/<tag>.yaml under folder, over the set that it is based
 * on, if it names one; NULL after findings
 * (phrase_missing, phrase_unknown, slot_unknown, slot_form) or *error (system). */
Phrases *phrases_read(Arena *arena, const char *folder, const char *tag, Diagnostics *diagnostics,
                      GError **error);
/* Who reviewed the set, or NULL. */
const char *phrases_reviewer(const Phrases *phrases);
/* Where the one who reviewed it would be named: in its own file, or in the one that it is based on. */
Place phrases_unreviewed(const Phrases *phrases);

/* The words of a phrase without slots. */
char *phrases_words(Arena *arena, const Phrases *phrases, const char *id);

/* Appends the ids of the phrases that print a value, sorted, one space between. */
void phrases_showing(const Phrases *phrases, ValueId value, GString *out);

/* Reads templates/<name>/template.yaml. */
Template *template_read(Arena *arena, const char *folder, const char *name, Diagnostics *diagnostics,
                        GError **error);

/* Reads a template and a phrase set, each of which may be NULL, for the whole process: as long as their
 * files hold the same bytes, template_read() and phrases_read() give what was read here.  FALSE when one
 * has findings or cannot be read, and nothing is kept.  For a server before it forks; no thread runs. */
gboolean wording_keep(const char *folder, const char *name, const char *tag);

/* TRUE when the clinic reads it, in its own language, and not the person. */
gboolean template_for_clinic(const Template *template);

/* TRUE when one sheet may hold two injections of a protocol. */
gboolean template_holds_all(const Template *template);

/* The sheet of these injections (of PlanInjection*).  draft: words the marks of a draft.  The plan must
 * be complete.  Raises phrase_missing and the like; NULL then. */
Document *wording_sheet(Arena *arena, const Plan *plan, const GPtrArray *injections,
                        const Template *template, const Phrases *phrases, gboolean draft,
                        Diagnostics *diagnostics);

/* Every text of a document but its head and foot: what must stand on the pages,
 * and what may (words in and under drawings). */
typedef void (*DocumentVisit)(const char *text, gpointer data);
typedef struct DocumentVisitor {
    DocumentVisit must, may;
    gpointer data;
} DocumentVisitor;
void document_visit(const Document *document, const DocumentVisitor *visitor);
/* The document takes its form for one leaf, for its twins, its tags and whoever reads it back too. */
void document_fold(const Document *document);
/* It keeps the form that it has: beside a second language, in large print. */
void document_keep_form(Document *document);
/* The highest number of a panel. */
int document_steps(const Document *document);

/* The sheet's times as an iCalendar file (RFC 5545) with alarms. */
void wording_calendar(const Document *document, GString *out);

/* A number as a link dials it; owned by the arena. */
const char *wording_dialled(Arena *arena, const Phone *phone);

/* A sheet that was cancelled, as the record has it. */
typedef struct CancelledInjection { const char *name; const GArray *acts; /* of Instant */ } CancelledInjection;
typedef struct CancelledSheet {
    const char *clinic, *telephone, *person, *title; /* telephone: as in a link */
    gint64 number;
    Instant now;
    const GPtrArray *injections; /* of CancelledInjection* */
} CancelledSheet;

/* The file that takes its events out of a calendar (RFC 5546: METHOD:CANCEL), those of the file
 * and those of the code on the paper. */
void wording_calendar_cancelled(const CancelledSheet *sheet, GString *out);

/* The same document as plain text (the sheet's text twin). */
void wording_text(const Document *document, GString *out);

/* The syringe that such a figure shows: the one to mix with, or the one to inject with. */
const Syringe *figure_syringe(const PlanInjection *injection, FigureKind kind);

/* ---- single words, for pages that are no sheet ----
 * plan: of the clinic whose way of writing clock times is wanted.  Nothing is NULL but
 * what is said to be. */

/* The language's tag, and whether it runs from the right. */
const char *phrases_tag(const Phrases *phrases);
gboolean phrases_from_right(const Phrases *phrases);
const char *said_phrase(Arena *arena, const Plan *plan, const Phrases *phrases, const char *id,
                        const Filling *fillings, gint64 count);
/* The same as a line, with what is strong in it. */
Line *said_line(Arena *arena, const Plan *plan, const Phrases *phrases, const char *id, const Filling *fillings,
                gint64 count);
/* A value, a moment by its clock time; NULL when it is not set. */
const char *said_value(Arena *arena, const Plan *plan, const PlanInjection *injection, const Phrases *phrases,
                       ValueId id);
/* A minute of the day; "midnight" in words. */
const char *said_clock(Arena *arena, const Plan *plan, const Phrases *phrases, int minute);
/* "Friday", or whole: "Friday, December 4, 2026". */
const char *said_day(Arena *arena, const Plan *plan, const Phrases *phrases, Day day, gboolean whole);
/* "1 hour 5 minutes" */
const char *said_minutes(Arena *arena, const Plan *plan, const Phrases *phrases, gint64 minutes);
const char *said_place(Arena *arena, const Plan *plan, const Phrases *phrases, const Zone *zone);
const char *said_word(Arena *arena, const Plan *plan, const Phrases *phrases, ChoiceWord word);
/* The short form of a word, short_<List>_<ID>, where the phrases have one. */
const char *said_short(Arena *arena, const Plan *plan, const Phrases *phrases, ChoiceWord word);

/* The number of the page on which a block of the sheet stands, from 1; 0: nowhere.  *large: where nobody knows in
 * which print it was handed out, the number that it has in large print, when that is another one; else 0. */
typedef int (*SheetPage)(const Block *block, gpointer pages, int *large);

/* The sheet whose steps and pages the clinic's words for a slip name. */
typedef struct SlipSheet {
    const Plan *plan;
    const PlanInjection *injection;
    const Document *document; /* or NULL: no step can be named */
    SheetPage page_of;        /* or NULL: no page can */
    gpointer pages;
} SlipSheet;

/* One of the clinic's words for a slip in the phrases' language, filled in; NULL when it has no
 * version in it, or when the sheet has nothing for a slot. */
const char *said_slip(Arena *arena, const SlipSheet *sheet, const Saying *saying, const Phrases *phrases);

#endif
