/* pattern: regular expressions of this program's own texts, each compiled once in a process:
 * compiling one costs more than reading a file.  One that is used often is compiled once more, for
 * the processor, which costs as much as a hundred uses save. */
#ifndef PATTERN_H
#define PATTERN_H

#include <glib.h>

/* Known by where it stands, not by its letters: a constant, always with the same options.
 * Lives as long as the process. */
GRegex *pattern_compiled(const char *pattern, GRegexCompileFlags options);
gboolean pattern_matches(const char *pattern, const char *text, GRegexCompileFlags options);

#endif
