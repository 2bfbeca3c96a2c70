/* dosewright_night: who injects what tonight: list, page, watch, one person. */
#ifndef DOSEWRIGHT_NIGHT_H
#define DOSEWRIGHT_NIGHT_H

#include "commands/commands.h"

int command_night(Session *session);
int command_find(Session *session);

#endif
