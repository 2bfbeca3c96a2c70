/* page_figures: a figure's drawing and its caption. */
#include "page/parts.h"

#include "drawing/drawing.h"

#define CAPTION_GAP 1.5
#define SCENE_SCALE 0.72 /* of drawings whose size says nothing, in ordinary print */
#define LETTER_LEFT 7.0

/* Two pictures, their words under them. */
static gboolean is_pair(const Figure *figure) { return figure->words == WORDS_EACH; }

/* Drawings of doing carry their words beside them, and are drawn small. */
static gboolean is_scene(const Figure *figure)
{
    return figure->words == WORDS_BESIDE || is_pair(figure);
}

#define SCENE_WIDTH 52.0
#define PAIR_WIDTH 84.0

static double scene_scale(const Setter *setter) { return SCENE_SCALE * setter->spec.body / 14; }

static FigureRoom room_of(const Setter *setter, const Figure *figure, double width)
{
    double wide = is_pair(figure) ? PAIR_WIDTH : SCENE_WIDTH;
    return (FigureRoom){is_scene(figure) ? wide * scene_scale(setter) : width, 12};
}

static FigureSize drawing_size(const Setter *setter, const Figure *figure, double width)
{
    return figure_size(setter->ink, &figure->shape, room_of(setter, figure, width));
}

/* ---- captions ---- */

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
    return figure->shape.kind == FIGURE_CODE ? MIN(column(setter, 44), 53) : 44;
}

static double caption_width(const Setter *setter, const Figure *figure, FigureSize size, double width)
{
    return MIN(width, MAX(size.width, least_caption(setter, figure)));
}

/* Room for the words beside a scene. */
static double scene_left(const Setter *setter, const Figure *figure)
{
    return is_pair(figure) ? LETTER_LEFT : column(setter, 27.0);
}

static gboolean has_caption(const Figure *figure)
{
    return figure->words == WORDS_BELOW || figure->words == WORDS_NOTED;
}

#define NOTE_GAP 1.0

/* The strip's words stand before the names of the days where they fit, else below. */
static const Line *strip_note(const Setter *setter, const Figure *figure)
{
    return line_of_words(setter, figure->shape.strip.note);
}

static double strip_note_below(const Setter *setter, const Figure *figure, double width)
{
    const InkRun note = {figure->shape.strip.note, FALSE, NULL};
    gboolean above = ink_text_width(setter->ink, caption_style(setter), &note, 1) <=
                     figure_strip_free(setter->ink, &figure->shape, width);
    return above ? 0 : NOTE_GAP + line_height(setter, caption_style(setter), strip_note(setter, figure), width);
}

gboolean figure_has_drawing(const Setter *setter, const Figure *figure)
{
    return drawing_size(setter, figure, setter->width).width > 0;
}

static double caption_gap(const Figure *figure)
{
    return figure->shape.kind == FIGURE_CODE ? figure_code_quiet + 1 : CAPTION_GAP; /* high letters leave their line */
}

Extent figure_extent(const Setter *setter, const Figure *figure, double width)
{
    FigureSize size = drawing_size(setter, figure, width);
    if (is_scene(figure)) {
        double beside = scene_left(setter, figure);
        const Line *caption = caption_line(setter, figure);
        double words = is_pair(figure) ? 0 : line_height(setter, caption_style(setter), caption, beside - 2);
        return (Extent){size.width + beside, MAX(words, size.height)};
    }
    double height = size.height;
    if (figure->shape.kind == FIGURE_NIGHT_STRIP)
        height += strip_note_below(setter, figure, width);
    if (has_caption(figure))
        height += caption_gap(figure) + line_height(setter, caption_style(setter), caption_line(setter, figure),
                                            caption_width(setter, figure, size, width));
    return (Extent){MAX(size.width, has_caption(figure) ? least_caption(setter, figure) : 0), height};
}

static void place_letter(Setter *setter, const Figure *figure)
{
    const InkRun letter = {figure->letter, TRUE, NULL};
    add_runs(setter, "Caption", type(setter, 12, TRUE), &letter, 1, 0, 0, LETTER_LEFT);
}

PageBox *add_shape(Setter *setter, const FigureShape *shape, FigureRoom offered, double x, double y)
{
    FigureSize size = figure_size(setter->ink, shape, offered);
    PageBox *box = box_add(&setter->pile, BOX_DRAWING, x, y, size.width, size.height);
    box->shape = shape;
    box->room = offered;
    return box;
}

static PageBox *add_drawing(Setter *setter, const Figure *figure, double x, double width)
{
    PageBox *box = add_shape(setter, &figure->shape, room_of(setter, figure, width), x, 0);
    box->alt = figure->alt;
    return box;
}

static void place_scene(Setter *setter, const Figure *figure)
{
    double beside = scene_left(setter, figure);
    if (is_pair(figure))
        place_letter(setter, figure);
    else
        add_line(setter, "Caption", caption_style(setter), caption_line(setter, figure), 0, 0, beside - 2);
    add_drawing(setter, figure, beside, 0);
}

/* Where its words start: at the right in a page that runs from there. */
static double code_left(const Setter *setter, const Figure *figure, FigureSize size, double width)
{
    gboolean right = figure->shape.kind == FIGURE_CODE && setter->document->right_to_left;
    return right ? caption_width(setter, figure, size, width) - size.width : 0;
}

static void place_strip_note(Setter *setter, const Figure *figure, double width)
{
    gboolean below = strip_note_below(setter, figure, width) > 0;
    add_line(setter, "Caption", caption_style(setter), strip_note(setter, figure), 0,
             below ? drawing_size(setter, figure, width).height + NOTE_GAP : -1,
             below ? width : figure_strip_free(setter->ink, &figure->shape, width));
}

static void place_drawing(Setter *setter, const Figure *figure, double width)
{
    if (is_scene(figure)) {
        place_scene(setter, figure);
        return;
    }
    FigureSize size = drawing_size(setter, figure, width);
    if (figure->words == WORDS_LETTER)
        place_letter(setter, figure);
    add_drawing(setter, figure, code_left(setter, figure, size, width), width);
    if (figure->shape.kind == FIGURE_NIGHT_STRIP)
        place_strip_note(setter, figure, width);
    if (has_caption(figure))
        add_line(setter, "Caption", caption_style(setter), caption_line(setter, figure), 0,
                 size.height + caption_gap(figure), caption_width(setter, figure, size, width));
}

/* A drawing goes to the other side of a page that runs from the right, but is
 * never turned round itself. */
void add_figure(Setter *setter, const Figure *figure, double x, double y, double width)
{
    PageBox *group = box_open(&setter->pile, NULL);
    Extent extent = figure_extent(setter, figure, width);
    group->upright = TRUE;
    group->width = extent.width;
    group->height = extent.height;
    place_drawing(setter, figure, width);
    box_close(&setter->pile);
    box_move(group, x, y);
}

/* ---- the kit ---- */

void add_thing(Setter *setter, const Block *item, double x, double y)
{
    PageBox *box = add_shape(setter, &item->thing, (FigureRoom){FIGURE_THING_WIDTH, 12}, x + 2, y);
    box->alt = line_text(setter->arena, g_ptr_array_index(item->lines, 0));
}
