/* quantity_read: text into exact numbers with units, or a fault that points at
 * the letters in question. */
#include "value/quantity.h"

#include <string.h>

#define MOST_DIGITS 18 /* always fit 64 bits */

/* ---- numbers ---- */

typedef struct Digits {
    gint64 value;
    int count;
} Digits;

static Digits read_digits(const char *text, gsize length)
{
    Digits digits = {0, 0};
    for (gsize i = 0; i < length; i++) {
        if (text[i] == ',')
            continue;
        if (digits.count++ < MOST_DIGITS)
            digits.value = digits.value * 10 + (text[i] - '0');
    }
    return digits;
}

/* Groups of three behind the first comma; digits and commas only. */
static gboolean grouped(const char *text, gsize length)
{
    const char *comma = memchr(text, ',', length);
    if (!comma)
        return TRUE;
    gsize first = (gsize)(comma - text);
    if (first < 1 || first > 3 || (length - first) % 4 != 0)
        return FALSE;
    for (gsize i = first; i < length; i++)
        if ((text[i] == ',') != ((i - first) % 4 == 0))
            return FALSE;
    return TRUE;
}

static gboolean only(const char *text, gsize length, const char *allowed)
{
    for (gsize i = 0; i < length; i++)
        if (text[i] == '\0' || !strchr(allowed, text[i]))
            return FALSE;
    return TRUE;
}

static NumberFault parse_whole(const char *text, gsize length, gint64 *out)
{
    if (length == 0)
        return NUMBER_MISSING;
    if (!only(text, length, "0123456789,"))
        return NUMBER_FORM;
    if (!grouped(text, length))
        return NUMBER_COMMA;
    if (length > 1 && text[0] == '0')
        return NUMBER_LEADING_ZERO;
    Digits digits = read_digits(text, length);
    *out = digits.value;
    return digits.count > MOST_DIGITS ? NUMBER_TOO_LONG : NUMBER_FINE;
}

static NumberFault parse_decimal(const char *text, gsize length, gsize point, Rational *out)
{
    const char *decimals = text + point + 1;
    gsize count = length - point - 1;
    if (!only(decimals, count, "0123456789"))
        return memchr(decimals, ',', count) && !memchr(decimals, '.', count) ? NUMBER_COMMA : NUMBER_FORM;
    if (point == 0)
        return count ? NUMBER_NAKED_DECIMAL : NUMBER_MISSING;
    gint64 whole;
    NumberFault fault = parse_whole(text, point, &whole);
    if (fault != NUMBER_FINE)
        return fault;
    if (count == 0)
        return NUMBER_OPEN_DECIMAL;
    if (decimals[count - 1] == '0')
        return NUMBER_TRAILING_ZERO;
    Digits digits = read_digits(decimals, count);
    if (digits.count > MOST_DIGITS)
        return NUMBER_TOO_LONG;
    gint64 scale = 1;
    for (int i = 0; i < digits.count; i++)
        scale *= 10;
    *out = rational_add(rational_make(whole, 1), rational_make(digits.value, scale));
    return rational_ok(*out) ? NUMBER_FINE : NUMBER_TOO_LONG;
}

/* "1/2" and "1 1/2". */
static NumberFault parse_fraction(const char *text, gsize length, gsize slash, Rational *out)
{
    gint64 whole = 0, num, den;
    const char *space = memchr(text, ' ', slash);
    gsize start = space ? (gsize)(space - text) + 1 : 0;
    NumberFault fault = space ? parse_whole(text, start - 1, &whole) : NUMBER_FINE;
    if (fault == NUMBER_FINE)
        fault = parse_whole(text + start, slash - start, &num);
    if (fault == NUMBER_FINE)
        fault = parse_whole(text + slash + 1, length - slash - 1, &den);
    if (fault != NUMBER_FINE)
        return fault == NUMBER_MISSING ? NUMBER_FORM : fault;
    if (den == 0)
        return NUMBER_ZERO_DENOMINATOR;
    *out = rational_add(rational_make(whole, 1), rational_make(num, den));
    return rational_ok(*out) ? NUMBER_FINE : NUMBER_TOO_LONG;
}

NumberFault rational_parse(const char *text, gsize length, Rational *out)
{
    *out = RATIONAL_OVERFLOW;
    const char *slash = memchr(text, '/', length);
    if (slash)
        return parse_fraction(text, length, (gsize)(slash - text), out);
    const char *point = memchr(text, '.', length);
    if (point)
        return parse_decimal(text, length, (gsize)(point - text), out);
    gint64 whole;
    NumberFault fault = parse_whole(text, length, &whole);
    if (fault == NUMBER_FINE)
        *out = rational_make(whole, 1);
    return fault;
}

