/* diagnostic_finding: how a finding is held; for diagnostic*.c only. */
#ifndef DIAGNOSTIC_FINDING_H
#define DIAGNOSTIC_FINDING_H

#include "base/diagnostic.h"

typedef struct Note {
    Place place;
    const char *text;
} Note;

struct Finding {
    Arena *arena;
    RuleId rule;
    Severity severity;
    Place place;
    GPtrArray *facts;  /* of char* */
    GPtrArray *notes;  /* of Note* */
    const char *help;  /* or NULL */
    const char *injection;
    const char *accepted_by, *accepted_because, *accepted_until;
};

struct Diagnostics {
    Arena *arena;
    GPtrArray *findings; /* of Finding* */
};

#endif
