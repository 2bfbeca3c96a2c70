/* desk_kept: pages that were made, kept for whoever asks for the same ones within the minute, as long
 * as no file that they may be made from has changed.  What the server holds of people is gone with
 * the minute. */
#ifndef DESK_KEPT_H
#define DESK_KEPT_H

#include "desk/child.h"

#define KEPT_LIMIT (16u << 20) /* bytes of pages */

typedef struct Kept Kept;

/* A page as one visit would see it. */
typedef struct KeptPage {
    const char *key;   /* address, what was entered, roles */
    const char *who;   /* at the desk, or NULL */
    const char *token; /* of this visit's forms */
} KeptPage;

Kept *kept_new(const Desk *desk);
void kept_free(Kept *kept);
/* Of all files of the clinic and of the desk's pages, as they are now: changes when one does.  The
 * caller frees it. */
char *kept_stamp(Kept *kept);
/* A form was taken: what it changed is looked for at once, and not some milliseconds later. */
void kept_look(Kept *kept);
/* The page with this visit's token in it; NULL when it has to be made. */
Answer *kept_find(Kept *kept, const KeptPage *page);
/* Keeps a copy of what was made, when the answer says that it may be; stamp: from before it was begun. */
void kept_put(Kept *kept, const KeptPage *page, const char *stamp, const Answer *answer);
/* The answer again for another visit: TRUE when it may see it. */
gboolean kept_is_for(const Answer *answer, const char *made_for, const char *who);
/* The answer with the second token in the place of the first; the caller frees it. */
Answer *kept_again(const Answer *answer, const char *token, const char *other);
/* Forgets what is over. */
void kept_tidy(Kept *kept);

#endif
