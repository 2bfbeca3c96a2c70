/* page_figures: from a figure of the document, by the plan's own values, to its
 * drawing and caption. */
#include "page/parts.h"

#include "drawing/drawing.h"

#define CAPTION_GAP 1.5
#define SCENE_SCALE 0.72 /* of drawings whose size says nothing, in ordinary print */
#define LETTER_LEFT 7.0

static double to_mm(Quantity length)
{
    Rational mm = quantity_in(length, UNIT_mm).number;
    return (double)mm.num / (double)mm.den;
}

static const char *label(const Figure *figure, guint index)
{
    return index < figure->labels->len ? g_ptr_array_index(figure->labels, index) : "";
}

/* ---- plan to numbers ---- */

static Rational in_ml(const Amount *amount) { return quantity_in(amount->quantity, UNIT_mL).number; }

static SyringeFigure syringe_of(const Figure *figure)
{
    const PlanInjection *injection = figure->injection;
    const Syringe *syringe = injection->syringe;
    gboolean add = figure->kind == FIGURE_SYRINGE_ADD;
    SyringeFigure shape = {
        .capacity_ml = in_ml(&syringe->capacity), .mark_every_ml = in_ml(&syringe->mark_every),
        .number_every_ml = in_ml(&syringe->number_every), .u100 = syringe->marks.value == Marks_U100,
        .scale_mm = to_mm(syringe->scale_length.quantity), .barrel_mm = to_mm(syringe->barrel.quantity),
        .fill_ml = add ? injection->add_on_mark_ml : injection->volume_ml,
        .pointer = label(figure, 0), .pointer_note = label(figure, 1)};
    const Needle *fitted = figure->kind == FIGURE_SYRINGE_GIVE && injection->injecting_needle
                               ? injection->injecting_needle : injection->drawing_needle;
    const NeedleField *needle = PRESENT(syringe->needle) ? &syringe->needle : fitted ? &fitted->needle : NULL;
    if (needle) {
        shape.needle_mm = to_mm(needle->length);
        shape.needle_od_mm = figure_gauge_mm(rational_floor(needle->gauge.number));
        shape.hub = fitted && !PRESENT(syringe->needle) ? fitted->hub.text : "white";
        shape.mixing = fitted && fitted == injection->drawing_needle && fitted != injection->injecting_needle;
    }
    return shape;
}

static NeedleShape needle_of(const Setter *setter, const Figure *figure, const Needle *needle, guint first)
{
    return (NeedleShape){
        .job = label(figure, first),
        .detail = arena_format(setter->arena, "%s, %s, %s", label(figure, first + 3), label(figure, first + 1),
                               label(figure, first + 2)),
        .hub = needle->hub.text, .mixing = needle != figure->injection->injecting_needle,
        .length_mm = to_mm(needle->needle.length),
        .od_mm = figure_gauge_mm(rational_floor(needle->needle.gauge.number))};
}

static NeedlesFigure needles_of(const Setter *setter, const Figure *figure)
{
    NeedlesFigure shape = {.count = 2, .bar_label = label(figure, 8), .card_label = label(figure, 9)};
    shape.needles[0] = needle_of(setter, figure, figure->injection->drawing_needle, 0);
    shape.needles[1] = needle_of(setter, figure, figure->injection->injecting_needle, 4);
    return shape;
}

/* The card and its bar alone. */
static NeedlesFigure scale_of(const Figure *figure)
{
    return (NeedlesFigure){.count = 0, .bar_label = label(figure, 0)};
}

static PenFigure pen_of(const Figure *figure)
{
    const Needle *needle = figure->injection->injecting_needle;
    return (PenFigure){label(figure, 0), label(figure, 1), needle ? needle->hub.text : "white"};
}

static StripFigure strip_of(const Figure *figure)
{
    StripFigure shape = {.left_day = label(figure, 0), .right_day = label(figure, 1), .time = label(figure, 9)};
    for (guint i = 0; i < 7; i++)
        shape.clocks[i] = label(figure, 2 + i);
    const Act *act = g_ptr_array_index(figure->injection->acts, 0);
    shape.minute = act->at.local.minute;
    return shape;
}

