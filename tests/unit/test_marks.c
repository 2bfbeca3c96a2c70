/* What is easily taken for one another on one night, pair by pair (common practice, no source). */
#include <string.h>

#include "night/parts.h"

#include "cmocka_all.h"

typedef struct Side { const char *code, *sheet, *medicine, *dose; } Side;

static NightRow *row_of(Arena *arena, const Side *side, UnitId unit)
{
    NightRow *row = arena_new0(arena, NightRow);
    PlanInjection *injection = arena_new0(arena, PlanInjection);
    Injection *order = arena_new0(arena, Injection);
    order->dose.quantity.unit = unit;
    injection->order = order;
    *row = (NightRow){.plan = arena_new0(arena, Plan), .injection = injection, .code = side->code, .sheet = side->sheet,
                      .medicine = side->medicine, .dose = side->dose, .not_rows = arena_list(arena)};
    return row;
}

/* The text with each mark of it in brackets. */
static void say(GString *out, const char *text, const GArray *marks)
{
    for (gsize i = 0; text && i <= strlen(text); i++) {
        for (guint k = 0; k < marks->len; k++) {
            const NightMark *mark = &g_array_index(marks, NightMark, k);
            if (mark->start == i)
                g_string_append_c(out, '[');
            if (mark->start + mark->length == i)
                g_string_append_c(out, ']');
        }
        g_string_append_printf(out, "%.1s", text + i);
    }
    g_string_append_c(out, '|');
}

static char *marked(const Side *first, const Side *second, UnitId unit, gboolean same_person)
{
    Arena *arena = arena_new();
    Night night = {.rows = arena_list(arena)};
    NightRow *one = row_of(arena, first, UNIT_mg), *two = row_of(arena, second, unit);
    if (same_person)
        two->plan = one->plan;
    g_ptr_array_add(night.rows, one);
    g_ptr_array_add(night.rows, two);
    night_mark(arena, &night);
    GString *out = g_string_new(NULL);
    say(out, one->code, one->code_marks);
    say(out, two->code, two->code_marks);
    say(out, one->sheet, one->sheet_marks);
    say(out, one->medicine, one->medicine_marks);
    say(out, two->medicine, two->medicine_marks);
    g_string_append_printf(out, "%s%s", one->dose_marked ? "dose" : "", one->not_rows->len > 0 ? " not" : "");
    assert_int_equal(one->dose_marked, two->dose_marked);
    assert_int_equal(one->not_rows->len, two->not_rows->len);
    arena_free(arena);
    return g_string_free(out, FALSE);
}

