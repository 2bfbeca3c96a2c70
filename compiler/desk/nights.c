/* desk_nights: what is still open of the night before the one that a page is about. */
#include <string.h>

#include "desk/file.h"
#include "desk/tonight.h"

#define DAY_BEGINS (6 * 60) /* at the desk: from then on what is open of the night stands first, for twelve hours */

Day tonight_evening(const Session *session, const Case *file, int nights)
{
    return night_evening(file->clinic->zone.zone, session->now) + nights;
}

/* ---- what is open of the night before ---- */

static gboolean is_named(char **paths, const char *code)
{
    g_autofree char *ending = g_strdup_printf("/%s.yaml", code);
    for (char **path = paths; *path; path++)
        if (g_str_has_suffix(*path, ending))
            return TRUE;
    return FALSE;
}

static guint show_open(View *view, Arena *arena, const Night *night, const NightRequest *people, char **paths)
{
    guint open = 0;
    for (guint i = 0; night && i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (!night_is_open(row))
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
    char **paths = !record ? NULL : evening_open(session, file, record, night_noon(zone, evening),
                                                 night_noon(zone, evening + 1));
    if (!paths || !*paths)
        return TRUE;
    if (!tonight_gather(desk, request, session, nights - 1, paths, &people, &night, answer))
        return FALSE;
    guint open = show_open(view, session->arena, night, &people, paths);
    view_format(view, "last_count", "%u", open);
    view_flag(view, "one_last", open == 1);
    view_text(view, "last_evening", weekday_name(day_weekday(evening)));
    view_flag(view, minute >= DAY_BEGINS && minute < DAY_BEGINS + 12 * 60 ? "last_first" : "last_later", open > 0);
    return TRUE;
}
