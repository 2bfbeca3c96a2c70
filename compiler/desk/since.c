/* desk_since: what the night's list did not know when it was printed for the wall: who came in, whose
 * time moved, who is not of this night any more. */
#include "desk/tonight.h"

#define WALL "4 pm" /* when lists are printed, where nobody says otherwise */

typedef struct Since {
    Session *session;
    const Clinic *clinic;
    Record *record;
    View *view;
    Instant from, noon, next_noon;
} Since;

static gboolean later(const Since *since, const RecordSheet *sheet, RecordKind kind)
{
    const RecordEntry *entry = record_last(sheet, kind);
    return entry && entry->at >= since->from;
}

static Instant first_act(const RecordSheet *sheet)
{
    const RecordInjection *first = sheet->injections->len > 0 ? g_ptr_array_index(sheet->injections, 0) : NULL;
    return first && first->acts->len > 0 ? g_array_index(first->acts, Instant, 0) : 0;
}

static gboolean is_tonight(const Since *since, const RecordSheet *sheet)
{
    Instant at = first_act(sheet);
    return at >= since->noon && at < since->next_noon;
}

/* With its day when it is of another night. */
static const char *time_of(const Since *since, const RecordSheet *sheet)
{
    Arena *arena = since->session->arena;
    const char *clock = page_clock(arena, since->clinic, first_act(sheet));
    return is_tonight(since, sheet)
               ? clock : arena_format(arena, "%s, %s", page_day(arena, since->clinic, first_act(sheet)), clock);
}

/* The sheet before it that the list was made from; NULL: the person was not on it. */
static const RecordSheet *listed(const Since *since, const RecordSheet *sheet)
{
    while (sheet && (!record_last(sheet, RECORD_PRINTED) || later(since, sheet, RECORD_PRINTED)))
        sheet = sheet->replaces > 0 ? record_sheet(since->record, sheet->replaces, NULL) : NULL;
    return sheet;
}

static View *add(const Since *since, const RecordSheet *sheet, RecordKind kind, const char *flag)
{
    Arena *arena = since->session->arena;
    const RecordEntry *entry = record_last(sheet, kind);
    View *one = view_add(since->view, "changes");
    view_text(one, "change_code", sheet->person);
    view_text(one, "change_name", record_fact(arena, sheet, "person_name", 0));
    view_text(one, "change_at", page_clock(arena, since->clinic, entry->at));
    view_text(one, "change_by", entry->by);
    view_flag(one, flag, TRUE);
    return one;
}

static void show_valid(const Since *since, const RecordSheet *sheet)
{
    if (!later(since, sheet, RECORD_PRINTED))
        return;
    const RecordSheet *before = listed(since, sheet);
    gboolean same = before && first_act(before) == first_act(sheet);
    View *one = add(since, sheet, RECORD_PRINTED, !before ? "is_added" : same ? "is_same_time" : "is_moved");
    view_format(one, "change_sheet", "%" G_GINT64_FORMAT, sheet->number);
    view_text(one, "change_is", time_of(since, sheet));
    view_text(one, "change_was", before ? time_of(since, before) : NULL);
}

/* Its place was taken by a sheet of another night. */
static void show_replaced(const Since *since, const RecordSheet *sheet)
{
    const RecordSheet *now = sheet;
    while (now && now->replaced_by > 0)
        now = record_sheet(since->record, now->replaced_by, NULL);
    if (!now || now == sheet || is_tonight(since, now) || !later(since, sheet, RECORD_REPLACED) ||
        listed(since, sheet) != sheet)
        return;
    View *one = add(since, sheet, RECORD_REPLACED, now->state == RECORD_IS_VALID ? "is_away" : "is_off");
    view_text(one, "change_is", time_of(since, now));
    view_text(one, "change_was", time_of(since, sheet));
}

static void show_sheet(const Since *since, const RecordSheet *sheet)
{
    if (!is_tonight(since, sheet))
        return;
    switch (sheet->state) {
    case RECORD_IS_VALID: show_valid(since, sheet); break;
    case RECORD_IS_REPLACED: show_replaced(since, sheet); break;
    case RECORD_IS_CANCELLED:
        if (later(since, sheet, RECORD_CANCELLED) && listed(since, sheet))
            view_text(add(since, sheet, RECORD_CANCELLED, "is_off"), "change_was", time_of(since, sheet));
        break;
    case RECORD_IS_VOID:
        if (later(since, sheet, RECORD_VOID) && listed(since, sheet))
            view_text(add(since, sheet, RECORD_VOID, "is_off"), "change_was", time_of(since, sheet));
        break;
    case RECORD_IS_GIVEN: break;
    }
}

/* FALSE when it is no clock time. */
static gboolean read_time(Since *since, const char *text, Day evening)
{
    LocalTime local;
    Instant instants[2];
    if (clock_parse(text, &local.minute).fault != MOMENT_FINE)
        return FALSE;
    local.day = evening + (local.minute < 12 * 60);
    if (zone_instants(since->clinic->zone.zone, local, instants) == 0)
        return FALSE;
    since->from = instants[0];
    return TRUE;
}

void tonight_show_changes(View *view, Session *session, const Case *file, Day evening, const char *wanted)
{
    const Clinic *clinic = file->clinic;
    const Zone *zone = clinic->zone.zone;
    Since since = {.session = session, .clinic = clinic, .view = view, .noon = night_noon(zone, evening),
                   .next_noon = night_noon(zone, evening + 1)};
    view_text(view, "since", *wanted ? wanted : WALL);
    if (!commands_record(session, file, &since.record) || !since.record)
        return;
    if (!read_time(&since, *wanted ? wanted : WALL, evening)) {
        view_flag(view, "since_unread", TRUE);
        return;
    }
    view_flag(view, "since_known", since.from <= session->now);
    const GPtrArray *sheets = record_between(since.record, since.noon, since.next_noon, NULL);
    for (guint i = 0; sheets && i < sheets->len; i++)
        show_sheet(&since, g_ptr_array_index(sheets, i));
}
