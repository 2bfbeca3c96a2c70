/* desk_written: see desk/written.h. */
#include "desk/written.h"

#include <string.h>

/* Days.  A trigger stands less than a week before its procedure (common practice, no source), and of two
 * days that differ in the order of day and month alone, 27 days or more apart, one at most is so near.  A
 * course may be months away (the same): both days may be meant, and then neither is taken. */
static const int ahead[] = {[WRITTEN_PROCEDURE] = 21, [WRITTEN_COURSE] = 180};

static gboolean is_day(const char *text, Day *day)
{
    return day_parse(text, day, NULL).fault == MOMENT_FINE;
}

const char *written_in_full(Arena *arena, Day day)
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
static gboolean without_year(Arena *arena, const char *text, Day today, WrittenOf of, Day *day)
{
    int year = day_date(today).year;
    guint count = 0;
    for (int i = 0; i < 2; i++)
        count += count_readings(arena_format(arena, "%s %d", text, year + i), today, today + ahead[of], day);
    return count == 1;
}

/* Digits that a keyboard for another script types are digits. */
static const char *in_ascii(Arena *arena, const char *text)
{
    g_autofree char *plain = moment_plain(text);
    return arena_copy(arena, plain);
}

/* "Wed 2", "Wednesday, 2nd": the next 2nd, when it is a Wednesday. */
static gboolean weekday_and_day(const char *text, Day today, WrittenOf of, Day *day)
{
    g_autoptr(GMatchInfo) match = NULL;
    static const char shape[] = "^([a-z]{3,9})[, ] *(\\d{1,2})(?:st|nd|rd|th)?$";
    if (!g_regex_match(pattern_compiled(shape, G_REGEX_CASELESS), text, 0, &match))
        return FALSE;
    g_autofree char *name = g_match_info_fetch(match, 1), *number = g_match_info_fetch(match, 2);
    const int wanted = (int)g_ascii_strtoll(number, NULL, 10);
    *day = today;
    while (*day <= today + ahead[of] && day_date(*day).day != wanted)
        ++*day;
    return *day <= today + ahead[of] && g_ascii_strncasecmp(weekday_name(day_weekday(*day)), name, strlen(name)) == 0;
}

const char *written_day(Arena *arena, const char *typed, Day today, WrittenOf of)
{
    Day day;
    const char *text = in_ascii(arena, typed);
    MomentFault fault = day_parse(text, &day, NULL).fault;
    if (fault == MOMENT_FINE || fault == MOMENT_WEEKDAY)
        return text;
    g_auto(GStrv) readings = day_readings(text);
    gboolean whole = readings[0] != NULL; /* it has its year */
    if (whole ? !readings[1] && is_day(readings[0], &day)
              : said_from_today(text, today, &day) || weekday_and_day(text, today, of, &day) ||
                    without_year(arena, text, today, of, &day))
        return written_in_full(arena, day);
    return text;
}

/* Of several readings those that the hours hold; the first of each minute. */
static char **clocks_within(Arena *arena, const char *text, const ClockSpan *hours)
{
    gboolean half = *text && strchr("aApP", text[strlen(text) - 1]) != NULL; /* "8a" */
    g_auto(GStrv) readings = clock_readings(half ? arena_format(arena, "%sm", text) : text);
    GPtrArray *within = arena_list(arena);
    int minute, seen[2] = {-1, -1};
    for (char **one = readings; *one; one++) {
        if (clock_parse(*one, &minute).fault != MOMENT_FINE || minute == seen[0] || minute == seen[1] ||
            (readings[1] && hours && !clock_span_holds(hours, minute)))
            continue;
        if (within->len < G_N_ELEMENTS(seen))
            seen[within->len] = minute;
        g_ptr_array_add(within, arena_copy(arena, *one));
    }
    g_ptr_array_add(within, NULL);
    return (char **)within->pdata;
}

static gboolean is_clock(const char *text)
{
    int minute;
    return !*text || clock_parse(text, &minute).fault == MOMENT_FINE;
}

const char *written_clock(Arena *arena, const char *typed, const ClockSpan *hours)
{
    const char *text = in_ascii(arena, typed);
    if (is_clock(text))
        return text;
    if (g_ascii_strcasecmp(text, "12n") == 0 || g_ascii_strcasecmp(text, "12 noon") == 0)
        return "noon";
    char **within = clocks_within(arena, text, hours);
    return within[0] && !within[1] ? within[0] : text;
}

char **written_clocks(Arena *arena, const char *typed, const ClockSpan *hours)
{
    static char *none[] = {NULL};
    const char *text = in_ascii(arena, typed);
    char **within = is_clock(text) ? none : clocks_within(arena, text, hours);
    if (!within[0] && !is_clock(text)) /* outside the hours: all the same it is one of these */
        within = clocks_within(arena, text, NULL);
    return within[0] && within[1] ? within : none;
}

/* "08/2028", "2028/08" */
static gboolean month_in_digits(const char *text, int *year, int *month)
{
    g_autoptr(GMatchInfo) match = NULL;
    static const char shape[] = "^(?:([0-9]{1,2})[/. -](20[0-9]{2})|(20[0-9]{2})[/. -]([0-9]{1,2}))$";
    if (!g_regex_match(pattern_compiled(shape, 0), text, 0, &match))
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

/* ---- a use-by date that may be two ---- */

/* Years of a use-by date, so that a year of two digits is one: an old box too is to be read, and refused. */
#define BEHIND 5
#define KEEPS 15

static void add_way(Arena *arena, GPtrArray *ways, const char *way)
{
    for (guint i = 0; i < ways->len; i++)
        if (strcmp(g_ptr_array_index(ways, i), way) == 0)
            return;
    g_ptr_array_add(ways, arena_copy(arena, way));
}

/* A month and a year of two digits. */
static void add_month(Arena *arena, GPtrArray *ways, int month, const char *digits, Day today)
{
    const int now = day_date(today).year, year = (int)g_ascii_strtoll(digits, NULL, 10);
    if (strlen(digits) == 2 && month >= 1 && month <= 12 && year + 2000 >= now - BEHIND && year + 2000 <= now + KEEPS)
        add_way(arena, ways, arena_format(arena, "%04d-%02d", year + 2000, month));
}

/* A day of the year: the next one. */
static void add_date(Arena *arena, GPtrArray *ways, int month, int of_month, Day today)
{
    for (Day day = today; month >= 1 && month <= 12 && day < today + 366; day++) {
        CalendarDate date = day_date(day);
        if (date.month != month || date.day != of_month)
            continue;
        add_way(arena, ways, arena_format(arena, "%04d-%02d-%02d", date.year, date.month, date.day));
        return;
    }
}

char **written_expiries(Arena *arena, const char *typed, Day today)
{
    const char *text = in_ascii(arena, typed);
    g_autoptr(GMatchInfo) match = NULL;
    static const char shape[] = "^(\\d{1,2})[/. -](\\d{1,2})$";
    GPtrArray *ways = arena_list(arena);
    if (g_regex_match(pattern_compiled(shape, 0), text, 0, &match)) {
        g_autofree char *one = g_match_info_fetch(match, 1), *two = g_match_info_fetch(match, 2);
        int first = (int)g_ascii_strtoll(one, NULL, 10), second = (int)g_ascii_strtoll(two, NULL, 10);
        add_month(arena, ways, first, two, today);
        add_date(arena, ways, first, second, today);
        add_date(arena, ways, second, first, today);
        add_month(arena, ways, second, one, today);
    }
    g_ptr_array_add(ways, NULL);
    return (char **)ways->pdata;
}
