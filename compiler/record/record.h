/* record: what was given out, printed, approved, handed out, heard, replaced, recalled:
 * append only, each entry chained to the one before by its digest, so that an edit shows.
 * What holds now is worked out from the entries.  One interface over two stores: a SQLite
 * file beside the clinic's files, and a PostgreSQL database for a group of clinics.
 * Judges nothing and prints nothing.
 *
 * A final sheet passes it in this order, so that a crash at any moment loses nothing and
 * doubles nothing:  record_give_number -> draw -> publish -> record_printed.
 * The same files asked for again get the same number and the same time of making, and so
 * the same bytes; what was given and never confirmed is completed by the next run. */
#ifndef RECORD_H
#define RECORD_H

#include "base/base.h"
#include "plan/plan.h"

/* ---- opening ---- */

typedef struct Record Record;

/* Where a clinic keeps its record, and what time it is. */
typedef struct RecordPlace {
    const char *address; /* clinic.yaml's "record": a file beside it, or "postgresql://..." */
    const char *folder;  /* of clinic.yaml */
    const char *clinic;  /* its name */
    Instant now;
    gboolean typed;      /* now was typed in, not read from a clock */
    gboolean glance;     /* to be read alone, and its end alone is looked at: another run looked at all of it */
} RecordPlace;

/* Opens it, and makes it when there was none.  NULL with *error naming the cause: cut
 * short, edited, gone, from a newer version, locked, a clock that stands behind the last
 * entry.  Nothing is written over.  The caller closes it. */
Record *record_open(Arena *arena, const RecordPlace *place, GError **error);
/* The same without asking whether it is whole, so that record_verify can say what is wrong. */
Record *record_open_as_is(Arena *arena, const RecordPlace *place, GError **error);
void record_close(Record *record);
/* TRUE when it is a database on a server, and no file. */
gboolean record_on_server(const char *address);
/* TRUE when a record was kept in the folder, whatever clinic.yaml says now. */
gboolean record_was_kept(const char *folder);

/* Everything between the two is one transaction; calls may be nested.  While it lasts other
 * runs wait.  record_end with fine FALSE, or a failure on the way, undoes all of it. */
gboolean record_begin(Record *record, GError **error);
gboolean record_end(Record *record, gboolean fine, GError **error);

/* ---- entries ---- */

typedef enum RecordKind {
#define ENTRY(ID, word, noted, description) RECORD_##ID,
#include "record/entries.def"
    RECORD_KINDS
} RecordKind;

typedef struct RecordKindRow {
    const char *word;        /* as stored and as typed */
    gboolean noted;          /* a person may write it with "record note" */
    const char *description;
} RecordKindRow;

const RecordKindRow *record_kind_row(RecordKind kind);
gboolean record_kind_find(const char *word, RecordKind *out);

typedef struct RecordEntry {
    gint64 seq;         /* from 1, without a gap */
    Instant at;
    gboolean typed;     /* the time was typed in */
    RecordKind kind;
    const char *clinic;
    gint64 sheet;       /* 0: of no sheet */
    const char *person; /* code, or "" */
    const char *by;     /* who, or "" */
    const char *body;   /* lines "word: value" */
    const char *digest; /* of the entry before and of all this */
} RecordEntry;

/* Appends an entry; clinic and time are the record's.  body: lines "word: value", or "". */
gboolean record_append(Record *record, RecordKind kind, gint64 sheet, const char *person, const char *by,
                       const char *body, GError **error);
/* Adds the line "word: value" to a body; line breaks in the value become spaces. */
void record_line(GString *body, const char *word, const char *value);
/* The value of a word in a body, or NULL; owned by the arena. */
const char *record_value(Arena *arena, const char *body, const char *word);

/* ---- numbers ---- */

/* Boxes of one lot that a person is given with a sheet. */
typedef struct RecordBoxes {
    const char *lot;
    gint64 count;
} RecordBoxes;

