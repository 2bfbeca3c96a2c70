/* Bundles of another program, one thing changed in each: what is taken, and what is refused.  Names and codes are
 * those of FHIR 4.0.1 (Patient, ServiceRequest, Appointment, Bundle), from memory. */
#include <string.h>

#include "fhir/fhir.h"

#include "cmocka_all.h"

#define PATIENT                                                                                                        \
    "{\"resourceType\":\"Patient\",\"id\":\"p\",\"identifier\":[{\"value\":\"LC-1\"}],"                                \
    "\"name\":[{\"given\":[\"Ida\",\"Eva\"],\"family\":\"Test\"}],\"telecom\":[{\"system\":\"phone\",\"value\":\"902 " \
    "555 0100\"}],"                                                                                                    \
    "\"communication\":[{\"language\":{\"coding\":[{\"code\":\"fr\"}]}}]}"
#define REQUEST "{\"resourceType\":\"ServiceRequest\",\"status\":\"active\",\"intent\":\"order\"," \
    "\"identifier\":[{\"value\":\"R-1\"}],\"subject\":{\"reference\":\"Patient/p\"}," \
    "\"instantiatesUri\":[\"http://x/evening-trigger|3\"]}"
#define APPOINTMENT "{\"resourceType\":\"Appointment\",\"status\":\"booked\",\"start\":\"2026-11-26T11:30:00-04:00\"," \
    "\"participant\":[{\"actor\":{\"reference\":\"Patient/p\"}}]}"
#define BUNDLE                                                                                                         \
    "{\"resourceType\":\"Bundle\",\"entry\":[{\"fullUrl\":\"urn:p\",\"resource\":" PATIENT "},{\"resource\":" REQUEST  \
    "},{\"resource\":" APPOINTMENT "}]}"

#define TAKEN                                                                                                          \
    "patient: LC-1, name: Ida Test, language: fr, phone: 902 555 0100, order: R-1, protocol: evening-trigger, "        \
    "on: Thursday 2026-11-26, clock: 11:30 am"

static void say(GString *out, const Node *map)
{
    for (gsize i = 0; i < map->count; i++) {
        const Entry *entry = &map->entries[i];
        if (entry->value->kind == NODE_MAP)
            say(out, entry->value);
        else
            g_string_append_printf(out, "%s%s: %s", out->len > 0 ? ", " : "", entry->key, entry->value->text);
    }
}

/* What is taken of a bundle, and behind a bar what is said of it. */
static char *taken(const char *text, const char *zone_name)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    Zone *zone = NULL;
    const char *suggestion;
    if (zone_name)
        assert_int_equal(zone_open(arena, zone_name, &zone, &suggestion), ZONE_FINE);
    const Node *found = fhir_patient(arena, source_from_text(arena, "p.json", text, strlen(text)), zone, diagnostics);
    GString *out = g_string_new(NULL);
    g_autoptr(GString) told = g_string_new(NULL);
    if (found)
        say(out, found);
    diagnostics_print_lines(diagnostics, told);
    g_auto(GStrv) lines = g_strsplit(told->str, "\n", -1);
    for (char **line = lines; *line; line++) {
        const char *fact = strstr(*line, "\"facts\":[\""), *end = fact ? strstr(fact + 10, "\"]") : NULL;
        if (end)
            g_string_append_printf(out, "|%.*s", (int)(end - fact - 10), fact + 10);
    }
    arena_free(arena);
    return g_string_free(out, FALSE);
}

static void expect(const char *old, const char *new, const char *wanted)
{
    g_autoptr(GString) text = g_string_new(BUNDLE);
    if (old)
        assert_int_equal(g_string_replace(text, old, new, 1), 1);
    g_autofree char *said = taken(text->str, "America/Halifax");
    assert_string_equal(said, wanted);
}

/* In what is wanted, @ stands for all that the bundle gives. */
static void expect_all(const char *const (*cases)[3], gsize count)
{
    for (gsize i = 0; i < count; i++) {
        g_autoptr(GString) wanted = g_string_new(cases[i][2]);
        g_string_replace(wanted, "@", TAKEN, 0);
        expect(cases[i][0], cases[i][1], wanted->str);
    }
}

static void test_person(void **state)
{
    (void)state;
    static const char *const cases[][3] = {
        {NULL, NULL, "@"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"active\":\"true\"", "@"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"active\":false", "@|this entry of the person is no longer in use"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"deceasedBoolean\":false", "@"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"deceasedBoolean\":true", "@|the person is entered as deceased"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"deceasedDateTime\":\"2026\"", "@|the person is entered as deceased"},
    };
    expect_all(cases, G_N_ELEMENTS(cases));
}

#define REST "order: R-1, protocol: evening-trigger, on: Thursday 2026-11-26, clock: 11:30 am"

