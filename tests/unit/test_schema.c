/* schema: protocols/README.md says what the program does: its reference table
 * is the printed one, its good example passes, its bad one fails with the very
 * findings shown.  That the schemas are valid JSON Schema 2020-12 is checked by
 * tests/checks/schema with another program.  Run from the top of the project. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "language/table.h"
#include "schema/schema.h"

#define GUIDE "protocols/README.md"

static char *guide_text(void)
{
    char *text = NULL;
    assert_true(g_file_get_contents(GUIDE, &text, NULL, NULL));
    return text;
}

/* What stands between two pieces of the guide; the caller frees it. */
static char *between(const char *text, const char *before, const char *after)
{
    const char *start = strstr(text, before);
    assert_non_null(start);
    start += strlen(before);
    const char *end = strstr(start, after);
    assert_non_null(end);
    return g_strndup(start, (gsize)(end - start));
}

static char *findings_of(const char *text)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    const char *name = "protocols/evening-trigger.yaml";
    const Source *source = source_from_text(arena, name, text, strlen(text));
    Node *root = syntax_parse(arena, source, diagnostics);
    assert_non_null(root);
    reader_protocol(arena, root, diagnostics);
    GString *out = g_string_new(NULL);
    diagnostics_print(diagnostics, out, FALSE);
    arena_free(arena);
    return g_string_free(out, FALSE);
}

static void test_reference(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    g_autofree char *guide = guide_text();
    g_autofree char *table = between(guide, "<!-- reference: begin -->\n",
                                     "<!-- reference: end -->");
    assert_string_equal(table, schema_reference(arena));
    arena_free(arena);
}

static void test_good_example(void **state)
{
    (void)state;
    g_autofree char *guide = guide_text();
    g_autofree char *text = between(guide, "<!-- example: passes -->\n```yaml\n", "```\n");
    g_autofree char *found = findings_of(text);
    assert_string_equal(found, "no findings\n");
}

static void test_bad_example(void **state)
{
    (void)state;
    g_autofree char *guide = guide_text();
    g_autofree char *text = between(guide, "<!-- example: fails -->\n```yaml\n", "```\n");
    g_autofree char *shown = between(guide, "<!-- output -->\n```text\n", "```\n");
    g_autofree char *found = findings_of(text);
    assert_string_equal(shown, found);
}

/* Every key and every word of the language is in the schema of its file. */
static void test_schema_is_whole(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    GString *all = g_string_new(NULL);
    for (int kind = FILE_CLINIC; kind <= FILE_PATIENT; kind++)
        g_string_append(all, schema_json(arena, (FileKind)kind));
    for (guint i = 0; i < RECORD_COUNT; i++) {
        RecordRow record = record_row((RecordId)i);
        for (guint f = 0; f < record.count; f++) {
            g_autofree char *key = g_strdup_printf("\"%s\": {", record.fields[f].key);
            assert_non_null(strstr(all->str, key));
        }
    }
    for (guint i = 0; i < CHOICE_COUNT; i++) {
        ChoiceList list = choice_row((ChoiceWord)i)->list;
        g_autofree char *word = g_strdup_printf("\"%s\"", choice_word((ChoiceWord)i));
        if (list != CHOICES_KeptAt)
            assert_non_null(strstr(all->str, word));
    }
    g_string_free(all, TRUE);
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_reference),
        cmocka_unit_test(test_good_example),
        cmocka_unit_test(test_bad_example),
        cmocka_unit_test(test_schema_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
