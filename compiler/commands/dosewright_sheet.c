/* dosewright_sheet: the sheets of one person: judged, numbered, drawn, published, confirmed. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "commands/commands.h"
#include "commands/dosewright_changes.h"
#include "commands/dosewright_earlier.h"
#include "commands/dosewright_number.h"
#include "commands/dosewright_press.h"
#include "drawing/drawing.h"
#include "fhir/fhir.h"
#include "output/output.h"
#include "rules/rules.h"

/* The words and drawings that one patient's sheets share. */
typedef struct Press {
    Session *session;
    const Plan *plan;
    Diagnostics *diagnostics;
    const Template *template;
    const Phrases *phrases, *also; /* also: of the second language, or NULL */
    Paper paper;
    gboolean draft;
    Numbering numbering;
    gboolean placed;  /* files were put into the folder */
    gboolean refused; /* by a sheet that stands in the folder, which is named */
    GPtrArray *files; /* of PublishFile*: finished and not yet written */
    PressTools *tools;   /* kept from person to person; NULL for one alone */
    gboolean names_only; /* the files' names are asked for, and nothing is drawn */
} Press;

/* "LC-2041-7-trigger" of sheet 7, with another template's name, the second language, -large
 * and -draft where they hold. */
static char *sheet_name(const Press *press, const GPtrArray *injections, const char *ending)
{
    g_autoptr(GString) names = g_string_new(NULL);
    for (guint i = 0; i < injections->len; i++)
        g_string_append_printf(names, "%s%s", i ? "-" : "",
                               ((const PlanInjection *)g_ptr_array_index(injections, i))->order->name.text);
    const Patient *patient = press->plan->patient;
    const char *other = press->session->options.template_name;
    const char *also = press->session->options.also;
    return arena_format(press->session->arena, "%s-%" G_GINT64_FORMAT "-%s%s%s%s%s%s%s%s", patient->patient.text,
                        patient->sheet.value, names->str, other ? "-" : "", other ? other : "", also ? "-" : "",
                        also ? also : "", press->session->options.large ? "-large" : "",
                        press->draft ? "-draft" : "", ending);
}

/* ---- all files of a patient, or none ---- */

static const char *folder_of(const Session *session) { return session->options.out ? session->options.out : "."; }

static void lay_by(Press *press, const char *name, GBytes *bytes)
{
    PublishFile *file = arena_new0(press->session->arena, PublishFile);
    *file = (PublishFile){name, bytes ? g_bytes_ref(bytes) : NULL};
    if (bytes)
        arena_defer(press->session->arena, (GDestroyNotify)g_bytes_unref, file->bytes);
    g_ptr_array_add(press->files, file);
}

/* EXIT_FINDINGS when a sheet of the folder stands against it. */
static int put_into_folder(Press *press, const char *folder)
{
    GError *error = NULL;
    if (!press->draft && !earlier_allows(press->session, folder, press->plan, press->files, press->diagnostics)) {
        press->refused = TRUE;
        return EXIT_FINDINGS;
    }
    if (!publish_files(folder, press->files, &error))
        return commands_system_error(error);
    press->placed = TRUE;
    return number_confirm(press->session, press->plan, &press->numbering, press->files, press->diagnostics);
}

static int publish(Press *press)
{
    const char *folder = folder_of(press->session);
    int lock = publish_turn(folder); /* neither run overlooks the other's sheets */
    int status = put_into_folder(press, folder);
    if (lock >= 0)
        close(lock);
    if (status != EXIT_FINE)
        return status;
    if (!press->draft)
        earlier_tell_replaced(press->session->arena, folder, press->plan);
    for (guint i = 0; i < press->files->len; i++)
        terminal_say(stdout, "%s%s%s\n", folder, g_str_has_suffix(folder, "/") ? "" : "/",
                     ((const PublishFile *)g_ptr_array_index(press->files, i))->name);
    return EXIT_FINE;
}

