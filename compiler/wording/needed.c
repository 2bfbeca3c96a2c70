/* wording_needed: a sheet without its time, its dose or its telephone is none,
 * whatever the template and the phrases say. */
#include <string.h>

#include "wording/parts.h"

typedef struct Shown {
    const PlanInjection *injection;
    gboolean values[VALUE_COUNT];
    const char *whole; /* the time of the injection in full */
    gboolean time;
} Shown;

/* The code is that of the whole sheet; what is the same for both injections is said once. */
static gboolean speaks_of(const Run *run, const PlanInjection *injection)
{
    if (!run->injection || run->injection == injection || run->value == VALUE_check_code)
        return TRUE;
    const Value *one = &run->injection->values[run->value], *other = &injection->values[run->value];
    return run->value == VALUE_late && saying_equal(one->saying, other->saying);
}

static void see_line(const Line *line, Shown *shown)
{
    for (guint i = 0; line && i < line->runs->len; i++) {
        const Run *run = g_ptr_array_index(line->runs, i);
        if (!run->from_value || !speaks_of(run, shown->injection))
            continue;
        shown->values[run->value] = TRUE;
        shown->time |= run->value == VALUE_injection_time && strcmp(run->text, shown->whole) == 0;
    }
}

static void see_block(const Block *block, Shown *shown)
{
    see_line(block->title, shown);
    see_line(block->clock, shown);
    for (guint i = 0; i < block->lines->len; i++)
        see_line(g_ptr_array_index(block->lines, i), shown);
    for (guint i = 0; i < block->items->len; i++)
        see_block(g_ptr_array_index(block->items, i), shown);
}

static void needs(const Wording *wording, const Shown *shown, ValueId id)
{
    if (!plan_value(wording->plan, wording->injection, id)->set || shown->values[id])
        return;
    Finding *finding = finding_add(wording->diagnostics, RULE_value_not_shown, PLACE_NOWHERE);
    finding_fact(finding, "%s (%s)", value_row(id)->id, value_row(id)->description);
    finding_help(finding, "this is the layout's fault, not the order's: whoever keeps the templates adds a phrase "
                          "with {%s}", value_row(id)->id);
}

static void needs_of_injection(const Wording *wording, Shown *shown)
{
    static const ValueId always[] = {VALUE_medicine, VALUE_dose,        VALUE_site,      VALUE_route,
                                     VALUE_late,     VALUE_phone_night, VALUE_check_code};
    for (gsize i = 0; i < G_N_ELEMENTS(always); i++)
        needs(wording, shown, always[i]);
    needs(wording, shown, condition_holds(wording, "pen") ? VALUE_dial : VALUE_volume);
    needs(wording, shown, VALUE_flow);
    if (condition_holds(wording, "mixes_apart")) { /* a sheet without its mixing, or with one syringe for both */
        needs(wording, shown, VALUE_mixing_syringe_capacity);
        needs(wording, shown, VALUE_syringe_capacity);
    }
    needs(wording, shown, VALUE_vial_kept_at);
    if (!condition_holds(wording, "whole"))
        needs(wording, shown, VALUE_mark);
    if (!shown->values[VALUE_valid_until]) /* or until when one may inject */
        needs(wording, shown, condition_holds(wording, "course") ? VALUE_last_time : VALUE_latest);
    shown->values[VALUE_injection_time] = shown->time;
    needs(wording, shown, VALUE_injection_time);
}

/* What no template may leave out or put in another order (common practice, no source). */
static const char *const work[] = {"clean", "find", "pause", "wipe", "needle_in", "out"};

static void follow_work(const GPtrArray *blocks, gsize *done)
{
    for (guint i = 0; i < blocks->len; i++) {
        const Block *block = g_ptr_array_index(blocks, i);
        gboolean counts = block->kind == BLOCK_PANEL || block->kind == BLOCK_STOP;
        const char *role = g_strcmp0(block->role, "pen_out") == 0 ? "out" : block->role;
        if (counts && *done < G_N_ELEMENTS(work) && g_strcmp0(role, work[*done]) == 0)
            (*done)++;
        follow_work(block->items, done);
    }
}

static void lacks_work(const Wording *wording, const char *act)
{
    Finding *finding = finding_add(wording->diagnostics, RULE_steps_not_shown, PLACE_NOWHERE);
    finding_fact(finding, "the sheet lacks \"%s\", or has it too early", act);
    finding_help(finding, "this is the layout's fault, not the order's: whoever keeps the templates puts it back");
}

/* Air in a syringe that is drawn to a line takes the place of medicine; where all is given it does not. */
static gboolean needs_bubbles_out(const Wording *wording)
{
    return condition_holds(wording, "part") &&
           (condition_holds(wording, "powder") || condition_holds(wording, "draws_up"));
}

/* Hands are clean before all, the spot is found before the stop, wiped after it, and only
 * then comes the needle. */
static void needs_work(const Wording *wording, const Document *document)
{
    gsize done = 0;
    gboolean bubbles_out = !needs_bubbles_out(wording);
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        if (section->injection != wording->injection)
            continue;
        follow_work(section->blocks, &done);
        for (guint j = 0; j < section->blocks->len; j++)
            bubbles_out |= panel_in_block(g_ptr_array_index(section->blocks, j), "bubbles") != NULL;
    }
    if (done < G_N_ELEMENTS(work))
        lacks_work(wording, work[done]);
    if (!bubbles_out)
        lacks_work(wording, "bubbles");
}

void wording_needed(Wording *wording, const Document *document)
{
    for (guint injection = 0; injection < wording->injections->len; injection++) {
        wording_turn_to(wording, injection);
        const Value *time = plan_value(wording->plan, wording->injection, VALUE_injection_time);
        Shown shown = {.injection = wording->injection,
                       .whole = wording_isolated(wording, wording_value(wording, time, KIND_MOMENT, FORM_WHOLE))};
        for (guint i = 0; i < document->sections->len; i++) {
            const DocumentSection *section = g_ptr_array_index(document->sections, i);
            for (guint j = 0; j < section->blocks->len; j++)
                see_block(g_ptr_array_index(section->blocks, j), &shown);
        }
        needs_of_injection(wording, &shown);
        needs_work(wording, document);
    }
}
