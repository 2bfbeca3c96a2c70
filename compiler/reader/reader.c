/* reader: walks nodes and rows side by side; values are read by their kind. */
#include "reader/parts.h"

#include <string.h>

typedef gboolean (*ReadFunction)(const Written *written, gpointer out);

static const ReadFunction read_functions[AS_COUNT] = {
#define KIND(ID, word, Type, title, form, pattern) [AS_##ID] = read_##word,
#include "language/kinds.def"
};

/* ---- what kind of file ---- */

static const struct {
    RecordId record;
    FileKind kind;
} file_records[] = {
    {RECORD_Clinic, FILE_CLINIC},
    {RECORD_Shelf, FILE_SHELF},
    {RECORD_Protocol, FILE_PROTOCOL},
    {RECORD_Patient, FILE_PATIENT},
};

/* The key that names a kind of file: the first of its record. */
static const char *file_key(guint index)
{
    return record_row(file_records[index].record).fields[0].key;
}

static gboolean kind_fault(const Node *root, Diagnostics *diagnostics)
{
    Place place = root->count > 0 ? root->entries[0].key_place : root->place;
    Finding *finding = finding_add(diagnostics, RULE_file_kind, place);
    for (guint i = 0; i < G_N_ELEMENTS(file_records); i++) {
        for (gsize e = 1; e < root->count; e++) {
            if (!g_str_equal(root->entries[e].key, file_key(i)))
                continue;
            finding_note(finding, root->entries[e].key_place, "this key can say it");
            finding_help(finding, "put \"%s:\" first", file_key(i));
            return FALSE;
        }
    }
    finding_help(finding, "begin the file with \"clinic:\", \"shelf:\", \"protocol:\" or "
                          "\"patient:\" and its name");
    return FALSE;
}

gboolean reader_kind(const Node *root, Diagnostics *diagnostics, FileKind *out)
{
    g_assert(root->kind == NODE_MAP);
    for (guint i = 0; root->count > 0 && i < G_N_ELEMENTS(file_records); i++) {
        if (g_str_equal(root->entries[0].key, file_key(i))) {
            *out = file_records[i].kind;
            return TRUE;
        }
    }
    return kind_fault(root, diagnostics);
}

/* ---- before reading: everything absent, no list NULL ---- */

static void record_clear(const Reader *reader, RecordId record, gpointer out, Place place);

static void value_clear(const Reader *reader, const FieldRow *row, FieldKind kind, Field *out,
                        Place place)
{
    *out = (Field){FIELD_ABSENT, place, place};
    if (kind == AS_RECORD)
        record_clear(reader, field_record(row), out, place);
    else if (kind == AS_SAYING)
        ((Saying *)out)->versions = arena_list(reader->arena);
    else if (kind_row(kind)->is_list)
        ((List *)out)->items = arena_list(reader->arena);
}

static void record_clear(const Reader *reader, RecordId record, gpointer out, Place place)
{
    RecordRow row = record_row(record);
    for (guint i = 0; i < row.count; i++) {
        const FieldRow *field = &row.fields[i];
        value_clear(reader, field, field->kind, record_member(out, field), place);
    }
}

/* ---- one value ---- */

static gboolean text_empty(const Node *node)
{
    return node->kind == NODE_TEXT && node->text[strspn(node->text, " \t\n")] == '\0';
}

/* Says what stands there and what belongs there.  Always FALSE. */
static gboolean shape_fault(const Written *written, RuleId rule)
{
    static const char *const shapes[] = {
        [NODE_TEXT] = "a text", [NODE_LIST] = "a list", [NODE_MAP] = "keys"};
    Finding *finding = fault_at(written, rule, 0, -1);
    const KindRow *kind = kind_row(written->row->kind);
    NodeKind wanted = kind->is_list ? NODE_LIST : written->row->kind == AS_RECORD ? NODE_MAP : NODE_TEXT;
    finding_fact(finding, "\"%s\" has %s; needed: %s", written->row->key, shapes[written->node->kind],
                 shapes[wanted]);
    if (fault_ask(written->row))
        finding_help(finding, "%s", fault_ask(written->row));
    else if (rule == RULE_list_form && written->row->example[0] == '[' && written->row->example[1] != ']')
        finding_help(finding, "write %s, like \"%s\"%s", kind->form, written->row->example, value_or_none(written));
    else if (rule == RULE_list_form)
        finding_help(finding, "write %s%s", kind->form, value_or_none(written));
    else
        fault_help(finding, written);
    return FALSE;
}

