/* test_record_faults: one statement of the record fails, each in turn; and a record that was spoilt from outside. */
#include "cmocka_all.h"

#include <sqlite3.h>
#include <stdio.h>
#include <string.h>
#include <glib/gstdio.h>

#include "record/parts.h"

#define NOW 1000000
#define LOT "A-1234"
#define PEOPLE 104 /* who share a lot: more than are looked through one by one */

/* A folder with a record that has something of each kind, closed; and one of each test, a copy. */
typedef struct Fixture {
    Arena *arena;
    char *folder;
    RecordPlace place;
} Fixture;

static char *ready;

static const RecordBoxes two_boxes = {LOT, 2};

static RecordPlace place_in(const char *folder)
{
    return (RecordPlace){"record.db", folder, "Test House", NOW, FALSE, FALSE};
}

static RecordWish wish_of(GPtrArray *boxes, const char *person, const char *digest)
{
    g_ptr_array_add(boxes, (gpointer)&two_boxes);
    return (RecordWish){.person = person, .order = person, .digest = digest, .by = "P. Invented", .boxes = boxes};
}

static gboolean confirm(Record *record, gint64 number, const char *person, GError **error)
{
    g_autofree char *facts = g_strdup_printf(
        "person_code: %s\nperson_name: Zo\303\253 Madeup\norder_number: %s\nprotocol_name: evening\nrevision: 3\n"
        "box_name_1: powder\nlanguage: en\nfinding_1: too_soon\nacts_1: 2000000 2086400\nfrom_1: 1999100\n"
        "until_1: 2000900\nlot_of_box_1: " LOT "\nlot_of_box_2: B-9\ncount_of_box_2: 2\n", person, person);
    g_autoptr(GPtrArray) files = g_ptr_array_new();
    g_autoptr(GBytes) bytes = g_bytes_new_static("sheet", 5);
    const PublishFile file = {"sheet.pdf", bytes};
    g_ptr_array_add(files, (gpointer)&file);
    return record_printed(record, number, person, "P. Invented", facts, files, error);
}

static gint64 give(Record *record, const char *person, const char *digest, gboolean replace, GError **error)
{
    g_autoptr(GPtrArray) boxes = g_ptr_array_new();
    RecordWish wish = wish_of(boxes, person, digest);
    RecordGiven given;
    wish.replace = replace;
    return record_give_number(record, &wish, &given, error) == RECORD_FAILED ? 0 : given.number;
}

static const RecordRevision revision = {"evening", 3, "seal three", "protocol", "clinic", "shelf", "rules",
                                        "Dr R. Invented", NOW};

static int make_ready(void **state)
{
    (void)state;
    Arena *arena = arena_new();
    ready = g_dir_make_tmp("record-XXXXXX", NULL);
    const RecordPlace place = place_in(ready);
    Record *record = record_open(arena, &place, NULL);
    assert_true(record_begin(record, NULL)); /* one transaction, one wait for the disk */
    for (int one = 1; one <= PEOPLE; one++) {
        g_autofree char *person = g_strdup_printf("P-%d", one);
        assert_int_equal(give(record, person, "one", FALSE, NULL), one);
        assert_true(confirm(record, one, person, NULL));
    }
    assert_int_equal(give(record, "P-1", "two", TRUE, NULL), PEOPLE + 1); /* replaces, and is not confirmed yet */
    assert_true(record_receive(record, LOT, 500, "K. Madeup", NULL, NULL));
    assert_true(record_receive(record, LOT, -1, "K. Madeup", "broken", NULL));
    assert_true(record_keep_revision(record, &revision, NULL));
    g_autoptr(GPtrArray) none = g_ptr_array_new();
    assert_true(record_recall(record, RECALL_LOT, "C-3", none, "K. Madeup", "cracked", NULL));
    assert_true(record_end(record, TRUE, NULL));
    record_close(record);
    arena_free(arena);
    return 0;
}

static void remove_folder(char *folder)
{
    g_autoptr(GDir) there = g_dir_open(folder, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(there))) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        g_remove(path);
    }
    g_rmdir(folder);
    g_free(folder);
}

static int remove_ready(void **state)
{
    (void)state;
    remove_folder(ready);
    return 0;
}

static void copy(const char *name, const char *folder)
{
    g_autofree char *from = g_build_filename(ready, name, NULL), *to = g_build_filename(folder, name, NULL);
    g_autofree char *bytes = NULL;
    gsize length;
    assert_true(g_file_get_contents(from, &bytes, &length, NULL));
    assert_true(g_file_set_contents_full(to, bytes, (gssize)length, G_FILE_SET_CONTENTS_NONE, 0600, NULL));
}

