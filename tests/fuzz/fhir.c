/* A bundle of another program, as a patient of the clean clinic. */
#include "fhir/fhir.h"
#include "fuzz.h"

/* Opened once for all inputs. */
static const Zone *clinic_zone(void)
{
    static Zone *zone;
    const char *suggestion;
    if (!zone)
        FUZZ_DEMAND(zone_open(arena_new(), "America/Halifax", &zone, &suggestion) == ZONE_FINE, "the zone is there");
    return zone;
}

static char *taken(const char *text, gsize length)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    const Source *source = source_from_text(arena, "patients/LC-2041.json", text, length);
    Node *root = fhir_patient(arena, source, clinic_zone(), diagnostics);
    if (root)
        reader_patient(arena, root, diagnostics);
    diagnostics_sort(diagnostics);
    fuzz_demand_findings_escaped(diagnostics);
    FUZZ_DEMAND(root || diagnostics_count(diagnostics) > 0, "what is refused is told why");
    char *found = fuzz_findings(diagnostics);
    arena_free(arena);
    return found;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > FUZZ_LARGEST)
        return 0;
    g_autofree char *found = taken((const char *)data, size);
    if (fuzz_thorough(data, size)) {
        g_autofree char *again = taken((const char *)data, size);
        FUZZ_DEMAND(strcmp(found, again) == 0, "the same bundle twice");
    }
    return 0;
}
