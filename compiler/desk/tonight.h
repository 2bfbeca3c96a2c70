/* desk_tonight: a night as a page shows it: its rows and its strip.  For the stories. */
#ifndef DESK_TONIGHT_H
#define DESK_TONIGHT_H

#include "desk/stories.h"

/* Who injects tonight; *night is NULL when nobody does.  file: of the one person who is wanted, or NULL: all
 * of the clinic's people.  FALSE when files or record cannot be read: the answer then says why. */
gboolean tonight_gather(const Desk *desk, const Request *request, Session *session, const char *file,
                        NightRequest *people, Night **night, Answer *answer);
/* One row's words, times and state, into a view of its own. */
void tonight_show_row(View *view, Arena *arena, const Night *night, const NightRow *row);
/* The strip from 6 pm to 6 am into "strip": signs, now, the two days.  only: its row alone, or NULL. */
void tonight_show_strip(View *view, Arena *arena, const Night *night, const NightRow *only);

/* since.c: what has changed since the list was printed for the wall; wanted: a clock time, or "". */
void tonight_show_changes(View *view, Session *session, const Case *file, const char *wanted);

#endif
