/* plan_changes: what the person would notice when one plan takes the place of another. */
#include <string.h>

#include "plan/parts.h"

typedef struct Changes {
    Arena *arena;
    const Plan *old, *new;
    GString *out;
} Changes;

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

static void place(const Changes *changes, const Value *value)
{
    if (!value->set || value->origins->len == 0)
        return;
    const Place *first = g_ptr_array_index(value->origins, 0);
    g_string_append_printf(changes->out, " (%s:%d)", first->source->name, place_line(*first));
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

static const char *timing_text(const Changes *changes, const Timing *when)
{
    if (!PRESENT(*when) || !when->at.place.source)
        return "no time";
    Place at = when->at.place;
    gsize offset = source_offset(at);
    const char *start = at.source->text + offset, *end = start;
    for (int i = 0; i < at.length; i++)
        end = g_utf8_next_char(end);
    return arena_copy_length(changes->arena, start, (gsize)(end - start));
}

static void change_time(const Changes *changes, const PlanInjection *old, const PlanInjection *new)
{
    const Timing *before = &old->order->when, *after = &new->order->when;
    Rational later;
    if (shift(before, after, &later)) {
        if (later.num == 0)
            return;
        Rational size = later.num < 0 ? rational_sub(rational_make(0, 1), later) : later;
        g_string_append_printf(changes->out, "%s: the injection moves %s %s", name_of(new),
                               span(changes->arena, size), later.num < 0 ? "earlier" : "later");
    } else {
        const char *was = timing_text(changes, before), *is = timing_text(changes, after);
        if (strcmp(was, is) == 0)
            return;
        g_string_append_printf(changes->out, "%s: the time: %s became %s", name_of(new), was, is);
    }
    if (after->at.place.source)
        g_string_append_printf(changes->out, " (%s:%d)", after->at.place.source->name, place_line(after->at.place));
    g_string_append_c(changes->out, '\n');
}

/* ---- everything else ---- */

/* What the person would notice, and how it is said. */
typedef struct Noticed { ValueId id; const char *what; } Noticed;

static const Noticed noticed[] = {
    {VALUE_medicine, "the medicine"}, {VALUE_box_name, "the box"}, {VALUE_dose, "the dose"},
    {VALUE_containers, "the number of containers opened"}, {VALUE_diluent, "the liquid to mix with"},
    {VALUE_add, "the liquid added"}, {VALUE_volume, "the syringe is filled to"},
    {VALUE_dial, "the pen is set to"}, {VALUE_flow, "the pen is set to, for the drop"}, {VALUE_pen, "the pen"},
    {VALUE_syringe, "the syringe"}, {VALUE_drawing_needle, "the needle to fill with"},
    {VALUE_injecting_needle, "the needle to inject with"}, {VALUE_injecting_needles, "injecting needles handed out"},
    {VALUE_route, "the route"}, {VALUE_site, "the place on the body"}, {VALUE_angle, "the angle"},
    {VALUE_giver, "who injects"}, {VALUE_technique, "how to reach the place"}, {VALUE_late, "what to do when late"},
    {VALUE_strength, "the strength once ready"}, {VALUE_keep_limit, "how long the mixture keeps"},
    {VALUE_kept_at, "where the mixture waits"}, {VALUE_containers_all, "containers handed out"},
    {VALUE_window_before, "how much earlier it may be"}, {VALUE_window_after, "how much later it may be"},
};

/* Clock times that follow the injection: said when they keep another distance from it. */
static const Noticed ladder[] = {
    {VALUE_check_kit, "when to check the kit"}, {VALUE_call_by, "by when to call about a missing thing"},
    {VALUE_set_alarms, "when to set the alarms"}, {VALUE_take_out, "when to take it out of the refrigerator"},
    {VALUE_mix_from, "from when it may be mixed"}, {VALUE_mix_until, "until when it is mixed"},
    {VALUE_start, "when to begin"}, {VALUE_sit, "when to sit down"},
};

/* What stands on every sheet. */
static const Noticed of_sheet[] = {
    {VALUE_protocol_title, "the sheet's heading"}, {VALUE_why, "why the time matters"},
    {VALUE_clinic_name, "the clinic's name"}, {VALUE_clinic_zone, "the clinic's time zone"},
    {VALUE_phone_day, "the number by day"}, {VALUE_phone_day_hours, "when it is answered by day"},
    {VALUE_phone_night, "the number by night"}, {VALUE_phone_night_hours, "when it is answered by night"},
    {VALUE_phone_emergency, "the emergency number"},
};

static const char *notes_text(const Changes *changes, const PlanInjection *injection)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < injection->order->notes.items->len; i++) {
        const Saying *note = g_ptr_array_index(injection->order->notes.items, i);
        g_string_append_printf(text, "%s%s", i ? " / " : "", clinic_saying(changes->new->clinic, note));
    }
    return arena_copy(changes->arena, text->len ? text->str : "none");
}

