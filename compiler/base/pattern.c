/* pattern: see pattern.h. */
#include "base/pattern.h"

#define OFTEN 60 /* uses, from which on a pattern is worth being translated for the processor */

typedef struct Known {
    GRegex *regex;
    GRegex *first; /* the one before, which somebody may still be using */
    guint uses;
} Known;

static GRegex *compile(const char *pattern, GRegexCompileFlags options)
{
    GRegex *regex = g_regex_new(pattern, options, 0, NULL);
    g_assert(regex);
    return regex;
}

GRegex *pattern_compiled(const char *pattern, GRegexCompileFlags options)
{
    static GHashTable *patterns;
    if (!patterns)
        patterns = g_hash_table_new(g_direct_hash, g_direct_equal);
    Known *known = g_hash_table_lookup(patterns, pattern);
    if (!known) {
        known = g_new0(Known, 1);
        known->regex = compile(pattern, options);
        g_hash_table_insert(patterns, (gpointer)pattern, known);
    }
    g_assert((g_regex_get_compile_flags(known->regex) & options) == options);
    if (++known->uses == OFTEN) {
        known->first = known->regex;
        known->regex = compile(pattern, options | G_REGEX_OPTIMIZE);
    }
    return known->regex;
}

gboolean pattern_matches(const char *pattern, const char *text, GRegexCompileFlags options)
{
    return g_regex_match(pattern_compiled(pattern, options), text, 0, NULL);
}
