/* roster_nodes: the cells of a row as the nodes that a patient's file would have given. */
#include "roster/parts.h"

#include <string.h>

#define SEPARATORS ",;"

static Node *text_node(Arena *arena, const Source *source, const Cell *cell)
{
    Node *node = node_new(arena, NODE_TEXT, source_place(source, cell->start, MAX(cell->length, 1)));
    node->text = cell_text(arena, source->text, cell);
    node->verbatim = !cell->doubled && !strchr(node->text, '\n');
    return node;
}

/* "latex, penicillin" is two; "none" says that it was asked and there are none. */
static Node *list_node(Arena *arena, const Source *source, const Cell *cell)
{
    Node *list = node_new(arena, NODE_LIST, source_place(source, cell->start, MAX(cell->length, 1)));
    const char *text = source->text;
    gsize at = cell->start, end = cell->start + cell->length;
    if (cell->length == 4 && g_ascii_strncasecmp(text + at, "none", 4) == 0)
        return list;
    while (at <= end) {
        Cell part = {.start = at, .doubled = cell->doubled};
        while (at < end && !strchr(SEPARATORS, text[at]))
            at++;
        part.length = at++ - part.start;
        cell_trim(text, &part);
        node_append(arena, list, text_node(arena, source, &part));
    }
    return list;
}

static Node *value_node(Arena *arena, const Source *source, const Cell *cell, const FieldRow *row)
{
    return kind_row(row->kind)->is_list ? list_node(arena, source, cell) : text_node(arena, source, cell);
}

/* The value under this key, made when it is not there. */
static Node *holder(Arena *arena, Node *root, const char *key, NodeKind kind, Place place)
{
    Node *node = node_get(root, key);
    if (!node) {
        node = node_new(arena, kind, place);
        node_add(arena, root, key, node);
    }
    return node;
}

/* Which entry of a list each group of columns fills: "lot 2", "expires 2". */
typedef struct Group {
    const Column *column;
    Node *entry;
} Group;

static Node *entry_of(Arena *arena, Node *list, GArray *groups, const Column *column, Place place)
{
    for (guint i = 0; i < groups->len; i++) {
        const Group *group = &g_array_index(groups, Group, i);
        if (group->column->row == column->row && group->column->group == column->group &&
            g_strcmp0(group->column->medicine, column->medicine) == 0)
            return group->entry;
    }
    Group group = {column, node_new(arena, NODE_MAP, place)};
    g_array_append_val(groups, group);
    node_append(arena, list, group.entry);
    if (column->medicine) {
        Node *medicine = node_new(arena, NODE_TEXT, place);
        medicine->text = column->medicine;
        node_add(arena, group.entry, "medicine", medicine);
    }
    return group.entry;
}

static void add_cell(Arena *arena, Node *root, const Source *source, const Cell *cell, const Column *column,
                     GArray *groups)
{
    Place place = source_place(source, cell->start, MAX(cell->length, 1));
    Node *map = root;
    if (column->inner && kind_row(column->row->kind)->is_list)
        map = entry_of(arena, holder(arena, root, column->row->key, NODE_LIST, place), groups, column, place);
    else if (column->inner)
        map = holder(arena, root, column->row->key, NODE_MAP, place);
    const FieldRow *row = column->inner ? column->inner : column->row;
    node_add(arena, map, row->key, value_node(arena, source, cell, row));
}

Node *nodes_of_row(Arena *arena, const Source *source, const GArray *cells, const GArray *columns)
{
    Node *root = node_new(arena, NODE_MAP, (Place){source, 1, 1, 1});
    g_autoptr(GArray) groups = g_array_new(FALSE, FALSE, sizeof(Group));
    for (guint i = 0; i < MIN(cells->len, columns->len); i++) {
        const Column *column = &g_array_index(columns, Column, i);
        const Cell *cell = &g_array_index(cells, Cell, i);
        if (column->row && cell->length > 0)
            add_cell(arena, root, source, cell, column, groups);
    }
    if (root->count > 0)
        root->place = root->entries[0].key_place;
    return root;
}

/* ---- everyone ---- */

gboolean nodes_name_everyone(const Node *root)
{
    const Node *code = node_get(root, "patient");
    return code && code->kind == NODE_TEXT && g_ascii_strcasecmp(code->text, ROSTER_EVERYONE) == 0;
}

/* What may be one thing for all of a day's people; all else is asked of each. */
static gboolean may_be_shared(const char *key, const Node *value)
{
    static const char *const shared[] = {"patient", "protocol", "prepared_by", "language", "boxes", NULL};
    if (strcmp(key, "anchor") == 0) /* a day may be shared, an hour never */
        return value->kind == NODE_MAP && value->count == 1 && node_get(value, "on");
    return g_strv_contains(shared, key);
}

gboolean nodes_for_everyone(const Node *everyone, Diagnostics *diagnostics)
{
    gboolean fine = TRUE;
    for (gsize i = 0; i < everyone->count; i++) {
        const Entry *entry = &everyone->entries[i];
        if (may_be_shared(entry->key, entry->value))
            continue;
        Finding *finding = finding_add(diagnostics, RULE_roster_everyone, entry->value->place);
        finding_fact(finding, "\"%s\" is one person's own", entry->key);
        finding_help(finding, "write it in each person's row; for everyone: protocol, prepared_by, language, the date, "
                              "the boxes");
        fine = FALSE;
    }
    return fine;
}

void nodes_fill(Arena *arena, Node *person, const Node *everyone)
{
    for (gsize i = 0; everyone && i < everyone->count; i++) {
        const Entry *entry = &everyone->entries[i];
        Node *own = node_get(person, entry->key);
        if (!own)
            node_add(arena, person, entry->key, entry->value);
        else if (own->kind == NODE_MAP && entry->value->kind == NODE_MAP)
            nodes_fill(arena, own, entry->value);
    }
}
