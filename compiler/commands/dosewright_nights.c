/* dosewright_nights: which night a list is about, and who may be open of one. */
#include <string.h>

#include "commands/commands.h"

#define MORNING (6 * 60) /* where the strip ends: from then on whoever looks wants the night that comes */
#define NOON (12 * 60)

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

char **evening_open(Session *session, const Case *clinic, Record *record, Instant from, Instant until)
{
    Arena *arena = session->arena;
    const GPtrArray *sheets = record_between(record, from, until, NULL);
    GPtrArray *paths = arena_list(arena);
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        const char *path = arena_format(arena, "%s/patients/%s.yaml", clinic->folder, sheet->person);
        if (sheet->state == RECORD_IS_VALID && may_be_open(arena, sheet) && !strchr(sheet->person, '/') &&
            g_file_test(path, G_FILE_TEST_IS_REGULAR))
            g_ptr_array_add(paths, (gpointer)path);
    }
    g_ptr_array_add(paths, NULL);
    return (char **)paths->pdata;
}

/* ---- which night ---- */

static gboolean is_morning(const Clinic *clinic, Instant now)
{
    if (!clinic || !PRESENT(clinic->zone))
        return FALSE;
    int minute = zone_local(clinic->zone.zone, now, NULL).minute;
    return minute >= MORNING && minute < NOON;
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

/* The record alone says so; then no file need be read to know it. */
static gboolean nobody_is_left(Session *session, char **words)
{
    Case clinic;
    Record *record;
    gboolean all = !words || !*words;
    if (!all || !loader_clinic_folder(session->loader, "-") || commands_clinic(session, &clinic) != EXIT_FINE ||
        !is_morning(clinic.clinic, session->now) || !commands_record(session, &clinic, &record) || !record)
        return FALSE;
    const Zone *zone = clinic.clinic->zone.zone;
    Instant noon = night_noon(zone, night_evening(zone, session->now) + 1);
    return *evening_open(session, &clinic, record, session->now, noon) == NULL;
}

int evening_of(Session *session, char **words, int nights, NightRequest *request, Night **night)
{
    int status = evening_gather(session, words, nights, request);
    *night = status == EXIT_FINE ? night_make(session->arena, request) : NULL;
    return status;
}

int evening_shown(Session *session, char **words, int *nights, NightRequest *request, Night **night)
{
    *nights = nobody_is_left(session, words) ? 1 : 0;
    int status = evening_of(session, words, *nights, request, night);
    if (status != EXIT_FINE || *nights == 1 || !is_morning(request->clinic, session->now) || is_ahead(*night))
        return status;
    *nights = 1;
    return evening_of(session, words, 1, request, night);
}
