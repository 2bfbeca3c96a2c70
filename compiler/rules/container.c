/* rules_container: whether a container gives what is counted on, and fits its own scale. */
#include "rules/checks.h"

gboolean judge_comparable(const PlanInjection *injection)
{
    return injection->medicine && PRESENT(injection->order->dose) && PRESENT(injection->medicine->content) &&
           quantity_dimension(injection->order->dose.quantity) ==
               quantity_dimension(injection->medicine->content.quantity);
}

static gboolean says_deliverable(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    return medicine && PRESENT(medicine->deliverable) && PRESENT(medicine->content) &&
           quantity_dimension(medicine->deliverable.quantity) == quantity_dimension(medicine->content.quantity);
}

static const char more_containers[] =
    "compare the dose with the order; if it is right, open more containers with \"vials: ...\" under the injection";

void check_withdrawable_short(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        Rational most = injection->drawable_ml;
        if (plan_gives_all(injection) || !rational_ok(injection->exact_ml) || !rational_ok(most) ||
            rational_compare(injection->exact_ml, most) <= 0)
            continue;
        const Amount *stated = injection->row ? &injection->row->withdraw : NULL;
        Finding *finding = judge_add(judge, RULE_withdrawable_short, 0, injection, injection->order->dose.at.place);
        finding_fact(finding, "the dose is %s, and %s can be drawn back", judge_volume(judge, injection->exact_ml),
                     judge_volume(judge, most));
        if (stated && PRESENT(*stated))
            finding_note(finding, stated->at.place, "the label's row");
        finding_help(finding, "%s", more_containers);
    }
}

void check_deliverable_short(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!judge_comparable(injection) || !says_deliverable(injection) || injection->containers == 0)
            continue;
        const Amount *most = &injection->medicine->deliverable;
        Rational all = rational_mul(quantity_base(most->quantity), rational_make(injection->containers, 1));
        if (!rational_ok(all) || rational_compare(quantity_base(injection->order->dose.quantity), all) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_deliverable_short, 0, injection, injection->order->dose.at.place);
        finding_fact(finding, "ordered %s; one container gives %s at most",
                     judge_amount(judge, injection->order->dose.quantity), judge_amount(judge, most->quantity));
        finding_note(finding, most->at.place, "what one container gives, on the shelf");
        finding_help(finding, "%s", more_containers);
    }
}

/* Doses of this injection that one container serves. */
static gint64 doses_of(const PlanInjection *injection)
{
    return plan_gives_all(injection) ? 0 : MIN(plan_doses_each(injection), plan_days(injection));
}

/* What they take out of it together; not rational_ok when it serves one act. */
static Rational taken_in_all(const PlanInjection *injection)
{
    gint64 doses = doses_of(injection);
    if (doses == 0)
        return RATIONAL_OVERFLOW;
    return rational_mul(plan_takes_in_fact(injection, plan_takes(injection)), rational_make(doses, 1));
}

static Rational holds_ml(const PlanInjection *injection)
{
    const Amount *volume = &injection->medicine->volume;
    if (injection->way == WAY_POWDER)
        return injection->drawable_ml;
    return PRESENT(*volume) ? quantity_in(volume->quantity, UNIT_mL).number : RATIONAL_OVERFLOW;
}

/* A label may count on more than its content, for containers are overfilled; a clinic should know. */
void check_deliverable_over(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!says_deliverable(injection) || judged_before(judge, injection, injection->medicine))
            continue;
        const Amount *given = &injection->medicine->deliverable, *content = &injection->medicine->content;
        gboolean over = quantity_compare(given->quantity, content->quantity) > 0;
        Rational taken = taken_in_all(injection), holds = holds_ml(injection);
        if (!over && (!rational_ok(taken) || !rational_ok(holds) || rational_compare(taken, holds) <= 0))
            continue;
        Finding *finding = judge_add(judge, RULE_deliverable_over, over ? SEVERITY_ERROR : SEVERITY_WARNING, injection,
                                     given->at.place);
        if (over)
            finding_fact(finding, "%s can be given, it says; the container holds %s",
                         judge_amount(judge, given->quantity), judge_amount(judge, content->quantity));
        else
            finding_fact(finding, "%s out of one take %s, %s; the container holds %s",
                         judge_count(judge, doses_of(injection), "dose"), judge_volume(judge, taken),
                         injection->way == WAY_PEN ? "each with its drop"
                                                   : "each with what stays in nozzle and needle",
                         judge_volume(judge, holds));
        finding_note(finding, content->at.place, "the content");
        finding_help(finding, over ? "compare both with the label; leave deliverable out when the label says nothing"
                                   : "leave deliverable out, so that what each dose takes is counted; or accept this, "
                                     "when the label counts on overfill");
    }
}

void check_part_is_all(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (injection->way != WAY_PREFILLED || !judge_comparable(injection) || !PRESENT(order->dose_is) ||
            plan_gives_all(injection) ||
            quantity_compare(order->dose.quantity, injection->medicine->content.quantity) != 0)
            continue;
        Finding *finding = judge_add(judge, RULE_part_is_all, 0, injection, order->dose_is.at.place);
        finding_fact(finding, "ordered %s; the syringe holds %s", judge_amount(judge, order->dose.quantity),
                     judge_amount(judge, injection->medicine->content.quantity));
        finding_note(finding, injection->medicine->content.at.place, "the filled syringe on the shelf");
        finding_help(finding, "write \"dose_is: the whole content\"; or compare the dose with the order");
    }
}

void check_filled_over_scale(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        const Syringe *syringe = injection->syringe;
        if (injection->way != WAY_PREFILLED || !syringe || !PRESENT(syringe->capacity) || !PRESENT(medicine->volume) ||
            judged_before(judge, injection, medicine) ||
            quantity_compare(medicine->volume.quantity, syringe->capacity.quantity) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_filled_over_scale, 0, injection, medicine->volume.at.place);
        finding_fact(finding, "it holds %s; its marks go to %s", judge_amount(judge, medicine->volume.quantity),
                     judge_amount(judge, syringe->capacity.quantity));
        finding_note(finding, syringe->capacity.at.place, "the syringe on the shelf");
        finding_help(finding, "compare both with the box: one of the two belongs to another syringe");
    }
}
