/* dosewright_read: is this sheet whole, from which revision was it made, and is
 * it the one that someone names on the telephone? */
#include "commands/dosewright_read.h"

#include <stdio.h>

#include "commands/doors.h"
#include "commands/dosewright_pages.h"
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

static void show_value(const Reading *reading, const char *word)
{
    const char *text = value(reading, word);
    if (!*text)
        return;
    g_autoptr(GString) shown = g_string_new(NULL);
    source_escape(shown, text, -1);
    terminal_say(stdout, "  %-16s %s\n", word, shown->str);
}

static void show_record(const Reading *reading)
{
    static const char *const of_sheet[] = {"sheet_number", "replaces_number", "order_number", "person_code",
                                           "protocol_name", "revision", "approved_by", "approved_on", "source_digest",
                                           "made_at", "date_typed_in", "draft", "program_version", "check_code"};
    static const char *const of_injection[] = {"injection_name", "medicine", "dose", "volume", "mark", "dial", "site",
                                               "injecting_needle", "injection_time", "earliest", "latest"};
    for (gsize i = 0; i < G_N_ELEMENTS(of_sheet); i++)
        show_value(reading, of_sheet[i]);
    for (int number = 1; number == 1 || *value(reading, arena_format(reading->session->arena, "medicine_%d", number));
         number++)
        for (gsize i = 0; i < G_N_ELEMENTS(of_injection); i++)
            show_value(reading, number == 1 ? of_injection[i] : arena_format(reading->session->arena, "%s_%d",
                                                                             of_injection[i], number));
}

/* Only a file that is not as it was printed has pages to be counted. */
static void check_pages(Reading *reading)
{
    const char *code = value(reading, "check_code"), *second = value(reading, "page_label_2");
    const char *const labels[] = {value(reading, "page_label"), *second ? second : NULL, NULL};
    g_autoptr(GPtrArray) texts = output_page_texts(reading->bytes);
    g_autoptr(GPtrArray) faults = g_ptr_array_new_with_free_func(g_free);
    if (!texts || !*code || !*labels[0]) {
        say(reading, FALSE, "its pages can be read");
        return;
    }
    pages_faults(texts, code, labels, faults);
    for (guint i = 0; i < faults->len; i++)
        terminal_say(stdout, "      %s\n", (char *)g_ptr_array_index(faults, i));
    say(reading, faults->len == 0, "every page is there, once and in its order");
}

static void check_codes(Reading *reading)
{
    Session *session = reading->session;
    const char *code = value(reading, "check_code");
    const char *worked_out = plan_spoken_code(session->arena, value(reading, "identity"));
    int pages = 0, with = 0;
    gboolean readable = *code && output_pages_with(reading->bytes, code, &pages, &with);
    say(reading, g_strcmp0(code, worked_out) == 0, "the code is that of person, order and all that is acted on");
    say(reading, readable && with == pages, "the code stands on every page");
    if (session->options.code)
        say(reading, g_ascii_strcasecmp(session->options.code, code) == 0, "the code that was spoken is this sheet's");
    if (*value(reading, "draft"))
        say(reading, FALSE, "it is a sheet for use, and no draft");
}

/* ---- is its protocol still the clinic's? ---- */

static gboolean is_code(const char *name)
{
    for (const char *letter = name; *letter; letter++)
        if (!g_ascii_isalnum(*letter) && *letter != '-')
            return FALSE;
    return *name != '\0';
}

/* The clinic's protocol of this name as it is now; NULL when there is none to be found. */
static const Plan *plan_now(const Reading *reading, const char *path)
{
    Session *session = reading->session;
    const char *name = value(reading, "protocol_name");
    const char *folder = loader_clinic_folder(session->loader, path);
    if (!folder)
        folder = loader_clinic_folder(session->loader, "-"); /* above where the program was called */
    const char *protocol = folder && is_code(name) ? loader_protocol_path(session->arena, folder, name) : NULL;
    Case file;
    return protocol && loader_load(session->loader, protocol, &file, NULL) ? commands_plan(session, &file) : NULL;
}

static gboolean rests_on_same(const char *sealed, const char *now)
{
    for (int part = 0; part < SEAL_PARTS; part++) /* a new approval of the same text changes nothing */
        if (part != SEAL_APPROVAL && seal_part_differs(sealed, now, (SealPart)part))
            return FALSE;
    return TRUE;
}

static void check_revision(Reading *reading, const char *path)
{
    const Plan *plan = plan_now(reading, path);
    if (!plan || !PRESENT(plan->protocol->revision) || !plan->seal) {
        terminal_say(stdout, "  not compared with the clinic's files: name their folder with --clinic\n");
        return;
    }
    gint64 was = g_ascii_strtoll(value(reading, "revision"), NULL, 10), is = plan->protocol->revision.value;
    if (was != is)
        terminal_say(stdout, "      the clinic's protocol is revision %" G_GINT64_FORMAT " now\n", is);
    say(reading, was == is, "its revision is the clinic's present one");
    if (was == is)
        say(reading, rests_on_same(value(reading, "seal"), plan->seal),
            "protocol, shelf, clinic and limits are still those that it was made from");
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
    fflush(stdout); /* a file that takes all memory or time is named before it is read */
    gboolean whole = output_seal_holds(bytes);
    say(&reading, whole, "the file agrees with its own checksum, as printed");
    if (!whole)
        check_pages(&reading);
    check_codes(&reading);
    check_revision(&reading, path);
    return reading.fine ? EXIT_FINE : EXIT_FINDINGS;
}

int command_read(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a sheet");
    int worst = EXIT_FINE;
    for (char **word = session->options.words; *word; word++) {
        doors_next_sheet();
        int status = read_one(session, *word);
        worst = MAX(worst, status);
    }
    return worst;
}
