/* language_clock: see clock.h. */
#include "language/clock.h"

/* Before clinic.yaml can be read, the clock that everybody can read. */
static gboolean counts_to_12(const Clinic *clinic)
{
    return clinic && PRESENT(clinic->clock) && clinic->clock.value == Clock_TWELVE;
}

char *clinic_clock(Arena *arena, const Clinic *clinic, int minute)
{
    return counts_to_12(clinic) ? clock_text(arena, minute)
                                : arena_format(arena, "%02d:%02d", minute / 60, minute % 60);
}

gboolean clock_span_holds(const ClockSpan *span, int minute)
{
    return span->all_day || (span->from <= span->until ? minute >= span->from && minute <= span->until
                                                       : minute >= span->from || minute <= span->until);
}

char *clinic_time(Arena *arena, const Clinic *clinic, LocalTime local)
{
    CalendarDate date = day_date(local.day);
    return arena_format(arena, "%s %04d-%02d-%02d %s", weekday_name(day_weekday(local.day)), date.year, date.month,
                        date.day, clinic_clock(arena, clinic, local.minute));
}

const char *clinic_saying(const Clinic *clinic, const Saying *saying)
{
    if (!PRESENT(*saying) || saying->versions->len == 0)
        return NULL;
    const Text *own = clinic && clinic->languages.items->len > 0 ? g_ptr_array_index(clinic->languages.items, 0) : NULL;
    const SayingVersion *version = own && PRESENT(*own) ? saying_version_in(saying, own->text, own->text) : NULL;
    if (!version)
        version = g_ptr_array_index(saying->versions, 0);
    return version->text.text;
}
