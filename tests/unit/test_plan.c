/* The plan against hand-worked cases: amounts, marks, times, counts. */
#include <string.h>

#include "plan/plan.h"

#include "clean_fixture.h"

typedef struct Change { const char *file, *old, *new; } Change;

static Node *file_of(Fixture *fixture, const char *name, const Change *change)
{
    gboolean mine = change && strcmp(change->file, name) == 0;
    return read_file(fixture, name, mine ? change->old : NULL, mine ? change->new : NULL);
}

static Plan *plan_with(Fixture *fixture, const char *which, const Change *change)
{
    g_autofree char *protocol = g_strconcat("protocols/", which, ".yaml", NULL);
    g_autofree char *patient = g_strconcat("patients/", which, ".yaml", NULL);
    Arena *arena = fixture->arena;
    Diagnostics *diagnostics = fixture->diagnostics;
    Clinic *clinic = reader_clinic(arena, file_of(fixture, "clinic.yaml", change), diagnostics);
    Shelf *shelf = reader_shelf(arena, file_of(fixture, "shelf.yaml", change), diagnostics);
    Protocol *order = reader_protocol(arena, file_of(fixture, arena_copy(arena, protocol), change), diagnostics);
    Patient *person = reader_patient(arena, file_of(fixture, arena_copy(arena, patient), change), diagnostics);
    PlanContext context = {1795000000, "test", "0123456789abcdef", "", FALSE, NULL, NULL};
    return plan_build(arena, clinic, shelf, order, person, &context);
}

static const PlanInjection *first(const Plan *plan) { return g_ptr_array_index(plan->injections, 0); }

static const char *shown(Fixture *fixture, const Plan *plan, ValueId id)
{
    return value_text(fixture->arena, plan_value(plan, first(plan), id), value_row(id)->kind);
}

/* Common practice, no source: 10,000 units of powder with 1 mL drawn back whole is
 * the dose, about 1 mL; 36 h before 11:30 on Thursday is 23:30 on Tuesday. */
static void test_whole_vial(void **state)
{
    Fixture *fixture = *state;
    Plan *plan = plan_with(fixture, "base", NULL);
    assert_true(plan_complete(plan));
    assert_string_equal(shown(fixture, plan, VALUE_volume), "1 mL");
    assert_string_equal(shown(fixture, plan, VALUE_mark), "the line 1");
    assert_string_equal(shown(fixture, plan, VALUE_dose_drawn), "10,000 units");
    assert_string_equal(shown(fixture, plan, VALUE_injection_time), "Tuesday 2026-11-24 23:30");
    assert_string_equal(shown(fixture, plan, VALUE_earliest), "Tuesday 2026-11-24 23:15");
    assert_string_equal(shown(fixture, plan, VALUE_latest), "Tuesday 2026-11-24 23:45");
    assert_string_equal(shown(fixture, plan, VALUE_to_anchor), "36 h");
    assert_string_equal(shown(fixture, plan, VALUE_injecting_needles), "2");
    assert_int_equal(plan_supply_needed(plan, Supply_WIPE), 3);
}

/* Milligrams do not count vials of units, and a number of vials that cannot be read is no number. */
static void test_containers_unknown(void **state)
{
    Fixture *fixture = *state;
    const Change other_kind = {"protocols/base.yaml", "dose: 10,000 units", "dose: 10 mg"};
    assert_int_equal(first(plan_with(fixture, "base", &other_kind))->containers, 0);
    const Change unread = {"protocols/base.yaml", "    when:", "    vials: some\n    when:"};
    assert_int_equal(first(plan_with(fixture, "base", &unread))->containers, 0);
}

/* Each injection has to be complete, not the first alone. */
static void test_second_incomplete(void **state)
{
    Fixture *fixture = *state;
    Change second = {"protocols/base.yaml", "kit:\n",
                     "  - name: second\n    medicine: ready five\n    late: Call.\nkit:\n"};
    Plan *plan = plan_with(fixture, "base", &second);
    assert_int_equal(plan->injections->len, 2);
    assert_false(plan_complete(plan));
}

