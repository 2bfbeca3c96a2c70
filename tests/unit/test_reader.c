/* reader: each kind of value, good and bad, with rule, line and column; keys
 * that are unknown, missing or at the wrong level; prose.
 * Lists from outside: the rows of ISMP's and the Joint Commission's lists are
 * named beside the texts that they come from. */
#include "reader_fixture.h"

static void test_protocol_values(void **state)
{
    Protocol *protocol = read_text_of(*state, "evening-trigger.yaml", good_protocol, FILE_PROTOCOL);
    assert_string_equal(findings(*state), "");
    assert_int_equal(protocol->revision.value, 3);
    assert_int_equal(protocol->anchor.value, Anchor_COLLECTION);
    assert_string_equal(protocol->approval.seal.text, "9c1e4b0a52d7f318");
    assert_true(ABSENT(protocol->acceptances));
    assert_int_equal(protocol->acceptances.items->len, 0);
    assert_int_equal(protocol->injections.items->len, 1);
    const Injection *injection = protocol->injections.items->pdata[0];
    assert_quantity(injection->dose.quantity, 10000, 1, UNIT_units);
    assert_int_equal(injection->dose_is.value, DoseIs_WHOLE);
    assert_int_equal(injection->when.kind, TIMING_ELAPSED);
    assert_quantity(injection->when.offset, 36, 1, UNIT_h);
    assert_true(injection->when.before);
    assert_string_equal(injection->when.from, "egg collection");
    assert_int_equal(injection->when.from_place.line, 14);
    assert_int_equal(injection->when.from_place.column, 23);
    assert_int_equal(injection->when.from_place.length, 14);
    assert_quantity(injection->window.before, 15, 1, UNIT_min);
    assert_quantity(injection->window.after, 15, 1, UNIT_min);
    assert_quantity(injection->mix.needle.gauge, 22, 1, UNIT_G);
    assert_quantity(injection->mix.needle.length, 3, 2, UNIT_in);
    assert_quantity(injection->mix.ahead.limit, 6, 1, UNIT_h);
    assert_int_equal(injection->mix.ahead.kept_at, KeptAt_REFRIGERATOR);
    assert_true(ABSENT(injection->draw));
    assert_true(ABSENT(injection->draw.syringe));
    assert_int_equal(injection->mix.add.at.place.line, 20);
    assert_int_equal(injection->mix.add.at.place.column, 12);
    assert_int_equal(injection->mix.add.at.key.column, 7);
    const SayingVersion *late = injection->late.versions->pdata[0];
    assert_null(late->language);
    assert_string_equal(late->text.text, "Call us now, at any hour.");
    assert_int_equal(injection->notes.items->len, 1);
    assert_true(PRESENT(injection->together));
    assert_int_equal(injection->together.items->len, 0);
}

static void test_clinic_values(void **state)
{
    Clinic *clinic = read_text_of(*state, "clinic.yaml", good_clinic, FILE_CLINIC);
    assert_string_equal(findings(*state), "");
    assert_string_equal(zone_name(clinic->zone.zone), "America/Halifax");
    assert_int_equal(clinic->clock.value, Clock_TWELVE);
    Arena *arena = arena_new();
    const LocalTime evening = {day_from_date((CalendarDate){2026, 11, 24}), 20 * 60 + 5};
    assert_string_equal(clinic_time(arena, clinic, evening), "Tuesday 2026-11-24 8:05 pm");
    clinic->clock.value = Clock_TWENTY_FOUR;
    assert_string_equal(clinic_time(arena, clinic, evening), "Tuesday 2026-11-24 20:05");
    assert_string_equal(clinic_clock(arena, clinic, 0), "00:00");
    arena_free(arena);
    const Text *second = clinic->languages.items->pdata[1];
    assert_string_equal(second->text, "fr-CA");
    const Phone *night = &clinic->phones.night;
    assert_string_equal(night->dial.text, "+19025550142");
    assert_int_equal(night->hours.from, 17 * 60);
    assert_int_equal(night->hours.until, 8 * 60);
    assert_false(night->hours.all_day);
    assert_int_equal(night->answers.versions->len, 2);
    const SayingVersion *french = night->answers.versions->pdata[1];
    assert_string_equal(french->language, "fr-CA");
    assert_true(ABSENT(clinic->phones.day.number));
    assert_quantity(clinic->limits.trigger.from, 34, 1, UNIT_h);
    assert_quantity(clinic->limits.trigger.until, 38, 1, UNIT_h);
    assert_quantity(clinic->limits.rounding.quantity, 3, 1, UNIT_percent);
    assert_int_equal(clinic->preparation.call_by.minute, 17 * 60);
    const WeekdaysChoice *tuesday = clinic->procedures.days.items->pdata[1];
    assert_int_equal(tuesday->value, Weekdays_TUESDAY);
}

