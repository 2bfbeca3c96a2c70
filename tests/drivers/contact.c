/* contact: every picture of figures.def on contact sheets, to be looked at.
 *   contact FOLDER [WIDTH] [copy] [NAME ...]
 * writes FOLDER/contact-N.png, each picture WIDTH mm wide (60); copy: as a poor photocopy
 * gives it back (blurred, noisy, black or white).  It fails when the ink is in trouble, when a
 * row that the four-page sheet uses has no sample, and when a copy loses the lines of a picture. */
#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "drawing/drawing.h"

#define DPI 150.0
#define ACROSS 4
#define PAGE_HIGH 290.0
#define GAP 6.0
#define NAME_HIGH 6.0
#define STRONG 150.0    /* of 255: lines and hatch, not tints */
#define LEAST_KEPT 0.95

#define PINK {"pink", TRUE}
#define ORANGE {"orange", FALSE}
#define GREY {"grey", FALSE}
#define MM(n) {n, 10}

#define THREE_ML                                                                  \
    .capacity_ml = {3, 1}, .mark_every_ml = {1, 10}, .number_every_ml = {1, 2},   \
    .scale_mm = MM(520), .barrel_mm = MM(100)
#define ONE_ML                                                                    \
    .capacity_ml = {1, 1}, .mark_every_ml = {1, 50}, .number_every_ml = {1, 10},  \
    .scale_mm = MM(570)
#define WORDS_PAIR(a, b) .pair = {.good = a, .bad = b, .number = "40", .needle = ORANGE}

