/* ink_text: text in lines.  Ligatures are off and each wrapped line is drawn with
 * its trailing space: only then does every reader get the words back whole. */
#include <pango/pangocairo.h>
#include <string.h>

#include "drawing/ink_parts.h"

#define FEATURES "liga=0, clig=0, dlig=0, calt=0, lnum=1, tnum=1"
#define ORDINARY_LEADING 1.35
#define NO_BREAK "\302\240"
#define ARABIC_COMMA "\330\214"

static gboolean has_enlarged(const Ink *ink, const InkRun *runs, gsize count)
{
    for (gsize i = 0; i < count; i++)
        for (const char *at = runs[i].text; *at; at = g_utf8_next_char(at))
            if (g_unichar_get_script(g_utf8_get_char(at)) == ink->script->enlarged)
                return TRUE;
    return FALSE;
}

/* With the line pitch of the script; where only some letters are set larger, of texts that hold one. */
static InkStyle pitched(const Ink *ink, InkStyle style, const InkRun *runs, gsize count)
{
    style.leading = style.leading > 0 ? style.leading : ORDINARY_LEADING;
    if (ink->script->enlarged == G_UNICODE_SCRIPT_INVALID_CODE || has_enlarged(ink, runs, count))
        style.leading *= ink->script->stretch;
    return style;
}

/* mm, of a style with its pitch. */
static double pitch(InkStyle style) { return style.size * INK_POINT * style.leading; }

/* All text is set at one size, and what is drawn of it scaled. */
static double scale_of(InkStyle style) { return style.size / INK_SET_SIZE; }

static char *joined(const InkRun *runs, gsize count)
{
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < count; i++)
        g_string_append(text, runs[i].text);
    return g_string_free(text, FALSE);
}

static void attribute(PangoAttrList *list, PangoAttribute *made, gsize start, gsize end)
{
    made->start_index = (guint)start;
    made->end_index = (guint)end;
    pango_attr_list_insert(list, made);
}

/* Letters of a script that looks small beside Latin ones. */
static void enlarge(const Ink *ink, PangoAttrList *list, const char *text, gsize length)
{
    if (ink->script->enlarged == G_UNICODE_SCRIPT_INVALID_CODE)
        return;
    for (const char *at = text, *next; at < text + length; at = next) {
        next = g_utf8_next_char(at);
        if (g_unichar_get_script(g_utf8_get_char(at)) == ink->script->enlarged)
            attribute(list, pango_attr_scale_new(ink->script->scale), (gsize)(at - text), (gsize)(next - text));
    }
}

/* The weights of the runs, for the stretch of bytes from..until. */
static PangoAttrList *attributes(InkStyle style, const InkRun *runs, gsize count, gsize from, gsize until)
{
    PangoAttrList *list = pango_attr_list_new();
    attribute(list, pango_attr_font_features_new(FEATURES), 0, G_MAXUINT);
    gsize start = 0;
    for (gsize i = 0; i < count; i++) {
        gsize end = start + strlen(runs[i].text);
        gsize first = MAX(start, from), last = MIN(end, until);
        if ((runs[i].bold || style.bold) && first < last)
            attribute(list, pango_attr_weight_new(PANGO_WEIGHT_BOLD), first - from, last - from);
        start = end;
    }
    return list;
}

#define FIRST_FULL_LETTER 0x2E80 /* the Unicode Standard: from here on letters of East Asia */
#define MOST_GLUED 2             /* letters */

/* A line may break between any two letters of East Asia, and so within the word before a
 * no-break space: those few letters are held together with it. */
static void hold(PangoAttrList *list, const char *text, gsize length)
{
    for (const char *at = text; at < text + length; at = g_utf8_next_char(at)) {
        if (!g_str_has_prefix(at, NO_BREAK))
            continue;
        const char *first = at;
        for (int i = 0; i < MOST_GLUED && first > text; i++) {
            const char *before = g_utf8_prev_char(first);
            if (g_utf8_get_char(before) < FIRST_FULL_LETTER || !g_unichar_isalpha(g_utf8_get_char(before)))
                break;
            first = before;
        }
        if (first < at)
            attribute(list, pango_attr_allow_breaks_new(FALSE), (gsize)(first - text), (gsize)(at - text));
    }
}