static void test_shelf_values(void **state)
{
    Shelf *shelf = read_text_of(*state, "shelf.yaml", good_shelf, FILE_SHELF);
    assert_string_equal(findings(*state), "");
    const Medicine *medicine = shelf->medicines.items->pdata[0];
    assert_quantity(medicine->strength.strength.amount, 125, 1, UNIT_mg);
    assert_quantity(medicine->strength.strength.volume, 5, 1, UNIT_mL);
    const MixingRow *row = medicine->mixing.items->pdata[0];
    const Keep *first = row->keep.items->pdata[0], *second = row->keep.items->pdata[1];
    assert_true(first->at_once);
    assert_quantity(second->limit, 60, 1, UNIT_days);
    assert_int_equal(second->kept_at, KeptAt_ROOM);
    assert_quantity(medicine->storage.temperature.from, 2, 1, UNIT_C);
    assert_int_equal(shelf->diluents.items->len, 0);
}

static void test_patient_values(void **state)
{
    Patient *patient = read_text_of(*state, "LC-2041.yaml", good_patient, FILE_PATIENT);
    assert_string_equal(findings(*state), "");
    assert_int_equal(patient->anchor.on.stated, THURSDAY);
    assert_int_equal(patient->anchor.on.day, day_from_date((CalendarDate){2026, 11, 26}));
    assert_int_equal(patient->anchor.clock.minute, 11 * 60 + 30);
    assert_quantity(patient->weight.quantity, 68, 1, UNIT_kg);
    const Box *box = patient->boxes.items->pdata[0];
    assert_int_equal(box->expires.day, day_from_date((CalendarDate){2027, 2, 28}));
    assert_true(PRESENT(patient->allergies));
}

static const Injection *one_injection(void **state, const char *old, const char *new)
{
    char *text = replaced(*state, good_protocol, old, new);
    Protocol *protocol = read_text_of(*state, "evening-trigger.yaml", text, FILE_PROTOCOL);
    assert_string_equal(findings(*state), "");
    return protocol->injections.items->pdata[0];
}

#define WHEN "36 h before egg collection"

static void test_timing_calendar(void **state)
{
    const Timing *when = &one_injection(state, WHEN, "8:30 pm on day -6 for 3 days")->when;
    assert_int_equal(when->kind, TIMING_CALENDAR);
    assert_int_equal(when->minute, 20 * 60 + 30);
    assert_int_equal(when->day, -6);
    assert_int_equal(when->days, 3);
    when = &one_injection(state, WHEN, "21:00 on day 0")->when;
    assert_int_equal(when->day, 0);
    assert_int_equal(when->days, 1);
}

static void test_timing_others(void **state)
{
    const Timing *when = &one_injection(state, WHEN, "together with trigger")->when;
    assert_int_equal(when->kind, TIMING_TOGETHER);
    assert_string_equal(when->from, "trigger");
    assert_int_equal(when->from_place.column, 25);
    when = &one_injection(state, WHEN, "34 h 30 min after first-dose")->when;
    assert_int_equal(when->kind, TIMING_ELAPSED);
    assert_false(when->before);
    assert_true(rational_equal(quantity_base(when->offset), rational_make(34 * 60 + 30, 1)));
    assert_string_equal(when->from, "first-dose");
}

