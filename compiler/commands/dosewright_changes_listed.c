/* dosewright_changes_listed: the same for people of a roster: their row is changed in its file,
 * and the day is printed anew, in which all other sheets stay as they are. */
#include <string.h>

#include "commands/beside.h"
#include "commands/dosewright_changes.h"
#include "commands/dosewright_day.h"

/* A person found in a roster. */
typedef struct Found {
    const Roster *roster;
    RosterRow row;
    Case file;
    Plan *plan;
} Found;

/* The roster, or NULL after its findings; *status says why. */
static Roster *open_roster(Session *session, const char *path, int *status)
{
    GError *error = NULL;
    Diagnostics *found = diagnostics_new(session->arena);
    Roster *roster = roster_open(session->arena, path, found, &error);
    *status = roster ? EXIT_FINE : commands_system_error(error);
    if (roster && diagnostics_stops(found)) {
        commands_report(session, found);
        *status = EXIT_FINDINGS;
    }
    return *status == EXIT_FINE ? roster : NULL;
}

static gboolean find_row(Session *session, Roster *roster, const char *code, RosterRow *row)
{
    for (;;) {
        Arena *arena = arena_new();
        gboolean there = roster_next(roster, arena, row);
        const RosterMark at = row->at;
        gboolean same = there && g_ascii_strcasecmp(people_code(row), code) == 0;
        arena_free(arena);
        if (!there)
            return FALSE;
        if (!same)
            continue;
        roster_go(roster, &at);
        return roster_next(roster, session->arena, row);
    }
}

/* EXIT_USAGE when the person is not in it. */
static int find(Session *session, const char *path, const char *code, Found *out)
{
    int status;
    Roster *roster = open_roster(session, path, &status);
    if (!roster)
        return status;
    out->roster = roster;
    if (!find_row(session, roster, code, &out->row))
        return commands_usage("%s is not in %s", code, path);
    return commands_judge_listed(session, path, roster, &out->row, NULL, &out->file, &out->plan) ? EXIT_FINE
                                                                                                : EXIT_SYSTEM;
}

/* ---- a procedure moved ---- */

/* What goes between a new key and the one before which it is put: a comma within braces, else
 * the line's indentation. */
static const char *between_keys(Arena *arena, Place key)
{
    const char *text = key.source->text;
    gsize at = source_offset(key);
    while (at > 0 && g_ascii_isspace(text[at - 1]))
        at--;
    return at > 0 && strchr("{,", text[at - 1]) ? ", " : arena_format(arena, "\n%*s", key.column - 1, "");
}

/* What everyone has is not changed for one of them: the person's own day is put into the empty
 * cell, or before the hour of a list's person. */
static void put_day(FileEdits *edits, Arena *arena, const Found *found, Day day)
{
    const AnchorTime *anchor = &found->file.patient->anchor;
    Place on = anchor->on.at.place;
    const char *words = changes_day(arena, day);
    if (on.source != found->row.source && !roster_cell(found->roster, &found->row, "anchor", "on", &on)) {
        on = anchor->clock.at.key;
        words = arena_format(arena, "on: %s%s", words, between_keys(arena, on));
        on.length = 0;
    }
    edits_put(edits, on, words);
}

static int change_row(Session *session, const char *path, const Found *found, const ChangedTime *time,
                      FileEdits **edits)
{
    GError *error = NULL;
    const AnchorTime *anchor = &found->file.patient->anchor;
    *edits = edits_new(session->arena, path, &error);
    if (!*edits)
        return commands_system_error(error);
    if (time->day != anchor->on.day)
        put_day(*edits, session->arena, found, time->day);
    edits_put(*edits, anchor->clock.at.place, time->clock);
    return edits_write(*edits, &error) ? EXIT_FINE : commands_system_error(error);
}

/* What stops the moved person stops the move, before anything is printed. */
static int judge_moved(Session *session, const char *path, const char *code, const ChangedTime *time)
{
    Found now;
    session->loader = loader_new(session->arena, session->options.clinic);
    int status = find(session, path, code, &now);
    if (status != EXIT_FINE)
        return status;
    if (!changes_says(now.file.patient, time))
        return commands_usage("%s holds the time in a way that cannot be changed here: change it by hand, then print "
                              "with day --replace", path);
    if (now.plan && !diagnostics_stops(now.file.diagnostics))
        return EXIT_FINE;
    commands_report(session, now.file.diagnostics);
    return EXIT_FINDINGS;
}

/* The day of a roster, with new sheets for these people. */
static int print_day(Session *session, const char *path, char **codes)
{
    char *words[] = {(char *)path, NULL};
    Session day = *session;
    day.loader = loader_new(session->arena, session->options.clinic);
    day.options.words = words;
    day.options.replacing = codes;
    return command_day(&day);
}

