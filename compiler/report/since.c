/* report_since: two states beside each other, by rule, protocol and injection: where a line
 * stands in a file does not matter. */
#include <string.h>

#include "report/parts.h"
#include "syntax/syntax.h"

/* ---- the state now ---- */

static void add_state(const Review *review, GPtrArray *states, const ReviewState *state)
{
    ReviewState *added = arena_new0(review->arena, ReviewState);
    *added = *state;
    g_ptr_array_add(states, added);
}

static void states_of(const Review *review, GPtrArray *states, const ReviewCase *one)
{
    const char *clinic = review_clinic(one->clinic), *of = review_name(one);
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        const RuleRow *row = rule_row(finding_rule(finding));
        /* people come and go: of them only what was accepted is kept */
        if (one->patient && (!finding_accepted(finding) || row->stage != STAGE_PATIENT))
            continue;
        const char *injection = finding_injection(finding);
        add_state(review, states, &(ReviewState){clinic, of, row->id, injection ? injection : "",
                                                 review_standing_word(review_standing(finding)), 0});
    }
    if (one->protocol && !one->patient)
        add_state(review, states, &(ReviewState){clinic, of, NULL, "",
                                                 review_approval(review->arena, one, review->today),
                                                 PRESENT(one->protocol->revision) ? one->protocol->revision.value : 0});
}

GPtrArray *review_states(const Review *review)
{
    GPtrArray *states = arena_list(review->arena);
    for (guint i = 0; i < review->cases->len; i++)
        states_of(review, states, g_ptr_array_index(review->cases, i));
    return states;
}

/* ---- as lines, and back ---- */

static void member(GString *out, const char *name, const char *text)
{
    g_string_append_printf(out, ",\"%s\":", name);
    source_json(out, text);
}

void review_print_states(const Review *review, GString *out)
{
    const GPtrArray *states = review_states(review);
    for (guint i = 0; i < states->len; i++) {
        const ReviewState *state = g_ptr_array_index(states, i);
        g_string_append(out, "{\"clinic\":");
        source_json(out, state->clinic);
        member(out, "of", state->of);
        if (state->rule)
            member(out, "rule", state->rule);
        member(out, "injection", state->injection);
        member(out, "state", state->state);
        g_string_append_printf(out, ",\"revision\":\"%" G_GINT64_FORMAT "\"}\n", state->revision);
    }
}

/* FALSE when the line is none of ours. */
static gboolean read_state(Arena *arena, const char *line, ReviewState *out)
{
    const Node *map = syntax_parse(arena, source_from_text(arena, "earlier", line, strlen(line)),
                                   diagnostics_new(arena));
    if (!map || map->kind != NODE_MAP)
        return FALSE;
    const char *revision = node_text(map, "revision");
    *out = (ReviewState){node_text(map, "clinic"), node_text(map, "of"), node_text(map, "rule"),
                         node_text(map, "injection"), node_text(map, "state"),
                         revision ? g_ascii_strtoll(revision, NULL, 10) : 0};
    return out->clinic && out->of && out->injection && out->state && revision;
}

GPtrArray *review_read_states(Arena *arena, const Source *source, guint *fault)
{
    GPtrArray *states = arena_list(arena);
    g_auto(GStrv) lines = g_strsplit(source->text, "\n", -1);
    for (guint i = 0; lines[i]; i++) {
        if (!*lines[i])
            continue;
        ReviewState *state = arena_new0(arena, ReviewState);
        *fault = i + 1;
        if (!read_state(arena, lines[i], state))
            return NULL;
        g_ptr_array_add(states, state);
    }
    *fault = states->len > 0 ? 0 : 1;
    return states->len > 0 ? states : NULL;
}

/* ---- beside each other ---- */

/* All that one side says of a rule in a protocol and an injection. */
typedef struct Side {
    StandingOf worst;
    guint count;
} Side;

typedef struct Pair {
    const ReviewState *state; /* of either side */
    Side before, now;
} Pair;

typedef struct Changes {
    const Review *review;
    GPtrArray *pairs;        /* of Pair*, in the order in which they were met */
    GHashTable *by_key;      /* key -> Pair* */
    GHashTable *approvals[2]; /* "clinic\nof" -> ReviewState*: before, now */
} Changes;

static StandingOf standing_named(const char *word)
{
    for (int standing = STANDING_STOPS; standing > STANDING_NONE; standing--)
        if (strcmp(word, review_standing_word((StandingOf)standing)) == 0)
            return (StandingOf)standing;
    return STANDING_NONE;
}

static char *of_key(Arena *arena, const ReviewState *state)
{
    return arena_format(arena, "%s\n%s", state->clinic, state->of);
}

static void take_state(Changes *changes, const ReviewState *state, gboolean now)
{
    Arena *arena = changes->review->arena;
    if (!state->rule) {
        g_hash_table_insert(changes->approvals[now], of_key(arena, state), (gpointer)state);
        return;
    }
    char *key = arena_format(arena, "%s\n%s\n%s\n%s", state->clinic, state->of, state->rule, state->injection);
    Pair *pair = g_hash_table_lookup(changes->by_key, key);
    if (!pair) {
        pair = arena_new0(arena, Pair);
        pair->state = state;
        g_hash_table_insert(changes->by_key, key, pair);
        g_ptr_array_add(changes->pairs, pair);
    }
    Side *side = now ? &pair->now : &pair->before;
    side->worst = MAX(side->worst, standing_named(state->state));
    side->count++;
}

