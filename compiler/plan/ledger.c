/* plan_ledger: every value that a sheet may show, with where it came from and,
 * when it was worked out, how. */
#include <string.h>

#include "plan/parts.h"

#define MINUTE 60
#define HOURS_VALID 6 /* a sheet stays on the table this long after its last act */

typedef struct Ledger {
    Arena *arena;
    Value *values;
    const Clinic *clinic;
} Ledger;

/* ---- setting ---- */

static Value *set(const Ledger *ledger, ValueId id, const char *how)
{
    Value *value = &ledger->values[id];
    value->set = TRUE;
    value->how = how;
    value->origins = arena_list(ledger->arena);
    return value;
}

static Value *from_field(const Ledger *ledger, Value *value, const Field *at)
{
    if (at->state == FIELD_READ && at->place.source) {
        Place *place = arena_new0(ledger->arena, Place);
        *place = at->place;
        g_ptr_array_add(value->origins, place);
    }
    return value;
}

/* The shelf's row that a strength or a volume rests on. */
static void from_label(const Ledger *ledger, Value *value, const PlanInjection *injection)
{
    const MixingRow *row = injection->row;
    if (row) {
        from_field(ledger, value, &row->makes.at);
        from_field(ledger, value, &row->strength.at);
        from_field(ledger, value, &row->withdraw.at);
    } else if (injection->medicine) {
        from_field(ledger, value, &injection->medicine->volume.at);
        from_field(ledger, value, &injection->medicine->strength.at);
    }
}

static void set_text(const Ledger *ledger, ValueId id, const Text *text)
{
    if (PRESENT(*text))
        from_field(ledger, set(ledger, id, NULL), &text->at)->text = text->text;
}

static void set_saying(const Ledger *ledger, ValueId id, const Saying *saying)
{
    if (PRESENT(*saying)) {
        from_field(ledger, set(ledger, id, NULL), &saying->at)->saying = saying;
        ledger->values[id].own = clinic_saying(ledger->clinic, saying);
    }
}

static void set_choice(const Ledger *ledger, ValueId id, const Field *choice)
{
    if (choice->state == FIELD_READ)
        from_field(ledger, set(ledger, id, NULL), choice)->choice = choice_value(choice);
}

static void set_day(const Ledger *ledger, ValueId id, const Date *date)
{
    if (PRESENT(*date))
        from_field(ledger, set(ledger, id, NULL), &date->at)->day = date->day;
}

static void set_count(const Ledger *ledger, ValueId id, const Number *number)
{
    if (PRESENT(*number))
        from_field(ledger, set(ledger, id, NULL), &number->at)->number = number->value;
}

static void set_amount(const Ledger *ledger, ValueId id, const Amount *amount)
{
    if (PRESENT(*amount))
        from_field(ledger, set(ledger, id, NULL), &amount->at)->quantity = amount->quantity;
}

static Value *set_number(const Ledger *ledger, ValueId id, gint64 number, const char *how)
{
    Value *value = set(ledger, id, how);
    value->number = number;
    return value;
}

static Value *set_volume(const Ledger *ledger, ValueId id, Rational volume_ml, const char *how)
{
    Value *value = set(ledger, id, how);
    value->quantity = (Quantity){volume_ml, UNIT_mL};
    return value;
}

static Value *set_moment(const Ledger *ledger, ValueId id, Moment moment, const char *how)
{
    Value *value = set(ledger, id, how);
    value->moment = moment;
    return value;
}

static Value *set_minutes(const Ledger *ledger, ValueId id, gint64 minutes, const char *how)
{
    Value *value = set(ledger, id, how);
    value->quantity = quantity_make(minutes, 1, UNIT_min);
    return value;
}

static const char *said(const Ledger *ledger, const char *format, ...) G_GNUC_PRINTF(2, 3);

static const char *said(const Ledger *ledger, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    return arena_copy(ledger->arena, text);
}

static const char *volume_text(const Ledger *ledger, Rational volume_ml)
{
    return quantity_text(ledger->arena, (Quantity){volume_ml, UNIT_mL});
}

/* ---- the person ---- */

