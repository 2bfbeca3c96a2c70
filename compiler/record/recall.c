/* record_recall: what was called back, and who holds a sheet that rests on it. */
#include <string.h>

#include "record/parts.h"

static const char *const words[RECALL_KINDS] = {
    [RECALL_PROTOCOL] = "protocol", [RECALL_SHELF] = "shelf",       [RECALL_LOT] = "lot",
    [RECALL_RULE] = "rule",         [RECALL_LANGUAGE] = "language",
};

const char *record_recall_word(RecordRecall kind) { return words[kind]; }

gboolean record_recall_find(const char *word, RecordRecall *out)
{
    for (int kind = 0; kind < RECALL_KINDS; kind++)
        if (strcmp(words[kind], word) == 0) {
            *out = (RecordRecall)kind;
            return TRUE;
        }
    return FALSE;
}

/* ---- does a sheet rest on it? ---- */

gboolean record_same_word(const char *a, const char *b)
{
    g_autofree char *first = record_folded(a ? a : ""), *second = record_folded(b);
    return *second && strcmp(first, second) == 0;
}

static gboolean of_protocol(Arena *arena, const RecordSheet *sheet, const char *what)
{
    const char *name = record_fact(arena, sheet, "protocol_name", 0);
    const char *revision = record_fact(arena, sheet, "revision", 0);
    g_autofree char *exact = g_strdup_printf("%s/%s", name ? name : "", revision ? revision : "");
    return g_strcmp0(name, what) == 0 || strcmp(exact, what) == 0;
}

static gboolean of_shelf(Arena *arena, const RecordSheet *sheet, const char *what)
{
    static const char *const rows[] = {"box_name", "medicine", "diluent", "syringe", "pen", "mixing_syringe",
                                       "drawing_needle", "injecting_needle", "mixing_needle"};
    for (guint i = 0; i < sheet->injections->len; i++)
        for (gsize row = 0; row < G_N_ELEMENTS(rows); row++) {
            int number = ((const RecordInjection *)g_ptr_array_index(sheet->injections, i))->number;
            if (record_same_word(record_fact(arena, sheet, rows[row], number), what))
                return TRUE;
        }
    return FALSE;
}

/* Of the facts "word_1", "word_2", ... one is this. */
static gboolean one_is(Arena *arena, const RecordSheet *sheet, const char *word, const char *what)
{
    const char *value;
    for (int number = 1; (value = record_fact(arena, sheet, word, number)); number++)
        if (record_same_word(value, what))
            return TRUE;
    return FALSE;
}

static gboolean rests_on(Arena *arena, const RecordSheet *sheet, RecordRecall kind, const char *what)
{
    switch (kind) {
    case RECALL_PROTOCOL: return of_protocol(arena, sheet, what);
    case RECALL_SHELF: return of_shelf(arena, sheet, what);
    case RECALL_LOT: return one_is(arena, sheet, "lot_of_box", what);
    case RECALL_RULE: return one_is(arena, sheet, "finding", what);
    case RECALL_LANGUAGE: return record_same_word(record_fact(arena, sheet, "language", 0), what);
    case RECALL_KINDS: break;
    }
    g_assert_not_reached();
}

GPtrArray *record_resting_on(Record *record, RecordRecall kind, const char *what, Instant now, GError **error)
{
    GPtrArray *coming = record_between(record, now, G_MAXINT64 / 2, error);
    GPtrArray *found = coming ? arena_list(record->arena) : NULL;
    for (guint i = 0; coming && i < coming->len; i++) {
        RecordSheet *sheet = g_ptr_array_index(coming, i);
        if (sheet->state == RECORD_IS_VALID && rests_on(record->arena, sheet, kind, what))
            g_ptr_array_add(found, sheet);
    }
    return found;
}

gboolean record_ever_rested(Record *record, RecordRecall kind, const char *what, gboolean *ever, GError **error)
{
    GPtrArray *all = record_between(record, G_MININT64 / 2, G_MAXINT64 / 2, error);
    *ever = FALSE;
    for (guint i = 0; all && i < all->len && !*ever; i++)
        *ever = rests_on(record->arena, g_ptr_array_index(all, i), kind, what);
    return all != NULL;
}

/* ---- saying so ---- */

/* A protocol that is called back by its name alone is called back up to the last revision that was printed. */
static void say_revision(Record *record, GString *body, const GPtrArray *sheets)
{
    gint64 last = 0;
    for (guint i = 0; i < sheets->len; i++) {
        const char *revision = record_fact(record->arena, g_ptr_array_index(sheets, i), "revision", 0);
        last = MAX(last, revision ? g_ascii_strtoll(revision, NULL, 10) : 0);
    }
    g_autofree char *number = g_strdup_printf("%" G_GINT64_FORMAT, last);
    if (last > 0)
        record_line(body, "up_to_revision", number);
}

/* what: "evening-trigger/3"; named: the same, or the name alone. */
static gboolean is_revision(Arena *arena, const RecordEntry *entry, const char *named, const char *what)
{
    const char *last = record_value(arena, entry->body, "up_to_revision"), *slash = strrchr(what, '/');
    if (strcmp(named, what) == 0)
        return TRUE;
    return last && slash && strlen(named) == (gsize)(slash - what) && strncmp(named, what, strlen(named)) == 0 &&
           g_ascii_strtoll(slash + 1, NULL, 10) <= g_ascii_strtoll(last, NULL, 10);
}

gboolean record_recall(Record *record, RecordRecall kind, const char *what, const GPtrArray *sheets, const char *by,
                       const char *because, GError **error)
{
    g_autoptr(GString) body = g_string_new(NULL);
    record_line(body, words[kind], what);
    record_line(body, "because", because);
    if (kind == RECALL_PROTOCOL && !strchr(what, '/'))
        say_revision(record, body, sheets);
    if (!record_begin(record, error))
        return FALSE;
    gboolean fine = record_append(record, RECORD_RECALLED, 0, "", by, body->str, error);
    for (guint i = 0; fine && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        fine = record_append(record, RECORD_RECALLED, sheet->number, sheet->person, by, body->str, error);
    }
    return record_end(record, fine, error);
}

gboolean record_called_back(Record *record, RecordRecall kind, const char *what, const char **because, GError **error)
{
    GPtrArray *entries = arena_list(record->arena);
    *because = NULL;
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE kind = 'recalled' AND sheet = 0 "
                        "ORDER BY seq", NULL, 0, entries, error))
        return FALSE;
    for (guint i = 0; i < entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(entries, i);
        const char *named = record_value(record->arena, entry->body, words[kind]);
        gboolean same = named && (kind == RECALL_PROTOCOL ? is_revision(record->arena, entry, named, what)
                                                          : record_same_word(named, what));
        if (same)
            *because = record_value(record->arena, entry->body, "because");
    }
    return TRUE;
}