static int set_up(void **state)
{
    Fixture *fixture = g_new0(Fixture, 1);
    fixture->arena = arena_new();
    fixture->folder = g_dir_make_tmp("record-XXXXXX", NULL);
    fixture->place = place_in(fixture->folder);
    copy("record.db", fixture->folder);
    copy("record.head", fixture->folder);
    *state = fixture;
    return 0;
}

static int tear_down(void **state)
{
    Fixture *fixture = *state;
    remove_folder(fixture->folder);
    arena_free(fixture->arena);
    g_free(fixture);
    return 0;
}

/* ---- one statement fails ---- */

static const StoreKind *real;
static int until; /* the statement that fails, counted down; 0: it has failed, or none does */

static gboolean failing_run(Store *store, const char *sql, const char *const *values, int count, StoreRow row,
                            gpointer data, GError **error)
{
    gboolean undoes = strcmp(sql, "ROLLBACK") == 0; /* which SQLite does whatever the disk does */
    if (!undoes && until > 0 && --until == 0) {
        g_set_error_literal(error, STORE_ERROR, STORE_FAILED, "the disk failed");
        return FALSE;
    }
    return real->run(store, sql, values, count, row, data, error);
}

static gboolean failing_sound(Store *store, GError **error)
{
    return failing_run(store, "SELECT 1", NULL, 0, NULL, NULL, error) && real->sound(store, error);
}

static gboolean failing_altered(Store *store, StoreRow row, gpointer data, GError **error)
{
    return failing_run(store, "SELECT 1", NULL, 0, NULL, NULL, error) && real->altered(store, row, data, error);
}

static StoreKind failing;

static Record *opened(const Fixture *fixture)
{
    GError *error = NULL;
    Record *record = record_open(fixture->arena, &fixture->place, &error);
    assert_null(error);
    real = record->store->kind;
    failing = *real;
    failing.run = failing_run;
    failing.sound = failing_sound;
    failing.altered = failing_altered;
    record->store->kind = &failing;
    return record;
}

static void told(const char *line, gpointer data) { g_string_append_printf(data, "%s\n", line); }

/* What verify says, and how many entries there are. */
static gint64 verified(Record *record, GString *faults)
{
    gint64 entries, sheets;
    GError *error = NULL;
    if (!record_verify(record, told, faults, &entries, &sheets, &error))
        fail_msg("verify: %s", error->message);
    return entries;
}

/* ---- what is done with a record ---- */

static gboolean do_number(Record *record, GError **error) { return give(record, "P-new", "one", FALSE, error) > 0; }
static gboolean do_replace(Record *record, GError **error) { return give(record, "P-2", "two", TRUE, error) > 0; }
static gboolean do_confirm(Record *record, GError **error) { return confirm(record, PEOPLE + 1, "P-1", error); }

static gboolean do_note(Record *record, GError **error)
{
    return record_append(record, RECORD_CALL, 7, "P-7", "K. Madeup", "said: spilled half\n", error);
}

static gboolean do_receive(Record *record, GError **error)
{
    return record_receive(record, LOT, 20, "K. Madeup", NULL, error);
}

static gboolean do_keep(Record *record, GError **error) { return record_keep_revision(record, &revision, error); }

static gboolean do_recall(Record *record, GError **error)
{
    g_autoptr(GPtrArray) sheets = g_ptr_array_new();
    const RecordSheet *sheet = record_sheet(record, 3, error);
    if (!sheet)
        return FALSE;
    g_ptr_array_add(sheets, (gpointer)sheet);
    return record_recall(record, RECALL_PROTOCOL, "evening", sheets, "K. Madeup", "wrong dose", error);
}

static gboolean do_fits(Record *record, GError **error)
{
    g_autoptr(GPtrArray) boxes = g_ptr_array_new();
    const RecordWish wish = wish_of(boxes, "P-new", "one");
    gboolean fits = FALSE;
    gint64 received = 0, others = 0;
    if (!record_begin(record, error))
        return FALSE;
    gboolean fine = record_lot_fits(record, &wish, &two_boxes, &fits, &received, &others, error);
    if (fine) {
        assert_int_equal(received, 499);
        assert_int_equal(others, PEOPLE + PEOPLE); /* as their numbers hold, and not as their sheets */
        assert_true(fits);
    }
    return record_end(record, fine, error) && fine;
}

