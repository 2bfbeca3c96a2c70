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

/* Letters that cannot be seen or that turn a line round: the first and the last of each stretch, and what stands
 * beside them (Unicode 14, DerivedCoreProperties.txt: Default_Ignorable_Code_Point, as perl 5.36 has it). */
static void test_hidden_letters(void **state)
{
    (void)state;
    static const gunichar hidden[][2] = {{0x1, 0x8}, {0xB, 0xC}, {0xE, 0x1F}, {0x7F, 0x84}, {0x86, 0x9F}, {0xAD, 0xAD},
                                         {0x34F, 0x34F}, {0x61C, 0x61C}, {0x115F, 0x1160}, {0x17B4, 0x17B5},
                                         {0x180B, 0x180F}, {0x200B, 0x200F}, {0x202A, 0x202E}, {0x2060, 0x206F},
                                         {0x3164, 0x3164}, {0xFE00, 0xFE0F}, {0xFEFF, 0xFEFF}, {0xFFA0, 0xFFA0},
                                         {0xFFF0, 0xFFFB}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE0FFF}};
    static const gunichar seen[] = {0x20, 0x7E, 0xA0, 0xAC, 0xAE, 0x34E, 0x350, 0x61B, 0x61D, 0x115E, 0x1161, 0x17B3,
                                    0x17B6, 0x180A, 0x1810, 0x200A, 0x2010, 0x2027, 0x202F, 0x205F, 0x2070, 0x3163,
                                    0x3165, 0xFDFF, 0xFE10, 0xFEFE, 0xFF00, 0xFF9F, 0xFFA1, 0xFFEF, 0xFFFC, 0x1BC9F,
                                    0x1BCA4, 0x1D172, 0x1D17B, 0xDFFFF, 0xE1000};
    for (gsize i = 0; i < 2 * G_N_ELEMENTS(hidden) + G_N_ELEMENTS(seen); i++) {
        gboolean is = i < 2 * G_N_ELEMENTS(hidden);
        gunichar letter = is ? hidden[i / 2][i % 2] : seen[i - 2 * G_N_ELEMENTS(hidden)];
        char bytes[7] = "";
        g_unichar_to_utf8(letter, bytes);
        g_autofree char *text = g_strdup_printf("a: x %s y\n", bytes);
        g_autofree char *escaped = g_strdup_printf("a: \"x\\U%08xy\"\n", letter);
        g_autofree char *got = found(text, strlen(text)), *got_escaped = found(escaped, strlen(escaped));
        if ((strcmp(got, "hidden_characters 1:6") == 0) != is ||
            (strcmp(got_escaped, "hidden_characters 1:4") == 0) != is)
            fail_msg("U+%04X: \"%s\", \"%s\"", letter, got, got_escaped);
    }
}

/* A word of two scripts that look alike is refused; digits of any script belong to all. */
static void test_mixed_scripts(void **state)
{
    (void)state;
    static const struct {
        const char *word;
        gboolean mixed;
    } words[] = {{"a\316\261", TRUE},         {"a\325\241", TRUE},
                 {"a\341\216\240", TRUE},     {"a\357\275\201", TRUE}, /* Greek to full width */
                 {"a\357\275\232", TRUE},     {"\357\274\241b", TRUE},
                 {"5\316\274", TRUE},         {"\331\245\316\261", TRUE},
                 {"a\344\275\240", FALSE},    {"a\327\220", FALSE},
                 {"\316\261\316\262", FALSE}, {"a-\316\261", FALSE},
                 {"\303\251a5", FALSE},       {"\357\274\241\357\275\201", FALSE}};
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        g_autofree char *text = g_strdup_printf("a: %s\n", words[i].word);
        g_autofree char *got = found(text, strlen(text));
        if (strcmp(got, words[i].mixed ? "hidden_characters 1:4" : "") != 0)
            fail_msg("\"%s\": \"%s\"", words[i].word, got);
    }
    enum { MOST = 20 }; /* of a file */
    g_autoptr(GString) many = g_string_new(NULL);
    for (int i = 0; i < 100; i++)
        g_string_append_printf(many, "a%d: p\320\260 \342\200\213\n", i);
    g_autofree char *told = found(many->str, many->len);
    g_auto(GStrv) each = g_strsplit(told, ", ", -1);
    assert_int_equal(g_strv_length(each), MOST); /* the rest is found when these are mended */
}

