/* rules: the table of checks, the acceptances, and what checks share. */
#include "rules/rules.h"

#include <string.h>

#include "rules/checks.h"

typedef void (*Check)(const Judge *judge);

static const Check checks[RULE_COUNT] = {
#define RULE(id, stage, severities, subject, message, reason, source) check_##id,
#define FAULT(id, stage, severities, subject, message, reason, source) NULL,
#include "rules/rules.def"
#undef RULE
#undef FAULT
};

void rules_check(const Plan *plan, Diagnostics *diagnostics)
{
    Judge judge = {plan, diagnostics, arena_new()};
    for (int i = 0; i < RULE_COUNT; i++) {
        Stage stage = rule_row((RuleId)i)->stage;
        if (checks[i] && (stage == STAGE_PROTOCOL || (stage == STAGE_PATIENT && plan->patient)))
            checks[i](&judge);
    }
    arena_free(judge.arena);
}

gboolean rules_draft_only(const Diagnostics *diagnostics)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        RuleId rule = finding_rule(finding);
        gboolean approval = rule == RULE_not_approved || rule == RULE_seal_broken || rule == RULE_review_overdue ||
                            rule == RULE_language_unreviewed;
        if (finding_severity(finding) != SEVERITY_NOTE && !finding_accepted(finding) && !approval)
            return FALSE;
    }
    return TRUE;
}

/* ---- what checks share ---- */

Finding *judge_add(const Judge *judge, RuleId rule, int severity, const PlanInjection *injection,
                   Place place)
{
    Finding *finding = severity ? finding_add_as(judge->diagnostics, rule, (Severity)severity, place)
                                : finding_add(judge->diagnostics, rule, place);
    if (injection && PRESENT(injection->order->name))
        finding_about(finding, injection->order->name.text);
    return finding;
}

Place judge_place(const Field *wanted, const PlanInjection *injection)
{
    return wanted->place.source ? wanted->place : injection->order->name.at.place;
}

const char *judge_amount(const Judge *judge, Quantity quantity)
{
    Quantity shown = {rational_round(quantity.number, rational_make(1, 10000)), quantity.unit};
    if (!rational_ok(shown.number) || shown.number.num == 0 || rational_equal(shown.number, quantity.number))
        return quantity_text(judge->arena, quantity);
    return arena_format(judge->arena, "about %s", quantity_text(judge->arena, shown));
}

const char *judge_volume(const Judge *judge, Rational volume_ml)
{
    return judge_amount(judge, (Quantity){volume_ml, UNIT_mL});
}

const char *judge_span(const Judge *judge, Quantity least, Quantity most)
{
    if (quantity_compare(least, most) == 0)
        return judge_amount(judge, least);
    return arena_format(judge->arena, "%s to %s", judge_amount(judge, least), judge_amount(judge, most));
}

gboolean judge_anchor_readable(const Judge *judge)
{
    const AnchorTime *anchor = &judge->plan->patient->anchor;
    return PRESENT(anchor->on) && PRESENT(anchor->clock) && PRESENT(judge->plan->clinic->zone);
}

const char *judge_hours(const Judge *judge, Rational minutes)
{
    gint64 whole = minutes.num / MAX(minutes.den, 1);
    if (minutes.den != 1 || whole < 0)
        return judge_amount(judge, quantity_in((Quantity){minutes, UNIT_min}, UNIT_h));
    const char *rest = arena_format(judge->arena, "%d min", (int)(whole % 60));
    if (whole < 60)
        return rest;
    const char *hours = judge_amount(judge, quantity_make(whole / 60, 1, UNIT_h));
    return whole % 60 ? arena_format(judge->arena, "%s %s", hours, rest) : hours;
}

const char *judge_words(const Judge *judge, const List *choices)
{
    g_autoptr(GString) words = g_string_new(NULL);
    for (guint i = 0; i < choices->items->len; i++) {
        const Field *choice = g_ptr_array_index(choices->items, i);
        if (choice->state == FIELD_READ)
            g_string_append_printf(words, "%s%s", words->len ? ", " : "", choice_word(choice_value(choice)));
    }
    return arena_copy(judge->arena, words->str);
}

