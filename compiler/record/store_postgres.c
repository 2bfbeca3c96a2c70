/* store_postgres: one record for a group of clinics.  libpq is loaded by its name, and only
 * when a clinic's record is such a one, so that every other run starts without it. */
#include <dlfcn.h>
#include <libpq-fe.h>
#include <string.h>

#include "record/store.h"

#define LIBRARY "libpq.so.5"

/* What is asked of the library. */
#define FUNCTIONS(F) \
    F(PQconnectdb) F(PQstatus) F(PQerrorMessage) F(PQfinish) F(PQexec) F(PQexecParams) F(PQresultStatus) \
    F(PQresultErrorMessage) F(PQntuples) F(PQnfields) F(PQgetvalue) F(PQclear) F(PQsetNoticeProcessor)

static struct Library {
#define MEMBER(name) __typeof__(&name) name;
    FUNCTIONS(MEMBER)
} library;

typedef struct PostgresStore {
    Store store;
    PGconn *connection;
} PostgresStore;

#define NEVER(table) \
    "CREATE TRIGGER " table "_never BEFORE UPDATE OR DELETE OR TRUNCATE ON " table \
    " FOR EACH STATEMENT EXECUTE FUNCTION append_only()\n--\n"

static const char schema[] =
    "CREATE TABLE about (version BIGINT NOT NULL)\n--\n"
    "CREATE TABLE entry (seq BIGINT PRIMARY KEY, at BIGINT NOT NULL, typed BIGINT NOT NULL, kind TEXT NOT NULL, "
    "clinic TEXT NOT NULL, sheet BIGINT NOT NULL, person TEXT NOT NULL, by_whom TEXT NOT NULL, body TEXT NOT NULL, "
    "digest TEXT NOT NULL UNIQUE)\n--\n"
    "CREATE INDEX entry_sheet ON entry (sheet, seq)\n--\n"
    "CREATE INDEX entry_person ON entry (person, seq)\n--\n"
    "CREATE INDEX entry_kind ON entry (kind, seq)\n--\n"
    "CREATE TABLE due (entry BIGINT NOT NULL REFERENCES entry (seq), sheet BIGINT NOT NULL, "
    "injection BIGINT NOT NULL, first BIGINT NOT NULL, last BIGINT NOT NULL)\n--\n"
    "CREATE INDEX due_last ON due (last, first)\n--\n"
    "CREATE INDEX due_entry ON due (entry)\n--\n"
    "CREATE TABLE word (entry BIGINT NOT NULL REFERENCES entry (seq), sheet BIGINT NOT NULL, "
    "word TEXT COLLATE \"C\" NOT NULL)\n--\n"
    "CREATE INDEX word_word ON word (word)\n--\n"
    "CREATE INDEX word_entry ON word (entry)\n--\n"
    "CREATE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql AS "
    "'BEGIN RAISE EXCEPTION ''the record is append only''; END'\n--\n"
    NEVER("entry") NEVER("due") NEVER("word")
    "CREATE INDEX entry_typed ON entry (typed, at)";

static gboolean load(GError **error)
{
    if (library.PQconnectdb)
        return TRUE;
    void *file = dlopen(LIBRARY, RTLD_NOW | RTLD_LOCAL);
    gboolean whole = file != NULL;
#define LOAD(name) whole = whole && (*(void **)&library.name = dlsym(file, #name)) != NULL;
    FUNCTIONS(LOAD)
    if (whole)
        return TRUE;
    memset(&library, 0, sizeof library);
    g_set_error(error, STORE_ERROR, STORE_FAILED, "%s is not there (package libpq5): %s", LIBRARY,
                file ? "not the right version" : dlerror());
    return FALSE;
}

static gboolean fail(const char *said, GError **error)
{
    g_autofree char *one = g_strdelimit(g_strstrip(g_strdup(said)), "\n\t", ' ');
    g_set_error(error, STORE_ERROR, STORE_FAILED, "%s", one);
    return FALSE;
}

static void hand_rows(PGresult *result, StoreRow row, gpointer data)
{
    int count = library.PQnfields(result);
    const char *columns[16];
    g_assert(count <= (int)G_N_ELEMENTS(columns));
    for (int at = 0; at < library.PQntuples(result); at++) {
        for (int i = 0; i < count; i++)
            columns[i] = library.PQgetvalue(result, at, i);
        row(columns, data);
    }
}

