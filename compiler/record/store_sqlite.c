/* store_sqlite: the record as one file beside the clinic's files. */
#include <fcntl.h>
#include <sqlite3.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "record/store.h"

#define WAIT_MS 60000 /* for another run that writes */

typedef struct SqliteStore {
    Store store;
    sqlite3 *base;
    GHashTable *prepared; /* SQL -> sqlite3_stmt* */
    gboolean full;        /* the disk: it is read, and nothing can be written */
} SqliteStore;

/* Entries and what is found by them are only ever added. */
#define NEVER(table, what) \
    "CREATE TRIGGER " table "_never_" what " BEFORE " what " ON " table \
    " BEGIN SELECT RAISE(ABORT, 'the record is append only'); END\n--\n"

static const char schema[] =
    "CREATE TABLE about (version INTEGER NOT NULL)\n--\n"
    "CREATE TABLE entry (seq INTEGER PRIMARY KEY, at INTEGER NOT NULL, typed INTEGER NOT NULL, kind TEXT NOT NULL, "
    "clinic TEXT NOT NULL, sheet INTEGER NOT NULL, person TEXT NOT NULL, by_whom TEXT NOT NULL, body TEXT NOT NULL, "
    "digest TEXT NOT NULL UNIQUE)\n--\n"
    "CREATE INDEX entry_sheet ON entry (sheet, seq)\n--\n"
    "CREATE INDEX entry_person ON entry (person, seq)\n--\n"
    "CREATE INDEX entry_kind ON entry (kind, seq)\n--\n"
    "CREATE TABLE due (entry INTEGER NOT NULL REFERENCES entry (seq), sheet INTEGER NOT NULL, "
    "injection INTEGER NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL)\n--\n"
    "CREATE INDEX due_last ON due (last, first)\n--\n"
    "CREATE INDEX due_entry ON due (entry)\n--\n"
    "CREATE TABLE word (entry INTEGER NOT NULL REFERENCES entry (seq), sheet INTEGER NOT NULL, "
    "word TEXT NOT NULL)\n--\n"
    "CREATE INDEX word_word ON word (word)\n--\n"
    "CREATE INDEX word_entry ON word (entry)\n--\n"
    NEVER("entry", "UPDATE") NEVER("entry", "DELETE") NEVER("due", "UPDATE") NEVER("due", "DELETE")
    NEVER("word", "UPDATE") NEVER("word", "DELETE")
    "CREATE INDEX entry_typed ON entry (typed, at)";

static gboolean fail(SqliteStore *own, GError **error)
{
    int code = sqlite3_errcode(own->base) & 0xff;
    gboolean broken = code == SQLITE_CORRUPT || code == SQLITE_NOTADB;
    const char *why = own->full && code == SQLITE_READONLY ? sqlite3_errstr(SQLITE_FULL) : sqlite3_errmsg(own->base);
    g_set_error(error, STORE_ERROR, broken ? STORE_BROKEN : STORE_FAILED, "%s", why);
    return FALSE;
}

static sqlite3_stmt *prepared(SqliteStore *own, const char *sql, GError **error)
{
    sqlite3_stmt *known = g_hash_table_lookup(own->prepared, sql);
    if (known)
        return known;
    if (sqlite3_prepare_v2(own->base, sql, -1, &known, NULL) != SQLITE_OK) {
        fail(own, error);
        return NULL;
    }
    g_hash_table_insert(own->prepared, g_strdup(sql), known);
    return known;
}

static void bind(sqlite3_stmt *statement, const char *const *values, int count)
{
    for (int i = 0; i < count; i++) {
        char name[16];
        g_snprintf(name, sizeof name, "$%d", i + 1);
        sqlite3_bind_text(statement, sqlite3_bind_parameter_index(statement, name), values[i], -1, SQLITE_STATIC);
    }
}

static void hand_row(sqlite3_stmt *statement, StoreRow row, gpointer data)
{
    int count = sqlite3_column_count(statement);
    const char *columns[16];
    g_assert(count <= (int)G_N_ELEMENTS(columns));
    for (int i = 0; i < count; i++)
        columns[i] = (const char *)sqlite3_column_text(statement, i);
    row(columns, data);
}

static gboolean sqlite_run(Store *store, const char *sql, const char *const *values, int count, StoreRow row,
                           gpointer data, GError **error)
{
    SqliteStore *own = (SqliteStore *)store;
    sqlite3_stmt *statement = prepared(own, sql, error);
    if (!statement)
        return FALSE;
    bind(statement, values, count);
    int code;
    while ((code = sqlite3_step(statement)) == SQLITE_ROW)
        if (row)
            hand_row(statement, row, data);
    gboolean fine = code == SQLITE_DONE || fail(own, error);
    sqlite3_reset(statement);
    sqlite3_clear_bindings(statement);
    return fine;
}

