/* dosewright_changes: something changed after a sheet was handed out: a procedure moved, or
 * what sheets rest on was called back.  New sheets, and what to say on the telephone. */
#ifndef DOSEWRIGHT_CHANGES_H
#define DOSEWRIGHT_CHANGES_H

#include "commands/commands.h"
#include "commands/dosewright_edits.h"

/* Prints one patient's sheets; a status. */
typedef int (*PrintPatient)(Session *session, const char *path);

/* move PATIENT-FILE TIME, move ROSTER CODE TIME */
int changes_move(Session *session, PrintPatient print);
int changes_move_listed(Session *session);
/* recall ... [REASON [ROSTER...]]: first who stands in the rosters, then who has a file. */
int changes_recall(Session *session, PrintPatient print);

/* ---- what its files share ---- */

typedef struct ChangedTime {
    Day day;
    const char *clock; /* as typed */
    int minute;
} ChangedTime;

/* Date and hour of "12:30 pm" or "Friday 2026-11-27 9 am"; the day as it was when none is said. */
gboolean changes_read_time(Arena *arena, const char *text, ChangedTime *out);
/* Says what to write in place of a text that it cannot read; EXIT_USAGE. */
int changes_no_time(Arena *arena, const char *text);
gboolean changes_has_time(const Patient *patient);
/* TRUE when the person's file says this time. */
gboolean changes_says(const Patient *patient, const ChangedTime *time);
/* "Friday 2026-11-27", as it is written into files. */
const char *changes_day(Arena *arena, Day day);

/* *sheet: the one of this person that counts, or NULL; the newest, of several orders.  FALSE with *error. */
gboolean changes_counting(Record *record, const char *person, const RecordSheet **sheet, GError **error);
/* Says that the record could not be asked for the new sheet of a file that was changed; EXIT_SYSTEM. */
int changes_unknown(const char *path, GError *error);
void changes_say_person(Session *session, const RecordSheet *sheet);

/* A lot that was called back, and the box that is handed out in its place. */
typedef struct ChangedLot {
    const char *old, *lot, *expires; /* lot NULL: none was named */
} ChangedLot;

/* "B99 2027-09"; FALSE when it is not of that form. */
gboolean changes_read_lot(Arena *arena, const char *text, ChangedLot *out);
/* The person's boxes of the old lot get the new one. */
void changes_put_lot(FileEdits *edits, const ChangedLot *lot, const Patient *patient);
/* Prints the roster's day anew for those of these people who stand in it, the others' sheets
 * stay; their codes are added to the set.  A status. */
int changes_print_listed(Session *session, const char *roster, const GPtrArray *sheets, const ChangedLot *lot,
                         GHashTable *listed);

#endif
