/* rules_syringe: marks, capacity and needles. */
#include <string.h>

#include "rules/checks.h"

static gboolean on_marks(Rational volume, const Syringe *syringe)
{
    Rational step = quantity_in(syringe->mark_every.quantity, UNIT_mL).number;
    Rational marks = rational_div(volume, step);
    return rational_ok(marks) && marks.den == 1;
}

/* One syringe, what it is asked to hold, and whether it mixes a powder. */
typedef struct Use {
    const Syringe *syringe;
    const Text *name;
    Rational volume;
    const Field *at;
    gboolean mixes;
} Use;

/* The mixing syringe and the one that draws up are one, or two; returns how many. */
static gsize uses_of(const PlanInjection *injection, Use uses[2])
{
    const Injection *order = injection->order;
    Rational volume = injection->exact_ml, add = injection->add_ml;
    Use draws = {injection->syringe, &order->draw.syringe, volume, &order->dose.at, FALSE};
    Use mixes = {injection->mixing_syringe, &order->mix.syringe, add, &order->mix.add.at, TRUE};
    uses[0] = draws;
    if (injection->way != WAY_POWDER)
        return 1;
    if (plan_mixes_apart(injection)) {
        uses[1] = mixes;
        return 2;
    }
    uses[0] = mixes;
    if (!rational_ok(add) || (rational_ok(volume) && rational_compare(add, volume) < 0)) {
        uses[0].volume = volume;
        uses[0].at = &order->dose.at;
    }
    return 1;
}

/* TRUE when a mark stands so near that the volume moves by no more than this share. */
static gboolean near_mark(Rational volume, const Syringe *syringe, Rational most)
{
    Rational step = quantity_in(syringe->mark_every.quantity, UNIT_mL).number;
    Rational moved = rational_difference(rational_round(volume, step), volume);
    return rational_ok(moved) && rational_compare(moved, most) <= 0;
}

/* May another syringe take this volume. */
static gboolean takes(const PlanInjection *injection, const Syringe *syringe, Rational volume, gboolean mixes)
{
    gboolean units = PRESENT(injection->order->dose) &&
                     quantity_dimension(injection->order->dose.quantity) == DIM_ACTIVITY;
    if (!PRESENT(syringe->name) || !PRESENT(syringe->capacity) || !PRESENT(syringe->mark_every) ||
        rational_compare(quantity_in(syringe->capacity.quantity, UNIT_mL).number, volume) < 0)
        return FALSE;
    if (PRESENT(syringe->marks) && syringe->marks.value == Marks_U100 && units)
        return FALSE; /* wrong_scale */
    return !mixes || !PRESENT(syringe->needle); /* it does not come off for the change after mixing */
}

/* Of a syringe that mixes and measures, marks for both. */
static gboolean marks_both(const PlanInjection *injection, const Syringe *syringe, Rational most)
{
    gboolean part = rational_ok(injection->exact_ml) && !plan_gives_all(injection);
    return (!rational_ok(injection->add_ml) || near_mark(injection->add_ml, syringe, most)) &&
           (!part || near_mark(injection->exact_ml, syringe, most));
}

/* "5 mL", "10 mL", in quotes; NULL when none takes it.  With moved: and has a mark so near. */
static const char *syringes_listed(const Judge *judge, const PlanInjection *injection, const Use *use,
                                   const Rational *moved)
{
    const char *list = NULL;
    gboolean both = use->mixes && !plan_mixes_apart(injection);
    for (guint i = 0; i < judge->plan->shelf->syringes.items->len; i++) {
        const Syringe *syringe = g_ptr_array_index(judge->plan->shelf->syringes.items, i);
        if (!takes(injection, syringe, use->volume, use->mixes) ||
            (moved && !(both ? marks_both(injection, syringe, *moved) : near_mark(use->volume, syringe, *moved))))
            continue;
        /* Another syringe is one edit; needles that the first one did not need are two more. */
        gboolean bare = use->syringe && PRESENT(use->syringe->needle) && !PRESENT(syringe->needle);
        list = arena_format(judge->arena, "%s%s\"%s\"%s", list ? list : "", list ? ", " : "", syringe->name.text,
                            bare ? " with a \"needle: ...\" under draw and one under give" : "");
    }
    return list;
}

