/* record_whole: the record from its first entry to its last: verified, copied, brought back. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <glib/gstdio.h>

#include "record/parts.h"

/* ---- entry by entry, in constant memory ---- */

typedef gboolean (*EachEntry)(const RecordEntry *entry, Arena *arena, gpointer data, GError **error);

/* A record reads into its arena: each chunk gets one of its own. */
static gboolean each_chunk(Record *record, gint64 *after, gboolean *more, EachEntry each, gpointer data, GError **error)
{
    Arena *own = record->arena, *chunk = arena_new();
    GPtrArray *entries = arena_list(chunk);
    g_autofree char *from = g_strdup_printf("%" G_GINT64_FORMAT, *after);
    record->arena = chunk;
    gboolean fine = record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE seq > $1 ORDER BY seq LIMIT "
                                   G_STRINGIFY(RECORD_CHUNK), (const char *const[]){from}, 1, entries, error);
    for (guint i = 0; fine && i < entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(entries, i);
        fine = each(entry, chunk, data, error);
        *after = entry->seq;
    }
    *more = entries->len > 0;
    record->arena = own;
    arena_free(chunk);
    return fine;
}

static gboolean each_entry(Record *record, EachEntry each, gpointer data, GError **error)
{
    gint64 after = G_MININT64;
    gboolean more = TRUE, fine = TRUE;
    while (fine && more)
        fine = each_chunk(record, &after, &more, each, data, error);
    return fine;
}

/* ---- verifying ---- */

typedef struct Verifying {
    Record *record;
    void (*tell)(const char *line, gpointer data);
    gpointer data;
    gint64 entries, sheets, index_rows;
    char *before;         /* digest of the last entry */
    gint64 before_seq;
    GHashTable *printed;  /* sheet numbers that were printed before */
    const Witness *witness;
} Verifying;

static void tell(Verifying *verifying, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void tell(Verifying *verifying, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *line = g_strdup_vprintf(format, facts);
    va_end(facts);
    verifying->tell(line, verifying->data);
}

static void check_chain(Verifying *verifying, const RecordEntry *entry, Arena *arena)
{
    if (entry->seq != verifying->before_seq + 1)
        tell(verifying, "entry %" G_GINT64_FORMAT " follows entry %" G_GINT64_FORMAT ": what stood between is gone",
             entry->seq, verifying->before_seq);
    else if (strcmp(record_chain(arena, verifying->before, entry), entry->digest) != 0)
        tell(verifying, "entry %" G_GINT64_FORMAT " (%s, sheet %" G_GINT64_FORMAT ") is not as it was written, or the "
             "one before it is not", entry->seq, record_kind_row(entry->kind)->word, entry->sheet);
    if (verifying->witness->there && entry->seq == verifying->witness->entry &&
        strcmp(entry->digest, verifying->witness->digest) != 0)
        tell(verifying, "entry %" G_GINT64_FORMAT " is another than record.head has seen", entry->seq);
}

static void take_row(const char *const *columns, gpointer data)
{
    g_ptr_array_add(data, g_strjoin(" ", columns[0], columns[1], columns[2], columns[3], NULL));
}

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static GPtrArray *wanted_rows(Arena *arena, const RecordEntry *entry)
{
    GPtrArray *wanted = g_ptr_array_new_with_free_func(g_free), *rows = record_index(arena, entry);
    for (guint i = 0; i < rows->len; i++) {
        const IndexRow *row = g_ptr_array_index(rows, i);
        g_ptr_array_add(wanted, row->word ? g_strdup_printf("%" G_GINT64_FORMAT " word 0 %s", entry->sheet, row->word)
                                          : g_strdup_printf("%" G_GINT64_FORMAT " %d %" G_GINT64_FORMAT " %"
                                                            G_GINT64_FORMAT, entry->sheet, row->injection, row->first,
                                                            row->last));
    }
    g_ptr_array_sort(wanted, by_text);
    return wanted;
}

/* What the sheet is found by must be what it says. */
static gboolean check_index(Verifying *verifying, const RecordEntry *entry, Arena *arena, GError **error)
{
    g_autofree char *seq = g_strdup_printf("%" G_GINT64_FORMAT, entry->seq);
    const char *const values[] = {seq};
    g_autoptr(GPtrArray) there = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GPtrArray) wanted = wanted_rows(arena, entry);
    if (!record_run(verifying->record, "SELECT sheet, injection, first, last FROM due WHERE entry = $1", values, 1,
                    take_row, there, error) ||
        !record_run(verifying->record, "SELECT sheet, 'word', 0, word FROM word WHERE entry = $1", values, 1, take_row,
                    there, error))
        return FALSE;
    g_ptr_array_sort(there, by_text);
    gboolean same = there->len == wanted->len;
    for (guint i = 0; same && i < there->len; i++)
        same = strcmp(g_ptr_array_index(there, i), g_ptr_array_index(wanted, i)) == 0;
    if (!same)
        tell(verifying, "sheet %" G_GINT64_FORMAT " is found by other words or times than it says", entry->sheet);
    verifying->index_rows += wanted->len;
    return TRUE;
}

