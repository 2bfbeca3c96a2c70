/* night_list: the rows of a night, their words and how they stand. */
#include <string.h>

#include "night/parts.h"

Day night_evening(const Zone *zone, Instant now)
{
    LocalTime local = zone_local(zone, now, NULL);
    return local.minute < 12 * 60 ? local.day - 1 : local.day;
}

/* Noon occurs once a day in every zone of the database, as far as anyone knows. */
Instant night_noon(const Zone *zone, Day evening)
{
    Instant instants[2];
    int count = zone_instants(zone, (LocalTime){evening, 12 * 60}, instants);
    g_assert(count > 0);
    return instants[0];
}

typedef struct Making {
    Arena *arena;
    const NightRequest *request;
    const Night *night;
} Making;

/* A row's words are its own: the people may be forgotten before it is. */
static const char *own(const Making *making, const char *text) { return text ? arena_copy(making->arena, text) : NULL; }

static const char *value_of(const Making *making, const NightRow *row, ValueId id)
{
    return own(making, said_value(making->arena, row->plan, row->injection, making->night->phrases, id));
}

static const char *phrase(const Making *making, const char *id, const Filling *fillings)
{
    return said_phrase(making->arena, making->night->words, making->night->phrases, id, fillings, 0);
}

static const char *clock_at(const Making *making, Instant at)
{
    LocalTime local = zone_local(making->night->zone, at, NULL);
    return said_clock(making->arena, making->night->words, making->night->phrases, local.minute);
}

/* ---- words of a row ---- */

static const char *window_words(const Making *making, const NightRow *row)
{
    if (row->from == row->until)
        return clock_at(making, row->at);
    const Filling filling[] = {{"from", clock_at(making, row->from)}, {"until", clock_at(making, row->until)},
                               {NULL, NULL}};
    return phrase(making, "night_window", filling);
}

/* Where she is, and what her clock says; NULL when it says what the clinic's does. */
static const char *away_words(const Making *making, const NightRow *row)
{
    int here, there;
    LocalTime own = zone_local(row->plan->zone, row->at, &there);
    zone_local(making->night->zone, row->at, &here);
    if (here == there)
        return NULL;
    const Night *night = making->night;
    const Filling filling[] = {
        {"place", said_place(making->arena, row->plan, night->phrases, row->plan->zone)},
        {"time", said_clock(making->arena, night->words, night->phrases, own.minute)}, {NULL, NULL}};
    return phrase(making, "night_away", filling);
}

static const char *event_words(const Making *making, const NightRow *row)
{
    LocalTime local = zone_local(making->night->zone, row->plan->anchor, NULL);
    const Night *night = making->night;
    const Filling filling[] = {
        {"thing", said_word(making->arena, row->plan, night->phrases, (ChoiceWord)row->plan->protocol->anchor.value)},
        {"weekday", said_day(making->arena, night->words, night->phrases, local.day, FALSE)},
        {"time", said_clock(making->arena, night->words, night->phrases, local.minute)}, {NULL, NULL}};
    gboolean eggs = row->plan->protocol->anchor.value == Anchor_COLLECTION;
    return phrase(making, eggs ? "night_eggs" : "night_event", filling);
}

static const char *amount_words(const Making *making, const NightRow *row)
{
    const char *dial = value_of(making, row, VALUE_dial), *mark = value_of(making, row, VALUE_mark);
    const char *volume = value_of(making, row, VALUE_volume);
    const Filling filling[] = {{"amount", volume ? volume : ""}, {"n", dial ? dial : mark ? mark : ""}, {NULL, NULL}};
    if (dial)
        return phrase(making, "night_dial", filling);
    if (plan_gives_all(row->injection))
        return volume ? phrase(making, "night_all", filling) : "";
    return mark ? phrase(making, "night_line", filling) : volume ? volume : "";
}

static const char *place_words(const Making *making, const NightRow *row)
{
    const Injection *order = row->injection->order;
    const Night *night = making->night;
    const Filling filling[] = {
        {"place", said_short(making->arena, row->plan, night->phrases, (ChoiceWord)order->site.value)},
        {"thing", said_short(making->arena, row->plan, night->phrases, (ChoiceWord)order->route.value)}, {NULL, NULL}};
    return phrase(making, "night_place", filling);
}

static const char *giver_words(const Making *making, const NightRow *row)
{
    Giver giver = plan_giver(row->plan, row->injection);
    return phrase(making, giver == Giver_HELPER ? "night_helper" : giver == Giver_SELF ? "night_alone" : "night_either",
                  NULL);
}