/* 34, 35, 35.5 and 36 hours are all in use (common practice, no source). */
static void test_offsets(void **state)
{
    Fixture *fixture = *state;
    const struct { const char *when, *time; } cases[] = {
        {"34 h before egg collection", "Wednesday 2026-11-25 01:30"},
        {"35 h before egg collection", "Wednesday 2026-11-25 00:30"},
        {"35.5 h before egg collection", "Wednesday 2026-11-25 00:00"},
        {"34 h 30 min before egg collection", "Wednesday 2026-11-25 01:00"},
        {"40 h before egg collection", "Tuesday 2026-11-24 19:30"}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Change change = {"protocols/base.yaml", "36 h before egg collection", cases[i].when};
        assert_string_equal(shown(fixture, plan_with(fixture, "base", &change), VALUE_injection_time), cases[i].time);
    }
}

/* ---- what is asked of the person ---- */

static const char *shown_with(Fixture *fixture, const char *which, Change change, ValueId id)
{
    return shown(fixture, plan_with(fixture, which, &change), id);
}

/* An injection at 11 am: the kit is checked, and calls end, the day before. */
static void test_asked_the_day_before(void **state)
{
    Fixture *fixture = *state;
    Change change = {"protocols/base.yaml", "36 h before", "48 h 30 min before"}; /* 11 am on Tuesday */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_injection_time), "Tuesday 2026-11-24 11:00");
    assert_string_equal(shown_with(fixture, "base", change, VALUE_check_kit), "Monday 2026-11-23 16:00");
    assert_string_equal(shown_with(fixture, "base", change, VALUE_call_by), "Monday 2026-11-23 17:00");
    change.new = "42 h before"; /* 5:30 pm: the start is at 4:45, and 5 pm would be too late */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_call_by), "Monday 2026-11-23 17:00");
    change.new = "40 h 45 min before"; /* 6:45 pm: the start is an hour after 5 pm */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_call_by), "Tuesday 2026-11-24 17:00");
    assert_string_equal(shown_with(fixture, "base", change, VALUE_set_alarms), "Tuesday 2026-11-24 16:05");
}

static void test_alarms_by_day(void **state)
{
    Fixture *fixture = *state;
    Change change = {"protocols/base.yaml", "36 h before", "28 h 30 min before"}; /* 7 am: two hours before 6:15 */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_set_alarms), "Tuesday 2026-11-24 21:00");
    change.new = "34 h before"; /* 1:30 am: two hours before 12:45 am */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_set_alarms), "Tuesday 2026-11-24 21:00");
    change.new = "36 h 45 min before"; /* 10:45 pm: 8 pm is no night */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_set_alarms), "Tuesday 2026-11-24 20:00");
}

/* An edge at midnight moves inwards, a preparation the way that the clinic says. */
static void test_beside_midnight(void **state)
{
    Fixture *fixture = *state;
    Change change = {"protocols/base.yaml", "36 h before", "35 h 45 min before"}; /* 11:45 pm */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_latest), "Tuesday 2026-11-24 23:59");
    change.new = "35 h 15 min before"; /* 12:15 am */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_earliest), "Wednesday 2026-11-25 00:01");
    change.new = "34 h 45 min before"; /* 12:45 am */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_start), "Tuesday 2026-11-24 23:59");
    Change later = {"clinic.yaml", "sit: 10 min}", "sit: 36 h, midnight: a minute later}"};
    assert_string_equal(shown_with(fixture, "base", later, VALUE_sit), "Monday 2026-11-23 11:30");
    change.new = "29 h 30 min before"; /* 6 am: valid for six hours after it, until noon */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_valid_until), "Wednesday 2026-11-25 12:00");
    change.new = "41 h 30 min before"; /* 6 pm: until midnight */
    assert_string_equal(shown_with(fixture, "base", change, VALUE_valid_until), "Wednesday 2026-11-25 00:01");
}

