/* wording_calendar: the sheet's times as an iCalendar file (RFC 5545): one event
 * for each injection, an alarm for each rung of the preparation, and the zone
 * where the person will be with its clock changes. */
#include <string.h>

#include "wording/parts.h"

#define LINE_OCTETS 75
#define EVENT_MINUTES 15

typedef struct Calendar {
    Arena *arena;
    GString *out;
    const Document *document;
    const Zone *zone;
} Calendar;

/* ---- lines ---- */

/* Folded at 75 octets, never inside a letter. */
static void line(const Calendar *calendar, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void line(const Calendar *calendar, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    gsize used = 0;
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        gsize size = (gsize)(g_utf8_next_char(at) - at);
        if (used + size > LINE_OCTETS) {
            g_string_append(calendar->out, "\r\n ");
            used = 1;
        }
        g_string_append_len(calendar->out, at, (gssize)size);
        used += size;
    }
    g_string_append(calendar->out, "\r\n");
}

/* Commas, semicolons, backslashes and line ends are escaped in text. */
static const char *escaped(const Calendar *calendar, const char *text)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (; *text; text++) {
        if (*text == '\n')
            g_string_append(out, "\\n");
        else if (strchr(",;\\", *text))
            g_string_append_printf(out, "\\%c", *text);
        else
            g_string_append_c(out, *text);
    }
    return arena_copy(calendar->arena, out->str);
}

/* ---- times ---- */

static const char *universal(const Calendar *calendar, Instant instant)
{
    g_autoptr(GDateTime) time = g_date_time_new_from_unix_utc(instant);
    g_autofree char *text = g_date_time_format(time, "%Y%m%dT%H%M%SZ");
    return arena_copy(calendar->arena, text);
}

static const char *local(const Calendar *calendar, LocalTime when)
{
    CalendarDate date = day_date(when.day);
    return arena_format(calendar->arena, "%04d%02d%02dT%02d%02d00", date.year, date.month, date.day, when.minute / 60,
                        when.minute % 60);
}

static const char *offset(const Calendar *calendar, int seconds)
{
    int size = ABS(seconds) / 60;
    return arena_format(calendar->arena, "%c%02d%02d", seconds < 0 ? '-' : '+', size / 60, size % 60);
}

/* ---- the zone ---- */

static void observance(const Calendar *calendar, const char *start, int before, int after)
{
    const char *kind = after > before ? "DAYLIGHT" : "STANDARD";
    line(calendar, "BEGIN:%s", kind);
    line(calendar, "DTSTART:%s", start);
    line(calendar, "TZOFFSETFROM:%s", offset(calendar, before));
    line(calendar, "TZOFFSETTO:%s", offset(calendar, after));
    line(calendar, "END:%s", kind);
}

/* What is in force when the preparation starts, and each change until the end. */
static void time_zone(const Calendar *calendar, Instant from, Instant until)
{
    int now;
    LocalTime start = zone_local(calendar->zone, from, &now);
    ClockChange change;
    line(calendar, "BEGIN:VTIMEZONE");
    line(calendar, "TZID:%s", zone_name(calendar->zone));
    observance(calendar, local(calendar, (LocalTime){start.day - 1, 0}), now, now);
    for (Instant at = from; zone_change(calendar->zone, at, until, &change); at = change.at)
        observance(calendar, local(calendar, change_before(change)), change.offset_before, change.offset_after);
    line(calendar, "END:VTIMEZONE");
}

/* ---- events ---- */

/* The same for each sheet of a person, so that a corrected one replaces the event of the one before
 * it; act: from 0. */
static const char *event_uid(const Calendar *calendar, const char *person, const char *injection, guint act)
{
    return arena_format(calendar->arena, "%s-%s-%u@dosewright.invalid", person, injection, act + 1);
}

static const char *code_uid(Arena *arena, const char *person, const char *injection)
{
    return arena_format(arena, "%s-%s", person, injection);
}

const char *wording_dialled(Arena *arena, const Phone *phone)
{
    if (PRESENT(phone->dial))
        return phone->dial.text;
    g_autoptr(GString) digits = g_string_new(NULL);
    for (const char *at = PRESENT(phone->number) ? phone->number.text : ""; *at; at++)
        if (g_ascii_isdigit(*at))
            g_string_append_c(digits, *at);
    return arena_copy(arena, digits->str);
}

/* Whoever publishes an event and takes it back is the same (RFC 5546, 3.2.1 and 3.2.5: once, in
 * each); a parameter's value holds no quote (RFC 5545, 3.2). */
static void organizer(const Calendar *calendar, const char *clinic, const char *telephone)
{
    g_autofree char *name = g_strdelimit(g_strdup(clinic), "\"", '\'');
    line(calendar, "ORGANIZER;CN=\"%s\":tel:%s", name, telephone);
}

