/* rules_person: allergies, weight, bleeding, the boxes handed out; storage. */
#include <string.h>

#include "rules/checks.h"

#define EXPIRY_NOTICE 7 /* days */

/* ---- allergies ---- */

/* Small letters without their marks: "Sésame" and "sesame" are one word. */
static char *folded(const char *text)
{
    g_autofree char *apart = g_utf8_normalize(text, -1, G_NORMALIZE_ALL);
    g_autofree char *small = g_utf8_strdown(apart ? apart : text, -1);
    GString *plain = g_string_new(NULL);
    for (const char *at = small; *at; at = g_utf8_next_char(at))
        if (!g_unichar_ismark(g_utf8_get_char(at)))
            g_string_append_unichar(plain, g_utf8_get_char(at));
    return g_string_free(plain, FALSE);
}

#define SHORT 3 /* letters; "ace" is no part of an acetate */

/* TRUE when the allergy stands in the content: a short one as a whole word. */
static gboolean stands_in(const char *content, const char *allergy)
{
    if (g_utf8_strlen(allergy, -1) > SHORT)
        return strstr(content, allergy) != NULL;
    for (const char *at = content; *allergy && (at = strstr(at, allergy)); at++) {
        const char *before = g_utf8_find_prev_char(content, at), *behind = at + strlen(allergy);
        if ((!before || !g_unichar_isalnum(g_utf8_get_char(before))) && !g_unichar_isalnum(g_utf8_get_char(behind)))
            return TRUE;
    }
    return FALSE;
}

static gboolean concerns(const char *allergy, const char *content)
{
    g_autofree char *a = folded(allergy);
    g_autofree char *c = folded(content);
    if (stands_in(c, a) || strstr(a, c))
        return TRUE;
#define ALLERGY(word, part, source)      \
    if (strstr(a, word) && strstr(c, part)) \
        return TRUE;
#include "rules/allergies.def"
    return FALSE;
}

/* What people write where there is none, and the list is to be empty (common practice, no source). */
static gboolean says_none(const Text *allergy)
{
    static const char *const ways[] = {"no", "none", "nil", "none known", "no allergies", "no known allergies",
                                       "no known drug allergies", "nka", "nkda", "n/a", "-", "0", NULL};
    g_autofree char *said = folded(allergy->text);
    if (g_str_has_suffix(said, "."))
        said[strlen(said) - 1] = '\0';
    return g_strv_contains(ways, said);
}

static gboolean both_concern(const Text *allergy, const Text *content)
{
    return PRESENT(*allergy) && PRESENT(*content) && !says_none(allergy) && concerns(allergy->text, content->text);
}

/* What the allergy concerns of a thing on the shelf: a content, else its generic name,
 * else its name there; or NULL. */
static const Text *concerned(const Text *allergy, const List *contains, const Text *generic, const Text *name)
{
    for (guint i = 0; i < contains->items->len; i++)
        if (both_concern(allergy, g_ptr_array_index(contains->items, i)))
            return g_ptr_array_index(contains->items, i);
    if (generic && both_concern(allergy, generic))
        return generic;
    return both_concern(allergy, name) ? name : NULL;
}

static void judge_content(const Judge *judge, const PlanInjection *injection, const Text *allergy, const Text *content)
{
    if (!content)
        return;
    Finding *finding = judge_add(judge, RULE_allergy_excipient, 0, injection, allergy->at.place);
    finding_fact(finding, "allergic to %s; the kit holds %s", allergy->text, content->text);
    finding_note(finding, content->at.place, "it stands here on the shelf");
    finding_help(finding, "ask the physician for another medicine or liquid");
}

void check_allergy_excipient(const Judge *judge)
{
    const GPtrArray *allergies = judge->plan->patient->allergies.items;
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        const Diluent *diluent = injection->way == WAY_POWDER ? injection->diluent : NULL;
        for (guint i = 0; i < allergies->len; i++) {
            const Text *allergy = g_ptr_array_index(allergies, i);
            if (medicine)
                judge_content(judge, injection, allergy,
                              concerned(allergy, &medicine->contains, &medicine->generic, &medicine->name));
            if (diluent)
                judge_content(judge, injection, allergy, concerned(allergy, &diluent->contains, NULL, &diluent->name));
        }
    }
}

