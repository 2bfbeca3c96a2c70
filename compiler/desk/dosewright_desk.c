/* dosewright-desk: the program that serves the desk. */
#include "desk/desk.h"
#include "desk/server.h"

/* Where to listen, with its certificate; a status, said when it is not EXIT_FINE. */
static int find_place(const Session *session, DeskPlace *place)
{
    const Options *options = &session->options;
    GError *error = NULL;
    if (options->port < 0 || options->port > 65535 || (options->port > 0 && options->listen))
        return commands_usage("--port is a number up to 65535, of 127.0.0.1; --listen names both");
    if ((options->cert == NULL) != (options->key == NULL))
        return commands_usage("--cert and --key belong together");
    const char *words = options->listen ? options->listen
                                        : arena_format(session->arena, "127.0.0.1:%d", options->port);
    if (!place_parse(words, place))
        return commands_usage("--listen wants an address and a port, as 192.0.2.7:8443 or [2001:db8::7]:8443");
    if (!place_is_here(place) && !options->cert)
        return commands_usage("the desk listens elsewhere than on 127.0.0.1 with TLS alone: name --cert and --key");
    place->secure = options->cert ? secure_read(options->cert, options->key, &error) : NULL;
    return options->cert && !place->secure ? commands_system_error(error) : EXIT_FINE;
}

/* The record as a whole, once; what writes into it looks again, what only reads does not. */
static int look_at_record(const Session *session, const Case *file)
{
    Session own = *session;
    Record *record;
    own.arena = arena_new();
    int status = commands_record(&own, file, &record) ? EXIT_FINE : EXIT_SYSTEM;
    arena_free(own.arena);
    return status;
}

int command_desk(Session *session)
{
    Case file;
    DeskPlace place;
    Arena *arena = session->arena;
    int status = find_place(session, &place);
    if (status == EXIT_FINE)
        status = commands_clinic(session, &file);
    if (status == EXIT_FINE)
        status = look_at_record(session, &file);
    if (status != EXIT_FINE)
        return status;
    const char *folder = session->options.templates ? session->options.templates : commands_templates(arena);
    Desk desk = {.base = session, .templates = arena_format(arena, "%s/desk", folder), .clinic = file.folder,
                 .arena = arena};
    if (!PRESENT(file.clinic->record))
        terminal_say(stdout, "this clinic keeps no record, so no call can be noted: \"record: record.db\" in its "
                             "clinic.yaml begins one\n");
    commands_close_desk(session, &file, folder);
    status = server_run(&desk, &place);
    secure_free((Secure *)place.secure);
    return status;
}

int main(int argc, char **argv)
{
    const PaperCommands desk = {.desk = command_desk, .people = command_people};
    return commands_main(argc, argv, &desk);
}
