/* diagnostic: the rows, the findings and their order.  Printing stands in
 * diagnostic_print.c. */
#include "base/diagnostic.h"

#include <string.h>

#include "base/diagnostic_finding.h"

/* ---- rows ---- */

static const RuleRow rows[RULE_COUNT] = {
#define RULE(id, stage, severities, subject, message, reason, source) \
    {#id, stage, severities, TRUE, subject, message, reason, source},
#define FAULT(id, stage, severities, subject, message, reason, source) \
    {#id, stage, severities, FALSE, subject, message, reason, source},
#include "rules/rules.def"
#undef RULE
#undef FAULT
};

static const char *const whens[RULE_COUNT] = {
#define WHEN(id, text) [RULE_##id] = text,
#include "rules/rules.def"
};

const char *rule_when(RuleId id) { return whens[id]; }

const RuleRow *rule_row(RuleId id)
{
    g_assert(id < RULE_COUNT);
    return &rows[id];
}

gboolean rule_find(const char *word, RuleId *out)
{
    for (int i = 0; i < RULE_COUNT; i++) {
        if (strcmp(rows[i].id, word) == 0) {
            *out = (RuleId)i;
            return TRUE;
        }
    }
    return FALSE;
}

const char *rule_nearest(const char *word)
{
    const char *ids[RULE_COUNT];
    for (int i = 0; i < RULE_COUNT; i++)
        ids[i] = rows[i].id;
    return nearest_word(word, ids, RULE_COUNT);
}

/* ---- findings ---- */

Diagnostics *diagnostics_new(Arena *arena)
{
    Diagnostics *diagnostics = arena_new0(arena, Diagnostics);
    diagnostics->arena = arena;
    diagnostics->findings = arena_list(arena);
    return diagnostics;
}

Finding *finding_add(Diagnostics *diagnostics, RuleId id, Place place)
{
    int severities = rule_row(id)->severities;
    g_assert(severities == SEVERITY_NOTE || severities == SEVERITY_WARNING ||
             severities == SEVERITY_ERROR);
    return finding_add_as(diagnostics, id, (Severity)severities, place);
}

Finding *finding_add_as(Diagnostics *diagnostics, RuleId id, Severity severity, Place place)
{
    g_assert(rule_row(id)->severities & severity);
    Finding *finding = arena_new0(diagnostics->arena, Finding);
    finding->arena = diagnostics->arena;
    finding->rule = id;
    finding->severity = severity;
    finding->place = place;
    finding->facts = arena_list(diagnostics->arena);
    finding->notes = arena_list(diagnostics->arena);
    g_ptr_array_add(diagnostics->findings, finding);
    return finding;
}

static char *formatted(Finding *finding, const char *format, va_list facts)
{
    g_autofree char *text = g_strdup_vprintf(format, facts);
    return arena_copy(finding->arena, text);
}

void finding_fact(Finding *finding, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_ptr_array_add(finding->facts, formatted(finding, format, facts));
    va_end(facts);
}

void finding_note(Finding *finding, Place place, const char *format, ...)
{
    Note *note = arena_new0(finding->arena, Note);
    va_list facts;
    va_start(facts, format);
    note->place = place;
    note->text = formatted(finding, format, facts);
    va_end(facts);
    g_ptr_array_add(finding->notes, note);
}

void finding_help(Finding *finding, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    finding->help = formatted(finding, format, facts);
    va_end(facts);
}

void finding_about(Finding *finding, const char *injection)
{
    finding->injection = injection ? arena_copy(finding->arena, injection) : NULL;
}

RuleId finding_rule(const Finding *finding) { return finding->rule; }
Severity finding_severity(const Finding *finding) { return finding->severity; }
Place finding_place(const Finding *finding) { return finding->place; }
const char *finding_injection(const Finding *finding) { return finding->injection; }
const GPtrArray *finding_facts(const Finding *finding) { return finding->facts; }
const char *finding_advice(const Finding *finding) { return finding->help; }
const char *finding_accepted_until(const Finding *finding) { return finding->accepted_until; }
gboolean finding_accepted(const Finding *finding) { return finding->accepted_by != NULL; }

void finding_accept(Finding *finding, const char *by, const char *because, const char *until)
{
    g_assert(finding->severity == SEVERITY_WARNING);
    finding->accepted_by = arena_copy(finding->arena, by);
    finding->accepted_because = arena_copy(finding->arena, because);
    finding->accepted_until = arena_copy(finding->arena, until);
}

char *finding_acceptance(Arena *arena, const Finding *finding)
{
    g_assert(finding->accepted_by);
    return arena_format(arena, "%s, until %s: %s", finding->accepted_by, finding->accepted_until,
                        finding->accepted_because);
}

/* ---- the collection ---- */

guint diagnostics_count(const Diagnostics *diagnostics) { return diagnostics->findings->len; }

Finding *diagnostics_at(const Diagnostics *diagnostics, guint index)
{
    g_assert(index < diagnostics->findings->len);
    return g_ptr_array_index(diagnostics->findings, index);
}

void diagnostics_drop(Diagnostics *diagnostics, const Source *source)
{
    for (guint i = diagnostics->findings->len; i > 0; i--)
        if (((const Finding *)g_ptr_array_index(diagnostics->findings, i - 1))->place.source == source)
            g_ptr_array_remove_index(diagnostics->findings, i - 1);
}

void diagnostics_append(Diagnostics *diagnostics, const Diagnostics *more)
{
    for (guint i = 0; i < more->findings->len; i++) {
        Finding *copy = arena_new0(diagnostics->arena, Finding);
        *copy = *diagnostics_at(more, i);
        copy->arena = diagnostics->arena;
        g_ptr_array_add(diagnostics->findings, copy);
    }
}

/* Where it stands and all that it says; file names as they are on the disk. */
static char *told_key(const Finding *finding)
{
    const Place place = finding->place;
    g_autofree char *file = place.source ? g_canonicalize_filename(place.source->name, NULL) : g_strdup("");
    g_autoptr(GString) key = g_string_new(NULL);
    /* Not the injection: a row of the shelf has the fault under each name that a protocol gives. */
    g_string_printf(key, "%s\n%d:%d %d %d\n%s", file, place.line, place.column, (int)finding->rule,
                    (int)finding->severity, finding->accepted_by ? finding->accepted_by : "");
    for (guint i = 0; i < finding->facts->len; i++)
        g_string_append_printf(key, "\n%s", (char *)g_ptr_array_index(finding->facts, i));
    return g_string_free(g_steal_pointer(&key), FALSE);
}

Diagnostics *diagnostics_part(const Diagnostics *diagnostics, const Source *source, gboolean here)
{
    Diagnostics *part = diagnostics_new(diagnostics->arena);
    for (guint i = 0; i < diagnostics->findings->len; i++) {
        Finding *finding = diagnostics_at(diagnostics, i);
        gboolean elsewhere = finding->place.source && finding->place.source != source;
        if (elsewhere != here)
            g_ptr_array_add(part->findings, finding);
    }
    return part;
}

Diagnostics *diagnostics_untold(const Diagnostics *diagnostics, GHashTable *told)
{
    Diagnostics *fresh = diagnostics_new(diagnostics->arena);
    for (guint i = 0; i < diagnostics->findings->len; i++) {
        Finding *finding = diagnostics_at(diagnostics, i);
        /* What stands nowhere in particular is about the file at hand. */
        if (!finding->place.source || g_hash_table_add(told, told_key(finding)))
            g_ptr_array_add(fresh->findings, finding);
    }
    return fresh;
}

#define TOLD_MOST 3    /* of one cause */
#define TOLD_PLACES 5  /* of those that are taken out */

typedef struct ToldCause {
    Told told;
    guint count;
} ToldCause;

static void told_free(gpointer data)
{
    ToldCause *cause = data;
    g_ptr_array_unref(cause->told.places);
    g_free(cause);
}

GHashTable *told_new(void) { return g_hash_table_new_full(g_str_hash, g_str_equal, g_free, told_free); }

/* NULL: nothing says what its cause is. */
static char *cause_key(const Finding *finding)
{
    g_autoptr(GString) key = g_string_new(NULL);
    if (finding->notes->len == 0 || !finding->place.source)
        return NULL;
    g_string_printf(key, "%d %d %s", (int)finding->rule, (int)finding->severity, finding->help ? finding->help : "");
    for (guint i = 0; i < finding->facts->len; i++)
        g_string_append_printf(key, "\n%s", (char *)g_ptr_array_index(finding->facts, i));
    for (guint i = 0; i < finding->notes->len; i++) {
        const Note *note = g_ptr_array_index(finding->notes, i);
        g_string_append_printf(key, "\n%s %d:%d %s", note->place.source ? note->place.source->name : "",
                               note->place.line, note->place.column, note->text);
    }
    return g_string_free(g_steal_pointer(&key), FALSE);
}

/* TRUE when it is one of the first of its cause. */
static gboolean is_first(const Finding *finding, GHashTable *causes)
{
    char *key = finding->accepted_by ? NULL : cause_key(finding);
    ToldCause *cause = key ? g_hash_table_lookup(causes, key) : NULL;
    if (key && !cause) {
        cause = g_new0(ToldCause, 1);
        cause->told = (Told){finding->rule, 0, g_ptr_array_new_with_free_func(g_free)};
        g_hash_table_insert(causes, g_steal_pointer(&key), cause);
    }
    g_free(key);
    if (!cause || cause->count++ < TOLD_MOST)
        return TRUE;
    if (cause->told.more++ < TOLD_PLACES)
        g_ptr_array_add(cause->told.places, g_strdup_printf("%s:%d:%d", finding->place.source->name,
                                                            place_line(finding->place), finding->place.column));
    return FALSE;
}

Diagnostics *diagnostics_fold(const Diagnostics *diagnostics, GHashTable *causes)
{
    Diagnostics *first = diagnostics_new(diagnostics->arena);
    for (guint i = 0; i < diagnostics->findings->len; i++)
        if (is_first(diagnostics_at(diagnostics, i), causes))
            g_ptr_array_add(first->findings, diagnostics_at(diagnostics, i));
    return first;
}

Diagnostics *diagnostics_without(const Diagnostics *diagnostics, RuleId rule)
{
    Diagnostics *others = diagnostics_new(diagnostics->arena);
    for (guint i = 0; i < diagnostics->findings->len; i++)
        if (diagnostics_at(diagnostics, i)->rule != rule)
            g_ptr_array_add(others->findings, diagnostics_at(diagnostics, i));
    return others;
}

guint diagnostics_open(const Diagnostics *diagnostics, Severity severity)
{
    guint count = 0;
    for (guint i = 0; i < diagnostics->findings->len; i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        count += finding->severity == severity && !finding->accepted_by;
    }
    return count;
}

gboolean diagnostics_stops(const Diagnostics *diagnostics)
{
    return diagnostics_open(diagnostics, SEVERITY_ERROR) > 0 ||
           diagnostics_open(diagnostics, SEVERITY_WARNING) > 0;
}

static int compare_lists(GPtrArray *a, GPtrArray *b)
{
    for (guint i = 0; i < a->len && i < b->len; i++) {
        int order = strcmp(g_ptr_array_index(a, i), g_ptr_array_index(b, i));
        if (order != 0)
            return order;
    }
    return (a->len > b->len) - (a->len < b->len);
}

static int compare_findings(gconstpointer left, gconstpointer right)
{
    const Finding *a = *(const Finding *const *)left;
    const Finding *b = *(const Finding *const *)right;
    int order = place_compare(a->place, b->place);
    if (order == 0)
        order = (int)a->rule - (int)b->rule;
    if (order == 0)
        order = g_strcmp0(a->injection, b->injection);
    return order != 0 ? order : compare_lists(a->facts, b->facts);
}

void diagnostics_sort(Diagnostics *diagnostics)
{
    GPtrArray *findings = diagnostics->findings;
    g_ptr_array_sort(findings, compare_findings);
    guint kept = 0;
    for (guint i = 0; i < findings->len; i++) {
        gpointer *last = kept > 0 ? &findings->pdata[kept - 1] : NULL;
        if (last && compare_findings(last, &findings->pdata[i]) == 0)
            continue;
        findings->pdata[kept++] = findings->pdata[i];
    }
    g_ptr_array_set_size(findings, (int)kept);
}

/* ---- spelling ---- */

#define LONGEST_WORD 64

/* Edit distance where a swap of two neighbours counts one. */
static gsize distance(const char *a, gsize a_length, const char *b, gsize b_length)
{
    gsize rows_kept[3][LONGEST_WORD + 1];
    for (gsize j = 0; j <= b_length; j++)
        rows_kept[0][j] = j;
    for (gsize i = 1; i <= a_length; i++) {
        gsize *row = rows_kept[i % 3];
        const gsize *above = rows_kept[(i + 2) % 3], *above_that = rows_kept[(i + 1) % 3];
        row[0] = i;
        for (gsize j = 1; j <= b_length; j++) {
            gsize change = above[j - 1] + (a[i - 1] != b[j - 1]);
            row[j] = MIN(change, MIN(above[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = MIN(row[j], above_that[j - 2] + 1);
        }
    }
    return rows_kept[a_length % 3][b_length];
}

const char *nearest_word(const char *word, const char *const *candidates, gsize count)
{
    gsize length = strlen(word);
    if (length == 0 || length > LONGEST_WORD)
        return NULL;
    g_autofree char *folded = g_ascii_strdown(word, -1);
    const char *best = NULL;
    gsize best_distance = MAX(1, length / 3) + 1;
    for (gsize i = 0; i < count; i++) {
        gsize other = strlen(candidates[i]);
        if (other > LONGEST_WORD)
            continue;
        g_autofree char *candidate = g_ascii_strdown(candidates[i], -1);
        gsize found = distance(folded, length, candidate, other);
        if (found < best_distance) {
            best = candidates[i];
            best_distance = found;
        }
    }
    return best;
}
