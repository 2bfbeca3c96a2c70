/* moment_guess: what a clock time or a date that cannot be read most likely means, so
 * that a message can say what to write, and a form what it would take. */
#include "value/moment.h"

#include <string.h>

/* A forgiving look; the strict reading is moment_read.c's. */
#define CLOCK \
    "^\\s*([0-9]{1,2})(?:\\s*[:.h ]\\s*([0-9]{2})|(?<=[0-9][0-9])([0-9]{2})|\\s?h)?\\s*(?:([ap])\\.?\\s?m\\.?)?\\s*$"

char *moment_plain(const char *text)
{
    GString *plain = g_string_new(NULL);
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        if (g_unichar_isdigit(letter))
            g_string_append_c(plain, (char)('0' + g_unichar_digit_value(letter)));
        else if (letter >= 0xff01 && letter <= 0xff5e) /* full-width forms of ! to ~ */
            g_string_append_c(plain, (char)(letter - 0xff01 + '!'));
        else if (letter > 0x7f && g_unichar_type(letter) == G_UNICODE_SPACE_SEPARATOR)
            g_string_append_c(plain, ' ');
        else
            g_string_append_unichar(plain, letter);
    }
    return g_string_free(plain, FALSE);
}

static char *group(const GMatchInfo *match, int number)
{
    char *text = g_match_info_fetch(match, number);
    if (text && *text)
        return text;
    g_free(text);
    return NULL;
}