static gboolean shelf_names(const Shelf *shelf, const Text *allergy)
{
    for (guint i = 0; i < shelf->medicines.items->len; i++) {
        const Medicine *medicine = g_ptr_array_index(shelf->medicines.items, i);
        if (concerned(allergy, &medicine->contains, &medicine->generic, &medicine->name))
            return TRUE;
    }
    for (guint i = 0; i < shelf->diluents.items->len; i++) {
        const Diluent *diluent = g_ptr_array_index(shelf->diluents.items, i);
        if (concerned(allergy, &diluent->contains, NULL, &diluent->name))
            return TRUE;
    }
    return FALSE;
}

void check_allergy_unmatched(const Judge *judge)
{
    const GPtrArray *allergies = judge->plan->patient->allergies.items;
    for (guint i = 0; i < allergies->len; i++) {
        const Text *allergy = g_ptr_array_index(allergies, i);
        if (!PRESENT(*allergy) || shelf_names(judge->plan->shelf, allergy))
            continue;
        Finding *finding = judge_add(judge, RULE_allergy_unmatched, 0, NULL, allergy->at.place);
        finding_fact(finding, "given \"%s\"", allergy->text);
        if (says_none(allergy)) {
            finding_help(finding, "was it asked, and are there none: in a roster write none in the cell, in a file "
                                  "\"allergies: []\"; if it is not known, ask the person");
            continue;
        }
        finding_help(finding, "compare it by hand with the labels of what is handed out, then accept it with what you "
                              "found: never take it out of the list; if it is not known, ask the person");
    }
}

/* ---- slips ---- */

#define EXPIRY_YEARS 10 /* no box lasts so long; common practice */

static void far_expiry(const Judge *judge)
{
    const GPtrArray *boxes = judge->plan->patient->boxes.items;
    if (!PRESENT(judge->plan->clinic->zone))
        return;
    Day today = zone_local(judge->plan->clinic->zone.zone, judge->plan->now, NULL).day;
    for (guint i = 0; i < boxes->len; i++) {
        const Date *expires = &((const Box *)g_ptr_array_index(boxes, i))->expires;
        if (!PRESENT(*expires) || expires->day - today <= EXPIRY_YEARS * 366)
            continue;
        Finding *finding = judge_add(judge, RULE_entry_implausible, SEVERITY_ERROR, NULL, expires->at.place);
        finding_fact(finding, "it would keep for more than %d years", EXPIRY_YEARS);
        finding_help(finding, "read the date on the box again");
    }
}

/* What was made together goes out of date together. */
static void lot_expires_twice(const Judge *judge)
{
    const GPtrArray *boxes = judge->plan->patient->boxes.items;
    for (guint i = 0; i < boxes->len; i++) {
        const Box *box = g_ptr_array_index(boxes, i);
        for (guint j = 0; j < i; j++) {
            const Box *before = g_ptr_array_index(boxes, j);
            if (!PRESENT(box->lot) || !PRESENT(before->lot) || !PRESENT(box->expires) || !PRESENT(before->expires) ||
                !PRESENT(box->medicine) || !PRESENT(before->medicine) || box->expires.day == before->expires.day ||
                strcmp(box->lot.text, before->lot.text) != 0 || strcmp(box->medicine.text, before->medicine.text) != 0)
                continue;
            Finding *finding = judge_add(judge, RULE_entry_implausible, SEVERITY_ERROR, NULL, box->expires.at.place);
            finding_fact(finding, "two boxes of lot %s have two expiries", box->lot.text);
            finding_note(finding, before->expires.at.place, "the other one");
            finding_help(finding, "read lot and date on both boxes again");
        }
    }
}

/* "which: first" of a clock time that comes once: date or hour is not the one that was meant. */
static void which_of_one(const Judge *judge)
{
    const AnchorTime *anchor = &judge->plan->patient->anchor;
    if (!PRESENT(anchor->which) || !judge_anchor_readable(judge) || judge->plan->anchor_count != 1)
        return;
    const LocalTime local = {anchor->on.day, anchor->clock.minute};
    Finding *finding = judge_add(judge, RULE_entry_implausible, SEVERITY_ERROR, NULL, anchor->which.at.place);
    finding_fact(finding, "the clocks do not go back then: %s comes once", judge_time(judge, local));
    finding_help(finding, "remove which, or correct date and clock time");
}

