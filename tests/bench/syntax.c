/* syntax: the program's own strict reading of one file into nodes, so many times; the
 * work that scan does bare.  usage: syntax FILE TIMES */
#include <stdlib.h>

#include "syntax/syntax.h"

int main(int argc, char **argv)
{
    g_autofree char *text = NULL;
    gsize length;
    if (argc != 3 || !g_file_get_contents(argv[1], &text, &length, NULL))
        return 2;
    for (int i = 0; i < atoi(argv[2]); i++) {
        Arena *arena = arena_new();
        Diagnostics *diagnostics = diagnostics_new(arena);
        const Source *source = source_from_text(arena, argv[1], text, length);
        gboolean read = syntax_parse(arena, source, diagnostics) != NULL;
        arena_free(arena);
        if (!read)
            return 1;
    }
    return 0;
}
