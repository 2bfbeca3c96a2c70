/* page_grid: see grid.h. */
#include "page/grid.h"

#define MEASURE 142.0 /* mm */

/* One line gives up one thing more than the line before it. */
const PageLevel page_levels[] = {
    {8, 4.0, 2.6, 54, 1.0, 10, 1.32, 1.26, 6.0, 18, MEASURE},
    {6, 3.2, 2.6, 48, 1.0, 10, 1.32, 1.26, 6.0, 17, MEASURE},
    {5, 2.6, 2.6, 44, 0.9, 10, 1.32, 1.26, 6.0, 16, MEASURE},
    {4, 2.0, 2.6, 40, 0.8, 10, 1.30, 1.25, 5.5, 15, MEASURE},
    {3, 1.6, 2.6, 36, 0.7, 10, 1.28, 1.20, 5.0, 14, MEASURE},
    {3, 1.4, 2.6, 34, 0.0, 10, 1.26, 1.18, 4.5, 13, MEASURE},
    {2.5, 1.2, 2.6, 31, 0.0, 9, 1.24, 1.16, 4.5, 12, MEASURE},
    {2, 1.0, 2.6, 28, 0.0, 9, 1.20, 1.14, 4.0, 10, MEASURE},
    {1.6, 0.8, 2.6, 26, 0.0, 9, 1.18, 1.12, 3.6, 9.5, MEASURE},
    {1.5, 0.8, 2.6, 25, 0.0, 9, 1.17, 1.12, 3.5, 9, BLOCK_WIDTH},
    {1.0, 0.6, 2.1, 25, 0.0, 9, 1.17, 1.12, 2.8, 6.5, BLOCK_WIDTH},
    {0.6, 0.4, 1.8, 22, 0.0, 8.5, 1.13, 1.09, 2.2, 6.5, BLOCK_WIDTH},
};
const int page_level_count = G_N_ELEMENTS(page_levels);

InkStyle grid_type(Print print, TypeSize size)
{
    static const struct { double points[PRINT_CLINIC + 1]; gboolean bold; double pitch; } types[] = {
#define TYPE(id, ordinary, large, clinic, bold, pitch) {{ordinary, large, clinic}, bold, pitch},
        TYPES
#undef TYPE
    };
    return (InkStyle){.size = types[size].points[print], .bold = types[size].bold, .leading = types[size].pitch};
}
