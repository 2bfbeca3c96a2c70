/* arena: memory for one run.  Everything read, planned and worded lives until
 * arena_free; nothing in it is freed alone.  Knows nothing of medicine.
 * GLib aborts when memory ends, so no call here returns NULL. */
#ifndef ARENA_H
#define ARENA_H

#include <glib.h>

typedef struct Arena Arena;

/* A new, empty arena; the caller frees it with arena_free. */
Arena *arena_new(void);
void arena_free(Arena *arena);
/* Frees what is in it; the arena is empty and may be used again. */
void arena_clear(Arena *arena);
/* Frees what came into it after the mark, and leaves all that was there before. */
typedef struct ArenaMark {
    guint chunks, releases;
    char *current;
    gsize used;
} ArenaMark;
ArenaMark arena_mark(const Arena *arena);
void arena_rewind(Arena *arena, ArenaMark mark);

/* Zeroed bytes, owned by the arena. */
gpointer arena_alloc(Arena *arena, gsize size);
#define arena_new0(arena, Type) ((Type *)arena_alloc((arena), sizeof(Type)))

/* Copies of text, owned by the arena. */
char *arena_copy(Arena *arena, const char *text);
char *arena_copy_length(Arena *arena, const char *text, gsize length);
char *arena_format(Arena *arena, const char *format, ...) G_GNUC_PRINTF(2, 3);

/* An empty list of pointers, owned (with its growth) by the arena; the things
 * pointed at are not freed by it. */
GPtrArray *arena_list(Arena *arena);

/* Calls release(thing) when the arena is freed (zones, sources). */
void arena_defer(Arena *arena, GDestroyNotify release, gpointer thing);

#endif
