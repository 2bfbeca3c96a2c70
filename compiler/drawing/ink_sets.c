/* ink_sets: the texts that were set so far, by what decides how they are set.  A sheet is measured
 * in many more ways than it is drawn, so a text is looked up a hundred times for each time that it
 * is set: nothing is printed or copied to find it. */
#include <string.h>

#include "drawing/ink_parts.h"

#define PRIME 0x9E3779B97F4A7C15u /* spreads the bits of what it multiplies over the upper half */

static guint64 mix(guint64 hash, guint64 value)
{
    hash = (hash ^ value) * PRIME;
    return hash ^ (hash >> 32);
}

static guint64 mix_text(guint64 hash, const char *text)
{
    gsize length = strlen(text);
    guint64 eight;
    for (; length >= sizeof eight; text += sizeof eight, length -= sizeof eight) {
        memcpy(&eight, text, sizeof eight);
        hash = mix(hash, eight);
    }
    eight = 0;
    memcpy(&eight, text, length);
    return mix(hash, eight + length);
}

InkText ink_text_of(InkStyle style, const InkRun *runs, gsize count, double width)
{
    InkText text = {.runs = runs, .count = count, .size = (int)(style.size * 100), .bold = style.bold,
                    .width = (int)(width * 1000)};
    guint64 hash = mix(mix((guint64)text.size, (guint64)text.bold), (guint64)text.width);
    for (gsize i = 0; i < count; i++)
        hash = mix_text(hash + (guint64)runs[i].bold, runs[i].text);
    text.hash = (guint)hash;
    return text;
}

static guint text_hash(gconstpointer text)
{
    const InkText *own = text;
    return own->hash ^ (guint)own->from;
}

static gboolean text_equal(gconstpointer left, gconstpointer right)
{
    const InkText *a = left, *b = right;
    if (a->hash != b->hash || a->from != b->from || a->until != b->until || a->size != b->size ||
        a->bold != b->bold || a->width != b->width || a->count != b->count)
        return FALSE;
    for (gsize i = 0; i < a->count; i++)
        if (a->runs[i].bold != b->runs[i].bold || strcmp(a->runs[i].text, b->runs[i].text) != 0)
            return FALSE;
    return TRUE;
}

/* The runs and their words lie behind it. */
static gsize room_of(const InkText *text)
{
    gsize room = sizeof(InkSet) + text->count * sizeof(InkRun);
    for (gsize i = 0; i < text->count; i++)
        room += strlen(text->runs[i].text) + 1;
    return room;
}

InkSet *ink_set_new(const InkText *text)
{
    InkSet *set = g_malloc0(room_of(text));
    InkRun *runs = (InkRun *)(set + 1);
    char *words = (char *)(runs + text->count);
    set->text = *text;
    set->text.runs = runs;
    for (gsize i = 0; i < text->count; i++) {
        runs[i] = (InkRun){words, text->runs[i].bold, NULL};
        words = g_stpcpy(words, text->runs[i].text) + 1;
    }
    return set;
}

void ink_set_free(gpointer set)
{
    InkSet *own = set;
    g_clear_object(&own->layout);
    g_clear_pointer(&own->measured, g_array_unref);
    g_clear_pointer(&own->pieces, g_array_unref);
    g_free(own);
}

GHashTable *ink_sets_new(void) { return g_hash_table_new_full(text_hash, text_equal, NULL, ink_set_free); }

InkSet *ink_set_find(const Ink *ink, const InkText *text) { return g_hash_table_lookup(ink->sets, text); }

void ink_set_keep(Ink *ink, InkSet *set) { g_hash_table_insert(ink->sets, &set->text, set); }

/* Lines are filled one after the other, so a wider column never has more of them: between two widths
 * with as many lines each there are as many too. */
gboolean ink_set_lines(const InkSet *set, int width, InkLines *lines)
{
    *lines = (InkLines){width, set->paragraphs, TRUE};
    if (width < 0 || set->natural <= width)
        return TRUE;
    int below = G_MAXINT, above = set->paragraphs;
    for (guint i = 0; set->measured && i < set->measured->len; i++) {
        const InkLines *known = &g_array_index(set->measured, InkLines, i);
        if (known->width == width) {
            *lines = *known;
            return TRUE;
        }
        if (known->breaks && known->width < width)
            below = MIN(below, known->lines);
        if (known->breaks && known->width > width)
            above = MAX(above, known->lines);
    }
    lines->lines = above;
    return below == above;
}
