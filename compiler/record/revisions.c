/* record_revisions: what approvals covered, as texts. */
#include <string.h>

#include "record/parts.h"

gboolean record_keep_revision(Record *record, const RecordRevision *revision, GError **error)
{
    g_autoptr(GString) body = g_string_new(NULL);
    record_line(body, "protocol", revision->protocol);
    g_string_append_printf(body, "revision: %" G_GINT64_FORMAT "\n", revision->revision);
    record_line(body, "seal", revision->seal);
    record_line(body, "protocol_text", revision->protocol_text);
    record_line(body, "clinic_text", revision->clinic_text);
    record_line(body, "shelf_text", revision->shelf_text);
    record_line(body, "rules_text", revision->rules_text);
    return record_append(record, RECORD_APPROVED, 0, "", revision->by, body->str, error);
}

static RecordRevision *revision_of(Arena *arena, const RecordEntry *entry)
{
    RecordRevision *revision = arena_new0(arena, RecordRevision);
    const char *number = record_value(arena, entry->body, "revision");
    revision->protocol = record_value(arena, entry->body, "protocol");
    revision->revision = number ? g_ascii_strtoll(number, NULL, 10) : 0;
    revision->seal = record_value(arena, entry->body, "seal");
    revision->protocol_text = record_value(arena, entry->body, "protocol_text");
    revision->clinic_text = record_value(arena, entry->body, "clinic_text");
    revision->shelf_text = record_value(arena, entry->body, "shelf_text");
    revision->rules_text = record_value(arena, entry->body, "rules_text");
    revision->by = entry->by;
    revision->at = entry->at;
    return revision;
}

/* Newest first, of RecordRevision*; NULL with *error. */
static GPtrArray *record_revisions(Record *record, const char *protocol, GError **error)
{
    GPtrArray *entries = arena_list(record->arena), *revisions = arena_list(record->arena);
    if (!record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE kind = 'approved' ORDER BY seq DESC", NULL,
                        0, entries, error))
        return NULL;
    for (guint i = 0; i < entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(entries, i);
        const char *name = record_value(record->arena, entry->body, "protocol");
        if (strcmp(entry->clinic, record->place.clinic) == 0 && g_strcmp0(name, protocol) == 0)
            g_ptr_array_add(revisions, revision_of(record->arena, entry));
    }
    return revisions;
}

/* The seals of a protocol, asked for once a run: of a roster each person asks. */
static const GPtrArray *seals_of(Record *record, const char *protocol, GError **error)
{
    if (!record->seals)
        record->seals = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_ptr_array_unref);
    GPtrArray *seals = g_hash_table_lookup(record->seals, protocol);
    if (seals)
        return seals;
    Arena *own = record_scratch(record);
    const GPtrArray *revisions = record_revisions(record, protocol, error);
    seals = revisions ? g_ptr_array_new_with_free_func(g_free) : NULL;
    for (guint i = 0; revisions && i < revisions->len; i++)
        g_ptr_array_add(seals, g_strdup(((const RecordRevision *)g_ptr_array_index(revisions, i))->seal));
    record_scratch_end(record, own);
    if (seals)
        g_hash_table_insert(record->seals, g_strdup(protocol), seals);
    return seals;
}

gboolean record_approval(Record *record, const char *protocol, const char *seal, guint *known, gboolean *same,
                         GError **error)
{
    const GPtrArray *seals = seals_of(record, protocol, error);
    *known = seals ? seals->len : 0;
    *same = FALSE;
    for (guint i = 0; seals && i < seals->len; i++)
        *same |= seal_same(g_ptr_array_index(seals, i), seal);
    return seals != NULL;
}
