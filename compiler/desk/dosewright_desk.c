/* dosewright-desk: the program that serves the desk. */
#include "desk/desk.h"

#include "desk/server.h"

int command_desk(Session *session)
{
    Case file;
    Arena *arena = session->arena;
    if (session->options.words)
        return commands_usage("name the clinic's folder with --clinic");
    if (session->options.port < 0 || session->options.port > 65535)
        return commands_usage("--port is a number up to 65535");
    int status = commands_clinic(session, &file);
    if (status != EXIT_FINE)
        return status;
    const char *folder = session->options.templates ? session->options.templates : commands_templates(arena);
    const Desk desk = {session, arena_format(arena, "%s/desk", folder), file.folder, arena};
    if (!PRESENT(file.clinic->record))
        terminal_say(stdout, "this clinic keeps no record, so no call can be noted: \"record: record.db\" in its "
                             "clinic.yaml begins one\n");
    return server_run(&desk, session->options.port);
}

int main(int argc, char **argv)
{
    const PaperCommands desk = {.desk = command_desk};
    return commands_main(argc, argv, &desk);
}
