/* rules_pen: whether a pen's dial can be set to the dose, and whether it is one. */
#include "rules/checks.h"

static gboolean dial_known(const PlanInjection *injection)
{
    const Pen *pen = injection->pen;
    return pen && PRESENT(pen->dial_every) && PRESENT(pen->dial_most);
}

static gboolean same_kind(const Amount *setting, const Amount *content)
{
    return PRESENT(*setting) && PRESENT(*content) &&
           quantity_dimension(setting->quantity) == quantity_dimension(content->quantity);
}

static gboolean is_setting(Quantity dose, const Pen *pen)
{
    Rational settings = rational_div(quantity_base(dose), quantity_base(pen->dial_every.quantity));
    return rational_ok(settings) && settings.den == 1; /* what overflows is none */
}

/* The settings below and above a dose. */
static void say_settings_near(const Judge *judge, const PlanInjection *injection, Finding *finding)
{
    Quantity every = injection->pen->dial_every.quantity;
    Rational settings = rational_div(quantity_base(injection->order->dose.quantity), quantity_base(every));
    if (!rational_ok(settings))
        return;
    gint64 below = rational_floor(settings);
    Quantity under = {rational_mul(every.number, rational_make(below, 1)), every.unit};
    Quantity over = {rational_mul(every.number, rational_make(below + 1, 1)), every.unit};
    if (below > 0)
        finding_fact(finding, "settings near it: %s and %s", judge_amount(judge, under), judge_amount(judge, over));
    else
        finding_fact(finding, "the smallest setting: %s", judge_amount(judge, over));
}

void check_off_the_dial(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Amount *dose = &injection->order->dose;
        if (!dial_known(injection) || !same_kind(&injection->pen->dial_every, dose) ||
            !same_kind(&injection->pen->dial_most, dose))
            continue;
        const Pen *pen = injection->pen;
        gboolean over = quantity_compare(dose->quantity, pen->dial_most.quantity) > 0;
        if (!over && is_setting(dose->quantity, pen))
            continue;
        Finding *finding = judge_add(judge, RULE_off_the_dial, 0, injection, dose->at.place);
        if (over)
            finding_fact(finding, "ordered %s; the dial goes up to %s", judge_amount(judge, dose->quantity),
                         judge_amount(judge, pen->dial_most.quantity));
        else
            finding_fact(finding, "ordered %s; the dial goes in steps of %s", judge_amount(judge, dose->quantity),
                         judge_amount(judge, pen->dial_every.quantity));
        if (!over)
            say_settings_near(judge, injection, finding);
        finding_note(finding, over ? pen->dial_most.at.place : pen->dial_every.at.place, "the pen on the shelf");
        finding_help(finding, "another dose, or another pen, is for the prescriber to decide");
    }
}

#define MOST_SETTINGS 1000

/* What is wrong with the dial, and where; NULL when nothing is. */
static const char *dial_fault(const Judge *judge, const PlanInjection *injection, const Field **at)
{
    const Pen *pen = injection->pen;
    const Amount *content = &injection->medicine->content;
    const Amount *settings[] = {&pen->dial_every, &pen->dial_most, &pen->flow_check};
    for (gsize i = 0; i < G_N_ELEMENTS(settings); i++) {
        *at = &settings[i]->at;
        if (PRESENT(*settings[i]) && PRESENT(*content) && !same_kind(settings[i], content))
            return arena_format(judge->arena, "the dial counts %s, and the medicine holds %s",
                                judge_amount(judge, settings[i]->quantity), judge_amount(judge, content->quantity));
        if (PRESENT(*settings[i]) && !same_kind(settings[i], &pen->dial_every))
            return arena_format(judge->arena, "the dial counts %s and %s",
                                judge_amount(judge, pen->dial_every.quantity),
                                judge_amount(judge, settings[i]->quantity));
        if (PRESENT(*settings[i]) && !is_setting(settings[i]->quantity, pen))
            return arena_format(judge->arena, "%s is no setting of a dial with steps of %s",
                                judge_amount(judge, settings[i]->quantity),
                                judge_amount(judge, pen->dial_every.quantity));
    }
    *at = &pen->dial_every.at;
    Rational steps = rational_div(quantity_base(pen->dial_most.quantity), quantity_base(pen->dial_every.quantity));
    if (!rational_ok(steps) || rational_compare(steps, rational_make(MOST_SETTINGS, 1)) > 0)
        return arena_format(judge->arena, "it would have more than %d settings", MOST_SETTINGS);
    *at = &pen->flow_check.at;
    if (PRESENT(pen->flow_check) && quantity_compare(pen->flow_check.quantity, pen->dial_most.quantity) > 0)
        return arena_format(judge->arena, "the dial goes up to %s", judge_amount(judge, pen->dial_most.quantity));
    return NULL;
}

void check_dial_implausible(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Field *at;
        if (!dial_known(injection) || judged_before(judge, injection, injection->medicine))
            continue;
        const char *fact = dial_fault(judge, injection, &at);
        if (!fact)
            continue;
        Finding *finding = judge_add(judge, RULE_dial_implausible, 0, injection, at->place);
        finding_fact(finding, "%s", fact);
        finding_note(finding, injection->medicine->content.at.place, "the medicine that goes with it");
        finding_help(finding, "read the pen's leaflet again: steps, largest dose, and the dose for the drop");
    }
}
