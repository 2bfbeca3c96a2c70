/* output_seal: what a finished sheet says of itself to a program: a record of its
 * making, and a digest of all its bytes, so that a later change shows. */
#ifndef OUTPUT_SEAL_H
#define OUTPUT_SEAL_H

#include "base/base.h"

/* Keys of the document information dictionary, for an update of it: the record
 * (lines "word: value") and room for the seal. */
char *output_seal_keys(const char *record);
/* Fills the room with the digest of the file, which it is part of as zeros. */
void output_seal_fill(GString *file);

#endif
