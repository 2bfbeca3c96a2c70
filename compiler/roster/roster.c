/* roster: the rows of the file, one after the other; see roster.h. */
#include "roster/roster.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "roster/parts.h"

#define LONGEST_ROW (64 * 1024)
#define MOST_LINES 8 /* of one row, in quotes */
#define BYTE_MARK "\xEF\xBB\xBF"
#define HEAD 4096    /* bytes in which the kind of a file shows */

struct Roster {
    Arena *arena;
    const char *path;
    FILE *file;
    gboolean table, nobody; /* nobody: the headings cannot be read */
    char separator;
    GString *line;     /* the lines at hand */
    gboolean too_long; /* a line of them was cut */
    const Source *heading;
    GArray *columns;   /* of Column */
    const Node *everyone;
    const char *everyone_words;
    RosterMark next;
};

/* ---- lines ---- */

/* Appends one line with its break; FALSE at the end of the file. */
static gboolean take_line(Roster *roster)
{
    gsize before = roster->line->len;
    int letter;
    while ((letter = getc_unlocked(roster->file)) != EOF) {
        if (roster->line->len - before < LONGEST_ROW)
            g_string_append_c(roster->line, (char)letter);
        else
            roster->too_long = TRUE;
        if (letter == '\n')
            break;
    }
    return letter != EOF || roster->line->len > before;
}

static gint64 here(const Roster *roster) { return ftello(roster->file); }

static void go(Roster *roster, gint64 offset) { fseeko(roster->file, (off_t)offset, SEEK_SET); }

static int breaks_in(const GString *text)
{
    int breaks = 0;
    for (gsize i = 0; i < text->len; i++)
        breaks += text->str[i] == '\n';
    return breaks;
}

/* ---- rows of a table ---- */

static GArray *cut(const Roster *roster, gsize *end)
{
    GArray *cells = g_array_new(FALSE, FALSE, sizeof(Cell));
    cells_cut(roster->line->str, roster->line->len, roster->separator, cells, end);
    return cells;
}

static gboolean is_open(const GArray *cells)
{
    return g_array_index(cells, Cell, cells->len - 1).fault == CELL_OPEN;
}

/* One row: its line, and the next ones as far as a quoted cell goes on in them.  A quote that
 * nobody closes must not swallow the next people: then the row is its first line. */
static GArray *gather(Roster *roster)
{
    gsize end, first;
    g_string_truncate(roster->line, 0);
    roster->too_long = FALSE;
    gint64 behind = here(roster);
    if (!take_line(roster))
        return NULL;
    first = roster->line->len;
    behind += (gint64)first;
    GArray *cells = cut(roster, &end);
    for (int lines = 1; is_open(cells) && !roster->too_long && lines < MOST_LINES && take_line(roster); lines++) {
        g_array_unref(cells);
        cells = cut(roster, &end);
    }
    if (roster->line->len > first && cells_faulty(cells)) {
        g_array_unref(cells);
        g_string_truncate(roster->line, first);
        go(roster, behind);
        cells = cut(roster, &end);
    }
    return cells;
}

static gboolean is_empty(const GArray *cells)
{
    for (guint i = 0; i < cells->len; i++)
        if (g_array_index(cells, Cell, i).length > 0 || g_array_index(cells, Cell, i).fault != CELL_FINE)
            return FALSE;
    return TRUE;
}

static void faulty_cell(const Source *source, const Cell *cell, Diagnostics *diagnostics)
{
    Finding *finding = finding_add(diagnostics, RULE_roster_row, source_place(source, cell->fault_at, 1));
    switch (cell->fault) {
    case CELL_OPEN:
        finding_fact(finding, "the quote that opens this cell is never closed");
        break;
    case CELL_BEHIND:
        finding_fact(finding, "something stands between the quote that closes the cell and the next cell");
        break;
    case CELL_FINE:
    case CELL_INSIDE:
        finding_fact(finding, "a quote stands in a cell that does not begin with one");
        break;
    }
    finding_help(finding, "put the whole cell between quotes and write each quote inside it twice, like "
                          "\"Maren \"\"Mo\"\" T.\", or take the quote out");
}

static gboolean cells_fine(const Source *source, const GArray *cells, Diagnostics *diagnostics)
{
    for (guint i = 0; i < cells->len; i++) {
        const Cell *cell = &g_array_index(cells, Cell, i);
        if (cell->fault == CELL_FINE)
            continue;
        faulty_cell(source, cell, diagnostics);
        return FALSE;
    }
    return TRUE;
}

static gboolean short_enough(const Roster *roster, const Source *source, Diagnostics *diagnostics)
{
    if (!roster->too_long)
        return TRUE;
    Finding *finding = finding_add(diagnostics, RULE_roster_row, (Place){source, 1, 1, 1});
    finding_fact(finding, "it is longer than %d KiB", LONGEST_ROW / 1024);
    finding_help(finding, "check that this is the file you meant");
    return FALSE;
}

