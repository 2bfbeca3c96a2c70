/* fuzz: what the fuzz targets share.  A target is one file that defines
 * LLVMFuzzerTestOneInput; clang's libFuzzer drives it (make fuzz), or tests/fuzz/replay.c
 * gives it the kept inputs once each (tests/fuzz.py).
 * What must hold beyond not crashing: nothing that a terminal would obey is printed, the
 * same text gives the same plan twice, and findings stay when a comment is added. */
#ifndef FUZZ_H
#define FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "plan/plan.h"
#include "reader/reader.h"
#include "rules/rules.h"
#include "wording/wording.h"

#define FUZZ_NOW 1795442400 /* 2026-11-23 10:00 in Halifax */
#define FUZZ_LARGEST 65536  /* bytes of an input that are looked at */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* One run over the four files of a clean clinic (tests/rules/base), one of them replaced. */
typedef struct Judged {
    Arena *arena;
    Clinic *clinic;
    Shelf *shelf;
    Protocol *protocol;
    Patient *patient;
    Diagnostics *diagnostics;
    gboolean whole;     /* the text is a map that could be read as this kind */
    Plan *plan;         /* or NULL */
} Judged;

#define FUZZ_DEMAND(holds, what)                      \
    do {                                              \
        if (!(holds)) {                               \
            fprintf(stderr, "does not hold: %s\n", what); \
            abort();                                  \
        }                                             \
    } while (0)

static char *fuzz_files[4];

G_GNUC_UNUSED static const char *fuzz_file(FileKind kind)
{
    static const char *const names[] = {"clinic.yaml", "shelf.yaml", "protocols/base.yaml", "patients/base.yaml"};
    if (!fuzz_files[kind]) {
        g_autofree char *path = g_build_filename("tests/rules/base", names[kind], NULL);
        FUZZ_DEMAND(g_file_get_contents(path, &fuzz_files[kind], NULL, NULL), path);
    }
    return fuzz_files[kind];
}

G_GNUC_UNUSED static gpointer fuzz_read(Arena *arena, FileKind kind, const char *text, gsize length,
                                        Diagnostics *diagnostics)
{
    static const char *const names[] = {"clinic.yaml", "shelf.yaml", "base.yaml", "base.yaml"};
    const Source *source = source_from_text(arena, names[kind], text, length);
    Node *root = syntax_parse(arena, source, diagnostics);
    FileKind found;
    if (!root || root->kind != NODE_MAP || !reader_kind(root, diagnostics, &found) || found != kind)
        return NULL;
    switch (kind) {
    case FILE_CLINIC: return reader_clinic(arena, root, diagnostics);
    case FILE_SHELF: return reader_shelf(arena, root, diagnostics);
    case FILE_PROTOCOL: return reader_protocol(arena, root, diagnostics);
    case FILE_PATIENT: return reader_patient(arena, root, diagnostics);
    }
    return NULL;
}

/* The other files are read once for all inputs. */
G_GNUC_UNUSED static gpointer fuzz_part(Judged *judged, FileKind mine, FileKind kind, const char *text, gsize length)
{
    static Arena *kept;
    static gpointer parts[4];
    if (kind == mine)
        return fuzz_read(judged->arena, kind, text, length, judged->diagnostics);
    if (!parts[kind]) {
        kept = kept ? kept : arena_new();
        parts[kind] = fuzz_read(kept, kind, fuzz_file(kind), strlen(fuzz_file(kind)), diagnostics_new(kept));
    }
    return parts[kind];
}

/* The clinic with this text in the place of its file; the caller frees the arena. */
G_GNUC_UNUSED static Judged fuzz_judge(FileKind kind, const char *text, gsize length)
{
    Judged judged = {.arena = arena_new()};
    judged.diagnostics = diagnostics_new(judged.arena);
    judged.clinic = fuzz_part(&judged, kind, FILE_CLINIC, text, length);
    judged.shelf = fuzz_part(&judged, kind, FILE_SHELF, text, length);
    judged.protocol = fuzz_part(&judged, kind, FILE_PROTOCOL, text, length);
    judged.patient = fuzz_part(&judged, kind, FILE_PATIENT, text, length);
    judged.whole = judged.clinic && judged.shelf && judged.protocol && judged.patient;
    if (judged.whole) {
        PlanContext context = {.now = FUZZ_NOW, .version = "fuzz", .digest = "0", .rules = rules_basis()};
        judged.plan = plan_build(judged.arena, judged.clinic, judged.shelf, judged.protocol, judged.patient, &context);
        rules_check(judged.plan, judged.diagnostics);
        rules_accept(judged.plan, judged.diagnostics);
    }
    diagnostics_sort(judged.diagnostics);
    return judged;
}

