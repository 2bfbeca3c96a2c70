/* commands_check: judge files and folders and print what was found. */
#include "commands/beside.h"
#include "commands/commands.h"
#include "commands/letters.h"

#include <stdio.h>
#include <string.h>

#include "fhir/fhir.h"
#include "rules/rules.h"
#include "wording/wording.h"

typedef struct Language {
    const Phrases *phrases; /* NULL where they cannot be read */
    RuleId fault;           /* what stops a sheet in it; RULE_COUNT: nothing */
} Language;

typedef struct Tally {
    Arena *arena; /* of what is kept from file to file */
    guint files, stopped;
    gboolean listed; /* people of a roster are counted with the files */
    gboolean shared;       /* a finding that stops several files was told under the first of them */
    GHashTable *told;
    GHashTable *causes;    /* of findings that many files have, as told_new() */
    GHashTable *languages; /* tag -> Language* */
    const Template *template; /* once it was asked for; NULL where it cannot be read */
    gboolean asked;
    Arena *read, *worked;  /* what files say; what is worked out of the one at hand */
    GHashTable *acts;      /* what a protocol does, as rules_acts() -> Case* of the first that does it */
    Diagnostics *nothing;  /* found in a file that was forgotten */
} Tally;

/* ---- the language of a patient's sheet ---- */

static RuleId fault_of_phrases(const Phrases *phrases, const Diagnostics *found)
{
    if (phrases)
        return phrases_reviewer(phrases) ? RULE_COUNT : RULE_language_unreviewed;
    for (guint i = 0; i < diagnostics_count(found); i++)
        if (finding_rule(diagnostics_at(found, i)) == RULE_language_missing)
            return RULE_language_missing;
    return RULE_COUNT;
}

RuleId commands_language_fault(Session *session, const char *folder, const char *tag)
{
    g_autoptr(GError) error = NULL;
    Diagnostics *found = diagnostics_new(session->arena);
    return fault_of_phrases(phrases_read(session->arena, folder, tag, found, &error), found);
}

static gint by_words(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "ar, en, fr" */
static const char *languages_listed(Session *session, const char *folder)
{
    GPtrArray *paths = arena_list(session->arena);
    g_autoptr(GString) list = g_string_new(NULL);
    if (!loader_list(session->arena, folder, paths, NULL))
        return "";
    g_autoptr(GPtrArray) tags = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < paths->len; i++) {
        if (!g_str_has_suffix(g_ptr_array_index(paths, i), ".yaml"))
            continue;
        char *tag = g_path_get_basename(g_ptr_array_index(paths, i));
        tag[strlen(tag) - strlen(".yaml")] = '\0';
        g_ptr_array_add(tags, tag);
    }
    g_ptr_array_sort(tags, by_words);
    for (guint i = 0; i < tags->len; i++)
        g_string_append_printf(list, "%s%s", i ? ", " : "", (char *)g_ptr_array_index(tags, i));
    return arena_copy(session->arena, list->str);
}

/* Read once for all files. */
static const Language *language_known(Tally *tally, const char *tag)
{
    Language *known = g_hash_table_lookup(tally->languages, tag);
    if (known)
        return known;
    g_autoptr(GError) error = NULL;
    Diagnostics *found = diagnostics_new(tally->arena);
    known = arena_new0(tally->arena, Language);
    known->phrases = phrases_read(tally->arena, commands_templates(tally->arena), tag, found, &error);
    known->fault = fault_of_phrases(known->phrases, found);
    g_hash_table_insert(tally->languages, arena_copy(tally->arena, tag), known);
    return known;
}

/* Finds now what printing would find: a language without phrases, or one that nobody
 * has reviewed.  Silent where the templates cannot be read. */