/* What stands under no heading would be without effect. */
static gboolean all_headed(const Roster *roster, const Source *source, const GArray *cells, Diagnostics *diagnostics)
{
    for (guint i = 0; i < cells->len; i++) {
        const Cell *cell = &g_array_index(cells, Cell, i);
        gboolean headed = i < roster->columns->len && g_array_index(roster->columns, Column, i).row;
        if (headed || cell->length == 0)
            continue;
        Finding *finding = finding_add(diagnostics, RULE_roster_row, source_place(source, cell->start, cell->length));
        finding_fact(finding, "this cell stands under no heading; there are %u columns", roster->columns->len);
        finding_help(finding, "is a separator too many in the row, or a cell with a comma not in quotes?");
        return FALSE;
    }
    return TRUE;
}

static gint by_words(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "heading: cell" of each, so that the same said in another order of columns is the same. */
static const char *words_of(Arena *arena, const Roster *roster, const Source *source, const GArray *cells)
{
    g_autoptr(GPtrArray) lines = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < MIN(cells->len, roster->columns->len); i++) {
        const Column *column = &g_array_index(roster->columns, Column, i);
        const Cell *cell = &g_array_index(cells, Cell, i);
        if (column->row && cell->length > 0)
            g_ptr_array_add(lines, g_strdup_printf("%s %s %u %s: %s\n", column->row->key,
                                                   column->inner ? column->inner->key : "", column->group,
                                                   column->medicine ? column->medicine : "",
                                                   cell_text(arena, source->text, cell)));
    }
    g_ptr_array_sort(lines, by_words);
    g_ptr_array_add(lines, NULL);
    g_autofree char *joined = g_strjoinv("", (char **)lines->pdata);
    return arena_format(arena, "%s%s", joined, roster->everyone_words);
}

static void read_cells(const Roster *roster, Arena *arena, const GArray *cells, RosterRow *out)
{
    const Source *source = out->source;
    out->words = "";
    if (!short_enough(roster, source, out->diagnostics) || !syntax_cells_safe(source, out->diagnostics) ||
        !cells_fine(source, cells, out->diagnostics) || !all_headed(roster, source, cells, out->diagnostics))
        return;
    out->words = words_of(arena, roster, source, cells);
    out->root = nodes_of_row(arena, source, cells, roster->columns);
}

/* ---- people of a list ---- */

static gboolean begins_person(const char *line)
{
    return line[0] == '-' && (line[1] == ' ' || line[1] == '\n' || line[1] == '\r' || line[1] == '\0');
}

static gboolean says_nothing(const char *line)
{
    const char *at = line + strspn(line, " \t\r\n");
    return *at == '\0' || *at == '#' || g_str_has_prefix(line, "---");
}

/* Lines up to the next that begins a person. */
static gboolean gather_person(Roster *roster)
{
    g_string_truncate(roster->line, 0);
    roster->too_long = FALSE;
    if (!take_line(roster))
        return FALSE;
    for (;;) {
        gint64 before = here(roster);
        gsize length = roster->line->len;
        if (!take_line(roster))
            return TRUE;
        if (!begins_person(roster->line->str + length)) {
            roster->too_long |= roster->line->len > LONGEST_ROW;
            if (roster->too_long)
                g_string_truncate(roster->line, LONGEST_ROW);
            continue;
        }
        g_string_truncate(roster->line, length);
        go(roster, before);
        return TRUE;
    }
}

/* The hyphen becomes a space, and the person's keys a file of their own. */
static void read_person(const Roster *roster, Arena *arena, RosterRow *out)
{
    out->words = "";
    if (!short_enough(roster, out->source, out->diagnostics))
        return;
    if (!begins_person(out->source->text)) {
        Finding *finding = finding_add(out->diagnostics, RULE_wrong_shape, (Place){out->source, 1, 1, 1});
        finding_fact(finding, "a roster is a list of people");
        finding_help(finding, "begin each person at the left margin with \"- patient: CODE\"");
        return;
    }
    ((char *)out->source->text)[0] = ' '; /* it is the arena's, and this row's alone */
    out->words = arena_format(arena, "%s%s", out->source->text, roster->everyone_words);
    out->root = syntax_parse(arena, out->source, out->diagnostics);
}

/* ---- one after the other ---- */

static gboolean skip_nothing(Roster *roster)
{
    for (;;) {
        gint64 before = here(roster);
        g_string_truncate(roster->line, 0);
        if (!take_line(roster))
            return FALSE;
        if (!says_nothing(roster->line->str)) {
            go(roster, before);
            return TRUE;
        }
        roster->next.lines++;
    }
}

