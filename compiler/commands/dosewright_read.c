/* dosewright_read: is this sheet whole, from which revision was it made, and is
 * it the one that someone names on the telephone? */
#include "commands/dosewright_read.h"

#include <stdio.h>

#include "output/output.h"

/* No sheet of ours comes near it. */
#define SHEET_LIMIT (64u << 20)

typedef struct Reading {
    Session *session;
    GBytes *bytes;
    const char *record;
    gboolean fine;
} Reading;

static void say(Reading *reading, gboolean fine, const char *words)
{
    terminal_say(stdout, "  %s: %s\n", fine ? "yes" : "NO", words);
    reading->fine &= fine;
}

static const char *value(const Reading *reading, const char *word)
{
    const char *text = output_record_value(reading->session->arena, reading->record, word);
    return text ? text : "";
}

static void show_record(const Reading *reading)
{
    static const char *const shown[] = {"sheet_number", "order_number", "person_code", "injection_time",
                                        "protocol_name", "revision", "source_digest", "made_at", "program_version",
                                        "check_code"};
    for (gsize i = 0; i < G_N_ELEMENTS(shown); i++) {
        g_autoptr(GString) text = g_string_new(NULL);
        source_escape(text, value(reading, shown[i]), -1);
        terminal_say(stdout, "  %-16s %s\n", shown[i], text->str);
    }
}

static void check_codes(Reading *reading)
{
    Session *session = reading->session;
    const char *code = value(reading, "check_code");
    const char *worked_out = plan_spoken_code(session->arena, value(reading, "identity"));
    int pages = 0, with = 0;
    gboolean readable = *code && output_pages_with(reading->bytes, code, &pages, &with);
    say(reading, g_strcmp0(code, worked_out) == 0, "the code is that of person, order, medicine, dose and minute");
    say(reading, readable && with == pages, "the code stands on every page");
    if (session->options.code)
        say(reading, g_ascii_strcasecmp(session->options.code, code) == 0, "the code that was spoken is this sheet's");
}

static int read_one(Session *session, const char *path)
{
    GError *error = NULL;
    GByteArray *contents = g_byte_array_new();
    SourceStatus status = SOURCE_UNREADABLE;
    if (output_ready(&error))
        status = source_read_bytes(path, SHEET_LIMIT, contents, &error);
    g_autoptr(GBytes) bytes = g_byte_array_free_to_bytes(contents);
    if (status == SOURCE_UNREADABLE)
        return commands_system_error(error);
    Reading reading = {session, bytes, output_seal_record(session->arena, bytes), TRUE};
    terminal_say(stdout, "%s\n", path);
    if (!reading.record) {
        say(&reading, FALSE, "this is a sheet of dosewright");
        return EXIT_FINDINGS;
    }
    show_record(&reading);
    say(&reading, output_seal_holds(bytes), "the file agrees with its own checksum, as printed");
    check_codes(&reading);
    return reading.fine ? EXIT_FINE : EXIT_FINDINGS;
}

int command_read(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a sheet");
    int worst = EXIT_FINE;
    for (char **word = session->options.words; *word; word++) {
        int status = read_one(session, *word);
        worst = MAX(worst, status);
    }
    return worst;
}