static Rational rounding_limit(const Judge *judge)
{
    const Amount *limit = &judge->plan->clinic->limits.rounding;
    Rational most = PRESENT(*limit) ? quantity_base(limit->quantity) : percent(5);
    return rational_compare(most, percent(10)) > 0 ? percent(10) : most; /* setting_implausible speaks */
}

/* Where no one syringe mixes and measures: the two that do; NULL when there are none. */
static const char *two_syringes(const Judge *judge, const PlanInjection *injection)
{
    if (injection->way != WAY_POWDER || plan_mixes_apart(injection) || plan_gives_all(injection) ||
        !rational_ok(injection->add_ml) || !rational_ok(injection->exact_ml))
        return NULL;
    Rational limit = rounding_limit(judge);
    const Use mixing = {.volume = injection->add_ml}, drawing = {.volume = injection->exact_ml};
    const char *mixes = NULL, *draws = syringes_listed(judge, injection, &drawing, &limit);
    for (guint i = 0; i < judge->plan->shelf->syringes.items->len && !mixes; i++) {
        const Syringe *syringe = g_ptr_array_index(judge->plan->shelf->syringes.items, i);
        if (takes(injection, syringe, mixing.volume, TRUE) && near_mark(mixing.volume, syringe, limit))
            mixes = syringe->name.text;
    }
    if (!mixes || !draws)
        return NULL;
    return arena_format(judge->arena, "mix with one syringe (\"syringe: %s\" under mix) and inject with another: add "
                        "\"draw: {syringe: ..., needle: ...}\" beside mix; for it the shelf has %s", mixes, draws);
}

/* What mixes several vials takes back all that the ones before the last have made of the liquid. */
static Rational carried(const PlanInjection *injection)
{
    Rational vials = rational_make(injection->containers, 1), others = rational_make(injection->containers - 1, 1);
    Rational more = rational_sub(injection->drawable_ml, injection->add_ml);
    return rational_add(injection->add_ml, rational_div(rational_mul(more, others), vials));
}

static void too_small(const Judge *judge, const PlanInjection *injection, const Use *wanted)
{
    Use carrying = *wanted, *use = &carrying;
    if (!use->syringe || !PRESENT(use->syringe->capacity) || !rational_ok(use->volume))
        return;
    if (use->mixes && injection->containers > 1 && rational_ok(carried(injection)) &&
        rational_compare(carried(injection), use->volume) > 0)
        use->volume = carried(injection);
    Quantity capacity = use->syringe->capacity.quantity;
    if (rational_compare(use->volume, quantity_in(capacity, UNIT_mL).number) <= 0)
        return;
    Finding *finding = judge_add(judge, RULE_syringe_too_small, 0, injection, use->at->place);
    finding_fact(finding, "%s to draw, and the syringe holds %s", judge_volume(judge, use->volume),
                 judge_amount(judge, capacity));
    finding_note(finding, use->syringe->capacity.at.place, "the syringe on the shelf");
    Rational limit = rounding_limit(judge);
    const char *larger = syringes_listed(judge, injection, use, &limit), *two = two_syringes(judge, injection);
    if (larger)
        finding_help(finding, "name a syringe on the shelf that holds it: %s", larger);
    else if (two)
        finding_help(finding, "%s", two);
    else
        finding_help(finding, "no syringe on the shelf holds it: ask the prescriber for two injections, or add a "
                              "larger syringe to shelf.yaml");
}

void check_syringe_too_small(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        Use uses[2];
        if (injection->way == WAY_PREFILLED && judge_needs_several(injection)) /* nobody fills it: cannot_be_shown */
            continue;
        for (gsize i = 0, count = uses_of(injection, uses); i < count; i++)
            too_small(judge, injection, &uses[i]);
    }
}