static void set_phone(const Ledger *ledger, const Phone *phone, ValueId number, ValueId hours,
                      ValueId answers)
{
    if (!PRESENT(phone->number))
        return;
    from_field(ledger, set(ledger, number, NULL), &phone->number.at)->phone = phone;
    if (PRESENT(phone->hours) && hours != VALUE_COUNT) {
        Value *value = from_field(ledger, set(ledger, hours, NULL), &phone->hours.at);
        value->clocks.from = phone->hours.from;
        value->clocks.until = phone->hours.until;
        value->clocks.all_day = phone->hours.all_day;
    }
    if (answers != VALUE_COUNT)
        set_saying(ledger, answers, &phone->answers);
}

#define EMPTY_LINES 2 /* common practice, no source */
#define DRY_MINUTES 1
#define PRESS_MINUTES 1

static void set_span(const Ledger *ledger, ValueId id, const Amount *span, gint64 minutes)
{
    if (PRESENT(*span))
        set_amount(ledger, id, span);
    else if (minutes > 0)
        set_minutes(ledger, id, minutes, "common practice, as the clinic says nothing else");
}

static void practice_values(const Ledger *ledger, const Clinic *clinic)
{
    const Practice *practice = &clinic->practice;
    set_phone(ledger, &clinic->phones.second, VALUE_phone_second, VALUE_phone_second_hours,
              VALUE_phone_second_answers);
    set_span(ledger, VALUE_phone_second_after, &clinic->phones.second_after, 0);
    set_count(ledger, VALUE_signs_days, &clinic->advice.signs_days);
    set_amount(ledger, VALUE_fever, &clinic->advice.fever);
    set_span(ledger, VALUE_dissolve, &practice->dissolve, 0);
    set_span(ledger, VALUE_dry, &practice->dry, DRY_MINUTES);
    set_span(ledger, VALUE_press, &practice->press, PRESS_MINUTES);
    const YesNoChoice *emptied = &clinic->preparation.empty_filling_needle;
    if (!PRESENT(*emptied) || emptied->value != YesNo_YES)
        return;
    Value *lines = set_number(ledger, VALUE_empty_lines,
                              PRESENT(practice->empty_lines) ? practice->empty_lines.value : EMPTY_LINES, NULL);
    from_field(ledger, lines, &emptied->at);
}

static void clinic_values(const Ledger *ledger, const Plan *plan)
{
    const Clinic *clinic = plan->clinic;
    set_text(ledger, VALUE_clinic_name, &clinic->clinic);
    set_saying(ledger, VALUE_demonstration, &clinic->demonstration);
    if (PRESENT(clinic->zone))
        from_field(ledger, set(ledger, VALUE_clinic_zone, NULL), &clinic->zone.at)->zone = clinic->zone.zone;
    set_phone(ledger, &clinic->phones.day, VALUE_phone_day, VALUE_phone_day_hours, VALUE_phone_day_answers);
    set_phone(ledger, &clinic->phones.night, VALUE_phone_night, VALUE_phone_night_hours,
              VALUE_phone_night_answers);
    set_phone(ledger, &clinic->phones.emergency, VALUE_phone_emergency, VALUE_COUNT, VALUE_COUNT);
    practice_values(ledger, clinic);
}

static void protocol_values(const Ledger *ledger, const Plan *plan)
{
    const Protocol *protocol = plan->protocol;
    set_text(ledger, VALUE_protocol_name, &protocol->protocol);
    set_saying(ledger, VALUE_protocol_title, &protocol->title);
    set_count(ledger, VALUE_revision, &protocol->revision);
    set_text(ledger, VALUE_author, &protocol->author);
    set_saying(ledger, VALUE_why, &protocol->why);
    set_choice(ledger, VALUE_anchor, &protocol->anchor.at);
    set_text(ledger, VALUE_approved_by, &protocol->approval.by);
    set_day(ledger, VALUE_approved_on, &protocol->approval.on);
    set_day(ledger, VALUE_review_by, &protocol->approval.review_by);
    set_number(ledger, VALUE_injection_count, plan->injections->len, "counted in the protocol");
}

