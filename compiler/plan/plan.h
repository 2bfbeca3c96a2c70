/* plan: protocol + clinic + shelf + patient, worked out: every time, volume, mark,
 * count and step; each value knows the places it came from.
 * Judges nothing and raises no finding: what cannot be worked out stays unset
 * and a rule says why.  Formats no text for people.
 *
 * Every figure is worked out twice by different routes: dose -> volume -> dose,
 * anchor -> time -> anchor.  A disagreement is our own mistake and asserts.
 */
#ifndef PLAN_H
#define PLAN_H

#include "figure/figure.h"
#include "language/language.h"

/* ---- values: the ledger that sheet, text, JSON and trace read ---- */

typedef enum ValueKind {
    KIND_TEXT,     /* text */
    KIND_COLOUR,   /* text: the colour word of a hub */
    KIND_SAYING,   /* saying */
    KIND_PLACE,    /* zone */
    KIND_NUMBER,   /* number */
    KIND_AMOUNT,   /* quantity: dose, volume, angle, content */
    KIND_MARK,     /* quantity.number is the printed number; unit mL or none (number on a U-100 barrel) */
    KIND_DIAL,     /* quantity: a dose as the window of a pen shows it, its number alone */
    KIND_STRENGTH, /* strength */
    KIND_SPAN,     /* quantity: a length of time, exact minutes */
    KIND_NEEDLE,   /* gauge, length */
    KIND_CHOICE,   /* choice */
    KIND_DAY,      /* day */
    KIND_MOMENT,   /* moment: instant, wall clock, zone */
    KIND_CLOCKS,   /* from, until (minutes of the day), all_day */
    KIND_PHONE,    /* phone */
} ValueKind;

typedef enum ValueId {
#define VALUE(id, KIND, scope, description) VALUE_##id,
#include "plan/values.def"
    VALUE_COUNT
} ValueId;

typedef enum ValueScope { SCOPE_PERSON, SCOPE_INJECTION } ValueScope;

typedef struct ValueRow {
    const char *id;
    ValueKind kind;
    ValueScope scope;
    const char *description;
} ValueRow;

typedef struct Moment {
    Instant instant;
    LocalTime local;
    int offset;       /* seconds from UTC */
    const Zone *zone;
} Moment;

typedef struct Value {
    gboolean set;
    const char *how;    /* one line: "36 h before 2026-11-26 11:30" or NULL when read as written */
    GPtrArray *origins; /* of Place*, in the order they matter */
    union {
        const char *text;
        struct { const Saying *saying; const char *own; }; /* own: in the clinic's first language */
        const Zone *zone;
        gint64 number;
        Quantity quantity;
        Strength strength;
        struct { Quantity gauge, length; } needle;
        ChoiceWord choice;
        Day day;
        Moment moment;
        struct { int from, until; gboolean all_day; } clocks;
        const Phone *phone;
    };
} Value;

const ValueRow *value_row(ValueId id);
gboolean value_find(const char *word, ValueId *out);

/* ---- steps ---- */

typedef enum StepId {
#define STEP(id) STEP_##id,
#include "plan/steps.def"
    STEP_COUNT
} StepId;

/* "fit_mixing_needle" */
const char *step_name(StepId id);

typedef struct Step {
    StepId id;
    int vial; /* for steps repeated for several powder vials: 2, 3, ...; else 0 */
} Step;

/* ---- the kit ---- */

typedef enum ItemKind { ITEM_MEDICINE, ITEM_DILUENT, ITEM_SYRINGE, ITEM_DRAWING_NEEDLE, ITEM_INJECTING_NEEDLE,
    ITEM_PEN, ITEM_MIXING_SYRINGE, ITEM_MIXING_NEEDLE, ITEM_SUPPLY } ItemKind;

typedef struct Item {
    ItemKind kind;
    gint64 count; /* handed out for the whole course */
    gint64 left;  /* of them, what the days left of a running course still need; else all */
    gint64 used;  /* of them, in one act; the rest are spares or for later days */
    const Medicine *medicine;
    const Diluent *diluent;
    const Syringe *syringe;
    const Needle *needle;
    const Pen *pen;
    Supply supply;
} Item;

/* ---- one injection ---- */

/* READY: vial or ampoule; PEN: with a dial, filled or for a cartridge. */
typedef enum Way {
#define WAY(id, ...) WAY_##id,
#include "plan/ways.def"
} Way;

typedef struct WayRow {
    gboolean mixes;   /* a powder is dissolved first */
    ContainerUse use; /* a syringe is filled from a container, comes filled, or a pen is set */
    const char *medicine_job, *syringe_job; /* phrases */
} WayRow;
const WayRow *way_row(Way way);

typedef enum RungKind {
#define RUNG(id, ...) RUNG_##id,
#include "plan/rungs.def"
} RungKind;

