/* plan_containers: how many are opened, counted over the whole plan, and on which days. */
#include "plan/parts.h"

gint64 plan_days(const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    return PRESENT(*when) && when->kind == TIMING_CALENDAR ? MAX(1, when->days) : 1;
}

gboolean plan_mixes_apart(const PlanInjection *injection)
{
    return injection->way == WAY_POWDER && PRESENT(injection->order->draw);
}

/* The drop that is pushed out of a pen before each dose. */
static Rational drop_ml(const PlanInjection *injection)
{
    gboolean known = injection->pen && PRESENT(injection->pen->flow_check) && injection->has_strength;
    if (injection->way != WAY_PEN || !known)
        return rational_make(0, 1);
    return volume_for_dose(injection->pen->flow_check.quantity, injection->strength);
}

static Rational deliverable_ml(const PlanInjection *injection)
{
    const Amount *given = &injection->medicine->deliverable;
    return PRESENT(*given) && injection->has_strength ? volume_for_dose(given->quantity, injection->strength)
                                                      : RATIONAL_OVERFLOW;
}

Rational plan_volume_given(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    if (!PRESENT(medicine->volume))
        return RATIONAL_OVERFLOW;
    if (PRESENT(medicine->deliverable) && injection->has_strength)
        return deliverable_ml(injection);
    return rational_sub(quantity_in(medicine->volume.quantity, UNIT_mL).number, drop_ml(injection));
}

/* An ampoule that was snapped open keeps for nothing; a mixed powder as long as the label says,
 * when something other than its mixing syringe draws from it. */
static gboolean plan_serves_many(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    if (!medicine || (PRESENT(medicine->single_dose) && medicine->single_dose.value == YesNo_YES))
        return FALSE;
    if (injection->way == WAY_POWDER)
        return plan_mixes_apart(injection) && !plan_gives_all(injection) && injection->containers == 1 &&
               PRESENT(medicine->storage.in_use);
    gboolean ampoule = PRESENT(medicine->container) && medicine->container.value == Container_AMPOULE;
    return (injection->way == WAY_READY && !ampoule) || injection->way == WAY_PEN;
}

/* What one container holds for doses: as its label says, else all that can be drawn. */
static Rational yields(const PlanInjection *injection)
{
    Rational stated = deliverable_ml(injection);
    if (rational_ok(stated))
        return stated;
    if (injection->way == WAY_POWDER)
        return injection->drawable_ml;
    const Amount *volume = &injection->medicine->volume;
    return PRESENT(*volume) ? quantity_in(volume->quantity, UNIT_mL).number : RATIONAL_OVERFLOW;
}

/* What one act takes of it.  A label that says how much is given has left drops and losses out. */
Rational plan_takes(const PlanInjection *injection)
{
    gboolean larger = rational_ok(injection->volume_ml) && rational_ok(injection->exact_ml) &&
                      rational_compare(injection->volume_ml, injection->exact_ml) > 0;
    Rational dose = larger ? injection->volume_ml : injection->exact_ml;
    if (rational_ok(deliverable_ml(injection)))
        return dose;
    return plan_takes_in_fact(injection, dose);
}

Rational plan_takes_in_fact(const PlanInjection *injection, Rational dose)
{
    if (rational_ok(injection->taken_ml))
        return rational_add(dose, rational_sub(injection->taken_ml, injection->volume_ml));
    return rational_add(dose, drop_ml(injection));
}

gint64 plan_doses_each(const PlanInjection *injection)
{
    if (!plan_serves_many(injection) || !rational_ok(injection->exact_ml))
        return 0;
    /* What is left and holds no whole dose is not used: no dose comes from two. */
    Rational doses = rational_div(yields(injection), plan_takes(injection));
    return rational_ok(doses) ? MAX(1, rational_floor(doses)) : 0;
}

/* ---- over the plan ---- */

typedef struct Drawing {
    PlanInjection *injection;
    guint act;
    gint64 when; /* minutes, by the wall clock: a day is a day although the clocks change */
} Drawing;

typedef struct Opened {
    PlanInjection *by, *last; /* opened for, last drawn from for */
    Rational left;
    gint64 since;
} Opened;

