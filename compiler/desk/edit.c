/* desk_edit: a protocol is written, tried, kept, accepted in parts and approved; each by the functions
 * of the commands, and with the digest of the text that was looked at. */
#include <string.h>

#include "desk/protocol.h"

/* Each key of a protocol, and each word that one of them may have: for whoever completes them. */
static void show_words(View *view, RecordId record, GHashTable *told)
{
    RecordRow row = record_row(record);
    for (guint i = 0; i < row.count; i++) {
        const FieldRow *field = &row.fields[i];
        RecordId inner = field_record(field);
        if (g_hash_table_add(told, (gpointer)field->key)) {
            View *one = view_add(view, "words");
            view_text(one, "word", field->key);
            view_text(one, "meaning", field->description);
        }
        guint count = 0;
        guint first = kind_row(field->kind)->item == AS_CHOICE ? choice_first((ChoiceList)field->argument, &count) : 0;
        for (guint k = first; k < first + count; k++)
            if (g_hash_table_add(told, (gpointer)choice_word((ChoiceWord)k)))
                view_text(view_add(view, "words"), "word", choice_word((ChoiceWord)k));
        if (inner != RECORD_COUNT && inner != RECORD_Approval)
            show_words(view, inner, told);
    }
}

static void show_editor(ProtocolPage *page, const char *text, Answer *answer)
{
    protocol_show(page);
    view_text(page->view, "text", text);
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    show_words(page->view, RECORD_Protocol, told);
    const char *digest = request_field(page->request, "digest");
    view_text(page->view, "digest", *digest ? digest : page->file.digest);
    page_show(page->desk, page->view, "protocol_edit", answer);
}

void story_edit(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    if (!protocol_open(&page, desk, request, answer))
        return;
    protocol_judge(&page, NULL);
    show_editor(&page, page.file.source->text, answer);
}

/* What was typed ends with a line's end, as files do. */
static char *typed_text(const ProtocolPage *page)
{
    return arena_format(page->session->arena, "%s\n", request_field(page->request, "text"));
}

void story_try(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    if (!protocol_open(&page, desk, request, answer))
        return;
    char *text = typed_text(&page);
    protocol_judge(&page, text);
    view_flag(page.view, "tried", TRUE);
    show_editor(&page, text, answer);
}

/* A full disk, say: the editor comes back with all that was typed; another form as a list. */
static void not_written(ProtocolPage *page, const char *text, gboolean editor, Answer *answer)
{
    if (!editor) {
        page_said(page->desk, page->request, page->session, answer);
        return;
    }
    view_text(page->view, "not_written", child_said(page->session->arena));
    answer->status = 500;
    protocol_judge(page, text);
    show_editor(page, text, answer);
}

/* FALSE when it was not written: the answer then says why. */
static gboolean write_text(ProtocolPage *page, const char *text, gboolean editor, Answer *answer)
{
    GError *error = NULL;
    gboolean taken = FALSE;
    if (!person_file_write(&page->file, request_field(page->request, "digest"), text, &taken, &error)) {
        commands_system_error(error);
        not_written(page, text, editor, answer);
        return FALSE;
    }
    if (!taken)
        return TRUE;
    answer->status = 409;
    view_flag(page->view, "changed_meanwhile", TRUE);
    protocol_judge(page, editor ? text : NULL);
    if (editor)
        show_editor(page, text, answer);
    else
        protocol_read(page, answer);
    return FALSE;
}

void story_keep_protocol(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    if (!protocol_open(&page, desk, request, answer))
        return;
    if (write_text(&page, typed_text(&page), TRUE, answer))
        page_go(answer, "/protocol/%s?saved=1", page.file.code);
}

static void refuse(ProtocolPage *page, const char *why, Answer *answer)
{
    protocol_judge(page, NULL);
    view_flag(page->view, why, TRUE);
    answer->status = 422;
    protocol_read(page, answer);
}

void story_accept_protocol(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    if (!protocol_open(&page, desk, request, answer))
        return;
    const char *item = page.file.root ? acceptance_item(page.session, page.clinic.clinic, request) : NULL;
    if (!item)
        refuse(&page, "no_reason", answer);
    else if (write_text(&page, person_file_accepting(&page.file, item), FALSE, answer))
        page_go(answer, "/protocol/%s?saved=1", page.file.code);
}

/* ---- approving ---- */

/* The file is the one that was read on the page. */
static gboolean is_same(const ProtocolPage *page)
{
    return strcmp(request_field(page->request, "digest"), page->file.digest) == 0;
}

void story_approve(const Desk *desk, const Request *request, Answer *answer)
{
    ProtocolPage page;
    const char *text = NULL;
    if (!protocol_open(&page, desk, request, answer))
        return;
    Session *session = page.session;
    const char *words[] = {page.file.path, NULL};
    if (!is_same(&page)) {
        refuse(&page, "changed_meanwhile", answer);
    } else if (!*request_field(request, "read")) {
        refuse(&page, "not_read", answer);
    } else if (!page_proves(desk, request, answer)) {
        refuse(&page, "wrong_password", answer);
    } else {
        session->loader = loader_new(session->arena, desk->clinic);
        session->options.words = (char **)words;
        session->options.by = request->who;
        session->options.review_by = (char *)request_field(request, "review_by");
        int status = approve_text(session, &text);
        if (status != EXIT_FINE) {
            view_text(page.view, "said", child_said(session->arena));
            refuse(&page, "not_approved", answer);
        } else if (write_text(&page, text, FALSE, answer)) {
            page_go(answer, "/protocol/%s?approved=1", page.file.code);
        }
    }
}