/* What a killed run left behind holds a person's data, and may be half of it. */
static void warn_of_left_over(const Session *session)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    publish_left_over(folder_of(session), names);
    for (guint i = 0; i < names->len; i++)
        terminal_say(stderr, "%s holds %s, left by a run that was killed: remove it\n", folder_of(session),
                     (char *)g_ptr_array_index(names, i));
}

/* A sheet of an earlier run still looks valid; nobody may hand it out by mistake. */
static void warn_of_earlier(const Session *session, const Plan *plan)
{
    const char *folder = folder_of(session), *file;
    g_autoptr(GDir) there = g_dir_open(folder, 0, NULL);
    if (!there || !plan || !plan->patient || !PRESENT(plan->patient->patient))
        return;
    g_autofree char *start = g_strconcat(plan->patient->patient.text, "-", NULL);
    while ((file = g_dir_read_name(there)))
        if (g_str_has_prefix(file, start) && g_str_has_suffix(file, ".pdf"))
            terminal_say(stderr, "%s still holds an earlier sheet, %s: do not hand it out\n", folder, file);
}

/* A calendar has one language. */
static void first_calendar(const Document *document, GString *out)
{
    if (out->len == 0)
        wording_calendar(document, out);
}

/* The same words in another form, beside the sheet. */
static void add_twin(Press *press, const GPtrArray *injections, const char *ending, const Document *document,
                     void (*print)(const Document *, GString *))
{
    GString *text = g_string_new(NULL);
    for (const Document *part = document; part; part = part->second)
        print(part, text);
    g_autoptr(GBytes) twin = g_string_free_to_bytes(text);
    lay_by(press, sheet_name(press, injections, ending), twin);
}

static Document *word_sheet(Press *press, const GPtrArray *injections, const Phrases *phrases)
{
    return wording_sheet(press->session->arena, press->plan, injections, press->template, phrases, press->draft,
                         press->diagnostics);
}

#define LETTER "the letter " /* as a fact of glyph_missing begins */
#define TELLING_WORD 15 /* letters of a word that stands in no other place by chance */

/* The longest word of what a fact quotes, which is the one that has no room; "" when none is long. */
static char *quoted_word(const char *fact)
{
    const char *from = strchr(fact, '"'), *until = strrchr(fact, '"');
    if (!from || until == from)
        return g_strdup("");
    g_autofree char *text = g_strndup(from + 1, (gsize)(until - from - 1));
    g_auto(GStrv) words = g_strsplit_set(text, " \t\n", -1);
    const char *longest = "";
    for (char **word = words; *word; word++)
        longest = strlen(*word) > strlen(longest) ? *word : longest;
    return g_strdup(strlen(longest) >= TELLING_WORD ? longest : "");
}

/* The page knows no file: what found no room is looked for in those that the words came from. */
static void say_where(const Plan *plan, Finding *finding)
{
    g_autofree char *word = quoted_word(g_ptr_array_index(finding_facts(finding), 0));
    const Place places[] = {plan->patient->patient.at.place, plan->protocol->protocol.at.place,
                            plan->clinic->clinic.at.place, plan->shelf->shelf.at.place};
    for (gsize i = 0; *word && i < G_N_ELEMENTS(places); i++) {
        const Source *source = places[i].source;
        const char *found = source ? g_strstr_len(source->text, (gssize)source->length, word) : NULL;
        if (!found)
            continue;
        Place there = source_place(source, (gsize)(found - source->text), strlen(word));
        finding_fact(finding, "it stands in %s, line %d", source->name, there.line);
        return;
    }
}

static void say_what_does_not_fit(const Press *press)
{
    for (guint i = 0; i < diagnostics_count(press->diagnostics); i++) {
        Finding *finding = diagnostics_at(press->diagnostics, i);
        if (finding_rule(finding) == RULE_does_not_fit && finding_facts(finding)->len > 0)
            say_where(press->plan, finding);
    }
}

