/* moment: days, zones and instants; reading of text stands in moment_read.c. */
#include "value/moment.h"

#include <stdio.h>
#include <string.h>

#include "base/base.h"

#define MINUTE 60
#define HOUR 3600
#define DAY_SECONDS 86400
#define ZONE_FOLDER "/usr/share/zoneinfo"
#define LONGEST_ZONE 64

/* ---- days: proleptic Gregorian, counted in eras of 400 years ---- */

#define ERA_DAYS 146097
#define ERA_YEARS 400
#define EPOCH_SHIFT 719468 /* from 0000-03-01 to 1970-01-01 */

static int month_days(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    gboolean leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return month == 2 && leap ? 29 : days[month - 1];
}

gboolean date_exists(CalendarDate date)
{
    return date.year >= 1 && date.year <= 9999 && date.month >= 1 && date.month <= 12 &&
           date.day >= 1 && date.day <= month_days(date.year, date.month);
}

/* Years begin in March here, so that the leap day is a year's last. */
Day day_from_date(CalendarDate date)
{
    g_assert(date_exists(date));
    int year = date.month <= 2 ? date.year - 1 : date.year;
    int month = (date.month + 9) % 12;
    int era = year / ERA_YEARS;
    int of_era = year - era * ERA_YEARS;
    int of_year = (153 * month + 2) / 5 + date.day - 1;
    return era * ERA_DAYS + of_era * 365 + of_era / 4 - of_era / 100 + of_year - EPOCH_SHIFT;
}

CalendarDate day_date(Day day)
{
    gint64 shifted = (gint64)day + EPOCH_SHIFT, era = shifted / ERA_DAYS;
    g_assert(shifted >= 0); /* from March of the year 0 on */
    gint64 of_era = shifted - era * ERA_DAYS;
    gint64 year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    gint64 of_year = of_era - (365 * year + year / 4 - year / 100);
    gint64 month = (5 * of_year + 2) / 153;
    CalendarDate date = {(int)(year + era * ERA_YEARS), (int)(month < 10 ? month + 3 : month - 9),
                         (int)(of_year - (153 * month + 2) / 5 + 1)};
    date.year += date.month <= 2;
    return date;
}

Weekday day_weekday(Day day)
{
    int since_thursday = (int)(((gint64)day % 7 + 7) % 7); /* 1970-01-01 */
    return (Weekday)((since_thursday + 3) % 7 + 1);
}

const char *weekday_name(Weekday weekday)
{
    static const char *const names[] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                        "Friday", "Saturday", "Sunday"};
    g_assert(weekday >= MONDAY && weekday <= SUNDAY);
    return names[weekday - MONDAY];
}

/* ---- the index of zone names ---- */

typedef struct ZoneIndex {
    GHashTable *links;  /* old name -> canonical name */
    GHashTable *others; /* names that are no place: Etc/UTC, EST5EDT */
} ZoneIndex;

void zones_settle(void) { g_unsetenv("TZDIR"); }

/* Read once in a process; "" when there is no database. */
static const char *places_text(void)
{
    static char *text;
    if (!text) {
        g_autofree char *all = NULL;
        g_autofree char *newer = NULL;
        g_file_get_contents(ZONE_FOLDER "/zone.tab", &all, NULL, NULL);
        g_file_get_contents(ZONE_FOLDER "/zone1970.tab", &newer, NULL, NULL);
        text = g_strconcat(all ? all : "", newer ? newer : "", NULL);
    }
    return text;
}

/* A place's name is the third column of its line. */
static gboolean is_place(const char *name)
{
    g_autofree char *column = g_strconcat("\t", name, NULL);
    gsize length = strlen(column);
    for (const char *at = places_text(); (at = strstr(at, column)); at++)
        if (at[length] == '\n' || at[length] == '\t')
            return TRUE;
    return FALSE;
}

