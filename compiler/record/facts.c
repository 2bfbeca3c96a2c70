/* record_facts: all that a plan says, as lines; and what of them a sheet is found by. */
#include <string.h>

#include "record/parts.h"

/* ---- from the plan ---- */

static void add_values(GString *facts, const Plan *plan, const PlanInjection *injection, guint number)
{
    g_autofree char *ending = injection ? g_strdup_printf("_%u", number) : g_strdup("");
    Arena *arena = arena_new();
    for (int id = 0; id < VALUE_COUNT; id++) {
        const ValueRow *row = value_row((ValueId)id);
        const Value *value = (row->scope == SCOPE_INJECTION) == (injection != NULL)
                                 ? plan_value(plan, injection, (ValueId)id) : NULL;
        if (!value || !value->set)
            continue;
        g_autofree char *word = g_strconcat(row->id, ending, NULL);
        record_line(facts, word, value_text(arena, value, row->kind));
    }
    arena_free(arena);
}

static void add_instant(GString *facts, const char *word, guint number, Instant instant)
{
    g_string_append_printf(facts, "%s_%u: %" G_GINT64_FORMAT "\n", word, number, instant);
}

/* Times for machines; words for people stand in the values. */
static void add_times(GString *facts, const PlanInjection *injection, guint number)
{
    g_string_append_printf(facts, "acts_%u:", number);
    for (guint i = 0; i < injection->acts->len; i++)
        g_string_append_printf(facts, " %" G_GINT64_FORMAT,
                               ((const Act *)g_ptr_array_index(injection->acts, i))->at.instant);
    g_string_append_c(facts, '\n');
    const Act *first = g_ptr_array_index(injection->acts, 0);
    add_instant(facts, "from", number, injection->windowed ? injection->earliest.instant : first->at.instant);
    add_instant(facts, "until", number, injection->windowed ? injection->latest.instant : first->at.instant);
}

static void add_boxes(GString *facts, const Patient *patient)
{
    g_autoptr(GString) boxes = g_string_new(NULL);
    guint number = 0; /* of those with a lot, without a gap: they are read until one is missing */
    for (guint i = 0; i < patient->boxes.items->len; i++) {
        const Box *box = g_ptr_array_index(patient->boxes.items, i);
        if (!PRESENT(box->lot))
            continue;
        g_string_append_printf(boxes, "%s%s, lot %s", boxes->len ? "; " : "", box->medicine.text, box->lot.text);
        g_autofree char *word = g_strdup_printf("lot_of_box_%u", ++number);
        record_line(facts, word, box->lot.text);
        if (PRESENT(box->count) && box->count.value != 1)
            g_string_append_printf(facts, "count_of_box_%u: %" G_GINT64_FORMAT "\n", number, box->count.value);
    }
    record_line(facts, "boxes", boxes->str);
}

static void add_findings(Arena *arena, GString *facts, const Diagnostics *diagnostics)
{
    guint number = 0;
    for (guint i = 0; diagnostics && i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        g_autofree char *word = g_strdup_printf("finding_%u", ++number);
        record_line(facts, word, rule_row(finding_rule(finding))->id);
        g_autofree char *accepted = g_strdup_printf("accepted_%u", number);
        if (finding_accepted(finding))
            record_line(facts, accepted, finding_acceptance(arena, finding));
    }
}

char *record_facts(Arena *arena, const Plan *plan, const Diagnostics *diagnostics)
{
    g_autoptr(GString) facts = g_string_new(NULL);
    add_values(facts, plan, NULL, 0);
    record_line(facts, "seal", plan->seal ? plan->seal : "-");
    record_line(facts, "acted_on", plan_acted_on(arena, plan));
    const Text *first = g_ptr_array_index(plan->clinic->languages.items, 0);
    record_line(facts, "language", PRESENT(plan->patient->language) ? plan->patient->language.text : first->text);
    if (PRESENT(plan->patient->phone)) /* on no sheet, and yet what a person is found by */
        record_line(facts, "phone", plan->patient->phone.text);
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        add_values(facts, plan, injection, i + 1);
        add_times(facts, injection, i + 1);
    }
    add_boxes(facts, plan->patient);
    add_findings(arena, facts, diagnostics);
    return arena_copy(arena, facts->str);
}

/* ---- and back ---- */

const char *record_numbered(Arena *arena, const char *facts, const char *word, int number)
{
    g_autofree char *whole = g_strdup_printf("%s_%d", word, number);
    return record_value(arena, facts, whole);
}

static GArray *acts_of(Arena *arena, const char *text)
{
    GArray *acts = g_array_new(FALSE, FALSE, sizeof(Instant));
    arena_defer(arena, (GDestroyNotify)g_array_unref, acts);
    g_auto(GStrv) parts = g_strsplit(text, " ", -1);
    for (char **part = parts; *part; part++) {
        Instant act = g_ascii_strtoll(*part, NULL, 10);
        g_array_append_val(acts, act);
    }
    return acts;
}

