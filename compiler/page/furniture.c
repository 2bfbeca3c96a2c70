/* page_furniture: running head and foot, and the marks of a draft. */
#include "page/parts.h"

#define HEAD_TOP 11.0
#define PAGE_NUMBER 30.0 /* room for "page 10 of 12" */

void add_head(Setter *setter)
{
    InkStyle small = {.size = 10.5, .grey = 0.25, .leading = 1.2};
    add_line(setter, NULL, small, setter->document->head, setter->spec.margin, HEAD_TOP, setter->width);
}

/* The number first and large, then the rest of the line. */
static void add_call(Setter *setter, double y)
{
    const Line *line = setter->document->foot_call;
    guint first = 0;
    while (first < line->runs->len && !((const Run *)g_ptr_array_index(line->runs, first))->dial)
        first++;
    if (first == line->runs->len)
        first = 0;
    Line number = {g_ptr_array_new()}, others = {g_ptr_array_new()};
    g_ptr_array_add(number.runs, g_ptr_array_index(line->runs, first));
    for (guint i = first + 1; i < line->runs->len; i++)
        g_ptr_array_add(others.runs, g_ptr_array_index(line->runs, i));
    InkStyle large = {.size = 18, .bold = TRUE}, rest = {.size = 12};
    double x = setter->spec.margin, width = line_width(setter, large, &number);
    box_open(&setter->pile, NULL)->links = TRUE;
    add_line(setter, NULL, large, &number, x, y - 1, width + 1);
    add_line(setter, NULL, rest, &others, x + width + 2, y + 1.2, setter->width - width - 2);
    box_close(&setter->pile);
    g_ptr_array_unref(number.runs);
    g_ptr_array_unref(others.runs);
}

static const char *page_words(const Setter *setter, int page, int pages)
{
    g_autoptr(GString) text = g_string_new(setter->document->page_of);
    g_autofree char *number = g_strdup_printf("%d", page);
    g_autofree char *total = g_strdup_printf("%d", pages);
    g_string_replace(text, "{page}", number, 0);
    g_string_replace(text, "{pages}", total, 0);
    return arena_copy(setter->arena, text->str);
}

void add_foot(Setter *setter, int page, int pages)
{
    double y = setter->spec.height - FOOT_HEIGHT;
    add_rule(setter, INK_FINE_LINE, setter->spec.margin, y - 1.5, setter->spec.margin + setter->width, y - 1.5);
    add_call(setter, y);
    InkStyle small = {.size = 10, .grey = 0.25, .leading = 1.2};
    const InkRun foot = {setter->document->foot, FALSE, NULL};
    add_runs(setter, NULL, small, &foot, 1, setter->spec.margin, y + 8, setter->width - PAGE_NUMBER);
    const InkRun number = {page_words(setter, page, pages), FALSE, NULL};
    small.align = INK_RIGHT;
    add_runs(setter, NULL, small, &number, 1, setter->spec.margin + setter->width - PAGE_NUMBER, y + 8, PAGE_NUMBER);
}

void add_draft(Setter *setter)
{
    if (!setter->document->draft)
        return;
    InkRun *words = arena_new0(setter->arena, InkRun);
    *words = (InkRun){setter->document->draft, TRUE, NULL};
    PageBox *mark = box_add(&setter->pile, BOX_MARK, 0, 0, setter->spec.width, setter->spec.height);
    mark->style = (InkStyle){.size = 60, .bold = TRUE, .grey = 0.88, .align = INK_CENTRE};
    mark->runs = words;
    mark->count = 1;
    InkStyle style = {.size = 12, .bold = TRUE, .align = INK_RIGHT}; /* and where nothing covers it */
    add_runs(setter, NULL, style, words, 1, setter->spec.margin, HEAD_TOP - 6, setter->width);
}