static gboolean would_do(const Syringe *smaller, const PlanInjection *injection, const Use *use)
{
    const Syringe *used = use->syringe;
    if (!PRESENT(smaller->capacity) || !PRESENT(smaller->mark_every) || !PRESENT(smaller->marks) ||
        !PRESENT(used->mark_every) || smaller->marks.value != Marks_ML || PRESENT(smaller->needle))
        return FALSE;
    return quantity_compare(smaller->capacity.quantity, used->capacity.quantity) < 0 &&
           quantity_compare(smaller->mark_every.quantity, used->mark_every.quantity) < 0 &&
           rational_compare(quantity_in(smaller->capacity.quantity, UNIT_mL).number, use->volume) > 0 &&
           on_marks(use->volume, smaller) &&
           (plan_mixes_apart(injection) || on_marks(injection->exact_ml, smaller));
}

static void too_large(const Judge *judge, const PlanInjection *injection, const Use *use)
{
    if (!use->syringe || !PRESENT(use->syringe->capacity) || !rational_ok(use->volume) ||
        PRESENT(use->syringe->needle))
        return;
    const GPtrArray *all = judge->plan->shelf->syringes.items;
    for (guint i = 0; i < all->len; i++) {
        const Syringe *smaller = g_ptr_array_index(all, i);
        if (!would_do(smaller, injection, use))
            continue;
        Finding *finding = judge_add(judge, RULE_syringe_too_large, 0, injection, use->name->at.place);
        finding_fact(finding, "%s in a syringe of %s",
                     judge_volume(judge, plan_mixes_apart(injection) ? use->volume : injection->exact_ml),
                     judge_amount(judge, use->syringe->capacity.quantity));
        finding_note(finding, smaller->name.at.place, "the smaller one");
        finding_help(finding, "write \"syringe: %s\"", smaller->name.text);
        break;
    }
}

void check_syringe_too_large(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        Use uses[2];
        if (!rational_ok(injection->exact_ml) || injection->way == WAY_PREFILLED || injection->way == WAY_PEN)
            continue;
        for (gsize i = 0, count = uses_of(injection, uses); i < count; i++)
            too_large(judge, injection, &uses[i]);
    }
}

/* A volume as what it stands for: a dose, or liquid to add. */
static const char *on_mark_text(const Judge *judge, const PlanInjection *injection, Rational volume, gboolean dose)
{
    if (!dose)
        return judge_volume(judge, volume);
    UnitId unit = injection->order->dose.quantity.unit;
    Rational number = rational_div(dose_in_volume(volume, injection->strength), unit_row(unit)->in_base);
    return rational_ok(number) ? judge_amount(judge, (Quantity){number, unit}) : NULL;
}

#define NEAR_PERCENT 50 /* how far a dose that is offered may lie from the one ordered; our own choice, no source */

/* "0.2 mg (at 0.04 mL)"; of a volume to add "0.04 mL".  NULL for a dose that nobody should be offered: far from
 * the one ordered it would be another treatment. */
static const char *mark_text(const Judge *judge, const PlanInjection *injection, const Syringe *syringe, gint64 mark,
                             gboolean dose)
{
    Rational step = quantity_in(syringe->mark_every.quantity, UNIT_mL).number;
    Rational volume = rational_mul(step, rational_make(mark, 1));
    Rational moved = rational_difference(volume, injection->exact_ml);
    if (dose && (!rational_ok(moved) || rational_compare(moved, rational_make(NEAR_PERCENT, 100)) > 0))
        return NULL;
    const char *what = on_mark_text(judge, injection, volume, dose);
    return dose && what ? arena_format(judge->arena, "%s (at %s)", what, judge_volume(judge, volume)) : what;
}

/* The two marks and what they give; the prescriber says whether it will do. */
static void off_mark_help(const Judge *judge, const PlanInjection *injection, Finding *finding, const Use *use)
{
    gboolean dose = !use->mixes;
    Rational limit = rounding_limit(judge);
    Rational steps = rational_div(use->volume, quantity_in(use->syringe->mark_every.quantity, UNIT_mL).number);
    gint64 below = rational_ok(steps) ? rational_floor(steps) : 0;
    const char *under = below > 0 ? mark_text(judge, injection, use->syringe, below, dose) : NULL;
    const char *over = rational_ok(steps) ? mark_text(judge, injection, use->syringe, below + 1, dose) : NULL;
    Use uses[2] = {*use, *use};
    if (injection->way == WAY_POWDER && !plan_mixes_apart(injection))
        uses_of(injection, uses); /* it must hold what is larger, and have marks for both */
    const char *fitting = syringes_listed(judge, injection, &uses[0], &limit);
    const char *two = fitting ? NULL : two_syringes(judge, injection);
    const char *beside = arena_format(judge->arena, "%s%s%s", under ? under : "", under && over ? ", " : "",
                                      over ? over : under ? "" : "what falls on a mark");
    const char *first = fitting ? arena_format(judge->arena, "name a syringe with a mark for it (on the shelf: %s); or",
                                               fitting)
                        : two ? arena_format(judge->arena, "%s; or", two)
                              : "no syringe on the shelf has a mark for it:";
    if (dose && !under && !over)
        finding_help(finding, "%s ask the prescriber for another strength", first);
    else if (dose)
        finding_help(finding, "%s ask the prescriber for %s or another strength", first, beside);
    else
        finding_help(finding, "%s add a volume on a mark (%s are beside it), if the label allows it", first, beside);
}

