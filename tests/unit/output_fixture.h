/* A document of the clean clinic, for unit programs that print it. */
#ifndef OUTPUT_FIXTURE_H
#define OUTPUT_FIXTURE_H

#include "output/output.h"

#include "clean_fixture.h"

static const Printing on_a4 = {.paper = Paper_A4};

static gboolean dated_by_hand = FALSE;

/* The document of the clean clinic, with one text of the patient's file changed. */
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