/* One sheet of these injections. */
static int print_sheet(Press *press, const GPtrArray *injections)
{
    Session *session = press->session;
    if (press->names_only) {
        lay_by(press, sheet_name(press, injections, ".pdf"), NULL);
        return EXIT_FINE;
    }
    Document *document = word_sheet(press, injections, press->phrases);
    Document *also = press->also ? word_sheet(press, injections, press->also) : NULL;
    if (!document || (press->also && !also))
        return EXIT_FINDINGS;
    document->second = also;
    if (also) { /* panels have the same numbers in both */
        document_keep_form(document);
        document_keep_form(also);
    }
    g_autoptr(GString) boxes = g_string_new(NULL);
    const Printing printing = {press->paper, session->options.large, session->options.boxes ? boxes : NULL};
    g_autoptr(GBytes) bytes = output_pdf(session->arena, document, &printing, press->diagnostics);
    GError *error = NULL;
    if (!bytes)
        say_what_does_not_fit(press);
    if (!bytes)
        return output_ready(&error) ? EXIT_FINDINGS : commands_system_error(error);
    lay_by(press, sheet_name(press, injections, ".pdf"), bytes);
    if (printing.boxes) {
        g_autoptr(GBytes) places = g_bytes_new(boxes->str, boxes->len);
        lay_by(press, sheet_name(press, injections, ".boxes"), places);
    }
    if (session->options.text)
        add_twin(press, injections, ".txt", document, wording_text);
    if (session->options.calendar)
        add_twin(press, injections, ".ics", document, first_calendar);
    return EXIT_FINE;
}

static int print_alone(Press *press, guint index)
{
    GPtrArray *alone = arena_list(press->session->arena);
    g_ptr_array_add(alone, g_ptr_array_index(press->plan->injections, index));
    return print_sheet(press, alone);
}

static int print_injections(Press *press)
{
    const char *only = press->session->options.injection;
    const GPtrArray *all = press->plan->injections;
    guint printed = 0;
    press->files = arena_list(press->session->arena);
    if (!only && template_holds_all(press->template) && plan_one_sheet(press->plan)) {
        return print_sheet(press, all);
    }
    for (guint i = 0; i < all->len; i++) {
        if (only && strcmp(only, ((const PlanInjection *)g_ptr_array_index(all, i))->order->name.text) != 0)
            continue;
        int status = print_alone(press, i);
        if (status != EXIT_FINE)
            return status;
        printed++;
    }
    return printed > 0 ? EXIT_FINE : commands_usage("no injection of this protocol is named so");
}

struct PressTools {
    Arena *arena;
    GHashTable *known; /* "template NAME" or "phrases TAG" -> what was read */
};

PressTools *press_tools_new(Arena *arena)
{
    PressTools *tools = arena_new0(arena, PressTools);
    tools->arena = arena;
    tools->known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, tools->known);
    return tools;
}

/* Kept for the next person only when nothing was wrong with it: findings are each person's. */
static gpointer keep_known(const Press *press, char *key, gpointer read, guint before)
{
    if (press->tools && read && diagnostics_count(press->diagnostics) == before)
        g_hash_table_insert(press->tools->known, key, read);
    else
        g_free(key);
    return read;
}

static const Template *known_template(const Press *press, const char *folder, const char *name, GError **error)
{
    char *key = g_strdup_printf("template %s", name);
    const Template *known = press->tools ? g_hash_table_lookup(press->tools->known, key) : NULL;
    guint before = diagnostics_count(press->diagnostics);
    Arena *arena = press->tools ? press->tools->arena : press->session->arena;
    if (!known)
        return keep_known(press, key, template_read(arena, folder, name, press->diagnostics, error), before);
    g_free(key);
    return known;
}

static const Phrases *known_phrases(const Press *press, const char *folder, const char *tag, GError **error)
{
    char *key = g_strdup_printf("phrases %s", tag);
    const Phrases *known = press->tools ? g_hash_table_lookup(press->tools->known, key) : NULL;
    guint before = diagnostics_count(press->diagnostics);
    Arena *arena = press->tools ? press->tools->arena : press->session->arena;
    if (!known)
        return keep_known(press, key, phrases_read(arena, folder, tag, press->diagnostics, error), before);
    g_free(key);
    return known;
}

