/* report_parts: what the files of this room share. */
#ifndef REPORT_PARTS_H
#define REPORT_PARTS_H

#include "report/report.h"

#define REVIEW_SOON 60 /* days */

/* How a finding stands, mildest first. */
typedef enum StandingOf { STANDING_NONE, STANDING_NOTE, STANDING_ACCEPTED, STANDING_WAITS, STANDING_STOPS } StandingOf;

StandingOf review_standing(const Finding *finding);
const char *review_standing_word(StandingOf standing);
/* Of the protocol, or of the person; else the path. */
const char *review_name(const ReviewCase *one);
const char *review_clinic(const Clinic *clinic);
/* "2026-10-05" */
const char *review_day(Arena *arena, Day day);
/* What is told of a finding, of char*: digests say nothing to a reader. */
GPtrArray *review_facts(Arena *arena, const Finding *finding);
/* Whether, by whom and until when it is approved as it stands. */
const char *review_approval(Arena *arena, const ReviewCase *one, Day today);
/* Where more is said of a case, as the name of an item. */
const char *review_case_link(Arena *arena, const Review *review, guint index);
const char *review_rule_link(Arena *arena, RuleId rule);
/* TRUE when the finding stands in the case's own file, and not in one that several share. */
gboolean review_own(const ReviewCase *one, const Finding *finding);
/* TRUE when there is more to say of a protocol than its name. */
gboolean review_told(const ReviewCase *one);
/* All its injections lie in the past: nobody has to do anything about it. */
gboolean review_past(const ReviewCase *one);

/* ---- the worklist ---- */

/* Writes it, by clinic and owner; counts by gate. */
void review_worklist(const Review *review, Report *report, guint tasks[REVIEW_GATES]);

/* ---- what changed ---- */

void review_changes(const Review *review, Report *report);

#endif
