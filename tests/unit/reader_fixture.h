/* reader_fixture: files of every kind and what was found in them; for test_reader*.c. */
#ifndef READER_FIXTURE_H
#define READER_FIXTURE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "language/language.h"
#include "reader/reader.h"
G_GNUC_UNUSED static const char good_protocol[] =
    "protocol: evening-trigger\n"
    "title: Your trigger injection\n"
    "revision: 3\n"
    "author: Dr A. Invented\n"
    "anchor: egg collection\n"
    "why: It readies your eggs for collection.\n"
    "approval: {by: Dr R. Invented, on: 2026-10-01, review_by: 2027-10-01, seal: 9c1e4b0a52d7f318}\n"
    "injections:\n"
    "  - name: trigger\n"
    "    medicine: chorionic gonadotropin 10,000 units\n"
    "    dose: 10,000 units\n"
    "    dose_is: the whole content\n"
    "    vials: 1\n"
    "    when: 36 h before egg collection\n"
    "    window: 15 min either side\n"
    "    route: intramuscular\n"
    "    site: ventrogluteal\n"
    "    mix:\n"
    "      diluent: bacteriostatic water 10 mL\n"
    "      add: 1 mL\n"
    "      syringe: 3 mL\n"
    "      needle: 22 G x 1.5 in\n"
    "      ahead: up to 6 h in the refrigerator\n"
    "    give:\n"
    "      needle: 25 G x 1 in\n"
    "      spare_needles: 1\n"
    "      angle: 90 degrees\n"
    "      by: self or helper\n"
    "    together: []\n"
    "    late: Call us now, at any hour.\n"
    "    notes:\n"
    "      - Lie on your side.\n"
    "kit:\n"
    "  - {item: alcohol wipe, count: 4}\n";

G_GNUC_UNUSED static const char good_clinic[] =
    "clinic: Lantern Cove Fertility Clinic\n"
    "zone: America/Halifax\n"
    "clock: 12-hour\n"
    "temperature: C\n"
    "paper: Letter\n"
    "languages: [en, fr-CA]\n"
    "phones:\n"
    "  night:\n"
    "    number: 902 555 0142\n"
    "    dial: \"+19025550142\"\n"
    "    hours: 5 pm to 8 am\n"
    "    answers: {en: the nurse on call, fr-CA: garde}\n"
    "procedures: {days: [Monday, Tuesday], hours: 7 am to 2 pm}\n"
    "governance: {people: two, physicians: [Dr R. Invented], nurses: []}\n"
    "limits: {trigger: 34 h to 38 h, rounding: 3%}\n"
    "preparation: {check_kit: 4 pm, call_by: '17:00', alarms: 2 h, start: 45 min, sit: 10 min}\n"
    "advice:\n"
    "  normal: [A tiny bubble is harmless.]\n"
    "  emergency: [You find it hard to breathe.]\n";

G_GNUC_UNUSED static const char good_shelf[] =
    "shelf: Lantern Cove stock\n"
    "medicines:\n"
    "  - name: chorionic gonadotropin 10,000 units\n"
    "    generic: chorionic gonadotropin\n"
    "    form: powder\n"
    "    fluid: water\n"
    "    container: vial\n"
    "    content: 10,000 units\n"
    "    strength: 125 mg per 5 mL\n"
    "    routes: [intramuscular]\n"
    "    mixing:\n"
    "      - {add: 1 mL, keep: [at once, up to 60 days at room temperature]}\n"
    "    storage: {temperature: 2 C to 8 C}\n";

G_GNUC_UNUSED static const char good_patient[] =
    "patient: LC-2041\n"
    "name: Maren T.\n"
    "protocol: evening-trigger\n"
    "order: R-1124-07\n"
    "sheet: 7\n"
    "prepared_by: P. Invented\n"
    "anchor: {on: Thursday 2026-11-26, clock: 11:30 am}\n"
    "weight: 68 kg\n"
    "allergies: []\n"
    "bleeding: [blood thinner]\n"
    "language: en\n"
    "boxes:\n"
    "  - {medicine: chorionic gonadotropin, lot: A1234, expires: 2027-02}\n";

typedef struct Fixture {
    Arena *arena;
    Diagnostics *diagnostics;
} Fixture;