static const Source *part_of(const Roster *roster, Arena *arena)
{
    return source_part(arena, roster->path, roster->line->str, roster->line->len, roster->next.lines);
}

static gboolean next_of_table(Roster *roster, Arena *arena, RosterRow *out)
{
    GArray *cells;
    for (;;) {
        roster->next.offset = here(roster);
        if (!(cells = gather(roster)))
            return FALSE;
        if (!is_empty(cells))
            break;
        g_array_unref(cells);
        roster->next.lines += breaks_in(roster->line);
        roster->next.number++;
    }
    *out = (RosterRow){.at = roster->next, .source = part_of(roster, arena), .diagnostics = diagnostics_new(arena)};
    read_cells(roster, arena, cells, out);
    g_array_unref(cells);
    return TRUE;
}

static gboolean next_of_list(Roster *roster, Arena *arena, RosterRow *out)
{
    if (!skip_nothing(roster))
        return FALSE;
    roster->next.offset = here(roster);
    if (!gather_person(roster))
        return FALSE;
    *out = (RosterRow){.at = roster->next, .source = part_of(roster, arena), .diagnostics = diagnostics_new(arena)};
    read_person(roster, arena, out);
    return TRUE;
}

static gboolean next_row(Roster *roster, Arena *arena, RosterRow *out)
{
    gboolean there = roster->table ? next_of_table(roster, arena, out) : next_of_list(roster, arena, out);
    roster->next.lines += there ? breaks_in(roster->line) : 0;
    roster->next.number += there ? 1 : 0;
    return there;
}

static void late_everyone(RosterRow *row)
{
    Finding *finding = finding_add(row->diagnostics, RULE_roster_everyone, node_get(row->root, "patient")->place);
    finding_fact(finding, "everyone stands behind people of their own");
    finding_help(finding, "move it before the first person: it holds for all of the roster");
    row->root = NULL;
}

gboolean roster_next(Roster *roster, Arena *arena, RosterRow *out)
{
    if (roster->nobody || !next_row(roster, arena, out))
        return FALSE;
    out->at.index = roster->next.index++;
    if (out->root && nodes_name_everyone(out->root))
        late_everyone(out);
    else if (out->root)
        nodes_fill(arena, out->root, roster->everyone);
    return TRUE;
}

void roster_go(Roster *roster, const RosterMark *mark)
{
    roster->next = *mark;
    go(roster, mark->offset);
}

/* ---- the beginning ---- */

static gboolean read_headings(Roster *roster, Diagnostics *diagnostics)
{
    if (!take_line(roster)) {
        Finding *finding = finding_add(diagnostics, RULE_file_empty,
                                       (Place){source_part(roster->arena, roster->path, "", 0, 0), 1, 1, 1});
        finding_help(finding, "begin with a line of headings; \"dosewright roster PROTOCOL\" prints one");
        return FALSE;
    }
    gsize mark = g_str_has_prefix(roster->line->str, BYTE_MARK) ? strlen(BYTE_MARK) : 0;
    roster->separator = cells_separator(roster->line->str + mark, roster->line->len - mark);
    go(roster, (gint64)mark);
    g_autoptr(GArray) cells = gather(roster);
    roster->heading = source_part(roster->arena, roster->path, roster->line->str, roster->line->len, 0);
    if (!short_enough(roster, roster->heading, diagnostics) || !syntax_cells_safe(roster->heading, diagnostics) ||
        (cells->len > 1 && !cells_fine(roster->heading, cells, diagnostics))) /* one cell: another separator */
        return FALSE;
    roster->next = (RosterMark){.lines = breaks_in(roster->line), .number = 2};
    return columns_read(roster->arena, roster->heading, cells, roster->columns, diagnostics);
}

/* When the first person is everyone, it is kept; else the reading goes back. */
static gboolean read_everyone(Roster *roster, Diagnostics *diagnostics)
{
    RosterRow row;
    roster->next.offset = here(roster);
    RosterMark first = roster->next;
    if (next_row(roster, roster->arena, &row) && row.root && nodes_name_everyone(row.root)) {
        roster->everyone = row.root;
        roster->everyone_words = row.words;
        guint before = diagnostics_count(diagnostics);
        gboolean fine = nodes_for_everyone(row.root, diagnostics);
        if (diagnostics_count(diagnostics) > before)
            roster_locate(roster, &row, diagnostics);
        roster->next.number -= roster->table ? 0 : 1; /* a list's people count from 1 */
        return fine;
    }
    roster_go(roster, &first);
    return TRUE;
}

static void close_file(gpointer file) { fclose(file); }
static void free_line(gpointer line) { g_string_free(line, TRUE); }

/* Up to HEAD bytes. */
static ssize_t read_head(int descriptor, char *head)
{
    ssize_t got;
    do
        got = read(descriptor, head, HEAD);
    while (got < 0 && errno == EINTR);
    return got;
}

