/* seal: what keeps a seal and what breaks it.  The digest itself is checked
 * against sha256sum (GNU coreutils), another program than GLib's. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <glib/gstdio.h>
#include <string.h>

#include "reader/reader.h"
#include "language/seal.h"

static const char plain[] =
    "protocol: evening-trigger\n"
    "title: Your trigger injection\n"
    "revision: 3\n"
    "author: Dr A. Invented\n"
    "anchor: egg collection\n"
    "why: It readies your eggs for collection.\n"
    "acceptances:\n"
    "  - {rule: site_unusual, because: Asked for., by: Dr R. Invented, on: 2026-10-01, "
    "until: 2027-04-01}\n"
    "injections:\n"
    "  - name: trigger\n"
    "    medicine: chorionic gonadotropin 10,000 units\n"
    "    dose: 10,000 units\n"
    "    dose_is: the whole content\n"
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
    "    give: {needle: 25 G x 1 in, spare_needles: 1, angle: 90 degrees, by: self}\n"
    "    late: Call us now.\n"
    "kit:\n"
    "  - {item: alcohol wipe, count: 4}\n"
    "  - {item: gauze pad, count: 2}\n";

static const char clinic_text[] =
    "clinic: Test House\n"
    "zone: America/Halifax\n"
    "phones: {night: {number: 902 555 0142, hours: at any hour}}\n"
    "governance: {people: two, physicians: [Dr R. Invented], nurses: [P. Invented]}\n"
    "limits: {trigger: 34 h to 38 h}\n"
    "preparation: {check_kit: 4 pm, call_by: 5 pm, alarms: 2 h, start: 45 min, sit: 10 min}\n";

static const char shelf_text[] =
    "shelf: Test stock\n"
    "medicines:\n"
    "  - {name: \"chorionic gonadotropin 10,000 units\", content: \"10,000 units\", diluents: [water one]}\n"
    "  - {name: filled five, content: 5 mg, syringe: filled syringe}\n"
    "  - {name: not used, content: 5 mg}\n"
    "diluents:\n"
    "  - {name: bacteriostatic water 10 mL, volume: 10 mL}\n"
    "  - {name: water one, volume: 1 mL}\n"
    "syringes:\n"
    "  - {name: 3 mL, dead_space: 0.03 mL}\n"
    "  - {name: filled syringe, dead_space: 0.04 mL}\n"
    "needles:\n"
    "  - {needle: 22 G x 38.1 mm, hub: black}\n"
    "  - {needle: 25 G x 1 in, hub: orange}\n"
    "  - {needle: 30 G x 0.5 in, hub: yellow}\n";

typedef struct Texts {
    const char *protocol, *clinic, *shelf, *rules;
} Texts;

static const Texts approved = {plain, clinic_text, shelf_text, "rules.revision=1\n"};

static Node *parsed(Arena *arena, const char *name, const char *text, Diagnostics *diagnostics)
{
    Node *root = syntax_parse(arena, source_from_text(arena, name, text, strlen(text)), diagnostics);
    assert_non_null(root);
    return root;
}

static SealBasis basis_of(Arena *arena, const Texts *texts, Diagnostics *of_protocol)
{
    Diagnostics *other = diagnostics_new(arena); /* clinic and shelf are cut short here */
    return (SealBasis){reader_clinic(arena, parsed(arena, "clinic.yaml", texts->clinic, other), other),
                       reader_shelf(arena, parsed(arena, "shelf.yaml", texts->shelf, other), other),
                       reader_protocol(arena, parsed(arena, "evening-trigger.yaml", texts->protocol, of_protocol),
                                       of_protocol),
                       texts->rules};
}

/* The seal of the texts; the caller frees it.  NULL when the protocol cannot be read. */
static char *seal_of_texts(const Texts *texts)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    const SealBasis basis = basis_of(arena, texts, diagnostics);
    char *seal = g_strdup(seal_make(arena, &basis));
    assert_int_equal(seal != NULL, diagnostics_open(diagnostics, SEVERITY_ERROR) == 0);
    arena_free(arena);
    return seal;
}

static char *seal_of(const char *protocol)
{
    Texts texts = approved;
    texts.protocol = protocol;
    return seal_of_texts(&texts);
}

static char *edited(const char *text, const char *old, const char *new)
{
    const char *at = strstr(text, old);
    assert_non_null(at);
    return g_strdup_printf("%.*s%s%s", (int)(at - text), text, new, at + strlen(old));
}

static char *changed(const char *old, const char *new) { return edited(plain, old, new); }

static gboolean seal_holds(const char *old, const char *new)
{
    g_autofree char *text = changed(old, new);
    g_autofree char *before = seal_of(plain), *after = seal_of(text);
    assert_non_null(before);
    assert_non_null(after);
    assert_int_equal(g_str_equal(before, after), seal_same(before, after));
    return seal_same(before, after);
}

