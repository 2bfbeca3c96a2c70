/* night: who injects what tonight, in order of time, as plain data: the page for the wall,
 * the text, the watch in the terminal and whoever else shows it draw from one list.
 * Evening to noon: what is injected between noon of one day and noon of the next, by the
 * clinic's clock, belongs to one night.  Names no person: only codes. */
#ifndef NIGHT_H
#define NIGHT_H

#include "wording/wording.h"

/* One person with a sheet for tonight. */
typedef struct NightPerson {
    const Plan *plan;         /* of the day on which the sheet was printed */
    const Phrases *phrases;   /* of her sheet's language */
    GPtrArray *sheets;        /* of NightSheet* */
} NightPerson;

/* A sheet as it was printed, for the steps and pages that the nurse names.  It is worded when it
 * is asked for, since those of a whole night take more memory than all else. */
typedef struct NightSheet {
    const GPtrArray *injections; /* of PlanInjection*: those on it */
    void (*open)(gpointer maker, Arena *arena, SlipSheet *sheet); /* fills in document, page_of, pages */
    gpointer maker;
} NightSheet;

/* Someone who has no sheet: her file has findings. */
typedef struct NightStopped {
    const char *code;
    guint errors;
} NightStopped;

/* What was noted in the record about a sheet. */
typedef struct NightNote {
    const char *code;         /* of the person */
    gint64 sheet;             /* 0: not said */
    const char *injection;    /* name, or NULL: not said */
    Instant at;               /* when it was noted */
    gboolean injected;        /* else a call */
    Instant given;            /* of injected: at what time */
    const char *said, *by;    /* or NULL */
    gboolean settled;         /* of a call: nothing is left to do */
} NightNote;

typedef enum NightState {
#define NIGHT_STATE(id, sign, phrase) NIGHT_##id,
#include "night/states.def"
} NightState;

/* A stretch of a text that is easily mixed up, in bytes. */
typedef struct NightMark {
    gsize start, length;
} NightMark;

/* What the nurse says when something went wrong; say NULL: nobody wrote words, ring. */
typedef struct NightSlip {
    Slip slip;
    const char *title;
    const char *ask, *say, *then; /* ask and then may be NULL */
    gboolean translated;      /* ask and say are in the person's language */
} NightSlip;

typedef struct NightRow NightRow;
struct NightRow {
    int number;               /* from 1, in order of time */
    const Plan *plan;
    const PlanInjection *injection; /* as plan and person NULL once the people are forgotten */
    const char *mark;         /* "A", "B" of two injections of one person tonight, or NULL */
    const NightRow *other;    /* the other one of them, or NULL */
    Instant at, from, until;  /* until: the last instant that is in time */
    LocalTime local;          /* at, by the clinic's clock */
    NightState state;
    const NightNote *call, *injected; /* the last ones, or NULL */

    /* words in the clinic's language, without names */
    const char *clock, *window, *away; /* away: the clock where she is, or NULL */
    const char *event;        /* "eggs Sunday 10 am" */
    const char *code, *sheet; /* sheet: its spoken code */
    const char *medicine, *dose, *amount; /* amount: "all, 1 mL", "to line 80", "window 160" */
    const char *needle, *place, *giver, *phone; /* phone NULL: not known */
    const char *language;
    gboolean interpreter;     /* she reads another language than the nurse */
    GPtrArray *not_rows;      /* of NightRow*: with a code that is easily taken for this one */
    GArray *code_marks, *sheet_marks, *medicine_marks; /* of NightMark */
    gboolean dose_marked;
    const NightPerson *person; /* whose it is */
};

typedef struct Night {
    const Clinic *clinic;
    const Zone *zone;
    const Phrases *phrases;   /* of the clinic */
    const Plan *words;        /* a plan of the clinic that formats clock times */
    Day evening;              /* the day on which the night begins */
    Instant now;
    Instant made;             /* when the list is made: now, or before it */
    gboolean typed;           /* that time was typed in */
    gboolean sends_word;      /* persons are asked to call when it is done */
    const Phone *physician;   /* whom the nurse rings; or NULL */
    const Phone *interpreter; /* or NULL */
    const NightRow *next;     /* the first that is open or to come and not injected; or NULL */
    guint people;
    GPtrArray *rows;          /* of NightRow* */
    const GPtrArray *stopped; /* of NightStopped* */
} Night;

/* The evening of the night that holds an instant: before noon it is yesterday's. */
Day night_evening(const Zone *zone, Instant now);
/* Noon of the evening's day: plans made for it print what the day printed. */
Instant night_noon(const Zone *zone, Day evening);

typedef struct NightRequest {
    const Clinic *clinic;
    const Phrases *phrases;    /* of the clinic's language */
    const GPtrArray *people;   /* of NightPerson*; all of this clinic */
    const GPtrArray *stopped;  /* of NightStopped* */
    const GPtrArray *cancelled; /* of char*: codes of people whose sheet was cancelled; none is to be printed */
    const GPtrArray *notes;    /* of NightNote*, in order of time */
    Day evening;               /* of the night */
    GPtrArray *memories;       /* of Arena*, owned: what each of the people lives in, in their order */
    Instant now;
    Instant made;
    gboolean typed;
} NightRequest;

/* Owned by the arena.  NULL when there is nobody at all, since a plan formats its words. */
Night *night_make(Arena *arena, const NightRequest *request);

/* Frees all people but the one who formats its words: its rows keep their words, and no more can be
 * said of a slip. */
void night_forget_people(Night *night, NightRequest *request);

/* What to say for all that can happen with an injection (of NightSlip*).  Lays the sheet out
 * when its words name a page, which takes long. */
GPtrArray *night_slips(Arena *arena, const Night *night, const NightRow *row);

/* TRUE when its window is over and nobody said that it was injected. */
gboolean night_is_over(const Night *night, const NightRow *row);
/* TRUE when somebody must ask: she called and it is not settled, or sent no word. */
gboolean night_is_open(const NightRow *row);

/* One person of it: by code, spoken code (spaces and case do not count), name or telephone (its last
 * four digits are enough); rows of NightRow*, empty when nobody fits. */
GPtrArray *night_find(Arena *arena, const Night *night, const char *word);

#define NIGHT_NEAR_MOST 5

/* Whom somebody may mean whom night_find() does not know: a code or a name with a letter that was heard
 * or typed wrongly, left out or exchanged; the nearest first, at most NIGHT_NEAR_MOST.  They are to be
 * asked, never taken. */
GPtrArray *night_near(Arena *arena, const Night *night, const char *word);

/* "in 8 minutes", "5 minutes left"; NULL once its window is over. */
const char *night_countdown(Arena *arena, const Night *night, const NightRow *row);
const char *night_state_words(Arena *arena, const Night *night, NightState state);

/* The list as plain text; slips: with what to say for each. */
void night_text(const Night *night, gboolean slips, GString *out);
/* One row with all that the nurse needs on the telephone. */
void night_row_text(const Night *night, const NightRow *row, GString *out);
/* A screen of so many columns: the next minute first and largest, then who is not settled,
 * then all rows.  bold: with the signs that a terminal shows as bold and inverse. */
void night_screen(const Night *night, int columns, gboolean bold, GString *out);
/* The page for the wall, to be laid out by the page room. */
Document *night_document(Arena *arena, const Night *night);
/* A long list is laid out in parts, each a document of its own with its rows' times in its head:
 * how many there are, and one of them, the first of which is 0. */
guint night_parts(const Night *night);
Document *night_part(Arena *arena, const Night *night, guint part);

#endif
