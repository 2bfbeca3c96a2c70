/* desk_protocol: a protocol as a physician reads it: how it stands, its text with the findings at
 * their lines, the sheet that it makes, and what another one does differently. */
#include "desk/protocol.h"

#include <string.h>

#include "rules/rules.h"

static void not_here(const Desk *desk, const Request *request, Answer *answer)
{
    Request none = *request;
    none.notice = "not_here";
    story_notice(desk, &none, answer);
}

static gboolean read_file(ProtocolPage *page, GError **error)
{
    Arena *arena = page->session->arena;
    PersonFile *file = &page->file;
    *file = (PersonFile){.arena = arena, .code = page->request->argument, .digest = "",
                         .path = arena_format(arena, "%s/protocols/%s.yaml", page->desk->clinic,
                                              page->request->argument)};
    if (!g_file_test(file->path, G_FILE_TEST_IS_REGULAR))
        return TRUE;
    if (source_read(arena, file->path, SYNTAX_FILE_LIMIT, &file->source, error) == SOURCE_UNREADABLE)
        return FALSE;
    g_autofree char *digest = digest_hex(file->source->text, file->source->length);
    file->digest = arena_copy(arena, digest);
    file->root = syntax_parse(arena, file->source, diagnostics_new(arena));
    return TRUE;
}

gboolean protocol_open(ProtocolPage *page, const Desk *desk, const Request *request, Answer *answer)
{
    GError *error = NULL;
    *page = (ProtocolPage){.desk = desk, .request = request, .session = page_session(desk)};
    if (!page_clinic(desk, request, page->session, &page->clinic, answer))
        return FALSE;
    page->view = page_view(request, page->session, page->clinic.clinic);
    view_flag(page->view, "at_protocols", TRUE);
    view_flag(page->view, "asks_password", request->named);
    if (!read_file(page, &error)) {
        commands_system_error(error);
        page_said(desk, request, page->session, answer);
        return FALSE;
    }
    if (!page->file.source)
        not_here(desk, request, answer);
    return page->file.source != NULL;
}

void protocol_judge(ProtocolPage *page, const char *text)
{
    Session *session = page->session;
    session->loader = loader_new(session->arena, page->desk->clinic);
    if (text) {
        loader_put(session->loader, page->file.path, text);
        page->file.source = source_from_text(session->arena, page->file.path, text, strlen(text));
    }
    if (!commands_judge(session, page->file.path, &page->own, &page->plan))
        page->own = (Case){.diagnostics = diagnostics_new(session->arena)};
    const Protocol *protocol = page->own.protocol;
    if (protocol && PRESENT(protocol->revision))
        page->kept = loader_kept_before(session->arena, page->desk->clinic, page->file.code, protocol->revision.value,
                                        LOADER_ANY_DAY);
}

/* ---- how it stands ---- */

static void show_findings(ProtocolPage *page)
{
    Diagnostics *found = page->own.diagnostics;
    guint stops = diagnostics_open(found, SEVERITY_ERROR), waits = diagnostics_open(found, SEVERITY_WARNING);
    diagnostics_sort(found);
    for (guint i = 0; i < diagnostics_count(found); i++) {
        const Finding *finding = diagnostics_at(found, i);
        Place place = finding_place(finding);
        gboolean here = place.source && strcmp(place.source->name, page->file.path) == 0;
        if (!here)
            finding_show(view_add(page->view, "elsewhere"), page->session->arena, finding);
        if (finding_severity(finding) == SEVERITY_NOTE || finding_accepted(finding))
            continue;
        View *line = view_add(page->view, "summary");
        finding_show(line, page->session->arena, finding);
        view_format(line, "n", "%u", i);
        view_format(line, "at", here ? "line-%d" : "elsewhere", place_line(place));
    }
    view_format(page->view, "stops", "%u", stops);
    view_format(page->view, "waits", "%u", waits);
    view_flag(page->view, "any_stop", stops > 0);
    view_flag(page->view, "any_wait", waits > 0);
    view_flag(page->view, "approvable", stops == 0 || rules_draft_only(found));
}

