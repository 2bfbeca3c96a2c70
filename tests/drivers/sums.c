/* sums: the program's own arithmetic, one question a line, for tests in another
 * language.  Questions:  volume DOSE|STRENGTH   dose VOLUME_ML|STRENGTH
 *   round NUMBER|STEP   convert QUANTITY|UNIT   instants ZONE|YYYY-MM-DD HH:MM
 *   local ZONE|SECONDS   back ZONE|YYYY-MM-DD HH:MM|MINUTES
 * Answers: an exact fraction, a list, or "fault". */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "value/moment.h"
#include "value/quantity.h"

static void answer(Rational value)
{
    if (rational_ok(value))
        printf("%" G_GINT64_FORMAT "/%" G_GINT64_FORMAT "\n", value.num, value.den);
    else
        puts("fault");
}

static gboolean number(const char *text, Rational *out)
{
    return rational_parse(text, strlen(text), out) == NUMBER_FINE;
}

static void ask_volume(const char *left, const char *right)
{
    Strength strength;
    QuantityRead dose = quantity_parse(left);
    gboolean fine = dose.fault == QUANTITY_FINE && strength_parse(right, &strength).fault == QUANTITY_FINE;
    answer(fine ? volume_for_dose(dose.quantity, strength) : RATIONAL_OVERFLOW);
}

static void ask_dose(const char *left, const char *right)
{
    Strength strength;
    Rational volume;
    gboolean fine = number(left, &volume) && strength_parse(right, &strength).fault == QUANTITY_FINE;
    answer(fine ? dose_in_volume(volume, strength) : RATIONAL_OVERFLOW);
}

static void ask_round(const char *left, const char *right)
{
    Rational value, step;
    answer(number(left, &value) && number(right, &step) ? rational_round(value, step) : RATIONAL_OVERFLOW);
}

static void ask_convert(const char *left, const char *right)
{
    QuantityRead from = quantity_parse(left);
    for (int unit = 0; from.fault == QUANTITY_FINE && unit < UNIT_COUNT; unit++)
        if (strcmp(unit_row((UnitId)unit)->symbol, right) == 0) {
            answer(quantity_in(from.quantity, (UnitId)unit).number);
            return;
        }
    puts("fault");
}

static Zone *zone(Arena *arena, const char *name)
{
    static GHashTable *known;
    if (!known)
        known = g_hash_table_new(g_str_hash, g_str_equal);
    Zone *found = g_hash_table_lookup(known, name);
    const char *suggestion;
    if (!found && (zone_open(arena, name, &found, &suggestion) == ZONE_FINE || found))
        g_hash_table_insert(known, g_strdup(name), found);
    return found;
}

/* Years before 2000 are no input of the program, but zones have them. */
static LocalTime wall(const char *text)
{
    CalendarDate date;
    int hour = 0, minute = 0;
    if (sscanf(text, "%d-%d-%d %d:%d", &date.year, &date.month, &date.day, &hour, &minute) != 5)
        exit(2);
    return (LocalTime){day_from_date(date), hour * 60 + minute};
}

static void ask_instants(Arena *arena, const char *name, const char *local)
{
    Instant instants[2];
    Zone *place = zone(arena, name);
    int count = place ? zone_instants(place, wall(local), instants) : -1;
    printf("%d", count);
    for (int i = 0; i < count; i++)
        printf(" %" G_GINT64_FORMAT, instants[i]);
    puts("");
}

static void print_local(const Zone *place, Instant instant)
{
    int offset;
    LocalTime local = zone_local(place, instant, &offset);
    CalendarDate date = day_date(local.day);
    printf("%04d-%02d-%02d %02d:%02d %d\n", date.year, date.month, date.day, local.minute / 60, local.minute % 60,
           offset);
}

static void ask_local(Arena *arena, const char *name, const char *seconds)
{
    Zone *place = zone(arena, name);
    if (place)
        print_local(place, g_ascii_strtoll(seconds, NULL, 10));
    else
        puts("fault");
}

static void ask_back(Arena *arena, const char *name, const char *local, const char *minutes)
{
    Instant instants[2];
    Zone *place = zone(arena, name);
    if (place && zone_instants(place, wall(local), instants) == 1)
        print_local(place, instants[0] - 60 * g_ascii_strtoll(minutes, NULL, 10));
    else
        puts("fault");
}

int main(void)
{
    char line[1024];
    Arena *arena = arena_new();
    while (fgets(line, sizeof line, stdin)) {
        g_strchomp(line);
        char *space = strchr(line, ' ');
        g_auto(GStrv) parts = g_strsplit(space ? space + 1 : "", "|", 3);
        guint count = g_strv_length(parts);
        if (space)
            *space = '\0';
        if (count < 2)
            puts("fault");
        else if (strcmp(line, "volume") == 0)
            ask_volume(parts[0], parts[1]);
        else if (strcmp(line, "dose") == 0)
            ask_dose(parts[0], parts[1]);
        else if (strcmp(line, "round") == 0)
            ask_round(parts[0], parts[1]);
        else if (strcmp(line, "convert") == 0)
            ask_convert(parts[0], parts[1]);
        else if (strcmp(line, "instants") == 0)
            ask_instants(arena, parts[0], parts[1]);
        else if (strcmp(line, "local") == 0)
            ask_local(arena, parts[0], parts[1]);
        else if (strcmp(line, "back") == 0 && count == 3)
            ask_back(arena, parts[0], parts[1], parts[2]);
        else
            puts("fault");
    }
    arena_free(arena);
    return 0;
}
