/* page_measures: what was measured and is asked again.  To choose levels, rows and shares, each block
 * is set at the same width many times over; only the first time makes boxes. */
#include <string.h>

#include "page/parts.h"

#define SPREAD 0x9E3779B97F4A7C15u

static guint measure_hash(gconstpointer key)
{
    const Measure *measure = key;
    guint64 width, hash = (guint64)(gsize)measure->of;
    memcpy(&width, &measure->width, sizeof width);
    hash = (hash ^ width ^ (guint64)measure->how) * SPREAD;
    return (guint)(hash >> 32);
}

static gboolean measure_equal(gconstpointer left, gconstpointer right)
{
    const Measure *a = left, *b = right;
    return a->of == b->of && a->width == b->width && a->how == b->how;
}

static Measure *measure_of(const Setter *setter, gconstpointer of, double width, int how)
{
    const Measure asked = {.of = of, .width = width, .how = how};
    Measure *measure = g_hash_table_lookup(setter->measures, &asked);
    if (measure)
        return measure;
    measure = g_memdup2(&asked, sizeof asked);
    g_hash_table_add(setter->measures, measure);
    return measure;
}

void measures_begin(Setter *setter)
{
    setter->measures = g_hash_table_new_full(measure_hash, measure_equal, g_free, NULL);
    arena_defer(setter->arena, (GDestroyNotify)g_hash_table_unref, setter->measures);
}

/* Words were changed. */
void measures_forget(Setter *setter) { g_hash_table_remove_all(setter->measures); }

Measure *measure_of_block(const Setter *setter, const Block *block, double width)
{
    return measure_of(setter, block, width, (int)(setter->level - page_levels));
}

Measure *measure_of_words(const Setter *setter, const Block *block) { return measure_of(setter, block, 0, -1); }

FigureSize size_of(const Setter *setter, const FigureShape *shape, FigureRoom offered)
{
    Measure *measure = measure_of(setter, shape, offered.width, (int)(offered.type * 1000));
    if (!measure->known)
        measure->size = figure_size(setter->ink, shape, offered);
    measure->known = TRUE;
    return measure->size;
}

double measured_once(Setter *setter, const Block *block, BlockPut put, const BoxPlace *place)
{
    Measure *measure = setter->scratches > 0 ? measure_of_block(setter, block, place->width) : NULL;
    if (measure && measure->known) {
        setter->crowds += measure->crowds;
        return measure->height;
    }
    guint before = setter->crowds;
    double height = put(setter, block, place->x, place->y, place->width);
    if (measure) {
        measure->known = TRUE;
        measure->height = height;
        measure->crowds = setter->crowds - before;
    }
    return height;
}

/* ---- what is only measured is forgotten at once: a sheet is measured in many more ways than one ---- */

Scratch scratch_open(Setter *setter)
{
    const Scratch before = {setter->pile.open, setter->crowds};
    if (setter->scratches++ == 0) {
        setter->kept = setter->arena;
        setter->arena = setter->scratch;
    }
    setter->crowds = 0;
    box_pile_begin(&setter->pile, setter->arena);
    box_open(&setter->pile, NULL);
    return before;
}

guint scratch_close(Setter *setter, Scratch before)
{
    guint count = setter->crowds;
    if (--setter->scratches == 0) {
        setter->arena = setter->kept;
        arena_clear(setter->scratch);
    }
    setter->pile = (BoxPile){setter->arena, before.open};
    setter->crowds = before.crowds;
    return count;
}
