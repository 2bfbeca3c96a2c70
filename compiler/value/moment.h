/* moment: days, clock times, zones, instants.  Never reads today's date.
 * Elapsed time counts in UTC; clock times count in a zone of the system's IANA
 * database through GLib (its find_interval on universal time only: other calls
 * snap or guess on gaps and folds). */
#ifndef MOMENT_H
#define MOMENT_H

#include "base/base.h"

typedef gint64 Instant; /* seconds since 1970-01-01T00:00Z */
typedef gint32 Day;     /* days since 1970-01-01, proleptic Gregorian */

typedef struct LocalTime {
    Day day;
    int minute; /* of the day, 0..1439 */
} LocalTime;

typedef enum Weekday { MONDAY = 1, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SATURDAY, SUNDAY } Weekday;

typedef struct CalendarDate { int year, month, day; } CalendarDate;

Day day_from_date(CalendarDate date); /* asserts that the date exists */
CalendarDate day_date(Day day);
Weekday day_weekday(Day day);
const char *weekday_name(Weekday weekday); /* English, for findings and files */
gboolean date_exists(CalendarDate date);

typedef struct Zone Zone;

typedef enum ZoneStatus {
    ZONE_FINE,
    ZONE_UNKNOWN,      /* not in the database; *suggestion may be set */
    ZONE_ABBREVIATION, /* EST, GMT+3, fixed offsets: not a place */
    ZONE_FORM,         /* empty, over 64 letters, "..", leading "/", odd characters */
    ZONE_LINK,         /* an old name; *suggestion is the canonical one; zone is open */
    ZONE_NO_DATABASE,  /* a system error: no zone database on this machine */
} ZoneStatus;

/* Opens a zone by IANA name.  Only names listed in the database's own index are
 * looked at, so no path is ever opened from the text.  Owned by the arena. */
ZoneStatus zone_open(Arena *arena, const char *name, Zone **out, const char **suggestion);
const char *zone_name(const Zone *zone);
/* Once, before anything else: zone names, rules and the version all come from the one
 * database of the system, which the environment (TZDIR) cannot move. */
void zones_settle(void);

/* Version of the zone database as it states it ("2025b"), or "unknown". */
const char *zone_database_version(Arena *arena);

/* The wall clock at an instant, and (may be NULL) the offset from UTC in seconds. */
LocalTime zone_local(const Zone *zone, Instant instant, int *offset);
/* How many instants carry this wall-clock time: 0 (a gap), 1, or 2 (a fold).
 * instants[0] <= instants[1] (earlier first); both set to the one when 1. */
int zone_instants(const Zone *zone, LocalTime local, Instant instants[2]);

typedef struct ClockChange {
    Instant at;
    int offset_before, offset_after; /* seconds */
} ClockChange;

/* The first change of offset with from < at <= until; FALSE when none. */
gboolean zone_change(const Zone *zone, Instant from, Instant until, ClockChange *out);

/* How the clock reads between a gap's two ends, for messages: the wall time just
 * before the change and just after it. */
LocalTime change_before(ClockChange change); /* reading at the change on the old clock */
LocalTime change_after(ClockChange change);

/* Reading of text.  skip/length in code points point at the faulty part. */
typedef enum MomentFault {
    MOMENT_FINE,
    MOMENT_FORM,        /* not of the accepted form */
    MOMENT_NO_DATE,     /* 2027-02-29, 2026-11-31 */
    MOMENT_YEAR,        /* two digits, or outside 2000..2199 */
    MOMENT_ORDER,       /* 03/04/2026, 24.11.2026: write 2026-11-24 */
    MOMENT_WEEKDAY,     /* "Monday 2026-11-24" which is a Tuesday */
    MOMENT_NO_CLOCK,    /* 25:61, 13 pm */
    MOMENT_MIDNIGHT,    /* 12 am, 12 pm, midnight, 00:00, 24:00 */
    MOMENT_MIXED_CLOCK, /* 23:00 pm */
} MomentFault;

typedef struct MomentRead {
    MomentFault fault;
    int skip, length;
} MomentRead;

/* "2026-11-24" or "Tuesday 2026-11-24".  With MOMENT_WEEKDAY *out is still the
 * date and *stated (may be NULL) the weekday written. */
MomentRead day_parse(const char *text, Day *out, Weekday *stated);
/* "9 pm", "9:30 pm", "21:30", "09:05", "noon"; minutes of the day.  "12 pm" and
 * "12 am" are refused, "12:30 pm" is not. */
MomentRead clock_parse(const char *text, int *minute);
/* "2026-11-24 09:30" or RFC 3339 "2026-11-24T09:30-04:00" / "...Z"; with an
 * offset *instant is set and *local is of that offset, else local only. */
MomentRead moment_parse(const char *text, LocalTime *local, gboolean *has_offset, Instant *instant);

/* What a clock time or a date that cannot be read most likely means, in forms that can be
 * read; several when it may be taken for several, none when it is like nothing.  What means
 * midnight or "12 pm" comes alone, and clock_parse() says MOMENT_MIDNIGHT of it.  For a
 * message, and for a form that shows what it took before anything is kept.  Freed with
 * g_strfreev(). */
char **clock_readings(const char *text);
char **day_readings(const char *text);
/* The same of a month and its year ("08/2027", "Aug 2027"), written as "2027-08". */
char **month_readings(const char *text);
/* The text with the digits of any script, full-width forms and other spaces as those of ASCII; to be freed.
 * text: valid UTF-8. */
char *moment_plain(const char *text);

/* Plain forms for findings, plan text and JSON (never for the sheet):
 * "Tuesday 2026-11-24 23:30"; RFC 3339 with offset. */
char *local_text(Arena *arena, LocalTime local);
char *instant_text(Arena *arena, const Zone *zone, Instant instant);
/* "11:30 pm", "12 noon", "12 midnight": for findings, and to be read again but for the last. */
char *clock_text(Arena *arena, int minute);

#endif
