/* kit: the things that are handed out, small and counted; what is printed on a box. */
#include "drawing/scenes.h"

#include "drawing/parts.h"

#define CELL_WIDE 26.0
#define CELL_HIGH 24.0
#define MOST_DRAWN 10 /* more could not be counted at a glance */

static void kit_bottle(Ink *ink, Content content, double level, double high)
{
    const Bottle bottle = {.wide = 4.6, .high = high, .level = level, .content = content, .lid = level > 0};
    art_placed(ink, 13, 23, 0, 2.35, prop_vial(ink, &bottle));
}

static void kit_ampoule(Ink *ink)
{
    art_at(ink, 13, 23, 0, 2.5);
    const Path glass = PATH({-1.5, 0, 1}, {1.5, 0, 1}, {1.5, -5.4, 1}, {1.1, -6.1}, {.5, -6.6}, {.75, -7.4}, {.7, -8.4},
                            {0, -8.9}, {-.7, -8.4}, {-.75, -7.4}, {-.5, -6.6}, {-1.1, -6.1}, {-1.5, -5.4, 1});
    art_fill(ink, glass, 1);
    art_liquid(ink, path_box(-1.5, -4.6, 1.5, 0));
    art_close(ink, glass, ART_LINE);
    art_end(ink);
}

/* Insulin type: thin, long, its needle fixed under an orange-free plain cap; the other has an
 * open tip, with a collar where the needle is turned in. */
static void kit_syringe(Ink *ink, const ThingFigure *thing, double fill)
{
    if (thing->fixed) {
        const Stick stick = {.long_needle = 2.2, .barrel = 7.2, .wide = 1.05, .fill = fill, .fixed = TRUE,
                             .capped = TRUE,
                             .plunge = 1.3};
        prop_syringe_at(ink, &stick, 2.5, 12, 90, 1.85);
        return;
    }
    static const double wide[] = {1.4, 2.0, 3.2};
    const Stick stick = {.bare = TRUE, .lock = !thing->slip && fill <= 0, .long_needle = 1.5, .barrel = 6,
                         .wide = wide[1 + thing->beside],
                         .fill = fill, .plunge = 1.5};
    prop_syringe_at(ink, &stick, fill > 0 ? -1 : -2.2, 12, 90, 2.2);
    if (fill > 0)
        art_box(ink, .8, 10.2, 5.2, 13.8, ART_GREY);
}

static void kit_needle(Ink *ink, const ThingFigure *thing)
{
    double mm = real(thing->needle_mm), length = 2.2 + 4.0 * CLAMP(mm / 40, .15, 1);
    art_at(ink, 17.4, 12, 90, 2.2);
    art_placed(ink, 0, 0, 180, 1, prop_hub(ink, thing->look, 3.6, .8, 1.9));
    art_stroke_line(ink, 0, 0, 0, length, .5);
    art_shape(ink, PATH({-.8, -.5, 1}, {-.5, length + .4, 1}, {0, length + .9}, {.5, length + .4, 1}, {.8, -.5, 1}), 1);
    art_stroke_line(ink, 0, -.2, 0, length, ART_LINE);
    art_end(ink);
}

static void kit_wipe(Ink *ink)
{
    art_rounded(ink, (ArtBox){5, 4, 16, 16, 1.2}, 1, ART_LINE);
    art_close(ink, path_box(8.6, 7.6, 17.4, 16.4), ART_FINE);
    art_stroke_line(ink, 5, 9, 6.6, 9, ART_LINE);
}

static void kit_plaster(Ink *ink)
{
    art_rounded(ink, (ArtBox){1, 8, 24, 8.4, 4.2}, 1, ART_LINE);
    art_box(ink, 8.6, 8, 17.4, 16.4, .93);
    for (int i = 0; i < 4; i++)
        art_circle(ink, i < 2 ? 5 : 21, i % 2 ? 10.8 : 13.6, .42, 0, 0);
}

static void kit_pen(Ink *ink, gboolean cartridge)
{
    const PenStick pen = {.level = .7};
    art_at(ink, cartridge ? 2 : .6, 12, cartridge ? 0 : 90, cartridge ? 1.9 : .9);
    if (cartridge)
        prop_cartridge(ink);
    else
        prop_pen(ink, &pen);
    art_end(ink);
}

static void kit_pen_needle(Ink *ink, const ThingFigure *thing)
{
    art_shape(ink, SHARP({8.2, 7.6}, {17.8, 7.6}, {16.2, 22}, {9.8, 22}), 1);
    art_placed(ink, 13, 9.4, 0, 2.4, prop_hub(ink, thing->look, -.01, .5, .5));
    art_shape(ink, SHARP({6.4, 7.6}, {19.6, 7.6}, {23, 4.2}, {6.4, 5.8}), .93);
    art_stroke_line(ink, 13, 12, 13, 19, ART_LINE);
}