static void first_column(const char *const *columns, gpointer data)
{
    char **out = data;
    if (!*out)
        *out = g_strdup(columns[0] ? columns[0] : "");
}

#define LOOK_AGAIN_US 5000

/* SQLite waits by itself for another's lock, but not where two could wait for one another: of two runs
 * that make one new record at once, one is told at the change to WAL that it is locked. */
static gboolean to_wal(Store *store, GError **error)
{
    SqliteStore *own = (SqliteStore *)store;
    gint64 until = g_get_monotonic_time() + WAIT_MS * G_GINT64_CONSTANT(1000);
    for (;;) {
        g_autoptr(GError) why = NULL;
        g_autofree char *mode = NULL;
        if (sqlite_run(store, "PRAGMA journal_mode = WAL", NULL, 0, first_column, &mode, &why))
            return TRUE;
        if ((sqlite3_errcode(own->base) & 0xff) != SQLITE_BUSY || g_get_monotonic_time() > until) {
            g_propagate_error(error, g_steal_pointer(&why));
            return FALSE;
        }
        g_usleep(LOOK_AGAIN_US);
    }
}

/* Foreign keys hold, a commit is on the disk before it is told, readers do not stop a writer, and
 * nothing of it passes through a folder that all share. */
static gboolean settle(Store *store, GError **error)
{
    return sqlite_run(store, "PRAGMA foreign_keys = ON", NULL, 0, NULL, NULL, error) &&
           to_wal(store, error) &&
           sqlite_run(store, "PRAGMA synchronous = FULL", NULL, 0, NULL, NULL, error) &&
           sqlite_run(store, "PRAGMA temp_store = MEMORY", NULL, 0, NULL, NULL, error) &&
           sqlite_run(store, "PRAGMA trusted_schema = OFF", NULL, 0, NULL, NULL, error);
}

static void sqlite_close(Store *store)
{
    SqliteStore *own = (SqliteStore *)store;
    g_hash_table_unref(own->prepared);
    sqlite3_close(own->base);
    g_free(own);
}

/* A link would lead people's data elsewhere; a pipe would hang. */
static gboolean plain_or_absent(const char *path, gboolean *there, GError **error)
{
    struct stat found;
    *there = lstat(path, &found) == 0;
    if (!*there || S_ISREG(found.st_mode))
        return TRUE;
    g_set_error_literal(error, STORE_ERROR, STORE_FAILED, "it is not a plain file");
    return FALSE;
}

static void finish_statement(gpointer statement) { sqlite3_finalize(statement); }

#define UNSHARED "unix-none" /* of SQLite: without locks */

/* Of a full disk it is read alone, and without the file that readers share with a writer ("-shm"), for
 * which there is no room. */
static gboolean open_base(SqliteStore *own, const char *address, gboolean create, GError **error)
{
    int flags = (own->full ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE) | SQLITE_OPEN_NOFOLLOW |
                (create && !own->full ? SQLITE_OPEN_CREATE : 0);
    if (sqlite3_open_v2(address, &own->base, flags, own->full ? UNSHARED : NULL) != SQLITE_OK)
        return fail(own, error);
    sqlite3_busy_timeout(own->base, WAIT_MS);
    return (!own->full || sqlite_run(&own->store, "PRAGMA locking_mode = EXCLUSIVE", NULL, 0, NULL, NULL, error)) &&
           settle(&own->store, error);
}

static void close_base(SqliteStore *own)
{
    g_hash_table_remove_all(own->prepared);
    sqlite3_close(own->base);
    own->base = NULL;
}

/* The error of one who finds no room for the shared file.  While another run has the record open the
 * file is there, and the error does not come. */
static gboolean has_no_room(const SqliteStore *own)
{
    static const int codes[] = {SQLITE_FULL, SQLITE_IOERR_SHMSIZE, SQLITE_IOERR_SHMOPEN, SQLITE_IOERR_WRITE};
    int code = sqlite3_extended_errcode(own->base);
    for (gsize i = 0; i < G_N_ELEMENTS(codes); i++)
        if (code == codes[i])
            return TRUE;
    return FALSE;
}

/* On a full disk nothing is written, but a night can still be looked up. */
static gboolean open_somehow(SqliteStore *own, const char *address, gboolean create, GError **error)
{
    g_autoptr(GError) why = NULL;
    if (open_base(own, address, create, &why))
        return TRUE;
    if (!has_no_room(own)) {
        g_propagate_error(error, g_steal_pointer(&why));
        return FALSE;
    }
    close_base(own);
    own->full = TRUE;
    return open_base(own, address, create, error);
}

