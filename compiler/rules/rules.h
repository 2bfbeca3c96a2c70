/* rules: judges a plan.  Each RULE row of rules.def has a check_<id> in a
 * rules_<subject>.c; a forgotten one does not link.  Changes no value.
 * A rule that needs what could not be read or found stays silent: another
 * finding has said why. */
#ifndef RULES_H
#define RULES_H

#include "base/base.h"
#include "plan/plan.h"
#include "reader/reader.h"

/* Runs the rules of protocol, clinic and shelf; with a patient in the plan also
 * those of the patient. */
void rules_check(const Plan *plan, Diagnostics *diagnostics);

/* Applies the recorded acceptances of protocol and patient to the warnings, as
 * of plan->now; raises acceptance_stale for each that does not hold. */
void rules_accept(const Plan *plan, Diagnostics *diagnostics);

/* The limits and the revision of these rules, one a line: a part of what a seal covers. */
const char *rules_basis(void);

/* Compares the files of one call, as const Case*: what two of them must not share is a
 * finding of both. */
void rules_together(const GPtrArray *cases);

/* TRUE when nothing stands open but approval, review and warnings: then a marked draft
 * may be printed. */
gboolean rules_draft_only(const Diagnostics *diagnostics);

#endif
