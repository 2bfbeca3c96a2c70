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

static void draw(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    figure_draw(setter->ink, &figure->shape, x, y, room_of(setter, figure, width));
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

static void place_letter(const Setter *setter, const Figure *figure, double x, double y)
{
    const InkRun letter = {figure->letter, TRUE, NULL};
    ink_tag(setter->ink, "Caption");
    ink_text_draw(setter->ink, type(setter, 12, TRUE), &letter, 1, x, y, LETTER_LEFT);
    ink_untag(setter->ink, "Caption");
}

static void place_scene(const Setter *setter, const Figure *figure, double x, double y)
{
    double beside = scene_left(setter, figure);
    if (is_pair(figure)) {
        place_letter(setter, figure, x, y);
    } else {
        tagged_line(setter, "Caption", caption_style(setter), caption_line(setter, figure), x, y, beside - 2);
    }
    ink_tag_figure(setter->ink, figure->alt);
    draw(setter, figure, x + beside, y, 0);
    ink_untag(setter->ink, "Figure");
}

/* Where its words start: at the right in a page that runs from there. */
static double code_left(const Setter *setter, const Figure *figure, double x, FigureSize size, double width)
{
    gboolean right = figure->shape.kind == FIGURE_CODE && setter->document->right_to_left;
    return right ? x + caption_width(setter, figure, size, width) - size.width : x;
}

static void place_strip_note(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    gboolean below = strip_note_below(setter, figure, width) > 0;
    tagged_line(setter, "Caption", caption_style(setter), strip_note(setter, figure), x,
                below ? y + drawing_size(setter, figure, width).height + NOTE_GAP : y - 1,
                below ? width : figure_strip_free(setter->ink, &figure->shape, width));
}

static void place_drawing(const Setter *setter, const Figure *figure, double x, double y, double width)
{
    if (is_scene(figure)) {
        place_scene(setter, figure, x, y);
        return;
    }
    FigureSize size = drawing_size(setter, figure, width);
    if (figure->words == WORDS_LETTER)
        place_letter(setter, figure, x, y);
    ink_tag_figure(setter->ink, figure->alt);
    draw(setter, figure, code_left(setter, figure, x, size, width), y, width);
    ink_untag(setter->ink, "Figure");
    if (figure->shape.kind == FIGURE_NIGHT_STRIP)
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

void kit_drawing(const Setter *setter, const Block *item, double x, double y)
{
    const FigureRoom room = {FIGURE_THING_WIDTH, 12};
    double left = ink_place(setter->ink, x + 2, figure_size(setter->ink, &item->thing, room).width);
    double before = ink_mirror(setter->ink, 0);
    figure_draw(setter->ink, &item->thing, left, y, room);
    ink_mirror(setter->ink, before);
}
