/* record_lots: how many boxes of a lot came in, and who was given them.  A box that a person
 * was given never comes back into stock, so a sheet that was replaced or cancelled counts;
 * one that is void was not handed out.  A number counts before its sheet is made: else two runs
 * at once would both hand out the last box. */
#include <string.h>

#include "record/parts.h"

/* One lot that somebody counts. */
typedef struct Counted {
    char *name;          /* as it was typed first */
    gint64 received;     /* less what was thrown away */
    gint64 handed;       /* the sum of the holders */
    GHashTable *holders; /* "person\norder" -> boxes; NULL until somebody asks */
} Counted;

struct RecordLots {
    GHashTable *counted; /* lot, folded -> Counted* */
};

static void free_counted(gpointer counted)
{
    g_clear_pointer(&((Counted *)counted)->holders, g_hash_table_unref);
    g_free(((Counted *)counted)->name);
    g_free(counted);
}

void record_lots_forget(Record *record)
{
    if (record->lots)
        g_hash_table_unref(record->lots->counted);
    g_clear_pointer(&record->lots, g_free);
}

/* ---- what came in ---- */

static Counted *counted_for(struct RecordLots *lots, const char *lot, gboolean make)
{
    g_autofree char *folded = record_folded(lot);
    Counted *counted = g_hash_table_lookup(lots->counted, folded);
    if (counted || !make)
        return counted;
    counted = g_new0(Counted, 1);
    counted->name = g_strdup(lot);
    g_hash_table_insert(lots->counted, g_steal_pointer(&folded), counted);
    return counted;
}

static gboolean read_received(Record *record, GError **error)
{
    GPtrArray *entries = arena_list(record->arena);
    if (record->lots)
        return TRUE;
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE kind = 'received' ORDER BY seq", NULL, 0,
                        entries, error))
        return FALSE;
    record->lots = g_new0(struct RecordLots, 1);
    record->lots->counted = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, free_counted);
    for (guint i = 0; i < entries->len; i++) {
        const char *body = ((const RecordEntry *)g_ptr_array_index(entries, i))->body;
        const char *lot = record_value(record->arena, body, "lot");
        const char *count = record_value(record->arena, body, "count");
        if (lot && count)
            counted_for(record->lots, lot, TRUE)->received += g_ascii_strtoll(count, NULL, 10);
    }
    return TRUE;
}

/* ---- who holds it ---- */

static char *holder(const char *person, const char *order) { return g_strdup_printf("%s\n%s", person, order); }

static void hold(Counted *counted, const char *person, const char *order, gint64 boxes)
{
    g_autofree char *key = holder(person, order);
    gint64 before = GPOINTER_TO_INT(g_hash_table_lookup(counted->holders, key));
    if (boxes <= before)
        return;
    counted->handed += boxes - before;
    g_hash_table_insert(counted->holders, g_steal_pointer(&key), GINT_TO_POINTER((int)boxes));
}

typedef struct Holding {
    Counted *counted;
    const char *folded;
} Holding;

/* Of a number's or a sheet's entry: its boxes of this lot. */
static void take_entry(const char *const *columns, gpointer data)
{
    const Holding *holding = data;
    Arena *arena = arena_new();
    const char *lot, *order = record_value(arena, columns[1], "order_number");
    gint64 boxes = 0;
    if (!order)
        order = record_value(arena, columns[1], "order");
    for (int box = 1; (lot = record_numbered(arena, columns[1], "lot_of_box", box)); box++) {
        const char *count = record_numbered(arena, columns[1], "count_of_box", box);
        g_autofree char *folded = record_folded(lot);
        if (strcmp(folded, holding->folded) == 0)
            boxes += count ? g_ascii_strtoll(count, NULL, 10) : 1;
    }
    hold(holding->counted, columns[0], order ? order : "", boxes);
    arena_free(arena);
}

static gboolean read_holders(Record *record, Counted *counted, GError **error)
{
    if (counted->holders)
        return TRUE;
    g_autofree char *folded = record_folded(counted->name);
    Holding holding = {counted, folded};
    counted->holders = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    return record_run(record, "SELECT entry.person, entry.body FROM word JOIN entry ON entry.seq = word.entry "
                      "WHERE word.word = $1 AND NOT EXISTS (SELECT 1 FROM entry AS gone WHERE gone.sheet = entry.sheet "
                      "AND gone.kind = 'void')", (const char *const[]){folded}, 1, take_entry, &holding, error);
}

gboolean record_lot_fits(Record *record, const RecordWish *wish, const RecordBoxes *boxes, gboolean *fits,
                         gint64 *received, gint64 *others, GError **error)
{
    g_assert(record->depth > 0);
    if (!read_received(record, error))
        return FALSE;
    Counted *counted = counted_for(record->lots, boxes->lot, FALSE);
    *fits = TRUE;
    if (!counted)
        return TRUE;
    if (!read_holders(record, counted, error))
        return FALSE;
    g_autofree char *key = holder(wish->person, wish->order);
    gint64 own = GPOINTER_TO_INT(g_hash_table_lookup(counted->holders, key));
    *received = counted->received;
    *others = counted->handed - own;
    *fits = *others + MAX(own, boxes->count) <= counted->received;
    return TRUE;
}

void record_lots_hold(Record *record, const RecordWish *wish)
{
    for (guint i = 0; record->lots && wish->boxes && i < wish->boxes->len; i++) {
        const RecordBoxes *boxes = g_ptr_array_index(wish->boxes, i);
        Counted *counted = counted_for(record->lots, boxes->lot, FALSE);
        if (counted && counted->holders)
            hold(counted, wish->person, wish->order, boxes->count);
    }
}

/* ---- told and noted ---- */

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

GPtrArray *record_lots(Record *record, GError **error)
{
    GHashTableIter iter;
    gpointer value;
    GPtrArray *list = arena_list(record->arena);
    record_lots_forget(record);
    if (!read_received(record, error))
        return NULL;
    g_hash_table_iter_init(&iter, record->lots->counted);
    while (g_hash_table_iter_next(&iter, NULL, &value)) {
        Counted *counted = value;
        RecordLot *lot = arena_new0(record->arena, RecordLot);
        if (!read_holders(record, counted, error))
            return NULL;
        *lot = (RecordLot){arena_copy(record->arena, counted->name), counted->received, counted->handed, NULL};
        if (!record_called_back(record, RECALL_LOT, lot->lot, &lot->because, error))
            return NULL;
        g_ptr_array_add(list, lot);
    }
    g_ptr_array_sort(list, by_name);
    return list;
}
