/* The clean clinic of tests/rules, for unit programs that read it. */
#ifndef CLEAN_FIXTURE_H
#define CLEAN_FIXTURE_H

#include "reader/reader.h"

#include "cmocka_all.h"

#define BASE "tests/rules/base/"

typedef struct Fixture {
    Arena *arena;
    Diagnostics *diagnostics;
} Fixture;

static int setup(void **state)
{
    Fixture *fixture = g_new0(Fixture, 1);
    fixture->arena = arena_new();
    fixture->diagnostics = diagnostics_new(fixture->arena);
    *state = fixture;
    return 0;
}

static int teardown(void **state)
{
    Fixture *fixture = *state;
    arena_free(fixture->arena);
    g_free(fixture);
    return 0;
}

/* A file of the clean clinic, with one text replaced by another. */
static Node *read_file(Fixture *fixture, const char *name, const char *old, const char *new)
{
    g_autofree char *text = NULL;
    g_autofree char *path = g_strconcat(BASE, name, NULL);
    assert_true(g_file_get_contents(path, &text, NULL, NULL));
    g_autoptr(GString) changed = g_string_new(text);
    if (old)
        assert_int_equal(g_string_replace(changed, old, new, 0), 1);
    const Source *source = source_from_text(fixture->arena, name, changed->str, changed->len);
    Node *root = syntax_parse(fixture->arena, source, fixture->diagnostics);
    assert_non_null(root);
    return root;
}

#endif
