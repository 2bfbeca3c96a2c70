/* seal: walks the rows of fields.def and prints each value in one form, one value a
 * line behind its path.  Keys are sorted, so that moving a row does not break the
 * seals of a clinic. */
#include "language/seal.h"

#include <string.h>

#include "language/table.h"

#define SEAL_VERSION "dosewright approval 2"
#define SEAL_LENGTH 16
#define PART_LENGTH 4

typedef struct Writer {
    GString *out;
    GString *path; /* of the value that is written: "clinic.phones.night.number" */
    const FieldRow *row;
    gboolean bad; /* a value could not be read */
    SealMemo *memo;
} Writer;

static void record_write(Writer *writer, RecordId record, gconstpointer from);

/* Plainly: each approval is compared with a seal of some hundred lines, and printf takes five
 * times as long. */
static void number_write(GString *out, gint64 number)
{
    char digits[24], *at = digits + sizeof digits;
    guint64 left = number < 0 ? -(guint64)number : (guint64)number;
    do
        *--at = (char)('0' + left % 10);
    while (left /= 10);
    if (number < 0)
        *--at = '-';
    g_string_append_len(out, at, digits + sizeof digits - at);
}

/* Length before text: no text can look like the next value. */
static void text_write(Writer *writer, const char *text)
{
    gsize length = strlen(text);
    number_write(writer->out, (gint64)length);
    g_string_append_c(writer->out, ':');
    g_string_append_len(writer->out, text, (gssize)length);
}

static void quantity_write(Writer *writer, Quantity quantity)
{
    number_write(writer->out, quantity.number.num);
    if (quantity.number.den != 1) {
        g_string_append_c(writer->out, '/');
        number_write(writer->out, quantity.number.den);
    }
    g_string_append_c(writer->out, ' ');
    g_string_append(writer->out, unit_row(quantity.unit)->symbol);
}

/* ---- one function for each type of value, named after it ---- */

static void write_Text(Writer *writer, gconstpointer value)
{
    text_write(writer, ((const Text *)value)->text);
}

