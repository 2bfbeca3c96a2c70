/* wording_figures: alternative texts, and the numbers and words that each picture is drawn from. */
#include "wording/parts.h"

static const char *phrase(const Wording *wording, const char *id)
{
    return wording_plain(wording, id, NULL, 0);
}

static const char *value_words(const Wording *wording, ValueId id, ValueForm form)
{
    const Value *value = plan_value(wording->plan, wording->injection, id);
    return value->set ? wording_isolated(wording, wording_value(wording, value, value_row(id)->kind, form)) : "";
}

static FigureShape wording_thing(const Wording *wording, const Item *item, gint64 count);

static Rational in_mm(Quantity length) { return quantity_in(length, UNIT_mm).number; }

static Rational in_ml(const Amount *amount) { return quantity_in(amount->quantity, UNIT_mL).number; }

static NeedleLook look_of(const Wording *wording, const Needle *needle)
{
    const PlanInjection *injection = wording->injection;
    gboolean fills = needle && (needle == injection->drawing_needle || needle == injection->mixing_needle);
    return (NeedleLook){needle ? needle->hub.text : "white", fills && needle != injection->injecting_needle};
}

/* ---- each kind of numbers ---- */

static gboolean at_night(LocalTime local) { return local.minute >= 18 * 60 || local.minute < 6 * 60; }

/* The day on which the strip of this time begins. */
static gint64 strip_day(LocalTime local) { return local.day - (at_night(local) && local.minute < 6 * 60); }

/* The minute, the window around it, and the minute's words. */
static void strip_times(const Wording *wording, StripFigure *strip)
{
    const Value *values = wording->injection->values;
    strip->minute = values[VALUE_injection_time].moment.local.minute;
    if (values[VALUE_earliest].set && values[VALUE_latest].set) {
        strip->from = values[VALUE_earliest].moment.local.minute;
        strip->until = values[VALUE_latest].moment.local.minute;
    }
    strip->time = value_words(wording, VALUE_injection_time, FORM_CLOCK);
}

/* A second injection of the sheet, where the strip of the first reaches to it. */
static const StripFigure *strip_also(const Wording *wording, LocalTime first)
{
    for (guint i = 0; i < wording->injections->len; i++) {
        Wording other = *wording;
        other.injection = g_ptr_array_index(wording->injections, i);
        LocalTime local = other.injection->values[VALUE_injection_time].moment.local;
        if (other.injection == wording->injection || at_night(local) != at_night(first) ||
            strip_day(local) != strip_day(first))
            continue;
        StripFigure *also = arena_new0(wording->arena, StripFigure);
        strip_times(&other, also);
        return also;
    }
    return NULL;
}

static void fill_strip(const Wording *wording, Figure *figure)
{
    StripFigure *strip = &figure->shape.strip;
    const Value *time = &wording->injection->values[VALUE_injection_time];
    LocalTime local = time->moment.local;
    gboolean night = at_night(local);
    int start = night ? 18 : 6;
    Value day = *time;
    day.moment.local.day = strip_day(local);
    strip->left_day = wording_value(wording, &day, KIND_MOMENT, FORM_WEEKDAY);
    day.moment.local.day += night;
    strip->right_day = wording_value(wording, &day, KIND_MOMENT, FORM_WEEKDAY);
    for (int i = 0; i <= 6; i++) {
        int hour = (start + 2 * i) % 24;
        strip->clocks[i] = hour == 0 ? "" : wording_clock(wording, hour * 60);
    }
    strip_times(wording, strip);
    strip->also = strip_also(wording, local);
}

/* All that was drawn up is given: where the rim stands is known about only.  A part is set to its line. */
static gboolean gives_about(const Wording *wording, FigureKind kind)
{
    return kind == FIGURE_SYRINGE_GIVE && condition_holds(wording, "whole");
}

const Syringe *figure_syringe(const PlanInjection *injection, FigureKind kind)
{
    return kind == FIGURE_SYRINGE_ADD ? injection->mixing_syringe : injection->syringe;
}

