/* page_box: see box.h. */
#include "page/box.h"

#include <string.h>

/* ---- making ---- */

void box_pile_begin(BoxPile *pile, Arena *arena)
{
    *pile = (BoxPile){arena, NULL};
}

void box_take(PageBox *group, PageBox *box)
{
    *(group->last ? &group->last->next : &group->first) = box;
    group->last = box;
    box->around = group;
}

PageBox *box_add(BoxPile *pile, BoxKind kind, double x, double y, double width, double height)
{
    PageBox *box = arena_new0(pile->arena, PageBox);
    *box = (PageBox){.kind = kind, .x = x, .y = y, .width = width, .height = height, .arena = pile->arena};
    if (pile->open)
        box_take(pile->open, box);
    return box;
}

PageBox *box_open(BoxPile *pile, const char *tag)
{
    PageBox *group = box_add(pile, BOX_GROUP, 0, 0, 0, 0);
    group->tag = tag;
    pile->open = group;
    return group;
}

static void extend(PageBox *group)
{
    for (const PageBox *box = group->first; box; box = box->next) {
        gboolean alone = box == group->first;
        double right = MAX(group->x + group->width, box->x + box->width);
        double bottom = MAX(group->y + group->height, box->y + box->height);
        group->x = alone ? box->x : MIN(group->x, box->x);
        group->y = alone ? box->y : MIN(group->y, box->y);
        group->width = (alone ? box->x + box->width : right) - group->x;
        group->height = (alone ? box->y + box->height : bottom) - group->y;
    }
}

PageBox *box_close(BoxPile *pile)
{
    PageBox *group = pile->open;
    pile->open = group->around;
    if (group->width == 0 && group->height == 0)
        extend(group);
    return group;
}

void box_move(PageBox *box, double dx, double dy)
{
    box->x += dx;
    box->y += dy;
    for (PageBox *inner = box->first; inner; inner = inner->next)
        box_move(inner, dx, dy);
}

/* ---- drawing ---- */

static void draw_text(Ink *ink, const PageBox *box)
{
    /* A list's body holds paragraphs, so that a link can stand beside them. */
    gboolean body = box->tag && strcmp(box->tag, "LBody") == 0;
    const char *tag = body ? "P" : box->tag;
    if (box->bookmark)
        ink_bookmark(ink, box->bookmark > 1, box_words(box->arena, box), box->y);
    if (body)
        ink_tag(ink, "LBody");
    if (tag)
        ink_tag(ink, tag);
    ink_text_draw(ink, box->style, box->runs, box->count, box->x, box->y, box->width);
    if (tag)
        ink_untag(ink, tag);
    if (box->links)
        ink_close_links(ink);
    if (body)
        ink_untag(ink, "LBody");
}

static void draw_mark(Ink *ink, const PageBox *box)
{
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_translate(cairo, box->x + box->width / 2, box->y + box->height / 2);
    cairo_rotate(cairo, -0.9);
    ink_shape_label(ink, box->style, box->runs->text, 0, 0);
    cairo_restore(cairo);
}

/* Drawings are never mirrored: they only change sides. */
static void draw_drawing(Ink *ink, const PageBox *box)
{
    double left = ink_place(ink, box->x, box->width);
    double before = ink_mirror(ink, 0);
    if (box->alt)
        ink_tag_figure(ink, box->alt);
    figure_draw(ink, box->shape, left, box->y, box->room);
    if (box->alt)
        ink_untag(ink, "Figure");
    ink_mirror(ink, before);
}

static void draw_arrow(Ink *ink, const PageBox *box)
{
    cairo_t *cairo = ink_cairo(ink);
    double x = box->x, right = x + box->width, bottom = box->y + box->height;
    const double along[] = {x, right, x}, up[] = {x, x + box->width / 2, right};
    const double across[] = {box->y, box->y + box->height / 2, bottom}, down[] = {bottom, box->y, bottom};
    for (int i = 0; i < 3; i++) {
        double at = ink_place(ink, box->upward ? up[i] : along[i], 0), y = box->upward ? down[i] : across[i];
        i == 0 ? cairo_move_to(cairo, at, y) : cairo_line_to(cairo, at, y);
    }
    cairo_close_path(cairo);
    ink_fill_grey(ink, 0);
}