/* ---- units ---- */

typedef struct Alias {
    const char *written;
    QuantityFault fault;
    const char *instead;
} Alias;

/* What people write and what to write instead.  The unsafe ones stand on the
 * published lists of error-prone abbreviations (tests/reference/error_prone.csv). */
static const Alias aliases[] = {
    {"U", QUANTITY_UNIT_UNSAFE, "units"}, {"u", QUANTITY_UNIT_UNSAFE, "units"},
    {"IU", QUANTITY_UNIT_UNSAFE, "units"}, {"iu", QUANTITY_UNIT_UNSAFE, "units"},
    {"I.U.", QUANTITY_UNIT_UNSAFE, "units"}, {"cc", QUANTITY_UNIT_UNSAFE, "mL"},
    {"CC", QUANTITY_UNIT_UNSAFE, "mL"}, {"ccm", QUANTITY_UNIT_UNSAFE, "mL"},
    {"ug", QUANTITY_UNIT_UNSAFE, "mcg"}, {"\302\265g", QUANTITY_UNIT_UNSAFE, "mcg"},
    {"\316\274g", QUANTITY_UNIT_UNSAFE, "mcg"}, {"\302\265L", QUANTITY_UNIT_UNSAFE, "mL"},
    {"\316\274L", QUANTITY_UNIT_UNSAFE, "mL"}, {"MU", QUANTITY_UNIT_UNSAFE, "units"},
    {"teaspoon", QUANTITY_UNIT_HOUSEHOLD, "mL"}, {"teaspoons", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"tsp", QUANTITY_UNIT_HOUSEHOLD, "mL"}, {"tablespoon", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"tablespoons", QUANTITY_UNIT_HOUSEHOLD, "mL"}, {"tbsp", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"drop", QUANTITY_UNIT_HOUSEHOLD, "mL"}, {"drops", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"ounce", QUANTITY_UNIT_HOUSEHOLD, "mL"}, {"ounces", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"oz", QUANTITY_UNIT_HOUSEHOLD, "mL"}, {"cup", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"grain", QUANTITY_UNIT_HOUSEHOLD, "mg"}, {"grains", QUANTITY_UNIT_HOUSEHOLD, "mg"},
    {"gr", QUANTITY_UNIT_HOUSEHOLD, "mg"}, {"dram", QUANTITY_UNIT_HOUSEHOLD, "mL"},
    {"hour", QUANTITY_UNIT_UNKNOWN, "h"}, {"hours", QUANTITY_UNIT_UNKNOWN, "h"},
    {"hr", QUANTITY_UNIT_UNKNOWN, "h"}, {"hrs", QUANTITY_UNIT_UNKNOWN, "h"},
    {"minute", QUANTITY_UNIT_UNKNOWN, "min"}, {"minutes", QUANTITY_UNIT_UNKNOWN, "min"},
    {"mins", QUANTITY_UNIT_UNKNOWN, "min"}, {"d", QUANTITY_UNIT_UNKNOWN, "days"},
    {"inch", QUANTITY_UNIT_UNKNOWN, "in"}, {"inches", QUANTITY_UNIT_UNKNOWN, "in"},
    {"\"", QUANTITY_UNIT_UNKNOWN, "in"}, {"in.", QUANTITY_UNIT_UNKNOWN, "in"},
    {"gauge", QUANTITY_UNIT_UNKNOWN, "G"}, {"ga", QUANTITY_UNIT_UNKNOWN, "G"},
    {"milligram", QUANTITY_UNIT_UNKNOWN, "mg"}, {"milligrams", QUANTITY_UNIT_UNKNOWN, "mg"},
    {"microgram", QUANTITY_UNIT_UNKNOWN, "mcg"}, {"micrograms", QUANTITY_UNIT_UNKNOWN, "mcg"},
    {"gram", QUANTITY_UNIT_UNKNOWN, "g"}, {"grams", QUANTITY_UNIT_UNKNOWN, "g"},
    {"millilitre", QUANTITY_UNIT_UNKNOWN, "mL"}, {"millilitres", QUANTITY_UNIT_UNKNOWN, "mL"},
    {"milliliter", QUANTITY_UNIT_UNKNOWN, "mL"}, {"milliliters", QUANTITY_UNIT_UNKNOWN, "mL"},
    {"\302\260C", QUANTITY_UNIT_UNKNOWN, "C"}, {"\302\260F", QUANTITY_UNIT_UNKNOWN, "F"},
    {"deg C", QUANTITY_UNIT_UNKNOWN, "C"}, {"degrees C", QUANTITY_UNIT_UNKNOWN, "C"},
    {"\302\260", QUANTITY_UNIT_UNKNOWN, "degrees"}, {"percent", QUANTITY_UNIT_UNKNOWN, "%"},
    {"kilogram", QUANTITY_UNIT_UNKNOWN, "kg"}, {"kilograms", QUANTITY_UNIT_UNKNOWN, "kg"},
    {"kilos", QUANTITY_UNIT_UNKNOWN, "kg"}, {"lbs", QUANTITY_UNIT_UNKNOWN, "lb"},
    {"pound", QUANTITY_UNIT_UNKNOWN, "lb"}, {"pounds", QUANTITY_UNIT_UNKNOWN, "lb"},
    {"international units", QUANTITY_UNIT_UNKNOWN, "units"},
};

