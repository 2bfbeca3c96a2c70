/* fhir: a plan as a Bundle, and a person's facts out of one, in the words of HL7 FHIR release 4.
 * Only what that standard itself names is written or taken; nothing is invented where it is
 * silent.  Judges nothing of medicine. */
#ifndef FHIR_H
#define FHIR_H

#include "base/base.h"
#include "plan/plan.h"
#include "syntax/syntax.h"

/* TRUE when the file's name says that it is a bundle: it ends in ".json". */
gboolean fhir_is(const char *path);

/* The plan of one person as a Bundle of Patient, CarePlan and a MedicationRequest for each
 * injection.  The plan must be complete. */
void fhir_print(const Plan *plan, GString *out);

/* The keys of a patient's file that a bundle gives: code, name, order, protocol, anchor,
 * language, telephone; with their places in it.  zone: of the clinic, in whose clock the anchor
 * stands.  What it says twice, for another person, or in a way that must not be passed over is
 * a finding.  NULL after a fault of form. */
Node *fhir_patient(Arena *arena, const Source *source, const Zone *zone, Diagnostics *diagnostics);

/* Adds the keys of the rest of a patient's file; what both say is a finding. */
void fhir_add(Arena *arena, Node *patient, const Node *rest, Diagnostics *diagnostics);

#endif
