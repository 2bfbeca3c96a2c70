/* diagnostic: collects, sorts and prints findings.  Decides nothing.
 * rules.def declares every rule and fault once: id, stage, severities, message,
 * reason, source.  Facts reach a finding as data, never as a format. */
#ifndef DIAGNOSTIC_H
#define DIAGNOSTIC_H

#include "base/source.h"

typedef enum Severity {
    SEVERITY_NOTE = 1 << 0,
    SEVERITY_WARNING = 1 << 1,
    SEVERITY_ERROR = 1 << 2,
} Severity;

/* Where in the flow a rule looks; see rules.def. */
typedef enum Stage {
    STAGE_TEXT,     /* text as written, one file */
    STAGE_PROTOCOL, /* protocol with clinic and shelf */
    STAGE_PATIENT,  /* the plan */
    STAGE_OUTPUT,   /* page and finished file */
} Stage;

typedef enum RuleId {
#define RULE(id, stage, severities, subject, message, reason, source) RULE_##id,
#define FAULT(id, stage, severities, subject, message, reason, source) RULE_##id,
#include "rules/rules.def"
#undef RULE
#undef FAULT
    RULE_COUNT
} RuleId;

typedef struct RuleRow {
    const char *id;      /* word as printed between brackets */
    Stage stage;
    int severities;      /* set of Severity that it may take */
    gboolean has_check;  /* RULE: rules.c holds check_<id>; FAULT: raised while reading or printing */
    const char *subject; /* chapter of the rule book */
    const char *message; /* fixed sentence, lower case, no full stop */
    const char *reason;  /* one sentence, plain words */
    const char *source;  /* published source, or "common practice, no source", or "from memory" */
} RuleRow;

const RuleRow *rule_row(RuleId id);
/* Of a rule that is an error or a warning: when it is which; NULL of any other. */
const char *rule_when(RuleId id);
/* TRUE and *out when the word is a rule id. */
gboolean rule_find(const char *word, RuleId *out);
/* The known rule id nearest in spelling, or NULL when none is near. */
const char *rule_nearest(const char *word);

typedef struct Finding Finding;
typedef struct Diagnostics Diagnostics;

Diagnostics *diagnostics_new(Arena *arena);

/* Adds a finding with the row's one severity (asserts that it has one only).
 * The finding is owned by the diagnostics; add facts to it at once. */
Finding *finding_add(Diagnostics *diagnostics, RuleId id, Place place);
/* The same with a severity out of the row's set. */
Finding *finding_add_as(Diagnostics *diagnostics, RuleId id, Severity severity, Place place);

/* The two facts that disagree, one line: "given 8 mm, required at least 16 mm". */
void finding_fact(Finding *finding, const char *format, ...) G_GNUC_PRINTF(2, 3);
/* A second place. */
void finding_note(Finding *finding, Place place, const char *format, ...) G_GNUC_PRINTF(3, 4);
/* The edit that mends it, for a physician. */
void finding_help(Finding *finding, const char *format, ...) G_GNUC_PRINTF(2, 3);
/* The injection (by name) that it speaks of, so an acceptance can be narrow. */
void finding_about(Finding *finding, const char *injection);

/* What a rule, an acceptance or a report reads back. */
RuleId finding_rule(const Finding *finding);
Severity finding_severity(const Finding *finding);
Place finding_place(const Finding *finding);
const char *finding_injection(const Finding *finding); /* or NULL */
const GPtrArray *finding_facts(const Finding *finding); /* of char* */
const char *finding_advice(const Finding *finding);     /* its help, or NULL */
/* "2027-04-01", the last day of its acceptance; NULL when it is not accepted. */
const char *finding_accepted_until(const Finding *finding);

/* Adds copies of another collection's findings, so that what is marked here stays
 * here.  Both must live in the same arena's time. */
void diagnostics_append(Diagnostics *diagnostics, const Diagnostics *more);

/* Takes out all findings of one source: another text is taken in its place. */
void diagnostics_drop(Diagnostics *diagnostics, const Source *source);

/* Marks a warning as accepted; it then prints as "accepted" and does not stop
 * a sheet.  Asserts that the finding is a warning: nothing lowers an error. */
void finding_accept(Finding *finding, const char *by, const char *because, const char *until);
gboolean finding_accepted(const Finding *finding);
/* "Dr R, until 2027-04-01: because ..." of an accepted finding. */
char *finding_acceptance(Arena *arena, const Finding *finding);

/* Those that stand in other files than this source; or, with here, all the others. */
Diagnostics *diagnostics_part(const Diagnostics *diagnostics, const Source *source, gboolean here);

/* Those that were not told before, and from now on are: the same finding at the same
 * place of a file that several cases share is told once.  told: a set of char*. */
Diagnostics *diagnostics_untold(const Diagnostics *diagnostics, GHashTable *told);

/* What has the same cause in many files (the same rule, facts, help and second places) is told for the
 * first of them; the others are counted.  causes: Told* by char*, both owned by it. */
typedef struct Told {
    RuleId rule;
    guint more;         /* that were taken out */
    GPtrArray *places;  /* of char*, owned: where the first few of them stand */
} Told;
GHashTable *told_new(void);
Diagnostics *diagnostics_fold(const Diagnostics *diagnostics, GHashTable *causes);

/* All but those of one rule. */
Diagnostics *diagnostics_without(const Diagnostics *diagnostics, RuleId rule);

guint diagnostics_count(const Diagnostics *diagnostics);
Finding *diagnostics_at(const Diagnostics *diagnostics, guint index);
/* Number with this severity that are not accepted. */
guint diagnostics_open(const Diagnostics *diagnostics, Severity severity);
/* TRUE when any error, or any warning not accepted, is there. */
gboolean diagnostics_stops(const Diagnostics *diagnostics);
/* Sorts by place, then rule; drops exact repeats. Called by the printers. */
void diagnostics_sort(Diagnostics *diagnostics);

/* All findings as text with excerpts and a summary line.  colour: escapes. */
void diagnostics_print(Diagnostics *diagnostics, GString *out, gboolean colour);
/* One JSON object a line (JSON Lines). */
void diagnostics_print_lines(Diagnostics *diagnostics, GString *out);

/* All findings as one SARIF 2.1.0 log; version is the program's. */
void diagnostics_print_sarif(Diagnostics *diagnostics, const char *version, GString *out);

/* The candidate nearest to word by edit distance, or NULL when none is near:
 * for "did you mean". */
const char *nearest_word(const char *word, const char *const *candidates, gsize count);

#endif