static const char *share_text(const Judge *judge, Rational share)
{
    Rational exact = rational_mul(share, rational_make(100, 1)), shown = rational_round(exact, rational_make(1, 10));
    return arena_format(judge->arena, "%s%s", rational_equal(exact, shown) ? "" : "about ",
                        judge_amount(judge, (Quantity){shown, UNIT_percent}));
}

static void off_mark(const Judge *judge, const PlanInjection *injection, const Use *use, Rational drawn)
{
    if (!use->syringe || !PRESENT(use->syringe->mark_every) || !rational_ok(use->volume) || !rational_ok(drawn))
        return;
    Rational moved = rational_difference(drawn, use->volume);
    if (!rational_ok(moved) || rational_compare(moved, rounding_limit(judge)) <= 0)
        return;
    Finding *finding = judge_add(judge, RULE_off_the_mark, 0, injection, use->at->place);
    finding_fact(finding, "%s falls between marks every %s; the nearest, %s, is off by %s, and %s is allowed",
                 judge_volume(judge, use->volume), judge_amount(judge, use->syringe->mark_every.quantity),
                 judge_volume(judge, drawn), share_text(judge, moved), share_text(judge, rounding_limit(judge)));
    finding_note(finding, use->syringe->mark_every.at.place, "the marks of the syringe");
    off_mark_help(judge, injection, finding, use);
}

void check_off_the_mark(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        const Use draws = {injection->syringe, &order->draw.syringe, injection->exact_ml, &order->dose.at, FALSE};
        const Use mixes = {injection->mixing_syringe, &order->mix.syringe, injection->add_ml, &order->mix.add.at, TRUE};
        if (!plan_gives_all(injection))
            off_mark(judge, injection, &draws, injection->volume_ml);
        off_mark(judge, injection, &mixes, injection->add_on_mark_ml);
    }
}

/* TRUE when another finding stops this injection or its files: one cause, one finding. */
static gboolean stopped(const Judge *judge, const PlanInjection *injection)
{
    for (guint i = 0; i < diagnostics_count(judge->diagnostics); i++) {
        const Finding *finding = diagnostics_at(judge->diagnostics, i);
        gboolean ours = rule_row(finding_rule(finding))->stage == STAGE_TEXT ||
                        g_strcmp0(finding_injection(finding), injection->order->name.text) == 0;
        if (ours && finding_severity(finding) == SEVERITY_ERROR)
            return TRUE;
    }
    return FALSE;
}

/* The last guard: what goes into the body, whole content or part, against the order. */
void check_dose_not_drawn(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Amount *dose = &injection->order->dose;
        if (!injection->medicine || !PRESENT(*dose) || !PRESENT(injection->order->name) || stopped(judge, injection))
            continue;
        Rational drawn = plan_gives_all(injection) ? injection->exact_ml : injection->volume_ml;
        Rational holds = rational_ok(drawn) && injection->has_strength ? dose_in_volume(drawn, injection->strength)
                                                                       : RATIONAL_OVERFLOW;
        Rational moved = rational_ok(holds) ? rational_difference(holds, quantity_base(dose->quantity)) : holds;
        if (rational_ok(moved) && rational_compare(moved, rounding_limit(judge)) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_dose_not_drawn, 0, injection, dose->at.place);
        finding_note(finding, injection->medicine->name.at.place, "the medicine on the shelf");
        if (!rational_ok(moved)) {
            finding_fact(finding, "the shelf does not say enough to work it out");
            finding_help(finding, "add volume and strength, or the row of the mixing table, as the label says");
            continue;
        }
        UnitId unit = dose->quantity.unit;
        Quantity held = {rational_div(holds, unit_row(unit)->in_base), unit};
        finding_fact(finding, "%s holds %s; ordered %s", judge_volume(judge, drawn), judge_amount(judge, held),
                     judge_amount(judge, dose->quantity));
        finding_help(finding, "read the label again: content, volumes and strength; if they are right, ask the "
                              "prescriber");
    }
}

