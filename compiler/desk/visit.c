/* desk_visit: see desk/visit.h. */
#include "desk/visit.h"

#include <arpa/inet.h>
#include <string.h>

#include "desk/stories.h"

#define BODY_SECONDS 20       /* for a form to come in */
#define FORMS_A_MINUTE 2400  /* twenty desks, each typing while its page follows */
#define PATH_LIMIT 512
#define SIGN_IN "/who"
#define COOKIE_LETTERS 64

/* ---- what never changes ---- */

typedef struct Fixed {
    const char *path, *type, *folder, *file; /* folder: NULL: the desk's templates */
} Fixed;

#define EDITOR "/usr/share/javascript/codemirror" /* Debian's libjs-codemirror; without it a plain field */
#define FONTS "/usr/share/fonts/truetype/andika"
static const Fixed fixed[] = {
    {"/desk.css", "text/css; charset=utf-8", NULL, "desk.css"},
    {"/desk.js", "text/javascript; charset=utf-8", NULL, "desk.js"},
    {"/editor/editor.js", "text/javascript; charset=utf-8", EDITOR, "lib/codemirror.js"},
    {"/editor/editor.css", "text/css; charset=utf-8", EDITOR, "lib/codemirror.css"},
    {"/editor/yaml.js", "text/javascript; charset=utf-8", EDITOR, "mode/yaml/yaml.js"},
    {"/editor/hint.js", "text/javascript; charset=utf-8", EDITOR, "addon/hint/show-hint.js"},
    {"/editor/hint.css", "text/css; charset=utf-8", EDITOR, "addon/hint/show-hint.css"},
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

/* A host and port of the certificate and the desk. */
static gboolean is_certified(const Server *server, const char *host)
{
    const char *colon = strrchr(host, ':'), *bracket = strrchr(host, ']');
    gboolean has_port = colon && (!bracket || bracket < colon);
    g_autofree char *port = g_strdup_printf("%d", server->port);
    g_autofree char *name = has_port ? g_strndup(host, (gsize)(colon - host)) : g_strdup(host);
    if (!g_str_equal(has_port ? colon + 1 : "443", port))
        return FALSE;
    if (*name == '[' && g_str_has_suffix(name, "]")) {
        name[strlen(name) - 1] = '\0';
        return secure_is_named(server->place->secure, name + 1);
    }
    return secure_is_named(server->place->secure, name);
}

/* TRUE when it is one of the names under which this machine knows the desk: another site's name
 * that was made to lead here (rebinding) is none. */
static gboolean is_own_host(const Visit *visit, const char *host)
{
    if (visit->server->place->secure)
        return host && is_certified(visit->server, host);
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
    g_autofree char *start = g_strconcat(server_scheme(visit->server), "://", NULL);
    return !origin || (g_str_has_prefix(origin, start) && is_own_host(visit, origin + strlen(start)));
}

/* Under TLS a browser takes it only whole: sealed, for this host alone, for every path. */
static const char *cookie_name(const Visit *visit) { return visit->server->place->secure ? "__Host-desk" : "desk"; }

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

/* What was typed before somebody signed in comes along with name and password. */
static gsize body_limit(const Visit *visit) { return DESK_BODY_LIMIT * (strcmp(visit->path, SIGN_IN) == 0 ? 2 : 1); }

static guint field_limit(const Visit *visit) { return DESK_FIELDS + (strcmp(visit->path, SIGN_IN) == 0 ? 10 : 0); }

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
    visit->spoilt |= visit->request.entered->len >= field_limit(visit);
    if (!visit->spoilt)
        g_string_append_len(entered(visit, name)->value, value, (gssize)length);
    return visit->spoilt ? MHD_NO : MHD_YES;
}

/* Text in UTF-8 without signs that a file, a terminal or a page would obey; CR LF becomes LF, and
 * what a scanner types between two parts becomes its picture. */
static gboolean is_text(GString *value)
{
    if (!g_utf8_validate(value->str, (gssize)value->len, NULL))
        return FALSE;
    g_string_replace(value, "\r\n", "\n", 0);
    g_string_replace(value, "\x1d", "\342\220\235", 0);
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
    if (length && g_ascii_strtoull(length, NULL, 10) > body_limit(visit))
        notice(visit, "too_large");
    else if (too_often(visit->server))
        notice(visit, "too_often");
    else if (!(visit->form = MHD_create_post_processor(visit->connection, 4096, take_field, visit)))
        notice(visit, "no_form");
}

