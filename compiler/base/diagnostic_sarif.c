/* diagnostic_sarif: findings as SARIF 2.1.0 (OASIS standard), for tools that
 * collect results of static checks. */
#include "base/diagnostic_finding.h"
#include "base/digest.h"

#define SCHEMA "https://docs.oasis-open.org/sarif/sarif/v2.1.0/cos02/schemas/sarif-schema-2.1.0.json"

static const char *level(int severities)
{
    return severities & SEVERITY_ERROR ? "error" : severities & SEVERITY_WARNING ? "warning" : "note";
}

static void member(GString *out, const char *name, const char *text)
{
    g_string_append_printf(out, "\"%s\":", name);
    source_json(out, text);
}

static void message(GString *out, const char *name, const char *text)
{
    g_string_append_printf(out, "\"%s\":{", name);
    member(out, "text", text);
    g_string_append_c(out, '}');
}

static void rule(GString *out, const RuleRow *row)
{
    g_string_append_c(out, '{');
    member(out, "id", row->id);
    g_string_append_c(out, ',');
    message(out, "shortDescription", row->message);
    g_string_append_c(out, ',');
    message(out, "fullDescription", row->reason);
    g_string_append_c(out, ',');
    g_autofree char *source = g_strdup_printf("Source: %s", row->source);
    message(out, "help", source);
    g_string_append_printf(out, ",\"defaultConfiguration\":{\"level\":\"%s\"},\"properties\":{",
            level(row->severities));
    member(out, "subject", row->subject);
    g_string_append(out, "}}");
}

static void location(GString *out, Place place, const char *text)
{
    g_autofree char *uri = g_uri_escape_string(place.source->name, "/", TRUE);
    g_string_append(out, "{\"physicalLocation\":{\"artifactLocation\":{");
    member(out, "uri", uri);
    g_string_append_printf(out, "},\"region\":{\"startLine\":%d,\"startColumn\":%d,\"endColumn\":%d}}",
                           place_line(place),
                           place.column, place.column + place.length);
    if (text) {
        g_string_append_c(out, ',');
        message(out, "message", text);
    }
    g_string_append_c(out, '}');
}

/* Message, facts and help in one text: viewers show little else. */
static char *whole_text(const Finding *finding)
{
    GString *text = g_string_new(rule_row(finding->rule)->message);
    for (guint i = 0; i < finding->facts->len; i++)
        g_string_append_printf(text, "; %s", (const char *)g_ptr_array_index(finding->facts, i));
    if (finding->help)
        g_string_append_printf(text, ". Help: %s", finding->help);
    return g_string_free(text, FALSE);
}

static void related(GString *out, const Finding *finding)
{
    g_string_append(out, ",\"relatedLocations\":[");
    gboolean first = TRUE;
    for (guint i = 0; i < finding->notes->len; i++) {
        const Note *note = g_ptr_array_index(finding->notes, i);
        if (!note->place.source)
            continue;
        g_string_append(out, first ? "" : ",");
        location(out, note->place, note->text);
        first = FALSE;
    }
    g_string_append_c(out, ']');
}

/* The words that a place covers. */
static char *words_at(Place place)
{
    if (!place.source)
        return g_strdup("");
    const char *start = place.source->text + source_offset(place);
    const char *end = start;
    for (int i = 0; i < place.length && *end && *end != '\n'; i++)
        end = g_utf8_next_char(end);
    return g_strndup(start, (gsize)(end - start));
}

/* The same finding has the same one wherever its line stands: it rests on file, rule, injection,
 * the words that it points at, and how many of the same came before it.  known: those so far. */
static void fingerprint(GString *out, const Finding *finding, GHashTable *known)
{
    g_autofree char *words = words_at(finding->place);
    g_autofree char *what = g_strdup_printf("%s\n%s\n%s\n%s", finding->place.source ? finding->place.source->name : "",
                                            rule_row(finding->rule)->id, finding->injection ? finding->injection : "",
                                            words);
    guint before = GPOINTER_TO_UINT(g_hash_table_lookup(known, what));
    g_autofree char *whole = g_strdup_printf("%s\n%u", what, before);
    g_autofree char *digest = digest_text(whole);
    g_hash_table_insert(known, g_steal_pointer(&what), GUINT_TO_POINTER(before + 1));
    g_string_append_printf(out, ",\"partialFingerprints\":{\"dosewrightFinding/v1\":\"%.32s\"}", digest);
}

static void result(GString *out, const Finding *finding, GHashTable *known)
{
    g_autofree char *text = whole_text(finding);
    g_string_append_c(out, '{');
    member(out, "ruleId", rule_row(finding->rule)->id);
    g_string_append_printf(out, ",\"ruleIndex\":%d,\"level\":\"%s\",", (int)finding->rule,
                           level((int)finding->severity));
    message(out, "message", text);
    if (finding->place.source) {
        g_string_append(out, ",\"locations\":[");
        location(out, finding->place, NULL);
        g_string_append_c(out, ']');
    }
    related(out, finding);
    fingerprint(out, finding, known);
    if (finding->accepted_by) {
        g_autofree char *why = g_strdup_printf("%s (%s, until %s)", finding->accepted_because, finding->accepted_by,
                                               finding->accepted_until);
        g_string_append(out, ",\"suppressions\":[{\"kind\":\"inSource\",\"status\":\"accepted\",");
        member(out, "justification", why);
        g_string_append(out, "}]");
    }
    g_string_append_c(out, '}');
}

void diagnostics_print_sarif(Diagnostics *diagnostics, const char *version, GString *out)
{
    g_autoptr(GHashTable) known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    diagnostics_sort(diagnostics);
    g_string_append(out, "{\"$schema\":\"" SCHEMA "\",\"version\":\"2.1.0\",\"runs\":[{\"tool\":{\"driver\":{"
                         "\"name\":\"dosewright\",");
    member(out, "version", version);
    g_string_append(out, ",\"rules\":[");
    for (int i = 0; i < RULE_COUNT; i++) {
        g_string_append(out, i ? ",\n" : "\n");
        rule(out, rule_row((RuleId)i));
    }
    g_string_append(out, "]}},\"columnKind\":\"unicodeCodePoints\",\"results\":[");
    for (guint i = 0; i < diagnostics->findings->len; i++) {
        g_string_append(out, i ? ",\n" : "\n");
        result(out, diagnostics_at(diagnostics, i), known);
    }
    g_string_append(out, "]}]}\n");
}