static gboolean has_step(const PlanInjection *injection, StepId id)
{
    for (guint i = 0; i < injection->steps->len; i++)
        if (((const Step *)g_ptr_array_index(injection->steps, i))->id == id)
            return TRUE;
    return FALSE;
}

static void change_steps(const Changes *changes, const PlanInjection *old, const PlanInjection *new)
{
    if (old->steps->len != new->steps->len)
        g_string_append_printf(changes->out, "%s: %u steps became %u\n", name_of(new), old->steps->len,
                               new->steps->len);
    for (int id = 0; id < STEP_COUNT; id++) {
        gboolean was = has_step(old, (StepId)id), is = has_step(new, (StepId)id);
        g_autofree char *words = g_strdelimit(g_strdup(step_name((StepId)id)), "_", ' ');
        if (was != is)
            g_string_append_printf(changes->out, "%s: the step \"%s\" %s\n", name_of(new), words,
                                   is ? "is new" : "is gone");
    }
}

/* "0.8 mL, line 80" where the syringe has a line for it. */
static const char *shown(const Changes *changes, const Plan *plan, const PlanInjection *injection, ValueId id)
{
    const Value *value = plan_value(plan, injection, id);
    const char *text = value->set ? value_text(changes->arena, value, value_row(id)->kind) : "nothing";
    const Value *mark = id == VALUE_volume ? &injection->values[VALUE_mark] : NULL;
    if (!mark || !mark->set)
        return text;
    g_autoptr(GString) line = g_string_new(text);
    g_string_append(line, ", line ");
    rational_print(line, mark->quantity.number, 6, NULL);
    return arena_copy(changes->arena, line->str);
}

static void change_value(const Changes *changes, const PlanInjection *old, const PlanInjection *new,
                         const Noticed *row)
{
    const char *was = shown(changes, changes->old, old, row->id);
    const char *is = shown(changes, changes->new, new, row->id);
    if (strcmp(was, is) == 0)
        return;
    if (new)
        g_string_append_printf(changes->out, "%s: ", name_of(new));
    g_string_append_printf(changes->out, "%s: %s became %s", row->what, was, is);
    place(changes, plan_value(changes->new, new, row->id));
    g_string_append_c(changes->out, '\n');
}

/* Minutes before the injection, or nothing that could be compared. */
static gboolean ahead(const PlanInjection *injection, ValueId id, Instant *out)
{
    const Value *value = &injection->values[id], *time = &injection->values[VALUE_injection_time];
    *out = value->set && time->set ? time->moment.instant - value->moment.instant : 0;
    return value->set && time->set;
}

static void change_ladder(const Changes *changes, const PlanInjection *old, const PlanInjection *new)
{
    for (gsize i = 0; i < G_N_ELEMENTS(ladder); i++) {
        Instant was, is;
        gboolean before = ahead(old, ladder[i].id, &was), after = ahead(new, ladder[i].id, &is);
        if (before != after || was != is)
            change_value(changes, old, new, &ladder[i]);
    }
}