static void draw_shape(Ink *ink, const PageBox *box)
{
    double x = box->x;
    if (box->kind == BOX_TICK) {
        ink_tick_box(ink, x, box->y, box->width);
    } else if (box->kind == BOX_TINT) {
        ink_rounded(ink, x, box->y, box->width, box->height, box->radius);
        ink_fill_tint(ink);
    } else if (box->kind == BOX_FRAME) {
        ink_pen(ink, box->weight);
        ink_rounded(ink, x, box->y, box->width, box->height, box->radius);
        ink_stroke(ink);
    } else if (box->kind == BOX_RULE) {
        ink_pen(ink, box->weight);
        ink_line(ink, x, box->y, x + box->width, box->y + box->height);
    } else if (box->kind == BOX_FILL) {
        cairo_rectangle(ink_cairo(ink), ink_place(ink, x, box->width), box->y, box->width, box->height);
        ink_fill_grey(ink, box->grey);
    } else if (box->kind == BOX_ARROW) {
        draw_arrow(ink, box);
    } else if (box->kind == BOX_DOT) {
        cairo_arc(ink_cairo(ink), ink_place(ink, x + box->width / 2, 0), box->y + box->height / 2, box->width / 2, 0,
                  2 * G_PI);
        ink_fill_grey(ink, box->grey);
    }
}

static void draw_box(Ink *ink, const PageBox *box);

static void draw_group(Ink *ink, const PageBox *box)
{
    if (box->tag)
        ink_tag(ink, box->tag);
    for (const PageBox *inner = box->first; inner; inner = inner->next)
        draw_box(ink, inner);
    if (box->tag)
        ink_untag(ink, box->tag);
    if (box->links)
        ink_close_links(ink);
}

static void draw_box(Ink *ink, const PageBox *box)
{
    switch (box->kind) {
    case BOX_GROUP: draw_group(ink, box); break;
    case BOX_TEXT: draw_text(ink, box); break;
    case BOX_DRAWING: draw_drawing(ink, box); break;
    case BOX_MARK: draw_mark(ink, box); break;
    case BOX_TINT:
    case BOX_FRAME:
    case BOX_RULE:
    case BOX_FILL:
    case BOX_ARROW:
    case BOX_DOT:
    case BOX_TICK: draw_shape(ink, box); break;
    }
}

void box_draw(Ink *ink, const PageBox *page)
{
    ink_mirror(ink, page->from_right ? page->width : 0);
    draw_box(ink, page);
}

/* ---- visiting ---- */

typedef struct Visitor {
    BoxVisit visit;
    gpointer data;
} Visitor;

/* mirror: the width of a page that runs from the right, or 0. */
static void visit_at(const Visitor *visitor, const PageBox *box, double mirror)
{
    if (box->kind != BOX_GROUP)
        visitor->visit(box, mirror > 0 ? mirror - box->x - box->width : box->x, visitor->data);
    for (const PageBox *inner = box->first; inner; inner = inner->next)
        visit_at(visitor, inner, mirror);
}

void box_visit(const PageBox *page, BoxVisit visit, gpointer data)
{
    const Visitor visitor = {visit, data};
    visit_at(&visitor, page, page->from_right ? page->width : 0);
}

/* ---- printing ---- */

const char *box_words(Arena *arena, const PageBox *box)
{
    g_autoptr(GString) words = g_string_new(NULL);
    for (gsize i = 0; i < box->count; i++)
        g_string_append(words, box->runs[i].text);
    return arena_copy(arena, words->str);
}

static const char *kind_word(BoxKind kind)
{
    switch (kind) {
    case BOX_GROUP: return "group";
    case BOX_TEXT: return "text";
    case BOX_DRAWING: return "drawing";
    case BOX_TINT: return "tint";
    case BOX_FRAME: return "frame";
    case BOX_RULE: return "rule";
    case BOX_FILL: return "fill";
    case BOX_ARROW: return "arrow";
    case BOX_DOT: return "dot";
    case BOX_TICK: return "tick";
    case BOX_MARK: return "mark";
    }
    g_assert_not_reached();
}

void box_print(GString *out, const PageBox *box, guint depth)
{
    g_string_append_printf(out, "%*s%s%s%s %.1f,%.1f %.1fx%.1f", (int)depth * 2, "", kind_word(box->kind),
                           box->tag ? " " : "", box->tag ? box->tag : "", box->x, box->y, box->width, box->height);
    if (box->kind == BOX_TEXT)
        g_string_append_printf(out, " %gpt%s \"%s\"", box->style.size, box->style.bold ? " bold" : "",
                               box_words(box->arena, box));
    if (box->upward)
        g_string_append(out, " upward");
    if (box->crowded)
        g_string_append(out, " crowded");
    if (box->alt)
        g_string_append_printf(out, " \"%s\"", box->alt);
    g_string_append_c(out, '\n');
    for (const PageBox *inner = box->first; inner; inner = inner->next)
        box_print(out, inner, depth + 1);
}
