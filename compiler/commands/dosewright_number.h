/* dosewright_number: a final sheet passes the clinic's record: its number comes from there
 * before it is drawn, and it is confirmed there when it stands on the disk. */
#ifndef DOSEWRIGHT_NUMBER_H
#define DOSEWRIGHT_NUMBER_H

#include "commands/commands.h"

/* A sheet on its way. */
typedef struct Numbering {
    Record *record;   /* NULL: the clinic keeps none, or it is a draft */
    RecordAnswer answer;
    RecordGiven given;
} Numbering;

/* Gives the plan its number and its time of making, where the clinic keeps a record; *plan
 * is then another.  A status; EXIT_FINDINGS after a finding. */
int number_take(Session *session, Case *file, gboolean draft, Plan **plan, Numbering *numbering);
/* The same case with this number, planned as of this time; judged it was before. */
Plan *number_plan(Session *session, Case *file, const Plan *judged, const RecordGiven *given);
/* What the record is asked for, for a case that may be printed. */
RecordWish number_wish(const Session *session, const Case *file);
/* FALSE after a finding: the record does not know the approval, a lot was called back, or more
 * boxes of it are handed out than came in; or with *error.  To be asked in the transaction that gives
 * the number. */
gboolean number_fits(const Case *file, const Plan *plan, Record *record, const RecordWish *wish, GError **error);
/* The files (of PublishFile*) stand in their folder. */
int number_confirm(Session *session, const Plan *plan, const Numbering *numbering, const GPtrArray *files,
                   const Diagnostics *diagnostics);
/* No file was written: a number that was new is void. */
void number_give_back(const Plan *plan, const Numbering *numbering);

#endif
