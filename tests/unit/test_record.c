/* test_record: the record through its interface alone, in a folder of its own. */
#include "cmocka_all.h"

#include <stdio.h>
#include <string.h>
#include <glib/gstdio.h>

#include "record/record.h"

#define CLINIC "Test House"

typedef struct Fixture {
    Arena *arena;
    char *folder;
    RecordPlace place;
} Fixture;

static int set_up(void **state)
{
    Fixture *fixture = g_new0(Fixture, 1);
    fixture->arena = arena_new();
    fixture->folder = g_dir_make_tmp("record-XXXXXX", NULL);
    fixture->place = (RecordPlace){"record.db", fixture->folder, CLINIC, 1000000, FALSE, FALSE};
    *state = fixture;
    return 0;
}

static int tear_down(void **state)
{
    Fixture *fixture = *state;
    g_autoptr(GDir) there = g_dir_open(fixture->folder, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(there))) {
        g_autofree char *path = g_build_filename(fixture->folder, name, NULL);
        g_unlink(path);
    }
    g_rmdir(fixture->folder);
    arena_free(fixture->arena);
    g_free(fixture->folder);
    g_free(fixture);
    return 0;
}

static Record *opened(const Fixture *fixture)
{
    GError *error = NULL;
    Record *record = record_open(fixture->arena, &fixture->place, &error);
    assert_null(error);
    assert_non_null(record);
    return record;
}

static const RecordWish wish = {.person = "P-1", .order = "R-1", .digest = "digest one", .by = "P. Invented"};

static void print_it(Record *record, gint64 number, const char *facts)
{
    g_autoptr(GPtrArray) files = g_ptr_array_new();
    g_autoptr(GBytes) bytes = g_bytes_new_static("sheet", 5);
    const PublishFile file = {"P-1-1-trigger.pdf", bytes};
    g_ptr_array_add(files, (gpointer)&file);
    assert_true(record_printed(record, number, "P-1", "P. Invented", facts, files, NULL));
}

#define FACTS "person_code: P-1\nperson_name: Zo\303\253 O'Neill-Madeup\norder_number: R-1\ndose_1: 10,000 units\n" \
    "check_code_1: TJ9WJ\ninjection_name_1: trigger\nacts_1: 2000000 2086400\nfrom_1: 1999100\nuntil_1: 2000900\n" \
    "lot_of_box_1: A-1234\n"

static void test_given_once(void **state)
{
    const Fixture *fixture = *state;
    Record *record = opened(fixture);
    RecordGiven first, again, other;
    assert_int_equal(record_give_number(record, &wish, &first, NULL), RECORD_NEW);
    record_close(record);
    ((Fixture *)*state)->place.now += 60; /* the next run comes later and gets the first one's time */
    record = opened(fixture);
    assert_int_equal(record_give_number(record, &wish, &again, NULL), RECORD_AGAIN);
    assert_int_equal(again.number, first.number);
    assert_int_equal(again.made, first.made);
    RecordWish changed = wish;
    changed.digest = "digest two";
    assert_int_equal(record_give_number(record, &changed, &other, NULL), RECORD_STANDS);
    changed.replaces = 7;
    assert_int_equal(record_give_number(record, &changed, &other, NULL), RECORD_NOT_THERE);
    changed.replaces = first.number;
    assert_int_equal(record_give_number(record, &changed, &other, NULL), RECORD_NEW);
    assert_int_equal(other.replaces, first.number);
    record_close(record);
}

/* What was taken back comes again only for who asks for it by name. */
static void test_cancelled_stays(void **state)
{
    Record *record = opened(*state);
    RecordGiven given, again;
    RecordWish wished = wish;
    record_give_number(record, &wished, &given, NULL);
    print_it(record, given.number, FACTS);
    assert_true(record_append(record, RECORD_CANCELLED, given.number, "P-1", "K. Madeup", "because: none\n", NULL));
    assert_int_equal(record_give_number(record, &wished, &again, NULL), RECORD_TAKEN_BACK);
    assert_int_equal(again.number, given.number);
    wished.digest = "digest two";
    wished.replace = TRUE;
    assert_int_equal(record_give_number(record, &wished, &again, NULL), RECORD_TAKEN_BACK);
    wished.revive = TRUE;
    assert_int_equal(record_give_number(record, &wished, &again, NULL), RECORD_NEW);
    assert_int_equal(again.replaces, given.number);
    record_append(record, RECORD_VOID, again.number, "P-1", "K. Madeup", "because: no sheet was made\n", NULL);
    wished.revive = FALSE; /* the number that came to nothing brings nothing back */
    assert_int_equal(record_give_number(record, &wished, &again, NULL), RECORD_TAKEN_BACK);
    wished.revive = TRUE;
    assert_int_equal(record_give_number(record, &wished, &again, NULL), RECORD_NEW);
    wished.revive = wished.replace = FALSE;
    assert_int_equal(record_give_number(record, &wished, &again, NULL), RECORD_AGAIN);
    record_close(record);
}

