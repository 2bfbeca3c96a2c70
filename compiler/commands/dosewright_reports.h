/* dosewright_reports: commands of the paper program that write reports. */
#ifndef DOSEWRIGHT_REPORTS_H
#define DOSEWRIGHT_REPORTS_H

#include "commands/commands.h"
#include "report/report.h"

int command_review(Session *session);
int command_rule_book(Session *session);

/* Adds what was in force of one of its cases on an earlier day, judged by a session of that
 * day; nothing when it was not there.  FALSE when the system failed (already said). */
gboolean gather_as_of(Session *then, const ReviewCase *now, Day day, GPtrArray *cases);

#endif
