/* schema: JSON Schema for editors, from fields.def, kinds.def, choices.def and units.def.
 * Editors read unquoted digits as numbers where the reader takes all for text:
 * so a value may be a text or a number, and its pattern holds for texts. */
#include "schema/schema.h"

#include <string.h>

#include "language/language.h"

#define NUMBER                                                                                \
    "(([1-9][0-9]{0,2}(,[0-9]{3})+|0|[1-9][0-9]*)(\\.[0-9]*[1-9])?|([1-9][0-9]* )?[1-9][0-9]*/" \
    "[1-9][0-9]*)"
#define CLOCK                                                                     \
    "((1[0-2]|[1-9])(:[0-5][0-9])? [ap]m|([01]?[0-9]|2[0-3]):[0-5][0-9]|noon)"

static const RecordId file_roots[] = {
    [FILE_CLINIC] = RECORD_Clinic,
    [FILE_SHELF] = RECORD_Shelf,
    [FILE_PROTOCOL] = RECORD_Protocol,
    [FILE_PATIENT] = RECORD_Patient,
};

/* ---- JSON text ---- */

static void json_text(GString *out, const char *text)
{
    g_string_append_c(out, '"');
    for (const char *c = text; *c != '\0'; c++) {
        if (*c == '"' || *c == '\\')
            g_string_append_c(out, '\\');
        g_assert((guchar)*c >= 0x20);
        g_string_append_c(out, *c);
    }
    g_string_append_c(out, '"');
}

/* A line end with the indentation of a depth. */
static void json_line(GString *out, int depth)
{
    g_string_append_printf(out, "\n%*s", depth * 2, "");
}

static void json_pair(GString *out, int depth, const char *key, const char *text)
{
    json_line(out, depth);
    json_text(out, key);
    g_string_append(out, ": ");
    json_text(out, text);
    g_string_append_c(out, ',');
}

/* Ends an object or list: takes the comma after its last member away. */
static void json_end(GString *out, int depth, char bracket)
{
    if (out->str[out->len - 1] == ',')
        g_string_truncate(out, out->len - 1);
    json_line(out, depth);
    g_string_append_c(out, bracket);
    g_string_append_c(out, ',');
}

/* ---- patterns ---- */

/* "(mL|L)" for a dimension, "(mcg|mg|g|units|unit)" for two. */
static char *units_pattern(guint dimensions)
{
    GString *units = g_string_new("(");
    for (guint i = 0; i < UNIT_COUNT; i++) {
        const UnitRow *unit = unit_row((UnitId)i);
        if (!(dimensions & 1u << unit->dimension))
            continue;
        g_string_append_printf(units, "%s|", unit->symbol);
        if (unit->one[0] != '\0')
            g_string_append_printf(units, "%s|", unit->one);
    }
    units->str[units->len - 1] = ')';
    return g_string_free(units, FALSE);
}

static void slot_fill(GString *text, const char *slot, const char *before, char *pattern)
{
    g_autofree char *whole = g_strconcat(before, pattern, NULL);
    g_string_replace(text, slot, whole, 0);
    g_free(pattern);
}

/* "(in the refrigerator|at room temperature)" */
static char *words_pattern(ChoiceList list)
{
    guint count;
    guint first = choice_first(list, &count);
    GString *words = g_string_new("(");
    for (guint i = first; i < first + count; i++)
        g_string_append_printf(words, "%s%c", choice_word(i), i + 1 < first + count ? '|' : ')');
    return g_string_free(words, FALSE);
}

/* "36 h", "1 h 30 min" */
static char *time_pattern(void)
{
    g_autofree char *units = units_pattern(1u << DIM_TIME);
    return g_strdup_printf("(" NUMBER " %s( " NUMBER " %s)*)", units, units);
}

