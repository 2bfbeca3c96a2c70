/* diagnostic_print: findings as text for people and as JSON Lines for tools. */
#include "base/diagnostic_finding.h"

#define BOLD "\033[1m"
#define RED "\033[31m"
#define YELLOW "\033[33m"
#define BLUE "\033[34m"
#define PLAIN "\033[0m"

static const char *severity_word(const Finding *finding)
{
    if (finding->accepted_by)
        return "accepted";
    return finding->severity == SEVERITY_ERROR     ? "error"
           : finding->severity == SEVERITY_WARNING ? "warning"
                                                   : "note";
}

static const char *severity_colour(const Finding *finding)
{
    if (finding->accepted_by || finding->severity == SEVERITY_NOTE)
        return BLUE;
    return finding->severity == SEVERITY_ERROR ? RED : YELLOW;
}

static void print_place(GString *out, Place place)
{
    if (!place.source)
        return;
    source_escape(out, place.source->name, -1);
    g_string_append_printf(out, ":%d:%d: ", place_line(place), place.column);
}

static void print_line(GString *out, const char *label, const char *text)
{
    g_string_append_printf(out, "  %s", label);
    source_escape(out, text, -1);
    g_string_append_c(out, '\n');
}

static void print_finding(GString *out, const Finding *finding, gboolean colour)
{
    const RuleRow *row = rule_row(finding->rule);
    g_string_append(out, colour ? BOLD : "");
    print_place(out, finding->place);
    g_string_append_printf(out, "%s%s:%s %s%s [%s]", colour ? severity_colour(finding) : "",
                           severity_word(finding), colour ? PLAIN BOLD : "", row->message,
                           colour ? PLAIN : "", row->id);
    if (finding->injection) {
        g_string_append(out, " (");
        source_escape(out, finding->injection, -1);
        g_string_append_c(out, ')');
    }
    g_string_append_c(out, '\n');
    source_excerpt(out, finding->place);
    for (guint i = 0; i < finding->facts->len; i++)
        print_line(out, "", g_ptr_array_index(finding->facts, i));
    for (guint i = 0; i < finding->notes->len; i++) {
        const Note *note = g_ptr_array_index(finding->notes, i);
        g_string_append(out, "  note: ");
        print_place(out, note->place);
        source_escape(out, note->text, -1);
        g_string_append_c(out, '\n');
        source_excerpt(out, note->place);
    }
    if (finding->help)
        print_line(out, "help: ", finding->help);
    if (finding->accepted_by) {
        g_autofree char *who = g_strdup_printf("%s, until %s: %s", finding->accepted_by,
                                               finding->accepted_until, finding->accepted_because);
        print_line(out, "accepted by ", who);
    }
}

static void count_line(GString *out, guint count, const char *one, const char *many)
{
    if (count == 0)
        return;
    if (out->len > 0)
        g_string_append(out, ", ");
    g_string_append_printf(out, "%u %s", count, count == 1 ? one : many);
}

static void print_summary(const Diagnostics *diagnostics, GString *out)
{
    guint accepted = 0;
    for (guint i = 0; i < diagnostics->findings->len; i++)
        accepted += finding_accepted(diagnostics_at(diagnostics, i));
    g_autoptr(GString) line = g_string_new(NULL);
    count_line(line, diagnostics_open(diagnostics, SEVERITY_ERROR), "error", "errors");
    count_line(line, diagnostics_open(diagnostics, SEVERITY_WARNING), "warning", "warnings");
    count_line(line, accepted, "accepted warning", "accepted warnings");
    count_line(line, diagnostics_open(diagnostics, SEVERITY_NOTE), "note", "notes");
    g_string_append_printf(out, "%s\n", line->len > 0 ? line->str : "no findings");
}

void diagnostics_print(Diagnostics *diagnostics, GString *out, gboolean colour)
{
    diagnostics_sort(diagnostics);
    for (guint i = 0; i < diagnostics->findings->len; i++) {
        print_finding(out, diagnostics_at(diagnostics, i), colour);
        g_string_append_c(out, '\n');
    }
    print_summary(diagnostics, out);
}

/* ---- JSON Lines ---- */

static void json_place(GString *out, Place place)
{
    g_string_append(out, "\"file\":");
    source_json(out, place.source ? place.source->name : NULL);
    g_string_append_printf(out, ",\"line\":%d,\"column\":%d,\"length\":%d", place_line(place),
                           place.column, place.length);
}

static void json_accepted(GString *out, const Finding *finding)
{
    if (!finding->accepted_by) {
        g_string_append(out, "null");
        return;
    }
    g_string_append(out, "{\"by\":");
    source_json(out, finding->accepted_by);
    g_string_append(out, ",\"until\":");
    source_json(out, finding->accepted_until);
    g_string_append(out, ",\"because\":");
    source_json(out, finding->accepted_because);
    g_string_append_c(out, '}');
}

static void json_finding(GString *out, const Finding *finding)
{
    const RuleRow *row = rule_row(finding->rule);
    g_string_append_printf(out, "{\"rule\":\"%s\",\"severity\":\"%s\",", row->id,
                           severity_word(finding));
    json_place(out, finding->place);
    g_string_append(out, ",\"message\":");
    source_json(out, row->message);
    g_string_append(out, ",\"injection\":");
    source_json(out, finding->injection);
    g_string_append(out, ",\"facts\":[");
    for (guint i = 0; i < finding->facts->len; i++) {
        g_string_append(out, i ? "," : "");
        source_json(out, g_ptr_array_index(finding->facts, i));
    }
    g_string_append(out, "],\"notes\":[");
    for (guint i = 0; i < finding->notes->len; i++) {
        const Note *note = g_ptr_array_index(finding->notes, i);
        g_string_append(out, i ? ",{" : "{");
        json_place(out, note->place);
        g_string_append(out, ",\"text\":");
        source_json(out, note->text);
        g_string_append_c(out, '}');
    }
    g_string_append(out, "],\"help\":");
    source_json(out, finding->help);
    g_string_append(out, ",\"accepted\":");
    json_accepted(out, finding);
    g_string_append(out, "}\n");
}

void diagnostics_print_lines(Diagnostics *diagnostics, GString *out)
{
    diagnostics_sort(diagnostics);
    for (guint i = 0; i < diagnostics->findings->len; i++)
        json_finding(out, diagnostics_at(diagnostics, i));
}