/* Other codes of a file, and brackets without an end. */
static void test_odd_files(void **state)
{
    (void)state;
    static const TextCase files[] = {
        TEXT("\376\377\0a", "encoding 1:1"), TEXT("\376", "encoding 1:1"), TEXT("\377", "encoding 1:1"),
        TEXT("\357\273\277a: 1\n", "encoding 1:1"), TEXT("a: 1\342\200\251b: 2\n", "encoding 1:5"),
        TEXT("\ta: 1\n", "tab_indent 1:1"), TEXT("a:\n  \tb: 1\n", "tab_indent 2:3"),
        TEXT("a: \"x\\u0085y\"\n", "hidden_characters 1:4"), TEXT("a: \"x\\u2028y\"\n", "hidden_characters 1:4"),
        TEXT("a: \"x\\u2029y\"\n", "hidden_characters 1:4"), TEXT("a: \"x\\u2027y\"\n", "")};
    for (gsize i = 0; i < G_N_ELEMENTS(files); i++) {
        g_autofree char *got = found(files[i].text, files[i].length);
        assert_string_equal(got, files[i].wanted);
    }
    for (int open = 64; open <= 66; open++) {
        g_autofree char *brackets = g_strnfill((gsize)open, '['), *lines = g_strnfill((gsize)open, '{');
        g_autofree char *text = g_strdup_printf("a: \"%s\"\n", brackets);
        g_autofree char *closed = g_strdup_printf("a: \"]%s}\n]\"\n", lines);
        g_autofree char *got = found(text, strlen(text)), *got_closed = found(closed, strlen(closed));
        assert_int_equal(strstr(got, "too_deep 1:69") != NULL, open > 64);
        assert_int_equal(strstr(got_closed, "too_deep 1:70") != NULL, open > 64);
    }
}

/* What is hidden is spelt out, in JSON by its two halves when it has two. */
static void test_spelt_out(void **state)
{
    (void)state;
    static const struct { const char *text, *json; } texts[] = {
        {"a\"\\", "\"a\\\"\\\\\""}, {"\177", "\"\\u007f\""}, {"\302\237", "\"\\u009f\""}, {"\302\240", "\"\302\240\""},
        {"\302\255", "\"\\u00ad\""}, {"\330\234", "\"\\u061c\""}, {"\342\200\213", "\"\\u200b\""},
        {"\342\200\217", "\"\\u200f\""}, {"\342\200\220", "\"\342\200\220\""}, {"\342\200\250", "\"\\u2028\""},
        {"\342\200\256", "\"\\u202e\""}, {"\342\201\240", "\"\\u2060\""}, {"\342\201\257", "\"\\u206f\""},
        {"\357\273\277", "\"\\ufeff\""}, {"\357\277\271", "\"\\ufff9\""}, {"\357\277\273", "\"\\ufffb\""},
        {"\357\277\274", "\"\357\277\274\""}, {"\363\240\200\200", "\"\\udb40\\udc00\""},
        {"\363\240\201\277", "\"\\udb40\\udc7f\""}, {"\363\240\277\277", "\"\\udb43\\udfff\""},
        {"\341\240\216", "\"\\u180e\""}, {"\xff", "\"\357\277\275\""}};
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        g_autoptr(GString) out = g_string_new(NULL);
        source_json(out, texts[i].text);
        assert_string_equal(out->str, texts[i].json);
    }
    g_autoptr(GString) nothing = g_string_new(NULL);
    source_json(nothing, NULL);
    assert_string_equal(nothing->str, "null");
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
        cmocka_unit_test(test_nearest), cmocka_unit_test(test_printing), cmocka_unit_test(test_hidden_letters),
        cmocka_unit_test(test_mixed_scripts), cmocka_unit_test(test_odd_files), cmocka_unit_test(test_spelt_out)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
