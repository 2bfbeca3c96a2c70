/* What a server read before it forked is used as long as the files hold the same bytes. */
#include "cmocka_all.h"

#include <glib/gstdio.h>

#include "wording/wording.h"

#define FOLDER ".build/kept-test"
#define TAG "en"

static const char *path_of(const char *name)
{
    static char path[256];
    g_snprintf(path, sizeof path, FOLDER "/languages/%s.yaml", name);
    return path;
}

static void copy(const char *name, const char *more)
{
    g_autofree char *from = g_strdup_printf("templates/languages/%s.yaml", name), *text = NULL;
    assert_true(g_file_get_contents(from, &text, NULL, NULL));
    g_autofree char *all = g_strconcat(text, more, NULL);
    assert_true(g_file_set_contents(path_of(name), all, -1, NULL));
}

static GPtrArray *arenas; /* of Arena*, in which phrases live that are not the kept ones */

static int begin(void **state)
{
    (void)state;
    arenas = g_ptr_array_new_with_free_func((GDestroyNotify)arena_free);
    return g_mkdir_with_parents(FOLDER "/languages", 0700);
}

static int end(void **state)
{
    (void)state;
    g_ptr_array_unref(arenas);
    return 0;
}

static Phrases *read_again(const char *tag)
{
    Arena *arena = arena_new();
    g_ptr_array_add(arenas, arena);
    return phrases_read(arena, FOLDER, tag, diagnostics_new(arena), NULL);
}

static void test_same_bytes(void **state)
{
    (void)state;
    copy(TAG, "");
    assert_ptr_not_equal(read_again(TAG), read_again(TAG));
    assert_true(wording_keep(FOLDER, NULL, TAG));
    const Phrases *kept = read_again(TAG);
    assert_ptr_equal(read_again(TAG), kept);
    copy(TAG, "# one line more\n");
    assert_ptr_not_equal(read_again(TAG), kept);
    copy(TAG, "");
    assert_ptr_equal(read_again(TAG), kept);
    g_remove(path_of(TAG));
    assert_null(read_again(TAG));
}

/* A region's set rests on two files. */
static void test_both_files(void **state)
{
    static const char *const files[] = {"en", "en-GB"};
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(files); i++)
        copy(files[i], "");
    assert_true(wording_keep(FOLDER, NULL, "en-GB"));
    const Phrases *kept = read_again("en-GB");
    assert_ptr_equal(read_again("en-GB"), kept);
    copy("en", "# one line more\n");
    assert_non_null(read_again("en-GB"));
    assert_ptr_not_equal(read_again("en-GB"), kept);
}

static void test_nothing_wrong_is_kept(void **state)
{
    (void)state;
    copy(TAG, "  broken: [\n");
    assert_false(wording_keep(FOLDER, NULL, TAG));
    assert_null(read_again(TAG));
    assert_false(wording_keep(FOLDER, "no-such-template", NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_bytes),
        cmocka_unit_test(test_both_files),
        cmocka_unit_test(test_nothing_wrong_is_kept),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
