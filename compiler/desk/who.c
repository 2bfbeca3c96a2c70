/* desk_who: who is at the desk.  Where nobody has a password, on this machine alone, a name is what it
 * is with --by: said, and written beside all that is noted.  Elsewhere people sign in. */
#include <string.h>
#include <unistd.h>

#include "desk/staff.h"
#include "desk/stories.h"

/* ---- by name and password ---- */

/* Where to go when somebody is in, as the browser wanted to: nothing but a page of the desk. */
static gboolean is_page(const char *wanted)
{
    gsize length = strcspn(wanted, "?");
    g_autofree char *path = g_strndup(wanted, length), *argument = NULL;
    gboolean known;
    for (const char *at = wanted; *at; at++)
        if (!g_ascii_isgraph(*at))
            return FALSE;
    const Address *address = address_find(path, FALSE, &argument, &known);
    return address && address->story != story_who;
}

static char *wanted_page(const Request *request)
{
    GString *page = g_string_new(request->path);
    for (guint i = 0; i < request->entered->len; i++) {
        const Entered *one = g_ptr_array_index(request->entered, i);
        g_autofree char *name = g_uri_escape_string(one->name, NULL, FALSE);
        g_autofree char *value = g_uri_escape_string(one->value->str, NULL, FALSE);
        g_string_append_printf(page, "%c%s=%s", i == 0 ? '?' : '&', name, value);
    }
    return g_string_free(page, FALSE);
}

static gboolean is_secret(const char *name)
{
    return strcmp(name, "token") == 0 || g_str_has_prefix(name, PASSWORD_FIELD);
}

/* A form that came too late or too early waits in the page that signs in. */
static void show_waiting(View *view, const Request *request)
{
    gboolean waits = strcmp(request->path, "/who") == 0; /* it waits already */
    const char *path = waits ? request_field(request, DESK_TYPED_PATH) : request->path;
    if (!request->post || !*path)
        return;
    view_text(view_add(view, "waiting"), "path", path);
    for (guint i = 0; i < request->entered->len; i++) {
        const Entered *one = g_ptr_array_index(request->entered, i);
        if (is_secret(one->name) || g_str_has_prefix(one->name, DESK_TYPED) != waits)
            continue;
        View *typed = view_add(view, "typed");
        view_text(typed, "name", one->name + (waits ? strlen(DESK_TYPED) : 0));
        view_text(typed, "value", one->value->str);
    }
}

/* Nothing of the clinic is read for somebody who is not in. */
static void show_sign_in(const Desk *desk, const Request *request, Session *session, const char *why, guint status,
                         Answer *answer)
{
    View *view = page_view(request, session, NULL);
    gboolean asked = strcmp(request->path, "/who") == 0;
    g_autofree char *page = asked || request->post ? g_strdup(request_field(request, "then")) : wanted_page(request);
    if (why)
        view_flag(view, why, TRUE);
    view_text(view, "then", is_page(page) ? page : NULL);
    view_text(view, "name", request_field(request, "name"));
    show_waiting(view, request);
    answer->status = status;
    page_show(desk, view, "sign_in", answer);
}

static void sign_in(const Desk *desk, const Request *request, Session *session, Answer *answer)
{
    g_autoptr(GError) error = NULL;
    const char *name = request_field(request, "name"), *then = request_field(request, "then");
    Staff *staff = staff_read(desk->clinic, &error);
    const Named *named = staff ? staff_find(staff, name) : NULL;
    answer->proved = password_is(named, request_field(request, PASSWORD_FIELD));
    if (!answer->proved) {
        show_sign_in(desk, request, session, staff ? "wrong" : "no_people", 422, answer);
        return;
    }
    answer->who = g_strdup(name);
    page_go(answer, "%s", is_page(then) ? then : "/");
}

gboolean page_proves(const Desk *desk, const Request *request, Answer *answer)
{
    if (!desk->asks_names)
        return TRUE;
    Staff *staff = staff_read(desk->clinic, NULL);
    const Named *named = staff && request->who ? staff_find(staff, request->who) : NULL;
    answer->proved = password_is(named, request_field(request, PASSWORD_FIELD));
    return answer->proved;
}