/* The record gives out the numbers; where none is kept, the nurse does. */
void check_sheet_number(const Judge *judge)
{
    const Plan *plan = judge->plan;
    gboolean record = PRESENT(plan->clinic->record);
    const Field *number = &plan->patient->sheet.at;
    if (record && PRESENT(plan->patient->sheet)) {
        Finding *finding = judge_add(judge, RULE_sheet_number, 0, NULL, number->place);
        finding_fact(finding, "the clinic's record gives out the numbers (%s)", plan->clinic->record.text);
        finding_help(finding, "in a roster empty this cell, in a file take this line out");
    } else if (!record && ABSENT(plan->patient->sheet)) {
        Finding *finding = judge_add(judge, RULE_sheet_number, 0, NULL, plan->patient->patient.at.place);
        finding_fact(finding, "nothing is written for \"sheet\", and the clinic keeps no record that gives out "
                              "numbers");
        finding_help(finding, "write a number there that no sheet has, like \"sheet: 1\" or 1 under the heading, or "
                              "\"record: record.db\" into clinic.yaml");
    }
}

void check_entry_implausible(const Judge *judge)
{
    const Patient *patient = judge->plan->patient;
    if (PRESENT(patient->replaces) && PRESENT(patient->sheet) && patient->replaces.value >= patient->sheet.value) {
        Finding *finding = judge_add(judge, RULE_entry_implausible, SEVERITY_ERROR, NULL, patient->replaces.at.place);
        finding_fact(finding, "this is sheet %" G_GINT64_FORMAT ", and it would replace sheet %" G_GINT64_FORMAT,
                     patient->sheet.value, patient->replaces.value);
        finding_note(finding, patient->sheet.at.place, "the number of this sheet");
        finding_help(finding, "a sheet replaces an earlier one: correct one of the two numbers");
    }
    far_expiry(judge);
    lot_expires_twice(judge);
    which_of_one(judge);
    const Amount *weight = &patient->weight;
    if (PRESENT(*weight) && (quantity_compare(weight->quantity, quantity_make(30, 1, UNIT_kg)) < 0 ||
                             quantity_compare(weight->quantity, quantity_make(250, 1, UNIT_kg)) > 0)) {
        Finding *finding = judge_add(judge, RULE_entry_implausible, SEVERITY_WARNING, NULL, weight->at.place);
        finding_fact(finding, "a body weight of %s; from 30 kg to 250 kg none is questioned",
                     judge_amount(judge, weight->quantity));
        finding_help(finding, "weigh again, or accept it when it is so");
    }
}

/* ---- weight ---- */

/* Deltoid, adults: least and most length in sixteenths of an inch by weight in
 * kg and sex; needle_length.csv N09-N13. */
typedef struct WeightRow {
    gint64 below_kg; /* up to this weight */
    gboolean woman, man; /* of whom the row speaks */
    gint64 least, most;
} WeightRow;

static const WeightRow weights[] = {
    {60, TRUE, TRUE, 10, 16},   {70, TRUE, TRUE, 16, 16},   {90, TRUE, FALSE, 16, 24},
    {118, FALSE, TRUE, 16, 24}, {1000, TRUE, TRUE, 24, 24},
};

/* Without a known sex only the rows that speak of both. */
static gboolean speaks_of(const WeightRow *row, const SexChoice *sex)
{
    if (!PRESENT(*sex))
        return row->woman && row->man;
    switch (sex->value) {
    case Sex_WOMAN: return row->woman;
    case Sex_MAN: return row->man;
    }
    g_assert_not_reached();
}

static const WeightRow *weight_row(const Patient *patient)
{
    for (gsize i = 0; i < G_N_ELEMENTS(weights); i++) {
        Rational limit = rational_make(weights[i].below_kg * 1000, 1);
        Rational weight = quantity_base(patient->weight.quantity);
        if (speaks_of(&weights[i], &patient->sex) && rational_compare(weight, limit) <= 0)
            return &weights[i];
    }
    return NULL;
}

static gboolean into_deltoid(const PlanInjection *injection)
{
    return PRESENT(injection->order->site) && site_row(injection->order->site.value)->by_weight &&
           PRESENT(injection->order->give.needle);
}

