/* page_grid: see grid.h. */
#include "page/grid.h"

#define MEASURE 142.0   /* mm */
#define EVEN_PITCH 1.25 /* em: lines that are read with ease */
#define EVEN_GAP 1.0    /* mm that are not given up for them: above a band, */
#define EVEN_DROP 2.1   /* below a rail, */
#define EVEN_PAD 2.8    /* inside boxes, */
#define EVEN_PICTURE 23.5

/* One line gives up one thing more than the line before it. */
#define YIELDING(LEVEL)                                                   \
    LEVEL(8, 4.0, 2.6, 54, 1.0, 10, 1.32, 1.26, 6.0, 18, MEASURE)         \
    LEVEL(6, 3.2, 2.6, 48, 1.0, 10, 1.32, 1.26, 6.0, 17, MEASURE)         \
    LEVEL(5, 2.6, 2.6, 44, 0.9, 10, 1.32, 1.26, 6.0, 16, MEASURE)         \
    LEVEL(4, 2.0, 2.6, 40, 0.8, 10, 1.30, 1.25, 5.5, 15, MEASURE)         \
    LEVEL(3, 1.6, 2.6, 36, 0.7, 10, 1.28, 1.20, 5.0, 14, MEASURE)         \
    LEVEL(3, 1.4, 2.6, 34, 0.0, 10, 1.26, 1.18, 4.5, 13, MEASURE)         \
    LEVEL(2.5, 1.2, 2.6, 31, 0.0, 9, 1.24, 1.16, 4.5, 12, MEASURE)        \
    LEVEL(2, 1.0, 2.6, 28, 0.0, 9, 1.20, 1.14, 4.0, 10, MEASURE)          \
    LEVEL(1.6, 0.8, 2.6, 26, 0.0, 9, 1.18, 1.12, 3.6, 9.5, MEASURE)       \
    LEVEL(1.5, 0.8, 2.6, 25, 0.0, 9, 1.17, 1.12, 3.5, 9, BLOCK_WIDTH)     \
    LEVEL(1.0, 0.6, 2.1, 25, 0.0, 9, 1.17, 1.12, 2.8, 6.5, BLOCK_WIDTH)   \
    LEVEL(0.6, 0.4, 1.8, 22, 0.0, 8.5, 1.13, 1.09, 2.2, 6.5, BLOCK_WIDTH) \
    LEVEL(0.6, 0.4, 1.6, 22, 0.0, 8.5, 1.09, 1.09, 2.2, 6.5, BLOCK_WIDTH)

#define AS_IT_YIELDS(...) {__VA_ARGS__},
#define EVENED(band, row, drop, picture, pleasing, number, pitch, close, pad, thing, measure)            \
    {MAX(band, EVEN_GAP), row, MAX(drop, EVEN_DROP), MAX(picture, EVEN_PICTURE), pleasing, number,       \
     MAX(pitch, EVEN_PITCH), MAX(close, EVEN_PITCH), MAX(pad, EVEN_PAD), thing, measure},
#define EVENED_SHORT(band, row, drop, picture, pleasing, number, pitch, close, pad, thing, measure) \
    EVENED(band, row, drop, picture, pleasing, number, pitch, close, pad, thing, MEASURE)

const PageLevel page_levels[] = {YIELDING(AS_IT_YIELDS) YIELDING(EVENED_SHORT) YIELDING(EVENED)};
const int page_level_most = G_N_ELEMENTS(page_levels);
const int page_level_count = G_N_ELEMENTS(page_levels) / 3;

gboolean page_level_is_even(const PageLevel *level)
{
    return level->pitch >= EVEN_PITCH && level->close >= EVEN_PITCH && level->measure <= MEASURE;
}

InkStyle grid_type(Print print, TypeSize size)
{
    static const struct { double points[PRINT_CLINIC + 1]; gboolean bold; double pitch; } types[] = {
#define TYPE(id, ordinary, large, clinic, bold, pitch) {{ordinary, large, clinic}, bold, pitch},
        TYPES
#undef TYPE
    };
    return (InkStyle){.size = types[size].points[print], .bold = types[size].bold, .leading = types[size].pitch};
}