static void check_language(Session *session, const Case *file, Tally *tally)
{
    if (!file->patient || !file->clinic || file->clinic->languages.items->len == 0)
        return;
    const Text *own = &file->patient->language;
    const Text *language = PRESENT(*own) ? own : g_ptr_array_index(file->clinic->languages.items, 0);
    g_autofree char *folder = g_build_filename(commands_templates(session->arena), "languages", NULL);
    if (!PRESENT(*language) || !(PRESENT(*own) || ABSENT(*own)) || !g_file_test(folder, G_FILE_TEST_IS_DIR))
        return;
    RuleId rule = language_known(tally, language->text)->fault;
    if (rule == RULE_COUNT)
        return;
    Finding *finding = finding_add(file->diagnostics, rule, language->at.place);
    finding_fact(finding, "%s", language->text);
    if (rule == RULE_language_missing)
        finding_help(finding, "there are phrases in: %s", languages_listed(session, folder));
    else
        finding_help(finding, "\"dosewright sheet --draft\" prints marked drafts; for a sheet for use someone who "
                              "speaks the language reviews %s/%s.yaml and is named there in reviewed_by", folder,
                     language->text);
}

/* Read once; what is wrong with our own is told when a sheet is printed. */
static const Template *template_known(Tally *tally)
{
    g_autoptr(GError) error = NULL;
    if (!tally->asked)
        tally->template = template_read(tally->arena, commands_templates(tally->arena), COMMANDS_TEMPLATE,
                                        diagnostics_new(tally->arena), &error);
    tally->asked = TRUE;
    return tally->template;
}

/* Words the sheets without drawing them: a text without a version in the person's language,
 * a template that leaves something out.  Only where nothing else stops them. */
static void check_words(Session *session, const Case *file, Plan *judged, Tally *tally)
{
    if (!judged || !judged->patient || diagnostics_stops(file->diagnostics))
        return;
    const Plan *plan = commands_plan_awaiting(session, file, judged);
    if (!plan_complete(plan))
        return;
    const Text *first = g_ptr_array_index(plan->clinic->languages.items, 0), *own = &plan->patient->language;
    const Template *template = template_known(tally);
    const Phrases *phrases = language_known(tally, PRESENT(*own) ? own->text : first->text)->phrases;
    for (guint i = 0; template && phrases && i < plan->injections->len; i++) {
        g_autoptr(GPtrArray) one = g_ptr_array_new();
        g_ptr_array_add(one, g_ptr_array_index(plan->injections, i));
        wording_sheet(session->arena, plan, one, template, phrases, FALSE, file->diagnostics);
    }
}

/* ---- files ---- */

/* Tells what was found in one file; an exit status. */
static int check_told(Session *session, const Case *file, const Source *own, Tally *tally)
{
    /* What is one person's is told once anyhow, and not kept: a roster may be long. */
    const Diagnostics *shared = own ? diagnostics_part(file->diagnostics, own, FALSE) : file->diagnostics;
    Diagnostics *fresh = diagnostics_untold(shared, tally->told);
    if (own)
        diagnostics_append(fresh, diagnostics_part(file->diagnostics, own, TRUE));
    gboolean stops = diagnostics_stops(file->diagnostics);
    tally->shared = tally->shared || (stops && !diagnostics_stops(fresh));
    commands_report(session, session->format == FINDINGS_TEXT ? diagnostics_fold(fresh, tally->causes) : fresh);
    tally->files++;
    tally->stopped += stops ? 1 : 0;
    return stops ? EXIT_FINDINGS : EXIT_FINE;
}

/* One person of a roster; the arena of the session is this person's. */
static int check_listed(Session *session, Listing *people, const RosterRow *row, Tally *tally)
{
    Case file;
    Plan *plan;
    const char *alike = people_compare(session->arena, people, row);
    if (people->lost || !commands_judge_listed(session, people->path, people->roster, row, alike, &file, &plan))
        return EXIT_SYSTEM;
    g_autoptr(GPtrArray) alone = g_ptr_array_new();
    g_ptr_array_add(alone, &file);
    check_language(session, &file, tally);
    check_words(session, &file, plan, tally);
    letters_check(session, alone);
    int status = check_told(session, &file, row->source, tally);
    if (session->format == FINDINGS_SARIF) /* its one log at the end holds all */
        people_forget_with(people, tally->arena);
    else
        people_forget(people);
    return status;
}