static void anchor_values(const Ledger *ledger, const Plan *plan)
{
    const AnchorTime *anchor = &plan->patient->anchor;
    if (!plan->anchor_known)
        return;
    if (plan->zone)
        from_field(ledger, set_moment(ledger, VALUE_anchor_time, plan_moment(plan, plan->anchor),
                                      "read in the clinic's zone, shown in the person's"), &anchor->on.at);
    Moment there = {.instant = plan->anchor, .zone = plan->clinic->zone.zone};
    there.local = zone_local(there.zone, plan->anchor, &there.offset);
    Value *value = set_moment(ledger, VALUE_anchor_time_clinic, there, NULL);
    from_field(ledger, value, &anchor->on.at);
    from_field(ledger, value, &anchor->clock.at);
    const char *how = said(ledger, "the date in %s", zone_name(plan->clinic->zone.zone));
    from_field(ledger, set(ledger, VALUE_day_zero, how), &anchor->on.at)->day = anchor->on.day;
}

static void patient_values(const Ledger *ledger, const Plan *plan)
{
    const Patient *patient = plan->patient;
    set_text(ledger, VALUE_person_name, &patient->name);
    set_text(ledger, VALUE_person_code, &patient->patient);
    set_amount(ledger, VALUE_weight, &patient->weight);
    set_text(ledger, VALUE_order_number, &patient->order);
    set_count(ledger, VALUE_sheet_number, &patient->sheet);
    set_count(ledger, VALUE_replaces_number, &patient->replaces);
    set_text(ledger, VALUE_prepared_by, &patient->prepared_by);
    anchor_values(ledger, plan);
    if (!plan->zone)
        return;
    const Field *at = PRESENT(patient->zone) ? &patient->zone.at : &plan->clinic->zone.at;
    from_field(ledger, set(ledger, VALUE_person_zone, NULL), at)->zone = plan->zone;
    set_moment(ledger, VALUE_made_at, plan_moment(plan, plan->now), "the present");
}

static void program_values(const Ledger *ledger, const PlanContext *context)
{
    set(ledger, VALUE_program_version, "built in")->text = context->version;
    if (context->alike)
        set(ledger, VALUE_alike, "the others of the same day")->text = context->alike;
    set(ledger, VALUE_zone_database, "as the database says")->text = zone_database_version(ledger->arena);
    if (context->digest)
        set(ledger, VALUE_source_digest, "SHA-256 of the digests of its files, first 8 letters")->text =
            arena_copy_length(ledger->arena, context->digest, MIN(8, strlen(context->digest)));
}

/* ---- one injection ---- */

/* Who injects: as the protocol says, or as was chosen for this person. */
static void giver_value(const Ledger *ledger, const Plan *plan, const GiverChoice *by)
{
    const GiverChoice *chosen = plan->patient ? &plan->patient->by : by;
    gboolean open = PRESENT(*by) && by->value == Giver_EITHER && PRESENT(*chosen);
    set_choice(ledger, VALUE_giver, open ? &chosen->at : &by->at);
}

/* "2027-08", as most boxes print it. */
static void set_use_by(const Ledger *ledger, const Date *expires)
{
    if (!PRESENT(*expires))
        return;
    CalendarDate date = day_date(expires->day);
    from_field(ledger, set(ledger, VALUE_use_by, NULL), &expires->at)->text =
        expires->whole_month ? said(ledger, "%d-%02d", date.year, date.month)
                             : said(ledger, "%d-%02d-%02d", date.year, date.month, date.day);
}

static void order_values(const Ledger *ledger, const Plan *plan, const PlanInjection *injection)
{
    const Injection *order = injection->order;
    set_text(ledger, VALUE_injection_name, &order->name);
    set_number(ledger, VALUE_injection_number, injection->number, "in order of time");
    set_amount(ledger, VALUE_dose, &order->dose);
    set_amount(ledger, VALUE_angle, &order->give.angle);
    set_choice(ledger, VALUE_route, &order->route.at);
    set_choice(ledger, VALUE_site, &order->site.at);
    giver_value(ledger, plan, &order->give.by);
    set_count(ledger, VALUE_fingers, &order->give.fingers);
    set_saying(ledger, VALUE_technique, &order->give.technique);
    set_saying(ledger, VALUE_late, &order->late);
    set_text(ledger, VALUE_diluent, &order->mix.diluent);
    set_amount(ledger, VALUE_add, &order->mix.add);
    set_amount(ledger, VALUE_leaflet_adds, &order->mix.leaflet_adds);
    if (injection->diluent)
        set_amount(ledger, VALUE_diluent_volume, &injection->diluent->volume);
    if (injection->box) {
        set_text(ledger, VALUE_lot, &injection->box->lot);
        set_day(ledger, VALUE_expires, &injection->box->expires);
        set_use_by(ledger, &injection->box->expires);
    }
    if (!injection->medicine)
        return;
    set_text(ledger, VALUE_medicine, &injection->medicine->generic);
    set_text(ledger, VALUE_box_name, &injection->medicine->name);
    set_text(ledger, VALUE_box_says, &injection->medicine->box);
    set_text(ledger, VALUE_activity, &injection->medicine->activity);
    set_amount(ledger, VALUE_content, &injection->medicine->content);
}

