/* desk_server: see desk/server.h.  One thread, so that forking is safe: the library's sockets, the
 * children's pipes and the terminal are polled together. */
#include "desk/server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "desk/visit.h"

#define CHILDREN 8        /* answers made at a time */
#define PASSWORDS 2       /* of them such as look at a password, 64 MB each */
#define WAITING 64        /* requests that wait for one */
#define CHILD_SECONDS 90
#define SILENT_SECONDS 20 /* of a connection */
#define HEAD_SECONDS 15   /* for the lines before a form */
#define FORM_SECONDS 60   /* for a form that comes slowly */
#define MAKING_SECONDS 300 /* for an answer that waits for a child, and is made */
#define SENDING_SECONDS 60 /* for a reader that dawdles over it */
#define CONNECTIONS 256
#define CONNECTIONS_EACH 128 /* of one address: several desks may stand behind one */
#define CONNECTIONS_FREE 32  /* kept so: whoever holds most gives up the oldest of his */
#define CERTIFICATE_DAYS 30  /* before its end, from which it is said */
#define RUNS 16           /* of the library in one turn */
#define HEAD_LIMIT (32 * 1024) /* bytes */

static volatile sig_atomic_t ended;

static void end(int signal_number)
{
    (void)signal_number;
    ended = 1;
}

/* ---- connections that never finish asking ---- */

typedef struct Caller {
    int socket;
    guint64 from;     /* IPv4 address, or the network of an IPv6 one */
    gint64 since;     /* microseconds: when it began to do what it does */
    gint64 seconds;   /* that it may take over it */
    gboolean made;    /* an answer is being made for it: it waits for us */
    gboolean hung_up;
} Caller;

static void caller_does(Caller *caller, gint64 seconds)
{
    caller->since = g_get_monotonic_time();
    caller->seconds = seconds;
    caller->made = seconds == MAKING_SECONDS;
}

static guint64 address_of(struct MHD_Connection *connection)
{
    const struct sockaddr *address =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)->client_addr;
    guint64 from = 0;
    if (address->sa_family == AF_INET6)
        memcpy(&from, &((const struct sockaddr_in6 *)(const void *)address)->sin6_addr, sizeof from);
    else
        memcpy(&from, &((const struct sockaddr_in *)(const void *)address)->sin_addr, sizeof(struct in_addr));
    return from;
}

static void on_connection(void *data, struct MHD_Connection *connection, void **own,
                          enum MHD_ConnectionNotificationCode code)
{
    Server *server = data;
    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        Caller *caller = g_new0(Caller, 1);
        int socket = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
        *caller = (Caller){.socket = socket, .from = address_of(connection)};
        caller_does(caller, HEAD_SECONDS);
        *own = caller;
        g_ptr_array_add(server->callers, caller);
    } else {
        g_ptr_array_remove_fast(server->callers, *own);
    }
}

static Caller *caller_of(struct MHD_Connection *connection)
{
    return MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT)->socket_context;
}

static void hang_up(Caller *caller)
{
    shutdown(caller->socket, SHUT_RDWR);
    caller->hung_up = TRUE;
}

static guint count_from(const Server *server, guint64 from)
{
    guint count = 0;
    for (guint i = 0; i < server->callers->len; i++) {
        const Caller *caller = g_ptr_array_index(server->callers, i);
        count += caller->from == from && !caller->hung_up;
    }
    return count;
}

/* Of the address that holds most, the one that has done longest what it does; NULL when all wait for us. */
static Caller *least_missed(const Server *server)
{
    Caller *found = NULL;
    guint most = 0;
    for (guint i = 0; i < server->callers->len; i++) {
        Caller *caller = g_ptr_array_index(server->callers, i);
        if (caller->made || caller->hung_up)
            continue;
        guint count = count_from(server, caller->from);
        if (count < most || (count == most && found && caller->since >= found->since))
            continue;
        most = count;
        found = caller;
    }
    return found;
}

static void hang_up_slow(Server *server)
{
    gint64 now = g_get_monotonic_time();
    guint held = 0;
    for (guint i = 0; i < server->callers->len; i++) {
        Caller *caller = g_ptr_array_index(server->callers, i);
        if (!caller->hung_up && now - caller->since > caller->seconds * G_USEC_PER_SEC)
            hang_up(caller);
        held += !caller->hung_up;
    }
    Caller *one;
    for (; held > CONNECTIONS - CONNECTIONS_FREE && (one = least_missed(server)); held--)
        hang_up(one);
}

/* ---- children ---- */

static guint passwords(const Server *server)
{
    guint count = 0;
    for (guint i = 0; i < server->running->len; i++)
        count += ((const Visit *)g_ptr_array_index(server->running, i))->tried != NULL;
    return count;
}

/* The first that may be begun: a password takes much memory, so few are looked at together. */
static Visit *next_waiting(Server *server)
{
    gboolean full = passwords(server) >= PASSWORDS;
    for (GList *each = server->waiting->head; each; each = each->next) {
        Visit *visit = each->data;
        if (full && visit->tried)
            continue;
        g_queue_delete_link(server->waiting, each);
        return visit;
    }
    return NULL;
}

