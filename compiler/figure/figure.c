#include "figure/figure.h"

static void say(const char *text, FigureVisit visit, gpointer data)
{
    if (text && text[0])
        visit(text, data);
}

static void visit_plain(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    (void)shape, (void)visit, (void)data;
}

#define visit_thing visit_plain
#define visit_things visit_plain
#define visit_pack visit_plain
#define visit_code visit_plain /* a telephone reads it, no eye does */

static void visit_syringe(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->syringe.pointer, visit, data);
    say(shape->syringe.pointer_note, visit, data);
}

static void visit_pen(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->pen.number, visit, data);
    say(shape->pen.note, visit, data);
}

static void visit_strip(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->strip.left_day, visit, data);
    say(shape->strip.right_day, visit, data);
    for (gsize i = 0; i < G_N_ELEMENTS(shape->strip.clocks); i++)
        say(shape->strip.clocks[i], visit, data);
    say(shape->strip.time, visit, data);
}

static void visit_scene(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->scene.amount, visit, data);
    say(shape->scene.other, visit, data);
}

static void visit_site(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->site.left_word, visit, data);
    say(shape->site.right_word, visit, data);
}

static void visit_pair(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->pair.good, visit, data);
    say(shape->pair.bad, visit, data);
    say(shape->pair.number, visit, data);
}

static void visit_card(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->card.label, visit, data);
}

static void visit_label(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    say(shape->label.name, visit, data);
    say(shape->label.strength, visit, data);
    say(shape->label.use_by, visit, data);
}

static const FigureRow rows[FIGURE_COUNT] = {
    [FIGURE_NONE] = {"NONE", WORDS_NONE, visit_plain},
#define FIGURE(id, numbers, place, shape) [FIGURE_##id] = {#id, WORDS_##place, visit_##numbers},
#include "figure/figures.def"
};

const FigureRow *figure_row(FigureKind kind)
{
    g_assert(kind < FIGURE_COUNT);
    return &rows[kind];
}

void figure_visit(const FigureShape *shape, FigureVisit visit, gpointer data)
{
    figure_row(shape->kind)->visit(shape, visit, data);
}