static void test_windows(void **state)
{
    const char *window = "15 min either side";
    const Window *read = &one_injection(state, window, "10 min before to 1 h after")->window;
    assert_quantity(read->before, 10, 1, UNIT_min);
    assert_quantity(read->after, 1, 1, UNIT_h);
    assert_true(one_injection(state, window, "exactly")->window.exact);
    read = &one_injection(state, window, "0 min before to 30 min after")->window;
    assert_quantity(read->before, 0, 1, UNIT_min);
    const Number *spares = &one_injection(state, "needles: 1", "needles: none")->give.spare_needles;
    assert_true(PRESENT(*spares));
    assert_int_equal(spares->value, 0);
}

/* ---- bad values are found at their place ---- */

#define DOSE(text, expected) {FILE_PROTOCOL, "    dose: 10,000 units", "    dose: " text, expected}
#define ADD(text, expected) {FILE_PROTOCOL, "add: 1 mL", "add: " text, expected}

/* Numbers and units; the forms of the error-prone lists, and hostile ones. */
static void test_numbers(void **state)
{
    (void)state;
    static const FixtureCase cases[] = {
        DOSE("10000 units", "ungrouped_thousands:11:11"),
        DOSE("999 units", ""),
        DOSE("0.5 mg", ""),
        DOSE("1/2 mg", ""),
        DOSE("1.0 mg", "trailing_zero:11:11"),
        DOSE("0.50 mg", "trailing_zero:11:11"),
        DOSE(".5 mg", "naked_decimal:11:11"),
        DOSE("1,5 mg", "number_form:11:11"),
        DOSE("1.000.000 units", "number_form:11:11"),
        DOSE("10 000 units", "number_form:11:11"),
        DOSE("1e309 mg", "number_form:11:11"),
        DOSE("0x10 mg", "number_form:11:11"),
        DOSE("-1 mg", "number_form:11:11"),
        DOSE("NaN mg", "number_form:11:11"),
        DOSE("\u0661\u0660 mg", "number_form:11:11"),
        DOSE("1234567890123456789012345678901234567890 mg", "number_overflow:11:11"),
        DOSE("0 mg", "zero_amount:11:11"),
        DOSE("10,000", "unit_form:11:11"),
        DOSE("10mg", "unit_form:11:11"),
        DOSE("10 mgs", "unit_form:11:14"),
        DOSE("10 mg mg", "unit_form:11:17"),
        DOSE("10 mL", "unit_form:11:11"),
        DOSE("10,000 IU", "unsafe_abbreviation:11:18"),
        DOSE("10,000 U", "unsafe_abbreviation:11:18"),
        DOSE("100 ug", "unsafe_abbreviation:11:15"),
        ADD("1 cc", "unsafe_abbreviation:20:14"),
        ADD("1 ml", "unit_form:20:14"),
        ADD("1 teaspoon", "household_measure:20:14"),
        ADD("\"1 kg\"", "unit_form:20:13"),
        {FILE_PROTOCOL, "vials: 1", "vials: 0", "zero_amount:13:12"},
        {FILE_PROTOCOL, "vials: 1", "vials: 1.5", "number_form:13:12"},
        {FILE_PROTOCOL, "vials: 1", "vials: 99999999999999999999", "number_overflow:13:12"},
        {FILE_PROTOCOL, "revision: 3", "revision: three", "number_form:3:11"},
        {FILE_PROTOCOL, "needles: 1", "needles: no", "number_form:26:22"},
        {FILE_SHELF, "125 mg per 5 mL", "125 mg/5", "unit_form:9:22"},
        {FILE_SHELF, "125 mg per 5 mL", "10,000 units/mL", ""},
        {FILE_CLINIC, "rounding: 3%", "rounding: 3", "unit_form:15:43"},
    };
    cases_check(cases, G_N_ELEMENTS(cases));
}

