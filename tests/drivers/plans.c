/* plans: for scripts that ask for thousands of plans.  Each line of standard input is
 * the seconds of now, a space and the path of a patient's file; each answer is one line of
 * JSON: the findings as "severity rule", and the plan as "dosewright plan --format json".
 * usage: plans [TEMPLATES [LANGUAGE]]
 * With a folder of templates each answer is five texts instead, a line with a form feed behind
 * each: the findings as a terminal shows them, the plan, the words of a draft, its shape (shown.h), and
 * the words of the clinic's own pages. */
#include <stdio.h>
#include <string.h>

#include "reader/reader.h"
#include "rules/rules.h"
#include "shown.h"
#include "wording/wording.h"

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

/* NULL where the files give none. */
static Plan *judge(Arena *arena, const Case *file, Instant now)
{
    if (!file->clinic || !file->shelf || !file->protocol || !file->patient)
        return NULL;
    PlanContext context = {.now = now, .version = "test", .digest = file->digest, .rules = rules_basis()};
    Plan *plan = plan_build(arena, file->clinic, file->shelf, file->protocol, file->patient, &context);
    rules_check(plan, file->diagnostics);
    rules_accept(plan, file->diagnostics);
    return plan;
}

static void add_json(GString *out, const Plan *plan, const Diagnostics *diagnostics)
{
    g_string_append(out, "{\"findings\":[");
    add_findings(out, diagnostics);
    g_string_append(out, "],\"plan\":");
    if (plan)
        plan_print_json(plan, out);
    else
        g_string_append(out, "null");
    g_string_append_c(out, '}');
    g_string_replace(out, "\n", " ", 0);
}

/* What words a sheet, read once for all answers. */
typedef struct Words { const Template *template, *clinic; const Phrases *phrases; } Words;

static Words words_read(const char *folder, const char *language)
{
    Arena *kept = arena_new();
    Diagnostics *found = diagnostics_new(kept);
    Words words = {template_read(kept, folder, "home-injection", found, NULL),
                   template_read(kept, folder, "clinic-pages", found, NULL),
                   phrases_read(kept, folder, language, found, NULL)};
    if (!words.template || !words.clinic || !words.phrases)
        g_error("%s: cannot be read as templates", folder);
    return words;
}

/* A page of its own for each panel. */
static int page_of(const Block *block, gpointer sheet, int *large)
{
    (void)sheet;
    *large = 0;
    return 100 + block->number;
}

/* What the nurse says, asks and does, with its slots filled from this sheet. */
static void add_slips(Arena *arena, GString *out, const Words *words, const Document *document)
{
    const SlipSheet sheet = {document->plan, document->injection, document, page_of, NULL};
    guint slips;
    const Slip first = (Slip)choice_first(CHOICES_Slip, &slips);
    for (Slip slip = first; slip < first + slips; slip++) {
        const SlipWords *places[3];
        guint count = plan_slip_places(document->plan, document->injection, slip, places);
        for (guint i = 0; i < count; i++) {
            const Saying *const sayings[] = {&places[i]->ask, &places[i]->say, &places[i]->then};
            for (gsize k = 0; k < G_N_ELEMENTS(sayings); k++) {
                const char *said = said_slip(arena, &sheet, sayings[k], words->phrases);
                if (PRESENT(*sayings[k]))
                    g_string_append_printf(out, "slip %s, %u.%zu: %s\n", choice_word(slip), i, k,
                                           said ? said : "nothing");
            }
        }
    }
}

typedef struct Texts { GString *words, *shape, *clinic; } Texts;

static void add_sheet(Arena *arena, const Texts *texts, const Words *words, const Plan *plan,
                      const GPtrArray *injections, Diagnostics *diagnostics)
{
    const Document *document = wording_sheet(arena, plan, injections, words->template, words->phrases, TRUE,
                                             diagnostics);
    if (!document)
        return;
    wording_text(document, texts->words);
    add_shown(arena, texts->shape, document);
    add_slips(arena, texts->shape, words, document);
    const Document *pages = wording_sheet(arena, plan, injections, words->clinic, words->phrases, TRUE, diagnostics);
    if (pages)
        wording_text(pages, texts->clinic);
}

/* Each injection's sheet, and the one of all where one may hold them. */
static void add_sheets(Arena *arena, const Texts *texts, const Words *words, const Plan *plan, Diagnostics *diagnostics)
{
    if (!plan || !plan_complete(plan))
        return;
    for (guint i = 0; i < plan->injections->len; i++) {
        g_autoptr(GPtrArray) one = g_ptr_array_new();
        g_ptr_array_add(one, g_ptr_array_index(plan->injections, i));
        add_sheet(arena, texts, words, plan, one, diagnostics);
    }
    if (plan->injections->len > 1 && plan_one_sheet(plan))
        add_sheet(arena, texts, words, plan, plan->injections, diagnostics);
}

static void add_texts(Arena *arena, GString *out, const Words *words, const Plan *plan, Diagnostics *diagnostics)
{
    g_autoptr(GString) said = g_string_new(NULL);
    g_autoptr(GString) shape = g_string_new(NULL);
    g_autoptr(GString) clinic = g_string_new(NULL);
    const Texts texts = {said, shape, clinic};
    add_sheets(arena, &texts, words, plan, diagnostics); /* finds something too */
    diagnostics_print(diagnostics, out, FALSE);
    g_string_append(out, "\n\f\n");
    if (plan)
        plan_print_json(plan, out);
    g_string_append_printf(out, "\n\f\n%s\n\f\n%s\n\f\n%s\n\f", said->str, shape->str, clinic->str);
}

static void answer(const char *path, Instant now, const Words *words)
{
    Arena *arena = arena_new();
    Loader *loader = loader_new(arena, NULL);
    g_autoptr(GString) out = g_string_new(NULL);
    g_autoptr(GError) error = NULL;
    Case file;
    if (!loader_load(loader, path, &file, &error))
        g_error("%s: %s", path, error->message);
    Plan *plan = judge(arena, &file, now);
    if (words)
        add_texts(arena, out, words, plan, file.diagnostics);
    else
        add_json(out, plan, file.diagnostics);
    puts(out->str);
    fflush(stdout); /* some ask for one at a time */
    arena_free(arena);
}

int main(int count, char **arguments)
{
    const Words words = count > 1 ? words_read(arguments[1], count > 2 ? arguments[2] : "en")
                                  : (Words){NULL, NULL, NULL};
    char line[4096];
    while (fgets(line, sizeof line, stdin)) {
        char *end;
        Instant now = g_ascii_strtoll(line, &end, 10);
        g_strchomp(line);
        answer(*end == ' ' ? end + 1 : end, now, count > 1 ? &words : NULL);
    }
    return 0;
}
