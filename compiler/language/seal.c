/* seal: walks the rows of fields.def and prints each value in one form.  Keys
 * are sorted, so that moving a row does not break the seals of a clinic. */
#include "language/seal.h"

#include <string.h>

#include "language/table.h"

#define SEAL_VERSION "dosewright protocol meaning 1\n"
#define SEAL_LENGTH 16

typedef struct Writer {
    GString *out;
    const FieldRow *row;
    gboolean bad; /* a value could not be read */
} Writer;

static void record_write(Writer *writer, RecordId record, gconstpointer from);

/* Length before text: no text can look like the next value. */
static void text_write(Writer *writer, const char *text)
{
    g_string_append_printf(writer->out, "%" G_GSIZE_FORMAT ":%s", strlen(text), text);
}

static void quantity_write(Writer *writer, Quantity quantity)
{
    g_string_append_printf(writer->out, "%" G_GINT64_FORMAT "/%" G_GINT64_FORMAT " %s",
                           quantity.number.num, quantity.number.den,
                           unit_row(quantity.unit)->symbol);
}

/* ---- one function for each type of value, named after it ---- */

static void write_Text(Writer *writer, gconstpointer value)
{
    text_write(writer, ((const Text *)value)->text);
}

static void write_Number(Writer *writer, gconstpointer value)
{
    g_string_append_printf(writer->out, "%" G_GINT64_FORMAT, ((const Number *)value)->value);
}

static void write_Amount(Writer *writer, gconstpointer value)
{
    quantity_write(writer, ((const Amount *)value)->quantity);
}

static void write_pair(Writer *writer, Quantity first, const char *between, Quantity second)
{
    quantity_write(writer, first);
    g_string_append(writer->out, between);
    quantity_write(writer, second);
}

static void write_StrengthField(Writer *writer, gconstpointer value)
{
    Strength strength = ((const StrengthField *)value)->strength;
    write_pair(writer, strength.amount, " in ", strength.volume);
}

static void write_Span(Writer *writer, gconstpointer value)
{
    const Span *span = value;
    write_pair(writer, span->from, " to ", span->until);
}

static void write_NeedleField(Writer *writer, gconstpointer value)
{
    const NeedleField *needle = value;
    write_pair(writer, needle->gauge, " x ", needle->length);
}

static void write_Choice(Writer *writer, gconstpointer value)
{
    text_write(writer, choice_word(choice_value(value)));
}

/* The day only: a weekday before it was checked and says nothing more. */
static void write_Date(Writer *writer, gconstpointer value)
{
    CalendarDate date = day_date(((const Date *)value)->day);
    g_string_append_printf(writer->out, "%04d-%02d-%02d", date.year, date.month, date.day);
}

static void minute_write(Writer *writer, int minute)
{
    g_string_append_printf(writer->out, "%02d:%02d", minute / 60, minute % 60);
}

static void write_ClockTime(Writer *writer, gconstpointer value)
{
    minute_write(writer, ((const ClockTime *)value)->minute);
}

static void write_ClockSpan(Writer *writer, gconstpointer value)
{
    const ClockSpan *span = value;
    if (span->all_day) {
        g_string_append(writer->out, "at any hour");
        return;
    }
    minute_write(writer, span->from);
    g_string_append(writer->out, " to ");
    minute_write(writer, span->until);
}

static void write_ZoneField(Writer *writer, gconstpointer value)
{
    text_write(writer, zone_name(((const ZoneField *)value)->zone));
}

static int versions_compare(gconstpointer a, gconstpointer b)
{
    const SayingVersion *const *first = a, *const *second = b;
    return g_strcmp0((*first)->language, (*second)->language);
}

static void write_Saying(Writer *writer, gconstpointer value)
{
    const Saying *saying = value;
    g_autoptr(GPtrArray) sorted = g_ptr_array_copy(saying->versions, NULL, NULL);
    g_ptr_array_sort(sorted, versions_compare);
    for (guint i = 0; i < sorted->len; i++) {
        const SayingVersion *version = g_ptr_array_index(sorted, i);
        text_write(writer, version->language ? version->language : "");
        text_write(writer, version->text.text);
    }
}

