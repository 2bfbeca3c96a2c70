/* rules_against: the clinic's own texts against the plan: an injection without a call when
 * late, more than the dose, another hour, site or side. */
#include <string.h>

#include "rules/checks.h"

/* An hour of her own, and not one that a call decides. */
#define LATER "(bed ?time|tonight|tomorrow|noon|night|(the|next) (next )?(morning|evening|day|dose))"
/* What turns a clause round: "do not inject", "before you inject". */
#define DENIES "(?i)\\b(not|never|no|nor|without|unless|until(?! " LATER ")|before (you|we|they|a call)|avoid" \
    "|instead of|rather than|nothing|nobody" \
    "|ne|pas|jamais|nunca|sin|antes|avant)\\b|n't\\b|n\342\200\231t\\b|cannot"
#define POINTS ".!?;:\n"

typedef struct Found { const char *start; gsize length; } Found;

typedef struct Pattern {
    const char *words;
    guint64 silent; /* bit of what is not in a text, given at its first use; 0: they are used up */
    gboolean used;
} Pattern;

static void use(Pattern *pattern)
{
    static guint used = SILENT_PATTERNS;
    if (pattern->used)
        return;
    pattern->silent = used < 64 ? SILENT(used) : 0;
    pattern->used = TRUE;
    used++;
}

/* TRUE when nothing in the clause up to the end of the match turns it round. */
static gboolean is_told(const char *sentence, int start, int end)
{
    static const char denies[] = DENIES;
    int from = start;
    while (from > 0 && sentence[from - 1] != ',')
        from--;
    g_autofree char *clause = g_strndup(sentence + from, (gsize)(end - from));
    return !pattern_matches(denies, clause, G_REGEX_CASELESS);
}

/* The first stretch of the text that says it, sentence by sentence. */
static gboolean says(const Prose *prose, Pattern *pattern, Found *found)
{
    if (*prose->silent & pattern->silent)
        return FALSE;
    use(pattern);
    const GRegex *regex = pattern_compiled(pattern->words, G_REGEX_CASELESS);
    for (const char *at = prose->text.text; *at;) {
        gsize length = strcspn(at, POINTS);
        g_autofree char *sentence = g_strndup(at, length);
        g_autoptr(GMatchInfo) match = NULL;
        int start = 0, end = 0;
        g_regex_match(regex, sentence, 0, &match);
        if (g_match_info_fetch_pos(match, 0, &start, &end) && end > start && is_told(sentence, start, end)) {
            *found = (Found){at + start, (gsize)(end - start)};
            return TRUE;
        }
        at += length + strspn(at + length, POINTS);
    }
    *prose->silent |= pattern->silent;
    return FALSE;
}

static gboolean says_one(const Prose *prose, Pattern *patterns, gsize count, Found *found)
{
    for (gsize i = 0; i < count; i++)
        if (says(prose, &patterns[i], found))
            return TRUE;
    return FALSE;
}

/* ---- late ---- */

static void say_late(const Judge *judge, const PlanInjection *injection, const Text *text, Found found)
{
    const Injection *order = injection->order;
    gboolean course = PRESENT(order->when) && order->when.days > 1;
    Finding *finding = judge_add(judge, RULE_late_against_window, course ? SEVERITY_WARNING : SEVERITY_ERROR, injection,
                                 judge_part(text, found.start, found.length));
    finding_note(finding, order->window.at.place, "the window");
    finding_help(finding, course ? "write: Call us now; or accept it with the reason"
                                 : "write: Call us now. Do not inject unless we tell you to");
}

static gboolean says_instead(const Prose *prose, Found *found)
{
    static Pattern instead[] = {
#define INSTEAD(pattern) {pattern, 0, FALSE},
#include "rules/against.def"
    };
    return says_one(prose, instead, G_N_ELEMENTS(instead), found);
}

static void instead_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    Found found;
    if (PRESENT(injection->order->window) && says_instead(prose, &found))
        say_late(judge, injection, &prose->text, found);
}

/* A call that does not wait; what is told in the morning then comes besides. */
#define CALLS_NOW "\\b(call|ring|phone|telephone)\\b[^,]{0,40}\\b(now|at once|immediately|straight ?away|right away" \
    "|as soon as|day (and|or) night)\\b|\\bat any hour\\b"

/* The words for being late: also no call that waits for the day. */
static void late_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static Pattern put_off[] = {
#define PUT_OFF(pattern) {pattern, 0, FALSE},
#include "rules/against.def"
    };
    static Pattern calls_now = {CALLS_NOW, 0, FALSE};
    Found found;
    if (PRESENT(injection->order->window) &&
        (says_instead(prose, &found) ||
         (!says(prose, &calls_now, &found) && says_one(prose, put_off, G_N_ELEMENTS(put_off), &found))))
        say_late(judge, injection, &prose->text, found);
}

void check_late_against_window(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        judge_each_version(judge, injection, &injection->order->late, late_text);
        judge_each_saying(judge, injection, &injection->order->notes, instead_text);
    }
    judge_each_slip(judge, FALSE, instead_text);
}

/* ---- more, another hour, site or side ---- */

static Finding *against(const Judge *judge, const PlanInjection *injection, const Text *text, Found found,
                        const Field *plan)
{
    Finding *finding = judge_add(judge, RULE_text_against_plan, 0, injection,
                                 judge_part(text, found.start, found.length));
    if (plan)
        finding_note(finding, plan->place, "the plan says this");
    return finding;
}

static void more_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static Pattern more[] = {
#define MORE(pattern) {pattern, 0, FALSE},
#include "rules/against.def"
    };
    Found found;
    if (!says_one(prose, more, G_N_ELEMENTS(more), &found))
        return;
    const Field *dose = injection ? &injection->order->dose.at : NULL;
    Finding *finding = against(judge, injection, &prose->text, found, dose);
    finding_fact(finding, "it speaks of more than the dose");
    finding_help(finding, "leave it out: another dose is the physician's to say on the telephone");
}

