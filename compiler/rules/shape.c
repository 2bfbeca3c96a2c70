/* rules_shape: whether syringe, needles and steps fit together, so that a sheet can show them. */
#include <string.h>

#include "rules/checks.h"

/* ---- needles ---- */

static void needle_fault(const Judge *judge, const PlanInjection *injection, Place place, const char *fact,
                         const char *help)
{
    Finding *finding = judge_add(judge, RULE_needles_and_syringe, 0, injection, place);
    finding_fact(finding, "%s", fact);
    finding_note(finding, injection->syringe->name.at.place, "the syringe on the shelf");
    finding_help(finding, "%s", help);
}

/* A needle that cannot be taken off leaves no room for another. */
static void judge_fixed(const Judge *judge, const PlanInjection *injection)
{
    const Injection *order = injection->order;
    if (!ABSENT(order->give.needle))
        needle_fault(judge, injection, order->give.needle.at.place,
                     "the syringe has a needle that cannot be taken off, and another is named to inject with",
                     "remove the needle under give, or name a syringe without one of its own");
    else if (!ABSENT(order->draw.needle))
        needle_fault(judge, injection, order->draw.needle.at.place,
                     "the syringe has a needle that cannot be taken off, and another is named to draw up with",
                     "remove the needle under draw, or name a syringe without one of its own");
}

/* TRUE after a finding: what mixes has its needle changed, or is thrown away with its own. */
static gboolean judge_mixing(const Judge *judge, const PlanInjection *injection)
{
    const Syringe *mixing = injection->mixing_syringe;
    if (!mixing || ABSENT(mixing->needle))
        return FALSE;
    Finding *finding = judge_add(judge, RULE_needles_and_syringe, 0, injection,
                                 judge_place(&injection->order->mix.syringe.at, injection));
    finding_fact(finding, "the syringe has a needle that cannot be taken off, so none can be put on to mix with or "
                          "changed after mixing");
    finding_note(finding, mixing->name.at.place, "the syringe on the shelf");
    finding_help(finding, "name a syringe without a needle of its own");
    return TRUE;
}

static void bare_pen(const Judge *judge, const PlanInjection *injection)
{
    Finding *finding = judge_add(judge, RULE_needles_and_syringe, 0, injection, injection->order->give.at.key);
    finding_fact(finding, "no needle is named to inject with, and a pen takes a new one each time");
    finding_note(finding, injection->pen->name.at.place, "the pen on the shelf");
    finding_help(finding, "add \"needle: ...\" under give");
}

void check_needles_and_syringe(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (injection->pen && PRESENT(order->give) && ABSENT(order->give.needle))
            bare_pen(judge, injection);
        if (!injection->syringe || !injection->medicine || judge_mixing(judge, injection))
            continue;
        if (!ABSENT(injection->syringe->needle))
            judge_fixed(judge, injection);
        else if (PRESENT(order->give) && ABSENT(order->give.needle))
            needle_fault(judge, injection, order->give.at.key,
                         "no needle is named to inject with, and the syringe has none of its own",
                         "add \"needle: ...\" under give");
        else if ((injection->way == WAY_READY || plan_mixes_apart(injection)) && PRESENT(order->draw) &&
                 ABSENT(order->draw.needle))
            needle_fault(judge, injection, order->draw.at.key,
                         "no needle is named to draw up with, and the syringe has none of its own",
                         "add \"needle: ...\" under draw");
    }
}

/* ---- what the steps can say ---- */

static Finding *show_fault(const Judge *judge, const PlanInjection *injection, const Field *at, const char *fact,
                           const char *help)
{
    Finding *finding = judge_add(judge, RULE_cannot_be_shown, 0, injection, judge_place(at, injection));
    finding_fact(finding, "%s", fact);
    finding_help(finding, "%s", help);
    return finding;
}

gboolean judge_needs_several(const PlanInjection *injection)
{
    Rational each = plan_volume_given(injection);
    if (injection->way == WAY_POWDER)
        return FALSE;
    if (!rational_ok(each) || !rational_ok(injection->exact_ml))
        return injection->containers > 1;
    return rational_compare(injection->exact_ml, each) > 0;
}

