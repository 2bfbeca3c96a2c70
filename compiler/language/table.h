/* model/table: the protocol language as data, made from fields.def and
 * kinds.def: which record has which keys, of which kind, at which offset.
 * Reader, seal and schema all walk these rows.  Plain data, no logic. */
#ifndef MODEL_TABLE_H
#define MODEL_TABLE_H

#include "language/model.h"

/* How a value is written in a file. */
typedef enum FieldKind {
#define KIND(ID, word, Type, title, form, pattern) AS_##ID,
#define LIST_KIND(ID, ITEM, title, form) AS_##ID,
#include "language/kinds.def"
    AS_COUNT
} FieldKind;

typedef struct KindRow {
    gsize size;          /* of its struct; records have their own (record_row) */
    FieldKind item;      /* of a list; a kind that is no list names itself */
    gboolean is_list;
    const char *title;   /* "number and unit" */
    const char *form;    /* the accepted form, for a help line */
    const char *pattern; /* or NULL */
} KindRow;

const KindRow *kind_row(FieldKind kind);

typedef enum RecordId {
#define RECORD(Struct, title, whose) RECORD_##Struct,
#include "language/fields.def"
    RECORD_COUNT
} RecordId;

/* FILLED: required, and a list must have at least one item. */
typedef enum Need { NEED_OPTIONAL, NEED_REQUIRED, NEED_FILLED } Need;

typedef struct FieldRow {
    const char *key;
    FieldKind kind;
    Need need;
    int argument; /* a RecordId, ChoiceList or Dimension, as the kind asks */
    gsize offset; /* of the member in its struct */
    const char *description;
    const char *example; /* empty for records */
} FieldRow;

typedef struct RecordRow {
    const char *name;  /* of the struct */
    const char *title;
    const char *whose; /* "as the label says": whose word a missing key is; may be empty */
    gsize size;
    const FieldRow *fields;
    guint count;
} RecordRow;

RecordRow record_row(RecordId record);
/* The row of a key in a record, or NULL. */
const FieldRow *record_find(RecordId record, const char *key);
/* The member that a row describes, inside a struct of its record. */
Field *record_member(gpointer record, const FieldRow *row);
/* TRUE when something in a record, or in a list of records, could not be read: what is worked out from all of it
 * is not to be judged, since the reader has spoken. */
gboolean record_unread(RecordId record, gconstpointer values);
gboolean list_unread(RecordId record, const List *list);
/* The heading of its column in a roster, as "accepted by". */
char *field_heading(Arena *arena, const FieldRow *row);
/* The record that a field of kind RECORD or RECORDS holds, or RECORD_COUNT. */
RecordId field_record(const FieldRow *row);

/* TRUE and *out when the list has this word. */
gboolean choice_find(ChoiceList list, const char *word, ChoiceWord *out);
/* First word of a list and how many there are: they are numbered in a row. */
ChoiceWord choice_first(ChoiceList list, guint *count);

#endif
