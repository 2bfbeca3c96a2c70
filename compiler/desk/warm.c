/* desk_warm: what the sheets of a clinic have in common, its letters and most of its words, is set
 * once in the server, and every answer begins with it: an answer is a process that the server forks,
 * and what it sets itself ends with it. */
#include <poll.h>
#include <string.h>

#include "desk/protocol.h"
#include "desk/server.h"

#define PROTOCOLS 12 /* of a clinic, the first by name: some 20 ms and 0.1 MB each */
#define TRIED_MS 5000 /* for all of them */

/* Of somebody invented: the server holds nobody's words. */
static void lay_out(const Desk *desk, const char *name)
{
    g_autoptr(GPtrArray) nothing = g_ptr_array_new();
    g_autoptr(Answer) unused = answer_new(200, NULL);
    const Request request = {.path = "", .argument = (char *)name, .entered = nothing};
    ProtocolPage page;
    if (protocol_open(&page, desk, &request, unused)) {
        protocol_judge(&page, NULL);
        GBytes *picture = protocol_look(&page, 1);
        g_clear_pointer(&picture, g_bytes_unref);
    }
    arena_free(page.session->arena);
}

static void try_one(const Desk *desk, const Request *request, Answer *answer)
{
    lay_out(desk, request->argument);
    g_string_assign(answer->body, "fine");
}

/* A sheet that breaks off ends a child, and not the desk. */
static gboolean goes_well(const Desk *desk, const char *name, gint64 until)
{
    g_autoptr(GPtrArray) nothing = g_ptr_array_new();
    g_autoptr(GError) error = NULL;
    const Request request = {.path = "", .argument = (char *)name, .entered = nothing};
    Child *child = child_start(desk, &request, try_one, &error);
    if (!child)
        return FALSE;
    struct pollfd polled = {.fd = child_descriptor(child), .events = POLLIN};
    while (g_get_monotonic_time() < until && (poll(&polled, 1, TRIED_MS) < 0 || !child_read(child)))
        ;
    if (g_get_monotonic_time() >= until)
        child_stop(child);
    g_autoptr(Answer) answer = child_end(child);
    return answer != NULL;
}

/* What every answer reads: the sheet's template, and the words of the clinic's languages. */
static void keep_words(const Desk *desk, Arena *arena)
{
    Session *session = page_session(desk);
    const char *folder = session->options.templates ? session->options.templates : commands_templates(arena);
    Case file;
    wording_keep(folder, COMMANDS_TEMPLATE, NULL);
    if (commands_clinic(session, &file) == EXIT_FINE)
        for (guint i = 0; i < file.clinic->languages.items->len; i++)
            if (PRESENT(*(const Text *)g_ptr_array_index(file.clinic->languages.items, i)))
                wording_keep(folder, NULL, ((const Text *)g_ptr_array_index(file.clinic->languages.items, i))->text);
    arena_free(session->arena);
}

/* On a busy machine only some, so that nobody waits for the desk. */
void server_warm(const Desk *desk)
{
    Desk own = *desk;
    Arena *arena = arena_new();
    const gint64 until = g_get_monotonic_time() + TRIED_MS * 1000;
    const GPtrArray *names = protocol_names(arena, desk);
    own.glance = TRUE;
    keep_words(desk, arena);
    for (guint i = 0; i < MIN(names->len, PROTOCOLS) && g_get_monotonic_time() < until; i++)
        if (goes_well(desk, g_ptr_array_index(names, i), until))
            lay_out(&own, g_ptr_array_index(names, i));
    arena_free(arena);
}