static PangoLayout *layout_of(Ink *ink, const char *text, gsize length, PangoAttrList *list)
{
    PangoLayout *layout = pango_layout_new(ink->context);
    PangoFontDescription *font = ink_face(ink->script);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(layout, text, (int)length);
    enlarge(ink, list, text, length);
    hold(list, text, length);
    pango_layout_set_attributes(layout, list);
    pango_layout_set_auto_dir(layout, FALSE);
    return layout;
}

static double layout_width(PangoLayout *layout, InkStyle style)
{
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    return (double)logical.width / PANGO_SCALE * scale_of(style);
}

/* mm of this style in pango's units at the size at which all text is set; -1: one line. */
static int units_of(InkStyle style, double width)
{
    return width < 0 ? -1 : (int)(width / scale_of(style) * PANGO_SCALE);
}

/* Two spaces take the place of the no-break one, which is as long in bytes. */
static void soften_at(PangoLayout *layout, char *text, char *space)
{
    space[0] = space[1] = ' ';
    pango_layout_set_text(layout, text, -1);
}

/* The no-break space before the year of a date without a comma: "26 novembre 2026". */
static char *before_year(char *text)
{
    char *found = NULL;
    for (char *at = strstr(text, NO_BREAK); at; at = strstr(at + 1, NO_BREAK)) {
        const char *year = at + strlen(NO_BREAK);
        gboolean digits = strspn(year, "0123456789") == 4;
        if (digits && at > text && (g_ascii_isalpha(at[-1]) || (at[-1] & 0x80)))
            found = at;
    }
    return found;
}

/* TRUE of a date that soften() may part. */
static gboolean may_part(char *text)
{
    return strstr(text, "," NO_BREAK) || strstr(text, ARABIC_COMMA NO_BREAK) || before_year(text);
}

/* A date with its time that is wider than the column may break before the second
 * clock, in brackets; only if that is not enough, after its last comma, or before
 * its year where the language sets no comma. */
static void soften(PangoLayout *layout, InkStyle style, char *text, double width)
{
    char *latin = g_strrstr(text, "," NO_BREAK), *arabic = g_strrstr(text, ARABIC_COMMA NO_BREAK);
    char *comma = MAX(latin, arabic);
    char *bracket = comma ? strstr(comma, NO_BREAK "(") : NULL;
    if (width < 0 || layout_width(layout, style) <= width + 0.05)
        return;
    char *space = comma ? strstr(comma, NO_BREAK) : before_year(text);
    if (bracket)
        soften_at(layout, text, bracket);
    if (space && (!bracket || layout_width(layout, style) > width + 0.05))
        soften_at(layout, text, space);
}

/* Pango puts the letter itself, with a flag, where the font has no glyph. */
static gunichar unknown_in(const PangoGlyphString *glyphs)
{
    for (int i = 0; i < glyphs->num_glyphs; i++)
        if (glyphs->glyphs[i].glyph & PANGO_GLYPH_UNKNOWN_FLAG)
            return glyphs->glyphs[i].glyph & ~PANGO_GLYPH_UNKNOWN_FLAG;
    return 0;
}

static gunichar letter_without_glyph(PangoLayout *layout)
{
    gunichar letter = 0;
    for (GSList *at = pango_layout_get_lines_readonly(layout); at && !letter; at = at->next) {
        const PangoLayoutLine *line = at->data;
        for (GSList *run = line->runs; run && !letter; run = run->next)
            letter = unknown_in(((const PangoGlyphItem *)run->data)->glyphs);
    }
    return letter;
}

