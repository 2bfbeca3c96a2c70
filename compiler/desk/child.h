/* desk_child: an answer made by a process of its own, which ends with it. */
#ifndef DESK_CHILD_H
#define DESK_CHILD_H

#include "desk/request.h"

typedef struct Desk {
    const Session *base;   /* the desk's options; each answer has a session of its own */
    const char *templates; /* folder of the desk's pages */
    const char *clinic;    /* folder */
    gboolean asks_names;   /* a name and a password, and believes nobody */
    gboolean glance;       /* this answer writes nothing into the record, which was looked at as a whole before */
    Arena *arena;          /* of the whole run */
} Desk;

/* Fills the answer, which is 200 and HTML before. */
typedef void (*Story)(const Desk *desk, const Request *request, Answer *answer);

typedef struct Child Child;

/* Starts it; NULL with *error when the system gives no process. */
Child *child_start(const Desk *desk, const Request *request, Story story, GError **error);
/* Where its answer comes from, to be polled; read it with child_read. */
int child_descriptor(const Child *child);
/* Takes what is there.  TRUE when nothing more will come. */
gboolean child_read(Child *child);
/* Seconds since it was started. */
gint64 child_age(const Child *child);
/* Ends it at once. */
void child_stop(Child *child);
/* Its answer, or NULL when it gave none; frees the child. */
Answer *child_end(Child *child);

/* In a child: all that was said to the terminal so far, owned by the arena. */
char *child_said(Arena *arena);

#endif
