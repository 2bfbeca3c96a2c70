/* written: what stands on a whiteboard is written out when it means one thing, and left when it means two. */
#include "cmocka_all.h"

#include "desk/written.h"

#define TODAY ((CalendarDate){2026, 11, 30}) /* a Monday */

static Arena *arena;

static int set_up(void **state)
{
    *state = arena = arena_new();
    return 0;
}

static int tear_down(void **state)
{
    arena_free(*state);
    return 0;
}

static const char *day(const char *text) { return written_day(arena, text, day_from_date(TODAY), WRITTEN_PROCEDURE); }

static void days_that_mean_one(void **state)
{
    static const char *const ways[] = {"Wed", "wednesday", "WED", "2 Dec", "Dec 2", "2nd December", "Wed 2 Dec",
                                       "Wed, Dec 2", "Wed 2", "Wednesday, 2nd",
                                       "Wed 2026-12-02", "2026/12/02", "2 Dec 2026", "20261202", "２ Dec",
                                       "٢ Dec"};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(ways); i++)
        assert_string_equal(day(ways[i]), "Wednesday 2026-12-02");
    assert_string_equal(day("tomorrow"), "Tuesday 2026-12-01");
    assert_string_equal(day("today"), "Monday 2026-11-30");
    assert_string_equal(day("2/12"), "Wednesday 2026-12-02"); /* 12 February is no day of the next three weeks */
    assert_string_equal(day("12-2"), "Wednesday 2026-12-02");
    assert_string_equal(day("13/12/2026"), "Sunday 2026-12-13");
}

static void a_year_turns(void **state)
{
    (void)state;
    Day late = day_from_date((CalendarDate){2026, 12, 30});
    assert_string_equal(written_day(arena, "1 Jan", late, WRITTEN_PROCEDURE), "Friday 2027-01-01");
    assert_string_equal(written_day(arena, "Fri", late, WRITTEN_PROCEDURE), "Friday 2027-01-01");
}

static void days_that_stay(void **state)
{
    /* today's weekday, two orders, the wrong weekday, a day that was, one too far, no date, as it was */
    static const char *const stay[] = {"Mon", "02/12/2026", "Tue 2 Dec", "Tuesday 2026-12-02", "28 Nov", "2 Feb", "3/2",
                                       "31 Nov", "soon", "Tue 2", "Wed 24", "Mon 30 Dec",
                                       "", "T", "we", "2026-12-02", "Wednesday 2026-12-02",
                                       "12/12/12", "2pm Dec"};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(stay); i++)
        assert_string_equal(day(stay[i]), stay[i]);
}

/* A course may begin months away, so what may be two of its days is none of them. */
static void days_of_a_course(void **state)
{
    (void)state;
    Day late = day_from_date((CalendarDate){2026, 12, 29});
    static const struct { const char *typed, *read; } days[] = {
        {"2/1", "2/1"}, {"1/2", "1/2"}, {"1/3", "1/3"}, {"2 Jan", "Saturday 2027-01-02"},
        {"1 Feb", "Monday 2027-02-01"},
        {"29/12", "Tuesday 2026-12-29"}, {"31/1", "Sunday 2027-01-31"}, {"3/3", "Wednesday 2027-03-03"},
        {"27 Jun", "Sunday 2027-06-27"}, {"28 Jun", "28 Jun"}, {"Sat 2", "Saturday 2027-01-02"}, {"Sun 2", "Sun 2"}};
    for (gsize i = 0; i < G_N_ELEMENTS(days); i++)
        assert_string_equal(written_day(arena, days[i].typed, late, WRITTEN_COURSE), days[i].read);
    assert_string_equal(written_day(arena, "2/1", late, WRITTEN_PROCEDURE), "Saturday 2027-01-02");
}