static void show_day(View *view, const char *name, const Date *date)
{
    if (!PRESENT(*date))
        return;
    CalendarDate day = day_date(date->day);
    view_format(view, name, "%04d-%02d-%02d", day.year, day.month, day.day);
}

static void show_standing(View *view, const Case *file, const char *name)
{
    const Protocol *protocol = file->protocol;
    view_text(view, "name", name);
    if (!protocol)
        return;
    view_text(view, "protocol_title", clinic_saying(file->clinic, &protocol->title));
    if (PRESENT(protocol->revision))
        view_format(view, "revision", "%" G_GINT64_FORMAT, protocol->revision.value);
    view_text(view, "counts_from", PRESENT(protocol->anchor) ? choice_word(protocol->anchor.value) : NULL);
    view_text(view, "author", PRESENT(protocol->author) ? protocol->author.text : NULL);
    const Approval *approval = &protocol->approval;
    gboolean open = FALSE;
    for (guint i = 0; i < diagnostics_count(file->diagnostics); i++) {
        RuleId rule = finding_rule(diagnostics_at(file->diagnostics, i));
        open |= rule == RULE_not_approved || rule == RULE_seal_broken || rule == RULE_review_overdue;
    }
    view_flag(view, "approved", PRESENT(*approval) && !open);
    if (!PRESENT(*approval))
        return;
    view_text(view, "approved_by", PRESENT(approval->by) ? approval->by.text : NULL);
    show_day(view, "approved_on", &approval->on);
    show_day(view, "review_by", &approval->review_by);
}

void protocol_show(ProtocolPage *page)
{
    show_standing(page->view, &page->own, page->file.code);
    show_findings(page);
    protocol_show_lines(page);
    view_text(page->view, "digest", page->file.digest);
}

/* ---- all of them ---- */

static void show_one(View *view, Session *session, const char *path)
{
    Case file;
    Plan *plan;
    g_autofree char *name = g_path_get_basename(path);
    name[strlen(name) - strlen(".yaml")] = '\0';
    if (!commands_judge(session, path, &file, &plan))
        return;
    show_standing(view, &file, name);
    view_format(view, "stops", "%u", diagnostics_open(file.diagnostics, SEVERITY_ERROR));
    view_format(view, "waits", "%u", diagnostics_open(file.diagnostics, SEVERITY_WARNING));
    view_flag(view, "stop", diagnostics_open(file.diagnostics, SEVERITY_ERROR) > 0);
    view_flag(view, "wait", diagnostics_stops(file.diagnostics));
}

static GPtrArray *all_paths(const Session *session, const Desk *desk)
{
    GPtrArray *paths = arena_list(session->arena), *fit = arena_list(session->arena);
    g_autofree char *folder = g_build_filename(desk->clinic, "protocols", NULL);
    loader_list(session->arena, folder, paths, NULL);
    for (guint i = 0; i < paths->len; i++)
        if (g_str_has_suffix(g_ptr_array_index(paths, i), ".yaml"))
            g_ptr_array_add(fit, g_ptr_array_index(paths, i));
    return fit;
}

GPtrArray *protocol_names(Arena *arena, const Desk *desk)
{
    const Session session = {.arena = arena};
    const GPtrArray *paths = all_paths(&session, desk);
    GPtrArray *names = arena_list(arena);
    for (guint i = 0; i < paths->len; i++) {
        g_autofree char *name = g_path_get_basename(g_ptr_array_index(paths, i));
        g_ptr_array_add(names, arena_copy_length(arena, name, strlen(name) - strlen(".yaml")));
    }
    return names;
}

void story_protocols(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    if (!page_clinic(desk, request, session, &file, answer))
        return;
    View *view = page_view(request, session, file.clinic);
    view_flag(view, "at_protocols", TRUE);
    const GPtrArray *paths = all_paths(session, desk);
    for (guint i = 0; i < paths->len; i++)
        show_one(view_add(view, "protocols"), session, g_ptr_array_index(paths, i));
    page_show(desk, view, "protocols", answer);
}

