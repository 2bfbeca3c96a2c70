/* Memory of a run: what is taken back to a mark, and what stays. */
#include "cmocka_all.h"

#include <string.h>

#include "base/base.h"

static void count_down(gpointer left) { --*(int *)left; }

static void test_rewind_keeps_what_was_before(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    int before = 1, after = 1;
    arena_defer(arena, count_down, &before);
    char *kept = arena_copy(arena, "kept");
    ArenaMark mark = arena_mark(arena);
    arena_defer(arena, count_down, &after);
    memset(arena_alloc(arena, 100), 'x', 100);
    memset(arena_alloc(arena, 100000), 'x', 100000); /* a chunk of its own */
    arena_rewind(arena, mark);
    assert_int_equal(before, 1);
    assert_int_equal(after, 0);
    assert_string_equal(kept, "kept");
    arena_free(arena);
    assert_int_equal(before, 0);
}

/* Also when a new chunk was begun behind the mark, and when there was none before it. */
static void test_what_comes_next_is_zero(void **state)
{
    static const char zero[1000];
    (void)state;
    Arena *arena = arena_new();
    for (int round = 0; round < 300; round++) {
        ArenaMark mark = arena_mark(arena);
        for (int i = 0; i < round; i++) {
            char *bytes = arena_alloc(arena, sizeof zero);
            assert_memory_equal(bytes, zero, sizeof zero);
            memset(bytes, 'x', sizeof zero);
        }
        if (round % 3)
            arena_rewind(arena, mark);
    }
    arena_free(arena);
}

static void test_rewind_of_an_empty_one(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    ArenaMark mark = arena_mark(arena);
    arena_rewind(arena, mark);
    assert_string_equal(arena_copy(arena, "first"), "first");
    arena_rewind(arena, mark);
    assert_int_equal(*(char *)arena_alloc(arena, 16), '\0');
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rewind_keeps_what_was_before),
        cmocka_unit_test(test_what_comes_next_is_zero),
        cmocka_unit_test(test_rewind_of_an_empty_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
