/* compare: see compare.h. */
#include "report/report.h"

#include <string.h>

typedef struct Comparison {
    Arena *arena;
    const CompareSide *old, *new;
    GString *out;
} Comparison;

static const PlanInjection *named(const Plan *plan, const char *name)
{
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        if (PRESENT(injection->order->name) && strcmp(injection->order->name.text, name) == 0)
            return injection;
    }
    return NULL;
}

static const char *name_of(const PlanInjection *injection)
{
    return PRESENT(injection->order->name) ? injection->order->name.text : "?";
}

static void place(const Comparison *comparison, const Value *value)
{
    if (!value->set || value->origins->len == 0)
        return;
    const Place *first = g_ptr_array_index(value->origins, 0);
    g_string_append_printf(comparison->out, " (%s:%d)", first->source->name, first->line);
}

/* ---- time ---- */

static const char *span(Arena *arena, Rational minutes)
{
    const Value value = {.set = TRUE, .quantity = {minutes, UNIT_min}};
    return value_text(arena, &value, KIND_SPAN);
}

/* Elapsed time from the same event, so that earlier and later mean something. */
static gboolean shift(const Timing *old, const Timing *new, Rational *later)
{
    if (!PRESENT(*old) || !PRESENT(*new) || old->kind != TIMING_ELAPSED || new->kind != TIMING_ELAPSED ||
        old->before != new->before || g_strcmp0(old->from, new->from) != 0)
        return FALSE;
    Rational change = rational_sub(quantity_base(new->offset), quantity_base(old->offset));
    *later = old->before ? rational_sub(rational_make(0, 1), change) : change;
    return rational_ok(*later);
}

static const char *timing_text(const Comparison *comparison, const Timing *when)
{
    if (!PRESENT(*when) || !when->at.place.source)
        return "no time";
    Place at = when->at.place;
    gsize offset = source_offset(at);
    const char *start = at.source->text + offset, *end = start;
    for (int i = 0; i < at.length; i++)
        end = g_utf8_next_char(end);
    return arena_copy_length(comparison->arena, start, (gsize)(end - start));
}

static void compare_time(const Comparison *comparison, const PlanInjection *old, const PlanInjection *new)
{
    const Timing *before = &old->order->when, *after = &new->order->when;
    Rational later;
    if (shift(before, after, &later)) {
        if (later.num == 0)
            return;
        Rational size = later.num < 0 ? rational_sub(rational_make(0, 1), later) : later;
        g_string_append_printf(comparison->out, "%s: the injection moves %s %s", name_of(new),
                               span(comparison->arena, size), later.num < 0 ? "earlier" : "later");
    } else {
        const char *was = timing_text(comparison, before), *is = timing_text(comparison, after);
        if (strcmp(was, is) == 0)
            return;
        g_string_append_printf(comparison->out, "%s: the time is now %s; it was %s", name_of(new), is, was);
    }
    if (after->at.place.source)
        g_string_append_printf(comparison->out, " (%s:%d)", after->at.place.source->name, after->at.place.line);
    g_string_append_c(comparison->out, '\n');
}

/* ---- everything else ---- */

/* What the person would notice, and how it is said. */
static const struct { ValueId id; const char *what; } noticed[] = {
    {VALUE_medicine, "the medicine"}, {VALUE_box_name, "the box"}, {VALUE_dose, "the dose"},
    {VALUE_containers, "the number of containers opened"}, {VALUE_diluent, "the liquid to mix with"},
    {VALUE_add, "the liquid added"}, {VALUE_volume, "the syringe is filled to"},
    {VALUE_dial, "the pen is set to"}, {VALUE_flow, "the pen is set to, for the drop"}, {VALUE_pen, "the pen"},
    {VALUE_syringe, "the syringe"}, {VALUE_drawing_needle, "the needle to fill with"},
    {VALUE_injecting_needle, "the needle to inject with"}, {VALUE_injecting_needles, "injecting needles handed out"},
    {VALUE_route, "the route"}, {VALUE_site, "the place on the body"}, {VALUE_angle, "the angle"},
    {VALUE_giver, "who injects"}, {VALUE_technique, "how to reach the place"}, {VALUE_late, "what to do when late"},
    {VALUE_window_before, "how much earlier it may be"}, {VALUE_window_after, "how much later it may be"},
};