static const FigureShape samples[] = {
    {FIGURE_WASH, .plain = {0}},
    {FIGURE_READ_LABEL, .label = {THING_POWDER, "chorionic gonadotropin", "10,000 units", "use by August 31, 2027"}},
    {FIGURE_READ_LABEL, .label = {THING_LIQUID, "bacteriostatic water", "10 mL", NULL}},
    {FIGURE_VIAL_LABEL, .label = {THING_READY, "Mixed ____", "at ____", "Use until ____"}},
    {FIGURE_FRIDGE_OUT, .plain = {0}},
    {FIGURE_LID_OFF, .thing = {.kind = THING_POWDER}},
    {FIGURE_LID_OFF, .thing = {.kind = THING_LIQUID}},
    {FIGURE_WIPE_TOP, .thing = {.kind = THING_LIQUID}},
    {FIGURE_SNAP, .plain = {0}},
    {FIGURE_WARM, .plain = {0}},
    {FIGURE_CAP_TO_TABLE, .scene = {.needle = PINK, .amount = "1"}},
    {FIGURE_AIR_IN, .scene = {.needle = PINK}},
    {FIGURE_DOWN_GLASS, .scene = {.needle = PINK}},
    {FIGURE_SWIRL_VIAL, .scene = {.needle = PINK}},
    {FIGURE_EMPTY_NEEDLE, .scene = {.needle = PINK, .count = 2, .amount = "1", .vial = TRUE}},
    {FIGURE_EMPTY_NEEDLE, .scene = {.needle = PINK, .count = 2, .amount = "1"}},
    {FIGURE_BUBBLE_BACK, .scene = {.needle = PINK}},
    {FIGURE_VIALS, .scene = {.count = 1, .of = 3}},
    {FIGURE_PAIR_BITS, WORDS_PAIR("clear", "bits, or powder at 5 minutes")},
    {FIGURE_PAIR_TIP, WORDS_PAIR("tip in liquid", "tip in air")},
    {FIGURE_CAP_SLIDE, .scene = {.needle = PINK}},
    {FIGURE_TWIST_OFF, .scene = {.needle = PINK}},
    {FIGURE_TWIST_OFF, .scene = {.needle = PINK, .slip = TRUE}},
    {FIGURE_TWIST_ON, .scene = {.needle = ORANGE}},
    {FIGURE_CAP_OFF, .scene = {.needle = ORANGE}},
    {FIGURE_CAP_OFF, .scene = {.fixed = TRUE}},
    {FIGURE_TIP_CAP_OFF, .scene = {.needle = ORANGE}},
    {FIGURE_LIES_READY, .scene = {.needle = ORANGE}},
    {FIGURE_LIES_READY, .scene = {.fixed = TRUE}},
    {FIGURE_SPOT, .site = {.site = Site_VENTROGLUTEAL}},
    {FIGURE_SPOT, .site = {.site = Site_VENTROGLUTEAL, .left = TRUE}},
    {FIGURE_SPOT, .site = {.site = Site_VENTROGLUTEAL, .either = TRUE, .left_word = "left side",
                           .right_word = "right side"}},
    {FIGURE_SPOT, .site = {.site = Site_VENTROGLUTEAL, .view = VIEW_OWN}},
    {FIGURE_SPOT, .site = {.site = Site_DORSOGLUTEAL}},
    {FIGURE_SPOT, .site = {.site = Site_DORSOGLUTEAL, .left = TRUE}},
    {FIGURE_SPOT, .site = {.site = Site_DELTOID, .fingers = 2}},
    {FIGURE_SPOT, .site = {.site = Site_DELTOID, .fingers = 3}},
    {FIGURE_SPOT, .site = {.site = Site_THIGH, .view = VIEW_OWN}},
    {FIGURE_SPOT, .site = {.site = Site_ABDOMEN, .view = VIEW_OWN}},
    {FIGURE_SPOT, .site = {.site = Site_ABDOMEN, .view = VIEW_OWN, .either = TRUE, .left_word = "your left",
                           .right_word = "your right"}},
    {FIGURE_ARM_TABLE, .scene = {.needle = ORANGE}},
    {FIGURE_ARM_FRAME, .scene = {.needle = ORANGE}},
    {FIGURE_SPREAD, .plain = {0}},
    {FIGURE_BELL, .plain = {0}},
    {FIGURE_RING, .plain = {0}},
    {FIGURE_WIPE_SPOT, .scene = {.amount = "1 min"}},
    {FIGURE_TAP_UP, .scene = {.needle = ORANGE}},
    {FIGURE_DROP, .scene = {.needle = ORANGE}},
    {FIGURE_DROP, .scene = {.needle = GREY, .pen = TRUE}},
    {FIGURE_SKIN_IN, .scene = {.needle = ORANGE, .muscle = TRUE, .angle = 90}},
    {FIGURE_SKIN_IN, .scene = {.needle = ORANGE, .fold = TRUE, .angle = 90}},
    {FIGURE_SKIN_IN, .scene = {.needle = ORANGE, .fold = TRUE, .angle = 45}},
    {FIGURE_SKIN_IN, .scene = {.needle = GREY, .fold = TRUE, .angle = 90, .pen = TRUE}},
    {FIGURE_SKIN_IN, .scene = {.fold = TRUE, .angle = 45, .fixed = TRUE}},
    {FIGURE_HOLD, .scene = {.needle = ORANGE, .amount = "10"}},
    {FIGURE_HOLD, .scene = {.needle = GREY, .amount = "10", .pen = TRUE}},
    {FIGURE_OUT, .scene = {.needle = ORANGE}},
    {FIGURE_OUT, .scene = {.needle = GREY, .pen = TRUE}},
    {FIGURE_PAIR_PUSH, WORDS_PAIR("all of it", "some left")},
    {FIGURE_PAIR_BLOOD, WORDS_PAIR("no blood", "blood")},
    {FIGURE_INTO_BOX, .scene = {.needle = ORANGE}},
    {FIGURE_INTO_BOX, .scene = {.needle = GREY, .pen = TRUE}},
    {FIGURE_BOX_FULL, .plain = {0}},
    {FIGURE_PRESS, .scene = {.amount = "1 min"}},
    {FIGURE_BANDAGE, .plain = {0}},
    {FIGURE_LEFT_OVER, .things = {{{.kind = THING_EMPTY_VIAL, .count = 1},
                                   {.kind = THING_LIQUID, .count = 1},
                                   {.kind = THING_NEEDLE, .look = ORANGE, .needle_mm = MM(381), .count = 1},
                                   {.kind = THING_WIPE, .count = 1},
                                   {.kind = THING_GAUZE, .count = 1}}, 5}},
    {FIGURE_PHONE, .plain = {0}},
    {FIGURE_PEN_CAP, .plain = {0}},
    {FIGURE_PEN_WIPE, .plain = {0}},
    {FIGURE_PEN_OPEN, .plain = {0}},
    {FIGURE_PEN_LOAD, .scene = {.amount = "1"}},
    {FIGURE_PEN_SCREW, .scene = {.needle = GREY}},
    {FIGURE_PEN_UNCAP, .scene = {.needle = GREY}},
    {FIGURE_PEN_SLIDE, .scene = {.needle = GREY}},
    {FIGURE_PEN_UNSCREW, .scene = {.needle = GREY}},
    {FIGURE_PEN_AWAY, .plain = {0}},
    {FIGURE_PEN_WINDOW, .pen = {"160", "the window", GREY}},
    {FIGURE_PAIR_ZERO, WORDS_PAIR("all of it", "not all")},
    {FIGURE_PEN_PUSH, .pair = {.number = "20"}},
    {FIGURE_SYRINGE_DOSE, .syringe = {THREE_ML, .fill_ml = {1, 1}, .pointer = "1 mL", .pointer_note = "rim on",
                                     .needle_mm = MM(381), .gauge = 18, .needle = PINK}},
    {FIGURE_SYRINGE_DOSE, .syringe = {ONE_ML, .u100 = TRUE, .barrel_mm = MM(58), .fill_ml = {1, 5}, .pointer = "20",
                                     .pointer_note = "rim on",
                                     .needle_mm = MM(127), .gauge = 29, .fixed = TRUE}},
    {FIGURE_SYRINGE_DOSE, .syringe = {ONE_ML, .barrel_mm = MM(66), .fill_ml = {1, 4}, .pointer = "0.25 mL",
                                     .pointer_note = "rim on",
                                     .needle_mm = MM(254), .gauge = 25, .needle = ORANGE}},
    {FIGURE_SYRINGE_DOSE, .syringe = {ONE_ML, .barrel_mm = MM(66), .fill_ml = {1, 4}, .pointer = "0.25 mL",
                                     .pointer_note = "rim on",
                                     .needle_mm = MM(254), .gauge = 25, .needle = ORANGE, .slip = TRUE}},
    {FIGURE_PACK, .pack = {PINK, MM(381), 18, 1}},
    {FIGURE_PACK, .pack = {ORANGE, MM(254), 25, 2}},
    {FIGURE_CARD, .card = {"life size if a bank card is this long"}},
    {FIGURE_NIGHT, .strip = {23 * 60 + 30, 23 * 60 + 15, 23 * 60 + 45, "Tuesday", "Wednesday",
                             {"6 pm", "8 pm", "10 pm", "", "2 am", "4 am", "6 am"}, "11:30 pm", NULL}},
    {FIGURE_NIGHT, .strip = {14 * 60, 13 * 60, 15 * 60, "Tuesday", "Tuesday",
                             {"6 am", "8 am", "10 am", "noon", "2 pm", "4 pm", "6 pm"}, "2 pm", NULL}},
    {FIGURE_CODE, .code = {"BEGIN:VCALENDAR END:VCALENDAR"}},
#define THING(kind_, count_, ...) {FIGURE_THING, .thing = {.kind = kind_, .count = count_, __VA_ARGS__}}
    THING(THING_POWDER, 1), THING(THING_LIQUID, 1), THING(THING_READY, 3), THING(THING_AMPOULE, 2),
    THING(THING_SYRINGE, 1), THING(THING_SYRINGE, 1, .slip = TRUE), THING(THING_SYRINGE, 1, .fixed = TRUE),
    THING(THING_PREFILLED, 1, .fixed = TRUE), THING(THING_PREFILLED_CAPPED, 1), THING(THING_EMPTY_VIAL, 3),
    THING(THING_CARTRIDGE, 2), THING(THING_PEN, 1), THING(THING_PEN_NEEDLE, 3, .look = GREY),
    THING(THING_NEEDLE, 1, .look = PINK, .needle_mm = MM(381)),
        THING(THING_NEEDLE, 2, .look = ORANGE, .needle_mm = MM(254)),
    THING(THING_BOX, 1), THING(THING_WIPE, 4), THING(THING_GAUZE, 2), THING(THING_PLASTER, 1), THING(THING_SHARPS, 1),
};

