/* rules_checks: what the checks share; for rules*.c only. */
#ifndef RULES_CHECKS_H
#define RULES_CHECKS_H

#include "rules/rules.h"

typedef struct Judge {
    const Plan *plan;
    Diagnostics *diagnostics;
    Arena *arena; /* for texts that findings copy */
} Judge;

#define RULE(id, stage, severities, subject, message, reason, source) \
    void check_##id(const Judge *judge);
#define FAULT(id, stage, severities, subject, message, reason, source)
#include "rules/rules.def"
#undef RULE
#undef FAULT

/* Runs the block once for each injection of the plan. */
#define EACH_INJECTION(judge, injection)                                                          \
    for (guint each_ = 0; each_ < (judge)->plan->injections->len; each_++)                        \
        for (const PlanInjection *injection = g_ptr_array_index((judge)->plan->injections, each_), \
                                 *once_ = injection;                                              \
             once_; once_ = NULL)

/* Adds a finding that speaks of an injection; of severity 0: the row's only one. */
Finding *judge_add(const Judge *judge, RuleId rule, int severity, const PlanInjection *injection,
                   Place place);

/* The place of a value, or of the injection's name when it is not there. */
Place judge_place(const Field *wanted, const PlanInjection *injection);

/* Texts for facts; of more than four decimals "about" and the rounded figure. */
const char *judge_amount(const Judge *judge, Quantity quantity);
const char *judge_volume(const Judge *judge, Rational volume_ml);
const char *judge_span(const Judge *judge, Quantity least, Quantity most); /* "1.5 in", "1 in to 1.5 in" */
const char *judge_time(const Judge *judge, LocalTime local); /* by the clinic's clock, as the next */
const char *judge_clock(const Judge *judge, int minute);
const char *judge_hours(const Judge *judge, Rational minutes); /* "33 h 20 min" */
const char *judge_words(const Judge *judge, const List *choices); /* "subcutaneous, intramuscular" */
const char *judge_texts(const Judge *judge, const List *texts);   /* "water ten", "water one", in quotes */
const char *judge_count(const Judge *judge, gint64 count, const char *word); /* "3 alcohol wipes" */

/* Runs a check on each version of a text for people, or of each text of a list. */
typedef struct Prose {
    Text text;
    guint64 *silent;
} Prose;
typedef void (*TextCheck)(const Judge *judge, const PlanInjection *injection, const Prose *prose);
void judge_each_version(const Judge *judge, const PlanInjection *injection, const Saying *saying, TextCheck check);
void judge_each_saying(const Judge *judge, const PlanInjection *injection, const List *list, TextCheck check);
/* The same for the words for slips, of injection, medicine and clinic: asked: what the person hears
 * (ask, say); else what is acted on (say, then). */
void judge_each_slip(const Judge *judge, gboolean asked, TextCheck check);
/* The words of a version as a check of texts gets them, each time the same ones.  What was looked for in them and
 * not found is not looked for again, since a clinic's words are judged with each of its protocols: each check has
 * bits of its own in *silent, which all texts of the same words share (but where more texts are kept already than
 * a process should keep). */
Prose judge_prose(SayingVersion *version, const char *words);
#define SILENT(bit) (G_GUINT64_CONSTANT(1) << (bit))
typedef enum SilentOf { SILENT_HARD, SILENT_SCARE, SILENT_FIGURE, SILENT_PATTERNS } SilentOf;
/* The place of a stretch of a text that stands in its file on one line. */
Place judge_part(const Text *text, const char *start, gsize length);

Rational percent(gint64 number);
int days_of(Quantity time); /* whole days in a length of time */
const char *day_text(Arena *arena, Day day); /* "2026-11-26" */
/* The hours before egg collection beyond which no trigger is accepted (limits.def). */
void rules_trigger_bounds(Quantity *least, Quantity *most);
/* A needle's length by its published size: 40 mm is sold as 1.5 in (limits.def). */
Quantity judge_needle_size(const NeedleField *needle);
gboolean same_person(const char *a, const char *b); /* two writings of one name */
gboolean names_person(const List *people, const char *name);
gboolean judge_anchor_readable(const Judge *judge); /* date, clock time and zone of the procedure */
/* TRUE when a finding doubts how many containers are opened, or what they are counted by could not be read, and so
 * all that is counted by them. */
gboolean judge_count_doubted(const Judge *judge);
/* TRUE when an injection before this one has the same thing, a Medicine, Syringe or Pen
 * of the shelf: what is wrong with it is told once. */
gboolean judged_before(const Judge *judge, const PlanInjection *injection, gconstpointer thing);
/* The syringes of an injection: what injects, then what mixes, where that is another; how many there are. */
gsize judge_syringes(const PlanInjection *injection, const Syringe *out[2]);
/* TRUE when the dose is more than one container gives: the steps draw from one, and only powders are gathered. */
gboolean judge_needs_several(const PlanInjection *injection);
gboolean judge_comparable(const PlanInjection *injection); /* dose and content count in the same kind */

#endif
