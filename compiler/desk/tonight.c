/* desk_tonight: the first page: who injects tonight, the next minute first. */
#include "desk/tonight.h"

#include <string.h>

#include "drawing/drawing.h"
#include "output/output.h"

gboolean tonight_gather(const Desk *desk, const Request *request, Session *session, int nights, char **files,
                        NightRequest *people, Night **night, Answer *answer)
{
    if (evening_of(session, files, nights, people, night) == EXIT_FINE)
        return TRUE;
    page_said(desk, request, session, answer);
    return FALSE;
}

/* The night that the pages are about, as "night" has it. */
static gboolean gather_shown(const Desk *desk, const Request *request, Session *session, int *nights,
                             NightRequest *people, Night **night, Answer *answer)
{
    if (evening_shown(session, NULL, nights, people, night) == EXIT_FINE)
        return TRUE;
    page_said(desk, request, session, answer);
    return FALSE;
}

/* ---- rows ---- */

static void show_notes(View *view, Arena *arena, const Night *night, const NightRow *row)
{
    if (row->injected) {
        view_text(view, "injected_at", page_clock(arena, night->clinic, row->injected->given));
    } else if (row->call) {
        view_text(view, "called_at", page_clock(arena, night->clinic, row->call->at));
        view_text(view, "called_said", row->call->said);
        view_text(view, "called_by", row->call->by);
    }
}

void tonight_show_row(View *view, Arena *arena, const Night *night, const NightRow *row)
{
    static const char *const states[] = {
#define NIGHT_STATE(id, sign, phrase) [NIGHT_##id] = #id,
#include "night/states.def"
    };
    const struct { const char *name, *text; } texts[] = {
        {"clock", row->clock}, {"window", row->window}, {"away", row->away}, {"event", row->event},
        {"code", row->code}, {"sheet", row->sheet}, {"medicine", row->medicine}, {"dose", row->dose},
        {"amount", row->amount}, {"needle", row->needle}, {"place", row->place},
        {"phone", row->phone}, {"mark", row->mark}, {"name", row->plan->patient->name.text},
        {"injection", row->injection->order->name.text}, {"language", row->interpreter ? row->language : NULL}};
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        view_text(view, texts[i].name, texts[i].text ? texts[i].text : "");
    Giver giver = plan_giver(row->plan, row->injection);
    view_flag(view, "by_helper", giver == Giver_HELPER);
    view_flag(view, "by_self", giver == Giver_SELF);
    view_flag(view, "by_either", giver != Giver_HELPER && giver != Giver_SELF);
    if (night->evening != night_evening(night->zone, night->now)) /* a link must say which night it means */
        view_text(view, "night", page_date(arena, night->clinic, night_noon(night->zone, night->evening)));
    view_flag(view, states[row->state], TRUE);
    view_flag(view, "open", night_is_open(row));
    view_text(view, "state", night_state_words(arena, night, row->state));
    view_text(view, "left", row->injected ? "" : night_countdown(arena, night, row));
    view_text(view, "until", page_clock(arena, night->clinic, row->until));
    view_flag(view, "windowed", row->from != row->until);
    if (PRESENT(row->plan->patient->sheet))
        view_format(view, "number", "%" G_GINT64_FORMAT, row->plan->patient->sheet.value);
    else
        view_text(view, "number", "");
    show_notes(view, arena, night, row);
}

/* "now" stands before the first row that is still ahead. */
static void show_rows(View *view, Arena *arena, const Night *night)
{
    gboolean ruled = FALSE;
    guint done = 0, open = 0;
    for (guint i = 0; i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        View *one = view_add(view, "rows");
        tonight_show_row(one, arena, night, row);
        view_flag(one, "is_next", row == night->next);
        view_flag(one, "now_before", !ruled && row->at > night->now);
        ruled |= row->at > night->now;
        done += row->state == NIGHT_INJECTED;
        if (!night_is_open(row))
            continue;
        tonight_show_row(view_add(view, "unsettled"), arena, night, row);
        open++;
    }
    view_format(view, "unsettled_count", "%u", open);
    view_flag(view, "one_unsettled", open == 1);
    view_format(view, "people", "%u", night->people);
    view_flag(view, "one_person", night->people == 1);
    view_format(view, "done", "%u", done);
}

gboolean same_first_name(const char *one, const char *two)
{
    g_auto(GStrv) a = g_strsplit(one, " ", 2);
    g_auto(GStrv) b = g_strsplit(two, " ", 2);
    g_autofree char *first = g_utf8_casefold(a[0] ? a[0] : "", -1), *other = g_utf8_casefold(b[0] ? b[0] : "", -1);
    return *first && strcmp(first, other) == 0;
}

static gboolean are_alike(const NightRow *one, const NightRow *two)
{
    return strcmp(one->code, two->code) != 0 &&
           same_first_name(one->plan->patient->name.text, two->plan->patient->name.text);
}

