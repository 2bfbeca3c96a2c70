/* desk_who: who is at the desk.  On this machine alone, a name is what it is with --by: said, and
 * written beside all that is noted. */
#include <string.h>

#include "desk/stories.h"

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

void story_who(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    if (page_clinic(desk, request, session, &file, answer))
        show(desk, request, session, file.clinic, FALSE, answer);
}

void story_sit(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    const char *name = request_field(request, "name");
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
