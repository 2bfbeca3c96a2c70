/* schema_reference: the protocol language as Markdown tables, for people. */
#include <string.h>

#include "language/language.h"
#include "schema/schema.h"

/* Whether a key must be there; a list may have to hold something too. */
static const char *need_text(const FieldRow *row)
{
    switch (row->need) {
    case NEED_OPTIONAL:
        return "may";
    case NEED_FILLED:
        return "must, one or more";
    case NEED_REQUIRED:
        return "must";
    }
    g_assert_not_reached();
}

static void words_append(GString *out, ChoiceList list)
{
    guint count;
    guint first = choice_first(list, &count);
    for (guint i = first; i < first + count; i++)
        g_string_append_printf(out, "%s`%s`", i > first ? ", " : " ", choice_word((ChoiceWord)i));
}

/* A heading's anchor, as Markdown readers make it from "Clinic". */
static void record_link(GString *out, RecordId record)
{
    const char *name = record_row(record).name;
    g_autofree char *lower = g_ascii_strdown(name, -1);
    g_string_append_printf(out, " of [%s](#%s)", name, lower);
}

static void value_append(GString *out, const FieldRow *row)
{
    const KindRow *kind = kind_row(row->kind);
    g_string_append(out, kind->title);
    if (kind->item == AS_CHOICE)
        words_append(out, (ChoiceList)row->argument);
    else if (kind->item == AS_RECORD)
        record_link(out, (RecordId)row->argument);
    else if (row->kind == AS_AMOUNT || row->kind == AS_SPAN)
        g_string_append_printf(out, ": %s", dimension_word((Dimension)row->argument));
}

static void field_append(GString *out, const FieldRow *row)
{
    g_string_append_printf(out, "| `%s` | %s | ", row->key, need_text(row));
    value_append(out, row);
    g_string_append_printf(out, " | %s |", row->description);
    if (row->example[0] != '\0')
        g_string_append_printf(out, " `%s` |\n", row->example);
    else
        g_string_append(out, " |\n");
}

static void record_append(GString *out, RecordId id)
{
    RecordRow record = record_row(id);
    g_string_append_printf(out, "#### %s\n\n%s\n\n", record.name, record.title);
    g_string_append(out, "| key | must or may | value | meaning | example |\n");
    g_string_append(out, "| --- | --- | --- | --- | --- |\n");
    for (guint i = 0; i < record.count; i++)
        field_append(out, &record.fields[i]);
    g_string_append_c(out, '\n');
}

/* The example of the first key of that kind, or "". */
static const char *kind_example(FieldKind kind)
{
    for (guint i = 0; i < RECORD_COUNT; i++) {
        RecordRow record = record_row((RecordId)i);
        for (guint f = 0; f < record.count; f++) {
            if (record.fields[f].kind == kind && record.fields[f].example[0] != '\0')
                return record.fields[f].example;
        }
    }
    return "";
}

/* How each kind of value is written. */
static void kinds_append(GString *out)
{
    g_string_append(out, "#### How values are written\n\n| value | write | example |\n"
                         "| --- | --- | --- |\n");
    for (guint i = 0; i < AS_COUNT; i++) {
        const KindRow *kind = kind_row((FieldKind)i);
        const char *example = kind_example((FieldKind)i);
        const char *tick = example[0] != '\0' ? "`" : "";
        g_string_append_printf(out, "| %s | %s | %s%s%s |\n", kind->title, kind->form, tick,
                               example, tick);
    }
    g_string_append_c(out, '\n');
}

static void units_append(GString *out)
{
    g_string_append(out, "#### Units\n\n| amount | units |\n| --- | --- |\n");
    for (guint i = 0; i < DIM_COUNT; i++) {
        g_string_append_printf(out, "| %s |", dimension_word((Dimension)i));
        const char *gap = " ";
        for (guint u = 0; u < UNIT_COUNT; u++) {
            if (unit_row((UnitId)u)->dimension != (Dimension)i)
                continue;
            g_string_append_printf(out, "%s`%s`", gap, unit_row((UnitId)u)->symbol);
            gap = ", ";
        }
        g_string_append(out, " |\n");
    }
    g_string_append_c(out, '\n');
}

static void choices_append(GString *out)
{
    g_string_append(out, "#### Words and their meanings\n\n| word | meaning |\n| --- | --- |\n");
    for (guint i = 0; i < CHOICE_COUNT; i++) {
        const ChoiceRow *row = choice_row((ChoiceWord)i);
        if (row->meaning[0] != '\0')
            g_string_append_printf(out, "| `%s` | %s |\n", row->word, row->meaning);
    }
}

char *schema_reference(Arena *arena)
{
    GString *out = g_string_new(NULL);
    for (guint i = 0; i < RECORD_COUNT; i++)
        record_append(out, (RecordId)i);
    kinds_append(out);
    units_append(out);
    choices_append(out);
    char *text = arena_copy_length(arena, out->str, out->len);
    g_string_free(out, TRUE);
    return text;
}
