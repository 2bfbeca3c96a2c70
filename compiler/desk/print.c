/* desk_print: a person's sheets: drawn to be looked at, printed through the record, moved,
 * cancelled; each by the command's own function. */
#include <string.h>

#include "desk/person.h"
#include "drawing/drawing.h"
#include "output/output.h"

#define PREVIEW_WIDTH 1000 /* pixels */

/* ---- looking ---- */

/* The sheets as marked drafts, as their files; NULL when something stops them. */
static GPtrArray *draw(Person *person)
{
    GPtrArray *files = NULL;
    if (!person->file.source)
        return NULL;
    ink_prepare();
    int status = sheet_preview(person->session, person->file.path, &files);
    ink_prepared();
    return status == EXIT_FINE ? files : NULL;
}

static void take_bytes(Answer *answer, const char *type, GBytes *bytes)
{
    gsize length;
    const char *data = g_bytes_get_data(bytes, &length);
    g_free(answer->type);
    answer->type = g_strdup(type);
    g_string_append_len(answer->body, data, (gssize)length);
}

static void not_here(const Desk *desk, const Request *request, Answer *answer)
{
    Request none = *request;
    none.notice = "not_here";
    story_notice(desk, &none, answer);
}

void story_page(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    g_autoptr(GError) error = NULL;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    page_is_for_all(answer);
    const GPtrArray *files = draw(&person);
    const PublishFile *file = files && files->len > 0 ? g_ptr_array_index(files, 0) : NULL;
    GBytes *page = file ? output_picture(file->bytes, 0, PREVIEW_WIDTH, &error) : NULL;
    if (page)
        take_bytes(answer, "image/png", page);
    else
        not_here(desk, request, answer);
}

void story_draft(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    page_is_for_all(answer);
    const GPtrArray *files = draw(&person);
    if (!files || files->len == 0) {
        not_here(desk, request, answer);
        return;
    }
    const PublishFile *file = g_ptr_array_index(files, 0);
    take_bytes(answer, "application/pdf", file->bytes);
    answer->file = g_strdup(file->name);
}

/* A sheet that was printed here: a plain file of the one folder. */
void story_sheet(const Desk *desk, const Request *request, Answer *answer)
{
    g_autofree char *path = g_build_filename(desk->clinic, DESK_SHEETS, request->argument, NULL);
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    g_autoptr(GError) error = NULL;
    if (!g_str_has_suffix(path, ".pdf") || g_file_test(path, G_FILE_TEST_IS_SYMLINK) ||
        source_read_bytes(path, DESK_SHEET_LIMIT, bytes, &error) != SOURCE_READ) {
        not_here(desk, request, answer);
        return;
    }
    g_free(answer->type);
    answer->type = g_strdup("application/pdf");
    answer->file = g_strdup(request->argument);
    g_string_append_len(answer->body, (const char *)bytes->data, bytes->len);
}

/* ---- printing ---- */

static void ask(Session *session, const Person *person, const char *first, const char *second)
{
    const char *words[] = {first, second, NULL};
    session->options.words = g_strdupv((char **)words);
    session->options.out = g_build_filename(person->desk->clinic, DESK_SHEETS, NULL);
    session->options.by = person->request->who;
}

/* What was said to a terminal stands above the page, findings at their fields. */
static void show_refusal(Person *person, const char *why, Answer *answer)
{
    Diagnostics *said = person->session->all;
    view_text(person->view, "said", child_said(person->session->arena));
    view_flag(person->view, why, TRUE);
    person_judge(person);
    if (person->judged && diagnostics_count(said) > 0) /* of the file as it was tried */
        person->own.diagnostics = said;
    answer->status = 422;
    person_show(person, answer);
}

void story_print(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    Session *session = person.session;
    if (strcmp(request_field(request, "digest"), person.file.digest) != 0) {
        show_refusal(&person, "changed_before_print", answer);
        return;
    }
    ask(session, &person, person.file.path, NULL);
    session->options.replace = *request_field(request, "replace") != '\0';
    if (command_sheet(session) == EXIT_FINE) {
        person_forget_before(&person);
        page_go(answer, "/person/%s?printed=1", person.file.code);
    } else {
        show_refusal(&person, "not_printed", answer);
    }
}

/* ---- moved, cancelled ---- */

static const RecordSheet *counting(const Person *person)
{
    const GPtrArray *sheets = person->record ? record_of_person(person->record, person->file.code, NULL) : NULL;
    for (guint i = sheets ? sheets->len : 0; i > 0; i--)
        if (((const RecordSheet *)g_ptr_array_index(sheets, i - 1))->state == RECORD_IS_VALID)
            return g_ptr_array_index(sheets, i - 1);
    return NULL;
}

