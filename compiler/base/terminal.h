/* terminal: the one way to a terminal: no byte of a file, a name or an option reaches it that
 * it would obey or hide. */
#ifndef TERMINAL_H
#define TERMINAL_H

#include <stdio.h>
#include <glib.h>

/* Writes text; every control but the line break, every bidirectional control and every
 * invisible letter stands as \u{...} or \x... */
void terminal_text(FILE *stream, const char *text);
void terminal_say(FILE *stream, const char *format, ...) G_GNUC_PRINTF(2, 3);

#endif
