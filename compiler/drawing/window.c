/* window: the end of a pen in life size, with the number that its window shows. */
#include "drawing/scenes.h"

#include "drawing/parts.h"

#define THICK 18.0   /* mm across */
#define BODY 58.0    /* mm shown of it at most, left of the dial */
#define WINDOW_HIGH 9.5
#define DIAL_LONG 15.0
#define STEM_LONG 7.0
#define BUTTON_LONG 3.0
#define TURN_ROOM 7.0

static double above(FigureRoom room, const PenFigure *pen)
{
    return pen->note ? room.type * INK_POINT * 1.35 + 5 : 1;
}

#define LEAST (STEM_LONG + DIAL_LONG + BUTTON_LONG + TURN_ROOM + 26)

FigureSize pen_window_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink;
    room.width = MAX(room.width, LEAST);
    return (FigureSize){room.width, above(room, &shape->pen) + THICK + 1};
}

/* The dial is out: the dose is set, and turning it changes the number. */
static void dial(Ink *ink, double x, double middle)
{
    art_rounded(ink, (ArtBox){x, middle - THICK * .34, STEM_LONG, THICK * .68, .4}, 1, INK_OUTLINE);
    art_rounded(ink, (ArtBox){x + STEM_LONG, middle - THICK * .46, DIAL_LONG, THICK * .92, 1.2}, .88, INK_OUTLINE);
    for (int i = 0; i < 6; i++) {
        double at = x + STEM_LONG + 2.5 + i * 2;
        art_stroke_line(ink, at, middle - THICK * .4, at, middle + THICK * .4, ART_FINE);
    }
    art_rounded(ink, (ArtBox){x + STEM_LONG + DIAL_LONG, middle - 3.6, BUTTON_LONG, 7.2, .8}, 1, INK_OUTLINE);
}

void pen_window_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    const PenFigure *pen = &shape->pen;
    room.width = MAX(room.width, LEAST);
    double top = y + above(room, pen), middle = top + THICK / 2;
    double end = STEM_LONG + DIAL_LONG + BUTTON_LONG + TURN_ROOM, body = MIN(BODY, room.width - end);
    double size = room.type * 1.35, window = MAX(15, room.type * 1.25), left = x + body / 2 - window / 2;
    cairo_t *cairo = ink_cairo(ink);
    cairo_save(cairo);
    cairo_rectangle(cairo, x, top - 1, room.width, THICK + 2);
    cairo_clip(cairo);
    art_rounded(ink, (ArtBox){x - 5, top, body + 5, THICK, 1.2}, .95, INK_OUTLINE);
    dial(ink, x + body, middle);
    cairo_restore(cairo);
    art_rounded(ink, (ArtBox){left, middle - WINDOW_HIGH / 2 - .6, window, WINDOW_HIGH + 1.2, 1.2}, 1, INK_STRONG);
    art_words(ink, pen->number, size, INK_CENTRE, x + body / 2, middle + size * INK_POINT * .36);
    ink_mark(ink, "window", x + body / 2, middle);
    double turn = x + body + end - TURN_ROOM + 1;
    art_big_arrow(ink, path_arc(turn, middle, 3.6, THICK * .42, 70, -62));
    if (!pen->note)
        return;
    const InkRun runs[] = {{pen->note, FALSE, NULL}};
    art_big_arrow(ink, SHARP({x + body / 2, top - 4.6}, {x + body / 2, middle - WINDOW_HIGH / 2 - 1.6}));
    ink_text_draw(ink, (InkStyle){.size = room.type}, runs, 1, x + body / 2 + 3, y, room.width - body / 2 - 3);
}