/* Of an address of version 6 the half that names a network: the rest is anybody's choice. */
static char *address_of(struct MHD_Connection *connection)
{
    const struct sockaddr *from = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)->client_addr;
    char words[INET6_ADDRSTRLEN] = "?";
    if (from->sa_family == AF_INET)
        inet_ntop(AF_INET, &((const struct sockaddr_in *)from)->sin_addr, words, sizeof words);
    if (from->sa_family == AF_INET6) {
        struct in6_addr network = ((const struct sockaddr_in6 *)from)->sin6_addr;
        memset(network.s6_addr + 8, 0, 8);
        inet_ntop(AF_INET6, &network, words, sizeof words);
    }
    return g_strdup(words);
}

static enum MHD_Result count_length(void *data, enum MHD_ValueKind kind, const char *name, const char *value)
{
    (void)kind, (void)value;
    guint *lengths = data;
    *lengths += g_ascii_strcasecmp(name, MHD_HTTP_HEADER_CONTENT_LENGTH) == 0 ||
                g_ascii_strcasecmp(name, MHD_HTTP_HEADER_TRANSFER_ENCODING) == 0;
    return MHD_YES;
}

/* RFC 9112 (6.3): whoever stands between and believes the other length sees another request begin. */
static gboolean has_two_lengths(struct MHD_Connection *connection)
{
    guint lengths = 0;
    MHD_get_connection_values(connection, MHD_HEADER_KIND, count_length, &lengths);
    return lengths > 1;
}