/* TRUE when the plan has a clock time, and it lies between these hours. */
static gboolean agrees(const Timing *when, int from, int until)
{
    return PRESENT(*when) && when->kind == TIMING_CALENDAR && when->minute >= from * 60 && when->minute < until * 60;
}

static void hour_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static struct { Pattern pattern; int from, until; } hours[] = {
#define BY_DAY(pattern, from, until) {{pattern, 0, FALSE}, from, until},
#include "rules/against.def"
    };
    const Timing *when = &injection->order->when;
    for (gsize i = 0; i < G_N_ELEMENTS(hours); i++) {
        Found found;
        if (agrees(when, hours[i].from, hours[i].until) || !says(prose, &hours[i].pattern, &found))
            continue;
        Finding *finding = against(judge, injection, &prose->text, found, &when->at);
        finding_fact(finding, "it names an hour in words, and the plan has its own");
        finding_help(finding, "leave the hour to the sheet, which prints the minute");
        return;
    }
}

#define PLACED "\\b(into|in|pinch|use|choose|inject) ((the|your|a|this|that|outer|upper|lower|front|side|middle|top" \
    "|left|right|other|muscle|fat|skin|part|fold|of) ){0,6}("

static void site_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static struct { ChoiceWord site; Pattern pattern; } parts[] = {
#define PART(site, words) {(ChoiceWord)Site_##site, {PLACED words ")\\b", 0, FALSE}},
#include "rules/against.def"
    };
    if (!PRESENT(injection->order->site))
        return;
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
        Found found;
        if (parts[i].site == (ChoiceWord)injection->order->site.value || !says(prose, &parts[i].pattern, &found))
            continue;
        Finding *finding = against(judge, injection, &prose->text, found, &injection->order->site.at);
        finding_fact(finding, "it names another place than %s",
                     choice_word((ChoiceWord)injection->order->site.value));
        finding_help(finding, "write how to reach the site ordered, or correct the site");
    }
}

#define ONE_SIDE "\\b(left|right)( (side|hip|buttock|arm|thigh|leg|cheek|half))\\b"
#define SAME_PLACE "\\b(the|your) (same|usual) (side|spot|place|point|hip|buttock|arm|thigh|leg)\\b"

static void side_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static Pattern side = {ONE_SIDE, 0, FALSE}, same = {SAME_PLACE, 0, FALSE};
    const Give *give = &injection->order->give;
    const char *words = prose->text.text;
    Found found;
    if (!PRESENT(give->rotate))
        return;
    gboolean one_side = !strstr(words, "left") != !strstr(words, "right") && says(prose, &side, &found);
    if (!one_side && !says(prose, &same, &found))
        return;
    Finding *finding = against(judge, injection, &prose->text, found, &give->rotate.at);
    finding_fact(finding, "it keeps to one place, and the plan changes it: %s",
                 choice_word((ChoiceWord)give->rotate.value));
    finding_help(finding, "leave the side to the sheet, which says which one is next");
}

typedef enum Unless { NEVER, RUBS, ASPIRATES } Unless;

/* TRUE when the plan does it itself. */
static gboolean is_done(const Judge *judge, const PlanInjection *injection, Unless unless)
{
    const Give *give = &injection->order->give;
    const Practice *practice = &judge->plan->clinic->practice;
    const Medicine *medicine = injection->medicine;
    switch (unless) {
    case NEVER:
        return FALSE;
    case RUBS:
        return PRESENT(practice->rub) && practice->rub.value == YesNo_YES && medicine && PRESENT(medicine->fluid) &&
               medicine->fluid.value == Fluid_OIL;
    case ASPIRATES:
        return PRESENT(give->aspirate) && give->aspirate.value == YesNo_YES;
    }
    g_assert_not_reached();
}

static void step_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static struct { Pattern pattern; Unless unless; } steps[] = {
#define STEP(pattern, unless) {{pattern, 0, FALSE}, unless},
#include "rules/against.def"
    };
    for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
        Found found;
        if (is_done(judge, injection, steps[i].unless) || !says(prose, &steps[i].pattern, &found))
            continue;
        Finding *finding = against(judge, injection, &prose->text, found, NULL);
        finding_fact(finding, "the steps of the sheet say otherwise");
        finding_help(finding, "leave it out: the sheet says and shows how each step is done");
    }
}

static void any_text(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    more_text(judge, injection, prose);
    hour_text(judge, injection, prose);
    site_text(judge, injection, prose);
    side_text(judge, injection, prose);
    step_text(judge, injection, prose);
}

void check_text_against_plan(const Judge *judge)
{
    const Protocol *protocol = judge->plan->protocol;
    const GPtrArray *all = judge->plan->injections;
    /* Of several: whose hour and place? */
    const PlanInjection *only = all->len == 1 ? g_ptr_array_index(all, 0) : NULL;
    judge_each_version(judge, only, &protocol->title, only ? any_text : more_text);
    judge_each_version(judge, only, &protocol->why, only ? any_text : more_text);
    judge_each_saying(judge, NULL, &judge->plan->clinic->advice.normal, more_text);
    judge_each_saying(judge, NULL, &judge->plan->clinic->advice.emergency, more_text);
    EACH_INJECTION(judge, injection) {
        judge_each_version(judge, injection, &injection->order->late, any_text);
        judge_each_version(judge, injection, &injection->order->give.technique, any_text);
        judge_each_saying(judge, injection, &injection->order->notes, any_text);
    }
    judge_each_slip(judge, FALSE, any_text);
}
