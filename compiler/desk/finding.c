/* desk_finding: a finding in the words of "check", and where it stands as a link; the rule behind it. */
#include <string.h>

#include "desk/stories.h"

/* "protocols/evening-trigger.yaml" -> "evening-trigger" of this folder, or NULL. */
static char *name_in(const char *path, const char *folder)
{
    g_autofree char *name = g_path_get_basename(path), *above = g_path_get_dirname(path);
    g_autofree char *last = g_path_get_basename(above);
    if (strcmp(last, folder) != 0 || !g_str_has_suffix(name, ".yaml"))
        return NULL;
    return g_strndup(name, strlen(name) - strlen(".yaml"));
}

void finding_link(View *view, Place place)
{
    g_autofree char *protocol = place.source ? name_in(place.source->name, "protocols") : NULL;
    g_autofree char *person = place.source ? name_in(place.source->name, "patients") : NULL;
    if (protocol)
        view_format(view, "to_line", "/protocol/%s#line-%d", protocol, place_line(place));
    else if (person)
        view_format(view, "to_line", "/person/%s", person);
}

void finding_show(View *view, Arena *arena, const Finding *finding)
{
    const GPtrArray *facts = finding_facts(finding);
    const Place place = finding_place(finding);
    gboolean accepted = finding_accepted(finding);
    view_text(view, "rule", rule_row(finding_rule(finding))->id);
    view_text(view, "what", rule_row(finding_rule(finding))->message);
    view_text(view, "why", rule_row(finding_rule(finding))->reason);
    view_text(view, "help", finding_advice(finding));
    view_text(view, "injection", finding_injection(finding));
    view_flag(view, "stop", finding_severity(finding) == SEVERITY_ERROR);
    view_flag(view, "wait", finding_severity(finding) == SEVERITY_WARNING && !accepted);
    view_flag(view, "note", finding_severity(finding) == SEVERITY_NOTE);
    view_text(view, "accepted", accepted ? finding_acceptance(arena, finding) : NULL);
    if (facts->len > 0) /* several findings of one rule are told apart by it */
        view_text(view, "first_fact", g_ptr_array_index(facts, 0));
    for (guint i = 0; i < facts->len; i++)
        view_text(view_add(view, "facts"), "fact", g_ptr_array_index(facts, i));
    if (!place.source)
        return;
    g_autofree char *name = g_path_get_basename(place.source->name);
    view_format(view, "where", "%s, line %d", name, place_line(place));
    finding_link(view, place);
}

static const char *severity_words(const RuleRow *row)
{
    return row->severities == SEVERITY_ERROR     ? "It stops a sheet."
           : row->severities == SEVERITY_WARNING ? "It waits for a name: somebody weighs it and accepts it in writing."
           : row->severities == SEVERITY_NOTE    ? "It is a note, and stops nothing."
                                                 : "How it stands depends on how far it goes.";
}

void story_rule(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    RuleId rule;
    if (!rule_find(request->argument, &rule)) {
        Request none = *request;
        none.notice = "not_here";
        story_notice(desk, &none, answer);
        return;
    }
    if (!page_clinic(desk, request, session, &file, answer))
        return;
    const RuleRow *row = rule_row(rule);
    View *view = page_view(request, session, file.clinic);
    view_text(view, "rule", row->id);
    view_text(view, "subject", row->subject);
    view_text(view, "message", row->message);
    view_text(view, "reason", row->reason);
    view_text(view, "source", row->source);
    view_text(view, "severity", severity_words(row));
    view_text(view, "when", rule_when(rule));
    page_show(desk, view, "rule", answer);
}
