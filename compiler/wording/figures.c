/* wording_figures: letters, captions, alternative texts and the words inside the
 * drawings.  What labels[] mean, by kind:
 *   NIGHT_STRIP   [0] left day [1] right day [2..8] clock labels every two hours [9] the time [10] what the dot is
 *   SYRINGE_*     [0] pointer [1] what it points at
 *   PEN_FLOW, PEN_DOSE  [0] the number in the window [1] what the pointer points at
 *   NEEDLES       for each needle four: job, gauge, length, colour word; then bar label, card label
 *   PAIR_*        [0] like this [1] not like this; of a pen's button also [2] the number in the window
 *   SCALE         [0] bar label
 *   SITE          [0] target
 *   CODE          [0] what the code holds
 */
#include "wording/parts.h"

static const char *const names[] = {
    [FIGURE_TABLE] = "TABLE", [FIGURE_SYRINGE_ADD] = "SYRINGE_ADD", [FIGURE_SYRINGE_DOSE] = "SYRINGE_DOSE",
    [FIGURE_SYRINGE_GIVE] = "SYRINGE_GIVE",
    [FIGURE_PUSH_INTO] = "PUSH_INTO", [FIGURE_SWIRL] = "SWIRL", [FIGURE_BUBBLES] = "BUBBLES",
    [FIGURE_BUBBLES_BACK] = "BUBBLES_BACK", [FIGURE_TAP] = "TAP",
    [FIGURE_NEEDLES] = "NEEDLES",
    [FIGURE_NEEDLE_OFF] = "NEEDLE_OFF", [FIGURE_NEEDLE_ON] = "NEEDLE_ON", [FIGURE_SITE] = "SITE",
    [FIGURE_STEADY] = "STEADY", [FIGURE_STRETCH] = "STRETCH", [FIGURE_PINCH] = "PINCH", [FIGURE_ANGLE] = "ANGLE",
    [FIGURE_SHARPS] = "SHARPS", [FIGURE_NIGHT_STRIP] = "NIGHT_STRIP", [FIGURE_PAIR_POWDER] = "PAIR_POWDER",
    [FIGURE_PAIR_AIR_GAP] = "PAIR_AIR_GAP", [FIGURE_PAIR_PLUNGER] = "PAIR_PLUNGER",
    [FIGURE_PAIR_BUTTON] = "PAIR_BUTTON", [FIGURE_PEN_CARTRIDGE] = "PEN_CARTRIDGE",
    [FIGURE_PEN_NEEDLE] = "PEN_NEEDLE", [FIGURE_PEN_CAPS] = "PEN_CAPS", [FIGURE_PEN_INNER] = "PEN_INNER",
    [FIGURE_TIP_OFF] = "TIP_OFF", [FIGURE_PEN_FLOW] = "PEN_FLOW",
    [FIGURE_PEN_DROP] = "PEN_DROP", [FIGURE_PEN_DOSE] = "PEN_DOSE",
    [FIGURE_PEN_OFF] = "PEN_OFF", [FIGURE_CODE] = "CODE", [FIGURE_SCALE] = "SCALE",
};

gboolean figure_can_be_drawn(const Wording *wording, FigureKind kind)
{
    const PlanInjection *injection = wording->injection;
    if (kind == FIGURE_TABLE)
        return FALSE; /* the kit's own block shows it */
    if (kind == FIGURE_SHARPS) /* a page that sets the line too has no room; the kit shows the box */
        return injection->way != WAY_PREFILLED || condition_holds(wording, "whole");
    if (kind == FIGURE_NEEDLES)
        return injection->drawing_needle && injection->injecting_needle;
    return TRUE;
}

static void label(const Wording *wording, Figure *figure, const char *text)
{
    g_ptr_array_add(figure->labels, arena_copy(wording->arena, text));
}

static void label_phrase(const Wording *wording, Figure *figure, const char *id)
{
    label(wording, figure, wording_plain(wording, id, NULL, 0));
}

static void label_value(const Wording *wording, Figure *figure, ValueId id, Form form)
{
    const Value *value = plan_value(wording->plan, wording->injection, id);
    label(wording, figure, value->set ? wording_value(wording, value, value_row(id)->kind, form) : "");
}

static void night_labels(const Wording *wording, Figure *figure)
{
    const Value *time = &wording->injection->values[VALUE_injection_time];
    LocalTime local = time->moment.local;
    gboolean night = local.minute >= 18 * 60 || local.minute < 6 * 60;
    int start = night ? 18 : 6;
    Value day = *time;
    day.moment.local.day -= night && local.minute < 6 * 60;
    label(wording, figure, wording_value(wording, &day, KIND_MOMENT, FORM_WEEKDAY));
    day.moment.local.day += night;
    label(wording, figure, wording_value(wording, &day, KIND_MOMENT, FORM_WEEKDAY));
    for (int i = 0; i <= 6; i++) {
        int hour = (start + 2 * i) % 24;
        label(wording, figure, hour == 0 ? "" : wording_clock(wording, hour * 60));
    }
    label_value(wording, figure, VALUE_injection_time, FORM_CLOCK);
    label_phrase(wording, figure, "strip_note");
}

