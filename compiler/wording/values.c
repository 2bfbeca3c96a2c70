/* wording_values: values of the plan as a person reads them.  Sentences come
 * from the phrase set; digits are Western and dates Gregorian in every language. */
#include <string.h>

#include "wording/parts.h"

#define NO_BREAK "\302\240"

/* ---- small parts ---- */

/* Ordinary spaces become no-break ones, so that a value stays on one line. */
const char *wording_unbroken(Arena *arena, const char *text)
{
    g_auto(GStrv) words = g_strsplit(text, " ", -1);
    g_autofree char *joined = g_strjoinv(NO_BREAK, words);
    return arena_copy(arena, joined);
}

/* A number and what it counts stay on one line in words of the files too. */
static const char *glued(Arena *arena, const char *text)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (const char *at = text; *at; at++) {
        if (*at == ' ' && at > text && (g_ascii_isdigit(at[-1]) || at[-1] == '%') && at[1])
            g_string_append(out, NO_BREAK);
        else
            g_string_append_c(out, *at);
    }
    return arena_copy(arena, out->str);
}

/* Thousands as the language parts them: a comma would be read as the decimal mark
 * where that is a comma.  Only numbers and units come here: each comma parts thousands. */
static const char *thousands(const Wording *wording, const char *text)
{
    g_auto(GStrv) groups = g_strsplit(text, ",", -1);
    g_autofree char *joined = g_strjoinv(wording_plain(wording, "format_thousands", NULL, 0), groups);
    return arena_copy(wording->arena, joined);
}

static const char *number_text(const Wording *wording, gint64 number)
{
    g_autoptr(GString) text = g_string_new(NULL);
    rational_print(text, rational_make(number, 1), 0, NULL);
    return thousands(wording, text->str);
}

static const char *day_name(const Wording *wording, Day day)
{
    const char *id = arena_format(wording->arena, "day_%d", (int)day_weekday(day));
    return wording_plain(wording, id, NULL, 0);
}

static const char *month_name(const Wording *wording, int month)
{
    return wording_plain(wording, arena_format(wording->arena, "month_%d", month), NULL, 0);
}

const char *wording_word(const Wording *wording, ChoiceWord word, gint64 count)
{
    const ChoiceRow *row = choice_row(word);
    g_assert(choice_list_printed(row->list));
    return wording_plain(wording, row->phrase, NULL, count);
}

/* ---- clocks ---- */

static gboolean twelve_first(const Wording *wording)
{
    const ClockChoice *clock = &wording->plan->clinic->clock;
    return !PRESENT(*clock) || clock->value == Clock_TWELVE;
}

static const char *clock_24(const Wording *wording, int minute)
{
    return arena_format(wording->arena, "%02d:%02d", minute / 60, minute % 60);
}

/* Half a day is too coarse for many languages: one in the morning is of the night. */
static const char *part_of_day(int minute)
{
    static const char *const parts[] = {"format_early", "format_am", "format_pm", "format_late"};
    return parts[minute / (6 * 60)];
}

static const char *clock_12(const Wording *wording, int minute)
{
    if (minute == 12 * 60)
        return wording_plain(wording, "format_noon", NULL, 0);
    int hour = minute / 60 % 12 == 0 ? 12 : minute / 60 % 12;
    gboolean bare = minute % 60 == 0;
    const Filling parts[] = {{"hour", arena_format(wording->arena, "%d", hour)},
                             {"hour_of_day", arena_format(wording->arena, "%d", minute / 60)},
                             {"minute", arena_format(wording->arena, "%02d", minute % 60)}, {NULL, NULL}};
    const char *time = wording_plain(wording, bare ? "format_hour" : "format_hour_minute", parts, 0);
    const Filling filling[] = {{"time", time}, {NULL, NULL}};
    return wording_plain(wording, part_of_day(minute), filling, 0);
}

const char *wording_clock(const Wording *wording, int minute)
{
    return twelve_first(wording) ? clock_12(wording, minute) : clock_24(wording, minute);
}

static const char *other_clock(const Wording *wording, int minute)
{
    return twelve_first(wording) ? clock_24(wording, minute) : clock_12(wording, minute);
}

static const char *both_clocks(const Wording *wording, int minute)
{
    const Filling filling[] = {{"clock", wording_clock(wording, minute)},
                               {"other", other_clock(wording, minute)}, {NULL, NULL}};
    return wording_plain(wording, "format_clocks", filling, 0);
}

