/* dosewright_letters: the command of the paper program that knows the letters of its fonts. */
#ifndef DOSEWRIGHT_LETTERS_H
#define DOSEWRIGHT_LETTERS_H

#include "commands/commands.h"

int command_letters(Session *session);

#endif