void prop_box(Ink *ink)
{
    art_box(ink, 3, 7, 18, 22, 1);
    art_shape(ink, SHARP({3, 7}, {8, 2}, {23, 2}, {18, 7}), .93);
    art_shape(ink, SHARP({18, 7}, {23, 2}, {23, 17}, {18, 22}), .82);
    for (int i = 0; i < 3; i++)
        art_stroke_line(ink, 5.4, 11 + i * 3, i == 2 ? 12 : 15.6, 11 + i * 3, i ? ART_FINE : ART_BOLD);
}

static void one_of(Ink *ink, const ThingFigure *thing)
{
    switch (thing->kind) {
    case THING_POWDER: kit_bottle(ink, CONTENT_POWDER, .24, 6.2); break;
    case THING_EMPTY_VIAL: kit_bottle(ink, CONTENT_NONE, 0, 6.2); break;
    case THING_LIQUID: kit_bottle(ink, CONTENT_LIQUID, .8, 7.6); break;
    case THING_READY: kit_bottle(ink, CONTENT_LIQUID, .6, 6.2); break;
    case THING_AMPOULE: kit_ampoule(ink); break;
    case THING_PREFILLED:
    case THING_PREFILLED_CAPPED: kit_syringe(ink, thing, .7); break;
    case THING_SYRINGE: kit_syringe(ink, thing, 0); break;
    case THING_CARTRIDGE: kit_pen(ink, TRUE); break;
    case THING_PEN: kit_pen(ink, FALSE); break;
    case THING_PEN_NEEDLE: kit_pen_needle(ink, thing); break;
    case THING_NEEDLE: kit_needle(ink, thing); break;
    case THING_WIPE: kit_wipe(ink); break;
    case THING_GAUZE: prop_gauze(ink, 5.5, 4.5, 15); break;
    case THING_PLASTER: kit_plaster(ink); break;
    case THING_BOX: prop_box(ink); break;
    case THING_SHARPS:
        art_placed(ink, 13, 23, 0, .98, prop_sharps(ink, 18, 17));
        break;
    }
}

/* What one of them takes of a cell. */
static ArtBox extent_of(ThingKind kind)
{
    switch (kind) {
    case THING_POWDER:
    case THING_EMPTY_VIAL:
    case THING_LIQUID:
    case THING_READY: return (ArtBox){6.6, 2, 12.8, 22, 0};
    case THING_AMPOULE: return (ArtBox){8.4, 0, 9.2, 24, 0};
    case THING_WIPE:
    case THING_GAUZE: return (ArtBox){4.6, 3.6, 16.8, 16.8, 0};
    case THING_PEN_NEEDLE: return (ArtBox){5.8, 3.6, 17.8, 19, 0};
    case THING_BOX: return (ArtBox){2.4, 1.4, 21.2, 21.2, 0};
    case THING_SHARPS: return (ArtBox){2.6, 1, 20.8, 23, 0};
    case THING_NEEDLE:
    case THING_PLASTER: return (ArtBox){0, 7.2, 26, 9.6, 0};
    case THING_CARTRIDGE:
    case THING_PEN:
    case THING_PREFILLED:
    case THING_PREFILLED_CAPPED:
    case THING_SYRINGE: return (ArtBox){0, 8, 26, 8, 0};
    }
    g_assert_not_reached();
}

/* So many beside each other that each is as large as can be. */
static int best_across(const ArtBox *one, int count, double *scale)
{
    int best = 1;
    *scale = 0;
    for (int across = 1; across <= count; across++) {
        int rows = (count + across - 1) / across;
        double fits = MIN(CELL_WIDE / (across * one->width), CELL_HIGH / (rows * one->height));
        best = fits > *scale ? across : best;
        *scale = MAX(*scale, fits);
    }
    *scale = MIN(1, *scale);
    return best;
}

/* All of them within one cell and none before another: smaller the more there are, so that they can be counted. */
static void counted(Ink *ink, const ThingFigure *thing)
{
    const int drawn = thing->count >= 1 && thing->count <= MOST_DRAWN ? (int)thing->count : 1;
    const ArtBox one = extent_of(thing->kind);
    double scale = 1;
    const int across = best_across(&one, drawn, &scale), rows = (drawn + across - 1) / across;
    const double wide = CELL_WIDE / across, high = CELL_HIGH / rows;
    for (int i = 0; i < drawn; i++) {
        double x = drawn > 1 ? wide * (i % across + .5) - scale * (one.x + one.width / 2) : 0;
        double y = drawn > 1 ? high * (i / across + .5) - scale * (one.y + one.height / 2) : 0;
        art_at(ink, x, y, 0, scale);
        one_of(ink, thing);
        ink_mark(ink, "thing", 0, 0);
        art_end(ink);
    }
}

static void in_cell(Ink *ink, const ThingFigure *thing, double x, double y, double width)
{
    art_at(ink, x, y, 0, width / CELL_WIDE);
    counted(ink, thing);
    art_end(ink);
}

FigureSize kit_thing_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink, (void)shape;
    return (FigureSize){room.width, room.width * CELL_HIGH / CELL_WIDE};
}