void story_leave(const Desk *desk, const Request *request, Answer *answer)
{
    (void)desk, (void)request;
    answer->leaves = TRUE;
    page_go(answer, "/who");
}

/* Why the new password is not taken, as a flag of the page; NULL when it was kept. */
static const char *keep_password(const Desk *desk, const Request *request)
{
    const char *new = request_field(request, "password.new");
    g_autoptr(GError) error = NULL;
    int turn = publish_turn(desk->clinic);
    Staff *staff = staff_read(desk->clinic, &error);
    g_autofree char *hash = staff ? password_hash(new, &error) : NULL;
    gboolean kept = hash && staff_find(staff, request->who);
    if (kept) {
        staff_put(staff, request->who, 0, hash);
        kept = staff_write(staff, desk->clinic, &error);
    }
    staff_free(staff);
    if (turn >= 0)
        close(turn);
    if (error)
        terminal_say(stderr, "%s\n", error->message);
    return kept ? NULL : "not_kept";
}

/* ---- by what is said ---- */

static void show_people(View *view, const GPtrArray *names, const char *list)
{
    for (guint i = 0; names && i < names->len; i++) {
        const Text *name = g_ptr_array_index(names, i);
        if (PRESENT(*name))
            view_text(view_add(view, list), "name", name->text);
    }
}

static gboolean is_one_of(const GPtrArray *names, const char *name)
{
    for (guint i = 0; names && i < names->len; i++) {
        const Text *one = g_ptr_array_index(names, i);
        if (PRESENT(*one) && strcmp(one->text, name) == 0)
            return TRUE;
    }
    return FALSE;
}

static void show(const Desk *desk, const Request *request, Session *session, const Clinic *clinic, gboolean unknown,
                 Answer *answer)
{
    View *view = page_view(request, session, clinic);
    show_people(view, clinic->governance.nurses.items, "nurses");
    show_people(view, clinic->governance.physicians.items, "physicians");
    view_flag(view, "unknown", unknown);
    page_show(desk, view, "who", answer);
}

void story_password(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    const char *new = request_field(request, "password.new"), *why;
    if (!desk->asks_names || !page_clinic(desk, request, session, &file, answer))
        return;
    const char *fault = password_fault(new, request->who);
    if (!page_proves(desk, request, answer))
        why = "wrong";
    else if (fault || strcmp(new, request_field(request, "password.again")) != 0)
        why = "unfit";
    else
        why = keep_password(desk, request);
    if (!why) {
        answer->leaves = TRUE; /* as everywhere else where they are signed in */
        show_sign_in(desk, request, session, "changed", 200, answer);
        return;
    }
    View *view = page_view(request, session, file.clinic);
    view_flag(view, why, TRUE);
    view_text(view, "fault", fault ? fault : "the two new ones differ");
    view_text(view, "said", child_said(session->arena));
    answer->status = 422;
    page_show(desk, view, "signed_in", answer);
}

/* The page for somebody who is in. */
static void show_signed_in(const Desk *desk, const Request *request, Session *session, Answer *answer)
{
    Case file;
    if (page_clinic(desk, request, session, &file, answer))
        page_show(desk, page_view(request, session, file.clinic), "signed_in", answer);
}

void story_who(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    if (request->named) {
        show_signed_in(desk, request, session, answer);
        return;
    }
    if (desk->asks_names) {
        gboolean asked = !request->post && strcmp(request->path, "/who") == 0;
        gboolean guessing = g_strcmp0(request->notice, "guessing") == 0;
        show_sign_in(desk, request, session, request->notice, guessing ? 429 : asked ? 200 : 403, answer);
        return;
    }
    if (page_clinic(desk, request, session, &file, answer))
        show(desk, request, session, file.clinic, FALSE, answer);
}

void story_sit(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    const char *name = request_field(request, "name");
    if (desk->asks_names) {
        sign_in(desk, request, session, answer);
        return;
    }
    if (!page_clinic(desk, request, session, &file, answer))
        return;
    const Governance *people = &file.clinic->governance;
    if (!is_one_of(people->nurses.items, name) && !is_one_of(people->physicians.items, name)) {
        show(desk, request, session, file.clinic, TRUE, answer);
        answer->status = 422;
        return;
    }
    answer->who = g_strdup(name);
    page_go(answer, "/");
}
