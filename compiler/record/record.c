/* record: opening, transactions, appending. */
#include <string.h>
#include <sys/stat.h>

#include "record/parts.h"

/* Clocks of several machines with one record differ a little. */
#define CLOCK_SLACK 600 /* seconds */

static const RecordKindRow kinds[] = {
#define ENTRY(ID, word, noted, description) {word, noted, description},
#include "record/entries.def"
};

const RecordKindRow *record_kind_row(RecordKind kind) { return &kinds[kind]; }

gboolean record_kind_find(const char *word, RecordKind *out)
{
    for (int kind = 0; kind < RECORD_KINDS; kind++)
        if (strcmp(kinds[kind].word, word) == 0) {
            *out = (RecordKind)kind;
            return TRUE;
        }
    return FALSE;
}

Arena *record_scratch(Record *record)
{
    Arena *own = record->arena;
    record->arena = arena_new();
    return own;
}

void record_scratch_end(Record *record, Arena *own)
{
    arena_free(record->arena);
    record->arena = own;
}

/* ---- statements ---- */

gboolean record_run(Record *record, const char *sql, const char *const *values, int count, StoreRow row, gpointer data,
                    GError **error)
{
    if (record->store->kind->run(record->store, sql, values, count, row, data, error))
        return TRUE;
    record->failed = TRUE;
    g_prefix_error(error, "the record %s: ", record->place.address);
    return FALSE;
}

static void take_number(const char *const *columns, gpointer data)
{
    *(gint64 *)data = columns[0] ? g_ascii_strtoll(columns[0], NULL, 10) : 0;
}

gboolean record_number_of(Record *record, const char *sql, const char *const *values, int count, gint64 *out,
                          GError **error)
{
    *out = 0;
    return record_run(record, sql, values, count, take_number, out, error);
}

typedef struct Taking {
    Arena *arena;
    GPtrArray *entries;
    const char *strange; /* a kind of entry that this program does not know */
} Taking;

static void take_entry(const char *const *columns, gpointer data)
{
    Taking *taking = data;
    RecordEntry *entry = arena_new0(taking->arena, RecordEntry);
    if (!record_kind_find(columns[3], &entry->kind)) {
        taking->strange = arena_copy(taking->arena, columns[3]);
        return;
    }
    entry->seq = g_ascii_strtoll(columns[0], NULL, 10);
    entry->at = g_ascii_strtoll(columns[1], NULL, 10);
    entry->typed = columns[2][0] == '1';
    entry->clinic = arena_copy(taking->arena, columns[4]);
    entry->sheet = g_ascii_strtoll(columns[5], NULL, 10);
    entry->person = arena_copy(taking->arena, columns[6]);
    entry->by = arena_copy(taking->arena, columns[7]);
    entry->body = arena_copy(taking->arena, columns[8]);
    entry->digest = arena_copy(taking->arena, columns[9]);
    g_ptr_array_add(taking->entries, entry);
}

gboolean record_entries(Record *record, const char *sql, const char *const *values, int count, GPtrArray *entries,
                        GError **error)
{
    Taking taking = {record->arena, entries, NULL};
    if (!record_run(record, sql, values, count, take_entry, &taking, error))
        return FALSE;
    if (!taking.strange)
        return TRUE;
    g_set_error(error, STORE_ERROR, STORE_BROKEN, "the record %s holds an entry of an unknown kind, \"%s\"",
                record->place.address, taking.strange);
    return FALSE;
}

/* ---- bodies ---- */

void record_line(GString *body, const char *word, const char *value)
{
    g_autofree char *valid = g_utf8_make_valid(value, -1);
    g_string_append_printf(body, "%s: ", word);
    for (const char *at = valid; *at; at++)
        if (*at == '\n' || *at == '\r' || *at == '\\')
            g_string_append_printf(body, "\\%c", *at == '\n' ? 'n' : *at == '\r' ? 'r' : '\\');
        else
            g_string_append_c(body, *at);
    g_string_append_c(body, '\n');
}

static char *plain(Arena *arena, const char *from, gsize length)
{
    char *text = arena_alloc(arena, length + 1), *to = text;
    for (gsize i = 0; i < length; i++) {
        gboolean escape = from[i] == '\\' && i + 1 < length;
        char letter = escape ? from[++i] : from[i];
        *to++ = escape && letter == 'n' ? '\n' : escape && letter == 'r' ? '\r' : letter;
    }
    return text;
}

