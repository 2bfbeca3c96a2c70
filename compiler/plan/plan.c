/* plan: the order of the work; each stage stands in a file of its own. */
#include "plan/plan.h"

#include <string.h>

#include "plan/parts.h"

static const ValueRow value_rows[VALUE_COUNT] = {
#define VALUE(id, KIND, scope, description) {#id, KIND_##KIND, SCOPE_##scope, description},
#include "plan/values.def"
};

const ValueRow *value_row(ValueId id)
{
    g_assert(id < VALUE_COUNT);
    return &value_rows[id];
}

gboolean value_find(const char *word, ValueId *out)
{
    for (int i = 0; i < VALUE_COUNT; i++) {
        if (strcmp(value_rows[i].id, word) == 0) {
            *out = (ValueId)i;
            return TRUE;
        }
    }
    return FALSE;
}

const char *step_name(StepId id)
{
    static const char *const names[STEP_COUNT] = {
#define STEP(id) #id,
#include "plan/steps.def"
    };
    g_assert(id < STEP_COUNT);
    return names[id];
}

const RungRow *rung_row(RungKind kind)
{
    static const RungRow rows[] = {
#define RUNG(id, value, alarm, words, filled, fixed, pen) \
    {#id, VALUE_##value, ALARM_##alarm, words, filled, fixed, pen},
#include "plan/rungs.def"
    };
    g_assert(kind < G_N_ELEMENTS(rows));
    return &rows[kind];
}

const WayRow *way_row(Way way)
{
    static const WayRow rows[] = {
#define WAY(id, mixes, use, medicine_job, syringe_job) {mixes, USE_##use, medicine_job, syringe_job},
#include "plan/ways.def"
    };
    g_assert(way < G_N_ELEMENTS(rows));
    return &rows[way];
}

/* ---- names of the shelf ---- */

static const Medicine *shelf_medicine(const Shelf *shelf, const char *name)
{
    for (guint i = 0; i < shelf->medicines.items->len; i++) {
        const Medicine *medicine = g_ptr_array_index(shelf->medicines.items, i);
        if (PRESENT(medicine->name) && strcmp(medicine->name.text, name) == 0)
            return medicine;
    }
    return NULL;
}

static const Diluent *shelf_diluent(const Shelf *shelf, const char *name)
{
    for (guint i = 0; i < shelf->diluents.items->len; i++) {
        const Diluent *diluent = g_ptr_array_index(shelf->diluents.items, i);
        if (PRESENT(diluent->name) && strcmp(diluent->name.text, name) == 0)
            return diluent;
    }
    return NULL;
}

static const Syringe *shelf_syringe(const Shelf *shelf, const char *name)
{
    for (guint i = 0; i < shelf->syringes.items->len; i++) {
        const Syringe *syringe = g_ptr_array_index(shelf->syringes.items, i);
        if (PRESENT(syringe->name) && strcmp(syringe->name.text, name) == 0)
            return syringe;
    }
    return NULL;
}

static const Pen *shelf_pen(const Shelf *shelf, const char *name)
{
    for (guint i = 0; i < shelf->pens.items->len; i++) {
        const Pen *pen = g_ptr_array_index(shelf->pens.items, i);
        if (PRESENT(pen->name) && strcmp(pen->name.text, name) == 0)
            return pen;
    }
    return NULL;
}

static const Needle *shelf_needle(const Shelf *shelf, const NeedleField *wanted)
{
    for (guint i = 0; i < shelf->needles.items->len; i++) {
        const Needle *needle = g_ptr_array_index(shelf->needles.items, i);
        if (PRESENT(needle->needle) &&
            quantity_compare(needle->needle.gauge, wanted->gauge) == 0 &&
            quantity_compare(needle->needle.length, wanted->length) == 0)
            return needle;
    }
    return NULL;
}

/* ---- resolving ---- */

/* A container decides first: what it is said to hold besides, a rule judges. */
static Way way_of(const Medicine *medicine)
{
    gboolean powder = PRESENT(medicine->form) && medicine->form.value == Form_POWDER;
    ContainerUse use = PRESENT(medicine->container) ? container_row(medicine->container.value)->use : USE_DRAWN;
    switch (use) {
    case USE_DRAWN: return powder ? WAY_POWDER : WAY_READY;
    case USE_FILLED: return WAY_PREFILLED;
    case USE_DIALLED: return WAY_PEN;
    }
    g_assert_not_reached();
}

static const Text *syringe_name(const PlanInjection *injection)
{
    const Injection *order = injection->order;
    if (injection->way == WAY_POWDER && !plan_mixes_apart(injection))
        return &order->mix.syringe;
    if (injection->way == WAY_PREFILLED) /* it is in its syringe already */
        return &injection->medicine->syringe;
    return &order->draw.syringe;
}

static const NeedleField *drawing_needle(const PlanInjection *injection)
{
    const Injection *order = injection->order;
    gboolean mixing = injection->way == WAY_POWDER && !plan_mixes_apart(injection);
    return mixing ? &order->mix.needle : &order->draw.needle;
}

static const Box *box_of(const Patient *patient, const Text *medicine)
{
    for (guint i = 0; patient && PRESENT(*medicine) && i < patient->boxes.items->len; i++) {
        const Box *box = g_ptr_array_index(patient->boxes.items, i);
        if (PRESENT(box->medicine) && strcmp(box->medicine.text, medicine->text) == 0)
            return box;
    }
    return NULL;
}

/* Names of the order to things on the shelf. */
static void plan_resolve(PlanInjection *injection, const Shelf *shelf, const Patient *patient)
{
    const Injection *order = injection->order;
    if (PRESENT(order->medicine))
        injection->medicine = shelf_medicine(shelf, order->medicine.text);
    injection->way = injection->medicine ? way_of(injection->medicine)
                     : PRESENT(order->mix) ? WAY_POWDER : WAY_READY; /* as the order reads */
    if (PRESENT(order->mix.diluent))
        injection->diluent = shelf_diluent(shelf, order->mix.diluent.text);
    const Text *syringe = syringe_name(injection);
    if (PRESENT(*syringe))
        injection->syringe = shelf_syringe(shelf, syringe->text);
    if (injection->way == WAY_PEN && PRESENT(injection->medicine->pen))
        injection->pen = shelf_pen(shelf, injection->medicine->pen.text);
    const NeedleField *drawing = drawing_needle(injection);
    if (PRESENT(*drawing))
        injection->drawing_needle = shelf_needle(shelf, drawing);
    if (injection->way == WAY_POWDER && PRESENT(order->mix.syringe))
        injection->mixing_syringe = shelf_syringe(shelf, order->mix.syringe.text);
    if (injection->way == WAY_POWDER && PRESENT(order->mix.needle))
        injection->mixing_needle = shelf_needle(shelf, &order->mix.needle);
    if (PRESENT(order->give.needle))
        injection->injecting_needle = shelf_needle(shelf, &order->give.needle);
    injection->box = box_of(patient, &order->medicine);
}

/* ---- building ---- */

static void add_injections(Arena *arena, Plan *plan)
{
    plan->injections = arena_list(arena);
    for (guint i = 0; i < plan->protocol->injections.items->len; i++) {
        PlanInjection *injection = arena_new0(arena, PlanInjection);
        injection->order = g_ptr_array_index(plan->protocol->injections.items, i);
        injection->acts = arena_list(arena);
        injection->ladder = arena_list(arena);
        injection->number = (int)i + 1;
        plan_resolve(injection, plan->shelf, plan->patient);
        plan_amounts(injection);
        plan_losses(plan, injection);
        g_ptr_array_add(plan->injections, injection);
    }
}

static const Zone *zone_of(const Clinic *clinic, const Patient *patient)
{
    if (patient && PRESENT(patient->zone))
        return patient->zone.zone;
    if (patient && !ABSENT(patient->zone))
        return NULL;
    return PRESENT(clinic->zone) ? clinic->zone.zone : NULL;
}

Plan *plan_build(Arena *arena, const Clinic *clinic, const Shelf *shelf, const Protocol *protocol,
                 const Patient *patient, const PlanContext *context)
{
    Plan *plan = arena_new0(arena, Plan);
    plan->clinic = clinic;
    plan->shelf = shelf;
    plan->protocol = protocol;
    plan->patient = patient;
    plan->now = context->now;
    plan->dated_by_hand = context->dated_by_hand;
    plan->zone = zone_of(clinic, patient);
    plan->rules = context->rules ? context->rules : "";
    plan->seal = seal_make_kept(arena, &(SealBasis){clinic, shelf, protocol, plan->rules}, context->seals);
    add_injections(arena, plan);
    plan_references(arena, plan);
    plan_times(arena, plan);
    plan_containers(arena, plan);
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        plan_ladder(arena, plan, injection);
        plan_steps(arena, plan, injection);
    }
    plan_kits(arena, plan);
    plan_ledger(arena, plan, context);
    return plan;
}

