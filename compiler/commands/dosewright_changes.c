/* dosewright_changes: see dosewright_changes.h. */
#include "commands/dosewright_changes.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <glib/gstdio.h>

/* ---- what to say ---- */

/* The sheet of this person that counts; the newest, of several orders. */
static const RecordSheet *counting(Record *record, const char *person)
{
    const GPtrArray *sheets = record_of_person(record, person, NULL);
    for (guint i = sheets ? sheets->len : 0; i > 0; i--)
        if (((const RecordSheet *)g_ptr_array_index(sheets, i - 1))->state == RECORD_IS_VALID)
            return g_ptr_array_index(sheets, i - 1);
    return NULL;
}

static void say_person(Session *session, const RecordSheet *sheet)
{
    const char *name = record_fact(session->arena, sheet, "person_name", 0);
    const char *language = record_fact(session->arena, sheet, "language", 0);
    const char *phone = record_fact(session->arena, sheet, "phone", 0);
    terminal_say(stdout, "%s, %s, language %s%s%s: holds sheet %" G_GINT64_FORMAT "\n", sheet->person, name ? name : "",
                 language ? language : "", phone ? ", telephone " : "", phone ? phone : "", sheet->number);
}

/* From 10 pm to 6 am a night belongs to two days, and both are named: whoever hears one of
 * them injects a day early or late. */
static const char *spoken(Arena *arena, LocalTime at)
{
    const char *clock = clock_text(arena, at.minute);
    Day evening = at.minute < 6 * 60 ? at.day - 1 : at.day;
    CalendarDate date = day_date(evening);
    const char *day = arena_format(arena, "%s %04d-%02d-%02d", weekday_name(day_weekday(evening)), date.year,
                                   date.month, date.day);
    if (at.minute >= 6 * 60 && at.minute < 22 * 60)
        return arena_format(arena, "%s, %s", day, clock);
    return arena_format(arena, "the night of %s going into %s, %s", day, weekday_name(day_weekday(evening + 1)), clock);
}

/* When it is injected first, where the person is. */
static const char *time_of_one(Session *session, const RecordSheet *sheet, const RecordInjection *injection)
{
    const char *name = record_fact(session->arena, sheet, "person_zone", 0), *other;
    Zone *zone = NULL;
    ZoneStatus status = name ? zone_open(session->arena, name, &zone, &other) : ZONE_UNKNOWN;
    if (status != ZONE_FINE && status != ZONE_LINK)
        return record_fact(session->arena, sheet, "injection_time", injection->number);
    return spoken(session->arena, zone_local(zone, g_array_index(injection->acts, Instant, 0), NULL));
}

static const char *time_of(Session *session, const RecordSheet *sheet, const char *injection)
{
    for (guint i = 0; sheet && i < sheet->injections->len; i++) {
        const RecordInjection *one = g_ptr_array_index(sheet->injections, i);
        if (g_strcmp0(one->name, injection) == 0)
            return time_of_one(session, sheet, one);
    }
    return NULL;
}

/* What the new sheet says, beside what the old one said. */
static void say_new(Session *session, const RecordSheet *old, const RecordSheet *new)
{
    const char *code = record_fact(session->arena, new, "check_code", 1);
    for (guint i = 0; i < new->injections->len; i++) {
        const char *name = ((const RecordInjection *)g_ptr_array_index(new->injections, i))->name;
        const char *now = time_of(session, new, name), *before = time_of(session, old, name);
        if (g_strcmp0(now, before) == 0)
            terminal_say(stdout, "  say: the injection \"%s\" stays: %s\n", name, now);
        else
            terminal_say(stdout, "  say: the injection \"%s\" is now: %s; it was: %s\n", name, now,
                         before ? before : "not on your old sheet");
    }
    terminal_say(stdout, "  say: sheet %" G_GINT64_FORMAT " does not count any more, tear it up; your new sheet is %"
                 G_GINT64_FORMAT ", with the code %s\n", old->number, new->number, code ? code : "");
    terminal_say(stdout, "  then: dosewright record note --by NAME %" G_GINT64_FORMAT " told 'said=...'\n",
                 new->number);
}

/* ---- a procedure moved ---- */

/* Where the date ends in "Friday 2026-11-27 9 am"; 0 when there is none. */
static gsize date_ends(const char *text)
{
    for (const char *at = text; strlen(at) >= 10; at++)
        if (g_ascii_isdigit(at[0]) && g_ascii_isdigit(at[1]) && g_ascii_isdigit(at[2]) && g_ascii_isdigit(at[3]) &&
            at[4] == '-' && at[7] == '-')
            return (gsize)(at - text) + 10;
    return 0;
}

