/* seal: a digest of what a protocol means.  Two texts that say the same (order
 * of keys, quotes, comments, white space, 10000 or 10,000) have one seal; any
 * other change has another.  Knows nothing of approval: it is what is approved. */
#ifndef SEAL_H
#define SEAL_H

#include "language/model.h"

/* The first 16 hex digits of the SHA-256 of the protocol's canonical text
 * without its approval; NULL when a value in it could not be read.  Owned by
 * the arena. */
char *seal_digest(Arena *arena, const Protocol *protocol);

/* The canonical text itself, for people who want to see what a seal covers. */
char *seal_text(Arena *arena, const Protocol *protocol);

#endif
