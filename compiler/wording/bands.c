/* wording_bands: blocks that hold blocks: bands and their panels, the stop box, boxes side by side. */
#include <string.h>

#include "wording/parts.h"

/* ---- panels ---- */

static const struct { const char *id; NeedleState needle; } panels[] = {
#define PANEL(id, needle) {#id, NEEDLE_##needle},
#include "plan/panels.def"
};

gboolean panel_named(const char *word, NeedleState *out)
{
    for (gsize i = 0; i < G_N_ELEMENTS(panels); i++)
        if (strcmp(panels[i].id, word) == 0) {
            *out = panels[i].needle;
            return TRUE;
        }
    return FALSE;
}

/* ---- lines ---- */

Line *counted_line(const Wording *wording, const char *id)
{
    const Filling filling[] = {{"n", arena_format(wording->arena, "%d", wording->facts)},
                               {"which", wording_which(wording)},
                               {"used", strstr(id, "count_") ? things_left(wording) : ""}, {NULL, NULL}};
    return wording_line(wording, id, filling, wording->facts);
}

Line *first_line(const Wording *wording, const GPtrArray *lines)
{
    for (guint i = 0; i < lines->len; i++) {
        const TemplateLine *line = g_ptr_array_index(lines, i);
        if (conditions_hold(wording, line->conditions))
            return counted_line(wording, line->phrase);
    }
    return NULL;
}

static void add_lines(const Wording *wording, GPtrArray *to, const GPtrArray *lines)
{
    for (guint i = 0; i < lines->len; i++) {
        const TemplateLine *from = g_ptr_array_index(lines, i);
        if (!conditions_hold(wording, from->conditions))
            continue;
        Line *line = counted_line(wording, from->phrase);
        if (line->runs->len > 0)
            g_ptr_array_add(to, line);
    }
}

/* Sentences of one panel run on as one paragraph. */
static Line *joined(const Wording *wording, const GPtrArray *sentences)
{
    Line *whole = line_of_text(wording->arena, "");
    g_ptr_array_set_size(whole->runs, 0);
    const Line *space = wording_line(wording, "format_sentences", NULL, 0);
    for (guint i = 0; i < sentences->len; i++) {
        const Line *sentence = g_ptr_array_index(sentences, i);
        for (guint j = 0; i > 0 && j < space->runs->len; j++)
            g_ptr_array_add(whole->runs, g_ptr_array_index(space->runs, j));
        for (guint j = 0; j < sentence->runs->len; j++)
            g_ptr_array_add(whole->runs, g_ptr_array_index(sentence->runs, j));
    }
    return whole;
}

/* A new place on the body, say, of which no sentence of the panel speaks. */
static void no_words(const Wording *wording, const TemplateBlock *from)
{
    Finding *finding = finding_add(wording->diagnostics, RULE_value_not_shown, from->place);
    finding_fact(finding, "the panel \"%s\" has no words for this sheet", from->role);
    finding_help(finding, "give it a line whose condition holds here");
}

static void run_on(const Wording *wording, GPtrArray *lines)
{
    Line *whole = joined(wording, lines);
    g_ptr_array_set_size(lines, 0);
    g_ptr_array_add(lines, whole);
}

static void fill_panel(Wording *wording, Block *block, const TemplateBlock *from)
{
    g_autoptr(GPtrArray) sentences = g_ptr_array_new();
    add_lines(wording, sentences, from->lines);
    if (sentences->len == 0)
        no_words(wording, from);
    g_ptr_array_add(block->lines, joined(wording, sentences));
    add_lines(wording, block->lines, from->remarks);
    gboolean known = panel_named(from->role, &block->needle);
    g_assert(known);
    gboolean second = g_strcmp0(from->half, "b") == 0 && wording->last_half;
    block->number = second ? wording->step : ++wording->step;
    block->half = second || g_strcmp0(from->half, "a") == 0 ? from->half : NULL;
    wording->last_half = block->half && !second ? block : NULL;
}

/* ---- figures ---- */

gboolean figure_named(const char *word, FigureKind *out)
{
    for (int kind = FIGURE_NONE + 1; kind < FIGURE_COUNT; kind++)
        if (g_ascii_strcasecmp(figure_row((FigureKind)kind)->id, word) == 0) {
            *out = (FigureKind)kind;
            return TRUE;
        }
    return FALSE;
}

static void add_figures(Wording *wording, Block *block, const GPtrArray *figures)
{
    for (guint i = 0; i < figures->len; i++) {
        const TemplateFigure *from = g_ptr_array_index(figures, i);
        if (!conditions_hold(wording, from->conditions))
            continue;
        Figure *figure = wording_figure(wording, from->kind);
        figure->pleases = from->pleases;
        g_ptr_array_add(block->figures, figure);
    }
}

/* ---- items ---- */

/* An act on its own has no second half. */
static void lone_half(Wording *wording)
{
    if (wording->last_half)
        wording->last_half->half = NULL;
    wording->last_half = NULL;
}

static void add_item_of(Wording *wording, GPtrArray *to, const TemplateBlock *from)
{
    if (!conditions_hold(wording, from->conditions))
        return;
    if (wording->last_half && (from->kind != BLOCK_PANEL || g_strcmp0(from->half, "b") != 0))
        lone_half(wording);
    Block *block = block_new(wording->arena, from->kind, from->role);
    block_fill(wording, block, from);
    if (block_says_something(block))
        g_ptr_array_add(to, block);
}

void blocks_add(Wording *wording, GPtrArray *to, const TemplateBlock *from)
{
    if (!from->each) {
        add_item_of(wording, to, from);
        return;
    }
    const PlanInjection *kept = wording->injection;
    const char *mark = wording->mark;
    for (guint i = 0; i < wording->injections->len; i++) {
        wording_turn_to(wording, i);
        add_item_of(wording, to, from);
    }
    wording->injection = kept;
    wording->mark = mark;
}

gboolean block_holds_blocks(BlockKind kind) { return kind >= BLOCK_BAND; }

/* Of two injections, which one it belongs to; the rest stands on pages that say so at their head. */
static gboolean shows_mark(BlockKind kind)
{
    return kind == BLOCK_WHEN || kind == BLOCK_LADDER || kind == BLOCK_KIT || kind == BLOCK_WRITES;
}

void bands_fill(Wording *wording, Block *block, const TemplateBlock *from)
{
    int facts = wording->facts;
    if (shows_mark(from->kind))
        block->mark = wording->mark;
    block->columns = from->columns;
    block->opens_loop = from->opens_loop;
    block->clock = first_line(wording, from->clocks);
    block->aside = first_line(wording, from->asides);
    if (from->kind == BLOCK_PANEL)
        fill_panel(wording, block, from);
    else if (block_holds_blocks(from->kind))
        add_lines(wording, block->lines, from->lines);
    if (from->kind == BLOCK_NOTE) /* its own words first */
        block_from(wording, block, from);
    if (from->run_on)
        run_on(wording, block->lines);
    if (from->kind == BLOCK_STOP)
        wording->facts = (int)block->lines->len;
    block->title = first_line(wording, from->titles);
    if (from->kind == BLOCK_TABLE)
        table_fill(wording, block, from->source);
    add_figures(wording, block, from->figures);
    for (guint i = 0; i < from->items->len; i++)
        blocks_add(wording, block->items, g_ptr_array_index(from->items, i));
    wording->facts = facts;
}
