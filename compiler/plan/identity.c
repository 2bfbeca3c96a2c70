/* plan_identity: the words of a sheet that are acted on, and the code that is spoken
 * for them on the telephone. */
#include <string.h>

#include "plan/parts.h"

#define CODE_LETTERS 5
#define DIGEST_SHOWN 16

/* Two sheets that differ in one of these are told apart by their codes. */
static const ValueId acted_on[] = {
    VALUE_person_code, VALUE_injection_name, VALUE_box_name, VALUE_dose, VALUE_sheet_number, VALUE_order_number,
    VALUE_protocol_name, VALUE_revision, VALUE_medicine, VALUE_containers, VALUE_diluent, VALUE_add, VALUE_add_mark,
    VALUE_volume, VALUE_mark, VALUE_dial, VALUE_flow, VALUE_syringe, VALUE_pen, VALUE_drawing_needle,
    VALUE_injecting_needle, VALUE_route, VALUE_site, VALUE_angle, VALUE_injection_time, VALUE_person_zone,
    VALUE_to_anchor, VALUE_days, VALUE_last_time, VALUE_earliest, VALUE_latest, VALUE_phone_day, VALUE_phone_night,
    VALUE_phone_emergency, VALUE_phone_second, VALUE_giver, VALUE_least,
};

static void add_words(Arena *arena, const Plan *plan, const PlanInjection *injection, GString *words)
{
    for (gsize i = 0; i < G_N_ELEMENTS(acted_on); i++) {
        const Value *value = plan_value(plan, injection, acted_on[i]);
        g_autofree char *text = g_strdup(value->set ? value_text(arena, value, value_row(acted_on[i])->kind) : "-");
        g_string_append_printf(words, "%s%s", words->len ? "|" : "", g_strdelimit(text, "|\n", '/'));
    }
}

/* A sheet may hold all injections of a person: its code hangs on each of them. */
const char *plan_identity(Arena *arena, const Plan *plan, const PlanInjection *injection)
{
    g_autoptr(GString) words = g_string_new(NULL);
    if (plan_one_sheet(plan)) /* one code, whichever of them is asked for */
        injection = g_ptr_array_index(plan->injections, 0);
    add_words(arena, plan, injection, words);
    for (guint i = 0; i < plan->injections->len; i++)
        if (g_ptr_array_index(plan->injections, i) != injection)
            add_words(arena, plan, g_ptr_array_index(plan->injections, i), words);
    return arena_copy(arena, words->str);
}

const char *plan_acted_on(Arena *arena, const Plan *plan)
{
    const char *words = plan_identity(arena, plan, g_ptr_array_index(plan->injections, 0));
    g_autofree char *digest = digest_text(words);
    return arena_copy_length(arena, digest, DIGEST_SHOWN);
}

const char *plan_spoken_code(Arena *arena, const char *identity)
{
    static const char letters[] = "ACDEFHJKMNPRTUVWXY34679";
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_checksum_update(sum, (const guchar *)identity, -1);
    guint8 digest[32];
    gsize size = sizeof digest;
    g_checksum_get_digest(sum, digest, &size);
    char code[CODE_LETTERS + 1] = "";
    for (int i = 0; i < CODE_LETTERS; i++)
        code[i] = letters[digest[i] % (sizeof letters - 1)];
    return arena_copy(arena, code);
}
