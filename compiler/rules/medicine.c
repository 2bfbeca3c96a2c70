/* rules_medicine: names on the shelf, boxes, mixing, strength. */
#include <string.h>

#include "rules/checks.h"

/* ---- names ---- */

static const Text *name_of(const GPtrArray *items, guint index, gsize name_offset)
{
    const char *record = g_ptr_array_index(items, index);
    return (const Text *)(gconstpointer)(record + name_offset);
}

static const char *nearest_of(const Judge *judge, const GPtrArray *items, gsize name_offset, const char *word)
{
    GPtrArray *names = arena_list(judge->arena);
    for (guint i = 0; i < items->len; i++) {
        const Text *name = name_of(items, i, name_offset);
        if (PRESENT(*name))
            g_ptr_array_add(names, (gpointer)name->text);
    }
    return nearest_word(word, (const char *const *)names->pdata, names->len);
}

/* The words before the first digit: what a name says beside its strength or size. */
static gsize plain_length(const char *name) { return strcspn(name, "0123456789"); }

static gboolean same_thing(const char *a, const char *b)
{
    gsize length = plain_length(a);
    return length > 0 && length == plain_length(b) && g_ascii_strncasecmp(a, b, length) == 0;
}

/* Names on the shelf that differ from one another in strength or size only: of the
 * thing meant, as far as the slip tells; else all of them. */
static const char *names_listed(const Judge *judge, const GPtrArray *items, gsize name_offset, const char *word)
{
    const char *near = nearest_of(judge, items, name_offset, word);
    g_autoptr(GString) alike = g_string_new(NULL);
    g_autoptr(GString) all = g_string_new(NULL);
    for (guint i = 0; i < items->len; i++) {
        const Text *name = name_of(items, i, name_offset);
        if (!PRESENT(*name))
            continue;
        g_string_append_printf(all, "%s\"%s\"", all->len ? ", " : "", name->text);
        if (same_thing(name->text, word) || (near && same_thing(name->text, near)))
            g_string_append_printf(alike, "%s\"%s\"", alike->len ? ", " : "", name->text);
    }
    return arena_copy(judge->arena, alike->len ? alike->str : all->str);
}

/* Names no single one: the nearest in letters can be another strength. */
static void unknown_name(const Judge *judge, RuleId rule, const PlanInjection *injection, const Text *name,
                         const GPtrArray *items, gsize name_offset)
{
    Finding *finding = judge_add(judge, rule, 0, injection, name->at.place);
    const char *listed = names_listed(judge, items, name_offset, name->text);
    const char *check = rule == RULE_medicine_unknown ? "name and strength" : "name and size";
    if (*listed)
        finding_help(finding, "on the shelf: %s; check %s, or add it to shelf.yaml", listed, check);
    else
        finding_help(finding, "add it to shelf.yaml: nothing of this kind stands there");
}

void check_medicine_unknown(const Judge *judge)
{
    const Shelf *shelf = judge->plan->shelf;
    if (ABSENT(shelf->medicines)) /* key_missing or key_unknown speaks */
        return;
    EACH_INJECTION(judge, injection)
        if (!injection->medicine && PRESENT(injection->order->medicine))
            unknown_name(judge, RULE_medicine_unknown, injection, &injection->order->medicine,
                         shelf->medicines.items, G_STRUCT_OFFSET(Medicine, name));
}

void check_diluent_unknown(const Judge *judge)
{
    const Shelf *shelf = judge->plan->shelf;
    EACH_INJECTION(judge, injection)
        if (!injection->diluent && PRESENT(injection->order->mix.diluent))
            unknown_name(judge, RULE_diluent_unknown, injection, &injection->order->mix.diluent,
                         shelf->diluents.items, G_STRUCT_OFFSET(Diluent, name));
}

/* What it comes in, and with it the way of giving, could not be read. */
static gboolean way_unread(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    return medicine && (UNREAD(medicine->container) || UNREAD(medicine->form));
}

