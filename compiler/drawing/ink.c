/* ink: shapes, marks and the fonts; text stands in ink_text.c. */
#include "drawing/ink.h"

#include <cairo-pdf.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <string.h>

#include "drawing/ink_parts.h"

/* ---- texts that are set once and drawn on many sheets ---- */

#define MOST_SETS 4000

/* A language's context and the texts set in it so far; kept for the whole run, since
 * most words of a sheet stand on the next one too. */
typedef struct TypeCase {
    char *tag;
    PangoContext *context;
    GHashTable *sets;
} TypeCase;

static PangoContext *context_of(cairo_t *cairo, PangoFontMap *map, const char *tag)
{
    PangoContext *context = pango_font_map_create_context(map);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_cairo_update_context(cairo, context);
    if (*tag)
        pango_context_set_language(context, pango_language_from_string(tag));
    pango_context_set_base_dir(context, ink_script(tag)->right_to_left ? PANGO_DIRECTION_RTL : PANGO_DIRECTION_LTR);
    return context;
}

static TypeCase *case_of(cairo_t *cairo, PangoFontMap *map, const char *tag)
{
    static GPtrArray *cases;
    if (!cases)
        cases = g_ptr_array_new();
    for (guint i = 0; i < cases->len; i++)
        if (strcmp(((TypeCase *)g_ptr_array_index(cases, i))->tag, tag) == 0)
            return g_ptr_array_index(cases, i);
    TypeCase *made = g_new0(TypeCase, 1);
    made->tag = g_strdup(tag);
    made->context = context_of(cairo, map, tag);
    made->sets = ink_sets_new();
    g_ptr_array_add(cases, made);
    return made;
}

/* Before the first text of a sheet, so that no text in use goes. */
static void set_case(Ink *ink, TypeCase *type_case)
{
    if (g_hash_table_size(type_case->sets) > MOST_SETS)
        g_hash_table_remove_all(type_case->sets);
    ink->script = ink_script(type_case->tag);
    ink->context = type_case->context;
    ink->sets = type_case->sets;
}

Ink *ink_new(cairo_t *cairo, GError **error)
{
    PangoFontMap *map = ink_font_map(error);
    if (!map)
        return NULL;
    Ink *ink = g_new0(Ink, 1);
    ink->cairo = cairo;
    ink->page = 1;
    ink->alternatives = g_ptr_array_new_with_free_func(g_free);
    ink->links = g_ptr_array_new_with_free_func(g_free);
    ink->marks = g_array_new(FALSE, FALSE, sizeof(InkMark));
    ink->flawed = g_ptr_array_new_with_free_func(ink_set_free);
    cairo_scale(cairo, 1 / INK_POINT, 1 / INK_POINT);
    set_case(ink, case_of(cairo, map, ""));
    return ink;
}

void ink_free(Ink *ink)
{
    if (!ink)
        return;
    g_ptr_array_unref(ink->flawed);
    g_ptr_array_unref(ink->alternatives);
    g_ptr_array_unref(ink->links);
    g_array_unref(ink->marks);
    g_free(ink->trouble_text);
    g_free(ink);
}

cairo_t *ink_cairo(Ink *ink) { return ink->cairo; }

gboolean ink_set_language(Ink *ink, const char *tag, GError **error)
{
    PangoFontMap *map = ink_font_map(error);
    if (!map || !ink_load_script(ink_script(tag), error))
        return FALSE;
    set_case(ink, case_of(ink->cairo, map, tag));
    return TRUE;
}

double ink_stretch(const Ink *ink) { return ink->script->stretch; }

gboolean ink_from_right(const Ink *ink) { return ink->script->right_to_left; }

double ink_mirror(Ink *ink, double width)
{
    double before = ink->mirror;
    ink->mirror = width;
    return before;
}

double ink_place(const Ink *ink, double x, double width) { return ink->mirror > 0 ? ink->mirror - x - width : x; }

void ink_trouble(Ink *ink, InkTrouble trouble, const char *text, gunichar letter)
{
    if (ink->trouble != INK_FINE)
        return;
    ink->trouble = trouble;
    ink->trouble_text = g_strdup(text);
    ink->missing_letter = letter;
}

InkTrouble ink_problem(const Ink *ink, const char **text)
{
    if (text)
        *text = ink->trouble_text;
    if (ink->trouble == INK_FINE && cairo_status(ink->cairo) != CAIRO_STATUS_SUCCESS)
        return INK_FAILED;
    return ink->trouble;
}