/* What a sheet is wished for. */
typedef struct RecordWish {
    const char *person, *order; /* codes */
    const char *digest;         /* of all the bytes that it is made from */
    gint64 replaces;            /* a standing sheet that it shall replace; 0: none */
    gboolean replace;           /* it shall replace whatever stands */
    gboolean revive;            /* it shall be printed although its order was cancelled */
    const char *by;             /* who prepares it */
    const GPtrArray *boxes;     /* of RecordBoxes*; NULL: no box with a lot.  They are held from the number on */
} RecordWish;

typedef enum RecordAnswer {
    RECORD_NEW,       /* a number that nobody had */
    RECORD_AGAIN,     /* these files have this number already */
    RECORD_STANDS,    /* refused: given->number stands for the same order, made from other files */
    RECORD_TAKEN_BACK, /* refused: given->number of the same order was cancelled */
    RECORD_NOT_THERE, /* refused: the sheet to be replaced does not stand for this order */
    RECORD_FAILED,    /* *error */
} RecordAnswer;

typedef struct RecordGiven {
    gint64 number, replaces; /* replaces 0: none */
    Instant made;            /* print this as the time of making: a repeat has the first one's */
} RecordGiven;

RecordAnswer record_give_number(Record *record, const RecordWish *wish, RecordGiven *given, GError **error);

/* All that a plan says, as lines of a body: each value by its word of values.def, those of
 * the second injection as "dose_2"; "acts_1" all times as seconds since 1970; "from_1",
 * "until_1" the first window; "boxes" and "lots"; findings and acceptances. */
char *record_facts(Arena *arena, const Plan *plan, const Diagnostics *diagnostics);

/* Confirms a sheet: facts as record_facts made them, files (of PublishFile*) as published.
 * The sheet that it replaces is replaced from now on.  The same files once more add nothing. */
gboolean record_printed(Record *record, gint64 number, const char *person, const char *by, const char *facts,
                        const GPtrArray *files, GError **error);

/* ---- what holds now ---- */

typedef enum RecordState {
    RECORD_IS_GIVEN,     /* a number that was never confirmed as printed: print it again */
    RECORD_IS_VALID,
    RECORD_IS_REPLACED,
    RECORD_IS_VOID,
    RECORD_IS_CANCELLED, /* nothing is to be injected from it */
} RecordState;

const char *record_state_word(RecordState state);

/* One injection of a sheet. */
typedef struct RecordInjection {
    int number;          /* from 1, as in the words of the facts */
    const char *name;
    GArray *acts;        /* of Instant, in order of time */
    Instant from, until; /* window of the first act; both the act itself when it has none */
} RecordInjection;

typedef struct RecordSheet {
    gint64 number, replaces, replaced_by; /* 0: none */
    RecordState state;
    gboolean recalled; /* since it was last printed: it needs a new one */
    const char *person, *clinic, *order, *digest;
    Instant made;
    const char *facts;     /* of the last printing, or "" */
    GPtrArray *injections; /* of RecordInjection* */
    GPtrArray *entries;    /* of RecordEntry*, in order */
} RecordSheet;

/* NULL when there is none, or with *error. */
RecordSheet *record_sheet(Record *record, gint64 number, GError **error);
/* A value of values.def, or another word of the facts; injection 0: of the person.  NULL
 * when it was not set. */
const char *record_fact(Arena *arena, const RecordSheet *sheet, const char *word, int injection);
/* The last entry of this kind, or NULL. */
const RecordEntry *record_last(const RecordSheet *sheet, RecordKind kind);

/* Lists of RecordSheet*, owned by the arena; NULL with *error.  Whatever their state: the
 * caller chooses. */
/* By person code, name or part of it, spoken code, telephone, lot, order or number. */
GPtrArray *record_lookup(Record *record, const char *word, GError **error);
/* Of them the newest, so many at most, and all with something to be injected between two instants: a lot
 * may be that of thousands. */
GPtrArray *record_lookup_some(Record *record, const char *word, int most, Instant from, Instant until, GError **error);
/* With an act in from <= act < until, or a window that reaches into it. */
GPtrArray *record_between(Record *record, Instant from, Instant until, GError **error);
/* TRUE when it has an act, or a window that reaches, behind this time. */
gboolean record_due_after(const RecordSheet *sheet, Instant from);
/* All sheets of a person, oldest first. */
GPtrArray *record_of_person(Record *record, const char *person, GError **error);