static void test_to_the_end_of_the_window(void **state)
{
    Fixture *fixture = *state;
    Change wide = {"protocols/base.yaml", "window: 15 min either side", "window: 15 min before to 7 h after"};
    assert_string_equal(shown_with(fixture, "base", wide, VALUE_valid_until), "Wednesday 2026-11-25 06:30");
    Change ahead = {"protocols/base.yaml", "      needle: 18 G x 1.5 in",
                    "      needle: 18 G x 1.5 in\n      ahead: up to 6 h in the refrigerator"};
    assert_string_equal(shown_with(fixture, "base", ahead, VALUE_mix_from), "Tuesday 2026-11-24 17:45");
    ahead.new = "      needle: 18 G x 1.5 in\n      ahead: up to 9 h in the refrigerator"; /* 2:45 pm: unchecked */
    assert_string_equal(shown_with(fixture, "base", ahead, VALUE_mix_from), "Tuesday 2026-11-24 17:00");
}

/* In Tokyo the event falls on Friday: day 0 stays the clinic's Thursday. */
static void test_day_zero(void **state)
{
    Fixture *fixture = *state;
    Change there = {"patients/course.yaml", "weight: 68 kg", "zone: Asia/Tokyo\nweight: 68 kg"};
    assert_string_equal(shown_with(fixture, "course", there, VALUE_day_zero), "Thursday 2026-11-26");
    assert_string_equal(shown_with(fixture, "course", there, VALUE_anchor_time), "Friday 2026-11-27 00:30");
    assert_string_equal(shown_with(fixture, "course", there, VALUE_injection_time), "Friday 2026-11-27 21:00");
}

static void test_measured_part(void **state)
{
    Fixture *fixture = *state;
    Change change = {"protocols/base.yaml", "10,000 units\n    dose_is: the whole content",
                     "2,500 units\n    dose_is: a measured part"};
    Plan *plan = plan_with(fixture, "base", &change);
    assert_string_equal(shown(fixture, plan, VALUE_exact_volume), "0.25 mL");
    assert_string_equal(shown(fixture, plan, VALUE_volume), "0.3 mL"); /* half up, to a mark every 0.1 mL */
    assert_string_equal(shown(fixture, plan, VALUE_dose_drawn), "3,000 units");
}

/* Two vials that each make 4 mL through one liquid: 20,000 units in 4 mL. */
static void test_vials_through_one_liquid(void **state)
{
    Fixture *fixture = *state;
    Change change = {"protocols/base.yaml",
            "10,000 units\n    dose_is: the whole content\n    when: 36 h before egg collection"
                     "\n    window: 15 min either side\n    route: intramuscular\n    site: ventrogluteal\n    mix:\n"
                     "      diluent: water ten\n      add: 1 mL",
                     "20,000 units\n    dose_is: the whole content\n    vials: 2\n    when: 36 h before egg collection"
                     "\n    window: 15 min either side\n    route: intramuscular\n    site: ventrogluteal\n    mix:\n"
                     "      diluent: water ten\n      add: 4 mL"};
    Plan *plan = plan_with(fixture, "base", &change);
    assert_string_equal(shown(fixture, plan, VALUE_containers), "2");
    assert_string_equal(shown(fixture, plan, VALUE_strength), "5,000 units/mL");
    assert_string_equal(shown(fixture, plan, VALUE_volume), "4 mL");
    int repeated = 0;
    for (guint i = 0; i < first(plan)->steps->len; i++)
        repeated += ((const Step *)g_ptr_array_index(first(plan)->steps, i))->vial == 2;
    assert_int_equal(repeated, 3);
    assert_int_equal(plan_supply_needed(plan, Supply_WIPE), 4);
}

/* tests/reference/syringe_graduation.csv G38: 0.2 mL is the line 20. */
static void test_insulin_marks(void **state)
{
    Fixture *fixture = *state;
    Change change = {"protocols/ready.yaml", "dose: 4 mg", "dose: 1 mg"};
    Plan *plan = plan_with(fixture, "ready", &change);
    assert_string_equal(shown(fixture, plan, VALUE_volume), "0.2 mL");
    assert_string_equal(shown(fixture, plan, VALUE_mark), "the line 20");
    assert_false(plan_needle_changes(first(plan)));
    for (guint i = 0; i < first(plan)->steps->len; i++)
        assert_int_not_equal(((const Step *)g_ptr_array_index(first(plan)->steps, i))->id, STEP_needle_on);
}