static gboolean as_many(GPtrArray *sheets, guint wanted)
{
    if (sheets)
        assert_int_equal(sheets->len, wanted);
    return sheets != NULL;
}

static gboolean do_lookup(Record *record, GError **error)
{
    return as_many(record_lookup(record, LOT, error), PEOPLE + 1);
}

static gboolean do_some(Record *record, GError **error)
{
    return as_many(record_lookup_some(record, LOT, 3, 1, 2, error), 3);
}

static gboolean do_between(Record *record, GError **error)
{
    return as_many(record_between(record, 2000900, 2000901, error), PEOPLE);
}

static gboolean do_resting(Record *record, GError **error)
{
    return as_many(record_resting_on(record, RECALL_SHELF, "Powder", NOW, error), PEOPLE);
}

static gboolean do_person(Record *record, GError **error) { return as_many(record_of_person(record, "P-1", error), 2); }

static gboolean do_ever(Record *record, GError **error)
{
    gboolean ever = FALSE;
    gboolean fine = record_ever_rested(record, RECALL_LANGUAGE, "en", &ever, error);
    assert_true(!fine || ever);
    return fine;
}

static gboolean do_called_back(Record *record, GError **error)
{
    const char *because = NULL;
    gboolean fine = record_called_back(record, RECALL_LOT, "c3", &because, error);
    assert_true(!fine || g_strcmp0(because, "cracked") == 0);
    return fine;
}

static gboolean do_lots(Record *record, GError **error)
{
    GPtrArray *lots = record_lots(record, error);
    if (as_many(lots, 1)) {
        const RecordLot *lot = g_ptr_array_index(lots, 0);
        assert_int_equal(lot->received, 499);
        assert_int_equal(lot->handed, PEOPLE + PEOPLE);
    }
    return lots != NULL;
}

static gboolean do_approval(Record *record, GError **error)
{
    guint known = 0;
    gboolean same = FALSE;
    gboolean fine = record_approval(record, "evening", "seal three", &known, &same, error);
    assert_true(!fine || (known == 1 && same));
    return fine;
}

static gboolean do_verify(Record *record, GError **error)
{
    g_autoptr(GString) faults = g_string_new(NULL);
    gint64 entries, sheets;
    gboolean fine = record_verify(record, told, faults, &entries, &sheets, error);
    assert_string_equal(faults->str, "");
    return fine;
}

static gboolean do_backup(Record *record, GError **error)
{
    g_autofree char *path = g_build_filename(record->place.folder, "copy.db", NULL);
    gboolean fine = record_backup(record, path, error);
    assert_int_equal(g_file_test(path, G_FILE_TEST_EXISTS), fine);
    g_unlink(path);
    return fine;
}

static const struct {
    const char *name;
    gboolean (*run)(Record *record, GError **error);
    gint64 adds;   /* entries */
    gboolean once; /* done again it adds none */
} acts[] = {
    {"number", do_number, 1, TRUE}, {"replace", do_replace, 1, TRUE}, {"confirm", do_confirm, 2, TRUE},
    {"note", do_note, 1, FALSE}, {"receive", do_receive, 1, FALSE}, {"keep", do_keep, 1, FALSE},
    {"recall", do_recall, 2, FALSE}, {"fits", do_fits, 0, FALSE}, {"lookup", do_lookup, 0, FALSE},
    {"some", do_some, 0, FALSE}, {"between", do_between, 0, FALSE}, {"resting", do_resting, 0, FALSE},
    {"person", do_person, 0, FALSE}, {"ever", do_ever, 0, FALSE}, {"called back", do_called_back, 0, FALSE},
    {"lots", do_lots, 0, FALSE}, {"approval", do_approval, 0, FALSE}, {"verify", do_verify, 0, FALSE},
    {"backup", do_backup, 0, FALSE},
};

/* The n-th statement of an act fails: the act says so and nothing of it is there, or all of it is; and once more it
 * ends well.  FALSE when there is no such statement. */