static void write_Keep(Writer *writer, gconstpointer value)
{
    const Keep *keep = value;
    if (keep->at_once) {
        g_string_append(writer->out, "at once");
        return;
    }
    quantity_write(writer, keep->limit);
    text_write(writer, choice_word(keep->kept_at));
}

static void write_Window(Writer *writer, gconstpointer value)
{
    const Window *window = value;
    if (window->exact)
        g_string_append(writer->out, "exactly");
    else
        write_pair(writer, window->before, " before, after ", window->after);
}

static void write_Timing(Writer *writer, gconstpointer value)
{
    const Timing *timing = value;
    if (timing->kind == TIMING_CALENDAR) {
        minute_write(writer, timing->minute);
        g_string_append_printf(writer->out, " day %d for %d", timing->day, timing->days);
        return;
    }
    if (timing->kind == TIMING_ELAPSED) {
        quantity_write(writer, timing->offset);
        g_string_append(writer->out, timing->before ? " before " : " after ");
    }
    text_write(writer, timing->from);
}

/* A record inside another. */
static void write_Field(Writer *writer, gconstpointer value)
{
    record_write(writer, field_record(writer->row), value);
}

typedef void (*WriteFunction)(Writer *writer, gconstpointer value);

static const WriteFunction write_functions[AS_COUNT] = {
#define KIND(ID, word, Type, title, form, pattern) [AS_##ID] = write_##Type,
#include "language/kinds.def"
};

/* ---- values, lists and records ---- */

static void value_write(Writer *writer, FieldKind kind, const Field *value)
{
    writer->bad |= value->state == FIELD_BAD;
    if (value->state == FIELD_READ)
        write_functions[kind](writer, value);
}

static void list_write(Writer *writer, const List *list)
{
    const FieldRow *row = writer->row;
    writer->bad |= list->at.state == FIELD_BAD;
    g_string_append_c(writer->out, '[');
    for (guint i = 0; i < list->items->len; i++) {
        writer->row = row;
        value_write(writer, kind_row(row->kind)->item, g_ptr_array_index(list->items, i));
        g_string_append_c(writer->out, ',');
    }
    g_string_append_c(writer->out, ']');
}

static void field_write(Writer *writer, const FieldRow *row, const Field *member)
{
    if (member->state == FIELD_ABSENT)
        return;
    writer->row = row;
    g_string_append_printf(writer->out, "%s=", row->key);
    if (kind_row(row->kind)->is_list)
        list_write(writer, (const List *)member);
    else
        value_write(writer, row->kind, member);
    g_string_append(writer->out, ";\n");
}

static int rows_compare(gconstpointer a, gconstpointer b)
{
    const FieldRow *const *first = a, *const *second = b;
    return strcmp((*first)->key, (*second)->key);
}

static void record_write(Writer *writer, RecordId record, gconstpointer from)
{
    RecordRow row = record_row(record);
    g_autoptr(GPtrArray) sorted = g_ptr_array_new();
    for (guint i = 0; i < row.count; i++)
        g_ptr_array_add(sorted, (gpointer)&row.fields[i]);
    g_ptr_array_sort(sorted, rows_compare);
    g_string_append(writer->out, "{\n");
    for (guint i = 0; i < sorted->len; i++) {
        const FieldRow *field = g_ptr_array_index(sorted, i);
        if (field_record(field) != RECORD_Approval)
            field_write(writer, field, record_member((gpointer)from, field));
    }
    g_string_append_c(writer->out, '}');
}

char *seal_text(Arena *arena, const Protocol *protocol)
{
    Writer writer = {g_string_new(SEAL_VERSION), NULL, FALSE};
    record_write(&writer, RECORD_Protocol, protocol);
    char *text = writer.bad ? NULL : arena_copy_length(arena, writer.out->str, writer.out->len);
    g_string_free(writer.out, TRUE);
    return text;
}

char *seal_digest(Arena *arena, const Protocol *protocol)
{
    const char *text = seal_text(arena, protocol);
    if (!text)
        return NULL;
    g_autofree char *digest = g_compute_checksum_for_string(G_CHECKSUM_SHA256, text, -1);
    return arena_copy_length(arena, digest, SEAL_LENGTH);
}
