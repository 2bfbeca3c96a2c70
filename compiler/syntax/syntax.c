/* syntax: libyaml's events into nodes, strictly; see syntax.h.  The bytes are
 * scanned first (syntax_bytes.c), since libyaml takes odd line ends as its own
 * and reports encoding faults late. */
#include "syntax/syntax.h"

#include <string.h>
#include <yaml.h>

#include "syntax/bytes.h"
#include "syntax/form.h"

#define DEEPEST 32
#define MOST_EVENTS 50000
#define LONGEST_TEXT (16 * 1024)

typedef struct Builder {
    Arena *arena;
    const Source *source;
    Diagnostics *diagnostics;
    yaml_parser_t parser;
    yaml_event_t event;
    Quoted quoted;
    int depth, events;
    Place last; /* the place looked for last, and where in the text it begins */
    gsize last_offset;
    gboolean broken; /* nothing more can be read */
} Builder;

static Node *build_node(Builder *builder);

/* ---- places ---- */

static Place event_place(const Builder *builder)
{
    return syntax_place(builder->source, builder->event.start_mark, builder->event.end_mark);
}

/* A text over several lines is pointed at by its first line. */
static Place scalar_place(const Builder *builder)
{
    Place place = event_place(builder);
    const yaml_event_t *event = &builder->event;
    if (event->end_mark.line == event->start_mark.line)
        return place;
    gsize start = source_offset(place);
    const char *end = strchr(builder->source->text + start, '\n');
    gsize length = end ? (gsize)(end - builder->source->text) - start : 1;
    return source_place(builder->source, start, length);
}

/* ---- faults ---- */

static void feature(Builder *builder, const char *what, const char *help)
{
    Finding *finding = finding_add(builder->diagnostics, RULE_yaml_feature, event_place(builder));
    finding_fact(finding, "%s", what);
    finding_help(finding, "%s", help);
}

static void limit_fault(Builder *builder, RuleId rule, int limit, const char *what)
{
    Finding *finding = finding_add(builder->diagnostics, rule, event_place(builder));
    if (limit < 1000)
        finding_fact(finding, "the limit is %d %s", limit, what);
    else
        finding_fact(finding, "the limit is %d,%03d %s", limit / 1000, limit % 1000, what);
    finding_help(finding, "check that this is the file you meant");
    builder->broken = TRUE;
}

/* ---- events ---- */

/* As GLib when memory ends. */
static void G_GNUC_NORETURN memory_ended(void) { g_error("no memory for a parser"); }

/* The next event, in builder->event; FALSE when nothing more can be read. */
static gboolean next_event(Builder *builder)
{
    yaml_event_delete(&builder->event);
    if (builder->broken)
        return FALSE;
    if (!yaml_parser_parse(&builder->parser, &builder->event)) {
        if (builder->parser.error == YAML_MEMORY_ERROR)
            memory_ended(); /* and says nothing of the file */
        memset(&builder->event, 0, sizeof builder->event);
        syntax_form_fault(builder->diagnostics, builder->source, &builder->parser, &builder->quoted);
        builder->broken = TRUE;
        return FALSE;
    }
    if (++builder->events > MOST_EVENTS) {
        limit_fault(builder, RULE_too_many, MOST_EVENTS, "entries");
        return FALSE;
    }
    return TRUE;
}

static void refuse_marks(Builder *builder, const yaml_char_t *anchor, const yaml_char_t *tag)
{
    if (anchor)
        feature(builder, "an anchor (&) gives a value a second name",
                "remove it and write the value out where it is needed");
    if (tag)
        feature(builder, "a tag (!) changes how a value is read",
                "remove it; the field itself says how its value is read");
}

/* ---- nodes ---- */

static Node *new_node(Builder *builder, NodeKind kind, Place place)
{
    Node *node = arena_new0(builder->arena, Node);
    node->kind = kind;
    node->place = place;
    return node;
}

/* source_offset(), from the place before when that stands on the same line: from the line's start,
 * a line of thousands of words would take the square of their number. */
