/* reader: nodes -> the structs of model.h, by the rows of fields.def.
 * Judges how each value is written, never what it asks for; invents no default.
 * A value that cannot be read is FIELD_BAD after one finding, so that rules
 * about it stay silent.  Rows and kinds live in model/table.h. */
#ifndef READER_H
#define READER_H

#include "diagnostic.h"
#include "model/model.h"
#include "syntax.h"

typedef enum FileKind { FILE_CLINIC, FILE_SHELF, FILE_PROTOCOL, FILE_PATIENT } FileKind;

/* What the file says it is by its first key.  FALSE after a finding. */
gboolean reader_kind(const Node *root, Diagnostics *diagnostics, FileKind *out);

/* Fill one struct, owned by the arena; never NULL, and its lists never NULL.
 * Every fault of the file is found in one run.  root must be a map, and must
 * outlive the struct (places point into its source). */
Clinic *reader_clinic(Arena *arena, const Node *root, Diagnostics *diagnostics);
Shelf *reader_shelf(Arena *arena, const Node *root, Diagnostics *diagnostics);
/* Also asks that the short name is the file's, when the file ends in .yaml. */
Protocol *reader_protocol(Arena *arena, const Node *root, Diagnostics *diagnostics);
Patient *reader_patient(Arena *arena, const Node *root, Diagnostics *diagnostics);

#endif