const char *judge_texts(const Judge *judge, const List *texts)
{
    g_autoptr(GString) words = g_string_new(NULL);
    for (guint i = 0; i < texts->items->len; i++) {
        const Text *text = g_ptr_array_index(texts->items, i);
        if (PRESENT(*text))
            g_string_append_printf(words, "%s\"%s\"", words->len ? ", " : "", text->text);
    }
    return arena_copy(judge->arena, words->len ? words->str : "none");
}

gboolean judge_count_doubted(const Judge *judge)
{
    for (guint i = 0; i < diagnostics_count(judge->diagnostics); i++) {
        RuleId rule = finding_rule(diagnostics_at(judge->diagnostics, i));
        if (rule == RULE_vial_count_wrong || rule == RULE_too_many_vials)
            return TRUE;
    }
    return FALSE;
}

gboolean judged_before(const Judge *judge, const PlanInjection *injection, gconstpointer thing)
{
    g_assert(thing);
    EACH_INJECTION(judge, earlier) {
        if (earlier == injection)
            return FALSE;
        if (earlier->medicine == thing || earlier->syringe == thing || earlier->pen == thing)
            return TRUE;
    }
    return FALSE;
}

const char *judge_count(const Judge *judge, gint64 count, const char *word)
{
    return arena_format(judge->arena, "%" G_GINT64_FORMAT " %s%s", count, word, count == 1 ? "" : "s");
}

Rational percent(gint64 number) { return rational_make(number, 100); }

/* ---- acceptances ---- */

typedef struct Signing {
    const Acceptance *acceptance;
    Stage stage;       /* of warnings that it may reach */
    Day today;
    gboolean may_sign;
    const char *who;   /* who could sign, for the help line */
} Signing;

static Finding *stale(Diagnostics *diagnostics, const Acceptance *acceptance, Place place)
{
    if (!place.source)
        place = acceptance->at.place;
    return finding_add(diagnostics, RULE_acceptance_stale, place);
}

static gboolean readable(const Acceptance *acceptance)
{
    return PRESENT(acceptance->rule) && PRESENT(acceptance->because) && PRESENT(acceptance->by) &&
           PRESENT(acceptance->on) && PRESENT(acceptance->until) &&
           (PRESENT(acceptance->injection) || ABSENT(acceptance->injection));
}

static gboolean known_rule(Diagnostics *diagnostics, const Acceptance *acceptance, RuleId *rule)
{
    if (rule_find(acceptance->rule.text, rule))
        return TRUE;
    const char *near = rule_nearest(acceptance->rule.text);
    Finding *finding = stale(diagnostics, acceptance, acceptance->rule.at.place);
    finding_fact(finding, "there is no rule of this name");
    finding_help(finding, near ? "did you mean \"%s\"?" : "\"dosewright explain\" lists the rules%s",
                 near ? near : "");
    return FALSE;
}

/* TRUE when dates and name hold; else a finding says which does not. */
static gboolean signed_well(Diagnostics *diagnostics, const Signing *signing)
{
    const Acceptance *acceptance = signing->acceptance;
    if (signing->today < acceptance->on.day) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->on.at.place);
        finding_fact(finding, "its day has not come");
        finding_help(finding, "correct the date");
    } else if (signing->today > acceptance->until.day) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->until.at.place);
        finding_fact(finding, "it has ended");
        finding_help(finding, "weigh the warning again, then sign with a new end date, or remove it");
    } else if (!signing->may_sign) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->by.at.place);
        finding_fact(finding, "this person may not accept it here");
        finding_help(finding, "%s", signing->who);
    } else {
        return TRUE;
    }
    return FALSE;
}

static gboolean speaks_of(const Finding *finding, const Acceptance *acceptance, RuleId rule)
{
    if (finding_rule(finding) != rule)
        return FALSE;
    return ABSENT(acceptance->injection) ||
           g_strcmp0(finding_injection(finding), acceptance->injection.text) == 0;
}