static gsize offset_of(Builder *builder, Place place)
{
    const Source *source = builder->source;
    gboolean onward = builder->last.line == place.line && builder->last.column <= place.column;
    gsize offset = onward ? builder->last_offset : source->line_starts[place.line - 1];
    for (int column = onward ? builder->last.column : 1; column < place.column && offset < source->length; column++)
        do
            offset++;
        while (offset < source->length && ((guchar)source->text[offset] & 0xC0) == 0x80);
    builder->last = place;
    builder->last_offset = offset;
    return offset;
}

/* TRUE when the text stands in the source letter for letter; a quoted text is
 * pointed at inside its quotes. */
static gboolean is_verbatim(Builder *builder, Place *place, const char *text, gsize length)
{
    if (builder->event.start_mark.line != builder->event.end_mark.line)
        return FALSE;
    gsize offset = offset_of(builder, *place);
    const char *written = builder->source->text + offset;
    gsize left = builder->source->length - offset;
    gboolean quoted = *written == '"' || *written == '\'';
    if (quoted && left > length + 1 && memcmp(written + 1, text, length) == 0 &&
        written[length + 1] == *written) {
        *place = place_within(*place, 1, place->length - 2);
        return TRUE;
    }
    return !quoted && left >= length && memcmp(written, text, length) == 0;
}

static Node *build_text(Builder *builder)
{
    const yaml_event_t *event = &builder->event;
    const char *value = (const char *)event->data.scalar.value;
    if (event->data.scalar.style == YAML_SINGLE_QUOTED_SCALAR_STYLE ||
        event->data.scalar.style == YAML_DOUBLE_QUOTED_SCALAR_STYLE)
        builder->quoted = (Quoted){TRUE, event->start_mark, event->end_mark};
    gsize length = event->data.scalar.length;
    refuse_marks(builder, event->data.scalar.anchor, event->data.scalar.tag);
    if (length > LONGEST_TEXT) {
        limit_fault(builder, RULE_text_too_long, LONGEST_TEXT, "bytes");
        return NULL;
    }
    if (memchr(value, '\0', length)) {
        finding_add(builder->diagnostics, RULE_hidden_characters, event_place(builder));
        builder->broken = TRUE;
        return NULL;
    }
    Node *node = new_node(builder, NODE_TEXT, scalar_place(builder));
    node->text = arena_copy_length(builder->arena, value, length);
    node->verbatim = length > 0 && is_verbatim(builder, &node->place, value, length);
    syntax_bytes_in_text(builder->diagnostics, node->text, node->place, node->verbatim);
    return node;
}

static Node *build_list(Builder *builder)
{
    const yaml_event_t *event = &builder->event;
    refuse_marks(builder, event->data.sequence_start.anchor, event->data.sequence_start.tag);
    Node *node = new_node(builder, NODE_LIST, event_place(builder));
    GPtrArray *items = arena_list(builder->arena);
    while (next_event(builder) && builder->event.type != YAML_SEQUENCE_END_EVENT) {
        Node *item = build_node(builder);
        if (item)
            g_ptr_array_add(items, item);
    }
    node->items = (Node **)items->pdata;
    node->count = items->len;
    return node;
}

/* So few are looked through one by one; a set of phrases has hundreds. */
#define FEW_KEYS 16

/* The entry with this key, or NULL.  "places" holds, once there are many, where each stands plus one. */
static const Entry *entry_named(GArray *entries, GHashTable *places, const char *key)
{
    if (entries->len > FEW_KEYS) {
        guint at = GPOINTER_TO_UINT(g_hash_table_lookup(places, key));
        return at ? &g_array_index(entries, Entry, at - 1) : NULL;
    }
    for (guint i = 0; i < entries->len; i++) {
        const Entry *entry = &g_array_index(entries, Entry, i);
        if (strcmp(entry->key, key) == 0)
            return entry;
    }
    return NULL;
}