static int move(Session *session, const char *path, const Found *found, Record *record, const ChangedTime *time)
{
    GError *error = NULL;
    FileEdits *edits = NULL;
    char *code = (char *)found->file.patient->patient.text, *codes[] = {code, NULL};
    const RecordSheet *old, *new;
    if (!changes_counting(record, code, &old, &error))
        return commands_system_error(error);
    int status = change_row(session, path, found, time, &edits);
    if (status != EXIT_FINE)
        return status;
    status = judge_moved(session, path, code, time);
    if (status == EXIT_FINE)
        status = print_day(session, path, codes);
    if (!changes_counting(record, code, &new, &error))
        return changes_unknown(path, error);
    if (!new || (old && new->number == old->number)) {
        terminal_say(stderr, "nothing was moved: %s is as it was\n", path);
        return edits_undo(edits, &error) ? MAX(status, EXIT_FINDINGS) : commands_system_error(error);
    }
    changes_say_person(session, old ? old : new);
    changes_say_new(session, found->file.clinic, old, new);
    return status;
}

int changes_move_listed(Session *session)
{
    char **words = session->options.words;
    Record *record;
    Found found;
    ChangedTime time;
    if (g_strv_length(words) != 3 || !session->options.out)
        return commands_usage("name the roster, whose procedure, the new time, and the day's folder: "
                              "move --out tonight today.csv LC-2101 '12:30 pm'");
    int status = find(session, words[0], words[1], &found);
    if (status != EXIT_FINE)
        return status;
    if (!changes_has_time(found.file.patient)) {
        commands_report(session, found.file.diagnostics);
        return EXIT_FINDINGS;
    }
    time.day = found.file.patient->anchor.on.day;
    if (!changes_read_time(session->arena, words[2], &time))
        return changes_no_time(session->arena, words[2]);
    if (!commands_record(session, &found.file, &record))
        return EXIT_SYSTEM;
    if (!record)
        return commands_usage("this clinic keeps no record: write the new time, a new \"sheet\" and \"replaces\" into "
                              "the row, and print the day again");
    return move(session, words[0], &found, record, &time);
}

/* ---- what sheets rest on is called back ---- */

gboolean changes_read_lot(Arena *arena, const char *text, ChangedLot *out)
{
    const char *space = strrchr(text, ' ');
    if (!space || space == text || strlen(space + 1) < strlen("2027-09"))
        return FALSE;
    out->lot = g_strstrip(arena_copy_length(arena, text, (gsize)(space - text)));
    out->expires = arena_copy(arena, space + 1);
    return TRUE;
}

void changes_put_lot(FileEdits *edits, const ChangedLot *lot, const Patient *patient)
{
    const GPtrArray *boxes = patient->boxes.items;
    for (guint i = 0; i < boxes->len; i++) {
        const Box *box = g_ptr_array_index(boxes, i);
        if (!PRESENT(box->lot) || !PRESENT(box->expires) || !record_same_word(box->lot.text, lot->old))
            continue;
        edits_put(edits, box->lot.at.place, lot->lot);
        edits_put(edits, box->expires.at.place, lot->expires);
    }
}

/* TRUE when one of these sheets is the person's. */
static gboolean is_of(const GPtrArray *sheets, const char *code)
{
    for (guint i = 0; i < sheets->len; i++)
        if (strcmp(((const RecordSheet *)g_ptr_array_index(sheets, i))->person, code) == 0)
            return TRUE;
    return FALSE;
}

/* The codes (of char*) of those of the roster whose sheets these are; their lots are put. */
static int take_rows(Session *session, const char *path, const GPtrArray *sheets, const ChangedLot *lot,
                     FileEdits *edits, GPtrArray *codes)
{
    int status;
    RosterRow row;
    Roster *roster = open_roster(session, path, &status);
    for (gboolean more = roster != NULL; more;) {
        Session own = *session;
        own.arena = arena_new();
        more = roster_next(roster, own.arena, &row);
        if (more && is_of(sheets, people_code(&row))) {
            const Patient *patient = reader_listed(own.arena, row.root, roster_is_table(roster), row.diagnostics);
            g_ptr_array_add(codes, arena_copy(session->arena, people_code(&row)));
            if (lot->lot)
                changes_put_lot(edits, lot, patient);
        }
        arena_free(own.arena);
    }
    return status;
}

int changes_print_listed(Session *session, const char *roster, const GPtrArray *sheets, const ChangedLot *lot,
                         GHashTable *listed)
{
    GError *error = NULL;
    GPtrArray *codes = arena_list(session->arena);
    FileEdits *edits = edits_new(session->arena, roster, &error);
    if (!edits)
        return commands_system_error(error);
    int status = take_rows(session, roster, sheets, lot, edits, codes);
    if (status != EXIT_FINE || codes->len == 0)
        return status;
    if (edits_any(edits) && !edits_write(edits, &error))
        return commands_system_error(error);
    for (guint i = 0; i < codes->len; i++)
        g_hash_table_add(listed, g_ptr_array_index(codes, i));
    g_ptr_array_add(codes, NULL);
    return print_day(session, roster, (char **)codes->pdata);
}