const char *record_value(Arena *arena, const char *body, const char *word)
{
    g_autofree char *wanted = g_strconcat(word, ": ", NULL);
    const gsize size = strlen(wanted);
    for (const char *at = body ? strstr(body, wanted) : NULL; at; at = strstr(at + size, wanted))
        if (at == body || at[-1] == '\n')
            return plain(arena, at + size, strcspn(at + size, "\n"));
    return NULL;
}

/* ---- the chain ---- */

char *record_chain(Arena *arena, const char *before, const RecordEntry *entry)
{
    g_autofree char *text = g_strdup_printf(
        "%s\n%" G_GINT64_FORMAT "\n%" G_GINT64_FORMAT "\n%d\n%s\n%s\n%" G_GINT64_FORMAT "\n%s\n%s\n%s", before,
        entry->seq, entry->at, entry->typed, kinds[entry->kind].word, entry->clinic, entry->sheet, entry->person,
        entry->by, entry->body);
    g_autofree char *digest = digest_text(text);
    return arena_copy(arena, digest);
}

gboolean record_insert(Store *store, const RecordEntry *entry, GError **error)
{
    g_autofree char *seq = g_strdup_printf("%" G_GINT64_FORMAT, entry->seq);
    g_autofree char *at = g_strdup_printf("%" G_GINT64_FORMAT, entry->at);
    g_autofree char *sheet = g_strdup_printf("%" G_GINT64_FORMAT, entry->sheet);
    const char *values[] = {seq, at, entry->typed ? "1" : "0", kinds[entry->kind].word, entry->clinic, sheet,
                            entry->person, entry->by, entry->body, entry->digest};
    return store->kind->run(store, "INSERT INTO entry (" RECORD_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, "
                            "$10)", values, G_N_ELEMENTS(values), NULL, NULL, error);
}

/* The last entry; zero and the chain's start when there is none. */
static gboolean find_last(Record *record, GError **error)
{
    GPtrArray *entries = arena_list(record->arena);
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry ORDER BY seq DESC LIMIT 1", NULL, 0, entries,
                        error))
        return FALSE;
    const RecordEntry *entry = entries->len ? g_ptr_array_index(entries, 0) : NULL;
    record->last = entry ? entry->seq : 0;
    g_strlcpy(record->last_digest, entry ? entry->digest : RECORD_START, sizeof record->last_digest);
    return TRUE;
}

/* ---- transactions ---- */

gboolean record_begin(Record *record, GError **error)
{
    if (record->depth == 0) {
        gint64 counted = record->last;
        record->failed = record->added = FALSE;
        if (!record_run(record, record->store->kind->begin, NULL, 0, NULL, NULL, error))
            return FALSE;
        if (!find_last(record, error)) {
            record_run(record, "ROLLBACK", NULL, 0, NULL, NULL, NULL);
            return FALSE;
        }
        if (record->last != counted) /* another run has written */
            record_lots_forget(record);
    }
    record->depth++;
    return TRUE;
}

/* A witness that lags behind is no harm: the next one catches up. */
static void tell_witness(Record *record)
{
    Witness witness = {TRUE, record->last, 0, record->last_digest};
    if (record_number_of(record, "SELECT max(sheet) FROM entry", NULL, 0, &witness.number, NULL))
        witness_write(record->place.folder, &witness, NULL);
}

gboolean record_end(Record *record, gboolean fine, GError **error)
{
    g_assert(record->depth > 0);
    record->failed |= !fine;
    if (--record->depth > 0)
        return fine;
    if (record->failed || !record_run(record, "COMMIT", NULL, 0, NULL, NULL, error)) {
        record_run(record, "ROLLBACK", NULL, 0, NULL, NULL, NULL);
        record_lots_forget(record);
        return FALSE;
    }
    if (record->added)
        tell_witness(record);
    return TRUE;
}

static gboolean append(Record *record, RecordEntry *entry, GError **error)
{
    entry->seq = record->last + 1;
    entry->digest = record_chain(record->arena, record->last_digest, entry);
    if (!record_insert(record->store, entry, error)) {
        record->failed = TRUE;
        g_prefix_error(error, "the record %s: ", record->place.address);
        return FALSE;
    }
    record->last = entry->seq;
    g_strlcpy(record->last_digest, entry->digest, sizeof record->last_digest);
    record->added = TRUE;
    if (entry->kind != RECORD_NUMBERED)
        record_lots_forget(record);
    return TRUE;
}

static const char *one_line(Arena *arena, const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text ? text : "", -1);
    return arena_copy(arena, g_strdelimit(valid, "\n\r", ' '));
}

