/* code: words as a square of dark and light modules that a telephone
 * reads (ISO/IEC 18004), encoded by libqrencode. */
#include <qrencode.h>
#include <string.h>

#include "drawing/parts.h"

#define MODULE 0.42   /* mm: read from a hand's width away */
#define QUIET 4       /* modules of white on each side */
#define MOST_MODULES 89 /* with its quiet zone the code stays under 41 mm */

const double figure_code_quiet = QUIET * MODULE;

static QRcode *encoded(const char *text)
{
    return QRcode_encodeData((int)strlen(text), (const unsigned char *)text, 0, QR_ECLEVEL_L);
}

/* The code drawn last: it is measured, then drawn. */
static const QRcode *code_of(const char *text)
{
    static char *last;
    static QRcode *code;
    if (g_strcmp0(last, text) == 0)
        return code;
    QRcode_free(code);
    g_free(last);
    last = g_strdup(text);
    code = encoded(text);
    return code;
}

FigureSize code_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)room;
    const QRcode *code = code_of(shape->code.text);
    if (!code || code->width > MOST_MODULES)
        return (FigureSize){0, 0};
    double side = code->width * MODULE;
    return (FigureSize){side, side};
}

void code_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    (void)room;
    const QRcode *code = code_of(shape->code.text);
    if (!code || code->width > MOST_MODULES)
        return;
    ink_pen(ink, MODULE);
    cairo_set_line_cap(ink_cairo(ink), CAIRO_LINE_CAP_BUTT);
    for (int row = 0; row < code->width; row++)
        for (int column = 0, run; column < code->width; column += run) {
            const unsigned char *at = code->data + row * code->width + column;
            for (run = 1; column + run < code->width && (at[run] & 1) == (at[0] & 1);)
                run++;
            double left = x + column * MODULE, middle = y + (row + 0.5) * MODULE;
            if (!(at[0] & 1))
                continue;
            cairo_move_to(ink_cairo(ink), left, middle); /* a run of dark modules is one stroke */
            cairo_line_to(ink_cairo(ink), left + run * MODULE, middle);
        }
    ink_stroke(ink);
}