/* The needle that is on: the one that fills, until it is changed. */
static void fill_needle(const Wording *wording, Figure *figure)
{
    SyringeFigure *shape = &figure->shape.syringe;
    const PlanInjection *injection = wording->injection;
    FigureKind kind = figure->shape.kind;
    const Syringe *syringe = figure_syringe(injection, kind);
    const Needle *fitted = kind == FIGURE_SYRINGE_ADD ? injection->mixing_needle
                           : kind == FIGURE_SYRINGE_GIVE && injection->injecting_needle ? injection->injecting_needle
                                                                                        : injection->drawing_needle;
    shape->fixed = PRESENT(syringe->needle);
    const NeedleField *needle = shape->fixed ? &syringe->needle : fitted ? &fitted->needle : NULL;
    if (!needle)
        return;
    shape->needle_mm = in_mm(needle->length);
    shape->gauge = rational_floor(needle->gauge.number);
    shape->needle = look_of(wording, fitted);
    if (shape->fixed)
        shape->needle.hub = "white";
}

static void fill_syringe(const Wording *wording, Figure *figure)
{
    const PlanInjection *injection = wording->injection;
    const Syringe *syringe = figure_syringe(injection, figure->shape.kind);
    gboolean add = figure->shape.kind == FIGURE_SYRINGE_ADD;
    const Value *mark = &injection->values[add ? VALUE_add_mark : VALUE_mark];
    const char *own = mark->set ? wording_value(wording, mark, KIND_MARK, FORM_PLAIN) : "";
    const Filling filling[] = {{"n", wording_isolated(wording, own)}, {NULL, NULL}};
    figure->shape.syringe = (SyringeFigure){
        .capacity_ml = in_ml(&syringe->capacity), .mark_every_ml = in_ml(&syringe->mark_every),
        .number_every_ml = in_ml(&syringe->number_every), .u100 = syringe->marks.value == Marks_U100,
        .scale_mm = in_mm(syringe->scale_length.quantity), .barrel_mm = in_mm(syringe->barrel.quantity),
        .fill_ml = add ? injection->add_on_mark_ml : injection->volume_ml,
        .pointer = wording_plain(wording, "pointer", filling, 0),
        .pointer_note = phrase(wording, gives_about(wording, figure->shape.kind) ? "pointer_about" : "pointer_note")};
    fill_needle(wording, figure);
    if (figure->shape.kind == FIGURE_SYRINGE_GIVE && way_row(injection->way)->use == USE_FILLED)
        figure->words = WORDS_NONE; /* its number is all, and small */
}

static void fill_pen(const Wording *wording, Figure *figure)
{
    figure->shape.pen = (PenFigure){value_words(wording, VALUE_dial, FORM_PLAIN), phrase(wording, "pointer_window"),
                                    look_of(wording, wording->injection->injecting_needle)};
}

/* A number that a button which is not pressed home may leave: less than the dose where the plan has one. */
static ValueId left_in_window(const Wording *wording)
{
    const Value *flow = &wording->injection->values[VALUE_flow], *dial = &wording->injection->values[VALUE_dial];
    gboolean less = flow->set && dial->set && quantity_compare(flow->quantity, dial->quantity) < 0;
    return less ? VALUE_flow : VALUE_dial;
}

/* The words under two pictures, by what they show. */
static void pair_words(const Wording *wording, PairFigure *shape, FigureKind kind)
{
    static const struct { FigureKind kind; const char *good, *bad; } pairs[] = {
        {FIGURE_PAIR_BITS, "pair_clear", "pair_bits"},   {FIGURE_PAIR_TIP, "pair_in_liquid", "pair_in_air"},
        {FIGURE_PAIR_PUSH, "pair_empty", "pair_some_left"}, {FIGURE_PAIR_BLOOD, "pair_no_blood", "pair_blood"},
        {FIGURE_PAIR_ZERO, "pair_all", "pair_not_all"},   {FIGURE_PEN_PUSH, NULL, NULL},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++)
        if (pairs[i].kind == kind) {
            shape->good = pairs[i].good ? phrase(wording, pairs[i].good) : NULL;
            shape->bad = pairs[i].bad ? phrase(wording, pairs[i].bad) : NULL;
            return;
        }
}

