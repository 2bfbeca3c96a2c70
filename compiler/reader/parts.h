/* reader_parts: what the files of the reader share.  Not for other rooms. */
#ifndef READER_PARTS_H
#define READER_PARTS_H

#include "language/language.h"
#include "reader/reader.h"

typedef struct Reader {
    Arena *arena;
    Diagnostics *diagnostics;
    RecordId root;
    gboolean table; /* read from the cells of a roster, which have headings and no keys */
} Reader;

/* The record being read and the records round it. */
typedef struct Level {
    const struct Level *outer; /* NULL at the root */
    RecordId record;
    const char *key;           /* the key that holds it; "" at the root */
    Place key_place;
    const Node *node;
} Level;

/* One value at hand: its node, its row, and the level it stands in.  Of a list,
 * each item in turn with the row of the list. */
typedef struct Written {
    const Reader *reader;
    const Level *level;
    const FieldRow *row;
    const Node *node;
} Written;

/* A part of a text value, cut out. */
typedef struct Part {
    const char *text;
    int skip; /* code points before it in the value */
} Part;

/* ---- reader_fault.c: findings about a value ---- */

/* A finding at a part of the value: skip and length in code points, a negative
 * length for all that is left.  Falls back to the whole value when the text
 * does not stand in the file letter for letter. */
Finding *fault_at(const Written *written, RuleId id, int skip, int length);
Finding *fault_at_as(const Written *written, RuleId id, Severity severity, int skip, int length);
/* Help that names the accepted form and the row's example. */
void fault_help(Finding *finding, const Written *written);
/* Help that offers each way in which it may have been meant: write "9 am", "9 pm" or "09:00". */
void fault_readings(Finding *finding, const Written *written, char *const *readings);
/* TRUE when the value stands without quotes between { } or [ ] of its line, where a comma
 * would end it. */
gboolean fault_comma_ends(const Written *written);
/* All of it: a finding on the whole value with one fact (may be NULL) and the
 * accepted form.  Always FALSE. */
gboolean fault_form(const Written *written, RuleId id, const char *fact);
/* The same on a part of the value. */
gboolean fault_part(const Written *written, RuleId id, Part part, const char *fact);
/* What to ask before a key of this row is written, where an example that is copied
 * would be a lie about the person; else NULL. */
const char *fault_ask(const FieldRow *row);
/* Where a list may be empty: how that is said, behind a help; else "". */
const char *value_or_none(const Written *written);
/* The row's example; of a list, its first item. */
const char *fault_example(const Written *written);

/* ---- reader_number.c: numbers and amounts; FALSE after a finding ---- */

/* The two readings of a number like 5.000, as a help line; NULL when there is but
 * one.  In many countries a point groups thousands (BIPM, SI Brochure, section 5.4,
 * from memory). */
const char *number_readings(Arena *arena, const char *number);
/* The number without the faulty zeros or point; NULL when that would guess. */
const char *number_mended(Arena *arena, const char *number, NumberFault fault);
/* An amount whose dimension is in the set (1 << DIM_x). */
gboolean part_amount(const Written *written, Part part, guint dimensions, Quantity *out);
/* The same, where zero is allowed too. */
gboolean part_amount_or_zero(const Written *written, Part part, guint dimensions, Quantity *out);

/* ---- parts of a text ---- */

/* A clock time; form is the rule for one that cannot be read, midnight the help for
 * midnight itself (NULL: the one for a time without a day). */
gboolean part_clock(const Written *written, Part part, RuleId form, const char *midnight, int *minute);
/* Cuts the value at the first separator; FALSE when it is not there. */
gboolean part_cut(const Written *written, Part whole, const char *separator, Part *before,
                  Part *after);
/* The whole value. */
Part part_whole_text(const Written *written);
/* The text from an offset in code points; length < 0: to the end. */
Part part_inside(const Written *written, Part part, int skip, int length);

/* ---- reader_keys.c: findings about keys ---- */

/* A key that its record does not know.  Returns the row whose key was meant, or
 * NULL, so that it is not called missing as well. */
/* The keys that a record must have, as "a, b, c"; of one with none, its first. */
const char *keys_required(Arena *arena, RecordId record);
const FieldRow *keys_unknown(const Reader *reader, const Level *level, const Entry *entry);
void keys_missing(const Reader *reader, const Level *level, const FieldRow *row);

/* ---- reader_scan.c: what a scanner read from a box ---- */

/* The box with expiry and item number that stand in its lot's scan, where the box does not say
 * them itself; else the box as it is.  *spoilt: the scan cannot be read, so what it may have said
 * is not called missing. */
const Node *scan_unfolded(const Reader *reader, const Level *level, gboolean *spoilt);
/* The year that settles a scan's century: of the person's procedure. */
int scan_year(const Level *level);
/* The last day on which a box may be used; FALSE when it cannot be read. */
gboolean expiry_day(const char *text, Day *out);

/* ---- reader_lint.c ---- */

/* Finds unsafe forms in prose.  severity is for abbreviations; the other faults
 * are errors everywhere.  TRUE when no error was found. */
gboolean lint_text(const Written *written, Severity severity);

/* ---- one function for each kind that is not a record: fills *out but for its
 * state and places; FALSE after at least one finding ---- */
#define KIND(ID, word, Type, title, form, pattern) \
    gboolean read_##word(const Written *written, gpointer out);
#include "language/kinds.def"

#endif
