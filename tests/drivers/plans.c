/* plans: for scripts that ask for thousands of plans.  Each line of standard input is
 * the seconds of now, a space and the path of a patient's file; each answer is one line of
 * JSON: the findings as "severity rule", and the plan as "dosewright plan --format json". */
#include <stdio.h>
#include <string.h>

#include "reader/reader.h"
#include "rules/rules.h"

static const char *severity_word(const Finding *finding)
{
    if (finding_accepted(finding))
        return "accepted";
    Severity severity = finding_severity(finding);
    return severity == SEVERITY_ERROR ? "error" : severity == SEVERITY_WARNING ? "warning" : "note";
}

static void add_findings(GString *out, const Diagnostics *diagnostics)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        g_string_append_printf(out, "%s\"%s %s\"", i ? "," : "", severity_word(finding),
                               rule_row(finding_rule(finding))->id);
    }
}

static void answer(const char *path, Instant now)
{
    Arena *arena = arena_new();
    Loader *loader = loader_new(arena, NULL);
    g_autoptr(GString) out = g_string_new("{\"findings\":[");
    g_autoptr(GError) error = NULL;
    Case file;
    if (!loader_load(loader, path, &file, &error))
        g_error("%s: %s", path, error->message);
    Plan *plan = NULL;
    if (file.clinic && file.shelf && file.protocol && file.patient) {
        PlanContext context = {.now = now, .version = "test", .digest = file.digest, .rules = rules_basis()};
        plan = plan_build(arena, file.clinic, file.shelf, file.protocol, file.patient, &context);
        rules_check(plan, file.diagnostics);
        rules_accept(plan, file.diagnostics);
    }
    add_findings(out, file.diagnostics);
    g_string_append(out, "],\"plan\":");
    if (plan)
        plan_print_json(plan, out);
    else
        g_string_append(out, "null");
    g_string_append_c(out, '}');
    g_string_replace(out, "\n", " ", 0);
    puts(out->str);
    arena_free(arena);
}

int main(void)
{
    char line[4096];
    while (fgets(line, sizeof line, stdin)) {
        char *end;
        Instant now = g_ascii_strtoll(line, &end, 10);
        g_strchomp(line);
        answer(*end == ' ' ? end + 1 : end, now);
    }
    return 0;
}