static void wrong_scale(const Judge *judge, const PlanInjection *injection, const Use *use)
{
    if (!use->syringe || !PRESENT(use->syringe->marks) || use->syringe->marks.value != Marks_U100)
        return;
    Finding *finding = judge_add(judge, RULE_wrong_scale, 0, injection, judge_place(&use->name->at, injection));
    finding_fact(finding, "the dose is %s, and the marks of the syringe count something else",
                 judge_amount(judge, injection->order->dose.quantity));
    finding_note(finding, use->syringe->marks.at.place, "the marks of the syringe");
    finding_help(finding, "name a syringe with marks in mL");
}

void check_wrong_scale(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        Use uses[2];
        const Amount *dose = &injection->order->dose;
        if (!PRESENT(*dose) || quantity_dimension(dose->quantity) != DIM_ACTIVITY)
            continue;
        for (gsize i = 0, count = uses_of(injection, uses); i < count; i++)
            wrong_scale(judge, injection, &uses[i]);
    }
}

#define MOST_LOST 10 /* percent, own choice: a needle of 0.07 mL, the widest measured, on 0.7 mL */

/* What the needle costs, and what it is. */
static void say_lost(const PlanInjection *injection, Finding *finding)
{
    gboolean all = plan_gives_all(injection);
    const Needle *needle = all ? injection->drawing_needle : injection->injecting_needle;
    if (needle && PRESENT(needle->dead_space))
        finding_note(finding, needle->dead_space.at.place,
                     all ? "the filling needle, which comes off full" : "the needle put on after measuring");
    finding_help(finding, all ? "name a filling needle with less dead space; or, where the clinic empties it first, "
                                "write \"empty_filling_needle: yes\" under preparation in clinic.yaml"
                              : "name an injecting needle with less dead space, or a syringe with a fixed one; or "
                                "accept it with how it is allowed for");
}

void check_dead_space(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!rational_ok(injection->lost_ml) || injection->volume_ml.num == 0)
            continue;
        Rational share = rational_div(injection->lost_ml, injection->volume_ml);
        if (!rational_ok(share) || rational_compare(share, percent(MOST_LOST)) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_dead_space, 0, injection, injection->order->dose.at.place);
        finding_fact(finding, "%s of %s is not injected: %s, and %d%% is the most that is passed over",
                     judge_volume(judge, injection->lost_ml), judge_volume(judge, injection->volume_ml),
                     share_text(judge, share), MOST_LOST);
        say_lost(injection, finding);
    }
}

/* ---- needles ---- */

void check_mix_and_give_same_needle(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (injection->way != WAY_POWDER || plan_mixes_apart(injection) || !injection->mixing_needle ||
            injection->mixing_needle != injection->injecting_needle)
            continue;
        Finding *finding = judge_add(judge, RULE_mix_and_give_same_needle, 0, injection,
                                     injection->order->give.needle.at.place);
        finding_note(finding, injection->order->mix.needle.at.place, "the mixing needle");
        finding_help(finding, "name another needle to inject with, or accept it with the reason");
    }
}

static gboolean is_filter(const Needle *needle)
{
    return needle && PRESENT(needle->filter) && needle->filter.value == YesNo_YES;
}

void check_filter_needle_given(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!is_filter(injection->injecting_needle))
            continue;
        Finding *finding = judge_add(judge, RULE_filter_needle_given, 0, injection,
                                     injection->order->give.needle.at.place);
        finding_note(finding, injection->injecting_needle->filter.at.place, "said on the shelf");
        finding_help(finding, "name an ordinary needle to inject with");
    }
}