/* Date and hour of "12:30 pm" or "Friday 2026-11-27 9 am"; *day as it was when none is said. */
static gboolean read_time(Arena *arena, const char *text, Day *day, const char **clock, int *minute)
{
    gsize end = date_ends(text);
    g_autofree char *date = g_strstrip(g_strndup(text, end));
    *clock = g_strstrip(arena_copy(arena, text + end));
    return (end == 0 || day_parse(date, day, NULL).fault == MOMENT_FINE) &&
           clock_parse(*clock, minute).fault == MOMENT_FINE;
}

/* The file's text with other words at a place. */
static char *with_words(const char *text, gsize offset, gsize length, const char *words)
{
    g_autoptr(GString) whole = g_string_new_len(text, (gssize)offset);
    g_string_append(whole, words);
    g_string_append(whole, text + offset + length);
    return g_strdup(whole->str);
}

static gsize bytes_of(Place place)
{
    const char *start = place.source->text + source_offset(place);
    return (gsize)(g_utf8_offset_to_pointer(start, place.length) - start);
}

static char *moved_text(Arena *arena, const AnchorTime *anchor, Day day, const char *clock)
{
    Place on = anchor->on.at.place, at = anchor->clock.at.place;
    CalendarDate date = day_date(day);
    const char *words = arena_format(arena, "%s %04d-%02d-%02d", weekday_name(day_weekday(day)), date.year, date.month,
                                     date.day);
    gboolean clock_first = source_offset(at) < source_offset(on); /* what stands later is put in first */
    g_autofree char *half = clock_first ? with_words(on.source->text, source_offset(on), bytes_of(on), words)
                                        : with_words(on.source->text, source_offset(at), bytes_of(at), clock);
    return clock_first ? with_words(half, source_offset(at), bytes_of(at), clock)
                       : with_words(half, source_offset(on), bytes_of(on), words);
}

/* The file with this text, in the mode that it had. */
static gboolean rewrite(const char *path, const char *text, GError **error)
{
    struct stat before;
    gboolean known = stat(path, &before) == 0;
    g_autofree char *folder = g_path_get_dirname(path), *name = g_path_get_basename(path);
    g_autoptr(GBytes) bytes = g_bytes_new(text, strlen(text));
    return publish_file(folder, name, bytes, error) && (!known || g_chmod(path, (int)(before.st_mode & 0777)) == 0);
}

/* TRUE when the file now says this time. */
static gboolean says(Session *session, const char *path, Day day, int minute)
{
    Case file;
    return loader_load(loader_new(session->arena, session->options.clinic), path, &file, NULL) && file.patient &&
           PRESENT(file.patient->anchor) && PRESENT(file.patient->anchor.on) && PRESENT(file.patient->anchor.clock) &&
           file.patient->anchor.on.day == day && file.patient->anchor.clock.minute == minute;
}

typedef struct Moving {
    Session *session;
    PrintPatient print;
    const char *path;
    Case file;
    Record *record;
    Day day;
    int minute;
    const char *clock;
} Moving;

/* New text, new sheet; the old text again when no sheet comes of it. */
static int move(Moving *moving)
{
    Session *session = moving->session;
    GError *error = NULL;
    const AnchorTime *anchor = &moving->file.patient->anchor;
    const Source *source = anchor->at.place.source;
    g_autofree char *text = moved_text(session->arena, anchor, moving->day, moving->clock);
    const RecordSheet *old = counting(moving->record, moving->file.patient->patient.text);
    if (!rewrite(moving->path, text, &error))
        return commands_system_error(error);
    session->loader = loader_new(session->arena, session->options.clinic); /* has read the old text */
    session->options.replace = TRUE;
    int status = says(session, moving->path, moving->day, moving->minute)
                     ? moving->print(session, moving->path)
                     : commands_usage("%s holds the time in a way that cannot be changed here: change it by hand, then "
                                      "print with --replace", moving->path);
    const RecordSheet *new = counting(moving->record, moving->file.patient->patient.text);
    gboolean placed = new && (!old || new->number != old->number);
    if (status != EXIT_FINE && !placed) {
        terminal_say(stderr, "nothing was moved: %s is as it was\n", moving->path);
        return rewrite(moving->path, source->text, &error) ? status : commands_system_error(error);
    }
    if (old && placed) {
        say_person(session, old);
        say_new(session, old, new);
    }
    return status;
}

