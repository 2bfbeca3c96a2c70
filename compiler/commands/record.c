/* commands_record: the record of all sheets: verified, copied, searched, added to. */
#include "commands/commands.h"

#include <stdio.h>
#include <string.h>

#include "wording/wording.h"

/* ---- opening ---- */

static RecordPlace place_of(const Session *session, const Case *file)
{
    return (RecordPlace){file->clinic->record.text, file->folder ? file->folder : ".", file->clinic->clinic.text,
                         session->now, session->options.now != NULL, session->glance};
}

static void close_record(gpointer record) { record_close(record); }

gboolean commands_record(Session *session, const Case *file, Record **record)
{
    GError *error = NULL;
    *record = NULL;
    if (!file->clinic || !PRESENT(file->clinic->record) || !PRESENT(file->clinic->clinic))
        return TRUE;
    if (session->seen && g_strcmp0(session->seen_in, file->folder) == 0) {
        *record = session->seen;
        return TRUE;
    }
    const RecordPlace place = place_of(session, file);
    *record = record_open(session->arena, &place, &error);
    if (*record)
        arena_defer(session->arena, close_record, *record);
    else
        commands_system_error(error);
    session->seen = session->glance ? *record : NULL;
    session->seen_in = file->folder;
    return *record != NULL;
}

int commands_clinic(Session *session, Case *file)
{
    GError *error = NULL;
    const char *folder = loader_clinic_folder(session->loader, "-");
    if (!folder)
        return commands_usage("there is no clinic.yaml here or above: name its folder with --clinic");
    g_autofree char *path = g_build_filename(folder, "clinic.yaml", NULL);
    if (!loader_load(session->loader, path, file, &error))
        return commands_system_error(error);
    if (diagnostics_stops(file->diagnostics)) {
        commands_report(session, file->diagnostics);
        return EXIT_FINDINGS;
    }
    return EXIT_FINE;
}

int commands_clinic_record(Session *session, Case *file, Record **record)
{
    int status = commands_clinic(session, file);
    if (status != EXIT_FINE)
        return status;
    if (!PRESENT(file->clinic->record))
        return commands_usage("this clinic keeps no record: \"record: record.db\" in its clinic.yaml begins one");
    return commands_record(session, file, record) ? EXIT_FINE : EXIT_SYSTEM;
}

/* ---- showing ---- */

const char *commands_time(const Session *session, const Clinic *clinic, Instant at)
{
    if (clinic && PRESENT(clinic->zone))
        return clinic_time(session->arena, clinic, zone_local(clinic->zone.zone, at, NULL));
    g_autoptr(GDateTime) made = g_date_time_new_from_unix_utc(at);
    g_autofree char *text = g_date_time_format_iso8601(made);
    return arena_copy(session->arena, text);
}

const Zone *commands_zone_of(const Session *session, const RecordSheet *sheet)
{
    const char *name = record_fact(session->arena, sheet, "person_zone", 0), *other;
    Zone *zone = NULL;
    ZoneStatus status = name ? zone_open(session->arena, name, &zone, &other) : ZONE_UNKNOWN;
    return status == ZONE_FINE || status == ZONE_LINK ? zone : NULL;
}

const char *commands_sheet_time(const Session *session, const Clinic *clinic, const RecordSheet *sheet, int number)
{
    const Zone *zone = commands_zone_of(session, sheet);
    for (guint i = 0; zone && i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        if (injection->number == number)
            return clinic_time(session->arena, clinic,
                               zone_local(zone, g_array_index(injection->acts, Instant, 0), NULL));
    }
    return record_fact(session->arena, sheet, "injection_time", number);
}

static void show_injection(const Session *session, const Case *file, const RecordSheet *sheet, int number)
{
    static const struct { const char *word, *before; } parts[] = {
        {"medicine", ""}, {"dose", ", "}, {"volume", ", "}, {"mark", ", "}, {"dial", ", window "}};
    const char *when = commands_sheet_time(session, file->clinic, sheet, number);
    const char *name = record_fact(session->arena, sheet, "injection_name", number);
    terminal_say(stdout, "    %s: %s  ", name ? name : "", when ? when : "");
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
        const char *value = record_fact(session->arena, sheet, parts[i].word, number);
        if (value)
            terminal_say(stdout, "%s%s", parts[i].before, value);
    }
    terminal_say(stdout, "\n");
}

static void show_body(const char *body)
{
    g_auto(GStrv) lines = g_strsplit(body, "\n", -1);
    for (char **line = lines; *line; line++)
        if (**line)
            terminal_say(stdout, "      %s\n", *line);
}

