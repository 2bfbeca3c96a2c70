/* commands_show: plan, trace, explain, schema, seal. */
#include "commands/commands.h"

#include <stdio.h>
#include <string.h>

#include "fhir/fhir.h"
#include "report/report.h"
#include "schema/schema.h"
#include "language/language.h"
#include "rules/rules.h"
#include "wording/wording.h"

static const char *severity_words(int severities)
{
    if (severities & SEVERITY_ERROR)
        return severities & SEVERITY_WARNING ? "error or warning" : "error";
    return severities & SEVERITY_WARNING ? "warning" : "note";
}

/* Exactly this many words, or a wrong use that was said. */
static gboolean words_are(Session *session, guint wanted, const char *what)
{
    guint count = session->options.words ? g_strv_length(session->options.words) : 0;
    if (count == wanted)
        return TRUE;
    commands_usage("give %s", what);
    return FALSE;
}

/* The plan of the first of so many words, a file; NULL with *status set. */
static Plan *plan_of(Session *session, guint words, const char *what, Case *file, int *status)
{
    Plan *plan = NULL;
    *status = EXIT_USAGE;
    if (!words_are(session, words, what))
        return NULL;
    *status = EXIT_SYSTEM;
    if (!commands_judge(session, session->options.words[0], file, &plan))
        return NULL;
    /* A plan hands nothing out: looking back at one that is over is no fault. */
    file->diagnostics = diagnostics_without(file->diagnostics, RULE_already_past);
    commands_report(session, file->diagnostics);
    *status = diagnostics_stops(file->diagnostics) ? EXIT_FINDINGS : EXIT_FINE;
    if (!plan && *status == EXIT_FINE)
        *status = commands_usage("a plan is made from a protocol or a patient");
    return plan;
}

/* What another program may act on: only of a person, and only when nothing stops a sheet. */
static int print_bundle(const Plan *plan, int status, GString *out)
{
    if (!plan->patient)
        return commands_usage("a bundle is made of one person: name a patient's file");
    if (status != EXIT_FINE || !plan_complete(plan))
        return EXIT_FINDINGS;
    fhir_print(plan, out);
    return EXIT_FINE;
}

int command_plan(Session *session)
{
    int status;
    Case file;
    Plan *plan = plan_of(session, 1, "one protocol or patient file", &file, &status);
    if (!plan)
        return status;
    g_autoptr(GString) text = g_string_new(NULL);
    if (g_strcmp0(session->options.format, "fhir") == 0)
        status = print_bundle(commands_plan_awaiting(session, &file, plan), status, text);
    else if (g_strcmp0(session->options.format, "json") == 0)
        plan_print_json(plan, text);
    else
        plan_print(plan, text);
    terminal_text(stdout, text->str);
    return status;
}

/* The last step from file to paper: the phrases that print the value. */
static void print_where_shown(Session *session, const Plan *plan, const char *word)
{
    ValueId id;
    const GPtrArray *languages = plan->clinic->languages.items;
    if (!value_find(word, &id) || languages->len == 0)
        return;
    const Text *tag = g_ptr_array_index(languages, 0);
    g_autoptr(GError) error = NULL;
    g_autoptr(GString) shown = g_string_new(NULL);
    Phrases *phrases = phrases_read(session->arena, commands_templates(session->arena), tag->text,
                                    diagnostics_new(session->arena), &error);
    if (!phrases)
        return;
    phrases_showing(phrases, id, shown);
    terminal_say(stdout, "  on paper in the phrases: %s\n", shown->len ? shown->str : "none");
}

int command_trace(Session *session)
{
    int status;
    Case file;
    Plan *plan = plan_of(session, 2, "a file and the name of one value, or what is printed", &file, &status);
    if (!plan)
        return status;
    g_autoptr(GString) text = g_string_new(NULL);
    const char *word = session->options.words[1];
    if (!plan_trace(plan, word, text)) {
        const char *names[VALUE_COUNT];
        for (int i = 0; i < VALUE_COUNT; i++)
            names[i] = value_row((ValueId)i)->id;
        const char *near = nearest_word(word, names, VALUE_COUNT);
        return near ? commands_usage("there is no value \"%s\"; did you mean \"%s\"?", word, near)
                    : commands_usage("there is no value \"%s\"; \"dosewright plan\" lists them", word);
    }
    terminal_text(stdout, text->str);
    print_where_shown(session, plan, word);
    return status;
}

static void explain_row(RuleId id)
{
    const RuleRow *row = rule_row(id);
    terminal_say(stdout, "%s (%s)\n  %s\n\n  Why: %s\n  Source: %s\n", row->id, severity_words(row->severities),
           row->message, row->reason, row->source);
    if (rule_when(id))
        terminal_say(stdout, "  Severity: %s.\n", rule_when(id));
    if (row->severities & SEVERITY_WARNING)
        terminal_say(stdout, "  A warning can be accepted in writing: rule, reason, name, dates.\n");
}

int command_explain(Session *session)
{
    if (!session->options.words) {
        for (int i = 0; i < RULE_COUNT; i++) {
            const RuleRow *row = rule_row((RuleId)i);
            terminal_say(stdout, "%-24s %-17s %s\n", row->id, severity_words(row->severities), row->message);
        }
        return EXIT_FINE;
    }
    for (char **word = session->options.words; *word; word++) {
        RuleId id;
        if (!rule_find(*word, &id)) {
            const char *near = rule_nearest(*word);
            return near ? commands_usage("there is no rule \"%s\"; did you mean \"%s\"?", *word, near)
                        : commands_usage("there is no rule \"%s\"", *word);
        }
        explain_row(id);
    }
    return EXIT_FINE;
}

int command_schema(Session *session)
{
    static const struct { const char *word; FileKind kind; } kinds[] = {
        {"clinic", FILE_CLINIC}, {"shelf", FILE_SHELF},
        {"protocol", FILE_PROTOCOL}, {"patient", FILE_PATIENT}};
    if (!words_are(session, 1, "clinic, shelf, protocol, patient or reference"))
        return EXIT_USAGE;
    const char *word = session->options.words[0];
    if (strcmp(word, "reference") == 0) {
        terminal_text(stdout, schema_reference(session->arena));
        return EXIT_FINE;
    }
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
        if (strcmp(kinds[i].word, word) == 0) {
            terminal_text(stdout, schema_json(session->arena, kinds[i].kind));
            return EXIT_FINE;
        }
    return commands_usage("a schema is of clinic, shelf, protocol or patient");
}

/* The seal of a protocol that has no errors of form; NULL with *status set. */
static const char *seal_of(Session *session, int *status)
{
    Case file;
    GError *error = NULL;
    *status = EXIT_SYSTEM;
    if (!loader_load(session->loader, session->options.words[0], &file, &error)) {
        commands_system_error(error);
        return NULL;
    }
    *status = EXIT_FINDINGS;
    if (diagnostics_open(file.diagnostics, SEVERITY_ERROR) > 0) { /* a warning may yet be accepted */
        commands_report(session, file.diagnostics);
        return NULL;
    }
    if (file.protocol && file.kind == FILE_PROTOCOL)
        return seal_make(session->arena, &(SealBasis){file.clinic, file.shelf, file.protocol, rules_basis()});
    *status = commands_usage("only a protocol has a seal");
    return NULL;
}

int command_seal(Session *session)
{
    if (!words_are(session, 1, "one protocol file"))
        return EXIT_USAGE;
    int status;
    const char *seal = seal_of(session, &status);
    if (!seal)
        return status;
    terminal_say(stdout, "%s\n", seal);
    return EXIT_FINE;
}