static const char *clocks_text(const Wording *wording, const Value *value)
{
    if (value->clocks.all_day)
        return wording_plain(wording, "format_any_hour", NULL, 0);
    const Filling filling[] = {{"from", wording_clock(wording, value->clocks.from)},
                               {"until", wording_clock(wording, value->clocks.until)}, {NULL, NULL}};
    return wording_plain(wording, "format_span", filling, 0);
}

/* ---- dates ---- */

static const char *date_text(const Wording *wording, Day day, const char *format)
{
    CalendarDate date = day_date(day);
    const Filling filling[] = {{"weekday", day_name(wording, day)},
                               {"day", arena_format(wording->arena, "%d", date.day)},
                               {"month", month_name(wording, date.month)},
                               {"month_number", arena_format(wording->arena, "%d", date.month)},
                               {"year", arena_format(wording->arena, "%d", date.year)}, {NULL, NULL}};
    return wording_plain(wording, format, filling, 0);
}

const char *wording_day(const Wording *wording, Day day) { return date_text(wording, day, "format_day"); }

static const char *whole_time(const Wording *wording, LocalTime local)
{
    const Filling filling[] = {{"date", date_text(wording, local.day, "format_date")},
                               {"clocks", both_clocks(wording, local.minute)}, {NULL, NULL}};
    return wording_plain(wording, "format_whole", filling, 0);
}

/* From 9 pm to 5:59 am a night belongs to two days, and both are named. */
static const char *days_text(const Wording *wording, LocalTime local)
{
    int hour = local.minute / 60;
    Day first = hour < 6 ? local.day - 1 : local.day;
    const Filling filling[] = {{"weekday", day_name(wording, first)}, {"next", day_name(wording, first + 1)},
                               {NULL, NULL}};
    const char *id = hour < 6    ? "format_small_hours"
                     : hour < 12 ? "format_morning"
                     : hour < 18 ? "format_afternoon"
                     : hour < 21 ? "format_evening"
                                 : "format_night";
    return wording_plain(wording, id, filling, 0);
}

/* The same night by both its days, in so many words. */
static const char *nights_text(const Wording *wording, LocalTime local)
{
    Day first = local.minute < 12 * 60 ? local.day - 1 : local.day;
    const Filling filling[] = {{"weekday", day_name(wording, first)}, {"next", day_name(wording, first + 1)},
                               {NULL, NULL}};
    return wording_plain(wording, "format_nights", filling, 0);
}

/* The evening on which to stay up for a time after midnight. */
static const char *evening_before(const Wording *wording, LocalTime local)
{
    Day day = local.minute < 6 * 60 ? local.day - 1 : local.day;
    const Filling filling[] = {{"weekday", date_text(wording, day, "format_date")}, {NULL, NULL}};
    return wording_plain(wording, "format_evening", filling, 0);
}

static const char *moment_text(const Wording *wording, const Value *value, ValueForm form)
{
    LocalTime local = value->moment.local;
    switch (form) {
    case FORM_CLOCK: return wording_clock(wording, local.minute);
    case FORM_OTHER: return other_clock(wording, local.minute);
    case FORM_CLOCKS: return both_clocks(wording, local.minute);
    case FORM_WEEKDAY: return day_name(wording, local.day);
    case FORM_DAYS: return days_text(wording, local);
    case FORM_NIGHTS: return nights_text(wording, local);
    case FORM_EVENING: return evening_before(wording, local);
    case FORM_DATE: return date_text(wording, local.day, "format_date");
    case FORM_PLAIN: /* of a text that stands outside phrases */
    case FORM_WHOLE: return whole_time(wording, local);
    case FORM_GAUGE:
    case FORM_LENGTH: break; /* form_suits() keeps them from a time */
    }
    g_assert_not_reached();
}

/* ---- amounts ---- */