/* The one needle of a mix draws the liquid in and pushes it out into the powder. */
void check_filter_pushed_back(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (injection->way != WAY_POWDER || !is_filter(injection->mixing_needle))
            continue;
        Finding *finding = judge_add(judge, RULE_filter_pushed_back, 0, injection,
                                     injection->order->mix.needle.at.place);
        finding_note(finding, injection->mixing_needle->filter.at.place, "said on the shelf");
        finding_help(finding, "name an ordinary needle to mix with, and a vial of liquid, which needs no filter; "
                              "for an ampoule the physician accepts ampoule_unfiltered with the clinic's way of "
                              "filtering");
    }
}

void check_ampoule_unfiltered(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Needle *draws = injection->way == WAY_POWDER ? injection->mixing_needle : injection->drawing_needle;
        if (!plan_draws_ampoule(injection) || !draws || is_filter(draws))
            continue;
        const NeedleField *needle = injection->way == WAY_POWDER ? &injection->order->mix.needle
                                                                 : &injection->order->draw.needle;
        Finding *finding = judge_add(judge, RULE_ampoule_unfiltered, 0, injection, needle->at.place);
        finding_help(finding, injection->way == WAY_POWDER
                                  ? "name a vial of liquid, or accept it with the clinic's way of filtering; a filter "
                                    "needle under mix would push the glass back into the powder"
                                  : "name a filter needle for drawing up (\"filter: yes\" on the shelf), or accept it "
                                    "with the reason");
    }
}

static const NeedleField *given_needle(const PlanInjection *injection)
{
    if (PRESENT(injection->order->give.needle))
        return &injection->order->give.needle;
    return injection->syringe && PRESENT(injection->syringe->needle) ? &injection->syringe->needle : NULL;
}

static gboolean is_oil(const PlanInjection *injection)
{
    return injection->medicine && PRESENT(injection->medicine->fluid) &&
           injection->medicine->fluid.value == Fluid_OIL;
}

static gboolean gauge_suits(const PlanInjection *injection, Quantity gauge)
{
    gint64 number = rational_floor(gauge.number);
    return is_oil(injection) ? number < 25 : number > 18;
}

void check_gauge_for_fluid(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const NeedleField *needle = given_needle(injection);
        if (!needle || !injection->medicine || !PRESENT(injection->medicine->fluid))
            continue;
        if (gauge_suits(injection, needle->gauge))
            continue;
        gboolean oil = is_oil(injection);
        Finding *finding = judge_add(judge, RULE_gauge_for_fluid, 0, injection, needle->at.place);
        finding_fact(finding, oil ? "oil through %s" : "a watery liquid through %s", judge_amount(judge,
                needle->gauge));
        finding_note(finding, injection->medicine->fluid.at.place, "the liquid");
        finding_help(finding, oil ? "name a thicker needle, of a gauge below 25 G; or accept it with the reason"
                                  : "name a finer needle, of a gauge above 18 G; or accept it with the reason");
    }
}

static Quantity sixteenths(gint64 count) { return quantity_make(count, 16, UNIT_in); }

Quantity judge_needle_size(const NeedleField *needle)
{
#define NEEDLE_SIZE(mm, count)                                                       \
    if (quantity_compare(needle->length, quantity_make(mm, 1, UNIT_mm)) == 0)        \
        return sixteenths(count);
#include "rules/limits.def"
    return needle->length;
}

/* TRUE when the size lies from least to most, in sixteenths of an inch. */
static gboolean size_within(const NeedleField *needle, gint64 least, gint64 most)
{
    Quantity size = judge_needle_size(needle);
    return quantity_compare(size, sixteenths(least)) >= 0 && quantity_compare(size, sixteenths(most)) <= 0;
}

/* Needles on the shelf to inject with, of a length that all sources name; or NULL. */
static const char *needles_of_length(const Judge *judge, const PlanInjection *injection, const SiteUse *row)
{
    const char *list = NULL;
    const GPtrArray *needles = judge->plan->shelf->needles.items;
    for (guint i = 0; i < needles->len; i++) {
        const Needle *needle = g_ptr_array_index(needles, i);
        if (!PRESENT(needle->needle) || is_filter(needle) || !gauge_suits(injection, needle->needle.gauge) ||
            !size_within(&needle->needle, row->agreed_least, row->agreed_most))
            continue;
        list = arena_format(judge->arena, "%s%s%s x %s", list ? list : "", list ? ", " : "",
                            judge_amount(judge, needle->needle.gauge), judge_amount(judge, needle->needle.length));
    }
    return list;
}