static void containers(const Ledger *ledger, const PlanInjection *injection)
{
    if (injection->containers == 0)
        return;
    const Number *vials = &injection->order->vials;
    Value *value = set_number(ledger, VALUE_containers, injection->containers,
                              PRESENT(*vials) ? NULL : "as many as the dose needs");
    from_field(ledger, value, &vials->at);
    from_field(ledger, value, &injection->medicine->content.at);
}

/* The number printed at a volume: mL, or the number of a U-100 barrel. */
static void set_mark(const Ledger *ledger, const Syringe *syringe, ValueId id, Rational volume_ml)
{
    if (!rational_ok(volume_ml) || !syringe || !PRESENT(syringe->marks))
        return;
    gboolean u100 = syringe->marks.value == Marks_U100;
    Rational printed = u100 ? rational_mul(volume_ml, rational_make(100, 1)) : volume_ml;
    const char *how = said(ledger, u100 ? "%s; 100 marks of this syringe make 1 mL" : "%s; the syringe counts in mL",
                           volume_text(ledger, volume_ml));
    Value *value = from_field(ledger, set(ledger, id, how), &syringe->marks.at);
    from_field(ledger, value, &syringe->mark_every.at);
    value->quantity = (Quantity){printed, u100 ? UNIT_units : UNIT_mL};
}

/* A dose as the window of the pen shows it. */
static void settings(const Ledger *ledger, const PlanInjection *injection)
{
    const Pen *pen = injection->pen;
    if (!pen)
        return;
    set_text(ledger, VALUE_pen, &pen->name);
    if (!PRESENT(pen->dial_every))
        return;
    UnitId unit = pen->dial_every.quantity.unit; /* the window counts in the pen's unit */
    const Amount *flow = &pen->flow_check;
    if (PRESENT(*flow) && quantity_dimension(flow->quantity) == quantity_dimension(pen->dial_every.quantity))
        from_field(ledger, set(ledger, VALUE_flow, NULL), &flow->at)->quantity = quantity_in(flow->quantity, unit);
    if (!rational_ok(injection->dialled))
        return;
    const char *how = said(ledger, "%s, rounded half up to a setting every %s",
                           quantity_text(ledger->arena, injection->order->dose.quantity),
                           quantity_text(ledger->arena, pen->dial_every.quantity));
    Value *value = from_field(ledger, set(ledger, VALUE_dial, how), &pen->dial_every.at);
    from_field(ledger, value, &injection->order->dose.at);
    value->quantity = (Quantity){rational_div(injection->dialled, unit_row(unit)->in_base), unit};
}

/* What is injected: on a mark, or what the setting of a pen gives. */
static void volume_given(const Ledger *ledger, const PlanInjection *injection)
{
    gboolean pen = injection->way == WAY_PEN;
    const Amount *every = pen ? &injection->pen->dial_every : &injection->syringe->mark_every;
    const char *how = said(ledger, "%s, rounded half up to a %s every %s", volume_text(ledger, injection->exact_ml),
                           pen ? "setting" : "mark", quantity_text(ledger->arena, every->quantity));
    from_field(ledger, set_volume(ledger, VALUE_volume, injection->volume_ml, how), &every->at);
}

