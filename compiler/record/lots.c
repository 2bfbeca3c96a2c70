/* record_lots: how many boxes of a lot came in, and who was given them.  A box that a person
 * was given never comes back into stock, so a sheet that was replaced or cancelled counts;
 * one that is void was not handed out. */
#include <string.h>

#include "record/parts.h"

/* One lot that somebody counts. */
typedef struct Counted {
    const char *name;    /* as it was typed first */
    gint64 received;     /* less what was thrown away */
    gint64 handed;       /* the sum of the holders */
    GHashTable *holders; /* "person\norder" -> boxes; NULL until somebody asks */
} Counted;

struct RecordLots {
    Record *record;
    GHashTable *counted; /* lot, folded -> Counted* */
};

static void free_holders(gpointer counted)
{
    if (((Counted *)counted)->holders)
        g_hash_table_unref(((Counted *)counted)->holders);
    g_free(counted);
}

static void free_lots(gpointer table) { g_hash_table_unref(table); }

static Counted *counted_for(RecordLots *lots, const char *lot, gboolean make)
{
    g_autofree char *folded = record_folded(lot);
    Counted *counted = g_hash_table_lookup(lots->counted, folded);
    if (counted || !make)
        return counted;
    counted = g_new0(Counted, 1);
    counted->name = arena_copy(lots->record->arena, lot);
    g_hash_table_insert(lots->counted, g_steal_pointer(&folded), counted);
    return counted;
}

RecordLots *record_lots(Record *record, GError **error)
{
    GPtrArray *entries = arena_list(record->arena);
    RecordLots *lots = arena_new0(record->arena, RecordLots);
    lots->record = record;
    lots->counted = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, free_holders);
    arena_defer(record->arena, free_lots, lots->counted);
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE kind = 'received' ORDER BY seq", NULL, 0,
                        entries, error))
        return NULL;
    for (guint i = 0; i < entries->len; i++) {
        const char *body = ((const RecordEntry *)g_ptr_array_index(entries, i))->body;
        const char *lot = record_value(record->arena, body, "lot");
        const char *count = record_value(record->arena, body, "count");
        if (lot && count)
            counted_for(lots, lot, TRUE)->received += g_ascii_strtoll(count, NULL, 10);
    }
    return lots;
}

/* ---- who holds it ---- */

static void hold(Counted *counted, const char *person, const char *order, gint64 boxes)
{
    char *key = g_strdup_printf("%s\n%s", person, order);
    gint64 before = GPOINTER_TO_INT(g_hash_table_lookup(counted->holders, key));
    if (boxes > before) {
        counted->handed += boxes - before;
        g_hash_table_insert(counted->holders, key, GINT_TO_POINTER((int)boxes));
    } else {
        g_free(key);
    }
}

typedef struct Holding {
    Counted *counted;
    const char *folded;
} Holding;

/* Of a sheet's facts: its boxes of this lot. */
static void take_sheet(const char *const *columns, gpointer data)
{
    const Holding *holding = data;
    Arena *arena = arena_new();
    const char *lot, *order = record_value(arena, columns[1], "order_number");
    gint64 boxes = 0;
    for (int box = 1; (lot = record_numbered(arena, columns[1], "lot_of_box", box)); box++) {
        const char *count = record_numbered(arena, columns[1], "count_of_box", box);
        g_autofree char *folded = record_folded(lot);
        if (strcmp(folded, holding->folded) == 0)
            boxes += count ? g_ascii_strtoll(count, NULL, 10) : 1;
    }
    hold(holding->counted, columns[0], order ? order : "", boxes);
    arena_free(arena);
}

static gboolean read_holders(const RecordLots *lots, Counted *counted, GError **error)
{
    if (counted->holders)
        return TRUE;
    g_autofree char *folded = record_folded(counted->name);
    Holding holding = {counted, folded};
    counted->holders = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    return record_run(lots->record, "SELECT entry.person, entry.body FROM word JOIN entry ON entry.seq = word.entry "
                      "WHERE word.word = $1 AND NOT EXISTS (SELECT 1 FROM entry AS gone WHERE gone.sheet = entry.sheet "
                      "AND gone.kind = 'void')", (const char *const[]){folded}, 1, take_sheet, &holding, error);
}

gboolean record_lots_take(RecordLots *lots, const RecordBoxes *boxes, gboolean *fits, gint64 *received, gint64 *others,
                          GError **error)
{
    Counted *counted = counted_for(lots, boxes->lot, FALSE);
    *fits = TRUE;
    if (!counted)
        return TRUE;
    if (!read_holders(lots, counted, error))
        return FALSE;
    g_autofree char *key = g_strdup_printf("%s\n%s", boxes->person, boxes->order);
    gint64 own = GPOINTER_TO_INT(g_hash_table_lookup(counted->holders, key));
    *received = counted->received;
    *others = counted->handed - own;
    *fits = *others + MAX(own, boxes->count) <= counted->received;
    if (*fits)
        hold(counted, boxes->person, boxes->order, boxes->count);
    return TRUE;
}

/* ---- what came in ---- */

gboolean record_receive(Record *record, const char *lot, gint64 count, const char *by, const char *because,
                        GError **error)
{
    g_autoptr(GString) body = g_string_new(NULL);
    record_line(body, "lot", lot);
    g_string_append_printf(body, "count: %" G_GINT64_FORMAT "\n", count);
    if (because)
        record_line(body, "because", because);
    return record_append(record, RECORD_RECEIVED, 0, "", by, body->str, error);
}

static gint by_name(gconstpointer left, gconstpointer right)
{
    const RecordLot *a = *(const RecordLot *const *)left, *b = *(const RecordLot *const *)right;
    return strcmp(a->lot, b->lot);
}

GPtrArray *record_lots_list(RecordLots *lots, GError **error)
{
    GHashTableIter iter;
    gpointer value;
    GPtrArray *list = arena_list(lots->record->arena);
    g_hash_table_iter_init(&iter, lots->counted);
    while (g_hash_table_iter_next(&iter, NULL, &value)) {
        Counted *counted = value;
        RecordLot *lot = arena_new0(lots->record->arena, RecordLot);
        if (!read_holders(lots, counted, error))
            return NULL;
        *lot = (RecordLot){counted->name, counted->received, counted->handed, NULL};
        if (!record_called_back(lots->record, RECALL_LOT, counted->name, &lot->because, error))
            return NULL;
        g_ptr_array_add(list, lot);
    }
    g_ptr_array_sort(list, by_name);
    return list;
}
