/* dosewright_letters: which letters the fonts lack.  "check" asks it when a text has rare
 * ones, since it knows no font itself. */
#include "commands/dosewright_letters.h"

#include <stdio.h>

#include "output/output.h"

int command_letters(Session *session)
{
    char **words = session->options.words;
    if (!words || !words[0] || !words[1])
        return commands_usage("name a language and one or more texts");
    int worst = EXIT_FINE;
    for (char **text = words + 1; *text; text++) {
        GError *error = NULL;
        gunichar letter;
        if (!g_utf8_validate(*text, -1, NULL))
            return commands_usage("a text is not in UTF-8");
        if (!output_lacks(words[0], *text, &letter, &error))
            return commands_system_error(error);
        if (letter)
            printf("U+%04X\n", letter);
        else
            printf("all there\n");
        worst = letter ? EXIT_FINDINGS : worst;
    }
    return worst;
}