/* The text as it is set in lines of this width (mm); below 0: one line. */
static PangoLayout *set_lines(Ink *ink, InkStyle style, const InkText *text, double width)
{
    g_autofree char *words = joined(text->runs, text->count);
    gsize length = strlen(words);
    PangoAttrList *list = attributes(style, text->runs, text->count, 0, length);
    PangoLayout *layout = layout_of(ink, words, length, list);
    pango_attr_list_unref(list);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD);
    pango_layout_set_width(layout, units_of(style, width));
    soften(layout, style, words, width);
    if (pango_layout_get_unknown_glyphs_count(layout) > 0)
        ink_trouble(ink, INK_GLYPH_MISSING, words, letter_without_glyph(layout));
    return layout;
}

/* What lacks a letter is not kept for other sheets, so that each is told. */
static void keep(Ink *ink, InkSet *set, const PangoLayout *layout)
{
    if (pango_layout_get_unknown_glyphs_count((PangoLayout *)layout) > 0)
        g_ptr_array_add(ink->flawed, set);
    else
        ink_set_keep(ink, set);
}

/* To be drawn; belongs to the ink. */
static PangoLayout *whole_layout(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width)
{
    const InkText text = ink_text_of(style, runs, count, width);
    InkSet *set = ink_set_find(ink, &text);
    if (set)
        return set->layout;
    set = ink_set_new(&text);
    set->layout = set_lines(ink, style, &text, width);
    keep(ink, set, set->layout);
    return set->layout;
}

/* A text of which nothing but its measures is wanted. */
static InkSet *measured(Ink *ink, InkStyle style, const InkRun *runs, gsize count)
{
    InkText text = ink_text_of((InkStyle){.bold = style.bold}, runs, count, 0);
    InkSet *set = ink_set_find(ink, &text);
    if (set)
        return set;
    set = ink_set_new(&text);
    g_autofree char *words = joined(runs, count);
    PangoLayout *layout = set_lines(ink, style, &text, -1);
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    set->natural = logical.width;
    set->paragraphs = pango_layout_get_line_count(layout);
    set->pieces = may_part(words) ? NULL : ink_pieces(layout);
    keep(ink, set, layout);
    g_object_unref(layout);
    return set;
}

double ink_text_width(Ink *ink, InkStyle style, const InkRun *runs, gsize count)
{
    return (double)measured(ink, style, runs, count)->natural / PANGO_SCALE * scale_of(style);
}

static InkLines set_to_see(Ink *ink, InkStyle style, const InkSet *set, double width)
{
    PangoLayout *layout = set_lines(ink, style, &set->text, width);
    g_autofree char *written = joined(set->text.runs, set->text.count);
    gboolean breaks = layout_width(layout, style) <= width && strcmp(pango_layout_get_text(layout), written) == 0;
    const InkLines lines = {units_of(style, width), pango_layout_get_line_count(layout), breaks};
    g_object_unref(layout);
    return lines;
}

static InkLines measure_lines(Ink *ink, InkStyle style, InkSet *set, double width)
{
    InkLines lines;
    gboolean known = set->pieces && ink_pieces_lines(set->pieces, units_of(style, width), &lines);
    if (!known)
        lines = set_to_see(ink, style, set, width);
    if (!set->measured)
        set->measured = g_array_new(FALSE, FALSE, sizeof(InkLines));
    g_array_append_val(set->measured, lines);
    return lines;
}

static InkLines lines_of(Ink *ink, InkStyle style, InkSet *set, double width)
{
    InkLines lines;
    return ink_set_lines(set, units_of(style, width), &lines) ? lines : measure_lines(ink, style, set, width);
}

InkExtent ink_text_extent(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width)
{
    const InkLines lines = lines_of(ink, style, measured(ink, style, runs, count), width);
    return (InkExtent){lines.lines * pitch(pitched(ink, style, runs, count)), lines.breaks && width >= 0};
}

gboolean ink_text_breaks(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width)
{
    return ink_text_extent(ink, style, runs, count, width).breaks;
}

