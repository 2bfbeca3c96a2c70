/* plan_slips: what can go wrong at home, and the clinic's words for it. */
#include "plan/plan.h"

#include <string.h>

gboolean plan_can_slip(const PlanInjection *injection, Slip slip)
{
    switch (slip_can(slip)) {
    case SLIP_CAN_ANY: return TRUE;
    case SLIP_CAN_MIXED: return way_row(injection->way)->mixes;
    case SLIP_CAN_FITTED: return !plan_has_fixed_needle(injection);
    }
    g_assert_not_reached();
}

static const SlipWords *words_in(const List *slips, Slip slip)
{
    for (guint i = 0; i < slips->items->len; i++) {
        const SlipWords *words = g_ptr_array_index(slips->items, i);
        if (PRESENT(words->slip) && words->slip.value == slip && PRESENT(words->say))
            return words;
    }
    return NULL;
}

guint plan_slip_places(const Plan *plan, const PlanInjection *injection, Slip slip, const SlipWords *out[3])
{
    const List *const places[] = {&injection->order->slips, injection->medicine ? &injection->medicine->slips : NULL,
                                  &plan->clinic->slips};
    guint count = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++) {
        const SlipWords *words = places[i] ? words_in(places[i], slip) : NULL;
        if (words)
            out[count++] = words;
    }
    return count;
}

/* ---- slots ---- */

static gboolean panel_known(const char *name)
{
#define PANEL(id, needle) #id,
    static const char *const panels[] = {
#include "plan/panels.def"
    };
    for (gsize i = 0; i < G_N_ELEMENTS(panels); i++)
        if (strcmp(panels[i], name) == 0)
            return TRUE;
    return FALSE;
}

SlipSlotKind plan_slip_slot(const char *text, gsize length, const char **panel, ValueId *value)
{
    static const struct { const char *word; SlipSlotKind kind; } words[] = {{"step ", SLOT_STEP}, {"page ", SLOT_PAGE}};
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        gsize word = strlen(words[i].word);
        if (length <= word || strncmp(text, words[i].word, word) != 0)
            continue;
        g_autofree char *name = g_strndup(text + word, length - word);
        *panel = text + word;
        return panel_known(name) ? words[i].kind : SLOT_UNKNOWN;
    }
    g_autofree char *name = g_strndup(text, length);
    return value_find(name, value) ? SLOT_VALUE : SLOT_UNKNOWN;
}