static gboolean fails_well(Record *record, gsize act, int number, gint64 before, gint64 *entries)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GString) faults = g_string_new(NULL);
    const char *name = acts[act].name;
    until = number;
    gboolean fine = acts[act].run(record, &error), reached = until == 0;
    until = 0;
    if (fine != (error == NULL))
        fail_msg("%s, statement %d: %s", name, number, error ? error->message : "failed, and says nothing");
    if (error && !strstr(error->message, "the disk failed"))
        fail_msg("%s, statement %d: does not say why: %s", name, number, error->message);
    if (fine)
        *entries = (acts[act].once ? before : *entries) + acts[act].adds;
    gint64 there = verified(record, faults);
    if (there != *entries || faults->len > 0)
        fail_msg("%s, statement %d: %d entries, not %d: %s", name, number, (int)there, (int)*entries, faults->str);
    return reached;
}

/* So many of many that are alike: the first ones, and a few of the others. */
static int next_number(int number) { return number < 24 ? number + 1 : number * 2 + 1; }

static void test_each_statement(void **state)
{
    const Fixture *fixture = *state;
    for (gsize act = 0; act < G_N_ELEMENTS(acts); act++) {
        set_up(state);
        Fixture *own = *state;
        Record *record = opened(own);
        g_autoptr(GString) faults = g_string_new(NULL);
        gint64 before = verified(record, faults), entries = before;
        int number = 1;
        while (fails_well(record, act, number, before, &entries))
            number = next_number(number);
        assert_true(number > 1); /* some statement was reached */
        record_close(record);
        tear_down(state);
    }
    *state = (void *)fixture;
}

/* ---- spoilt from outside ---- */