/* What became of it; NULL when nothing did. */
static const char *became(Arena *arena, const Side *before, const Side *now)
{
    static const char *const words[STANDING_STOPS + 1][STANDING_STOPS + 1] = {
        [STANDING_NONE] = {NULL, "new note", "new, and accepted", "new, waits for acceptance", "new, stops"},
        [STANDING_NOTE] = {"note gone", NULL, "note became accepted", "note became warning", "note became error"},
        [STANDING_ACCEPTED] = {"accepted before, gone now", "accepted became note", NULL, "accepted became lapsed",
                               "accepted became error"},
        [STANDING_WAITS] = {"warning mended", "warning became note", "warning became accepted", NULL,
                            "warning became error"},
        [STANDING_STOPS] = {"error mended", "error became note", "error became accepted", "error became warning", NULL},
    };
    if (before->worst == now->worst && before->count != now->count)
        return arena_format(arena, "in %u places, before in %u", now->count, before->count);
    return words[before->worst][now->worst];
}

/* Those of a protocol that is on one side only are told with it. */
static gboolean told_alone(const Changes *changes, const Pair *pair)
{
    char *key = of_key(changes->review->arena, pair->state);
    gboolean then = g_hash_table_contains(changes->approvals[0], key);
    gboolean now = g_hash_table_contains(changes->approvals[1], key);
    gboolean person = !then && !now;
    return then == now && !(person && pair->now.worst == STANDING_NONE);
}

/* Rules and changes that are the same are one entry. */
static guint rule_changes(const Changes *changes, Report *report)
{
    Arena *arena = changes->review->arena;
    g_autoptr(GHashTable) entries = g_hash_table_new(g_str_hash, g_str_equal);
    GPtrArray *order = arena_list(arena);
    for (guint i = 0; i < changes->pairs->len; i++) {
        const Pair *pair = g_ptr_array_index(changes->pairs, i);
        const char *what = became(arena, &pair->before, &pair->now);
        if (!what || !told_alone(changes, pair))
            continue;
        char *key = arena_format(arena, "%s\n%s", what, pair->state->rule);
        const char *names = g_hash_table_lookup(entries, key), *of = pair->state->injection;
        if (!names)
            g_ptr_array_add(order, key);
        g_hash_table_replace(entries, key, arena_format(arena, "%s%s%s%s%s%s", names ? names : "", names ? ", " : "",
                                                        pair->state->of, *of ? " (" : "", of, *of ? ")" : ""));
    }
    for (guint i = 0; i < order->len; i++) {
        g_auto(GStrv) parts = g_strsplit(g_ptr_array_index(order, i), "\n", 2);
        RuleId rule;
        const char *message = rule_find(parts[1], &rule) ? rule_row(rule)->message : parts[1];
        ReportItem *entry = report_entry(report, parts[0], message);
        report_line(report, entry, NULL, "%s", (const char *)g_hash_table_lookup(entries, g_ptr_array_index(order, i)));
    }
    return order->len;
}

static guint approval_change(Report *report, const ReviewState *before, const ReviewState *now)
{
    const ReviewState *either = now ? now : before;
    if (before && now && before->revision == now->revision && strcmp(before->state, now->state) == 0)
        return 0;
    const char *label = !before ? "new protocol" : !now ? "protocol gone"
                        : before->revision != now->revision ? "new revision"
                        : g_str_has_prefix(now->state, "approved") ? "new approval" : "approval lost";
    ReportItem *entry = report_entry(report, label, arena_format(report->arena, "%s, %s", either->of, either->clinic));
    if (now)
        report_line(report, entry, NULL, "now revision %" G_GINT64_FORMAT ": %s", now->revision, now->state);
    if (before)
        report_line(report, entry, NULL, "before revision %" G_GINT64_FORMAT ": %s", before->revision, before->state);
    return 1;
}

static guint approval_changes(const Changes *changes, Report *report)
{
    g_autoptr(GHashTable) keys = g_hash_table_new(g_str_hash, g_str_equal);
    guint count = 0;
    for (int side = 0; side < 2; side++) {
        g_autoptr(GList) own = g_hash_table_get_keys(changes->approvals[side]);
        for (GList *key = own; key; key = key->next)
            g_hash_table_add(keys, key->data);
    }
    g_autoptr(GList) all = g_list_sort(g_hash_table_get_keys(keys), (GCompareFunc)strcmp);
    for (GList *key = all; key; key = key->next)
        count += approval_change(report, g_hash_table_lookup(changes->approvals[0], key->data),
                                 g_hash_table_lookup(changes->approvals[1], key->data));
    return count;
}

static GHashTable *table(Arena *arena)
{
    GHashTable *made = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, made);
    return made;
}

void review_changes(const Review *review, Report *report)
{
    Changes changes = {review, arena_list(review->arena), table(review->arena),
                       {table(review->arena), table(review->arena)}};
    const GPtrArray *sides[] = {review->before, review_states(review)};
    for (int side = 0; side < 2; side++)
        for (guint i = 0; i < sides[side]->len; i++)
            take_state(&changes, g_ptr_array_index(sides[side], i), side == 1);
    report_heading(report, REPORT_HEADING, arena_format(review->arena, "What changed since %s", review->before_words));
    if (approval_changes(&changes, report) + rule_changes(&changes, report) == 0)
        report_text(report, "Nothing.");
}