void check_syringe_unknown(const Judge *judge)
{
    const Shelf *shelf = judge->plan->shelf;
    EACH_INJECTION(judge, injection) {
        const Text *names[] = {&injection->order->mix.syringe, &injection->order->draw.syringe};
        const Syringe *found[] = {injection->way == WAY_POWDER ? injection->mixing_syringe : injection->syringe,
                                  injection->syringe};
        for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
            if (!found[i] && PRESENT(*names[i]) && !way_unread(injection))
                unknown_name(judge, RULE_syringe_unknown, injection, names[i], shelf->syringes.items,
                             G_STRUCT_OFFSET(Syringe, name));
        const Medicine *medicine = injection->medicine;
        if (medicine && injection->way == WAY_PREFILLED && !injection->syringe && PRESENT(medicine->syringe))
            unknown_name(judge, RULE_syringe_unknown, injection, &medicine->syringe, shelf->syringes.items,
                         G_STRUCT_OFFSET(Syringe, name));
    }
}

void check_pen_unknown(const Judge *judge)
{
    EACH_INJECTION(judge, injection)
        if (injection->way == WAY_PEN && !injection->pen && PRESENT(injection->medicine->pen))
            unknown_name(judge, RULE_pen_unknown, injection, &injection->medicine->pen,
                         judge->plan->shelf->pens.items, G_STRUCT_OFFSET(Pen, name));
}

static void needle_check(const Judge *judge, const PlanInjection *injection, const NeedleField *needle,
                         const Needle *found)
{
    if (!PRESENT(*needle) || found || list_unread(RECORD_Needle, &judge->plan->shelf->needles))
        return;
    Finding *finding = judge_add(judge, RULE_needle_unknown, 0, injection, needle->at.place);
    GString *stocked = g_string_new(NULL);
    for (guint i = 0; i < judge->plan->shelf->needles.items->len; i++) {
        const Needle *on_shelf = g_ptr_array_index(judge->plan->shelf->needles.items, i);
        if (PRESENT(on_shelf->needle))
            g_string_append_printf(stocked, "%s%s x %s", stocked->len ? ", " : "",
                                   judge_amount(judge, on_shelf->needle.gauge),
                                   judge_amount(judge, on_shelf->needle.length));
    }
    finding_help(finding, "the shelf has %s", stocked->len ? stocked->str : "no needles");
    g_string_free(stocked, TRUE);
}

void check_needle_unknown(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (injection->way == WAY_POWDER)
            needle_check(judge, injection, &order->mix.needle, injection->mixing_needle);
        if (injection->way != WAY_POWDER || plan_mixes_apart(injection))
            needle_check(judge, injection, &order->draw.needle, injection->drawing_needle);
        needle_check(judge, injection, &order->give.needle, injection->injecting_needle);
    }
}

/* A powder that the label lets serve several days, ordered as a part on several of them. */
static gboolean kept_mixed(const PlanInjection *injection)
{
    const Medicine *medicine = injection->medicine;
    gboolean single = PRESENT(medicine->single_dose) && medicine->single_dose.value == YesNo_YES;
    return !single && PRESENT(medicine->storage.in_use) && PRESENT(injection->order->dose_is) &&
           !plan_gives_all(injection) && injection->containers == 1 && plan_days(injection) > 1;
}

