/* rules_slips: the clinic's words for what goes wrong at home. */
#include <string.h>

#include "rules/checks.h"

static void each_version(const Judge *judge, const PlanInjection *injection, const Saying *saying, TextCheck check)
{
    for (guint i = 0; PRESENT(*saying) && i < saying->versions->len; i++) {
        SayingVersion *version = g_ptr_array_index(saying->versions, i);
        Prose prose = judge_prose(version, version->plain);
        if (PRESENT(version->text))
            check(judge, injection, &prose);
    }
}

/* Words for slips of one place in the files: of an injection, a medicine, the clinic. */
static void each_of_list(const Judge *judge, const PlanInjection *injection, const List *slips, gboolean asked,
                         TextCheck check)
{
    for (guint i = 0; i < slips->items->len; i++) {
        const SlipWords *words = g_ptr_array_index(slips->items, i);
        if (asked)
            each_version(judge, injection, &words->ask, check);
        each_version(judge, injection, &words->say, check);
        if (!asked)
            each_version(judge, injection, &words->then, check);
    }
}

/* The first injection whose time has an end: the clinic's words must hold for it too. */
static const PlanInjection *windowed(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (PRESENT(injection->order->window))
            return injection;
    }
    return judge->plan->injections->len ? g_ptr_array_index(judge->plan->injections, 0) : NULL;
}

void judge_each_slip(const Judge *judge, gboolean asked, TextCheck check)
{
    EACH_INJECTION(judge, injection) {
        each_of_list(judge, injection, &injection->order->slips, asked, check);
        if (injection->medicine && !judged_before(judge, injection, injection->medicine))
            each_of_list(judge, injection, &injection->medicine->slips, asked, check);
    }
    const PlanInjection *one = windowed(judge);
    if (one)
        each_of_list(judge, one, &judge->plan->clinic->slips, asked, check);
}

typedef void (*ListCheck)(const Judge *judge, const PlanInjection *injection, const List *slips);

static void each_list(const Judge *judge, ListCheck check)
{
    EACH_INJECTION(judge, injection) {
        check(judge, injection, &injection->order->slips);
        if (injection->medicine && !judged_before(judge, injection, injection->medicine))
            check(judge, injection, &injection->medicine->slips);
    }
    check(judge, NULL, &judge->plan->clinic->slips);
}

/* ---- slots ---- */

static void slot_fault(const Judge *judge, const PlanInjection *injection, const Text *text, const char *open,
                       gsize length)
{
    const char *panel;
    ValueId value;
    if (plan_slip_slot(open + 1, length - 2, &panel, &value) != SLOT_UNKNOWN)
        return;
    Finding *finding = judge_add(judge, RULE_slip_slot, 0, injection, judge_part(text, open, length));
    finding_fact(finding, "%.*s", (int)length, open);
    finding_help(finding, "write {step NAME} or {page NAME} with a panel of the sheet, as {step push}, or a value that "
                          "\"dosewright plan\" shows, as {latest}");
}

static void slots_of_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    const Text *text = &prose->text;
    for (const char *open = text->text, *close; (open = strchr(open, '{')); open = close) {
        close = strchr(open, '}');
        close = close ? close + 1 : open + strlen(open);
        slot_fault(judge, injection, text, open, MAX(2, (gsize)(close - open)));
    }
}

static void slots_of_list(const Judge *judge, const PlanInjection *injection, const List *slips)
{
    for (guint i = 0; i < slips->items->len; i++) {
        const SlipWords *words = g_ptr_array_index(slips->items, i);
        judge_each_version(judge, injection, &words->ask, slots_of_text);
        judge_each_version(judge, injection, &words->say, slots_of_text);
        judge_each_version(judge, injection, &words->then, slots_of_text);
    }
}

void check_slip_slot(const Judge *judge) { each_list(judge, slots_of_list); }

/* ---- twice, and never ---- */

static void twice_in(const Judge *judge, const PlanInjection *injection, const List *slips)
{
    for (guint i = 0; i < slips->items->len; i++) {
        const SlipWords *later = g_ptr_array_index(slips->items, i);
        for (guint k = 0; PRESENT(later->slip) && k < i; k++) {
            const SlipWords *earlier = g_ptr_array_index(slips->items, k);
            if (!PRESENT(earlier->slip) || earlier->slip.value != later->slip.value)
                continue;
            Finding *finding = judge_add(judge, RULE_slip_twice, 0, injection, later->slip.at.place);
            finding_fact(finding, "%s", choice_word(later->slip.value));
            finding_note(finding, earlier->slip.at.place, "the first one");
            finding_help(finding, "keep one of the two");
            break;
        }
    }
}

void check_slip_twice(const Judge *judge) { each_list(judge, twice_in); }

void check_slip_cannot_happen(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const List *slips = &injection->order->slips;
        for (guint i = 0; injection->medicine && i < slips->items->len; i++) {
            const SlipWords *words = g_ptr_array_index(slips->items, i);
            if (!PRESENT(words->slip) || plan_can_slip(injection, words->slip.value))
                continue;
            Finding *finding = judge_add(judge, RULE_slip_cannot_happen, 0, injection, words->slip.at.place);
            finding_fact(finding, "%s: %s", choice_word(words->slip.value),
                         choice_row((ChoiceWord)words->slip.value)->meaning);
            finding_help(finding, "leave it out, or correct the word");
        }
    }
}

/* ---- missing ---- */

static gboolean slips_unread(const Judge *judge, const PlanInjection *injection)
{
    return list_unread(RECORD_SlipWords, &injection->order->slips) ||
           list_unread(RECORD_SlipWords, &judge->plan->clinic->slips) ||
           (injection->medicine && list_unread(RECORD_SlipWords, &injection->medicine->slips));
}

void check_slips_missing(const Judge *judge)
{
    guint count;
    Slip first = (Slip)choice_first(CHOICES_Slip, &count);
    EACH_INJECTION(judge, injection) {
        g_autoptr(GString) missing = g_string_new(NULL);
        guint of = 0, without = 0;
        for (Slip slip = first; injection->medicine && slip < first + count; slip++) {
            if (slip == Slip_LATE || !plan_can_slip(injection, slip)) /* what to do when late has a rule of its own */
                continue;
            of++;
            const SlipWords *words[3];
            if (plan_slip_places(judge->plan, injection, slip, words) > 0)
                continue;
            g_string_append_printf(missing, "%s%s", without++ ? ", " : "", choice_word(slip));
        }
        if (without == 0 || slips_unread(judge, injection))
            continue;
        Finding *finding = judge_add(judge, RULE_slips_missing, 0, injection, injection->order->name.at.place);
        finding_fact(finding, "%u of %u: %s", without, of, missing->str);
        finding_fact(finding, "for these the night page says: ring the physician");
        finding_help(finding, "write \"slips\" under the injection, under the medicine on the shelf, or in clinic.yaml "
                              "for all: - {slip: spilled, ask: ..., say: ..., then: ...}");
    }
}