static void index_line(ZoneIndex *index, const char *line)
{
    g_auto(GStrv) parts = g_strsplit(line, " ", 4);
    guint count = g_strv_length(parts);
    if (count >= 3 && strcmp(parts[0], "L") == 0)
        g_hash_table_insert(index->links, g_strdup(parts[2]), g_strdup(parts[1]));
    else if (count >= 2 && strcmp(parts[0], "Z") == 0)
        g_hash_table_add(index->others, g_strdup(parts[1]));
}

/* Only for names that are no place: links and the rest. */
static const ZoneIndex *zone_index(void)
{
    static ZoneIndex index;
    if (index.links)
        return &index;
    index.links = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    index.others = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autofree char *text = NULL;
    if (!g_file_get_contents(ZONE_FOLDER "/tzdata.zi", &text, NULL, NULL))
        return &index;
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (char **line = lines; *line; line++)
        index_line(&index, *line);
    return &index;
}

/* The first line of tzdata.zi is "# version 2026f". */
const char *zone_database_version(Arena *arena)
{
    static char version[32];
    if (!*version) {
        FILE *file = fopen(ZONE_FOLDER "/tzdata.zi", "re");
        if (!file || fscanf(file, "# version %31s", version) != 1)
            g_strlcpy(version, "unknown", sizeof version);
        if (file)
            fclose(file);
    }
    return arena_copy(arena, version);
}

/* ---- zones ---- */

struct Zone {
    const char *name;
    GTimeZone *zone;
};

static gboolean well_formed(const char *name)
{
    gsize length = strlen(name);
    if (length == 0 || length > LONGEST_ZONE || name[0] == '/' || strstr(name, "..") ||
        strstr(name, "//"))
        return FALSE;
    for (gsize i = 0; i < length; i++)
        if (!g_ascii_isalnum(name[i]) && !strchr("_+-/", name[i]))
            return FALSE;
    return TRUE;
}

static gboolean looks_like_abbreviation(const char *name)
{
    gsize capitals = 0;
    while (g_ascii_isupper(name[capitals]))
        capitals++;
    return !strchr(name, '/') && (capitals >= 2 || g_ascii_isdigit(name[0]) || strchr("+-", name[0])) &&
           strspn(name + capitals, "0123456789+-:") == strlen(name + capitals);
}

static const char *nearest_zone(Arena *arena, const char *name)
{
    GPtrArray *names = arena_list(arena);
    g_auto(GStrv) lines = g_strsplit(places_text(), "\n", -1);
    for (char **line = lines; *line; line++) {
        g_auto(GStrv) parts = g_strsplit(*line, "\t", 4);
        if (**line != '#' && g_strv_length(parts) >= 3)
            g_ptr_array_add(names, arena_copy(arena, parts[2]));
    }
    return nearest_word(name, (const char *const *)names->pdata, names->len);
}

/* Says what a name is that is no place of the index. */
static ZoneStatus judge_name(Arena *arena, const char *name, const char **suggestion)
{
    const ZoneIndex *index = zone_index();
    const char *canonical = g_hash_table_lookup(index->links, name);
    gboolean place = canonical && is_place(canonical);
    if (place && strchr(name, '/')) {
        *suggestion = canonical;
        return ZONE_LINK;
    }
    if (canonical || g_hash_table_contains(index->others, name) || looks_like_abbreviation(name)) {
        *suggestion = place ? canonical : NULL;
        return ZONE_ABBREVIATION;
    }
    *suggestion = nearest_zone(arena, name);
    return ZONE_UNKNOWN;
}

ZoneStatus zone_open(Arena *arena, const char *name, Zone **out, const char **suggestion)
{
    *out = NULL;
    *suggestion = NULL;
    if (!well_formed(name))
        return ZONE_FORM;
    if (!*places_text())
        return ZONE_NO_DATABASE;
    ZoneStatus status = ZONE_FINE;
    if (!is_place(name))
        status = judge_name(arena, name, suggestion);
    if (status != ZONE_FINE && status != ZONE_LINK)
        return status;
    GTimeZone *zone = g_time_zone_new_identifier(name);
    if (!zone)
        return ZONE_NO_DATABASE;
    *out = arena_new0(arena, Zone);
    (*out)->name = arena_copy(arena, name);
    (*out)->zone = zone;
    arena_defer(arena, (GDestroyNotify)g_time_zone_unref, zone);
    return status;
}