static void show_entries(Session *session, const Case *file, const RecordSheet *sheet)
{
    for (guint i = 0; i < sheet->entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(sheet->entries, i);
        terminal_say(stdout, "    %s  %s%s%s%s\n", commands_time(session, file->clinic, entry->at),
                     record_kind_row(entry->kind)->word, *entry->by ? ", " : "", entry->by,
                     entry->typed ? " (time typed in)" : "");
        if (entry->kind != RECORD_NUMBERED && entry->kind != RECORD_PRINTED)
            show_body(entry->body);
    }
}

/* A sheet of the record with its injections and entries, to standard output. */
/* Several clinics may have one record. */
static gboolean is_elsewhere(const Case *file, const RecordSheet *sheet)
{
    return file->clinic && PRESENT(file->clinic->clinic) && strcmp(file->clinic->clinic.text, sheet->clinic) != 0;
}

static void commands_show_sheet(Session *session, const Case *file, const RecordSheet *sheet)
{
    const char *name = record_fact(session->arena, sheet, "person_name", 0);
    const char *code = record_fact(session->arena, sheet, "check_code", 1);
    terminal_say(stdout, "sheet %" G_GINT64_FORMAT ": %s", sheet->number, record_state_word(sheet->state));
    if (sheet->replaced_by > 0)
        terminal_say(stdout, " by sheet %" G_GINT64_FORMAT, sheet->replaced_by);
    terminal_say(stdout, "\n    %s%s%s, order %s", sheet->person, name ? ", " : "", name ? name : "", sheet->order);
    if (code)
        terminal_say(stdout, ", code %s, protocol %s revision %s", code,
                     record_fact(session->arena, sheet, "protocol_name", 0),
                     record_fact(session->arena, sheet, "revision", 0));
    if (is_elsewhere(file, sheet))
        terminal_say(stdout, ", of %s", sheet->clinic);
    terminal_say(stdout, "\n");
    for (guint i = 0; i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        show_injection(session, file, sheet, injection->number);
    }
    show_entries(session, file, sheet);
}

/* ---- the words behind "record" ---- */

typedef struct Asked {
    Session *session;
    const Case *file;
    Record *record;
    char **words; /* behind the first */
    guint count;
} Asked;

static void say_fault(const char *line, gpointer data)
{
    terminal_say(stdout, "%s\n", line);
    *(gboolean *)data = TRUE;
}

static int verify(const Asked *asked)
{
    GError *error = NULL;
    gint64 entries, sheets;
    gboolean faults = FALSE;
    const RecordPlace place = place_of(asked->session, asked->file);
    Record *record = record_open_as_is(asked->session->arena, &place, &error);
    gboolean read = record && record_verify(record, say_fault, &faults, &entries, &sheets, &error);
    record_close(record);
    if (!read)
        return commands_system_error(error);
    terminal_say(stdout, "%" G_GINT64_FORMAT " entries, %" G_GINT64_FORMAT " sheets: %s\n", entries, sheets,
                 faults ? "the record is not as it was written" : "every entry is as it was written");
    if (!record_was_kept(place.folder))
        terminal_say(stdout, "record.head is not beside clinic.yaml: whether entries are missing at the end cannot be "
                             "told\n");
    return faults ? EXIT_FINDINGS : EXIT_FINE;
}

static int backup(const Asked *asked)
{
    GError *error = NULL;
    if (asked->count != 1)
        return commands_usage("name the file that the copy goes into");
    return record_backup(asked->record, asked->words[0], &error) ? EXIT_FINE : commands_system_error(error);
}

static int find(const Asked *asked)
{
    GError *error = NULL;
    if (asked->count != 1)
        return commands_usage("give one word: a code, name, spoken code, telephone, lot, order or number");
    GPtrArray *sheets = record_lookup(asked->record, asked->words[0], &error);
    if (!sheets)
        return commands_system_error(error);
    for (guint i = sheets->len; i > 0; i--)
        commands_show_sheet(asked->session, asked->file, g_ptr_array_index(sheets, i - 1));
    if (sheets->len == 0)
        terminal_say(stdout, "the record has nothing under \"%s\"\n", asked->words[0]);
    return sheets->len > 0 ? EXIT_FINE : EXIT_FINDINGS;
}

static int restored(const Asked *asked)
{
    GError *error = NULL;
    const Options *options = &asked->session->options;
    if (!options->by || !*options->by || asked->count != 1)
        return commands_usage("say who brought the backup back, and why: --by NAME 'REASON'");
    const RecordPlace place = place_of(asked->session, asked->file);
    if (!record_restored(asked->session->arena, &place, options->by, asked->words[0], &error))
        return commands_system_error(error);
    terminal_say(stdout, "the record goes on from this backup; sheets that were printed after it are not in it: look "
                         "through the sheets on paper\n");
    return EXIT_FINE;
}

