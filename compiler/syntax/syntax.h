/* syntax: bytes -> nodes with places.  Strict YAML through libyaml's events:
 * bytes scanned first; no anchors, aliases, tags, merge keys, directives or
 * second documents; every scalar is text.  Knows no medicine.
 * <yaml.h> appears in syntax.c only. */
#ifndef SYNTAX_H
#define SYNTAX_H

#include "base/base.h"

#define SYNTAX_FILE_LIMIT (1024 * 1024)         /* a protocol, shelf, clinic, patient */
#define SYNTAX_ROSTER_LIMIT (256 * 1024 * 1024) /* a roster */

typedef enum NodeKind { NODE_TEXT, NODE_LIST, NODE_MAP } NodeKind;

typedef struct Node Node;

typedef struct Entry {
    const char *key;
    Place key_place;
    Node *value;
} Entry;

struct Node {
    NodeKind kind;
    Place place;        /* of the scalar, or of the first key or item */
    const char *text;   /* NODE_TEXT */
    gboolean verbatim;  /* NODE_TEXT: text stands in the source at place letter for
                           letter (plain or quoted without escapes, one line), so
                           that sub-spans of it can be pointed at */
    Node **items;       /* NODE_LIST */
    Entry *entries;     /* NODE_MAP, in file order, keys unique */
    gsize count;        /* items or entries */
};

/* The root map of the file, or NULL after at least one finding.  Duplicate keys
 * are findings (first one kept).  Owned by the arena. */
Node *syntax_parse(Arena *arena, const Source *source, Diagnostics *diagnostics);

/* FALSE after findings when the text, cells of a table, has another encoding, odd line ends
 * or letters that cannot be seen. */
gboolean syntax_cells_safe(const Source *source, Diagnostics *diagnostics);

/* Appends a text as a value that reads back as the same text wherever it stands: plain
 * when it is plain words, else between double quotes. */
void syntax_quote(GString *out, const char *text);

/* The value of a key in a map, or NULL. */
Node *node_get(const Node *map, const char *key);
/* Its text; NULL when there is none, or map is NULL or no map. */
const char *node_text(const Node *map, const char *key);

/* Nodes of what stands in another form; owned by the arena.  An entry's key stands where its
 * value does. */
Node *node_new(Arena *arena, NodeKind kind, Place place);
void node_add(Arena *arena, Node *map, const char *key, Node *value);
void node_append(Arena *arena, Node *list, Node *item);

#endif