void check_mix_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (!injection->medicine || !PRESENT(order->medicine) || !PRESENT(injection->medicine->form) ||
            way_unread(injection))
            continue;
        gboolean powder = injection->way == WAY_POWDER;
        if (powder && ABSENT(order->mix)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->name.at.place);
            finding_fact(finding, "the medicine is a powder");
            finding_help(finding, "add \"mix: {diluent: ..., add: ... mL, syringe: ..., needle: ...}\": liquid and "
                                  "volume as the prescriber ordered and the label allows, syringe and needle by their "
                                  "shelf names");
        } else if (powder && ABSENT(order->draw) && kept_mixed(injection)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->mix.at.key);
            finding_fact(finding, "one mixed vial serves several days, and nothing says what draws it up each day");
            finding_note(finding, injection->medicine->storage.in_use.at.place, "how long it may be used");
            finding_help(finding, "add \"draw: {syringe: ..., needle: ...}\" beside mix; or, when each day a new one "
                                  "is mixed, write \"single_dose: yes\" on the shelf");
        } else if (injection->way == WAY_READY && ABSENT(order->draw)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->name.at.place);
            finding_fact(finding, "the medicine is a ready solution");
            finding_help(finding, "add \"draw: {syringe: ..., needle: ...}\", by their shelf names");
        } else if (!powder && !ABSENT(order->mix)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->mix.at.key);
            finding_fact(finding, "the medicine is a ready solution; there is nothing to mix");
            finding_help(finding, injection->way == WAY_READY ? "remove mix, and say how it is drawn up under draw"
                                                              : "remove mix");
        } else if (injection->way == WAY_PEN && !ABSENT(order->draw)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->draw.at.key);
            finding_fact(finding, "the medicine is in a pen; nothing is drawn up");
            finding_help(finding, "remove draw; the pen stands with the medicine on the shelf");
        } else if (injection->way == WAY_PEN && ABSENT(injection->medicine->pen)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->medicine.at.place);
            finding_fact(finding, "nothing says which pen it is in");
            finding_note(finding, injection->medicine->name.at.place, "the medicine on the shelf");
            finding_help(finding, "add \"pen: ...\" to the medicine on the shelf, and the pen under pens");
        } else if (injection->way == WAY_PREFILLED && !ABSENT(order->draw)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->draw.at.key);
            finding_fact(finding, "the medicine is in its syringe already; nothing is drawn up");
            finding_help(finding, "remove draw; the syringe stands with the medicine on the shelf");
        } else if (injection->way == WAY_PREFILLED && ABSENT(injection->medicine->syringe)) {
            Finding *finding = judge_add(judge, RULE_mix_missing, 0, injection, order->medicine.at.place);
            finding_fact(finding, "nothing says which syringe it is filled in");
            finding_note(finding, injection->medicine->name.at.place, "the medicine on the shelf");
            finding_help(finding, "add \"syringe: ...\" to the medicine on the shelf");
        }
    }
}

/* ---- label facts ---- */

void check_label_source_missing(const Judge *judge)
{
    const char *add_label = "add \"label: {source: ..., on: ...}\" on the shelf, with the day you read the label";
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        if (medicine && ABSENT(medicine->label) && !judged_before(judge, injection, medicine)) {
            Finding *finding = judge_add(judge, RULE_label_source_missing, 0, injection, medicine->name.at.place);
            finding_help(finding, "%s", add_label);
        }
        const Diluent *diluent = injection->diluent;
        if (diluent && ABSENT(diluent->label)) {
            Finding *finding = judge_add(judge, RULE_label_source_missing, 0, injection, diluent->name.at.place);
            finding_help(finding, "%s", add_label);
        }
    }
}

/* "1 mL or 10 mL", as the label allows by this route. */
static const char *allowed_volumes(const Judge *judge, const PlanInjection *injection)
{
    const RouteChoice *route = &injection->order->route;
    const char *list = NULL;
    for (guint i = 0; i < injection->medicine->mixing.items->len; i++) {
        const MixingRow *row = g_ptr_array_index(injection->medicine->mixing.items, i);
        if (!PRESENT(row->add) ||
            (PRESENT(row->routes) && PRESENT(*route) && !list_has(&row->routes, route->value)))
            continue;
        list = arena_format(judge->arena, "%s%s%s", list ? list : "", list ? " or " : "",
                            judge_amount(judge, row->add.quantity));
    }
    return list ? list : "no volume";
}

static gboolean is_powder(const PlanInjection *injection)
{
    return injection->medicine && injection->way == WAY_POWDER;
}