/* Whether a telephone rings for a rung. */
typedef enum RungAlarm { ALARM_SILENT, ALARM_ONCE, ALARM_EACH } RungAlarm;

typedef struct RungRow {
    const char *id;
    ValueId value;
    RungAlarm alarm;
    const char *words;               /* in plan text */
    const char *filled, *fixed, *pen; /* endings of its phrase: see rungs.def */
} RungRow;
const RungRow *rung_row(RungKind kind);

/* One preparation step with a clock time. */
typedef struct Rung { RungKind kind; Moment at; } Rung;

/* One act of a course, or the one act. */
typedef struct Act {
    gboolean exists;    /* the wall-clock time exists that day */
    gboolean twice;     /* it occurs twice and nothing says which */
    LocalTime wanted;   /* calendar timing: the wall-clock time asked for */
    Moment at;          /* when exists */
} Act;

typedef struct PlanInjection {
    const Injection *order;   /* as written */
    int number;               /* from 1, in order of time (of writing, without a patient) */
    Way way;

    /* from the shelf; NULL when the name is not there */
    const Medicine *medicine;
    const Diluent *diluent;
    const MixingRow *row;     /* the label's row for this volume, or NULL */
    const Syringe *syringe;         /* to inject with */
    const Syringe *mixing_syringe;  /* of a powder; the same one, unless draw names another */
    const Needle *mixing_needle;    /* of a powder */
    const Pen *pen;
    const Needle *drawing_needle;   /* NULL too when the syringe has a fixed one */
    const Needle *injecting_needle; /* NULL too when the syringe has a fixed one */
    const Box *box;           /* the box handed out, or NULL */

    /* amounts; a Rational that is not rational_ok is unknown */
    gint64 containers;        /* opened in one act; 0 unknown */
    Rational content;         /* together, in the dose's base unit */
    Rational add_ml;          /* liquid to add */
    Rational final_ml;        /* once mixed: stated, or from strength, or (whole content) as added */
    Rational drawable_ml;     /* of final_ml, what can be drawn back */
    Strength strength;        /* once ready: as stated, else content in final_ml */
    gboolean has_strength;
    Rational exact_ml;        /* to inject, before rounding */
    Rational volume_ml;       /* to inject, on a mark, half up; of a pen, what its setting gives */
    Rational dialled;         /* the pen's setting, half up, in the dose's base unit */
    Rational add_on_mark_ml;  /* the liquid, on a mark of the syringe */
    Rational dose_drawn;      /* in volume_ml, in the dose's base unit */
    gint64 *opens;            /* containers opened for each of its days */
    gint64 opened, openings;  /* in all; and on how many days */
    gint64 served;            /* containers that it draws from, opened by it or by an earlier injection */
    gint64 in_use_minutes;    /* longest time from the first to the last dose out of one that it opened */
    const struct PlanInjection *opened_by; /* the earlier injection that opened what it draws from first, or NULL */
    gboolean opened_for_more; /* a later injection draws from what it leaves */
    Rational lost_ml;         /* of volume_ml, what stays in a needle and is not injected */
    Rational taken_ml;        /* of a measured part: what leaves the container with it, all told */
    Rational moved;           /* |dose_drawn - dose| / dose */

    /* time, known without a patient */
    const struct PlanInjection *counts_from; /* the injection that its time counts from, or NULL */
    Rational before_anchor;   /* minutes before the anchor when all of it is elapsed time; else not rational_ok */
    gboolean leads_circle;    /* its time counts from itself; the first written of that circle */

    /* time; nothing is set without a patient */
    gboolean timed;           /* every act exists and is chosen */
    GPtrArray *acts;          /* of Act*, at least one when a patient is there and the anchor is known */
    guint done;               /* acts of a running course that lie behind now; always fewer than acts */
    gint64 offset_minutes;    /* elapsed minutes from the act to the anchor event; negative after it */
    gboolean from_anchor;     /* counts (by way of others too) in elapsed time from the anchor */
    gboolean clock_change;    /* told on the sheet: it lies where change_later says */
    gboolean change_later;    /* FALSE: between first preparation and last act; TRUE: from there to the anchor */
    ClockChange change;
    Moment earliest, latest;  /* window of the first act left, as printed: never at midnight, never wider */
    gboolean windowed;        /* earliest and latest are set */
    Moment call_by;           /* when has_call_by */
    gboolean has_call_by;
    Moment mix_from;          /* mix not before, counted back from the window's end; when has_mix_from */
    gboolean has_mix_from;
    GPtrArray *ladder;        /* of Rung*, in order of time; the last is the injection */
    GPtrArray *steps;         /* of Step* */
    GPtrArray *kit;           /* of Item*: for this injection, all its days */

    Value values[VALUE_COUNT]; /* of scope INJECTION */
} PlanInjection;

