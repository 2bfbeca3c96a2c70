/* props: syringe, vial, sharps box, watch, table, lens, skin. */
#include "drawing/props.h"

#include <math.h>

/* ---- needle and syringe ---- */

#define RIBS_FROM 2.8 /* mm: a narrower hub would turn black */
#define RIBS_THREE 4.0

/* The rings of the filling needle, the ribs of the other: they stay when the colour is lost. */
void prop_hub(Ink *ink, NeedleLook look, double length, double narrow, double wide)
{
    art_hub(ink, SHARP({-narrow, 0}, {narrow, 0}, {wide, length}, {-wide, length}), look.hub);
    gboolean dark = ink_hub_grey(look.hub ? look.hub : "white") < 0.4;
    cairo_t *cairo = ink_cairo(ink);
    ink_pen(ink, look.filling ? 0.5 : ART_FINE);
    if (dark)
        cairo_set_source_rgb(cairo, 1, 1, 1);
    gboolean two = 2 * wide > ink_on_paper(ink, RIBS_FROM);
    if (look.filling) {
        for (int i = 0; i < (two ? 2 : 1); i++) {
            double share = two ? 0.36 + 0.26 * i : 0.5, half = narrow + (wide - narrow) * share;
            cairo_move_to(cairo, -half * 0.96, length * share);
            cairo_line_to(cairo, half * 0.96, length * share);
        }
    } else if (look.hub && two) {
        gboolean three = 2 * wide > ink_on_paper(ink, RIBS_THREE);
        for (int i = three ? -1 : 0; i <= (three ? 1 : 0); i++) {
            cairo_move_to(cairo, i * narrow * 0.55, length * 0.14);
            cairo_line_to(cairo, i * wide * 0.55, length * 0.86);
        }
    }
    cairo_stroke(cairo);
}

void prop_cap(Ink *ink, double length, double wide)
{
    double half = wide / 2;
    art_shape(ink, PATH({0, -half, 1}, {-length * .93, -half * .62, 1}, {-length, -half * .3}, {-length, half * .3},
                        {-length * .93, half * .62, 1}, {0, half, 1}), 1);
    art_line(ink, SHARP({-length * .06, -half * .95}, {-length * .06, half * .95}), ART_FINE);
}

typedef struct StickLines {
    double hub, barrel, end, rim, thumb, half; /* y upwards are negative */
} StickLines;

#define HUB_LONG 1.5

static StickLines stick_lines(const Stick *stick)
{
    StickLines s;
    double barrel = stick->barrel > 0 ? stick->barrel : 6.2;
    s.half = (stick->wide > 0 ? stick->wide : 1.5) / 2;
    s.hub = -stick->long_needle;
    s.barrel = s.hub - (stick->fixed ? 0.9 : HUB_LONG);
    s.end = s.barrel - barrel;
    s.rim = s.barrel - .4 - stick->fill * (barrel - .9);
    s.thumb = s.end - (stick->plunge > 0 ? stick->plunge : 1.0 + stick->fill * (barrel - .9));
    return s;
}

static Path barrel_path(const StickLines *s)
{
    return SHARP({-s->half, s->end}, {s->half, s->end}, {s->half, s->barrel - .4}, {s->half * .45, s->barrel},
                 {-s->half * .45, s->barrel}, {-s->half, s->barrel - .4});
}

static void stick_liquid(Ink *ink, const Stick *stick, const StickLines *s)
{
    const double h = s->half, low = s->barrel - .42;
    if (stick->fill <= 0.01 || stick->dry)
        return;
    art_liquid(ink, SHARP({-h, s->rim}, {h, s->rim}, {h, low}, {h * .45, s->barrel}, {-h * .45, s->barrel},
                          {-h, low}));
    if (stick->air <= 0)
        return;
    art_fill(ink, SHARP({-h * .45, s->barrel}, {h * .45, s->barrel}, {h, low}, {h, low - stick->air},
                        {-h, low - stick->air}, {-h, low}), 1);
    art_line(ink, SHARP({-h, low - stick->air}, {h, low - stick->air}), ART_FINE);
}