static void volumes(const Ledger *ledger, const PlanInjection *injection)
{
    const Injection *order = injection->order;
    Arena *arena = ledger->arena;
    if (rational_ok(injection->final_ml))
        from_label(ledger, set_volume(ledger, VALUE_final_volume, injection->final_ml, injection->row
                       ? "from the label's mixing row" : "what was added, or what the box holds"), injection);
    if (rational_ok(injection->drawable_ml))
        from_label(ledger, set_volume(ledger, VALUE_drawable, injection->drawable_ml,
                   injection->row && PRESENT(injection->row->withdraw)
                       ? "the final volume, less what each vial keeps back" : "the final volume"), injection);
    if (injection->has_strength) {
        Value *value = set(ledger, VALUE_strength, "as stated, else what the containers hold in the final volume");
        value->strength = injection->strength;
        from_label(ledger, value, injection);
    }
    if (rational_ok(injection->exact_ml)) {
        gboolean part = PRESENT(order->dose_is) && order->dose_is.value == DoseIs_PART;
        const char *how = part && injection->has_strength
            ? said(ledger, "%s at %s", quantity_text(arena, order->dose.quantity),
                   strength_text(arena, injection->strength))
            : "everything that can be drawn back";
        Value *value = set_volume(ledger, VALUE_exact_volume, injection->exact_ml, how);
        from_field(ledger, value, &order->dose.at);
        from_field(ledger, value, &order->dose_is.at);
        from_label(ledger, value, injection);
    }
    if (rational_ok(injection->volume_ml))
        volume_given(ledger, injection);
    if (rational_ok(injection->dose_drawn)) {
        UnitId unit = order->dose.quantity.unit;
        Value *value = set(ledger, VALUE_dose_drawn, said(ledger, "%s at %s", volume_text(ledger, injection->volume_ml),
                                                         strength_text(arena, injection->strength)));
        value->quantity = (Quantity){rational_div(injection->dose_drawn, unit_row(unit)->in_base), unit};
    }
    if (rational_ok(injection->lost_ml))
        set_volume(ledger, VALUE_lost, injection->lost_ml, plan_gives_all(injection)
                       ? "what the filling needle holds when it comes off"
                       : "what the needle put on after measuring takes out of the dose");
    if (rational_ok(injection->taken_ml))
        set_volume(ledger, VALUE_taken, injection->taken_ml, "the volume, and what fills nozzle and drawing needle");
    set_mark(ledger, injection->syringe, VALUE_mark, injection->volume_ml);
    set_mark(ledger, injection->mixing_syringe, VALUE_add_mark, injection->add_on_mark_ml);
    if (PRESENT(order->give.least))
        set_mark(ledger, injection->syringe, VALUE_least, quantity_in(order->give.least.quantity, UNIT_mL).number);
}

static void set_needle(const Ledger *ledger, const NeedleField *needle, ValueId id)
{
    if (!PRESENT(*needle))
        return;
    Value *value = from_field(ledger, set(ledger, id, NULL), &needle->at);
    value->needle.gauge = needle->gauge;
    value->needle.length = needle->length;
}

static void mixing_tools(const Ledger *ledger, const PlanInjection *injection)
{
    set_needle(ledger, &injection->order->mix.needle, VALUE_mixing_needle);
    if (injection->mixing_needle)
        set_text(ledger, VALUE_mixing_needle_hub, &injection->mixing_needle->hub);
    if (!injection->mixing_syringe)
        return;
    set_text(ledger, VALUE_mixing_syringe, &injection->mixing_syringe->name);
    set_amount(ledger, VALUE_mixing_syringe_capacity, &injection->mixing_syringe->capacity);
}

static void tools(const Ledger *ledger, const PlanInjection *injection)
{
    const Injection *order = injection->order;
    if (injection->syringe) {
        set_text(ledger, VALUE_syringe, &injection->syringe->name);
        set_amount(ledger, VALUE_syringe_capacity, &injection->syringe->capacity);
        set_needle(ledger, &injection->syringe->needle, VALUE_injecting_needle);
    }
    gboolean apart = plan_mixes_apart(injection);
    gboolean mixing = injection->way == WAY_POWDER && !apart;
    set_needle(ledger, mixing ? &order->mix.needle : &order->draw.needle, VALUE_drawing_needle);
    if (apart)
        mixing_tools(ledger, injection);
    set_needle(ledger, &order->give.needle, VALUE_injecting_needle);
    if (injection->drawing_needle)
        set_text(ledger, VALUE_drawing_needle_hub, &injection->drawing_needle->hub);
    if (injection->injecting_needle)
        set_text(ledger, VALUE_injecting_needle_hub, &injection->injecting_needle->hub);
    set_count(ledger, VALUE_spare_needles, &order->give.spare_needles);
}