static char *pattern_filled(const FieldRow *row, const char *pattern)
{
    GString *text = g_string_new(pattern);
    if (strstr(pattern, "{unit}")) /* a percentage may stand without its space */
        slot_fill(text, "{unit}", row->argument == DIM_RATIO ? " ?" : " ", units_pattern(1u << row->argument));
    slot_fill(text, "{dose}", "", units_pattern(1u << DIM_MASS | 1u << DIM_ACTIVITY));
    slot_fill(text, "{volume}", "", units_pattern(1u << DIM_VOLUME));
    slot_fill(text, "{length}", "", units_pattern(1u << DIM_LENGTH));
    slot_fill(text, "{places}", "", words_pattern(CHOICES_KeptAt));
    slot_fill(text, "{time}", "", time_pattern());
    g_string_replace(text, "{number}", NUMBER, 0);
    g_string_replace(text, "{clock}", CLOCK, 0);
    return g_string_free(text, FALSE);
}

/* ---- values ---- */

static void choice_print(GString *out, int depth, ChoiceList list)
{
    guint count;
    guint first = choice_first(list, &count);
    json_line(out, depth);
    g_string_append(out, "\"enum\": [");
    for (guint i = first; i < first + count; i++) {
        json_text(out, choice_word((ChoiceWord)i));
        g_string_append(out, i + 1 < first + count ? ", " : "],");
    }
}

static void kind_print(GString *out, int depth, const FieldRow *row, FieldKind kind);

/* One text, or one for each language tag. */
static void saying_print(GString *out, int depth)
{
    json_line(out, depth);
    g_string_append(out, "\"type\": [\"string\", \"number\", \"object\"],");
    json_line(out, depth);
    g_string_append(out, "\"propertyNames\": {\"pattern\": ");
    json_text(out, kind_row(AS_LANGUAGE)->pattern);
    g_string_append(out, "},");
    json_line(out, depth);
    g_string_append(out, "\"additionalProperties\": {\"type\": [\"string\", \"number\"]},");
}

static void items_print(GString *out, int depth, const FieldRow *row, FieldKind item)
{
    json_pair(out, depth, "type", "array");
    if (row->need == NEED_FILLED) {
        json_line(out, depth);
        g_string_append(out, "\"minItems\": 1,");
    }
    json_line(out, depth);
    g_string_append(out, "\"items\": {");
    kind_print(out, depth + 1, row, item);
    json_end(out, depth, '}');
}

static void kind_print(GString *out, int depth, const FieldRow *row, FieldKind kind)
{
    const KindRow *form = kind_row(kind);
    if (form->is_list) {
        items_print(out, depth, row, form->item);
    } else if (kind == AS_RECORD) {
        g_autofree char *name = g_strdup_printf("#/$defs/%s", record_row(field_record(row)).name);
        json_pair(out, depth, "$ref", name);
    } else if (kind == AS_CHOICE) {
        choice_print(out, depth, (ChoiceList)row->argument);
    } else if (kind == AS_SAYING) {
        saying_print(out, depth);
    } else {
        g_autofree char *pattern = pattern_filled(row, form->pattern ? form->pattern : "");
        json_line(out, depth);
        g_string_append(out, "\"type\": [\"string\", \"number\"],");
        json_pair(out, depth, "pattern", pattern);
    }
}

/* "powder: to be mixed first; solution: ..." for the words that say more. */
static void meanings_append(GString *text, ChoiceList list)
{
    guint count;
    guint first = choice_first(list, &count);
    const char *gap = ". ";
    for (guint i = first; i < first + count; i++) {
        const ChoiceRow *row = choice_row((ChoiceWord)i);
        if (row->meaning[0] == '\0')
            continue;
        g_string_append_printf(text, "%s%s: %s", gap, row->word, row->meaning);
        gap = "; ";
    }
}

static void description_print(GString *out, int depth, const FieldRow *row)
{
    g_autoptr(GString) text = g_string_new(row->description);
    FieldKind kind = kind_row(row->kind)->item;
    if (kind == AS_CHOICE)
        meanings_append(text, (ChoiceList)row->argument);
    else if (kind != AS_RECORD)
        g_string_append_printf(text, ". Write %s.", kind_row(row->kind)->form);
    json_pair(out, depth, "description", text->str);
}