static void test_form_of_seal(void **state)
{
    (void)state;
    g_autofree char *seal = seal_of(plain);
    assert_int_equal(strlen(seal), 16 + SEAL_PARTS * 5);
    assert_int_equal(strspn(seal, "0123456789abcdef"), 16);
    assert_true(seal_same(seal, "") == FALSE);
    assert_false(seal_part_differs(seal, "0123456789abcdef", SEAL_CLINIC)); /* nothing is known of its parts */
}

static void test_meaning_the_same(void **state)
{
    (void)state;
    assert_true(seal_holds("dose: 10,000 units", "dose: 10000 units"));
    assert_true(seal_holds("dose: 10,000 units", "dose:    \"10,000 units\"  # as ordered"));
    assert_true(seal_holds("needle: 22 G x 1.5 in", "needle: '22 G x 1 1/2 in'"));
    assert_true(seal_holds("revision: 3\nauthor: Dr A. Invented\n",
                           "author: Dr A. Invented\n\n# who\nrevision: 3\n"));
    assert_true(seal_holds("{item: gauze pad, count: 2}", "item: gauze pad\n    count: 2"));
    assert_true(seal_holds("on: 2026-10-01", "on: Thursday 2026-10-01"));
}

#define APPROVAL "approval: {by: Dr R. Invented, on: 2026-10-01, review_by: 2027-10-01, seal: "

/* The approval is covered, but not the seal that stands in it. */
static void test_approval_is_covered(void **state)
{
    (void)state;
    g_autofree char *text = changed("acceptances:", APPROVAL "9c1e4b0a52d7f318}\nacceptances:");
    g_autofree char *before = seal_of(text), *none = seal_of(plain);
    assert_false(seal_same(before, none));
    static const struct { const char *old, *new; gboolean same; } changes[] = {
        {"9c1e4b0a52d7f318", "0123456789abcdef", TRUE},
        {"by: Dr R.", "by: Dr S.", FALSE},
        {"review_by: 2027-10-01", "review_by: 2028-10-01", FALSE},
        {", on: 2026-10-01, review", ", on: 2026-10-02, review", FALSE},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++) {
        g_autofree char *other = edited(text, changes[i].old, changes[i].new);
        g_autofree char *after = seal_of(other);
        assert_int_equal(seal_same(before, after), changes[i].same);
        assert_int_equal(seal_part_differs(before, after, SEAL_APPROVAL), !changes[i].same);
        assert_false(seal_part_differs(before, after, SEAL_PROTOCOL));
    }
}

/* One edit of a text and what it does to the seal of the part that the text is. */
typedef struct Edit { const char *old, *new; gboolean breaks; } Edit;

static void edits_of_part(SealPart part, const Edit *edits, gsize count)
{
    g_autofree char *before = seal_of_texts(&approved);
    for (gsize i = 0; i < count; i++) {
        Texts texts = approved;
        const char **text = part == SEAL_CLINIC ? &texts.clinic : &texts.shelf;
        g_autofree char *after_edit = edited(*text, edits[i].old, edits[i].new);
        *text = after_edit;
        g_autofree char *after = seal_of_texts(&texts);
        if (seal_same(before, after) == edits[i].breaks || seal_part_differs(before, after, part) != edits[i].breaks)
            fail_msg("\"%s\" -> \"%s\"", edits[i].old, edits[i].new);
        assert_false(seal_part_differs(before, after, SEAL_PROTOCOL));
    }
}

static void test_clinic_is_covered(void **state)
{
    (void)state;
    static const Edit edits[] = {
        {"902 555 0142", "902 555 0143", TRUE}, {"34 h to 38 h", "33 h to 38 h", TRUE},
        {"[Dr R. Invented]", "[Dr R. Invented, Dr S. Invented]", TRUE}, {"people: two", "people: one", TRUE},
        {"nurses: [P. Invented]", "nurses: []", TRUE}, {"sit: 10 min", "sit: 11 min", TRUE},
        {"America/Halifax", "America/Toronto", TRUE}, {"sit: 10 min", "sit:   \"10 min\"", FALSE},
    };
    edits_of_part(SEAL_CLINIC, edits, G_N_ELEMENTS(edits));
}

static void test_used_rows_are_covered(void **state)
{
    (void)state;
    static const Edit edits[] = {
        {"content: \"10,000 units\"", "content: \"5,000 units\"", TRUE}, {"volume: 10 mL", "volume: 20 mL", TRUE},
        {"dead_space: 0.03 mL", "dead_space: 0.05 mL", TRUE}, {"hub: black", "hub: pink", TRUE},
        {"hub: orange", "hub: pink", TRUE},
        {"name: not used, content: 5 mg", "name: not used, content: 10 mg", FALSE},
        {"volume: 1 mL", "volume: 2 mL", FALSE}, /* the label allows it, and the protocol uses another */
        {"hub: yellow", "hub: white", FALSE}, {"shelf: Test stock", "shelf: Our stock", FALSE},
        {"dead_space: 0.04 mL", "dead_space: 0.05 mL", FALSE},
    };
    edits_of_part(SEAL_SHELF, edits, G_N_ELEMENTS(edits));
}