static const char *span_text(const Wording *wording, Quantity span)
{
    gint64 minutes = rational_floor(quantity_base(span));
    if (minutes < 0)
        minutes = -minutes;
    gint64 hours = minutes / 60, rest = minutes % 60;
    const Filling of_hours[] = {{"n", number_text(wording, hours)}, {NULL, NULL}};
    const Filling of_minutes[] = {{"n", number_text(wording, rest)}, {NULL, NULL}};
    const char *hours_text = wording_plain(wording, "unit_hours", of_hours, hours);
    const char *minutes_text = wording_plain(wording, "unit_minutes", of_minutes, rest);
    if (rest == 0 && hours > 0)
        return hours_text;
    if (hours == 0)
        return minutes_text;
    const Filling both[] = {{"hours", hours_text}, {"minutes", minutes_text}, {NULL, NULL}};
    return wording_plain(wording, "unit_both", both, 0);
}

static const char *needle_text(const Wording *wording, const Value *value, ValueForm form)
{
    const char *gauge = quantity_text(wording->arena, value->needle.gauge);
    const char *length = quantity_text(wording->arena, value->needle.length);
    if (form == FORM_GAUGE)
        return gauge;
    if (form == FORM_LENGTH)
        return length;
    const Filling filling[] = {{"gauge", gauge}, {"length", length}, {NULL, NULL}};
    return wording_plain(wording, "format_needle", filling, 0);
}

/* A number alone: on a U-100 barrel, in the window of a pen. */
static const char *number_alone(const Wording *wording, Quantity quantity)
{
    g_autoptr(GString) text = g_string_new(NULL);
    rational_print(text, quantity.number, 6, NULL);
    return thousands(wording, text->str);
}

static const char *mark_text(const Wording *wording, Quantity mark)
{
    return mark.unit == UNIT_mL ? quantity_text(wording->arena, mark) : number_alone(wording, mark);
}

/* "America/Argentina/Buenos_Aires" -> "Buenos Aires". */
static const char *place_text(const Wording *wording, const Zone *zone)
{
    const char *name = zone_name(zone);
    const char *slash = strrchr(name, '/');
    char *place = arena_copy(wording->arena, slash ? slash + 1 : name);
    g_strdelimit(place, "_", ' ');
    const Filling filling[] = {{"place", place}, {NULL, NULL}};
    return wording_plain(wording, "format_place", filling, 0);
}

/* The language of the clinic's own texts. */
static const char *wording_own(const Wording *wording)
{
    const GPtrArray *languages = wording->plan->clinic->languages.items;
    return languages->len > 0 ? ((const Text *)g_ptr_array_index(languages, 0))->text : "";
}

/* Never a text in another language without a word. */
static void saying_missing(const Wording *wording, const Saying *saying)
{
    Finding *finding = finding_add(wording->diagnostics, RULE_phrase_missing, saying->at.place);
    finding_fact(finding, "there is no version of this text in %s", wording->phrases->tag);
    finding_help(finding, "%s", saying_wanted(wording->arena, saying, wording->phrases->tag, wording_own(wording)));
}

const char *saying_text(const Wording *wording, const Saying *saying)
{
    const SayingVersion *version = saying_version_in(saying, wording->phrases->tag, wording_own(wording));
    if (!version) {
        saying_missing(wording, saying);
        version = g_ptr_array_index(saying->versions, 0);
    }
    return version->text.text;
}

gboolean saying_equal(const Saying *one, const Saying *other)
{
    gboolean equal = one->versions->len == other->versions->len;
    for (guint i = 0; equal && i < one->versions->len; i++) {
        const SayingVersion *a = g_ptr_array_index(one->versions, i), *b = g_ptr_array_index(other->versions, i);
        equal = g_strcmp0(a->language, b->language) == 0 && g_strcmp0(a->text.text, b->text.text) == 0;
    }
    return equal;
}

/* A colour of the standard in the sheet's language; another one as it is written. */
static const char *colour_text(const Wording *wording, const char *word)
{
    static const struct { const char *word, *phrase; } colours[] = {
#define COLOUR(id, word, red, green, blue) {word, "colour_" #id},
#include "language/colours.def"
    };
    for (gsize i = 0; i < G_N_ELEMENTS(colours); i++)
        if (g_ascii_strcasecmp(colours[i].word, word) == 0)
            return wording_plain(wording, colours[i].phrase, NULL, 0);
    return glued(wording->arena, word);
}

/* "10,000 units" in the sheet's language; symbols (mL, mg, G) are the same in all. */
static const char *amount_text(const Wording *wording, const char *text)
{
    text = thousands(wording, text);
    for (int i = 0; i < UNIT_COUNT; i++) {
        const UnitRow *unit = unit_row((UnitId)i);
        if (!unit->phrase)
            continue;
        g_auto(GStrv) parts = g_strsplit(text, unit->symbol, -1);
        g_autofree char *joined = g_strjoinv(wording_plain(wording, unit->phrase, NULL, 0), parts);
        text = arena_copy(wording->arena, joined);
    }
    return wording_unbroken(wording->arena, text);
}

