/* terminal: see terminal.h. */
#include "base/terminal.h"

#include <stdarg.h>
#include <string.h>

#include "base/source.h"

void terminal_text(FILE *stream, const char *text)
{
    g_autoptr(GString) shown = g_string_new(NULL);
    for (const char *line = text; *line;) {
        const char *end = line + strcspn(line, "\n");
        source_escape(shown, line, end - line);
        if (*end)
            g_string_append_c(shown, '\n');
        line = *end ? end + 1 : end;
    }
    fputs(shown->str, stream);
}

void terminal_say(FILE *stream, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    terminal_text(stream, text);
}