typedef struct Placed {
    const char *name;
    double x, y, width, height; /* mm */
} Placed;

typedef struct Sheet {
    const char *folder;
    double width;
    gboolean copy;
    cairo_surface_t *surface;
    cairo_t *cairo;
    Ink *ink;
    int page, column;
    double top, row_high;
    GArray *places; /* of Placed, on this sheet */
} Sheet;

/* ---- a poor photocopy ---- */

static double grey_at(const unsigned char *data, int stride, int width, int height, int x, int y)
{
    x = CLAMP(x, 0, width - 1), y = CLAMP(y, 0, height - 1);
    const unsigned char *pixel = data + y * stride + 4 * x;
    return 0.114 * pixel[0] + 0.587 * pixel[1] + 0.299 * pixel[2];
}

typedef struct Pixels {
    unsigned char *data;
    int width, height, stride;
} Pixels;

static Pixels pixels_of(cairo_surface_t *surface)
{
    cairo_surface_flush(surface);
    return (Pixels){cairo_image_surface_get_data(surface), cairo_image_surface_get_width(surface),
                    cairo_image_surface_get_height(surface), cairo_image_surface_get_stride(surface)};
}

/* Blur over about 0.5 mm, noise, and a hard threshold. */
static void copy_badly(const Pixels *from, const Pixels *to)
{
    g_autoptr(GRand) noise = g_rand_new_with_seed(7);
    for (int y = 0; y < from->height; y++)
        for (int x = 0; x < from->width; x++) {
            double sum = 0;
            for (int dy = -1; dy <= 1; dy++)
                for (int dx = -1; dx <= 1; dx++)
                    sum += grey_at(from->data, from->stride, from->width, from->height, x + dx, y + dy);
            gboolean dark = sum / 9 + g_rand_double_range(noise, -45, 45) < 150;
            memset(to->data + y * to->stride + 4 * x, dark ? 0 : 255, 3);
        }
}

