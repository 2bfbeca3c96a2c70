/* moment_read: dates, clock times and moments out of text. */
#include "value/moment.h"

#include <string.h>

#define FIRST_YEAR 2000
#define LAST_YEAR 2199

static MomentRead fault(MomentFault kind, gsize skip, gsize length)
{
    return (MomentRead){kind, (int)skip, (int)MAX(length, 1)};
}

static MomentRead whole_fault(MomentFault kind, const char *text)
{
    return fault(kind, 0, (gsize)g_utf8_strlen(text, -1));
}

/* Reads exactly count digits; FALSE when they are not there. */
static gboolean digits(const char *text, int count, int *out)
{
    *out = 0;
    for (int i = 0; i < count; i++) {
        if (!g_ascii_isdigit(text[i]))
            return FALSE;
        *out = *out * 10 + (text[i] - '0');
    }
    return TRUE;
}

/* ---- dates ---- */

/* "03/04/2026", "24.11.2026", "24-11-2026", "26-11-24". */
static MomentFault other_order(const char *text)
{
    int separators = 0, length = 0, runs[8] = {0};
    for (const char *at = text; *at && separators < 4; at++, length++) {
        if (strchr("/.-", *at))
            separators++;
        else if (g_ascii_isdigit(*at))
            runs[separators]++;
        else
            return MOMENT_FORM;
    }
    if (separators != 2)
        return MOMENT_FORM;
    if (runs[0] == 2 && runs[1] == 2 && runs[2] == 2 && text[2] == '-')
        return MOMENT_YEAR;
    return MOMENT_ORDER;
}

static MomentRead parse_date(const char *text, gsize skip, Day *out)
{
    CalendarDate date;
    gboolean shaped = strlen(text) == 10 && digits(text, 4, &date.year) && text[4] == '-' &&
                      digits(text + 5, 2, &date.month) && text[7] == '-' &&
                      digits(text + 8, 2, &date.day);
    if (!shaped)
        return fault(other_order(text), skip, (gsize)g_utf8_strlen(text, -1));
    if (date.year < FIRST_YEAR || date.year > LAST_YEAR)
        return fault(MOMENT_YEAR, skip, 4);
    if (!date_exists(date))
        return fault(MOMENT_NO_DATE, skip, 10);
    *out = day_from_date(date);
    return (MomentRead){MOMENT_FINE, 0, 0};
}

/* The weekday that text starts with, and its length; 0 when none. */
static gsize leading_weekday(const char *text, Weekday *out)
{
    for (int day = MONDAY; day <= SUNDAY; day++) {
        const char *name = weekday_name((Weekday)day);
        gsize length = strlen(name);
        if (g_ascii_strncasecmp(text, name, length) == 0 && text[length] == ' ') {
            *out = (Weekday)day;
            return length;
        }
    }
    return 0;
}

MomentRead day_parse(const char *text, Day *out, Weekday *stated)
{
    Weekday weekday = MONDAY;
    gsize name = leading_weekday(text, &weekday);
    gsize skip = name > 0 ? name + 1 : 0;
    if (stated)
        *stated = name > 0 ? weekday : (Weekday)0;
    MomentRead read = parse_date(text + skip, skip, out);
    if (read.fault == MOMENT_FINE && name > 0 && day_weekday(*out) != weekday)
        return fault(MOMENT_WEEKDAY, 0, name);
    return read;
}

/* ---- clock times ---- */

typedef enum Half { HALF_NONE, HALF_AM, HALF_PM } Half;

/* "am", "pm" at the end, behind a space; *length becomes that of the rest. */
static Half trailing_half(const char *text, gsize *length)
{
    *length = strlen(text);
    if (*length < 4 || text[*length - 3] != ' ')
        return HALF_NONE;
    const char *word = text + *length - 2;
    Half half = strcmp(word, "am") == 0 ? HALF_AM : strcmp(word, "pm") == 0 ? HALF_PM : HALF_NONE;
    if (half != HALF_NONE)
        *length -= 3;
    return half;
}

