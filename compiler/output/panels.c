/* output_panels: see panels.h.  A box does not know its block, so a panel is found by its words; where several
 * panels say the same, as those of two injections do, in the order of the document. */
#include "output/panels.h"

#include <string.h>

#include "output/output.h"

struct Panels {
    Arena *arena;
    const Document *document;
    GHashTable *places; /* words -> GArray* of int: the page of each box that says them, in order */
    int page;           /* that is looked at */
};

static void take_box(const PageBox *box, double left, gpointer data)
{
    Panels *panels = data;
    (void)left;
    if (box->kind != BOX_TEXT)
        return;
    const char *words = box_words(panels->arena, box);
    GArray *pages = g_hash_table_lookup(panels->places, words);
    if (!pages) {
        pages = g_array_new(FALSE, FALSE, sizeof(int));
        g_hash_table_insert(panels->places, (gpointer)words, pages);
    }
    g_array_append_val(pages, panels->page);
}

Panels *panels_of(Arena *arena, const Document *document, const Pages *pages)
{
    Panels *panels = arena_new0(arena, Panels);
    *panels = (Panels){arena, document, NULL, 0};
    panels->places = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, (GDestroyNotify)g_array_unref);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, panels->places);
    for (int page = 0; page < page_count(pages); page++) {
        panels->page = page + 1;
        box_visit(page_box(pages, page), take_box, panels);
    }
    return panels;
}

/* ---- one panel ---- */

typedef struct Seeking {
    const Panels *panels;
    const Block *block;
    const char *words;
    guint before; /* panels that say the same */
} Seeking;

static const char *words_of(const Panels *panels, const Block *block)
{
    return block->lines->len > 0 ? line_text(panels->arena, g_ptr_array_index(block->lines, 0)) : NULL;
}

/* TRUE when it was found. */
static gboolean seek(Seeking *seeking, const Block *block)
{
    if (block == seeking->block)
        return TRUE;
    if (block->kind == BLOCK_PANEL) {
        seeking->before += g_strcmp0(words_of(seeking->panels, block), seeking->words) == 0;
        return FALSE;
    }
    for (guint i = 0; i < block->items->len; i++)
        if (seek(seeking, g_ptr_array_index(block->items, i)))
            return TRUE;
    return FALSE;
}

static gboolean seek_in_document(Seeking *seeking)
{
    const GPtrArray *sections = seeking->panels->document->sections;
    for (guint i = 0; i < sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(sections, i);
        for (guint k = 0; k < section->blocks->len; k++)
            if (seek(seeking, g_ptr_array_index(section->blocks, k)))
                return TRUE;
    }
    return FALSE;
}

int panels_page(const Panels *panels, const Block *block)
{
    Seeking seeking = {panels, block, words_of(panels, block), 0};
    const GArray *pages = seeking.words ? g_hash_table_lookup(panels->places, seeking.words) : NULL;
    if (!pages || !seek_in_document(&seeking) || seeking.before >= pages->len)
        return 0;
    return g_array_index(pages, int, seeking.before);
}

/* ---- all of an injection ---- */

static void say_panels(const Panels *panels, const Block *block, GHashTable *told, GString *line)
{
    gboolean is_panel = block->kind == BLOCK_PANEL;
    if (is_panel && g_hash_table_add(told, (gpointer)block->role)) {
        int page = panels_page(panels, block);
        if (page > 0)
            g_string_append_printf(line, "%s%s %d", line->len > 0 ? ", " : "", block->role, page);
    }
    for (guint i = 0; !is_panel && i < block->items->len; i++)
        say_panels(panels, g_ptr_array_index(block->items, i), told, line);
}

/* Of each name the first panel that is the injection's own or that all share, as said_slip() takes it. */
static void say_injection(const Panels *panels, const PlanInjection *injection, GString *out)
{
    const GPtrArray *sections = panels->document->sections;
    g_autoptr(GString) line = g_string_new(NULL);
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(sections, i);
        if (section->injection && section->injection != injection)
            continue;
        for (guint k = 0; k < section->blocks->len; k++)
            say_panels(panels, g_ptr_array_index(section->blocks, k), told, line);
    }
    if (line->len > 0)
        g_string_append_printf(out, OUTPUT_PANELS "%d: %s\n", injection->number, line->str);
}

void panels_say(const Panels *panels, GString *out)
{
    const GPtrArray *injections = panels->document->injections;
    for (guint i = 0; i < injections->len; i++)
        say_injection(panels, g_ptr_array_index(injections, i), out);
}