static Store *sqlite_open(const char *address, gboolean create, gboolean *empty, GError **error)
{
    gboolean there;
    if (!plain_or_absent(address, &there, error))
        return NULL;
    SqliteStore *own = g_new0(SqliteStore, 1);
    own->store.kind = &store_sqlite;
    own->prepared = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, finish_statement);
    g_autofree char *tables = NULL;
    gboolean fine = open_somehow(own, address, create, error) &&
                    sqlite_run(&own->store, "SELECT count(*) FROM sqlite_master WHERE name = 'about'", NULL, 0,
                               first_column, &tables, error);
    if (!fine) {
        sqlite_close(&own->store);
        return NULL;
    }
    *empty = g_strcmp0(tables, "0") == 0;
    return &own->store;
}

static gboolean sqlite_sound(Store *store, GError **error)
{
    g_autofree char *said = NULL;
    if (!sqlite_run(store, "PRAGMA quick_check(1)", NULL, 0, first_column, &said, error))
        return FALSE;
    if (g_strcmp0(said, "ok") == 0)
        return TRUE;
    /* A page that the disk does not give is not one that holds something else. */
    gboolean unread = strstr(said ? said : "", "unable to get the page") != NULL;
    g_set_error(error, STORE_ERROR, unread ? STORE_FAILED : STORE_BROKEN, "%s",
                unread ? "the disk does not give all of it" : said);
    return FALSE;
}

/* Of SQLite's own none, which it makes and keeps by itself. */
#define MADE "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT GLOB 'sqlite_*' ORDER BY name"

static void take_made(const char *const *columns, gpointer data)
{
    g_hash_table_insert(data, g_strdup(columns[0]), g_strdup(columns[1]));
}

/* The name of what a statement of the schema makes: its third word. */
static char *name_made(const char *statement)
{
    g_auto(GStrv) words = g_strsplit(statement, " ", 4);
    return g_strdup(words[2]);
}

/* SQLite keeps each statement as it was written. */
static gboolean sqlite_altered(Store *store, StoreRow row, gpointer data, GError **error)
{
    g_autoptr(GHashTable) made = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    if (!sqlite_run(store, MADE, NULL, 0, take_made, made, error))
        return FALSE;
    g_auto(GStrv) statements = g_strsplit(schema, "\n--\n", -1);
    for (char **statement = statements; *statement; statement++) {
        g_autofree char *name = name_made(*statement);
        const char *there = g_hash_table_lookup(made, name);
        if (g_strcmp0(there, *statement) != 0)
            row((const char *const[]){name, there ? "is another" : "is gone"}, data);
        g_hash_table_remove(made, name);
    }
    g_autoptr(GList) others = g_list_sort(g_hash_table_get_keys(made), (GCompareFunc)strcmp);
    for (const GList *other = others; other; other = other->next)
        row((const char *const[]){other->data, "was not made by this program"}, data);
    return TRUE;
}

gboolean store_sqlite_alone(Store *store, GError **error)
{
    g_autofree char *busy = NULL;
    if (!sqlite_run(store, "PRAGMA wal_checkpoint(TRUNCATE)", NULL, 0, first_column, &busy, error))
        return FALSE;
    if (g_strcmp0(busy, "0") == 0)
        return TRUE;
    g_set_error_literal(error, STORE_ERROR, STORE_FAILED, "its journal could not be taken into it");
    return FALSE;
}

gboolean store_sqlite_ends(const char *path, const char *digest, GError **error)
{
    SqliteStore own = {.store.kind = &store_sqlite, .full = TRUE};
    own.prepared = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, finish_statement);
    g_autofree char *last = NULL;
    gboolean fine = open_base(&own, path, FALSE, error) && sqlite_sound(&own.store, error) &&
                    sqlite_run(&own.store, "SELECT digest FROM entry ORDER BY seq DESC LIMIT 1", NULL, 0, first_column,
                               &last, error);
    close_base(&own);
    g_hash_table_unref(own.prepared);
    if (fine && g_strcmp0(last, digest) != 0) {
        g_set_error_literal(error, STORE_ERROR, STORE_FAILED, "the disk gives another copy than was written");
        return FALSE;
    }
    return fine;
}

const StoreKind store_sqlite = {
    .open = sqlite_open,
    .close = sqlite_close,
    .run = sqlite_run,
    .begin = "BEGIN IMMEDIATE",
    .look = "BEGIN",
    .sound = sqlite_sound,
    .altered = sqlite_altered,
    .schema = schema,
};
