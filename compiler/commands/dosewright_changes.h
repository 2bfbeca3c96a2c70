/* dosewright_changes: something changed after a sheet was handed out: a procedure moved, or
 * what sheets rest on was called back.  New sheets, and what to say on the telephone. */
#ifndef DOSEWRIGHT_CHANGES_H
#define DOSEWRIGHT_CHANGES_H

#include "commands/commands.h"

/* Prints one patient's sheets; a status. */
typedef int (*PrintPatient)(Session *session, const char *path);

int changes_move(Session *session, PrintPatient print);
int changes_recall(Session *session, PrintPatient print);

#endif
