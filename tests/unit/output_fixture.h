/* A document of the clean clinic, for unit programs that print it. */
#ifndef OUTPUT_FIXTURE_H
#define OUTPUT_FIXTURE_H

#include "output/output.h"
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

static Node *read_file(Fixture *fixture, const char *name, const char *old, const char *new)
{
    g_autofree char *text = NULL;
    g_autofree char *path = g_strconcat(BASE, name, NULL);
    assert_true(g_file_get_contents(path, &text, NULL, NULL));
    g_autoptr(GString) changed = g_string_new(text);
    if (old)
        g_string_replace(changed, old, new, 1);
    const Source *source = source_from_text(fixture->arena, name, changed->str, changed->len);
    return syntax_parse(fixture->arena, source, fixture->diagnostics);
}

/* The document of the clean clinic, with one text of the patient's file changed. */
static const Printing on_a4 = {.paper = Paper_A4};

static gboolean dated_by_hand = FALSE;

static Document *document_with(Fixture *fixture, const char *old, const char *new)
{
    Arena *arena = fixture->arena;
    Diagnostics *found = fixture->diagnostics;
    PlanContext context = {1795000000, "test", "0123456789abcdef", "", dated_by_hand, NULL, NULL};
    Plan *plan = plan_build(arena, reader_clinic(arena, read_file(fixture, "clinic.yaml", NULL, NULL), found),
                            reader_shelf(arena, read_file(fixture, "shelf.yaml", NULL, NULL), found),
                            reader_protocol(arena, read_file(fixture, "protocols/base.yaml", NULL, NULL), found),
                            reader_patient(arena, read_file(fixture, "patients/base.yaml", old, new), found), &context);
    Phrases *phrases = phrases_read(arena, "templates", "en", found, NULL);
    Template *template = template_read(arena, "templates", "home-injection", found, NULL);
    Document *document = wording_sheet(arena, plan, plan->injections, template, phrases,
            FALSE, found);
    assert_non_null(document);
    return document;
}

#endif