static void hours(void **state)
{
    static const char *const ways[][2] = {
        {"8a", "8 am"}, {"8:30 A", "8:30 am"}, {"1:15p", "1:15 pm"}, {"0815", "08:15"}, {"1330", "13:30"},
        {"2１:30", "21:30"}, {"１３：３０", "13:30"}, {"٠٨١٥", "08:15"}, {"８ａ", "8 am"},
        {"8am", "8 am"}, {"9.45 am", "9:45 am"}, {"12n", "noon"}, {"noon", "noon"}, {"13:30", "13:30"}, {"11 am",
        "11 am"},
        /* these stay */
        {"7:30", "7:30"}, {"9", "9"}, {"9.45", "9.45"}, {"12p", "12p"}, {"12 am", "12 am"}, {"815", "815"},
        {"25:00", "25:00"}, {"p", "p"}, {"", ""}, {"early", "early"}};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(ways); i++)
        assert_string_equal(written_clock(arena, ways[i][0], NULL), ways[i][1]);
}

/* A clinic's hours for procedures decide where they hold one meaning alone, and never make a third. */
static void hours_of_a_clinic(void **state)
{
    static const ClockSpan morning = {.from = 7 * 60, .until = 14 * 60}, always = {.all_day = TRUE},
                           night = {.from = 20 * 60, .until = 8 * 60};
    const struct { const char *typed; const ClockSpan *hours; const char *taken, *ways; } rows[] = {
        {"8.00", &morning, "8 am", ""}, {"1:30", &morning, "1:30 pm", ""}, {"8.00", NULL, "8.00", "8 am|8 pm"},
        {"8:30", &always, "8:30", "8:30 am|8:30 pm"}, {"5:30", &morning, "5:30", "5:30 am|5:30 pm"},
        {"7", &night, "7 am", ""}, {"8", &night, "8", "8 am|8 pm"}, {"8 pm", &morning, "8 pm", ""},
        {"0815", &morning, "08:15", ""}, {"2015", &morning, "20:15", ""}, {"early", &morning, "early", ""}};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *ways = g_strjoinv("|", written_clocks(arena, rows[i].typed, rows[i].hours));
        assert_string_equal(written_clock(arena, rows[i].typed, rows[i].hours), rows[i].taken);
        assert_string_equal(ways, rows[i].ways);
    }
}

static void expiries_that_mean_two(void **state)
{
    static const char *const rows[][2] = {
        {"8/27", "2027-08|2027-08-27"}, {"08/28", "2028-08|2027-08-28"}, {"8/10", "2027-08-10|2027-10-08"},
        {"8/20", "2027-08-20"}, {"8/21", "2021-08|2027-08-21"},
        {"27/8", "2027-08-27|2027-08"}, {"11/26", "2026-11|2027-11-26"}, {"10/26", "2026-10|2027-10-26"},
        {"12/41", "2041-12"},
        {"12/42", ""}, {"2/29", "2029-02"}, {"Aug 2028", ""}, {"", ""}};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *ways = g_strjoinv("|", written_expiries(arena, rows[i][0], day_from_date(TODAY)));
        assert_string_equal(ways, rows[i][1]);
    }
}

static void expiries(void **state)
{
    static const char *const ways[][2] = {
        {"08/2028", "2028-08"}, {"8-2028", "2028-08"}, {"2028/08", "2028-08"}, {"2028-08", "2028-08"},
        {"Aug 2028", "2028-08"}, {"AUG-2028", "2028-08"}, {"31 Aug 2028", "2028-08-31"}, {"2028-08-31", "2028-08-31"},
        {"2028/08/31", "2028-08-31"}, {"1２/2028", "2028-12"}, {"２０２８-０８", "2028-08"},
        /* these stay */
        {"8/28", "8/28"}, {"13/2028", "13/2028"}, {"02/03/2028", "02/03/2028"}, {"31 Nov 2028", "31 Nov 2028"}, {"",
        ""},
        {"Aug", "Aug"}, {"later", "later"}};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(ways); i++)
        assert_string_equal(written_expiry(arena, ways[i][0]), ways[i][1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(days_that_mean_one, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_year_turns, set_up, tear_down),
        cmocka_unit_test_setup_teardown(days_that_stay, set_up, tear_down),
        cmocka_unit_test_setup_teardown(days_of_a_course, set_up, tear_down),
        cmocka_unit_test_setup_teardown(hours, set_up, tear_down),
        cmocka_unit_test_setup_teardown(hours_of_a_clinic, set_up, tear_down),
        cmocka_unit_test_setup_teardown(expiries_that_mean_two, set_up, tear_down),
        cmocka_unit_test_setup_teardown(expiries, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
