/* syntax_bytes: what no file may hold, whatever it means; for syntax.c only. */
#ifndef SYNTAX_BYTES_H
#define SYNTAX_BYTES_H

#include "base/base.h"

/* Looks at the whole file before anything is read: encoding, odd line ends, tabs
 * at line starts, hidden letters, words of mixed scripts, depth of brackets.
 * FALSE when reading on would be unsafe; findings say why. */
gboolean syntax_bytes_scan(const Source *source, Diagnostics *diagnostics);

/* The same letters where an escape in quotes ("\u202e") brought them in. */
void syntax_bytes_in_text(Diagnostics *diagnostics, const char *text, Place place, gboolean verbatim);

#endif
