/* rules_names: the amounts in the name of a shelf row against the facts of that row. */
#include <string.h>

#include "rules/checks.h"

/* What a row says: its amounts, of any kind. */
typedef struct Said {
    Quantity facts[64];
    guint count;
} Said;

static void say(Said *said, Quantity quantity)
{
    if (said->count < G_N_ELEMENTS(said->facts))
        said->facts[said->count++] = quantity;
}

static void say_amount(Said *said, const Amount *amount)
{
    if (PRESENT(*amount))
        say(said, amount->quantity);
}

static void say_strength(Said *said, const StrengthField *strength)
{
    if (!PRESENT(*strength))
        return;
    say(said, strength->strength.amount);
    say(said, strength->strength.volume);
}

static gboolean is_said(const Said *said, Quantity quantity)
{
    for (guint i = 0; i < said->count; i++)
        if (quantity_dimension(said->facts[i]) == quantity_dimension(quantity) &&
            quantity_compare(said->facts[i], quantity) == 0)
            return TRUE;
    return FALSE;
}

#define NAMED "(?<![0-9.,])[0-9][0-9,]*(\\.[0-9]+)? ?(units?|mcg|mg|g|mL|L)(?![A-Za-z])"

/* Reads "600 unit", "10mg" and "10,000 units" alike; FALSE for what is no amount. */
static gboolean read_named(const char *words, Quantity *out)
{
    gsize digits = strspn(words, "0123456789,.");
    g_autofree char *number = g_strndup(words, digits);
    const char *unit = words + digits + strspn(words + digits, " ");
    g_autofree char *whole = g_strdup_printf("%s %s", number, strcmp(unit, "unit") == 0 ? "units" : unit);
    QuantityRead read = quantity_parse(whole);
    *out = read.quantity;
    return read.fault == QUANTITY_FINE;
}

static void judge_name(const Judge *judge, const PlanInjection *injection, const Text *name, const Said *said)
{
    static const char pattern[] = NAMED;
    g_autoptr(GMatchInfo) match = NULL;
    g_regex_match(pattern_compiled(pattern, 0), name->text, 0, &match);
    for (; g_match_info_matches(match); g_match_info_next(match, NULL)) {
        g_autofree char *words = g_match_info_fetch(match, 0);
        Quantity named;
        int start = 0, end = 0;
        g_match_info_fetch_pos(match, 0, &start, &end);
        if (!read_named(words, &named) || is_said(said, named))
            continue;
        Finding *finding = judge_add(judge, RULE_name_disagrees, 0, injection,
                                     judge_part(name, name->text + start, (gsize)(end - start)));
        for (guint i = 0; i < said->count; i++)
            if (quantity_dimension(said->facts[i]) == quantity_dimension(named)) {
                finding_fact(finding, "named %s; the row says %s", words, judge_amount(judge, said->facts[i]));
                break;
            }
        finding_help(finding, "compare both with the box; then correct the row, or the name here and in the protocols");
    }
}

static void medicine_says(const Medicine *medicine, Said *said)
{
    say_amount(said, &medicine->content);
    say_amount(said, &medicine->volume);
    say_amount(said, &medicine->deliverable);
    say_strength(said, &medicine->strength);
    for (guint i = 0; i < medicine->mixing.items->len; i++) {
        const MixingRow *row = g_ptr_array_index(medicine->mixing.items, i);
        say_amount(said, &row->add);
        say_amount(said, &row->makes);
        say_strength(said, &row->strength);
    }
}

static void judge_pen_name(const Judge *judge, const PlanInjection *injection)
{
    const Pen *pen = injection->pen;
    Said said = {.count = 0};
    say_amount(&said, &injection->medicine->content); /* "pen for 600 unit cartridges" */
    say_amount(&said, &pen->dial_most);
    say_amount(&said, &pen->dial_every);
    if (PRESENT(pen->name))
        judge_name(judge, injection, &pen->name, &said);
}

static void judge_syringe_name(const Judge *judge, const PlanInjection *injection, const Syringe *syringe)
{
    if (!PRESENT(syringe->name) || UNREAD(syringe->capacity) || judged_before(judge, injection, syringe))
        return;
    Said said = {.count = 0};
    say_amount(&said, &syringe->capacity);
    judge_name(judge, injection, &syringe->name, &said);
}

void check_name_disagrees(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        Said said = {.count = 0};
        if (medicine && PRESENT(medicine->name) && !record_unread(RECORD_Medicine, medicine) &&
            !judged_before(judge, injection, medicine)) {
            medicine_says(medicine, &said);
            judge_name(judge, injection, &medicine->name, &said);
            if (PRESENT(medicine->box))
                judge_name(judge, injection, &medicine->box, &said);
        }
        if (injection->diluent && PRESENT(injection->diluent->name) && !UNREAD(injection->diluent->volume)) {
            said = (Said){.count = 0};
            say_amount(&said, &injection->diluent->volume);
            judge_name(judge, injection, &injection->diluent->name, &said);
        }
        const Syringe *syringes[2];
        for (gsize i = 0, count = judge_syringes(injection, syringes); i < count; i++)
            judge_syringe_name(judge, injection, syringes[i]);
        if (injection->pen && medicine && !judged_before(judge, injection, injection->pen))
            judge_pen_name(judge, injection);
    }
}
