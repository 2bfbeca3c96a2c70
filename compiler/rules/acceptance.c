/* rules_acceptance: what was accepted in writing, by whom and until when. */
#include <string.h>

#include "rules/checks.h"

#define LONGEST 184      /* days, when limits say nothing */
#define ENDING_NOTICE 30 /* days ahead */
#define WORDS_NEEDED 3

/* Warnings that weigh a person's body; only a physician can. */
static const RuleId medical[] = {
#define MEDICAL(id) RULE_##id,
#include "rules/medical.def"
};

typedef struct Signing {
    const Plan *plan;
    const Acceptance *acceptance;
    Stage stage;       /* of warnings that it may reach */
    Day today;
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

/* ---- what must hold of an acceptance ---- */

gboolean rule_is_medical(RuleId rule)
{
    for (gsize i = 0; i < G_N_ELEMENTS(medical); i++)
        if (medical[i] == rule)
            return TRUE;
    return FALSE;
}

/* Who may sign, for the help line; NULL when this person may. */
static const char *signer_wanted(const Signing *signing, RuleId rule, Arena *arena)
{
    const Governance *governance = &signing->plan->clinic->governance;
    const char *by = signing->acceptance->by.text;
    const Text *approver = &signing->plan->protocol->approval.by;
    if (signing->stage != STAGE_PATIENT) {
        if (!PRESENT(*approver) || same_person(approver->text, by)) /* not_approved speaks */
            return NULL;
        return arena_format(arena, "only the physician who approves the protocol (now %s) accepts a warning in it",
                            approver->text);
    }
    if (rule_is_medical(rule))
        return names_person(&governance->physicians, by)
                   ? NULL : "this warning weighs the person's body: only a physician named in clinic.yaml under "
                            "governance accepts it";
    return names_person(&governance->nurses, by)
               ? NULL : "only a nurse named in clinic.yaml under governance accepts a warning here";
}

/* Words of a sentence; scripts without spaces count by their letters. */
static gboolean says_why(const char *reason)
{
    int words = 0, letters = 0;
    for (const char *at = reason; *at && words < WORDS_NEEDED; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        letters = g_unichar_isalpha(letter) || g_unichar_ismark(letter) ? letters + 1 : 0;
        words += letters == 2 || (letters > 2 && g_unichar_iswide(letter) && letters % 2 == 0);
    }
    return words >= WORDS_NEEDED;
}

static int longest(const Clinic *clinic)
{
    const Amount *own = &clinic->limits.acceptance;
    return PRESENT(*own) ? days_of(own->quantity) : LONGEST;
}

/* The last day in the clinic's zone of an injection that it speaks of; 0: none is known. */
static Day last_day(const Signing *signing)
{
    const Acceptance *acceptance = signing->acceptance;
    Day last = 0;
    for (guint i = 0; i < signing->plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(signing->plan->injections, i);
        gboolean covered = ABSENT(acceptance->injection) || (PRESENT(injection->order->name) &&
                           strcmp(injection->order->name.text, acceptance->injection.text) == 0);
        if (!covered || !injection->timed || injection->acts->len == 0)
            continue;
        const Act *act = g_ptr_array_index(injection->acts, injection->acts->len - 1);
        last = MAX(last, zone_local(signing->plan->clinic->zone.zone, act->at.instant, NULL).day);
    }
    return last;
}

static void not_holding(Diagnostics *diagnostics, const Signing *signing, Place place, const char *fact,
                        const char *help)
{
    Finding *finding = stale(diagnostics, signing->acceptance, place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, "%s", help);
}

/* TRUE when its dates hold; else a finding says which does not. */
static gboolean dated_well(Diagnostics *diagnostics, const Signing *signing, Arena *arena)
{
    const Acceptance *acceptance = signing->acceptance;
    Place on = acceptance->on.at.place, until = acceptance->until.at.place;
    Day last = last_day(signing);
    int days = acceptance->until.day - acceptance->on.day;
    if (signing->today < acceptance->on.day)
        not_holding(diagnostics, signing, on, "its day has not come", "correct the date");
    else if (signing->today > acceptance->until.day)
        not_holding(diagnostics, signing, until, "it has ended",
                    "weigh the warning again, then sign with a new end date, or remove it");
    else if (days > longest(signing->plan->clinic))
        not_holding(diagnostics, signing, until,
                    arena_format(arena, "it would hold for %d days; this clinic allows %d at most", days,
                                 longest(signing->plan->clinic)),
                    arena_format(arena, "write \"until: %s\" or earlier",
                                 day_text(arena, acceptance->on.day + longest(signing->plan->clinic))));
    else if (last > acceptance->until.day)
        not_holding(diagnostics, signing, until,
                    arena_format(arena, "it ends before the injection that it covers, which is on %s",
                                 day_text(arena, last)),
                    "weigh the warning again, then sign with an end date after the injection");
    else
        return TRUE;
    return FALSE;
}

/* TRUE when dates, reason and name hold; else a finding says which does not. */
static gboolean signed_well(Diagnostics *diagnostics, const Signing *signing, RuleId rule, Arena *arena)
{
    const Acceptance *acceptance = signing->acceptance;
    const char *wanted = signer_wanted(signing, rule, arena);
    if (!dated_well(diagnostics, signing, arena))
        return FALSE;
    if (!says_why(acceptance->because.text))
        not_holding(diagnostics, signing, acceptance->because.at.place, "this gives no reason",
                    "write why it is right to go on, in a sentence that a reviewer understands");
    else if (wanted)
        not_holding(diagnostics, signing, acceptance->by.at.place, "this person may not accept it here", wanted);
    else
        return TRUE;
    return FALSE;
}

static void tell_of_end(Diagnostics *diagnostics, const Signing *signing)
{
    const Date *until = &signing->acceptance->until;
    if (signing->stage == STAGE_PATIENT || signing->today + ENDING_NOTICE < until->day)
        return;
    Finding *finding = finding_add(diagnostics, RULE_acceptance_ending, until->at.place);
    finding_fact(finding, "%d days are left", until->day - signing->today);
    finding_help(finding, "weigh the warning again now: from the day after it on it stops every sheet");
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

/* Found only beside other files: one alone cannot tell whether its acceptance is still needed. */
static gboolean found_together(RuleId rule) { return rule == RULE_protocol_copy; }

static void apply(Diagnostics *diagnostics, const Signing *signing, Arena *arena)
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
    } else if (!signed_well(diagnostics, signing, rule, arena)) {
        return;
    } else if (mark(diagnostics, signing, rule) == 0 && !found_together(rule)) {
        Finding *finding = stale(diagnostics, acceptance, acceptance->rule.at.place);
        finding_fact(finding, "the rule gives no warning here");
        finding_help(finding, "remove the acceptance");
    } else {
        tell_of_end(diagnostics, signing);
    }
}