static gboolean same(const char *text, gsize length, const char *word)
{
    return strlen(word) == length && memcmp(text, word, length) == 0;
}

static gboolean is_singular(const char *text, gsize length, Rational number, UnitId *unit)
{
    if (!rational_equal(number, rational_make(1, 1)))
        return FALSE;
    for (int i = 0; i < UNIT_COUNT; i++) {
        const char *one = unit_row((UnitId)i)->one;
        if (one[0] != '\0' && same(text, length, one)) {
            *unit = (UnitId)i;
            return TRUE;
        }
    }
    return FALSE;
}

static QuantityFault find_unit(const char *text, gsize length, Rational number, UnitId *unit,
                               const char **suggestion)
{
    for (int i = 0; i < UNIT_COUNT; i++) {
        if (same(text, length, unit_row((UnitId)i)->symbol)) {
            *unit = (UnitId)i;
            return QUANTITY_FINE;
        }
    }
    if (is_singular(text, length, number, unit))
        return QUANTITY_FINE;
    for (gsize i = 0; i < G_N_ELEMENTS(aliases); i++) {
        if (same(text, length, aliases[i].written)) {
            *suggestion = aliases[i].instead;
            return aliases[i].fault;
        }
    }
    for (int i = 0; i < UNIT_COUNT; i++) {
        const UnitRow *row = unit_row((UnitId)i);
        if (row->one[0] != '\0' && same(text, length, row->one))
            *suggestion = row->symbol;
        const char *symbol = row->symbol;
        if (strlen(symbol) == length && g_ascii_strncasecmp(text, symbol, length) == 0) {
            *suggestion = symbol;
            return QUANTITY_UNIT_CASE;
        }
    }
    return QUANTITY_UNIT_UNKNOWN;
}

/* ---- quantities ---- */

/* The letters of a number, spaces in "1 1/2" and "10 000" included. */
static gsize number_length(const char *text)
{
    gsize length = strspn(text, "0123456789.,/ ");
    while (length > 0 && text[length - 1] == ' ')
        length--;
    return length;
}

static QuantityRead fault_at(const char *text, gsize offset, gsize length, QuantityFault fault)
{
    QuantityRead read = {.fault = fault};
    read.skip = (int)g_utf8_strlen(text, (gssize)offset);
    read.length = (int)g_utf8_strlen(text + offset, (gssize)length);
    return read;
}

static QuantityRead number_fault(const char *text, gsize length, NumberFault fault)
{
    QuantityRead read = fault_at(text, 0, length, QUANTITY_NUMBER);
    read.number_fault = fault;
    return read;
}

/* "1e3", "0x10", "1_000": a number of another language, not a missing space. */
static gboolean foreign_number(const char *after)
{
    return *after != '\0' && strchr("eExX_", *after) && (*after == '_' || g_ascii_isdigit(after[1]));
}

static gsize unit_length(const char *text)
{
    gsize length = 0;
    while (text[length] && !(text[length] == ' ' && g_ascii_isdigit(text[length + 1])))
        length++;
    return length;
}

/* The length of the first word, when a unit is followed by more words. */
static gsize word_length(const char *text) { return strcspn(text, " "); }

static QuantityRead unit_fault(const char *text, gsize offset, gsize length, QuantityFault fault,
                               const char *suggestion)
{
    gsize word = word_length(text + offset);
    UnitId first;
    const char *ignored = NULL;
    if (word < length &&
        find_unit(text + offset, word, RATIONAL_OVERFLOW, &first, &ignored) == QUANTITY_FINE)
        return fault_at(text, offset + word + 1, length - word - 1, QUANTITY_TWO_UNITS);
    QuantityRead read = fault_at(text, offset, length, fault);
    read.suggestion = suggestion;
    return read;
}

static gboolean may_be_zero(Dimension dimension) { return dimension == DIM_TEMPERATURE; }