G_GNUC_UNUSED static int setup(void **state)
{
    Fixture *fixture = g_new0(Fixture, 1);
    fixture->arena = arena_new();
    fixture->diagnostics = diagnostics_new(fixture->arena);
    *state = fixture;
    return 0;
}

G_GNUC_UNUSED static int teardown(void **state)
{
    Fixture *fixture = *state;
    arena_free(fixture->arena);
    g_free(fixture);
    return 0;
}

/* NULL when the text is no map that can be read. */
G_GNUC_UNUSED static gpointer read_text_of(Fixture *fixture, const char *name, const char *text, FileKind kind)
{
    const Source *source = source_from_text(fixture->arena, name, text, strlen(text));
    Node *root = syntax_parse(fixture->arena, source, fixture->diagnostics);
    if (!root)
        return NULL;
    switch (kind) {
    case FILE_CLINIC:
        return reader_clinic(fixture->arena, root, fixture->diagnostics);
    case FILE_SHELF:
        return reader_shelf(fixture->arena, root, fixture->diagnostics);
    case FILE_PATIENT:
        return reader_patient(fixture->arena, root, fixture->diagnostics);
    case FILE_PROTOCOL:
        return reader_protocol(fixture->arena, root, fixture->diagnostics);
    }
    g_assert_not_reached();
}

/* "rule:line:column rule:line:column", sorted by place. */
G_GNUC_UNUSED static char *findings(Fixture *fixture)
{
    GString *text = g_string_new(NULL);
    diagnostics_sort(fixture->diagnostics);
    for (guint i = 0; i < diagnostics_count(fixture->diagnostics); i++) {
        const Finding *finding = diagnostics_at(fixture->diagnostics, i);
        Place place = finding_place(finding);
        g_string_append_printf(text, "%s%s:%d:%d", i > 0 ? " " : "",
                               rule_row(finding_rule(finding))->id, place.line, place.column);
    }
    char *copy = arena_copy(fixture->arena, text->str);
    g_string_free(text, TRUE);
    return copy;
}

/* The good text with one line (or more) replaced. */
G_GNUC_UNUSED static char *replaced(Fixture *fixture, const char *good, const char *old, const char *new)
{
    const char *at = strstr(good, old);
    assert_non_null(at);
    return arena_format(fixture->arena, "%.*s%s%s", (int)(at - good), good, new, at + strlen(old));
}

/* What is found when one piece of a good text is replaced. */
G_GNUC_UNUSED static char *found_with(FileKind kind, const char *old, const char *new, Arena *keep)
{
    static const char *const good[] = {[FILE_CLINIC] = good_clinic, [FILE_SHELF] = good_shelf,
                                       [FILE_PROTOCOL] = good_protocol,
                                       [FILE_PATIENT] = good_patient};
    void *state;
    setup(&state);
    Fixture *fixture = state;
    char *text = replaced(fixture, good[kind], old, new);
    /* Only a name that ends in .yaml is compared with what stands inside. */
    read_text_of(fixture, kind == FILE_PATIENT ? "x/a-patient" : "x/evening-trigger.yaml", text, kind);
    char *copy = arena_copy(keep, findings(fixture));
    teardown(&state);
    return copy;
}

typedef struct FixtureCase {
    FileKind kind;
    const char *old, *new;
    const char *expected; /* "" when nothing is to be found */
} FixtureCase;

G_GNUC_UNUSED static void cases_check(const FixtureCase *cases, gsize count)
{
    Arena *arena = arena_new();
    int wrong = 0;
    for (gsize i = 0; i < count; i++) {
        char *found = found_with(cases[i].kind, cases[i].old, cases[i].new, arena);
        if (strcmp(found, cases[i].expected) == 0)
            continue;
        print_error("\"%s\": found \"%s\", not \"%s\"\n", cases[i].new, found,
                    cases[i].expected);
        wrong++;
    }
    arena_free(arena);
    assert_int_equal(wrong, 0);
}

/* ---- good values become what they say ---- */

G_GNUC_UNUSED static void assert_quantity(Quantity given, gint64 num, gint64 den, UnitId unit)
{
    assert_int_equal(given.number.num, num);
    assert_int_equal(given.number.den, den);
    assert_int_equal(given.unit, unit);
}

#endif
