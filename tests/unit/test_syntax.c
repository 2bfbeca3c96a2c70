/* Text to nodes, and findings with their excerpts: B01 to B08 of what hostile or
 * careless hands may give. */
#include <stdio.h>
#include <string.h>

#include "syntax/syntax.h"

#include "cmocka_all.h"

static const char good[] = "protocol: a\ntitle: \"Caf\303\251 \344\275\240\"\nlist: [one, two]\n"
                           "injections:\n  - name: x\n    dose: 1 mL # a comment\n  - name: y\nlast: 'z'\n";

static Node *parse(Arena *arena, const char *text, gsize length, Diagnostics *diagnostics)
{
    return syntax_parse(arena, source_from_text(arena, "t.yaml", text, length), diagnostics);
}

/* "rule line:column" of every finding. */
static char *found(const char *text, gsize length)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    GString *list = g_string_new(NULL);
    parse(arena, text, length, diagnostics);
    diagnostics_sort(diagnostics);
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        Place place = finding_place(finding);
        g_string_append_printf(list, "%s%s %d:%d", i ? ", " : "", rule_row(finding_rule(finding))->id, place.line,
                               place.column);
    }
    arena_free(arena);
    return g_string_free(list, FALSE);
}

typedef struct TextCase { const char *text; gsize length; const char *wanted; } TextCase;
#define TEXT(text, wanted) {text, sizeof text - 1, wanted}

static const TextCase cases[] = {
    TEXT("", "file_empty 1:1"), TEXT("# only a comment\n", "file_empty 1:1"), TEXT("---\n", "file_empty 1:1"),
    TEXT("- a\n- b\n", "wrong_shape 1:1"), TEXT("a: 1\n---\nb: 2\n", "second_document 2:1"),
    TEXT("a: caf\351\n", "encoding 1:7"), TEXT("\377\376a\0", "encoding 1:1"), TEXT("a: b\0c\n", "encoding 1:5"),
    TEXT("a: 1\rb: 2\n", "encoding 1:5"), TEXT("a: 1\302\205b: 2\n", "encoding 1:5"),
    TEXT("a: 1\342\200\250b: 2\n", "encoding 1:5"), TEXT("a: 1\r\nb: 2\r\n", ""),
    TEXT("a:\n\tb: 1\n", "tab_indent 2:1"), TEXT("a: &x 1\n", "yaml_feature 1:4"),
    TEXT("a: *x\n", "yaml_feature 1:4"), TEXT("a: !!str 1\n", "yaml_feature 1:4"),
    TEXT("a: {<<: {b: 1}}\n", "yaml_feature 1:5"), TEXT("%YAML 1.1\n---\na: 1\n", "yaml_feature 1:1"),
    TEXT("? [a, b]\n: 1\n", "yaml_feature 1:3"), TEXT("a: 1\na: 2\n", "key_twice 2:1"),
    TEXT("a: 1\nb: 2\na: 3\nb: 4\n", "key_twice 3:1, key_twice 4:1"), TEXT("a: [1\n", "yaml_form 1:4"),
    TEXT("a: x\342\200\256y\n", "hidden_characters 1:5"), TEXT("a: x\342\200\213y\n", "hidden_characters 1:5"),
    TEXT("a: \"x\\u202ey\"\n", "hidden_characters 1:4"), TEXT("a: p\320\260ss\n", "hidden_characters 1:4"),
    TEXT("a: \320\274\320\270\321\200\n", ""), TEXT("a: \033[31mred\n", "hidden_characters 1:4"),
};

static void test_faults(void **state)
{
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *got = found(cases[i].text, cases[i].length);
        if (strcmp(got, cases[i].wanted) != 0)
            fail_msg("case %zu: \"%s\" instead of \"%s\"", i, got, cases[i].wanted);
    }
}

static void test_nodes(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    Node *root = parse(arena, good, sizeof good - 1, diagnostics);
    assert_non_null(root);
    assert_int_equal(diagnostics_count(diagnostics), 0);
    assert_int_equal(root->count, 5);
    const Node *title = node_get(root, "title");
    assert_true(title->verbatim);
    assert_int_equal(title->place.column, 9);
    assert_int_equal(title->place.length, 6);
    const Node *first = node_get(root, "injections")->items[0];
    assert_string_equal(node_get(first, "dose")->text, "1 mL");
    assert_int_equal(node_get(first, "dose")->place.line, 6);
    assert_null(node_get(root, "none"));
    arena_free(arena);
}

static void test_truncated_anywhere(void **state)
{
    (void)state;
    for (gsize length = 0; length < sizeof good; length++) {
        g_autofree char *got = found(good, length);
        assert_non_null(got);
    }
}