double ink_text_height(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width)
{
    return ink_text_extent(ink, style, runs, count, width).height;
}

/* Ascent and descent of the script's face at the size at which text is set. */
static void face_extents(Ink *ink, double *ascent, double *descent)
{
    if (ink->face != ink->script) {
        PangoFontDescription *font = ink_face(ink->script);
        PangoFontMetrics *metrics = pango_context_get_metrics(ink->context, font, NULL);
        ink->face_ascent = (double)pango_font_metrics_get_ascent(metrics) / PANGO_SCALE;
        ink->face_descent = (double)pango_font_metrics_get_descent(metrics) / PANGO_SCALE;
        ink->face = ink->script;
        pango_font_metrics_unref(metrics);
        pango_font_description_free(font);
    }
    *ascent = ink->face_ascent;
    *descent = ink->face_descent;
}

/* From the top of a line's box to its baseline. */
static double drop(Ink *ink, InkStyle style)
{
    double ascent, descent;
    face_extents(ink, &ascent, &descent);
    return (pitch(style) + scale_of(style) * (ascent - descent)) / 2;
}

/* A link over each run that has one, as far as it stands on this line; written
 * later, since cairo leaves the text beside a link without a tag. */
static void links(Ink *ink, PangoLayout *line, InkStyle style, const InkRun *runs, gsize count, gsize from,
                  gsize until, double x, double top)
{
    gsize start = 0;
    double height = pitch(style), scale = scale_of(style) / PANGO_SCALE;
    for (gsize i = 0; i < count; i++) {
        gsize end = start + strlen(runs[i].text);
        gsize first = MAX(start, from), last = MIN(end, until);
        start = end;
        if (!runs[i].link || first >= last)
            continue;
        PangoRectangle left, right;
        pango_layout_index_to_pos(line, (int)(first - from), &left);
        pango_layout_index_to_pos(line, (int)(last - from), &right);
        double left_x = MIN(left.x, right.x) * scale;
        double right_x = MAX(left.x, right.x) * scale;
        gboolean within = runs[i].link[0] == '#';
        g_autofree char *what = g_strdup_printf("rect=[%d.%03d %d.%03d %d.%03d %d.%03d] %s='%s'",
            (int)(x + left_x), (int)((x + left_x) * 1000) % 1000, (int)top, (int)(top * 1000) % 1000,
            (int)(right_x - left_x), (int)((right_x - left_x) * 1000) % 1000, (int)height,
            (int)(height * 1000) % 1000, within ? "dest" : "uri", runs[i].link + (within ? 1 : 0));
        g_ptr_array_add(ink->links, g_steal_pointer(&what));
    }
}

void ink_close_links(Ink *ink)
{
    if (ink->links->len == 0)
        return;
    ink_tag(ink, "P");
    for (guint i = 0; i < ink->links->len; i++) {
        cairo_tag_begin(ink->cairo, CAIRO_TAG_LINK, g_ptr_array_index(ink->links, i));
        cairo_tag_end(ink->cairo, CAIRO_TAG_LINK);
    }
    ink_untag(ink, "P");
    g_ptr_array_set_size(ink->links, 0);
}

static double line_start(const Ink *ink, InkStyle style, double x, double width, double natural)
{
    InkAlign align = style.align;
    if (ink->script->right_to_left && align != INK_CENTRE)
        align = align == INK_LEFT ? INK_RIGHT : INK_LEFT;
    if (align == INK_LEFT)
        return x;
    return align == INK_RIGHT ? x + width - natural : x + (width - natural) / 2;
}

#define ISOLATE "\342\201\250"
#define END_ISOLATE "\342\201\251"

/* Is a value that keeps its own direction broken before this place? */
static gboolean within_isolate(const char *text, gsize place)
{
    int open = 0;
    for (gsize i = 0; i + strlen(ISOLATE) <= place; i++)
        open += g_str_has_prefix(text + i, ISOLATE) ? 1 : g_str_has_prefix(text + i, END_ISOLATE) ? -1 : 0;
    return open > 0;
}

