/* scan: see scan.h. */
#include "value/scan.h"

#include <string.h>

#define GS '\x1d'
#define GS_PICTURE "\342\220\235" /* U+241D */

/* ---- item numbers ---- */

/* GS1 General Specifications, section 7.9: from the right, times 3 and 1 in turn. */
static gboolean check_digit_fits(const char *digits, gsize length)
{
    int sum = 0;
    for (gsize i = 0; i < length; i++)
        sum += (digits[length - 1 - i] - '0') * (i % 2 ? 3 : 1);
    return sum % 10 == 0;
}

static gboolean all_digits(const char *text, gsize length)
{
    for (gsize i = 0; i < length; i++)
        if (!g_ascii_isdigit(text[i]))
            return FALSE;
    return TRUE;
}

gboolean item_number_fits(const char *digits)
{
    gsize length = strlen(digits);
    gboolean known = length == 8 || (length >= 12 && length <= SCAN_ITEM);
    return known && all_digits(digits, length) && check_digit_fits(digits, length);
}

gboolean item_number_same(const char *one, const char *other)
{
    return strcmp(one + strspn(one, "0"), other + strspn(other, "0")) == 0;
}

/* ---- parts ---- */

/* Whole parts of a fixed length, by their first two digits (section 7.8, predefined lengths). */
static gsize fixed_length(const char *at)
{
    static const struct { char first[3]; guint8 length; } rows[] = {
        {"00", 20}, {"01", 16}, {"02", 16}, {"03", 16}, {"04", 18}, {"11", 8},  {"12", 8},  {"13", 8},
        {"14", 8},  {"15", 8},  {"16", 8},  {"17", 8},  {"18", 8},  {"19", 8},  {"20", 4},  {"31", 10},
        {"32", 10}, {"33", 10}, {"34", 10}, {"35", 10}, {"36", 10}, {"41", 16}};
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
        if (strncmp(at, rows[i].first, 2) == 0)
            return rows[i].length;
    return 0;
}

/* The signs that a lot or a serial number may have (section 7.11, the set of 82). */
static gboolean sign_fits(char sign)
{
    return g_ascii_isalnum(sign) || (sign && strchr("!\"%&'()*+,-./:;<=>?_", sign));
}

/* Section 7.12: the century that brings the year nearest to this one. */
static int full_year(int two, int year)
{
    int behind = two - year % 100, century = year - year % 100;
    return century + two + (behind >= 51 ? -100 : behind <= -50 ? 100 : 0);
}

static ScanFault take_date(const char *digits, int year, BoxScan *out)
{
    if (!all_digits(digits, 6))
        return SCAN_DATE;
    g_assert(year >= 1900 && year <= 2300);
    int two[3];
    for (int i = 0; i < 3; i++)
        two[i] = (digits[2 * i] - '0') * 10 + digits[2 * i + 1] - '0';
    CalendarDate date = {full_year(two[0], year), two[1], two[2]};
    gboolean month = date.day == 0;
    date.day += month;
    if (!date_exists(date))
        return SCAN_DATE;
    if (month) /* the last day of the month is the one before the next month's first */
        date = date.month == 12 ? (CalendarDate){date.year + 1, 1, 1} : (CalendarDate){date.year, date.month + 1, 1};
    Day day = day_from_date(date) - month;
    if (out->dated && (out->expires != day || out->whole_month != month))
        return SCAN_TWICE;
    out->expires = day;
    out->whole_month = month;
    out->dated = TRUE;
    return SCAN_FINE;
}

static ScanFault take_text(const char *text, gsize length, char *out)
{
    if (length == 0)
        return SCAN_CUT_SHORT;
    for (gsize i = 0; i < length; i++)
        if (!sign_fits(text[i]))
            return SCAN_SIGN;
    if (length > SCAN_TEXT)
        return SCAN_TOO_LONG;
    if (*out && (strlen(out) != length || strncmp(out, text, length) != 0))
        return SCAN_TWICE;
    memcpy(out, text, length);
    out[length] = '\0';
    return SCAN_FINE;
}

static ScanFault take_item(const char *digits, BoxScan *out)
{
    if (!all_digits(digits, SCAN_ITEM))
        return SCAN_SIGN;
    if (!check_digit_fits(digits, SCAN_ITEM))
        return SCAN_CHECK_DIGIT;
    return take_text(digits, SCAN_ITEM, out->item);
}

/* One part, its two digits at its front; length counts them too. */
static ScanFault take_part(const char *part, gsize length, int year, BoxScan *out)
{
    if (strncmp(part, "01", 2) == 0)
        return length == 2 + SCAN_ITEM ? take_item(part + 2, out) : SCAN_CUT_SHORT;
    if (strncmp(part, "17", 2) == 0)
        return length == 8 ? take_date(part + 2, year, out) : SCAN_CUT_SHORT;
    if (strncmp(part, "10", 2) == 0)
        return take_text(part + 2, length - 2, out->lot);
    if (strncmp(part, "21", 2) == 0)
        return take_text(part + 2, length - 2, out->serial);
    return SCAN_FINE;
}

/* ---- as a scanner types it ---- */

/* A date of a part that is none of ours: year, month, day, or 00 for the whole month (section 3.4). */
static gboolean is_date(const char *digits)
{
    int month = all_digits(digits, 6) ? (digits[2] - '0') * 10 + digits[3] - '0' : 0;
    return month >= 1 && month <= 12 && (digits[4] - '0') * 10 + digits[5] - '0' <= 31;
}

#define NATIONAL_LEAST 6 /* digits of a medicine's national number, none of which is so short (from memory) */

