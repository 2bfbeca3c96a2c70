/* rules_dose: the dose ordered against the doses that are ordered here, and those against
 * published ones; one act, and all acts of a day together. */
#include <string.h>

#include "rules/checks.h"

#define TENFOLD 10
#define FAR 2 /* so many times beyond a range that is not the clinic's own is never accepted */

typedef struct DoseBound {
    const char *first, *second; /* parts of the generic name */
    gint64 least, most, daily;
    UnitId unit;
} DoseBound;

static const DoseBound bounds[] = {
#define DOSE_BOUND(first, second, least, most, daily, unit, source) \
    {first, second, least, most, daily, UNIT_##unit},
#include "rules/doses.def"
};

static gboolean same_kind(Quantity a, Quantity b) { return quantity_dimension(a) == quantity_dimension(b); }

/* The published doses of a medicine that count like this dose, or NULL. */
static const DoseBound *bound_of(const Medicine *medicine, Quantity like)
{
    g_autofree char *generic = g_utf8_strdown(PRESENT(medicine->generic) ? medicine->generic.text : "", -1);
    for (gsize i = 0; i < G_N_ELEMENTS(bounds); i++)
        if (strstr(generic, bounds[i].first) && strstr(generic, bounds[i].second))
            return same_kind(quantity_make(1, 1, bounds[i].unit), like) ? &bounds[i] : NULL;
    return NULL;
}

static Quantity times(Quantity quantity, gint64 num, gint64 den)
{
    return (Quantity){rational_mul(quantity.number, rational_make(num, den)), quantity.unit};
}

/* A range of doses, and how far beyond it a reason may still be written down. */
typedef struct Range {
    Quantity least, most;
    gint64 reach;     /* FAR, or 1: not at all */
    const char *whose;
    Place place;      /* on the shelf; nowhere for published doses */
} Range;

static gboolean within(Quantity dose, Range range, gint64 reach)
{
    return quantity_compare(dose, times(range.most, reach, 1)) <= 0 &&
           quantity_compare(dose, times(range.least, 1, reach)) >= 0;
}

static Range published_range(const Judge *judge, const DoseBound *bound, UnitId shown, gboolean daily)
{
    Quantity least = quantity_in(quantity_make(bound->least, 1, bound->unit), shown);
    Quantity most = quantity_in(quantity_make(daily ? bound->daily : bound->most, 1, bound->unit), shown);
    return (Range){least, most, FAR, arena_copy(judge->arena, "published"), PLACE_NOWHERE};
}

static Range shelf_range(const DoseRange *doses, const Span *span)
{
    gboolean own = PRESENT(doses->set_by) && doses->set_by.value == RangeOf_CLINIC;
    return (Range){span->from, span->until, own ? 1 : FAR, own ? "ordered here" : "on the label", span->at.place};
}

/* ---- the range itself ---- */

static void range_fault(const Judge *judge, const PlanInjection *injection, const Span *span, int severity,
                        const char *fact, const char *help)
{
    Finding *finding = judge_add(judge, RULE_dose_range_implausible, severity, injection, span->at.place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, "%s", help);
}

static void judge_published(const Judge *judge, const PlanInjection *injection, const Span *span, gboolean daily)
{
    const DoseBound *bound = bound_of(injection->medicine, span->from);
    if (!bound)
        return;
    Range published = published_range(judge, bound, span->from.unit, daily);
    if (within(span->from, published, 1) && within(span->until, published, 1))
        return;
    gboolean near = within(span->from, published, FAR) && within(span->until, published, FAR);
    range_fault(judge, injection, span, near ? SEVERITY_WARNING : SEVERITY_ERROR,
                arena_format(judge->arena, "it goes from %s to %s; published doses of %s go from %s to %s",
                             judge_amount(judge, span->from), judge_amount(judge, span->until),
                             injection->medicine->generic.text, judge_amount(judge, published.least),
                             judge_amount(judge, published.most)),
                near ? "correct it, or accept it with the reason" : "correct the slip");
}

static void judge_span_of_doses(const Judge *judge, const PlanInjection *injection, const Span *span, gboolean daily)
{
    if (!PRESENT(*span))
        return;
    const Amount *content = &injection->medicine->content;
    if (PRESENT(*content) && !same_kind(span->from, content->quantity))
        range_fault(judge, injection, span, SEVERITY_ERROR,
                    arena_format(judge->arena, "the range counts in another kind of unit than the box, which holds %s",
                                 judge_amount(judge, content->quantity)),
                    "write it in the unit of the box");
    else if (quantity_compare(span->until, times(span->from, TENFOLD, 1)) >= 0)
        range_fault(judge, injection, span, SEVERITY_ERROR,
                    arena_format(judge->arena, "it goes from %s to %s, ten times as much or more",
                                 judge_amount(judge, span->from), judge_amount(judge, span->until)),
                    "narrow it; for two uses with doses so far apart write two medicines on the shelf");
    else
        judge_published(judge, injection, span, daily);
}

void check_dose_range_implausible(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        if (!medicine || !PRESENT(medicine->doses) || judged_before(judge, injection, medicine))
            continue;
        judge_span_of_doses(judge, injection, &medicine->doses.single, FALSE);
        judge_span_of_doses(judge, injection, &medicine->doses.daily, TRUE);
    }
}