/* Marks the warnings; returns how many findings it speaks of. */
static guint mark(Diagnostics *diagnostics, const Signing *signing, RuleId rule)
{
    const Acceptance *acceptance = signing->acceptance;
    CalendarDate until = day_date(acceptance->until.day);
    g_autofree char *until_text = g_strdup_printf("%04d-%02d-%02d", until.year, until.month, until.day);
    guint found = 0;
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        Finding *finding = diagnostics_at(diagnostics, i);
        if (!speaks_of(finding, acceptance, rule) || finding_severity(finding) != SEVERITY_WARNING)
            continue;
        found++;
        finding_accept(finding, acceptance->by.text, acceptance->because.text, until_text);
    }
    return found;
}

static void apply(Diagnostics *diagnostics, const Signing *signing)
{
    const Acceptance *acceptance = signing->acceptance;
    RuleId rule;
    if (!readable(acceptance) || !known_rule(diagnostics, acceptance, &rule))
        return;
    const RuleRow *row = rule_row(rule);
    gboolean wrong_place = row->stage == STAGE_PATIENT ? signing->stage != STAGE_PATIENT
                                                       : signing->stage == STAGE_PATIENT;
    if (!(row->severities & SEVERITY_WARNING)) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->rule.at.place);
        finding_fact(finding, "this rule gives no warnings, and nothing else can be accepted");
        finding_help(finding, "remove the acceptance and mend the cause");
    } else if (wrong_place) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->rule.at.place);
        finding_fact(finding, row->stage == STAGE_PATIENT ? "this rule speaks of a person"
                                                         : "this rule speaks of the protocol");
        finding_help(finding, row->stage == STAGE_PATIENT ? "move it to the patient's file"
                                                         : "move it to the protocol");
    } else if (signed_well(diagnostics, signing) && mark(diagnostics, signing, rule) == 0) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->rule.at.place);
        finding_fact(finding, "the rule gives no warning here");
        finding_help(finding, "remove the acceptance");
    }
}

static gboolean is_nurse(const Clinic *clinic, const char *name)
{
    for (guint i = 0; i < clinic->governance.nurses.items->len; i++) {
        const Text *nurse = g_ptr_array_index(clinic->governance.nurses.items, i);
        if (PRESENT(*nurse) && strcmp(nurse->text, name) == 0)
            return TRUE;
    }
    return FALSE;
}

static gboolean is_physician(const Protocol *protocol, const char *name)
{
    if (!PRESENT(protocol->approval.by)) /* not_approved speaks */
        return TRUE;
    return strcmp(protocol->approval.by.text, name) == 0;
}

void rules_accept(const Plan *plan, Diagnostics *diagnostics)
{
    if (!PRESENT(plan->clinic->zone))
        return;
    Day today = zone_local(plan->clinic->zone.zone, plan->now, NULL).day;
    const GPtrArray *of_protocol = plan->protocol->acceptances.items;
    const Text *by = &plan->protocol->approval.by;
    g_autofree char *who = g_strdup_printf("only the physician who approves the protocol%s%s%s accepts a warning in it",
                                           PRESENT(*by) ? " (now " : "", PRESENT(*by) ? by->text : "",
                                           PRESENT(*by) ? ")" : "");
    for (guint i = 0; i < of_protocol->len; i++) {
        const Acceptance *acceptance = g_ptr_array_index(of_protocol, i);
        gboolean may = !PRESENT(acceptance->by) || is_physician(plan->protocol, acceptance->by.text);
        Signing signing = {acceptance, STAGE_PROTOCOL, today, may, who};
        apply(diagnostics, &signing);
    }
    for (guint i = 0; plan->patient && i < plan->patient->acceptances.items->len; i++) {
        const Acceptance *acceptance = g_ptr_array_index(plan->patient->acceptances.items, i);
        gboolean may = !PRESENT(acceptance->by) || is_nurse(plan->clinic, acceptance->by.text);
        Signing signing = {acceptance, STAGE_PATIENT, today, may,
                           "only a nurse named in clinic.yaml under governance accepts a warning here"};
        apply(diagnostics, &signing);
    }
}
