/* wording_parts: what wording*.c share. */
#ifndef WORDING_PARTS_H
#define WORDING_PARTS_H

#include "syntax/syntax.h"
#include "wording/wording.h"

/* ---- phrases ---- */

/* How a value is printed; PLAIN suits every kind. */
typedef enum ValueForm {
    FORM_PLAIN, FORM_CLOCK, FORM_OTHER, FORM_CLOCKS, FORM_WEEKDAY, FORM_DAYS, FORM_EVENING,
    FORM_DATE, FORM_WHOLE, FORM_GAUGE, FORM_LENGTH,
} ValueForm;

/* One stretch of a phrase: words, a value, or a word that the caller fills in. */
typedef struct Part {
    const char *text;   /* words; or the name of the caller's slot */
    gboolean strong;
    gboolean is_value, is_caller;
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
    gboolean right_to_left;
    const Source *source;
    GHashTable *phrases; /* id -> Phrase* */
};

const Phrase *phrase_named(const Phrases *phrases, const char *id);

/* ---- templates ---- */

typedef struct TemplateLine {
    const char *phrase;    /* id */
    GPtrArray *conditions; /* of char*: all must hold */
} TemplateLine;

typedef struct TemplateBlock {
    Place place;
    BlockKind kind;
    const char *role;
    const char *title;    /* phrase id or NULL */
    GPtrArray *lines;     /* of TemplateLine* */
    GPtrArray *conditions; /* of char*: all must hold; "not x" */
    const char *source;   /* what fills its items: "MIX", "clinic normal", ... or NULL */
    FigureKind figure;
    gboolean boxed;
} TemplateBlock;

typedef struct TemplateSection {
    Place place;
    const char *role;
    const char *heading;  /* phrase id or NULL */
    gboolean new_page, together;
    GPtrArray *conditions;
    GPtrArray *blocks;    /* of TemplateBlock* */
} TemplateSection;

struct Template {
    const char *name;
    const char *title;    /* phrase id; NULL: the protocol's own title */
    gboolean for_clinic;  /* read by the clinic, in its own language */
    GPtrArray *sections;  /* of TemplateSection* */
};

gboolean condition_known(const char *word);

/* ---- the work at hand ---- */

typedef struct Wording {
    Arena *arena;
    const Plan *plan;
    const PlanInjection *injection;
    const Phrases *phrases;
    Diagnostics *diagnostics;
    int step, figure;      /* counted so far */
    const Act *act;        /* of a course, while its day is worded */
} Wording;

/* Words that a caller fills in: name, text pairs, ended by NULL. */
typedef struct Filling { const char *name, *text; } Filling;

/* A phrase as a line; asserts that the phrase is there. */
Line *wording_line(const Wording *wording, const char *phrase_id, const Filling *fillings, gint64 count);
/* The same as bare text. */
const char *wording_plain(const Wording *wording, const char *phrase_id, const Filling *fillings, gint64 count);
/* A saying in the sheet's language, or its first version. */
const char *saying_text(const Wording *wording, const Saying *saying);
Line *line_of_text(Arena *arena, const char *text);

/* A value as a person reads it. */
const char *wording_value(const Wording *wording, const Value *value, ValueKind kind, ValueForm form);
const char *wording_isolated(const Wording *wording, const char *text);
gboolean form_suits(ValueKind kind, ValueForm form);
gboolean form_named(const char *word, ValueForm *out);
/* Ordinary spaces become no-break ones. */
const char *wording_unbroken(Arena *arena, const char *text);
/* count chooses the plural where the word has one. */
const char *wording_word(const Wording *wording, ChoiceWord word, gint64 count);
const char *wording_clock(const Wording *wording, int minute);

gboolean condition_holds(const Wording *wording, const char *word);
/* conditions: of char*. */
gboolean conditions_hold(const Wording *wording, const GPtrArray *conditions);
/* Findings for what a patient's sheet must show and does not. */
void wording_needed(const Wording *wording, const Document *document);

/* Blocks of each kind. */
Block *block_new(const Wording *wording, BlockKind kind, const char *role);
void block_fill(Wording *wording, Block *block, const TemplateBlock *template);
Figure *wording_figure(Wording *wording, FigureKind kind);
/* A thing of the kit as it is drawn. */
FigureShape wording_thing(const Wording *wording, const Item *item, gint64 count);
/* The times as a small calendar file, to be read from the paper by a telephone. */
const char *calendar_code(const Wording *wording);
gboolean figure_can_be_drawn(const Wording *wording, FigureKind kind);

#endif