/* ---- the dose ---- */

typedef enum Sum { SUM_OWN, SUM_MOMENT, SUM_DAY } Sum; /* the injection alone, all at its minute, all of its day */

static void judge_dose(const Judge *judge, const PlanInjection *injection, Quantity dose, Range range, Sum sum)
{
    if (!same_kind(dose, range.least) || !rational_ok(dose.number) || within(dose, range, 1))
        return;
    static const char *const beside[] = {[SUM_OWN] = "", [SUM_MOMENT] = " at once", [SUM_DAY] = " on one day"};
    const Field *at = &injection->order->dose.at;
    gboolean far = !within(dose, range, range.reach);
    Finding *finding = judge_add(judge, RULE_dose_outside_range, far ? SEVERITY_ERROR : SEVERITY_WARNING, injection,
                                 at->place);
    finding_fact(finding, "%s%s; %s: %s", judge_amount(judge, dose), beside[sum], range.whose,
                 judge_span(judge, range.least, range.most));
    if (range.place.source)
        finding_note(finding, range.place, "the range on the shelf");
    finding_help(finding, far ? "ask the prescriber; correct the dose, or the range when it is the slip"
                              : "ask the prescriber; correct the dose, or accept it with the reason");
}

static void judge_against(const Judge *judge, const PlanInjection *injection, Quantity dose, Sum sum)
{
    const Medicine *medicine = injection->medicine;
    gboolean daily = sum == SUM_DAY;
    const Span *span = daily ? &medicine->doses.daily : &medicine->doses.single;
    const DoseBound *bound = bound_of(medicine, dose);
    if (PRESENT(medicine->doses) && PRESENT(*span))
        judge_dose(judge, injection, dose, shelf_range(&medicine->doses, span), sum);
    else if (bound && ABSENT(*span))
        judge_dose(judge, injection, dose, published_range(judge, bound, dose.unit, daily), sum);
}

static gboolean same_medicine(const PlanInjection *a, const PlanInjection *b)
{
    if (!a->medicine || !b->medicine || !PRESENT(b->order->dose) ||
        !same_kind(a->order->dose.quantity, b->order->dose.quantity))
        return FALSE;
    return a->medicine == b->medicine ||
           (PRESENT(a->medicine->generic) && PRESENT(b->medicine->generic) &&
            g_ascii_strcasecmp(a->medicine->generic.text, b->medicine->generic.text) == 0);
}

/* Acts of an injection on this day; without a patient only a clock time says its day, from
 * the anchor's date on. */
static gint64 acts_on(const Judge *judge, const PlanInjection *injection, Day day)
{
    const Timing *when = &injection->order->when;
    if (!judge->plan->patient)
        return PRESENT(*when) && when->kind == TIMING_CALENDAR && day >= when->day && day < when->day + when->days;
    gint64 count = 0;
    for (guint i = 0; injection->acts && i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        count += act->exists && act->at.local.day == day;
    }
    return count;
}

static Day first_day(const Judge *judge, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    if (judge->plan->patient && injection->timed)
        return ((const Act *)g_ptr_array_index(injection->acts, 0))->at.local.day;
    return PRESENT(*when) ? (Day)when->day : 0;
}

/* The one whose time it has: itself, or the one that it goes together with. */
static const PlanInjection *timed_by(const Judge *judge, const PlanInjection *injection)
{
    for (guint i = 0; i < judge->plan->injections->len; i++) {
        if (!injection->counts_from || injection->order->when.kind != TIMING_TOGETHER)
            break;
        injection = injection->counts_from;
    }
    return injection;
}