void check_diluent_not_stated(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Mix *mix = &injection->order->mix;
        if (!is_powder(injection) || !PRESENT(*mix) || !ABSENT(mix->add))
            continue;
        Finding *finding = judge_add(judge, RULE_diluent_not_stated, 0, injection, mix->at.key);
        const Syringe *syringe = injection->syringe;
        const char *holds = syringe && PRESENT(syringe->capacity)
                                ? arena_format(judge->arena, "; the syringe holds %s",
                                               judge_amount(judge, syringe->capacity.quantity))
                                : "";
        finding_help(finding, "add \"add: ...\" under mix; by this route the label on the shelf allows %s%s",
                     allowed_volumes(judge, injection), holds);
    }
}

void check_diluent_outside_label(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Amount *add = &injection->order->mix.add;
        if (!is_powder(injection) || !PRESENT(*add) || injection->row ||
            list_unread(RECORD_MixingRow, &injection->medicine->mixing))
            continue;
        Finding *finding = judge_add(judge, RULE_diluent_outside_label, 0, injection, add->at.place);
        finding_fact(finding, "the protocol adds %s; the label on the shelf allows %s by this route",
                     judge_amount(judge, add->quantity), allowed_volumes(judge, injection));
        finding_note(finding, injection->medicine->name.at.place, "the label's facts stand here");
        finding_help(finding, "add what the label allows, or check the label and its row on the shelf");
    }
}

static gboolean lists_text(const List *list, const char *text)
{
    for (guint i = 0; i < list->items->len; i++) {
        const Text *item = g_ptr_array_index(list->items, i);
        if (PRESENT(*item) && strcmp(item->text, text) == 0)
            return TRUE;
    }
    return FALSE;
}

void check_diluent_wrong(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Text *name = &injection->order->mix.diluent;
        const RouteChoice *route = &injection->order->route;
        if (!is_powder(injection) || !injection->diluent)
            continue;
        if (!lists_text(&injection->medicine->diluents, name->text)) {
            Finding *finding = judge_add(judge, RULE_diluent_wrong, 0, injection, name->at.place);
            const List *listed = &injection->medicine->diluents;
            finding_fact(finding, "the protocol mixes with \"%s\"; the label lists %s", name->text,
                         judge_texts(judge, listed));
            finding_note(finding, judge_place(&listed->at, injection), "what the label lists");
            finding_help(finding, "name a liquid that the label lists; if the label lists this one, add it on the "
                                  "shelf");
        } else if (PRESENT(*route) && list_has(&injection->diluent->not_for, route->value)) {
            Finding *finding = judge_add(judge, RULE_diluent_wrong, 0, injection, name->at.place);
            finding_fact(finding, "what is in it excludes the %s route", choice_word(route->value));
            finding_note(finding, injection->diluent->not_for.at.place, "said here");
            finding_help(finding, "name a liquid that suits the route");
        }
    }
}

void check_diluent_short(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Amount *add = &injection->order->mix.add;
        if (!is_powder(injection) || !injection->diluent || !PRESENT(*add) || !PRESENT(injection->diluent->volume) ||
            quantity_compare(add->quantity, injection->diluent->volume.quantity) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_diluent_short, 0, injection, add->at.place);
        finding_fact(finding, "add %s, one container holds %s", judge_amount(judge, add->quantity),
                     judge_amount(judge, injection->diluent->volume.quantity));
        finding_note(finding, injection->diluent->volume.at.place, "the container on the shelf");
        finding_help(finding, "name a larger container of the liquid, or add less, if the label allows it: it allows "
                              "%s by this route", allowed_volumes(judge, injection));
    }
}

/* Labels print volumes to a tenth of a millilitre and strengths to two or three figures: what
 * differs by 1%, or by half a tenth and no more than 2%, is rounding (reconstitution.csv R15, R40). */