const Value *plan_value(const Plan *plan, const PlanInjection *injection, ValueId id)
{
    if (value_row(id)->scope == SCOPE_PERSON)
        return &plan->values[id];
    g_assert(injection);
    return &injection->values[id];
}

/* What a sheet cannot do without; the rest it leaves out when unset. */
static const ValueId needed_of_person[] = {
    VALUE_clinic_name,  VALUE_person_name, VALUE_person_code,  VALUE_order_number,
    VALUE_sheet_number, VALUE_prepared_by, VALUE_made_at,      VALUE_protocol_title,
    VALUE_revision,     VALUE_anchor_time, VALUE_phone_night,  VALUE_phone_emergency,
};
static const ValueId needed_of_injection[] = {
    VALUE_medicine, VALUE_dose, VALUE_containers,     VALUE_volume, VALUE_angle,
    VALUE_route,    VALUE_site, VALUE_injection_time, VALUE_start,  VALUE_check_code,
};
static const ValueId needed_of_syringe[] = {VALUE_mark, VALUE_syringe};
static const ValueId needed_of_pen[] = {VALUE_dial, VALUE_flow, VALUE_pen};

static gboolean all_set(const PlanInjection *injection, const ValueId *needed, gsize count)
{
    for (gsize i = 0; i < count; i++)
        if (!injection->values[needed[i]].set)
            return FALSE;
    return TRUE;
}

