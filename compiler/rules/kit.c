/* rules_kit: whether the kit holds what the steps use, and no more than that. */
#include "rules/checks.h"

static const KitItem *supply_in_kit(const Protocol *protocol, Supply supply)
{
    for (guint i = 0; i < protocol->kit.items->len; i++) {
        const KitItem *item = g_ptr_array_index(protocol->kit.items, i);
        if (PRESENT(item->item) && item->item.value == supply)
            return item;
    }
    return NULL;
}

static const Supply used_supplies[] = {Supply_WIPE, Supply_GAUZE, Supply_PLASTER};

/* One whose word could not be read may be any of them. */
static gboolean item_unread(const Protocol *protocol)
{
    for (guint i = 0; i < protocol->kit.items->len; i++)
        if (UNREAD(((const KitItem *)g_ptr_array_index(protocol->kit.items, i))->item))
            return TRUE;
    return FALSE;
}

static gboolean can_count(const Judge *judge)
{
    if (judge_count_doubted(judge) || item_unread(judge->plan->protocol) || ABSENT(judge->plan->protocol->injections))
        return FALSE;
    EACH_INJECTION(judge, injection)
        if (!injection->medicine || !PRESENT(injection->order->when) ||
            (injection->way == WAY_POWDER && injection->containers == 0))
            return FALSE;
    return TRUE;
}

void check_kit_incomplete(const Judge *judge)
{
    const Protocol *protocol = judge->plan->protocol;
    if (!PRESENT(protocol->kit) || !can_count(judge))
        return;
    for (gsize i = 0; i < G_N_ELEMENTS(used_supplies); i++) {
        const KitItem *item = supply_in_kit(protocol, used_supplies[i]);
        gint64 needed = plan_supply_needed(judge->plan, used_supplies[i]);
        gint64 there = item && PRESENT(item->count) ? item->count.value : 0;
        if (there >= needed || (item && !PRESENT(item->count)))
            continue;
        Finding *finding = judge_add(judge, RULE_kit_incomplete, 0, NULL, item ? item->count.at.place
                                                                               : protocol->kit.at.key);
        finding_fact(finding, "the steps use %s, the kit holds %" G_GINT64_FORMAT,
                     judge_count(judge, needed, choice_word(used_supplies[i])), there);
        if (item)
            finding_help(finding, "write \"%" G_GINT64_FORMAT "\" or more", needed);
        else
            finding_help(finding, "add \"- {item: %s, count: %" G_GINT64_FORMAT "}\" to the kit, or more of them",
                         choice_word(used_supplies[i]), needed);
    }
}

#define SPARES 10 /* needles beyond one for each day; our own choice, no source */

/* A figure too many: 50 spare needles for 5. */
static void spares_surplus(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Number *spare = &injection->order->give.spare_needles;
        gint64 days = plan_days(injection);
        if (!PRESENT(*spare) || spare->value <= days + SPARES)
            continue;
        Finding *finding = judge_add(judge, RULE_kit_surplus, 0, injection, spare->at.place);
        finding_fact(finding, "%" G_GINT64_FORMAT " spare needles; the steps use %" G_GINT64_FORMAT, spare->value,
                     days);
        finding_help(finding, "hand out what is used and a spare");
    }
}

void check_kit_surplus(const Judge *judge)
{
    const Protocol *protocol = judge->plan->protocol;
    spares_surplus(judge);
    for (gsize i = 0; can_count(judge) && i < G_N_ELEMENTS(used_supplies); i++) {
        const KitItem *item = supply_in_kit(protocol, used_supplies[i]);
        gint64 needed = plan_supply_needed(judge->plan, used_supplies[i]);
        if (!item || !PRESENT(item->count) || item->count.value <= 2 * needed + 2)
            continue;
        Finding *finding = judge_add(judge, RULE_kit_surplus, 0, NULL, item->count.at.place);
        finding_fact(finding, "the steps use %" G_GINT64_FORMAT, needed);
        finding_help(finding, "hand out what is used and a spare");
    }
}

void check_sharps_missing(const Judge *judge)
{
    const Protocol *protocol = judge->plan->protocol;
    if (PRESENT(protocol->kit) && !item_unread(protocol) && !supply_in_kit(protocol, Supply_SHARPS_BOX))
        finding_help(judge_add(judge, RULE_sharps_missing, 0, NULL, protocol->kit.at.key),
                     "add \"- {item: %s, count: 1}\" to the kit", choice_word(Supply_SHARPS_BOX));
}

void check_not_stocked(const Judge *judge)
{
    const List *stocked = &judge->plan->shelf->supplies;
    const GPtrArray *kit = judge->plan->protocol->kit.items;
    for (guint i = 0; i < kit->len; i++) {
        const KitItem *item = g_ptr_array_index(kit, i);
        if (!PRESENT(item->item) || list_has(stocked, item->item.value))
            continue;
        Finding *finding = judge_add(judge, RULE_not_stocked, 0, NULL, item->item.at.place);
        finding_fact(finding, "%s", choice_word(item->item.value));
        finding_help(finding, "add it to supplies in shelf.yaml, or take it out of the kit");
    }
}