/* TRUE when the other is given at the minute of the injection's first act. */
static gboolean at_its_minute(const Judge *judge, const PlanInjection *injection, const PlanInjection *other)
{
    const PlanInjection *one = timed_by(judge, injection), *two = timed_by(judge, other);
    const Timing *first = &one->order->when, *second = &two->order->when;
    if (one == two)
        return TRUE;
    if (rational_ok(one->before_anchor) && rational_ok(two->before_anchor))
        return rational_equal(one->before_anchor, two->before_anchor);
    return PRESENT(*first) && PRESENT(*second) && first->kind == TIMING_CALENDAR && second->kind == TIMING_CALENDAR &&
           first->minute == second->minute && first->day >= second->day && first->day < second->day + second->days;
}

/* All of this medicine at the minute, or on the day, of the injection's first act, in the unit of its dose. */
static Quantity sum_of(const Judge *judge, const PlanInjection *injection, Sum scope)
{
    Quantity dose = injection->order->dose.quantity;
    Day day = first_day(judge, injection);
    Rational sum = dose.number;
    EACH_INJECTION(judge, other) {
        gint64 acts = !same_medicine(injection, other) ? 0
                      : scope == SUM_MOMENT            ? at_its_minute(judge, injection, other)
                                                       : acts_on(judge, other, day);
        if (other == injection)
            acts = MAX(acts - 1, 0);
        if (acts > 0)
            sum = rational_add(sum, rational_mul(quantity_in(other->order->dose.quantity, dose.unit).number,
                                                 rational_make(acts, 1)));
    }
    return (Quantity){sum, dose.unit};
}

void check_dose_outside_range(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!injection->medicine || !PRESENT(injection->order->dose) || !judge_comparable(injection))
            continue;
        guint before = diagnostics_count(judge->diagnostics);
        judge_against(judge, injection, injection->order->dose.quantity, SUM_OWN);
        for (Sum sum = SUM_MOMENT; sum <= SUM_DAY; sum++)
            if (diagnostics_count(judge->diagnostics) == before) /* one slip, one finding */
                judge_against(judge, injection, sum_of(judge, injection, sum), sum);
    }
}

/* ---- no range ---- */

/* The first of the injections with this medicine on whose day it is given again, or NULL. */
static const PlanInjection *given_again(const Judge *judge, const Medicine *medicine)
{
    EACH_INJECTION(judge, injection) {
        if (injection->medicine != medicine || !PRESENT(injection->order->dose))
            continue;
        Quantity sum = sum_of(judge, injection, SUM_DAY);
        if (rational_ok(sum.number) && quantity_compare(sum, injection->order->dose.quantity) > 0)
            return injection;
    }
    return NULL;
}

/* Several a day are guarded by nothing when the shelf has a range for one of them alone and none is published. */
static void say_daily_missing(const Judge *judge, const Medicine *medicine)
{
    const PlanInjection *injection = PRESENT(medicine->doses) && ABSENT(medicine->doses.daily)
                                         ? given_again(judge, medicine) : NULL;
    if (!injection || bound_of(medicine, injection->order->dose.quantity))
        return;
    Finding *finding = judge_add(judge, RULE_dose_range_missing, 0, injection, medicine->doses.at.place);
    finding_fact(finding, "%s on one day, and nothing says how much of it may be given on one day",
                 judge_amount(judge, sum_of(judge, injection, SUM_DAY)));
    finding_note(finding, injection->order->dose.at.place, "one of these doses");
    finding_help(finding, "add \"daily: ...\" to its doses on the shelf: the smallest and the largest sum on one day");
}

void check_dose_range_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        if (!medicine || judged_before(judge, injection, medicine))
            continue;
        say_daily_missing(judge, medicine);
        if (!ABSENT(medicine->doses))
            continue;
        Finding *finding = judge_add(judge, RULE_dose_range_missing, 0, injection, medicine->name.at.place);
        const DoseBound *bound = PRESENT(medicine->content) ? bound_of(medicine, medicine->content.quantity) : NULL;
        if (bound) {
            Range published = published_range(judge, bound, medicine->content.quantity.unit, FALSE);
            finding_fact(finding, "published single doses go from %s to %s", judge_amount(judge, published.least),
                         judge_amount(judge, published.most));
        }
        finding_help(finding, "add \"doses:\" to it on the shelf, and under that single, daily when there are several "
                              "a day, set_by and source");
    }
}