static gboolean injection_complete(const PlanInjection *injection)
{
    if (!injection->timed || !all_set(injection, needed_of_injection, G_N_ELEMENTS(needed_of_injection)))
        return FALSE;
    return injection->way == WAY_PEN ? all_set(injection, needed_of_pen, G_N_ELEMENTS(needed_of_pen))
                                     : all_set(injection, needed_of_syringe, G_N_ELEMENTS(needed_of_syringe));
}

Giver plan_giver(const Plan *plan, const PlanInjection *injection)
{
    const GiverChoice *by = &injection->order->give.by;
    gboolean open = !PRESENT(*by) || by->value == Giver_EITHER;
    return open && plan->patient && PRESENT(plan->patient->by) ? plan->patient->by.value
           : open                                              ? Giver_EITHER
                                                               : by->value;
}

gboolean plan_one_sheet(const Plan *plan)
{
    if (plan->injections->len != 2)
        return FALSE;
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        if (injection->acts->len != 1 || plan_keeps_vial(plan, injection))
            return FALSE;
    }
    return TRUE;
}

gboolean plan_complete(const Plan *plan)
{
    for (gsize i = 0; i < G_N_ELEMENTS(needed_of_person); i++)
        if (!plan->values[needed_of_person[i]].set)
            return FALSE;
    for (guint i = 0; i < plan->injections->len; i++)
        if (!injection_complete(g_ptr_array_index(plan->injections, i)))
            return FALSE;
    return plan->patient != NULL && plan->injections->len > 0;
}
