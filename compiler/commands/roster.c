/* commands_roster: an empty roster for a protocol. */
#include "commands/commands.h"

#include <stdio.h>
#include <string.h>

int command_roster(Session *session)
{
    Case file;
    GError *error = NULL;
    if (!session->options.words)
        return commands_usage("name one protocol's file");
    if (!loader_load(session->loader, session->options.words[0], &file, &error))
        return commands_system_error(error);
    if (diagnostics_stops(file.diagnostics)) {
        commands_report(session, file.diagnostics);
        return EXIT_FINDINGS;
    }
    if (!file.protocol || !file.clinic)
        return commands_usage("an empty roster is made for a protocol's file");
    g_autoptr(GString) text = g_string_new(NULL);
    roster_print_empty(session->arena, file.clinic, file.protocol, text);
    fputs(text->str, stdout);
    return EXIT_FINE;
}