static gboolean verify_entry(const RecordEntry *entry, Arena *arena, gpointer data, GError **error)
{
    Verifying *verifying = data;
    check_chain(verifying, entry, arena);
    verifying->entries++;
    verifying->sheets += entry->kind == RECORD_NUMBERED;
    g_free(verifying->before);
    verifying->before = g_strdup(entry->digest);
    verifying->before_seq = entry->seq;
    return !record_is_indexed(entry, verifying->printed) || check_index(verifying, entry, arena, error);
}

static void tell_altered(const char *const *columns, gpointer data)
{
    tell(data, "the tables are not as they were made: %s %s", columns[0], columns[1]);
}

static gboolean verify(Verifying *verifying, GError **error)
{
    gint64 rows;
    Store *store = verifying->record->store;
    if (!store->kind->altered(store, tell_altered, verifying, error) ||
        !each_entry(verifying->record, verify_entry, verifying, error) ||
        !record_number_of(verifying->record, "SELECT (SELECT count(*) FROM due) + (SELECT count(*) FROM word)", NULL, 0,
                          &rows, error))
        return FALSE;
    if (rows != verifying->index_rows)
        tell(verifying, "%" G_GINT64_FORMAT " rows find sheets, and %" G_GINT64_FORMAT " should", rows,
             verifying->index_rows);
    if (verifying->witness->there && verifying->witness->entry > verifying->before_seq)
        tell(verifying, "it ends with entry %" G_GINT64_FORMAT ", but entry %" G_GINT64_FORMAT " was written",
             verifying->before_seq, verifying->witness->entry);
    return TRUE;
}

gboolean record_verify(Record *record, void (*teller)(const char *line, gpointer data), gpointer data,
                       gint64 *entries, gint64 *sheets, GError **error)
{
    Witness witness;
    if (!witness_read(record->arena, record->place.folder, &witness, error) ||
        !record_run(record, record->store->kind->look, NULL, 0, NULL, NULL, error))
        return FALSE;
    Verifying verifying = {.record = record, .tell = teller, .data = data, .before = g_strdup(RECORD_START),
                           .printed = g_hash_table_new(NULL, NULL), .witness = &witness};
    gboolean fine = record->store->kind->sound(record->store, error) &&
                    record_version_known(record, error) && verify(&verifying, error);
    *entries = verifying.entries;
    *sheets = verifying.sheets;
    g_free(verifying.before);
    g_hash_table_unref(verifying.printed);
    return record_run(record, "ROLLBACK", NULL, 0, NULL, NULL, fine ? error : NULL) && fine;
}

/* ---- backup ---- */

typedef struct Copying {
    Store *to;
    GHashTable *printed;
    char *last; /* digest */
} Copying;

