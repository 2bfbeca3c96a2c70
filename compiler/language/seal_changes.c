/* seal_changes: two sealed texts, value by value. */
#include "language/seal.h"

#include <string.h>

/* "5:words5:again" as "words again", or NULL when it is anything else: texts, each led by its length. */
static char *texts_shown(const char *at)
{
    g_autoptr(GString) out = g_string_new(NULL);
    while (*at) {
        char *end;
        guint64 length = g_ascii_isdigit(*at) ? g_ascii_strtoull(at, &end, 10) : 0;
        if (!g_ascii_isdigit(*at) || *end != ':' || strlen(end + 1) < length)
            return NULL;
        g_string_append_printf(out, "%s%.*s", out->len ? " " : "", (int)length, end + 1);
        at = end + 1 + length;
    }
    return g_strdup(out->str);
}

/* Texts, also behind an amount ("6 h19:in the refrigerator"), lose their lengths; anything else stands as it is. */
static char *value_shown(const char *value)
{
    for (const char *at = value; *at; at++) {
        if (!g_ascii_isdigit(*at) || (at > value && g_ascii_isdigit(at[-1])))
            continue;
        g_autofree char *texts = texts_shown(at);
        if (texts)
            return g_strdup_printf("%.*s%s%s", (int)(at - value), value, at > value ? " " : "", texts);
    }
    return g_strdup(value);
}

/* path -> value of a sealed text; keys and values live in lines. */
static GHashTable *values_of(char **lines)
{
    GHashTable *values = g_hash_table_new(g_str_hash, g_str_equal);
    for (char **line = lines; *line; line++) {
        char *equals = strchr(*line, '=');
        if (!equals)
            continue;
        *equals = '\0';
        g_hash_table_insert(values, *line, equals + 1);
    }
    return values;
}

/* A list is told by its items and a record by its keys. */
static gboolean is_whole(GHashTable *values, const char *path, const char *value)
{
    g_autofree char *first = g_strconcat(path, ".1", NULL);
    return !*value || g_hash_table_contains(values, first);
}

static void tell(GString *out, const char *path, const char *was, const char *is)
{
    g_autofree char *words = g_strdelimit(g_strdup(path), "._", ' ');
    g_autofree char *old = was ? value_shown(was) : NULL, *new = is ? value_shown(is) : NULL;
    if (old && new)
        g_string_append_printf(out, "%s: %s became %s\n", words, old, new);
    else
        g_string_append_printf(out, "%s: %s is %s\n", words, new ? new : old, new ? "new" : "gone");
}

void seal_changes(const char *old, const char *new, GString *out)
{
    g_auto(GStrv) old_lines = g_strsplit(old, "\n", -1), new_lines = g_strsplit(new, "\n", -1);
    g_autoptr(GHashTable) before = values_of(old_lines), after = values_of(new_lines);
    for (char **line = new_lines; *line; line++) {
        const char *is = g_hash_table_lookup(after, *line), *was = g_hash_table_lookup(before, *line);
        if (is && g_strcmp0(was, is) != 0 && !is_whole(after, *line, is))
            tell(out, *line, was, is);
    }
    for (char **line = old_lines; *line; line++) {
        const char *was = g_hash_table_lookup(before, *line);
        if (was && !g_hash_table_contains(after, *line) && !is_whole(before, *line, was))
            tell(out, *line, was, NULL);
    }
}