static gboolean rounded_alike(Rational stated, Rational worked)
{
    Rational apart = rational_difference(stated, worked), half_tenth = rational_div(rational_make(1, 20), worked);
    if (!rational_ok(apart) || rational_compare(apart, percent(1)) <= 0)
        return TRUE;
    return rational_ok(half_tenth) && rational_compare(apart, half_tenth) <= 0 &&
           rational_compare(apart, percent(2)) <= 0;
}

/* TRUE when it found them apart. */
static gboolean compare_strength(const Judge *judge, const PlanInjection *injection, Quantity content, Quantity volume,
                             const StrengthField *stated)
{
    if (quantity_dimension(content) != quantity_dimension(stated->strength.amount))
        return FALSE;
    Rational worked = volume_for_dose(content, stated->strength), said = quantity_in(volume, UNIT_mL).number;
    Rational apart = rational_difference(said, worked);
    if (!rational_ok(apart) || rounded_alike(said, worked))
        return FALSE;
    int severity = rational_compare(apart, percent(10)) > 0 ? SEVERITY_ERROR : SEVERITY_WARNING;
    Finding *finding = judge_add(judge, RULE_strength_disagrees, severity, injection, stated->at.place);
    finding_fact(finding, "%s in %s is not %s", judge_amount(judge, content), judge_amount(judge, volume),
                 strength_text(judge->arena, stated->strength));
    finding_fact(finding, "a measured part is worked out by the strength");
    finding_note(finding, injection->medicine->content.at.place, "the content");
    finding_help(finding, severity == SEVERITY_ERROR
                              ? "read the label again and correct the one that was copied wrongly"
                              : "read the label again; correct what was copied wrongly, or accept it with what the "
                                "label says");
    return TRUE;
}

static Rational in_mL(const Amount *amount) { return quantity_in(amount->quantity, UNIT_mL).number; }

/* What the row says results from one vial: stated, or by its strength. */
static Rational row_makes(const Medicine *medicine, const MixingRow *row)
{
    if (PRESENT(row->makes))
        return in_mL(&row->makes);
    if (!PRESENT(row->strength) || quantity_dimension(row->strength.strength.amount) !=
                                       quantity_dimension(medicine->content.quantity))
        return RATIONAL_OVERFLOW;
    return volume_for_dose(medicine->content.quantity, row->strength.strength);
}

/* How far powder may swell the liquid: a fifth of it, or 1.2 mL for each gram, the most
 * that reconstitution.csv knows (R49).  Beyond the largest share there (R61, 0.74) it
 * is no label's. */
static int swelling_fault(const Medicine *medicine, Rational add, Rational makes)
{
    Rational swelling = rational_sub(makes, add);
    Rational share = rational_div(swelling, add);
    if (!rational_ok(share) || rational_compare(share, percent(20)) <= 0)
        return 0;
    Quantity content = medicine->content.quantity;
    Rational most = rational_mul(quantity_base(content), rational_make(12, 10 * 1000000)); /* 1.2 mL a gram */
    if (quantity_dimension(content) == DIM_MASS && rational_ok(most) && rational_compare(swelling, most) <= 0)
        return 0;
    return rational_compare(share, percent(80)) > 0 ? SEVERITY_ERROR : SEVERITY_WARNING;
}

static void volume_fault(const Judge *judge, const PlanInjection *injection, int severity, const Field *at,
                         const char *fact)
{
    Finding *finding = judge_add(judge, RULE_strength_disagrees, severity, injection, at->place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, severity == SEVERITY_ERROR
                              ? "read the label again and correct the row"
                              : "read the label again; correct the row, or accept it with what the label says");
}

/* The label counts on what can be drawn back, not on what was added: strength and withdraw say
 * the same volume (a published ampicillin label: 1.2 mL in, 1 mL out, 125 mg/mL). */
