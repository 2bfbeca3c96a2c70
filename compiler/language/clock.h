/* clock: the clinic's own way of saying things: its first language for its texts, and times in findings and messages
 * as its clock says them, so that nobody has to
 * compare 20:00 in one line with 8:00 pm in the next.  Never for the sheet, whose words are of the
 * phrase set, nor for machines. */
#ifndef LANGUAGE_CLOCK_H
#define LANGUAGE_CLOCK_H

#include "language/model.h"

/* "11:30 pm" or "23:30"; minutes of the day.  clinic may be NULL.  Owned by the arena. */
char *clinic_clock(Arena *arena, const Clinic *clinic, int minute);
/* TRUE when a span of the clock holds a minute of the day; one may go over midnight. */
gboolean clock_span_holds(const ClockSpan *span, int minute);
/* "Tuesday 2026-11-24 11:30 pm" */
char *clinic_time(Arena *arena, const Clinic *clinic, LocalTime local);
/* A text's version in the clinic's first language, else the first that is written; NULL when there is none. */
const char *clinic_saying(const Clinic *clinic, const Saying *saying);

#endif