static void stick_plunger(Ink *ink, const StickLines *s)
{
    const double h = s->half;
    art_shape(ink, SHARP({-h * .45, s->rim}, {h * .45, s->rim}, {h * .45, s->thumb}, {-h * .45, s->thumb}), 1);
    art_shape(ink, SHARP({-h * 1.15, s->thumb}, {h * 1.15, s->thumb}, {h * 1.15, s->thumb - .45},
                         {-h * 1.15, s->thumb - .45}), 1);
}

static void stick_marks(Ink *ink, const StickLines *s)
{
    double step = (s->barrel - s->end) / 8.6;
    for (int i = 1; i < 8; i++) {
        double y = s->barrel - .4 - i * step;
        art_line(ink, SHARP({s->half, y}, {s->half * (i % 2 ? .5 : .2), y}), ART_FINE);
    }
}

static void stick_hub(Ink *ink, const Stick *stick, const StickLines *s)
{
    double high = s->hub - s->barrel;
    art_at(ink, 0, s->hub, 180, 1);
    if (stick->fixed)
        art_shape(ink, SHARP({-.16, 0}, {.16, 0}, {.36, high}, {-.36, high}), 1);
    else
        prop_hub(ink, stick->needle, high, .30, .52);
    art_end(ink);
}

static void stick_needle(Ink *ink, const Stick *stick, const StickLines *s)
{
    double end = s->barrel + (stick->fixed ? .2 : .5);
    if (stick->bare) {
        art_shape(ink, SHARP({-.3, s->barrel + 1.0}, {.3, s->barrel + 1.0}, {.4, s->barrel}, {-.4, s->barrel}), 1);
        if (stick->lock)
            art_box(ink, -.72, s->barrel, .72, s->barrel + .62, 1);
        return;
    }
    stick_hub(ink, stick, s);
    if (!stick->capped) {
        art_stroke_line(ink, 0, s->hub, 0, 0, 0.5);
        return;
    }
    art_shape(ink, PATH({-.62, end, 1}, {-.42, .5, 1}, {0, 1.0}, {.42, .5, 1}, {.62, end, 1}), 1);
    art_stroke_line(ink, 0, s->hub + .9, 0, .2, ART_FINE);
}

static void prop_syringe(Ink *ink, const Stick *stick)
{
    StickLines s = stick_lines(stick);
    const double h = s.half;
    stick_plunger(ink, &s);
    art_fill(ink, barrel_path(&s), 1);
    art_line(ink, SHARP({-h * .45, s.rim}, {-h * .45, s.end}), ART_FINE);
    art_line(ink, SHARP({h * .45, s.rim}, {h * .45, s.end}), ART_FINE);
    stick_liquid(ink, stick, &s);
    art_shape(ink, SHARP({-h * .96, s.rim}, {h * .96, s.rim}, {h * .96, s.rim - .55}, {-h * .96, s.rim - .55}), .45);
    art_close(ink, barrel_path(&s), ART_LINE);
    if (!stick->smooth)
        stick_marks(ink, &s);
    art_shape(ink, PATH({-h * 1.75, s.end - .2}, {-h * 1.5, s.end - .42}, {0, s.end - .42}, {h * 1.5, s.end - .42},
                        {h * 1.75, s.end - .2}, {h * 1.5, s.end}, {0, s.end}, {-h * 1.5, s.end}), 1);
    stick_needle(ink, stick, &s);
}

void prop_syringe_at(Ink *ink, const Stick *stick, double x, double y, double degrees, double scale)
{
    art_placed(ink, x, y, degrees, scale, prop_syringe(ink, stick));
}

/* ---- vials ---- */

static Path prop_vial_body(const Bottle *bottle)
{
    const double r = bottle->wide / 2, h = bottle->high, sh = h * .80;
    return PATH({-r, -.55, 1}, {-r * .82, 0, 1}, {r * .82, 0, 1}, {r, -.55, 1}, {r, -sh + .5, 1}, {r * .8, -sh - .15},
                {r * .5, -h + .25, 1}, {r * .46, -h, 1}, {-r * .46, -h, 1}, {-r * .5, -h + .25, 1},
                {-r * .8, -sh - .15}, {-r, -sh + .5, 1});
}

