/* Numbers, units and strengths: what is read, what is refused and where. */
#include <string.h>

#include "value/quantity.h"

#include "cmocka_all.h"

typedef struct NumberCase { const char *text; NumberFault fault; gint64 num, den; } NumberCase;

static const NumberCase numbers[] = {
    {"0", NUMBER_FINE, 0, 1}, {"7", NUMBER_FINE, 7, 1}, {"0.5", NUMBER_FINE, 1, 2}, {"10,000", NUMBER_FINE, 10000, 1},
    {"10000", NUMBER_FINE, 10000, 1}, {"1/2", NUMBER_FINE, 1, 2}, {"1 1/2", NUMBER_FINE, 3, 2},
    {"2/4", NUMBER_FINE, 1, 2}, {"1,234,567.25", NUMBER_FINE, 4938269, 4}, {"", NUMBER_MISSING, 0, 0},
    {".", NUMBER_MISSING, 0, 0}, {"1.0", NUMBER_TRAILING_ZERO, 0, 0}, {"0.50", NUMBER_TRAILING_ZERO, 0, 0},
    {".5", NUMBER_NAKED_DECIMAL, 0, 0}, {"5.", NUMBER_OPEN_DECIMAL, 0, 0}, {"05", NUMBER_LEADING_ZERO, 0, 0},
    {"00.5", NUMBER_LEADING_ZERO, 0, 0}, {"1,5", NUMBER_COMMA, 0, 0}, {"10,00", NUMBER_COMMA, 0, 0},
    {"1,2345", NUMBER_COMMA, 0, 0}, {",500", NUMBER_COMMA, 0, 0}, {"1.000.000", NUMBER_FORM, 0, 0},
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

typedef struct AmountCase { const char *text; QuantityFault fault; const char *printed; int skip, length; } AmountCase;

static const AmountCase amounts[] = {
    {"10000 units", QUANTITY_FINE, "10,000 units", 0, 0}, {"1 unit", QUANTITY_FINE, "1 unit", 0, 0},
    {"0.25 mL", QUANTITY_FINE, "0.25 mL", 0, 0}, {"3%", QUANTITY_FINE, "3%", 0, 0},
    {"34 h 30 min", QUANTITY_FINE, "34.5 h", 0, 0}, {"1 1/2 in", QUANTITY_FINE, "1.5 in", 0, 0},
    {"0 C", QUANTITY_FINE, "0 C", 0, 0}, {"5", QUANTITY_NO_UNIT, NULL, 0, 1}, {"1mL", QUANTITY_NO_SPACE, NULL, 0, 3},
    {"1 mL mL", QUANTITY_TWO_UNITS, NULL, 5, 2}, {"10 IU", QUANTITY_UNIT_UNSAFE, NULL, 3, 2},
    {"10 \302\265g", QUANTITY_UNIT_UNSAFE, NULL, 3, 2}, {"2 cc", QUANTITY_UNIT_UNSAFE, NULL, 2, 2},
    {"1 teaspoon", QUANTITY_UNIT_HOUSEHOLD, NULL, 2, 8}, {"2 ml", QUANTITY_UNIT_CASE, NULL, 2, 2},
    {"35 hours", QUANTITY_UNIT_UNKNOWN, NULL, 3, 5}, {"2 unit", QUANTITY_UNIT_UNKNOWN, NULL, 2, 4},
    {"0 mL", QUANTITY_ZERO, NULL, 0, 1}, {"1e309 mL", QUANTITY_NUMBER, NULL, 0, 5}, {"NaN", QUANTITY_NUMBER,
            NULL, 0, 3},
    {"\331\241\331\240 mL", QUANTITY_NUMBER, NULL, 0, 5}, {"34 h 1 h", QUANTITY_TWO_UNITS, NULL, 5, 3},
    {"30 min 1 h", QUANTITY_TWO_UNITS, NULL, 7, 3}, {"999999999999999999 L", QUANTITY_OVERFLOW, NULL, 0, 18},
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
    assert_int_equal(strength_parse("5 mg", &strength).fault, QUANTITY_NO_UNIT);
    assert_int_not_equal(strength_parse("5 mm/mL", &strength).fault, QUANTITY_FINE);
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
        Quantity dose = quantity_make(g_rand_int_range(random, 1, 100000), g_rand_int_range(random, 1, 100), UNIT_mcg);
        Rational volume = volume_for_dose(dose, strength);
        assert_true(rational_ok(volume));
        assert_true(rational_equal(dose_in_volume(volume, strength), quantity_base(dose)));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers), cmocka_unit_test(test_amounts), cmocka_unit_test(test_rounding),
        cmocka_unit_test(test_overflow_is_sticky), cmocka_unit_test(test_conversions), cmocka_unit_test(test_strength),
        cmocka_unit_test(test_there_and_back)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
