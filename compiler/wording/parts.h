/* wording_parts: what wording*.c share. */
#ifndef WORDING_PARTS_H
#define WORDING_PARTS_H

#include "syntax/syntax.h"
#include "wording/wording.h"

/* ---- phrases ---- */

/* How a value is printed; PLAIN suits every kind. */
typedef enum ValueForm {
    FORM_PLAIN, FORM_CLOCK, FORM_OTHER, FORM_CLOCKS, FORM_WEEKDAY, FORM_DAYS, FORM_NIGHTS, FORM_EVENING,
    FORM_DATE, FORM_WHOLE, FORM_GAUGE, FORM_LENGTH,
} ValueForm;

/* One stretch of a phrase: words, a value, or a word that the caller fills in. */
typedef struct Part {
    const char *text;   /* words; or the name of the caller's slot */
    gboolean strong;
    gboolean is_value, is_caller;
    const char *page_of; /* the number of the page where the section of this role begins */
    ValueId value;
    ValueForm form;
} Part;

typedef enum Plural { PLURAL_ONE, PLURAL_TWO, PLURAL_FEW, PLURAL_MANY, PLURAL_OTHER, PLURAL_COUNT } Plural;

typedef struct Phrase {
    const char *id;
    Place place;
    gboolean counted;   /* by a value, or by the caller's {n} */
    gboolean by_value;
    ValueId by;
    GPtrArray *forms[PLURAL_COUNT]; /* of Part*; OTHER is always there */
} Phrase;

struct Phrases {
    Arena *arena;
    const char *tag, *reviewer;
    Place unreviewed;    /* where a reviewer would be named */
    gboolean right_to_left;
    const Source *source, *under; /* under: of the set that it is based on, or NULL */
    GHashTable *phrases; /* id -> Phrase* */
};

/* What wording_keep() read from this file; NULL when nothing was, or when a file has changed since. */
gpointer wording_kept(const char *path);

const Phrase *phrase_named(const Phrases *phrases, const char *id);

/* ---- templates ---- */

typedef struct TemplateLine {
    const char *phrase;    /* id */
    GPtrArray *conditions; /* of char*: all must hold */
} TemplateLine;

/* A figure by its name, with its condition; "pleases" goes first where words need room. */
typedef struct TemplateFigure {
    FigureKind kind;
    GPtrArray *conditions; /* of char* */
    gboolean pleases;
} TemplateFigure;

typedef struct TemplateBlock {
    Place place;
    BlockKind kind;
    const char *role;
    GPtrArray *titles, *clocks, *asides; /* of TemplateLine*: the first whose conditions hold; may be empty */
    GPtrArray *lines;     /* of TemplateLine* */
    GPtrArray *remarks;   /* of TemplateLine*, of a panel */
    GPtrArray *items;     /* of TemplateBlock* */
    GPtrArray *figures;   /* of TemplateFigure* */
    GPtrArray *conditions; /* of char*: all must hold; "not x" */
    gboolean each;        /* once for each injection of the sheet */
    const char *half;     /* of a panel: "a", "b", or NULL */
    int columns;          /* of three; 0: not said */
    gboolean opens_loop;
    gboolean run_on;      /* its lines are one paragraph */
    const char *source;   /* what fills its items: "MIX", "clinic normal", ... or NULL */
    gboolean boxed;
} TemplateBlock;

typedef struct TemplateSection {
    Place place;
    const char *role;
    GPtrArray *headings;  /* of TemplateLine*: the first whose conditions hold */
    gboolean new_page, faces, shares;
    gboolean each;        /* once for each injection of the sheet */
    GPtrArray *conditions;
    GPtrArray *blocks;    /* of TemplateBlock* */
} TemplateSection;

struct Template {
    const Source *source;
    const char *name;
    const char *title;    /* phrase id; NULL: the protocol's own title */
    gboolean for_clinic;  /* read by the clinic, in its own language */
    GPtrArray *sections;  /* of TemplateSection* */
};

gboolean condition_known(const char *word);

/* A panel by its name: where the needle is in its work. */
gboolean panel_named(const char *word, NeedleState *out);
/* "syringe_give": as the rows of figures are named. */
gboolean figure_named(const char *word, FigureKind *out);

/* ---- the work at hand ---- */