/* TRUE when only the rows for one sex speak of this weight, and the sex is not given. */
static gboolean needs_sex(const Patient *patient)
{
    Rational weight = quantity_base(patient->weight.quantity);
    return ABSENT(patient->sex) && rational_compare(weight, rational_make(70 * 1000, 1)) > 0 &&
           rational_compare(weight, rational_make(118 * 1000, 1)) <= 0;
}

void check_weight_needle(const Judge *judge)
{
    const Patient *patient = judge->plan->patient;
    EACH_INJECTION(judge, injection) {
        if (!into_deltoid(injection) || !PRESENT(patient->weight) || needs_sex(patient))
            continue;
        const WeightRow *row = weight_row(patient);
        const NeedleField *needle = &injection->order->give.needle;
        if (!row)
            continue;
        Quantity least = quantity_make(row->least, 16, UNIT_in), most = quantity_make(row->most, 16, UNIT_in);
        Quantity size = judge_needle_size(needle);
        if (quantity_compare(size, least) >= 0 && quantity_compare(size, most) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_weight_needle, 0, injection, patient->weight.at.place);
        finding_fact(finding, "the needle is %s; published at this weight: %s",
                     judge_amount(judge, needle->length), judge_span(judge, least, most));
        finding_note(finding, needle->at.place, "the needle");
        finding_help(finding, "ask the physician for the other needle, or accept it with the reason");
    }
}

void check_weight_missing(const Judge *judge)
{
    const Patient *patient = judge->plan->patient;
    EACH_INJECTION(judge, injection) {
        gboolean sex = PRESENT(patient->weight) && needs_sex(patient);
        if (!into_deltoid(injection) || (!sex && !ABSENT(patient->weight)))
            continue;
        Finding *finding = judge_add(judge, RULE_weight_missing, 0, injection,
                                     sex ? patient->weight.at.place : patient->patient.at.place);
        finding_help(finding, sex ? "add \"sex: woman\" or \"sex: man\": at this weight the table has a row for each"
                                  : "weigh or ask the person, then add \"weight: ... kg\"");
    }
}

void check_bleeding_risk(const Judge *judge)
{
    const List *bleeding = &judge->plan->patient->bleeding;
    const char *words = judge_words(judge, bleeding);
    EACH_INJECTION(judge, injection) {
        if (!*words || !PRESENT(injection->order->route) ||
            route_row(injection->order->route.value)->layer != LAYER_MUSCLE)
            continue;
        const BleedingChoice *first = g_ptr_array_index(bleeding->items, 0);
        Finding *finding = judge_add(judge, RULE_bleeding_risk, 0, injection, first->at.place);
        finding_fact(finding, "%s; the route is intramuscular", words);
        const NeedleField *needle = &injection->order->give.needle;
        if (PRESENT(*needle) && needle->gauge.number.num < 23 * needle->gauge.number.den)
            finding_fact(finding, "the needle is %s; published advice is 23 G or finer, and firm pressure for 2 min",
                         judge_amount(judge, needle->gauge));
        finding_note(finding, injection->order->route.at.place, "the route");
        finding_help(finding, "ask the physician, then accept it with the physician's name and what was decided");
    }
}

/* ---- boxes ---- */

static gboolean in_protocol(const Plan *plan, const char *medicine)
{
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        if (PRESENT(injection->order->medicine) && strcmp(injection->order->medicine.text, medicine) == 0)
            return TRUE;
    }
    return FALSE;
}

/* TRUE when a slip in the protocol's own names is told already. */
static gboolean has_unknown_medicine(const Plan *plan)
{
    for (guint i = 0; i < plan->injections->len; i++)
        if (!((const PlanInjection *)g_ptr_array_index(plan->injections, i))->medicine)
            return TRUE;
    return FALSE;
}

void check_box_not_in_protocol(const Judge *judge)
{
    if (has_unknown_medicine(judge->plan) || ABSENT(judge->plan->protocol->injections))
        return;
    const GPtrArray *boxes = judge->plan->patient->boxes.items;
    for (guint i = 0; i < boxes->len; i++) {
        const Box *box = g_ptr_array_index(boxes, i);
        if (!PRESENT(box->medicine) || in_protocol(judge->plan, box->medicine.text))
            continue;
        Finding *finding = judge_add(judge, RULE_box_not_in_protocol, 0, NULL, box->medicine.at.place);
        finding_note(finding, judge->plan->patient->protocol.at.place, "the protocol ordered");
        finding_help(finding, "hand out the box of the protocol, or correct the protocol's name");
    }
}

