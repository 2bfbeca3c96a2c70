/* dosewright_day: the sheets of all people of a roster.  Processes draw them, a few people each,
 * so that no process lives long enough to grow; this one reads their results in the order of the
 * roster, and puts the print files and the summary together. */
#ifndef DOSEWRIGHT_DAY_H
#define DOSEWRIGHT_DAY_H

#include "commands/beside.h"
#include "commands/commands.h"
#include "output/output.h"

#define DAY_SHEETS "sheets" /* folder of the single sheets, below that of the day */
#define DAY_SLIPS "clinic-pages"
#define DAY_PEOPLE_A_FILE 400 /* in one print file: more than a printer's drawer holds */

int command_day(Session *session);

/* ---- one run ---- */

/* A number that the record gave to a person. */
typedef struct DayNumber {
    RecordGiven given;
    gboolean fine; /* FALSE: nobody asked for one, or it was refused */
} DayNumber;

typedef struct DayRun {
    Session *session;
    Listing *people;
    const char *folder, *sheets; /* of the day; of its single sheets */
    guint from, until;    /* this part's people */
    guint part, parts;    /* 0 of 0: all of them */
    gboolean resumed;     /* an unfinished run of the same roster was here */
    Record *record;       /* NULL: the clinic keeps none */
    const Clinic *clinic; /* NULL: its file cannot be read */
    GArray *numbers;      /* of DayNumber by person; empty without a record */
    GPtrArray *there;     /* of char*: sheets in the folder when the run began, sorted */
    GArray *numbered;     /* of DayNamed: the same by the numbers in their names, sorted */
    GHashTable *strange;  /* of their names: not of anybody of this roster, as far as is known */
} DayRun;

typedef struct DayNamed {
    gint64 number;
    guint name; /* in there */
} DayNamed;

/* ---- dosewright_day_folder.c: whose turn it is, and what an earlier run left ---- */

/* Waits for its turn and takes up what an unfinished run of the same roster noted.  A
 * status; *lock is to be closed at the end. */
int day_begin(DayRun *run, int *lock);
/* The run is done: the next one begins anew. */
int day_done(const DayRun *run);
/* Names of sheets that may stand against one of this person and number (of char*). */
GPtrArray *day_beside(Arena *arena, const DayRun *run, const char *code, gint64 number);
/* Gives numbers to all who may be printed, in the order of the roster. */
int day_number(DayRun *run);

/* ---- dosewright_day_people.c: one person ---- */

typedef enum DayState {
    DAY_PRINTED,
    DAY_KEPT,    /* printed by an earlier run, from the same */
    DAY_STOPPED, /* by an error */
    DAY_WAITING, /* for an approval, a review or an acceptance */
    DAY_FAILED,  /* the system failed, or a check of our own */
    DAY_STATES
} DayState;

/* A night by the clinic's clock. */
typedef struct DayNight {
    Day evening;
    Instant noon; /* of its evening's day */
} DayNight;

typedef struct DayResult {
    guint32 index, row;
    DayState state;
    int status;           /* exit status */
    gint64 number;
    const char *code, *when, *told, *why, *findings, *shared, *sheets, *slips, *blank, *facts, *by;
    Paper paper;
    const char *language; /* of the blank page */
    DayNight night;       /* of the first injection that is left; noon 0: none is known */
    GVariant *holder;     /* of all these texts; when: for machines, told: by the clinic's clock;
                             shared: findings in files that others have too */
} DayResult;

/* Draws these people and writes their results to the descriptor.  Never returns. */
void day_work(const DayRun *run, guint from, guint until, int descriptor) G_GNUC_NORETURN;
/* The next result; FALSE at the end, or when the other process broke off. */
gboolean day_receive(int descriptor, DayResult *out);

/* ---- dosewright_day_night.c: the pages for the wall ---- */

/* Publishes the page of each of these nights (of DayNight): the roster's people and those of the
 * clinic's own folder.  Lines for the summary are added; names of files are noted.  A status. */
int day_nights(const DayRun *run, const GArray *nights, GString *lines, GHashTable *written);

/* ---- dosewright_day_print.c: print files and summary ---- */

typedef struct DayPrint DayPrint;

DayPrint *day_print_new(const DayRun *run);
/* Takes a person's sheets into the print files and says so in the summary; a status. */
int day_print_add(DayPrint *print, const DayResult *result);
/* Closes the print files and writes the summary; a status. */
int day_print_end(DayPrint *print);
void day_print_free(DayPrint *print);
/* How many in this state. */
guint day_print_count(const DayPrint *print, DayState state);

#endif
