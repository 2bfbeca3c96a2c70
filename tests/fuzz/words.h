/* words: a sheet's words of the clean clinic with a template and a phrase set of these bytes. */
#ifndef WORDS_H
#define WORDS_H

#include "fuzz.h"

/* NULL after findings. */
G_GNUC_UNUSED static Document *fuzz_document(Judged *judged, const char *folder, const char *template_name,
                                             const char *tag)
{
    g_autoptr(GError) error = NULL;
    Template *template = template_read(judged->arena, folder, template_name, judged->diagnostics, &error);
    Phrases *phrases = phrases_read(judged->arena, folder, tag, judged->diagnostics, &error);
    if (!template || !phrases || !judged->plan || !plan_complete(judged->plan))
        return NULL;
    return wording_sheet(judged->arena, judged->plan, judged->plan->injections, template, phrases, TRUE,
                         judged->diagnostics);
}

G_GNUC_UNUSED static char *fuzz_text(const char *folder, const char *template_name, const char *tag)
{
    const char *patient = fuzz_file(FILE_PATIENT);
    Judged judged = fuzz_judge(FILE_PATIENT, patient, strlen(patient));
    GString *text = g_string_new(NULL);
    Document *document = fuzz_document(&judged, folder, template_name, tag);
    if (document) {
        wording_text(document, text);
        wording_calendar(document, text);
    }
    fuzz_demand_findings_escaped(judged.diagnostics);
    arena_free(judged.arena);
    return g_string_free(text, FALSE);
}

G_GNUC_UNUSED static void fuzz_words(const char *folder, const char *template_name, const char *tag)
{
    g_autofree char *text = fuzz_text(folder, template_name, tag), *again = fuzz_text(folder, template_name, tag);
    FUZZ_DEMAND(g_utf8_validate(text, -1, NULL), "a sheet's words are UTF-8");
    FUZZ_DEMAND(strcmp(text, again) == 0, "the same texts give the same words twice");
}

/* A file of ours is put where the fuzzed one will look for it. */
G_GNUC_UNUSED static void fuzz_copy(const char *name)
{
    g_autofree char *path = g_build_filename("templates", name, NULL), *text = NULL;
    gsize length;
    FUZZ_DEMAND(g_file_get_contents(path, &text, &length, NULL), path);
    fuzz_place(name, text, length);
}

#endif
