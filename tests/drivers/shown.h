/* shown: a document's shape as text, for scripts that pin it: how its sections and blocks are to be
 * set, and every number and word from which a picture is drawn.  What is zero, empty or no is left out. */
#ifndef SHOWN_H
#define SHOWN_H

#include "wording/wording.h"

typedef struct Shown {
    GString *out;
    int deep;
} Shown;

static void shown_word(GString *out, const char *name, const char *text)
{
    if (text && *text)
        g_string_append_printf(out, " %s=%s", name, text);
}

static void shown_number(GString *out, const char *name, gint64 number)
{
    if (number)
        g_string_append_printf(out, " %s=%" G_GINT64_FORMAT, name, number);
}

static void shown_rational(GString *out, const char *name, Rational number)
{
    if (number.num)
        g_string_append_printf(out, " %s=%" G_GINT64_FORMAT "/%" G_GINT64_FORMAT, name, number.num, number.den);
}

#define WORD(member) shown_word(out, #member, shape->member)
#define NUMBER(member) shown_number(out, #member, (gint64)shape->member)
#define RATIONAL(member) shown_rational(out, #member, shape->member)
#define LOOK(member) (shown_word(out, "hub", shape->member.hub), shown_number(out, "filling", shape->member.filling))

/* ---- one function for each member of FigureShape ---- */

static void shown_plain(GString *out, const PlainFigure *shape) { (void)out, (void)shape; }

static void shown_syringe(GString *out, const SyringeFigure *shape)
{
    RATIONAL(capacity_ml), RATIONAL(mark_every_ml), RATIONAL(number_every_ml), NUMBER(u100), RATIONAL(scale_mm);
    RATIONAL(barrel_mm), RATIONAL(fill_ml), WORD(pointer), WORD(pointer_note), RATIONAL(needle_mm), NUMBER(gauge);
    LOOK(needle), NUMBER(fixed), NUMBER(slip), NUMBER(bubble);
}

static void shown_pen(GString *out, const PenFigure *shape)
{
    WORD(number), WORD(note), LOOK(needle);
}

static void shown_strip(GString *out, const StripFigure *shape)
{
    NUMBER(minute), NUMBER(from), NUMBER(until), WORD(left_day), WORD(right_day), WORD(time);
    for (gsize i = 0; i < G_N_ELEMENTS(shape->clocks); i++)
        shown_word(out, "clock", shape->clocks[i]);
    if (shape->also) {
        g_string_append(out, " also:");
        shown_strip(out, shape->also);
    }
}

static void shown_code(GString *out, const CodeFigure *shape)
{
    g_auto(GStrv) lines = g_strsplit(shape->text ? shape->text : "", "\r\n", -1);
    g_autofree char *joined = g_strjoinv(" | ", lines);
    shown_word(out, "text", joined);
}

static void shown_scene(GString *out, const SceneFigure *shape)
{
    LOOK(needle), NUMBER(fixed), NUMBER(slip), NUMBER(pen), NUMBER(muscle), NUMBER(fold), NUMBER(vial), NUMBER(ampoule);
    NUMBER(angle), WORD(amount), WORD(other), NUMBER(count), NUMBER(of);
}

static void shown_site(GString *out, const SiteFigure *shape)
{
    NUMBER(site), NUMBER(view), NUMBER(left), NUMBER(either), NUMBER(fingers), WORD(left_word), WORD(right_word);
}

static void shown_pair(GString *out, const PairFigure *shape)
{
    WORD(good), WORD(bad), WORD(number), LOOK(needle), NUMBER(fixed);
}

static void shown_thing(GString *out, const ThingFigure *shape)
{
    NUMBER(kind), LOOK(look), RATIONAL(needle_mm), NUMBER(fixed), NUMBER(slip), NUMBER(beside), NUMBER(count);
}

static void shown_things(GString *out, const ThingsFigure *shape)
{
    for (guint i = 0; i < shape->count; i++) {
        g_string_append(out, " thing:");
        shown_thing(out, &shape->things[i]);
    }
}

static void shown_pack(GString *out, const PackFigure *shape)
{
    LOOK(look), RATIONAL(length_mm), NUMBER(gauge), NUMBER(count);
}

static void shown_card(GString *out, const CardFigure *shape) { WORD(label); }

static void shown_label(GString *out, const LabelFigure *shape)
{
    NUMBER(kind), WORD(name), WORD(strength), WORD(use_by);
}

/* ---- blocks ---- */

static void shown_shape(GString *out, const FigureShape *shape)
{
    switch (shape->kind) {
#define FIGURE(id, numbers, words, drawn) case FIGURE_##id: shown_##numbers(out, &shape->numbers); break;
#include "figure/figures.def"
    case FIGURE_NONE:
    case FIGURE_COUNT: break;
    }
}