#define TIMED(text, expected) {FILE_PROTOCOL, WHEN, text, expected}
#define WINDOWED(text, expected) {FILE_PROTOCOL, "15 min either side", text, expected}
#define KEPT(text, expected) {FILE_PROTOCOL, "up to 6 h in the refrigerator", text, expected}
#define NEEDLE(text, expected) {FILE_PROTOCOL, "22 G x 1.5 in", text, expected}

static void test_forms(void **state)
{
    (void)state;
    static const FixtureCase cases[] = {
        TIMED("36 hours before egg collection", "unit_form:14:14"),
        TIMED("36.0 h before egg collection", "trailing_zero:14:11"),
        TIMED("36 mL before egg collection", "unit_form:14:11"),
        TIMED("36 h before egg colection", "timing_form:14:23"),
        TIMED("36 h prior to egg collection", "timing_form:14:11"),
        TIMED("9 pm on day 1", "timing_form:14:23"),
        TIMED("9 on day +1", "timing_form:14:11"),
        TIMED("9 pm on day +1 for 10 weeks", "unit_form:14:33"),
        TIMED("9 pm on day +1 for 36 h", "timing_form:14:30"),
        TIMED("12 am on day -1", "midnight_words:14:11"),
        TIMED("midnight on day -1", "midnight_words:14:11"),
        TIMED("tonight", "timing_form:14:11"),
        WINDOWED("15 min", "window_form:15:13"),
        WINDOWED("15 mL either side", "unit_form:15:13"),
        WINDOWED("10 min before to 30 min", "window_form:15:13"),
        WINDOWED("0 min before to 0 min after", "window_form:15:13"),
        WINDOWED("0 min either side", "zero_amount:15:13"),
        KEPT("at once", ""),
        KEPT("6 h in the refrigerator", "keep_form:23:14"),
        KEPT("up to 6 h in the fridge", "keep_form:23:14"),
        KEPT("up to 6 mL in the refrigerator", "unit_form:23:20"),
        NEEDLE("22 G", "needle_form:22:15"),
        NEEDLE("22G x 1.5 in", "unit_form:22:15"),
        NEEDLE("22 G x 1.5", "unit_form:22:22"),
        NEEDLE("22 mm x 1.5 in", "unit_form:22:15"),
        NEEDLE("22.5 G x 1.5 in", "needle_form:22:15"),
        {FILE_SHELF, "2 C to 8 C", "8 C to 2 C", "span_form:13:28"},
        {FILE_SHELF, "2 C to 8 C", "2 C - 8 C", "span_form:13:28"},
        {FILE_SHELF, "2 C to 8 C", "0 C to 8 C", ""},
        {FILE_SHELF, "2 C to 8 C", "2 h to 8 h", "unit_form:13:28 unit_form:13:35"},
        {FILE_CLINIC, "5 pm to 8 am", "at any hour", ""},
        {FILE_CLINIC, "5 pm to 8 am", "5 pm to 5 pm", "clock_form:11:12"},
        {FILE_CLINIC, "5 pm to 8 am", "5 pm to midnight", "midnight_words:11:20"},
        {FILE_CLINIC, "5 pm to 8 am", "5 pm-8 am", "clock_form:11:12"},
        {FILE_CLINIC, "check_kit: 4 pm", "check_kit: 25:61", "clock_form:16:26"},
        {FILE_CLINIC, "check_kit: 4 pm", "check_kit: 23:00 pm", "clock_form:16:26"},
        {FILE_CLINIC, "check_kit: 4 pm", "check_kit: '00:00'", "midnight_words:16:27"},
    };
    cases_check(cases, G_N_ELEMENTS(cases));
}

#define ANCHORED(text, expected) {FILE_PATIENT, "Thursday 2026-11-26", text, expected}
#define EXPIRES(text, expected) {FILE_PATIENT, "expires: 2027-02", "expires: " text, expected}

