/* seal: a digest of all that an approved sheet's numbers and warnings rest on.  Two
 * texts that say the same (order of keys, quotes, comments, white space, 10000 or
 * 10,000) have one seal; any other change has another, in any of these parts: the
 * protocol, who approved it and until when, the clinic, the rows of the shelf that the
 * protocol names, the program's own limits. */
#ifndef SEAL_H
#define SEAL_H

#include "language/model.h"

typedef enum SealPart {
#define PART(ID, word, title) SEAL_##ID,
#include "language/seal_parts.def"
    SEAL_PARTS
} SealPart;

/* What is sealed.  rules: the limits and the revision of the program, as
 * rules_basis prints them. */
typedef struct SealBasis {
    const Clinic *clinic;
    const Shelf *shelf;
    const Protocol *protocol; /* with its approval, whose own seal is left out */
    const char *rules;
} SealBasis;

/* "9c1e4b0a52d7f318-1a2b-3c4d-5e6f-7a8b-9c0d": the first 16 hex digits of the SHA-256 of
 * the sealed text, then 4 of each part, which say where a broken seal broke.  NULL
 * when a file is missing or a value in it could not be read.  Owned by the arena. */
char *seal_make(Arena *arena, const SealBasis *basis);

/* What was written of clinics and of rows of a shelf, so that the next protocol's seal takes it as
 * it is; whoever hands it over promises that these stay as and where they are until its arena goes. */
typedef struct SealMemo SealMemo;
SealMemo *seal_memo_new(Arena *arena);
/* As seal_make(); memo may be NULL. */
char *seal_make_kept(Arena *arena, const SealBasis *basis, SealMemo *memo);

/* The sealed text itself: one value a line, "clinic.zone=15:America/Halifax". */
char *seal_text(Arena *arena, const SealBasis *basis);
/* The lines of the protocol alone, without its approval. */
char *seal_protocol_text(Arena *arena, const Protocol *protocol);

/* Appends the values that differ between two sealed texts, one a line:
 * "clinic preparation start: 45 min became 30 min". */
void seal_changes(const char *old, const char *new, GString *out);

/* TRUE when both are seals of the same text; their first 16 digits decide. */
gboolean seal_same(const char *a, const char *b);

/* TRUE when the two are known to differ in this part. */
gboolean seal_part_differs(const char *a, const char *b, SealPart part);
/* "clinic.yaml" */
const char *seal_part_title(SealPart part);

#endif
