/* Numbers, units and strengths: what is read, what is refused and where. */
#include <string.h>

#include "value/quantity.h"

#include "cmocka_all.h"

typedef struct NumberCase { const char *text; NumberFault fault; gint64 num, den; } NumberCase;

static const NumberCase numbers[] = {
    {"0", NUMBER_FINE, 0, 1}, {"7", NUMBER_FINE, 7, 1}, {"0.5", NUMBER_FINE, 1, 2},
    {"10,000", NUMBER_FINE, 10000, 1},
    {"10000", NUMBER_FINE, 10000, 1}, {"1/2", NUMBER_FINE, 1, 2}, {"1 1/2", NUMBER_FINE, 3, 2},
    {"2/4", NUMBER_FINE, 1, 2}, {"1,234,567.25", NUMBER_FINE, 4938269, 4}, {"", NUMBER_MISSING, 0, 0},
    {".", NUMBER_MISSING, 0, 0}, {"1.0", NUMBER_TRAILING_ZERO, 0, 0}, {"0.50", NUMBER_TRAILING_ZERO, 0, 0},
    {".5", NUMBER_NAKED_DECIMAL, 0, 0}, {"5.", NUMBER_OPEN_DECIMAL, 0, 0}, {"05", NUMBER_LEADING_ZERO, 0, 0},
    {"00.5", NUMBER_LEADING_ZERO, 0, 0}, {"1,5", NUMBER_COMMA, 0, 0}, {"10,00", NUMBER_COMMA, 0, 0},
    {"1,2345", NUMBER_COMMA, 0, 0}, {",500", NUMBER_COMMA, 0, 0}, {"1.000.000", NUMBER_FORM, 0, 0},
    {"1.5,5", NUMBER_COMMA, 0, 0}, {"1.5.5", NUMBER_FORM, 0, 0}, {"1.5,5.5", NUMBER_FORM, 0, 0},
    {"1,500.25", NUMBER_FINE, 6001, 4}, {"12,345,678", NUMBER_FINE, 12345678, 1},
    {"123,456", NUMBER_FINE, 123456, 1},
    {"1000,000", NUMBER_COMMA, 0, 0}, {"1,00,0000", NUMBER_COMMA, 0, 0}, {"1,0000,00", NUMBER_COMMA, 0, 0},
    {"1,000000", NUMBER_COMMA, 0, 0}, {"10,000,00", NUMBER_COMMA, 0, 0},
    {"10 000", NUMBER_FORM, 0, 0}, {"-1", NUMBER_FORM, 0, 0}, {"1/0", NUMBER_ZERO_DENOMINATOR, 0, 0},
    {"1/", NUMBER_FORM, 0, 0}, {"1/2/3", NUMBER_FORM, 0, 0},
    {"1234567890123456789012345678901234567890", NUMBER_TOO_LONG, 0, 0}, {"0.1234567890123456789",
            NUMBER_TOO_LONG, 0, 0},
};

static void test_numbers(void **state)
{
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(numbers); i++) {
        Rational out;
        NumberFault fault = rational_parse(numbers[i].text, strlen(numbers[i].text), &out);
        if (fault != numbers[i].fault)
            fail_msg("\"%s\": fault %d instead of %d", numbers[i].text, fault, numbers[i].fault);
        if (fault == NUMBER_FINE && (out.num != numbers[i].num || out.den != numbers[i].den))
            fail_msg("\"%s\": wrong value", numbers[i].text);
    }
}

typedef struct AmountCase { const char *text; QuantityFault fault; const char *printed; int skip, length;
} AmountCase;

