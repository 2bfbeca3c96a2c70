/* roster: many people in one file, one after the other, so that a long roster needs no more
 * memory than a short one.  Two ways of writing it:
 *   a table of cells (RFC 4180), a heading over each column, commas, semicolons or tabs
 *   between the cells, with or without a byte-order mark, as spreadsheets save it;
 *   a YAML list, each person a group of keys as in a patient's file.
 * The first person may be "everyone": what is said of it holds for all who say nothing else.
 * A cell that begins like a formula is text like any other.  Judges nothing. */
#ifndef ROSTER_H
#define ROSTER_H

#include "base/base.h"
#include "language/language.h"
#include "reader/reader.h"

#define ROSTER_EVERYONE "everyone"

typedef struct Roster Roster;

/* Where a person begins: enough to go back there. */
typedef struct RosterMark {
    gint64 offset; /* in bytes */
    int lines;     /* that stand before it */
    guint number;  /* of its row or place in the list */
    guint index;   /* from 0, of the people */
} RosterMark;

/* One person, as written. */
typedef struct RosterRow {
    RosterMark at;            /* number: a table's headings are row 1, a list's first person is 1 */
    const Source *source;     /* of this person's lines alone */
    Node *root;               /* the keys; NULL after findings that leave nothing to read */
    const char *words;        /* all that is said of the person */
    Diagnostics *diagnostics; /* what is wrong with the form of it */
} RosterRow;

/* TRUE when the file is one by its name or its first lines. */
gboolean roster_is(const char *path);

/* Opens it and reads its headings; NULL with *error when the system fails.  Findings about
 * the file as a whole go to diagnostics: then it holds nobody. */
Roster *roster_open(Arena *arena, const char *path, Diagnostics *diagnostics, GError **error);
gboolean roster_is_table(const Roster *roster);

/* The next person, owned by the arena; FALSE at the end. */
gboolean roster_next(Roster *roster, Arena *arena, RosterRow *out);
void roster_go(Roster *roster, const RosterMark *mark);

/* Says of each finding in which row and column it stands, or which person of the list. */
void roster_locate(const Roster *roster, const RosterRow *row, Diagnostics *diagnostics);

/* Where a table's row holds this key (inner: of the record under it, or NULL); length 0 where the
 * cell is empty.  FALSE when there is no such cell, and in a list. */
gboolean roster_cell(const Roster *roster, const RosterRow *row, const char *key, const char *inner, Place *out);

/* TRUE when the protocol's sheets need this key of a person at this clinic. */
gboolean roster_asks(const Clinic *clinic, const Protocol *protocol, const FieldRow *field);

/* Appends an empty one for a protocol: the headings of what its sheets need at this clinic, and
 * a row for everyone with the protocol's name. */
void roster_print_empty(Arena *arena, const Clinic *clinic, const Protocol *protocol, GString *out);

#endif