static gboolean copy_entry(const RecordEntry *entry, Arena *arena, gpointer data, GError **error)
{
    Copying *copying = data;
    if (!record_insert(copying->to, entry, error))
        return FALSE;
    g_free(copying->last);
    copying->last = g_strdup(entry->digest);
    return !record_is_indexed(entry, copying->printed) ||
           record_index_insert(copying->to, entry, record_index(arena, entry), error);
}

/* *last: digest of the last entry, the caller's. */
static gboolean copy_all(Record *record, Store *to, char **last, GError **error)
{
    Copying copying = {to, g_hash_table_new(NULL, NULL), NULL};
    const StoreKind *kind = to->kind;
    gboolean fine = kind->run(to, kind->begin, NULL, 0, NULL, NULL, error) && store_script(to, kind->schema, error) &&
                    kind->run(to, "INSERT INTO about VALUES (" G_STRINGIFY(RECORD_VERSION) ")", NULL, 0, NULL, NULL,
                              error) &&
                    record_run(record, record->store->kind->look, NULL, 0, NULL, NULL, error);
    if (fine) {
        fine = each_entry(record, copy_entry, &copying, error);
        record_run(record, "ROLLBACK", NULL, 0, NULL, NULL, NULL);
    }
    g_hash_table_unref(copying.printed);
    *last = copying.last;
    return fine && kind->run(to, "COMMIT", NULL, 0, NULL, NULL, error);
}

static gboolean fault(GError **error, const char *path)
{
    int code = errno;
    g_set_error(error, G_FILE_ERROR, g_file_error_from_errno(code), "cannot write %s: %s", path, g_strerror(code));
    return FALSE;
}

/* On the disk, and under its name, where nothing stood. */
static gboolean take_name(const char *part, const char *path, GError **error)
{
    int descriptor = open(part, O_RDONLY | O_CLOEXEC);
    gboolean fine = descriptor >= 0 && fsync(descriptor) == 0 && link(part, path) == 0;
    gboolean told = fine || fault(error, path);
    if (descriptor >= 0)
        close(descriptor);
    return told;
}

static void remove_part(const char *part)
{
    static const char *const endings[] = {"", "-wal", "-shm", "-journal"};
    for (gsize i = 0; i < G_N_ELEMENTS(endings); i++) {
        g_autofree char *path = g_strconcat(part, endings[i], NULL);
        g_unlink(path);
    }
}

gboolean record_backup(Record *record, const char *path, GError **error)
{
    if (g_file_test(path, G_FILE_TEST_EXISTS) || g_file_test(path, G_FILE_TEST_IS_SYMLINK)) {
        errno = EEXIST;
        return fault(error, path);
    }
    g_autofree char *part = g_strdup_printf("%s.%d.part", path, (int)getpid());
    gboolean empty;
    Store *to = store_sqlite.open(part, TRUE, &empty, error);
    g_autofree char *last = NULL;
    gboolean fine = to && copy_all(record, to, &last, error) && store_sqlite_alone(to, error);
    if (to)
        to->kind->close(to);
    fine = fine && store_sqlite_ends(part, last, error) && take_name(part, path, error);
    if (!fine)
        g_prefix_error(error, "no backup was made: ");
    remove_part(part);
    return fine;
}

/* ---- after a backup was brought back ---- */

gboolean record_restored(Arena *arena, const RecordPlace *place, const char *by, const char *because, GError **error)
{
    Witness witness;
    if (!witness_read(arena, place->folder, &witness, error))
        return FALSE;
    Record *record = record_open_as_is(arena, place, error);
    if (!record)
        return FALSE;
    g_autoptr(GString) body = g_string_new(NULL);
    g_string_append_printf(body, "number: %" G_GINT64_FORMAT "\nlost_after: %" G_GINT64_FORMAT "\n", witness.number,
                           witness.entry);
    record_line(body, "because", because);
    gboolean fine = record->store->kind->sound(record->store, error) &&
                    record_append(record, RECORD_RESTORED, 0, "", by, body->str, error);
    record_close(record);
    return fine;
}
