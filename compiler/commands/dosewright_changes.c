/* dosewright_changes: see dosewright_changes.h. */
#include "commands/dosewright_changes.h"

#include <stdio.h>
#include <string.h>

/* ---- what to say ---- */

gboolean changes_counting(Record *record, const char *person, const RecordSheet **sheet, GError **error)
{
    const GPtrArray *sheets = record_of_person(record, person, error);
    *sheet = NULL;
    for (guint i = sheets ? sheets->len : 0; i > 0 && !*sheet; i--)
        if (((const RecordSheet *)g_ptr_array_index(sheets, i - 1))->state == RECORD_IS_VALID)
            *sheet = g_ptr_array_index(sheets, i - 1);
    return sheets != NULL;
}

int changes_unknown(const char *path, GError *error)
{
    int status = commands_system_error(error);
    terminal_say(stderr, "whether a new sheet counts could not be read; %s says the new time: do the same once more\n",
                 path);
    return status;
}

void changes_say_person(Session *session, const RecordSheet *sheet)
{
    const char *name = record_fact(session->arena, sheet, "person_name", 0);
    const char *language = record_fact(session->arena, sheet, "language", 0);
    const char *phone = record_fact(session->arena, sheet, "phone", 0);
    terminal_say(stdout, "%s, %s, language %s%s%s: holds sheet %" G_GINT64_FORMAT "\n", sheet->person, name ? name : "",
                 language ? language : "", phone ? ", telephone " : "", phone ? phone : "", sheet->number);
}

const char *changes_day(Arena *arena, Day day)
{
    CalendarDate date = day_date(day);
    return arena_format(arena, "%s %04d-%02d-%02d", weekday_name(day_weekday(day)), date.year, date.month, date.day);
}

/* From 10 pm to 6 am a night belongs to two days, and both are named: whoever hears one of
 * them injects a day early or late. */
static const char *spoken(Arena *arena, const Clinic *clinic, LocalTime at)
{
    const char *clock = clinic_clock(arena, clinic, at.minute);
    Day evening = at.minute < 6 * 60 ? at.day - 1 : at.day;
    const char *day = changes_day(arena, evening);
    if (at.minute >= 6 * 60 && at.minute < 22 * 60)
        return arena_format(arena, "%s, %s", day, clock);
    return arena_format(arena, "the night of %s going into %s, %s", day, weekday_name(day_weekday(evening + 1)), clock);
}

/* When it is injected first, where the person is. */
static const char *time_of_one(Session *session, const Clinic *clinic, const RecordSheet *sheet,
                               const RecordInjection *injection)
{
    const Zone *zone = commands_zone_of(session, sheet);
    return zone ? spoken(session->arena, clinic, zone_local(zone, g_array_index(injection->acts, Instant, 0), NULL))
                : record_fact(session->arena, sheet, "injection_time", injection->number);
}

static const char *time_of(Session *session, const Clinic *clinic, const RecordSheet *sheet, const char *injection)
{
    for (guint i = 0; sheet && i < sheet->injections->len; i++) {
        const RecordInjection *one = g_ptr_array_index(sheet->injections, i);
        if (g_strcmp0(one->name, injection) == 0)
            return time_of_one(session, clinic, sheet, one);
    }
    return NULL;
}

/* What the new sheet says, beside what the old one said. */
static void say_time(Session *session, const Clinic *clinic, const RecordSheet *old, const RecordSheet *new,
                     const char *name)
{
    const char *now = time_of(session, clinic, new, name), *before = time_of(session, clinic, old, name);
    if (!old)
        terminal_say(stdout, "  say: the injection \"%s\" is: %s\n", name, now);
    else if (g_strcmp0(now, before) == 0)
        terminal_say(stdout, "  say: the injection \"%s\" stays: %s\n", name, now);
    else
        terminal_say(stdout, "  say: the injection \"%s\" is now: %s; it was: %s\n", name, now,
                     before ? before : "not on your old sheet");
}