/* 2026-11-26 is a Thursday: cal(1) and Python's datetime say so. */
static void test_dates(void **state)
{
    (void)state;
    static const FixtureCase cases[] = {
        ANCHORED("2026-11-26", ""),
        ANCHORED("Monday 2026-11-26", "weekday_disagrees:7:14"),
        ANCHORED("2027-02-29", "date_form:7:14"),
        ANCHORED("2026-11-31", "date_form:7:14"),
        ANCHORED("26.11.2026", "date_form:7:14"),
        ANCHORED("11/26/2026", "date_form:7:14"),
        ANCHORED("26-11-26", "date_form:7:14"),
        ANCHORED("0001-01-01", "date_form:7:14"),
        ANCHORED("9999-12-31", "date_form:7:14"),
        ANCHORED("tomorrow", "date_form:7:14"),
        EXPIRES("2027-12", ""),
        EXPIRES("2027-02-14", ""),
        EXPIRES("2027-13", "date_form:13:61"),
        EXPIRES("02/2027", "date_form:13:61"),
    };
    cases_check(cases, G_N_ELEMENTS(cases));
}

#define NAMED(text, expected) {FILE_PATIENT, "patient: LC-2041", "patient: " text, expected}
#define ZONED(text, expected) {FILE_CLINIC, "zone: America/Halifax", "zone: " text, expected}

static void test_texts(void **state)
{
    (void)state;
    static const FixtureCase cases[] = {
        NAMED("../x", "code_form:1:10"),
        NAMED("a/b", "code_form:1:11"),
        NAMED("\"-x\"", "code_form:1:11"),
        NAMED("CON", "code_form:1:10"),
        NAMED("com1", "code_form:1:10"),
        NAMED("L\u00c7-2041", "code_form:1:11"),
        NAMED("LC 2041", "code_form:1:12"),
        NAMED("a234567890123456789012345678901234567890", ""),
        NAMED("a2345678901234567890123456789012345678901", "code_form:1:50"),
        {FILE_CLINIC, "902 555 0142", "999", ""},
        {FILE_CLINIC, "902 555 0142", "+1 (902) 555-0142", ""},
        {FILE_CLINIC, "902 555 0142", "ask the desk", "phone_form:9:13"},
        {FILE_CLINIC, "+19025550142", "+1 902 555 0142", "dial_form:10:14"},
        {FILE_CLINIC, "+19025550142", "9025550142", "dial_form:10:12"},
        {FILE_CLINIC, "+19025550142", "+1234567890123456", "dial_form:10:28"},
        {FILE_CLINIC, "[en, fr-CA]", "[en, french]", "language_form:6:20"},
        {FILE_CLINIC, "[en, fr-CA]", "[en-us]", "language_form:6:16"},
        {FILE_CLINIC, "{en: the", "{english: the", "language_form:12:15"},
        {FILE_CLINIC, "en: the nurse on call", "en: [x]", "wrong_shape:12:19"},
        {FILE_CLINIC, "en: the nurse on call", "en: ''", "empty_value:12:19"},
        {FILE_PROTOCOL, "seal: 9c1e4b0a52d7f318", "seal: 9C1E4B0A52D7F318", "seal_form:7:78"},
        ZONED("Europe/London", ""),
        ZONED("EST", "zone_unknown:2:7"),
        ZONED("America/Halifaxx", "zone_unknown:2:7"),
        ZONED("../../etc/passwd", "zone_unknown:2:7"),
        {FILE_PROTOCOL, "site: ventrogluteal", "site: ventroglutal", "choice_unknown:17:11"},
        {FILE_PROTOCOL, "site: ventrogluteal", "site: Deltoid", "choice_unknown:17:11"},
        {FILE_CLINIC, "[Monday, Tuesday]", "[Monday, Tue]", "choice_unknown:13:29"},
    };
    cases_check(cases, G_N_ELEMENTS(cases));
}

/* ---- keys, shapes and lists ---- */

