/* dosewright_reports: commands of the paper program that write reports. */
#ifndef DOSEWRIGHT_REPORTS_H
#define DOSEWRIGHT_REPORTS_H

#include "commands/commands.h"

int command_review(Session *session);
int command_rule_book(Session *session);

#endif