void kit_thing_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    in_cell(ink, &shape->thing, x, y, room.width);
}

/* ---- several kinds beside each other ---- */

#define CELL_MOST 17.0 /* mm wide on paper */

static double cell_of(const FigureShape *shape, FigureRoom room)
{
    return MIN(CELL_MOST, room.width / MAX(1, shape->things.count));
}

FigureSize left_over_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    (void)ink;
    double cell = cell_of(shape, room);
    return (FigureSize){cell * shape->things.count, cell * CELL_HIGH / CELL_WIDE};
}

void left_over_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    double cell = cell_of(shape, room);
    for (guint i = 0; i < shape->things.count; i++)
        in_cell(ink, &shape->things.things[i], x + i * cell + cell * .06, y, cell * .88);
}

/* ---- what is printed on the box ---- */

#define THING_BESIDE 11.0 /* mm */
#define RING_AIR 1.2

typedef struct LabelLine {
    const char *text;
    gboolean bold, ringed;
} LabelLine;

static guint label_lines(const LabelFigure *label, LabelLine out[3])
{
    const LabelLine all[] = {{label->name, TRUE, FALSE}, {label->strength, TRUE, FALSE}, {label->use_by, FALSE, TRUE}};
    guint count = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(all); i++)
        if (all[i].text)
            out[count++] = all[i];
    return count;
}

static InkStyle label_style(FigureRoom room) { return (InkStyle){.size = room.type, .leading = ART_PITCH}; }

static double label_width(FigureRoom room) { return room.width - THING_BESIDE - 2 * RING_AIR - 1; }

static double label_line(Ink *ink, const LabelLine *line, FigureRoom room)
{
    const InkRun run = {line->text, line->bold, NULL};
    return ink_text_height(ink, label_style(room), &run, 1, label_width(room)) + (line->ringed ? 2 * RING_AIR : 0);
}

/* A name that does not break asks for the room that it needs. */
static double room_needed(Ink *ink, const LabelLine *line, FigureRoom room)
{
    const InkRun run = {line->text, line->bold, NULL};
    if (ink_text_breaks(ink, label_style(room), &run, 1, label_width(room)))
        return room.width;
    return room.width - label_width(room) + ink_text_width(ink, label_style(room), &run, 1) + 0.1;
}

#define LABEL_MOST 120.0 /* mm */

/* As wide as the longest word asks. */
static FigureRoom label_room(Ink *ink, const LabelLine *lines, guint count, FigureRoom room)
{
    for (guint i = 0; i < count; i++) {
        const InkRun run = {lines[i].text, lines[i].bold, NULL};
        while (room.width < LABEL_MOST && !ink_text_breaks(ink, label_style(room), &run, 1, label_width(room)))
            room.width += 1;
    }
    return room;
}

FigureSize label_size(Ink *ink, const FigureShape *shape, FigureRoom room)
{
    LabelLine lines[3];
    guint count = label_lines(&shape->label, lines);
    room = label_room(ink, lines, count, room);
    double height = 1, wide = room.width;
    for (guint i = 0; i < count; i++)
        wide = MAX(wide, room_needed(ink, &lines[i], room));
    room.width = wide;
    for (guint i = 0; i < count; i++)
        height += label_line(ink, &lines[i], room);
    return (FigureSize){room.width, MAX(height, THING_BESIDE * CELL_HIGH / CELL_WIDE)};
}

#define RING_BESIDE .6 /* more air beside the words than above */

/* The ring is as wide as its words, and no part of its line is beyond the picture. */
static void ring_round(Ink *ink, const InkRun *run, double x, double y, double height, FigureRoom room)
{
    double most = room.width - THING_BESIDE - .8 + RING_BESIDE - INK_STRONG / 2;
    double wide = MIN(label_width(room), ink_text_width(ink, label_style(room), run, 1));
    double left = ink_from_right(ink) ? x + label_width(room) - wide : x;
    ink_rounded(ink, left - RING_AIR - RING_BESIDE, y, MIN(most, wide + 2 * (RING_AIR + RING_BESIDE)), height, 2.6);
    ink_pen(ink, INK_STRONG);
    ink_stroke(ink);
}

void label_draw(Ink *ink, const FigureShape *shape, double x, double y, FigureRoom room)
{
    LabelLine lines[3];
    guint count = label_lines(&shape->label, lines);
    const ThingFigure thing = {.kind = shape->label.kind, .count = 1};
    room = label_room(ink, lines, count, room);
    double left = x + THING_BESIDE + RING_AIR + .8, at = y;
    in_cell(ink, &thing, x, y, THING_BESIDE - 1);
    for (guint i = 0; i < count; i++) {
        const InkRun run = {lines[i].text, lines[i].bold, NULL};
        double height = label_line(ink, &lines[i], room);
        if (lines[i].ringed)
            ring_round(ink, &run, left, at + .6, height, room);
        ink_text_draw(ink, label_style(room), &run, 1, left, at + (lines[i].ringed ? RING_AIR + .6 : 0),
                      label_width(room));
        at += height;
    }
}