/* The people of a roster one after the other, so that a long one needs no more memory. */
static int check_roster(Session *session, const char *path, Tally *tally)
{
    RosterRow row;
    int worst;
    Listing *people = people_read(session, path, &worst);
    tally->listed = TRUE;
    tally->files += people ? 0 : 1;
    tally->stopped += people ? 0 : 1;
    for (gboolean more = people != NULL; more;) {
        Session own = *session;
        own.arena = arena_new();
        more = roster_next(people->roster, own.arena, &row);
        int status = more ? check_listed(&own, people, &row, tally) : EXIT_FINE;
        worst = MAX(worst, status);
        if (session->format != FINDINGS_SARIF)
            arena_free(own.arena);
    }
    return worst;
}

/* Of a file's plan only what it accepts beside others is asked for later; a folder may be long. */
static gboolean needed_later(const char *path, const Plan *plan)
{
    return fhir_is(path) || (plan && (plan->approved || plan->protocol->acceptances.items->len > 0));
}

/* Of the file only its name, and where its clinic stands, are left. */
static void forget(Tally *tally, Case *file, ArenaMark mark)
{
    *file = (Case){.path = file->path, .kind = file->kind, .clinic = file->clinic, .shelf = file->shelf,
                   .folder = file->folder, .diagnostics = tally->nothing};
    arena_rewind(tally->read, mark);
}

/* Forgets a protocol in which nothing was found: those that follow are compared with what it does, and when one does
 * the same it is read again.  FALSE when the system fails at that. */
static gboolean forget_if_alone(Session *session, Tally *tally, Case *file, ArenaMark mark)
{
    GError *error = NULL;
    g_autofree char *acts = rules_acts(file);
    Case *first = acts ? g_hash_table_lookup(tally->acts, acts) : NULL;
    if (first && !first->protocol && !loader_load(session->loader, first->path, first, &error)) {
        commands_system_error(error);
        return FALSE;
    }
    if (!acts || first || strcmp(file->path, "-") == 0)
        return TRUE;
    g_hash_table_insert(tally->acts, g_steal_pointer(&acts), file);
    if (diagnostics_count(file->diagnostics) == 0)
        forget(tally, file, mark);
    return TRUE;
}

/* Judges one file; *plan is what is needed of it later, or NULL.  FALSE when the system fails. */
static gboolean check_one(Session *session, const char *path, Tally *tally, Case *file, Plan **plan)
{
    Session own = *session;
    own.arena = tally->worked;
    ArenaMark mark = arena_mark(tally->read);
    gboolean read = commands_judge_in(&own, tally->read, path, file, plan);
    if (read) {
        check_language(&own, file, tally);
        check_words(&own, file, *plan, tally);
    }
    if (read && needed_later(path, *plan)) {
        arena_defer(session->arena, (GDestroyNotify)arena_free, own.arena);
        tally->worked = arena_new();
        return TRUE;
    }
    read = read && forget_if_alone(session, tally, file, mark);
    arena_clear(tally->worked);
    *plan = NULL;
    return read;
}

static void accept_together(const GPtrArray *cases, const GPtrArray *plans)
{
    for (guint i = 0; i < cases->len; i++) {
        const Case *file = g_ptr_array_index(cases, i);
        const Plan *plan = g_ptr_array_index(plans, i);
        if (plan && file->kind == FILE_PROTOCOL && PRESENT(plan->clinic->zone))
            rules_accept_together(plan, file->diagnostics);
    }
}