gunichar ink_missing_letter(const Ink *ink) { return ink->missing_letter; }

/* ---- tags ---- */

void ink_tag(Ink *ink, const char *name) { cairo_tag_begin(ink->cairo, name, NULL); }

void ink_destination(Ink *ink, const char *name, double y)
{
    g_autofree char *place = g_strdup_printf("name='%s' x=0 y=%d", name, (int)y);
    cairo_tag_begin(ink->cairo, CAIRO_TAG_DEST, place);
    cairo_tag_end(ink->cairo, CAIRO_TAG_DEST);
}

void ink_tag_figure(Ink *ink, const char *alternative)
{
    g_ptr_array_add(ink->alternatives, g_strdup(alternative));
    ink_tag(ink, "Figure");
}

const GPtrArray *ink_alternatives(const Ink *ink) { return ink->alternatives; }

void ink_bookmark(Ink *ink, gboolean under, const char *text, double y)
{
    cairo_surface_t *surface = cairo_get_target(ink->cairo);
    if (cairo_surface_get_type(surface) != CAIRO_SURFACE_TYPE_PDF)
        return;
    g_autofree char *place = g_strdup_printf("page=%d pos=[0 %d]", ink->page, (int)(y / INK_POINT));
    int parent = under && ink->bookmark ? ink->bookmark : CAIRO_PDF_OUTLINE_ROOT;
    int entry = cairo_pdf_surface_add_outline(surface, parent, text, place, CAIRO_PDF_OUTLINE_FLAG_OPEN);
    if (!under)
        ink->bookmark = entry;
}

void ink_untag(Ink *ink, const char *name) { cairo_tag_end(ink->cairo, name); }

/* ---- shapes ---- */

double ink_on_paper(Ink *ink, double mm)
{
    double dx = 1, dy = 0;
    cairo_user_to_device_distance(ink->cairo, &dx, &dy);
    return mm / (hypot(dx, dy) * INK_POINT);
}

void ink_pen(Ink *ink, double weight)
{
    cairo_set_source_rgb(ink->cairo, 0, 0, 0);
    cairo_set_line_width(ink->cairo, ink_on_paper(ink, weight));
    cairo_set_line_cap(ink->cairo, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(ink->cairo, CAIRO_LINE_JOIN_ROUND);
}

void ink_line(Ink *ink, double x1, double y1, double x2, double y2)
{
    cairo_move_to(ink->cairo, ink_place(ink, x1, 0), y1);
    cairo_line_to(ink->cairo, ink_place(ink, x2, 0), y2);
    cairo_stroke(ink->cairo);
}

void ink_rounded(Ink *ink, double x, double y, double width, double height, double radius)
{
    cairo_t *cairo = ink->cairo;
    radius = MIN(radius, MIN(width, height) / 2);
    x = ink_place(ink, x, width);
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, x + width - radius, y + radius, radius, -G_PI_2, 0);
    cairo_arc(cairo, x + width - radius, y + height - radius, radius, 0, G_PI_2);
    cairo_arc(cairo, x + radius, y + height - radius, radius, G_PI_2, G_PI);
    cairo_arc(cairo, x + radius, y + radius, radius, G_PI, 3 * G_PI_2);
    cairo_close_path(cairo);
}

void ink_stroke(Ink *ink) { cairo_stroke(ink->cairo); }

static void fill(Ink *ink, double red, double green, double blue)
{
    cairo_set_source_rgb(ink->cairo, red, green, blue);
    cairo_fill_preserve(ink->cairo);
    cairo_set_source_rgb(ink->cairo, 0, 0, 0);
}

void ink_fill_white_and_stroke(Ink *ink)
{
    fill(ink, 1, 1, 1);
    cairo_stroke(ink->cairo);
}

void ink_fill_tint(Ink *ink)
{
    fill(ink, 0.95, 0.95, 0.95);
    cairo_new_path(ink->cairo);
}

void ink_fill_grey(Ink *ink, double grey)
{
    fill(ink, grey, grey, grey);
    cairo_new_path(ink->cairo);
}

static const struct { const char *word; double red, green, blue; } hubs[] = {
#define COLOUR(id, word, red, green, blue) {word, red, green, blue},
#include "language/colours.def"
};