/* One line of a broken text; kept like the whole. */
static PangoLayout *part_layout(Ink *ink, InkStyle style, const InkText *whole_text, const char *text, gsize from,
                                gsize until)
{
    InkText part = *whole_text;
    part.from = from;
    part.until = until;
    InkSet *set = ink_set_find(ink, &part);
    if (set)
        return set->layout;
    gboolean opened = from > strlen(ISOLATE) && within_isolate(text, from); /* is opened again: "10 mL", not "mL 10" */
    g_autofree char *words = g_strdup_printf("%s%.*s", opened ? ISOLATE : "", (int)(until - from), text + from);
    PangoAttrList *list = attributes(style, part.runs, part.count, opened ? from - strlen(ISOLATE) : from, until);
    set = ink_set_new(&part);
    set->layout = layout_of(ink, words, strlen(words), list);
    pango_attr_list_unref(list);
    ink_set_keep(ink, set);
    return set->layout;
}

/* The glyph of the space at which this line was broken, which pango has emptied; NULL when
 * there is none, or when the line runs from the right. */
static PangoGlyphInfo *broken_space(const PangoLayoutLine *line)
{
    const GSList *last = g_slist_last(line->runs);
    const PangoGlyphItem *run = last ? last->data : NULL;
    if (!run || run->glyphs->num_glyphs == 0 || run->item->analysis.level != 0)
        return NULL;
    PangoGlyphInfo *glyph = &run->glyphs->glyphs[run->glyphs->num_glyphs - 1];
    return glyph->glyph == PANGO_GLYPH_EMPTY ? glyph : NULL;
}

/* The line in its size, from the current point. */
static void show(Ink *ink, InkStyle style, PangoLayoutLine *line)
{
    cairo_set_source_rgb(ink->cairo, style.grey, style.grey, style.grey);
    cairo_save(ink->cairo);
    cairo_scale(ink->cairo, scale_of(style), scale_of(style));
    pango_cairo_show_layout_line(ink->cairo, line);
    cairo_restore(ink->cairo);
    cairo_new_path(ink->cairo);
}

static const PangoFont *last_font(const PangoLayoutLine *line)
{
    return ((const PangoGlyphItem *)g_slist_last(line->runs)->data)->item->analysis.font;
}

/* A broken line with its space put back while it is drawn; FALSE when it has none of its own. */
static gboolean show_broken(Ink *ink, InkStyle style, gboolean bold, PangoLayoutLine *line)
{
    const InkRun space = {" ", bold, NULL};
    PangoGlyphInfo *glyph = broken_space(line), emptied;
    PangoLayout *layout = glyph ? whole_layout(ink, style, &space, 1, -1) : NULL;
    const PangoLayoutLine *alone = layout ? pango_layout_get_line_readonly(layout, 0) : NULL;
    if (!alone || last_font(alone) != last_font(line))
        return FALSE;
    emptied = *glyph;
    *glyph = ((const PangoGlyphItem *)alone->runs->data)->glyphs->glyphs[0];
    show(ink, style, line);
    *glyph = emptied;
    return TRUE;
}

/* The run in which the byte before this place stands. */
static const InkRun *run_before(const InkRun *runs, gsize place)
{
    gsize end = strlen(runs->text);
    while (end < place)
        end += strlen((++runs)->text);
    return runs;
}

static gboolean has_link(const InkRun *runs, gsize count)
{
    for (gsize i = 0; i < count; i++)
        if (runs[i].link)
            return TRUE;
    return FALSE;
}

/* Draws the line as the whole text has it; FALSE when it must be set again, alone: where
 * it runs from the right or has a link, and where its space cannot be put back. */
