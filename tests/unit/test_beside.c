/* People beside each other: who shares what with whom, with and without what is looked up beforehand. */
#include <string.h>

#include "rules/rules.h"

#include "cmocka_all.h"

#define ROW(code_, name_, shown_, order_, sheet_, day_, hour_, ...)                                    \
    {.code = code_, .name = name_, .shown = shown_, .order = order_, .sheet = sheet_, .day = day_,     \
     .hour = hour_, __VA_ARGS__}

/* Rows of a roster, and behind them two people of other files. */
static const BesidePerson people[] = {
    ROW("A-1", "test p.", "Test P.", "R-1", "1", "2026-11-26", "11:40"),
    ROW("A-2", "tess p.", "Tess P.", "R-2", "2", "2026-11-26", "11:40"),
    ROW("A-3", "tset p.", "Tset P.", "R-3", "3", "2026-11-26", "11:40"),
    ROW("A-4", "test p.", "Test P.", "R-4", "4", "2026-11-27", "11:40"),
    ROW("B-12", "ales", "Ales", "R-5", "5", "2026-11-26", "11:40"),
    ROW("B-21", "lesa", "Lesa", "R-6", "6", "2026-11-26", "11:40"),
    ROW("C-1", "anna maria z.", "Anna Maria Z.", "R-7", "7", "2026-11-26", "1:00"),
    ROW("C-2", "anna zoe z.", "Anna Zoe Z.", "R-7", "8", "2026-11-26", "2:00"),
    ROW("D-1", "otto q.", "Otto Q.", "", "", "2026-11-28", "3:00"),
    ROW("D-2", "otto q.", "Otto Q.", "", "", "2026-11-28", "3:00"),
    ROW("E-1", "", "", "R-9", "9", "2026-11-28", "3:00"),
    ROW("E-2", "ida", "Ida", "R-10", "9", "", "3:00"),
    ROW("F-1", "vera u.", "Vera U.", "R-11", "10", "2026-11-29", "3:00"),
    ROW("F-2", "wanda u.", "Wanda U.", "R-12", "11", "2026-11-29", "3:00"),
    ROW("G-1", "lars m.", "Lars M.", "R-14", "12", "2026-11-30", "3:00"),
    ROW("G-1", "lars m.", "Lars M.", "R-15", "13", "2026-11-30", "3:00"),
    ROW("", "", "", "R-15", "", "", ""), /* what has no code has an order all the same */
    /* another order of the same day, a copy of a row, and one that has the order of a row */
    ROW("F-1", "vera u.", "Vera U.", "R-99", "90", "2026-11-29", "3:00", .elsewhere = TRUE),
    ROW("F-2", "wanda u.", "Wanda U.", "R-12", "11", "2026-11-29", "3:00", .elsewhere = TRUE, .copy = TRUE),
    ROW("H-1", "nora s.", "Nora S.", "R-1", "91", "2026-11-26", "3:00", .elsewhere = TRUE),
};
#define ROWS (G_N_ELEMENTS(people) - 3)

static gboolean read_person(gpointer data, guint index, BesidePerson *out)
{
    *out = people[index];
    out->place.line = (int)index + 1;
    out->place.source = data;
    return TRUE;
}

/* "0 order_twice A-1; ..." of each row, and the names behind it. */
static void judge(Arena *arena, const Beside *beside, guint index, const BesideReader *reader, GString *out)
{
    Diagnostics *found = diagnostics_new(arena);
    BesidePerson person;
    read_person(reader->data, index, &person);
    const char *like = beside_judge(arena, beside, index, &person, reader, found);
    g_string_append(out, person.code);
    for (guint i = 0; i < diagnostics_count(found); i++)
        g_string_append_printf(out, " %s", rule_row(finding_rule(diagnostics_at(found, i)))->id);
    g_string_append_printf(out, "%s%s\n", like ? ": " : "", like ? like : "");
}

static const char *const wanted =
    "A-1 order_twice names_alike names_alike: Tess P., A-2; Tset P., A-3\n"
    "A-2 names_alike: Test P., A-1\n"
    "A-3 names_alike: Test P., A-1\n"
    "A-4\n"
    "B-12 names_alike: Lesa, B-21\n"
    "B-21 names_alike: Ales, B-12\n"
    "C-1 order_twice names_alike: Anna Zoe Z., C-2\n"
    "C-2 order_twice names_alike: Anna Maria Z., C-1\n"
    "D-1 person_alike names_alike: Otto Q., D-2\n"
    "D-2 person_alike names_alike: Otto Q., D-1\n"
    "E-1 sheet_twice\n"
    "E-2 sheet_twice\n"
    "F-1 orders_beside\n"
    "F-2\n"
    "G-1 person_twice\n"
    "G-1 person_twice\n"
    " order_twice\n";

static Beside *all_added(Arena *arena)
{
    Beside *beside = beside_new(arena);
    for (guint i = 0; i < G_N_ELEMENTS(people); i++)
        beside_add(beside, i, &people[i]);
    beside_settle(beside);
    return beside;
}

static void test_beside(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    const BesideReader reader = {read_person, (gpointer)source_from_text(arena, "roster.csv", "", 0)};
    const Beside *beside = all_added(arena);
    g_autoptr(GString) said = g_string_new(NULL);
    for (guint i = 0; i < ROWS; i++)
        judge(arena, beside, i, &reader, said);
    assert_string_equal(said->str, wanted);
    arena_free(arena);
}

/* The same by parts, each with what is looked up for its own people. */
static void test_prepared(void **state)
{
    (void)state;
    for (guint part = 1; part <= ROWS; part += 4) {
        Arena *arena = arena_new();
        const BesideReader reader = {read_person, (gpointer)source_from_text(arena, "roster.csv", "", 0)};
        Beside *beside = all_added(arena);
        g_autoptr(GString) said = g_string_new(NULL);
        for (guint from = 0; from < ROWS; from += part) {
            beside_prepare(beside, from, MIN(from + part, ROWS), &reader);
            for (guint i = from; i < MIN(from + part, ROWS); i++)
                judge(arena, beside, i, &reader, said);
        }
        beside_prepared(beside);
        judge(arena, beside, 0, &reader, said);
        g_autofree char *once_more =
            g_strconcat(wanted, "A-1 order_twice names_alike names_alike: Tess P., A-2; Tset P., A-3\n", NULL);
        assert_string_equal(said->str, once_more);
        arena_free(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_beside), cmocka_unit_test(test_prepared)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