/* Of what was drawn darker than a tint, so much is still there, within a pixel. */
static double kept(const Pixels *before, const Pixels *after, const Placed *place)
{
    int drawn = 0, found = 0;
    const double dot = DPI / 25.4;
    for (int y = (int)(place->y * dot); y < (int)((place->y + place->height) * dot); y++)
        for (int x = (int)(place->x * dot); x < (int)((place->x + place->width) * dot); x++) {
            if (grey_at(before->data, before->stride, before->width, before->height, x, y) > STRONG)
                continue;
            double least = 255;
            for (int dy = -1; dy <= 1; dy++)
                for (int dx = -1; dx <= 1; dx++)
                    least = MIN(least, grey_at(after->data, after->stride, after->width, after->height, x + dx,
                                               y + dy));
            drawn++;
            found += least < 128;
        }
    return drawn > 0 ? (double)found / drawn : 0;
}

static void photocopy(const Sheet *sheet)
{
    Pixels after = pixels_of(sheet->surface), before = after;
    g_autofree unsigned char *data = g_memdup2(after.data, (gsize)after.stride * (gsize)after.height);
    before.data = data;
    copy_badly(&before, &after);
    for (guint i = 0; i < sheet->places->len; i++) {
        const Placed *place = &g_array_index(sheet->places, Placed, i);
        double share = kept(&before, &after, place);
        if (share >= LEAST_KEPT)
            continue;
        fprintf(stderr, "contact: a copy of %s keeps %.0f %% of its lines\n", place->name, 100 * share);
        exit(1);
    }
    cairo_surface_mark_dirty(sheet->surface);
}

/* ---- sheets ---- */

static double sheet_wide(const Sheet *sheet) { return GAP + ACROSS * (MAX(sheet->width, 30) + GAP); }

static void open_sheet(Sheet *sheet)
{
    double scale = DPI / 72;
    sheet->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)(sheet_wide(sheet) / 25.4 * DPI),
                                                (int)(PAGE_HIGH / 25.4 * DPI));
    cairo_surface_set_device_scale(sheet->surface, scale, scale);
    sheet->cairo = cairo_create(sheet->surface);
    cairo_set_source_rgb(sheet->cairo, 1, 1, 1);
    cairo_paint(sheet->cairo);
    g_autoptr(GError) error = NULL;
    sheet->ink = ink_new(sheet->cairo, &error);
    g_assert_no_error(error);
    sheet->top = GAP, sheet->row_high = 0, sheet->column = 0;
    g_array_set_size(sheet->places, 0);
}

/* As far down as there are pictures. */
static void write_used(const Sheet *sheet, const char *name)
{
    int high = MIN((int)((sheet->top + sheet->row_high + GAP) / 25.4 * DPI),
                   cairo_image_surface_get_height(sheet->surface));
    cairo_surface_t *used = cairo_image_surface_create_for_data(
        cairo_image_surface_get_data(sheet->surface), CAIRO_FORMAT_RGB24,
        cairo_image_surface_get_width(sheet->surface), high, cairo_image_surface_get_stride(sheet->surface));
    if (cairo_surface_write_to_png(used, name) != CAIRO_STATUS_SUCCESS)
        exit(3);
    cairo_surface_destroy(used);
}