static void vial_content(Ink *ink, const Bottle *bottle, double top)
{
    const double r = bottle->wide, lean = tan(bottle->tilt * G_PI / 180) * r;
    Path body = prop_vial_body(bottle), inside = SHARP({-r, top + lean}, {r, top - lean}, {r, 1}, {-r, 1});
    art_clip(ink, &body);
    if (bottle->content == CONTENT_POWDER)
        art_powder(ink, inside);
    else
        art_liquid(ink, inside);
    art_line(ink, SHARP({-r, top + lean}, {r, top - lean}), ART_FINE);
    art_end(ink);
}

static void vial_top(Ink *ink, const Bottle *bottle)
{
    const double r = bottle->wide / 2, h = bottle->high;
    art_shape(ink, path_box(-r * .62, -h - .95, r * .62, -h), ART_GREY);
    if (bottle->lid)
        art_shape(ink, path_box(-r * .72, -h - 1.35, r * .72, -h - .75), .5);
    else
        art_shape(ink, path_box(-r * .66, -h - .95, r * .66, -h - .55), 1);
}

void prop_vial(Ink *ink, const Bottle *bottle)
{
    Path body = prop_vial_body(bottle);
    art_fill(ink, body, 1);
    if (bottle->content != CONTENT_NONE && bottle->level > 0)
        vial_content(ink, bottle, -bottle->level * bottle->high * .8);
    art_close(ink, body, ART_LINE);
    vial_top(ink, bottle);
}

void prop_vial_over(Ink *ink, const Bottle *bottle)
{
    const double neck = -.95, high = bottle->high, reach = high * .2 + bottle->level * high * .8;
    Path body = prop_vial_body(bottle);
    art_at(ink, 0, neck - high, 180, 1);
    art_fill(ink, body, 1);
    art_end(ink);
    if (bottle->content == CONTENT_LIQUID && bottle->level > 0) {
        art_at(ink, 0, neck - high, 180, 1);
        art_clip(ink, &body);
        art_liquid(ink, path_box(-bottle->wide, -high - 1, bottle->wide, -high + reach));
        art_line(ink, SHARP({-bottle->wide, -high + reach}, {bottle->wide, -high + reach}), ART_FINE);
        art_end(ink);
        art_end(ink);
    }
    art_at(ink, 0, neck - high, 180, 1);
    art_close(ink, body, ART_LINE);
    vial_top(ink, bottle);
    art_end(ink);
}

/* ---- sharps box, watch, table ---- */

void prop_sharps(Ink *ink, double w, double h)
{
    art_shape(ink, SHARP({-w * .42, 0}, {w * .42, 0}, {w * .5, -h}, {-w * .5, -h}), 1);
    art_shape(ink, SHARP({-w * .56, -h}, {w * .56, -h}, {w * .56, -h - 2.2}, {w * .3, -h - 3.0}, {-w * .3, -h - 3.0},
                         {-w * .56, -h - 2.2}), ART_GREY);
    art_ellipse(ink, 0, -h - 2.75, w * .27, .75, 0, ART_LINE);
    art_at(ink, 0, -h * .42, 0, w / 15);
    art_close(ink, SHARP({-3.6, 2.6}, {0, -3.4}, {3.6, 2.6}), ART_LINE);
    art_fill(ink, SHARP({-.5, -1.5}, {.5, -1.5}, {.25, .7}, {-.25, .7}), 0);
    art_circle(ink, 0, 1.6, .45, 0, 0);
    art_end(ink);
}

void prop_watch(Ink *ink, double x, double y, double radius)
{
    art_fill(ink, path_box(x - radius * .2, y - radius * 1.42, x + radius * .2, y - radius * 1.2), 0);
    art_stroke_line(ink, x, y - radius * 1.22, x, y - radius, 0.9);
    art_circle(ink, x, y, radius, 1, ART_BOLD);
    for (int i = 0; i < 12; i++) {
        Spot inner = spot_polar((Spot){x, y}, i * 30, radius * (i % 3 ? .84 : .74));
        Spot outer = spot_polar((Spot){x, y}, i * 30, radius * .92);
        art_stroke_line(ink, inner.x, inner.y, outer.x, outer.y, i % 3 ? ART_FINE : ART_LINE);
    }
    Spot tail = spot_polar((Spot){x, y}, 220, radius * .2), tip = spot_polar((Spot){x, y}, 40, radius * .7);
    art_stroke_line(ink, tail.x, tail.y, tip.x, tip.y, ART_BOLD);
    art_circle(ink, x, y, radius * .1, 0, 0);
}