/* White where the word is no colour of the table. */
static void hub_colour(const char *word, double *red, double *green, double *blue)
{
    *red = *green = *blue = 1;
    for (gsize i = 0; word && i < G_N_ELEMENTS(hubs); i++) {
        if (g_ascii_strcasecmp(hubs[i].word, word) != 0)
            continue;
        *red = hubs[i].red;
        *green = hubs[i].green;
        *blue = hubs[i].blue;
        return;
    }
}

void ink_fill_hub(Ink *ink, const char *colour_word)
{
    double red, green, blue;
    hub_colour(colour_word, &red, &green, &blue);
    fill(ink, red, green, blue);
}

double ink_hub_grey(const char *colour_word)
{
    double red, green, blue;
    hub_colour(colour_word, &red, &green, &blue);
    return 0.299 * red + 0.587 * green + 0.114 * blue; /* ITU-R BT.601, luma */
}

/* ---- patterns ---- */

/* Draws a pattern over the path's inside, and keeps the path.  Patterns lie in mm of
 * the page, whatever the drawing's own scale and turn: one hatch on all paper. */
static void inside(Ink *ink, void (*pattern)(cairo_t *, double, double, double, double))
{
    double x1, y1, x2, y2;
    cairo_t *cairo = ink->cairo;
    cairo_path_t *path = cairo_copy_path(cairo);
    cairo_save(cairo);
    cairo_clip(cairo);
    cairo_identity_matrix(cairo);
    cairo_scale(cairo, 1 / INK_POINT, 1 / INK_POINT);
    cairo_clip_extents(cairo, &x1, &y1, &x2, &y2);
    if (x2 > x1 && y2 > y1)
        pattern(cairo, x1, y1, x2, y2);
    cairo_restore(cairo);
    cairo_new_path(cairo);
    cairo_append_path(cairo, path);
    cairo_path_destroy(path);
}

/* Both patterns count from the corner of the page, so that neighbours agree. */
#define HATCH_EVERY 1.0
#define DOT_EVERY 1.1
#define DOT_ROW 0.62

static void hatch(cairo_t *cairo, double x1, double y1, double x2, double y2)
{
    cairo_set_source_rgb(cairo, 0.16, 0.40, 0.68);
    cairo_set_line_width(cairo, 0.22);
    for (double at = ceil((x1 + y1) / HATCH_EVERY) * HATCH_EVERY; at < x2 + y2; at += HATCH_EVERY) {
        cairo_move_to(cairo, at - y2, y2);
        cairo_line_to(cairo, at - y1, y1);
    }
    cairo_stroke(cairo);
}

void ink_fill_water_plain(Ink *ink) { fill(ink, 0.84, 0.92, 0.98); }

void ink_fill_water(Ink *ink)
{
    ink_fill_water_plain(ink);
    inside(ink, hatch);
}

/* Dots in rows that are shifted against each other: a pattern, not noise, so
 * that the same input gives the same bytes. */
static void dots(cairo_t *cairo, double x1, double y1, double x2, double y2)
{
    cairo_set_source_rgb(cairo, 0.1, 0.1, 0.1);
    cairo_set_line_width(cairo, 0.36);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_ROUND); /* a line of no length is a dot */
    for (int row = (int)ceil(y1 / DOT_ROW); row * DOT_ROW < y2; row++)
        for (int column = (int)floor(x1 / DOT_EVERY) - 1; column * DOT_EVERY < x2; column++) {
            double x = column * DOT_EVERY + (row % 3) * 0.37, y = row * DOT_ROW + (column % 2) * 0.12;
            cairo_move_to(cairo, x, y);
            cairo_line_to(cairo, x, y);
        }
    cairo_stroke(cairo);
}

void ink_fill_powder(Ink *ink)
{
    fill(ink, 0.93, 0.93, 0.90);
    inside(ink, dots);
}

void ink_tick_box(Ink *ink, double x, double y, double size)
{
    ink_pen(ink, INK_OUTLINE);
    cairo_rectangle(ink->cairo, ink_place(ink, x, size), y, size, size);
    ink_fill_white_and_stroke(ink);
}

/* ---- marks ---- */

void ink_mark(Ink *ink, const char *name, double x, double y)
{
    cairo_user_to_device(ink->cairo, &x, &y);
    InkMark mark = {name, x * INK_POINT, y * INK_POINT, ink->page};
    g_array_append_val(ink->marks, mark);
}

void ink_next_page(Ink *ink)
{
    cairo_show_page(ink->cairo);
    ink->page++;
}

const GArray *ink_marks(const Ink *ink) { return ink->marks; }