static void shown_figure(const Shown *shown, const char *what, const FigureShape *shape)
{
    g_string_append_printf(shown->out, "%*s%s %s", shown->deep, "", what, figure_row(shape->kind)->id);
    shown_shape(shown->out, shape);
    g_string_append_c(shown->out, '\n');
}

static const char *const shown_kinds[] = {
    [BLOCK_TEXT] = "text", [BLOCK_LIST] = "list", [BLOCK_CALL] = "call", [BLOCK_PHONE] = "phone",
    [BLOCK_LADDER] = "ladder", [BLOCK_RUNG] = "rung", [BLOCK_FIGURE] = "figure", [BLOCK_KIT] = "kit",
    [BLOCK_ITEM] = "item", [BLOCK_WRITE] = "write", [BLOCK_BAND] = "band", [BLOCK_PANEL] = "panel",
    [BLOCK_STOP] = "stop", [BLOCK_GO] = "go", [BLOCK_LOOP] = "loop", [BLOCK_TICK] = "tick", [BLOCK_NOTE] = "note",
    [BLOCK_WHEN] = "when", [BLOCK_PAIR] = "pair", [BLOCK_COLUMNS] = "columns", [BLOCK_SAY] = "say",
    [BLOCK_WRITES] = "writes", [BLOCK_TABLE] = "table", [BLOCK_HOURS] = "hours", [BLOCK_NIGHT] = "night",
    [BLOCK_REMARKS] = "remarks", [BLOCK_ROW] = "row"};

/* What the words alone do not tell of its lines: how many, how much is bold, marked or dialled, pages. */
static void shown_lines(GString *out, const GPtrArray *lines)
{
    gint64 strong = 0, marked = 0;
    shown_number(out, "lines", lines->len);
    for (guint i = 0; i < lines->len; i++) {
        const Line *line = g_ptr_array_index(lines, i);
        for (guint j = 0; j < line->runs->len; j++) {
            const Run *run = g_ptr_array_index(line->runs, j);
            strong += run->strong;
            marked += run->marked;
            shown_word(out, "dial", run->dial);
            shown_word(out, "page_of", run->page_of);
        }
    }
    shown_number(out, "strong", strong);
    shown_number(out, "marked", marked);
}

static void shown_block(Shown *shown, const Block *shape)
{
    GString *out = shown->out;
    g_string_append_printf(out, "%*s%s", shown->deep, "", shown_kinds[shape->kind]);
    WORD(role), NUMBER(boxed), WORD(mark), WORD(half), NUMBER(needle), NUMBER(opens_loop), NUMBER(along);
    NUMBER(columns);
    if (shape->kind != BLOCK_PANEL) /* the words have it, and one step less would change them all */
        NUMBER(number);
    shown_lines(out, shape->lines);
    g_string_append_c(out, '\n');
    shown->deep++;
    if (shape->thing.kind != FIGURE_NONE)
        shown_figure(shown, "thing", &shape->thing);
    for (guint i = 0; i < shape->figures->len; i++) {
        const Figure *figure = g_ptr_array_index(shape->figures, i);
        const char *room = figure->words == WORDS_NONE ? "small" : "worded";
        shown_figure(shown, figure->pleases ? "pleases" : room, &figure->shape);
    }
    for (guint i = 0; i < shape->items->len; i++)
        shown_block(shown, g_ptr_array_index(shape->items, i));
    shown->deep--;
}

static void shown_line(Arena *arena, GString *out, const char *name, const Line *line)
{
    if (!line)
        return;
    g_autofree char *text = g_strdelimit(g_strdup(line_text(arena, line)), "\n", '|');
    shown_word(out, name, text);
}

/* What stands on every page. */
static void shown_frame(Arena *arena, GString *out, const Document *shape)
{
    g_string_append(out, "document");
    WORD(language), NUMBER(right_to_left), NUMBER(for_clinic), WORD(clinic), WORD(dated), WORD(page_of), WORD(draft);
    WORD(banner), WORD(subject), WORD(page_sign);
    shown_line(arena, out, "foot_call", shape->foot_call);
    shown_line(arena, out, "foot_more", shape->foot_more);
    g_string_append_c(out, '\n');
}

static void add_shown(Arena *arena, GString *out, const Document *document)
{
    shown_frame(arena, out, document);
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *shape = g_ptr_array_index(document->sections, i);
        g_string_append(out, "section");
        WORD(role), NUMBER(new_page), NUMBER(shares), NUMBER(faces), WORD(mark);
        shown_line(arena, out, "head", shape->head);
        g_string_append_c(out, '\n');
        Shown shown = {out, 1};
        for (guint j = 0; j < shape->blocks->len; j++)
            shown_block(&shown, g_ptr_array_index(shape->blocks, j));
    }
}

#undef WORD
#undef NUMBER
#undef RATIONAL
#undef LOOK

#endif