static gint64 when_of(const PlanInjection *injection, guint act)
{
    if (act >= injection->acts->len)
        return (gint64)act * 1440;
    const Act *one = g_ptr_array_index(injection->acts, act);
    LocalTime local = one->exists ? one->at.local : one->wanted;
    return (gint64)local.day * 1440 + local.minute;
}

static int by_time(gconstpointer a, gconstpointer b)
{
    const Drawing *left = a, *right = b;
    if (left->when != right->when)
        return left->when < right->when ? -1 : 1;
    return left->injection->number - right->injection->number;
}

static GArray *drawings_of(const Plan *plan)
{
    GArray *all = g_array_new(FALSE, FALSE, sizeof(Drawing));
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        for (gint64 act = 0; injection->medicine && act < plan_days(injection); act++) {
            Drawing drawing = {injection, (guint)act, when_of(injection, (guint)act)};
            g_array_append_val(all, drawing);
        }
    }
    g_array_sort(all, by_time);
    return all;
}

/* TRUE when both may draw from the same opened container. */
static gboolean shared(const PlanInjection *a, const PlanInjection *b)
{
    if (a->medicine != b->medicine || a->diluent != b->diluent)
        return FALSE;
    return a->way != WAY_POWDER || rational_equal(a->add_ml, b->add_ml);
}

static Opened *opened_for(GArray *opened, const PlanInjection *injection)
{
    for (guint i = 0; i < opened->len; i++) {
        Opened *one = &g_array_index(opened, Opened, i);
        if (shared(one->by, injection))
            return one;
    }
    return NULL;
}

/* The container that this act draws from, newly opened when none holds enough. */
static Opened *draw_from(GArray *opened, const Drawing *drawing, Rational takes)
{
    PlanInjection *injection = drawing->injection;
    Opened *one = opened_for(opened, injection);
    if (one && rational_ok(one->left) && rational_compare(one->left, takes) >= 0)
        return one;
    Opened fresh = {injection, injection, yields(injection), drawing->when};
    injection->opens[drawing->act] = 1;
    if (one) {
        *one = fresh;
        return one;
    }
    g_array_append_val(opened, fresh);
    return &g_array_index(opened, Opened, opened->len - 1);
}

static void count_shared(GArray *opened, const Drawing *drawing)
{
    PlanInjection *injection = drawing->injection;
    Rational takes = plan_takes(injection);
    Opened *from = draw_from(opened, drawing, takes);
    if (from->last != injection) {
        from->last->opened_for_more = TRUE;
        injection->opened_by = drawing->act == 0 ? from->by : injection->opened_by;
        from->last = injection;
    }
    from->left = rational_sub(from->left, takes);
    gint64 used = drawing->when - from->since;
    from->by->in_use_minutes = MAX(from->by->in_use_minutes, used);
    injection->served += drawing->act == 0 || injection->opens[drawing->act] > 0;
}

static void count_one(GArray *opened, const Drawing *drawing)
{
    PlanInjection *injection = drawing->injection;
    if (plan_doses_each(injection) > 0) {
        count_shared(opened, drawing);
    } else {
        injection->opens[drawing->act] = injection->containers;
        injection->served += injection->containers;
    }
    injection->opened += injection->opens[drawing->act];
    injection->openings += injection->opens[drawing->act] > 0;
}

void plan_containers(Arena *arena, Plan *plan)
{
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        injection->opens = arena_alloc(arena, sizeof(gint64) * (gsize)plan_days(injection)); /* zero */
    }
    g_autoptr(GArray) drawings = drawings_of(plan);
    g_autoptr(GArray) opened = g_array_new(FALSE, FALSE, sizeof(Opened));
    for (guint i = 0; i < drawings->len; i++)
        count_one(opened, &g_array_index(drawings, Drawing, i));
}

gboolean plan_shares(const Plan *plan, const PlanInjection *injection)
{
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *other = g_ptr_array_index(plan->injections, i);
        if (other != injection && plan_doses_each(injection) > 0 && plan_doses_each(other) > 0 &&
            shared(other, injection))
            return TRUE;
    }
    return FALSE;
}

guint plan_container_of(const PlanInjection *injection, guint act)
{
    guint container = injection->opened_by != NULL;
    for (guint i = 0; i <= act; i++)
        container += injection->opens[i] > 0;
    return container;
}