static gboolean counts_on_less(const MixingRow *row, Rational by_strength)
{
    return !PRESENT(row->makes) && PRESENT(row->withdraw) && rational_ok(by_strength) &&
           rounded_alike(in_mL(&row->withdraw), by_strength) &&
           rational_compare(by_strength, in_mL(&row->add)) < 0;
}

/* What is added, results and is drawn back must be able to be the same liquid. */
static void judge_row(const Judge *judge, const PlanInjection *injection, const MixingRow *row)
{
    const Medicine *medicine = injection->medicine;
    if (!PRESENT(row->add) || record_unread(RECORD_MixingRow, row))
        return;
    Rational add = in_mL(&row->add), makes = row_makes(medicine, row);
    Rational least = PRESENT(row->makes) ? add : rational_mul(add, percent(98)); /* a strength is rounded */
    const Field *at = PRESENT(row->makes) ? &row->makes.at : &row->strength.at;
    int swelling = rational_ok(makes) ? swelling_fault(medicine, add, makes) : 0;
    if (counts_on_less(row, makes))
        return;
    if (rational_ok(makes) && rational_ok(least) && rational_compare(makes, least) < 0)
        volume_fault(judge, injection, SEVERITY_ERROR, at,
                     arena_format(judge->arena, "%s is added, and by the other figures the vial then holds only %s",
                                  judge_amount(judge, row->add.quantity), judge_volume(judge, makes)));
    else if (swelling)
        volume_fault(judge, injection, swelling, at,
                     arena_format(judge->arena, "%s is added, and by the other figures the vial then holds %s",
                                  judge_amount(judge, row->add.quantity), judge_volume(judge, makes)));
    Rational most = rational_ok(makes) ? makes : rational_mul(add, percent(120));
    if (PRESENT(row->withdraw) && rational_ok(most) && !rounded_alike(in_mL(&row->withdraw), most) &&
        rational_compare(in_mL(&row->withdraw), most) > 0)
        volume_fault(judge, injection, SEVERITY_ERROR, &row->withdraw.at,
                     arena_format(judge->arena, "%s is to be drawn back, and only %s is there",
                                  judge_amount(judge, row->withdraw.quantity), judge_volume(judge, most)));
}

void check_strength_disagrees(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        if (!medicine || !PRESENT(medicine->content) || judged_before(judge, injection, medicine))
            continue;
        if (PRESENT(medicine->volume) && PRESENT(medicine->strength))
            compare_strength(judge, injection, medicine->content.quantity, medicine->volume.quantity,
                             &medicine->strength);
        for (guint i = 0; i < medicine->mixing.items->len; i++) {
            const MixingRow *row = g_ptr_array_index(medicine->mixing.items, i);
            gboolean both = PRESENT(row->makes) && PRESENT(row->strength);
            if (!both || !compare_strength(judge, injection, medicine->content.quantity, row->makes.quantity,
                                           &row->strength))
                judge_row(judge, injection, row);
        }
    }
}

void check_displacement_assumed(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (!is_powder(injection) || plan_gives_all(injection) || !PRESENT(order->dose_is) || !injection->row ||
            !ABSENT(injection->row->makes) || !ABSENT(injection->row->strength))
            continue;
        Finding *finding = judge_add(judge, RULE_displacement_assumed, 0, injection, order->dose_is.at.place);
        finding_fact(finding, "the row for %s states neither final volume nor strength",
                     judge_amount(judge, order->mix.add.quantity));
        finding_note(finding, injection->row->add.at.place, "the label's row");
        finding_help(finding, "read on the label what results after mixing, and add it to the row as \"makes: ...\" or "
                              "\"strength: ...\"; if the label does not say, ask the prescriber");
    }
}

/* ---- enough of it ---- */

