/* A text as a value that a person writes: a number, an amount, a strength, a day, a clock time, a
 * moment.  What is read is read from its own printed form once more, and is the same. */
#include "fuzz.h"

static void take_quantity(Arena *arena, const char *text)
{
    QuantityRead read = quantity_parse(text);
    if (read.fault != QUANTITY_FINE)
        return;
    FUZZ_DEMAND(rational_ok(read.quantity.number), "an amount that is read is a number");
    const char *printed = quantity_text(arena, read.quantity);
    QuantityRead again = quantity_parse(printed);
    /* What has no short decimal is printed rounded, and is then another amount. */
    if (again.fault == QUANTITY_FINE && again.quantity.unit == read.quantity.unit &&
        !rational_equal(again.quantity.number, read.quantity.number)) {
        g_autoptr(GString) out = g_string_new(NULL);
        gboolean rounded = FALSE;
        rational_print(out, read.quantity.number, 6, &rounded);
        FUZZ_DEMAND(rounded, "an amount is the same, read from its printed form");
    }
}

static void take_strength(Arena *arena, const char *text)
{
    Strength strength;
    if (strength_parse(text, &strength).fault != QUANTITY_FINE || !rational_ok(strength_base(strength)))
        return;
    Rational volume = volume_for_dose(strength.amount, strength);
    if (rational_ok(volume)) {
        Rational dose = dose_in_volume(volume, strength);
        FUZZ_DEMAND(!rational_ok(dose) || rational_equal(dose, quantity_base(strength.amount)),
                    "volume and dose undo each other");
    }
    strength_text(arena, strength);
}

static void take_time(Arena *arena, const char *text)
{
    Day day;
    int minute, minute_again;
    LocalTime local;
    Instant instant;
    gboolean offset;
    if (day_parse(text, &day, NULL).fault == MOMENT_FINE)
        FUZZ_DEMAND(date_exists(day_date(day)) && day_from_date(day_date(day)) == day,
                    "a day is the same from its date");
    if (clock_parse(text, &minute).fault == MOMENT_FINE) {
        FUZZ_DEMAND(minute >= 0 && minute < 24 * 60, "a clock time lies within its day");
        FUZZ_DEMAND(minute == 0 || (clock_parse(clock_text(arena, minute), &minute_again).fault == MOMENT_FINE &&
                                    minute_again == minute),
                    "a clock time is the same, read from its printed form");
    }
    if (moment_parse(text, &local, &offset, &instant).fault == MOMENT_FINE)
        local_text(arena, local);
    g_auto(GStrv) clocks = clock_readings(text), days = day_readings(text);
    for (char **one = clocks; *one; one++) {
        MomentFault fault = clock_parse(*one, &minute).fault;
        FUZZ_DEMAND(fault == MOMENT_FINE || (fault == MOMENT_MIDNIGHT && !clocks[1]),
                    "a clock time that a help offers can be read, or means midnight");
    }
    for (char **one = days; *one; one++)
        FUZZ_DEMAND(day_parse(*one, &day, NULL).fault == MOMENT_FINE, "a day that a help offers can be read");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > FUZZ_LARGEST)
        return 0;
    g_autofree char *text = g_strndup((const char *)data, size);
    if (!g_utf8_validate(text, -1, NULL))
        return 0; /* the reader refuses a whole file for it */
    Arena *arena = arena_new();
    take_quantity(arena, text);
    take_strength(arena, text);
    take_time(arena, text);
    const char *suggestion;
    Zone *zone;
    if (fuzz_thorough(data, size)) /* a name that is unknown is held against all that are known */
        zone_open(arena, text, &zone, &suggestion);
    arena_free(arena);
    return 0;
}