/* Reads template and phrases; EXIT_FINE when both are there. */
static int set_up(Press *press)
{
    Session *session = press->session;
    GError *error = NULL;
    const char *folder = session->options.templates ? session->options.templates : commands_templates(session->arena);
    const char *name = session->options.template_name ? session->options.template_name : COMMANDS_TEMPLATE;
    const Patient *patient = press->plan->patient;
    const Text *first = g_ptr_array_index(press->plan->clinic->languages.items, 0);
    press->template = known_template(press, folder, name, &error);
    gboolean own = press->template && template_for_clinic(press->template);
    const char *tag = PRESENT(patient->language) && !own ? patient->language.text : first->text;
    if (press->template)
        press->phrases = known_phrases(press, folder, tag, &error);
    const char *also = session->options.also;
    if (press->phrases && also)
        press->also = known_phrases(press, folder, also, &error);
    if (error)
        return commands_system_error(error);
    if (!press->phrases || !press->template || (also && !press->also))
        return EXIT_FINDINGS;
    return commands_paper(press->session, press->plan->clinic, &press->paper);
}

/* A language that nobody has reviewed prints drafts only. */
static gboolean reviewed(Press *press)
{
    if (phrases_reviewer(press->phrases) && (!press->also || phrases_reviewer(press->also)))
        return TRUE;
    press->draft = press->session->options.draft;
    const Phrases *unread = phrases_reviewer(press->phrases) ? press->also : press->phrases;
    Finding *finding = finding_add(press->diagnostics, RULE_language_unreviewed, phrases_unreviewed(unread));
    finding_help(finding, "have the phrase set reviewed by someone who speaks it, and name them in reviewed_by");
    return press->draft;
}

/* Number, drawing, files, confirmation: in this order, so that a run that is killed on the way
 * is completed by the next one. */
static int print_numbered(Press *press, Case *file, Plan *plan)
{
    int status = number_take(press->session, file, press->draft, &plan, &press->numbering);
    if (status != EXIT_FINE) {
        press->refused = TRUE;
        return status;
    }
    g_assert(plan_complete(plan));
    press->plan = plan;
    status = print_injections(press);
    if (status == EXIT_FINE)
        status = publish(press);
    if (status != EXIT_FINE && !press->placed)
        number_give_back(plan, &press->numbering);
    return status;
}

int press_person(const PressOrder *order, PressResult *out)
{
    Press press = {.session = order->session, .plan = order->plan, .diagnostics = order->diagnostics,
                   .tools = order->tools, .names_only = order->names_only};
    int status = set_up(&press);
    if (status == EXIT_FINE && !reviewed(&press))
        status = EXIT_FINDINGS;
    if (status == EXIT_FINE)
        status = print_injections(&press);
    *out = (PressResult){press.files, press.phrases ? phrases_words(order->session->arena, press.phrases, "page_blank")
                                                    : NULL, press.paper};
    return status;
}

static int print_patient(Session *session, const char *path, const Diagnostics *together)
{
    Case file;
    Plan *plan;
    if (!commands_judge(session, path, &file, &plan))
        return EXIT_SYSTEM;
    diagnostics_append(file.diagnostics, together);
    if (file.kind != FILE_PATIENT && !diagnostics_stops(file.diagnostics))
        return commands_usage("a sheet is printed from a patient's file");
    Press press = {.session = session, .plan = plan, .diagnostics = file.diagnostics};
    int status = EXIT_FINDINGS;
    if (plan && diagnostics_stops(file.diagnostics))
        press.draft = session->options.draft && rules_draft_only(file.diagnostics);
    if (plan && (press.draft || !diagnostics_stops(file.diagnostics))) {
        status = set_up(&press);
        if (status == EXIT_FINE && !reviewed(&press))
            status = EXIT_FINDINGS;
        if (status == EXIT_FINE)
            status = print_numbered(&press, &file, plan);
    }
    commands_report(session, file.diagnostics);
    if (status != EXIT_FINE && !press.refused)
        warn_of_earlier(session, plan);
    return status;
}