static void set_words(const Making *making, NightRow *row, const NightPerson *person)
{
    const Patient *patient = row->plan->patient;
    row->clock = clock_at(making, row->at);
    row->window = window_words(making, row);
    row->away = away_words(making, row);
    row->event = event_words(making, row);
    row->code = own(making, patient->patient.text);
    row->sheet = value_of(making, row, VALUE_check_code);
    row->medicine = value_of(making, row, VALUE_medicine);
    row->dose = value_of(making, row, VALUE_dose);
    row->amount = amount_words(making, row);
    row->needle = value_of(making, row, VALUE_injecting_needle);
    row->place = place_words(making, row);
    row->giver = giver_words(making, row);
    row->phone = PRESENT(patient->phone) ? own(making, patient->phone.text) : NULL;
    row->language = said_phrase(making->arena, row->plan, person->phrases, "language_name", NULL, 0);
    g_autofree char *hers = g_strndup(phrases_tag(person->phrases), strcspn(phrases_tag(person->phrases), "-"));
    g_autofree char *nurse = g_strndup(phrases_tag(making->night->phrases),
                                       strcspn(phrases_tag(making->night->phrases), "-"));
    row->interpreter = strcmp(hers, nurse) != 0;
}

/* ---- slips ---- */

gboolean night_is_open(const NightRow *row) { return row->state == NIGHT_CALLED || row->state == NIGHT_NO_WORD; }

gboolean night_is_over(const Night *night, const NightRow *row) { return night->now > row->until && !row->injected; }

static NightSlip *slip_words(const Making *making, const NightRow *row, const SlipSheet *sheet, Slip slip)
{
    Arena *arena = making->arena;
    const Phrases *nurse = making->night->phrases, *own = row->person->phrases;
    NightSlip *one = arena_new0(arena, NightSlip);
    const SlipWords *words[3];
    guint places = plan_slip_places(row->plan, row->injection, slip, words);
    one->slip = slip;
    one->title = said_word(arena, row->plan, nurse, (ChoiceWord)slip);
    for (guint i = 0; i < places && !one->say; i++) { /* what this sheet cannot fill in is said by the next place */
        one->say = said_slip(arena, sheet, &words[i]->say, own);
        one->translated = one->say != NULL;
        if (!one->say)
            one->say = said_slip(arena, sheet, &words[i]->say, nurse);
        if (!one->say)
            continue;
        one->ask = said_slip(arena, sheet, &words[i]->ask, one->translated ? own : nurse);
        one->then = said_slip(arena, sheet, &words[i]->then, nurse);
        if (!one->ask)
            one->ask = said_slip(arena, sheet, &words[i]->ask, nurse);
    }
    const Saying *late = &row->injection->order->late;
    if (places == 0 && slip == Slip_LATE && PRESENT(*late)) {
        one->say = said_slip(arena, sheet, late, own);
        one->translated = one->say != NULL;
        one->say = one->say ? one->say : said_slip(arena, sheet, late, nurse);
    }
    if (places > 0 && slip == Slip_LATE && night_is_over(making->night, row)) /* its words are for who is in time */
        one->ask = one->say = NULL;
    return one;
}

static const NightSheet *sheet_of(const NightPerson *person, const PlanInjection *injection)
{
    for (guint i = 0; i < person->sheets->len; i++) {
        const NightSheet *sheet = g_ptr_array_index(person->sheets, i);
        if (g_ptr_array_find((GPtrArray *)sheet->injections, injection, NULL))
            return sheet;
    }
    return NULL;
}

GPtrArray *night_slips(Arena *arena, const Night *night, const NightRow *row)
{
    guint count;
    Slip first = (Slip)choice_first(CHOICES_Slip, &count);
    const Making making = {arena, NULL, night};
    const NightSheet *printed = sheet_of(row->person, row->injection);
    SlipSheet sheet = {.plan = row->plan, .injection = row->injection};
    if (printed)
        printed->open(printed->maker, arena, &sheet);
    GPtrArray *slips = arena_list(arena);
    for (Slip slip = first; slip < first + count; slip++)
        if (plan_can_slip(row->injection, slip))
            g_ptr_array_add(slips, slip_words(&making, row, &sheet, slip));
    return slips;
}

/* ---- notes and states ---- */