static const Medicine *on_shelf(const Shelf *shelf, const char *name)
{
    for (guint i = 0; i < shelf->medicines.items->len; i++) {
        const Medicine *medicine = g_ptr_array_index(shelf->medicines.items, i);
        if (PRESENT(medicine->name) && strcmp(medicine->name.text, name) == 0)
            return medicine;
    }
    return NULL;
}

static const Text *item_number_of(const Medicine *medicine, const char *number)
{
    for (guint i = 0; i < medicine->item_numbers.items->len; i++) {
        const Text *one = g_ptr_array_index(medicine->item_numbers.items, i);
        if (PRESENT(*one) && item_number_same(one->text, number))
            return one;
    }
    return NULL;
}

/* Whose number it is on the shelf. */
static void tell_whose(const Judge *judge, Finding *finding, const char *number)
{
    const GPtrArray *all = judge->plan->shelf->medicines.items;
    for (guint i = 0; i < all->len; i++) {
        const Medicine *medicine = g_ptr_array_index(all, i);
        const Text *same = item_number_of(medicine, number);
        if (!same)
            continue;
        finding_note(finding, same->at.place, "on the shelf it is the number of");
        finding_fact(finding, "scanned: %s", medicine->name.text);
        finding_help(finding, "hand out the box of the protocol");
        return;
    }
    finding_help(finding, "look at the box once more; when it is the right one, add %s to item_numbers on the shelf",
                 number);
}

void check_box_item_differs(const Judge *judge)
{
    const GPtrArray *boxes = judge->plan->patient->boxes.items;
    for (guint i = 0; i < boxes->len; i++) {
        const Box *box = g_ptr_array_index(boxes, i);
        if (!PRESENT(box->medicine) || !PRESENT(box->item))
            continue;
        const Medicine *medicine = on_shelf(judge->plan->shelf, box->medicine.text);
        if (!medicine || medicine->item_numbers.items->len == 0 || item_number_of(medicine, box->item.text))
            continue;
        Finding *finding = judge_add(judge, RULE_box_item_differs, 0, NULL, box->item.at.place);
        finding_fact(finding, "written: %s", box->medicine.text);
        tell_whose(judge, finding, box->item.text);
    }
}

static void tell_twice(const Judge *judge, const PlanInjection *injection, const Medicine *other)
{
    const GPtrArray *own = injection->medicine->item_numbers.items;
    for (guint i = 0; i < own->len; i++) {
        const Text *number = g_ptr_array_index(own, i);
        const Text *same = PRESENT(*number) ? item_number_of(other, number->text) : NULL;
        if (!same)
            continue;
        Finding *finding = judge_add(judge, RULE_item_number_twice, 0, injection, number->at.place);
        finding_fact(finding, "%s and %s", injection->medicine->name.text, other->name.text);
        finding_note(finding, same->at.place, "the other box");
        finding_help(finding, "scan both boxes, and write each number at its own");
    }
}

void check_item_number_twice(const Judge *judge)
{
    const GPtrArray *all = judge->plan->shelf->medicines.items;
    EACH_INJECTION(judge, injection)
        for (guint i = 0; injection->medicine && i < all->len; i++)
            if (g_ptr_array_index(all, i) != injection->medicine)
                tell_twice(judge, injection, g_ptr_array_index(all, i));
}

void check_box_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (injection->box || !injection->medicine || !PRESENT(judge->plan->patient->boxes))
            continue;
        Finding *finding = judge_add(judge, RULE_box_missing, 0, injection, judge->plan->patient->boxes.at.key);
        finding_fact(finding, "%s", injection->medicine->name.text);
        finding_help(finding, "add - {medicine: \"%s\", lot: ..., expires: ...} to boxes, with what stands on the box",
                     injection->medicine->name.text);
    }
}

