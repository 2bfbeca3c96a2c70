/* record_parts: what the files of this room share. */
#ifndef RECORD_PARTS_H
#define RECORD_PARTS_H

#include "record/record.h"
#include "record/store.h"

#define RECORD_VERSION 1 /* of the tables and of the words of bodies */
#define RECORD_START "dosewright record 1" /* what the first entry is chained to */
#define RECORD_CHUNK 500 /* entries read at a time */

struct Record {
    Arena *arena;
    Store *store;
    RecordPlace place;
    int depth;        /* of nested transactions */
    gboolean failed;  /* within one: it will be undone */
    gboolean added;   /* within one: entries were appended */
    gint64 last;      /* last entry seen or written by this run, and its digest */
    char last_digest[65];
    struct RecordLots *lots; /* counted as of the last entry; NULL: nobody asked since */
    GHashTable *seals; /* protocol -> seals of its approvals, as GPtrArray of char*; NULL: none asked for */
};

/* What a call reads and does not hand out lives until its end, and not as long as the run: a
 * roster makes 100,000 of them.  Returns the arena to go back to. */
Arena *record_scratch(Record *record);
void record_scratch_end(Record *record, Arena *own);

/* The values of a statement, as text. */
gboolean record_run(Record *record, const char *sql, const char *const *values, int count, StoreRow row, gpointer data,
                    GError **error);
/* One number; 0 when there is no row or it is NULL. */
gboolean record_number_of(Record *record, const char *sql, const char *const *values, int count, gint64 *out,
                          GError **error);
/* Entries of a statement that selects RECORD_COLUMNS, appended to the list. */
#define RECORD_COLUMNS "seq, at, typed, kind, clinic, sheet, person, by_whom, body, digest"
gboolean record_entries(Record *record, const char *sql, const char *const *values, int count, GPtrArray *entries,
                        GError **error);
/* The digest that an entry must have behind one of that digest. */
char *record_chain(Arena *arena, const char *before, const RecordEntry *entry);

/* The entry as a row, as it is. */
gboolean record_insert(Store *store, const RecordEntry *entry, GError **error);

/* FALSE with *error when it is of a version that this program does not know. */
gboolean record_version_known(Record *record, GError **error);

/* The value of "word_3" in a body, or NULL; owned by the arena. */
const char *record_numbered(Arena *arena, const char *body, const char *word, int number);

/* ---- index: what a printed sheet is found by ---- */

/* One way of finding: a time (word NULL) or a word. */
typedef struct IndexRow {
    int injection;
    Instant first, last;
    const char *word;
} IndexRow;

/* Of an entry that record_is_indexed(); of IndexRow*. */
GPtrArray *record_index(Arena *arena, const RecordEntry *entry);
gboolean record_index_insert(Store *store, const RecordEntry *entry, const GPtrArray *rows, GError **error);
/* The number of a sheet (by its lots alone), and its first printing.  printed: sheets whose printing
 * was met before. */
gboolean record_is_indexed(const RecordEntry *entry, GHashTable *printed);
/* A word as it is compared: without case, accents, spaces and hyphens. */
char *record_folded(const char *word);
/* Injections of the facts; of RecordInjection*. */
GPtrArray *record_injections(Arena *arena, const char *facts);

/* ---- lots ---- */

/* Counts a sheet that got its number, where somebody counts. */
void record_lots_hold(Record *record, const RecordWish *wish);
/* Something else changed: count anew. */
void record_lots_forget(Record *record);

/* ---- witness: what was last seen of the record, in a file of its own beside clinic.yaml ---- */

typedef struct Witness {
    gboolean there;
    gint64 entry, number; /* the last entry, and the greatest number given out */
    const char *digest;
} Witness;

gboolean witness_read(Arena *arena, const char *folder, Witness *out, GError **error);
gboolean witness_write(const char *folder, const Witness *witness, GError **error);

#endif