/* The row of the shelf that is counted; spares stand in the protocol. */
static void from_item(const Ledger *ledger, Value *value, const PlanInjection *injection, const Item *item)
{
    if (item->medicine)
        from_field(ledger, value, &item->medicine->name.at);
    if (item->diluent)
        from_field(ledger, value, &item->diluent->name.at);
    if (item->syringe)
        from_field(ledger, value, &item->syringe->name.at);
    if (item->needle)
        from_field(ledger, value, &item->needle->needle.at);
    if (item->pen)
        from_field(ledger, value, &item->pen->name.at);
    if (item->kind == ITEM_INJECTING_NEEDLE)
        from_field(ledger, value, &injection->order->give.spare_needles.at);
}

static void counts(const Ledger *ledger, const PlanInjection *injection)
{
    static const ValueId of_kind[] = {VALUE_containers_all, VALUE_diluents_all, VALUE_syringes,
                                      VALUE_drawing_needles, VALUE_injecting_needles, VALUE_pens,
                                      VALUE_mixing_syringes, VALUE_mixing_needles};
    gint64 each = plan_doses_each(injection);
    if (each > 0)
        set_number(ledger, VALUE_doses_each, each, "what one container gives, by what one dose takes of it");
    for (guint i = 0; i < injection->kit->len; i++) {
        const Item *item = g_ptr_array_index(injection->kit, i);
        if (item->kind >= G_N_ELEMENTS(of_kind))
            continue;
        guint days = injection->acts->len, left = days - injection->done;
        const char *how = said(ledger, "counted in the kit: %" G_GINT64_FORMAT " used each time, over %u %s%s",
                               item->used, left, left == 1 ? "day" : "days",
                               left == days ? "" : said(ledger, " left of %u, of %" G_GINT64_FORMAT " handed out", days,
                                                        item->count));
        from_item(ledger, set_number(ledger, of_kind[item->kind], item->left, how), injection, item);
    }
}

static const char *how_timed(const Ledger *ledger, const Plan *plan, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    Arena *arena = ledger->arena;
    const char *anchor = local_text(arena, zone_local(plan->zone, plan->anchor, NULL));
    const Value zero = {.set = TRUE, .day = plan->patient->anchor.on.day};
    if (when->kind == TIMING_CALENDAR)
        return said(ledger, "%s in %s; day %s%d counts from %s, the date of the event in %s",
                    clock_text(arena, when->minute), zone_name(plan->zone), when->day > 0 ? "+" : "", when->day,
                    value_text(arena, &zero, KIND_DAY), zone_name(plan->clinic->zone.zone));
    if (when->kind == TIMING_TOGETHER)
        return said(ledger, "together with %s", when->from);
    return said(ledger, "%s %s %s (%s)", quantity_text(arena, when->offset),
                when->before ? "before" : "after", when->from, anchor);
}

static void window_values(const Ledger *ledger, const PlanInjection *injection)
{
    const Window *window = &injection->order->window;
    if (!PRESENT(*window))
        return;
    gint64 before = window->exact ? 0 : rational_floor(quantity_base(window->before));
    gint64 after = window->exact ? 0 : rational_floor(quantity_base(window->after));
    from_field(ledger, set_minutes(ledger, VALUE_window_before, before, NULL), &window->at);
    from_field(ledger, set_minutes(ledger, VALUE_window_after, after, NULL), &window->at);
    if (!injection->windowed)
        return;
    set_moment(ledger, VALUE_earliest, injection->earliest, "the time less its window, never at midnight");
    set_moment(ledger, VALUE_latest, injection->latest, "the time and its window, never at midnight");
}

