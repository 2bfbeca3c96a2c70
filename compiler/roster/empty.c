/* roster_empty: an empty roster, with the headings of what a protocol's sheets need. */
#include "roster/parts.h"

#include <string.h>

typedef struct Sheet {
    Arena *arena;
    const Clinic *clinic;
    const Protocol *protocol;
    GString *headings, *everyone;
} Sheet;

static void add_column(const Sheet *sheet, const char *heading, const char *everyone)
{
    if (sheet->headings->len > 0) {
        g_string_append_c(sheet->headings, ',');
        g_string_append_c(sheet->everyone, ',');
    }
    cell_print(sheet->headings, heading);
    cell_print(sheet->everyone, everyone);
}

static const Injection *injection_at(const Protocol *protocol, guint index)
{
    return g_ptr_array_index(protocol->injections.items, index);
}

static gboolean any(const Protocol *protocol, gboolean (*asks)(const Injection *))
{
    for (guint i = 0; i < protocol->injections.items->len; i++)
        if (asks(injection_at(protocol, i)))
            return TRUE;
    return FALSE;
}

static gboolean asks_weight(const Injection *injection)
{
    return PRESENT(injection->site) && site_row(injection->site.value)->by_weight;
}

static gboolean asks_bleeding(const Injection *injection)
{
    return PRESENT(injection->route) && route_row(injection->route.value)->layer == LAYER_MUSCLE;
}

static gboolean asks_giver(const Injection *injection)
{
    return PRESENT(injection->give.by) && injection->give.by.value == Giver_EITHER;
}

/* A field that need not be written is asked where a rule would ask for it. */
static gboolean is_asked(const Sheet *sheet, const FieldRow *field)
{
    const Protocol *protocol = sheet->protocol;
    if (strcmp(field->key, "sheet") == 0) /* a record gives the numbers itself */
        return !PRESENT(sheet->clinic->record);
    if (field->need != NEED_OPTIONAL)
        return TRUE;
    if (strcmp(field->key, "weight") == 0 || strcmp(field->key, "sex") == 0)
        return any(protocol, asks_weight);
    if (strcmp(field->key, "bleeding") == 0)
        return any(protocol, asks_bleeding);
    return strcmp(field->key, "by") == 0 && any(protocol, asks_giver);
}

gboolean roster_asks(const Clinic *clinic, const Protocol *protocol, const FieldRow *field)
{
    const Sheet sheet = {.clinic = clinic, .protocol = protocol};
    return is_asked(&sheet, field);
}

static const char *for_everyone(const Sheet *sheet, const FieldRow *field)
{
    if (strcmp(field->key, "patient") == 0)
        return ROSTER_EVERYONE;
    return strcmp(field->key, "protocol") == 0 ? sheet->protocol->protocol.text : "";
}

static gboolean named_before(const Protocol *protocol, guint index)
{
    for (guint i = 0; i < index; i++)
        if (g_strcmp0(injection_at(protocol, i)->medicine.text, injection_at(protocol, index)->medicine.text) == 0)
            return TRUE;
    return FALSE;
}

static void add_boxes(const Sheet *sheet)
{
    for (guint i = 0; i < sheet->protocol->injections.items->len; i++) {
        const Text *medicine = &injection_at(sheet->protocol, i)->medicine;
        if (!PRESENT(*medicine) || named_before(sheet->protocol, i))
            continue;
        add_column(sheet, arena_format(sheet->arena, "lot of %s", medicine->text), "");
        add_column(sheet, arena_format(sheet->arena, "expires of %s", medicine->text), "");
    }
}

static void add_fields(const Sheet *sheet, RecordId record)
{
    RecordRow row = record_row(record);
    for (guint i = 0; i < row.count; i++) {
        const FieldRow *field = &row.fields[i];
        RecordId inner = field_record(field);
        if (!is_asked(sheet, field))
            continue;
        if (inner == RECORD_Box)
            add_boxes(sheet);
        else if (inner != RECORD_COUNT)
            add_fields(sheet, inner);
        else
            add_column(sheet, field_heading(sheet->arena, field), record == RECORD_Patient ? for_everyone(sheet, field)
                                                                                          : "");
    }
}

void roster_print_empty(Arena *arena, const Clinic *clinic, const Protocol *protocol, GString *out)
{
    const Sheet sheet = {arena, clinic, protocol, g_string_new(NULL), g_string_new(NULL)};
    add_fields(&sheet, RECORD_Patient);
    g_string_append_printf(out, "%s\r\n%s\r\n", sheet.headings->str, sheet.everyone->str);
    g_string_free(sheet.headings, TRUE);
    g_string_free(sheet.everyone, TRUE);
}