static void test_names_and_numbers(void **state)
{
    (void)state;
    static const char *const cases[][3] = {
        {"[{\"value\":\"LC-1\"}]", "[{\"value\":\"7\"},{\"value\":\"LC-1\",\"use\":\"usual\"}]", "@"},
        {"[{\"value\":\"LC-1\"}]", "[{\"value\":\"7\"},{\"value\":\"8\"}]",
         "name: Ida Test, language: fr, phone: 902 555 0100, " REST
         "|there are several identifiers, and none is the usual one"},
        {"[{\"value\":\"LC-1\"}]", "[]", "name: Ida Test, language: fr, phone: 902 555 0100, " REST},
        {"[{\"value\":\"LC-1\"}]", "[{\"value\":[\"7\"]}]", "name: Ida Test, language: fr, phone: 902 555 0100, " REST},
        {"[{\"given\"", "[{\"use\":\"old\",\"text\":\"Else\"},{\"use\":\"official\",\"given\"", "@"},
        {"[{\"given\"", "[{\"use\":\"official\",\"text\":\"Else\"},{\"use\":\"usual\",\"given\"", "@"},
        {"[{\"given\"", "[{\"text\":\"Ida Test\",\"given\"", "@"},
        {",\"family\":\"Test\"", "", "patient: LC-1, name: Ida, language: fr, phone: 902 555 0100, " REST},
        {"\"given\":[\"Ida\",\"Eva\"],", "", "patient: LC-1, language: fr, phone: 902 555 0100, " REST},
        {"[\"Ida\",\"Eva\"]", "[]", "patient: LC-1, language: fr, phone: 902 555 0100, " REST},
        {"[\"Ida\",\"Eva\"]", "[[\"Ida\"]]", "patient: LC-1, language: fr, phone: 902 555 0100, " REST},
        {"\"system\":\"phone\"", "\"system\":\"email\"", "patient: LC-1, name: Ida Test, language: fr, " REST},
        {"\"system\":\"phone\"", "\"system\":\"phone\",\"use\":\"old\"",
         "patient: LC-1, name: Ida Test, language: fr, " REST},
        {"\"value\":\"902 555 0100\"", "\"value\":[1]", "patient: LC-1, name: Ida Test, language: fr, " REST},
        {"[{\"system\":\"phone\"",
         "[{\"system\":\"phone\",\"use\":\"home\",\"value\":\"1\"},{\"system\":\"phone\",\"use\":\"mobile\"", "@"},
        {"\"902 555 0100\"}", "\"902 555 0100\"},{\"system\":\"phone\",\"use\":\"home\",\"value\":\"1\"}", "@"},
        {"[{\"language\"", "[{\"language\":{\"coding\":[{\"code\":\"de\"}]}},{\"preferred\":true,\"language\"", "@"},
        {"[{\"language\"", "[{\"language\":{\"coding\":[{\"code\":\"de\"}]}},{\"preferred\":false,\"language\"",
         "patient: LC-1, name: Ida Test, phone: 902 555 0100, " REST},
        {"[{\"code\":\"fr\"}]", "[]", "patient: LC-1, name: Ida Test, phone: 902 555 0100, " REST},
        {"[{\"code\":\"fr\"}]", "[{\"code\":[\"fr\"]}]", "patient: LC-1, name: Ida Test, phone: 902 555 0100, " REST},
        {"[{\"code\":\"fr\"}]", "[{\"display\":\"fr\"}]", "patient: LC-1, name: Ida Test, phone: 902 555 0100, " REST},
    };
    expect_all(cases, G_N_ELEMENTS(cases));
}

#define PERSON "patient: LC-1, name: Ida Test, language: fr, phone: 902 555 0100, order: R-1"
#define WHEN "on: Thursday 2026-11-26, clock: 11:30 am"

static void test_order(void **state)
{
    (void)state;
    static const char *const cases[][3] = {
        {"\"active\"", "\"draft\"", "@|the order is not active"},
        {"\"intent\":\"order\"", "\"intent\":\"original-order\"", "@"},
        {"\"intent\":\"order\"", "\"intent\":\"plan\"", "@|this is no order"},
        {"\"intent\":\"order\",", "", "@|this is no order"},
        {"\"intent\":\"order\"", "\"intent\":\"order\",\"doNotPerform\":false", "@"},
        {"\"intent\":\"order\"", "\"intent\":\"order\",\"doNotPerform\":true",
         "@|the order says that this is not to be done"},
        {"\"subject\":{\"reference\":\"Patient/p\"}", "\"subject\":{\"reference\":\"urn:p\"}", "@"},
        {"\"subject\":{\"reference\":\"Patient/p\"}", "\"subject\":{\"reference\":\"Patient/q\"}",
         "@|the order is not of the bundle's person"},
        {"\"subject\":{\"reference\":\"Patient/p\"}", "\"subject\":{\"reference\":[\"Patient/p\"]}",
         "@|the order is not of the bundle's person"},
        {"\"subject\":{\"reference\":\"Patient/p\"},", "", "@|the order is not of the bundle's person"},
        {"http://x/evening-trigger|3", "evening-trigger", "@"},
        {"http://x/evening-trigger|3", "a/b/evening-trigger#x", "@"},
        {"http://x/evening-trigger|3", "evening-trigger?y", "@"},
        {"instantiatesUri", "instantiatesCanonical", "@"},
        {"[\"http://x/evening-trigger|3\"]", "[\"a\",\"b\"]", PERSON ", " WHEN "|the order names several protocols"},
        {"[\"http://x/evening-trigger|3\"]", "[[\"a\"]]", PERSON ", " WHEN "|the order names several protocols"},
        {"[\"http://x/evening-trigger|3\"]", "[]", PERSON ", " WHEN},
    };
    expect_all(cases, G_N_ELEMENTS(cases));
}