static void add(GPtrArray *readings, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void add(GPtrArray *readings, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_ptr_array_add(readings, g_strdup_vprintf(format, facts));
    va_end(facts);
}

static char **finish(GPtrArray *readings)
{
    g_ptr_array_add(readings, NULL);
    return (char **)g_ptr_array_free(readings, FALSE);
}

/* "9 am", "9:30 am" */
static void add_half(GPtrArray *readings, int hour, int minute, char half)
{
    if (minute)
        add(readings, "%d:%02d %cm", hour, minute, half);
    else
        add(readings, "%d %cm", hour, half);
}

char **clock_readings(const char *text)
{
    GPtrArray *readings = g_ptr_array_new();
    g_autoptr(GMatchInfo) match = NULL;
    g_autoptr(GRegex) shape = g_regex_new(CLOCK, G_REGEX_CASELESS, 0, NULL);
    g_autofree char *plain = moment_plain(text);
    g_assert(shape);
    if (!g_regex_match(shape, plain, 0, &match))
        return finish(readings);
    g_autofree char *hours = group(match, 1), *parted = group(match, 2), *joined = group(match, 3);
    g_autofree char *half = group(match, 4);
    const char *minutes = parted ? parted : joined;
    int hour = (int)g_ascii_strtoll(hours, NULL, 10), minute = minutes ? (int)g_ascii_strtoll(minutes, NULL, 10) : 0;
    char side = half ? g_ascii_tolower(half[0]) : '\0';
    gboolean evening = hour > 12 || hour == 0; /* of the 24-hour clock only */
    if (hour > 23 || minute > 59 || (evening && side == 'a' && hour > 0) || (hour == 0 && side == 'p'))
        return finish(readings);
    if (side && !evening) {
        add_half(readings, hour, minute, side);
        return finish(readings);
    }
    if (!side && !evening && strlen(hours) == 1) {
        add_half(readings, hour, minute, 'a');
        add_half(readings, hour, minute, 'p');
    }
    add(readings, "%02d:%02d", hour, minute);
    return finish(readings);
}

/* ---- dates ---- */

static const char *const months[] = {"january", "february", "march",     "april",   "may",      "june",
                                     "july",    "august",   "september", "october", "november", "december"};

/* 1 to 12; 0 when the word is no month, nor the beginning of one. */
static int month_of(const char *word)
{
    g_autofree char *plain = g_ascii_strdown(word, -1);
    for (int i = 0; strlen(plain) >= 3 && i < 12; i++)
        if (g_str_has_prefix(months[i], plain) || (i == 8 && g_str_equal(plain, "sept")))
            return i + 1;
    return 0;
}

static Weekday weekday_of(const char *word)
{
    for (int day = MONDAY; strlen(word) >= 3 && day <= SUNDAY; day++)
        if (g_ascii_strncasecmp(weekday_name((Weekday)day), word, strlen(word)) == 0)
            return (Weekday)day;
    return (Weekday)0;
}

/* One reading, with the weekday that was written when it is that day's. */
static void add_date(GPtrArray *readings, int year, int month, int day, Weekday stated)
{
    CalendarDate date = {year, month, day};
    if (year < 2000 || year > 2199 || !date_exists(date))
        return;
    Weekday real = day_weekday(day_from_date(date));
    if (stated && stated == real)
        add(readings, "%s %04d-%02d-%02d", weekday_name(real), year, month, day);
    else if (!stated)
        add(readings, "%04d-%02d-%02d", year, month, day);
}

typedef struct DateWords {
    Weekday weekday;
    int month;
    int numbers[3], count;
} DateWords;

/* "1st", "22nd" */
static gboolean is_ordinal(const char *ending)
{
    return g_ascii_strcasecmp(ending, "st") == 0 || g_ascii_strcasecmp(ending, "nd") == 0 ||
           g_ascii_strcasecmp(ending, "rd") == 0 || g_ascii_strcasecmp(ending, "th") == 0;
}

/* FALSE when there is something that belongs to no date. */
static gboolean sort_words(const char *text, DateWords *out)
{
    g_autofree char *plain = moment_plain(text);
    g_auto(GStrv) words = g_regex_split_simple("[ ,./-]+", plain, 0, 0);
    for (char **word = words; *word; word++) {
        gsize length = strspn(*word, "0123456789");
        if (!**word)
            continue;
        if (length > 0 && out->count < 3 && (!(*word)[length] || is_ordinal(*word + length)))
            out->numbers[out->count++] = (int)g_ascii_strtoll(*word, NULL, 10);
        else if (!out->month && month_of(*word))
            out->month = month_of(*word);
        else if (!out->weekday && weekday_of(*word))
            out->weekday = weekday_of(*word);
        else
            return FALSE;
    }
    return TRUE;
}

char **day_readings(const char *text)
{
    GPtrArray *readings = g_ptr_array_new();
    DateWords words = {0};
    int *number = words.numbers;
    if (!sort_words(text, &words))
        return finish(readings);
    if (words.count == 1 && !words.month && number[0] > 20000000) {
        add_date(readings, number[0] / 10000, number[0] / 100 % 100, number[0] % 100, words.weekday);
    } else if (words.count == 2 && words.month) {
        gboolean year_first = number[0] > 31;
        add_date(readings, number[year_first ? 0 : 1], words.month, number[year_first ? 1 : 0], words.weekday);
    } else if (words.count == 3 && !words.month && number[0] > 31) {
        add_date(readings, number[0], number[1], number[2], words.weekday);
    } else if (words.count == 3 && !words.month) {
        add_date(readings, number[2], number[1], number[0], words.weekday);
        if (number[0] != number[1])
            add_date(readings, number[2], number[0], number[1], words.weekday);
    }
    return finish(readings);
}

char **month_readings(const char *text)
{
    GPtrArray *readings = g_ptr_array_new();
    DateWords words = {0};
    if (!sort_words(text, &words) || words.weekday || words.count + (words.month > 0) != 2)
        return finish(readings);
    gboolean year_first = words.numbers[0] > 31;
    int year = words.numbers[year_first || words.month ? 0 : 1];
    int month = words.month ? words.month : words.numbers[year_first ? 1 : 0];
    if (year >= 2000 && year <= 2199 && month >= 1 && month <= 12)
        add(readings, "%04d-%02d", year, month);
    return finish(readings);
}
