/* desk_visit: see desk/visit.h. */
#include "desk/visit.h"

#include <string.h>

#include "desk/stories.h"

#define BODY_SECONDS 30       /* for a form to come in */
#define FORMS_A_MINUTE 240
#define PATH_LIMIT 512
#define COOKIE "desk"

/* ---- what never changes ---- */

typedef struct Fixed {
    const char *path, *type, *folder, *file; /* folder: NULL: the desk's templates */
} Fixed;

#define FONTS "/usr/share/fonts/truetype/andika"
static const Fixed fixed[] = {
    {"/desk.css", "text/css; charset=utf-8", NULL, "desk.css"},
    {"/mark.svg", "image/svg+xml", NULL, "mark.svg"},
    {"/font/regular.ttf", "font/ttf", FONTS, "Andika-Regular.ttf"},
    {"/font/bold.ttf", "font/ttf", FONTS, "Andika-Bold.ttf"},
};

/* A page's style and letters; NULL when the path is of none of them. */
static Answer *fixed_answer(const Visit *visit)
{
    for (gsize i = 0; i < G_N_ELEMENTS(fixed); i++) {
        if (strcmp(fixed[i].path, visit->path) != 0)
            continue;
        const char *folder = fixed[i].folder ? fixed[i].folder : visit->server->desk->templates;
        g_autofree char *path = g_build_filename(folder, fixed[i].file, NULL), *bytes = NULL;
        gsize length = 0;
        Answer *answer = answer_new(200, fixed[i].type);
        if (g_file_get_contents(path, &bytes, &length, NULL))
            g_string_append_len(answer->body, bytes, (gssize)length);
        else
            answer->status = 404; /* the browser takes other letters */
        return answer;
    }
    return NULL;
}

/* ---- coming in ---- */

static const char *header(const Visit *visit, const char *name)
{
    return MHD_lookup_connection_value(visit->connection, MHD_HEADER_KIND, name);
}

/* TRUE when it is one of the names under which this machine knows the desk: another site's name
 * that was made to lead here (rebinding) is none. */
static gboolean is_own_host(const Visit *visit, const char *host)
{
    g_autofree char *number = g_strdup_printf("127.0.0.1:%d", visit->server->port);
    g_autofree char *name = g_strdup_printf("localhost:%d", visit->server->port);
    return host && (strcmp(host, number) == 0 || g_ascii_strcasecmp(host, name) == 0);
}

/* A browser says where a form stood. */
static gboolean comes_from_here(const Visit *visit)
{
    const char *origin = header(visit, "Origin"), *site = header(visit, "Sec-Fetch-Site");
    if (site && strcmp(site, "same-origin") != 0)
        return FALSE;
    return !origin || (g_str_has_prefix(origin, "http://") && is_own_host(visit, origin + strlen("http://")));
}

static void notice(Visit *visit, const char *id)
{
    visit->story = story_notice;
    visit->request.notice = id;
    visit->refused = TRUE;
}

static Entered *entered(Visit *visit, const char *name)
{
    GPtrArray *all = visit->request.entered;
    Entered *last = all->len > 0 ? g_ptr_array_index(all, all->len - 1) : NULL;
    if (last && strcmp(last->name, name) == 0)
        return last;
    Entered *one = g_new0(Entered, 1);
    *one = (Entered){g_strdup(name), g_string_new(NULL)};
    g_ptr_array_add(all, one);
    return one;
}

static enum MHD_Result take_argument(void *data, enum MHD_ValueKind kind, const char *name, const char *value)
{
    (void)kind;
    Visit *visit = data;
    if (visit->request.entered->len < DESK_FIELDS)
        g_string_append(entered(visit, name)->value, value ? value : "");
    return MHD_YES;
}

static enum MHD_Result take_field(void *data, enum MHD_ValueKind kind, const char *name, const char *file,
                                  const char *type, const char *encoding, const char *value, uint64_t offset,
                                  size_t length)
{
    (void)kind, (void)file, (void)type, (void)encoding, (void)offset;
    Visit *visit = data;
    visit->spoilt |= visit->request.entered->len >= DESK_FIELDS;
    if (!visit->spoilt)
        g_string_append_len(entered(visit, name)->value, value, (gssize)length);
    return visit->spoilt ? MHD_NO : MHD_YES;
}

/* Text in UTF-8 without signs that a file, a terminal or a page would obey; CR LF becomes LF. */
static gboolean is_text(GString *value)
{
    if (!g_utf8_validate(value->str, (gssize)value->len, NULL))
        return FALSE;
    g_string_replace(value, "\r\n", "\n", 0);
    for (const char *at = value->str; *at; at = g_utf8_next_char(at))
        if (g_unichar_iscntrl(g_utf8_get_char(at)) && *at != '\n' && *at != '\t')
            return FALSE;
    g_strstrip(value->str);
    g_string_truncate(value, strlen(value->str));
    return TRUE;
}