/* A serial number, a date (11 to 13, 15 to 17) or a country's number of the medicine (710 to 715) begins here. */
static gboolean begins_part(const char *at)
{
    gsize digits = strspn(at, "0123456789");
    if (strncmp(at, "21", 2) == 0 || (strncmp(at, "17", 2) == 0 && digits >= 8))
        return TRUE;
    if (at[0] == '1' && digits >= 8 && strchr("12356", at[1]))
        return is_date(at + 2);
    return strncmp(at, "71", 2) == 0 && digits >= 3 + NATIONAL_LEAST && at[2] <= '5' && !at[digits];
}

/* Without any GS, what stands last may hold the parts that follow it.  A count (30) or a maker's own number (240)
 * looks as the end of a lot does: such a lot is compared with the box by eye. */
static gboolean runs_on(const char *lot)
{
    for (const char *at = lot + 1; *lot && *at; at++)
        if (begins_part(at))
            return TRUE;
    return FALSE;
}

static ScanFault read_typed(const char *text, int year, BoxScan *out)
{
    gboolean separated = strchr(text, GS) != NULL;
    while (*text) {
        if (*text == GS) { /* behind a part of a fixed length none is needed, and some print one */
            text++;
            continue;
        }
        if (!g_ascii_isdigit(text[0]) || !g_ascii_isdigit(text[1]))
            return SCAN_PART;
        gsize fixed = fixed_length(text), left = strcspn(text, "\x1d");
        if (fixed > left)
            return SCAN_CUT_SHORT;
        ScanFault fault = take_part(text, fixed ? fixed : left, year, out);
        if (fault != SCAN_FINE)
            return fault;
        text += fixed ? fixed : left;
    }
    return !separated && runs_on(out->lot) ? SCAN_RUN_ON : SCAN_FINE;
}

/* ---- as it stands beside the code: brackets round each part's number ---- */

/* Where the next part begins: a lot may hold brackets of its own. */
static const char *next_bracket(const char *text)
{
    for (const char *at = strchr(text, '('); at; at = strchr(at + 1, '(')) {
        gsize digits = strspn(at + 1, "0123456789");
        if (digits >= 2 && digits <= 4 && at[1 + digits] == ')')
            return at;
    }
    return text + strlen(text);
}

static ScanFault read_printed(const char *text, int year, BoxScan *out)
{
    while (*text) {
        gsize number = strspn(text + 1, "0123456789");
        if (*text != '(' || number < 2 || number > 4 || text[1 + number] != ')')
            return SCAN_PART;
        const char *value = text + number + 2, *end = next_bracket(value);
        g_autofree char *part = g_strdup_printf("%.*s%.*s", (int)number, text + 1, (int)(end - value), value);
        g_strchomp(part);
        ScanFault fault = number == 2 ? take_part(part, strlen(part), year, out) : SCAN_FINE;
        if (fault != SCAN_FINE)
            return fault;
        text = end;
    }
    return SCAN_FINE;
}

/* ---- */

/* The text behind the symbology identifier: a bracket, a letter, a digit (section 5, ISO/IEC 15424). */
static const char *behind_identifier(const char *text)
{
    gboolean has = text[0] == ']' && g_ascii_isalpha(text[1]) && g_ascii_isdigit(text[2]);
    return has ? text + 3 : text;
}

gboolean scan_is_one(const char *text)
{
    const char *data = behind_identifier(text);
    gboolean marked = data != text || strchr(text, GS) || strstr(text, GS_PICTURE);
    gboolean printed = *data == '(' && next_bracket(data) == data;
    return marked || printed ||
           (strlen(data) > 2 + SCAN_ITEM && strncmp(data, "01", 2) == 0 && all_digits(data, 2 + SCAN_ITEM));
}

ScanFault scan_read(const char *text, int year, BoxScan *out)
{
    *out = (BoxScan){0};
    g_autoptr(GString) data = g_string_new(behind_identifier(text));
    g_string_replace(data, GS_PICTURE, "\x1d", 0);
    ScanFault fault = data->str[0] == '(' ? read_printed(data->str, year, out) : read_typed(data->str, year, out);
    if (fault != SCAN_FINE)
        return fault;
    return !*out->item ? SCAN_NO_ITEM : !*out->lot ? SCAN_NO_LOT : SCAN_FINE;
}

const char *scan_fault_text(ScanFault fault)
{
    switch (fault) {
    case SCAN_FINE: return "nothing is wrong with it";
    case SCAN_CUT_SHORT: return "it ends in the middle of a part";
    case SCAN_PART: return "where a part should begin stand no two digits";
    case SCAN_CHECK_DIGIT: return "the item number's last digit does not fit to the others";
    case SCAN_DATE: return "its expiry is no day of the calendar";
    case SCAN_SIGN: return "a sign stands in it that the standard does not allow there";
    case SCAN_TOO_LONG: return "lot or serial number is longer than 20 signs";
    case SCAN_TWICE: return "it says one thing twice, and not the same";
    case SCAN_NO_ITEM: return "it holds no item number";
    case SCAN_NO_LOT: return "it holds no lot";
    case SCAN_RUN_ON: return "the scanner left out the sign between the parts, so the lot may hold the next part too";
    }
    g_assert_not_reached();
}

const char *scan_expiry(Arena *arena, const BoxScan *scan)
{
    if (!scan->dated)
        return "";
    CalendarDate date = day_date(scan->expires);
    if (scan->whole_month)
        return arena_format(arena, "%04d-%02d", date.year, date.month);
    return arena_format(arena, "%04d-%02d-%02d", date.year, date.month, date.day);
}