static gboolean is_about(const NightNote *note, const NightRow *row)
{
    const Number *sheet = &row->plan->patient->sheet;
    const Instant told = note->injected ? note->given : note->at;
    const Instant apart = told > row->at ? told - row->at : row->at - told;
    const Instant most = note->injected && row->injection->acts->len > 1 ? 12 * 3600 : 24 * 3600; /* the next day's */
    if (g_ascii_strcasecmp(note->code, row->code) != 0 || apart > most)
        return FALSE;
    if (note->sheet > 0 && PRESENT(*sheet) && note->sheet != sheet->value)
        return FALSE;
    return !note->injection || strcmp(note->injection, row->injection->order->name.text) == 0;
}

static void take_notes(const Making *making, NightRow *row)
{
    const GPtrArray *notes = making->request->notes;
    for (guint i = 0; notes && i < notes->len; i++) {
        const NightNote *note = g_ptr_array_index(notes, i);
        if (note->at > making->night->now || !is_about(note, row))
            continue;
        if (note->injected)
            row->injected = note;
        else
            row->call = note;
    }
}

static NightState state_of(const Night *night, const NightRow *row)
{
    if (row->injected)
        return NIGHT_INJECTED;
    if (row->call && !row->call->settled)
        return NIGHT_CALLED;
    if (night->now < row->from)
        return NIGHT_TO_COME;
    if (night->now <= row->until)
        return NIGHT_NOW;
    return night->sends_word ? NIGHT_NO_WORD : NIGHT_OVER;
}

/* ---- rows ---- */

static void add_act(const Making *making, const NightPerson *person, const PlanInjection *injection, const Act *act)
{
    const Night *night = making->night;
    NightRow *row = arena_new0(making->arena, NightRow);
    row->person = person;
    row->plan = person->plan;
    row->injection = injection;
    row->at = row->from = row->until = act->at.instant;
    row->local = zone_local(night->zone, row->at, NULL);
    if (PRESENT(injection->order->window) && !injection->order->window.exact) {
        const Act *first = plan_first_act(injection);
        Instant shift = first ? row->at - first->at.instant : 0;
        row->from = injection->windowed ? injection->earliest.instant + shift : row->at;
        row->until = injection->windowed ? injection->latest.instant + shift : plan_window_end(injection, act);
    }
    set_words(making, row, person);
    take_notes(making, row);
    row->state = state_of(night, row);
    row->not_rows = arena_list(making->arena);
    g_ptr_array_add(night->rows, row);
}

/* TRUE when she injects in between. */
static gboolean add_person(const Making *making, const NightPerson *person, Instant from, Instant until)
{
    const GPtrArray *injections = person->plan->injections;
    guint before = making->night->rows->len;
    for (guint i = 0; i < injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(injections, i);
        for (guint k = 0; injection->timed && k < injection->acts->len; k++) {
            const Act *act = g_ptr_array_index(injection->acts, k);
            if (act->exists && act->at.instant >= from && act->at.instant < until)
                add_act(making, person, injection, act);
        }
    }
    return making->night->rows->len > before;
}

static gint by_time(gconstpointer a, gconstpointer b)
{
    const NightRow *one = *(NightRow *const *)a, *two = *(NightRow *const *)b;
    if (one->at != two->at)
        return one->at < two->at ? -1 : 1;
    gint codes = strcmp(one->code, two->code);
    return codes ? codes : one->injection->number - two->injection->number;
}

/* Two of one sheet are A and B, as it calls them; each names the other's row. */
static void pair_rows(Night *night)
{
    for (guint i = 0; i < night->rows->len; i++) {
        NightRow *row = g_ptr_array_index(night->rows, i);
        row->number = (int)i + 1;
        if (plan_one_sheet(row->plan))
            row->mark = row->injection->number == 1 ? "A" : "B";
        for (guint k = 0; k < night->rows->len; k++) {
            const NightRow *other = g_ptr_array_index(night->rows, k);
            if (other != row && other->plan == row->plan && other->injection != row->injection)
                row->other = other;
        }
    }
}

static const NightRow *next_of(const Night *night)
{
    for (guint i = 0; i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (!row->injected && night->now <= row->until)
            return row;
    }
    return NULL;
}