/* What was worked out and has no end as a decimal is rounded to four places, and said so. */
static Quantity shown(Quantity quantity, gboolean *about)
{
    g_autoptr(GString) exact = g_string_new(NULL);
    gboolean rounded = FALSE;
    rational_print(exact, quantity.number, 6, &rounded);
    if (!rounded)
        return quantity;
    *about = TRUE;
    return (Quantity){rational_round(quantity.number, rational_make(1, 10000)), quantity.unit};
}

static const char *maybe_about(const Wording *wording, const char *amount, gboolean about)
{
    const Filling filling[] = {{"amount", amount_text(wording, amount)}, {NULL, NULL}};
    return about ? wording_unbroken(wording->arena, wording_plain(wording, "format_about", filling, 0))
                 : filling[0].text;
}

/* "38 °C". */
static const char *temperature_text(const Wording *wording, Quantity quantity)
{
    const char *text = quantity_text(wording->arena, quantity), *space = strchr(text, ' ');
    return arena_format(wording->arena, "%.*s" NO_BREAK "\302\260%s", (int)(space - text), text, space + 1);
}

static const char *quantity_shown(const Wording *wording, Quantity quantity)
{
    if (quantity_dimension(quantity) == DIM_TEMPERATURE)
        return temperature_text(wording, quantity);
    gboolean about = FALSE;
    Quantity printed = shown(quantity, &about);
    return maybe_about(wording, quantity_text(wording->arena, printed), about);
}

static const char *strength_shown(const Wording *wording, Strength strength)
{
    gboolean about = FALSE;
    Strength printed = {shown(strength.amount, &about), shown(strength.volume, &about)};
    return maybe_about(wording, strength_text(wording->arena, printed), about);
}

/* Within a text that runs from the right, a value keeps its own direction
 * (Unicode Standard Annex 9: first strong isolate). */
#define ISOLATE "\342\201\250"
#define END_ISOLATE "\342\201\251"

/* Not the parts of a value: they would leave the isolate no strong letter. */
const char *wording_isolated(const Wording *wording, const char *text)
{
    return wording->phrases->right_to_left && *text ? arena_format(wording->arena, ISOLATE "%s" END_ISOLATE, text)
                                                    : text;
}

const char *wording_which(const Wording *wording)
{
    return wording->mark ? wording_isolated(wording, wording->mark) : "";
}

const char *wording_value(const Wording *wording, const Value *value, ValueKind kind, ValueForm form)
{
    Arena *arena = wording->arena;
    switch (kind) {
    case KIND_TEXT: return glued(arena, value->text);
    case KIND_COLOUR: return colour_text(wording, value->text);
    case KIND_SAYING: return glued(arena, saying_text(wording, value->saying));
    case KIND_PLACE: return place_text(wording, value->zone);
    case KIND_NUMBER: return number_text(wording, value->number);
    case KIND_AMOUNT: return quantity_shown(wording, value->quantity);
    case KIND_MARK: return wording_unbroken(arena, mark_text(wording, value->quantity));
    case KIND_DIAL: return wording_unbroken(arena, number_alone(wording, value->quantity));
    case KIND_STRENGTH: return strength_shown(wording, value->strength);
    case KIND_SPAN: return wording_unbroken(arena, span_text(wording, value->quantity));
    case KIND_NEEDLE: return wording_unbroken(arena, needle_text(wording, value, form));
    case KIND_CHOICE: return wording_word(wording, value->choice, 1);
    case KIND_DAY: return wording_unbroken(arena, date_text(wording, value->day, "format_day"));
    case KIND_MOMENT:
        return form == FORM_DAYS     ? days_text(wording, value->moment.local)
               : form == FORM_NIGHTS ? nights_text(wording, value->moment.local)
                                     : wording_unbroken(arena, moment_text(wording, value, form));
    case KIND_CLOCKS: return wording_unbroken(arena, clocks_text(wording, value));
    case KIND_PHONE: return wording_unbroken(arena, value->phone->number.text);
    }
    g_assert_not_reached();
}