typedef struct Plan {
    const Clinic *clinic;
    const Shelf *shelf;
    const Protocol *protocol;
    const Patient *patient;   /* NULL when only the protocol is checked */
    const Zone *zone;         /* where the person will be; the clinic's without a patient */
    Instant now;              /* when the plan was made */
    gboolean dated_by_hand;   /* that was typed in, not read from a clock */
    const char *seal;         /* of all that it rests on; NULL while a file cannot be read */
    const char *rules;        /* a part of that: the limits of the program */
    const struct Plan *approved; /* the same person's, from what was approved; NULL when not kept or not asked for */
    const char *spoilt; /* folder of a kept copy that is not what was approved, or NULL */
    int anchor_count;         /* instants that carry the anchor's clock time: 0, 1, 2 */
    gboolean anchor_known;    /* exists and, if twice, is chosen */
    Instant anchor;
    GPtrArray *injections;    /* of PlanInjection*, in order of time */
    GPtrArray *by_reference;  /* the same, each behind what its time counts from */
    GPtrArray *kit;           /* of Item*: all injections together, like items added up */
    Value values[VALUE_COUNT]; /* of scope PERSON */
} Plan;

/* What the program adds to a plan from outside the four files. */
typedef struct PlanContext {
    Instant now;
    const char *version;
    const char *digest; /* of the files read */
    const char *rules;  /* as rules_basis prints them */
    gboolean dated_by_hand; /* now was typed in */
    const char *alike;  /* whom the person might be mistaken for, or NULL */
    SealMemo *seals;    /* of the clinic and the shelf given, or NULL */
} PlanContext;

/* Works everything out.  patient may be NULL.  Owned by the arena. */
Plan *plan_build(Arena *arena, const Clinic *clinic, const Shelf *shelf, const Protocol *protocol,
                 const Patient *patient, const PlanContext *context);

/* The value for this injection (NULL: of the person); never NULL, may be unset. */
const Value *plan_value(const Plan *plan, const PlanInjection *injection, ValueId id);

/* The words that tell one sheet from all others, between bars: person, order, sheet,
 * revision and all that the person acts on, as medicine, dose, volume, line, site,
 * syringe, needles, minute, window, telephones. */
const char *plan_identity(Arena *arena, const Plan *plan, const PlanInjection *injection);
/* A digest of such words of all injections: the same on every sheet of one plan. */
const char *plan_acted_on(Arena *arena, const Plan *plan);
/* The code of such words, of letters and digits that cannot be mistaken for one
 * another when spoken. */
const char *plan_spoken_code(Arena *arena, const char *identity);
/* TRUE when the needle stays bare once all is ready: it is made ready just before injecting. */
gboolean plan_fills_last(const PlanInjection *injection);
/* TRUE when one needle fills and another injects. */
gboolean plan_needle_changes(const PlanInjection *injection);

/* TRUE when what is drawn up first, the liquid of a powder or the medicine, is in an ampoule. */
gboolean plan_draws_ampoule(const PlanInjection *injection);
/* TRUE when the medicine comes in a cartridge, which a pen takes. */
gboolean plan_takes_cartridge(const PlanInjection *injection);
/* TRUE when all that can be drawn back is the dose; FALSE when it is a measured part. */
gboolean plan_gives_all(const PlanInjection *injection);
/* TRUE when the clinic brings back what the filling needle holds before it comes off. */
gboolean plan_empties_needle(const Plan *plan, const PlanInjection *injection);
/* TRUE when the syringe has its needle fixed on. */
gboolean plan_has_fixed_needle(const PlanInjection *injection);

/* Who injects: as the protocol says, or where it leaves that open, as was chosen for this
 * person; EITHER while nobody has chosen. */
Giver plan_giver(const Plan *plan, const PlanInjection *injection);

/* TRUE when this can go wrong with the injection. */
gboolean plan_can_slip(const PlanInjection *injection, Slip slip);
/* The clinic's words for it, first those of the injection, then of its medicine, then of the whole
 * clinic; returns how many of these three there are. */
guint plan_slip_places(const Plan *plan, const PlanInjection *injection, Slip slip, const SlipWords *out[3]);

/* What the clinic's words leave to be filled in, between braces: "{step push}" and "{page push}"
 * name a panel of panels.def by its number and page on the sheet, "{latest}" a value. */
typedef enum SlipSlotKind { SLOT_UNKNOWN, SLOT_STEP, SLOT_PAGE, SLOT_VALUE } SlipSlotKind;
/* text: what stands between the braces; *panel points to the name in it, which ends with the slot. */
SlipSlotKind plan_slip_slot(const char *text, gsize length, const char **panel, ValueId *value);