static const AmountCase amounts[] = {
    {"10000 units", QUANTITY_FINE, "10,000 units", 0, 0},
    {"1 unit", QUANTITY_FINE, "1 unit", 0, 0},
    {"0.25 mL", QUANTITY_FINE, "0.25 mL", 0, 0},
    {"3%", QUANTITY_FINE, "3%", 0, 0},
    {"34 h 30 min", QUANTITY_FINE, "34.5 h", 0, 0},
    {"1 1/2 in", QUANTITY_FINE, "1.5 in", 0, 0},
    {"0 C", QUANTITY_FINE, "0 C", 0, 0},
    {"5", QUANTITY_NO_UNIT, NULL, 0, 1},
    {"1mL", QUANTITY_NO_SPACE, NULL, 0, 3},
    {"1 mL mL", QUANTITY_TWO_UNITS, NULL, 5, 2},
    {"10 IU", QUANTITY_UNIT_UNSAFE, NULL, 3, 2},
    {"10 \302\265g", QUANTITY_UNIT_UNSAFE, NULL, 3, 2},
    {"2 cc", QUANTITY_UNIT_UNSAFE, NULL, 2, 2},
    {"1 teaspoon", QUANTITY_UNIT_HOUSEHOLD, NULL, 2, 8},
    {"2 ml", QUANTITY_UNIT_CASE, NULL, 2, 2},
    {"35 hours", QUANTITY_UNIT_UNKNOWN, NULL, 3, 5},
    {"2 unit", QUANTITY_UNIT_UNKNOWN, NULL, 2, 4},
    {"0 mL", QUANTITY_ZERO, NULL, 0, 1},
    {"1e309 mL", QUANTITY_NUMBER, NULL, 0, 5},
    {"NaN", QUANTITY_NUMBER, NULL, 0, 3},
    {"\331\241\331\240 mL", QUANTITY_NUMBER, NULL, 0, 5},
    {"34 h 1 h", QUANTITY_TWO_UNITS, NULL, 5, 3},
    {"34 h 30 mins", QUANTITY_UNIT_UNKNOWN, NULL, 8, 4},
    {"34 h 5min", QUANTITY_NO_SPACE, NULL, 5, 4},
    {"30 min 1 h", QUANTITY_TWO_UNITS, NULL, 7, 3},
    {"1 mL 1 min", QUANTITY_TWO_UNITS, NULL, 5, 5},
    {"1 h 1 mL", QUANTITY_TWO_UNITS, NULL, 4, 4},
    {"1 h 1 min 1 min", QUANTITY_TWO_UNITS, NULL, 4, 11},
    {"1_000 mL", QUANTITY_NUMBER, NULL, 0, 5},
    {"1 foo mL", QUANTITY_UNIT_UNKNOWN, NULL, 2, 6},
    {"1 day", QUANTITY_FINE, "1 day", 0, 0},
    {"999999999999999999 L", QUANTITY_OVERFLOW, NULL, 0, 18},
};

static void test_amounts(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    for (gsize i = 0; i < G_N_ELEMENTS(amounts); i++) {
        QuantityRead read = quantity_parse(amounts[i].text);
        if (read.fault != amounts[i].fault || read.skip != amounts[i].skip || read.length != amounts[i].length)
            fail_msg("\"%s\": fault %d at %d, %d", amounts[i].text, read.fault, read.skip, read.length);
        if (amounts[i].printed)
            assert_string_equal(quantity_text(arena, read.quantity), amounts[i].printed);
    }
    arena_free(arena);
}

static void test_rounding(void **state)
{
    (void)state;
    const struct { gint64 num, den, step_num, step_den, wanted_num, wanted_den; } cases[] = {
        {5, 100, 1, 10, 1, 10}, {4, 100, 1, 10, 0, 1}, {-5, 100, 1, 10, -1, 10}, {1, 3, 1, 100, 33, 100},
        {125, 100, 1, 2, 3, 2}, {1243, 1000, 1, 10, 12, 10}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Rational got = rational_round(rational_make(cases[i].num, cases[i].den),
                                      rational_make(cases[i].step_num, cases[i].step_den));
        assert_true(rational_equal(got, rational_make(cases[i].wanted_num, cases[i].wanted_den)));
    }
    assert_int_equal(rational_ceiling(rational_make(7, 2)), 4);
    assert_int_equal(rational_floor(rational_make(-7, 2)), -4);
}

static void test_overflow_is_sticky(void **state)
{
    (void)state;
    Rational huge = rational_make(G_MAXINT64, 1);
    Rational over = rational_mul(huge, huge);
    assert_false(rational_ok(over));
    assert_false(rational_ok(rational_add(over, rational_make(1, 1))));
    assert_false(rational_ok(rational_div(rational_make(1, 1), rational_make(0, 1))));
    assert_true(rational_equal(rational_mul(huge, rational_make(1, G_MAXINT64)), rational_make(1, 1)));
}