static void several_fault(const Judge *judge, const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    const Amount *given = PRESENT(medicine->deliverable) ? &medicine->deliverable
                          : PRESENT(medicine->volume)    ? &medicine->volume
                                                         : &medicine->content;
    Rational each = plan_volume_given(injection);
    Finding *finding = show_fault(judge, injection, &injection->order->dose.at,
                                  "it takes more than one container, and the steps draw from one",
                                  "ask the prescriber for a container that holds the dose, or for two injections");
    if (rational_ok(each) && rational_ok(injection->exact_ml))
        finding_fact(finding, "the dose is %s, and one container gives %s", judge_volume(judge, injection->exact_ml),
                     judge_volume(judge, each));
    finding_note(finding, given->at.place, "what one container holds or gives");
    if (injection->pen && given != &medicine->deliverable && PRESENT(injection->pen->flow_check))
        finding_note(finding, injection->pen->flow_check.at.place, "the drop that is let out first counts too");
}

/* TRUE after a finding. */
static gboolean judge_container(const Judge *judge, const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    const Field *at = &injection->order->medicine.at;
    gboolean powder = PRESENT(medicine->form) && medicine->form.value == Form_POWDER;
    if (!PRESENT(medicine->container))
        return TRUE;
    if (powder && medicine->container.value != Container_VIAL)
        finding_note(show_fault(judge, injection, at,
                                arena_format(judge->arena, "no steps are known for a powder in this container: %s",
                                             choice_word(medicine->container.value)),
                                "correct form or container on the shelf; if they are right, ask the prescriber for "
                                "another medicine"),
                     medicine->container.at.place, "the container on the shelf");
    else if (injection->way == WAY_POWDER && injection->diluent && PRESENT(injection->diluent->container) &&
             injection->diluent->container.value != Container_VIAL &&
             injection->diluent->container.value != Container_AMPOULE)
        finding_note(show_fault(judge, injection, &injection->order->mix.diluent.at,
                                arena_format(judge->arena, "no steps are known for a liquid in this container: %s",
                                             choice_word(injection->diluent->container.value)),
                                "name a liquid in a vial or an ampoule that the label allows; or correct its container "
                                "on the shelf"),
                     injection->diluent->container.at.place, "the liquid's container on the shelf");
    else
        return FALSE;
    return TRUE;
}

static const PlanInjection *course_before(const PlanInjection *injection)
{
    const PlanInjection *other = injection->counts_from;
    return other && other->order->when.kind == TIMING_CALENDAR && other->order->when.days > 1 ? other : NULL;
}

/* Less than "least" in the syringe means: call. */
static gboolean least_unreached(const PlanInjection *injection)
{
    const Amount *least = &injection->order->give.least;
    return PRESENT(*least) && rational_ok(injection->volume_ml) &&
           rational_compare(quantity_in(least->quantity, UNIT_mL).number, injection->volume_ml) >= 0;
}

void check_cannot_be_shown(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        const PlanInjection *course = course_before(injection);
        if (course)
            finding_note(show_fault(judge, injection, &order->when.at,
                                    "a course has many days, and this would be given on the first of them only",
                                    "write its own clock time and days, as the course has them"),
                         course->order->when.at.place, "the course");
        if (least_unreached(injection))
            show_fault(judge, injection, &order->give.least.at,
                       "the syringe never holds more than this, so the person would call each time",
                       "write a volume below the one that is injected");
        if (!injection->medicine || judge_container(judge, injection))
            continue;
        if (injection->way == WAY_PEN && plan_gives_all(injection))
            finding_note(show_fault(judge, injection, &order->dose_is.at,
                                    "a pen gives what its dial is set to, not all it holds",
                                    "write \"dose_is: a measured part\""),
                         injection->medicine->container.at.place, "the container on the shelf");
        else if (judge_needs_several(injection))
            several_fault(judge, injection);
    }
}