static void add_alarm(const Calendar *calendar, Instant at, const char *text)
{
    line(calendar, "BEGIN:VALARM");
    line(calendar, "ACTION:DISPLAY");
    line(calendar, "TRIGGER;VALUE=DATE-TIME:%s", universal(calendar, at));
    line(calendar, "DESCRIPTION:%s", escaped(calendar, text));
    line(calendar, "END:VALARM");
}

/* The ladder among these blocks that is the *left-th; its rungs hold the words of an
 * injection's, in the same order. */
static const Block *ladder_among(const GPtrArray *blocks, guint *left)
{
    const Block *found = NULL;
    for (guint i = 0; !found && i < blocks->len; i++) {
        const Block *block = g_ptr_array_index(blocks, i);
        if (block->kind == BLOCK_LADDER && (*left)-- == 0)
            return block;
        if (block->kind != BLOCK_LADDER)
            found = ladder_among(block->items, left);
    }
    return found;
}

/* Each injection of a sheet has a ladder of its own there, in order of time. */
static const Block *ladder_block(const Document *document, guint index)
{
    const Block *found = NULL;
    for (guint i = 0; !found && i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        found = ladder_among(section->blocks, &index);
    }
    return found;
}

/* Rungs count back from the first act; a course repeats them each evening. */
static void alarms(const Calendar *calendar, const PlanInjection *injection, const Block *ladder, const Act *act)
{
    const Act *first = plan_first_act(injection);
    for (guint i = 0; ladder && i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        const Block *words = g_ptr_array_index(ladder->items, i);
        RungAlarm rings = rung_row(rung->kind)->alarm;
        if (rings == ALARM_SILENT || (act != first && rings == ALARM_ONCE))
            continue;
        const char *text = line_text(calendar->arena, g_ptr_array_index(words->lines, 1));
        add_alarm(calendar, rung->at.instant + (act->at.instant - first->at.instant), text);
    }
}

static void event(const Calendar *calendar, const PlanInjection *injection, const Block *ladder, guint number)
{
    const Document *document = calendar->document;
    const Act *act = g_ptr_array_index(injection->acts, number);
    const Patient *patient = document->plan->patient;
    const Phone *phone = plan_value(document->plan, NULL, VALUE_phone_night)->phone;
    LocalTime end = zone_local(calendar->zone, act->at.instant + EVENT_MINUTES * 60, NULL);
    line(calendar, "BEGIN:VEVENT");
    line(calendar, "UID:%s", event_uid(calendar, patient->patient.text, injection->order->name.text, number));
    line(calendar, "SEQUENCE:%" G_GINT64_FORMAT, patient->sheet.value);
    line(calendar, "DTSTAMP:%s", universal(calendar, document->made_at));
    organizer(calendar, document->plan->clinic->clinic.text, wording_dialled(calendar->arena, phone));
    line(calendar, "DTSTART;TZID=%s:%s", zone_name(calendar->zone), local(calendar, act->at.local));
    line(calendar, "DTEND;TZID=%s:%s", zone_name(calendar->zone), local(calendar, end));
    line(calendar, "SUMMARY:%s", escaped(calendar, document->title));
    line(calendar, "DESCRIPTION:%s\\n%s", escaped(calendar, document->subject),
         escaped(calendar, phone->number.text));
    alarms(calendar, injection, ladder, act);
    line(calendar, "END:VEVENT");
}

/* When the last of the sheet's injections is given. */
static Instant last_instant(const Document *document)
{
    Instant last = document->plan->anchor;
    for (guint i = 0; i < document->injections->len; i++)
        last = MAX(last, plan_last_act(g_ptr_array_index(document->injections, i))->at.instant);
    return last;
}

void wording_calendar(const Document *document, GString *out)
{
    Calendar calendar = {arena_new(), out, document, document->plan->zone};
    const Rung *first = g_ptr_array_index(document->injection->ladder, 0);
    line(&calendar, "BEGIN:VCALENDAR");
    line(&calendar, "VERSION:2.0");
    line(&calendar, "PRODID:-//dosewright//sheet//EN");
    line(&calendar, "METHOD:PUBLISH");
    time_zone(&calendar, first->at.instant, last_instant(document) + 86400);
    for (guint i = 0; i < document->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(document->injections, i);
        for (guint act = injection->done; act < injection->acts->len; act++)
            event(&calendar, injection, ladder_block(document, i), act);
    }
    line(&calendar, "END:VCALENDAR");
    arena_free(calendar.arena);
}

/* ---- taken back (RFC 5546, 3.2.5) ---- */

