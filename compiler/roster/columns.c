/* roster_columns: which key of a patient's file each column of a table holds. */
#define _GNU_SOURCE /* strcasestr */
#include "roster/parts.h"

#include <string.h>

#define MOST_COLUMNS 200

void column_letters(GString *out, guint index)
{
    gssize start = (gssize)out->len;
    for (guint left = index + 1; left > 0; left = (left - 1) / 26)
        g_string_insert_c(out, start, (char)('A' + (left - 1) % 26));
}

/* Small letters, one space between words, none for "_": "Prepared_by " is "prepared by". */
static char *plain(const char *heading)
{
    g_autofree char *small = g_utf8_strdown(heading, -1);
    g_strdelimit(small, "_", ' ');
    g_auto(GStrv) words = g_strsplit(small, " ", -1);
    g_autoptr(GPtrArray) kept = g_ptr_array_new();
    for (char **word = words; *word; word++)
        if (**word)
            g_ptr_array_add(kept, *word);
    g_ptr_array_add(kept, NULL);
    return g_strjoinv(" ", (char **)kept->pdata);
}

static gboolean names_field(const char *words, const FieldRow *field)
{
    Arena *arena = arena_new();
    g_autofree char *key = plain(field->key);
    gboolean same = strcmp(words, key) == 0 || strcmp(words, field_heading(arena, field)) == 0;
    arena_free(arena);
    return same;
}

/* A field of the patient, or of a record that it holds. */
static gboolean find_field(const char *words, Column *out)
{
    RecordRow patient = record_row(RECORD_Patient);
    for (guint i = 0; i < patient.count; i++) {
        const FieldRow *row = &patient.fields[i];
        RecordId record = field_record(row);
        if (record == RECORD_COUNT && names_field(words, row)) {
            out->row = row;
            return TRUE;
        }
        const FieldRow *inside = record == RECORD_COUNT ? NULL : record_row(record).fields;
        for (guint f = 0; inside && f < record_row(record).count; f++) {
            /* "on" and "by" alone say too little; their headings say which is meant */
            Arena *arena = arena_new();
            g_autofree char *heading = g_strdup(field_heading(arena, &inside[f]));
            arena_free(arena);
            if (strcmp(words, heading) == 0) {
                out->row = row;
                out->inner = &inside[f];
                return TRUE;
            }
        }
    }
    return FALSE;
}

/* Takes " 2" off the end: which of several boxes. */
static guint take_group(char *words)
{
    char *space = strrchr(words, ' ');
    if (!space || !space[1] || strspn(space + 1, "0123456789") != strlen(space + 1) || strlen(space + 1) > 2)
        return 1;
    guint group = (guint)g_ascii_strtoull(space + 1, NULL, 10);
    if (group > 0)
        *space = '\0';
    return MAX(group, 1);
}

/* "lot 2 of chorionic gonadotropin 10,000 units" names its medicine itself. */
static void take_medicine(Arena *arena, const char *heading, char *words, Column *out)
{
    char *of = strstr(words, " of ");
    const char *written = of ? strcasestr(heading, " of ") : NULL;
    if (!written)
        return;
    *of = '\0';
    out->medicine = g_strstrip(arena_copy(arena, written + strlen(" of ")));
}

static void understand(Arena *arena, Column *column)
{
    g_autofree char *words = plain(column->heading);
    if (find_field(words, column))
        return;
    take_medicine(arena, column->heading, words, column);
    column->group = take_group(words);
    gboolean known = find_field(words, column);
    gboolean box = known && field_record(column->row) == RECORD_Box;
    if (known && (column->medicine ? !box : !kind_row(column->row->kind)->is_list))
        column->row = NULL; /* "weight 2", "weight of ..." */
}

