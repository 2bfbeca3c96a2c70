/* dosewright_read: the command that reads a printed sheet again. */
#ifndef DOSEWRIGHT_READ_H
#define DOSEWRIGHT_READ_H

#include "commands/commands.h"

int command_read(Session *session);

#endif