/* The place in its own bytes: the caller's may live less long. */
static RecordEntry entry_of(Record *record, RecordKind kind, gint64 sheet, const char *person, const char *by,
                            const char *body)
{
    Arena *arena = record->arena;
    g_autofree char *valid = g_utf8_make_valid(body ? body : "", -1);
    return (RecordEntry){.at = record->place.now, .typed = record->place.typed, .kind = kind,
                         .clinic = one_line(arena, record->place.clinic), .sheet = sheet,
                         .person = one_line(arena, person), .by = one_line(arena, by),
                         .body = arena_copy(arena, valid)};
}

gboolean record_append(Record *record, RecordKind kind, gint64 sheet, const char *person, const char *by,
                       const char *body, GError **error)
{
    Arena *own = record_scratch(record);
    gboolean fine = record_begin(record, error);
    if (fine) {
        RecordEntry entry = entry_of(record, kind, sheet, person, by, body);
        fine = append(record, &entry, error);
        fine = record_end(record, fine, error);
    }
    record_scratch_end(record, own);
    return fine;
}

/* ---- opening ---- */

gboolean record_on_server(const char *address)
{
    return g_str_has_prefix(address, "postgresql://") || g_str_has_prefix(address, "postgres://");
}

static gboolean broken(GError **error, const Record *record, const char *format, ...) G_GNUC_PRINTF(3, 4);

static gboolean broken(GError **error, const Record *record, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    g_set_error(error, STORE_ERROR, STORE_BROKEN,
                "the record %s %s; nothing is written to it: look with \"dosewright record verify\", or bring back the "
                "last backup", record->place.address, text);
    return FALSE;
}

/* Tables and first entry, unless another run was faster. */
static gboolean make_tables(Record *record, gboolean *made, GError **error)
{
    const StoreKind *kind = record->store->kind;
    gint64 there;
    gboolean fine = record_run(record, kind->begin, NULL, 0, NULL, NULL, error);
    fine = fine && record_number_of(record, kind == &store_sqlite
                                    ? "SELECT count(*) FROM sqlite_master WHERE name = 'about'"
                                    : "SELECT count(*) FROM pg_tables WHERE tablename = 'about' AND schemaname = "
                                      "current_schema()", NULL, 0, &there, error);
    *made = fine && there == 0;
    if (*made) {
        RecordEntry entry = entry_of(record, RECORD_OPENED, 0, "", "", "");
        record->last = 0;
        g_strlcpy(record->last_digest, RECORD_START, sizeof record->last_digest);
        g_autofree char *version = g_strdup_printf("INSERT INTO about VALUES (%d)", RECORD_VERSION);
        fine = store_script(record->store, kind->schema, error) &&
               record_run(record, version, NULL, 0, NULL, NULL, error) && append(record, &entry, error);
    }
    if (fine && record_run(record, "COMMIT", NULL, 0, NULL, NULL, error))
        return TRUE;
    record_run(record, "ROLLBACK", NULL, 0, NULL, NULL, NULL);
    return FALSE;
}

gboolean record_version_known(Record *record, GError **error)
{
    gint64 version;
    if (!record_number_of(record, "SELECT version FROM about", NULL, 0, &version, error))
        return FALSE;
    if (version == RECORD_VERSION)
        return TRUE;
    g_set_error(error, STORE_ERROR, STORE_FAILED,
                "the record %s is of version %" G_GINT64_FORMAT ", this program knows version %d: use the %s program",
                record->place.address, version, RECORD_VERSION, version > RECORD_VERSION ? "newer" : "older");
    return FALSE;
}

/* What the witness has seen must be there still. */
static gboolean witness_holds(Record *record, const Witness *witness, GError **error)
{
    if (!witness->there)
        return TRUE;
    if (witness->entry > record->last)
        return broken(error, record, "ends with entry %" G_GINT64_FORMAT ", but entry %" G_GINT64_FORMAT
                      " was written", record->last, witness->entry);
    GPtrArray *entries = arena_list(record->arena);
    g_autofree char *seq = g_strdup_printf("%" G_GINT64_FORMAT, witness->entry);
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE seq = $1",
                        (const char *const[]){seq}, 1, entries, error))
        return FALSE;
    if (entries->len && strcmp(((RecordEntry *)g_ptr_array_index(entries, 0))->digest, witness->digest) == 0)
        return TRUE;
    return broken(error, record, "has another entry %" G_GINT64_FORMAT " than was written", witness->entry);
}

/* The last entries follow one another: an edit of yesterday shows at once, one of last year
 * with "record verify". */
