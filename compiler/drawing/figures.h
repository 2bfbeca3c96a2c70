/* figures: line art from plain numbers, life size where size matters.  Words come
 * from the caller; none stand here.  Every figure says its size before it is
 * drawn, in mm; (x, y) is its top left corner.
 *
 * One grid of line weights, one tint, one way of hatching: see ink.h.  Water is
 * hatched as well as blue and powder is dotted, so that a photocopy still tells
 * them apart. */
#ifndef FIGURES_H
#define FIGURES_H

#include "drawing/ink.h"
#include "plan/plan.h"

typedef struct FigureSize {
    double width, height;
} FigureSize;

/* ---- the syringe, life size ---- */

typedef struct SyringeFigure {
    Rational capacity_ml, mark_every_ml, number_every_ml;
    gboolean u100;            /* printed numbers count 100 to the mL */
    double scale_mm;          /* zero line to last mark */
    double barrel_mm;         /* outer diameter */
    Rational fill_ml;         /* where the plunger's rim stands */
    const char *pointer;      /* "1 mL"; NULL for none */
    const char *pointer_note; /* what the pointer points at; or NULL */
    double needle_mm;         /* 0: no needle */
    double needle_od_mm;
    const char *hub;          /* colour word */
    gboolean mixing;          /* the needle that only fills has rings round its hub */
} SyringeFigure;

FigureSize figure_syringe_size(const SyringeFigure *figure);
void figure_syringe_draw(Ink *ink, const SyringeFigure *figure, double x, double y);
/* Where a volume's line stands, in mm right of the zero line. */
double figure_syringe_at(const SyringeFigure *figure, Rational volume_ml);

/* ---- vials ---- */

typedef enum VialKind { VIAL_POWDER, VIAL_LIQUID, VIAL_MIXED, VIAL_EMPTY, VIAL_AMPOULE } VialKind;

FigureSize figure_vial_size(VialKind kind);
void figure_vial_draw(Ink *ink, VialKind kind, double level, double x, double y); /* level 0..1 */

/* ---- needles, life size ---- */

typedef struct NeedleShape {
    const char *job, *detail; /* two lines of words */
    const char *hub;          /* colour word */
    gboolean mixing;          /* the needle that only fills has rings round its hub */
    double length_mm, od_mm;
} NeedleShape;

typedef struct NeedlesFigure {
    NeedleShape needles[3];
    guint count;              /* 0: the card and its bar alone */
    const char *bar_label, *card_label; /* card_label: or NULL */
} NeedlesFigure;

FigureSize figure_needles_size(const NeedlesFigure *figure);
void figure_needles_draw(Ink *ink, const NeedlesFigure *figure, double x, double y);

/* Outer diameter of a gauge in mm, ISO 9626 by way of ISO 6009's table; 31 G to 34 G from
 * memory.  What lies outside 16 G to 34 G is drawn as the nearest. */
double figure_gauge_mm(gint64 gauge);

/* ---- the pen, with the dose in its window ---- */

typedef struct PenFigure {
    const char *number; /* in the window, and at the pointer */
    const char *note;   /* what the pointer points at */
    const char *hub;    /* colour word */
} PenFigure;

FigureSize figure_pen_size(const PenFigure *figure);
void figure_pen_draw(Ink *ink, const PenFigure *figure, double x, double y);

/* ---- things of the kit, small ---- */

typedef enum ThingKind {
    THING_POWDER, THING_LIQUID, THING_READY, THING_AMPOULE, THING_PREFILLED, THING_SYRINGE,
    THING_PREFILLED_CAPPED, THING_CARTRIDGE, THING_PEN, THING_PEN_NEEDLE,
    THING_MIXING_NEEDLE, THING_NEEDLE, THING_WIPE, THING_GAUZE, THING_PLASTER, THING_SHARPS,
} ThingKind;

#define FIGURE_THING_WIDTH 26.0
#define FIGURE_THING_HEIGHT 24.0
/* needle_mm: the needle's true length; the drawing is smaller, and longer for a longer one. */
void figure_thing_draw(Ink *ink, ThingKind kind, const char *hub, double needle_mm, double x, double y);
/* The same as often as there are such things; one alone when they are too many
 * to count at a glance. */
void figure_things_draw(Ink *ink, ThingKind kind, const char *hub, double needle_mm, gint64 count, double x,
                        double y);
gint64 figure_things_drawn(gint64 count);

/* ---- the night strip ---- */

typedef struct StripFigure {
    int minute;             /* of the day */
    const char *left_day, *right_day;
    const char *clocks[7];  /* every two hours, "" where none */
    const char *time;
} StripFigure;

#define FIGURE_STRIP_HEIGHT 19.0
/* Above the strip's left end, before the names of the days, mm. */
double figure_strip_free(Ink *ink, const StripFigure *figure, double width);
void figure_strip_draw(Ink *ink, const StripFigure *figure, double x, double y, double width);

/* ---- a code for the telephone ---- */

/* The dark and light modules alone, mm: this much around them must stay white. */
extern const double figure_code_quiet;
/* No size when the text is too long for a code that an ordinary telephone reads. */
FigureSize figure_code_size(const char *text);
void figure_code_draw(Ink *ink, const char *text, double x, double y);

/* ---- pictures of doing ---- */

typedef enum SceneKind {
    SCENE_PUSH_INTO, SCENE_SWIRL, SCENE_DRAW_BACK, SCENE_BUBBLES, SCENE_BUBBLES_BACK,
    SCENE_NEEDLE_OFF, SCENE_NEEDLE_ON, SCENE_STRETCH,
    SCENE_PINCH, SCENE_ANGLE, SCENE_STEADY, SCENE_SHARPS,
    SCENE_PEN_CARTRIDGE, SCENE_PEN_NEEDLE, SCENE_PEN_CAPS, SCENE_PEN_INNER,
    SCENE_TIP_OFF, SCENE_TAP, SCENE_PEN_DROP, SCENE_PEN_OFF,
} SceneKind;

typedef struct SceneFigure {
    SceneKind kind;
    gint64 angle; /* degrees to the skin */
    gboolean muscle;
    const char *hub; /* colour word of the needle that is changed, or of a pen's */
    gboolean pen;
    gboolean level;  /* the syringe lies: nothing can run out of it */
} SceneFigure;

FigureSize figure_scene_size(const SceneFigure *figure);
void figure_scene_draw(Ink *ink, const SceneFigure *figure, double x, double y);

typedef struct SiteFigure {
    ChoiceWord site;
    const char *target;
} SiteFigure;

FigureSize figure_site_size(const SiteFigure *figure);
void figure_site_draw(Ink *ink, const SiteFigure *figure, double x, double y);

typedef enum PairKind { PAIR_POWDER, PAIR_AIR_GAP, PAIR_PLUNGER, PAIR_BUTTON } PairKind;

typedef struct PairFigure {
    PairKind kind;
    const char *good, *bad;
    const char *number; /* still in the window of a button that is not pressed home */
} PairFigure;

FigureSize figure_pair_size(const PairFigure *figure);
void figure_pair_draw(Ink *ink, const PairFigure *figure, double x, double y);

#endif
