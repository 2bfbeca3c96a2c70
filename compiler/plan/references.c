/* plan_references: from what each injection counts, known before there is a patient.
 * Each is looked at once: time grows with the list and no faster. */
#include <string.h>

#include "plan/parts.h"

typedef enum Mark { UNSEEN, ON_THE_WAY, SETTLED } Mark;

static gboolean by_reference(const Timing *when)
{
    return PRESENT(*when) && when->kind != TIMING_CALENDAR && when->from;
}

static gboolean counts_from_anchor(const Plan *plan, const Timing *when)
{
    return by_reference(when) && PRESENT(plan->protocol->anchor) &&
           strcmp(when->from, choice_word(plan->protocol->anchor.value)) == 0;
}

/* The first of a name counts: name_twice speaks of the others. */
static GHashTable *by_name(const Plan *plan)
{
    GHashTable *names = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        if (PRESENT(injection->order->name) && !g_hash_table_contains(names, injection->order->name.text))
            g_hash_table_insert(names, (gpointer)injection->order->name.text, injection);
    }
    return names;
}

static void find_references(Plan *plan)
{
    g_autoptr(GHashTable) names = by_name(plan);
    for (guint i = 0; i < plan->injections->len; i++) {
        PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        const Timing *when = &injection->order->when;
        if (!by_reference(when) || counts_from_anchor(plan, when))
            continue;
        const PlanInjection *other = g_hash_table_lookup(names, when->from);
        injection->counts_from = other == injection ? NULL : other;
    }
}

/* Minutes before the anchor, once what it counts from is settled. */
static Rational minutes_before(const Plan *plan, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    Rational own = rational_make(0, 1);
    if (!by_reference(when))
        return RATIONAL_OVERFLOW;
    if (when->kind == TIMING_ELAPSED)
        own = quantity_base(when->offset);
    if (!when->before)
        own = rational_sub(rational_make(0, 1), own);
    if (counts_from_anchor(plan, when))
        return own;
    const PlanInjection *other = injection->counts_from;
    return other && rational_ok(other->before_anchor) ? rational_add(own, other->before_anchor) : RATIONAL_OVERFLOW;
}

static void mark_circle(const PlanInjection *member)
{
    const PlanInjection *first = member;
    for (const PlanInjection *at = member->counts_from; at != member; at = at->counts_from)
        first = at->number < first->number ? at : first;
    ((PlanInjection *)first)->leads_circle = TRUE;
}

/* Follows one chain to what is settled, then settles it from there back. */
static void settle(Plan *plan, PlanInjection *from, GArray *marks, GPtrArray *way)
{
    g_ptr_array_set_size(way, 0);
    for (PlanInjection *at = from; at; at = (PlanInjection *)at->counts_from) {
        Mark *mark = &g_array_index(marks, Mark, at->number - 1);
        if (*mark == ON_THE_WAY)
            mark_circle(at);
        if (*mark != UNSEEN)
            break;
        *mark = ON_THE_WAY;
        g_ptr_array_add(way, at);
    }
    for (guint i = way->len; i-- > 0;) {
        PlanInjection *at = g_ptr_array_index(way, i);
        at->before_anchor = minutes_before(plan, at);
        g_ptr_array_add(plan->by_reference, at);
        g_array_index(marks, Mark, at->number - 1) = SETTLED;
    }
}

void plan_references(Arena *arena, Plan *plan)
{
    plan->by_reference = arena_list(arena);
    find_references(plan);
    g_autoptr(GArray) marks = g_array_new(FALSE, TRUE, sizeof(Mark));
    g_autoptr(GPtrArray) way = g_ptr_array_new();
    g_array_set_size(marks, plan->injections->len);
    for (guint i = 0; i < plan->injections->len; i++)
        ((PlanInjection *)g_ptr_array_index(plan->injections, i))->before_anchor = RATIONAL_OVERFLOW;
    for (guint i = 0; i < plan->injections->len; i++)
        settle(plan, g_ptr_array_index(plan->injections, i), marks, way);
}