/* All that was drawn up is given, or a new needle is filled first: the rim stands near its line. */
static gboolean gives_about(const Wording *wording, const Figure *figure)
{
    return figure->kind == FIGURE_SYRINGE_GIVE &&
           (condition_holds(wording, "whole") || condition_holds(wording, "changes_needle"));
}

static void syringe_labels(const Wording *wording, Figure *figure, ValueId mark)
{
    const Value *value = &wording->injection->values[mark];
    const Filling filling[] = {{"n", value->set ? wording_value(wording, value, KIND_MARK, FORM_PLAIN) : ""},
                               {NULL, NULL}};
    label(wording, figure, wording_plain(wording, "pointer", filling, 0));
    label_phrase(wording, figure, gives_about(wording, figure) ? "pointer_about" : "pointer_note");
}

static void needle_labels(const Wording *wording, Figure *figure)
{
    static const struct { const char *job; ValueId needle, hub; } each[] = {
        {"label_drawing_needle", VALUE_drawing_needle, VALUE_drawing_needle_hub},
        {"label_injecting_needle", VALUE_injecting_needle, VALUE_injecting_needle_hub}};
    for (gsize i = 0; i < G_N_ELEMENTS(each); i++) {
        label_phrase(wording, figure, each[i].job);
        label_value(wording, figure, each[i].needle, FORM_GAUGE);
        label_value(wording, figure, each[i].needle, FORM_LENGTH);
        label_value(wording, figure, each[i].hub, FORM_PLAIN);
    }
    label_phrase(wording, figure, "bar_label");
    label_phrase(wording, figure, "card_label");
}

/* A number that a button which is not pressed home may leave: less than the dose where the plan has one. */
static ValueId left_in_window(const Wording *wording)
{
    const Value *flow = &wording->injection->values[VALUE_flow], *dial = &wording->injection->values[VALUE_dial];
    gboolean less = flow->set && dial->set && quantity_compare(flow->quantity, dial->quantity) < 0;
    return less ? VALUE_flow : VALUE_dial;
}

static void labels(const Wording *wording, Figure *figure)
{
    switch (figure->kind) {
    case FIGURE_NIGHT_STRIP: night_labels(wording, figure); break;
    case FIGURE_SYRINGE_ADD: syringe_labels(wording, figure, VALUE_add_mark); break;
    case FIGURE_SYRINGE_DOSE:
    case FIGURE_SYRINGE_GIVE: syringe_labels(wording, figure, VALUE_mark); break;
    case FIGURE_PEN_FLOW:
    case FIGURE_PEN_DOSE:
        label_value(wording, figure, figure->kind == FIGURE_PEN_FLOW ? VALUE_flow : VALUE_dial, FORM_PLAIN);
        label_phrase(wording, figure, "pointer_window");
        break;
    case FIGURE_NEEDLES: needle_labels(wording, figure); break;
    case FIGURE_SCALE:
        label_phrase(wording, figure, "bar_label");
        break;
    case FIGURE_CODE: label(wording, figure, calendar_code(wording)); break;
    case FIGURE_SITE: label_phrase(wording, figure, "target"); break;
    case FIGURE_PAIR_POWDER:
    case FIGURE_PAIR_AIR_GAP:
    case FIGURE_PAIR_PLUNGER:
    case FIGURE_PAIR_BUTTON:
        label_phrase(wording, figure, "like_this");
        label_phrase(wording, figure, "not_like_this");
        if (figure->kind == FIGURE_PAIR_BUTTON)
            label_value(wording, figure, left_in_window(wording), FORM_PLAIN);
        break;
    default: break;
    }
}

Figure *wording_figure(Wording *wording, FigureKind kind, int vial)
{
    Figure *figure = arena_new0(wording->arena, Figure);
    figure->kind = kind;
    figure->vial = vial;
    figure->injection = wording->injection;
    figure->labels = arena_list(wording->arena);
    const char *about = gives_about(wording, figure) ? "_ABOUT" : "";
    figure->caption = wording_line(wording, arena_format(wording->arena, "caption_%s%s", names[kind], about), NULL, 0);
    figure->alt = line_text(wording->arena, figure->caption);
    if (kind != FIGURE_NIGHT_STRIP && kind != FIGURE_CODE && kind != FIGURE_SCALE)
        figure->letter = arena_format(wording->arena, "%c", 'A' + wording->figure++ % 26);
    labels(wording, figure);
    return figure;
}
