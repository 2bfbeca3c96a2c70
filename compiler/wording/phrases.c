/* wording_phrases: a language's phrase set, read strictly. */
#include <string.h>

#include "wording/parts.h"

#define PHRASE_FILE_LIMIT (1024 * 1024)

/* ---- what every set must hold ---- */

static const char *const core[] = {
#define PHRASE(id, purpose) #id,
#include "wording/phrases.def"
#define COLOUR(id, word, red, green, blue) "colour_" #id,
#include "language/colours.def"
    "day_1", "day_2", "day_3", "day_4", "day_5", "day_6", "day_7", "month_1", "month_2", "month_3",
    "month_4", "month_5", "month_6", "month_7", "month_8", "month_9", "month_10", "month_11", "month_12",
#define RUNG(id, value, alarm, words, filled, fixed, pen) \
    "rung_" #id, "rung_" #id filled, "rung_" #id fixed, "rung_" #id pen,
#include "plan/rungs.def"
#define CONTAINER(id, word, meaning, use, opening, kit, used, thing) kit, used,
#include "language/containers.def"
#define WAY(id, mixes, use, medicine_job, syringe_job) medicine_job, syringe_job,
#include "plan/ways.def"
};

/* ---- forms ---- */

static const struct { const char *word; ValueForm form; } forms[] = {
    {"clock", FORM_CLOCK},     {"other", FORM_OTHER},     {"clocks", FORM_CLOCKS}, {"weekday", FORM_WEEKDAY},
    {"days", FORM_DAYS},       {"evening", FORM_EVENING}, {"date", FORM_DATE},     {"whole", FORM_WHOLE},
    {"gauge", FORM_GAUGE},     {"length", FORM_LENGTH},   {"nights", FORM_NIGHTS},
};

static gboolean form_named(const char *word, ValueForm *out)
{
    for (gsize i = 0; i < G_N_ELEMENTS(forms); i++) {
        if (strcmp(forms[i].word, word) == 0) {
            *out = forms[i].form;
            return TRUE;
        }
    }
    return FALSE;
}

static gboolean form_suits(ValueKind kind, ValueForm form)
{
    if (form == FORM_PLAIN)
        return kind != KIND_MOMENT;
    if (form == FORM_GAUGE || form == FORM_LENGTH)
        return kind == KIND_NEEDLE;
    return kind == KIND_MOMENT;
}

/* ---- reading one phrase ---- */

typedef struct Reading {
    Arena *arena;
    Diagnostics *diagnostics;
    Place place;
    GPtrArray *parts;
    gboolean strong;
} Reading;

/* Slots that the program fills in itself, in the phrases that it asks for. */
static const char *const caller_slots[] = {
    "weekday", "next", "day",     "month", "year", "date", "clock", "clocks", "other",  "time",   "from",
    "until",   "n",    "hours",   "minutes", "place", "amount", "gauge", "length", "thing",  "page",   "pages", "large",
    "month_number", "hour", "hour_of_day", "minute", "which", "act_date", "used",
};

static gboolean is_caller_slot(const char *word)
{
    for (gsize i = 0; i < G_N_ELEMENTS(caller_slots); i++)
        if (strcmp(caller_slots[i], word) == 0)
            return TRUE;
    return FALSE;
}

static Part *add_part(Reading *reading, const char *text, gsize length)
{
    Part *part = arena_new0(reading->arena, Part);
    part->text = arena_copy_length(reading->arena, text, length);
    part->strong = reading->strong;
    g_ptr_array_add(reading->parts, part);
    return part;
}

static const char *nearest_value(const char *word)
{
    const char *ids[VALUE_COUNT];
    for (int i = 0; i < VALUE_COUNT; i++)
        ids[i] = value_row((ValueId)i)->id;
    return nearest_word(word, ids, VALUE_COUNT);
}

static void slot_fault(Reading *reading, RuleId rule, const char *slot, const char *help)
{
    Finding *finding = finding_add(reading->diagnostics, rule, reading->place);
    finding_fact(finding, "the slot {%s}", slot);
    finding_help(finding, "%s", help);
}