void changes_say_new(Session *session, const Clinic *clinic, const RecordSheet *old, const RecordSheet *new)
{
    const char *code = record_fact(session->arena, new, "check_code", 1);
    for (guint i = 0; i < new->injections->len; i++)
        say_time(session, clinic, old, new, ((const RecordInjection *)g_ptr_array_index(new->injections, i))->name);
    if (old)
        terminal_say(stdout, "  say: sheet %" G_GINT64_FORMAT " does not count any more, tear it up; your new sheet is "
                     "%" G_GINT64_FORMAT ", with the code %s\n", old->number, new->number, code ? code : "");
    else
        terminal_say(stdout, "  say: your sheet is %" G_GINT64_FORMAT ", with the code %s\n", new->number,
                     code ? code : "");
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

gboolean changes_read_time(Arena *arena, const char *text, ChangedTime *out)
{
    gsize end = date_ends(text);
    g_autofree char *date = g_strstrip(g_strndup(text, end));
    out->clock = g_strstrip(arena_copy(arena, text + end));
    return (end == 0 || day_parse(date, &out->day, NULL).fault == MOMENT_FINE) &&
           clock_parse(out->clock, &out->minute).fault == MOMENT_FINE;
}

/* "'9:30 am', '9:30 pm' or '09:30'", behind the date that was said; NULL when it means midnight, or nobody can tell. */
static const char *times_meant(Arena *arena, const char *date, const char *clock)
{
    int minute;
    const char *meant = NULL;
    g_auto(GStrv) readings = clock_readings(clock);
    for (guint i = 0; readings[i]; i++) {
        if (clock_parse(readings[i], &minute).fault != MOMENT_FINE)
            return NULL;
        meant = arena_format(arena, "%s%s'%s%s%s'", meant ? meant : "", !meant ? "" : readings[i + 1] ? ", " : " or ",
                             date, *date ? " " : "", readings[i]);
    }
    return meant;
}

int changes_no_time(Arena *arena, const char *text)
{
    Day day;
    gsize end = date_ends(text);
    g_autofree char *date = g_strstrip(g_strndup(text, end));
    MomentFault fault = end == 0 ? MOMENT_FINE : day_parse(date, &day, NULL).fault;
    const char *meant = fault == MOMENT_FINE ? times_meant(arena, date, text + end) : NULL;
    if (fault == MOMENT_WEEKDAY)
        return commands_usage("\"%s\" is no time: that date is a %s", text, weekday_name(day_weekday(day)));
    return commands_usage("\"%s\" is no time: write %s", text, meant ? meant
                                                                   : "'12:30 pm' or 'Friday 2026-11-27 9 am'");
}

gboolean changes_has_time(const Patient *patient)
{
    return patient && PRESENT(patient->patient) && PRESENT(patient->anchor) && PRESENT(patient->anchor.on) &&
           PRESENT(patient->anchor.clock);
}

gboolean changes_says(const Patient *patient, const ChangedTime *time)
{
    return changes_has_time(patient) && patient->anchor.on.day == time->day &&
           patient->anchor.clock.minute == time->minute;
}

static void put_time(FileEdits *edits, Arena *arena, const ChangedTime *time, const AnchorTime *anchor)
{
    edits_put(edits, anchor->on.at.place, changes_day(arena, time->day));
    edits_put(edits, anchor->clock.at.place, time->clock);
}

/* EXIT_FINE when the file now says this time. */
static int says(Session *session, const char *path, const ChangedTime *time)
{
    Case file;
    GError *error = NULL;
    if (!loader_load(loader_new(session->arena, session->options.clinic), path, &file, &error))
        return commands_system_error(error);
    if (changes_says(file.patient, time))
        return EXIT_FINE;
    return commands_usage("%s holds the time in a way that cannot be changed here: change it by hand, then print with "
                          "--replace", path);
}

typedef struct Moving {
    Session *session;
    PrintPatient print;
    const char *path;
    Case file;
    Record *record;
    ChangedTime time;
} Moving;

/* New text, new sheet; the old text again when no sheet comes of it. */
static int move(Moving *moving)
{
    Session *session = moving->session;
    GError *error = NULL;
    const AnchorTime *anchor = &moving->file.patient->anchor;
    const char *person = moving->file.patient->patient.text;
    FileEdits *edits = edits_new(session->arena, moving->path, &error);
    const RecordSheet *old, *new;
    if (edits)
        put_time(edits, session->arena, &moving->time, anchor);
    if (!edits || !changes_counting(moving->record, person, &old, &error) || !edits_write(edits, &error))
        return commands_system_error(error);
    session->loader = loader_new(session->arena, session->options.clinic); /* has read the old text */
    session->options.replace = TRUE;
    int status = says(session, moving->path, &moving->time);
    if (status == EXIT_FINE)
        status = moving->print(session, moving->path);
    if (!changes_counting(moving->record, person, &new, &error))
        return changes_unknown(moving->path, error);
    gboolean placed = new && (!old || new->number != old->number);
    if (status != EXIT_FINE && !placed) {
        terminal_say(stderr, "nothing was moved: %s is as it was\n", moving->path);
        return edits_undo(edits, &error) ? status : commands_system_error(error);
    }
    if (placed) {
        changes_say_person(session, old ? old : new);
        changes_say_new(session, moving->file.clinic, old, new);
    }
    return status;
}

/* What is to be moved and to when; a status. */
static int read_move(Session *session, PrintPatient print, Moving *out)
{
    char **words = session->options.words;
    GError *error = NULL;
    if (!words || g_strv_length(words) != 2)
        return commands_usage("name a patient's file and the new time: '12:30 pm' or 'Friday 2026-11-27 9 am'");
    *out = (Moving){.session = session, .print = print, .path = words[0]};
    if (!loader_load(session->loader, words[0], &out->file, &error))
        return commands_system_error(error);
    if (!changes_has_time(out->file.patient)) {
        commands_report(session, out->file.diagnostics);
        return diagnostics_stops(out->file.diagnostics) ? EXIT_FINDINGS
                                                        : commands_usage("only a patient's procedure is moved");
    }
    out->time.day = out->file.patient->anchor.on.day;
    if (!changes_read_time(session->arena, words[1], &out->time))
        return changes_no_time(session->arena, words[1]);
    if (!commands_record(session, &out->file, &out->record))
        return EXIT_SYSTEM;
    if (!out->record)
        return commands_usage("this clinic keeps no record: write the new time, \"sheet:\" and \"replaces:\" into the "
                              "file and print it");
    return EXIT_FINE;
}

int changes_move(Session *session, PrintPatient print)
{
    Moving moving;
    int status = read_move(session, print, &moving);
    return status == EXIT_FINE ? move(&moving) : status;
}

int move_look(Session *session, const char **text)
{
    Moving moving;
    GError *error = NULL;
    int status = read_move(session, NULL, &moving);
    FileEdits *edits = status == EXIT_FINE ? edits_new(session->arena, moving.path, &error) : NULL;
    if (!edits)
        return error ? commands_system_error(error) : status;
    put_time(edits, session->arena, &moving.time, &moving.file.patient->anchor);
    *text = edits_text(edits);
    return status;
}

/* ---- what sheets rest on is called back ---- */

typedef struct Recalling {
    Session *session;
    PrintPatient print;
    Case file;
    Record *record;
    RecordRecall kind;
    const char *what, *because;
    char **rosters;
    ChangedLot lot;     /* of a lot that was called back */
    GPtrArray *sheets;
    GHashTable *listed; /* codes of those who stand in a roster: their day was printed anew */
} Recalling;

static void say_recall(const Recalling *recalling, const RecordSheet *sheet)
{
    Session *session = recalling->session;
    changes_say_person(session, sheet);
    for (guint i = 0; i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        terminal_say(stdout, "  \"%s\": %s\n", injection->name,
                     time_of_one(session, recalling->file.clinic, sheet, injection));
    }
    if (recalling->kind == RECALL_LOT)
        terminal_say(stdout, "  say: do not use the box with the lot %s, whatever your sheet says; we give you another "
                     "one and a new sheet\n", recalling->what);
    else
        terminal_say(stdout, "  say: do nothing from sheet %" G_GINT64_FORMAT " until you have the new one\n",
                     sheet->number);
}

/* Another box in the person's file, where one was named. */
static gboolean change_lot(const Recalling *recalling, const char *path, GError **error)
{
    Case file;
    Session *session = recalling->session;
    if (!recalling->lot.lot)
        return TRUE;
    FileEdits *edits = edits_new(session->arena, path, error);
    if (!edits || !loader_load(session->loader, path, &file, error))
        return FALSE;
    if (file.patient)
        changes_put_lot(edits, &recalling->lot, file.patient);
    session->loader = loader_new(session->arena, session->options.clinic); /* has read the old text */
    return !edits_any(edits) || edits_write(edits, error);
}

static int print_file(const Recalling *recalling, const RecordSheet *old)
{
    Session *session = recalling->session;
    GError *error = NULL;
    const char *path = loader_patient_path(session->arena, recalling->file.folder, old->person);
    if (!path) {
        terminal_say(stderr, "%s has no file in the clinic's patients folder: name the roster that it stands in behind "
                     "the reason\n", old->person);
        return EXIT_FINDINGS;
    }
    return change_lot(recalling, path, &error) ? recalling->print(session, path) : commands_system_error(error);
}

static int print_again(const Recalling *recalling, const RecordSheet *old)
{
    int status = EXIT_FINE;
    if (!g_hash_table_contains(recalling->listed, old->person))
        status = print_file(recalling, old);
    const RecordSheet *new = NULL;
    GError *error = NULL;
    if (status <= EXIT_FINDINGS && !changes_counting(recalling->record, old->person, &new, &error))
        status = commands_system_error(error);
    if (new && new->number != old->number) {
        changes_say_new(recalling->session, recalling->file.clinic, old, new);
        return status;
    }
    terminal_say(stdout, "  NO new sheet for %s yet: sheet %" G_GINT64_FORMAT " is called back all the same\n",
                 old->person, old->number);
    if (recalling->kind == RECALL_LOT && !recalling->lot.lot)
        terminal_say(stdout, "  then: hand out another box and print again with --instead 'LOT EXPIRY'\n");
    return MAX(status, EXIT_FINDINGS);
}

/* The days of the rosters, each into a folder of its own where there are several. */
static int print_days(const Recalling *recalling)
{
    int worst = EXIT_FINE;
    Session own = *recalling->session;
    gboolean several = recalling->rosters[0] && recalling->rosters[1];
    for (char **roster = recalling->rosters; *roster; roster++) {
        g_autofree char *base = g_path_get_basename(*roster);
        base[strcspn(base, ".")] = '\0';
        own.options.out = several ? arena_format(own.arena, "%s/%s", recalling->session->options.out, base)
                                  : recalling->session->options.out;
        int status = changes_print_listed(&own, *roster, recalling->sheets, &recalling->lot, recalling->listed);
        worst = MAX(worst, status);
    }
    return worst;
}

/* Nobody to ring may be good news, or a word that was typed wrongly. */
static int say_nobody(const Recalling *recalling)
{
    gboolean ever;
    GError *error = NULL;
    if (!record_ever_rested(recalling->record, recalling->kind, recalling->what, &ever, &error))
        return commands_system_error(error);
    if (!ever)
        terminal_say(stdout, "no sheet of this record ever rested on %s %s: is it written as on the box or in "
                     "the file?\n", record_recall_word(recalling->kind), recalling->what);
    return EXIT_FINE;
}

static int recall(Recalling *recalling)
{
    Session *session = recalling->session;
    const char *by = session->options.by;
    gboolean prints = by && session->options.out;
    GError *error = NULL;
    if (by && !record_recall(recalling->record, recalling->kind, recalling->what, recalling->sheets, by,
                             recalling->because, &error))
        return commands_system_error(error);
    int worst = prints ? print_days(recalling) : EXIT_FINE;
    session->options.replace = TRUE;
    for (guint i = 0; i < recalling->sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(recalling->sheets, i);
        say_recall(recalling, sheet);
        int status = prints ? print_again(recalling, sheet) : EXIT_FINE;
        worst = MAX(worst, status);
    }
    terminal_say(stdout, "%u %s with an injection to come %s on %s %s%s\n", recalling->sheets->len,
                 recalling->sheets->len == 1 ? "sheet" : "sheets", recalling->sheets->len == 1 ? "rests" : "rest",
                 record_recall_word(recalling->kind), recalling->what,
                 by ? "" : "; nothing was called back yet: --by NAME does it");
    int told = recalling->sheets->len > 0 || recalling->kind == RECALL_RULE ? EXIT_FINE : say_nobody(recalling);
    return MAX(worst, told);
}

int changes_recall(Session *session, PrintPatient print)
{
    char **words = session->options.words;
    guint count = words ? g_strv_length(words) : 0;
    GError *error = NULL;
    Recalling recalling = {.session = session, .print = print};
    if (count < 2 || !record_recall_find(words[0], &recalling.kind))
        return commands_usage("say what: protocol NAME or NAME/REVISION, shelf 'NAME', lot LOT, rule RULE, language "
                              "TAG");
    if (session->options.by && (count < 3 || !*words[2]))
        return commands_usage("say why, behind what is called back: recall --by NAME lot A1234 'cracked vials'");
    RuleId rule;
    if (recalling.kind == RECALL_RULE && !rule_find(words[1], &rule)) {
        const char *near = rule_nearest(words[1]);
        return near ? commands_usage("no rule is called \"%s\": did you mean \"%s\"?", words[1], near)
                    : commands_usage("no rule is called \"%s\"; the rule book has them all", words[1]);
    }
    recalling.what = words[1];
    recalling.because = count > 2 ? words[2] : "";
    recalling.rosters = words + MIN(count, 3);
    recalling.lot.old = words[1];
    const char *instead = session->options.instead;
    if (instead && (recalling.kind != RECALL_LOT || !changes_read_lot(session->arena, instead, &recalling.lot)))
        return commands_usage("--instead is of a lot, and names another with its expiry: 'B99 2027-09'");
    recalling.listed = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, recalling.listed);
    int status = commands_clinic_record(session, &recalling.file, &recalling.record);
    if (status != EXIT_FINE)
        return status;
    recalling.sheets = record_resting_on(recalling.record, recalling.kind, words[1], session->now, &error);
    return recalling.sheets ? recall(&recalling) : commands_system_error(error);
}