static gboolean value_fits(const Written *written, FieldKind kind)
{
    const Node *node = written->node;
    gboolean list = kind_row(kind)->is_list;
    if (text_empty(node)) {
        if (!list)
            return fault_form(written, RULE_empty_value, NULL);
        Finding *finding = fault_at(written, RULE_empty_value, 0, -1);
        if (fault_ask(written->row))
            finding_help(finding, "%s", fault_ask(written->row));
        else
            finding_help(finding, "write %s; an empty list is []", kind_row(kind)->form);
        return FALSE;
    }
    if (list)
        return node->kind == NODE_LIST || shape_fault(written, RULE_list_form);
    if (kind == AS_RECORD)
        return node->kind == NODE_MAP || shape_fault(written, RULE_wrong_shape);
    gboolean fits = node->kind == NODE_TEXT || (kind == AS_SAYING && node->kind == NODE_MAP);
    return fits || shape_fault(written, RULE_wrong_shape);
}

/* Reads one value that is no list into *out, whose key is set. */
static void value_read(const Written *written, FieldKind kind, Field *out)
{
    out->place = written->node->place;
    out->state = FIELD_BAD;
    if (value_fits(written, kind) && read_functions[kind](written, out))
        out->state = FIELD_READ;
}

/* ---- lists ---- */

/* "[10,000 units]" without quotes is two items. */
static gboolean item_cut_by_comma(const Node *list, gsize index)
{
    if (index == 0 || list->items[index]->kind != NODE_TEXT)
        return FALSE;
    const Node *before = list->items[index - 1];
    return before->kind == NODE_TEXT && pattern_matches("[0-9]$", before->text, 0) &&
           pattern_matches("^[0-9]{3}\\b", list->items[index]->text, 0);
}

static gboolean list_item(const Written *written, gsize index, List *out)
{
    const Node *node = written->node->items[index];
    FieldKind kind = kind_row(written->row->kind)->item;
    gsize size = kind == AS_RECORD ? record_row(field_record(written->row)).size
                                   : kind_row(kind)->size;
    Field *item = arena_alloc(written->reader->arena, size);
    value_clear(written->reader, written->row, kind, item, node->place);
    Written inner = *written;
    inner.node = node;
    if (item_cut_by_comma(written->node, index)) {
        Finding *finding = fault_at(&inner, RULE_list_form, 0, -1);
        finding_fact(finding, "a comma inside [ ] ends an item, so a number was cut in two");
        finding_help(finding, "put the whole item in quotes, like \"10,000 units\"");
        return FALSE;
    }
    value_read(&inner, kind, item);
    g_ptr_array_add(out->items, item);
    return item->state == FIELD_READ;
}

/* A thing that stands in the kit twice has two counts. */
static void things_compare(const Written *written, const List *list)
{
    for (guint i = 0; i < list->items->len; i++) {
        const KitItem *thing = g_ptr_array_index(list->items, i);
        for (guint j = 0; PRESENT(thing->item) && j < i; j++) {
            const KitItem *before = g_ptr_array_index(list->items, j);
            if (!PRESENT(before->item) || before->item.value != thing->item.value)
                continue;
            Finding *finding = finding_add(written->reader->diagnostics, RULE_name_twice, thing->item.at.place);
            finding_fact(finding, "given \"%s\" twice under \"%s\"", choice_word(thing->item.value), written->row->key);
            finding_note(finding, before->item.at.place, "first here");
            finding_help(finding, "write it once, with the count of both");
            break;
        }
    }
}

/* A needle is named by its gauge and length: two rows of one could not be told apart. */
static void needles_compare(const Written *written, const List *list)
{
    for (guint i = 0; i < list->items->len; i++) {
        const NeedleField *needle = &((const Needle *)g_ptr_array_index(list->items, i))->needle;
        for (guint j = 0; PRESENT(*needle) && j < i; j++) {
            const NeedleField *before = &((const Needle *)g_ptr_array_index(list->items, j))->needle;
            if (!PRESENT(*before) || quantity_compare(before->gauge, needle->gauge) != 0 ||
                quantity_compare(before->length, needle->length) != 0)
                continue;
            Finding *finding = finding_add(written->reader->diagnostics, RULE_name_twice, needle->at.place);
            finding_fact(finding, "this gauge and length stands there twice");
            finding_note(finding, before->at.place, "first here");
            finding_help(finding, "keep the row that is right; stock two kinds in two gauges or lengths");
            break;
        }
    }
}