static void start_waiting(Server *server)
{
    Visit *visit;
    while (server->running->len < CHILDREN && (visit = next_waiting(server))) {
        g_autoptr(GError) error = NULL;
        visit->child = child_start(server->desk, &visit->request, visit->story, &error);
        if (visit->child)
            g_ptr_array_add(server->running, visit);
        else
            visit_answered(visit, NULL);
    }
}

gboolean server_wait(Server *server, Visit *visit)
{
    if (g_queue_get_length(server->waiting) >= WAITING)
        return FALSE;
    g_queue_push_tail(server->waiting, visit);
    return TRUE;
}

static void read_child(Server *server, guint index)
{
    Visit *visit = g_ptr_array_index(server->running, index);
    if (!child_read(visit->child)) {
        if (child_age(visit->child) > CHILD_SECONDS)
            child_stop(visit->child);
        return;
    }
    Answer *answer = child_end(visit->child);
    visit->child = NULL;
    g_ptr_array_remove_index_fast(server->running, index);
    visit_answered(visit, answer);
}

/* ---- the library's calls ---- */

static enum MHD_Result reply(Visit *visit, struct MHD_Connection *connection)
{
    enum MHD_Result result = visit_reply(visit);
    caller_does(caller_of(connection), visit->answer ? SENDING_SECONDS : MAKING_SECONDS);
    return result;
}

static enum MHD_Result on_request(void *data, struct MHD_Connection *connection, const char *url, const char *method,
                                  const char *version, const char *body, size_t *length, void **own)
{
    (void)version;
    if (!*own) {
        caller_does(caller_of(connection), FORM_SECONDS);
        Visit *visit = visit_new(data, connection, url, method);
        *own = visit;
        return visit_refused(visit) ? reply(visit, connection) : MHD_YES;
    }
    Visit *visit = *own;
    if (*length > 0) {
        gboolean fine = visit_take(visit, body, *length);
        *length = 0;
        return fine ? MHD_YES : MHD_NO;
    }
    return reply(visit, connection);
}

static void on_completed(void *data, struct MHD_Connection *connection, void **own,
                         enum MHD_RequestTerminationCode code)
{
    (void)data, (void)code;
    caller_does(caller_of(connection), HEAD_SECONDS);
    visit_free(*own);
    *own = NULL;
}

static struct MHD_Daemon *listen_on(Server *server)
{
    const DeskPlace *place = server->place;
    const Secure *secure = place->secure;
    struct MHD_OptionItem tls[] = {
        {MHD_OPTION_HTTPS_MEM_CERT, 0, secure ? (char *)secure_certificate(secure) : NULL},
        {MHD_OPTION_HTTPS_MEM_KEY, 0, secure ? (char *)secure_key(secure) : NULL},
        {MHD_OPTION_HTTPS_PRIORITIES, 0, SECURE_PRIORITIES},
        {MHD_OPTION_END, 0, NULL}};
    guint flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME | (secure ? MHD_USE_TLS : 0) |
                  (place->address.any.sa_family == AF_INET6 ? MHD_USE_IPv6 : 0);
    return MHD_start_daemon(flags, 0, NULL, NULL, on_request, server, MHD_OPTION_ARRAY, secure ? tls : tls + 3,
                            MHD_OPTION_SOCK_ADDR, &place->address.any, MHD_OPTION_CONNECTION_LIMIT, CONNECTIONS,
                            MHD_OPTION_PER_IP_CONNECTION_LIMIT, CONNECTIONS_EACH, MHD_OPTION_CONNECTION_TIMEOUT,
                            SILENT_SECONDS, MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)HEAD_LIMIT,
                            MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_NOTIFY_COMPLETED, on_completed, NULL,
                            MHD_OPTION_NOTIFY_CONNECTION, on_connection, server, MHD_OPTION_END);
}

/* ---- the loop ---- */

const char *server_scheme(const Server *server) { return server->place->secure ? "https" : "http"; }

static void say_link(Server *server)
{
    g_autofree char *secret = gate_asks_names(server->gate) ? NULL : gate_link(server->gate);
    if (secret)
        terminal_say(stdout, "open, within 15 minutes: %s://127.0.0.1:%d/open/%s\n", server_scheme(server),
                     server->port, secret);
    else
        terminal_say(stdout, "listening on %s, port %d (%s): sign in by name\n", server->place->words, server->port,
                     server_scheme(server));
    fflush(stdout);
}

/* A line in the terminal asks for another link. */
static gboolean read_terminal(Server *server)
{
    char some[256];
    ssize_t got = read(STDIN_FILENO, some, sizeof some);
    if (got > 0)
        say_link(server);
    return got > 0;
}

static int time_to_wait(const Server *server)
{
    MHD_UNSIGNED_LONG_LONG library = 0;
    int most = server->running->len > 0 || server->callers->len > 0 ? 1000 : 15000;
    if (MHD_get_timeout(server->daemon, &library) == MHD_YES && library < (MHD_UNSIGNED_LONG_LONG)most)
        return (int)library;
    return most;
}