static void test_found_again(void **state)
{
    static const char *const words[] = {"p-1", "zoe", "Oneill", "tj9wj", "a1234", "R-1", "1"};
    Record *record = opened(*state);
    RecordGiven given;
    record_give_number(record, &wish, &given, NULL);
    print_it(record, given.number, FACTS);
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++)
        assert_int_equal(record_lookup(record, words[i], NULL)->len, 1);
    assert_int_equal(record_lookup(record, "nobody", NULL)->len, 0);
    assert_int_equal(record_lookup(record, "' OR 1=1 --", NULL)->len, 0);
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) { /* the newest, or what is due then */
        assert_int_equal(record_lookup_some(record, words[i], 1, 0, 1, NULL)->len, 1);
        assert_int_equal(record_lookup_some(record, words[i], 0, 2000900, 2000901, NULL)->len, 1);
        assert_int_equal(record_lookup_some(record, words[i], 0, 0, 1, NULL)->len, 0);
    }
    assert_int_equal(record_lookup_some(record, "nobody", 9, 2000900, 2000901, NULL)->len, 0);
    assert_int_equal(record_between(record, 2000900, 2000901, NULL)->len, 1); /* the window's last second */
    assert_int_equal(record_between(record, 2000901, 2086400, NULL)->len, 0); /* between two acts */
    assert_int_equal(record_between(record, 2086400, 2086401, NULL)->len, 1);
    const RecordSheet *sheet = record_sheet(record, given.number, NULL);
    assert_string_equal(record_fact(((const Fixture *)*state)->arena, sheet, "dose", 1), "10,000 units");
    record_close(record);
}

/* A lot of hundreds: the newest and the one that is due, as they stand among all. */
static void test_shared_word(void **state)
{
    Record *record = opened(*state);
    enum { PEOPLE = 104, MOST = 3, DUE = 7 };
    for (int one = 1; one <= PEOPLE; one++) {
        g_autofree char *order = g_strdup_printf("R-%d", one), *digest = g_strdup_printf("digest %d", one);
        g_autoptr(GString) facts = g_string_new(FACTS);
        RecordWish wished = wish;
        RecordGiven given;
        wished.order = order;
        wished.digest = digest;
        assert_int_equal(record_give_number(record, &wished, &given, NULL), RECORD_NEW);
        if (one != DUE) /* the others lie a million seconds before */
            g_string_replace(facts, "20", "10", 0);
        print_it(record, given.number, facts->str);
    }
    GPtrArray *all = record_lookup(record, "A1234", NULL), *some;
    assert_int_equal(all->len, PEOPLE);
    some = record_lookup_some(record, "A1234", MOST, 2000900, 2000901, NULL);
    assert_int_equal(some->len, MOST + 1);
    for (guint i = 0; i <= MOST; i++) {
        const RecordSheet *there = g_ptr_array_index(some, i);
        const RecordSheet *wanted = g_ptr_array_index(all, i == 0 ? DUE - 1 : PEOPLE - MOST + i - 1);
        assert_int_equal(there->number, wanted->number);
    }
    record_close(record);
}

static void test_undone_together(void **state)
{
    Record *record = opened(*state);
    RecordGiven given;
    assert_true(record_begin(record, NULL));
    assert_int_equal(record_give_number(record, &wish, &given, NULL), RECORD_NEW);
    assert_false(record_end(record, FALSE, NULL));
    assert_null(record_sheet(record, given.number, NULL));
    record_close(record);
}

static void test_bodies(void **state)
{
    const Fixture *fixture = *state;
    g_autoptr(GString) body = g_string_new(NULL);
    record_line(body, "said", "two\nlines \\n and a \\ word: value");
    record_line(body, "odd", "\377\376");
    assert_string_equal(record_value(fixture->arena, body->str, "said"), "two\nlines \\n and a \\ word: value");
    assert_true(g_utf8_validate(body->str, -1, NULL));
    assert_null(record_value(fixture->arena, body->str, "sai"));
    assert_null(record_value(fixture->arena, body->str, "word"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_given_once, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_cancelled_stays, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_found_again, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_shared_word, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_undone_together, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_bodies, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