static gboolean all_text(const Visit *visit)
{
    gboolean fine = !visit->spoilt;
    for (guint i = 0; i < visit->request.entered->len; i++) {
        const Entered *one = g_ptr_array_index(visit->request.entered, i);
        fine &= g_utf8_validate(one->name, -1, NULL) && is_text(one->value);
    }
    return fine;
}

static gboolean too_often(Server *server)
{
    gint64 now = g_get_monotonic_time();
    if (now - server->forms_since > 60 * G_USEC_PER_SEC) {
        server->forms_since = now;
        server->forms = 0;
    }
    return ++server->forms > FORMS_A_MINUTE;
}

static void begin_form(Visit *visit)
{
    const char *length = header(visit, MHD_HTTP_HEADER_CONTENT_LENGTH);
    if (length && g_ascii_strtoull(length, NULL, 10) > DESK_BODY_LIMIT)
        notice(visit, "too_large");
    else if (too_often(visit->server))
        notice(visit, "too_often");
    else if (!(visit->form = MHD_create_post_processor(visit->connection, 4096, take_field, visit)))
        notice(visit, "no_form");
}

Visit *visit_new(Server *server, struct MHD_Connection *connection, const char *path, const char *method)
{
    Visit *visit = g_new0(Visit, 1);
    *visit = (Visit){.server = server, .connection = connection, .path = g_strndup(path, PATH_LIMIT),
                     .started = g_get_monotonic_time()};
    visit->request = (Request){.path = visit->path, .post = strcmp(method, MHD_HTTP_METHOD_POST) == 0,
                               .entered = g_ptr_array_new_with_free_func(entered_free)};
    gboolean get = strcmp(method, MHD_HTTP_METHOD_GET) == 0 || strcmp(method, MHD_HTTP_METHOD_HEAD) == 0;
    if (!is_own_host(visit, header(visit, MHD_HTTP_HEADER_HOST)) || strlen(path) >= PATH_LIMIT ||
        !g_utf8_validate(path, -1, NULL))
        notice(visit, "not_here");
    else if (!get && !visit->request.post)
        notice(visit, "other_method");
    else if (visit->request.post)
        begin_form(visit);
    else
        MHD_get_connection_values(connection, MHD_GET_ARGUMENT_KIND, take_argument, visit);
    return visit;
}

void visit_free(Visit *visit)
{
    if (!visit)
        return;
    g_clear_pointer(&visit->form, MHD_destroy_post_processor);
    g_ptr_array_unref(visit->request.entered);
    g_free(visit->request.who);
    g_free(visit->request.token);
    g_free(visit->path);
    g_free(visit->argument);
    g_free(visit->cookie);
    answer_free(visit->answer);
    g_free(visit);
}

gboolean visit_refused(const Visit *visit) { return visit->refused; }

gboolean visit_take(Visit *visit, const char *body, gsize length)
{
    visit->taken += length;
    if (visit->taken > DESK_BODY_LIMIT || g_get_monotonic_time() - visit->started > BODY_SECONDS * G_USEC_PER_SEC)
        return FALSE;
    if (visit->form && MHD_post_process(visit->form, body, length) != MHD_YES)
        visit->spoilt = TRUE;
    return TRUE;
}

/* ---- being let in ---- */

/* The link opens the desk, and the page that it opens asks who is there. */
static void open_desk(Visit *visit, const char *secret)
{
    Gate *gate = visit->server->gate;
    Seat *seat = gate_besieged(gate) ? NULL : gate_open(gate, secret, &visit->cookie);
    visit->opened = seat != NULL;
    if (!seat) {
        notice(visit, gate_besieged(gate) ? "besieged" : "no_link");
        return;
    }
    visit->request.token = seat_token(seat);
    visit->request.path = "/who";
    visit->story = story_who;
}

static void find_story(Visit *visit, Seat *seat)
{
    gboolean known;
    const Address *address = address_find(visit->path, visit->request.post, &visit->argument, &known);
    visit->request.argument = visit->argument;
    if (!address)
        notice(visit, known ? "other_method" : "not_here");
    else if (address->needs == NEEDS_NAME && !seat_who(seat))
        visit->story = story_who;
    else if (address->needs == NEEDS_NAME && !(address->roles & seat_roles(seat)))
        notice(visit, "no_role");
    else
        visit->story = address->story;
}