/* Both are named that a telephone may hold: the events of the file, and the one of the code. */
static void cancelled_event(const Calendar *calendar, const CancelledSheet *sheet, const char *uid, Instant at)
{
    line(calendar, "BEGIN:VEVENT");
    line(calendar, "UID:%s", uid);
    line(calendar, "SEQUENCE:%" G_GINT64_FORMAT, sheet->number + 1);
    line(calendar, "DTSTAMP:%s", universal(calendar, sheet->now));
    organizer(calendar, sheet->clinic, sheet->telephone);
    line(calendar, "DTSTART:%s", universal(calendar, at));
    line(calendar, "SUMMARY:%s", escaped(calendar, sheet->title));
    line(calendar, "STATUS:CANCELLED");
    line(calendar, "END:VEVENT");
}

void wording_calendar_cancelled(const CancelledSheet *sheet, GString *out)
{
    Calendar calendar = {.arena = arena_new(), .out = out};
    line(&calendar, "BEGIN:VCALENDAR");
    line(&calendar, "VERSION:2.0");
    line(&calendar, "PRODID:-//dosewright//sheet//EN");
    line(&calendar, "METHOD:CANCEL");
    for (guint i = 0; i < sheet->injections->len; i++) {
        const CancelledInjection *injection = g_ptr_array_index(sheet->injections, i);
        for (guint act = 0; act < injection->acts->len; act++)
            cancelled_event(&calendar, sheet, event_uid(&calendar, sheet->person, injection->name, act),
                            g_array_index(injection->acts, Instant, act));
        cancelled_event(&calendar, sheet, code_uid(calendar.arena, sheet->person, injection->name),
                        g_array_index(injection->acts, Instant, 0));
    }
    line(&calendar, "END:VCALENDAR");
    arena_free(calendar.arena);
}

/* ---- the same for a code on the paper ---- */

/* Only what a telephone must know, so that the code stays coarse: times in UTC,
 * and alarms that sound without words (RFC 5545, 3.6.6). */
static void short_alarm(const Calendar *calendar, const PlanInjection *injection, const Rung *rung)
{
    gint64 before = (plan_first_act(injection)->at.instant - rung->at.instant) / 60;
    if (rung_row(rung->kind)->alarm != ALARM_EACH)
        return;
    line(calendar, "BEGIN:VALARM");
    line(calendar, "ACTION:AUDIO");
    line(calendar, "TRIGGER:-PT%" G_GINT64_FORMAT "M", before);
    line(calendar, "END:VALARM");
}

static Instant act_at(const PlanInjection *injection, guint index)
{
    return ((const Act *)g_ptr_array_index(injection->acts, index))->at.instant;
}

#define ONE_DAY 86400

/* A rule is short, but counts in UTC: no clock change may lie between. */
static gboolean every_day(const PlanInjection *injection)
{
    for (guint i = injection->done + 1; i < injection->acts->len; i++)
        if (act_at(injection, i) - act_at(injection, i - 1) != ONE_DAY)
            return FALSE;
    return TRUE;
}

static void other_days(const Calendar *calendar, const PlanInjection *injection)
{
    guint left = injection->acts->len - injection->done;
    if (left < 2)
        return;
    if (every_day(injection)) {
        line(calendar, "RRULE:FREQ=DAILY;COUNT=%u", left);
        return;
    }
    g_autoptr(GString) days = g_string_new(NULL);
    for (guint i = injection->done + 1; i < injection->acts->len; i++)
        g_string_append_printf(days, "%s%s", days->len ? "," : "", universal(calendar, act_at(injection, i)));
    line(calendar, "RDATE:%s", days->str);
}

const char *calendar_code(const Wording *wording)
{
    const PlanInjection *injection = wording->injection;
    const Act *first = plan_first_act(injection);
    g_autoptr(GString) out = g_string_new(NULL);
    const Calendar calendar = {wording->arena, out, NULL, wording->plan->zone};
    line(&calendar, "BEGIN:VCALENDAR");
    line(&calendar, "VERSION:2.0");
    line(&calendar, "PRODID:dosewright");
    line(&calendar, "BEGIN:VEVENT");
    line(&calendar, "UID:%s", code_uid(wording->arena, wording->plan->patient->patient.text,
                                       injection->order->name.text));
    line(&calendar, "SEQUENCE:%" G_GINT64_FORMAT, wording->plan->patient->sheet.value);
    line(&calendar, "DTSTAMP:%s", universal(&calendar, wording->plan->now));
    line(&calendar, "DTSTART:%s", universal(&calendar, first->at.instant));
    other_days(&calendar, injection);
    line(&calendar, "SUMMARY:%s %s", escaped(&calendar, injection->values[VALUE_medicine].text),
         escaped(&calendar, quantity_text(wording->arena, injection->order->dose.quantity)));
    for (guint i = 0; i < injection->ladder->len; i++)
        short_alarm(&calendar, injection, g_ptr_array_index(injection->ladder, i));
    line(&calendar, "END:VEVENT");
    line(&calendar, "END:VCALENDAR");
    return arena_copy(wording->arena, out->str);
}