void prop_table(Ink *ink, double y, double from, double until)
{
    art_stroke_line(ink, from, y, until, y, ART_LINE);
    for (double x = from + 2; x < until; x += 4)
        art_stroke_line(ink, x, y, x - 1.4, y + 1.6, ART_FINE);
}

void prop_drop(Ink *ink, double x, double y, double r)
{
    art_circle(ink, x, y, r, 1, 0);
    Path round = PATH({x + r, y}, {x, y + r}, {x - r, y}, {x, y - r});
    art_liquid(ink, round);
    art_close(ink, round, ART_BOLD);
    ink_pen(ink, .8);
    cairo_set_source_rgb(ink_cairo(ink), 1, 1, 1);
    Path shine = PATH({x - r * .55, y - r * .1}, {x - r * .42, y - r * .45}, {x - r * .1, y - r * .6});
    art_trace(ink, &shine, FALSE);
    cairo_stroke(ink_cairo(ink));
}

void prop_lens_begin(Ink *ink, double x, double y, double r)
{
    const Path round = PATH({x + r, y}, {x, y + r}, {x - r, y}, {x, y - r});
    art_circle(ink, x, y, r, 1, 0);
    art_clip(ink, &round);
}

void prop_lens_end(Ink *ink, double x, double y, double r)
{
    art_end(ink);
    art_circle(ink, x, y, r, -1, ART_BOLD);
}

void prop_gauze(Ink *ink, double x, double y, double side)
{
    art_shape(ink, path_box(x, y, x + side, y + side), 1);
    cairo_t *cairo = ink_cairo(ink);
    for (int i = 1; i < 5; i++) {
        double at = side * i / 5, from = side * .04, until = side * .96;
        cairo_move_to(cairo, x + at, y + from);
        cairo_line_to(cairo, x + at, y + until);
        cairo_move_to(cairo, x + from, y + at);
        cairo_line_to(cairo, x + until, y + at);
    }
    ink_pen(ink, ART_FINE);
    ink_stroke(ink); /* one stroke of many threads: none of them is taken for the mark of a barrel */
}

/* ---- skin ---- */

#define DERMIS 2.0
#define STROKE_EVERY 2.4

static Path below(const Path *skin, double by, double bottom)
{
    Path path = *skin;
    for (guint i = 0; i < path.count; i++)
        path.knots[i].y += by;
    path_add(&path, (Spot){61, bottom + 1}, 1);
    path_add(&path, (Spot){-1, bottom + 1}, 1);
    return path;
}

void prop_layers(Ink *ink, const Path *skin, double muscle, double bottom)
{
    Path dermis = *skin;
    for (guint i = 0; i < dermis.count; i++)
        dermis.knots[i].y += DERMIS;
    art_fill(ink, below(skin, 0, bottom), 1);
    art_fill(ink, below(skin, DERMIS, bottom), .95);
    art_fill(ink, path_box(-1, muscle, 61, bottom + 1), .82);
    art_line(ink, *skin, 0.5);
    art_line(ink, dermis, ART_FINE);
    art_stroke_line(ink, -1, muscle, 61, muscle, ART_LINE);
    int row = 0;
    for (double y = muscle + STROKE_EVERY; y < bottom; y += STROKE_EVERY, row++)
        for (double x = -1 - row % 2 * 7; x < 61; x += 13)
            art_toned(ink, PATH({x, y}, {x + 5, y - .5}, {x + 10, y}), .3, .2);
}

void prop_fat(Ink *ink, const Spot *cells, gsize count, double radius)
{
    for (gsize i = 0; i < count; i++)
        art_ellipse(ink, cells[i].x, cells[i].y, radius, radius * .8, 1, .3);
}