/* Two of one first name, each pair once. */
static void show_alike(View *view, const Night *night)
{
    for (guint i = 0; i < night->rows->len; i++)
        for (guint k = i + 1; k < night->rows->len; k++) {
            const NightRow *one = g_ptr_array_index(night->rows, i), *two = g_ptr_array_index(night->rows, k);
            if (!are_alike(one, two) || (one->mark && strcmp(one->mark, "A") != 0) ||
                (two->mark && strcmp(two->mark, "A") != 0))
                continue;
            View *pair = view_add(view, "alike");
            view_text(pair, "one", one->plan->patient->name.text);
            view_text(pair, "one_code", one->code);
            view_text(pair, "two", two->plan->patient->name.text);
            view_text(pair, "two_code", two->code);
        }
}

static void show_stopped(View *view, const GPtrArray *stopped)
{
    for (guint i = 0; i < stopped->len; i++) {
        const NightStopped *one = g_ptr_array_index(stopped, i);
        g_autofree char *name = g_path_get_basename(one->code);
        View *item = view_add(view, "stopped");
        view_text(item, "code", name);
        if (one->errors > 0)
            view_format(item, "errors", "%u", one->errors);
        else
            view_text(item, "errors", "");
        view_flag(item, "one_error", one->errors == 1);
    }
}

static void show_cancelled(View *view, const GPtrArray *cancelled)
{
    for (guint i = 0; i < cancelled->len; i++)
        view_text(view_add(view, "cancelled"), "code", g_ptr_array_index(cancelled, i));
}

/* What was noted a moment ago: said once more, so that it is seen. */
static void show_noted(View *view, const Request *request, Session *session, const Case *file)
{
    const char *code = request_field(request, "noted");
    Record *record;
    if (!*code || !commands_record(session, file, &record) || !record)
        return;
    const GPtrArray *sheets = record_of_person(record, code, NULL);
    if (!sheets || sheets->len == 0)
        return;
    view_text(view, "noted", code);
    const RecordSheet *last = g_ptr_array_index(sheets, sheets->len - 1);
    view_text(view, "noted_name", record_fact(session->arena, last, "person_name", 0));
}

/* The night and what stands around it.  FALSE when files or record cannot be read. */
static gboolean show_night(View *view, const Desk *desk, const Request *request, Session *session, const Case *file,
                           Answer *answer)
{
    int nights;
    NightRequest people;
    Night *night;
    if (!gather_shown(desk, request, session, &nights, &people, &night, answer) ||
        !tonight_show_last(view, desk, request, session, file, nights, answer))
        return FALSE;
    Day evening = tonight_evening(session, file, nights);
    view_text(view, "evening", weekday_name(day_weekday(evening)));
    view_text(view, "morning", weekday_name(day_weekday(evening + 1)));
    view_flag(view, "anybody", night && night->rows->len > 0);
    view_flag(view, "listed", (night && night->rows->len > 0) || *request_field(request, "since") != '\0');
    tonight_show_changes(view, session, file, evening, request_field(request, "since"));
    show_stopped(view, people.stopped);
    show_cancelled(view, people.cancelled);
    show_noted(view, request, session, file);
    if (!night)
        return TRUE;
    show_rows(view, session->arena, night);
    show_alike(view, night);
    tonight_show_strip(view, session->arena, night, NULL);
    if (night->next)
        tonight_show_row(view_add(view, "next"), session->arena, night, night->next);
    return TRUE;
}

void story_tonight(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    if (!page_clinic(desk, request, session, &file, answer))
        return;
    page_is_for_all(answer);
    View *view = page_view(request, session, file.clinic);
    view_flag(view, "at_tonight", TRUE);
    view_flag(view, "still", *request_field(request, "still") != '\0');
    if (show_night(view, desk, request, session, &file, answer))
        page_show(desk, view, "tonight", answer);
}

/* ---- the page for the wall ---- */

void story_wall(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    int nights;
    NightRequest people;
    Night *night;
    Case file;
    Diagnostics *found = diagnostics_new(session->arena);
    ink_prepare();
    if (!page_clinic(desk, request, session, &file, answer) ||
        !gather_shown(desk, request, session, &nights, &people, &night, answer))
        return;
    answer->keeps = KEEPS_NOT;
    if (!night) {
        page_go(answer, "/");
        return;
    }
    g_autoptr(GBytes) bytes = evening_pdf(session, night, &people, found);
    ink_prepared();
    if (!bytes) {
        diagnostics_append(session->all, found);
        page_said(desk, request, session, answer);
        return;
    }
    gsize length;
    const char *data = g_bytes_get_data(bytes, &length);
    CalendarDate date = day_date(night->evening);
    g_free(answer->type);
    answer->type = g_strdup("application/pdf");
    answer->file = g_strdup_printf("night-%04d-%02d-%02d.pdf", date.year, date.month, date.day);
    g_string_append_len(answer->body, data, (gssize)length);
}