/* ---- one, to be read ---- */

/* The approved text before it, and what colleagues do. */
static void show_others(ProtocolPage *page, const char *against)
{
    const GPtrArray *paths = all_paths(page->session, page->desk);
    for (guint i = 0; i < paths->len; i++) {
        g_autofree char *name = g_path_get_basename(g_ptr_array_index(paths, i));
        name[strlen(name) - strlen(".yaml")] = '\0';
        if (strcmp(name, page->file.code) == 0)
            continue;
        View *one = view_add(page->view, "others");
        view_text(one, "other", name);
        view_flag(one, "chosen", strcmp(name, against) == 0);
    }
    view_flag(page->view, "kept", page->kept != NULL);
}

/* What differs for the person, in the words of "compare". */
static void show_difference(ProtocolPage *page, const char *list, const char *other)
{
    const char *words[] = {other, page->file.path, NULL};
    Session *session = page->session;
    gsize before = strlen(child_said(session->arena));
    session->options.words = (char **)words;
    command_compare(session);
    session->options.words = NULL;
    g_autoptr(GString) said = g_string_new(child_said(session->arena) + before);
    g_autofree char *place = g_strconcat("(", page->file.path, ":", NULL);
    g_string_replace(said, place, "(line ", 0); /* the file is the one on the page */
    g_auto(GStrv) lines = g_strsplit(said->str, "\n", -1);
    for (char **line = lines; *line; line++)
        if (**line) {
            View *one = view_add(page->view, list);
            view_flag(one, "within", **line == ' ');
            view_text(one, "line", g_strstrip(*line));
        }
}

void protocol_read(ProtocolPage *page, Answer *answer)
{
    const char *against = request_field(page->request, "against");
    const GPtrArray *paths = all_paths(page->session, page->desk);
    protocol_show(page);
    show_others(page, against);
    for (guint i = 0; *against && i < paths->len; i++) {
        g_autofree char *file = g_strconcat(against, ".yaml", NULL);
        g_autofree char *name = g_path_get_basename(g_ptr_array_index(paths, i));
        if (strcmp(name, file) == 0)
            show_difference(page, "differs", g_ptr_array_index(paths, i));
    }
    view_text(page->view, "against", against);
    if (page->kept)
        show_difference(page, "changes", page->kept);
    int number = (int)g_ascii_strtoll(request_field(page->request, "page"), NULL, 10);
    view_format(page->view, "page", "%d", CLAMP(number, 1, 20));
    view_format(page->view, "next_page", "%d", CLAMP(number, 1, 20) + 1);
    view_flag(page->view, "later_page", number > 1);
    view_text(page->view, "on", request_field(page->request, "on"));
    view_text(page->view, "clock", request_field(page->request, "clock"));
    view_text(page->view, "today", page_date(page->session->arena, page->clinic.clinic, page->session->now));
    page_show(page->desk, page->view, "protocol", answer);
}

void story_protocol(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    if (!protocol_open(&page, desk, request, answer))
        return;
    protocol_judge(&page, NULL);
    view_flag(page.view, "saved", *request_field(request, "saved") != '\0');
    view_flag(page.view, "approved_now", *request_field(request, "approved") != '\0');
    protocol_read(&page, answer);
}

void story_protocol_page(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    if (!protocol_open(&page, desk, request, answer))
        return;
    protocol_judge(&page, NULL);
    int number = (int)g_ascii_strtoll(request_field(request, "page"), NULL, 10);
    g_autoptr(GBytes) picture = protocol_look(&page, CLAMP(number, 1, 20));
    if (!picture) {
        not_here(desk, request, answer);
        return;
    }
    gsize length;
    const char *data = g_bytes_get_data(picture, &length);
    g_free(answer->type);
    answer->type = g_strdup("image/png");
    g_string_append_len(answer->body, data, (gssize)length);
}
