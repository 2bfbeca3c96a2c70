/* wording_walk: every text of a document, for those who read it back. */
#include "wording/parts.h"

static void line_of(const Line *line, DocumentVisit visit, gpointer data)
{
    for (guint i = 0; line && i < line->runs->len; i++)
        visit(((const Run *)g_ptr_array_index(line->runs, i))->text, data);
}

static void lines_of(const GPtrArray *lines, DocumentVisit visit, gpointer data)
{
    for (guint i = 0; i < lines->len; i++)
        line_of(g_ptr_array_index(lines, i), visit, data);
}

/* What stands in a drawing may be on the page, and need not be. */
static void figures_of(const GPtrArray *figures, DocumentVisit visit, gpointer data)
{
    for (guint i = 0; i < figures->len; i++) {
        const Figure *figure = g_ptr_array_index(figures, i);
        figure_visit(&figure->shape, visit, data);
    }
}

static void block_of(const Block *block, const DocumentVisitor *visitor)
{
    line_of(block->title, visitor->must, visitor->data);
    line_of(block->clock, visitor->must, visitor->data);
    line_of(block->aside, visitor->must, visitor->data);
    lines_of(block->lines, visitor->must, visitor->data);
    figures_of(block->figures, visitor->may, visitor->data);
    for (guint i = 0; i < block->items->len; i++)
        block_of(g_ptr_array_index(block->items, i), visitor);
}

void document_visit(const Document *document, const DocumentVisitor *visitor)
{
    visitor->must(document->title, visitor->data);
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        line_of(section->heading, visitor->must, visitor->data);
        for (guint j = 0; j < section->blocks->len; j++)
            block_of(g_ptr_array_index(section->blocks, j), visitor);
    }
}

static int steps_of(const Block *block)
{
    int highest = block->kind == BLOCK_PANEL ? block->number : 0;
    for (guint i = 0; i < block->items->len; i++)
        highest = MAX(highest, steps_of(g_ptr_array_index(block->items, i)));
    return highest;
}

void document_fold(const Document *document)
{
    g_assert(document->leaf);
    g_ptr_array_set_size(document->sections, 0);
    for (guint i = 0; i < document->leaf->len; i++)
        g_ptr_array_add(document->sections, g_ptr_array_index(document->leaf, i));
}

void document_keep_form(Document *document) { document->leaf = NULL; }

int document_steps(const Document *document)
{
    int steps = 0;
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        for (guint j = 0; j < section->blocks->len; j++)
            steps = MAX(steps, steps_of(g_ptr_array_index(section->blocks, j)));
    }
    return steps;
}
