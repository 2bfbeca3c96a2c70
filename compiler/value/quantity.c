/* quantity: exact sums, units and printing; reading stands in quantity_read.c. */
#include "value/quantity.h"

#include <string.h>

typedef __int128 Wide;

/* ---- rationals ---- */

static Wide wide_gcd(Wide a, Wide b)
{
    while (b != 0) {
        Wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static gint64 narrow_gcd(gint64 a, gint64 b)
{
    while (b != 0) {
        gint64 rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static gboolean is_narrow(Wide number) { return number <= G_MAXINT64 && number >= -(Wide)G_MAXINT64; }

/* As reduced() does it for any, in the processor's own numbers. */
static Rational reduced_narrow(gint64 num, gint64 den)
{
    if (den < 0) {
        num = -num;
        den = -den;
    }
    gint64 common = narrow_gcd(num < 0 ? -num : num, den);
    return (Rational){num / common, den / common};
}

/* In lowest terms, or the overflow mark when it does not fit 64 bits. */
static Rational reduced(Wide num, Wide den)
{
    if (den == 0)
        return RATIONAL_OVERFLOW;
    if (is_narrow(num) && is_narrow(den))
        return reduced_narrow((gint64)num, (gint64)den);
    if (den < 0) {
        num = -num;
        den = -den;
    }
    Wide common = wide_gcd(num < 0 ? -num : num, den);
    num /= common;
    den /= common;
    if (!is_narrow(num) || !is_narrow(den))
        return RATIONAL_OVERFLOW;
    return (Rational){(gint64)num, (gint64)den};
}

Rational rational_make(gint64 num, gint64 den)
{
    g_assert(den != 0);
    return reduced(num, den);
}

gboolean rational_ok(Rational a) { return a.den > 0; }

/* Cross products of 63-bit numbers fit 126 bits; their sum fits 127. */
static Rational cross_sum(Rational a, Rational b, int sign)
{
    if (!rational_ok(a) || !rational_ok(b))
        return RATIONAL_OVERFLOW;
    return reduced((Wide)a.num * b.den + sign * ((Wide)b.num * a.den), (Wide)a.den * b.den);
}

Rational rational_add(Rational a, Rational b) { return cross_sum(a, b, 1); }
Rational rational_sub(Rational a, Rational b) { return cross_sum(a, b, -1); }

Rational rational_mul(Rational a, Rational b)
{
    if (!rational_ok(a) || !rational_ok(b))
        return RATIONAL_OVERFLOW;
    return reduced((Wide)a.num * b.num, (Wide)a.den * b.den);
}

Rational rational_div(Rational a, Rational b)
{
    if (!rational_ok(a) || !rational_ok(b) || b.num == 0)
        return RATIONAL_OVERFLOW;
    return reduced((Wide)a.num * b.den, (Wide)a.den * b.num);
}

int rational_compare(Rational a, Rational b)
{
    g_assert(rational_ok(a) && rational_ok(b));
    Wide left = (Wide)a.num * b.den, right = (Wide)b.num * a.den;
    return (left > right) - (left < right);
}

gboolean rational_equal(Rational a, Rational b)
{
    return rational_ok(a) && rational_ok(b) && a.num == b.num && a.den == b.den;
}

/* The largest whole number at most num/den. */
static Wide wide_floor(Wide num, Wide den)
{
    Wide whole = num / den;
    return num % den != 0 && num < 0 ? whole - 1 : whole;
}

Rational rational_round(Rational a, Rational step)
{
    Rational steps = rational_div(a, step);
    if (!rational_ok(steps) || step.num <= 0)
        return RATIONAL_OVERFLOW;
    Wide size = steps.num < 0 ? -(Wide)steps.num : steps.num;
    Wide whole = wide_floor(2 * size + steps.den, 2 * (Wide)steps.den);
    return rational_mul(reduced(steps.num < 0 ? -whole : whole, 1), step);
}

gint64 rational_floor(Rational a)
{
    g_assert(rational_ok(a));
    return (gint64)wide_floor(a.num, a.den);
}

gint64 rational_ceiling(Rational a)
{
    g_assert(rational_ok(a));
    return (gint64)-wide_floor(-(Wide)a.num, a.den);
}

Rational rational_difference(Rational a, Rational b)
{
    Rational apart = rational_div(rational_sub(a, b), b);
    if (rational_ok(apart) && apart.num < 0)
        apart.num = -apart.num;
    return apart;
}

/* ---- printing ---- */

static void print_whole(GString *out, gint64 whole)
{
    char digits[32];
    int length = g_snprintf(digits, sizeof digits, "%" G_GINT64_FORMAT, whole);
    for (int i = 0; i < length; i++) {
        g_string_append_c(out, digits[i]);
        if ((length - i - 1) % 3 == 0 && i + 1 < length)
            g_string_append_c(out, ',');
    }
}

void rational_print(GString *out, Rational a, int max_decimals, gboolean *rounded)
{
    g_assert(max_decimals >= 0 && max_decimals <= 9);
    if (!rational_ok(a)) {
        g_string_append_c(out, '?');
        return;
    }
    gint64 scale = 1;
    for (int i = 0; i < max_decimals; i++)
        scale *= 10;
    Rational shown = rational_round(a, rational_make(1, scale));
    if (!rational_ok(shown))
        shown = rational_round(a, rational_make(1, 1)); /* so large a number needs no decimals */
    if (!rational_ok(shown)) {
        g_string_append_c(out, '?');
        return;
    }
    if (rounded && !rational_equal(shown, a))
        *rounded = TRUE;
    if (shown.num < 0)
        g_string_append_c(out, '-');
    gint64 size = shown.num < 0 ? -shown.num : shown.num;
    print_whole(out, size / shown.den);
    gint64 rest = size % shown.den;
    if (rest != 0)
        g_string_append_c(out, '.');
    while (rest != 0) {
        Wide next = (Wide)rest * 10;
        g_string_append_c(out, (char)('0' + (int)(next / shown.den)));
        rest = (gint64)(next % shown.den);
    }
}

/* ---- units ---- */

static const UnitRow units[UNIT_COUNT] = {
#define PHRASE_SYMBOL(id) NULL
#define PHRASE_SPAN(id) NULL
#define PHRASE_WORD(id) "unit_" #id
#define UNIT(id, symbol, one, printed, dimension, num, den) \
    {symbol, one, PHRASE_##printed(id), dimension, {num, den}},
#include "value/units.def"
};

static const char *const dimensions[DIM_COUNT] = {
#define DIMENSION(id, word) word,
#include "value/units.def"
};

const UnitRow *unit_row(UnitId unit)
{
    g_assert(unit < UNIT_COUNT);
    return &units[unit];
}

const char *dimension_word(Dimension dimension)
{
    g_assert(dimension < DIM_COUNT);
    return dimensions[dimension];
}

Dimension quantity_dimension(Quantity q) { return unit_row(q.unit)->dimension; }

Rational quantity_base(Quantity q)
{
    Rational number = q.number;
    if (q.unit == UNIT_F)
        number = rational_sub(number, rational_make(32, 1));
    return rational_mul(number, unit_row(q.unit)->in_base);
}

Quantity quantity_in(Quantity q, UnitId unit)
{
    g_assert(quantity_dimension(q) == unit_row(unit)->dimension);
    Rational number = rational_div(quantity_base(q), unit_row(unit)->in_base);
    if (unit == UNIT_F)
        number = rational_add(number, rational_make(32, 1));
    return (Quantity){number, unit};
}

int quantity_compare(Quantity a, Quantity b)
{
    g_assert(quantity_dimension(a) == quantity_dimension(b));
    return rational_compare(quantity_base(a), quantity_base(b));
}

Quantity quantity_make(gint64 num, gint64 den, UnitId unit)
{
    return (Quantity){rational_make(num, den), unit};
}

static void quantity_print(GString *out, Quantity q)
{
    gboolean one = rational_equal(q.number, rational_make(1, 1));
    rational_print(out, q.number, 6, NULL);
    if (q.unit == UNIT_percent) {
        g_string_append_c(out, '%');
        return;
    }
    const char *symbol = unit_row(q.unit)->symbol;
    gboolean counted = q.unit == UNIT_units || q.unit == UNIT_days || q.unit == UNIT_degrees;
    gsize length = strlen(symbol) - (counted && one ? 1 : 0);
    g_string_append_c(out, ' ');
    g_string_append_len(out, symbol, (gssize)length);
}

char *quantity_text(Arena *arena, Quantity q)
{
    g_autoptr(GString) text = g_string_new(NULL);
    quantity_print(text, q);
    return arena_copy(arena, text->str);
}

/* ---- strength ---- */

static Rational millilitres(Quantity volume)
{
    return quantity_in(volume, UNIT_mL).number;
}

Rational strength_base(Strength strength)
{
    return rational_div(quantity_base(strength.amount), millilitres(strength.volume));
}

char *strength_text(Arena *arena, Strength strength)
{
    g_autoptr(GString) text = g_string_new(NULL);
    quantity_print(text, strength.amount);
    if (rational_equal(strength.volume.number, rational_make(1, 1))) {
        g_string_append_printf(text, "/%s", unit_row(strength.volume.unit)->symbol);
    } else {
        g_string_append(text, " per ");
        quantity_print(text, strength.volume);
    }
    return arena_copy(arena, text->str);
}

Rational volume_for_dose(Quantity dose, Strength strength)
{
    if (quantity_dimension(dose) != quantity_dimension(strength.amount))
        return RATIONAL_OVERFLOW;
    Rational parts = rational_div(quantity_base(dose), quantity_base(strength.amount));
    return rational_mul(parts, millilitres(strength.volume));
}

Rational dose_in_volume(Rational volume_ml, Strength strength)
{
    return rational_mul(volume_ml, strength_base(strength));
}