static void apply_all(const Plan *plan, Diagnostics *diagnostics, const GPtrArray *acceptances, Stage stage)
{
    Arena *arena = arena_new();
    Day today = zone_local(plan->clinic->zone.zone, plan->now, NULL).day;
    for (guint i = 0; i < acceptances->len; i++) {
        Signing signing = {plan, g_ptr_array_index(acceptances, i), stage, today};
        apply(diagnostics, &signing, arena);
    }
    arena_free(arena);
}

void rules_accept_together(const Plan *plan, Diagnostics *diagnostics)
{
    Arena *arena = arena_new();
    Diagnostics *told = diagnostics_new(arena); /* what does not hold was said with the file */
    Day today = zone_local(plan->clinic->zone.zone, plan->now, NULL).day;
    for (guint i = 0; i < plan->protocol->acceptances.items->len; i++) {
        Signing signing = {plan, g_ptr_array_index(plan->protocol->acceptances.items, i), STAGE_PROTOCOL, today};
        RuleId rule;
        if (readable(signing.acceptance) && rule_find(signing.acceptance->rule.text, &rule) && found_together(rule) &&
            signed_well(told, &signing, rule, arena))
            mark(diagnostics, &signing, rule);
    }
    arena_free(arena);
}

void rules_accept(const Plan *plan, Diagnostics *diagnostics)
{
    if (!PRESENT(plan->clinic->zone))
        return;
    apply_all(plan, diagnostics, plan->protocol->acceptances.items, STAGE_PROTOCOL);
    if (plan->patient)
        apply_all(plan, diagnostics, plan->patient->acceptances.items, STAGE_PATIENT);
}