static gboolean scene_of(const Figure *figure, SceneFigure *out)
{
    static const struct { FigureKind kind; SceneKind scene; } scenes[] = {
        {FIGURE_PUSH_INTO, SCENE_PUSH_INTO}, {FIGURE_SWIRL, SCENE_SWIRL}, {FIGURE_BUBBLES, SCENE_BUBBLES},
        {FIGURE_BUBBLES_BACK, SCENE_BUBBLES_BACK},
        {FIGURE_NEEDLE_OFF, SCENE_NEEDLE_OFF}, {FIGURE_NEEDLE_ON, SCENE_NEEDLE_ON}, {FIGURE_STEADY, SCENE_STEADY},
        {FIGURE_STRETCH, SCENE_STRETCH}, {FIGURE_PINCH, SCENE_PINCH}, {FIGURE_ANGLE, SCENE_ANGLE},
        {FIGURE_SHARPS, SCENE_SHARPS}, {FIGURE_PEN_CARTRIDGE, SCENE_PEN_CARTRIDGE},
        {FIGURE_PEN_NEEDLE, SCENE_PEN_NEEDLE}, {FIGURE_PEN_CAPS, SCENE_PEN_CAPS},
        {FIGURE_PEN_INNER, SCENE_PEN_INNER}, {FIGURE_PEN_DROP, SCENE_PEN_DROP}, {FIGURE_PEN_OFF, SCENE_PEN_OFF},
        {FIGURE_TIP_OFF, SCENE_TIP_OFF}, {FIGURE_TAP, SCENE_TAP}};
    for (gsize i = 0; i < G_N_ELEMENTS(scenes); i++) {
        if (scenes[i].kind != figure->kind)
            continue;
        const PlanInjection *injection = figure->injection;
        const Injection *order = injection->order;
        const Needle *changed = figure->kind == FIGURE_NEEDLE_OFF ? injection->drawing_needle
                                                                  : injection->injecting_needle;
        *out = (SceneFigure){scenes[i].scene, rational_floor(order->give.angle.quantity.number),
                             order->route.value == Route_IM, changed ? changed->hub.text : "white",
                             injection->way == WAY_PEN, injection->way == WAY_PREFILLED};
        return TRUE;
    }
    return FALSE;
}

static PairFigure pair_of(const Figure *figure)
{
    PairKind kind = figure->kind == FIGURE_PAIR_POWDER    ? PAIR_POWDER
                    : figure->kind == FIGURE_PAIR_AIR_GAP ? PAIR_AIR_GAP
                    : figure->kind == FIGURE_PAIR_BUTTON  ? PAIR_BUTTON
                                                          : PAIR_PLUNGER;
    return (PairFigure){kind, label(figure, 0), label(figure, 1), label(figure, 2)};
}

/* ---- sizes and drawing ---- */

/* Pairs have words under each picture, and only their letter beside them. */
static gboolean is_pair(const Figure *figure)
{
    return figure->kind == FIGURE_PAIR_POWDER || figure->kind == FIGURE_PAIR_AIR_GAP ||
           figure->kind == FIGURE_PAIR_PLUNGER || figure->kind == FIGURE_PAIR_BUTTON;
}

static gboolean is_pen(const Figure *figure)
{
    return figure->kind == FIGURE_PEN_FLOW || figure->kind == FIGURE_PEN_DOSE;
}

/* Says its number inside, and needs no words below. */
static gboolean says_itself(const Figure *figure)
{
    return is_pen(figure) || (figure->kind == FIGURE_SYRINGE_GIVE && figure->injection->way == WAY_PREFILLED);
}

/* Drawings of doing carry their caption beside them. */
static gboolean is_scene(const Figure *figure)
{
    SceneFigure scene;
    return scene_of(figure, &scene) || is_pair(figure);
}