/* No byte that a terminal would obey, no letter that reorders a line. */
G_GNUC_UNUSED static void fuzz_demand_escaped(const GString *out, const char *what)
{
    FUZZ_DEMAND(g_utf8_validate(out->str, (gssize)out->len, NULL), what);
    for (const char *at = out->str; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        gboolean control = (letter < 0x20 && letter != '\n') || (letter >= 0x7f && letter < 0xa0);
        gboolean turns = (letter >= 0x202a && letter <= 0x202e) || (letter >= 0x2066 && letter <= 0x2069) ||
                         letter == 0x200e || letter == 0x200f || letter == 0x61c;
        FUZZ_DEMAND(!control && !turns, what);
    }
}

G_GNUC_UNUSED static void fuzz_demand_findings_escaped(Diagnostics *diagnostics)
{
    g_autoptr(GString) text = g_string_new(NULL), lines = g_string_new(NULL), sarif = g_string_new(NULL);
    diagnostics_print(diagnostics, text, FALSE);
    diagnostics_print_lines(diagnostics, lines);
    diagnostics_print_sarif(diagnostics, "fuzz", sarif);
    fuzz_demand_escaped(text, "findings as text are escaped");
    fuzz_demand_escaped(lines, "findings as lines are escaped");
    fuzz_demand_escaped(sarif, "findings as SARIF are escaped");
}

/* Rule and place of each finding, one a line. */
G_GNUC_UNUSED static char *fuzz_findings(const Diagnostics *diagnostics)
{
    GString *out = g_string_new(NULL);
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        g_string_append_printf(out, "%s %d:%d\n", rule_row(finding_rule(finding))->id, finding_place(finding).line,
                               finding_place(finding).column);
    }
    return g_string_free(out, FALSE);
}

G_GNUC_UNUSED static char *fuzz_plan(const Judged *judged)
{
    GString *out = g_string_new(NULL);
    if (judged->plan)
        plan_print_json(judged->plan, out);
    return g_string_free(out, FALSE);
}

/* Findings and plan of this text are those that were found before. */
G_GNUC_UNUSED static void fuzz_demand_same(const Judged *first, FileKind kind, const char *text, gsize length,
                                           const char *what)
{
    Judged other = fuzz_judge(kind, text, length);
    g_autofree char *plan = fuzz_plan(first), *again = fuzz_plan(&other);
    g_autofree char *found = fuzz_findings(first->diagnostics), *found_again = fuzz_findings(other.diagnostics);
    FUZZ_DEMAND(strcmp(plan, again) == 0 && strcmp(found, found_again) == 0, what);
    arena_free(other.arena);
}

/* What takes many times as long as the run itself is asked of one input in sixteen, chosen by its
 * bytes, so that a crash is one again when it is replayed; of all that are kept (FUZZ_THOROUGH). */
G_GNUC_UNUSED static gboolean fuzz_thorough(const uint8_t *data, size_t size)
{
    guint32 mixed = 2166136261u; /* FNV-1a */
    for (size_t i = 0; i < size; i++)
        mixed = (mixed ^ data[i]) * 16777619u;
    return getenv("FUZZ_THOROUGH") || (mixed >> 16) % 16 == 0;
}

/* Everything that a text in the place of one file must hold to. */
G_GNUC_UNUSED static void fuzz_whole(FileKind kind, const uint8_t *data, size_t size)
{
    if (size > FUZZ_LARGEST)
        return;
    Judged first = fuzz_judge(kind, (const char *)data, size);
    gboolean thorough = fuzz_thorough(data, size);
    if (thorough)
        fuzz_demand_findings_escaped(first.diagnostics);
    if (first.whole && thorough) {
        fuzz_demand_same(&first, kind, (const char *)data, size, "the same text twice");
        g_autoptr(GString) longer = g_string_new_len((const char *)data, (gssize)size);
        g_string_append(longer, "\n# a comment\n");
        fuzz_demand_same(&first, kind, longer->str, longer->len, "findings and plan stay when a comment is added");
    }
    arena_free(first.arena);
}

/* Where files are put that are read by name: FUZZ_FOLDER, which whoever runs it removes. */
G_GNUC_UNUSED static const char *fuzz_folder(void)
{
    const char *folder = getenv("FUZZ_FOLDER");
    FUZZ_DEMAND(folder, "FUZZ_FOLDER names a folder");
    return folder;
}

G_GNUC_UNUSED static const char *fuzz_place(const char *name, const void *bytes, size_t size)
{
    static char path[256];
    snprintf(path, sizeof path, "%s/%s", fuzz_folder(), name);
    g_autofree char *parent = g_path_get_dirname(path);
    g_mkdir_with_parents(parent, 0700);
    FILE *file = fopen(path, "wb");
    FUZZ_DEMAND(file && fwrite(bytes, 1, size, file) == size && fclose(file) == 0, "the input can be placed");
    return path;
}

#endif