/* A figure too many in the count, as 100 for 10. */
static void say_far_too_many(const Judge *judge, const Box *box, gint64 handed, gint64 needed)
{
    const Field *at = PRESENT(box->count) ? &box->count.at : &box->medicine.at;
    Finding *finding = judge_add(judge, RULE_entry_implausible, SEVERITY_WARNING, NULL, at->place);
    finding_fact(finding, "handed out %" G_GINT64_FORMAT ", needed %" G_GINT64_FORMAT, handed, needed);
    finding_help(finding, "count the boxes again, or accept it with what the others are for");
}

void check_box_short(const Judge *judge)
{
    const GPtrArray *kit = judge->plan->kit;
    if (judge_count_doubted(judge))
        return;
    for (guint i = 0; i < kit->len; i++) {
        const Item *item = g_ptr_array_index(kit, i);
        if (item->kind != ITEM_MEDICINE)
            continue;
        gint64 handed = 0;
        const Box *last = NULL;
        const GPtrArray *boxes = judge->plan->patient->boxes.items;
        for (guint j = 0; j < boxes->len; j++) {
            const Box *box = g_ptr_array_index(boxes, j);
            if (!PRESENT(box->medicine) || strcmp(box->medicine.text, item->medicine->name.text) != 0)
                continue;
            if (UNREAD(box->count))
                return;
            last = box;
            handed += PRESENT(box->count) ? box->count.value : 1;
        }
        if (last && handed > 2 * item->count + 2)
            say_far_too_many(judge, last, handed, item->count);
        if (!last || handed >= item->count)
            continue;
        const Field *at = PRESENT(last->count) ? &last->count.at : &last->medicine.at;
        Finding *finding = judge_add(judge, RULE_box_short, 0, NULL, at->place);
        finding_fact(finding, "handed out %" G_GINT64_FORMAT ", needed %" G_GINT64_FORMAT, handed, item->count);
        finding_help(finding, "hand out %" G_GINT64_FORMAT " and write \"count: %" G_GINT64_FORMAT "\"", item->count,
                     item->count);
    }
}

static gboolean is_box_of(const Box *box, const PlanInjection *injection)
{
    return PRESENT(box->medicine) && injection->medicine &&
           strcmp(box->medicine.text, injection->medicine->name.text) == 0;
}

static void judge_expiry(const Judge *judge, const PlanInjection *injection, const Box *box)
{
    const Act *last = g_ptr_array_index(injection->acts, injection->acts->len - 1);
    int left = box->expires.day - last->at.local.day;
    if (left >= EXPIRY_NOTICE)
        return;
    Finding *finding = judge_add(judge, RULE_box_expires, left < 0 ? SEVERITY_ERROR : SEVERITY_WARNING, injection,
                                 box->expires.at.place);
    finding_fact(finding, left < 0 ? "it is out of date by its last use on %s"
                                   : "its last use is on %s, and it goes out of date soon after",
                 judge_time(judge, last->at.local));
    finding_help(finding, left < 0 ? "hand out another box" : "hand out another box, or accept it with the reason");
}

/* Every box: which of them she opens on which evening nobody knows. */
void check_box_expires(const Judge *judge)
{
    const GPtrArray *boxes = judge->plan->patient->boxes.items;
    EACH_INJECTION(judge, injection) {
        if (!injection->timed)
            continue;
        for (guint i = 0; i < boxes->len; i++) {
            const Box *box = g_ptr_array_index(boxes, i);
            if (is_box_of(box, injection) && PRESENT(box->expires))
                judge_expiry(judge, injection, box);
        }
    }
}

void check_lot_missing(const Judge *judge)
{
    const GPtrArray *boxes = judge->plan->patient->boxes.items;
    EACH_INJECTION(judge, injection)
        for (guint i = 0; i < boxes->len; i++) {
            const Box *box = g_ptr_array_index(boxes, i);
            if (!is_box_of(box, injection) || !ABSENT(box->lot))
                continue;
            Finding *finding = judge_add(judge, RULE_lot_missing, 0, injection, box->medicine.at.place);
            finding_help(finding, "add \"lot: ...\" as printed on the box");
        }
}

/* ---- storage ---- */

void check_storage_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        if (!medicine || !ABSENT(medicine->storage))
            continue;
        Finding *finding = judge_add(judge, RULE_storage_missing, 0, injection, medicine->name.at.place);
        finding_help(finding, "add \"storage: {temperature: ...}\" on the shelf, as the label says");
    }
}

