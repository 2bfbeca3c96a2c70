/* roster_parts: what the files of the roster share.  Not for other rooms. */
#ifndef ROSTER_PARTS_H
#define ROSTER_PARTS_H

#include "roster/roster.h"
#include "syntax/syntax.h"

/* ---- roster_cells.c: a row's cells, as RFC 4180 cuts them ---- */

typedef enum CellFault {
    CELL_FINE,
    CELL_OPEN,   /* its quote is never closed */
    CELL_BEHIND, /* something stands behind its closing quote */
    CELL_INSIDE, /* a quote stands in a cell that does not begin with one */
} CellFault;

typedef struct Cell {
    gsize start, length; /* in bytes, inside the quotes, without spaces round it */
    gboolean doubled;    /* a quote inside it is written twice */
    CellFault fault;
    gsize fault_at;
} Cell;

/* The cells of the text's first row, as Cell; *end is where the next row begins. */
void cells_cut(const char *text, gsize length, char separator, GArray *cells, gsize *end);
/* TRUE when one of them is not as it should be. */
gboolean cells_faulty(const GArray *cells);
/* Spaces round a cell, or round a part of it, are nobody's: spreadsheets and hands leave them. */
void cell_trim(const char *text, Cell *cell);
/* What a cell says, owned by the arena. */
char *cell_text(Arena *arena, const char *row, const Cell *cell);
/* Of , ; and tab the one that cuts the headings into most cells. */
char cells_separator(const char *headings, gsize length);
/* Appends a cell; what a spreadsheet would take for a formula is kept from being one. */
void cell_print(GString *out, const char *text);

/* ---- roster_columns.c: which key a column holds ---- */

typedef struct Column {
    const FieldRow *row;   /* of the patient; NULL for a heading that was not understood */
    const FieldRow *inner; /* of the record that it holds, or NULL */
    guint group;           /* which box or acceptance, from 1 */
    const char *medicine;  /* of "lot of MEDICINE", or NULL */
    const char *heading;   /* as written */
    Place place;
} Column;

/* The columns (of Column) for these headings; FALSE after findings. */
gboolean columns_read(Arena *arena, const Source *source, const GArray *cells, GArray *columns,
                      Diagnostics *diagnostics);
/* "C" of the third column. */
void column_letters(GString *out, guint index);

/* ---- roster_nodes.c: cells as the nodes of a patient's file ---- */

Node *nodes_of_row(Arena *arena, const Source *source, const GArray *cells, const GArray *columns);
/* What a person leaves unsaid and everyone has. */
void nodes_fill(Arena *arena, Node *person, const Node *everyone);
/* FALSE after findings: what belongs to one person stands in the row for everyone. */
gboolean nodes_for_everyone(const Node *everyone, Diagnostics *diagnostics);
gboolean nodes_name_everyone(const Node *root);

#endif