/* What was resumed is answered in a later run than the one that resumes it. */
static void run_library(Server *server)
{
    MHD_UNSIGNED_LONG_LONG wait = 0;
    for (int runs = 0; runs < RUNS && wait == 0; runs++) {
        MHD_run(server->daemon);
        if (MHD_get_timeout(server->daemon, &wait) != MHD_YES)
            break;
    }
}

/* One turn: what happened, and what follows from it. */
static void turn(Server *server, gboolean *terminal)
{
    struct pollfd polled[CHILDREN + 2];
    guint count = 0, children = server->running->len;
    for (guint i = 0; i < children; i++)
        polled[count++] = (struct pollfd){
            .fd = child_descriptor(((const Visit *)g_ptr_array_index(server->running, i))->child), .events = POLLIN};
    polled[count++] = (struct pollfd){
        .fd = MHD_get_daemon_info(server->daemon, MHD_DAEMON_INFO_EPOLL_FD)->epoll_fd, .events = POLLIN};
    if (*terminal)
        polled[count++] = (struct pollfd){.fd = STDIN_FILENO, .events = POLLIN};
    int happened = poll(polled, count, time_to_wait(server));
    for (guint i = children; i > 0; i--) /* from the last, since the one read may go */
        if (happened >= 0 && (polled[i - 1].revents || happened == 0))
            read_child(server, i - 1);
    if (happened > 0 && *terminal && polled[count - 1].revents)
        *terminal = read_terminal(server);
    hang_up_slow(server);
    kept_tidy(server->kept);
    run_library(server);
    start_waiting(server);
}

/* What has been begun is finished: a sheet on its way, a note. */
static void finish(Server *server)
{
    gboolean no_terminal = FALSE;
    MHD_socket listening = MHD_quiesce_daemon(server->daemon);
    for (int turns = 0; turns < 100 && (server->running->len > 0 || !g_queue_is_empty(server->waiting)); turns++)
        turn(server, &no_terminal);
    if (listening != MHD_INVALID_SOCKET)
        close(listening);
    for (guint i = server->running->len; i > 0; i--) {
        Visit *visit = g_ptr_array_index(server->running, i - 1);
        child_stop(visit->child);
        answer_free(child_end(visit->child));
        visit->child = NULL;
        visit_answered(visit, NULL);
    }
    MHD_stop_daemon(server->daemon);
}

static int serve(Server *server)
{
    struct sigaction action = {.sa_handler = end};
    gboolean terminal = TRUE;
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    server_warm(server->desk);
    say_link(server);
    terminal_say(stdout, gate_asks_names(server->gate) ? "Ctrl-C: end\n" : "Enter: another link; Ctrl-C: end\n");
    fflush(stdout);
    while (!ended)
        turn(server, &terminal);
    finish(server);
    return EXIT_FINE;
}

/* Elsewhere than on this machine only for people who are named, over TLS. */
static int refuse(const Server *server)
{
    const Secure *secure = server->place->secure;
    gint64 days = secure ? (secure_ends(secure) - g_get_real_time() / G_USEC_PER_SEC) / (24 * 3600) : 0;
    if (!place_is_here(server->place) && (!secure || !gate_asks_names(server->gate)))
        return commands_usage("the desk listens elsewhere than on 127.0.0.1 for named people alone: \"dosewright "
                              "people add --clinic %s --role nurse NAME\" names the first", server->desk->clinic);
    if (secure && days < CERTIFICATE_DAYS)
        terminal_say(stderr, "dosewright: the certificate ends in %" G_GINT64_FORMAT " days\n", days);
    return EXIT_FINE;
}

static int open_and_serve(Server *server)
{
    server->daemon = listen_on(server);
    if (!server->daemon) {
        terminal_say(stderr, "dosewright: cannot listen on %s: %s\n", server->place->words, g_strerror(errno));
        return EXIT_SYSTEM;
    }
    server->port = MHD_get_daemon_info(server->daemon, MHD_DAEMON_INFO_BIND_PORT)->port;
    return serve(server);
}

int server_run(const Desk *desk, const DeskPlace *place)
{
    GError *error = NULL;
    Desk own = *desk;
    Server server = {.desk = &own, .place = place, .gate = gate_new(desk->clinic, &error),
                     .callers = g_ptr_array_new_with_free_func(g_free), .running = g_ptr_array_new(),
                     .waiting = g_queue_new()};
    if (!server.gate)
        return commands_system_error(error);
    own.asks_names = gate_asks_names(server.gate);
    server.kept = kept_new(&own);
    server.mark = gate_stranger();
    server.making = g_hash_table_new(g_str_hash, g_str_equal);
    int status = refuse(&server);
    if (status == EXIT_FINE)
        status = open_and_serve(&server);
    g_ptr_array_unref(server.callers);
    g_ptr_array_unref(server.running);
    g_queue_free(server.waiting);
    g_hash_table_unref(server.making);
    kept_free(server.kept);
    g_free(server.mark);
    gate_free(server.gate);
    return status;
}