static void test_keys(void **state)
{
    (void)state;
    static const FixtureCase cases[] = {
        {FILE_PROTOCOL, "revision: 3", "revison: 3", "key_unknown:3:1"},
        {FILE_PROTOCOL, "revision: 3", "Revision: 3", "key_unknown:3:1"},
        {FILE_PROTOCOL, "revision: 3\n", "", "key_missing:1:1"},
        {FILE_PROTOCOL, "    dose: 10,000 units\n", "", "key_missing:9:5"},
        {FILE_PROTOCOL, "      angle: 90 degrees\n", "", "key_missing:24:5"},
        {FILE_PROTOCOL, "revision: 3", "revision: 3\nangle: 90 degrees", "key_elsewhere:4:1"},
        {FILE_PROTOCOL, "    give:\n", "    angle: 90 degrees\n    give:\n",
         "key_elsewhere:24:5"},
        {FILE_PROTOCOL, "      angle:", "      route: x\n      angle:", "key_elsewhere:27:7"},
        {FILE_PROTOCOL, "revision: 3", "revision: 3\nwholly: other", "key_unknown:4:1"},
        {FILE_PROTOCOL, "revision: 3", "revision:", "empty_value:3:10"},
        {FILE_PROTOCOL, "together: []", "together:", "empty_value:29:14"},
        {FILE_PROTOCOL, "together: []", "together: menotropins", "list_form:29:15"},
        {FILE_PROTOCOL, "together: []", "together: [a 10,000 units]", "list_form:29:21"},
        {FILE_PROTOCOL, "{item: alcohol wipe, count: 4}", "[]", "wrong_shape:34:5"},
        {FILE_PROTOCOL, "revision: 3", "revision: [3]", "wrong_shape:3:11"},
        {FILE_PROTOCOL, "revision: 3", "revision: {a: b}", "wrong_shape:3:12"},
        {FILE_CLINIC, "[Monday, Tuesday]", "[]", "list_form:13:20"},
    };
    cases_check(cases, G_N_ELEMENTS(cases));
}

/* "10,000 units" without quotes inside { } leaves the key "000 units". */
static void test_comma_in_braces(void **state)
{
    char *text = replaced(*state, good_patient, "chorionic gonadotropin,", "gonadotropin 10,000 units,");
    read_text_of(*state, "LC-2041.yaml", text, FILE_PATIENT);
    assert_string_equal(findings(*state), "key_unknown:13:32");
    g_autoptr(GString) printed = g_string_new(NULL);
    diagnostics_print(((Fixture *)*state)->diagnostics, printed, FALSE);
    assert_non_null(strstr(printed->str, "quotes round the whole value, like \"10,000 units\""));
}

static char *printed_with(void **state, const char *old, const char *new)
{
    Fixture *fixture = *state;
    fixture->diagnostics = diagnostics_new(fixture->arena);
    char *text = replaced(fixture, good_protocol, old, new);
    read_text_of(fixture, "evening-trigger.yaml", text, FILE_PROTOCOL);
    g_autoptr(GString) printed = g_string_new(NULL);
    diagnostics_print(fixture->diagnostics, printed, FALSE);
    return arena_copy(fixture->arena, printed->str);
}

static void test_help(void **state)
{
    char *text = printed_with(state, "revision: 3", "revison: 3");
    assert_non_null(strstr(text, "help: write \"revision\"\n"));
    text = printed_with(state, "revision: 3", "revision: 3\nangle: 90 degrees");
    assert_non_null(strstr(text, "help: move \"angle\" so that it stands under \"give\"\n"));
    text = printed_with(state, "      angle:", "      route: x\n      angle:");
    assert_non_null(strstr(text, "note: evening-trigger.yaml:9:5: it belongs directly in an entry of"));
    text = printed_with(state, "      angle: 90 degrees\n", "");
    assert_non_null(strstr(text, "help: add \"angle: ...\", as the prescriber ordered it\n"));
    text = printed_with(state, "    dose: 10,000 units", "    dose: 2.50 mg");
    assert_non_null(strstr(text, "help: write \"2.5\"\n"));
    text = printed_with(state, WHEN, "36 h before egg colection");
    assert_non_null(strstr(text, "help: write \"egg collection\"\n"));
    text = printed_with(state, "site: ventrogluteal", "site: ventroglutal");
    assert_non_null(strstr(text, "help: write \"ventrogluteal\"; the words are:"));
}