static void test_pairs(void **state)
{
    (void)state;
    static const struct { Side one, two; UnitId unit; const char *said;
    } pairs[] = {
        {{"A-1", "KX", "aaaa", "1"}, {"B-22", "QZ", "bbbb", "2"}, UNIT_mg, "A-1|B-22|KX|aaaa|bbbb|"},
        {{"A-12", "KX", "aaaa", "1"}, {"A-13", "QZ", "bbbb", "2"}, UNIT_mg, "A-1[2]|A-1[3]|KX|aaaa|bbbb| not"},
        {{"A-12", "KX", "aaaa", "1"}, {"A-21", "QZ", "bbbb", "2"}, UNIT_mg, "A-[12]|A-[21]|KX|aaaa|bbbb| not"},
        {{"A-12", "KX", "aaaa", "1"}, {"A-34", "QZ", "bbbb", "2"}, UNIT_mg, "A-12|A-34|KX|aaaa|bbbb|"},
        {{"A-123", "KX", "aaaa", "1"}, {"A-321", "QZ", "bbbb", "2"}, UNIT_mg, "A-123|A-321|KX|aaaa|bbbb|"},
        {{"A-12", "KX", "aaaa", "1"}, {"A-12", "KX", "bbbb", "2"}, UNIT_mg, "A-12|A-12|KX|aaaa|bbbb|"},
        {{"A-1", "KXM", "aaaa", "1"}, {"B-22", "KZM", "bbbb", "2"}, UNIT_mg, "A-1|B-22|K[X]M|aaaa|bbbb|"},
        {{"A-1", NULL, "aaaa", "1"}, {"B-22", "KZM", "bbbb", "2"}, UNIT_mg, "A-1|B-22||aaaa|bbbb|"},
        {{"A-1", "KXM", "aaaa", "1"}, {"B-22", NULL, "bbbb", "2"}, UNIT_mg, "A-1|B-22|KXM|aaaa|bbbb|"},
        /* five letters at the start, or six in ten in their order */
        {{"A-1", "KX", "alphaxxxxxx", "1"},
         {"B-22", "QZ", "alphayyyyyy", "2"},
         UNIT_mg,
         "A-1|B-22|KX|[alphaxxxxxx]|[alphayyyyyy]|"},
        {{"A-1", "KX", "alphxxxxxxx", "1"},
         {"B-22", "QZ", "alphyyyyyyy", "2"},
         UNIT_mg,
         "A-1|B-22|KX|alphxxxxxxx|alphyyyyyyy|"},
        {{"A-1", "KX", "xabcdefyyy", "1"},
         {"B-22", "QZ", "zzzzabcdef", "2"},
         UNIT_mg,
         "A-1|B-22|KX|[xabcdefyyy]|[zzzzabcdef]|"},
        {{"A-1", "KX", "xabcdeyyyy", "1"},
         {"B-22", "QZ", "zzzzzabcde", "2"},
         UNIT_mg,
         "A-1|B-22|KX|xabcdeyyyy|zzzzzabcde|"},
        {{"A-1", "KX", "same  one drug", "1"},
         {"B-22", "QZ", "same two drug", "2"},
         UNIT_mg,
         "A-1|B-22|KX|same  [one] drug|same [two] drug|"},
        {{"A-1", "KX", "drug", "1"}, {"B-22", "QZ", "drug", "2"}, UNIT_mg, "A-1|B-22|KX|drug|drug|dose"},
        {{"A-1", "KX", "drug", "1"}, {"B-22", "QZ", "drug", "1"}, UNIT_mg, "A-1|B-22|KX|drug|drug|"},
        {{"A-1", "KX", "aaaa", "0.1 mg"}, {"B-22", "QZ", "bbbb", "1 mg"}, UNIT_mg, "A-1|B-22|KX|aaaa|bbbb|dose"},
        {{"A-1", "KX", "aaaa", "500"}, {"B-22", "QZ", "bbbb", "5,000"}, UNIT_units, "A-1|B-22|KX|aaaa|bbbb|"},
        {{"A-1", "KX", NULL, "1"}, {"B-22", "QZ", "drug", "2"}, UNIT_mg, "A-1|B-22|KX||drug|"},
        {{"A-1", "KX", "drug", NULL}, {"B-22", "QZ", "drug", "2"}, UNIT_mg, "A-1|B-22|KX|drug|drug|"},
        {{"A-1", "KX", "drug", "1"}, {"B-22", "QZ", NULL, "2"}, UNIT_mg, "A-1|B-22|KX|drug||"},
        {{"A-1", "KX", "drug", "1"}, {"B-22", "QZ", "drug", NULL}, UNIT_mg, "A-1|B-22|KX|drug|drug|"},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++) {
        g_autofree char *said = marked(&pairs[i].one, &pairs[i].two, pairs[i].unit, FALSE);
        assert_string_equal(said, pairs[i].said);
    }
    g_autofree char *own = marked(&pairs[1].one, &pairs[1].two, UNIT_mg, TRUE);
    assert_string_equal(own, "A-12|A-13|KX|aaaa|bbbb|"); /* two of one person */
}

/* Of more than three alike their numbers would say nothing; each is marked once all the same. */
static void test_many_alike(void **state)
{
    (void)state;
    static const Side sides[] = {{"A-10", "K", "a", "1"},
                                 {"A-11", "L", "a", "1"},
                                 {"A-12", "M", "a", "1"},
                                 {"A-13", "N", "a", "1"},
                                 {"A-14", "O", "a", "1"}};
    for (guint count = 4; count <= 5; count++) {
        Arena *arena = arena_new();
        Night night = {.rows = arena_list(arena)};
        for (guint i = 0; i < count; i++)
            g_ptr_array_add(night.rows, row_of(arena, &sides[i], UNIT_mg));
        night_mark(arena, &night);
        for (guint i = 0; i < count; i++) {
            const NightRow *row = g_ptr_array_index(night.rows, i);
            assert_int_equal(row->not_rows->len, count == 4 ? 3 : 0);
            assert_int_equal(row->code_marks->len, 1);
        }
        arena_free(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_pairs), cmocka_unit_test(test_many_alike)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