/* What the label says can be given counts as the content does. */
static void judge_deliverable(const Judge *judge, const PlanInjection *injection)
{
    const Amount *content = &injection->medicine->content, *given = &injection->medicine->deliverable;
    if (!PRESENT(*given) || judged_before(judge, injection, injection->medicine) ||
        quantity_dimension(given->quantity) == quantity_dimension(content->quantity))
        return;
    Finding *finding = judge_add(judge, RULE_unit_kind_mixed, 0, injection, given->at.place);
    finding_fact(finding, "the box holds %s, and %s of it can be given", judge_amount(judge, content->quantity),
                 judge_amount(judge, given->quantity));
    finding_note(finding, content->at.place, "the content");
    finding_help(finding, "write both in the unit that the label uses");
}

void check_unit_kind_mixed(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!injection->medicine || !PRESENT(injection->order->dose) || !PRESENT(injection->medicine->content))
            continue;
        const Medicine *medicine = injection->medicine;
        judge_deliverable(judge, injection);
        if (!judge_comparable(injection)) {
            Finding *finding = judge_add(judge, RULE_unit_kind_mixed, 0, injection, injection->order->dose.at.place);
            finding_fact(finding, "ordered %s, the box holds %s", judge_amount(judge, injection->order->dose.quantity),
                         judge_amount(judge, medicine->content.quantity));
            finding_note(finding, medicine->content.at.place, "the box on the shelf");
            finding_help(finding, "ask the prescriber for the dose in the unit that the box counts in: "
                                  "the number does not convert");
        } else if (quantity_dimension(medicine->content.quantity) == DIM_ACTIVITY && ABSENT(medicine->activity) &&
                   !judged_before(judge, injection, medicine)) {
            Finding *finding = judge_add(judge, RULE_unit_kind_mixed, 0, injection, medicine->content.at.place);
            finding_fact(finding, "the shelf does not say which units the label means");
            finding_help(finding, "add \"activity: ...\" with the name of the units that stands on the label");
        }
    }
}

/* A dose of ten or a hundred boxes is oftener a comma or a zero too many. */
static void say_tenfold(const Judge *judge, const PlanInjection *injection, Finding *finding)
{
    if (!judge_comparable(injection))
        return;
    Rational boxes = rational_div(quantity_base(injection->order->dose.quantity),
                                  quantity_base(injection->medicine->content.quantity));
    gboolean ten = rational_ok(boxes) && rational_equal(boxes, rational_make(10, 1));
    if (!ten && !(rational_ok(boxes) && rational_equal(boxes, rational_make(100, 1))))
        return;
    finding_fact(finding, "the dose is exactly %s the box: ordered %s, the box holds %s",
                 ten ? "ten times" : "a hundred times", judge_amount(judge, injection->order->dose.quantity),
                 judge_amount(judge, injection->medicine->content.quantity));
}

/* The most containers that may share one liquid; 0: nothing says. */
static gint64 vials_allowed(const PlanInjection *injection)
{
    if (!injection->row)
        return 0;
    const Number *most = &injection->row->most_vials;
    return PRESENT(*most) ? most->value : ABSENT(*most) ? 1 : 0;
}

/* How many the dose needs, or that the way of mixing cannot give it. */
static void vial_count_help(const Judge *judge, const PlanInjection *injection, Finding *finding)
{
    Quantity content = injection->medicine->content.quantity;
    Rational boxes = rational_div(quantity_base(injection->order->dose.quantity), quantity_base(content));
    gint64 needed = rational_ok(boxes) ? MAX(1, rational_ceiling(boxes)) : 0, allowed = vials_allowed(injection);
    if (allowed > 0 && needed > allowed) {
        Quantity most = {rational_mul(content.number, rational_make(allowed, 1)), content.unit};
        finding_fact(finding, "the label lets %s share this liquid, which gives %s at most",
                     judge_count(judge, allowed, "vial"), judge_amount(judge, most));
        finding_help(finding, "compare the dose with the order; if it is right, ask the prescriber for two injections");
    } else if (injection->containers == needed) {
        finding_help(finding, "say \"dose_is: a measured part\", or order all that the containers hold");
    } else {
        finding_help(finding, "compare the dose with the order; if it is right, write \"vials: %" G_GINT64_FORMAT
                     "\": so many hold it", needed);
    }
}

