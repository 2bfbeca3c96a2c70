/* night_parts: what the files of this room share. */
#ifndef NIGHT_PARTS_H
#define NIGHT_PARTS_H

#include "night/night.h"

/* Codes, medicines and doses of one night that are easily taken for one another. */
void night_mark(Arena *arena, const Night *night);
/* A sign for a state, one column wide. */
const char *night_sign(NightState state);
/* "Friday, December 4, 2026, into Saturday" */
const char *night_title(Arena *arena, const Night *night);
const char *night_phrase(Arena *arena, const Night *night, const char *id, const Filling *fillings, gint64 count);
/* "Saturday, after midnight: ..." and for whom the page is. */
Line *night_after(Arena *arena, const Night *night);
Line *night_count(Arena *arena, const Night *night);
/* "not row 3, 8; B: row 13", or NULL. */
const char *night_rows_words(Arena *arena, const Night *night, const NightRow *row);
/* Who may be due and has no sheet; NULL when nobody. */
const char *night_stopped_words(Arena *arena, const Night *night);

#endif
