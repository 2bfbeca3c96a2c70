/* desk_visit: one request from its first line to its answer.  For the server alone. */
#ifndef DESK_VISIT_H
#define DESK_VISIT_H

#include <microhttpd.h>

#include "desk/child.h"
#include "desk/gate.h"
#include "desk/kept.h"
#include "desk/server.h"

typedef struct Server {
    const Desk *desk;
    Gate *gate;
    struct MHD_Daemon *daemon;
    const DeskPlace *place;
    int port;           /* that was given, where 0 was asked for */
    GPtrArray *callers; /* of Caller*: open connections */
    GPtrArray *running; /* of Visit*: with a child each */
    GQueue *waiting;    /* of Visit*: for a child */
    Kept *kept;
    GHashTable *making; /* key -> Visit*: pages on their way that others may wait for */
    char *mark;         /* stands in pages for the name of who is there */
    gint64 forms_since; /* microseconds */
    guint forms;        /* taken since then */
} Server;

typedef struct Visit {
    Server *server;
    struct MHD_Connection *connection;
    Request request;
    Story story;         /* NULL before it is chosen */
    Child *child;
    Answer *answer;      /* NULL before it is made */
    gboolean refused;    /* before the body is read */
    gboolean spoilt;     /* fields that are no text, or too many */
    gboolean closes;      /* what comes behind it is not to be believed */
    gboolean opened;     /* its answer gives the browser a cookie */
    gboolean left;       /* its answer takes the cookie away */
    char *path, *argument, *cookie;
    char *key, *stamp;   /* of a page that may be kept; NULL: it is made for this visit alone */
    GPtrArray *behind;   /* of Visit*: they wait for the same page */
    char *address;       /* where it comes from */
    char *tried;         /* whose password came with it; NULL: none did */
    struct MHD_PostProcessor *form;
    gsize taken;         /* bytes of the body */
    gint64 started;      /* microseconds */
} Visit;

Visit *visit_new(Server *server, struct MHD_Connection *connection, const char *path, const char *method);
void visit_free(Visit *visit);
/* TRUE when its body need not be read. */
gboolean visit_refused(const Visit *visit);
/* Takes a part of the body; FALSE when the connection is to be closed. */
gboolean visit_take(Visit *visit, const char *body, gsize length);
/* Answers, or lets it wait for its child. */
enum MHD_Result visit_reply(Visit *visit);
/* Its child is done; answer: NULL when it made none.  The library goes on with it. */
void visit_answered(Visit *visit, Answer *answer);

/* server.c: FALSE when too many wait. */
gboolean server_wait(Server *server, Visit *visit);
/* "https" or "http". */
const char *server_scheme(const Server *server);

#endif
