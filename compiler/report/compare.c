/* compare: see report.h. */
#include "report/report.h"

#include <string.h>

typedef struct Comparison {
    const CompareSide *old, *new;
    GString *out;
} Comparison;

static gboolean has_finding(const Diagnostics *diagnostics, const Finding *wanted)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        if (finding_rule(finding) == finding_rule(wanted) &&
            finding_severity(finding) == finding_severity(wanted) &&
            g_strcmp0(finding_injection(finding), finding_injection(wanted)) == 0)
            return TRUE;
    }
    return FALSE;
}

/* Approval follows a change anyway; saying so would be noise. */
static gboolean of_approval(const Finding *finding)
{
    return finding_rule(finding) == RULE_seal_broken || finding_rule(finding) == RULE_not_approved;
}

static void only_in(const Comparison *comparison, const Diagnostics *here, const Diagnostics *there, const char *word)
{
    for (guint i = 0; i < diagnostics_count(here); i++) {
        const Finding *finding = diagnostics_at(here, i);
        if (of_approval(finding) || has_finding(there, finding))
            continue;
        g_string_append_printf(comparison->out, "finding %s: %s [%s]\n", word,
                               rule_row(finding_rule(finding))->message, rule_row(finding_rule(finding))->id);
    }
}

/* Freed with g_free(). */
static char *approval_words(const Approval *approval)
{
    if (!PRESENT(*approval))
        return g_strdup("nobody");
    CalendarDate on = day_date(approval->on.day), due = day_date(approval->review_by.day);
    return g_strdup_printf("%s on %04d-%02d-%02d, to be reviewed by %04d-%02d-%02d", approval->by.text, on.year,
                        on.month, on.day, due.year, due.month, due.day);
}

/* Where the meaning is the same somebody may still have taken it over, or looked at it again. */
static gboolean approval_changed(const CompareSide *old, const CompareSide *new, GString *out)
{
    g_autofree char *was = approval_words(&old->plan->protocol->approval);
    g_autofree char *is = approval_words(&new->plan->protocol->approval);
    if (strcmp(was, is) == 0)
        return FALSE;
    g_string_append_printf(out, "the meaning is the same, approved by %s; before: by %s\n", is, was);
    return TRUE;
}

/* Two protocols of other names each count their own revisions: only those of one are beside each other. */
static void tell_revision(const Protocol *old, const Protocol *new, GString *out)
{
    const Number *was = &old->revision, *is = &new->revision;
    gboolean one = g_strcmp0(old->protocol.text, new->protocol.text) == 0;
    if (!one || !PRESENT(*was) || !PRESENT(*is) || is->value > was->value)
        return;
    if (is->value == was->value)
        g_string_append_printf(out, "the revision is still %" G_GINT64_FORMAT, is->value);
    else
        g_string_append_printf(out, "the revision went back from %" G_GINT64_FORMAT " to %" G_GINT64_FORMAT, was->value,
                               is->value);
    g_string_append(out, ": raise it, since the meaning changed\n");
}

gboolean compare_protocols(const CompareSide *old, const CompareSide *new, GString *out)
{
    Comparison comparison = {old, new, out};
    gboolean same = old->meaning && new->meaning && strcmp(old->meaning, new->meaning) == 0;
    gsize before = out->len;
    gboolean taken_over = same && approval_changed(old, new, out);
    if (same && g_strcmp0(old->digest, new->digest) == 0)
        g_string_append(out, "nothing changed\n");
    else if (same && !taken_over)
        g_string_append(out, "only the form of the text changed, or what it does not use; its meaning is the same\n");
    else if (!same && !plan_changes(old->plan, new->plan, FALSE, out))
        g_string_insert(out, (gssize)before,
                        "what is given, how much, when and where stays as it was; in the files:\n");
    if (!same)
        tell_revision(old->plan->protocol, new->plan->protocol, out);
    only_in(&comparison, new->diagnostics, old->diagnostics, "appears");
    only_in(&comparison, old->diagnostics, new->diagnostics, "vanishes");
    return same && !taken_over;
}