/* ---- the scale ---- */

#define PAGE_LENGTH 165 /* mm along the sheet that a life-size barrel may take */
#define MOST_MARKS 400

static gboolean stands_on(Rational volume, Rational every)
{
    Rational count = rational_div(volume, every);
    return rational_ok(count) && count.den == 1;
}

/* The bore squared, in mm2: 4 volume / (pi length), pi as 22/7. */
static Rational bore_squared(Rational volume_ml, Rational length_mm)
{
    Rational area = rational_div(rational_mul(volume_ml, rational_make(1000, 1)), length_mm);
    return rational_mul(area, rational_make(14, 11));
}

/* The bore is smaller than the barrel, and no wall is a third of it. */
static gboolean bore_fits(const Syringe *syringe)
{
    Rational bore = bore_squared(quantity_in(syringe->capacity.quantity, UNIT_mL).number,
                                 quantity_base(syringe->scale_length.quantity));
    Rational barrel = quantity_base(syringe->barrel.quantity);
    Rational outer = rational_mul(barrel, barrel);
    return rational_ok(bore) && rational_ok(outer) && rational_compare(bore, outer) < 0 &&
           rational_compare(rational_mul(bore, rational_make(9, 1)), outer) > 0;
}

/* What is wrong with the scale, and where; NULL when nothing is. */
static const char *scale_fault(const Judge *judge, const Syringe *syringe, const Field **at)
{
    Rational capacity = quantity_in(syringe->capacity.quantity, UNIT_mL).number;
    Rational mark = quantity_in(syringe->mark_every.quantity, UNIT_mL).number;
    Rational number = quantity_in(syringe->number_every.quantity, UNIT_mL).number;
    *at = &syringe->mark_every.at;
    if (!stands_on(capacity, mark))
        return arena_format(judge->arena, "no mark stands at the capacity, %s", judge_volume(judge, capacity));
    if (rational_compare(rational_div(capacity, mark), rational_make(MOST_MARKS, 1)) > 0)
        return arena_format(judge->arena, "%s with a mark every %s would have more than %d marks",
                            judge_volume(judge, capacity), judge_volume(judge, mark), MOST_MARKS);
    *at = &syringe->number_every.at;
    if (!stands_on(number, mark) || rational_compare(number, capacity) > 0)
        return arena_format(judge->arena, "numbers every %s would not stand on marks every %s",
                            judge_volume(judge, number), judge_volume(judge, mark));
    *at = &syringe->scale_length.at;
    if (quantity_compare(syringe->scale_length.quantity, quantity_make(PAGE_LENGTH, 1, UNIT_mm)) > 0)
        return arena_format(judge->arena, "a scale of %s; the page has %d mm for it",
                            judge_amount(judge, syringe->scale_length.quantity), PAGE_LENGTH);
    if (!bore_fits(syringe))
        return arena_format(judge->arena, "%s on a scale of %s do not fit into a barrel of %s",
                            judge_volume(judge, capacity), judge_amount(judge, syringe->scale_length.quantity),
                            judge_amount(judge, syringe->barrel.quantity));
    return NULL;
}

static void judge_scale(const Judge *judge, const PlanInjection *injection, const Syringe *syringe)
{
    const Field *at;
    if (judged_before(judge, injection, syringe) || !PRESENT(syringe->capacity) || !PRESENT(syringe->mark_every) ||
        !PRESENT(syringe->number_every) || !PRESENT(syringe->scale_length) || !PRESENT(syringe->barrel))
        return;
    const char *fact = scale_fault(judge, syringe, &at);
    if (!fact)
        return;
    Finding *finding = judge_add(judge, RULE_scale_implausible, 0, injection, at->place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, "hold a ruler to the syringe: capacity, marks, scale_length and barrel");
}

void check_scale_implausible(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Syringe *syringes[2];
        for (gsize i = 0, count = judge_syringes(injection, syringes); i < count; i++)
            judge_scale(judge, injection, syringes[i]);
    }
}
