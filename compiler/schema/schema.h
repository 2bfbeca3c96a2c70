/* schema: prints the protocol language from its rows, for editors (JSON Schema
 * 2020-12) and for people (the reference of protocols/README.md).
 * A schema sees form only; dosewright check decides. */
#ifndef SCHEMA_H
#define SCHEMA_H

#include "reader/reader.h"

/* The schema of one kind of file, ending in a line end.  Owned by the arena. */
char *schema_json(Arena *arena, FileKind kind);

/* All records and keys as Markdown tables.  Owned by the arena. */
char *schema_reference(Arena *arena);

#endif