void check_warm_up(const Judge *judge)
{
    EACH_INJECTION(judge, injection)
        if (injection->medicine && plan_is_cold(injection) && ABSENT(injection->medicine->storage.take_out)) {
            Finding *finding = judge_add(judge, RULE_warm_up, 0, injection,
                                         injection->medicine->storage.temperature.at.place);
            finding_help(finding, "add \"take_out: ... min\" to storage, if the label gives a time");
        }
}

/* Minutes after its time until which one of the injections that draw from it may be given. */
static gint64 longest_after(const Judge *judge, const PlanInjection *drawn_for)
{
    gint64 longest = 0;
    EACH_INJECTION(judge, injection) {
        const Window *window = &injection->order->window;
        if (injection->medicine == drawn_for->medicine && PRESENT(*window) && !window->exact)
            longest = MAX(longest, rational_floor(quantity_base(window->after)));
    }
    return longest;
}

static void say_over(const Judge *judge, const PlanInjection *injection, const char *since, Rational limit,
                     const Field *at)
{
    Finding *finding = judge_add(judge, RULE_in_use_over, 0, injection, injection->order->when.at.place);
    finding_fact(finding, "one container serves %s; once %s it may be used for %s",
                 judge_count(judge, injection->in_use_minutes / 1440 + 1, "day"), since, judge_hours(judge, limit));
    finding_note(finding, at->place, "said here");
    finding_help(finding, "shorten the course, or split it over two containers as two injections");
}

void check_in_use_over(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Medicine *medicine = injection->medicine;
        const Timing *when = &injection->order->when;
        if (!medicine || !PRESENT(*when) || !PRESENT(medicine->storage.in_use) || plan_doses_each(injection) == 0)
            continue;
        Rational limit = quantity_base(medicine->storage.in_use.quantity), keeps = plan_kept_for(injection);
        Rational mixed = rational_make(injection->in_use_minutes + plan_mix_lead(judge->plan, injection) +
                                           longest_after(judge, injection), 1);
        if (rational_compare(rational_make(injection->in_use_minutes, 1), limit) > 0)
            say_over(judge, injection, "opened", limit, &medicine->storage.in_use.at);
        else if (rational_ok(keeps) && rational_compare(mixed, keeps) > 0)
            say_over(judge, injection, "mixed", keeps, &injection->row->keep.at);
    }
}

/* Or a word that cannot be read, of which the reader has spoken. */
static gboolean chosen_giver(const Patient *patient)
{
    return !ABSENT(patient->by) && !(PRESENT(patient->by) && patient->by.value == Giver_EITHER);
}

void check_giver_open(const Judge *judge)
{
    const Patient *patient = judge->plan->patient;
    EACH_INJECTION(judge, injection) {
        const GiverChoice *by = &injection->order->give.by;
        if (!PRESENT(*by) || by->value != Giver_EITHER || !patient || chosen_giver(patient))
            continue;
        Finding *finding = judge_add(judge, RULE_giver_open, 0, injection,
                                     PRESENT(patient->by) ? patient->by.at.place : patient->patient.at.place);
        finding_note(finding, by->at.place, "the protocol leaves it open");
        finding_help(finding, "ask, and write \"by: self\" or \"by: helper\" into the patient's file");
    }
}

/* Some injection of the protocol is left open, so that the choice is one. */
static gboolean leaves_giver_open(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (PRESENT(injection->order->give.by) && injection->order->give.by.value == Giver_EITHER)
            return TRUE;
    }
    return FALSE;
}

void check_giver_differs(const Judge *judge)
{
    const GiverChoice *chosen = judge->plan->patient ? &judge->plan->patient->by : NULL;
    if (!chosen || !PRESENT(*chosen) || chosen->value == Giver_EITHER || leaves_giver_open(judge))
        return;
    EACH_INJECTION(judge, injection) {
        const GiverChoice *by = &injection->order->give.by;
        if (!PRESENT(*by) || chosen->value == by->value)
            continue;
        Finding *finding = judge_add(judge, RULE_giver_differs, 0, injection, chosen->at.place);
        finding_fact(finding, "the patient's file says %s, the protocol %s", choice_word(chosen->value),
                     choice_word(by->value));
        finding_note(finding, by->at.place, "the protocol");
        finding_help(finding, "take \"by\" out of the patient's file, or choose a protocol for this person");
    }
}