static void test_changed_anywhere(void **state)
{
    (void)state;
    g_autoptr(GRand) random = g_rand_new_with_seed(11);
    for (int i = 0; i < 4000; i++) {
        char text[sizeof good];
        memcpy(text, good, sizeof good);
        for (int j = 0; j < 1 + i % 3; j++)
            text[g_rand_int_range(random, 0, (gint32)sizeof good - 1)] = (char)g_rand_int_range(random, 0, 256);
        g_autofree char *got = found(text, sizeof good - 1);
        assert_non_null(got);
    }
}

static char *repeated(const char *part, gsize count, const char *before)
{
    GString *text = g_string_new(before);
    for (gsize i = 0; i < count; i++)
        g_string_append(text, part);
    return g_string_free(text, FALSE);
}

/* Each ends at once and in a finding that names the limit. */
static void test_sizes(void **state)
{
    (void)state;
    const struct { const char *part; gsize count; const char *before, *wanted; } big[] = {
        {"[", 100000, "a: ", "too_deep"}, {"{a: ", 100000, "a: ", "too_deep"}, {"- ", 10000, "a:\n  ", "too_deep"},
        {"a, ", 100000, "a: [", "too_many"}, {"x", 200000, "a: ", "text_too_long"}};
    for (gsize i = 0; i < G_N_ELEMENTS(big); i++) {
        g_autofree char *text = repeated(big[i].part, big[i].count, big[i].before);
        g_autofree char *got = found(text, strlen(text));
        if (!g_str_has_prefix(got, big[i].wanted))
            fail_msg("%s: found %s", big[i].wanted, got);
    }
}

static void excerpt_is(const char *text, int line, int column, int length, const char *wanted)
{
    Arena *arena = arena_new();
    GString *out = g_string_new(NULL);
    const Source *source = source_from_text(arena, "t", text, strlen(text));
    source_excerpt(out, (Place){source, line, column, length});
    assert_string_equal(out->str, wanted);
    g_string_free(out, TRUE);
    arena_free(arena);
}

/* Carets stand under what they point at, wide letters and tabs before it or not. */
static void test_excerpts(void **state)
{
    (void)state;
    excerpt_is("a: bad\n", 1, 4, 3, "    1 | a: bad\n      |    ^^^\n");
    excerpt_is("\344\275\240: bad\n", 1, 4, 3, "    1 | \344\275\240: bad\n      |     ^^^\n");
    excerpt_is("e\314\201: bad\n", 1, 5, 3, "    1 | e\314\201: bad\n      |    ^^^\n");
    excerpt_is("\tbad\n", 1, 2, 3, "    1 |         bad\n      |         ^^^\n");
    excerpt_is("a\033b\n", 1, 3, 1, "    1 | a\\u{001B}b\n      |          ^\n");
    excerpt_is("x\n", 1, 2, 1, "    1 | x\n      |  ^\n");
}

static void test_nearest(void **state)
{
    (void)state;
    const char *words[] = {"medicine", "window", "revision", "add"};
    assert_string_equal(nearest_word("medcine", words, 4), "medicine");
    assert_string_equal(nearest_word("wnidow", words, 4), "window");
    assert_string_equal(nearest_word("ad", words, 4), "add");
    assert_null(nearest_word("patient", words, 4));
    assert_null(nearest_word("", words, 4));
}

/* Nothing a user wrote reaches a terminal raw, and JSON stays JSON. */
static void test_printing(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    const Source *source = source_from_text(arena, "t\033.yaml", "a: \033\"\n", 7);
    Finding *finding = finding_add(diagnostics, RULE_key_twice, (Place){source, 1, 4, 1});
    finding_fact(finding, "it is \"\033[31m\" and \\");
    finding_help(finding, "remove it");
    g_autoptr(GString) text = g_string_new(NULL), lines = g_string_new(NULL);
    diagnostics_print(diagnostics, text, FALSE);
    diagnostics_print_lines(diagnostics, lines);
    assert_null(strchr(text->str, '\033'));
    assert_non_null(strstr(text->str, "1 error\n"));
    assert_null(strchr(lines->str, '\033'));
    assert_non_null(strstr(lines->str, "\"facts\":[\"it is \\\"\\u001b[31m\\\" and \\\\\"]"));
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_faults), cmocka_unit_test(test_nodes), cmocka_unit_test(test_truncated_anywhere),
        cmocka_unit_test(test_changed_anywhere), cmocka_unit_test(test_sizes), cmocka_unit_test(test_excerpts),
        cmocka_unit_test(test_nearest), cmocka_unit_test(test_printing)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