static const char *all_headings(Arena *arena)
{
    GString *text = g_string_new(NULL);
    RecordRow patient = record_row(RECORD_Patient);
    for (guint i = 0; i < patient.count; i++) {
        RecordId record = field_record(&patient.fields[i]);
        RecordRow inner = {0};
        if (record != RECORD_COUNT)
            inner = record_row(record);
        for (guint f = 0; f < MAX(inner.count, 1); f++)
            g_string_append_printf(text, "%s%s", text->len ? ", " : "",
                                   field_heading(arena, inner.count ? &inner.fields[f] : &patient.fields[i]));
    }
    char *copy = arena_copy(arena, text->str);
    g_string_free(text, TRUE);
    return copy;
}

static void unknown(Arena *arena, const Column *column, Diagnostics *diagnostics)
{
    const char *list = all_headings(arena);
    g_auto(GStrv) words = g_strsplit(list, ", ", -1);
    g_autofree char *written = plain(column->heading);
    const char *near = nearest_word(written, (const char *const *)words, g_strv_length(words));
    Finding *finding = finding_add(diagnostics, RULE_roster_heading, column->place);
    finding_fact(finding, "\"%s\" is no heading of a roster", column->heading);
    if (near)
        finding_help(finding, "write \"%s\", or take the column out", near);
    else
        finding_help(finding, "take the column out, or write one of: %s", list);
}

static gboolean same(const Column *a, const Column *b)
{
    return a->row && a->row == b->row && a->inner == b->inner && a->group == b->group &&
           g_strcmp0(a->medicine, b->medicine) == 0;
}

static gboolean is_new(const GArray *columns, const Column *column, Diagnostics *diagnostics)
{
    for (guint i = 0; i < columns->len; i++) {
        const Column *first = &g_array_index(columns, Column, i);
        if (!same(first, column))
            continue;
        Finding *finding = finding_add(diagnostics, RULE_roster_heading, column->place);
        finding_fact(finding, "two columns hold the same");
        finding_note(finding, first->place, "the first of them");
        finding_help(finding, kind_row(column->row->kind)->is_list && column->inner
                                  ? "keep one; a second box has headings with 2 behind them, like \"lot 2\""
                                  : "keep one of the two columns");
        return FALSE;
    }
    return TRUE;
}

/* Nobody can be told apart without it; and a wrong separator leaves one long heading. */
static gboolean has_codes(const GArray *columns, const Source *source, Diagnostics *diagnostics)
{
    for (guint i = 0; i < columns->len; i++) {
        const Column *column = &g_array_index(columns, Column, i);
        if (column->row && strcmp(column->row->key, "patient") == 0)
            return TRUE;
    }
    Finding *finding = finding_add(diagnostics, RULE_roster_heading, (Place){source, 1, 1, 1});
    finding_fact(finding, "no column is headed \"code\"");
    finding_help(finding, "begin the file with a line of headings, with commas, semicolons or tabs between them; "
                          "\"dosewright roster PROTOCOL\" prints one");
    return FALSE;
}

gboolean columns_read(Arena *arena, const Source *source, const GArray *cells, GArray *columns,
                      Diagnostics *diagnostics)
{
    gboolean fine = TRUE;
    if (cells->len > MOST_COLUMNS) {
        Finding *finding = finding_add(diagnostics, RULE_roster_heading, (Place){source, 1, 1, 1});
        finding_fact(finding, "%u columns; the limit is %d", cells->len, MOST_COLUMNS);
        finding_help(finding, "check that this is the file you meant");
        return FALSE;
    }
    for (guint i = 0; i < cells->len; i++) {
        const Cell *cell = &g_array_index(cells, Cell, i);
        Column column = {.group = 1, .heading = cell_text(arena, source->text, cell),
                         .place = source_place(source, cell->start, MAX(cell->length, 1))};
        if (*column.heading) {
            understand(arena, &column);
            if (!column.row)
                unknown(arena, &column, diagnostics);
            fine = column.row && is_new(columns, &column, diagnostics) && fine;
        }
        g_array_append_val(columns, column);
    }
    return has_codes(columns, source, diagnostics) && fine;
}