gboolean plan_opens_yet(const PlanInjection *injection)
{
    for (guint i = injection->done; i < (guint)plan_days(injection); i++)
        if (injection->opens[i] > 0)
            return TRUE;
    return FALSE;
}

gboolean plan_is_cold(const PlanInjection *injection)
{
    const Span *temperature = &injection->medicine->storage.temperature;
    return PRESENT(*temperature) && quantity_compare(temperature->until, quantity_make(8, 1, UNIT_C)) <= 0;
}

/* Which act of *opener opened what the first day left draws from. */
static guint opening(const PlanInjection *injection, const PlanInjection **opener)
{
    *opener = injection;
    for (guint act = injection->done + 1; act > 0; act--)
        if (injection->opens[act - 1] > 0)
            return act - 1;
    g_assert(injection->opened_by);
    *opener = injection->opened_by;
    guint act = (*opener)->acts->len - 1;
    while (act > 0 && (*opener)->opens[act] == 0)
        act--;
    return act;
}

const Act *plan_opening_act(const PlanInjection *injection)
{
    const PlanInjection *opener;
    guint act = opening(injection, &opener);
    return g_ptr_array_index(opener->acts, act);
}

/* The longest that the label's row keeps what is mixed; NULL when it names no time. */
static const Keep *longest_keep(const MixingRow *row)
{
    const Keep *longest = NULL;
    for (guint i = 0; row && PRESENT(row->keep) && i < row->keep.items->len; i++) {
        const Keep *keep = g_ptr_array_index(row->keep.items, i);
        if (PRESENT(*keep) && !keep->at_once && (!longest || quantity_compare(keep->limit, longest->limit) > 0))
            longest = keep;
    }
    return longest;
}

Rational plan_kept_for(const PlanInjection *injection)
{
    const Keep *keep = injection->way == WAY_POWDER ? longest_keep(injection->row) : NULL;
    gboolean stated = injection->way == WAY_POWDER && injection->row && PRESENT(injection->row->keep);
    return keep ? quantity_base(keep->limit) : stated ? rational_make(0, 1) : RATIONAL_OVERFLOW;
}

Instant plan_vial_until(const Plan *plan, const PlanInjection *injection, Rational *limit, const Field **at)
{
    const PlanInjection *opener;
    guint first = opening(injection, &opener);
    Instant given = ((const Act *)g_ptr_array_index(opener->acts, first))->at.instant;
    Instant mixed = given - plan_mix_lead(plan, opener) * 60;
    Rational in_use = quantity_base(injection->medicine->storage.in_use.quantity), keeps = plan_kept_for(injection);
    Instant used_until = given + rational_floor(in_use) * 60;
    Instant kept_until = rational_ok(keeps) ? mixed + rational_floor(keeps) * 60 : used_until;
    gboolean sooner = kept_until < used_until;
    *limit = sooner ? keeps : in_use;
    *at = sooner ? &injection->row->keep.at : &injection->medicine->storage.in_use.at;
    return sooner ? kept_until : used_until;
}

Rational plan_use_limit(const PlanInjection *injection, const Field **at)
{
    const Amount *in_use = &injection->medicine->storage.in_use;
    *at = &in_use->at;
    Rational most = quantity_base(in_use->quantity);
    Rational longest = plan_kept_for(injection);
    if (!rational_ok(longest) || rational_compare(longest, most) >= 0)
        return most;
    *at = &injection->row->keep.at;
    return longest;
}

/* As the row says, else as the medicine is stored. */
KeptAt plan_vial_kept_at(const PlanInjection *injection)
{
    const Keep *keep = longest_keep(injection->row);
    return keep ? keep->kept_at : plan_is_cold(injection) ? KeptAt_REFRIGERATOR : KeptAt_ROOM;
}

gboolean plan_keeps_vial(const Plan *plan, const PlanInjection *injection)
{
    return injection->way == WAY_POWDER && plan_doses_each(injection) > 0 &&
           (plan_days(injection) > 1 || plan_shares(plan, injection));
}

gboolean plan_begins_new(const PlanInjection *injection, guint act)
{
    return plan_doses_each(injection) > 0 && injection->opens[act] > 0;
}