/* The clinic's setting that a time of the preparation is counted by. */
static void from_setting(const Ledger *ledger, Value *value, const Plan *plan, const PlanInjection *injection,
                         RungKind kind)
{
    const Preparation *preparation = &plan->clinic->preparation;
    switch (kind) {
    case RUNG_CHECK_KIT: from_field(ledger, value, &preparation->check_kit.at); break;
    case RUNG_SET_ALARMS: from_field(ledger, value, &preparation->alarms.at); break;
    case RUNG_TAKE_OUT: from_field(ledger, value, &injection->medicine->storage.take_out.at); break;
    case RUNG_SIT: from_field(ledger, value, &preparation->sit.at); return;
    case RUNG_START:
    case RUNG_MIX:
    case RUNG_INJECT: break;
    }
    if (kind != RUNG_CHECK_KIT)
        from_field(ledger, value, plan_start_setting(plan, injection));
}

static void ladder_values(const Ledger *ledger, const Plan *plan, const PlanInjection *injection)
{
    for (guint i = 0; i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        if (rung->kind == RUNG_INJECT)
            continue;
        const char *how = said(ledger, "counted back from the injection at %s",
                               local_text(ledger->arena, plan_first_act(injection)->at.local));
        from_setting(ledger, set_moment(ledger, rung_row(rung->kind)->value, rung->at, how), plan, injection,
                     rung->kind);
    }
    if (injection->has_call_by)
        from_field(ledger, set_moment(ledger, VALUE_call_by, injection->call_by,
                                      "on the day the kit is checked, in the clinic's zone"),
                   &plan->clinic->preparation.call_by.at);
}

/* When the mixture may be made: as long ahead as the protocol says, or from the
 * start of the preparation. */
static void mixing_times(const Ledger *ledger, const PlanInjection *injection)
{
    const Keep *ahead = &injection->order->mix.ahead;
    if (!injection->has_mix_from)
        return;
    gboolean early = PRESENT(*ahead) && !ahead->at_once;
    if (early)
        from_field(ledger, set_minutes(ledger, VALUE_keep_limit, rational_floor(quantity_base(ahead->limit)), NULL),
                   &ahead->at);
    if (early) {
        Value *kept = from_field(ledger, set(ledger, VALUE_kept_at, NULL), &ahead->at);
        kept->choice = (ChoiceWord)ahead->kept_at;
    }
    set_moment(ledger, VALUE_mix_from, injection->mix_from,
               early ? "as long ahead of the window's end as the protocol allows, once the kit is checked"
                     : "when the preparation starts");
    if (ledger->values[VALUE_sit].set)
        set_moment(ledger, VALUE_mix_until, ledger->values[VALUE_sit].moment, "before the needle is changed");
}

/* One vial for all that is left has one last day; of several each has its own. */
static void kept_vial(const Ledger *ledger, const Plan *plan, const PlanInjection *injection)
{
    guint last = injection->acts->len - 1;
    const Field *keeping = injection->row && PRESENT(injection->row->keep) ? &injection->row->keep.at : NULL, *said_at;
    const Act *opening = plan_keeps_vial(plan, injection) ? plan_opening_act(injection) : NULL;
    if (!opening || !opening->exists)
        return;
    if (opening != plan_first_act(injection))
        from_field(ledger, set_moment(ledger, VALUE_mixed_on, opening->at, "for the injection before"),
                   injection->opened_by ? &injection->opened_by->order->name.at : &injection->order->when.at);
    Value *kept = set(ledger, VALUE_vial_kept_at, "as the mixing row keeps it longest, else as the medicine is stored");
    kept->choice = (ChoiceWord)plan_vial_kept_at(injection);
    from_field(ledger, kept, keeping ? keeping : &injection->medicine->storage.at);
    if (plan_container_of(injection, last) != plan_container_of(injection, injection->done))
        return;
    Rational limit;
    Instant until = plan_vial_until(plan, injection, &limit, &said_at);
    const char *how = said(ledger, "%s from %s",
                           quantity_text(ledger->arena, quantity_make(rational_floor(limit), 60, UNIT_h)),
                           said_at == keeping ? "the hour when it may be mixed" : "its first dose");
    from_field(ledger, set_moment(ledger, VALUE_vial_until, plan_moment(plan, until), how), said_at);
}

/* At midnight: the minute before it on the old clock, the minute after it on the new one. */
static void change_values(const Ledger *ledger, const Plan *plan, const PlanInjection *injection)
{
    Moment before = plan_moment(plan, injection->change.at), after = before;
    before.local = change_before(injection->change);
    after.local = change_after(injection->change);
    if (before.local.minute == 0)
        before.local = (LocalTime){before.local.day - 1, 24 * 60 - 1};
    if (after.local.minute == 0)
        after.local.minute = 1;
    set_moment(ledger, VALUE_clocks_change, before, "from the zone database");
    set_moment(ledger, VALUE_clocks_change_to, after, "from the zone database");
}