typedef struct Wording {
    Arena *arena;
    const Plan *plan;
    const PlanInjection *injection;
    const Phrases *phrases;
    Diagnostics *diagnostics;
    int step;              /* panels counted so far */
    const GPtrArray *injections; /* of PlanInjection*: those of the sheet */
    const char *mark;      /* "A", "B": of the injection at hand, where the sheet has two; or NULL */
    int facts;             /* of the stop box at hand */
    Block *last_half;      /* the panel just worded, when it is the first of two halves */
    gboolean leaf;         /* what is worded is the form for one leaf */
    gboolean mixing;       /* in the section "mix": its syringe and needle are the mixing ones */
} Wording;

/* A phrase as a line; asserts that the phrase is there. */
Line *wording_line(const Wording *wording, const char *phrase_id, const Filling *fillings, gint64 count);
/* The same as bare text. */
const char *wording_plain(const Wording *wording, const char *phrase_id, const Filling *fillings, gint64 count);
/* A saying in the sheet's language, or its first version. */
const char *saying_text(const Wording *wording, const Saying *saying);
/* The same words in the same languages. */
gboolean saying_equal(const Saying *one, const Saying *other);
Line *line_of_text(Arena *arena, const char *text);

/* A value as a person reads it. */
const char *wording_value(const Wording *wording, const Value *value, ValueKind kind, ValueForm form);
/* A day by its weekday and number alone. */
const char *wording_day(const Wording *wording, Day day);
const char *wording_isolated(const Wording *wording, const char *text);
/* "A" or "B" of the injection at hand, which keeps its place beside a medicine's name; "" where the sheet has one. */
const char *wording_which(const Wording *wording);
/* Ordinary spaces become no-break ones. */
const char *wording_unbroken(Arena *arena, const char *text);
/* count chooses the plural where the word has one. */
const char *wording_word(const Wording *wording, ChoiceWord word, gint64 count);
const char *wording_clock(const Wording *wording, int minute);

gboolean condition_holds(const Wording *wording, const char *word);
/* conditions: of char*. */
/* A phrase with {n} facts, {which} and {used}. */
Line *counted_line(const Wording *wording, const char *id);
/* Of TemplateLine*: the first whose conditions hold, with {n} facts and {mark}; NULL when none does. */
Line *first_line(const Wording *wording, const GPtrArray *lines);
gboolean conditions_hold(const Wording *wording, const GPtrArray *conditions);
/* Findings for what a patient's sheet must show and does not. */
void wording_needed(Wording *wording, const Document *document);

/* Blocks of each kind. */
/* The block, or the first within it, that is a panel of this name; or NULL. */
const Block *panel_in_block(const Block *block, const char *name);
void block_fill(Wording *wording, Block *block, const TemplateBlock *template);
Figure *wording_figure(Wording *wording, FigureKind kind);
/* The same for a page: a needle in its pack, life size, or the thing at any width. */
FigureShape wording_drawn(const Wording *wording, const Item *item, gint64 count);
/* What fills it besides its own lines. */
void block_from(Wording *wording, Block *block, const TemplateBlock *template);
gboolean block_says_something(const Block *block);
/* The block of a template, as often as it is wanted. */
void blocks_add(Wording *wording, GPtrArray *to, const TemplateBlock *from);
/* What every block may have beside its own: title, clock, aside, figures, items; of those
 * that block_holds_blocks, its lines too. */
void bands_fill(Wording *wording, Block *block, const TemplateBlock *from);
gboolean block_holds_blocks(BlockKind kind);
/* The injection that is worded from here on. */
void wording_turn_to(Wording *wording, guint injection);
/* What is left after one act, by count: "1 empty powder vial, 1 liquid vial". */
const char *things_left(const Wording *wording);
/* How many of a kind are counted once one injection is given: its vials, in the words and in the picture. */
gint64 item_left(const PlanInjection *injection, const Item *item);
/* Rows of BLOCK_TABLE, by what its template says fills it, once its heads and title stand. */
void table_fill(Wording *wording, Block *block, const char *source);
/* The kit, each thing with its job on one line: Line*. */
void packing_lines(Wording *wording, GPtrArray *out);
/* The times as a small calendar file, to be read from the paper by a telephone. */
const char *calendar_code(const Wording *wording);

#endif
