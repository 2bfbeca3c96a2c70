/* store: the little that the record asks of a database.  Both kinds speak the same SQL, with
 * $1, $2, ... for values; all columns come back as text.  For this room only. */
#ifndef RECORD_STORE_H
#define RECORD_STORE_H

#include <glib.h>

typedef struct Store Store;
typedef void (*StoreRow)(const char *const *columns, gpointer data);

typedef struct StoreKind {
    /* create: make the tables when there are none.  *empty: there are none. */
    Store *(*open)(const char *address, gboolean create, gboolean *empty, GError **error);
    void (*close)(Store *store);
    /* values: count of them in the order of $1...; row may be NULL. */
    gboolean (*run)(Store *store, const char *sql, const char *const *values, int count, StoreRow row, gpointer data,
                    GError **error);
    const char *begin;   /* starts a transaction that alone may write */
    const char *look;    /* starts one that sees one moment */
    /* Asks the database whether its own pages are whole. */
    gboolean (*sound)(Store *store, GError **error);
    /* Hands over one row for each table, index or trigger that is not as the schema makes it: what holds the
     * record to being only added to.  Its name, and "is gone", "is another" or "was not made by this program". */
    gboolean (*altered)(Store *store, StoreRow row, gpointer data, GError **error);
    const char *schema;  /* statements between lines of "--" */
} StoreKind;

struct Store {
    const StoreKind *kind;
};

extern const StoreKind store_sqlite, store_postgres;

/* Of SQLite alone.  All that was written stands in the one file, and no journal beside it, which whoever copies it
 * would leave behind. */
gboolean store_sqlite_alone(Store *store, GError **error);
/* As the disk gives the file: its pages are whole, and its last entry has this digest. */
gboolean store_sqlite_ends(const char *path, const char *digest, GError **error);

#define STORE_ERROR store_error_quark()
typedef enum StoreFault { STORE_FAILED, STORE_BROKEN } StoreFault;
GQuark store_error_quark(void);

/* Runs statements that are parted by lines of "--". */
gboolean store_script(Store *store, const char *script, GError **error);

#endif