/* What a row names in its turn is used too: the syringe that a medicine comes in. */
static void test_rows_of_rows_are_covered(void **state)
{
    (void)state;
    g_autofree char *protocol = changed("medicine: chorionic gonadotropin 10,000 units", "medicine: filled five");
    g_autofree char *shelf = edited(shelf_text, "dead_space: 0.04 mL", "dead_space: 0.05 mL");
    Texts old = approved, new = approved;
    old.protocol = new.protocol = protocol;
    new.shelf = shelf;
    g_autofree char *before = seal_of_texts(&old), *after = seal_of_texts(&new);
    assert_true(seal_part_differs(before, after, SEAL_SHELF));
}

static void test_rules_are_covered(void **state)
{
    (void)state;
    Texts texts = approved;
    texts.rules = "rules.revision=2\n";
    g_autofree char *before = seal_of_texts(&approved), *after = seal_of_texts(&texts);
    assert_false(seal_same(before, after));
    assert_true(seal_part_differs(before, after, SEAL_RULES));
}

static void test_meaning_changed(void **state)
{
    (void)state;
    static const char *const changes[][2] = {
        {"dose: 10,000 units", "dose: 10,001 units"},
        {"dose: 10,000 units", "dose: 10,000 mg"},
        {"revision: 3", "revision: 4"},
        {"title: Your trigger", "title: My trigger"},
        {"title: Your trigger injection", "title: {en: Your trigger injection}"},
        {"36 h before", "35.5 h before"},
        {"36 h before egg collection", "36 h after egg collection"},
        {"36 h before egg collection", "9 pm on day -2"},
        {"15 min either side", "exactly"},
        {"15 min either side", "15 min before to 16 min after"},
        {"site: ventrogluteal", "site: deltoid"},
        {"add: 1 mL", "add: 1.1 mL"},
        {"      add: 1 mL\n", ""},
        {"22 G x 1.5 in", "23 G x 1.5 in"},
        {"22 G x 1.5 in", "22 G x 1 in"},
        {"in the refrigerator", "at room temperature"},
        {"up to 6 h", "up to 7 h"},
        {"spare_needles: 1", "spare_needles: none"},
        {"late: Call us now.", "late: Call us now!"},
        {"until: 2027-04-01", "until: 2027-04-02"},
        {"count: 4", "count: 5"},
        {"  - {item: gauze pad, count: 2}\n", ""},
        {"  - {item: alcohol wipe, count: 4}\n  - {item: gauze pad, count: 2}\n",
         "  - {item: gauze pad, count: 2}\n  - {item: alcohol wipe, count: 4}\n"},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++) {
        if (seal_holds(changes[i][0], changes[i][1]))
            fail_msg("seal holds with \"%s\"", changes[i][1]);
    }
}

/* Text of one value cannot pass for the next value. */
static void test_values_do_not_run_together(void **state)
{
    (void)state;
    g_autofree char *first = changed("title: Your trigger injection", "title: 'x;\nwhy=1:y'");
    g_autofree char *one = seal_of(first), *two = seal_of(plain);
    assert_string_not_equal(one, two);
}

static void test_bad_value_has_no_seal(void **state)
{
    (void)state;
    g_autofree char *text = changed("dose: 10,000 units", "dose: 1.0 mg");
    assert_null(seal_of(text));
}

static void test_digest_by_sha256sum(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    const SealBasis basis = basis_of(arena, &approved, diagnostics_new(arena));
    g_autoptr(GError) error = NULL;
    g_autofree char *file = NULL, *out = NULL;
    int handle = g_file_open_tmp("seal-XXXXXX", &file, &error);
    assert_true(handle >= 0 && g_close(handle, NULL));
    assert_true(g_file_set_contents(file, seal_text(arena, &basis), -1, NULL));
    const char *command[] = {"sha256sum", file, NULL};
    assert_true(g_spawn_sync(NULL, (char **)command, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, &out,
                             NULL, NULL, &error));
    assert_memory_equal(out, seal_make(arena, &basis), 16);
    assert_int_equal(g_remove(file), 0);
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_form_of_seal),
        cmocka_unit_test(test_meaning_the_same),
        cmocka_unit_test(test_approval_is_covered),
        cmocka_unit_test(test_clinic_is_covered),
        cmocka_unit_test(test_used_rows_are_covered),
        cmocka_unit_test(test_rows_of_rows_are_covered),
        cmocka_unit_test(test_rules_are_covered),
        cmocka_unit_test(test_meaning_changed),
        cmocka_unit_test(test_values_do_not_run_together),
        cmocka_unit_test(test_bad_value_has_no_seal),
        cmocka_unit_test(test_digest_by_sha256sum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