/* Of a clock time that comes twice, or is midnight, the next one that is neither. */
static Moment valid_until(const Plan *plan, const PlanInjection *injection)
{
    const Act *last = plan_last_act(injection);
    Instant at = MAX(last->at.instant + HOURS_VALID * 3600, plan_window_end(injection, last)), both[2];
    while (zone_instants(plan->zone, plan_moment(plan, at).local, both) == 2)
        at += 60;
    return plan_not_before(plan, plan_moment(plan, at));
}

static void time_values(const Ledger *ledger, const Plan *plan, const PlanInjection *injection)
{
    const Timing *when = &injection->order->when;
    const Act *first = plan_first_act(injection), *last = plan_last_act(injection);
    Value *time = set_moment(ledger, VALUE_injection_time, first->at, how_timed(ledger, plan, injection));
    from_field(ledger, time, &when->at);
    from_field(ledger, time, &plan->patient->anchor.on.at);
    from_field(ledger, time, &plan->patient->anchor.clock.at);
    set_moment(ledger, VALUE_last_time, last->at, "the last day of the course");
    set_number(ledger, VALUE_days, injection->acts->len, "days of the course");
    set_number(ledger, VALUE_days_left, injection->acts->len - injection->done, "those whose window is not over");
    if (injection->done)
        set_number(ledger, VALUE_days_done, injection->done, "those whose window is over");
    set_minutes(ledger, VALUE_to_anchor, injection->offset_minutes, "elapsed, counted in universal time");
    if (when->kind == TIMING_ELAPSED)
        from_field(ledger, set(ledger, VALUE_offset, NULL), &when->at)->quantity = when->offset;
    if (injection->clock_change)
        change_values(ledger, plan, injection);
    const char *how = said(ledger, "%d h after the last injection of this sheet (%s), not before its window ends",
                           HOURS_VALID, local_text(ledger->arena, last->at.local));
    from_field(ledger, set_moment(ledger, VALUE_valid_until, valid_until(plan, injection), how), &when->at);
}

static gboolean identified(const Plan *plan, const PlanInjection *injection)
{
    const Patient *patient = plan->patient;
    return PRESENT(patient->patient) && PRESENT(patient->order) && PRESENT(patient->sheet) &&
           PRESENT(injection->order->name) && PRESENT(injection->order->medicine) &&
           PRESENT(injection->order->dose);
}

/* Last: it hangs on the others, of all injections. */
static void check_code(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    Ledger ledger = {arena, injection->values, plan->clinic};
    if (plan->patient && injection->timed && identified(plan, injection))
        set(&ledger, VALUE_check_code, "from all that the person acts on")->text =
            plan_spoken_code(arena, plan_identity(arena, plan, injection));
}

static void injection_values(Arena *arena, const Plan *plan, PlanInjection *injection)
{
    Ledger ledger = {arena, injection->values, plan->clinic};
    order_values(&ledger, plan, injection);
    containers(&ledger, injection);
    volumes(&ledger, injection);
    settings(&ledger, injection);
    tools(&ledger, injection);
    counts(&ledger, injection);
    window_values(&ledger, injection);
    if (!injection->timed)
        return;
    time_values(&ledger, plan, injection);
    ladder_values(&ledger, plan, injection);
    mixing_times(&ledger, injection);
    kept_vial(&ledger, plan, injection);
}

void plan_ledger(Arena *arena, Plan *plan, const PlanContext *context)
{
    Ledger ledger = {arena, plan->values, plan->clinic};
    clinic_values(&ledger, plan);
    protocol_values(&ledger, plan);
    if (plan->patient)
        patient_values(&ledger, plan);
    program_values(&ledger, context);
    for (guint i = 0; i < plan->injections->len; i++)
        injection_values(arena, plan, g_ptr_array_index(plan->injections, i));
    for (guint i = 0; i < plan->injections->len; i++)
        check_code(arena, plan, g_ptr_array_index(plan->injections, i));
}
