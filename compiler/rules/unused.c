/* rules_unused: nothing written is without effect and without a word. */
#include <string.h>

#include "rules/checks.h"

/* A filled syringe and a snapped ampoule are used up at once, and so is what is for one dose only. */
static gboolean never_kept(const PlanInjection *i)
{
    const Medicine *medicine = i->medicine;
    gboolean single = PRESENT(medicine->single_dose) && medicine->single_dose.value == YesNo_YES;
    gboolean ampoule = PRESENT(medicine->container) && medicine->container.value == Container_AMPOULE;
    return single || ampoule || i->way == WAY_PREFILLED;
}

/* The injection that mixes all that this one draws from; NULL when it mixes for itself on some day, or when what
 * it is mixed with was not read. */
static const PlanInjection *mixed_for(const PlanInjection *i)
{
    const PlanInjection *by = i->way == WAY_POWDER && i->opened == 0 ? i->opened_by : NULL;
    return by && PRESENT(by->order->mix.syringe) && PRESENT(by->order->mix.needle) ? by : NULL;
}

static void tell(const Judge *judge, const PlanInjection *injection, const Field *at, const char *fact,
                 const char *help)
{
    Finding *finding = judge_add(judge, RULE_without_effect, 0, injection, at->key.source ? at->key : at->place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, "%s", help);
}

/* A row of the shelf is told once, under the first injection that uses it. */
static gboolean told_before(const Judge *judge, const PlanInjection *injection, const Field *at)
{
    const char *shelf = (const char *)injection->medicine;
    gboolean of_shelf = (const char *)at >= shelf && (const char *)at < shelf + sizeof(Medicine);
    return of_shelf && judged_before(judge, injection, injection->medicine);
}

void check_without_effect(const Judge *judge)
{
    EACH_INJECTION(judge, i) {
        const Medicine *m = i->medicine;
        const Injection *o = i->order;
        if (!m || !PRESENT(m->form) || !PRESENT(m->container))
            continue;
#define UNUSED(field, condition, fact, help)                                                \
    if (PRESENT(field) && (condition) && !told_before(judge, i, &(field).at))               \
        tell(judge, i, &(field).at, fact, help);
#include "rules/unused.def"
    }
}
