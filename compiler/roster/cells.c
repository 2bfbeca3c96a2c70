/* roster_cells: RFC 4180, "Common Format and MIME Type for CSV Files", section 2 (from memory). */
#include "roster/parts.h"

#include <ctype.h>
#include <string.h>

/* Past the end of a cell's line, where one ends here; else the same place. */
static gsize past_break(const char *text, gsize length, gsize at)
{
    if (at < length && text[at] == '\r')
        at++;
    return at < length && text[at] == '\n' ? at + 1 : at;
}

static gboolean ends_cell(const char *text, gsize length, gsize at, char separator)
{
    return at >= length || text[at] == separator || text[at] == '\n' ||
           (text[at] == '\r' && (at + 1 >= length || text[at + 1] == '\n'));
}

/* A space that does not break, one as wide as an ideograph: whoever looks at a cell sees a space. */
static gboolean is_space(const char *at)
{
    return *at == ' ' || (!isascii((guchar)*at) && g_unichar_type(g_utf8_get_char(at)) == G_UNICODE_SPACE_SEPARATOR);
}

void cell_trim(const char *text, Cell *cell)
{
    const char *from = text + cell->start, *until = from + cell->length;
    while (from < until && is_space(from))
        from = g_utf8_next_char(from);
    for (const char *last; (last = g_utf8_find_prev_char(from, until)) && is_space(last);)
        until = last;
    cell->start = (gsize)(from - text);
    cell->length = (gsize)(until - from);
}

static void set_fault(Cell *cell, CellFault fault, gsize at)
{
    if (cell->fault == CELL_FINE) {
        cell->fault = fault;
        cell->fault_at = at;
    }
}

/* at: behind the opening quote.  Returns the place behind the cell. */
static gsize cut_quoted(const char *text, gsize length, gsize at, char separator, Cell *cell)
{
    gsize open = at - 1;
    cell->start = at;
    while (at < length && (text[at] != '"' || (at + 1 < length && text[at + 1] == '"'))) {
        cell->doubled |= text[at] == '"';
        at += text[at] == '"' ? 2 : 1;
    }
    cell->length = MIN(at, length) - cell->start;
    if (at >= length) {
        set_fault(cell, CELL_OPEN, open);
        return length;
    }
    gsize behind = ++at;
    while (at < length && text[at] == ' ')
        at++;
    for (; !ends_cell(text, length, at, separator); at++)
        set_fault(cell, CELL_BEHIND, behind);
    return at;
}

static gsize cut_plain(const char *text, gsize length, gsize at, char separator, Cell *cell)
{
    cell->start = at;
    for (; !ends_cell(text, length, at, separator); at++)
        if (text[at] == '"')
            set_fault(cell, CELL_INSIDE, at);
    cell->length = at - cell->start;
    return at;
}

void cells_cut(const char *text, gsize length, char separator, GArray *cells, gsize *end)
{
    gsize at = 0;
    for (;;) {
        Cell cell = {0};
        gsize begin = at;
        while (separator != ' ' && at < length && text[at] == ' ')
            at++;
        if (at < length && text[at] == '"')
            at = cut_quoted(text, length, at + 1, separator, &cell);
        else
            at = cut_plain(text, length, begin, separator, &cell);
        cell_trim(text, &cell);
        g_array_append_val(cells, cell);
        if (at >= length || text[at] != separator)
            break;
        at++;
    }
    *end = past_break(text, length, at);
}

gboolean cells_faulty(const GArray *cells)
{
    for (guint i = 0; i < cells->len; i++)
        if (g_array_index(cells, Cell, i).fault != CELL_FINE)
            return TRUE;
    return FALSE;
}

char *cell_text(Arena *arena, const char *row, const Cell *cell)
{
    char *text = arena_copy_length(arena, row + cell->start, cell->length);
    char *to = text;
    for (const char *from = text; cell->doubled && *from; from++) {
        *to++ = *from;
        if (from[0] == '"' && from[1] == '"')
            from++;
    }
    if (cell->doubled)
        *to = '\0';
    return text;
}

char cells_separator(const char *headings, gsize length)
{
    static const char separators[] = {',', ';', '\t'};
    char best = separators[0];
    guint most = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(separators); i++) {
        gsize end;
        g_autoptr(GArray) cells = g_array_new(FALSE, FALSE, sizeof(Cell));
        cells_cut(headings, length, separators[i], cells, &end);
        if (cells->len > most) {
            most = cells->len;
            best = separators[i];
        }
    }
    return best;
}

void cell_print(GString *out, const char *text)
{
    gboolean formula = *text && strchr("=+-@\t\r", *text);
    gboolean quoted = formula || strpbrk(text, ",;\"\n\r\t");
    if (!quoted) {
        g_string_append(out, text);
        return;
    }
    g_string_append_c(out, '"');
    if (formula) /* a spreadsheet shows what follows as it stands */
        g_string_append_c(out, '\'');
    for (; *text; text++) {
        if (*text == '"')
            g_string_append_c(out, '"');
        g_string_append_c(out, *text);
    }
    g_string_append_c(out, '"');
}
