/* reader_scan: a box whose lot is what a scanner read: its expiry and its item number are read as
 * if they stood beside it. */
#include "reader/parts.h"

#include <string.h>

/* A clock is not read here; the day of the procedure is never far from today. */
int scan_year(const Level *level)
{
    while (level->outer)
        level = level->outer;
    Day day;
    const char *on = node_text(node_get(level->node, "anchor"), "on");
    gboolean read = on && day_parse(on, &day, NULL).fault == MOMENT_FINE;
    return read ? day_date(day).year : 2000; /* without a procedure there is no sheet */
}

static gboolean says_same(const char *key, const char *written, const char *scanned)
{
    Day one, other;
    if (strcmp(key, "item") == 0)
        return item_number_same(written, scanned);
    return !expiry_day(written, &one) || (expiry_day(scanned, &other) && one == other);
}

static void take(const Reader *reader, Node *box, const Node *lot, const char *key, const char *scanned)
{
    const Node *written = node_get(box, key);
    if (!written && *scanned) {
        Node *value = node_new(reader->arena, NODE_TEXT, lot->place);
        value->text = arena_copy(reader->arena, scanned);
        node_add(reader->arena, box, key, value);
        return;
    }
    if (!*scanned || written->kind != NODE_TEXT || says_same(key, written->text, scanned))
        return;
    Finding *finding = finding_add(reader->diagnostics, RULE_scan_differs, written->place);
    finding_fact(finding, "written: %s", written->text);
    finding_fact(finding, "scanned: %s", scanned);
    finding_note(finding, lot->place, "the scan");
    finding_help(finding, "scan the box that is handed out, and take \"%s\" out", key);
}

const Node *scan_unfolded(const Reader *reader, const Level *level, gboolean *spoilt)
{
    BoxScan scan;
    *spoilt = FALSE;
    const Node *lot = level->record == RECORD_Box ? node_get(level->node, "lot") : NULL;
    if (!lot || lot->kind != NODE_TEXT || !scan_is_one(lot->text))
        return level->node;
    *spoilt = scan_read(lot->text, scan_year(level), &scan) != SCAN_FINE;
    if (*spoilt)
        return level->node;
    Node *box = node_new(reader->arena, NODE_MAP, level->node->place);
    for (gsize i = 0; i < level->node->count; i++) {
        node_add(reader->arena, box, level->node->entries[i].key, level->node->entries[i].value);
        box->entries[i].key_place = level->node->entries[i].key_place;
    }
    take(reader, box, lot, "expires", scan_expiry(reader->arena, &scan));
    take(reader, box, lot, "item", scan.item);
    return box;
}
