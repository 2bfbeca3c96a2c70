/* reader_keys: keys that their record does not know, and keys it lacks. */
#include "reader/parts.h"

#include <string.h>

/* Lower case, with _ for a space or hyphen: "Spare needles" is meant so. */
static char *key_plain(const char *key)
{
    char *plain = g_utf8_strdown(key, -1);
    for (char *c = plain; *c != '\0'; c++) {
        if (*c == ' ' || *c == '-')
            *c = '_';
    }
    return plain;
}

/* The key of the record that was meant: the same but for case, else near. */
static const FieldRow *key_meant(RecordId record, const char *key)
{
    RecordRow row = record_row(record);
    g_autofree char *plain = key_plain(key);
    const FieldRow *same = record_find(record, plain);
    if (same)
        return same;
    const char **keys = g_newa(const char *, row.count);
    for (guint i = 0; i < row.count; i++)
        keys[i] = row.fields[i].key;
    const char *near = nearest_word(plain, keys, row.count);
    return near ? record_find(record, near) : NULL;
}

/* "a protocol file", "an entry of "injections"" or ""give"". */
static const char *level_name(Arena *arena, const Level *level)
{
    if (!level->outer)
        return arena_format(arena, "a %s file", record_row(level->record).fields[0].key);
    const FieldRow *holder = record_find(level->outer->record, level->key);
    const char *entry = kind_row(holder->kind)->is_list ? "an entry of " : "";
    return arena_format(arena, "%s\"%s\"", entry, level->key);
}

/* ---- the right key at the wrong level ---- */

/* Where a key belongs: in the words of a help line, and the place of the key
 * that should hold it, when the file has that one. */
typedef struct Belonging {
    const char *path;
    Place place;
} Belonging;

static gboolean belongs_outside(const Reader *reader, const Level *level, const char *key,
                                Belonging *out)
{
    for (const Level *outer = level->outer; outer; outer = outer->outer) {
        if (!record_find(outer->record, key))
            continue;
        out->place = outer->key_place;
        const char *name = level_name(reader->arena, outer);
        out->path = outer->outer ? arena_format(reader->arena, "directly in %s", name)
                                 : "at the left margin";
        return TRUE;
    }
    return FALSE;
}

/* "mix", "draw" or "give": records one level in that have the key. */
static gboolean belongs_inside(const Reader *reader, const Level *level, const char *key,
                               Belonging *out)
{
    RecordRow row = record_row(level->record);
    const char *path = NULL;
    for (guint i = 0; i < row.count; i++) {
        RecordId inner = field_record(&row.fields[i]);
        if (inner == RECORD_COUNT || !record_find(inner, key))
            continue;
        const char *holder = row.fields[i].key;
        path = path ? arena_format(reader->arena, "%s or \"%s\"", path, holder)
                    : arena_format(reader->arena, "under \"%s\"", holder);
        for (gsize e = 0; e < level->node->count && !out->place.source; e++) {
            if (g_str_equal(level->node->entries[e].key, holder))
                out->place = level->node->entries[e].key_place;
        }
    }
    out->path = path;
    return path != NULL;
}

/* Anywhere else in this kind of file; depth is bounded by the records' nesting. */
static gboolean belongs_below(const Reader *reader, RecordId record, const char *key,
                              Belonging *out)
{
    RecordRow row = record_row(record);
    for (guint i = 0; i < row.count; i++) {
        RecordId inner = field_record(&row.fields[i]);
        if (inner == RECORD_COUNT)
            continue;
        if (record_find(inner, key)) {
            out->path = arena_format(reader->arena, "under \"%s\"", row.fields[i].key);
            return TRUE;
        }
        if (belongs_below(reader, inner, key, out))
            return TRUE;
    }
    return FALSE;
}

