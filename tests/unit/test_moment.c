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

/* A fault of these is that of the whole text; what is well has no place. */
static void stands_whole(MomentRead read, const char *text)
{
    assert_int_equal(read.skip, 0);
    assert_int_equal(read.length, read.fault == MOMENT_FINE ? 0 : MAX(1, strlen(text)));
}

static void test_clocks(void **state)
{
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(clocks); i++) {
        int minute = 0;
        MomentRead read = clock_parse(clocks[i].text, &minute);
        if (read.fault != clocks[i].fault || minute != clocks[i].minute)
            fail_msg("\"%s\": fault %d, minute %d", clocks[i].text, read.fault, minute);
        stands_whole(read, clocks[i].text);
    }
}

static const ReadCase dates[] = {
    {"2026-11-24", MOMENT_FINE, 0}, {"Tuesday 2026-11-24", MOMENT_FINE, 0},
    {"Monday 2026-11-24", MOMENT_WEEKDAY, 0},
    {"2027-02-29", MOMENT_NO_DATE, 0}, {"2026-11-31", MOMENT_NO_DATE, 0}, {"03/04/2026", MOMENT_ORDER, 0},
    {"24.11.2026", MOMENT_ORDER, 0}, {"26-11-24", MOMENT_YEAR, 0}, {"9999-01-01", MOMENT_YEAR, 0},
    {"0001-01-01", MOMENT_YEAR, 0}, {"24 November", MOMENT_FORM, 0}, {"", MOMENT_FORM, 0},
    {"1-2-3-4-5-6", MOMENT_FORM, 0}, {"1/2/3/4", MOMENT_FORM, 0}, {"24-11-26", MOMENT_YEAR, 0},
    {"24.11.26", MOMENT_ORDER, 0}, {"24-1-26", MOMENT_ORDER, 0}, {"2026-1a-24", MOMENT_FORM, 0},
    {"2026-11.24", MOMENT_ORDER, 0}, {"2026-11-2x", MOMENT_FORM, 0}, {"2026/11-24", MOMENT_ORDER, 0},
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

/* It opens so; what it opens, and (may be NULL) what is suggested. */
static Zone *open_zone(Arena *arena, const char *name, ZoneStatus wanted, const char **suggestion)
{
    Zone *zone;
    const char *said = name;
    ZoneStatus status = zone_open(arena, name, &zone, &said);
    if (status != wanted)
        fail_msg("%s: status %d", name, status);
    assert_true(status != ZONE_FINE || !said);
    if (suggestion)
        *suggestion = said;
    return zone;
}

static void test_zone_names(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    g_autofree char *long_name = g_strnfill(300, 'A');
    const struct { const char *name; ZoneStatus status; const char *suggestion; } cases[] = {
        {"America/Halifax", ZONE_FINE, NULL}, {"Canada/Atlantic", ZONE_LINK, "America/Halifax"},
        {"America/Halifacs", ZONE_UNKNOWN, "America/Halifax"}, {"EST", ZONE_ABBREVIATION, NULL},
        {"GMT+3", ZONE_ABBREVIATION, NULL}, {"UTC", ZONE_ABBREVIATION, NULL},
        {"Etc/GMT+5", ZONE_ABBREVIATION, NULL},
        {"../../etc/passwd", ZONE_FORM, NULL}, {"/etc/passwd", ZONE_FORM, NULL}, {"", ZONE_FORM, NULL},
        {long_name, ZONE_FORM, NULL}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        const char *suggestion;
        Zone *zone = open_zone(arena, cases[i].name, cases[i].status, &suggestion);
        if (cases[i].suggestion)
            assert_string_equal(suggestion, cases[i].suggestion);
        assert_int_equal(zone != NULL, cases[i].status == ZONE_FINE || cases[i].status == ZONE_LINK);
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
    MomentRead seconds = moment_parse("2026-11-24T13:30:59Z", &local, &has_offset, &instant);
    assert_true(seconds.fault == MOMENT_FINE && seconds.skip == 0 && seconds.length == 0);
    assert_int_equal(instant, 1795527059);
    int minute;
    assert_int_equal(clock_parse("", &minute).length, 1); /* there is always something to point at */
    assert_int_equal(moment_parse("2026-11-24T13:30:00Z", &local, &has_offset, &instant).fault, MOMENT_FINE);
    assert_int_equal(instant, 1795527000);
    assert_int_equal(moment_parse("2026-11-24T09:30:07-04:00", &local, &has_offset, &instant).fault, MOMENT_FINE);
    assert_true(has_offset && instant == 1795527007);
    assert_int_equal(moment_parse("2026-11-24 09:30", &local, &has_offset, &instant).fault, MOMENT_FINE);
    assert_false(has_offset);
    static const struct { const char *offset; MomentFault fault; int minutes;
    } offsets[] = {{"+25:00", MOMENT_FORM, 0},    {"+14:00", MOMENT_FINE, 840}, {"+15:00", MOMENT_FORM, 0},
                   {"-14:59", MOMENT_FINE, -899}, {"+00:59", MOMENT_FINE, 59},  {"+00:60", MOMENT_FORM, 0},
                   {"+0:30", MOMENT_FORM, 0},     {"+05.30", MOMENT_FORM, 0},   {"05:30", MOMENT_FORM, 0},
                   {"+05:3", MOMENT_FORM, 0},     {"+a5:30", MOMENT_FORM, 0},   {"z", MOMENT_FORM, 0}};
    for (gsize i = 0; i < G_N_ELEMENTS(offsets); i++) {
        g_autofree char *text = g_strconcat("2026-11-24T13:30", offsets[i].offset, NULL);
        assert_int_equal(moment_parse(text, &local, &has_offset, &instant).fault, offsets[i].fault);
        if (offsets[i].fault == MOMENT_FINE)
            assert_int_equal(instant, 1795527000 - offsets[i].minutes * 60);
    }
}

/* ---- every one, and the limits ---- */

/* The calendar of 800 years, day after day, beside GLib's. */
static void test_every_day(void **state)
{
    (void)state;
    g_autoptr(GDate) other = g_date_new_dmy(1, 1, 1600);
    Day first = day_from_date((CalendarDate){1600, 1, 1}), last = day_from_date((CalendarDate){2400, 12, 31});
    for (Day day = first; day <= last; day++, g_date_add_days(other, 1)) {
        CalendarDate date = day_date(day);
        if (date.year != g_date_get_year(other) || date.month != (int)g_date_get_month(other) ||
            date.day != g_date_get_day(other) || day_from_date(date) != day)
            fail_msg("day %d: %04d-%02d-%02d", day, date.year, date.month, date.day);
    }
    assert_true(date_exists((CalendarDate){1, 1, 1}) && date_exists((CalendarDate){9999, 12, 31}));
    const CalendarDate none[] = {{0, 1, 1}, {10000, 1, 1}, {2026, 0, 1}, {2026, 13, 1}, {2026, 1, 0},
    {2026, 1, 32}};
    for (gsize i = 0; i < G_N_ELEMENTS(none); i++)
        assert_false(date_exists(none[i]));
}

/* The last day of each month, and the one behind it. */
static void test_month_ends(void **state)
{
    (void)state;
    for (int year = 2026; year <= 2028; year++)
        for (int month = 1; month <= 12; month++) {
            int days = g_date_get_days_in_month((GDateMonth)month, (GDateYear)year);
            assert_true(date_exists((CalendarDate){year, month, days}));
            assert_false(date_exists((CalendarDate){year, month, days + 1}));
        }
}

/* Every minute of a day as GLib writes it, and read again. */
static void test_every_minute(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    for (int minute = 0; minute < 24 * 60; minute++) {
        g_autoptr(GDateTime) time = g_date_time_new_utc(2026, 11, 24, minute / 60, minute % 60, 0);
        g_autofree char *wanted = g_date_time_format(time, minute / 60 < 12 ? "%I:%M am" : "%I:%M pm");
        const char *text = clock_text(arena, minute);
        int again = -1;
        if (minute % (12 * 60))
            assert_string_equal(text, wanted + (*wanted == '0'));
        assert_int_equal(clock_parse(text, &again).fault, minute ? MOMENT_FINE : MOMENT_MIDNIGHT);
        assert_true(!minute || again == minute);
    }
    assert_string_equal(clock_text(arena, 0), "12 midnight");
    assert_string_equal(clock_text(arena, 720), "12 noon");
    arena_free(arena);
}

static void test_limits(void **state)
{
    (void)state;
    const ReadCase days[] = {{"1999-12-31", MOMENT_YEAR, 0}, {"2000-01-01", MOMENT_FINE, 0},
                             {"2199-12-31", MOMENT_FINE, 0}, {"2200-01-01", MOMENT_YEAR, 0}};
    const ReadCase moments[] = {
        {"2026-11-24T23:59:59Z", MOMENT_FINE, 1439},   {"2026-11-24T24:00:00Z", MOMENT_NO_CLOCK, 0},
        {"2026-11-24T23:60:00Z", MOMENT_NO_CLOCK, 0},  {"2026-11-24T23:59:60Z", MOMENT_NO_CLOCK, 0},
        {"2026-11-24T00:00:00Z", MOMENT_FINE, 0},      {"2026-11-24T0a:00:00Z", MOMENT_FORM, 0},
        {"2026-11-24T00.00:00Z", MOMENT_FORM, 0},      {"2026-11-24T00:0a:00Z", MOMENT_FORM, 0},
        {"2026-11-24T00:00:0aZ", MOMENT_FORM, 0},      {"2026-11-24_00:00:00Z", MOMENT_FORM, 0}};
    const ReadCase hours[] = {{"1 am", MOMENT_FINE, 60},    {"11 pm", MOMENT_FINE, 1380},
                              {"0 am", MOMENT_NO_CLOCK, 0}, {"1:59 am", MOMENT_FINE, 119},
                              {"1:5a am", MOMENT_FORM, 0},  {"1:60 am", MOMENT_NO_CLOCK, 0},
                              {"23:59", MOMENT_FINE, 1439}, {"00:01", MOMENT_FINE, 1}};
    Day day;
    LocalTime local;
    gboolean offset;
    Instant instant;
    for (gsize i = 0; i < G_N_ELEMENTS(days); i++)
        assert_int_equal(day_parse(days[i].text, &day, NULL).fault, days[i].fault);
    for (gsize i = 0; i < G_N_ELEMENTS(moments); i++) {
        MomentFault fault = moment_parse(moments[i].text, &local, &offset, &instant).fault;
        if (fault != moments[i].fault || (fault == MOMENT_FINE && local.minute != moments[i].minute))
            fail_msg("\"%s\": fault %d", moments[i].text, fault);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(hours); i++) {
        int minute = 0;
        MomentFault fault = clock_parse(hours[i].text, &minute).fault;
        if (fault != hours[i].fault || minute != hours[i].minute)
            fail_msg("\"%s\": fault %d, minute %d", hours[i].text, fault, minute);
    }
}

/* ---- zones ---- */

static Zone *zone_of(Arena *arena, const char *name)
{
    Zone *zone;
    const char *suggestion;
    assert_int_equal(zone_open(arena, name, &zone, &suggestion), ZONE_FINE);
    return zone;
}

/* Halifax and the end of summer time on 2026-11-01, its beginning on 2027-03-14; Apia left out 2011-12-30. */
static void test_instants(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    const struct { const char *zone; CalendarDate date; int minute, count; const char *first, *second; } cases[] = {
        {"America/Halifax", {2026, 11, 1}, 59, 1, "2026-11-01T00:59:00-03:00", "2026-11-01T00:59:00-03:00"},
        {"America/Halifax", {2026, 11, 1}, 60, 2, "2026-11-01T01:00:00-03:00", "2026-11-01T01:00:00-04:00"},
        {"America/Halifax", {2026, 11, 1}, 119, 2, "2026-11-01T01:59:00-03:00", "2026-11-01T01:59:00-04:00"},
        {"America/Halifax", {2026, 11, 1}, 120, 1, "2026-11-01T02:00:00-04:00", "2026-11-01T02:00:00-04:00"},
        {"America/Halifax", {2027, 3, 14}, 119, 1, "2027-03-14T01:59:00-04:00", "2027-03-14T01:59:00-04:00"},
        {"America/Halifax", {2027, 3, 14}, 120, 0, NULL, NULL},
        {"America/Halifax", {2027, 3, 14}, 179, 0, NULL, NULL},
        {"America/Halifax", {2027, 3, 14}, 180, 1, "2027-03-14T03:00:00-03:00", "2027-03-14T03:00:00-03:00"},
        {"Asia/Kathmandu", {2026, 11, 1}, 60, 1, "2026-11-01T01:00:00+05:45", "2026-11-01T01:00:00+05:45"},
        {"Pacific/Apia", {2011, 12, 30}, 720, 0, NULL, NULL}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Zone *zone = zone_of(arena, cases[i].zone);
        const LocalTime local = {day_from_date(cases[i].date), cases[i].minute};
        Instant found[2] = {-1, -1};
        assert_int_equal(zone_instants(zone, local, found), cases[i].count);
        if (!cases[i].count)
            continue;
        assert_string_equal(instant_text(arena, zone, found[0]), cases[i].first);
        assert_string_equal(instant_text(arena, zone, found[1]), cases[i].second);
        assert_int_equal(zone_local(zone, found[1], NULL).minute, cases[i].minute);
    }
    arena_free(arena);
}

/* The second before 1970, in a zone behind and in one ahead. */
static void test_before_1970(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    assert_string_equal(instant_text(arena, zone_of(arena, "America/Halifax"), -1), "1969-12-31T19:59:59-04:00");
    assert_string_equal(instant_text(arena, zone_of(arena, "Asia/Tokyo"), -1), "1970-01-01T08:59:59+09:00");
    assert_string_equal(instant_text(arena, zone_of(arena, "America/Halifax"), -20 * 3600),
                        "1969-12-31T00:00:00-04:00");
    arena_free(arena);
}

/* A change on the last second that is asked for is one, on the first it is not. */
static void test_change_edges(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    Zone *zone = zone_of(arena, "America/Halifax");
    ClockChange change;
    Instant at = 1793509200; /* 2026-11-01T05:00Z, by date -u */
    assert_true(zone_change(zone, at - 1, at, &change) && change.at == at);
    assert_false(zone_change(zone, at - 1, at - 1, &change));
    assert_false(zone_change(zone, at - 100000, at - 1, &change));
    assert_true(zone_change(zone, at - 12 * 3600, at + 5, &change) && change.at == at);
    assert_true(change.offset_before == -3 * 3600 && change.offset_after == -4 * 3600);
    arena_free(arena);
}

static void test_more_names(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    g_autofree char *longest = g_strnfill(64, 'a'), *longer = g_strnfill(65, 'a'), *text = NULL;
    const struct { const char *name; ZoneStatus status; } cases[] = {
        {longest, ZONE_UNKNOWN}, {longer, ZONE_FORM},   {"AB", ZONE_ABBREVIATION}, {"A", ZONE_UNKNOWN},
        {"+3", ZONE_ABBREVIATION}, {"5", ZONE_ABBREVIATION}, {"A3", ZONE_UNKNOWN},  {"ABc", ZONE_UNKNOWN},
        {"a b", ZONE_FORM},      {"a//b", ZONE_FORM},   {"Halifax", ZONE_UNKNOWN}, {"AB/C", ZONE_UNKNOWN},
        {"EST5EDT", ZONE_ABBREVIATION}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        open_zone(arena, cases[i].name, cases[i].status, NULL);
    }
    assert_true(g_file_get_contents("/usr/share/zoneinfo/tzdata.zi", &text, NULL, NULL));
    g_autofree char *first = g_strdup_printf("# version %s\n", zone_database_version(arena));
    assert_true(g_str_has_prefix(text, first));
    assert_string_equal(zone_database_version(arena), zone_database_version(arena));
    arena_free(arena);
}

/* ---- what was most likely meant ---- */

typedef struct Guess { const char *text, *readings; } Guess;

static void check_guesses(const Guess *cases, gsize count, char **(*readings)(const char *))
{
    for (gsize i = 0; i < count; i++) {
        g_auto(GStrv) found = readings(cases[i].text);
        g_autofree char *joined = g_strjoinv(", ", found);
        if (strcmp(joined, cases[i].readings) != 0)
            fail_msg("\"%s\" is taken for \"%s\"", cases[i].text, joined);
    }
}

static void test_clock_guesses(void **state)
{
    (void)state;
    static const Guess cases[] = {
        {"9", "9 am, 9 pm, 09:00"}, {"9.30", "9:30 am, 9:30 pm, 09:30"}, {"9h", "9 am, 9 pm, 09:00"},
        {"9 h 30", "9:30 am, 9:30 pm, 09:30"}, {"9h30", "9:30 am, 9:30 pm, 09:30"}, {"2130", "21:30"},
        {"0930", "09:30"}, {"09", "09:00"},
        {"12", "12:00"}, {"10", "10:00"}, {"9.30 PM", "9:30 pm"}, {"9p.m.", "9 pm"}, {"9 a. m.", "9 am"},
        {"0930 pm", "9:30 pm"},
        {"23", "23:00"}, {"24", ""}, {"23.59", "23:59"}, {"23.60", ""}, {"0", "00:00"}, {"0 am", "00:00"},
        {"0 pm", ""}, {"1 pm", "1 pm"}, {"1.30pm", "1:30 pm"},
        /* full-width, Arabic and Devanagari digits; no digit of any script is left out */
        {"２１：３０", "21:30"}, {"2１:30", "21:30"}, {"21:3０", "21:30"}, {"０９:30", "09:30"}, {"٠٩:٣٠", "09:30"},
        {"२१ः३०", ""}, {"२१:३०", "21:30"}, {"9:30\302\240ｐｍ", "9:30 pm"}, {"21:3³", ""},
        {"13 am", ""}, {"13 pm", "13:00"}, {"12 am", "12 am"}, {"1 am", "1 am"}, {"soon", ""}, {"", ""}};
    check_guesses(cases, G_N_ELEMENTS(cases), clock_readings);
}

static void test_day_guesses(void **state)
{
    (void)state;
    static const Guess cases[] = {
        {"20261124", "2026-11-24"}, {"Tuesday 20261124", "Tuesday 2026-11-24"}, {"Monday 20261124", ""},
        {"20000000", ""}, {"24 Nov 2026", "2026-11-24"}, {"24th november, 2026", "2026-11-24"},
        {"Tue 2026 Nov 24", "Tuesday 2026-11-24"},
        {"2 Sept 2026", "2026-09-02"}, {"2 Se 2026", ""}, {"31 Dec 2026", "2026-12-31"}, {"32 Dec 2026", ""},
        {"2026/11/24", "2026-11-24"}, {"03/04/2026", "2026-04-03, 2026-03-04"}, {"03/03/2026", "2026-03-03"},
        {"24.11.2026", "2026-11-24"}, {"11/24/2026", "2026-11-24"}, {"31/1/2026", "2026-01-31"}, {"32/1/2026", ""},
        {"Friday 03/04/2026", "Friday 2026-04-03"}, {"Fr 03/04/2026", ""}, {"1 Jan 1999", ""},
        {"1 Jan 2000", "2000-01-01"},
        {"1 Jan 2199", "2199-01-01"}, {"1 Jan 2200", ""}, {"24", ""}, {"24 11", ""}, {"20261124 Nov", ""},
        {"1 2 3 4", ""},
        {"24 11 2026 Nov", ""}, {"Nov 24 Dec 2026", ""}, {"24 foo 2026", ""}, {"", ""},
        {"２４ Nov 2026", "2026-11-24"}, {"1٢ Dec 2026", "2026-12-12"}, {"2026-1１-24", "2026-11-24"},
        {"24 Nov. 2026.", "2026-11-24"}, {"1x4 Nov 2026", ""}, {"12pm Nov 2026", ""}, {"22ND Nov 2026", "2026-11-22"}};
    check_guesses(cases, G_N_ELEMENTS(cases), day_readings);
}

static void test_month_guesses(void **state)
{
    (void)state;
    static const Guess cases[] = {
        {"Nov 2026", "2026-11"}, {"2026 november", "2026-11"}, {"11/2026", "2026-11"}, {"2026/11", "2026-11"},
        {"2026.1", "2026-01"}, {"12-2026", "2026-12"}, {"13/2026", ""}, {"0/2026", ""}, {"2000/1", "2000-01"},
        {"1999/12", ""}, {"2199/12", "2199-12"}, {"2200/1", ""}, {"Tue 11/2026", ""}, {"2026", ""}, {"Nov", ""},
        {"24 11 2026", ""}, {"24 Nov 2026", ""}, {"11 32", ""}, {"2026 soon", ""}, {"", ""}};
    check_guesses(cases, G_N_ELEMENTS(cases), month_readings);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_days), cmocka_unit_test(test_clocks), cmocka_unit_test(test_dates),
        cmocka_unit_test(test_zone_names), cmocka_unit_test(test_changes), cmocka_unit_test(test_moments),
        cmocka_unit_test(test_every_day), cmocka_unit_test(test_month_ends), cmocka_unit_test(test_before_1970),
        cmocka_unit_test(test_every_minute), cmocka_unit_test(test_limits),
        cmocka_unit_test(test_instants), cmocka_unit_test(test_change_edges), cmocka_unit_test(test_more_names),
        cmocka_unit_test(test_clock_guesses), cmocka_unit_test(test_day_guesses),
        cmocka_unit_test(test_month_guesses)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
