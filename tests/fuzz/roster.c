/* A roster of the clean clinic: cells, headings, people, and each as a patient. */
#include <glib/gstdio.h>

#include "fuzz.h"
#include "roster/roster.h"

#define MOST_PEOPLE 50

static void take(Loader *loader, const Roster *roster, const char *path, RosterRow *row)
{
    Arena *arena = arena_new();
    Case file;
    g_autoptr(GError) error = NULL;
    Diagnostics *diagnostics = row->diagnostics;
    if (row->root) {
        const Listed listed = {arena, row->root, roster_is_table(roster), row->words, diagnostics};
        if (loader_listed(loader, path, &listed, &file, &error))
            diagnostics = file.diagnostics;
    }
    roster_locate(roster, row, diagnostics);
    fuzz_demand_findings_escaped(diagnostics);
    arena_free(arena);
}

static int people_of(const char *path)
{
    Arena *arena = arena_new();
    Diagnostics *diagnostics = diagnostics_new(arena);
    g_autoptr(GError) error = NULL;
    Loader *loader = loader_new(arena, "tests/rules/base");
    int people = 0;
    Roster *roster = roster_is(path) ? roster_open(arena, path, diagnostics, &error) : NULL;
    if (roster) {
        RosterRow row;
        while (people < MOST_PEOPLE && roster_next(roster, arena, &row)) {
            take(loader, roster, path, &row);
            people++;
        }
    }
    fuzz_demand_findings_escaped(diagnostics);
    arena_free(arena);
    return people;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > FUZZ_LARGEST)
        return 0;
    const char *path = fuzz_place("roster.csv", data, size);
    FUZZ_DEMAND(people_of(path) == people_of(path), "the same roster has the same people twice");
    g_unlink(path);
    return 0;
}
