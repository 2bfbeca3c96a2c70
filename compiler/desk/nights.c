/* desk_nights: which night a page is about, and what is still open of the one before it. */
#include <string.h>

#include "desk/file.h"
#include "desk/tonight.h"

#define MORNING (6 * 60) /* where the strip ends: from then on whoever looks wants the night that comes */
#define NOON (12 * 60)

Day tonight_evening(const Session *session, const Case *file, int nights)
{
    return night_evening(file->clinic->zone.zone, session->now) + nights;
}

static gboolean is_injected(Arena *arena, const RecordSheet *sheet, const char *injection)
{
    for (guint i = 0; i < sheet->entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(sheet->entries, i);
        const char *named = entry->kind == RECORD_INJECTED ? record_value(arena, entry->body, "injection") : NULL;
        if (entry->kind == RECORD_INJECTED && (!named || g_strcmp0(named, injection) == 0))
            return TRUE;
    }
    return FALSE;
}

/* Of a course somebody may have noted another day's: what counts is then worked out from her file. */
static gboolean may_be_open(Arena *arena, const RecordSheet *sheet)
{
    for (guint i = 0; i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        if (injection->acts->len > 1 || !is_injected(arena, sheet, injection->name))
            return TRUE;
    }
    return FALSE;
}

/* Codes of those whose sheet of this time counts and who may be open, ended by NULL. */
static GPtrArray *open_between(const Desk *desk, Session *session, Record *record, Instant from, Instant until)
{
    const GPtrArray *sheets = record_between(record, from, until, NULL);
    GPtrArray *paths = arena_list(session->arena);
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        const char *path = arena_format(session->arena, "%s/patients/%s.yaml", desk->clinic, sheet->person);
        if (sheet->state == RECORD_IS_VALID && may_be_open(session->arena, sheet) && person_code_fits(sheet->person) &&
            g_file_test(path, G_FILE_TEST_IS_REGULAR))
            g_ptr_array_add(paths, (gpointer)path);
    }
    g_ptr_array_add(paths, NULL);
    return paths;
}

static gboolean is_ahead(const Night *night)
{
    for (guint i = 0; night && i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (!row->injected && row->until >= night->now)
            return TRUE;
    }
    return FALSE;
}

gboolean tonight_nights(const Desk *desk, const Request *request, Session *session, const Case *file, int *nights,
                        Answer *answer)
{
    const Zone *zone = file->clinic->zone.zone;
    int minute = zone_local(zone, session->now, NULL).minute;
    Record *record;
    NightRequest people;
    Night *night = NULL;
    *nights = 0;
    if (minute < MORNING || minute >= NOON)
        return TRUE;
    if (!commands_record(session, file, &record)) {
        page_said(desk, request, session, answer);
        return FALSE;
    }
    GPtrArray *paths = record ? open_between(desk, session, record, session->now,
                                             night_noon(zone, night_evening(zone, session->now) + 1)) : NULL;
    if ((!paths || paths->len > 1) &&
        !tonight_gather(desk, request, session, 0, paths ? (char **)paths->pdata : NULL, &people, &night, answer))
        return FALSE;
    *nights = is_ahead(night) ? 0 : 1;
    return TRUE;
}

/* ---- what is open of the night before ---- */

static gboolean is_named(const GPtrArray *paths, const char *code)
{
    g_autofree char *ending = g_strdup_printf("/%s.yaml", code);
    for (guint i = 0; i + 1 < paths->len; i++)
        if (g_str_has_suffix(g_ptr_array_index(paths, i), ending))
            return TRUE;
    return FALSE;
}

static guint show_open(View *view, Arena *arena, const Night *night, const NightRequest *people, const GPtrArray *paths)
{
    guint open = 0;
    for (guint i = 0; night && i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (row->state != NIGHT_CALLED && row->state != NIGHT_NO_WORD)
            continue;
        tonight_show_row(view_add(view, "last"), arena, night, row);
        open++;
    }
    for (guint i = 0; i < people->stopped->len; i++) {
        const NightStopped *stopped = g_ptr_array_index(people->stopped, i);
        if (!is_named(paths, stopped->code))
            continue;
        view_text(view_add(view, "last_stopped"), "code", stopped->code);
        open++;
    }
    return open;
}

gboolean tonight_show_last(View *view, const Desk *desk, const Request *request, Session *session, const Case *file,
                           int nights, Answer *answer)
{
    const Zone *zone = file->clinic->zone.zone;
    Day evening = tonight_evening(session, file, nights - 1);
    int minute = zone_local(zone, session->now, NULL).minute;
    Record *record;
    NightRequest people;
    Night *night;
    if (!commands_record(session, file, &record)) {
        page_said(desk, request, session, answer);
        return FALSE;
    }
    GPtrArray *paths = record ? open_between(desk, session, record, night_noon(zone, evening),
                                             night_noon(zone, evening + 1)) : NULL;
    if (!paths || paths->len == 1)
        return TRUE;
    if (!tonight_gather(desk, request, session, nights - 1, (char **)paths->pdata, &people, &night, answer))
        return FALSE;
    guint open = show_open(view, session->arena, night, &people, paths);
    view_format(view, "last_count", "%u", open);
    view_flag(view, "one_last", open == 1);
    view_text(view, "last_evening", weekday_name(day_weekday(evening)));
    view_flag(view, minute >= MORNING && minute < MORNING + NOON ? "last_first" : "last_later", open > 0);
    return TRUE;
}
