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
} Run;

typedef struct Line {
    GPtrArray *runs;       /* of Run* */
} Line;

typedef enum BlockKind {
    BLOCK_LEAD,      /* what, how much, which night, what minute: lines[0] medicine and dose, [1] night in
                        words, [2] the clock time alone, [3] the whole time on one line, [4...] smaller */
    BLOCK_TEXT,      /* one paragraph per line */
    BLOCK_LIST,      /* bullets: one item per line */
    BLOCK_CALL,      /* whom to call: items BLOCK_PHONE; lines above them */
    BLOCK_PHONE,     /* lines[0] the number, [1] hours and who answers */
    BLOCK_CAUTION,   /* a warning before the step it guards */
    BLOCK_LADDER,    /* items BLOCK_RUNG in order of time */
    BLOCK_RUNG,      /* lines[0] clock time, lines[1] what to do, lines[2...] more; tick box */
    BLOCK_DATES,     /* a course: items BLOCK_RUNG, one a day */
    BLOCK_STEPS,     /* items BLOCK_STEP */
    BLOCK_STEP,      /* number, lines[0] the action, lines[1...] more; tick box; figures beside or below */
    BLOCK_FIGURE,    /* figures alone, in the flow */
    BLOCK_KIT,       /* items BLOCK_ITEM, drawn with counts */
    BLOCK_ITEM,      /* lines[0] count and name, [1...] its job; item */
    BLOCK_CHECKS,    /* the pause before injecting: items BLOCK_CHECK */
    BLOCK_CHECK,     /* tick box and a line */
    BLOCK_WRITE,     /* lines: a label each, with room for handwriting */
    BLOCK_SIGN,      /* lines: a signature line each, with its label */
    BLOCK_SUMMARY,   /* the short repetition at the end */
    BLOCK_TICKS,     /* lines, each with a tick box */
    BLOCK_LABELS,    /* a strip of labels to cut out, all with these lines; a line that ends in a colon
                        has room for handwriting; number: how many labels */
} BlockKind;

typedef struct Figure {
    FigureKind kind;
    const char *letter;   /* "A", "B": in order over the document */
    Line *caption;
    const char *alt;      /* what it shows, with the value it shows */
    GPtrArray *labels;    /* of char*: words inside the drawing; their meaning per kind stands in
                             wording.c beside figure_labels[] and in DEVELOPERS.md */
    const PlanInjection *injection;
    int vial;
} Figure;

typedef struct Block Block;
struct Block {
    BlockKind kind;
    const char *role;      /* from the template: "lead", "late", "script", "normal", "sharps" ... */
    Line *title;           /* or NULL */
    GPtrArray *lines;      /* of Line* */
    GPtrArray *items;      /* of Block* */
    GPtrArray *figures;    /* of Figure* */
    int number;            /* BLOCK_STEP: counted through the whole sheet; BLOCK_DATES rung: the day */
    const Item *item;      /* BLOCK_ITEM */
    gboolean boxed;        /* the one framed block of page 1 */
    gboolean stays;        /* on one page with the next of its kind */
    gboolean stays_if_room; /* the same, as far as a page holds them all */
};

typedef struct DocumentSection {
    const char *role;      /* "lead", "call", "ready", "mix", "change", "give", "after", "clinic" */
    Line *heading;         /* NULL for the first, whose heading is the title */
    gboolean new_page;
    gboolean together;     /* on one page, as far as one page holds it */
    GPtrArray *blocks;     /* of Block* */
} DocumentSection;

typedef struct Document {
    const char *language;  /* BCP 47 */
    gboolean right_to_left;
    const char *title;     /* of the file and of page 1 (H1) */
    Line *head;            /* running head: clinic, person, code, order, medicine */
    Line *foot_call;       /* running foot: whom to call at night */
    const char *foot;      /* running foot: made at, by, revision, digest, version; small */
    const char *page_of;   /* "Page {page} of {pages}" with those two slots left for the page maker */
    const char *draft;     /* words across each page, or NULL for a final sheet */
    const char *subject;
    Instant made_at;
    GPtrArray *sections;   /* of DocumentSection* */
    const Plan *plan;
    const PlanInjection *injection;
    const struct Document *second; /* the same sheet in another language, printed behind it; or NULL */
} Document;

/* The line as bare text. */
const char *line_text(Arena *arena, const Line *line);

/* A language's phrases. */
typedef struct Phrases Phrases;
typedef struct Template Template;

/* Reads templates/languages/<tag>.yaml under folder, over the set that it is based
 * on, if it names one; NULL after findings
 * (phrase_missing, phrase_unknown, slot_unknown, slot_form) or *error (system). */
Phrases *phrases_read(Arena *arena, const char *folder, const char *tag, Diagnostics *diagnostics,
                      GError **error);
/* Who reviewed the set, or NULL. */
const char *phrases_reviewer(const Phrases *phrases);

/* Appends the ids of the phrases that print a value, sorted, one space between. */
void phrases_showing(const Phrases *phrases, ValueId value, GString *out);

/* Reads templates/<name>/template.yaml. */
Template *template_read(Arena *arena, const char *folder, const char *name, Diagnostics *diagnostics,
                        GError **error);

/* TRUE when the clinic reads it, in its own language, and not the person. */
gboolean template_for_clinic(const Template *template);

/* The sheet of one injection.  draft: words the marks of a draft.  The plan must
 * be complete.  Raises phrase_missing and the like; NULL then. */
Document *wording_sheet(Arena *arena, const Plan *plan, const PlanInjection *injection,
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
int document_steps(const Document *document);

/* The sheet's times as an iCalendar file (RFC 5545) with alarms. */
void wording_calendar(const Document *document, GString *out);

/* The same document as plain text (the sheet's text twin). */
void wording_text(const Document *document, GString *out);

#endif