static void add_entry(GArray *entries, GHashTable *places, Entry entry)
{
    g_array_append_val(entries, entry);
    for (guint i = entries->len > FEW_KEYS + 1 ? entries->len - 1 : 0; entries->len > FEW_KEYS && i < entries->len; i++)
        g_hash_table_insert(places, (gpointer)g_array_index(entries, Entry, i).key, GUINT_TO_POINTER(i + 1));
}

static void key_repeated(Builder *builder, const Entry *first, Place second)
{
    Finding *finding = finding_add(builder->diagnostics, RULE_key_twice, second);
    finding_note(finding, first->key_place, "said first here");
    finding_help(finding, "keep the line that is meant, and that was approved; remove the other");
}

/* The key of an entry, or NULL when what stands there can be no key. */
static const Node *build_key(Builder *builder)
{
    if (builder->event.type != YAML_SCALAR_EVENT) {
        if (builder->event.type != YAML_ALIAS_EVENT)
            feature(builder, "a key must be a single word", "write the key as plain text");
        build_node(builder);
        return NULL;
    }
    const Node *key = build_text(builder);
    if (key && strcmp(key->text, "<<") == 0) {
        feature(builder, "a merge key (<<) copies entries from elsewhere", "write the entries out here");
        return NULL;
    }
    return key;
}

static Node *build_map(Builder *builder)
{
    const yaml_event_t *event = &builder->event;
    refuse_marks(builder, event->data.mapping_start.anchor, event->data.mapping_start.tag);
    Node *node = new_node(builder, NODE_MAP, event_place(builder));
    GArray *entries = g_array_new(FALSE, FALSE, sizeof(Entry));
    arena_defer(builder->arena, (GDestroyNotify)g_array_unref, entries);
    g_autoptr(GHashTable) places = g_hash_table_new(g_str_hash, g_str_equal);
    while (next_event(builder) && builder->event.type != YAML_MAPPING_END_EVENT) {
        const Node *key = build_key(builder);
        if (!next_event(builder))
            break;
        Node *value = build_node(builder);
        if (!key || !value)
            continue;
        const Entry *first = entry_named(entries, places, key->text);
        if (first) {
            key_repeated(builder, first, key->place);
            continue;
        }
        add_entry(entries, places, (Entry){key->text, key->place, value});
    }
    node->entries = (Entry *)entries->data;
    node->count = entries->len;
    if (node->count > 0)
        node->place = node->entries[0].key_place;
    return node;
}

/* The node that starts with the event at hand; NULL when it was refused. */
static Node *build_node(Builder *builder)
{
    if (builder->broken)
        return NULL;
    Node *node = NULL;
    if (++builder->depth > DEEPEST)
        limit_fault(builder, RULE_too_deep, DEEPEST, "levels");
    else if (builder->event.type == YAML_SCALAR_EVENT)
        node = build_text(builder);
    else if (builder->event.type == YAML_SEQUENCE_START_EVENT)
        node = build_list(builder);
    else if (builder->event.type == YAML_MAPPING_START_EVENT)
        node = build_map(builder);
    else if (builder->event.type == YAML_ALIAS_EVENT)
        feature(builder, "an alias (*) stands for a value written elsewhere",
                "write the value out here");
    builder->depth--;
    return node;
}

/* ---- the document ---- */

static void refuse_directives(Builder *builder)
{
    const yaml_event_t *event = &builder->event;
    gboolean tags = event->data.document_start.tag_directives.start !=
                    event->data.document_start.tag_directives.end;
    if (event->data.document_start.version_directive || tags)
        feature(builder, "a directive (%) changes how the file is read", "remove the line");
}

static void empty_file(Builder *builder)
{
    Finding *finding = finding_add(builder->diagnostics, RULE_file_empty,
                                   (Place){builder->source, 1, 1, 1});
    finding_help(finding, "start with a key, as \"protocol: my-protocol\"");
}

static void after_root(Builder *builder)
{
    if (!next_event(builder) || !next_event(builder))
        return;
    if (builder->event.type == YAML_DOCUMENT_START_EVENT) {
        Finding *finding = finding_add(builder->diagnostics, RULE_second_document,
                                       event_place(builder));
        finding_help(finding, "keep one document in each file: remove this line or move what follows");
        builder->broken = TRUE; /* half a file would be told to lack the other half */
    }
}

