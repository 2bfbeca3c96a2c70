/* rules: the table of checks, the acceptances, and what checks share. */
#include "rules/rules.h"

#include <string.h>

#include "rules/checks.h"

typedef void (*Check)(const Judge *judge);

static const Check checks[RULE_COUNT] = {
#define RULE(id, stage, severities, subject, message, reason, source) check_##id,
#define FAULT(id, stage, severities, subject, message, reason, source) NULL,
#include "rules/rules.def"
#undef RULE
#undef FAULT
};

void rules_check(const Plan *plan, Diagnostics *diagnostics)
{
    Judge judge = {plan, diagnostics, arena_new()};
    for (int i = 0; i < RULE_COUNT; i++) {
        Stage stage = rule_row((RuleId)i)->stage;
        if (checks[i] && (stage == STAGE_PROTOCOL || (stage == STAGE_PATIENT && plan->patient)))
            checks[i](&judge);
    }
    arena_free(judge.arena);
}

gboolean rules_draft_only(const Diagnostics *diagnostics)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++) {
        const Finding *finding = diagnostics_at(diagnostics, i);
        RuleId rule = finding_rule(finding);
        gboolean approval = rule == RULE_not_approved || rule == RULE_seal_broken || rule == RULE_review_overdue ||
                            rule == RULE_review_far || rule == RULE_language_unreviewed;
        if (finding_severity(finding) == SEVERITY_ERROR && !approval)
            return FALSE; /* a warning is what a draft is there to talk about */
    }
    return TRUE;
}

/* ---- what checks share ---- */

Finding *judge_add(const Judge *judge, RuleId rule, int severity, const PlanInjection *injection,
                   Place place)
{
    Finding *finding = severity ? finding_add_as(judge->diagnostics, rule, (Severity)severity, place)
                                : finding_add(judge->diagnostics, rule, place);
    if (injection && PRESENT(injection->order->name))
        finding_about(finding, injection->order->name.text);
    return finding;
}

Place judge_place(const Field *wanted, const PlanInjection *injection)
{
    return wanted->place.source ? wanted->place : injection->order->name.at.place;
}

const char *judge_amount(const Judge *judge, Quantity quantity)
{
    Quantity shown = {rational_round(quantity.number, rational_make(1, 10000)), quantity.unit};
    if (!rational_ok(shown.number) || shown.number.num == 0 || rational_equal(shown.number, quantity.number))
        return quantity_text(judge->arena, quantity);
    return arena_format(judge->arena, "about %s", quantity_text(judge->arena, shown));
}

const char *judge_volume(const Judge *judge, Rational volume_ml)
{
    return judge_amount(judge, (Quantity){volume_ml, UNIT_mL});
}

const char *judge_span(const Judge *judge, Quantity least, Quantity most)
{
    if (quantity_compare(least, most) == 0)
        return judge_amount(judge, least);
    return arena_format(judge->arena, "%s to %s", judge_amount(judge, least), judge_amount(judge, most));
}

gboolean judge_anchor_readable(const Judge *judge)
{
    const AnchorTime *anchor = &judge->plan->patient->anchor;
    return PRESENT(anchor->on) && PRESENT(anchor->clock) && PRESENT(judge->plan->clinic->zone);
}

const char *judge_time(const Judge *judge, LocalTime local)
{
    return clinic_time(judge->arena, judge->plan->clinic, local);
}

const char *judge_clock(const Judge *judge, int minute)
{
    return clinic_clock(judge->arena, judge->plan->clinic, minute);
}

const char *judge_hours(const Judge *judge, Rational minutes)
{
    gint64 whole = minutes.num / MAX(minutes.den, 1);
    if (minutes.den != 1 || whole < 0)
        return judge_amount(judge, quantity_in((Quantity){minutes, UNIT_min}, UNIT_h));
    const char *rest = arena_format(judge->arena, "%d min", (int)(whole % 60));
    if (whole < 60)
        return rest;
    const char *hours = judge_amount(judge, quantity_make(whole / 60, 1, UNIT_h));
    return whole % 60 ? arena_format(judge->arena, "%s %s", hours, rest) : hours;
}

const char *judge_words(const Judge *judge, const List *choices)
{
    g_autoptr(GString) words = g_string_new(NULL);
    for (guint i = 0; i < choices->items->len; i++) {
        const Field *choice = g_ptr_array_index(choices->items, i);
        if (choice->state == FIELD_READ)
            g_string_append_printf(words, "%s%s", words->len ? ", " : "", choice_word(choice_value(choice)));
    }
    return arena_copy(judge->arena, words->str);
}

const char *judge_texts(const Judge *judge, const List *texts)
{
    g_autoptr(GString) words = g_string_new(NULL);
    for (guint i = 0; i < texts->items->len; i++) {
        const Text *text = g_ptr_array_index(texts->items, i);
        if (PRESENT(*text))
            g_string_append_printf(words, "%s\"%s\"", words->len ? ", " : "", text->text);
    }
    return arena_copy(judge->arena, words->len ? words->str : "none");
}

gboolean judge_count_doubted(const Judge *judge)
{
    for (guint i = 0; i < diagnostics_count(judge->diagnostics); i++) {
        RuleId rule = finding_rule(diagnostics_at(judge->diagnostics, i));
        if (rule == RULE_vial_count_wrong || rule == RULE_too_many_vials)
            return TRUE;
    }
    EACH_INJECTION(judge, injection)
        if (record_unread(RECORD_Injection, injection->order) ||
            (PRESENT(injection->order->mix.diluent) && !injection->diluent) ||
            (injection->medicine && record_unread(RECORD_Medicine, injection->medicine)))
            return TRUE;
    return FALSE;
}

gboolean judged_before(const Judge *judge, const PlanInjection *injection, gconstpointer thing)
{
    g_assert(thing);
    EACH_INJECTION(judge, earlier) {
        if (earlier == injection)
            return FALSE;
        if (earlier->medicine == thing || earlier->syringe == thing || earlier->mixing_syringe == thing ||
            earlier->pen == thing)
            return TRUE;
    }
    return FALSE;
}

gsize judge_syringes(const PlanInjection *injection, const Syringe *out[2])
{
    gsize count = 0;
    if (injection->syringe)
        out[count++] = injection->syringe;
    if (injection->mixing_syringe && injection->mixing_syringe != injection->syringe)
        out[count++] = injection->mixing_syringe;
    return count;
}

const char *judge_count(const Judge *judge, gint64 count, const char *word)
{
    return arena_format(judge->arena, "%" G_GINT64_FORMAT " %s%s", count, word, count == 1 ? "" : "s");
}

Rational percent(gint64 number) { return rational_make(number, 100); }

int days_of(Quantity time)
{
    Rational days = quantity_in(time, UNIT_days).number;
    return (int)(days.num / MAX(days.den, 1));
}

const char *day_text(Arena *arena, Day day)
{
    CalendarDate date = day_date(day);
    return arena_format(arena, "%04d-%02d-%02d", date.year, date.month, date.day);
}