#define ORDER PERSON ", protocol: evening-trigger"
#define NO_START "|it has no start that is a whole minute with its offset from UTC"

static void test_event(void **state)
{
    (void)state;
    static const char *const cases[][3] = {
        {"\"booked\"", "\"proposed\"", "@|the appointment is not booked"},
        {"11:30:00-04:00", "15:30:00Z", "@"},
        {"11:30:00-04:00", "11:30:00.000-04:00", "@"},
        {"11:30:00-04:00", "11:30:00.5-04:00", ORDER NO_START},
        {"11:30:00-04:00", "11:30:30-04:00", ORDER NO_START},
        {"11:30:00-04:00", "11:30:00", ORDER NO_START},
        {"\"2026-11-26T11:30:00-04:00\"", "[1]", ORDER NO_START},
        {"\"start\":\"2026-11-26T11:30:00-04:00\",", "", ORDER NO_START},
        {"2026-11-26T11:30:00-04:00", "2026-11-01T01:30:00-03:00",
         ORDER ", on: Sunday 2026-11-01, clock: 1:30 am, which: first"},
        {"2026-11-26T11:30:00-04:00", "2026-11-01T01:30:00-04:00",
         ORDER ", on: Sunday 2026-11-01, clock: 1:30 am, which: second"},
        {"\"actor\":{\"reference\":\"Patient/p\"}",
         "\"actor\":{\"reference\":\"x\"}},{\"actor\":{\"reference\":\"urn:p\"}", "@"},
        {"\"actor\":{\"reference\":\"Patient/p\"}", "\"actor\":{\"reference\":\"Patient/q\"}",
         "@|the appointment is not of the bundle's person"},
        {"\"actor\":{\"reference\":\"Patient/p\"}", "", "@|the appointment is not of the bundle's person"},
        {",\"participant\":[{\"actor\":{\"reference\":\"Patient/p\"}}]", "",
         "@|the appointment is not of the bundle's person"},
    };
    expect_all(cases, G_N_ELEMENTS(cases));
    g_autofree char *nowhere = taken(BUNDLE, NULL);
    assert_string_equal(nowhere, ORDER); /* a clinic without a zone has no hours */
}

static void test_whole(void **state)
{
    (void)state;
    static const char *const cases[][3] = {
        {"\"resourceType\":\"Bundle\"", "\"resourceType\":\"List\"", "|this is no bundle with entries"},
        {"\"entry\":[", "\"entries\":[", "|this is no bundle with entries"},
        {"{\"resource\":" APPOINTMENT "}", "{\"resource\":{\"resourceType\":\"Slot\"}}",
         ORDER "|there is no Appointment"},
        {"{\"resource\":" APPOINTMENT "}", "{\"resource\":{\"resourceType\":\"Observation\"}}",
         ORDER "|there is no Appointment|Observation is not read here, and may hold what must not be passed over"},
        {"{\"resource\":" APPOINTMENT "}", "{\"resource\":{\"id\":\"x\"}}",
         ORDER "|there is no Appointment|this entry holds no resource"},
        {"{\"resource\":" APPOINTMENT "}", "{}", ORDER "|there is no Appointment|this entry holds no resource"},
        {"{\"resource\":" REQUEST "}", "{\"resource\":" APPOINTMENT "}",
         "patient: LC-1, name: Ida Test, language: fr, phone: 902 555 0100, " WHEN
         "|there is no ServiceRequest|there are two of Appointment"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"implicitRules\":\"x\"", "@|\\\"implicitRules\\\" changes what the rest means"},
        {"\"id\":\"p\"", "\"id\":\"p\",\"modifierExtension\":[]",
         "@|\\\"modifierExtension\\\" changes what the rest means"},
        {"\"coding\":[{", "\"coding\":[{\"modifierExtension\":[],",
         "@|\\\"modifierExtension\\\" changes what the rest means"},
    };
    expect_all(cases, G_N_ELEMENTS(cases));
    expect("{\"fullUrl\":\"urn:p\",\"resource\":" PATIENT "},", "", REST "|there is no Patient");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_person), cmocka_unit_test(test_names_and_numbers),
                                       cmocka_unit_test(test_order), cmocka_unit_test(test_event),
                                       cmocka_unit_test(test_whole)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