static void change_values(const Changes *changes, const PlanInjection *old, const PlanInjection *new)
{
    for (gsize i = 0; i < G_N_ELEMENTS(noticed); i++) {
        gboolean pens = old->way == WAY_PEN && new->way == WAY_PEN; /* nobody fills anything to a volume */
        if (!pens || noticed[i].id != VALUE_volume)
            change_value(changes, old, new, &noticed[i]);
    }
    change_ladder(changes, old, new);
    const char *was = notes_text(changes, old), *is = notes_text(changes, new);
    if (strcmp(was, is) != 0)
        g_string_append_printf(changes->out, "%s: the notes: %s became %s\n", name_of(new), was, is);
    change_steps(changes, old, new);
}

static void change_supplies(const Changes *changes)
{
    for (int word = 0; word < CHOICE_COUNT; word++) {
        gint64 was = 0, is = 0;
        if (choice_row((ChoiceWord)word)->list != CHOICES_Supply)
            continue;
        for (guint i = 0; i < changes->old->kit->len; i++) {
            const Item *item = g_ptr_array_index(changes->old->kit, i);
            was += item->kind == ITEM_SUPPLY && (int)item->supply == word ? item->count : 0;
        }
        for (guint i = 0; i < changes->new->kit->len; i++) {
            const Item *item = g_ptr_array_index(changes->new->kit, i);
            is += item->kind == ITEM_SUPPLY && (int)item->supply == word ? item->count : 0;
        }
        if (was != is)
            g_string_append_printf(changes->out, "kit: %" G_GINT64_FORMAT " x %s became %" G_GINT64_FORMAT "\n",
                                   was, choice_row((ChoiceWord)word)->word, is);
    }
}

static void change_injections(const Changes *changes)
{
    const GPtrArray *after = changes->new->injections, *before = changes->old->injections;
    for (guint i = 0; i < after->len; i++) {
        const PlanInjection *new = g_ptr_array_index(after, i);
        const PlanInjection *old = named(changes->old, name_of(new));
        if (!old) {
            g_string_append_printf(changes->out, "%s: a new injection\n", name_of(new));
            continue;
        }
        change_time(changes, old, new);
        change_values(changes, old, new);
    }
    for (guint i = 0; i < before->len; i++)
        if (!named(changes->new, name_of(g_ptr_array_index(before, i))))
            g_string_append_printf(changes->out, "%s: this injection is gone\n",
                                   name_of(g_ptr_array_index(before, i)));
}

static void changes_of_person(const Plan *old, const Plan *new, GString *out)
{
    Changes changes = {arena_new(), old, new, out};
    for (gsize i = 0; i < G_N_ELEMENTS(of_sheet); i++)
        change_value(&changes, NULL, NULL, &of_sheet[i]);
    change_injections(&changes);
    change_supplies(&changes);
    arena_free(changes.arena);
}

/* What such a line of the files does is said in the person's words. */
static gboolean said_already(const char *line)
{
    return g_str_has_prefix(line, "shelf ") || g_str_has_prefix(line, "clinic phones ") ||
           (g_str_has_prefix(line, "protocol ") && !g_str_has_prefix(line, "protocol acceptances "));
}

gboolean plan_changes(const Plan *old, const Plan *new, gboolean approvals, GString *out)
{
    Arena *arena = arena_new();
    gsize before = out->len;
    changes_of_person(old, new, out);
    gboolean told = out->len > before;
    const char *was = seal_text(arena, &(SealBasis){old->clinic, old->shelf, old->protocol, old->rules});
    const char *is = seal_text(arena, &(SealBasis){new->clinic, new->shelf, new->protocol, new->rules});
    g_autoptr(GString) words = g_string_new(NULL);
    if (was && is)
        seal_changes(was, is, words);
    g_auto(GStrv) lines = g_strsplit(words->str, "\n", -1);
    for (char **line = lines; *line; line++)
        if (**line && !(told && said_already(*line)) && (approvals || !g_str_has_prefix(*line, "approval ")))
            g_string_append_printf(out, "%s\n", *line);
    arena_free(arena);
    return told;
}