static void write_Number(Writer *writer, gconstpointer value)
{
    number_write(writer->out, ((const Number *)value)->value);
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

/* A record inside another: its own lines stand under this one. */
static void write_Field(Writer *writer, gconstpointer value)
{
    g_string_append_c(writer->out, '\n');
    record_write(writer, field_record(writer->row), value);
}

typedef void (*WriteFunction)(Writer *writer, gconstpointer value);

static const WriteFunction write_functions[AS_COUNT] = {
#define KIND(ID, word, Type, title, form, pattern) [AS_##ID] = write_##Type,
#include "language/kinds.def"
};

/* ---- values, lists and records ---- */

static void path_write(Writer *writer)
{
    g_string_append_len(writer->out, writer->path->str, (gssize)writer->path->len);
    g_string_append_c(writer->out, '=');
}

static void value_write(Writer *writer, FieldKind kind, const Field *value)
{
    writer->bad |= value->state == FIELD_BAD;
    if (value->state != FIELD_READ)
        return;
    path_write(writer);
    write_functions[kind](writer, value);
    if (kind != AS_RECORD)
        g_string_append_c(writer->out, '\n');
}

static void list_write(Writer *writer, const FieldRow *row, const List *list)
{
    gsize above = writer->path->len;
    writer->bad |= list->at.state == FIELD_BAD;
    path_write(writer);
    number_write(writer->out, list->items->len);
    g_string_append_c(writer->out, '\n');
    for (guint i = 0; i < list->items->len; i++) {
        g_string_append_c(writer->path, '.');
        number_write(writer->path, i + 1);
        writer->row = row;
        value_write(writer, kind_row(row->kind)->item, g_ptr_array_index(list->items, i));
        g_string_truncate(writer->path, above);
    }
}

static void field_write(Writer *writer, const FieldRow *row, const Field *member)
{
    gsize above = writer->path->len;
    if (member->state == FIELD_ABSENT)
        return;
    writer->row = row;
    g_string_append_c(writer->path, '.');
    g_string_append(writer->path, row->key);
    if (kind_row(row->kind)->is_list)
        list_write(writer, row, (const List *)member);
    else
        value_write(writer, row->kind, member);
    g_string_truncate(writer->path, above);
}

static int rows_compare(gconstpointer a, gconstpointer b)
{
    const FieldRow *const *first = a, *const *second = b;
    return strcmp((*first)->key, (*second)->key);
}

/* The approval is a part of its own, and its seal cannot cover itself.  No number or warning of
 * a sheet rests on where the record is kept, nor on the numbers by which a scanner knows a box,
 * which change with its carton. */
static gboolean written_elsewhere(const FieldRow *field, RecordId record)
{
    if (record == RECORD_Clinic && strcmp(field->key, "record") == 0)
        return TRUE;
    if (record == RECORD_Medicine && strcmp(field->key, "item_numbers") == 0)
        return TRUE;
    return field_record(field) == RECORD_Approval || (record == RECORD_Approval && field->kind == AS_SEAL);
}

/* In the order of their keys; sorted once in a process. */
static const GPtrArray *sorted_fields(RecordId record)
{
    static GPtrArray *known[RECORD_COUNT];
    RecordRow row = record_row(record);
    if (known[record])
        return known[record];
    GPtrArray *sorted = known[record] = g_ptr_array_new();
    for (guint i = 0; i < row.count; i++)
        g_ptr_array_add(sorted, (gpointer)&row.fields[i]);
    g_ptr_array_sort(sorted, rows_compare);
    return sorted;
}

static void record_write(Writer *writer, RecordId record, gconstpointer from)
{
    const GPtrArray *sorted = sorted_fields(record);
    for (guint i = 0; i < sorted->len; i++) {
        const FieldRow *field = g_ptr_array_index(sorted, i);
        if (!written_elsewhere(field, record))
            field_write(writer, field, record_member((gpointer)from, field));
    }
}

/* ---- what is kept ---- */

/* The lines of one record. */
typedef struct Kept {
    guint at; /* where it stood in its list: its lines say so */
    GString *lines;
    gboolean bad;
} Kept;

struct SealMemo {
    GHashTable *kept; /* record -> Kept* */
};

static void kept_free(gpointer thing)
{
    Kept *kept = thing;
    g_string_free(kept->lines, TRUE);
    g_free(kept);
}

SealMemo *seal_memo_new(Arena *arena)
{
    SealMemo *memo = arena_new0(arena, SealMemo);
    memo->kept = g_hash_table_new_full(NULL, NULL, NULL, kept_free);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, memo->kept);
    return memo;
}

static void keep(SealMemo *memo, gconstpointer from, guint at, const GString *out, gsize start, gboolean bad)
{
    Kept *kept = g_new(Kept, 1);
    *kept = (Kept){at, g_string_new_len(out->str + start, (gssize)(out->len - start)), bad};
    g_hash_table_insert(memo->kept, (gpointer)from, kept);
}

/* record_write() of what many protocols share. */
static void shared_write(Writer *writer, RecordId record, gconstpointer from, guint at)
{
    gsize start = writer->out->len;
    gboolean bad_before = writer->bad;
    const Kept *kept = writer->memo ? g_hash_table_lookup(writer->memo->kept, from) : NULL;
    if (kept && kept->at == at) {
        g_string_append_len(writer->out, kept->lines->str, (gssize)kept->lines->len);
        writer->bad |= kept->bad;
        return;
    }
    writer->bad = FALSE;
    record_write(writer, record, from);
    if (writer->memo)
        keep(writer->memo, from, at, writer->out, start, writer->bad);
    writer->bad |= bad_before;
}

/* ---- what a protocol uses of the shelf ---- */

/* Names that were met, and the needles, which are named by gauge and length. */
typedef struct Named {
    GHashTable *texts;  /* char* */
    GPtrArray *needles; /* of NeedleField* */
} Named;

static void names_of_record(Named *named, RecordId record, gconstpointer from, gboolean lists);

static void names_of_value(Named *named, const FieldRow *row, FieldKind kind, const Field *value)
{
    if (value->state != FIELD_READ)
        return;
    if (kind == AS_RECORD)
        names_of_record(named, field_record(row), value, TRUE);
    else if (kind == AS_NEEDLE)
        g_ptr_array_add(named->needles, (gpointer)value);
    else if (write_functions[kind] == write_Text)
        g_hash_table_add(named->texts, (gpointer)((const Text *)value)->text);
}

