/* rules: judges a plan.  Each RULE row of rules.def has a check_<id> in a
 * rules_<subject>.c; a forgotten one does not link.  Changes no value.
 * A rule that needs what could not be read or found stays silent: another
 * finding has said why. */
#ifndef RULES_H
#define RULES_H

#include "base/base.h"
#include "plan/plan.h"
#include "reader/reader.h"

/* How the fact of a broken seal begins that holds digests, for programs and not for readers. */
#define RULES_SEAL_FACT "the seal: "

/* Runs the rules of protocol, clinic and shelf; with a patient in the plan also
 * those of the patient. */
void rules_check(const Plan *plan, Diagnostics *diagnostics);

/* Applies the recorded acceptances of protocol and patient to the warnings, as
 * of plan->now; raises acceptance_stale for each that does not hold. */
void rules_accept(const Plan *plan, Diagnostics *diagnostics);

/* The same for what rules_together has found: after it. */
void rules_accept_together(const Plan *plan, Diagnostics *diagnostics);

/* The limits and the revision of these rules, one a line: a part of what a seal covers. */
const char *rules_basis(void);
/* TRUE when the warning weighs a person's body: only a physician accepts it (rules/medical.def). */
gboolean rule_is_medical(RuleId rule);

/* Compares the files of one call, as const Case*, with neighbours behind them: what two of them
 * must not share is a finding of both, when one of the two was named. */
void rules_together(const GPtrArray *cases);
/* What a protocol does, in its clinic, without its names, its reasons and who wrote it: two files with the same are
 * copies (protocol_copy).  A digest that the caller frees; NULL where the files are not all there. */
char *rules_acts(const Case *file);

/* ---- the people of one roster, however long it is ---- */

typedef struct Beside Beside;

/* What is compared of a person, as written; "" what is not.  name: in small letters; shown: as
 * it stands; day: year-month-day. */
typedef struct BesidePerson {
    const char *code, *name, *shown, *order, *sheet, *day, *hour;
    Place place, name_place, order_place, sheet_place; /* place: of the code */
    gboolean elsewhere; /* in another file than the roster: compared with, and never judged */
    gboolean copy;      /* and the roster lies outside the clinic's folder: a code in both is one person */
} BesidePerson;

/* How a person of the roster is read again. */
typedef struct BesideReader {
    gboolean (*read)(gpointer data, guint index, BesidePerson *out);
    gpointer data;
} BesideReader;

Beside *beside_new(Arena *arena);
void beside_add(Beside *beside, guint index, const BesidePerson *person);
/* When all are added and before the first is judged. */
void beside_settle(Beside *beside);
/* Looks up what is needed for these people, so that a process forked now can judge them without
 * all that is kept; and ends that. */
void beside_prepare(Beside *beside, guint from, guint until, const BesideReader *reader);
void beside_prepared(Beside *beside);
/* Adds what this person shares with another; returns whom the person might be mistaken for,
 * "Marin T., LC-2042", owned by the arena; NULL when for nobody. */
const char *beside_judge(Arena *arena, const Beside *beside, guint index, const BesidePerson *person,
                         const BesideReader *reader, Diagnostics *diagnostics);

/* Whom of these (of BesidePerson*) the person might be mistaken for, with a note for each; as above. */
const char *beside_like(Arena *arena, const BesidePerson *person, const GPtrArray *others, Diagnostics *diagnostics);

/* TRUE when nothing stands open but approval, review and warnings: then a marked draft
 * may be printed. */
gboolean rules_draft_only(const Diagnostics *diagnostics);

#endif
