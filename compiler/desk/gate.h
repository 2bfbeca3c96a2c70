/* desk_gate: who may ask for what.  Where no people are named: a link that opens the desk once.  Where
 * they are: a name and its password.  Either way a seat for each browser, known by a cookie, and
 * tokens for the forms, each good for one press.  All of it lives in memory: after a new start
 * everyone comes in anew. */
#ifndef DESK_GATE_H
#define DESK_GATE_H

#include "desk/staff.h"
#include "desk/tries.h"

#define SEAT_LASTS (16 * 3600) /* seconds: a long night's shift */
#define SEAT_IDLE (60 * 60)    /* without a request, of a named person */
#define BESIDE_LASTS (10 * 60) /* seconds after its last request for which a page is taken to be open */
#define SEATS 128

typedef struct Gate Gate;
typedef struct Seat Seat;

/* clinic: its folder, whose people are read and looked after.  NULL with *error when they cannot be. */
Gate *gate_new(const char *clinic, GError **error);
void gate_free(Gate *gate);
/* TRUE when a name and a password are asked for, which does not change while the desk runs. */
gboolean gate_asks_names(const Gate *gate);
Tries *gate_tries(Gate *gate);

/* ---- by the link ---- */

/* A new link's secret; the one before it, when unused, opens no more.  The caller frees it. */
char *gate_link(Gate *gate);
/* TRUE when so many wrong links were tried that none is taken for a while. */
gboolean gate_besieged(const Gate *gate);
/* A seat for the secret of a link, and its cookie's value; NULL when it opens nothing. */
Seat *gate_open(Gate *gate, const char *secret, char **cookie);

/* ---- by name ---- */

/* The value of a cookie for a browser that has none, before anyone signed in; the caller frees it. */
char *gate_stranger(void);
/* The token for the form that signs in, which only the browser with this cookie can send. */
char *gate_stranger_token(const Gate *gate, const char *cookie);
gboolean gate_stranger_sends(const Gate *gate, const char *cookie, const char *token);
/* A seat for one whose password was right; the browser's seat before it (old: its cookie, or NULL)
 * is no more, nor is its cookie.  NULL when nobody is called so any more. */
Seat *gate_sign_in(Gate *gate, const char *who, const char *old, char **cookie);
void gate_leave(Gate *gate, const char *cookie);

/* ---- seats ---- */

/* The seat of a cookie, or NULL: it never was, it is over, or its person has another password since,
 * or may not come in any more.  used: somebody did something, and no page renewed itself. */
Seat *gate_seat(Gate *gate, const char *cookie, gboolean used);
/* Who sits there; NULL before anyone said. */
const char *seat_who(const Seat *seat);
/* The seat has this person open (code; NULL or "": nobody).  Who has them open at other seats, by
 * commas; NULL: nobody.  The caller frees it. */
char *gate_beside(Gate *gate, Seat *seat, const char *code);
/* TRUE when a password let them in. */
gboolean seat_is_named(const Seat *seat);
/* What they may do there. */
Roles seat_roles(const Seat *seat);
void seat_sit(Seat *seat, const char *who, Roles roles);
/* A token for the forms of one page; the caller frees it. */
char *seat_token(Seat *seat);
/* TRUE once for each token. */
gboolean seat_spend(Seat *seat, const char *token);

#endif
