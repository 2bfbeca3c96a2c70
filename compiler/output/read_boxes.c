/* output_read_boxes: see read_boxes.h. */
#include "output/read_boxes.h"

#include <math.h>
#include <stdlib.h>

#define SLACK 0.3 /* mm: a letter's middle may lie so far outside */

#define ONE_LINE 1.5  /* mm: letters whose middles are no further apart in height stand on one line */
#define LINE_PART 0.4 /* of the type size: the same where scripts of different height share a line */

typedef struct Letter {
    gunichar letter;
    double x, y;
} Letter;

static void clear(gpointer data)
{
    g_string_free(((ReadBox *)data)->text, TRUE);
    g_array_unref(((ReadBox *)data)->letters);
}

static void add_box(const PageBox *box, double left, gpointer boxes)
{
    ReadBox one = {box, left, NULL, NULL};
    if (box && box->kind != BOX_TEXT && box->kind != BOX_DRAWING)
        return;
    one.text = g_string_new(NULL);
    one.letters = g_array_new(FALSE, FALSE, sizeof(Letter));
    g_array_append_val(boxes, one);
}

static gboolean holds(const ReadBox *one, double x, double y)
{
    const PageBox *box = one->box;
    return x > one->left - SLACK && x < one->left + box->width + SLACK && y > box->y - SLACK &&
           y < box->y + box->height + SLACK;
}

/* Words before drawings, small boxes before large ones: a number may stand in the corner of its
 * picture's ground. */
static gboolean is_closer(const ReadBox *one, const ReadBox *than)
{
    if ((one->box->kind == BOX_TEXT) != (than->box->kind == BOX_TEXT))
        return one->box->kind == BOX_TEXT;
    return one->box->width * one->box->height < than->box->width * than->box->height;
}

/* The last entry is for strays. */
static ReadBox *box_at(const GArray *boxes, double x, double y)
{
    ReadBox *closest = &g_array_index(boxes, ReadBox, boxes->len - 1);
    for (guint i = 0; i + 1 < boxes->len; i++) {
        ReadBox *one = &g_array_index(boxes, ReadBox, i);
        if (holds(one, x, y) && (!closest->box || is_closer(one, closest)))
            closest = one;
    }
    return closest;
}

#define NEAR 8.0 /* mm: words that a picture draws beyond its own size still belong to it */

static double distance(const ReadBox *one, double x, double y)
{
    double dx = MAX(MAX(one->left - x, x - one->left - one->box->width), 0);
    double dy = MAX(MAX(one->box->y - y, y - one->box->y - one->box->height), 0);
    return hypot(dx, dy);
}

/* The picture beside which a stray letter stands, or where strays go. */
static ReadBox *picture_near(const GArray *boxes, double x, double y)
{
    ReadBox *nearest = &g_array_index(boxes, ReadBox, boxes->len - 1);
    double least = NEAR;
    for (guint i = 0; i + 1 < boxes->len; i++) {
        ReadBox *one = &g_array_index(boxes, ReadBox, i);
        if (one->box->kind != BOX_DRAWING || distance(one, x, y) >= least)
            continue;
        least = distance(one, x, y);
        nearest = one;
    }
    return nearest;
}

static void blank(GString *text)
{
    if (text->len > 0 && text->str[text->len - 1] != ' ')
        g_string_append_c(text, ' ');
}

/* Letters of one word touch, or nearly: a reader may leave out the space between two labels of a
 * picture. */
#define APART 0.8 /* mm */

static gboolean is_apart(const ReadPage *read, guint letter)
{
    double gap = fabs(read->x[letter] - read->x[letter - 1]) - (read->wide[letter] + read->wide[letter - 1]) / 2;
    return gap > APART || fabs(read->y[letter] - read->y[letter - 1]) > ONE_LINE;
}

GArray *output_read_boxes(const PageBox *page, const ReadPage *read)
{
    GArray *boxes = g_array_new(FALSE, FALSE, sizeof(ReadBox));
    g_array_set_clear_func(boxes, clear);
    box_visit(page, add_box, boxes);
    add_box(NULL, 0, boxes);
    const char *at = read->text;
    const ReadBox *before = NULL;
    for (guint i = 0; i < read->letters; i++, at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        if (g_unichar_isspace(letter)) {
            if (before)
                blank(before->text);
            continue;
        }
        const Letter place = {letter, read->x[i], read->y[i]};
        const ReadBox *one = box_at(boxes, read->x[i], read->y[i]);
        one = one->box ? one : picture_near(boxes, place.x, place.y);
        if (before && one != before) {
            blank(before->text);
            blank(one->text);
        } else if (before && is_apart(read, i)) {
            blank(one->text);
        }
        g_string_append_unichar(one->text, letter);
        g_array_append_val(one->letters, place);
        before = one;
    }
    return boxes;
}

static int by_height(gconstpointer left, gconstpointer right)
{
    const Letter *a = left, *b = right;
    return a->y < b->y ? -1 : a->y > b->y;
}

static int by_side(gconstpointer left, gconstpointer right)
{
    const Letter *a = left, *b = right;
    return a->x < b->x ? -1 : a->x > b->x;
}

char *output_read_lines(const ReadBox *one)
{
    GString *text = g_string_new(NULL);
    Letter *letters = (Letter *)(void *)one->letters->data;
    guint count = one->letters->len, end;
    double same = one->box ? one->box->style.size * INK_POINT * LINE_PART : ONE_LINE;
    g_array_sort(one->letters, by_height);
    for (guint from = 0; from < count; from = end) {
        end = from + 1;
        while (end < count && letters[end].y - letters[end - 1].y < same)
            end++;
        qsort(letters + from, end - from, sizeof(Letter), by_side);
        for (guint i = from; i < end; i++)
            g_string_append_unichar(text, letters[i].letter);
    }
    return g_string_free(text, FALSE);
}
