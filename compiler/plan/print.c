/* plan_print: the plan in plain English, as JSON, and one value traced. */
#include <string.h>

#include "plan/parts.h"

/* ---- one value ---- */

static char *span_text(Arena *arena, Quantity span)
{
    Rational minutes = quantity_base(span);
    if (minutes.den != 1)
        return quantity_text(arena, span);
    gint64 size = ABS(minutes.num);
    const char *sign = minutes.num < 0 ? "-" : "";
    if (size < 60)
        return arena_format(arena, "%s%d min", sign, (int)size);
    return size % 60 ? arena_format(arena, "%s%d h %d min", sign, (int)(size / 60), (int)(size % 60))
                     : arena_format(arena, "%s%d h", sign, (int)(size / 60));
}

static char *day_text(Arena *arena, Day day)
{
    CalendarDate date = day_date(day);
    return arena_format(arena, "%s %04d-%02d-%02d", weekday_name(day_weekday(day)), date.year,
                        date.month, date.day);
}

static char *mark_text(Arena *arena, Quantity mark)
{
    g_autoptr(GString) text = g_string_new("the line ");
    rational_print(text, mark.number, 6, NULL);
    return arena_copy(arena, text->str);
}

static char *clocks_text(Arena *arena, const Value *value)
{
    if (value->clocks.all_day)
        return arena_copy(arena, "at any hour");
    return arena_format(arena, "%s to %s", clock_text(arena, value->clocks.from),
                        clock_text(arena, value->clocks.until));
}

char *value_text(Arena *arena, const Value *value, ValueKind kind)
{
    if (!value->set)
        return arena_copy(arena, "-");
    switch (kind) {
    case KIND_TEXT:
    case KIND_COLOUR: return arena_copy(arena, value->text);
    case KIND_SAYING: return arena_copy(arena, value->own);
    case KIND_PLACE: return arena_copy(arena, zone_name(value->zone));
    case KIND_NUMBER: return arena_format(arena, "%" G_GINT64_FORMAT, value->number);
    case KIND_AMOUNT:
    case KIND_DIAL: return quantity_text(arena, value->quantity);
    case KIND_MARK: return mark_text(arena, value->quantity);
    case KIND_STRENGTH: return strength_text(arena, value->strength);
    case KIND_SPAN: return span_text(arena, value->quantity);
    case KIND_NEEDLE:
        return arena_format(arena, "%s x %s", quantity_text(arena, value->needle.gauge),
                            quantity_text(arena, value->needle.length));
    case KIND_CHOICE: return arena_copy(arena, choice_word(value->choice));
    case KIND_DAY: return day_text(arena, value->day);
    case KIND_MOMENT: return local_text(arena, value->moment.local);
    case KIND_CLOCKS: return clocks_text(arena, value);
    case KIND_PHONE: return arena_copy(arena, value->phone->number.text);
    }
    g_assert_not_reached();
}

/* ---- the whole plan as text ---- */

static void print_value(Arena *arena, GString *out, const Value *value, ValueId id)
{
    if (!value->set)
        return;
    g_autoptr(GString) shown = g_string_new(NULL);
    source_escape(shown, value_text(arena, value, value_row(id)->kind), -1);
    g_string_append_printf(out, "  %-22s %s", value_row(id)->id, shown->str);
    if (value->how)
        g_string_append_printf(out, "  (%s)", value->how);
    g_string_append_c(out, '\n');
}

static void print_scope(Arena *arena, GString *out, const Value *values, ValueScope scope)
{
    for (int i = 0; i < VALUE_COUNT; i++)
        if (value_row((ValueId)i)->scope == scope)
            print_value(arena, out, &values[i], (ValueId)i);
}

static const char *item_word(const Item *item)
{
    switch (item->kind) {
    case ITEM_MEDICINE: return item->medicine->name.text;
    case ITEM_DILUENT: return item->diluent->name.text;
    case ITEM_MIXING_SYRINGE:
    case ITEM_SYRINGE: return item->syringe->name.text;
    case ITEM_MIXING_NEEDLE:
    case ITEM_DRAWING_NEEDLE:
    case ITEM_INJECTING_NEEDLE: return item->needle->hub.text;
    case ITEM_PEN: return item->pen->name.text;
    case ITEM_SUPPLY: return choice_word(item->supply);
    }
    g_assert_not_reached();
}

static const char *item_job(const Item *item)
{
    static const char *const jobs[] = {"medicine", "liquid to mix with", "syringe", "needle for drawing up",
                                       "needle for injecting", "pen", "syringe to mix with", "needle to mix with",
                                       "supply"};
    return jobs[item->kind];
}

static void print_item(Arena *arena, GString *out, const Item *item)
{
    const char *size = "";
    if (item->needle)
        size = arena_format(arena, ", %s x %s", quantity_text(arena, item->needle->needle.gauge),
                            quantity_text(arena, item->needle->needle.length));
    g_string_append_printf(out, "  %3" G_GINT64_FORMAT " x %s%s (%s; %" G_GINT64_FORMAT " used at once%s)\n",
                           item->count, item_word(item), size, item_job(item), item->used,
                           item->left == item->count
                               ? "" : arena_format(arena, "; %" G_GINT64_FORMAT " for the days left", item->left));
}

