/* model/table: rows of fields.def and kinds.def, and the compiler's proof that
 * each row names a member of the type that its kind fills. */
#include "language/table.h"

static const KindRow kind_rows[] = {
#define KIND(ID, word, Type, title, form, pattern) \
    [AS_##ID] = {sizeof(Type), AS_##ID, FALSE, title, form, pattern},
#define LIST_KIND(ID, ITEM, title, form) \
    [AS_##ID] = {sizeof(List), AS_##ITEM, TRUE, title, form, NULL},
#include "language/kinds.def"
};

/* The type that a kind fills; a record's is its own struct. */
#define KIND(ID, word, Type, title, form, pattern) typedef Type Filled_##ID;
#define LIST_KIND(ID, ITEM, title, form) typedef List Filled_##ID;
#include "language/kinds.def"

/* Numbers the fields in a row: BEFORE_ makes the first field of a record FIRST_. */
enum {
#define RECORD(Struct, title, whose) FIRST_##Struct, BEFORE_##Struct = FIRST_##Struct - 1,
#define FIELD(Struct, member, KIND, NEED, argument, description, example) ROW_##Struct##_##member,
#include "language/fields.def"
    FIELD_COUNT
};

static const FieldRow field_rows[] = {
#define FIELD(Struct, member, KIND, NEED, argument, description, example) \
    {#member, AS_##KIND, NEED_##NEED, argument, G_STRUCT_OFFSET(Struct, member), description, \
     example},
#include "language/fields.def"
};
G_STATIC_ASSERT(G_N_ELEMENTS(field_rows) == FIELD_COUNT);

/* A member of another type than its row reads does not compile.  Held_<argument>
 * is the struct of a record, the typed choice of a list and nothing of use for other
 * arguments. */
typedef void *Held_0;
#define DIMENSION(id, word) typedef void *Held_DIM_##id;
#include "value/units.def"
#define CHOICE_LIST(List, title, printed) typedef List##Choice Held_CHOICES_##List;
#include "language/choices.def"
#define RECORD(Struct, title, whose) typedef Struct Held_RECORD_##Struct;
#include "language/fields.def"
#define SAME_TYPE(Struct, member, Type) \
    __builtin_types_compatible_p(__typeof__(((Struct *)0)->member), Type)
#define FIELD(Struct, member, KIND, NEED, argument, description, example)                  \
    _Static_assert(AS_##KIND == AS_RECORD || AS_##KIND == AS_CHOICE                        \
                       ? SAME_TYPE(Struct, member, Held_##argument)                        \
                       : SAME_TYPE(Struct, member, Filled_##KIND),                         \
                   #Struct "." #member " is not of the type that its row reads");
#include "language/fields.def"

static const guint first_rows[] = {
#define RECORD(Struct, title, whose) FIRST_##Struct,
#include "language/fields.def"
    FIELD_COUNT};

static const struct {
    const char *name, *title, *whose;
    gsize size;
} record_heads[] = {
#define RECORD(Struct, title, whose) {#Struct, title, whose, sizeof(Struct)},
#include "language/fields.def"
};

const KindRow *kind_row(FieldKind kind)
{
    g_assert((guint)kind < AS_COUNT);
    return &kind_rows[kind];
}

RecordRow record_row(RecordId record)
{
    g_assert((guint)record < RECORD_COUNT);
    guint first = first_rows[record];
    return (RecordRow){record_heads[record].name, record_heads[record].title,
                       record_heads[record].whose, record_heads[record].size, &field_rows[first],
                       first_rows[record + 1] - first};
}

const FieldRow *record_find(RecordId record, const char *key)
{
    RecordRow row = record_row(record);
    const FieldRow *fields = row.fields;
    for (guint i = 0; i < row.count; i++)
        if (g_str_equal(fields[i].key, key))
            return fields + i;
    return NULL;
}

Field *record_member(gpointer record, const FieldRow *row)
{
    return (Field *)((char *)record + row->offset);
}

static gboolean member_unread(const FieldRow *row, const Field *member)
{
    if (member->state != FIELD_READ)
        return member->state == FIELD_BAD;
    RecordId record = field_record(row);
    if (!kind_row(row->kind)->is_list)
        return record < RECORD_COUNT && record_unread(record, member);
    const List *list = (const List *)member;
    if (record < RECORD_COUNT)
        return list_unread(record, list);
    for (guint i = 0; i < list->items->len; i++)
        if (((const Field *)g_ptr_array_index(list->items, i))->state == FIELD_BAD)
            return TRUE;
    return FALSE;
}

gboolean record_unread(RecordId record, gconstpointer values)
{
    RecordRow row = record_row(record);
    for (guint i = 0; i < row.count; i++)
        if (member_unread(&row.fields[i], (const Field *)((const char *)values + row.fields[i].offset)))
            return TRUE;
    return FALSE;
}

gboolean list_unread(RecordId record, const List *list)
{
    for (guint i = 0; i < list->items->len; i++)
        if (record_unread(record, g_ptr_array_index(list->items, i)))
            return TRUE;
    return list->at.state == FIELD_BAD;
}

/* A heading of a column for each field that needs one; a row of no field does not compile. */
static const char *const headings[FIELD_COUNT] = {
#define HEADING(Record, key, words) [ROW_##Record##_##key] = words,
#include "language/headings.def"
};

char *field_heading(Arena *arena, const FieldRow *row)
{
    const char *words = headings[row - field_rows];
    return words ? arena_copy(arena, words) : g_strdelimit(arena_copy(arena, row->key), "_", ' ');
}

RecordId field_record(const FieldRow *row)
{
    gboolean holds = kind_row(row->kind)->item == AS_RECORD;
    return holds ? (RecordId)row->argument : RECORD_COUNT;
}
