/* desk_written: days, hours and use-by dates as people write them on a whiteboard, written out as a
 * person's file has them.  What may be taken in two ways is left as it was typed, so that check says
 * what to write; the page shows what was read, and the file holds it in full. */
#ifndef DESK_WRITTEN_H
#define DESK_WRITTEN_H

#include "language/language.h"

/* Whose day it is: it says how far away one may be. */
typedef enum WrittenOf { WRITTEN_PROCEDURE, WRITTEN_COURSE } WrittenOf;

/* "Wed", "tomorrow", "2 Dec", "Wed 2", "Wed 2026-12-02", "2/12" -> "Wednesday 2026-12-02"; a day without its
 * year is looked for in the three weeks after today, a course's first in the half year, and a weekday alone is the
 * next one, never today; of a weekday and a day of the month the next such day of the month must be that weekday.
 * All of these: the text, its digits those of ASCII, when it can be read already or cannot be read in one way;
 * owned by the arena. */
const char *written_day(Arena *arena, const char *text, Day today, WrittenOf of);
/* "Wednesday 2026-12-02" */
const char *written_in_full(Arena *arena, Day day);
/* "8a", "0815", "1:15p", "12n" -> "8 am", "08:15", "1:15 pm", "noon"; "8.00" -> "8 am" where the hours in
 * which it can be hold one of its two meanings alone (hours NULL: nobody knows them). */
const char *written_clock(Arena *arena, const char *text, const ClockSpan *hours);
/* "08/2028", "Aug 2028", "31 Aug 2028" -> "2028-08", "2028-08", "2028-08-31"; "8/27" stays. */
const char *written_expiry(Arena *arena, const char *text);
/* What a text may mean that is left as it was typed, ended by NULL; owned by the arena.
 * "8.00": "8 am", "8 pm"; "8/27" of a use-by date: "2027-08", "2027-08-27" (the next 27th of August). */
char **written_clocks(Arena *arena, const char *text, const ClockSpan *hours);
char **written_expiries(Arena *arena, const char *text, Day today);

#endif
