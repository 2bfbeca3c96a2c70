/* model: what the files say, as plain structs: clinic, shelf, protocol, patient.
 * Each member is filled by the row of the same name in fields.def; a member
 * without a row, or a row without a member, does not compile or fails
 * tests/checks/fields. */
#ifndef MODEL_H
#define MODEL_H

#include "language/field.h"

/* ---- clinic ---- */

typedef struct Phone {
    Field at;
    Text number;    /* as printed */
    Text dial;      /* E.164, "+19025550142", for the link; absent for an emergency number */
    ClockSpan hours;
    Saying answers; /* who answers */
} Phone;

typedef struct Phones {
    Field at;
    Phone day, night, emergency;
    Phone second;        /* when nobody answers at night, answered at that hour */
    Amount second_after; /* how long without an answer */
    Phone physician;     /* whom the nurse rings at night; not on sheets */
    Phone interpreter;   /* whom the nurse rings first for another language */
} Phones;

/* What the nurse asks, says and does when something went wrong at home. */
typedef struct SlipWords { Field at; SlipChoice slip; Saying ask, say, then; } SlipWords;

typedef struct Procedures { Field at; List days; ClockSpan hours; } Procedures;

typedef struct Governance { Field at; PeopleChoice people; List physicians, nurses; } Governance;

typedef struct SiteLimit { Field at; SiteChoice site; Amount most; } SiteLimit;

typedef struct Limits {
    Field at;
    Span trigger;     /* hours before egg collection */
    Amount rounding;  /* percent that rounding to a mark may move a dose */
    Amount review;    /* longest time from approval to review */
    Amount acceptance; /* longest time that an acceptance may hold */
    List volumes;     /* of SiteLimit* */
} Limits;

typedef struct Preparation {
    Field at;
    ClockTime check_kit; /* by when the person checks the kit, in office hours */
    ClockTime call_by;   /* by when to call about a missing thing */
    Amount alarms;       /* how long before the start to set the alarms */
    Amount start;        /* how long before the injection to wash hands and begin */
    Amount start_ready;  /* the same as start, where nothing is mixed; start when absent */
    Amount sit;          /* how long before the injection to change needle and sit down */
    MidnightChoice midnight; /* where a preparation that falls on midnight moves; earlier when absent */
    YesNoChoice empty_filling_needle; /* yes: what it holds is drawn back with air before it comes off */
} Preparation;

typedef struct Advice {
    Field at;
    List normal;    /* of Saying*: harmless things */
    List emergency; /* of Saying*: signs that mean: emergency number */
    List signs;     /* of Saying*: signs on later days that mean: call now */
    Number signs_days; /* for how many days */
    Amount fever;   /* a temperature from which to call now */
} Advice;

/* Where clinics differ and no publication decides. */
typedef struct Practice {
    Field at;
    Number empty_lines;   /* lines of air drawn into the filling needle, where it is emptied */
    Amount dissolve;      /* how long a powder may take */
    Amount dry;           /* how long the wiped skin dries */
    Amount press;         /* how long the spot is pressed */
    YesNoChoice rub;      /* yes: an oil is rubbed in */
    YesNoChoice send_word; /* yes: the person calls when it is done */
} Practice;

typedef struct Clinic {
    Field at;
    Text clinic;        /* its name */
    Saying demonstration; /* said beside the name on invented data */
    ZoneField zone;
    ClockChoice clock;
    ScaleChoice temperature;
    PaperChoice paper;
    List languages;     /* of Text*: BCP 47 tags, the first is the clinic's own */
    Phones phones;
    Procedures procedures;
    Governance governance;
    Limits limits;
    Preparation preparation;
    Advice advice;
    Practice practice;
    Text record;        /* where its record is kept; absent: none is kept */
    List slips;         /* of SlipWords* */
} Clinic;

/* ---- shelf ---- */

typedef struct Label { Field at; Text source; Date on; } Label;

typedef struct MixingRow {
    Field at;
    Amount add;             /* diluent volume that the label allows */
    Amount makes;           /* final volume in the vial, as the label states it */
    StrengthField strength; /* concentration, as the label states it */
    Amount withdraw;        /* what can be drawn back, as the label states it */
    Number most_vials;      /* powder vials that may share one diluent; 1 when absent */
    List routes;            /* of RouteChoice*: only these routes with this mix */
    List keep;              /* of Keep* */
} MixingRow;

typedef struct Storage {
    Field at;
    Span temperature;
    YesNoChoice light; /* yes: protect from light */
    Amount take_out;   /* how long before use to take it out of the refrigerator */
    Amount in_use;     /* how long after first use it may be used */
} Storage;

/* The doses that are ordered here; a span of one dose has both ends the same. */
typedef struct DoseRange {
    Field at;
    Span single, daily;
    RangeOfChoice set_by;
    Text source;
} DoseRange;

typedef struct Medicine {
    Field at;
    Text name;          /* the whole name used by protocols */
    Text generic;       /* generic name, printed */
    Text box;           /* what is printed on the box, where it is not generic name and content */
    List item_numbers;  /* of Text*: in the barcodes of its boxes */
    FormChoice form;
    FluidChoice fluid;
    ContainerChoice container;
    Amount content;     /* in one container */
    Text activity;      /* kind of unit a label names: "USP units"; needed for units */
    Amount volume;      /* of a solution in one container */
    StrengthField strength; /* of a solution */
    Amount deliverable; /* dose that can be taken out, where the label says less than content */
    Text syringe;       /* prefilled: the shelf name of its syringe */
    Text pen;           /* cartridge or filled pen: the shelf name of the pen */
    DoseRange doses;
    YesNoChoice single_dose, high_alert;
    List mixing;        /* of MixingRow* */
    List diluents;      /* of Text*: shelf names that the label allows */
    List routes;        /* of RouteChoice* */
    List contains;      /* of Text*: excipients and closure materials */
    Storage storage;
    List slips;         /* of SlipWords* */
    Label label;
} Medicine;