static gboolean postgres_run(Store *store, const char *sql, const char *const *values, int count, StoreRow row,
                             gpointer data, GError **error)
{
    PGconn *connection = ((PostgresStore *)store)->connection;
    PGresult *result = count > 0 ? library.PQexecParams(connection, sql, count, NULL, values, NULL, NULL, 0)
                                 : library.PQexec(connection, sql);
    ExecStatusType status = library.PQresultStatus(result);
    gboolean fine = status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK;
    if (!fine)
        fail(result ? library.PQresultErrorMessage(result) : library.PQerrorMessage(connection), error);
    else if (row)
        hand_rows(result, row, data);
    library.PQclear(result);
    return fine;
}

static void postgres_close(Store *store)
{
    library.PQfinish(((PostgresStore *)store)->connection);
    g_free(store);
}

static void quiet(void *data, const char *message)
{
    (void)data, (void)message;
}

static void found_table(const char *const *columns, gpointer data) { *(gboolean *)data = columns[0][0] == '0'; }

static Store *postgres_open(const char *address, gboolean create, gboolean *empty, GError **error)
{
    (void)create; /* the database is there or not; the tables are made by record_open */
    if (!load(error))
        return NULL;
    PostgresStore *own = g_new0(PostgresStore, 1);
    own->store.kind = &store_postgres;
    own->connection = library.PQconnectdb(address);
    gboolean fine = library.PQstatus(own->connection) == CONNECTION_OK ||
                    fail(library.PQerrorMessage(own->connection), error);
    if (fine)
        library.PQsetNoticeProcessor(own->connection, quiet, NULL);
    fine = fine && postgres_run(&own->store, "SET client_encoding TO 'UTF8'", NULL, 0, NULL, NULL, error) &&
           postgres_run(&own->store, "SET synchronous_commit TO 'on'", NULL, 0, NULL, NULL, error) &&
           postgres_run(&own->store, "SELECT count(*) FROM pg_tables WHERE tablename = 'about' AND "
                        "schemaname = current_schema()", NULL, 0, found_table, empty, error);
    if (fine)
        return &own->store;
    postgres_close(&own->store);
    return NULL;
}

/* The server looks after its own pages; that its tables answer is asked. */
static gboolean postgres_sound(Store *store, GError **error)
{
    return postgres_run(store, "SELECT version FROM about", NULL, 0, NULL, NULL, error);
}

/* Of the catalogue: 58 is a trigger before update, delete or truncate of each statement; it stands whatever a
 * session replays ("A") or not ("O"). */
#define OURS "relnamespace = current_schema()::regnamespace AND relname IN ('about', 'entry', 'due', 'word')"
#define ALTERED \
    "SELECT kept || '_never', 'is gone' FROM unnest(ARRAY['entry', 'due', 'word']) AS kept WHERE NOT EXISTS (" \
    "SELECT 1 FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid JOIN pg_proc ON pg_proc.oid = tgfoid " \
    "WHERE " OURS " AND relname = kept AND tgname = kept || '_never' AND tgenabled IN ('O', 'A') AND tgtype = 58 AND " \
    "tgqual IS NULL AND prosrc = 'BEGIN RAISE EXCEPTION ''the record is append only''; END') " \
    "UNION ALL SELECT made, 'is gone' FROM unnest(ARRAY['entry_pkey', 'entry_digest_key', 'entry_sheet', " \
    "'entry_person', 'entry_kind', 'entry_typed', 'due_last', 'due_entry', 'word_word', 'word_entry']) AS made " \
    "WHERE made NOT IN (SELECT indexname FROM pg_indexes WHERE schemaname = current_schema()) " \
    "UNION ALL SELECT tgname, 'was not made by this program' FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid " \
    "WHERE " OURS " AND NOT tgisinternal AND tgname NOT IN ('entry_never', 'due_never', 'word_never') " \
    "UNION ALL SELECT rulename, 'was not made by this program' FROM pg_rewrite JOIN pg_class ON pg_class.oid = " \
    "ev_class WHERE " OURS " ORDER BY 1"

static gboolean postgres_altered(Store *store, StoreRow row, gpointer data, GError **error)
{
    return postgres_run(store, ALTERED, NULL, 0, row, data, error);
}

const StoreKind store_postgres = {
    .open = postgres_open,
    .close = postgres_close,
    .run = postgres_run,
    /* one writer at a time, readers go on; the number keeps the lock to this record */
    .begin = "BEGIN; SELECT pg_advisory_xact_lock(hashtext('dosewright record' || current_schema()))",
    .look = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
    .sound = postgres_sound,
    .altered = postgres_altered,
    .schema = schema,
};