static const char *notes_text(const Comparison *comparison, const PlanInjection *injection)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < injection->order->notes.items->len; i++) {
        const Value value = {.set = TRUE, .saying = g_ptr_array_index(injection->order->notes.items, i)};
        g_string_append_printf(text, "%s%s", i ? " / " : "", value_text(comparison->arena, &value, KIND_SAYING));
    }
    return arena_copy(comparison->arena, text->len ? text->str : "none");
}

static gboolean has_step(const PlanInjection *injection, StepId id)
{
    for (guint i = 0; i < injection->steps->len; i++)
        if (((const Step *)g_ptr_array_index(injection->steps, i))->id == id)
            return TRUE;
    return FALSE;
}

static void compare_steps(const Comparison *comparison, const PlanInjection *old, const PlanInjection *new)
{
    if (old->steps->len != new->steps->len)
        g_string_append_printf(comparison->out, "%s: %u steps instead of %u\n", name_of(new), new->steps->len,
                               old->steps->len);
    for (int id = 0; id < STEP_COUNT; id++) {
        gboolean was = has_step(old, (StepId)id), is = has_step(new, (StepId)id);
        g_autofree char *words = g_strdelimit(g_strdup(step_row((StepId)id)->id), "_", ' ');
        if (was != is)
            g_string_append_printf(comparison->out, "%s: the step \"%s\" %s\n", name_of(new), words,
                                   is ? "is new" : "is gone");
    }
}

static void compare_values(const Comparison *comparison, const PlanInjection *old, const PlanInjection *new)
{
    for (gsize i = 0; i < G_N_ELEMENTS(noticed); i++) {
        ValueId id = noticed[i].id;
        gboolean pens = old->way == WAY_PEN && new->way == WAY_PEN; /* nobody fills anything to a volume */
        const char *was = value_text(comparison->arena, &old->values[id], value_row(id)->kind);
        const char *is = value_text(comparison->arena, &new->values[id], value_row(id)->kind);
        if (strcmp(was, is) == 0 || (pens && id == VALUE_volume))
            continue;
        g_string_append_printf(comparison->out, "%s: %s: %s instead of %s", name_of(new), noticed[i].what, is, was);
        place(comparison, &new->values[id]);
        g_string_append_c(comparison->out, '\n');
    }
    const char *was = notes_text(comparison, old), *is = notes_text(comparison, new);
    if (strcmp(was, is) != 0)
        g_string_append_printf(comparison->out, "%s: the notes: %s instead of %s\n", name_of(new), is, was);
    compare_steps(comparison, old, new);
}

/* The texts that stand on every sheet. */
static void compare_sheet(const Comparison *comparison)
{
    static const struct { ValueId id; const char *what; } texts[] = {
        {VALUE_protocol_title, "the sheet's heading"}, {VALUE_why, "why the time matters"}};
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        const Value *old = plan_value(comparison->old->plan, NULL, texts[i].id);
        const Value *new = plan_value(comparison->new->plan, NULL, texts[i].id);
        const char *was = value_text(comparison->arena, old, KIND_SAYING);
        const char *is = value_text(comparison->arena, new, KIND_SAYING);
        if (strcmp(was, is) == 0)
            continue;
        g_string_append_printf(comparison->out, "%s: %s instead of %s", texts[i].what, is, was);
        place(comparison, new);
        g_string_append_c(comparison->out, '\n');
    }
}

