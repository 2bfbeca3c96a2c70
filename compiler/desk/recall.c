/* desk_recall: what sheets rest on is called back: first who has one, then, at the second press, the
 * record, the new sheets, and what to say to each of them. */
#include <string.h>

#include "desk/stories.h"
#include "drawing/drawing.h"

typedef struct Recall {
    const Request *request;
    Session *session;
    Case file;
    Record *record;
    RecordRecall kind;
    const char *what, *because, *instead;
    View *view;
} Recall;

static gboolean set_up(Recall *recall, const Desk *desk, const Request *request, Answer *answer)
{
    *recall = (Recall){.request = request, .session = page_session(desk), .what = request_field(request, "what"),
                       .because = request_field(request, "because"), .instead = request_field(request, "instead")};
    if (!page_clinic(desk, request, recall->session, &recall->file, answer))
        return FALSE;
    if (!commands_record(recall->session, &recall->file, &recall->record)) {
        page_said(desk, request, recall->session, answer);
        return FALSE;
    }
    recall->view = page_view(request, recall->session, recall->file.clinic);
    view_flag(recall->view, "at_worklist", TRUE);
    return TRUE;
}

static void show_form(const Recall *recall)
{
    const char *chosen = request_field(recall->request, "kind");
    for (int kind = 0; kind < RECALL_KINDS; kind++) {
        const char *word = record_recall_word((RecordRecall)kind);
        View *one = view_add(recall->view, "kinds");
        view_text(one, "kind", word);
        view_flag(one, "chosen", *chosen ? strcmp(word, chosen) == 0 : kind == RECALL_LOT);
    }
    view_text(recall->view, "what_value", recall->what);
    view_text(recall->view, "because_value", recall->because);
    view_text(recall->view, "instead_value", recall->instead);
}

void story_recall(const Desk *desk, const Request *request, Answer *answer)
{
    Recall recall;
    if (!set_up(&recall, desk, request, answer))
        return;
    show_form(&recall);
    page_show(desk, recall.view, "recall", answer);
}

/* ---- who has one ---- */

static void show_people(const Recall *recall, const GPtrArray *sheets)
{
    Arena *arena = recall->session->arena;
    for (guint i = 0; i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        View *one = view_add(recall->view, "people");
        view_text(one, "code", sheet->person);
        view_text(one, "name", record_fact(arena, sheet, "person_name", 0));
        view_text(one, "phone", record_fact(arena, sheet, "phone", 0));
        view_text(one, "time", commands_sheet_time(recall->session, recall->file.clinic, sheet, 1));
        view_format(one, "number", "%" G_GINT64_FORMAT, sheet->number);
    }
    view_format(recall->view, "count", "%u", sheets->len);
    view_flag(recall->view, "one", sheets->len == 1);
    view_flag(recall->view, "looked", TRUE);
}

static const char *fault_of(Recall *recall)
{
    if (!recall->record)
        return "no_record";
    if (!record_recall_find(request_field(recall->request, "kind"), &recall->kind) || !*recall->what)
        return "no_thing";
    return !*recall->because ? "no_reason" : NULL;
}

/* ---- what is said to each ---- */

/* The command's lines: one of a person, then, further in, what to say and what was printed. */
static void show_said(const Recall *recall)
{
    g_auto(GStrv) lines = g_strsplit(child_said(recall->session->arena), "\n", -1);
    View *person = NULL;
    for (char **line = lines; *line; line++) {
        gboolean within = **line == ' ' && person;
        g_strstrip(*line);
        if (!**line || g_str_has_prefix(*line, "then: "))
            continue;
        gboolean says = g_str_has_prefix(*line, "say: ");
        if (!within && strstr(*line, ": holds sheet ")) {
            person = view_add(recall->view, "told");
            view_text(person, "who_line", *line);
            view_text(person, "code", arena_copy_length(recall->session->arena, *line, strcspn(*line, ",")));
        } else if (within) {
            view_text(view_add(person, says ? "words" : "notes"), "line", *line + (says ? strlen("say: ") : 0));
        } else {
            view_text(view_add(recall->view, "lines"), "line", *line);
        }
    }
}

static void call_back(Recall *recall, const Desk *desk, Answer *answer)
{
    const char *words[] = {request_field(recall->request, "kind"), recall->what, recall->because, NULL};
    Session *session = recall->session;
    session->options.words = (char **)words;
    session->options.by = recall->request->who;
    session->options.instead = *recall->instead ? (char *)recall->instead : NULL;
    session->options.out = g_build_filename(desk->clinic, DESK_SHEETS, NULL);
    int status = command_recall(session);
    view_flag(recall->view, "done", status != EXIT_SYSTEM && status != EXIT_USAGE);
    view_flag(recall->view, "refused", status == EXIT_SYSTEM || status == EXIT_USAGE);
    view_flag(recall->view, "some_missing", status == EXIT_FINDINGS);
    if (status == EXIT_SYSTEM || status == EXIT_USAGE)
        answer->status = 422;
    show_said(recall);
    show_form(recall);
    page_show(desk, recall->view, "recall", answer);
}

static void look(Recall *recall, const Desk *desk, Answer *answer)
{
    GError *error = NULL;
    const GPtrArray *sheets = record_resting_on(recall->record, recall->kind, recall->what, recall->session->now,
                                                &error);
    if (!sheets) {
        commands_system_error(error);
        page_said(desk, recall->request, recall->session, answer);
        return;
    }
    show_people(recall, sheets);
    show_form(recall);
    view_text(recall->view, "kind_value", request_field(recall->request, "kind"));
    page_show(desk, recall->view, "recall", answer);
}

void story_call_back(const Desk *desk, const Request *request, Answer *answer)
{
    Recall recall;
    if (!set_up(&recall, desk, request, answer))
        return;
    const char *fault = fault_of(&recall);
    if (fault) {
        view_flag(recall.view, fault, TRUE);
        answer->status = 422;
        show_form(&recall);
        page_show(desk, recall.view, "recall", answer);
    } else if (*request_field(request, "sure")) {
        call_back(&recall, desk, answer);
    } else {
        look(&recall, desk, answer);
    }
}