static void print_injection(Arena *arena, GString *out, const PlanInjection *injection)
{
    g_string_append_printf(out, "\ninjection %d\n", injection->number);
    print_scope(arena, out, injection->values, SCOPE_INJECTION);
    for (guint i = injection->done + 1; i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        g_string_append_printf(out, "  %-22s %s\n", i == injection->done + 1 ? "further days" : "",
                               local_text(arena, act->exists ? act->at.local : act->wanted));
    }
    if (injection->ladder->len > 0)
        g_string_append(out, "  preparation\n");
    for (guint i = 0; i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        g_string_append_printf(out, "    %s  %s\n", local_text(arena, rung->at.local), rung_row(rung->kind)->words);
    }
    g_string_append(out, "  steps\n   ");
    for (guint i = 0; i < injection->steps->len; i++) {
        const Step *step = g_ptr_array_index(injection->steps, i);
        g_string_append_printf(out, " %s", step_name(step->id));
        if (step->vial)
            g_string_append_printf(out, "(%d)", step->vial);
    }
    g_string_append_c(out, '\n');
}

void plan_print(const Plan *plan, GString *out)
{
    Arena *arena = arena_new();
    g_string_append(out, "plan\n");
    print_scope(arena, out, plan->values, SCOPE_PERSON);
    for (guint i = 0; i < plan->injections->len; i++)
        print_injection(arena, out, g_ptr_array_index(plan->injections, i));
    g_string_append(out, "\nkit\n");
    for (guint i = 0; i < plan->kit->len; i++)
        print_item(arena, out, g_ptr_array_index(plan->kit, i));
    arena_free(arena);
}

/* ---- JSON ---- */

static void json_exact(GString *out, Quantity quantity)
{
    g_string_append_printf(out, ",\"number\":\"%" G_GINT64_FORMAT, quantity.number.num);
    if (quantity.number.den != 1)
        g_string_append_printf(out, "/%" G_GINT64_FORMAT, quantity.number.den);
    g_string_append_printf(out, "\",\"unit\":\"%s\"", unit_row(quantity.unit)->symbol);
}

static void json_origins(GString *out, const Value *value)
{
    g_string_append(out, ",\"origins\":[");
    for (guint i = 0; i < value->origins->len; i++) {
        const Place *place = g_ptr_array_index(value->origins, i);
        g_autofree char *text = g_strdup_printf("%s:%d:%d", place->source->name, place_line(*place), place->column);
        g_string_append(out, i ? "," : "");
        source_json(out, text);
    }
    g_string_append_c(out, ']');
}

static void json_value(Arena *arena, GString *out, const Value *value, ValueId id)
{
    const ValueRow *row = value_row(id);
    g_string_append_printf(out, "\"%s\":{\"text\":", row->id);
    source_json(out, value_text(arena, value, row->kind));
    if (row->kind == KIND_AMOUNT || row->kind == KIND_SPAN)
        json_exact(out, value->quantity);
    if (row->kind == KIND_MOMENT) {
        g_string_append(out, ",\"instant\":");
        source_json(out, instant_text(arena, value->moment.zone, value->moment.instant));
    }
    if (value->how) {
        g_string_append(out, ",\"how\":");
        source_json(out, value->how);
    }
    json_origins(out, value);
    g_string_append_c(out, '}');
}

static void json_scope(Arena *arena, GString *out, const Value *values, ValueScope scope)
{
    gboolean first = TRUE;
    for (int i = 0; i < VALUE_COUNT; i++) {
        if (value_row((ValueId)i)->scope != scope || !values[i].set)
            continue;
        g_string_append(out, first ? "\n  " : ",\n  ");
        json_value(arena, out, &values[i], (ValueId)i);
        first = FALSE;
    }
}

static void json_kit(GString *out, const GPtrArray *kit)
{
    g_string_append(out, "\"kit\":[");
    for (guint i = 0; i < kit->len; i++) {
        const Item *item = g_ptr_array_index(kit, i);
        g_string_append(out, i ? ",\n  {\"item\":" : "\n  {\"item\":");
        source_json(out, item_word(item));
        g_string_append_printf(out, ",\"job\":\"%s\",\"count\":%" G_GINT64_FORMAT ",\"used\":%" G_GINT64_FORMAT,
                               item_job(item), item->count, item->used);
        if (item->left != item->count) /* of a running course */
            g_string_append_printf(out, ",\"left\":%" G_GINT64_FORMAT, item->left);
        g_string_append_c(out, '}');
    }
    g_string_append_c(out, ']');
}