static void compare_supplies(const Comparison *comparison)
{
    for (int word = 0; word < CHOICE_COUNT; word++) {
        gint64 was = 0, is = 0;
        if (choice_row((ChoiceWord)word)->list != CHOICES_Supply)
            continue;
        for (guint i = 0; i < comparison->old->plan->kit->len; i++) {
            const Item *item = g_ptr_array_index(comparison->old->plan->kit, i);
            was += item->kind == ITEM_SUPPLY && (int)item->supply == word ? item->count : 0;
        }
        for (guint i = 0; i < comparison->new->plan->kit->len; i++) {
            const Item *item = g_ptr_array_index(comparison->new->plan->kit, i);
            is += item->kind == ITEM_SUPPLY && (int)item->supply == word ? item->count : 0;
        }
        if (was != is)
            g_string_append_printf(comparison->out, "kit: %" G_GINT64_FORMAT " x %s instead of %" G_GINT64_FORMAT "\n",
                                   is, choice_row((ChoiceWord)word)->word, was);
    }
}

static void compare_injections(const Comparison *comparison)
{
    const GPtrArray *after = comparison->new->plan->injections, *before = comparison->old->plan->injections;
    for (guint i = 0; i < after->len; i++) {
        const PlanInjection *new = g_ptr_array_index(after, i);
        const PlanInjection *old = named(comparison->old->plan, name_of(new));
        if (!old) {
            g_string_append_printf(comparison->out, "%s: a new injection\n", name_of(new));
            continue;
        }
        compare_time(comparison, old, new);
        compare_values(comparison, old, new);
    }
    for (guint i = 0; i < before->len; i++)
        if (!named(comparison->new->plan, name_of(g_ptr_array_index(before, i))))
            g_string_append_printf(comparison->out, "%s: this injection is gone\n",
                                   name_of(g_ptr_array_index(before, i)));
}

/* ---- findings ---- */

static gboolean has_finding(const Diagnostics *diagnostics, const Finding *wanted)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        if (finding_rule(finding) == finding_rule(wanted) &&
            finding_severity(finding) == finding_severity(wanted) &&
            g_strcmp0(finding_injection(finding), finding_injection(wanted)) == 0)
            return TRUE;
    }
    return FALSE;
}

/* Approval follows a change anyway; saying so would be noise. */
static gboolean of_approval(const Finding *finding)
{
    return finding_rule(finding) == RULE_seal_broken || finding_rule(finding) == RULE_not_approved;
}

static void only_in(const Comparison *comparison, const Diagnostics *here, const Diagnostics *there, const char *word)
{
    for (guint i = 0; i < diagnostics_count(here); i++) {
        const Finding *finding = diagnostics_at(here, i);
        if (of_approval(finding) || has_finding(there, finding))
            continue;
        g_string_append_printf(comparison->out, "finding %s: %s [%s]\n", word,
                               rule_row(finding_rule(finding))->message, rule_row(finding_rule(finding))->id);
    }
}

gboolean compare_protocols(const CompareSide *old, const CompareSide *new, GString *out)
{
    Comparison comparison = {arena_new(), old, new, out};
    gboolean same = old->meaning && new->meaning && strcmp(old->meaning, new->meaning) == 0;
    gsize before = out->len;
    if (same) {
        g_string_append(out, "only the form of the text changed; its meaning is the same\n");
    } else {
        compare_sheet(&comparison);
        compare_injections(&comparison);
        compare_supplies(&comparison);
        if (out->len == before)
            g_string_append(out, "nothing that the person would notice; the protocol's own texts changed\n");
    }
    const Number *was = &old->plan->protocol->revision, *is = &new->plan->protocol->revision;
    if (!same && PRESENT(*was) && PRESENT(*is) && is->value <= was->value)
        g_string_append_printf(out, "the revision is still %" G_GINT64_FORMAT ": raise it, since the meaning changed\n",
                               is->value);
    only_in(&comparison, new->diagnostics, old->diagnostics, "appears");
    only_in(&comparison, old->diagnostics, new->diagnostics, "vanishes");
    arena_free(comparison.arena);
    return same;
}
