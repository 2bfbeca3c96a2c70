/* desk_written: see desk/written.h. */
#include "desk/written.h"

#include <string.h>

/* Days.  A trigger stands less than a week before its procedure (common practice, no source), and of two
 * days that differ in the order of day and month alone, 27 days or more apart, one at most is so near. */
#define AHEAD 21

static gboolean is_day(const char *text, Day *day)
{
    return day_parse(text, day, NULL).fault == MOMENT_FINE;
}

static const char *day_in_full(Arena *arena, Day day)
{
    CalendarDate date = day_date(day);
    return arena_format(arena, "%s %04d-%02d-%02d", weekday_name(day_weekday(day)), date.year, date.month, date.day);
}

/* "Wed", "wednesday": the next one; FALSE of anything else, and of the weekday that is today. */
static gboolean next_weekday(const char *text, Day today, Day *day)
{
    gsize length = strlen(text);
    for (Day one = today + 1; length >= 3 && one < today + 7; one++) {
        if (g_ascii_strncasecmp(weekday_name(day_weekday(one)), text, length) != 0)
            continue;
        *day = one;
        return TRUE;
    }
    return FALSE;
}

static gboolean said_from_today(const char *text, Day today, Day *day)
{
    if (g_ascii_strcasecmp(text, "today") == 0)
        *day = today;
    else if (g_ascii_strcasecmp(text, "tomorrow") == 0)
        *day = today + 1;
    else
        return next_weekday(text, today, day);
    return TRUE;
}

/* Counts the readings from this day to that one, and keeps the last. */
static guint count_readings(const char *text, Day from, Day until, Day *day)
{
    g_auto(GStrv) readings = day_readings(text);
    guint count = 0;
    for (char **one = readings; *one; one++) {
        Day read;
        if (!is_day(*one, &read) || read < from || read > until)
            continue;
        *day = read;
        count++;
    }
    return count;
}

/* "2 Dec", "Wed 2 Dec", "2/12": in this year or the next. */
static gboolean without_year(Arena *arena, const char *text, Day today, Day *day)
{
    int year = day_date(today).year;
    guint count = 0;
    for (int i = 0; i < 2; i++)
        count += count_readings(arena_format(arena, "%s %d", text, year + i), today, today + AHEAD, day);
    return count == 1;
}

/* Digits that a keyboard for another script types are digits. */
static const char *in_ascii(Arena *arena, const char *text)
{
    g_autofree char *plain = moment_plain(text);
    return arena_copy(arena, plain);
}

const char *written_day(Arena *arena, const char *typed, Day today)
{
    Day day;
    const char *text = in_ascii(arena, typed);
    MomentFault fault = day_parse(text, &day, NULL).fault;
    if (fault == MOMENT_FINE || fault == MOMENT_WEEKDAY)
        return text;
    g_auto(GStrv) readings = day_readings(text);
    gboolean whole = readings[0] != NULL; /* it has its year */
    if (whole ? !readings[1] && is_day(readings[0], &day)
              : said_from_today(text, today, &day) || without_year(arena, text, today, &day))
        return day_in_full(arena, day);
    return text;
}

const char *written_clock(Arena *arena, const char *typed)
{
    int minute;
    const char *text = in_ascii(arena, typed);
    gsize length = strlen(text);
    if (!*text || clock_parse(text, &minute).fault == MOMENT_FINE)
        return text;
    if (g_ascii_strcasecmp(text, "12n") == 0 || g_ascii_strcasecmp(text, "12 noon") == 0)
        return "noon";
    gboolean half = strchr("aApP", text[length - 1]) != NULL; /* "8a" */
    g_auto(GStrv) readings = clock_readings(half ? arena_format(arena, "%sm", text) : text);
    gboolean one = readings[0] && !readings[1] && clock_parse(readings[0], &minute).fault == MOMENT_FINE;
    return one ? arena_copy(arena, readings[0]) : text;
}

/* "08/2028", "2028/08" */
static gboolean month_in_digits(const char *text, int *year, int *month)
{
    g_autoptr(GMatchInfo) match = NULL;
    g_autoptr(GRegex) shape =
        g_regex_new("^(?:([0-9]{1,2})[/. -](20[0-9]{2})|(20[0-9]{2})[/. -]([0-9]{1,2}))$", 0, 0, NULL);
    g_assert(shape);
    if (!g_regex_match(shape, text, 0, &match))
        return FALSE;
    g_autofree char *first = g_match_info_fetch(match, 1);
    gboolean month_first = first && *first;
    g_autofree char *months = g_match_info_fetch(match, month_first ? 1 : 4);
    g_autofree char *years = g_match_info_fetch(match, month_first ? 2 : 3);
    *month = (int)g_ascii_strtoll(months, NULL, 10);
    *year = (int)g_ascii_strtoll(years, NULL, 10);
    return *month >= 1 && *month <= 12;
}

const char *written_expiry(Arena *arena, const char *typed)
{
    const char *text = in_ascii(arena, typed);
    int year, month;
    Day day;
    if (month_in_digits(text, &year, &month))
        return arena_format(arena, "%04d-%02d", year, month);
    if (is_day(text, &day))
        return text;
    g_auto(GStrv) days = day_readings(text);
    if (days[0])
        return !days[1] && is_day(days[0], &day) ? arena_copy(arena, days[0]) : text;
    if (!g_ascii_isalpha(*text)) /* "13/2028" is no thirteenth of January */
        return text;
    g_auto(GStrv) months = day_readings(arena_format(arena, "1 %s", text)); /* "Aug 2028" */
    return months[0] && !months[1] && is_day(months[0], &day) ? arena_format(arena, "%.7s", months[0]) : text;
}
