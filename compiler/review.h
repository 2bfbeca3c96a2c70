/* review: what the quality lead reads: the state of protocols, and the rule book. */
#ifndef REVIEW_H
#define REVIEW_H

#include "diagnostic.h"
#include "model/model.h"
#include "report.h"

typedef struct ReviewCase {
    const char *path;
    const Clinic *clinic;     /* or NULL when it could not be read */
    const Protocol *protocol; /* or NULL */
    Diagnostics *diagnostics; /* judged, acceptances applied */
} ReviewCase;

/* earlier: lines of an earlier "check --format lines", or NULL.  today: for days
 * left.  Owned by the arena. */
Report *review_report(Arena *arena, GPtrArray *cases, const char *earlier, Day today, const char *version);

/* Every rule: message, severity, reason, source, in chapters. */
Report *review_rule_book(Arena *arena, const char *version);

/* "path rule line" of a finding: what an earlier report is compared by. */
char *review_key(Arena *arena, const Finding *finding);

#endif