void check_vial_count_wrong(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!judge_comparable(injection) || injection->containers == 0 || !rational_ok(injection->content))
            continue;
        Rational dose = quantity_base(injection->order->dose.quantity);
        Rational one = quantity_base(injection->medicine->content.quantity);
        gboolean short_of = rational_compare(injection->content, dose) < 0;
        gboolean spare = rational_compare(rational_sub(injection->content, one), dose) >= 0;
        gboolean not_whole = plan_gives_all(injection) && injection->way != WAY_PEN &&
                             !rational_equal(injection->content, dose);
        if (!short_of && !spare && !not_whole)
            continue;
        const Field *at = PRESENT(injection->order->vials) ? &injection->order->vials.at : &injection->order->dose.at;
        Finding *finding = judge_add(judge, RULE_vial_count_wrong, 0, injection, at->place);
        finding_fact(finding, "%s of %s, for a dose of %s", judge_count(judge, injection->containers, "container"),
                     judge_amount(judge, injection->medicine->content.quantity),
                     judge_amount(judge, injection->order->dose.quantity));
        say_tenfold(judge, injection, finding);
        vial_count_help(judge, injection, finding);
    }
}

void check_too_many_vials(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!injection->row || injection->containers < 2)
            continue;
        gint64 allowed = vials_allowed(injection);
        if (allowed == 0 || injection->containers <= allowed)
            continue;
        const Field *at = PRESENT(injection->order->vials) ? &injection->order->vials.at : &injection->order->dose.at;
        Finding *finding = judge_add(judge, RULE_too_many_vials, 0, injection, at->place);
        finding_fact(finding, "%" G_GINT64_FORMAT " vials; the label allows %" G_GINT64_FORMAT, injection->containers,
                     allowed);
        say_tenfold(judge, injection, finding);
        finding_note(finding, injection->row->add.at.place, "the label's row");
        finding_help(finding, "check the dose; use fewer vials, or let the prescriber order two injections");
    }
}

/* Names one letter or digit apart, or the same generic and volume with another content. */
static gboolean look_alike(const Medicine *a, const Medicine *b)
{
    if (!PRESENT(a->generic) || !PRESENT(b->generic) || strcmp(a->generic.text, b->generic.text) != 0)
        return FALSE;
    return PRESENT(a->volume) && PRESENT(b->volume) && PRESENT(a->content) && PRESENT(b->content) &&
           quantity_compare(a->volume.quantity, b->volume.quantity) == 0 &&
           quantity_dimension(a->content.quantity) == quantity_dimension(b->content.quantity) &&
           quantity_compare(a->content.quantity, b->content.quantity) != 0;
}

void check_twin_strength(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const GPtrArray *all = judge->plan->shelf->medicines.items;
        for (guint i = 0; injection->medicine && i < all->len; i++) {
            const Medicine *other = g_ptr_array_index(all, i);
            if (other == injection->medicine || !look_alike(injection->medicine, other) ||
                judged_before(judge, injection, injection->medicine))
                continue;
            Finding *finding = judge_add(judge, RULE_twin_strength, 0, injection, injection->order->medicine.at.place);
            finding_fact(finding, "%s and %s", injection->medicine->name.text, other->name.text);
            finding_note(finding, other->name.at.place, "the other box");
            finding_help(finding, "keep them apart on the shelf, then accept the warning with how");
        }
    }
}

void check_high_alert(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        if (!medicine || !PRESENT(medicine->high_alert) || medicine->high_alert.value != YesNo_YES)
            continue;
        Finding *finding = judge_add(judge, RULE_high_alert, 0, injection, injection->order->medicine.at.place);
        finding_note(finding, medicine->high_alert.at.place, "said on the shelf");
        finding_help(finding, "nothing needs mending: before a sheet is handed out, a second person works out dose, "
                              "volume and time from the order alone, and the two compare");
    }
}