/* Judges all files, each alone and then beside each other; an exit status. */
static int check_all(Session *session, const GPtrArray *paths, Tally *tally)
{
    GPtrArray *cases = arena_list(session->arena), *plans = arena_list(session->arena);
    int worst = EXIT_FINE;
    for (guint i = 0; i < paths->len; i++) {
        Case *file = arena_new0(session->arena, Case);
        Plan *plan;
        if (roster_is(g_ptr_array_index(paths, i))) {
            int status = check_roster(session, g_ptr_array_index(paths, i), tally);
            worst = MAX(worst, status);
            continue;
        }
        if (!check_one(session, g_ptr_array_index(paths, i), tally, file, &plan)) {
            worst = EXIT_SYSTEM;
            continue;
        }
        g_ptr_array_add(cases, file);
        g_ptr_array_add(plans, plan);
    }
    commands_together(session, cases);
    accept_together(cases, plans);
    letters_check(session, cases);
    for (guint i = 0; i < cases->len; i++) {
        int status = check_told(session, g_ptr_array_index(cases, i), NULL, tally);
        worst = MAX(worst, status);
    }
    return worst;
}

gboolean commands_collect(Session *session, const char *word, GPtrArray *paths, GError **error)
{
    if (g_file_test(word, G_FILE_TEST_IS_DIR))
        return loader_list(session->arena, word, paths, error);
    g_ptr_array_add(paths, (gpointer)word);
    return TRUE;
}

/* A file that is named twice, or in its folder too, is checked once. */
static GPtrArray *once_each(Session *session, const GPtrArray *paths)
{
    g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autofree char *here = g_get_current_dir();
    GPtrArray *each = arena_list(session->arena);
    for (guint i = 0; i < paths->len; i++) {
        char *path = g_ptr_array_index(paths, i);
        if (g_hash_table_add(seen, g_canonicalize_filename(path, here)))
            g_ptr_array_add(each, path);
    }
    return each;
}

/* "protocol_copy: 97 more with the same cause: a.yaml:2:11, b.yaml:2:11, ..." */
static void say_more(const Told *told)
{
    g_autoptr(GString) places = g_string_new(NULL);
    if (told->more == 0)
        return;
    for (guint i = 0; i < told->places->len; i++)
        g_string_append_printf(places, "%s%s", i ? ", " : "", (char *)g_ptr_array_index(told->places, i));
    terminal_say(stderr, "%s: %u more with the same cause: %s%s\n", rule_row(told->rule)->id, told->more, places->str,
                 told->more > told->places->len ? " and others; --format lines tells each" : "");
}

static gint by_rule(gconstpointer a, gconstpointer b)
{
    const Told *one = a, *two = b;
    if (one->rule != two->rule)
        return one->rule < two->rule ? -1 : 1;
    return one->more == 0 || two->more == 0 ? 0 : strcmp(g_ptr_array_index(one->places, 0),
                                                         g_ptr_array_index(two->places, 0));
}

static void say_folded(const Tally *tally)
{
    g_autoptr(GList) all = g_list_sort(g_hash_table_get_values(tally->causes), by_rule);
    for (const GList *one = all; one; one = one->next)
        say_more(one->data);
}

int command_check(Session *session)
{
    if (!session->options.words)
        return commands_usage("name a file or a folder to check");
    GPtrArray *paths = arena_list(session->arena);
    GError *error = NULL;
    for (char **word = session->options.words; *word; word++)
        if (!commands_collect(session, *word, paths, &error))
            return commands_system_error(error);
    if (paths->len == 0)
        return commands_usage("there is no .yaml file there");
    Tally tally = {.arena = session->arena, .told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL)};
    tally.causes = told_new();
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, tally.told);
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, tally.causes);
    tally.languages = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, tally.languages);
    tally.acts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, tally.acts);
    tally.nothing = diagnostics_new(session->arena);
    tally.read = arena_new();
    tally.worked = arena_new();
    arena_defer(session->arena, (GDestroyNotify)arena_free, tally.read);
    int worst = check_all(session, once_each(session, paths), &tally);
    arena_free(tally.worked);
    say_folded(&tally);
    if (session->format == FINDINGS_TEXT)
        terminal_say(stderr, "%u %s checked, %u with findings that stop a sheet%s\n", tally.files,
                     tally.listed ? "files and people" : tally.files == 1 ? "file" : "files", tally.stopped,
                     tally.shared ? "; what several of them share is told once" : "");
    return worst;
}