static void judge_length(const Judge *judge, const PlanInjection *injection, const NeedleField *needle,
                         const SiteUse *row)
{
    gboolean outside = !size_within(needle, row->least, row->most);
    if (!outside && size_within(needle, row->agreed_least, row->agreed_most))
        return;
    Finding *finding = judge_add(judge, RULE_needle_length_site, outside ? SEVERITY_ERROR : SEVERITY_WARNING,
                                 injection, needle->at.place);
    finding_fact(finding, "given %s, published for %s %s%s", judge_amount(judge, needle->length),
                 choice_word(injection->order->site.value),
                 judge_span(judge, sixteenths(row->least), sixteenths(row->most)),
                 outside ? "" : ", and sources disagree here");
    finding_note(finding, injection->order->site.at.place, "the site");
    const char *fitting = needles_of_length(judge, injection, row);
    finding_help(finding, "all sources name %s: write a needle of that length%s%s%s",
                 judge_span(judge, sixteenths(row->agreed_least), sixteenths(row->agreed_most)),
                 fitting ? "; on the shelf: " : "", fitting ? fitting : "",
                 outside ? "" : "; or accept it with the reason");
}

void check_needle_length_site(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const NeedleField *needle = given_needle(injection);
        const Injection *order = injection->order;
        if (!needle || !PRESENT(order->site) || !PRESENT(order->route))
            continue;
        const SiteUse *row = site_use(order->site.value, order->route.value);
        if (row->given)
            judge_length(judge, injection, needle, row);
    }
}

static const char *iso_colour(gint64 gauge)
{
#define HUB_COLOUR(number, word) \
    if (gauge == number)         \
        return word;
#include "rules/limits.def"
    return NULL;
}

/* "blue" for "deep blue" and "gray" for "grey" say the same. */
static gboolean same_colour(const char *hub, const char *iso)
{
    g_autofree char *folded = g_ascii_strdown(hub, -1);
    char *gray = strstr(folded, "gray");
    if (gray)
        gray[2] = 'e';
    const char *last = strrchr(iso, ' ');
    return strcmp(folded, iso) == 0 || (last && strcmp(folded, last + 1) == 0);
}

static void colour_check(const Judge *judge, const PlanInjection *injection, const Needle *needle)
{
    if (!needle || !PRESENT(needle->hub) || is_filter(needle) || needle->needle.gauge.number.den != 1)
        return;
    const char *iso = iso_colour(needle->needle.gauge.number.num);
    if (!iso || same_colour(needle->hub.text, iso))
        return;
    Finding *finding = judge_add(judge, RULE_needle_colour_disagrees, 0, injection, needle->hub.at.place);
    finding_fact(finding, "%s is %s by ISO 6009", judge_amount(judge, needle->needle.gauge), iso);
    finding_help(finding, "look at the needle: write \"hub: %s\", or correct its gauge", iso);
}

void check_needle_colour_disagrees(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        colour_check(judge, injection, injection->drawing_needle);
        if (injection->mixing_needle != injection->drawing_needle &&
            injection->mixing_needle != injection->injecting_needle)
            colour_check(judge, injection, injection->mixing_needle);
        /* the standard's colours are not for the needles of pens */
        if (injection->injecting_needle != injection->drawing_needle && injection->way != WAY_PEN)
            colour_check(judge, injection, injection->injecting_needle);
    }
}

void check_no_spare_needle(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Give *give = &injection->order->give;
        gboolean none = ABSENT(give->spare_needles) ||
                        (PRESENT(give->spare_needles) && give->spare_needles.value == 0);
        if (!injection->injecting_needle || !none)
            continue;
        const Field *at = PRESENT(give->spare_needles) ? &give->spare_needles.at : &give->needle.at;
        Finding *finding = judge_add(judge, RULE_no_spare_needle, 0, injection, at->place);
        finding_help(finding, "write \"spare_needles: 1\" under give");
    }
}