static void close_sheet(Sheet *sheet)
{
    const char *text = NULL;
    if (!sheet->ink)
        return;
    if (ink_problem(sheet->ink, &text) != INK_FINE) {
        fprintf(stderr, "contact: trouble with %s\n", text ? text : "cairo");
        exit(1);
    }
    g_autofree char *name = g_strdup_printf("%s/contact-%d.png", sheet->folder, ++sheet->page);
    ink_free(sheet->ink);
    cairo_destroy(sheet->cairo);
    cairo_surface_flush(sheet->surface);
    if (sheet->copy)
        photocopy(sheet);
    write_used(sheet, name);
    cairo_surface_destroy(sheet->surface);
    sheet->ink = NULL;
}

static void next_row(Sheet *sheet)
{
    sheet->top += sheet->row_high + GAP;
    sheet->column = 0, sheet->row_high = 0;
}

static void add(Sheet *sheet, const FigureShape *shape)
{
    FigureRoom room = {sheet->width, 12.3};
    if (!sheet->ink)
        open_sheet(sheet);
    if (shape->kind == FIGURE_THING)
        room.width = 20;
    if (shape->kind == FIGURE_SYRINGE_DOSE || shape->kind == FIGURE_NIGHT || shape->kind == FIGURE_PEN_WINDOW)
        room.width = MAX(92, sheet->width);
    if (shape->kind == FIGURE_NIGHT)
        room.width = 186;
    FigureSize size = figure_size(sheet->ink, shape, room);
    int cells = (int)ceil((size.width - 0.5) / (sheet->width + GAP));
    if (sheet->column + cells > ACROSS)
        next_row(sheet);
    if (sheet->top + size.height + NAME_HIGH > PAGE_HIGH) {
        close_sheet(sheet);
        open_sheet(sheet);
    }
    double x = GAP + sheet->column * (sheet->width + GAP);
    figure_draw(sheet->ink, shape, x, sheet->top, room);
    const Placed place = {figure_row(shape->kind)->id, x, sheet->top, size.width, size.height};
    g_array_append_val(sheet->places, place);
    g_autofree char *name = g_ascii_strdown(figure_row(shape->kind)->id, -1);
    ink_label(sheet->ink, (InkStyle){.size = 8, .grey = 0.3}, name, x, sheet->top + size.height + 4);
    sheet->row_high = MAX(sheet->row_high, size.height + NAME_HIGH);
    sheet->column += cells;
}

static gboolean wanted(const FigureShape *shape, char **names, int count)
{
    for (int i = 0; i < count; i++)
        if (g_str_has_prefix(figure_row(shape->kind)->id, names[i]))
            return TRUE;
    return count == 0;
}

/* The rows from WASH on. */
static void all_sampled(void)
{
    for (int kind = FIGURE_WASH; kind < FIGURE_COUNT; kind++) {
        gboolean found = FALSE;
        for (gsize i = 0; i < G_N_ELEMENTS(samples); i++)
            found |= (int)samples[i].kind == kind;
        if (!found) {
            fprintf(stderr, "contact: no sample of %s\n", figure_row((FigureKind)kind)->id);
            exit(1);
        }
    }
}

int main(int count, char **words)
{
    if (count < 2) {
        fprintf(stderr, "usage: contact FOLDER [WIDTH] [copy] [NAME ...]\n");
        return 2;
    }
    all_sampled();
    int used = 2;
    Sheet sheet = {.folder = words[1], .width = 60, .places = g_array_new(FALSE, FALSE, sizeof(Placed))};
    if (count > used && g_ascii_isdigit(words[used][0]))
        sheet.width = g_ascii_strtod(words[used++], NULL);
    if (count > used && strcmp(words[used], "copy") == 0)
        sheet.copy = TRUE, used++;
    for (gsize i = 0; i < G_N_ELEMENTS(samples); i++)
        if (wanted(&samples[i], words + used, count - used))
            add(&sheet, &samples[i]);
    close_sheet(&sheet);
    g_array_unref(sheet.places);
    return 0;
}