Night *night_make(Arena *arena, const NightRequest *request)
{
    if (request->people->len == 0)
        return NULL;
    const Clinic *clinic = request->clinic;
    Night *night = arena_new0(arena, Night);
    const Making making = {arena, request, night};
    const Phones *phones = &clinic->phones;
    night->clinic = clinic;
    night->zone = clinic->zone.zone;
    night->phrases = request->phrases;
    night->words = ((const NightPerson *)g_ptr_array_index(request->people, 0))->plan;
    night->now = request->now;
    night->made = request->made;
    night->typed = request->typed;
    night->evening = request->evening;
    night->sends_word = PRESENT(clinic->practice.send_word) && clinic->practice.send_word.value == YesNo_YES;
    night->physician = PRESENT(phones->physician) ? &phones->physician
                       : PRESENT(phones->second)  ? &phones->second
                                                  : NULL;
    night->interpreter = PRESENT(phones->interpreter) ? &phones->interpreter : NULL;
    night->stopped = request->stopped;
    night->rows = arena_list(arena);
    Instant from = night_noon(night->zone, night->evening), until = night_noon(night->zone, night->evening + 1);
    for (guint i = 0; i < request->people->len; i++)
        night->people += add_person(&making, g_ptr_array_index(request->people, i), from, until);
    g_ptr_array_sort(night->rows, by_time);
    pair_rows(night);
    night_mark(arena, night);
    night->next = next_of(night);
    return night;
}

void night_forget_people(Night *night, NightRequest *request)
{
    for (guint i = 0; i < night->rows->len; i++) {
        NightRow *row = g_ptr_array_index(night->rows, i);
        row->plan = NULL;
        row->injection = NULL;
        row->person = NULL;
    }
    request->people = NULL;
    if (request->memories->len > 1) /* the first formats words */
        g_ptr_array_remove_range(request->memories, 1, request->memories->len - 1);
}

/* ---- finding one ---- */

/* Letters and digits alone, in capitals: "9 A H C 6" is 9AHC6. */
static char *squeezed(const char *word)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (const char *at = word; *at; at++)
        if (g_ascii_isalnum(*at))
            g_string_append_c(out, g_ascii_toupper(*at));
    return g_string_free(g_steal_pointer(&out), FALSE);
}

static gboolean is_named(const NightRow *row, const char *word)
{
    g_autofree char *name = g_utf8_casefold(row->plan->patient->name.text, -1);
    g_autofree char *wanted = g_utf8_casefold(word, -1);
    return *wanted && strstr(name, wanted) != NULL;
}

/* The end of a number is enough: four digits, or with what stands before it in another country. */
static gboolean is_rung_from(const NightRow *row, const char *word)
{
    g_autoptr(GString) own = g_string_new(NULL), wanted = g_string_new(NULL);
    for (const char *at = row->phone ? row->phone : ""; *at; at++)
        if (g_ascii_isdigit(*at))
            g_string_append_c(own, *at);
    for (const char *at = word; *at; at++)
        if (g_ascii_isdigit(*at))
            g_string_append_c(wanted, *at);
        else if (!strchr("+-() ./", *at))
            return FALSE;
    return MIN(own->len, wanted->len) >= 4 &&
           (g_str_has_suffix(own->str, wanted->str) || g_str_has_suffix(wanted->str, own->str));
}

GPtrArray *night_find(Arena *arena, const Night *night, const char *word)
{
    GPtrArray *found = arena_list(arena);
    g_autofree char *wanted = squeezed(word);
    for (int round = 0; round < 2 && found->len == 0; round++) /* a code before a name */
        for (guint i = 0; i < night->rows->len; i++) {
            NightRow *row = g_ptr_array_index(night->rows, i);
            g_autofree char *code = squeezed(row->code);
            g_autofree char *sheet = squeezed(row->sheet ? row->sheet : "");
            gboolean fits = round == 0 ? *wanted && (!strcmp(wanted, code) || !strcmp(wanted, sheet))
                                       : is_named(row, word) || is_rung_from(row, word);
            if (fits)
                g_ptr_array_add(found, row);
        }
    return found;
}

/* ---- words of states ---- */

const char *night_state_words(Arena *arena, const Night *night, NightState state)
{
    static const char *const ids[] = {
#define NIGHT_STATE(id, sign, phrase) [NIGHT_##id] = phrase,
#include "night/states.def"
    };
    return said_phrase(arena, night->words, night->phrases, ids[state], NULL, 0);
}

const char *night_sign(NightState state)
{
    static const char *const signs[] = {
#define NIGHT_STATE(id, sign, phrase) [NIGHT_##id] = sign,
#include "night/states.def"
    };
    return signs[state];
}

const char *night_countdown(Arena *arena, const Night *night, const NightRow *row)
{
    if (night->now > row->until)
        return NULL;
    gboolean ahead = night->now < row->at;
    Instant to = ahead ? row->at : row->until;
    const Filling filling[] = {
        {"time", said_minutes(arena, night->words, night->phrases, (to - night->now + 59) / 60)}, {NULL, NULL}};
    return said_phrase(arena, night->words, night->phrases, ahead ? "night_in" : "night_left", filling, 0);
}
