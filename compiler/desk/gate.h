/* desk_gate: who may ask for what.  A link that opens the desk once; a seat for each browser that
 * came through it, known by a cookie; tokens for the forms, each good for one press.  All of it
 * lives in memory: after a new start everyone needs a new link. */
#ifndef DESK_GATE_H
#define DESK_GATE_H

#include "desk/roles.h"

typedef struct Gate Gate;
typedef struct Seat Seat;

Gate *gate_new(void);
void gate_free(Gate *gate);

/* A new link's secret; the one before it, when unused, opens no more.  The caller frees it. */
char *gate_link(Gate *gate);
/* TRUE when so many wrong links were tried that none is taken for a while. */
gboolean gate_besieged(const Gate *gate);
/* A seat for the secret of a link, and its cookie's value; NULL when it opens nothing. */
Seat *gate_open(Gate *gate, const char *secret, char **cookie);
/* The seat of a cookie, or NULL. */
Seat *gate_seat(Gate *gate, const char *cookie);

/* Who sits there; NULL before anyone said. */
const char *seat_who(const Seat *seat);
/* What they may do there. */
Roles seat_roles(const Seat *seat);
void seat_sit(Seat *seat, const char *who, Roles roles);
/* A token for the forms of one page; the caller frees it. */
char *seat_token(Seat *seat);
/* TRUE once for each token. */
gboolean seat_spend(Seat *seat, const char *token);

#endif
