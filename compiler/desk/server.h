/* desk_server: listens on 127.0.0.1 alone, lets in who may come in, and hands each request to a
 * child.  Requests are parsed by libmicrohttpd. */
#ifndef DESK_SERVER_H
#define DESK_SERVER_H

#include "desk/child.h"

/* Serves until it is told to end (SIGINT, SIGTERM); an exit status. */
int server_run(const Desk *desk, int port);

#endif
