/* desk_tries: passwords that were tried and were wrong, counted for each person and each address,
 * so that nobody can go on guessing.  Lives in memory. */
#ifndef DESK_TRIES_H
#define DESK_TRIES_H

#include <glib.h>

#define TRIES_WRONG 10           /* of one person, or from one address, */
#define TRIES_WITHIN (15 * 60)   /* seconds, before no more are taken */
#define TRIES_KEPT 4096          /* people and addresses counted at a time */

typedef struct Tries Tries;

Tries *tries_new(void);
void tries_free(Tries *tries);
/* Counts a try before it is known how it ends, so that many at once are many; FALSE when it is
 * not to be made.  Someone who guesses at a person's password does not keep that person out: from
 * an address where they signed in before they still may. */
gboolean tries_begin(Tries *tries, const char *name, const char *address);
/* It was right: it does not count. */
void tries_right(Tries *tries, const char *name, const char *address);

#endif