static void fill_pair(const Wording *wording, Figure *figure)
{
    PairFigure *shape = &figure->shape.pair;
    FigureKind kind = figure->shape.kind;
    const PlanInjection *injection = wording->injection;
    pair_words(wording, shape, kind);
    shape->fixed = plan_has_fixed_needle(injection);
    shape->needle = look_of(wording, kind == FIGURE_PAIR_TIP && injection->drawing_needle ? injection->drawing_needle
                                                                                         : injection->injecting_needle);
    if (kind == FIGURE_PAIR_ZERO)
        shape->number = value_words(wording, left_in_window(wording), FORM_PLAIN);
    if (kind == FIGURE_PEN_PUSH)
        shape->number = value_words(wording, VALUE_flow, FORM_PLAIN);
}

/* The needle that fills is on until it is changed. */
static gboolean while_filling(FigureKind kind)
{
    static const FigureKind kinds[] = {FIGURE_CAP_TO_TABLE, FIGURE_AIR_IN,
                                       FIGURE_DOWN_GLASS,   FIGURE_SWIRL_VIAL,   FIGURE_EMPTY_NEEDLE,
                                       FIGURE_BUBBLE_BACK,  FIGURE_CAP_SLIDE,    FIGURE_TWIST_OFF};
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
        if (kinds[i] == kind)
            return TRUE;
    return FALSE;
}

/* The liquid for a powder is drawn up first, not the dose. */
static gboolean takes_liquid(const Wording *wording)
{
    return wording->mixing || (way_row(wording->injection->way)->mixes && !plan_mixes_apart(wording->injection));
}

/* As the first line of the list says it. */
static const char *first_container(const Wording *wording)
{
    const PlanInjection *injection = wording->injection;
    return arena_format(wording->arena, "%u", plan_container_of(injection, injection->done));
}

/* The number or time that stands in a picture; NULL for none. */
static const char *scene_amount(const Wording *wording, FigureKind kind)
{
    gboolean liquid = takes_liquid(wording);
    if (kind == FIGURE_CAP_TO_TABLE) /* the air that is pulled in */
        return condition_holds(wording, liquid ? "ampoule" : "drawn_from_ampoule")
                   ? NULL : value_words(wording, liquid ? VALUE_add_mark : VALUE_mark, FORM_PLAIN);
    if (kind == FIGURE_PEN_LOAD) /* the number that was written on it */
        return condition_holds(wording, "numbered") ? first_container(wording) : NULL;
    if (kind == FIGURE_EMPTY_NEEDLE)
        return value_words(wording, VALUE_mark, FORM_PLAIN);
    if (kind == FIGURE_WIPE_SPOT)
        return value_words(wording, VALUE_dry, FORM_PLAIN);
    return kind == FIGURE_PRESS ? value_words(wording, VALUE_press, FORM_PLAIN) : NULL;
}

static void fill_scene(const Wording *wording, Figure *figure)
{
    const PlanInjection *injection = wording->injection;
    const Injection *order = injection->order;
    FigureKind kind = figure->shape.kind;
    const Needle *fills = wording->mixing          ? injection->mixing_needle
                          : while_filling(kind)   ? injection->drawing_needle
                                                  : NULL;
    gboolean muscle = PRESENT(order->route) && route_row(order->route.value)->layer == LAYER_MUSCLE;
    const Value *lines = plan_value(wording->plan, injection, VALUE_empty_lines);
    figure->shape.scene = (SceneFigure){
        .needle = look_of(wording, fills ? fills : injection->injecting_needle),
        .fixed = !wording->mixing && plan_has_fixed_needle(injection),
        .slip = condition_holds(wording, wording->mixing ? "slip_mixing" : "slip"),
        .pen = way_row(injection->way)->use == USE_DIALLED,
        .muscle = muscle, .fold = !muscle,
        .vial = condition_holds(wording, "air_on_top"), .ampoule = condition_holds(wording, "ampoule"),
        .angle = rational_floor(order->give.angle.quantity.number), .amount = scene_amount(wording, kind),
        .count = kind == FIGURE_VIALS ? 1 : lines->set ? lines->number : 0, .of = injection->containers};
}