Visit *visit_new(Server *server, struct MHD_Connection *connection, const char *path, const char *method)
{
    Visit *visit = g_new0(Visit, 1);
    *visit = (Visit){.server = server, .connection = connection, .path = g_strndup(path, PATH_LIMIT),
                     .address = address_of(connection), .closes = has_two_lengths(connection),
                     .started = g_get_monotonic_time()};
    visit->request = (Request){.path = visit->path, .post = strcmp(method, MHD_HTTP_METHOD_POST) == 0,
                               .entered = g_ptr_array_new_with_free_func(entered_free)};
    gboolean get = strcmp(method, MHD_HTTP_METHOD_GET) == 0 || strcmp(method, MHD_HTTP_METHOD_HEAD) == 0;
    if (visit->closes)
        notice(visit, "two_lengths");
    else if (!is_own_host(visit, header(visit, MHD_HTTP_HEADER_HOST)) || strlen(path) >= PATH_LIMIT ||
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
    g_free(visit->request.others);
    g_free(visit->path);
    g_free(visit->argument);
    g_free(visit->cookie);
    g_free(visit->address);
    g_free(visit->tried);
    g_free(visit->key);
    g_free(visit->stamp);
    if (visit->behind)
        g_ptr_array_unref(visit->behind);
    answer_free(visit->answer);
    g_free(visit);
}

gboolean visit_refused(const Visit *visit) { return visit->refused; }

gboolean visit_take(Visit *visit, const char *body, gsize length)
{
    visit->taken += length;
    if (visit->taken > body_limit(visit) || g_get_monotonic_time() - visit->started > BODY_SECONDS * G_USEC_PER_SEC)
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

static void show_seat(Visit *visit, Seat *seat)
{
    Request *request = &visit->request;
    g_free(request->who);
    g_free(request->token);
    request->who = g_strdup(seat_who(seat));
    request->roles = seat_roles(seat);
    request->named = seat_is_named(seat);
    request->mark = visit->server->mark;
    request->token = seat_token(seat);
}

/* A page that looks again by itself says nothing of anybody being there. */
static gboolean renews_itself(const Request *request) { return *request_field(request, DESK_RENEWED) != '\0'; }

/* Whose page it is: by its address, or by the form that stood on it. */
static void look_beside(Visit *visit, Seat *seat)
{
    Request *request = &visit->request;
    const char *code = g_str_has_prefix(visit->path, "/person/") ? request->argument
                       : request->post && (visit->story == story_preview || visit->story == story_keep)
                           ? request_field(request, "patient") : NULL;
    if (!renews_itself(request))
        request->others = gate_beside(visit->server->gate, seat, code);
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

/* A browser in which nobody signed in is asked to, wherever it wants to go, and keeps what it sends. */
static void meet_stranger(Visit *visit)
{
    Gate *gate = visit->server->gate;
    Request *request = &visit->request;
    gboolean signs = request->post && strcmp(visit->path, SIGN_IN) == 0;
    if (!gate_asks_names(gate)) {
        notice(visit, "no_seat");
        return;
    }
    if (signs && gate_stranger_sends(gate, visit->cookie, request_field(request, "token"))) {
        visit->story = story_sit;
    } else {
        visit->story = story_who;
        request->notice = signs ? "sent_before" : NULL;
    }
    if (!visit->cookie || strlen(visit->cookie) != COOKIE_LETTERS) {
        g_free(visit->cookie);
        visit->cookie = gate_stranger();
        visit->opened = TRUE;
    }
    request->token = gate_stranger_token(gate, visit->cookie);
}

/* A password is looked at only so often. */
static void try_password(Visit *visit)
{
    Request *request = &visit->request;
    Gate *gate = visit->server->gate;
    if (visit->refused || !gate_asks_names(gate) || !request->post || visit->story == story_who ||
        !*request_field(request, PASSWORD_FIELD))
        return;
    const char *name = visit->story == story_sit ? request_field(request, "name") : request->who;
    if (tries_begin(gate_tries(gate), name, visit->address)) {
        visit->tried = g_strdup(name);
    } else if (visit->story == story_sit) {
        visit->story = story_who;
        request->notice = "guessing";
    } else {
        notice(visit, "guessing");
    }
}

static void let_in(Visit *visit)
{
    Gate *gate = visit->server->gate;
    Request *request = &visit->request;
    if (g_str_has_prefix(visit->path, "/open/") && !request->post && !gate_asks_names(gate)) {
        open_desk(visit, visit->path + strlen("/open/"));
        return;
    }
    visit->cookie = g_strdup(MHD_lookup_connection_value(visit->connection, MHD_COOKIE_KIND, cookie_name(visit)));
    Seat *seat = gate_seat(gate, visit->cookie, !renews_itself(request));
    if (!all_text(visit)) {
        notice(visit, "no_text");
    } else if (request->post && !comes_from_here(visit)) {
        g_ptr_array_set_size(request->entered, 0); /* what another site says is not repeated */
        notice(visit, "elsewhere");
    } else if (!seat) {
        meet_stranger(visit);
    } else if (request->post && !seat_spend(seat, request_field(request, "token"))) {
        notice(visit, "sent_before");
    } else {
        find_story(visit, seat);
        look_beside(visit, seat);
    }
    if (seat)
        show_seat(visit, seat);
    try_password(visit);
}

/* ---- answering ---- */

static const struct { const char *name, *value; } headers[] = {
    {"Content-Security-Policy", "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self'; img-src "
                                "'self' data:; font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors "
                                "'none'"},
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
    if (visit->closes)
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONNECTION, "close");
    const char *sealed = visit->server->place->secure ? "; Secure" : "";
    if (*sealed)
        MHD_add_response_header(response, "Strict-Transport-Security", "max-age=31536000");
    if (visit->opened || visit->left)
        add_header(response, MHD_HTTP_HEADER_SET_COOKIE, "%s=%s; HttpOnly; SameSite=Strict; Path=/%s%s",
                   cookie_name(visit), visit->left ? "" : visit->cookie, sealed, visit->left ? "; Max-Age=0" : "");
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

/* ---- the same page for many ---- */

/* The name in the place of its mark. */
static void put_name(const Visit *visit, Answer *answer)
{
    const char *mark = visit->request.mark;
    if (!mark || !visit->request.who || !answer->type || !g_str_has_prefix(answer->type, "text/html"))
        return;
    g_autofree char *name = g_markup_escape_text(visit->request.who, -1);
    g_string_replace(answer->body, mark, name, 0);
}

static KeptPage page_of(const Visit *visit)
{
    return (KeptPage){visit->key, visit->request.who, visit->request.token};
}

static char *key_of(const Visit *visit)
{
    const Request *request = &visit->request;
    GString *key = g_string_new(NULL);
    g_string_append_printf(key, "%u%s %s", request->roles, request->named ? " named" : "", request->path);
    if (request->others)
        g_string_append_printf(key, " beside %s", request->others);
    for (guint i = 0; i < request->entered->len; i++) {
        const Entered *one = g_ptr_array_index(request->entered, i);
        if (strcmp(one->name, DESK_RENEWED) != 0)
            g_string_append_printf(key, "\n%s\n%s", one->name, one->value->str);
    }
    return g_string_free(key, FALSE);
}

/* TRUE when the page was made for another visit, and is still as it would be made. */
static gboolean find_kept(Visit *visit)
{
    Server *server = visit->server;
    if (visit->refused || visit->request.post || !visit->request.who || visit->story == story_who)
        return FALSE;
    visit->key = key_of(visit);
    visit->stamp = kept_stamp(server->kept);
    const KeptPage page = page_of(visit);
    visit->answer = kept_find(server->kept, &page);
    if (visit->answer)
        put_name(visit, visit->answer);
    return visit->answer != NULL;
}

/* TRUE when the page is on its way for another visit, and this one waits for it. */
static gboolean waits_behind(Visit *visit)
{
    Visit *first = visit->key ? g_hash_table_lookup(visit->server->making, visit->key) : NULL;
    if (!first && visit->key)
        g_hash_table_insert(visit->server->making, visit->key, visit);
    if (!first || strcmp(first->stamp, visit->stamp) != 0)
        return FALSE;
    if (!first->behind)
        first->behind = g_ptr_array_new();
    g_ptr_array_add(first->behind, visit);
    return TRUE;
}

static void leave_making(const Visit *visit)
{
    GHashTable *making = visit->server->making;
    if (visit->key && g_hash_table_lookup(making, visit->key) == visit)
        g_hash_table_remove(making, visit->key);
}

/* What was made for one is shown to those behind it, who may see it; the others have their own made. */
static void answer_behind(Visit *visit)
{
    Server *server = visit->server;
    g_autoptr(GPtrArray) behind = g_steal_pointer(&visit->behind);
    const KeptPage page = page_of(visit);
    leave_making(visit);
    if (visit->key && visit->answer)
        kept_put(server->kept, &page, visit->stamp, visit->answer);
    for (guint i = 0; behind && i < behind->len; i++) {
        Visit *other = g_ptr_array_index(behind, i);
        if (visit->answer && kept_is_for(visit->answer, visit->request.who, other->request.who))
            visit_answered(other, kept_again(visit->answer, visit->request.token, other->request.token));
        else if (!server_wait(server, other))
            visit_answered(other, NULL);
    }
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
    if (find_kept(visit))
        return queue(visit, FALSE);
    if (!waits_behind(visit) && !server_wait(visit->server, visit))
        return queue_plain(visit, 503, "The desk has too much to do. Ask again in a moment.\n");
    MHD_suspend_connection(visit->connection);
    return MHD_YES;
}

/* What was typed before somebody signed in stands in the request as it would have come. */
static gboolean unpack_typed(Visit *visit)
{
    Request *request = &visit->request;
    g_autofree char *path = g_strdup(request_field(request, DESK_TYPED_PATH)), *argument = NULL;
    gboolean known;
    if (!address_find(path, TRUE, &argument, &known))
        return FALSE;
    for (guint i = request->entered->len; i > 0; i--) {
        Entered *one = g_ptr_array_index(request->entered, i - 1);
        if (g_str_has_prefix(one->name, DESK_TYPED))
            memmove(one->name, one->name + strlen(DESK_TYPED), strlen(one->name + strlen(DESK_TYPED)) + 1);
        else
            g_ptr_array_remove_index(request->entered, i - 1);
    }
    g_free(visit->path);
    request->path = visit->path = g_steal_pointer(&path);
    return TRUE;
}

/* Somebody came in: by a seat of their own, whatever cookie the browser brought.  TRUE when another
 * page is made before the answer. */
static gboolean seat_named(Visit *visit)
{
    char *cookie = NULL;
    Seat *seat = gate_sign_in(visit->server->gate, visit->answer->who, visit->cookie, &cookie);
    if (!seat)
        return FALSE;
    g_free(visit->cookie);
    visit->cookie = cookie;
    visit->opened = TRUE;
    if (!unpack_typed(visit))
        return FALSE;
    show_seat(visit, seat);
    g_clear_pointer(&visit->tried, g_free);
    notice(visit, "not_sent");
    if (!server_wait(visit->server, visit))
        return FALSE;
    g_clear_pointer(&visit->answer, answer_free);
    return TRUE;
}

/* What an answer says of who is there from now on. */
static gboolean settle_seat(Visit *visit)
{
    Gate *gate = visit->server->gate;
    const Answer *answer = visit->answer;
    if (visit->tried && answer->proved)
        tries_right(gate_tries(gate), visit->tried, visit->address);
    if (answer->leaves) {
        gate_leave(gate, visit->cookie);
        visit->left = TRUE;
    }
    if (!answer->who)
        return FALSE;
    if (gate_asks_names(gate))
        return visit->tried && answer->proved && seat_named(visit);
    Seat *seat = gate_seat(gate, visit->cookie, TRUE);
    if (seat)
        seat_sit(seat, answer->who, ROLES_ALL); /* who is believed may do all */
    return FALSE;
}

void visit_answered(Visit *visit, Answer *answer)
{
    visit->answer = answer;
    answer_behind(visit);
    if (visit->request.post)
        kept_look(visit->server->kept);
    if (answer && settle_seat(visit))
        return;
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
    put_name(visit, visit->answer);
    MHD_resume_connection(visit->connection);
}
