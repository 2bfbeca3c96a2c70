/* pattern: see pattern.h. */
#include "base/pattern.h"

GRegex *pattern_compiled(const char *pattern, GRegexCompileFlags options)
{
    static GHashTable *known;
    if (!known)
        known = g_hash_table_new(g_direct_hash, g_direct_equal);
    GRegex *regex = g_hash_table_lookup(known, pattern);
    if (!regex) {
        regex = g_regex_new(pattern, options, 0, NULL);
        g_assert(regex);
        g_hash_table_insert(known, (gpointer)pattern, regex);
    }
    g_assert((g_regex_get_compile_flags(regex) & options) == options);
    return regex;
}

gboolean pattern_matches(const char *pattern, const char *text, GRegexCompileFlags options)
{
    return g_regex_match(pattern_compiled(pattern, options), text, 0, NULL);
}