static void json_lists(Arena *arena, GString *out, const PlanInjection *injection)
{
    g_string_append(out, ",\n  \"acts\":[");
    for (guint i = injection->done; i < injection->acts->len; i++) {
        const Act *act = g_ptr_array_index(injection->acts, i);
        g_string_append(out, i > injection->done ? "," : "");
        source_json(out, act->exists ? instant_text(arena, act->at.zone, act->at.instant)
                                   : local_text(arena, act->wanted));
    }
    g_string_append(out, "],\n  \"ladder\":[");
    for (guint i = 0; i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        g_string_append_printf(out, "%s{\"rung\":\"%s\",\"at\":", i ? "," : "", rung_row(rung->kind)->words);
        source_json(out, instant_text(arena, rung->at.zone, rung->at.instant));
        g_string_append_c(out, '}');
    }
    g_string_append(out, "],\n  \"steps\":[");
    for (guint i = 0; i < injection->steps->len; i++) {
        const Step *step = g_ptr_array_index(injection->steps, i);
        g_string_append_printf(out, "%s\"%s\"", i ? "," : "", step_name(step->id));
    }
    g_string_append(out, "],\n  ");
    json_kit(out, injection->kit);
}

void plan_print_json(const Plan *plan, GString *out)
{
    Arena *arena = arena_new();
    g_string_append(out, "{\"plan\":{");
    json_scope(arena, out, plan->values, SCOPE_PERSON);
    g_string_append(out, "},\n\"injections\":[");
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        g_string_append(out, i ? ",\n{" : "\n{");
        json_scope(arena, out, injection->values, SCOPE_INJECTION);
        json_lists(arena, out, injection);
        g_string_append_c(out, '}');
    }
    g_string_append(out, "],");
    json_kit(out, plan->kit);
    g_string_append(out, "}\n");
    arena_free(arena);
}

/* ---- trace ---- */

static void trace_value(Arena *arena, GString *out, const Value *value, ValueId id)
{
    g_autoptr(GString) shown = g_string_new(NULL);
    source_escape(shown, value_text(arena, value, value_row(id)->kind), -1);
    g_string_append_printf(out, "%s: %s\n  %s\n", value_row(id)->id, shown->str, value_row(id)->description);
    if (value->how)
        g_string_append_printf(out, "  worked out: %s\n", value->how);
    for (guint i = 0; value->set && i < value->origins->len; i++) {
        const Place *place = g_ptr_array_index(value->origins, i);
        g_string_append(out, "  from ");
        source_escape(out, place->source->name, -1);
        g_string_append_printf(out, ":%d:%d\n", place_line(*place), place->column);
        source_excerpt(out, *place);
    }
}

/* "4 alcohol wipes" is a number and words that begin words of what is counted. */
static gboolean counts_as(const char *number, const char *counted, const char *word)
{
    if (!g_str_has_prefix(word, number) || word[strlen(number)] != ' ')
        return FALSE;
    g_auto(GStrv) said = g_strsplit(word + strlen(number) + 1, " ", -1);
    g_autofree char *known = g_strconcat(" ", counted, NULL);
    for (char **one = said; *one; one++) {
        g_autofree char *begins = g_strconcat(" ", *one, NULL);
        if (!**one || !strstr(known, begins))
            return FALSE;
    }
    return said[0] != NULL;
}

/* TRUE when the value prints so: a clock time on either clock, an amount, a number. */
static gboolean prints_as(Arena *arena, const Value *value, ValueId id, const char *word)
{
    int minute;
    ValueKind kind = value_row(id)->kind;
    if (!value->set)
        return FALSE;
    if (kind == KIND_MOMENT && clock_parse(word, &minute).fault == MOMENT_FINE)
        return value->moment.local.minute == minute;
    const char *text = value_text(arena, value, kind);
    return g_ascii_strcasecmp(text, word) == 0 ||
           (kind == KIND_NUMBER && counts_as(text, value_row(id)->description, word)) ||
           (g_str_has_prefix(text, "the line ") && g_ascii_strcasecmp(text + strlen("the "), word) == 0);
}

static gboolean trace_printed(Arena *arena, const Value *values, ValueScope scope, int number, const char *word,
                              GString *out)
{
    gboolean found = FALSE;
    for (int i = 0; i < VALUE_COUNT; i++) {
        if (value_row((ValueId)i)->scope != scope || !prints_as(arena, &values[i], (ValueId)i, word))
            continue;
        if (scope == SCOPE_INJECTION)
            g_string_append_printf(out, "injection %d, ", number);
        trace_value(arena, out, &values[i], (ValueId)i);
        found = TRUE;
    }
    return found;
}

/* All values that print as the word. */
static gboolean trace_all_printed(const Plan *plan, const char *word, GString *out)
{
    Arena *arena = arena_new();
    gboolean found = trace_printed(arena, plan->values, SCOPE_PERSON, 0, word, out);
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        found = trace_printed(arena, injection->values, SCOPE_INJECTION, injection->number, word, out) || found;
    }
    arena_free(arena);
    return found;
}

gboolean plan_trace(const Plan *plan, const char *word, GString *out)
{
    ValueId id;
    if (!value_find(word, &id))
        return trace_all_printed(plan, word, out);
    Arena *arena = arena_new();
    if (value_row(id)->scope == SCOPE_PERSON)
        trace_value(arena, out, &plan->values[id], id);
    for (guint i = 0; value_row(id)->scope == SCOPE_INJECTION && i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        g_string_append_printf(out, "injection %d, ", injection->number);
        trace_value(arena, out, &injection->values[id], id);
    }
    arena_free(arena);
    return TRUE;
}