static void unknown_slot(Reading *reading, const char *slot, const char *name)
{
    const char *near = nearest_value(name);
    slot_fault(reading, RULE_slot_unknown, slot,
               near ? arena_format(reading->arena, "did you mean \"%s\"?", near)
                    : "compiler/plan/values.def lists the values");
}

static void read_slot(Reading *reading, const char *slot)
{
    g_auto(GStrv) halves = g_strsplit(slot, ":", 2);
    if (!halves[1] && halves[0] && is_caller_slot(halves[0])) {
        add_part(reading, slot, strlen(slot))->is_caller = TRUE;
        return;
    }
    if (g_strcmp0(halves[0], "page") == 0 && halves[1]) { /* "{page:last}" */
        add_part(reading, slot, strlen(slot))->page_of = arena_copy(reading->arena, halves[1]);
        return;
    }
    ValueId id;
    ValueForm form = FORM_PLAIN;
    if (!halves[0] || !value_find(halves[0], &id)) {
        unknown_slot(reading, slot, halves[0] ? halves[0] : "");
    } else if ((halves[1] && !form_named(halves[1], &form)) || !form_suits(value_row(id)->kind, form)) {
        slot_fault(reading, RULE_slot_form, slot,
                   value_row(id)->kind == KIND_MOMENT
                       ? "a time has the forms clock, other, clocks, weekday, days, evening, date, whole"
                       : "write the slot without a form");
    } else {
        Part *part = add_part(reading, slot, strlen(slot));
        part->is_value = TRUE;
        part->value = id;
        part->form = form;
    }
}

static void refuse_digits(Reading *reading, const char *text, gsize length)
{
    for (gsize i = 0; i < length; i++) {
        if (!g_ascii_isdigit(text[i]))
            continue;
        Finding *finding = finding_add(reading->diagnostics, RULE_phrase_digit, reading->place);
        finding_help(finding, "name a value in a slot instead: {volume}");
        return;
    }
}

static void add_words(Reading *reading, const char *text, gsize length)
{
    refuse_digits(reading, text, length);
    if (length > 0)
        add_part(reading, text, length);
}

/* "Draw to *{mark}*." : words, slots in braces, bold between stars. */
static GPtrArray *read_parts(Arena *arena, Diagnostics *diagnostics, const Node *node)
{
    Reading reading = {arena, diagnostics, node->place, arena_list(arena), FALSE};
    const char *at = node->text, *start = at;
    while (*at) {
        const char *close = *at == '{' ? strchr(at, '}') : NULL;
        if (*at != '*' && !close) {
            at++;
            continue;
        }
        add_words(&reading, start, (gsize)(at - start));
        if (close) {
            g_autofree char *slot = g_strndup(at + 1, (gsize)(close - at - 1));
            read_slot(&reading, slot);
            at = close;
        } else {
            reading.strong = !reading.strong;
        }
        start = ++at;
    }
    add_words(&reading, start, (gsize)(at - start));
    return reading.parts;
}

/* ---- plurals ---- */

static const char *const plural_words[PLURAL_COUNT] = {"one", "two", "few", "many", "other"};

/* PLURAL_COUNT when there is none of this name. */
static int plural_named(const char *word)
{
    int plural = 0;
    while (plural < PLURAL_COUNT && strcmp(word, plural_words[plural]) != 0)
        plural++;
    return plural;
}