static void test_course(void **state)
{
    Fixture *fixture = *state;
    Plan *plan = plan_with(fixture, "course", NULL);
    assert_int_equal(first(plan)->acts->len, 10);
    assert_string_equal(shown(fixture, plan, VALUE_injection_time), "Friday 2026-11-27 21:00");
    assert_string_equal(shown(fixture, plan, VALUE_last_time), "Sunday 2026-12-06 21:00");
    assert_string_equal(shown(fixture, plan, VALUE_containers_all), "1");
    assert_string_equal(shown(fixture, plan, VALUE_injecting_needles), "12");
}

/* Across the end of summer time in Halifax the 36 hours are 36 true hours. */
static void test_clock_change(void **state)
{
    Fixture *fixture = *state;
    Change change = {"patients/base.yaml", "Thursday 2026-11-26, clock: 11:30 am", "Monday 2026-11-02, clock: 9 am"};
    Plan *plan = plan_with(fixture, "base", &change);
    assert_true(first(plan)->clock_change);
    assert_string_equal(shown(fixture, plan, VALUE_injection_time), "Saturday 2026-10-31 22:00");
}

static void test_traveller(void **state)
{
    Fixture *fixture = *state;
    Change change = {"patients/base.yaml", "weight: 68 kg", "zone: America/Toronto\nweight: 68 kg"};
    Plan *plan = plan_with(fixture, "base", &change);
    assert_string_equal(shown(fixture, plan, VALUE_injection_time), "Tuesday 2026-11-24 22:30");
    assert_string_equal(value_text(fixture->arena, plan_value(plan, NULL, VALUE_anchor_time), KIND_MOMENT),
                        "Thursday 2026-11-26 10:30");
}

static void test_ladder(void **state)
{
    Fixture *fixture = *state;
    const PlanInjection *injection = first(plan_with(fixture, "ready", NULL));
    const RungKind wanted[] = {RUNG_CHECK_KIT, RUNG_SET_ALARMS, RUNG_TAKE_OUT, RUNG_START, RUNG_SIT, RUNG_INJECT};
    assert_int_equal(injection->ladder->len, G_N_ELEMENTS(wanted));
    Instant last = G_MININT64;
    for (guint i = 0; i < injection->ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(injection->ladder, i);
        assert_int_equal(rung->kind, wanted[i]);
        assert_true(rung->at.instant >= last);
        last = rung->at.instant;
    }
}

/* The spoken code hangs on person, order, sheet, medicine, dose and time. */
static void test_check_code(void **state)
{
    Fixture *fixture = *state;
    const char *plain = shown(fixture, plan_with(fixture, "base", NULL), VALUE_check_code);
    const Change changes[] = {{"patients/base.yaml", "patient: base", "patient: other"},
                              {"patients/base.yaml", "sheet: 1", "sheet: 2"},
                              {"patients/base.yaml", "clock: 11:30 am", "clock: 11:31 am"},
                              {"patients/base.yaml", "order: R-1", "order: R-2"}};
    assert_int_equal(strlen(plain), 5);
    assert_string_equal(plain, shown(fixture, plan_with(fixture, "base", NULL), VALUE_check_code));
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++)
        assert_string_not_equal(plain, shown(fixture, plan_with(fixture, "base", &changes[i]), VALUE_check_code));
}

/* Every value that is set says where it came from or how it was worked out. */
/* A pen is set to the dose: 150 of 600 units/mL are 1/4 mL.  One cartridge serves as often as
 * the dose goes into what the label says it gives; without that, into its content less the drop. */
