/* Dates, clock times, zones. */
#include <string.h>

#include "value/moment.h"

#include "cmocka_all.h"

static void test_days(void **state)
{
    (void)state;
    for (Day day = -719162; day < 800000; day += 97) {
        CalendarDate date = day_date(day);
        assert_true(date_exists(date));
        assert_int_equal(day_from_date(date), day);
        GDate *other = g_date_new_dmy((GDateDay)date.day, (GDateMonth)date.month, (GDateYear)MAX(1, date.year));
        if (date.year >= 1)
            assert_int_equal(g_date_get_weekday(other), day_weekday(day));
        g_date_free(other);
    }
    assert_int_equal(day_from_date((CalendarDate){1970, 1, 1}), 0);
    assert_false(date_exists((CalendarDate){2027, 2, 29}));
    assert_true(date_exists((CalendarDate){2028, 2, 29}));
    assert_false(date_exists((CalendarDate){2100, 2, 29}));
}

typedef struct ReadCase { const char *text; MomentFault fault; int minute; } ReadCase;

static const ReadCase clocks[] = {
    {"9 pm", MOMENT_FINE, 1260}, {"9:30 pm", MOMENT_FINE, 1290}, {"21:30", MOMENT_FINE, 1290}, {"09:05",
            MOMENT_FINE, 545},
    {"noon", MOMENT_FINE, 720}, {"12 noon", MOMENT_FINE, 720}, {"12:30 pm", MOMENT_FINE, 750}, {"12:30 am",
            MOMENT_FINE, 30},
    {"12:15", MOMENT_FINE, 735}, {"12 pm", MOMENT_MIDNIGHT, 0}, {"12 am", MOMENT_MIDNIGHT, 0}, {"midnight",
            MOMENT_MIDNIGHT, 0},
    {"00:00", MOMENT_MIDNIGHT, 0}, {"24:00", MOMENT_MIDNIGHT, 0}, {"12:00 pm", MOMENT_MIDNIGHT, 0},
    {"25:61", MOMENT_NO_CLOCK, 0}, {"13 pm", MOMENT_NO_CLOCK, 0}, {"23:00 pm", MOMENT_MIXED_CLOCK, 0},
    {"9:30", MOMENT_FORM, 0}, {"9", MOMENT_FORM, 0}, {"half past nine", MOMENT_FORM, 0}, {"", MOMENT_FORM, 0},
};

static void test_clocks(void **state)
{
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(clocks); i++) {
        int minute = 0;
        MomentFault fault = clock_parse(clocks[i].text, &minute).fault;
        if (fault != clocks[i].fault || minute != clocks[i].minute)
            fail_msg("\"%s\": fault %d, minute %d", clocks[i].text, fault, minute);
    }
}

static const ReadCase dates[] = {
    {"2026-11-24", MOMENT_FINE, 0}, {"Tuesday 2026-11-24", MOMENT_FINE, 0}, {"Monday 2026-11-24", MOMENT_WEEKDAY, 0},
    {"2027-02-29", MOMENT_NO_DATE, 0}, {"2026-11-31", MOMENT_NO_DATE, 0}, {"03/04/2026", MOMENT_ORDER, 0},
    {"24.11.2026", MOMENT_ORDER, 0}, {"26-11-24", MOMENT_YEAR, 0}, {"9999-01-01", MOMENT_YEAR, 0},
    {"0001-01-01", MOMENT_YEAR, 0}, {"24 November", MOMENT_FORM, 0}, {"", MOMENT_FORM, 0},
};

static void test_dates(void **state)
{
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(dates); i++) {
        Day day;
        MomentFault fault = day_parse(dates[i].text, &day, NULL).fault;
        if (fault != dates[i].fault)
            fail_msg("\"%s\": fault %d", dates[i].text, fault);
    }
}

static void test_zone_names(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    g_autofree char *long_name = g_strnfill(300, 'A');
    const struct { const char *name; ZoneStatus status; const char *suggestion; } cases[] = {
        {"America/Halifax", ZONE_FINE, NULL}, {"Canada/Atlantic", ZONE_LINK, "America/Halifax"},
        {"America/Halifacs", ZONE_UNKNOWN, "America/Halifax"}, {"EST", ZONE_ABBREVIATION, NULL},
        {"GMT+3", ZONE_ABBREVIATION, NULL}, {"UTC", ZONE_ABBREVIATION, NULL}, {"Etc/GMT+5", ZONE_ABBREVIATION, NULL},
        {"../../etc/passwd", ZONE_FORM, NULL}, {"/etc/passwd", ZONE_FORM, NULL}, {"", ZONE_FORM, NULL},
        {long_name, ZONE_FORM, NULL}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Zone *zone;
        const char *suggestion;
        ZoneStatus status = zone_open(arena, cases[i].name, &zone, &suggestion);
        if (status != cases[i].status)
            fail_msg("%s: status %d", cases[i].name, status);
        if (cases[i].suggestion)
            assert_string_equal(suggestion, cases[i].suggestion);
        assert_int_equal(zone != NULL, status == ZONE_FINE || status == ZONE_LINK);
    }
    arena_free(arena);
}

/* The clocks of Halifax go back at 2:00 on 1 November 2026. */
static void test_changes(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    Zone *zone;
    const char *suggestion;
    ClockChange change;
    assert_int_equal(zone_open(arena, "America/Halifax", &zone, &suggestion), ZONE_FINE);
    Instant from = (Instant)day_from_date((CalendarDate){2026, 10, 31}) * 86400;
    assert_true(zone_change(zone, from, from + 3 * 86400, &change));
    assert_int_equal(change_before(change).minute, 120);
    assert_int_equal(change_after(change).minute, 60);
    assert_false(zone_change(zone, change.at, change.at + 86400, &change));
    assert_string_equal(instant_text(arena, zone, change.at), "2026-11-01T01:00:00-04:00");
    arena_free(arena);
}

static void test_moments(void **state)
{
    (void)state;
    LocalTime local;
    gboolean has_offset;
    Instant instant;
    assert_int_equal(moment_parse("2026-11-24T09:30-04:00", &local, &has_offset, &instant).fault, MOMENT_FINE);
    assert_true(has_offset);
    assert_int_equal(instant, 1795527000);
    assert_int_equal(moment_parse("2026-11-24T13:30:00Z", &local, &has_offset, &instant).fault, MOMENT_FINE);
    assert_int_equal(instant, 1795527000);
    assert_int_equal(moment_parse("2026-11-24 09:30", &local, &has_offset, &instant).fault, MOMENT_FINE);
    assert_false(has_offset);
    assert_int_equal(moment_parse("2026-11-24T09:30+25:00", &local, &has_offset, &instant).fault, MOMENT_FORM);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_days), cmocka_unit_test(test_clocks), cmocka_unit_test(test_dates),
        cmocka_unit_test(test_zone_names), cmocka_unit_test(test_changes), cmocka_unit_test(test_moments)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
