/* What a scanner reads from a box.  The worked values are the standard's own, from memory: GS1
 * General Specifications, section 7.9 (check digits of 18, 13 and 14 digits), 7.12 (centuries),
 * 3.4.7 (day 00: the last day of the month), 7.8 (FNC1 behind what has no fixed length).  Item
 * numbers that begin with 952 are kept by GS1 for examples. */
#include <string.h>

#include "value/scan.h"

#include "cmocka_all.h"

#define GTIN "0109521234543213"

static void test_check_digits(void **state)
{
    (void)state;
    static const char *const fit[] = {"6291041500213", "09501101530003", "09521234543213", "9521234543213",
    "96385074",
                                      "614141000036"};
    for (gsize i = 0; i < G_N_ELEMENTS(fit); i++) {
        assert_true(item_number_fits(fit[i]));
        g_autofree char *slip = g_strdup(fit[i]); /* one digit wrong is always found */
        for (gsize at = 0; slip[at]; at++) {
            char before = slip[at];
            slip[at] = before == '9' ? '0' : (char)(before + 1);
            assert_false(item_number_fits(slip));
            slip[at] = before;
        }
    }
    static const char *const unfit[] = {"", "9", "952123454321", "0952123454321a", "109521234543213"};
    for (gsize i = 0; i < G_N_ELEMENTS(unfit); i++)
        assert_false(item_number_fits(unfit[i]));
    assert_true(item_number_same("09521234543213", "9521234543213"));
    assert_false(item_number_same("09521234543213", "09521234543214"));
}

typedef struct ScanCase { const char *text; ScanFault fault; const char *lot, *serial, *expires; } ScanCase;

