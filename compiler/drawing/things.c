/* things: lines and hubs that drawings share. */
#include "drawing/parts.h"

/* Catmull-Rom through all points, as Bezier pieces. */
static void shape_smooth(cairo_t *cairo, const Point *points, gsize count, gboolean go_on)
{
    if (go_on)
        cairo_line_to(cairo, points[0].x, points[0].y);
    else
        cairo_move_to(cairo, points[0].x, points[0].y);
    for (gsize i = 0; i + 1 < count; i++) {
        Point before = points[i > 0 ? i - 1 : i], from = points[i], to = points[i + 1];
        Point after = points[i + 2 < count ? i + 2 : i + 1];
        cairo_curve_to(cairo, from.x + (to.x - before.x) / 6, from.y + (to.y - before.y) / 6,
                       to.x - (after.x - from.x) / 6, to.y - (after.y - from.y) / 6, to.x, to.y);
    }
}

void shape_curve(Ink *ink, const Point *points, gsize count)
{
    shape_smooth(ink_cairo(ink), points, count, FALSE);
    ink_stroke(ink);
}

static void hub_bands(Ink *ink, double grey, double x, double y, double length, double narrow, double wide)
{
    ink_pen(ink, 0.7);
    if (grey < 0.4)
        cairo_set_source_rgb(ink_cairo(ink), 1, 1, 1);
    for (int i = 0; i < 2; i++) {
        double share = 0.36 + 0.26 * i, half = narrow + (wide * 0.82 - narrow) * share;
        ink_line(ink, x + length * share, y - half, x + length * share, y + half);
    }
}

void shape_hub(Ink *ink, const char *hub, double x, double y, double length, double narrow,
               double wide, gboolean banded)
{
    cairo_t *cairo = ink_cairo(ink);
    double grey = ink_hub_grey(hub), collar = x + length - 1.2;
    cairo_move_to(cairo, x, y - narrow);
    cairo_line_to(cairo, collar, y - wide * 0.82);
    cairo_line_to(cairo, collar, y - wide);
    cairo_line_to(cairo, x + length, y - wide);
    cairo_line_to(cairo, x + length, y + wide);
    cairo_line_to(cairo, collar, y + wide);
    cairo_line_to(cairo, collar, y + wide * 0.82);
    cairo_line_to(cairo, x, y + narrow);
    cairo_close_path(cairo);
    ink_fill_hub(ink, hub);
    ink_pen(ink, INK_OUTLINE);
    ink_stroke(ink);
    if (banded)
        hub_bands(ink, grey, x, y, length, narrow, wide);
    if (banded || grey > 0.75)
        return;
    ink_pen(ink, INK_FINE_LINE);
    if (grey < 0.4)
        cairo_set_source_rgb(cairo, 1, 1, 1);
    for (int i = -1; i <= 1; i += 2)
        ink_line(ink, x + 1.2, y + i * narrow * 0.4, collar - 0.8, y + i * wide * 0.36);
}
