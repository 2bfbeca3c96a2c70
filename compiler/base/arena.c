/* arena: see arena.h. */
#include "base/arena.h"

#include <string.h>

#define CHUNK_SIZE (64 * 1024)
#define FIRST_CHUNK (4 * 1024) /* many an arena holds a few words and goes */
#define ALIGNMENT 16

typedef struct Release {
    GDestroyNotify release;
    gpointer thing;
} Release;

struct Arena {
    GPtrArray *chunks;  /* of bytes from g_malloc */
    gsize used, size;   /* of the last chunk that small things go into */
    char *current;
    GArray *releases;   /* of Release, run backwards */
};

Arena *arena_new(void)
{
    Arena *arena = g_new0(Arena, 1);
    arena->chunks = g_ptr_array_new_with_free_func(g_free);
    arena->releases = g_array_new(FALSE, FALSE, sizeof(Release));
    return arena;
}

static void release_from(Arena *arena, guint first)
{
    for (guint i = arena->releases->len; i > first; i--) {
        Release *last = &g_array_index(arena->releases, Release, i - 1);
        last->release(last->thing);
    }
    g_array_set_size(arena->releases, first);
}

/* One chunk stays for what comes next. */
void arena_clear(Arena *arena)
{
    guint at;
    release_from(arena, 0);
    if (!arena->current)
        return;
    if (g_ptr_array_find(arena->chunks, arena->current, &at))
        g_ptr_array_steal_index_fast(arena->chunks, at);
    g_ptr_array_set_size(arena->chunks, 0);
    g_ptr_array_add(arena->chunks, arena->current);
    arena->used = 0;
}

ArenaMark arena_mark(const Arena *arena)
{
    return (ArenaMark){arena->chunks->len, arena->releases->len, arena->current, arena->used};
}

/* The last chunk begun after the mark stays empty at hand, so that what is marked near the end of a chunk
 * does not ask for a new one each time. */
void arena_rewind(Arena *arena, ArenaMark mark)
{
    release_from(arena, mark.releases);
    if (arena->current != mark.current) {
        guint at;
        gboolean found = g_ptr_array_find(arena->chunks, arena->current, &at);
        g_assert(found && at >= mark.chunks);
        g_ptr_array_steal_index_fast(arena->chunks, at);
        g_ptr_array_set_size(arena->chunks, (gint)mark.chunks);
        g_ptr_array_add(arena->chunks, arena->current);
        arena->used = 0;
        return;
    }
    g_ptr_array_set_size(arena->chunks, (gint)mark.chunks);
    arena->used = mark.used;
}

void arena_free(Arena *arena)
{
    if (!arena)
        return;
    release_from(arena, 0);
    g_array_unref(arena->releases);
    g_ptr_array_unref(arena->chunks);
    g_free(arena);
}

gpointer arena_alloc(Arena *arena, gsize size)
{
    gsize rounded = (size + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    g_assert(rounded >= size);
    if (rounded > CHUNK_SIZE / 4) {
        gpointer large = g_malloc0(MAX(rounded, 1));
        g_ptr_array_add(arena->chunks, large);
        return large;
    }
    if (!arena->current || arena->size - arena->used < rounded) {
        arena->size = arena->current || rounded > FIRST_CHUNK ? CHUNK_SIZE : FIRST_CHUNK;
        arena->current = g_malloc(arena->size);
        arena->used = 0;
        g_ptr_array_add(arena->chunks, arena->current);
    }
    gpointer bytes = arena->current + arena->used;
    arena->used += rounded;
    return memset(bytes, 0, rounded); /* here and not when it is forgotten: only what is taken is touched */
}

char *arena_copy(Arena *arena, const char *text)
{
    return arena_copy_length(arena, text, strlen(text));
}

char *arena_copy_length(Arena *arena, const char *text, gsize length)
{
    char *copy = arena_alloc(arena, length + 1);
    memcpy(copy, text, length);
    return copy;
}

char *arena_format(Arena *arena, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    return arena_copy(arena, text);
}

GPtrArray *arena_list(Arena *arena)
{
    GPtrArray *list = g_ptr_array_new();
    arena_defer(arena, (GDestroyNotify)g_ptr_array_unref, list);
    return list;
}

void arena_defer(Arena *arena, GDestroyNotify release, gpointer thing)
{
    Release entry = {release, thing};
    g_array_append_val(arena->releases, entry);
}
