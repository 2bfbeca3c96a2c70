/* rules_facts: what must have been asked and looked up: facts of the person that a rule
 * needs, who prepares the sheet, when a label was read. */
#include "rules/checks.h"

#define LABEL_YEARS 2 /* after so long a label is read again; common practice */

/* ---- facts of the person ---- */

void check_bleeding_not_asked(const Judge *judge)
{
    if (!ABSENT(judge->plan->patient->bleeding))
        return;
    EACH_INJECTION(judge, injection) {
        const RouteChoice *route = &injection->order->route;
        if (!PRESENT(*route) || route_row(route->value)->layer != LAYER_MUSCLE)
            continue;
        Finding *finding = judge_add(judge, RULE_bleeding_not_asked, 0, injection,
                                     judge->plan->patient->patient.at.place);
        finding_note(finding, route->at.place, "the route");
        finding_help(finding, "ask the person about blood thinners and bleeding; then add \"bleeding: []\" for none, "
                              "or what she says");
        return;
    }
}

void check_prepared_by_unknown(const Judge *judge)
{
    const Text *by = &judge->plan->patient->prepared_by;
    const Governance *people = &judge->plan->clinic->governance;
    if (!PRESENT(*by) || !PRESENT(people->nurses) || names_person(&people->nurses, by->text) ||
        names_person(&people->physicians, by->text))
        return;
    Finding *finding = judge_add(judge, RULE_prepared_by_unknown, 0, NULL, by->at.place);
    finding_fact(finding, "given \"%s\"; clinic.yaml names %s", by->text, judge_texts(judge, &people->nurses));
    finding_note(finding, people->nurses.at.place, "the clinic's nurses");
    finding_help(finding, "write the name as it stands there, or add the nurse to clinic.yaml");
}

/* ---- labels ---- */

static void judge_label(const Judge *judge, const PlanInjection *injection, const Label *label, Day today)
{
    if (!PRESENT(*label) || !PRESENT(label->on))
        return;
    int days = today - label->on.day;
    if (days >= 0 && days <= LABEL_YEARS * 366)
        return;
    Finding *finding = judge_add(judge, RULE_label_date, days < 0 ? SEVERITY_ERROR : SEVERITY_WARNING, injection,
                                 label->on.at.place);
    finding_fact(finding, days < 0 ? "that day has not come" : "that is more than %d years ago", LABEL_YEARS);
    finding_help(finding, days < 0 ? "write the day on which the label was read"
                                   : "read the label in the box again, correct what changed, and write the day");
}

void check_label_date(const Judge *judge)
{
    if (!PRESENT(judge->plan->clinic->zone))
        return;
    Day today = zone_local(judge->plan->clinic->zone.zone, judge->plan->now, NULL).day;
    EACH_INJECTION(judge, injection) {
        if (injection->medicine && !judged_before(judge, injection, injection->medicine))
            judge_label(judge, injection, &injection->medicine->label, today);
        if (injection->diluent)
            judge_label(judge, injection, &injection->diluent->label, today);
        const Syringe *syringes[2];
        for (gsize i = 0, count = judge_syringes(injection, syringes); i < count; i++)
            if (!judged_before(judge, injection, syringes[i]))
                judge_label(judge, injection, &syringes[i]->label, today);
        if (injection->pen && !judged_before(judge, injection, injection->pen))
            judge_label(judge, injection, &injection->pen->label, today);
    }
}

/* ---- what a table says of this site ---- */

void check_muscle_missed(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (!PRESENT(order->site) || order->site.value != Site_DORSOGLUTEAL || !PRESENT(order->give.needle) ||
            !PRESENT(order->route) || route_row(order->route.value)->layer != LAYER_MUSCLE ||
            quantity_compare(order->give.needle.length, quantity_make(3, 2, UNIT_in)) > 0)
            continue;
        Finding *finding = judge_add(judge, RULE_muscle_missed, 0, injection, order->give.needle.at.place);
        finding_fact(finding, "%s into the buttock", judge_amount(judge, order->give.needle.length));
        finding_help(finding, "weigh the side of the hip, or a longer needle, for a person with a thick layer of fat");
    }
}