static void read_plural(Arena *arena, Diagnostics *diagnostics, Phrase *phrase, const Node *node)
{
    phrase->counted = TRUE;
    for (gsize i = 0; i < node->count; i++) {
        const Entry *entry = &node->entries[i];
        if (strcmp(entry->key, "by") == 0 && entry->value->kind == NODE_TEXT) {
            phrase->by_value = value_find(entry->value->text, &phrase->by);
            if (!phrase->by_value)
                finding_add(diagnostics, RULE_slot_unknown, entry->value->place);
            continue;
        }
        int plural = plural_named(entry->key);
        if (plural < PLURAL_COUNT && entry->value->kind == NODE_TEXT) {
            phrase->forms[plural] = read_parts(arena, diagnostics, entry->value);
        } else {
            Finding *finding = finding_add(diagnostics, RULE_wrong_shape, entry->key_place);
            finding_help(finding, "a phrase that counts has the keys by, one, two, few, many and other, each with "
                                  "a text");
        }
    }
    if (!phrase->forms[PLURAL_OTHER]) {
        Finding *finding = finding_add(diagnostics, RULE_phrase_missing, node->place);
        finding_help(finding, "add the form \"other\"");
        phrase->forms[PLURAL_OTHER] = arena_list(arena);
    }
}

static void read_phrase(Phrases *phrases, Diagnostics *diagnostics, const Entry *entry)
{
    Phrase *phrase = arena_new0(phrases->arena, Phrase);
    phrase->id = entry->key;
    phrase->place = entry->value->place;
    if (entry->value->kind == NODE_MAP)
        read_plural(phrases->arena, diagnostics, phrase, entry->value);
    else if (entry->value->kind == NODE_TEXT)
        phrase->forms[PLURAL_OTHER] = read_parts(phrases->arena, diagnostics, entry->value);
    else
        finding_add(diagnostics, RULE_wrong_shape, entry->value->place);
    if (phrase->forms[PLURAL_OTHER])
        g_hash_table_insert(phrases->phrases, (gpointer)phrase->id, phrase);
}

/* ---- the file ---- */

static void need_phrase(const Phrases *phrases, Diagnostics *diagnostics, const char *id)
{
    if (phrase_named(phrases, id))
        return;
    Finding *finding = finding_add(diagnostics, RULE_phrase_missing, (Place){phrases->source, 1, 1, 1});
    finding_fact(finding, "%s", id);
    finding_help(finding, "add \"%s: ...\" under phrases, written by someone who speaks the language", id);
}

/* Several rows may ask for one phrase. */
static gboolean asked_before(gsize at)
{
    for (gsize i = 0; i < at; i++)
        if (strcmp(core[i], core[at]) == 0)
            return TRUE;
    return FALSE;
}

static void check_whole(const Phrases *phrases, Diagnostics *diagnostics)
{
    for (gsize i = 0; i < G_N_ELEMENTS(core); i++)
        if (!phrase_named(phrases, core[i]) && !asked_before(i))
            need_phrase(phrases, diagnostics, core[i]);
    for (int i = 0; i < CHOICE_COUNT; i++) {
        const ChoiceRow *row = choice_row((ChoiceWord)i);
        if (choice_list_printed(row->list))
            need_phrase(phrases, diagnostics, row->phrase);
    }
    for (int i = 0; i < UNIT_COUNT; i++)
        if (unit_row((UnitId)i)->phrase)
            need_phrase(phrases, diagnostics, unit_row((UnitId)i)->phrase);
}

/* Whoever reviewed it has a name. */
static const char *reviewer_of(const Node *root)
{
    const char *name = node_text(root, "reviewed_by");
    return name && name[strspn(name, " ")] != '\0' ? name : NULL;
}

static Place reviewer_place(const Node *root)
{
    const Node *node = node_get(root, "reviewed_by");
    return node ? node->place : root->place;
}

static Phrases *set_of(Arena *arena, const Source *source, const Node *root)
{
    Phrases *phrases = arena_new0(arena, Phrases);
    phrases->arena = arena;
    phrases->source = source;
    phrases->tag = node_text(root, "language");
    phrases->reviewer = reviewer_of(root);
    phrases->unreviewed = reviewer_place(root);
    phrases->right_to_left = g_strcmp0(node_text(root, "direction"), "right to left") == 0;
    phrases->phrases = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, phrases->phrases);
    return phrases;
}