/* TRUE when its injections belong on one sheet: two, each given once, and not out of one mixed vial,
 * which would lie in the closed bag of one of them. */
gboolean plan_one_sheet(const Plan *plan);

/* TRUE when every value that a sheet needs is set and every injection timed. */
gboolean plan_complete(const Plan *plan);

/* Days of the course; 1 when it is none. */
gint64 plan_days(const PlanInjection *injection);
/* TRUE when a powder is mixed with one syringe and drawn up with another. */
gboolean plan_mixes_apart(const PlanInjection *injection);
/* mL that one container gives in doses, the drop for a pen's flow check left out; not
 * rational_ok when unknown. */
Rational plan_volume_given(const PlanInjection *injection);
/* mL that one act takes of its container: the dose alone where the label says what the
 * container gives, else with the drop of a pen, or with what fills nozzle and needle. */
Rational plan_takes(const PlanInjection *injection);
/* The same for a volume of mL, whatever the label says. */
Rational plan_takes_in_fact(const PlanInjection *injection, Rational dose);
/* Doses that one container gives; 0 when it serves one act. */
gint64 plan_doses_each(const PlanInjection *injection);
/* TRUE when another injection of the plan may draw from the same container. */
gboolean plan_shares(const Plan *plan, const PlanInjection *injection);
/* Which of the containers it draws from on this day of the course, from 1. */
guint plan_container_of(const PlanInjection *injection, guint act);
/* TRUE when a container is opened on a day that is left. */
gboolean plan_opens_yet(const PlanInjection *injection);
/* TRUE when a vial, once mixed, waits for another day or another injection. */
gboolean plan_keeps_vial(const Plan *plan, const PlanInjection *injection);
/* Where it waits. */
KeptAt plan_vial_kept_at(const PlanInjection *injection);
/* Minutes that an opened container may be used, of a medicine whose in_use is given: the shorter of
 * what the shelf says of use and the mixing row of keeping; *at: the one that says so. */
Rational plan_use_limit(const PlanInjection *injection, const Field **at);
/* Minutes that the mixing row keeps what is mixed; not rational_ok when it says nothing. */
Rational plan_kept_for(const PlanInjection *injection);
/* Minutes before the injection at which its powder may be mixed at the earliest; of a course, on
 * each day.  0 when unknown. */
gint64 plan_mix_lead(const Plan *plan, const PlanInjection *injection);
/* TRUE when the shelf keeps the medicine in the refrigerator. */
gboolean plan_is_cold(const PlanInjection *injection);
/* TRUE when a container for many doses is begun on this day of the course, from 0. */
gboolean plan_begins_new(const PlanInjection *injection, guint act);

/* The first act that is left, and the last; NULL while nothing is known of them. */
const Act *plan_first_act(const PlanInjection *injection);
/* Days from the event's date to that of the first injection, as plan_build() counts them: *days, before the event
 * below 0.  FALSE when one counts in hours from the event, or from another one: then the first day alone does not
 * say on which day the event is. */
gboolean plan_starts(const Protocol *protocol, int *days);
const Act *plan_last_act(const PlanInjection *injection);
/* The last instant at which this act is still in time, as ordered. */
Instant plan_window_end(const PlanInjection *injection, const Act *act);
/* Minutes that the mixture waits at most: from the start of the preparation, or from
 * mixing ahead, to the end of the window; not rational_ok when unknown. */
Rational plan_mixed_for(const Plan *plan, const PlanInjection *injection);

/* Whether the protocol's kit has such a thing, and how many of them the whole protocol uses. */
gboolean plan_has_supply(const Plan *plan, Supply supply);
gint64 plan_supply_needed(const Plan *plan, Supply supply);

/* A value in plain English for plan text, JSON, findings and trace (never the
 * sheet): "Tuesday 2026-11-24 23:30". */
char *value_text(Arena *arena, const Value *value, ValueKind kind);

/* Appends what differs between two plans of one protocol, one a line: first for the person,
 * "trigger: the syringe is filled to: 0.8 mL, line 80 became 0.4 mL, line 40 (shelf.yaml:7)",
 * then in the files where that did not say it, "clinic preparation start: 45 min became
 * 30 min".  approvals: also who approved and until when.  TRUE when the person would notice. */
gboolean plan_changes(const Plan *old, const Plan *new, gboolean approvals, GString *out);

/* The whole plan as plain text and as JSON; the origins and how of one value. */
void plan_print(const Plan *plan, GString *out);
void plan_print_json(const Plan *plan, GString *out);
/* The word is a value's name, or what is printed ("11:20 pm", "1 mL", "line 1"): then all
 * values that print so.  FALSE when there is none. */
gboolean plan_trace(const Plan *plan, const char *word, GString *out);

#endif