/* The example as an editor would hold it: a list for lists. */
static void example_print(GString *out, int depth, const FieldRow *row)
{
    const char *example = row->example;
    if (example[0] == '\0')
        return;
    json_line(out, depth);
    g_string_append(out, "\"examples\": [");
    if (!kind_row(row->kind)->is_list) {
        json_text(out, example);
        g_string_append(out, "],");
        return;
    }
    g_autofree char *inner = g_strndup(example + 1, strlen(example) - 2);
    g_auto(GStrv) items = g_strsplit(inner, ", ", -1);
    g_string_append_c(out, '[');
    for (guint i = 0; items[i]; i++) {
        g_string_append(out, i > 0 ? ", " : "");
        json_text(out, items[i]);
    }
    g_string_append(out, "]],");
}

/* ---- records ---- */

static void field_print(GString *out, int depth, const FieldRow *row)
{
    json_line(out, depth);
    json_text(out, row->key);
    g_string_append(out, ": {");
    description_print(out, depth + 1, row);
    kind_print(out, depth + 1, row, row->kind);
    example_print(out, depth + 1, row);
    json_end(out, depth, '}');
}

static void required_print(GString *out, int depth, RecordRow record)
{
    json_line(out, depth);
    g_string_append(out, "\"required\": [");
    for (guint i = 0; i < record.count; i++) {
        if (record.fields[i].need == NEED_OPTIONAL)
            continue;
        json_text(out, record.fields[i].key);
        g_string_append(out, ", ");
    }
    if (g_str_has_suffix(out->str, ", "))
        g_string_truncate(out, out->len - 2);
    g_string_append(out, "],");
}

static void record_print(GString *out, int depth, RecordId id)
{
    RecordRow record = record_row(id);
    json_line(out, depth);
    json_text(out, record.name);
    g_string_append(out, ": {");
    json_pair(out, depth + 1, "title", record.title);
    json_pair(out, depth + 1, "type", "object");
    json_line(out, depth + 1);
    g_string_append(out, "\"additionalProperties\": false,");
    required_print(out, depth + 1, record);
    json_line(out, depth + 1);
    g_string_append(out, "\"properties\": {");
    for (guint i = 0; i < record.count; i++)
        field_print(out, depth + 2, &record.fields[i]);
    json_end(out, depth + 1, '}');
    json_end(out, depth, '}');
}

/* Marks a record and all that it holds; depth is bounded by their nesting. */
static void records_mark(RecordId id, gboolean *marked)
{
    RecordRow record = record_row(id);
    marked[id] = TRUE;
    for (guint i = 0; i < record.count; i++) {
        RecordId inner = field_record(&record.fields[i]);
        if (inner != RECORD_COUNT && !marked[inner])
            records_mark(inner, marked);
    }
}

char *schema_json(Arena *arena, FileKind kind)
{
    RecordRow root = record_row(file_roots[kind]);
    gboolean marked[RECORD_COUNT] = {FALSE};
    records_mark(file_roots[kind], marked);
    GString *out = g_string_new("{");
    g_autofree char *id = g_strdup_printf("urn:dosewright:schema:%s", root.fields[0].key);
    g_autofree char *reference = g_strdup_printf("#/$defs/%s", root.name);
    json_pair(out, 1, "$schema", "https://json-schema.org/draft/2020-12/schema");
    json_pair(out, 1, "$id", id);
    json_pair(out, 1, "title", root.title);
    json_pair(out, 1, "$ref", reference);
    json_line(out, 1);
    g_string_append(out, "\"$defs\": {");
    for (guint i = 0; i < RECORD_COUNT; i++) {
        if (marked[i])
            record_print(out, 2, (RecordId)i);
    }
    json_end(out, 1, '}');
    json_end(out, 0, '}');
    out->str[out->len - 1] = '\n';
    char *text = arena_copy_length(arena, out->str, out->len);
    g_string_free(out, TRUE);
    return text;
}