static void fill_site(const Wording *wording, Figure *figure)
{
    const PlanInjection *injection = wording->injection;
    const Value *fingers = &injection->values[VALUE_fingers];
    gboolean helper = condition_holds(wording, "helper");
    figure->shape.site = (SiteFigure){.site = injection->order->site.value, .view = helper ? VIEW_HELPER : VIEW_OWN,
                                      .either = condition_holds(wording, "sides"),
                                      .fingers = fingers->set ? fingers->number : 0};
    if (figure->shape.site.either) {
        figure->shape.site.left_word = phrase(wording, helper ? "side_left" : "side_your_left");
        figure->shape.site.right_word = phrase(wording, helper ? "side_right" : "side_your_right");
    }
}

/* What the person writes on a vial that was mixed, and until when it may be used. */
static void fill_vial_label(const Wording *wording, Figure *figure)
{
    const char *until = condition_holds(wording, "numbered")     ? "label_number"
                        : condition_holds(wording, "vial_hours") ? "label_until_hour"
                                                                 : "label_until";
    figure->shape.label = (LabelFigure){.kind = THING_READY, .name = phrase(wording, "label_mixed"),
                                        .strength = phrase(wording, "label_hour"),
                                        .use_by = phrase(wording, until)};
}

/* What is printed on the box and the vial, and the line to look for. */
static void fill_label(const Wording *wording, Figure *figure)
{
    const PlanInjection *injection = wording->injection;
    if (figure->shape.kind == FIGURE_VIAL_LABEL) {
        fill_vial_label(wording, figure);
        return;
    }
    gboolean own = injection->values[VALUE_box_says].set;
    Item medicine = {.kind = ITEM_MEDICINE, .medicine = injection->medicine};
    figure->shape.label = (LabelFigure){
        .kind = wording_thing(wording, &medicine, 1).thing.kind,
        .name = value_words(wording, own ? VALUE_box_says : VALUE_medicine, FORM_PLAIN),
        .strength = own ? NULL : value_words(wording, VALUE_content, FORM_PLAIN),
        .use_by = injection->values[VALUE_use_by].set ? wording_plain(wording, "label_use_by", NULL, 0) : NULL};
}

/* The thing that the work at hand is done with: a vial. */
static void fill_thing(const Wording *wording, Figure *figure)
{
    figure->shape.thing = (ThingFigure){.kind = way_row(wording->injection->way)->mixes ? THING_POWDER : THING_READY,
                                        .count = 1};
}

static void fill_card(const Wording *wording, Figure *figure)
{
    figure->shape.card.label = phrase(wording, condition_holds(wording, "pen")        ? "card_line_pen"
                                               : condition_holds(wording, "measured") ? "card_line_syringe"
                                                                                      : "card_line");
}

/* What is left once one injection is given. */
static void fill_things(const Wording *wording, Figure *figure)
{
    const PlanInjection *injection = wording->injection;
    ThingsFigure *shape = &figure->shape.things;
    for (guint i = 0; i < injection->kit->len && shape->count < FIGURE_THINGS; i++) {
        const Item *item = g_ptr_array_index(injection->kit, i);
        gint64 left = item_left(injection, item);
        if (left == 0)
            continue;
        ThingFigure *thing = &shape->things[shape->count++];
        *thing = wording_thing(wording, item, left).thing;
        if (item->kind == ITEM_MEDICINE && way_row(injection->way)->mixes && condition_holds(wording, "whole"))
            thing->kind = THING_EMPTY_VIAL;
    }
}

static void fill_code(const Wording *wording, Figure *figure)
{
    figure->shape.code.text = calendar_code(wording);
}

static void fill_plain(const Wording *wording, Figure *figure) { (void)wording, (void)figure; }

/* By the member of FigureShape that a row of figures.def names. */
static void (*const fillers[FIGURE_COUNT])(const Wording *wording, Figure *figure) = {
#define fill_pack fill_plain
#define FIGURE(id, numbers, words, shape) [FIGURE_##id] = fill_##numbers,
#include "figure/figures.def"
#undef fill_pack
};

Figure *wording_figure(Wording *wording, FigureKind kind)
{
    Figure *figure = arena_new0(wording->arena, Figure);
    const FigureRow *row = figure_row(kind);
    figure->shape.kind = kind;
    figure->words = row->words;
    const char *about = gives_about(wording, kind) ? "_ABOUT" : "";
    figure->alt = wording_plain(wording, arena_format(wording->arena, "caption_%s%s", row->id, about), NULL, 0);
    fillers[kind](wording, figure);
    return figure;
}

