/* desk_written: days, hours and use-by dates as people write them on a whiteboard, written out as a
 * person's file has them.  What may be taken in two ways is left as it was typed, so that check says
 * what to write; the page shows what was read, and the file holds it in full. */
#ifndef DESK_WRITTEN_H
#define DESK_WRITTEN_H

#include "value/value.h"

/* "Wed", "tomorrow", "2 Dec", "Wed 2026-12-02", "2/12" -> "Wednesday 2026-12-02"; a day without its
 * year is looked for in the three weeks after today, and a weekday alone is the next one, never today.
 * All of these: the text, its digits those of ASCII, when it can be read already or cannot be read in one way;
 * owned by the arena. */
const char *written_day(Arena *arena, const char *text, Day today);
/* "8a", "0815", "1:15p", "12n" -> "8 am", "08:15", "1:15 pm", "noon". */
const char *written_clock(Arena *arena, const char *text);
/* "08/2028", "Aug 2028", "31 Aug 2028" -> "2028-08", "2028-08", "2028-08-31". */
const char *written_expiry(Arena *arena, const char *text);

#endif
