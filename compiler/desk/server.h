/* desk_server: listens, lets in who may come in, and hands each request to a child.  Requests are
 * parsed by libmicrohttpd. */
#ifndef DESK_SERVER_H
#define DESK_SERVER_H

#include <netinet/in.h>

#include "desk/child.h"
#include "desk/secure.h"

/* Where it listens. */
typedef struct DeskPlace {
    union {
        struct sockaddr any;
        struct sockaddr_in four;
        struct sockaddr_in6 six;
    } address;
    const char *words;    /* as it was said, "127.0.0.1:8080" */
    const Secure *secure; /* NULL: without TLS */
} DeskPlace;

/* An address and its port from words such as 192.0.2.7:8443 or [2001:db8::7]:8443; FALSE when they
 * are none. */
gboolean place_parse(const char *words, DeskPlace *place);
/* TRUE for 127.0.0.1, where alone no name, password or TLS is demanded. */
gboolean place_is_here(const DeskPlace *place);

/* Serves until it is told to end (SIGINT, SIGTERM); an exit status. */
int server_run(const Desk *desk, const DeskPlace *place);

/* warm.c: sets what the clinic's sheets have in common, for every answer to begin with. */
void server_warm(const Desk *desk);

#endif