static void fault_elsewhere(const Reader *reader, const Level *level, const Entry *entry,
                            const Belonging *belonging)
{
    Finding *finding = finding_add(reader->diagnostics, RULE_key_elsewhere, entry->key_place);
    finding_fact(finding, "%s has no key \"%s\"", level_name(reader->arena, level), entry->key);
    if (belonging->place.source)
        finding_note(finding, belonging->place, "it belongs %s", belonging->path);
    finding_help(finding, "move \"%s\" so that it stands %s", entry->key, belonging->path);
}

/* ---- keys of no record ---- */

/* "10,000 units" without quotes inside { } leaves a key "000 units" without a value, and
 * "Thursday, 2026-11-26" one of the date. */
static gboolean key_cut_by_comma(const Entry *entry)
{
    return entry->value->kind == NODE_TEXT && entry->value->text[0] == '\0' &&
           pattern_matches("^[0-9]|^(?:[^ ]+ ){2}", entry->key, 0);
}

static void unknown_help(Finding *finding, RecordId record, const FieldRow *meant)
{
    if (meant) {
        finding_help(finding, "write \"%s\"", meant->key);
        return;
    }
    RecordRow row = record_row(record);
    g_autoptr(GString) keys = g_string_new(NULL);
    for (guint i = 0; i < row.count; i++)
        g_string_append_printf(keys, "%s%s", i > 0 ? ", " : "", row.fields[i].key);
    finding_help(finding, "take it out, or write one of: %s", keys->str);
}

static const FieldRow *fault_unknown(const Reader *reader, const Level *level,
                                     const Entry *entry, const FieldRow *meant)
{
    Finding *finding = finding_add(reader->diagnostics, RULE_key_unknown, entry->key_place);
    finding_fact(finding, "%s has no key \"%s\"", level_name(reader->arena, level), entry->key);
    if (key_cut_by_comma(entry))
        finding_help(finding, "a comma ends a value inside { } and [ ]: put quotes round the "
                              "whole value, like \"10,000 units\"");
    else
        unknown_help(finding, level->record, meant);
    return meant;
}

const FieldRow *keys_unknown(const Reader *reader, const Level *level, const Entry *entry)
{
    const char *key = entry->key;
    Belonging belonging = {NULL, PLACE_NOWHERE};
    g_autofree char *plain = key_plain(key);
    const FieldRow *same = record_find(level->record, plain);
    if (same)
        return fault_unknown(reader, level, entry, same);
    const FieldRow *meant = key_meant(level->record, key);
    gboolean lacking = meant && meant->need != NEED_OPTIONAL && !node_get(level->node, meant->key);
    if (!lacking && (belongs_inside(reader, level, key, &belonging) ||
                     belongs_outside(reader, level, key, &belonging))) {
        fault_elsewhere(reader, level, entry, &belonging);
        return NULL;
    }
    if (!meant && belongs_below(reader, reader->root, key, &belonging)) {
        fault_elsewhere(reader, level, entry, &belonging);
        return NULL;
    }
    return fault_unknown(reader, level, entry, meant);
}

/* ---- keys that are not there ---- */

const char *keys_required(Arena *arena, RecordId record)
{
    RecordRow row = record_row(record);
    const char *text = NULL;
    for (guint i = 0; i < row.count; i++) {
        if (row.fields[i].need == NEED_OPTIONAL)
            continue;
        const char *key = row.fields[i].key;
        text = text ? arena_format(arena, "%s, %s", text, key) : key;
    }
    return text ? text : row.fields[0].key;
}

/* ", like "- {item: alcohol wipe, count: 4}"", where nothing in it is a fact about a
 * medicine or a person that might be copied; else "". */
static const char *entry_example(Arena *arena, RecordId record)
{
    RecordRow row = record_row(record);
    const char *text = NULL;
    for (guint i = 0; i < row.count; i++) {
        const FieldRow *field = &row.fields[i];
        if (field->need == NEED_OPTIONAL)
            continue;
        if (field->kind != AS_CHOICE && field->kind != AS_NUMBER)
            return "";
        text = arena_format(arena, "%s%s%s: %s", text ? text : "", text ? ", " : "", field->key, field->example);
    }
    return text ? arena_format(arena, ", like \"- {%s}\"", text) : "";
}