/* One number and its unit from the start of text; *used bytes. */
static QuantityRead parse_one(const char *text, gsize *used)
{
    Rational number;
    gsize digits = number_length(text);
    if (digits == 0) {
        gboolean word = *text == '\0' || g_ascii_isalpha(*text);
        return number_fault(text, strlen(text), word ? NUMBER_MISSING : NUMBER_FORM);
    }
    const char *after = text + digits;
    if (foreign_number(after))
        return number_fault(text, digits + word_length(after), NUMBER_FORM);
    NumberFault fault = rational_parse(text, digits, &number);
    if (fault != NUMBER_FINE)
        return number_fault(text, digits, fault);
    gsize spaces = strspn(after, " ");
    if (after[spaces] == '\0')
        return fault_at(text, 0, digits, QUANTITY_NO_UNIT);
    gsize start = digits + spaces, length = unit_length(text + start);
    QuantityRead read = {.quantity = {number, UNIT_mL}};
    const char *suggestion = NULL;
    read.fault = find_unit(text + start, length, number, &read.quantity.unit, &suggestion);
    if (spaces == 0 && *after != '%' && read.fault == QUANTITY_FINE)
        return fault_at(text, 0, start + length, QUANTITY_NO_SPACE);
    if (read.fault != QUANTITY_FINE)
        return unit_fault(text, start, length, read.fault, suggestion);
    if (number.num == 0 && !may_be_zero(quantity_dimension(read.quantity)))
        return fault_at(text, 0, digits, QUANTITY_ZERO);
    if (!rational_ok(quantity_base(read.quantity)))
        return fault_at(text, 0, digits, QUANTITY_OVERFLOW);
    *used = start + length;
    return read;
}

QuantityRead quantity_parse(const char *text)
{
    gsize used = 0;
    QuantityRead read = parse_one(text, &used);
    if (read.fault != QUANTITY_FINE || text[used] == '\0')
        return read;
    const char *rest = text + used + 1;
    gsize rest_used = 0;
    QuantityRead more = parse_one(rest, &rest_used);
    int skip = (int)g_utf8_strlen(text, (gssize)used + 1);
    if (more.fault != QUANTITY_FINE) {
        more.skip += skip;
        return more;
    }
    gboolean times = quantity_dimension(read.quantity) == DIM_TIME &&
                     quantity_dimension(more.quantity) == DIM_TIME;
    if (!times || rest[rest_used] != '\0' || read.quantity.unit == UNIT_min ||
        more.quantity.unit == read.quantity.unit)
        return fault_at(text, used + 1, strlen(rest), QUANTITY_TWO_UNITS);
    Quantity added = quantity_in(more.quantity, read.quantity.unit);
    read.quantity.number = rational_add(read.quantity.number, added.number);
    if (!rational_ok(read.quantity.number))
        return fault_at(text, 0, strlen(text), QUANTITY_OVERFLOW);
    return read;
}

/* ---- strength ---- */

/* Where "10,000 units/mL" or "125 mg per 5 mL" divides: *right is its right part. */
static gsize divide(const char *text, const char **right)
{
    const char *per = strstr(text, " per ");
    if (per) {
        *right = per + strlen(" per ");
        return (gsize)(per - text);
    }
    for (const char *slash = strchr(text, '/'); slash; slash = strchr(slash + 1, '/')) {
        if (slash > text && g_ascii_isalpha(slash[-1])) {
            *right = slash + 1;
            return (gsize)(slash - text);
        }
    }
    return 0;
}

QuantityRead strength_parse(const char *text, Strength *out)
{
    const char *right = NULL;
    gsize left_length = divide(text, &right);
    if (left_length == 0)
        return fault_at(text, 0, strlen(text), QUANTITY_NO_UNIT);
    g_autofree char *left = g_strndup(text, left_length);
    QuantityRead read = quantity_parse(left);
    if (read.fault != QUANTITY_FINE)
        return read;
    out->amount = read.quantity;
    gboolean bare = !g_ascii_isdigit(*right);
    g_autofree char *volume = bare ? g_strconcat("1 ", right, NULL) : g_strdup(right);
    int shift = (int)g_utf8_strlen(text, (gssize)(right - text)) - (bare ? 2 : 0);
    QuantityRead second = quantity_parse(volume);
    second.skip = MAX(0, second.skip + shift);
    if (second.fault != QUANTITY_FINE)
        return second;
    out->volume = second.quantity;
    Dimension kind = quantity_dimension(out->amount);
    if (quantity_dimension(out->volume) != DIM_VOLUME || (kind != DIM_MASS && kind != DIM_ACTIVITY))
        return fault_at(text, 0, strlen(text), QUANTITY_UNIT_UNKNOWN);
    if (!rational_ok(strength_base(*out)))
        return fault_at(text, 0, strlen(text), QUANTITY_OVERFLOW);
    second.skip = second.length = 0;
    return second;
}