/* The sheet that a word means: a number, a person's or a spoken code; one that counts, where
 * there are several. */
static int sheet_meant(const Asked *asked, const char *word, const RecordSheet **sheet)
{
    GError *error = NULL;
    GPtrArray *sheets = record_lookup(asked->record, word, &error);
    guint counting = 0;
    *sheet = NULL;
    if (!sheets)
        return commands_system_error(error);
    for (guint i = 0; i < sheets->len; i++) {
        const RecordSheet *one = g_ptr_array_index(sheets, i);
        gboolean counts = one->state == RECORD_IS_VALID;
        counting += counts;
        if (counts || (!*sheet && sheets->len == 1))
            *sheet = one;
    }
    if (sheets->len == 0)
        return commands_usage("the record has nothing under \"%s\"", word);
    if (counting > 1 || !*sheet)
        return commands_usage("\"%s\" is said of %u sheets: give the number of one", word, sheets->len);
    return EXIT_FINE;
}

/* record note SHEET KIND [WORD=TEXT...] */
static int note(const Asked *asked)
{
    RecordKind kind;
    GError *error = NULL;
    const Options *options = &asked->session->options;
    const RecordSheet *sheet;
    if (asked->count < 2 || !options->by || !*options->by)
        return commands_usage("say who, which sheet, what and the words: record note --by NAME 12 call 'said=...'");
    if (!record_kind_find(asked->words[1], &kind) || !record_kind_row(kind)->noted) {
        g_autoptr(GString) known = g_string_new(NULL);
        for (int i = 0; i < RECORD_KINDS; i++)
            if (record_kind_row((RecordKind)i)->noted)
                g_string_append_printf(known, "%s%s", known->len ? ", " : "", record_kind_row((RecordKind)i)->word);
        return commands_usage("\"%s\" cannot be noted; what can: %s", asked->words[1], known->str);
    }
    int status = sheet_meant(asked, asked->words[0], &sheet);
    if (status != EXIT_FINE)
        return status;
    g_autoptr(GString) body = g_string_new(NULL);
    for (guint i = 2; i < asked->count; i++) {
        const char *text = asked->words[i], *equals = strchr(text, '=');
        g_autofree char *word = equals ? g_strndup(text, (gsize)(equals - text)) : g_strdup("said");
        record_line(body, word, equals ? equals + 1 : text);
    }
    if (!record_append(asked->record, kind, sheet->number, sheet->person, options->by, body->str, &error))
        return commands_system_error(error);
    terminal_say(stdout, "noted for sheet %" G_GINT64_FORMAT " of %s: %s\n", sheet->number, sheet->person,
                 asked->words[1]);
    return EXIT_FINE;
}

/* ---- lots ---- */

static int note_lot(const Asked *asked, gint64 sign)
{
    char *end = NULL;
    GError *error = NULL;
    const char *by = asked->session->options.by, *because = asked->count > 2 ? asked->words[2] : NULL;
    gint64 count = asked->count > 1 ? g_ascii_strtoll(asked->words[1], &end, 10) : 0;
    if (!by || !*by || !end || *end || count < 1 || count > 1000000 || (sign < 0 && !because))
        return commands_usage("say who, which lot, how many boxes: record received --by NAME A1234 20; of boxes that "
                              "were thrown away also why: record gone --by NAME A1234 2 'broken'");
    if (!record_receive(asked->record, asked->words[0], sign * count, by, because, &error))
        return commands_system_error(error);
    terminal_say(stdout, "noted: %" G_GINT64_FORMAT " %s of lot %s %s\n", count, count == 1 ? "box" : "boxes",
                 asked->words[0], sign > 0 ? "came in" : "are gone");
    return EXIT_FINE;
}

static int received(const Asked *asked) { return note_lot(asked, 1); }

static int gone(const Asked *asked) { return note_lot(asked, -1); }

static int list_lots(const Asked *asked)
{
    GError *error = NULL;
    GPtrArray *list = record_lots(asked->record, &error);
    if (!list)
        return commands_system_error(error);
    for (guint i = 0; i < list->len; i++) {
        const RecordLot *lot = g_ptr_array_index(list, i);
        terminal_say(stdout, "lot %s: %" G_GINT64_FORMAT " came in, %" G_GINT64_FORMAT " handed out, %" G_GINT64_FORMAT
                     " should be on the shelf%s%s\n", lot->lot, lot->received, lot->handed, lot->received - lot->handed,
                     lot->because ? "; called back: " : "", lot->because ? lot->because : "");
    }
    if (list->len == 0)
        terminal_say(stdout, "nobody noted that boxes of a lot came in: record received --by NAME LOT COUNT\n");
    return EXIT_FINE;
}

/* ---- nothing is to be injected ---- */

