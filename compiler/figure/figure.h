/* figure: every picture that a sheet can show, as a name and the numbers and words that it
 * needs.  Filled in wording, drawn by drawing; neither asks the plan again.  Knows no
 * position, no size on the page, and no way of drawing. */
#ifndef FIGURE_H
#define FIGURE_H

#include "language/language.h"

/* ---- the numbers of a picture ---- */

/* A needle as its pack shows it. */
typedef struct NeedleLook {
    const char *hub;  /* colour word; NULL: white */
    gboolean filling; /* the needle that only fills has rings round its hub, the other ribs */
} NeedleLook;

/* A picture that is the same for everybody. */
typedef struct PlainFigure {
    char nothing;
} PlainFigure;

/* A syringe in life size: its scale as printed on the barrel. */
typedef struct SyringeFigure {
    Rational capacity_ml, mark_every_ml, number_every_ml;
    gboolean u100;            /* printed numbers count 100 to the mL */
    Rational scale_mm;        /* zero line to last mark */
    Rational barrel_mm;       /* outer diameter */
    Rational fill_ml;         /* where the plunger's rim stands */
    const char *pointer;      /* "1 mL"; NULL for none */
    const char *pointer_note; /* what the pointer points at; or NULL */
    Rational needle_mm;       /* 0: no needle */
    gint64 gauge;
    NeedleLook needle;
    gboolean fixed;           /* the needle is part of the syringe */
    gboolean slip;            /* its tip is pushed on, not twisted */
    gboolean bubble;          /* a bubble that may stay */
} SyringeFigure;

/* A pen's window in life size. */
typedef struct PenFigure {
    const char *number; /* in the window */
    const char *note;   /* what the pointer points at; or NULL */
    NeedleLook needle;
} PenFigure;

/* Twelve hours, six to six. */
typedef struct StripFigure {
    int minute;             /* of the day: the minute that matters */
    int from, until;        /* minutes of the day: the window around it; equal: none */
    const char *left_day, *right_day;
    const char *clocks[7];  /* every two hours, "" where none */
    const char *time;
    const struct StripFigure *also; /* minute, window and time of another one of these hours; or NULL */
} StripFigure;

typedef struct CodeFigure {
    const char *text; /* what a telephone reads */
} CodeFigure;

/* Work with a syringe and its needle.  Zeroes show the common case. */
typedef struct SceneFigure {
    NeedleLook needle;     /* that is on, or is changed */
    gboolean fixed;        /* insulin type: thin, its needle fixed */
    gboolean slip;         /* the needle is pushed on and pulled off, not twisted */
    gboolean pen;          /* a pen is used in place of a syringe */
    gboolean muscle;       /* the needle ends in the muscle; else in the fat */
    gboolean fold;         /* the skin is lifted; else stretched */
    gboolean vial;         /* the vial is still on the needle */
    gboolean ampoule;      /* the liquid came from an ampoule, not a vial */
    gint64 angle;          /* degrees to the skin */
    const char *amount;    /* a number or time that stands in the picture: "1", "1 min"; or NULL */
    const char *other;     /* a second one, where the picture has two; or NULL */
    gint64 count;          /* of small lines, of vials lying */
    gint64 of;             /* of vials in all */
} SceneFigure;

typedef enum SiteView {
    VIEW_HELPER, /* as the helper sees it, beside or behind the person */
    VIEW_OWN,    /* as the person sees it, looking down */
} SiteView;

/* Where on the body. */
typedef struct SiteFigure {
    Site site;
    SiteView view;
    gboolean left;       /* the person's left side */
    gboolean either;     /* both sides have a spot, where the site allows it */
    gint64 fingers;      /* laid below the bone, or beside the navel */
    const char *left_word, *right_word; /* the sides named in a picture that shows both; or NULL */
} SiteFigure;

/* Like this, not like this. */
typedef struct PairFigure {
    const char *good, *bad; /* words under, or NULL */
    const char *number;     /* still in the window of a button that is not pressed home */
    NeedleLook needle;
    gboolean fixed;
} PairFigure;

typedef enum ThingKind {
    THING_POWDER, THING_LIQUID, THING_READY, THING_AMPOULE, THING_PREFILLED, THING_SYRINGE,
    THING_PREFILLED_CAPPED, THING_CARTRIDGE, THING_PEN, THING_PEN_NEEDLE,
    THING_NEEDLE, THING_WIPE, THING_GAUZE, THING_PLASTER, THING_SHARPS,
    THING_EMPTY_VIAL, /* the powder's, when all was drawn up */
    THING_BOX,        /* the carton that it comes in */
} ThingKind;

/* A thing of the kit, as often as there are such things; one alone when they are too
 * many to count at a glance. */
typedef struct ThingFigure {
    ThingKind kind;
    NeedleLook look;     /* look.hub: NULL for a thing without a needle */
    Rational needle_mm;  /* a needle's true length: the drawing is smaller, longer for a longer one */
    gboolean fixed, slip;
    int beside;          /* of two syringes: 1 the larger one, -1 the smaller one; 0: the only one */
    gint64 count;
} ThingFigure;

#define FIGURE_THINGS 8

/* Several kinds beside each other: what is left over. */
typedef struct ThingsFigure {
    ThingFigure things[FIGURE_THINGS];
    guint count;
} ThingsFigure;

/* A needle in its pack, life size. */
typedef struct PackFigure {
    NeedleLook look;
    Rational length_mm;
    gint64 gauge;
    gint64 count; /* packs behind each other */
} PackFigure;

/* A length to be held against a thing: a bank card's 85.60 mm. */
typedef struct CardFigure {
    const char *label;
} CardFigure;

/* What is printed on the box, and the line to look for. */
typedef struct LabelFigure {
    ThingKind kind;      /* what stands beside the words */
    const char *name, *strength; /* as printed */
    const char *use_by;  /* ringed; or NULL */
} LabelFigure;

/* ---- the rows ---- */

typedef enum FigureKind {
    FIGURE_NONE,
#define FIGURE(id, numbers, place, shape) FIGURE_##id,
#include "figure/figures.def"
    FIGURE_COUNT
} FigureKind;

/* Whether a picture has words inside, which need room. */
typedef enum FigureWords { WORDS_NONE, WORDS_INSIDE } FigureWords;

/* One picture with its numbers; kind says which member is meant. */
typedef struct FigureShape {
    FigureKind kind;
    union {
        PlainFigure plain;
        SyringeFigure syringe;
        PenFigure pen;
        StripFigure strip;
        CodeFigure code;
        SceneFigure scene;
        SiteFigure site;
        PairFigure pair;
        ThingFigure thing;
        ThingsFigure things;
        PackFigure pack;
        CardFigure card;
        LabelFigure label;
    };
} FigureShape;

typedef void (*FigureVisit)(const char *text, gpointer data);

typedef struct FigureRow {
    const char *id;    /* "SYRINGE_ADD" */
    FigureWords words;
    void (*visit)(const FigureShape *shape, FigureVisit visit, gpointer data);
} FigureRow;

const FigureRow *figure_row(FigureKind kind);
/* Every word and number that may stand inside the picture; never NULL. */
void figure_visit(const FigureShape *shape, FigureVisit visit, gpointer data);

#endif