int sheet_preview(Session *session, const char *path, GPtrArray **files)
{
    Case file;
    Plan *plan;
    Numbering none = {0};
    if (!commands_judge(session, path, &file, &plan))
        return EXIT_SYSTEM;
    if (!plan || !plan->patient || diagnostics_open(file.diagnostics, SEVERITY_ERROR) > 0)
        return EXIT_FINDINGS;
    int status = number_take(session, &file, TRUE, &plan, &none);
    if (status != EXIT_FINE || !plan_complete(plan))
        return MAX(status, EXIT_FINDINGS);
    Press press = {.session = session, .plan = plan, .diagnostics = file.diagnostics, .draft = TRUE};
    status = set_up(&press);
    if (status == EXIT_FINE)
        status = print_injections(&press);
    *files = press.files;
    return status;
}

/* Where the person's own text stands that has no room or lacks a letter: the page knows no file. */
static Place place_in_file(const Patient *patient, const Finding *finding)
{
    const Text *const texts[] = {&patient->name, &patient->prepared_by, &patient->order, &patient->patient};
    const char *fact = finding_facts(finding)->len > 0 ? g_ptr_array_index(finding_facts(finding), 0) : "";
    g_autofree char *word = finding_rule(finding) == RULE_glyph_missing && g_str_has_prefix(fact, LETTER)
                                ? g_strndup(fact + strlen(LETTER), strcspn(fact + strlen(LETTER), " "))
                                : quoted_word(fact);
    for (gsize i = 0; *word && i < G_N_ELEMENTS(texts); i++)
        if (PRESENT(*texts[i]) && strstr(texts[i]->text, word))
            return texts[i]->at.place;
    return PLACE_NOWHERE;
}

static void tell_case(const Case *file, const Diagnostics *found)
{
    for (guint i = 0; i < diagnostics_count(found); i++) {
        const Finding *finding = diagnostics_at(found, i);
        if (finding_severity(finding) != SEVERITY_ERROR)
            continue;
        Finding *own = finding_add_as(file->diagnostics, finding_rule(finding), SEVERITY_ERROR,
                                      place_in_file(file->patient, finding));
        for (guint k = 0; k < finding_facts(finding)->len; k++)
            finding_fact(own, "%s", (const char *)g_ptr_array_index(finding_facts(finding), k));
        if (finding_advice(finding))
            finding_help(own, "%s", finding_advice(finding));
    }
}

/* The first sheet of a case that was judged, worded as a draft; NULL after a status. */
static const Document *word_draft(Press *press, Case *file, Plan *plan, int *status)
{
    Numbering none;
    Session *session = press->session;
    gboolean stops = diagnostics_open(file->diagnostics, SEVERITY_ERROR) > 0 && !rules_draft_only(file->diagnostics);
    *status = EXIT_FINDINGS;
    if (!plan || !plan->patient || stops || number_take(session, file, TRUE, &plan, &none) != EXIT_FINE ||
        !plan_complete(plan))
        return NULL;
    press->plan = plan;
    if ((*status = set_up(press)) != EXIT_FINE)
        return NULL;
    GPtrArray *injections = arena_list(session->arena);
    gboolean all = template_holds_all(press->template) && plan_one_sheet(plan);
    for (guint i = 0; i < (all ? plan->injections->len : 1); i++)
        g_ptr_array_add(injections, g_ptr_array_index(plan->injections, i));
    const Document *document = word_sheet(press, injections, press->phrases);
    *status = document ? EXIT_FINE : EXIT_FINDINGS;
    return document;
}