static void test_pen(void **state)
{
    Fixture *fixture = *state;
    Plan *plan = plan_with(fixture, "pen", NULL);
    assert_true(plan_complete(plan));
    assert_string_equal(shown(fixture, plan, VALUE_dial), "150 units");
    assert_string_equal(shown(fixture, plan, VALUE_flow), "50 units");
    assert_string_equal(shown(fixture, plan, VALUE_volume), "0.25 mL");
    assert_string_equal(shown(fixture, plan, VALUE_dose_drawn), "150 units");
    assert_false(plan->values[VALUE_mark].set);
    Change between = {"protocols/pen.yaml", "150 units", "160 units"};
    plan = plan_with(fixture, "pen", &between);
    assert_string_equal(shown(fixture, plan, VALUE_dial), "150 units");
    assert_string_equal(shown(fixture, plan, VALUE_dose_drawn), "150 units");
    const struct { const char *old, *new, *count; } cases[] = {
        {"deliverable: 550 units", "deliverable: 600 units", "2"}, /* 4 times 150: as the label says */
        {"deliverable: 550 units", "deliverable: 350 units", "4"},
        {"    deliverable: 550 units\n", "", "3"}}; /* each with 50 for the drop */
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Change shelf = {"shelf.yaml", cases[i].old, cases[i].new};
        plan = plan_with(fixture, "pen-course", &shelf);
        assert_string_equal(shown(fixture, plan, VALUE_containers_all), cases[i].count);
    }
}

/* Published: a cartridge of 350 units in 0.42 mL at 833 units/mL gives 300 at most
 * (tests/reference/ready_to_use.csv Q02). */
static void test_deliverable(void **state)
{
    Fixture *fixture = *state;
    Change shelf = {"shelf.yaml", "content: 600 units\n    activity: international units\n    volume: 1 mL\n"
                                  "    strength: 600 units/mL\n    deliverable: 550 units",
                    "content: 350 units\n    activity: international units\n    volume: 0.42 mL\n"
                    "    strength: 833 units/mL\n    deliverable: 300 units"};
    Plan *plan = plan_with(fixture, "pen", &shelf);
    assert_true(rational_equal(plan_volume_given(first(plan)), rational_make(300, 833)));
    assert_int_equal(first(plan)->containers, 1);
}

/* The drop of a pen is said as its window says it, in the unit of its steps. */
static void test_flow_as_dialled(void **state)
{
    Fixture *fixture = *state;
    Change pen = {"shelf.yaml", "dial_every: 25 units, dial_most: 300 units, flow_check: 50 units",
                  "dial_every: 50 mcg, dial_most: 1 mg, flow_check: 0.05 mg"};
    Plan *plan = plan_with(fixture, "pen", &pen);
    assert_string_equal(shown(fixture, plan, VALUE_flow), "50 mcg");
}

/* What one container serves of a course of ten days at 50 mg: a vial of 500 mg all of them, one
 * that gives 100 mg two of them; an ampoule, once snapped, one. */
static void test_containers_of_a_course(void **state)
{
    Fixture *fixture = *state;
    const struct { const char *old, *new, *count; } cases[] = {
        {"content: 550 mg", "content: 550 mg", "1"},
        {"content: 550 mg\n    volume: 11 mL", "content: 500 mg\n    volume: 10 mL", "2"}, /* nozzle and needle */
        {"content: 550 mg\n    volume: 11 mL", "content: 500 mg\n    volume: 10 mL\n    deliverable: 500 mg", "1"},
        {"content: 550 mg", "content: 550 mg\n    deliverable: 100 mg", "5"},
        {"fluid: oil\n    container: vial", "fluid: oil\n    container: ampoule", "10"}};
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        Change shelf = {"shelf.yaml", cases[i].old, cases[i].new};
        Plan *plan = plan_with(fixture, "course", &shelf);
        assert_string_equal(shown(fixture, plan, VALUE_containers_all), cases[i].count);
    }
}