static FigureSize drawing_size(const Setter *setter, const Figure *figure, double width)
{
    SceneFigure scene;
    if (scene_of(figure, &scene))
        return figure_scene_size(&scene);
    switch (figure->kind) {
    case FIGURE_CODE: return figure_code_size(label(figure, 0));
    case FIGURE_NIGHT_STRIP: return (FigureSize){width, FIGURE_STRIP_HEIGHT};
    case FIGURE_SYRINGE_ADD:
    case FIGURE_SYRINGE_DOSE:
    case FIGURE_SYRINGE_GIVE: {
        SyringeFigure shape = syringe_of(figure);
        return figure_syringe_size(&shape);
    }
    case FIGURE_PEN_FLOW:
    case FIGURE_PEN_DOSE: {
        PenFigure shape = pen_of(figure);
        return figure_pen_size(&shape);
    }
    case FIGURE_SCALE:
    case FIGURE_NEEDLES: {
        NeedlesFigure shape = figure->kind == FIGURE_SCALE ? scale_of(figure) : needles_of(setter, figure);
        return figure_needles_size(&shape);
    }
    case FIGURE_SITE: {
        SiteFigure shape = {figure->injection->order->site.value, label(figure, 0)};
        return figure_site_size(&shape);
    }
    default: {
        PairFigure shape = pair_of(figure);
        return figure_pair_size(&shape);
    }
    }
}

static void draw(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    SceneFigure scene;
    if (scene_of(figure, &scene)) {
        figure_scene_draw(setter->ink, &scene, x, y);
    } else if (figure->kind == FIGURE_CODE) {
        figure_code_draw(setter->ink, label(figure, 0), x, y);
    } else if (figure->kind == FIGURE_NIGHT_STRIP) {
        StripFigure shape = strip_of(figure);
        figure_strip_draw(setter->ink, &shape, x, y, width);
    } else if (figure->kind == FIGURE_SYRINGE_ADD || figure->kind == FIGURE_SYRINGE_DOSE ||
               figure->kind == FIGURE_SYRINGE_GIVE) {
        SyringeFigure shape = syringe_of(figure);
        figure_syringe_draw(setter->ink, &shape, x, y);
    } else if (is_pen(figure)) {
        PenFigure shape = pen_of(figure);
        figure_pen_draw(setter->ink, &shape, x, y);
    } else if (figure->kind == FIGURE_NEEDLES || figure->kind == FIGURE_SCALE) {
        NeedlesFigure shape = figure->kind == FIGURE_SCALE ? scale_of(figure) : needles_of(setter, figure);
        figure_needles_draw(setter->ink, &shape, x, y);
    } else if (figure->kind == FIGURE_SITE) {
        SiteFigure shape = {figure->injection->order->site.value, label(figure, 0)};
        figure_site_draw(setter->ink, &shape, x, y);
    } else {
        PairFigure shape = pair_of(figure);
        figure_pair_draw(setter->ink, &shape, x, y);
    }
}

/* ---- captions ---- */

static Line *line_of_words(const Setter *setter, const char *text)
{
    Line *line = arena_new0(setter->arena, Line);
    line->runs = arena_list(setter->arena);
    Run *run = arena_new0(setter->arena, Run);
    run->text = text;
    g_ptr_array_add(line->runs, run);
    return line;
}

static Line *caption_line(const Setter *setter, const Figure *figure)
{
    Line *line = arena_new0(setter->arena, Line);
    line->runs = arena_list(setter->arena);
    Run *letter = arena_new0(setter->arena, Run);
    letter->text = figure->letter ? arena_format(setter->arena, "%s  ", figure->letter) : "";
    letter->strong = TRUE;
    g_ptr_array_add(line->runs, letter);
    for (guint i = 0; i < figure->caption->runs->len; i++)
        g_ptr_array_add(line->runs, g_ptr_array_index(figure->caption->runs, i));
    return line;
}

static InkStyle caption_style(const Setter *setter)
{
    InkStyle style = type(setter, 12, FALSE);
    style.leading = 1.25;
    return style;
}