/* "9", "09", "9:30", "09:30"; *minute is -1 when none is written. */
static gboolean hour_and_minute(const char *text, gsize length, int *hour, int *minute,
                                gboolean *two_digits)
{
    gsize colon = 0;
    while (colon < length && text[colon] != ':')
        colon++;
    *two_digits = colon == 2;
    *minute = -1;
    if (colon < 1 || colon > 2 || !digits(text, (int)colon, hour))
        return FALSE;
    if (colon == length)
        return TRUE;
    return length == colon + 3 && digits(text + colon + 1, 2, minute);
}

static gboolean says_midnight(const char *text)
{
    static const char *const words[] = {"midnight", "12 midnight", "12:00 midnight", "12 am",
                                        "12 pm",    "12:00 am",    "12:00 pm",       "00:00",
                                        "0:00",     "24:00"};
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++)
        if (g_ascii_strcasecmp(text, words[i]) == 0)
            return TRUE;
    return FALSE;
}

MomentRead clock_parse(const char *text, int *minute)
{
    if (says_midnight(text))
        return whole_fault(MOMENT_MIDNIGHT, text);
    if (strcmp(text, "noon") == 0 || strcmp(text, "12 noon") == 0) {
        *minute = 12 * 60;
        return (MomentRead){MOMENT_FINE, 0, 0};
    }
    gsize length;
    int hour, minutes;
    gboolean two_digits;
    Half half = trailing_half(text, &length);
    if (!hour_and_minute(text, length, &hour, &minutes, &two_digits))
        return whole_fault(MOMENT_FORM, text);
    if (hour > 23 || minutes > 59)
        return whole_fault(MOMENT_NO_CLOCK, text);
    if (half == HALF_NONE && (minutes < 0 || !two_digits))
        return whole_fault(MOMENT_FORM, text);
    if (half != HALF_NONE && (hour > 12 || hour == 0))
        return whole_fault(minutes < 0 ? MOMENT_NO_CLOCK : MOMENT_MIXED_CLOCK, text);
    if (half != HALF_NONE)
        hour = hour % 12 + (half == HALF_PM ? 12 : 0);
    *minute = hour * 60 + MAX(minutes, 0);
    return (MomentRead){MOMENT_FINE, 0, 0};
}

/* ---- moments ---- */

/* "Z", "+05:30", "-04:00"; FALSE when it is none of them. */
static gboolean parse_offset(const char *text, int *seconds)
{
    int hours, minutes;
    if (strcmp(text, "Z") == 0) {
        *seconds = 0;
        return TRUE;
    }
    if ((*text != '+' && *text != '-') || strlen(text) != 6 || !digits(text + 1, 2, &hours) ||
        text[3] != ':' || !digits(text + 4, 2, &minutes) || hours > 14 || minutes > 59)
        return FALSE;
    *seconds = (hours * 60 + minutes) * 60 * (*text == '-' ? -1 : 1);
    return TRUE;
}

MomentRead moment_parse(const char *text, LocalTime *local, gboolean *has_offset, Instant *instant)
{
    if (strlen(text) < 16 || (text[10] != ' ' && text[10] != 'T'))
        return whole_fault(MOMENT_FORM, text);
    g_autofree char *date = g_strndup(text, 10);
    MomentRead read = parse_date(date, 0, &local->day);
    if (read.fault != MOMENT_FINE)
        return read;
    int hour, minute, second = 0, offset = 0;
    if (!digits(text + 11, 2, &hour) || text[13] != ':' || !digits(text + 14, 2, &minute))
        return whole_fault(MOMENT_FORM, text);
    const char *rest = text + 16;
    if (*rest == ':' && digits(rest + 1, 2, &second))
        rest += 3;
    if (hour > 23 || minute > 59 || second > 59)
        return fault(MOMENT_NO_CLOCK, 11, 5);
    local->minute = hour * 60 + minute;
    *has_offset = *rest != '\0';
    if (*has_offset && !parse_offset(rest, &offset))
        return fault(MOMENT_FORM, (gsize)(rest - text), strlen(rest));
    *instant = (Instant)local->day * 86400 + local->minute * 60 + second - offset;
    return (MomentRead){MOMENT_FINE, 0, 0};
}