/* Every finding has a help line: each bad value of these tests, all at once. */
static void test_two_findings_in_one_run(void **state)
{
    char *text = replaced(*state, good_protocol, "    dose: 10,000 units", "    dose: 1.0 mg");
    text = replaced(*state, text, "site: ventrogluteal", "site: knee");
    Protocol *protocol = read_text_of(*state, "evening-trigger.yaml", text, FILE_PROTOCOL);
    assert_string_equal(findings(*state), "trailing_zero:11:11 choice_unknown:17:11");
    const Injection *injection = protocol->injections.items->pdata[0];
    assert_int_equal(injection->dose.at.state, FIELD_BAD);
    assert_int_equal(injection->site.at.state, FIELD_BAD);
    assert_true(PRESENT(injection->route));
}

static void test_names(void **state)
{
    read_text_of(*state, "p/other.yaml", good_protocol, FILE_PROTOCOL);
    assert_string_equal(findings(*state), "name_mismatch:1:11");
    ((Fixture *)*state)->diagnostics = diagnostics_new(((Fixture *)*state)->arena);
    read_text_of(*state, "-", good_protocol, FILE_PROTOCOL);
    assert_string_equal(findings(*state), "");
    char *twice = replaced(*state, good_shelf, "medicines:\n",
                           "diluents:\n"
                           "  - {name: water, container: vial, volume: 10 mL}\n"
                           "  - {name: water, container: vial, volume: 2 mL}\n"
                           "medicines:\n");
    read_text_of(*state, "shelf.yaml", twice, FILE_SHELF);
    assert_string_equal(findings(*state), "name_twice:4:12");
}

static gboolean kind_of(Fixture *fixture, const char *text, FileKind *out)
{
    const Source *source = source_from_text(fixture->arena, "x.yaml", text, strlen(text));
    Node *root = syntax_parse(fixture->arena, source, fixture->diagnostics);
    return reader_kind(root, fixture->diagnostics, out);
}

static void test_file_kind(void **state)
{
    FileKind kind;
    assert_true(kind_of(*state, "shelf: x\n", &kind));
    assert_int_equal(kind, FILE_SHELF);
    assert_true(kind_of(*state, "patient: x\nprotocol: y\n", &kind));
    assert_int_equal(kind, FILE_PATIENT);
    assert_false(kind_of(*state, "title: x\nprotocol: y\n", &kind));
    assert_string_equal(findings(*state), "file_kind:1:1");
}

/* ---- prose ---- */

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_protocol_values, setup, teardown),
        cmocka_unit_test_setup_teardown(test_clinic_values, setup, teardown),
        cmocka_unit_test_setup_teardown(test_shelf_values, setup, teardown),
        cmocka_unit_test_setup_teardown(test_patient_values, setup, teardown),
        cmocka_unit_test_setup_teardown(test_timing_calendar, setup, teardown),
        cmocka_unit_test_setup_teardown(test_timing_others, setup, teardown),
        cmocka_unit_test_setup_teardown(test_windows, setup, teardown),
        cmocka_unit_test(test_numbers),
        cmocka_unit_test(test_forms),
        cmocka_unit_test(test_dates),
        cmocka_unit_test(test_texts),
        cmocka_unit_test(test_keys),
        cmocka_unit_test_setup_teardown(test_comma_in_braces, setup, teardown),
        cmocka_unit_test_setup_teardown(test_help, setup, teardown),
        cmocka_unit_test_setup_teardown(test_two_findings_in_one_run, setup, teardown),
        cmocka_unit_test_setup_teardown(test_names, setup, teardown),
        cmocka_unit_test_setup_teardown(test_file_kind, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