GPtrArray *record_injections(Arena *arena, const char *facts)
{
    GPtrArray *injections = arena_list(arena);
    const char *acts;
    for (int number = 1; (acts = record_numbered(arena, facts, "acts", number)); number++) {
        const char *from = record_numbered(arena, facts, "from", number);
        const char *until = record_numbered(arena, facts, "until", number);
        RecordInjection *injection = arena_new0(arena, RecordInjection);
        injection->number = number;
        injection->name = record_numbered(arena, facts, "injection_name", number);
        injection->acts = acts_of(arena, acts);
        injection->from = from ? g_ascii_strtoll(from, NULL, 10) : 0;
        injection->until = until ? g_ascii_strtoll(until, NULL, 10) : 0;
        if (injection->acts->len > 0)
            g_ptr_array_add(injections, injection);
    }
    return injections;
}

const char *record_fact(Arena *arena, const RecordSheet *sheet, const char *word, int injection)
{
    return injection > 0 ? record_numbered(arena, sheet->facts, word, injection)
                         : record_value(arena, sheet->facts, word);
}

/* ---- the index ---- */

char *record_folded(const char *word)
{
    g_autofree char *apart = g_utf8_normalize(word, -1, G_NORMALIZE_NFKD);
    g_autoptr(GString) kept = g_string_new(NULL);
    for (const char *at = apart ? apart : ""; *at; at = g_utf8_next_char(at))
        if (g_unichar_isalnum(g_utf8_get_char(at)))
            g_string_append_unichar(kept, g_utf8_get_char(at));
    return g_utf8_casefold(kept->str, -1);
}

static void add_word(Arena *arena, GPtrArray *rows, const char *text)
{
    g_autofree char *folded = record_folded(text ? text : "");
    for (guint i = 0; i < rows->len; i++)
        if (g_strcmp0(((const IndexRow *)g_ptr_array_index(rows, i))->word, folded) == 0)
            return;
    if (!*folded)
        return;
    IndexRow *row = arena_new0(arena, IndexRow);
    row->word = arena_copy(arena, folded);
    g_ptr_array_add(rows, row);
}

/* The whole name, and each part of it. */
static void add_name(Arena *arena, GPtrArray *rows, const char *name)
{
    g_auto(GStrv) parts = g_strsplit_set(name ? name : "", " -", -1);
    add_word(arena, rows, name);
    for (char **part = parts; *part; part++)
        add_word(arena, rows, *part);
}

static void add_due(Arena *arena, GPtrArray *rows, const RecordInjection *injection)
{
    IndexRow *row = arena_new0(arena, IndexRow);
    const GArray *acts = injection->acts;
    row->injection = injection->number;
    row->first = MIN(g_array_index(acts, Instant, 0), injection->from);
    row->last = MAX(g_array_index(acts, Instant, acts->len - 1), injection->until);
    g_ptr_array_add(rows, row);
}

gboolean record_is_indexed(const RecordEntry *entry, GHashTable *printed)
{
    return entry->kind == RECORD_NUMBERED ||
           (entry->kind == RECORD_PRINTED && g_hash_table_add(printed, GSIZE_TO_POINTER((gsize)entry->sheet)));
}

GPtrArray *record_index(Arena *arena, const RecordEntry *entry)
{
    static const char *const of_sheet[] = {"person_code", "order_number", "phone"};
    GPtrArray *rows = arena_list(arena), *injections = record_injections(arena, entry->body);
    for (guint i = 0; i < injections->len; i++)
        add_due(arena, rows, g_ptr_array_index(injections, i));
    for (gsize i = 0; i < G_N_ELEMENTS(of_sheet); i++)
        add_word(arena, rows, record_value(arena, entry->body, of_sheet[i]));
    add_name(arena, rows, record_value(arena, entry->body, "person_name"));
    for (guint i = 0; i < injections->len; i++)
        add_word(arena, rows, record_numbered(arena, entry->body, "check_code", (int)i + 1));
    const char *lot;
    for (int box = 1; (lot = record_numbered(arena, entry->body, "lot_of_box", box)); box++)
        add_word(arena, rows, lot);
    return rows;
}

static gboolean insert(Store *store, const RecordEntry *entry, const IndexRow *row, GError **error)
{
    g_autofree char *seq = g_strdup_printf("%" G_GINT64_FORMAT, entry->seq);
    g_autofree char *sheet = g_strdup_printf("%" G_GINT64_FORMAT, entry->sheet);
    if (row->word)
        return store->kind->run(store, "INSERT INTO word (entry, sheet, word) VALUES ($1, $2, $3)",
                                (const char *const[]){seq, sheet, row->word}, 3, NULL, NULL, error);
    g_autofree char *injection = g_strdup_printf("%d", row->injection);
    g_autofree char *first = g_strdup_printf("%" G_GINT64_FORMAT, row->first);
    g_autofree char *last = g_strdup_printf("%" G_GINT64_FORMAT, row->last);
    return store->kind->run(store, "INSERT INTO due (entry, sheet, injection, first, last) VALUES ($1, $2, $3, $4, $5)",
                            (const char *const[]){seq, sheet, injection, first, last}, 5, NULL, NULL, error);
}

gboolean record_index_insert(Store *store, const RecordEntry *entry, const GPtrArray *rows, GError **error)
{
    for (guint i = 0; i < rows->len; i++)
        if (!insert(store, entry, g_ptr_array_index(rows, i), error))
            return FALSE;
    return TRUE;
}