/* What was called back: the sheets that rest on it need new ones, a lot is handed out no more. */
typedef enum RecordRecall {
    RECALL_PROTOCOL, /* "name" or "name/3" */
    RECALL_SHELF,    /* a name of the shelf: medicine, liquid, syringe, pen, needle */
    RECALL_LOT,
    RECALL_RULE,     /* the id of a rule that spoke, accepted or as a note */
    RECALL_LANGUAGE, /* a tag */
    RECALL_KINDS
} RecordRecall;

/* TRUE when two words are one to the record: without case, accents, spaces and hyphens. */
gboolean record_same_word(const char *a, const char *b);
const char *record_recall_word(RecordRecall kind);
gboolean record_recall_find(const char *word, RecordRecall *out);
/* The sheets that count, rest on it, and have an act still to come; of RecordSheet*. */
GPtrArray *record_resting_on(Record *record, RecordRecall kind, const char *what, Instant now, GError **error);
/* Whether any sheet ever rested on it, whatever became of it: a word that was typed wrongly rests under none. */
gboolean record_ever_rested(Record *record, RecordRecall kind, const char *what, gboolean *ever, GError **error);
/* Says so in the record, for the thing and for each of these sheets. */
gboolean record_recall(Record *record, RecordRecall kind, const char *what, const GPtrArray *sheets, const char *by,
                       const char *because, GError **error);
/* Why a lot, or a revision as "name/3", was called back, in *because; NULL when it was not.  FALSE
 * with *error. */
gboolean record_called_back(Record *record, RecordRecall kind, const char *what, const char **because, GError **error);

/* ---- how many of a lot ---- */

/* FALSE in *fits when with these boxes more of their lot would be out than came in, with how many
 * came in and how many others hold: people with a sheet, and with a number whose sheet is still to
 * be made.  To be asked in the transaction that gives the number, so that nobody else takes the
 * last box in between.  A lot of which nobody noted that it came in is not counted.  FALSE with
 * *error. */
gboolean record_lot_fits(Record *record, const RecordWish *wish, const RecordBoxes *boxes, gboolean *fits,
                         gint64 *received, gint64 *others, GError **error);

typedef struct RecordLot {
    const char *lot;
    gint64 received, handed; /* less what was thrown away; to people, once each */
    const char *because;     /* it was called back; or NULL */
} RecordLot;

/* Every lot that came in, by its name; of RecordLot*.  NULL with *error. */
GPtrArray *record_lots(Record *record, GError **error);
/* So many boxes of a lot came in; less than none: they were thrown away, for a reason. */
gboolean record_receive(Record *record, const char *lot, gint64 count, const char *by, const char *because,
                        GError **error);

/* ---- approvals ---- */

/* What an approval covers, as texts; clinic and shelf as they were. */
typedef struct RecordRevision {
    const char *protocol; /* its short name */
    gint64 revision;
    const char *seal, *protocol_text, *clinic_text, *shelf_text, *rules_text;
    const char *by;
    Instant at;
} RecordRevision;

gboolean record_keep_revision(Record *record, const RecordRevision *revision, GError **error);
/* How many approvals of a protocol are known, and whether one has this seal. */
gboolean record_approval(Record *record, const char *protocol, const char *seal, guint *known, gboolean *same,
                         GError **error);

/* ---- the whole ---- */

/* Calls tell(line, data) for each fault of chain, index and witness.  *entries and *sheets
 * are counted.  FALSE with *error when it cannot be read to the end. */
gboolean record_verify(Record *record, void (*tell)(const char *line, gpointer data), gpointer data,
                       gint64 *entries, gint64 *sheets, GError **error);
/* A copy as a SQLite file, whole or absent, while others write; an existing file is
 * refused. */
gboolean record_backup(Record *record, const char *path, GError **error);
/* After a backup was brought back: goes on behind what the witness has seen, so that no
 * number is given twice.  Says so in an entry. */
gboolean record_restored(Arena *arena, const RecordPlace *place, const char *by, const char *because,
                         GError **error);

#endif
