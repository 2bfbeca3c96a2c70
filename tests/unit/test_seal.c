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

/* The seal of a text; the caller frees it.  NULL when it cannot be read. */
static char *seal_of(const char *text)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    const Source *source = source_from_text(arena, "evening-trigger.yaml", text, strlen(text));
    Node *root = syntax_parse(arena, source, diagnostics);
    assert_non_null(root);
    Protocol *protocol = reader_protocol(arena, root, diagnostics);
    char *seal = g_strdup(seal_digest(arena, protocol));
    assert_int_equal(seal != NULL, diagnostics_open(diagnostics, SEVERITY_ERROR) == 0);
    arena_free(arena);
    return seal;
}

static char *changed(const char *old, const char *new)
{
    const char *at = strstr(plain, old);
    assert_non_null(at);
    return g_strdup_printf("%.*s%s%s", (int)(at - plain), plain, new, at + strlen(old));
}

static gboolean seal_holds(const char *old, const char *new)
{
    g_autofree char *text = changed(old, new);
    g_autofree char *before = seal_of(plain), *after = seal_of(text);
    assert_non_null(before);
    assert_non_null(after);
    return g_str_equal(before, after);
}

static void test_form_of_seal(void **state)
{
    (void)state;
    g_autofree char *seal = seal_of(plain);
    assert_int_equal(strlen(seal), 16);
    assert_int_equal(strspn(seal, "0123456789abcdef"), 16);
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

static void test_approval_is_left_out(void **state)
{
    (void)state;
    assert_true(seal_holds("acceptances:",
                           "approval: {by: Dr R. Invented, on: 2026-10-01, "
                           "review_by: 2027-10-01, seal: 9c1e4b0a52d7f318}\nacceptances:"));
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
    Diagnostics *diagnostics = diagnostics_new(arena);
    const Source *source = source_from_text(arena, "evening-trigger.yaml", plain, strlen(plain));
    Protocol *protocol = reader_protocol(arena, syntax_parse(arena, source, diagnostics),
                                         diagnostics);
    g_autoptr(GError) error = NULL;
    g_autofree char *file = NULL, *out = NULL;
    int handle = g_file_open_tmp("seal-XXXXXX", &file, &error);
    assert_true(handle >= 0 && g_close(handle, NULL));
    assert_true(g_file_set_contents(file, seal_text(arena, protocol), -1, NULL));
    const char *command[] = {"sha256sum", file, NULL};
    assert_true(g_spawn_sync(NULL, (char **)command, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, &out,
                             NULL, NULL, &error));
    assert_memory_equal(out, seal_digest(arena, protocol), 16);
    assert_int_equal(g_remove(file), 0);
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_form_of_seal),
        cmocka_unit_test(test_meaning_the_same),
        cmocka_unit_test(test_approval_is_left_out),
        cmocka_unit_test(test_meaning_changed),
        cmocka_unit_test(test_values_do_not_run_together),
        cmocka_unit_test(test_bad_value_has_no_seal),
        cmocka_unit_test(test_digest_by_sha256sum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
