/* commands_letters: letters that no sheet could print, found before one is printed. */
#ifndef COMMANDS_LETTERS_H
#define COMMANDS_LETTERS_H

#include "commands/commands.h"

/* Adds glyph_missing to the Cases whose patient's sheet would have a letter that its fonts
 * lack; asks the program that draws, once for each language with rare letters. */
void letters_check(Session *session, const GPtrArray *cases);

#endif
