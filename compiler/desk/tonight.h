/* desk_tonight: a night as a page shows it: its rows and its strip.  For the stories. */
#ifndef DESK_TONIGHT_H
#define DESK_TONIGHT_H

#include "desk/stories.h"

/* Who injects in a night (nights: as of evening_gather()); *night is NULL when nobody does.  files: of those who
 * are wanted, or NULL: all of the clinic's people.  FALSE when files or record cannot be read: the answer then
 * says why. */
gboolean tonight_gather(const Desk *desk, const Request *request, Session *session, int nights, char **files,
                        NightRequest *people, Night **night, Answer *answer);
/* The day on which the night begins. */
Day tonight_evening(const Session *session, const Case *file, int nights);

/* nights.c */
/* Who is still open of the night before that one. */
gboolean tonight_show_last(View *view, const Desk *desk, const Request *request, Session *session, const Case *file,
                           int nights, Answer *answer);
/* One row's words, times and state, into a view of its own. */
void tonight_show_row(View *view, Arena *arena, const Night *night, const NightRow *row);
/* Two names that begin with the same word: to be told apart by their codes. */
gboolean same_first_name(const char *one, const char *two);
/* The strip from 6 pm to 6 am into "strip": signs, now, the two days.  only: its row alone, or NULL. */
void tonight_show_strip(View *view, Arena *arena, const Night *night, const NightRow *only);

/* since.c: what has changed in a night's list since it was printed for the wall; wanted: a clock time, or "". */
void tonight_show_changes(View *view, Session *session, const Case *file, Day evening, const char *wanted);

#endif