int changes_move(Session *session, PrintPatient print)
{
    char **words = session->options.words;
    GError *error = NULL;
    if (!words || g_strv_length(words) != 2)
        return commands_usage("name a patient's file and the new time: '12:30 pm' or 'Friday 2026-11-27 9 am'");
    Moving moving = {.session = session, .print = print, .path = words[0]};
    if (!loader_load(session->loader, words[0], &moving.file, &error))
        return commands_system_error(error);
    const Patient *patient = moving.file.patient;
    if (!patient || !PRESENT(patient->patient) || !PRESENT(patient->anchor) || !PRESENT(patient->anchor.on) ||
        !PRESENT(patient->anchor.clock)) {
        commands_report(session, moving.file.diagnostics);
        return diagnostics_stops(moving.file.diagnostics) ? EXIT_FINDINGS
                                                           : commands_usage("only a patient's procedure is moved");
    }
    moving.day = patient->anchor.on.day;
    if (!read_time(session->arena, words[1], &moving.day, &moving.clock, &moving.minute))
        return commands_usage("\"%s\" is no time: write '12:30 pm' or 'Friday 2026-11-27 9 am'", words[1]);
    if (!commands_record(session, &moving.file, &moving.record))
        return EXIT_SYSTEM;
    if (!moving.record)
        return commands_usage("this clinic keeps no record: write the new time, \"sheet:\" and \"replaces:\" into the "
                              "file and print it");
    return move(&moving);
}

/* ---- what sheets rest on is called back ---- */

typedef struct Recalling {
    Session *session;
    PrintPatient print;
    Case file;
    Record *record;
    RecordRecall kind;
    const char *what, *because;
    GPtrArray *sheets;
} Recalling;

static void say_recall(const Recalling *recalling, const RecordSheet *sheet)
{
    Session *session = recalling->session;
    say_person(session, sheet);
    for (guint i = 0; i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        terminal_say(stdout, "  \"%s\": %s\n", injection->name, time_of_one(session, sheet, injection));
    }
    if (recalling->kind == RECALL_LOT)
        terminal_say(stdout, "  say: do not use the box with the lot %s, whatever your sheet says; we give you another "
                     "one and a new sheet\n", recalling->what);
    else
        terminal_say(stdout, "  say: do nothing from sheet %" G_GINT64_FORMAT " until you have the new one\n",
                     sheet->number);
}

static int print_again(const Recalling *recalling, const RecordSheet *old)
{
    Session *session = recalling->session;
    const char *path = loader_patient_path(session->arena, recalling->file.folder, old->person);
    if (!path) {
        terminal_say(stderr, "%s has no file in the clinic's patients folder: print the new sheet from where it is\n",
                     old->person);
        return EXIT_FINDINGS;
    }
    int status = recalling->print(session, path);
    const RecordSheet *new = status == EXIT_FINE ? counting(recalling->record, old->person) : NULL;
    if (new && new->number != old->number)
        say_new(session, old, new);
    else
        terminal_say(stdout, "  NO new sheet for %s yet: sheet %" G_GINT64_FORMAT " is called back all the same\n",
                     old->person, old->number);
    return status;
}

static int recall(Recalling *recalling)
{
    Session *session = recalling->session;
    const char *by = session->options.by;
    GError *error = NULL;
    int worst = EXIT_FINE;
    if (by && !record_recall(recalling->record, recalling->kind, recalling->what, recalling->sheets, by,
                             recalling->because, &error))
        return commands_system_error(error);
    session->options.replace = TRUE;
    for (guint i = 0; i < recalling->sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(recalling->sheets, i);
        say_recall(recalling, sheet);
        int status = by && session->options.out ? print_again(recalling, sheet) : EXIT_FINE;
        worst = MAX(worst, status);
    }
    terminal_say(stdout, "%u %s with an injection to come %s on %s %s%s\n", recalling->sheets->len,
                 recalling->sheets->len == 1 ? "sheet" : "sheets", recalling->sheets->len == 1 ? "rests" : "rest",
                 record_recall_word(recalling->kind), recalling->what,
                 by ? "" : "; nothing was called back yet: --by NAME does it");
    return worst;
}

int changes_recall(Session *session, PrintPatient print)
{
    char **words = session->options.words;
    guint count = words ? g_strv_length(words) : 0;
    GError *error = NULL;
    Recalling recalling = {.session = session, .print = print};
    if (count < 2 || count > 3 || !record_recall_find(words[0], &recalling.kind))
        return commands_usage("say what: protocol NAME or NAME/REVISION, shelf 'NAME', lot LOT, rule RULE, language "
                              "TAG");
    if (session->options.by && (count < 3 || !*words[2]))
        return commands_usage("say why, behind what is called back: recall --by NAME lot A1234 'cracked vials'");
    recalling.what = words[1];
    recalling.because = count == 3 ? words[2] : "";
    int status = commands_clinic_record(session, &recalling.file, &recalling.record);
    if (status != EXIT_FINE)
        return status;
    recalling.sheets = record_resting_on(recalling.record, recalling.kind, words[1], session->now, &error);
    return recalling.sheets ? recall(&recalling) : commands_system_error(error);
}