/* ---- the kit ---- */

static ThingKind in_container(const ContainerChoice *container, ThingKind otherwise)
{
    gboolean snapped = PRESENT(*container) && container_row(container->value)->opening == OPENING_SNAPPED;
    return snapped ? THING_AMPOULE : otherwise;
}

static ThingKind medicine_thing(const PlanInjection *injection, const Item *item)
{
    ThingKind kind = THING_READY;
    if (way_row(injection->way)->mixes)
        return THING_POWDER;
    switch (item->medicine->container.value) {
#define CONTAINER(id, word, meaning, use, opening, kit, used, thing) case Container_##id: kind = THING_##thing; break;
#include "language/containers.def"
    }
    /* its needle is drawn on it only where it cannot be taken off */
    return kind == THING_PREFILLED && !plan_has_fixed_needle(injection) ? THING_PREFILLED_CAPPED : kind;
}

static ThingKind supply_thing(Supply supply)
{
    switch (supply) {
    case Supply_WIPE: return THING_WIPE;
    case Supply_GAUZE: return THING_GAUZE;
    case Supply_PLASTER: return THING_PLASTER;
    case Supply_SHARPS_BOX: return THING_SHARPS;
    }
    g_assert_not_reached();
}

static ThingKind thing_kind(const PlanInjection *injection, const Item *item)
{
    switch (item->kind) {
    case ITEM_MEDICINE: return medicine_thing(injection, item);
    case ITEM_DILUENT: return in_container(&item->diluent->container, THING_LIQUID);
    case ITEM_MIXING_SYRINGE:
    case ITEM_SYRINGE: return THING_SYRINGE;
    case ITEM_MIXING_NEEDLE:
    case ITEM_DRAWING_NEEDLE: return THING_NEEDLE;
    case ITEM_INJECTING_NEEDLE: return way_row(injection->way)->use == USE_DIALLED ? THING_PEN_NEEDLE : THING_NEEDLE;
    case ITEM_PEN: return THING_PEN;
    case ITEM_SUPPLY: return supply_thing(item->supply);
    }
    g_assert_not_reached();
}

/* Which of the two syringes is the larger one, where one mixes and another injects. */
static int beside(const PlanInjection *injection, const Item *item)
{
    const Syringe *mixing = injection->mixing_syringe, *injecting = injection->syringe;
    if (!item->syringe || !mixing || !injecting || mixing == injecting)
        return 0;
    int larger = quantity_compare(mixing->capacity.quantity, injecting->capacity.quantity);
    return item->kind == ITEM_MIXING_SYRINGE ? larger : -larger;
}

/* A thing of the kit as it is drawn. */
static FigureShape wording_thing(const Wording *wording, const Item *item, gint64 count)
{
    FigureShape shape = {FIGURE_THING, .thing = {.kind = thing_kind(wording->injection, item), .count = count}};
    shape.thing.look.filling = item->kind == ITEM_DRAWING_NEEDLE || item->kind == ITEM_MIXING_NEEDLE;
    shape.thing.beside = beside(wording->injection, item);
    shape.thing.fixed = item->syringe && PRESENT(item->syringe->needle);
    if (item->needle) {
        shape.thing.look.hub = item->needle->hub.text;
        shape.thing.needle_mm = in_mm(item->needle->needle.length);
    } else if (shape.thing.fixed) {
        shape.thing.look.hub = "white";
    }
    return shape;
}

FigureShape wording_drawn(const Wording *wording, const Item *item, gint64 count)
{
    FigureShape shape = wording_thing(wording, item, count);
    const Needle *needle = item->needle;
    gboolean small = wording->injections->len > 1; /* two kits have no room for packs in life size */
    if (!needle || small || way_row(wording->injection->way)->use == USE_DIALLED)
        return shape;
    return (FigureShape){FIGURE_PACK, .pack = {.look = shape.thing.look,
                                               .length_mm = in_mm(needle->needle.length),
                                               .gauge = rational_floor(needle->needle.gauge.number), .count = count}};
}
