/* desk_tries: see desk/tries.h. */
#include "desk/tries.h"

typedef struct Count {
    gint64 since; /* microseconds */
    guint wrong;
} Count;

struct Tries {
    GHashTable *counts; /* "name NAME", "from ADDRESS" -> Count* */
    GHashTable *known;  /* "NAME at ADDRESS": signed in there before */
};

Tries *tries_new(void)
{
    Tries *tries = g_new0(Tries, 1);
    tries->counts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    tries->known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    return tries;
}

void tries_free(Tries *tries)
{
    g_hash_table_unref(tries->counts);
    g_hash_table_unref(tries->known);
    g_free(tries);
}

static gboolean is_old(const Count *count)
{
    return g_get_monotonic_time() - count->since > (gint64)TRIES_WITHIN * G_USEC_PER_SEC;
}

static gboolean count_is_old(gpointer key, gpointer count, gpointer data)
{
    (void)key, (void)data;
    return is_old(count);
}

/* NULL when more are counted than can be kept: then nobody new may try. */
static Count *count_of(Tries *tries, const char *kind, const char *who)
{
    g_autofree char *key = g_strdup_printf("%s %s", kind, who);
    Count *count = g_hash_table_lookup(tries->counts, key);
    if (!count && g_hash_table_size(tries->counts) >= TRIES_KEPT)
        g_hash_table_foreach_remove(tries->counts, count_is_old, NULL);
    if (!count && g_hash_table_size(tries->counts) >= TRIES_KEPT)
        return NULL;
    if (!count) {
        count = g_new0(Count, 1);
        count->since = g_get_monotonic_time();
        g_hash_table_insert(tries->counts, g_steal_pointer(&key), count);
    } else if (is_old(count)) {
        *count = (Count){.since = g_get_monotonic_time()};
    }
    return count;
}

static char *place(const char *name, const char *address) { return g_strdup_printf("%s at %s", name, address); }

gboolean tries_begin(Tries *tries, const char *name, const char *address)
{
    g_autofree char *key = place(name, address);
    gboolean known = g_hash_table_contains(tries->known, key);
    Count *from = count_of(tries, "from", address), *of = count_of(tries, "name", name);
    if (!from || from->wrong >= TRIES_WRONG || (!known && (!of || of->wrong >= TRIES_WRONG)))
        return FALSE;
    from->wrong++;
    if (of && !known) /* a slip at her own desk is no guess at her password */
        of->wrong++;
    return TRUE;
}

void tries_right(Tries *tries, const char *name, const char *address)
{
    char *key = place(name, address);
    gboolean known = g_hash_table_contains(tries->known, key);
    Count *from = count_of(tries, "from", address), *of = count_of(tries, "name", name);
    if (from && from->wrong > 0)
        from->wrong--;
    if (of && of->wrong > 0 && !known)
        of->wrong--;
    if (g_hash_table_size(tries->known) >= TRIES_KEPT)
        g_hash_table_remove_all(tries->known);
    g_hash_table_add(tries->known, key);
}