/* The largest number there is, one below and one above; either side may be the one that ran over. */
static void test_edges_of_numbers(void **state)
{
    (void)state;
    const Rational most = rational_make(G_MAXINT64, 1), one = rational_make(1, 1),
    below = rational_make(G_MAXINT64 - 1, 1);
    const Rational least = rational_make(-G_MAXINT64, 1), over = rational_add(most, one),
    none = rational_make(0, 1);
    assert_true(rational_equal(rational_add(below, one), most));
    assert_false(rational_ok(over));
    assert_true(rational_ok(least));
    assert_false(rational_ok(rational_sub(least, one)));
    assert_false(rational_ok(rational_div(one, rational_mul(most, rational_make(2, 1)))));
    assert_true(rational_equal(rational_div(one, most), rational_make(1, G_MAXINT64)));
    assert_false(rational_ok(rational_div(rational_make(1, G_MAXINT64), rational_make(2, 1))));
    Rational (*const sums[])(Rational, Rational) = {rational_add, rational_sub, rational_mul, rational_div};
    for (gsize i = 0; i < G_N_ELEMENTS(sums); i++) {
        assert_false(rational_ok(sums[i](over, one)));
        assert_false(rational_ok(sums[i](one, over)));
    }
    assert_false(rational_equal(over, over));
    assert_false(rational_ok(rational_round(over, one)) || rational_ok(rational_round(one, over)));
    assert_false(rational_ok(rational_round(one, none)) || rational_ok(rational_round(one, rational_make(-1, 1))));
    assert_true(rational_equal(rational_difference(rational_make(9, 10), one), rational_make(1, 10)));
    assert_true(rational_equal(rational_difference(rational_make(11, 10), one), rational_make(1, 10)));
    assert_int_equal(rational_floor(rational_make(-4, 2)), -2);
    assert_int_equal(rational_floor(rational_make(7, 2)), 3);
    assert_int_equal(rational_ceiling(rational_make(-7, 2)), -3);
    assert_int_equal(rational_ceiling(rational_make(4, 2)), 2);
    assert_true(rational_compare(one, none) > 0 && rational_compare(none, one) < 0 && rational_compare(one,
    one) == 0);
    assert_true(rational_compare(rational_make(1, 3), rational_make(1, 2)) < 0);
}

static void test_printed(void **state)
{
    (void)state;
    const Rational over = rational_mul(rational_make(G_MAXINT64, 1), rational_make(2, 1));
    const struct { Rational number; int decimals; const char *text; gboolean rounded; } cases[] = {
        {rational_make(0, 1), 6, "0", FALSE}, {rational_make(1, 3), 0, "0", TRUE},
        {rational_make(1, 2), 0, "1", TRUE},
        {rational_make(1, 3), 6, "0.333333", TRUE}, {rational_make(2, 3), 2, "0.67", TRUE},
        {rational_make(1, 4), 2, "0.25", FALSE},
        {rational_make(1, 8), 2, "0.13", TRUE}, {rational_make(-3, 2), 1, "-1.5", FALSE},
        {rational_make(999, 1), 6, "999", FALSE},
        {rational_make(1000, 1), 6, "1,000", FALSE}, {rational_make(1234567, 1), 6, "1,234,567", FALSE},
        {rational_make(100, 1), 6, "100", FALSE}, {rational_make(1, 1000000000), 9, "0.000000001", FALSE},
        {rational_make(G_MAXINT64, 1), 6, "9,223,372,036,854,775,807", FALSE},
        {rational_make(G_MAXINT64, 2), 6, "4,611,686,018,427,387,904", TRUE}, {over, 6, "?", FALSE}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        gboolean rounded = FALSE;
        g_autoptr(GString) text = g_string_new(NULL);
        rational_print(text, cases[i].number, cases[i].decimals, &rounded);
        assert_string_equal(text->str, cases[i].text);
        assert_int_equal(rounded, cases[i].rounded);
    }
}