static gboolean map_strays(const Node *map, RecordId record, const char *key)
{
    return map->kind == NODE_MAP && !record_find(record, key) && node_get(map, key);
}

/* The missing key stands one level out or in, where it was found already. */
static gboolean key_strays(const Level *level, const char *key)
{
    if (level->outer && map_strays(level->outer->node, level->outer->record, key))
        return TRUE;
    for (gsize i = 0; i < level->node->count; i++) {
        const Entry *entry = &level->node->entries[i];
        const FieldRow *row = record_find(level->record, entry->key);
        if (row && row->kind == AS_RECORD && map_strays(entry->value, field_record(row), key))
            return TRUE;
    }
    return FALSE;
}

/* Of a row of a roster: the headings under which it can be written. */
static const char *headings_of(Arena *arena, const FieldRow *row)
{
    RecordId inner = field_record(row);
    if (inner == RECORD_COUNT)
        return arena_format(arena, "\"%s\"", field_heading(arena, row));
    RecordRow record = record_row(inner);
    const char *text = NULL;
    for (guint i = 0; i < record.count; i++)
        if (record.fields[i].need != NEED_OPTIONAL)
            text = arena_format(arena, "%s%s\"%s\"", text ? text : "", text ? " and " : "",
                                field_heading(arena, &record.fields[i]));
    return text;
}

/* Of a box whose medicine stands in the heading ("lot of MEDICINE"), and in no cell: the medicine; else NULL. */
static const char *headed_by(const Level *level)
{
    const Node *medicine = level->record == RECORD_Box ? node_get(level->node, "medicine") : NULL;
    return medicine && medicine->kind == NODE_TEXT && !medicine->verbatim ? medicine->text : NULL;
}

static void cell_missing(const Reader *reader, const Level *level, const FieldRow *row)
{
    Finding *finding = finding_add(reader->diagnostics, RULE_key_missing, level->key_place);
    const char *headings = headings_of(reader->arena, row), *medicine = headed_by(level);
    if (medicine && field_record(row) == RECORD_COUNT)
        headings = arena_format(reader->arena, "\"%s of %s\"", field_heading(reader->arena, row), medicine);
    finding_fact(finding, "nothing stands under %s: %s", headings, row->description);
    if (fault_ask(row))
        finding_help(finding, "ask the person; write their names under %s, with \";\" between them, or none", headings);
    else if (field_record(row) == RECORD_COUNT)
        finding_help(finding, "write it under the heading %s, like %s", headings, row->example);
    else
        finding_help(finding, "write it under the headings %s", headings);
}

void keys_missing(const Reader *reader, const Level *level, const FieldRow *row)
{
    if (reader->table) {
        cell_missing(reader, level, row);
        return;
    }
    if (key_strays(level, row->key))
        return;
    Finding *finding = finding_add(reader->diagnostics, RULE_key_missing, level->key_place);
    RecordId inner = field_record(row);
    const char *whose = record_row(level->record).whose;
    finding_fact(finding, "%s needs \"%s\": %s", level_name(reader->arena, level), row->key,
                 row->description);
    if (fault_ask(row))
        finding_help(finding, "%s", fault_ask(row));
    else if (inner == RECORD_COUNT && whose[0] != '\0')
        finding_help(finding, "add \"%s: ...\", %s", row->key, whose);
    else if (inner == RECORD_COUNT)
        finding_help(finding, "add \"%s: %s\"", row->key, row->example);
    else if (kind_row(row->kind)->is_list)
        finding_help(finding, "add \"%s:\" and under it an entry that begins with \"- \", with these keys: %s%s",
                     row->key, keys_required(reader->arena, inner), entry_example(reader->arena, inner));
    else
        finding_help(finding, "add \"%s:\" with these keys under it: %s", row->key,
                     keys_required(reader->arena, inner));
}