const char *zone_name(const Zone *zone) { return zone->name; }

static int offset_at(const Zone *zone, Instant instant)
{
    int interval = g_time_zone_find_interval(zone->zone, G_TIME_TYPE_UNIVERSAL, instant);
    return g_time_zone_get_offset(zone->zone, interval);
}

static gint64 floor_division(gint64 a, gint64 b)
{
    return a / b - (a % b != 0 && (a < 0) != (b < 0));
}

static LocalTime wall_clock(Instant instant, int offset)
{
    gint64 shifted = instant + offset;
    gint64 day = floor_division(shifted, DAY_SECONDS);
    return (LocalTime){(Day)day, (int)((shifted - day * DAY_SECONDS) / MINUTE)};
}

LocalTime zone_local(const Zone *zone, Instant instant, int *offset)
{
    int found = offset_at(zone, instant);
    if (offset)
        *offset = found;
    return wall_clock(instant, found);
}

/* A wall-clock time belongs to every offset under which it reads so.  Offsets in
 * force a day and a half before and after cover every change there has been,
 * whole-day skips included. */
int zone_instants(const Zone *zone, LocalTime local, Instant instants[2])
{
    Instant naive = (Instant)local.day * DAY_SECONDS + local.minute * MINUTE;
    const Instant probes[] = {-36 * HOUR, 0, 36 * HOUR};
    int count = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(probes); i++) {
        int offset = offset_at(zone, naive + probes[i]);
        Instant candidate = naive - offset;
        if (offset_at(zone, candidate) != offset || (count > 0 && instants[0] == candidate) || count == 2)
            continue;
        instants[count++] = candidate;
    }
    if (count == 1)
        instants[1] = instants[0];
    g_assert(count == 0 || instants[0] <= instants[1]); /* what was in force before belongs to the earlier one */
    return count;
}

gboolean zone_change(const Zone *zone, Instant from, Instant until, ClockChange *out)
{
    for (Instant start = from; start < until;) {
        Instant end = MIN(start + 12 * HOUR, until);
        int before = offset_at(zone, start), after = offset_at(zone, end);
        if (before == after) {
            start = end;
            continue;
        }
        Instant low = start, high = end;
        while (high - low > 1) {
            Instant middle = low + (high - low) / 2;
            if (offset_at(zone, middle) == before)
                low = middle;
            else
                high = middle;
        }
        *out = (ClockChange){high, before, offset_at(zone, high)};
        return TRUE;
    }
    return FALSE;
}

LocalTime change_before(ClockChange change) { return wall_clock(change.at, change.offset_before); }
LocalTime change_after(ClockChange change) { return wall_clock(change.at, change.offset_after); }

/* ---- plain forms ---- */

char *local_text(Arena *arena, LocalTime local)
{
    CalendarDate date = day_date(local.day);
    return arena_format(arena, "%s %04d-%02d-%02d %02d:%02d", weekday_name(day_weekday(local.day)),
                        date.year, date.month, date.day, local.minute / 60, local.minute % 60);
}

char *instant_text(Arena *arena, const Zone *zone, Instant instant)
{
    int offset;
    LocalTime local = zone_local(zone, instant, &offset);
    CalendarDate date = day_date(local.day);
    gint64 second = ((instant + offset) % MINUTE + MINUTE) % MINUTE;
    int size = ABS(offset);
    return arena_format(arena, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", date.year, date.month,
                        date.day, local.minute / 60, local.minute % 60, (int)second,
                        offset < 0 ? '-' : '+', size / HOUR, size % HOUR / MINUTE);
}

char *clock_text(Arena *arena, int minute)
{
    int hour = minute / 60;
    if (minute % (12 * 60) == 0) /* "12:00 pm" is taken for either */
        return arena_copy(arena, minute ? "12 noon" : "12 midnight");
    return arena_format(arena, "%d:%02d %s", hour % 12 == 0 ? 12 : hour % 12, minute % 60,
                        hour < 12 ? "am" : "pm");
}
