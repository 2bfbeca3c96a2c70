/* People beside each other: who shares what with whom, with and without what is looked up beforehand. */
#include <string.h>

#include "rules/rules.h"

#include "cmocka_all.h"

/* Rows of a roster, and behind them two people of other files. */
static const BesidePerson people[] = {
    {.code = "A-1", .name = "test p.", .shown = "Test P.", .order = "R-1", .sheet = "1", .day = "2026-11-26", .hour = "11:40"},
    {.code = "A-2", .name = "tess p.", .shown = "Tess P.", .order = "R-2", .sheet = "2", .day = "2026-11-26", .hour = "11:40"},
    {.code = "A-3", .name = "tset p.", .shown = "Tset P.", .order = "R-3", .sheet = "3", .day = "2026-11-26", .hour = "11:40"},
    {.code = "A-4", .name = "test p.", .shown = "Test P.", .order = "R-4", .sheet = "4", .day = "2026-11-27", .hour = "11:40"},
    {.code = "B-12", .name = "ales", .shown = "Ales", .order = "R-5", .sheet = "5", .day = "2026-11-26", .hour = "11:40"},
    {.code = "B-21", .name = "lesa", .shown = "Lesa", .order = "R-6", .sheet = "6", .day = "2026-11-26", .hour = "11:40"},
    {.code = "C-1", .name = "anna maria z.", .shown = "Anna Maria Z.", .order = "R-7", .sheet = "7", .day = "2026-11-26", .hour = "1:00"},
    {.code = "C-2", .name = "anna zoe z.", .shown = "Anna Zoe Z.", .order = "R-7", .sheet = "8", .day = "2026-11-26", .hour = "2:00"},
    {.code = "D-1", .name = "otto q.", .shown = "Otto Q.", .order = "", .sheet = "", .day = "2026-11-28", .hour = "3:00"},
    {.code = "D-2", .name = "otto q.", .shown = "Otto Q.", .order = "", .sheet = "", .day = "2026-11-28", .hour = "3:00"},
    {.code = "E-1", .name = "", .shown = "", .order = "R-9", .sheet = "9", .day = "2026-11-28", .hour = "3:00"},
    {.code = "E-2", .name = "ida", .shown = "Ida", .order = "R-10", .sheet = "9", .day = "", .hour = "3:00"},
    {.code = "F-1", .name = "vera u.", .shown = "Vera U.", .order = "R-11", .sheet = "10", .day = "2026-11-29", .hour = "3:00"},
    {.code = "F-2", .name = "wanda u.", .shown = "Wanda U.", .order = "R-12", .sheet = "11", .day = "2026-11-29", .hour = "3:00"},
    {.code = "G-1", .name = "lars m.", .shown = "Lars M.", .order = "R-14", .sheet = "12", .day = "2026-11-30", .hour = "3:00"},
    {.code = "G-1", .name = "lars m.", .shown = "Lars M.", .order = "R-15", .sheet = "13", .day = "2026-11-30", .hour = "3:00"},
    /* an earlier course under another order, a copy of a row, and one that has the order of a row */
    {.code = "F-1", .name = "vera u.", .shown = "Vera U.", .order = "R-99", .sheet = "90", .day = "2026-11-29", .hour = "3:00", .elsewhere = TRUE},
    {.code = "F-2", .name = "wanda u.", .shown = "Wanda U.", .order = "R-12", .sheet = "11", .day = "2026-11-29", .hour = "3:00", .elsewhere = TRUE, .copy = TRUE},
    {.code = "H-1", .name = "nora s.", .shown = "Nora S.", .order = "R-1", .sheet = "91", .day = "2026-11-26", .hour = "3:00", .elsewhere = TRUE},
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
    "F-1\n"
    "F-2\n"
    "G-1 person_twice\n"
    "G-1 person_twice\n";

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
        g_autofree char *once_more = g_strconcat(wanted, "A-1 order_twice names_alike names_alike: Tess P., A-2; Tset P., A-3\n", NULL);
        assert_string_equal(said->str, once_more);
        arena_free(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_beside), cmocka_unit_test(test_prepared)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