static gboolean end_is_chained(Record *record, GError **error)
{
    GPtrArray *entries = arena_list(record->arena);
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry ORDER BY seq DESC LIMIT 64", NULL, 0, entries,
                        error))
        return FALSE;
    for (guint i = 0; i < entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(entries, i);
        const RecordEntry *before = i + 1 < entries->len ? g_ptr_array_index(entries, i + 1) : NULL;
        if (!before && entry->seq > 1)
            return TRUE;
        if (entry->seq != (before ? before->seq : 0) + 1)
            return broken(error, record, "lacks what stood before entry %" G_GINT64_FORMAT, entry->seq);
        if (strcmp(entry->digest, record_chain(record->arena, before ? before->digest : RECORD_START, entry)) != 0)
            return broken(error, record, "was edited at entry %" G_GINT64_FORMAT, entry->seq);
    }
    return TRUE;
}

/* A clock that was set back would make late injections look early. */
static gboolean clock_holds(Record *record, GError **error)
{
    gint64 last;
    if (record->place.typed)
        return TRUE;
    if (!record_number_of(record, "SELECT max(at) FROM entry WHERE typed = 0", NULL, 0, &last, error))
        return FALSE;
    if (record->place.now + CLOCK_SLACK >= last)
        return TRUE;
    g_autoptr(GDateTime) own = g_date_time_new_from_unix_utc(record->place.now);
    g_autoptr(GDateTime) others = g_date_time_new_from_unix_utc(last);
    g_autofree char *is = g_date_time_format_iso8601(own), *was = g_date_time_format_iso8601(others);
    g_set_error(error, STORE_ERROR, STORE_FAILED,
                "the clock of this machine says %s, but the last entry of the record is of %s: set the clock", is, was);
    return FALSE;
}

static gboolean whole(Record *record, const Witness *witness, GError **error)
{
    g_autoptr(GError) why = NULL;
    if (!record->place.glance && !record->store->kind->sound(record->store, &why)) {
        if (g_error_matches(why, STORE_ERROR, STORE_BROKEN))
            return broken(error, record, "is damaged (%s)", why->message);
        g_propagate_prefixed_error(error, g_steal_pointer(&why), "cannot read the record %s: ", record->place.address);
        return FALSE;
    }
    return record_version_known(record, error) && find_last(record, error) && witness_holds(record, witness, error) &&
           end_is_chained(record, error) && clock_holds(record, error);
}

/* What the database says of a file cut short or of another kind, in our words. */
static void explain(GError **error, const Record *record)
{
    if (!error || !g_error_matches(*error, STORE_ERROR, STORE_BROKEN)) {
        if (error)
            g_prefix_error(error, "cannot open the record %s: ", record->place.address);
        return;
    }
    g_autofree char *why = g_strdup((*error)->message);
    g_clear_error(error);
    broken(error, record, "is damaged (%s)", why);
}

/* An empty file would be taken for a new record. */
static gboolean is_nothing(const char *path)
{
    struct stat found;
    return lstat(path, &found) != 0 || (S_ISREG(found.st_mode) && found.st_size == 0);
}

static Record *open_store(Arena *arena, const RecordPlace *place, const Witness *witness, GError **error)
{
    Record *record = arena_new0(arena, Record);
    record->arena = arena;
    record->place = *place;
    gboolean database = record_on_server(place->address), empty = FALSE;
    g_autofree char *path = database ? g_strdup(place->address) : g_build_filename(place->folder, place->address, NULL);
    const StoreKind *kind = database ? &store_postgres : &store_sqlite;
    gboolean gone = witness->there && !database && is_nothing(path);
    if (!gone) {
        record->store = kind->open(path, !witness->there, &empty, error);
        if (!record->store) {
            explain(error, record);
            return NULL;
        }
    }
    gboolean made = FALSE;
    if (gone || (empty && witness->there))
        broken(error, record, "is gone, though %" G_GINT64_FORMAT " entries were written into it", witness->entry);
    else if (!empty || make_tables(record, &made, error)) {
        if (made)
            tell_witness(record);
        return record;
    }
    record_close(record);
    return NULL;
}

Record *record_open_as_is(Arena *arena, const RecordPlace *place, GError **error)
{
    Witness witness;
    return witness_read(arena, place->folder, &witness, error) ? open_store(arena, place, &witness, error) : NULL;
}

Record *record_open(Arena *arena, const RecordPlace *place, GError **error)
{
    Witness witness;
    if (!witness_read(arena, place->folder, &witness, error))
        return NULL;
    Record *record = open_store(arena, place, &witness, error);
    if (!record || whole(record, &witness, error))
        return record;
    record_close(record);
    return NULL;
}

void record_close(Record *record)
{
    if (record && record->store)
        record->store->kind->close(record->store);
    if (record) {
        record_lots_forget(record);
        g_clear_pointer(&record->seals, g_hash_table_unref);
        record->store = NULL;
    }
}