typedef struct Diluent {
    Field at;
    Text name;          /* "sterile water" */
    ContainerChoice container;
    Amount volume;      /* in one container */
    List contains;      /* of Text* */
    List not_for;       /* of RouteChoice*: routes that its content excludes */
    Label label;
} Diluent;

typedef struct Syringe {
    Field at;
    Text name;          /* "3 mL" */
    Amount capacity;
    MarksChoice marks;
    Amount mark_every;  /* volume between two printed marks */
    Amount number_every;/* volume between two printed numbers */
    Amount dead_space;
    Amount scale_length;/* zero line to capacity line, for a life-size drawing */
    Amount barrel;      /* outer diameter of the barrel */
    NeedleField needle; /* a needle that cannot be taken off */
    TipChoice tip;      /* of a syringe whose needle comes off */
    Label label;
} Syringe;

/* A pen with a dial: doses are set in the window, in the unit of the dose. */
typedef struct Pen {
    Field at;
    Text name;
    Amount dial_every;  /* between two settings */
    Amount dial_most;   /* largest setting */
    Amount flow_check;  /* dialled into the air, to see a drop */
    Label label;
} Pen;

typedef struct Needle {
    Field at;
    NeedleField needle;
    Text hub;           /* colour word */
    YesNoChoice filter; /* yes: a filter needle, never to inject through */
    Amount dead_space;
} Needle;

typedef struct Shelf {
    Field at;
    Text shelf;         /* its title */
    List medicines;     /* of Medicine* */
    List diluents;      /* of Diluent* */
    List syringes;      /* of Syringe* */
    List pens;          /* of Pen* */
    List needles;       /* of Needle* */
    List supplies;      /* of SupplyChoice*: what is stocked */
} Shelf;

/* ---- protocol ---- */

typedef struct Approval { Field at; Text by; Date on, review_by; Text seal; } Approval;

typedef struct Acceptance {
    Field at;
    Text rule, injection, because, by;
    Date on, until;
} Acceptance;

typedef struct Mix {
    Field at;
    Text diluent;       /* shelf name */
    Amount add;         /* volume of diluent */
    Amount leaflet_adds; /* what the box's leaflet says instead */
    Text syringe;       /* shelf name */
    NeedleField needle;
    Keep ahead;         /* how long ahead it may be mixed */
} Mix;

/* A ready solution, or a powder mixed with another syringe. */
typedef struct Draw { Field at; Text syringe; NeedleField needle; } Draw;

typedef struct Give {
    Field at;
    NeedleField needle; /* absent: the syringe's own fixed needle */
    Number spare_needles;
    Amount angle;
    GiverChoice by;
    RotationChoice rotate;
    Saying technique;   /* how to reach the site alone */
    YesNoChoice aspirate;   /* yes: the plunger is pulled back to look for blood */
    Amount least;       /* less than this in the syringe at the first drop: call */
    Number fingers;     /* of the upper arm: how many below the shoulder bone */
} Give;

typedef struct KitItem { Field at; SupplyChoice item; Number count; } KitItem;

typedef struct Injection {
    Field at;
    Text name;
    Text medicine;      /* shelf name */
    Amount dose;
    DoseIsChoice dose_is;
    Number vials;       /* containers used; worked out when absent */
    Timing when;
    Window window;
    RouteChoice route;
    SiteChoice site;
    Mix mix;            /* powders */
    Draw draw;          /* solutions in a vial or ampoule; powders mixed with another syringe */
    Give give;
    List together;      /* of Text*: medicines stated compatible in one syringe */
    Saying late;
    List slips;         /* of SlipWords* */
    List notes;         /* of Saying* */
} Injection;

typedef struct Protocol {
    Field at;
    Text protocol;      /* its short name, also the file's */
    Saying title;
    Number revision;
    Text author;
    AnchorChoice anchor;
    Saying why;         /* one calm sentence: why the time matters */
    Approval approval;
    List acceptances;   /* of Acceptance* */
    List injections;    /* of Injection*, at least one */
    List kit;           /* of KitItem*: supplies handed out */
} Protocol;

/* ---- patient ---- */

typedef struct AnchorTime { Field at; Date on; ClockTime clock; OccurrenceChoice which; } AnchorTime;

typedef struct Box { Field at; Text medicine, lot, item; Date expires; Number count; } Box;

typedef struct Patient {
    Field at;
    Text patient;       /* code */
    Text name;          /* as the person is called on the sheet */
    Text protocol;      /* short name */
    Text order;         /* the order's number */
    Number sheet, replaces;
    Text prepared_by;
    AnchorTime anchor;
    ZoneField zone;     /* where the person will be; absent: the clinic's */
    Amount weight;
    SexChoice sex;
    List allergies;     /* of Text*; an empty list says "none known" */
    List bleeding;      /* of BleedingChoice* */
    GiverChoice by;     /* who injects, where the protocol leaves it open */
    Text language;
    Text phone;         /* answered by the person that night */
    List boxes;         /* of Box* */
    List acceptances;   /* of Acceptance* */
} Patient;

#endif