/* Exact by definition: 1 in is 25.4 mm; 0 C is 32 F and 37 C is 98.6 F. */
static void test_conversions(void **state)
{
    (void)state;
    assert_true(rational_equal(quantity_in(quantity_make(3, 2, UNIT_in), UNIT_mm).number, rational_make(381, 10)));
    assert_true(rational_equal(quantity_in(quantity_make(37, 1, UNIT_C), UNIT_F).number, rational_make(493, 5)));
    assert_true(rational_equal(quantity_in(quantity_make(32, 1, UNIT_F), UNIT_C).number, rational_make(0, 1)));
    assert_int_equal(quantity_compare(quantity_make(36, 1, UNIT_h), quantity_make(2160, 1, UNIT_min)), 0);
}

/* Common practice, no source: 10,000 units with 1 mL drawn back whole is about 1 mL. */
static void test_strength(void **state)
{
    (void)state;
    Strength strength;
    Arena *arena = arena_new();
    assert_int_equal(strength_parse("10,000 units/mL", &strength).fault, QUANTITY_FINE);
    Rational volume = volume_for_dose(quantity_make(10000, 1, UNIT_units), strength);
    assert_true(rational_equal(volume, rational_make(1, 1)));
    assert_true(rational_equal(dose_in_volume(volume, strength), rational_make(10000, 1)));
    assert_false(rational_ok(volume_for_dose(quantity_make(1, 1, UNIT_mg), strength)));
    assert_int_equal(strength_parse("125 mg per 5 mL", &strength).fault, QUANTITY_FINE);
    assert_string_equal(strength_text(arena, strength), "125 mg per 5 mL");
    assert_int_equal(strength_parse("5 mg/ml", &strength).fault, QUANTITY_UNIT_CASE);
    QuantityRead alone = strength_parse("5 mg", &strength);
    assert_true(alone.fault == QUANTITY_NO_UNIT && alone.skip == 0 && alone.length == 4);
    assert_int_not_equal(strength_parse("5 mm/mL", &strength).fault, QUANTITY_FINE);
    assert_int_not_equal(strength_parse("5 mg/mm", &strength).fault, QUANTITY_FINE);
    assert_int_equal(strength_parse("/mL", &strength).fault, QUANTITY_NO_UNIT);
    assert_int_equal(strength_parse("a", &strength).fault, QUANTITY_NO_UNIT);
    QuantityRead fine = strength_parse("1/2 mg/mL", &strength); /* the first slash belongs to the number */
    assert_true(fine.fault == QUANTITY_FINE && fine.skip == 0 && fine.length == 0);
    assert_true(rational_equal(strength.amount.number, rational_make(1, 2)));
    fine = strength_parse("5 units/0.5 mL", &strength);
    assert_true(fine.fault == QUANTITY_FINE && fine.skip == 0 && fine.length == 0);
    assert_string_equal(strength_text(arena, strength), "5 units per 0.5 mL");
    QuantityRead faulty = strength_parse("125 mg per 5 ml", &strength);
    assert_true(faulty.fault == QUANTITY_UNIT_CASE && faulty.skip == 13 && faulty.length == 2);
    faulty = strength_parse("125 mg/ml", &strength);
    assert_true(faulty.fault == QUANTITY_UNIT_CASE && faulty.skip == 7 && faulty.length == 2);
    arena_free(arena);
}

/* Random doses go to a volume and come back the same. */
static void test_there_and_back(void **state)
{
    (void)state;
    g_autoptr(GRand) random = g_rand_new_with_seed(7);
    for (int i = 0; i < 20000; i++) {
        Strength strength = {quantity_make(g_rand_int_range(random, 1, 100000), g_rand_int_range(random, 1,
                100), UNIT_mg),
                             quantity_make(g_rand_int_range(random, 1, 1000), 100, UNIT_mL)};
        Quantity dose = quantity_make(g_rand_int_range(random, 1, 100000), g_rand_int_range(random, 1, 100),
        UNIT_mcg);
        Rational volume = volume_for_dose(dose, strength);
        assert_true(rational_ok(volume));
        assert_true(rational_equal(dose_in_volume(volume, strength), quantity_base(dose)));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers), cmocka_unit_test(test_amounts), cmocka_unit_test(test_rounding),
        cmocka_unit_test(test_overflow_is_sticky),
        cmocka_unit_test(test_edges_of_numbers), cmocka_unit_test(test_printed),
        cmocka_unit_test(test_conversions), cmocka_unit_test(test_strength),
        cmocka_unit_test(test_there_and_back)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