static void spoil(const Fixture *fixture, const char *sql)
{
    g_autofree char *path = g_build_filename(fixture->folder, "record.db", NULL);
    sqlite3 *base = NULL;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path, &base), SQLITE_OK);
    if (sqlite3_exec(base, sql, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s: %s", sql, why);
    sqlite3_close(base);
}

static void write_file(const Fixture *fixture, const char *name, const char *text)
{
    g_autofree char *path = g_build_filename(fixture->folder, name, NULL);
    assert_true(g_file_set_contents(path, text, -1, NULL));
}

#define NO_TRIGGERS \
    "DROP TRIGGER entry_never_UPDATE; DROP TRIGGER entry_never_DELETE; DROP TRIGGER due_never_UPDATE; " \
    "DROP TRIGGER due_never_DELETE; DROP TRIGGER word_never_UPDATE; DROP TRIGGER word_never_DELETE; "
#define LAST "(SELECT max(seq) FROM entry)"

/* Nobody writes to a record that is not as it was written. */
static void test_not_opened(void **state)
{
    static const struct { const char *sql, *message; } spoilt[] = {
        {"DROP TABLE word; DROP TABLE due; DROP TABLE entry", "no such table: entry"},
        {"DROP TABLE about", "is gone"},
        {"DELETE FROM about", "is of version 0, this program knows version 1: use the older program"},
        {"UPDATE about SET version = 2", "use the newer program"},
        {NO_TRIGGERS "UPDATE entry SET kind = 'odd' WHERE seq = " LAST, "unknown kind, \"odd\""},
        {NO_TRIGGERS "UPDATE entry SET digest = 'other' WHERE seq = " LAST, "has another entry"},
        {NO_TRIGGERS "UPDATE entry SET by_whom = 'Nobody' WHERE seq = " LAST " - 3", "was edited at entry"},
        {NO_TRIGGERS "UPDATE entry SET kind = 'odd' WHERE seq = " LAST " - 3", "unknown kind, \"odd\""},
        {NO_TRIGGERS "DELETE FROM entry WHERE seq = " LAST " - 3", "lacks what stood before entry"},
        {NO_TRIGGERS "DELETE FROM word; DELETE FROM due; DELETE FROM entry WHERE seq = " LAST, "ends with entry"},
        {NO_TRIGGERS "DELETE FROM word; DELETE FROM due; DELETE FROM entry", "ends with entry 0"},
        {"ALTER TABLE entry RENAME COLUMN typed TO other", "no such column: typed"},
    };
    const Fixture *fixture = *state;
    for (gsize i = 0; i < G_N_ELEMENTS(spoilt); i++) {
        set_up(state);
        Fixture *own = *state;
        g_autoptr(GError) error = NULL;
        spoil(own, spoilt[i].sql);
        assert_null(record_open(own->arena, &own->place, &error));
        if (!error || !strstr(error->message, spoilt[i].message))
            fail_msg("%s: %s", spoilt[i].sql, error ? error->message : "nothing said");
        tear_down(state);
    }
    *state = (void *)fixture;
}

/* The other ways in which it cannot be opened. */
static void test_no_way_in(void **state)
{
    Fixture *fixture = *state;
    g_autoptr(GError) early = NULL, away = NULL, headless = NULL, folder = NULL;
    fixture->place.now = NOW - 86400;
    assert_null(record_open(fixture->arena, &fixture->place, &early));
    assert_non_null(strstr(early->message, "the clock of this machine says"));
    fixture->place.now = NOW;
    fixture->place.address = "postgres:///none?host=/nowhere";
    assert_null(record_open(fixture->arena, &fixture->place, &away));
    assert_non_null(strstr(away->message, "cannot open the record postgres:"));
    fixture->place.address = "record.db";
    write_file(fixture, "record.head", "entry: 3\nnumber: 1\n");
    assert_null(record_open_as_is(fixture->arena, &fixture->place, &headless));
    assert_null(record_open(fixture->arena, &fixture->place, NULL));
    assert_false(record_restored(fixture->arena, &fixture->place, "K. Madeup", "none", NULL));
    assert_non_null(strstr(headless->message, "does not say how far the record went"));
    g_autofree char *head = g_build_filename(fixture->folder, "record.head", NULL);
    g_unlink(head);
    g_mkdir(head, 0700);
    assert_null(record_open(fixture->arena, &fixture->place, &folder));
    assert_non_null(strstr(folder->message, "record.head"));
}

/* A page that holds something else, found by SQLite itself. */
static void test_damaged_page(void **state)
{
    const Fixture *fixture = *state;
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(fixture->folder, "record.db", NULL);
    FILE *file = fopen(path, "r+");
    assert_non_null(file);
    for (long page = 8; page < 12; page++) { /* behind the tables' own first pages */
        fseek(file, page * 4096, SEEK_SET);
        for (int i = 0; i < 64; i++)
            fputc(0xA5, file);
    }
    fclose(file);
    assert_null(record_open(fixture->arena, &fixture->place, &error));
    assert_non_null(strstr(error->message, "is damaged ("));
    assert_non_null(strstr(error->message, "bring back the last backup"));
}

/* What verify says of entries that say less than they did, or of an index that finds another. */
static void test_told(void **state)
{
    static const struct { const char *sql, *message; } spoilt[] = {
        {"UPDATE entry SET body = replace(body, 'from_1', 'gone_1') WHERE seq = 3", "sheet 1 is found by other words"},
        {"UPDATE entry SET body = replace(body, 'until_1', 'gone_1') WHERE seq = 3",
         "entry 3 (printed, sheet 1) is not as"},
        {"UPDATE entry SET body = replace(body, '2000000 2086400', ' ') WHERE seq = 3",
         "sheet 1 is found by other words"},
        {"UPDATE entry SET body = replace(body, '2000000 2086400', '') WHERE seq = 3",
         "sheet 1 is found by other words"},
        {"UPDATE entry SET body = '' WHERE kind = 'received'", "(received, sheet 0) is not as it was written"},
        {"UPDATE entry SET body = '', digest = 'other' WHERE seq = " LAST, "is another than record.head has seen"},
        {"DELETE FROM due WHERE sheet = 2", "sheet 2 is found by other words or times than it says"},
        {"UPDATE due SET last = 5 WHERE sheet = 2", "sheet 2 is found by other words or times than it says"},
        {"UPDATE word SET word = 'other' WHERE sheet = 2 AND word = 'madeup'", "sheet 2 is found by other words"},
        {"INSERT INTO word VALUES (1, 1, 'first')", "rows find sheets, and"},
        {"DELETE FROM word; DELETE FROM due; DELETE FROM entry WHERE seq < 5", "entry 5 follows entry 0"},
    };
    const Fixture *fixture = *state;
    for (gsize i = 0; i < G_N_ELEMENTS(spoilt); i++) {
        set_up(state);
        Fixture *own = *state;
        g_autoptr(GString) faults = g_string_new(NULL);
        g_autofree char *sql = g_strconcat(NO_TRIGGERS, spoilt[i].sql, NULL);
        spoil(own, sql);
        Record *record = record_open_as_is(own->arena, &own->place, NULL);
        verified(record, faults);
        if (!strstr(faults->str, spoilt[i].message) || !strstr(faults->str, "due_never_DELETE is gone"))
            fail_msg("%s: %s", spoilt[i].sql, faults->str);
        record_close(record);
        tear_down(state);
    }
    *state = (void *)fixture;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_each_statement, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_not_opened, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_no_way_in, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_damaged_page, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_told, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, make_ready, remove_ready);
}