/* Takes the sheet's events out of the person's calendar: a file beside the sheets. */
static int give_calendar(Session *session, const Case *file, const RecordSheet *sheet)
{
    GError *error = NULL;
    Arena *arena = session->arena;
    GPtrArray *injections = arena_list(arena);
    for (guint i = 0; i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        CancelledInjection *cancelled = arena_new0(arena, CancelledInjection);
        *cancelled = (CancelledInjection){injection->name, injection->acts};
        g_ptr_array_add(injections, cancelled);
    }
    const char *title = record_fact(arena, sheet, "protocol_title", 0);
    const CancelledSheet words = {file->clinic->clinic.text, wording_dialled(arena, &file->clinic->phones.night),
                                  sheet->person, title ? title : "", sheet->number, session->now, injections};
    GString *text = g_string_new(NULL);
    wording_calendar_cancelled(&words, text);
    g_autoptr(GBytes) bytes = g_string_free_to_bytes(text);
    const char *name = arena_format(arena, "%s-%" G_GINT64_FORMAT "-cancelled.ics", sheet->person, sheet->number);
    if (!publish_file(session->options.out, name, bytes, &error))
        return commands_system_error(error);
    terminal_say(stdout, "  give: %s/%s takes the injections out of a calendar that holds them\n", session->options.out,
                 name);
    return EXIT_FINE;
}

int command_cancel(Session *session)
{
    Case file;
    GError *error = NULL;
    const RecordSheet *sheet;
    char **words = session->options.words;
    const char *by = session->options.by;
    if (!words || g_strv_length(words) != 2 || !by || !*by || !*words[1])
        return commands_usage("say who, which sheet and why: cancel --by NAME LC-2041 'no egg collection'");
    Asked asked = {session, &file, NULL, words, 2};
    int status = commands_clinic_record(session, &file, &asked.record);
    if (status == EXIT_FINE)
        status = sheet_meant(&asked, words[0], &sheet);
    if (status != EXIT_FINE)
        return status;
    if (is_elsewhere(&file, sheet) && words[0][strspn(words[0], "0123456789")])
        return commands_usage("sheet %" G_GINT64_FORMAT " of %s is of %s: look it up with record find, and cancel it "
                              "by its number", sheet->number, sheet->person, sheet->clinic);
    if (sheet->state != RECORD_IS_VALID && sheet->state != RECORD_IS_GIVEN)
        return commands_usage("sheet %" G_GINT64_FORMAT " of %s does not count: it is %s", sheet->number, sheet->person,
                              record_state_word(sheet->state));
    g_autoptr(GString) body = g_string_new(NULL);
    record_line(body, "because", words[1]);
    if (!record_append(asked.record, RECORD_CANCELLED, sheet->number, sheet->person, by, body->str, &error))
        return commands_system_error(error);
    const RecordSheet *now = record_sheet(asked.record, sheet->number, &error);
    if (now)
        commands_show_sheet(session, &file, now);
    terminal_say(stdout, "  say: do not mix and do not inject anything from sheet %" G_GINT64_FORMAT "; tear it up, "
                 "take its alarms out of your telephone, and keep the closed box for us\n", sheet->number);
    status = session->options.out ? give_calendar(session, &file, sheet) : EXIT_FINE;
    return now ? status : commands_system_error(error); /* it is cancelled, and cannot be shown */
}

int command_record(Session *session)
{
    static const struct { const char *word; gboolean open; int (*run)(const Asked *); } words[] = {
        {"verify", FALSE, verify}, {"backup", TRUE, backup}, {"find", TRUE, find}, {"note", TRUE, note},
        {"received", TRUE, received}, {"gone", TRUE, gone}, {"lots", TRUE, list_lots}, {"restored", FALSE, restored}};
    char **said = session->options.words;
    for (gsize i = 0; said && i < G_N_ELEMENTS(words); i++) {
        if (strcmp(said[0], words[i].word) != 0)
            continue;
        Case file;
        Asked asked = {session, &file, NULL, said + 1, g_strv_length(said) - 1};
        int status = words[i].open ? commands_clinic_record(session, &file, &asked.record)
                                   : commands_clinic(session, &file);
        if (status == EXIT_FINE && !PRESENT(file.clinic->record))
            return commands_usage("this clinic keeps no record: \"record: record.db\" in its clinic.yaml begins one");
        return status == EXIT_FINE ? words[i].run(&asked) : status;
    }
    return commands_usage("record verify, record find WORD, record note --by NAME SHEET WHAT 'WORD=TEXT'..., "
                          "record received --by NAME LOT COUNT, record gone --by NAME LOT COUNT REASON, record lots, "
                          "record backup FILE, record restored --by NAME REASON");
}