gboolean roster_is(const char *path)
{
    char head[HEAD + 1];
    if (g_str_has_suffix(path, ".csv") || g_str_has_suffix(path, ".tsv"))
        return TRUE;
    int descriptor = g_str_has_suffix(path, ".yaml") ? source_open(path, NULL) : -1;
    if (descriptor < 0)
        return FALSE;
    ssize_t got = read_head(descriptor, head);
    close(descriptor);
    if (got < 0)
        return FALSE;
    head[got] = '\0';
    const char *line = head;
    while (*line && says_nothing(line))
        line += strcspn(line, "\n") + (strchr(line, '\n') ? 1 : 0);
    return begins_person(line);
}

static gboolean small_enough(Roster *roster, Diagnostics *diagnostics)
{
    struct stat there;
    if (fstat(fileno(roster->file), &there) != 0 || there.st_size <= SYNTAX_ROSTER_LIMIT)
        return TRUE;
    const Source *none = source_part(roster->arena, roster->path, "", 0, 0);
    Finding *finding = finding_add(diagnostics, RULE_file_too_large, (Place){none, 1, 1, 1});
    finding_fact(finding, "the limit is %d MiB", SYNTAX_ROSTER_LIMIT / (1024 * 1024));
    finding_help(finding, "split the roster, or check that it is the file you meant");
    return FALSE;
}

Roster *roster_open(Arena *arena, const char *path, Diagnostics *diagnostics, GError **error)
{
    int descriptor = source_open(path, error);
    if (descriptor < 0)
        return NULL;
    Roster *roster = arena_new0(arena, Roster);
    roster->arena = arena;
    roster->path = arena_copy(arena, path);
    roster->file = fdopen(descriptor, "r");
    g_assert(roster->file);
    arena_defer(arena, close_file, roster->file);
    roster->table = !g_str_has_suffix(path, ".yaml") && !g_str_has_suffix(path, ".yml");
    roster->line = g_string_new(NULL);
    arena_defer(arena, free_line, roster->line);
    roster->columns = g_array_new(FALSE, FALSE, sizeof(Column));
    arena_defer(arena, (GDestroyNotify)g_array_unref, roster->columns);
    roster->everyone_words = "";
    roster->next = (RosterMark){.number = 1};
    roster->nobody = !small_enough(roster, diagnostics) || (roster->table && !read_headings(roster, diagnostics)) ||
                     !read_everyone(roster, diagnostics);
    return roster;
}

gboolean roster_is_table(const Roster *roster) { return roster->table; }

/* ---- where a finding stands ---- */

gboolean roster_cell(const Roster *roster, const RosterRow *row, const char *key, const char *inner, Place *out)
{
    gsize end;
    g_autoptr(GArray) cells = g_array_new(FALSE, FALSE, sizeof(Cell));
    if (roster->table)
        cells_cut(row->source->text, row->source->length, roster->separator, cells, &end);
    for (guint i = 0; i < MIN(cells->len, roster->columns->len); i++) {
        const Column *column = &g_array_index(roster->columns, Column, i);
        const Cell *cell = &g_array_index(cells, Cell, i);
        if (!column->row || strcmp(column->row->key, key) != 0 ||
            g_strcmp0(column->inner ? column->inner->key : NULL, inner) != 0)
            continue;
        *out = source_place(row->source, cell->start, MAX(cell->length, 1));
        if (cell->length == 0)
            out->length = 0;
        return TRUE;
    }
    return FALSE;
}

static void locate_cell(const Roster *roster, const RosterRow *row, Finding *finding)
{
    gsize end;
    Place place = finding_place(finding);
    gsize at = source_offset(place);
    g_autoptr(GString) letters = g_string_new(NULL);
    g_autoptr(GArray) cells = g_array_new(FALSE, FALSE, sizeof(Cell));
    cells_cut(row->source->text, row->source->length, roster->separator, cells, &end);
    guint column = 0;
    while (column + 1 < cells->len && g_array_index(cells, Cell, column + 1).start <= at)
        column++;
    column_letters(letters, column);
    const char *heading = column < roster->columns->len ? g_array_index(roster->columns, Column, column).heading : "";
    finding_fact(finding, "row %u, column %s%s%s%s", row->at.number, letters->str, *heading ? ", \"" : "", heading,
                 *heading ? "\"" : "");
}

void roster_locate(const Roster *roster, const RosterRow *row, Diagnostics *diagnostics)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        Finding *finding = diagnostics_at(diagnostics, i);
        if (finding_place(finding).source != row->source)
            continue;
        if (!roster->table)
            finding_fact(finding, "person %u of the roster", row->at.number);
        else if (finding_rule(finding) == RULE_key_missing)
            finding_fact(finding, "row %u", row->at.number);
        else
            locate_cell(roster, row, finding);
    }
}
