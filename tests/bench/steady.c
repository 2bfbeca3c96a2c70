/* steady: finished sheets one after another in one process: worded, drawn, made accessible,
 * sealed and read back, in memory.  Prints the milliseconds of each.
 * usage: steady PATIENT-FILE TEMPLATES COUNT */
#include <stdio.h>
#include <stdlib.h>

#include "reader/reader.h"
#include "output/output.h"
#include "rules/rules.h"

static const Printing on_letter = {.paper = Paper_LETTER};

int main(int argc, char **argv)
{
    if (argc != 4)
        return 2;
    Arena *arena = arena_new();
    Loader *loader = loader_new(arena, NULL);
    Case file;
    if (!loader_load(loader, argv[1], &file, NULL) || !file.patient)
        return 3;
    const Instant now = 1795442400; /* 2026-11-23T10:00-04:00 */
    const PlanContext context = {now, "bench", file.digest, "", FALSE, NULL, NULL};
    Plan *plan = plan_build(arena, file.clinic, file.shelf, file.protocol, file.patient, &context);
    const Template *template = template_read(arena, argv[2], "home-injection", file.diagnostics, NULL);
    const Phrases *phrases = phrases_read(arena, argv[2], "en", file.diagnostics, NULL);
    for (int i = 0; i < atoi(argv[3]); i++) {
        gint64 start = g_get_monotonic_time();
        Arena *own = arena_new();
        Document *document = wording_sheet(own, plan, plan->injections, template, phrases, FALSE, file.diagnostics);
        GBytes *bytes = document ? output_pdf(own, document, &on_letter, file.diagnostics) : NULL;
        if (!bytes)
            return 1;
        g_bytes_unref(bytes);
        arena_free(own);
        printf("%.3f\n", (double)(g_get_monotonic_time() - start) / 1000);
    }
    arena_free(arena);
    return 0;
}