static void read_phrases(Phrases *phrases, const Node *root, Diagnostics *diagnostics)
{
    const Node *list = node_get(root, "phrases");
    for (gsize i = 0; list && list->kind == NODE_MAP && i < list->count; i++)
        read_phrase(phrases, diagnostics, &list->entries[i]);
}

static char *path_of(const char *folder, const char *tag)
{
    g_autofree char *file = g_strconcat(tag, ".yaml", NULL);
    return g_build_filename(folder, "languages", file, NULL);
}

/* The set's own file; NULL after a finding or with *error. */
static const Node *read_file(Arena *arena, const char *folder, const char *tag, const Source **source,
                             Diagnostics *diagnostics, GError **error)
{
    g_autofree char *path = path_of(folder, tag);
    if (strchr(tag, '/') || !g_file_test(path, G_FILE_TEST_IS_REGULAR)) {
        Finding *finding = finding_add(diagnostics, RULE_language_missing, PLACE_NOWHERE);
        finding_fact(finding, "%s", tag);
        finding_help(finding, "choose a language that templates/languages holds");
        return NULL;
    }
    if (source_read(arena, path, PHRASE_FILE_LIMIT, source, error) == SOURCE_UNREADABLE)
        return NULL;
    return syntax_parse(arena, *source, diagnostics);
}

Phrases *phrases_read(Arena *arena, const char *folder, const char *tag, Diagnostics *diagnostics, GError **error)
{
    const Source *source = NULL, *under = NULL;
    g_autofree char *path = path_of(folder, tag);
    Phrases *known = wording_kept(path);
    if (known)
        return known;
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    const Node *root = read_file(arena, folder, tag, &source, diagnostics, error);
    if (!root)
        return NULL;
    Phrases *phrases = set_of(arena, source, root);
    const char *base = node_text(root, "based_on"); /* a region's set says only what differs */
    const Node *whole = base ? read_file(arena, folder, base, &under, diagnostics, error) : NULL;
    if (base && !whole)
        return NULL;
    phrases->under = under;
    if (whole && phrases->reviewer && !reviewer_of(whole)) { /* most of its words are the other set's */
        phrases->reviewer = NULL;
        phrases->unreviewed = reviewer_place(whole);
    }
    if (whole)
        read_phrases(phrases, whole, diagnostics);
    read_phrases(phrases, root, diagnostics);
    check_whole(phrases, diagnostics);
    return diagnostics_open(diagnostics, SEVERITY_ERROR) == before ? phrases : NULL;
}

const char *phrases_reviewer(const Phrases *phrases) { return phrases->reviewer; }

Place phrases_unreviewed(const Phrases *phrases) { return phrases->unreviewed; }

const Phrase *phrase_named(const Phrases *phrases, const char *id)
{
    return g_hash_table_lookup(phrases->phrases, id);
}

char *phrases_words(Arena *arena, const Phrases *phrases, const char *id)
{
    const GPtrArray *parts = phrase_named(phrases, id)->forms[PLURAL_OTHER];
    char *words = arena_copy(arena, "");
    for (guint i = 0; i < parts->len; i++)
        words = arena_format(arena, "%s%s", words, ((const Part *)g_ptr_array_index(parts, i))->text);
    return words;
}

static gboolean shows(const Phrase *phrase, ValueId value)
{
    for (int form = 0; form < PLURAL_COUNT; form++)
        for (guint i = 0; phrase->forms[form] && i < phrase->forms[form]->len; i++) {
            const Part *part = g_ptr_array_index(phrase->forms[form], i);
            if (part->is_value && part->value == value)
                return TRUE;
        }
    return FALSE;
}

void phrases_showing(const Phrases *phrases, ValueId value, GString *out)
{
    g_autoptr(GList) ids = g_list_sort(g_hash_table_get_keys(phrases->phrases), (GCompareFunc)strcmp);
    for (GList *id = ids; id; id = id->next)
        if (shows(g_hash_table_lookup(phrases->phrases, id->data), value))
            g_string_append_printf(out, "%s%s", out->len ? " " : "", (const char *)id->data);
}