static void let_in(Visit *visit)
{
    const char *cookie = MHD_lookup_connection_value(visit->connection, MHD_COOKIE_KIND, COOKIE);
    Seat *seat = gate_seat(visit->server->gate, cookie);
    Request *request = &visit->request;
    if (g_str_has_prefix(visit->path, "/open/") && !request->post) {
        open_desk(visit, visit->path + strlen("/open/"));
        return;
    }
    visit->cookie = g_strdup(cookie);
    if (!all_text(visit)) {
        notice(visit, "no_text");
    } else if (request->post && !comes_from_here(visit)) {
        g_ptr_array_set_size(request->entered, 0); /* what another site says is not repeated */
        notice(visit, "elsewhere");
    } else if (!seat) {
        notice(visit, "no_seat");
    } else if (request->post && !seat_spend(seat, request_field(request, "token"))) {
        notice(visit, "sent_before");
    } else {
        find_story(visit, seat);
    }
    if (seat) {
        request->who = g_strdup(seat_who(seat));
        request->roles = seat_roles(seat);
        request->token = seat_token(seat);
    }
}

/* ---- answering ---- */

static const struct { const char *name, *value; } headers[] = {
    {"Content-Security-Policy", "default-src 'none'; style-src 'self'; img-src 'self'; font-src 'self'; form-action "
                                "'self'; base-uri 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "same-origin"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Permissions-Policy", "camera=(), microphone=(), geolocation=()"},
};

static void add_header(struct MHD_Response *response, const char *name, const char *format, ...) G_GNUC_PRINTF(3, 4);

static void add_header(struct MHD_Response *response, const char *name, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *value = g_strdup_vprintf(format, facts);
    va_end(facts);
    MHD_add_response_header(response, name, value);
}

static struct MHD_Response *response_of(const Visit *visit, gboolean kept)
{
    const Answer *answer = visit->answer;
    struct MHD_Response *response = MHD_create_response_from_buffer(answer->body->len, answer->body->str,
                                                                    MHD_RESPMEM_MUST_COPY);
    for (gsize i = 0; i < G_N_ELEMENTS(headers); i++)
        MHD_add_response_header(response, headers[i].name, headers[i].value);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, kept ? "private, max-age=3600" : "no-store");
    if (answer->type)
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, answer->type);
    if (answer->location)
        MHD_add_response_header(response, MHD_HTTP_HEADER_LOCATION, answer->location);
    if (answer->file)
        add_header(response, MHD_HTTP_HEADER_CONTENT_DISPOSITION, "inline; filename=\"%s\"", answer->file);
    if (answer->renew > 0)
        add_header(response, "Refresh", "%u; url=/", answer->renew); /* without what was just noted */
    if (visit->opened)
        add_header(response, MHD_HTTP_HEADER_SET_COOKIE, COOKIE "=%s; HttpOnly; SameSite=Strict; Path=/",
                   visit->cookie);
    return response;
}

static enum MHD_Result queue(Visit *visit, gboolean kept)
{
    struct MHD_Response *response = response_of(visit, kept);
    enum MHD_Result queued = MHD_queue_response(visit->connection, visit->answer->status, response);
    MHD_destroy_response(response);
    return queued;
}

/* Without a page: the last that can be said. */
static enum MHD_Result queue_plain(Visit *visit, guint status, const char *words)
{
    visit->answer = answer_new(status, "text/plain; charset=utf-8");
    g_string_append(visit->answer->body, words);
    return queue(visit, FALSE);
}

enum MHD_Result visit_reply(Visit *visit)
{
    if (visit->answer)
        return queue(visit, FALSE);
    if (!visit->refused && !visit->request.post && (visit->answer = fixed_answer(visit)))
        return queue(visit, TRUE);
    g_clear_pointer(&visit->form, MHD_destroy_post_processor); /* its last field comes with this */
    if (!visit->refused)
        let_in(visit);
    if (!server_wait(visit->server, visit))
        return queue_plain(visit, 503, "The desk has too much to do. Ask again in a moment.\n");
    MHD_suspend_connection(visit->connection);
    return MHD_YES;
}

void visit_answered(Visit *visit, Answer *answer)
{
    visit->answer = answer;
    if (!answer && visit->story != story_notice) { /* say so in a page, by another child */
        notice(visit, "failed");
        if (server_wait(visit->server, visit))
            return;
    }
    if (!visit->answer) {
        visit->answer = answer_new(500, "text/plain; charset=utf-8");
        g_string_append(visit->answer->body, "The desk could not make this page. Nothing is known to be kept: look "
                                             "before you send it again.\n");
    }
    Seat *seat = gate_seat(visit->server->gate, visit->cookie);
    if (seat && visit->answer->who)
        seat_sit(seat, visit->answer->who, ROLES_ALL); /* who is believed may do all */
    MHD_resume_connection(visit->connection);
}
