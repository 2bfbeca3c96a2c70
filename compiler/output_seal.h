/* output_seal: what a finished sheet says of itself to a program: a record of its
 * making, and a digest of all its bytes, so that a later change shows. */
#ifndef OUTPUT_SEAL_H
#define OUTPUT_SEAL_H

#include "arena.h"

/* Keys of the document information dictionary, for an update of it: the record
 * (lines "word: value") and room for the seal. */
char *output_seal_keys(const char *record);
/* Fills the room with the digest of the file, which it is part of as zeros. */
void output_seal_fill(GString *file);

/* TRUE when the file ends where its maker ended it and no byte differs. */
gboolean output_seal_holds(GBytes *file);
/* The record, or NULL when the file has none. */
const char *output_seal_record(Arena *arena, GBytes *file);
/* The value behind a word of the record, or NULL. */
const char *output_record_value(Arena *arena, const char *record, const char *word);

#endif