/* lists: also what stands in lists.  A shelf row's lists name what may be used, not
 * what is: the liquids that a label allows. */
static void names_of_record(Named *named, RecordId record, gconstpointer from, gboolean lists)
{
    RecordRow rows = record_row(record);
    for (guint i = 0; i < rows.count; i++) {
        const FieldRow *row = &rows.fields[i];
        const Field *member = record_member((gpointer)from, row);
        if (!kind_row(row->kind)->is_list) {
            names_of_value(named, row, row->kind, member);
            continue;
        }
        const List *list = (const List *)member;
        for (guint k = 0; lists && k < list->items->len; k++)
            names_of_value(named, row, kind_row(row->kind)->item, g_ptr_array_index(list->items, k));
    }
}

/* A row of the shelf is called by its first key. */
static gboolean row_named(const Named *named, RecordId record, gconstpointer from)
{
    const FieldRow *first = record_row(record).fields;
    const Field *name = record_member((gpointer)from, first);
    if (name->state != FIELD_READ)
        return FALSE;
    if (first->kind != AS_NEEDLE)
        return g_hash_table_contains(named->texts, ((const Text *)name)->text);
    const NeedleField *needle = (const NeedleField *)name;
    for (guint i = 0; i < named->needles->len; i++) {
        const NeedleField *wanted = g_ptr_array_index(named->needles, i);
        if (quantity_compare(needle->gauge, wanted->gauge) == 0 &&
            quantity_compare(needle->length, wanted->length) == 0)
            return TRUE;
    }
    return FALSE;
}

/* A filled syringe or a cartridge names its syringe or pen in its turn. */
static void names_of_rows(Named *named, const Shelf *shelf)
{
    RecordRow lists = record_row(RECORD_Shelf);
    for (guint i = 0; i < lists.count; i++) {
        RecordId record = field_record(&lists.fields[i]);
        const List *list = (const List *)record_member((gpointer)shelf, &lists.fields[i]);
        for (guint k = 0; record != RECORD_COUNT && k < list->items->len; k++)
            if (row_named(named, record, g_ptr_array_index(list->items, k)))
                names_of_record(named, record, g_ptr_array_index(list->items, k), FALSE);
    }
}

static void shelf_write(Writer *writer, const Shelf *shelf, const Protocol *protocol)
{
    Named named = {g_hash_table_new(g_str_hash, g_str_equal), g_ptr_array_new()};
    names_of_record(&named, RECORD_Protocol, protocol, TRUE);
    guint before;
    do {
        before = g_hash_table_size(named.texts);
        names_of_rows(&named, shelf);
    } while (g_hash_table_size(named.texts) > before);
    RecordRow lists = record_row(RECORD_Shelf);
    for (guint i = 0; i < lists.count; i++) {
        RecordId record = field_record(&lists.fields[i]);
        const List *list = (const List *)record_member((gpointer)shelf, &lists.fields[i]);
        gsize above = writer->path->len;
        for (guint k = 0, used = 0; record != RECORD_COUNT && k < list->items->len; k++) {
            if (!row_named(&named, record, g_ptr_array_index(list->items, k)))
                continue;
            g_string_append_printf(writer->path, ".%s.%u", lists.fields[i].key, ++used);
            shared_write(writer, record, g_ptr_array_index(list->items, k), used);
            g_string_truncate(writer->path, above);
        }
    }
    g_hash_table_unref(named.texts);
    g_ptr_array_unref(named.needles);
}

/* ---- the parts and the whole ---- */

static const char *const part_words[SEAL_PARTS] = {
#define PART(ID, word, title) [SEAL_##ID] = word,
#include "language/seal_parts.def"
};

static const char *const part_titles[SEAL_PARTS] = {
#define PART(ID, word, title) [SEAL_##ID] = title,
#include "language/seal_parts.def"
};

const char *seal_part_title(SealPart part) { return part_titles[part]; }