static const ScanCase cases[] = {
    {GTIN "1728083110A1234", SCAN_FINE, "A1234", "", "2028-08-31"},
    {"]d2" GTIN "1728083110A1234", SCAN_FINE, "A1234", "", "2028-08-31"},
    {"\x1d" GTIN "10A1234\x1d" "17280831", SCAN_FINE, "A1234", "", "2028-08-31"},
    {GTIN "21S7710\x1d" "1728080010A1234", SCAN_FINE, "A1234", "S7710", "2028-08"},
    {GTIN "\x1d" "17280831\x1d" "10A1234\x1d" "21S77\x1d", SCAN_FINE, "A1234", "S77", "2028-08-31"},
    {GTIN "10A1234\342\220\235" "17280831", SCAN_FINE, "A1234", "", "2028-08-31"},
    {"(01)09521234543213(17)280831(10)A1234(21)S77", SCAN_FINE, "A1234", "S77", "2028-08-31"},
    {"(01)09521234543213 (17)280229 (10)A(1)2", SCAN_FINE, "A(1)2", "", "2028-02-29"},
    {GTIN "11250101" "17280831" "10A1234\x1d" "7141234567", SCAN_FINE, "A1234", "", "2028-08-31"},
    {GTIN "10A1234", SCAN_FINE, "A1234", "", ""},
    {GTIN "17280200" "10A", SCAN_FINE, "A", "", "2028-02"},
    {"0109521234543214" "10A1234", SCAN_CHECK_DIGIT, NULL, NULL, NULL},
    {GTIN "17281331" "10A1234", SCAN_DATE, NULL, NULL, NULL},
    {GTIN "17270229" "10A1234", SCAN_DATE, NULL, NULL, NULL},
    {GTIN "172808" "\x1d" "10A1234", SCAN_CUT_SHORT, NULL, NULL, NULL},
    {GTIN "17280831", SCAN_NO_LOT, NULL, NULL, NULL},
    {"10A1234\x1d" "17280831", SCAN_NO_ITEM, NULL, NULL, NULL},
    {GTIN "10A123417280831", SCAN_RUN_ON, NULL, NULL, NULL}, /* GS was lost on the way */
    {GTIN "1728083110A123421S77", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "10ABCDEFGHIJKLMNOPQRSTU", SCAN_TOO_LONG, NULL, NULL, NULL},
    {GTIN "10A 12", SCAN_SIGN, NULL, NULL, NULL},
    {GTIN "10A1\x1d" "10A2", SCAN_TWICE, NULL, NULL, NULL},
    {GTIN "17280831" "17280831" "10A1", SCAN_FINE, "A1", "", "2028-08-31"},
    {GTIN "17280831" "17280830" "10A1", SCAN_TWICE, NULL, NULL, NULL},
    {GTIN "17280831" "17280800" "10A1", SCAN_TWICE, NULL, NULL, NULL}, /* one says the day, the other the month */
    {GTIN "10A1\342\220\235" "21S7\342\220\235" "17280831", SCAN_FINE, "A1", "S7", "2028-08-31"},
    {GTIN "10ABCDEFGHIJKLMNOPQRST", SCAN_FINE, "ABCDEFGHIJKLMNOPQRST", "", ""}, /* 20 signs */
    {GTIN "10A1\x1d" "10A1", SCAN_FINE, "A1", "", ""},
    {GTIN "10\x1d", SCAN_CUT_SHORT, NULL, NULL, NULL},
    {GTIN "A1", SCAN_PART, NULL, NULL, NULL},
    {"(1)0952", SCAN_PART, NULL, NULL, NULL},
    {"", SCAN_NO_ITEM, NULL, NULL, NULL},
    {"01095212345432a3" "10A", SCAN_SIGN, NULL, NULL, NULL},
    {GTIN "1728a831" "10A", SCAN_DATE, NULL, NULL, NULL},
    {GTIN "10A1\x1d" "10A12", SCAN_TWICE, NULL, NULL, NULL},
    {GTIN "10A1\x1d" "10B1", SCAN_TWICE, NULL, NULL, NULL},
    {"(01)0952(10)A", SCAN_CUT_SHORT, NULL, NULL, NULL},
    {"(01)09521234543213(17)2808(10)A1", SCAN_CUT_SHORT, NULL, NULL, NULL},
    {"(01)09521234543213(714)123(10)A(12345)(x)", SCAN_FINE, "A(12345)(x)", "", ""},
    {"(01)09521234543213(7003)2808311200(10)A1", SCAN_FINE, "A1", "", ""},
    {"(01", SCAN_PART, NULL, NULL, NULL},
    {"(12345)A", SCAN_PART, NULL, NULL, NULL},
    {GTIN "10A17", SCAN_FINE, "A17", "", ""},
    {GTIN "10A1728083", SCAN_FINE, "A1728083", "", ""},
    {GTIN "10A17280831", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "10A21B", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "1728083110A1234" "11260831", SCAN_RUN_ON, NULL, NULL, NULL}, /* the day of making */
    {GTIN "10A1234" "12260831", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "10A1234" "13260800", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "10A1234" "15281231" "7", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "10A1234" "16280101", SCAN_RUN_ON, NULL, NULL, NULL},
    {GTIN "10AB9" "11261331", SCAN_FINE, "AB911261331", "", ""}, /* no month */
    {GTIN "10AB9" "11260031", SCAN_FINE, "AB911260031", "", ""},
    {GTIN "10AB9" "11260832", SCAN_FINE, "AB911260832", "", ""}, /* no day */
    {GTIN "10AB9" "1126083", SCAN_FINE, "AB91126083", "", ""},
    {GTIN "10AB9" "14260831", SCAN_FINE, "AB914260831", "", ""}, /* 14 is no part */
    {GTIN "10A1234" "714123456", SCAN_RUN_ON, NULL, NULL, NULL}, /* a country's number of the medicine */
    {GTIN "10AB9" "71412345", SCAN_FINE, "AB971412345", "", ""},
    {GTIN "10AB9" "716123456", SCAN_FINE, "AB9716123456", "", ""},
    {GTIN "10AB9" "714123456B", SCAN_FINE, "AB9714123456B", "", ""},
    {GTIN "1011260831", SCAN_FINE, "11260831", "", ""}, /* it stands first: it is the lot */
    {GTIN "1021B", SCAN_FINE, "21B", "", ""}, /* a lot may begin as a part does */
    {GTIN "1A", SCAN_PART, NULL, NULL, NULL},
};

static void test_parts(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        BoxScan scan;
        ScanFault fault = scan_read(cases[i].text, 2026, &scan);
        if (fault != cases[i].fault)
            fail_msg("\"%s\": fault %d, should be %d", cases[i].text, fault, cases[i].fault);
        assert_true(strlen(scan_fault_text(fault)) > 0);
        if (fault != SCAN_FINE)
            continue;
        assert_string_equal(scan.item, "09521234543213");
        assert_string_equal(scan.lot, cases[i].lot);
        assert_string_equal(scan.serial, cases[i].serial);
        assert_string_equal(scan_expiry(arena, &scan), cases[i].expires);
    }
    arena_free(arena);
}