/* The lines of what a command says that are to be said to the person. */
static void show_words(Person *person)
{
    g_auto(GStrv) lines = g_strsplit(child_said(person->session->arena), "\n", -1);
    for (char **line = lines; *line; line++)
        if (g_str_has_prefix(g_strstrip(*line), "say: "))
            view_text(view_add(person->view, "words"), "line", *line + strlen("say: "));
}

void person_say_new(Person *person)
{
    const RecordSheet *new = counting(person);
    const RecordSheet *old = new && new->replaces > 0 ? record_sheet(person->record, new->replaces, NULL) : NULL;
    if (!old)
        return;
    changes_say_new(person->session, person->clinic.clinic, old, new);
    show_words(person);
    person_say_theirs(person, new);
}

static void show_done(Person *person, const char *what, Answer *answer)
{
    person_forget_before(person);
    view_flag(person->view, what, TRUE);
    show_words(person);
    person_judge(person);
    gboolean moved = strcmp(what, "moved") == 0;
    view_flag(person->view, "on_paper", moved);
    person_say_theirs(person, moved ? counting(person) : NULL);
    person_show(person, answer);
}

static void show_times(Person *person, const RecordSheet *sheet)
{
    for (guint i = 0; person->plan && i < person->plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(person->plan->injections, i);
        if (!injection->timed || injection->acts->len == 0)
            continue;
        const Act *act = g_ptr_array_index(injection->acts, 0);
        View *one = view_add(person->view, "moving_times");
        view_text(one, "injection", injection->order->name.text);
        view_format(one, "is_now", "%s, %s", page_day(person->session->arena, person->clinic.clinic, act->at.instant),
                    page_clock(person->session->arena, person->clinic.clinic, act->at.instant));
        view_text(one, "was", !sheet ? NULL
                                     : commands_sheet_time(person->session, person->clinic.clinic, sheet, (int)i + 1));
    }
}

/* As it would be.  Until the second button nothing has changed, so there is nothing to undo. */
static void look_at_move(Person *person, Answer *answer)
{
    const char *text = NULL;
    if (move_look(person->session, &text) != EXIT_FINE) {
        show_refusal(person, "not_moved", answer);
        return;
    }
    person_try_text(person, text);
    view_flag(person->view, "moving", TRUE);
    show_times(person, counting(person));
    person_show_look(person, 1);
    person_show(person, answer);
}

void story_move(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    person_learn(&person, request);
    const char *day = person_file_takes(&person.file, request, "day");
    const char *hour = person_file_takes(&person.file, request, "hour");
    const char *time = arena_format(person.session->arena, "%s%s%s", day, *day ? " " : "", hour);
    view_text(person.view, "move_day", day);
    view_text(person.view, "move_hour", hour);
    ask(person.session, &person, person.file.path, time);
    if (!*request_field(request, "print"))
        look_at_move(&person, answer);
    else if (command_move(person.session) == EXIT_FINE)
        show_done(&person, "moved", answer);
    else
        show_refusal(&person, "not_moved", answer);
}

/* An address names a person, and the form a sheet: it may be another's. */
static gboolean is_theirs(const Person *person, const char *number)
{
    const GPtrArray *sheets = person->record ? record_of_person(person->record, person->file.code, NULL) : NULL;
    for (guint i = 0; sheets && i < sheets->len; i++) {
        g_autofree char *one = g_strdup_printf("%" G_GINT64_FORMAT,
                                               ((const RecordSheet *)g_ptr_array_index(sheets, i))->number);
        if (strcmp(one, number) == 0)
            return TRUE;
    }
    commands_usage("sheet %s is none of %s", number, person->file.code);
    return FALSE;
}

void story_cancel(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    ask(person.session, &person, request_field(request, "sheet"), request_field(request, "because"));
    view_text(person.view, "cancel_because", request_field(request, "because"));
    if (!*request_field(request, "sure")) {
        view_flag(person.view, "cancelling", TRUE);
        person_judge(&person);
        person_show(&person, answer);
        return;
    }
    view_text(person.view, "cancelled_sheet", request_field(request, "sheet"));
    if (is_theirs(&person, request_field(request, "sheet")) && command_cancel(person.session) == EXIT_FINE)
        show_done(&person, "cancelled", answer);
    else
        show_refusal(&person, "not_cancelled", answer);
}