static void part_write(Writer *writer, const SealBasis *basis, SealPart part)
{
    g_string_assign(writer->path, part_words[part]);
    switch (part) {
    case SEAL_PROTOCOL: record_write(writer, RECORD_Protocol, basis->protocol); break;
    case SEAL_APPROVAL: record_write(writer, RECORD_Approval, &basis->protocol->approval); break;
    case SEAL_CLINIC: shared_write(writer, RECORD_Clinic, basis->clinic, 0); break;
    case SEAL_SHELF: shelf_write(writer, basis->shelf, basis->protocol); break;
    case SEAL_RULES: g_string_append(writer->out, basis->rules); break;
    case SEAL_PARTS: g_assert_not_reached();
    }
}

/* The texts of all parts; FALSE when a value in one could not be read. */
static gboolean parts_write(const SealBasis *basis, SealMemo *memo, GString *parts[SEAL_PARTS])
{
    gboolean bad = !basis->clinic || !basis->shelf || !basis->protocol;
    for (int part = 0; part < SEAL_PARTS; part++) {
        Writer writer = {g_string_new(NULL), g_string_new(NULL), NULL, FALSE, memo};
        parts[part] = writer.out;
        if (!bad)
            part_write(&writer, basis, (SealPart)part);
        bad |= writer.bad;
        g_string_free(writer.path, TRUE);
    }
    return !bad;
}

static char *joined(GString *parts[SEAL_PARTS])
{
    GString *whole = g_string_new(SEAL_VERSION "\n");
    for (int part = 0; part < SEAL_PARTS; part++)
        g_string_append(whole, parts[part]->str);
    return g_string_free(whole, FALSE);
}

static char *digest_of(const char *text, int length)
{
    char *digest = digest_text(text);
    digest[length] = '\0';
    return digest;
}

char *seal_protocol_text(Arena *arena, const Protocol *protocol)
{
    Writer writer = {g_string_new(NULL), g_string_new(part_words[SEAL_PROTOCOL]), NULL, FALSE, NULL};
    record_write(&writer, RECORD_Protocol, protocol);
    char *text = writer.bad ? NULL : arena_copy(arena, writer.out->str);
    g_string_free(writer.out, TRUE);
    g_string_free(writer.path, TRUE);
    return text;
}

/* Clinic, shelf and limits are mostly those of the protocol before. */
static const char *digest_of_part(const char *text, SealPart part)
{
    static char *texts[SEAL_PARTS], *digests[SEAL_PARTS];
    if (g_strcmp0(texts[part], text) == 0)
        return digests[part];
    g_free(texts[part]);
    g_free(digests[part]);
    texts[part] = g_strdup(text);
    digests[part] = digest_of(text, PART_LENGTH);
    return digests[part];
}

char *seal_text(Arena *arena, const SealBasis *basis)
{
    GString *parts[SEAL_PARTS];
    gboolean fine = parts_write(basis, NULL, parts);
    g_autofree char *whole = joined(parts);
    for (int part = 0; part < SEAL_PARTS; part++)
        g_string_free(parts[part], TRUE);
    return fine ? arena_copy(arena, whole) : NULL;
}

char *seal_make(Arena *arena, const SealBasis *basis) { return seal_make_kept(arena, basis, NULL); }

char *seal_make_kept(Arena *arena, const SealBasis *basis, SealMemo *memo)
{
    GString *parts[SEAL_PARTS];
    gboolean fine = parts_write(basis, memo, parts);
    g_autofree char *whole = joined(parts);
    g_autofree char *digest = digest_of(whole, SEAL_LENGTH);
    g_autoptr(GString) seal = g_string_new(digest);
    for (int part = 0; part < SEAL_PARTS; part++) {
        g_string_append_printf(seal, "-%s", digest_of_part(parts[part]->str, (SealPart)part));
        g_string_free(parts[part], TRUE);
    }
    return fine ? arena_copy(arena, seal->str) : NULL;
}

gboolean seal_same(const char *a, const char *b) { return strncmp(a, b, SEAL_LENGTH) == 0; }

gboolean seal_part_differs(const char *a, const char *b, SealPart part)
{
    gsize place = SEAL_LENGTH + (gsize)part * (PART_LENGTH + 1) + 1;
    if (strlen(a) < place + PART_LENGTH || strlen(b) < place + PART_LENGTH)
        return FALSE;
    return strncmp(a + place, b + place, PART_LENGTH) != 0;
}