/* Of the words under a narrow drawing. */
static double least_caption(const Setter *setter, const Figure *figure)
{
    return figure->kind == FIGURE_CODE ? MIN(column(setter, 44), 53) : 44;
}

static double caption_width(const Setter *setter, const Figure *figure, FigureSize size, double width)
{
    return MIN(width, MAX(size.width, least_caption(setter, figure)));
}

static double scene_scale(const Setter *setter) { return SCENE_SCALE * setter->spec.body / 14; }

/* Room for the words beside a scene. */
static double scene_left(const Setter *setter, const Figure *figure)
{
    return is_pair(figure) ? LETTER_LEFT : column(setter, 27.0);
}

static gboolean has_caption(const Figure *figure)
{
    return (figure->letter && !says_itself(figure)) || figure->kind == FIGURE_CODE || figure->kind == FIGURE_SCALE;
}

#define NOTE_GAP 1.0

/* The strip's words stand before the names of the days where they fit, else below. */
static const Line *strip_note(const Setter *setter, const Figure *figure)
{
    return line_of_words(setter, label(figure, 10));
}

static double strip_note_below(const Setter *setter, const Figure *figure, double width)
{
    const InkRun note = {label(figure, 10), FALSE, NULL};
    StripFigure shape = strip_of(figure);
    gboolean above = ink_text_width(setter->ink, caption_style(setter), &note, 1) <=
                     figure_strip_free(setter->ink, &shape, width);
    return above ? 0 : NOTE_GAP + line_height(setter, caption_style(setter), strip_note(setter, figure), width);
}

gboolean figure_has_drawing(const Setter *setter, const Figure *figure)
{
    return drawing_size(setter, figure, setter->width).width > 0;
}

static double caption_gap(const Figure *figure)
{
    return figure->kind == FIGURE_CODE ? figure_code_quiet + 1 : CAPTION_GAP; /* high letters leave their line */
}

Extent figure_extent(const Setter *setter, const Figure *figure, double width)
{
    FigureSize size = drawing_size(setter, figure, width);
    if (is_scene(figure)) {
        double beside = scene_left(setter, figure);
        const Line *caption = caption_line(setter, figure);
        double words = is_pair(figure) ? 0 : line_height(setter, caption_style(setter), caption, beside - 2);
        return (Extent){size.width * scene_scale(setter) + beside, MAX(words, size.height * scene_scale(setter))};
    }
    double height = size.height;
    if (figure->kind == FIGURE_NIGHT_STRIP)
        height += strip_note_below(setter, figure, width);
    if (has_caption(figure))
        height += caption_gap(figure) + line_height(setter, caption_style(setter), caption_line(setter, figure),
                                            caption_width(setter, figure, size, width));
    return (Extent){MAX(size.width, has_caption(figure) ? least_caption(setter, figure) : 0), height};
}

static void place_letter(const Setter *setter, const Figure *figure, double x, double y)
{
    const InkRun letter = {figure->letter, TRUE, NULL};
    ink_tag(setter->ink, "Caption");
    ink_text_draw(setter->ink, type(setter, 12, TRUE), &letter, 1, x, y, LETTER_LEFT);
    ink_untag(setter->ink, "Caption");
}

static void place_scene(const Setter *setter, const Figure *figure, double x, double y)
{
    cairo_t *cairo = ink_cairo(setter->ink);
    double beside = scene_left(setter, figure);
    if (is_pair(figure)) {
        place_letter(setter, figure, x, y);
    } else {
        tagged_line(setter, "Caption", caption_style(setter), caption_line(setter, figure), x, y, beside - 2);
    }
    ink_tag_figure(setter->ink, figure->alt);
    cairo_save(cairo);
    cairo_translate(cairo, x + beside, y);
    cairo_scale(cairo, scene_scale(setter), scene_scale(setter));
    draw(setter, figure, 0, 0, 0);
    cairo_restore(cairo);
    ink_untag(setter->ink, "Figure");
}