int sheet_look(Session *session, Case *file, Plan *plan, int page, int width, GBytes **picture, int *pages)
{
    int status;
    GError *error = NULL;
    Press press = {.session = session, .plan = plan, .diagnostics = diagnostics_new(session->arena), .draft = TRUE};
    *picture = NULL;
    const Document *document = word_draft(&press, file, plan, &status);
    if (document)
        *picture = output_look(session->arena, document, press.paper, page, width, pages, press.diagnostics, &error);
    if (document && !*picture && !error && page >= *pages && *pages > 0) { /* the last one there is */
        press.diagnostics = diagnostics_new(session->arena);
        *picture = output_look(session->arena, document, press.paper, *pages - 1, width, pages, press.diagnostics,
                               &error);
    }
    if (error)
        return commands_system_error(error);
    if (document)
        tell_case(file, press.diagnostics);
    return document && !*picture ? EXIT_FINDINGS : status;
}

int sheet_fits(Session *session, Case *file, Plan *plan)
{
    int status;
    GError *error = NULL;
    Press press = {.session = session, .plan = plan, .diagnostics = diagnostics_new(session->arena), .draft = TRUE};
    const Document *document = word_draft(&press, file, plan, &status);
    if (!document)
        return status;
    gboolean fits = output_fits(session->arena, document, press.paper, press.diagnostics, &error);
    if (error)
        return commands_system_error(error);
    tell_case(file, press.diagnostics);
    return fits ? EXIT_FINE : EXIT_FINDINGS;
}

/* FALSE when it cannot be read at all, which is told when it is printed. */
static gboolean load_to_compare(Session *session, const char *path, Case *out)
{
    if (!fhir_is(path))
        return loader_load(session->loader, path, out, NULL);
    return g_file_test(path, G_FILE_TEST_IS_REGULAR) && commands_load_bundle(session, path, out);
}

/* What these files must not share with each other or with one of their folder, for each of them
 * as Diagnostics*; before the first sheet is printed. */
static GPtrArray *found_together(Session *session, char **paths)
{
    GPtrArray *cases = arena_list(session->arena), *found = arena_list(session->arena);
    for (char **path = paths; *path; path++) {
        Case *file = arena_new0(session->arena, Case);
        Diagnostics *own = diagnostics_new(session->arena);
        g_ptr_array_add(found, own);
        if (strcmp(*path, "-") == 0 || !load_to_compare(session, *path, file))
            continue;
        file->diagnostics = own;
        g_ptr_array_add(cases, file);
    }
    commands_together(session, cases);
    return found;
}

/* A name leads into no other folder. */
static gboolean plain_name(const char *name)
{
    if (!name)
        return TRUE;
    for (const char *letter = name; *letter; letter++)
        if (!g_ascii_isalnum(*letter) && *letter != '-')
            return FALSE;
    return *name != '\0';
}

int command_sheet(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a patient's file");
    if (!plain_name(session->options.template_name))
        return commands_usage("--template is the name of a folder of the templates, of letters, digits and hyphens");
    int worst = EXIT_FINE;
    warn_of_left_over(session);
    ink_prepare();
    GPtrArray *beside = found_together(session, session->options.words);
    for (guint i = 0; session->options.words[i]; i++) {
        int status = print_patient(session, session->options.words[i], g_ptr_array_index(beside, i));
        worst = MAX(worst, status);
    }
    ink_prepared();
    return worst;
}

/* The fonts are loaded in a thread, which a day that is printed before must not have. */
static int print_one(Session *session, const char *path)
{
    char *alone[] = {(char *)path, NULL};
    const GPtrArray *beside = found_together(session, alone);
    ink_prepare();
    int status = print_patient(session, path, g_ptr_array_index(beside, 0));
    ink_prepared();
    return status;
}

int command_move(Session *session)
{
    char **words = session->options.words;
    return words && roster_is(words[0]) ? changes_move_listed(session) : changes_move(session, print_one);
}

int command_recall(Session *session) { return changes_recall(session, print_one); }
