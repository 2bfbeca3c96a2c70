/* desk_page: what the pages share. */
#include <string.h>

#include "desk/stories.h"

Session *page_session(const Desk *desk)
{
    Arena *arena = arena_new(); /* ends with the child */
    Session *session = arena_new0(arena, Session);
    const Options *base = &desk->base->options;
    *session = (Session){.arena = arena, .format = FINDINGS_SARIF, .now = desk->base->now, .glance = desk->glance};
    session->options = (Options){.clinic = (char *)desk->clinic, .now = base->now, .templates = base->templates};
    if (!base->now)
        session->now = g_get_real_time() / G_USEC_PER_SEC;
    session->all = diagnostics_new(arena); /* findings are collected there, whoever raises them */
    session->loader = loader_new(arena, desk->clinic);
    session->alike = alike_new(); /* ends with the child */
    return session;
}

char *page_clock(Arena *arena, const Clinic *clinic, Instant at)
{
    LocalTime local = zone_local(clinic->zone.zone, at, NULL);
    if (PRESENT(clinic->clock) && clinic->clock.value != Clock_TWELVE)
        return arena_format(arena, "%02d:%02d", local.minute / 60, local.minute % 60);
    if (local.minute % (12 * 60) == 0)
        return arena_copy(arena, local.minute == 0 ? "midnight" : "noon");
    if (local.minute % 60 == 0)
        return arena_format(arena, "%d %s", (local.minute / 60 + 11) % 12 + 1, local.minute < 12 * 60 ? "am" : "pm");
    return clock_text(arena, local.minute);
}

char *page_date(Arena *arena, const Clinic *clinic, Instant at)
{
    CalendarDate date = day_date(zone_local(clinic->zone.zone, at, NULL).day);
    return arena_format(arena, "%04d-%02d-%02d", date.year, date.month, date.day);
}

char *page_day(Arena *arena, const Clinic *clinic, Instant at)
{
    Day day = zone_local(clinic->zone.zone, at, NULL).day;
    return arena_format(arena, "%s %s", weekday_name(day_weekday(day)), page_date(arena, clinic, at));
}

static void show_phone(View *view, const char *name, const Clinic *clinic, const Phone *phone)
{
    if (!PRESENT(*phone) || !PRESENT(phone->number))
        return;
    View *one = view_add(view, name);
    view_text(one, "number", phone->number.text);
    view_text(one, "dial", PRESENT(phone->dial) ? phone->dial.text : NULL);
    view_text(one, "answers", clinic_saying(clinic, &phone->answers));
}

View *page_view(const Request *request, Session *session, const Clinic *clinic)
{
    View *view = view_new(session->arena);
    view_text(view, "who", request->who && request->mark ? request->mark : request->who);
    view_text(view, "token", request->token);
    view_flag(view, "named", request->named);
    view_flag(view, "inside", request->token && request->who);
    addresses_show(view, request->roles);
    if (!clinic)
        return view;
    view_text(view, "clinic", PRESENT(clinic->clinic) ? clinic->clinic.text : NULL);
    view_text(view, "demonstration", clinic_saying(clinic, &clinic->demonstration));
    if (PRESENT(clinic->zone)) {
        view_text(view, "as_at", page_clock(session->arena, clinic, session->now));
        view_text(view, "day", page_day(session->arena, clinic, session->now));
    }
    show_phone(view, "night_phone", clinic, &clinic->phones.night);
    show_phone(view, "emergency_phone", clinic, &clinic->phones.emergency);
    show_phone(view, "physician_phone", clinic,
               PRESENT(clinic->phones.physician) ? &clinic->phones.physician : &clinic->phones.second);
    view_flag(view, "record", PRESENT(clinic->record));
    return view;
}

/* The last resort: a template that cannot be read. */
static void show_plain(Answer *answer, const char *words)
{
    g_free(answer->type);
    answer->type = g_strdup("text/plain; charset=utf-8");
    answer->status = 500;
    g_string_assign(answer->body, words);
}

void page_show(const Desk *desk, const View *view, const char *template_name, Answer *answer)
{
    g_autoptr(GError) error = NULL;
    g_string_truncate(answer->body, 0);
    if (!view_render(view, desk->templates, template_name, answer->body, &error))
        show_plain(answer, error->message);
}

gboolean page_clinic(const Desk *desk, const Request *request, Session *session, Case *file, Answer *answer)
{
    if (commands_clinic(session, file) == EXIT_FINE) {
        const Text *record = &file->clinic->record; /* of a database nobody sees from outside when it changes */
        answer->keeps = request->post || (PRESENT(*record) && strstr(record->text, "://")) ? KEEPS_NOT : KEEPS_OWN;
        return TRUE;
    }
    page_said(desk, request, session, answer);
    return FALSE;
}

void page_is_for_all(Answer *answer)
{
    if (answer->keeps == KEEPS_OWN)
        answer->keeps = KEEPS_FOR_ALL;
}

/* What was entered, to be kept, sent again or copied. */
static void show_entered(View *view, const Request *request)
{
    for (guint i = 0; i < request->entered->len; i++) {
        const Entered *entered = g_ptr_array_index(request->entered, i);
        if (strcmp(entered->name, "token") == 0 || g_str_has_prefix(entered->name, PASSWORD_FIELD) ||
            !g_utf8_validate(entered->name, -1, NULL) || !g_utf8_validate(entered->value->str, -1, NULL))
            continue;
        View *one = view_add(view, "entered");
        view_text(one, "name", entered->name);
        view_text(one, "value", entered->value->str);
    }
}

void story_notice(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    View *view = page_view(request, session, NULL);
    view_flag(view, request->notice, TRUE);
    view_text(view, "path", request->path);
    view_flag(view, "again", request->token && (strcmp(request->notice, "sent_before") == 0 ||
                                               strcmp(request->notice, "not_sent") == 0));
    if (request->post)
        show_entered(view, request);
    answer->status = notice_status(request->notice);
    page_show(desk, view, "notice", answer);
}

void page_said(const Desk *desk, const Request *request, Session *session, Answer *answer)
{
    View *view = page_view(request, session, NULL);
    g_autoptr(GString) text = g_string_new(NULL);
    if (diagnostics_count(session->all) > 0)
        diagnostics_print(session->all, text, FALSE);
    view_format(view, "said", "%s%s", child_said(session->arena), text->str);
    view_text(view, "path", request->path);
    view_flag(view, "again", request->token != NULL); /* when there is room on the disk again, say */
    if (request->post)
        show_entered(view, request);
    answer->status = 500;
    page_show(desk, view, "said", answer);
}

void page_go(Answer *answer, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    answer->status = 303;
    answer->location = g_strdup_vprintf(format, facts);
    va_end(facts);
}