/* Where its words start: at the right in a page that runs from there. */
static double code_left(const Setter *setter, const Figure *figure, double x, FigureSize size, double width)
{
    gboolean right = figure->kind == FIGURE_CODE && setter->document->right_to_left;
    return right ? x + caption_width(setter, figure, size, width) - size.width : x;
}

static void place_strip_note(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    gboolean below = strip_note_below(setter, figure, width) > 0;
    StripFigure shape = strip_of(figure);
    tagged_line(setter, "Caption", caption_style(setter), strip_note(setter, figure), x,
                below ? y + FIGURE_STRIP_HEIGHT + NOTE_GAP : y - 1,
                below ? width : figure_strip_free(setter->ink, &shape, width));
}

static void place_drawing(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    if (is_scene(figure)) {
        place_scene(setter, figure, x, y);
        return;
    }
    FigureSize size = drawing_size(setter, figure, width);
    if (says_itself(figure))
        place_letter(setter, figure, x, y);
    ink_tag_figure(setter->ink, figure->alt);
    draw(setter, figure, code_left(setter, figure, x, size, width), y, width);
    ink_untag(setter->ink, "Figure");
    if (figure->kind == FIGURE_NIGHT_STRIP)
        place_strip_note(setter, figure, x, y, width);
    if (has_caption(figure))
        tagged_line(setter, "Caption", caption_style(setter), caption_line(setter, figure), x,
                    y + size.height + caption_gap(figure), caption_width(setter, figure, size, width));
}

/* A drawing goes to the other side of a page that runs from the right, but is
 * never turned round itself. */
void figure_place(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    double left = ink_place(setter->ink, x, figure_extent(setter, figure, width).width);
    double before = ink_mirror(setter->ink, 0);
    place_drawing(setter, figure, left, y, width);
    ink_mirror(setter->ink, before);
}

/* ---- the kit ---- */

static gboolean is_ampoule(const Choice *container)
{
    return PRESENT(*container) && container->value == Container_AMPOULE;
}

static ThingKind thing_of(const Setter *setter, const Item *item)
{
    const PlanInjection *injection = setter->document->injection;
    switch (item->kind) {
    case ITEM_MEDICINE:
        if (injection->way == WAY_POWDER)
            return THING_POWDER;
        if (injection->way == WAY_PREFILLED)
            return plan_has_fixed_needle(injection) ? THING_PREFILLED : THING_PREFILLED_CAPPED;
        if (injection->way == WAY_PEN)
            return plan_takes_cartridge(injection) ? THING_CARTRIDGE : THING_PEN;
        return is_ampoule(&item->medicine->container) ? THING_AMPOULE : THING_READY;
    case ITEM_DILUENT: return is_ampoule(&item->diluent->container) ? THING_AMPOULE : THING_LIQUID;
    case ITEM_SYRINGE: return THING_SYRINGE;
    case ITEM_DRAWING_NEEDLE: return THING_MIXING_NEEDLE;
    case ITEM_INJECTING_NEEDLE: return injection->way == WAY_PEN ? THING_PEN_NEEDLE : THING_NEEDLE;
    case ITEM_PEN: return THING_PEN;
    default: break;
    }
    return item->supply == Supply_WIPE      ? THING_WIPE
           : item->supply == Supply_GAUZE   ? THING_GAUZE
           : item->supply == Supply_PLASTER ? THING_PLASTER
                                            : THING_SHARPS;
}

void kit_drawing(const Setter *setter, const Block *item, double x, double y)
{
    const Needle *needle = item->item->needle;
    const Syringe *syringe = item->item->syringe;
    const char *hub = needle ? needle->hub.text : syringe && PRESENT(syringe->needle) ? "white" : NULL;
    double left = ink_place(setter->ink, x + 2, FIGURE_THING_WIDTH);
    double before = ink_mirror(setter->ink, 0);
    figure_things_draw(setter->ink, thing_of(setter, item->item), hub, needle ? to_mm(needle->needle.length) : 0,
                       item->number, left, y);
    ink_mirror(setter->ink, before);
}