/* A day of 00 is the month's last one. */
static void test_whole_months(void **state)
{
    (void)state;
    static const struct { const char *text; CalendarDate last; } months[] = {
        {GTIN "17270800" "10A1", {2027, 8, 31}}, {GTIN "17271200" "10A1", {2027, 12, 31}},
        {GTIN "17280200" "10A1", {2028, 2, 29}}, {GTIN "17270100" "10A1", {2027, 1, 31}}};
    for (gsize i = 0; i < G_N_ELEMENTS(months); i++) {
        BoxScan scan;
        assert_int_equal(scan_read(months[i].text, 2026, &scan), SCAN_FINE);
        assert_true(scan.whole_month);
        assert_int_equal(scan.expires, day_from_date(months[i].last));
    }
}

/* Section 7.12: the two digits less those of this year; from 51 on the century before, to -50 the next one. */
static void test_centuries(void **state)
{
    (void)state;
    static const struct { int year; const char *two; int full; } rows[] = {
        {2026, "28", 2028}, {2026, "26", 2026}, {2026, "76", 2076}, {2026, "77", 1977}, {2026, "99", 1999},
        {2026, "00", 2000}, {2098, "48", 2148}, {2098, "49", 2049}, {2098, "00", 2100}, {2050, "99", 2099}};
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        BoxScan scan;
        g_autofree char *text = g_strdup_printf(GTIN "17%s0100" "10A", rows[i].two);
        assert_int_equal(scan_read(text, rows[i].year, &scan), SCAN_FINE);
        assert_int_equal(day_date(scan.expires).year, rows[i].full);
        assert_int_equal(day_date(scan.expires).day, 31);
    }
}

/* Section 7.8, from memory: the parts whose length is fixed by their first two digits, and how long each is. */
static void test_lengths(void **state)
{
    (void)state;
    static const struct { const char *first; guint length; } rows[] = {
        {"00", 20}, {"02", 16}, {"03", 16}, {"04", 18}, {"11", 8},  {"12", 8},  {"13", 8},  {"14", 8},
        {"15", 8},  {"16", 8},  {"18", 8},  {"19", 8},  {"20", 4},  {"31", 10}, {"32", 10}, {"33", 10},
        {"34", 10}, {"35", 10}, {"36", 10}, {"41", 16}};
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        BoxScan scan;
        g_autofree char *filler = g_strnfill(rows[i].length - 2, '0');
        g_autofree char *whole = g_strconcat(GTIN, rows[i].first, filler, "10A1", NULL);
        g_autofree char *last = g_strconcat(GTIN "10A1\x1d", rows[i].first, filler, NULL);
        g_autofree char *cut = g_strndup(last, strlen(last) - 1);
        assert_int_equal(scan_read(whole, 2026, &scan), SCAN_FINE);
        assert_string_equal(scan.lot, "A1");
        assert_int_equal(scan_read(last, 2026, &scan), SCAN_FINE);
        assert_int_equal(scan_read(cut, 2026, &scan), SCAN_CUT_SHORT);
    }
}

/* What a person types as a lot is none. */
static void test_is_one(void **state)
{
    (void)state;
    static const char *const typed[] = {"A1234", "0109521234543213", "01095212345432", "L-77", "(10", "21S77", "",
                                        "0209521234543213", "0009521234543213X"};
    for (gsize i = 0; i < G_N_ELEMENTS(typed); i++)
        assert_false(scan_is_one(typed[i]));
    assert_true(scan_is_one(GTIN "10A"));
    assert_true(scan_is_one("]d2" GTIN));
    assert_true(scan_is_one("(01)09521234543213(10)A"));
    assert_true(scan_is_one("10A\x1d" "17280831"));
    assert_true(scan_is_one("10A\342\220\235" "17280831"));
    assert_true(scan_is_one("(7003)1"));
    static const char *const no_identifier[] = {"]", "]d", "]2d", "]dd", "01095212345432a310A", "(12345)1", "(a)"};
    for (gsize i = 0; i < G_N_ELEMENTS(no_identifier); i++)
        assert_false(scan_is_one(no_identifier[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_check_digits),
        cmocka_unit_test(test_parts),
        cmocka_unit_test(test_centuries), cmocka_unit_test(test_whole_months),
        cmocka_unit_test(test_is_one),
        cmocka_unit_test(test_lengths),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