static gboolean show_as_set(Ink *ink, InkStyle style, const InkRun *runs, gsize count, const char *text,
                            PangoLayoutLine *line, gsize until)
{
    if (ink->script->right_to_left || has_link(runs, count) || until == 0)
        return FALSE;
    if (text[until - 1] == ' ')
        return show_broken(ink, style, run_before(runs, until)->bold, line);
    show(ink, style, line);
    return TRUE;
}

static double line_natural(PangoLayoutLine *line, InkStyle style)
{
    PangoRectangle logical;
    pango_layout_line_get_extents(line, NULL, &logical);
    return (double)logical.width / PANGO_SCALE * scale_of(style);
}

static gboolean too_wide(double natural, double width) { return natural > width + 0.05; }

gboolean ink_text_holds(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double width)
{
    for (GSList *at = pango_layout_get_lines_readonly(whole_layout(ink, style, runs, count, width)); at; at = at->next)
        if (too_wide(line_natural(at->data, style), width))
            return FALSE;
    return TRUE;
}

static void draw_line(Ink *ink, InkStyle style, const InkRun *runs, gsize count, const char *text,
                      PangoLayoutLine *line, double x, double top, double width)
{
    gsize from = (gsize)line->start_index, until = from + (gsize)line->length;
    while (text[until] == ' ') /* the space at which the line was broken */
        until++;
    gboolean alone = from == 0 && text[until] == '\0';
    const double natural = line_natural(line, style);
    if (too_wide(natural, width))
        ink_trouble(ink, INK_TOO_WIDE, text, 0);
    double start = line_start(ink, style, x, width, natural);
    cairo_move_to(ink->cairo, start, top + drop(ink, style));
    if (!alone && show_as_set(ink, style, runs, count, text, line, until))
        return;
    const InkText whole_text = ink_text_of(style, runs, count, width);
    PangoLayout *layout = alone ? line->layout : part_layout(ink, style, &whole_text, text, from, until);
    show(ink, style, pango_layout_get_line_readonly(layout, 0));
    links(ink, layout, style, runs, count, from, until, start, top);
}

double ink_text_draw(Ink *ink, InkStyle style, const InkRun *runs, gsize count, double x, double top, double width)
{
    PangoLayout *layout = whole_layout(ink, style, runs, count, width);
    const char *text = pango_layout_get_text(layout);
    int lines = pango_layout_get_line_count(layout);
    /* Else it would stand in the room of something else. */
    g_assert(lines == lines_of(ink, style, measured(ink, style, runs, count), width).lines);
    style = pitched(ink, style, runs, count);
    x = ink_place(ink, x, width);
    for (int i = 0; i < lines; i++)
        draw_line(ink, style, runs, count, text, pango_layout_get_line_readonly(layout, i), x,
                  top + i * pitch(style), width);
    return lines * pitch(style);
}

/* Moves to where the label starts; its layout of one line. */
static PangoLayout *place_label(Ink *ink, InkStyle style, const char *text, double x, double baseline)
{
    const InkRun run = {text, style.bold, NULL};
    PangoLayout *layout = whole_layout(ink, style, &run, 1, -1);
    double natural = layout_width(layout, style);
    double start = style.align == INK_LEFT ? x : style.align == INK_RIGHT ? x - natural : x - natural / 2;
    cairo_move_to(ink->cairo, start, baseline);
    return layout;
}

void ink_label(Ink *ink, InkStyle style, const char *text, double x, double baseline)
{
    show(ink, style, pango_layout_get_line_readonly(place_label(ink, style, text, x, baseline), 0));
}

void ink_shape_label(Ink *ink, InkStyle style, const char *text, double x, double baseline)
{
    PangoLayout *layout = place_label(ink, style, text, x, baseline);
    cairo_set_source_rgb(ink->cairo, style.grey, style.grey, style.grey);
    cairo_save(ink->cairo);
    cairo_scale(ink->cairo, scale_of(style), scale_of(style));
    pango_cairo_layout_line_path(ink->cairo, pango_layout_get_line_readonly(layout, 0));
    cairo_fill(ink->cairo);
    cairo_restore(ink->cairo);
}