/* An explicit but empty document: "---" alone, or comments only. */
static gboolean says_nothing(const Node *root)
{
    return root->kind == NODE_TEXT && root->text[0] == '\0';
}

static Node *build_document(Builder *builder)
{
    if (!next_event(builder) || !next_event(builder)) /* stream, document */
        return NULL;
    if (builder->event.type != YAML_DOCUMENT_START_EVENT) {
        empty_file(builder);
        return NULL;
    }
    refuse_directives(builder);
    if (!next_event(builder))
        return NULL;
    Node *root = build_node(builder);
    if (root && says_nothing(root)) {
        empty_file(builder);
        return NULL;
    }
    if (root && root->kind != NODE_MAP && !builder->broken) {
        Finding *finding = finding_add(builder->diagnostics, RULE_wrong_shape, root->place);
        finding_fact(finding, "a file is a list of \"key: value\" lines");
        finding_help(finding, "start with a key, as \"protocol: my-protocol\"");
        root = NULL;
    }
    after_root(builder);
    return builder->broken ? NULL : root;
}

Node *syntax_parse(Arena *arena, const Source *source, Diagnostics *diagnostics)
{
    if (!syntax_bytes_scan(source, diagnostics))
        return NULL;
    Builder builder = {.arena = arena, .source = source, .diagnostics = diagnostics};
    if (!yaml_parser_initialize(&builder.parser))
        memory_ended(); /* nothing else fails there */
    yaml_parser_set_encoding(&builder.parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&builder.parser, (const unsigned char *)source->text, source->length);
    Node *root = build_document(&builder);
    yaml_event_delete(&builder.event);
    yaml_parser_delete(&builder.parser);
    return root;
}

Node *node_get(const Node *map, const char *key)
{
    for (gsize i = 0; map->kind == NODE_MAP && i < map->count; i++)
        if (strcmp(map->entries[i].key, key) == 0)
            return map->entries[i].value;
    return NULL;
}

const char *node_text(const Node *map, const char *key)
{
    const Node *node = map ? node_get(map, key) : NULL;
    return node && node->kind == NODE_TEXT ? node->text : NULL;
}

/* Words that no reader takes for anything else, with a space, so that it is no "yes". */
static gboolean plain_words(const char *text)
{
    if (!g_unichar_isalpha(g_utf8_get_char(text)) || !strchr(text, ' ') || g_str_has_suffix(text, " "))
        return FALSE;
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        if (!g_unichar_isalnum(letter) && !g_unichar_ismark(letter) && !(letter < 0x80 && strchr(" .'-", (int)letter)))
            return FALSE;
    }
    return TRUE;
}

void syntax_quote(GString *out, const char *text)
{
    if (plain_words(text)) {
        g_string_append(out, text);
        return;
    }
    g_string_append_c(out, '"');
    for (const char *at = text; *at; at++) {
        if (*at == '"' || *at == '\\')
            g_string_append_c(out, '\\');
        g_string_append_c(out, *at);
    }
    g_string_append_c(out, '"');
}

/* ---- nodes that come from elsewhere ---- */

Node *node_new(Arena *arena, NodeKind kind, Place place)
{
    Node *node = arena_new0(arena, Node);
    node->kind = kind;
    node->place = place;
    return node;
}

void node_add(Arena *arena, Node *map, const char *key, Node *value)
{
    Entry *entries = arena_alloc(arena, (map->count + 1) * sizeof *entries);
    if (map->count > 0)
        memcpy(entries, map->entries, map->count * sizeof *entries);
    entries[map->count++] = (Entry){key, value->place, value};
    map->entries = entries;
}

void node_append(Arena *arena, Node *list, Node *item)
{
    Node **items = arena_alloc(arena, (list->count + 1) * sizeof *items);
    if (list->count > 0)
        memcpy(items, list->items, list->count * sizeof *items);
    items[list->count++] = item;
    list->items = items;
}