/* TRUE when a route may be mixed by either row. */
static gboolean routes_meet(const List *one, const List *other)
{
    if (!PRESENT(*one) || !PRESENT(*other))
        return TRUE;
    for (guint i = 0; i < one->items->len; i++) {
        const RouteChoice *route = g_ptr_array_index(one->items, i);
        if (PRESENT(*route) && list_has(other, route->value))
            return TRUE;
    }
    return FALSE;
}

/* A row of the label is found by what is added: of two nobody could say which counts. */
static void rows_compare(const Written *written, const List *list)
{
    for (guint i = 0; i < list->items->len; i++) {
        const MixingRow *row = g_ptr_array_index(list->items, i);
        for (guint j = 0; PRESENT(row->add) && j < i; j++) {
            const MixingRow *before = g_ptr_array_index(list->items, j);
            if (!PRESENT(before->add) || quantity_compare(before->add.quantity, row->add.quantity) != 0 ||
                !routes_meet(&before->routes, &row->routes))
                continue;
            Finding *finding = finding_add(written->reader->diagnostics, RULE_name_twice, row->add.at.place);
            finding_fact(finding, "two rows add the same volume by one route");
            finding_note(finding, before->add.at.place, "first here");
            finding_help(finding, "keep the row that the label gives, or name the routes of each");
            break;
        }
    }
}

/* "1 h after transfer" would not say whether the event is meant or the injection. */
static void event_compare(const Written *written, const Text *name)
{
    ChoiceWord event;
    if (!choice_find(CHOICES_Anchor, name->text, &event))
        return;
    Finding *finding = finding_add(written->reader->diagnostics, RULE_name_twice, name->at.place);
    finding_fact(finding, "an event that times count from is called so");
    finding_help(finding, "give the injection a name of its own, like \"trigger\"");
}

/* Entries of a list of records have their own names. */
static void names_compare(const Written *written, const List *list)
{
    RecordId record = field_record(written->row);
    const FieldRow *name = record == RECORD_COUNT ? NULL : record_find(record, "name");
    if (record == RECORD_KitItem)
        things_compare(written, list);
    if (record == RECORD_Needle)
        needles_compare(written, list);
    if (record == RECORD_MixingRow)
        rows_compare(written, list);
    if (!name)
        return;
    g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < list->items->len; i++) {
        const Text *text = (const Text *)record_member(list->items->pdata[i], name);
        if (text->at.state != FIELD_READ)
            continue;
        if (record == RECORD_Injection)
            event_compare(written, text);
        const Text *first = g_hash_table_lookup(seen, text->text);
        if (!first) {
            g_hash_table_insert(seen, (gpointer)text->text, (gpointer)text);
            continue;
        }
        Diagnostics *diagnostics = written->reader->diagnostics;
        Finding *finding = finding_add(diagnostics, RULE_name_twice, text->at.place);
        finding_fact(finding, "given \"%s\" twice under \"%s\"", text->text, written->row->key);
        finding_note(finding, first->at.place, "first here");
        finding_help(finding, "give each entry a name of its own");
    }
}

static void list_read(const Written *written, List *out)
{
    out->at.place = written->node->place;
    out->at.state = FIELD_BAD;
    if (!value_fits(written, written->row->kind))
        return;
    if (written->node->count == 0 && written->row->need == NEED_FILLED) {
        Finding *finding = fault_at(written, RULE_list_form, 0, -1);
        finding_fact(finding, "the list is empty");
        finding_help(finding, "write at least one entry");
        return;
    }
    gboolean fine = TRUE;
    for (gsize i = 0; i < written->node->count; i++)
        fine = list_item(written, i, out) && fine;
    if (fine)
        out->at.state = FIELD_READ;
    names_compare(written, out);
}

/* ---- records ---- */

static void field_read(const Reader *reader, const Level *level, const FieldRow *row,
                       const Entry *entry, gpointer out)
{
    Written written = {reader, level, row, entry->value};
    Field *member = record_member(out, row);
    member->key = entry->key_place;
    if (kind_row(row->kind)->is_list)
        list_read(&written, (List *)member);
    else
        value_read(&written, row->kind, member);
}