/* A filled syringe keeps its own marks, whatever the protocol says of drawing up. */
static void test_filled_keeps_its_scale(void **state)
{
    Fixture *fixture = *state;
    Change shelf = {"shelf.yaml", "container: vial\n    content: 14 mg\n    volume: 2.8 mL\n    strength: 5 mg/mL",
                    "container: prefilled syringe\n    content: 14 mg\n    volume: 2.8 mL\n    strength: 5 mg/mL\n"
                    "    syringe: 3 mL"};
    Plan *plan = plan_with(fixture, "ready", &shelf); /* its draw names the insulin syringe */
    assert_string_equal(shown(fixture, plan, VALUE_mark), "the line 0.8");
}

/* The cap comes off before the line is set, and before the skin is held. */
static void test_part_of_filled(void **state)
{
    Fixture *fixture = *state;
    Change shelf = {"shelf.yaml", "container: vial\n    content: 14 mg\n    volume: 2.8 mL\n    strength: 5 mg/mL",
                    "container: prefilled syringe\n    content: 14 mg\n    volume: 2.8 mL\n    strength: 5 mg/mL\n"
                    "    syringe: insulin"};
    Plan *plan = plan_with(fixture, "ready", &shelf);
    const StepId order[] = {STEP_look_liquid, STEP_wipe_skin, STEP_cap_off, STEP_prefilled_to_line,
                            STEP_hold_skin_fold};
    guint at = 0;
    for (guint i = 0; i < first(plan)->steps->len && at < G_N_ELEMENTS(order); i++)
        at += ((const Step *)g_ptr_array_index(first(plan)->steps, i))->id == order[at];
    assert_int_equal(at, G_N_ELEMENTS(order));
    assert_string_equal(shown(fixture, plan, VALUE_mark), "the line 80");
}

/* A protocol whose acts are days of a calendar begins so many days behind its event; another has no such day. */
static void test_starts(void **state)
{
    Fixture *fixture = *state;
    int days = 0;
    assert_true(plan_starts(plan_with(fixture, "course", NULL)->protocol, &days));
    assert_int_equal(days, 1);
    assert_false(plan_starts(plan_with(fixture, "base", NULL)->protocol, &days));
    Change unread = {"protocols/course.yaml", "when: 9 pm on day +1", "when: at nine on day +1"};
    assert_false(plan_starts(plan_with(fixture, "course", &unread)->protocol, &days));
}

/* Where she will be is not known: what happens there has no time, what happens in the clinic has. */
static void test_nowhere(void **state)
{
    Fixture *fixture = *state;
    Change nowhere = {"patients/base.yaml", "order: R-1", "order: R-1\nzone: Nowhere/None"};
    Plan *plan = plan_with(fixture, "base", &nowhere);
    assert_false(plan_value(plan, NULL, VALUE_anchor_time)->set);
    assert_string_equal(value_text(fixture->arena, plan_value(plan, NULL, VALUE_anchor_time_clinic), KIND_MOMENT),
                        "Thursday 2026-11-26 11:30");
    assert_false(first(plan)->timed);
}

static void test_origins(void **state)
{
    Fixture *fixture = *state;
    Plan *plan = plan_with(fixture, "base", NULL);
    for (int i = 0; i < VALUE_COUNT; i++) {
        const Value *value = plan_value(plan, first(plan), (ValueId)i);
        if (value->set && !value->how && value->origins->len == 0)
            fail_msg("%s has neither origin nor sum", value_row((ValueId)i)->id);
    }
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
    const struct CMUnitTest tests[] = {
        TEST(test_whole_vial), TEST(test_containers_unknown), TEST(test_second_incomplete),
        TEST(test_offsets), TEST(test_asked_the_day_before), TEST(test_alarms_by_day),
        TEST(test_beside_midnight), TEST(test_to_the_end_of_the_window), TEST(test_day_zero),
        TEST(test_measured_part), TEST(test_vials_through_one_liquid),
        TEST(test_insulin_marks), TEST(test_course), TEST(test_clock_change), TEST(test_traveller), TEST(test_ladder),
        TEST(test_check_code), TEST(test_pen), TEST(test_deliverable), TEST(test_flow_as_dialled),
        TEST(test_containers_of_a_course), TEST(test_filled_keeps_its_scale), TEST(test_part_of_filled),
        TEST(test_starts),
        TEST(test_nowhere), TEST(test_origins)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
