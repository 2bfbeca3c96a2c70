/* page_type: type sizes, and boxes of words and shapes. */
#include <string.h>

#include "page/parts.h"

static InkRun *runs_of(const Setter *setter, const Line *line)
{
    InkRun *runs = arena_alloc(setter->arena, MAX(1, line->runs->len) * sizeof(InkRun));
    for (guint i = 0; i < line->runs->len; i++) {
        const Run *run = g_ptr_array_index(line->runs, i);
        runs[i] = (InkRun){run->text, run->strong, run->dial};
    }
    return runs;
}

double line_height(const Setter *setter, InkStyle style, const Line *line, double width)
{
    return ink_text_height(setter->ink, style, runs_of(setter, line), line->runs->len, width);
}

double line_width(const Setter *setter, InkStyle style, const Line *line)
{
    return ink_text_width(setter->ink, style, runs_of(setter, line), line->runs->len);
}

gboolean line_breaks(const Setter *setter, InkStyle style, const Line *line, double width)
{
    return ink_text_breaks(setter->ink, style, runs_of(setter, line), line->runs->len, width);
}

Line *line_of_words(const Setter *setter, const char *text)
{
    Line *line = arena_new0(setter->arena, Line);
    line->runs = arena_list(setter->arena);
    Run *run = arena_new0(setter->arena, Run);
    run->text = text;
    g_ptr_array_add(line->runs, run);
    return line;
}

/* ---- boxes ---- */

void set_crowded(Setter *setter, PageBox *box, gboolean crowded)
{
    box->crowded = crowded;
    setter->crowds += crowded;
}

/* runs: in the setter's memory. */
static double add_own_runs(Setter *setter, const char *tag, InkStyle style, const InkRun *runs, gsize count, double x,
                           double y, double width)
{
    InkExtent extent = ink_text_extent(setter->ink, style, runs, count, width);
    PageBox *box = box_add(&setter->pile, BOX_TEXT, x, y, width, extent.height);
    box->tag = tag;
    box->style = style;
    box->runs = runs;
    box->count = count;
    box->links = tag != NULL;
    set_crowded(setter, box, !extent.breaks);
    return extent.height;
}

double add_runs(Setter *setter, const char *tag, InkStyle style, const InkRun *runs, gsize count, double x, double y,
                double width)
{
    InkRun *own = arena_alloc(setter->arena, MAX(1, count) * sizeof(InkRun));
    memcpy(own, runs, count * sizeof(InkRun));
    return add_own_runs(setter, tag, style, own, count, x, y, width);
}

double add_line(Setter *setter, const char *tag, InkStyle style, const Line *line, double x, double y, double width)
{
    return add_own_runs(setter, tag, style, runs_of(setter, line), line->runs->len, x, y, width);
}

void add_rule(Setter *setter, double weight, double x1, double y1, double x2, double y2)
{
    box_add(&setter->pile, BOX_RULE, x1, y1, x2 - x1, y2 - y1)->weight = weight;
}

PageBox *add_frame(Setter *setter, double weight, double x, double y, double width, double height, double radius)
{
    PageBox *box = box_add(&setter->pile, BOX_FRAME, x, y, width, height);
    box->weight = weight;
    box->radius = radius;
    return box;
}

PageBox *add_tint(Setter *setter, double x, double y, double width, double height)
{
    PageBox *box = box_add(&setter->pile, BOX_TINT, x, y, width, height);
    box->radius = INK_RADIUS * 2;
    return box;
}

PageBox *last_box(const Setter *setter)
{
    return setter->pile.open->last;
}