static void level_read(const Reader *reader, const Level *level, gpointer out)
{
    RecordRow record = record_row(level->record);
    record_clear(reader, level->record, out, level->key_place);
    g_autoptr(GHashTable) met = g_hash_table_new(NULL, NULL);
    gboolean spoilt;
    const Node *node = scan_unfolded(reader, level, &spoilt);
    if (spoilt)
        g_hash_table_add(met, (gpointer)record_find(RECORD_Box, "expires"));
    for (gsize i = 0; i < node->count; i++) {
        const Entry *entry = &node->entries[i];
        const FieldRow *row = record_find(level->record, entry->key);
        if (row)
            field_read(reader, level, row, entry, out);
        else
            row = keys_unknown(reader, level, entry);
        if (row)
            g_hash_table_add(met, (gpointer)row);
    }
    for (guint i = 0; i < record.count; i++) {
        const FieldRow *row = &record.fields[i];
        if (row->need != NEED_OPTIONAL && !g_hash_table_contains(met, row))
            keys_missing(reader, level, row);
    }
}

gboolean read_record(const Written *written, gpointer out)
{
    Level level = {written->level, field_record(written->row), written->row->key,
                   ((Field *)out)->key, written->node};
    level_read(written->reader, &level, out);
    return TRUE;
}

static gpointer root_read_as(Arena *arena, const Node *root, Diagnostics *diagnostics, RecordId record, gboolean table)
{
    g_assert(root->kind == NODE_MAP);
    Reader reader = {arena, diagnostics, record, table};
    Place place = root->count > 0 ? root->entries[0].key_place : root->place;
    Level level = {NULL, record, "", place, root};
    Field *out = arena_alloc(arena, record_row(record).size);
    level_read(&reader, &level, out);
    *out = (Field){FIELD_READ, root->place, place};
    return out;
}

static gpointer root_read(Arena *arena, const Node *root, Diagnostics *diagnostics, RecordId record)
{
    return root_read_as(arena, root, diagnostics, record, FALSE);
}

Clinic *reader_clinic(Arena *arena, const Node *root, Diagnostics *diagnostics)
{
    return root_read(arena, root, diagnostics, RECORD_Clinic);
}

Shelf *reader_shelf(Arena *arena, const Node *root, Diagnostics *diagnostics)
{
    return root_read(arena, root, diagnostics, RECORD_Shelf);
}

/* Files are found by name, and sheets are named by what stands inside. */
static void file_name_compare(const Text *name, const char *key, const Node *root, Diagnostics *diagnostics)
{
    const char *path = root->place.source ? root->place.source->name : "";
    g_autofree char *file = g_path_get_basename(path);
    char *ending = g_str_has_suffix(file, ".yaml") ? strrchr(file, '.') : NULL;
    if (!ending || !PRESENT(*name))
        return;
    *ending = '\0';
    if (g_str_equal(file, name->text))
        return;
    Finding *finding = finding_add(diagnostics, RULE_name_mismatch, name->at.place);
    finding_fact(finding, "given \"%s\" in the file %s.yaml", name->text, file);
    if (pattern_matches(kind_row(AS_CODE)->pattern, file, 0))
        finding_help(finding, "check which is meant; then write \"%s: %s\", or rename the file to %s.yaml", key, file,
                     name->text);
    else
        finding_help(finding, "rename the file to %s.yaml", name->text);
}

Patient *reader_patient(Arena *arena, const Node *root, Diagnostics *diagnostics)
{
    Patient *patient = root_read(arena, root, diagnostics, RECORD_Patient);
    file_name_compare(&patient->patient, "patient", root, diagnostics);
    return patient;
}

Patient *reader_listed(Arena *arena, const Node *root, gboolean table, Diagnostics *diagnostics)
{
    return root_read_as(arena, root, diagnostics, RECORD_Patient, table);
}

Protocol *reader_protocol(Arena *arena, const Node *root, Diagnostics *diagnostics)
{
    Protocol *protocol = root_read(arena, root, diagnostics, RECORD_Protocol);
    file_name_compare(&protocol->protocol, "protocol", root, diagnostics);
    return protocol;
}
