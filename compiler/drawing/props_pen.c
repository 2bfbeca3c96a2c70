/* props_pen: a plain pen of no maker, its caps and its cartridge. */
#include "drawing/props.h"

#define HOLDER 11.0 /* long */
#define HOLDER_HALF 1.5
#define BODY 12.0
#define BODY_HALF 2.0
#define DIAL 2.4
#define CAP_BIG 8.0
#define CAP_SMALL 5.0

static void pen_holder(Ink *ink, double level)
{
    double top = -2.0 - (HOLDER - 3.2) * level;
    art_box(ink, -.9, -1.2, .9, 0, 1);
    art_box(ink, -HOLDER_HALF, -HOLDER, HOLDER_HALF, -1.2, 1);
    art_liquid(ink, path_box(-.9, top, .9, -2.0));
    art_box(ink, -.9, top - .9, .9, top, .45);
    art_close(ink, path_box(-.9, -HOLDER, .9, -2.0), ART_FINE);
}

static void pen_body(Ink *ink, double out)
{
    double dial = -HOLDER - BODY, button = dial - DIAL - out;
    art_box(ink, -.8, button, .8, dial - DIAL, 1);
    art_box(ink, -1.6, button - .9, 1.6, button, 1);
    art_box(ink, -BODY_HALF, dial, BODY_HALF, -HOLDER, 1);
    art_box(ink, -1.1, dial + 2.0, 1.1, dial + 5.6, 1);
    art_box(ink, -BODY_HALF - .15, dial - DIAL, BODY_HALF + .15, dial, 1);
    for (int i = -2; i <= 2; i++)
        art_stroke_line(ink, i * .75, dial - DIAL + .5, i * .75, dial - .5, ART_FINE);
}

void prop_pen(Ink *ink, const PenStick *pen)
{
    pen_holder(ink, pen->level);
    pen_body(ink, pen->out);
    if (pen->long_needle <= 0)
        return;
    if (!pen->small_cap && !pen->big_cap)
        art_stroke_line(ink, 0, 1.6, 0, 1.6 + pen->long_needle, .5);
    art_placed(ink, 0, 2.0, 180, 1, prop_hub(ink, pen->needle, 2.2, .55, 1.35));
    if (pen->small_cap)
        art_shape(ink, PATH({-.5, 1.9, 1}, {-.36, CAP_SMALL, 1}, {.36, CAP_SMALL, 1}, {.5, 1.9, 1}), ART_GREY);
    if (pen->big_cap) {
        art_placed(ink, 0, -.4, -90, 1, prop_big_cap(ink));
    }
}

void prop_big_cap(Ink *ink)
{
    art_shape(ink, PATH({0, -1.9, 1}, {-CAP_BIG + 1, -1.2, 1}, {-CAP_BIG, -.7}, {-CAP_BIG, .7}, {-CAP_BIG + 1, 1.2, 1},
                        {0, 1.9, 1}), 1);
    art_box(ink, -.9, -2.2, 0, 2.2, 1);
}

void prop_small_cap(Ink *ink)
{
    art_shape(ink, SHARP({0, -.5}, {-CAP_SMALL + 1.6, -.36}, {-CAP_SMALL + 1.6, .36}, {0, .5}), ART_GREY);
}

void prop_cartridge(Ink *ink)
{
    art_box(ink, 0, -.8, 1.3, .8, ART_GREY);
    art_box(ink, 1.3, -.55, 2, .55, 1);
    art_liquid(ink, path_box(2, -1.2, 9, 1.2));
    art_box(ink, 9, -1.2, 10.4, 1.2, .45);
    art_close(ink, path_box(2, -1.2, 11.4, 1.2), ART_LINE);
}
