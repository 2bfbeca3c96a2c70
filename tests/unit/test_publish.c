/* publish: every call that can fail fails once in turn; what was whole before stays whole,
 * all files stand or none, and nothing of ours is left over. */
#include "cmocka_all.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <glib/gstdio.h>

#include "base/base.h"

/* The call that fails: counted over all wrapped calls of the thread; 0: none. */
static int calls, failing, failure;
static gboolean for_ever; /* that call and all after it */

static gboolean fails(void)
{
    calls++;
    if (failing == 0 || calls < failing || (calls > failing && !for_ever))
        return FALSE;
    errno = failure;
    return TRUE;
}

/* The linker sends the calls of base here (--wrap). */
#define WRAP(type, name, parameters, arguments)              \
    type __real_##name parameters;                           \
    type __wrap_##name parameters;                           \
    type __wrap_##name parameters { return fails() ? (type)-1 : __real_##name arguments; }
WRAP(int, rename, (const char *from, const char *to), (from, to))
WRAP(int, fsync, (int descriptor), (descriptor))
WRAP(int, link, (const char *from, const char *to), (from, to))

/* Closed it is all the same. */
int __real_close(int descriptor);
int __wrap_close(int descriptor);
int __wrap_close(int descriptor)
{
    int done = __real_close(descriptor);
    return fails() ? -1 : done;
}

/* A disk that gives back the beginning alone. */
static gboolean forgets;

ssize_t __real_read(int descriptor, void *room, size_t most);
ssize_t __wrap_read(int descriptor, void *room, size_t most);
ssize_t __wrap_read(int descriptor, void *room, size_t most)
{
    static gboolean given;
    if (fails())
        return -1;
    given = forgets && !given;
    return __real_read(descriptor, room, forgets ? (size_t)given : most);
}

/* A disk that takes bytes and keeps others: the last one of each write is turned. */
static gboolean turns;

ssize_t __real_write(int descriptor, const void *bytes, size_t count);
ssize_t __wrap_write(int descriptor, const void *bytes, size_t count);
ssize_t __wrap_write(int descriptor, const void *bytes, size_t count)
{
    if (fails())
        return -1;
    if (!turns || count == 0)
        return __real_write(descriptor, bytes, count);
    g_autofree char *other = g_memdup2(bytes, count);
    other[count - 1] ^= 1;
    return __real_write(descriptor, other, count);
}

typedef struct Scene {
    char *folder;
    GPtrArray *files;
} Scene;

static PublishFile files_of_scene[3];

static void scene_set(Scene *scene, const char *word)
{
    static const char *const names[] = {"a.pdf", "b.txt", "c.ics"};
    scene->files = g_ptr_array_new();
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *text = g_strdup_printf("%s of %s", word, names[i]);
        files_of_scene[i] = (PublishFile){names[i], g_bytes_new(text, strlen(text))};
        g_ptr_array_add(scene->files, &files_of_scene[i]);
    }
}

static void scene_clear(Scene *scene)
{
    for (gsize i = 0; i < G_N_ELEMENTS(files_of_scene); i++)
        g_bytes_unref(files_of_scene[i].bytes);
    g_ptr_array_unref(scene->files);
}

/* "old", "new" or "none" for each of the three, and how many other files there are. */
static char *state_of(const char *folder)
{
    GString *state = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(files_of_scene); i++) {
        g_autofree char *path = g_build_filename(folder, files_of_scene[i].name, NULL), *text = NULL;
        gboolean there = g_file_get_contents(path, &text, NULL, NULL);
        g_string_append_printf(state, "%.3s ", there ? text : "none");
    }
    guint others = 0;
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    while (g_dir_read_name(dir))
        others++;
    g_string_append_printf(state, "%u", others);
    return g_string_free(state, FALSE);
}

static char *folder_new(void)
{
    char *folder = g_dir_make_tmp("publish-XXXXXX", NULL);
    assert_non_null(folder);
    return folder;
}

static void folder_remove(char *folder)
{
    const char *name;
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    while ((name = g_dir_read_name(dir))) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        g_unlink(path);
    }
    g_rmdir(folder);
    g_free(folder);
}

static gboolean publish_word(const char *folder, const char *word, GError **error)
{
    Scene scene = {0};
    scene_set(&scene, word);
    gboolean fine = publish_files(folder, scene.files, error);
    scene_clear(&scene);
    return fine;
}

/* Every call fails once, over a folder that holds earlier files or none. */
static void try_all(gboolean earlier, int code)
{
    int last = 0;
    for (int at = 1; at < 200; at++) {
        char *folder = folder_new();
        failing = 0;
        if (earlier)
            assert_true(publish_word(folder, "old", NULL));
        calls = 0;
        failing = at;
        failure = code;
        g_autoptr(GError) error = NULL;
        gboolean fine = publish_word(folder, "new", &error);
        int made = calls;
        failing = 0;
        g_autofree char *state = state_of(folder);
        const char *before = earlier ? "old old old 3" : "non non non 0";
        if (!fine) {
            assert_non_null(error);
            assert_string_equal(state, before);
        } else {
            assert_string_equal(state, "new new new 3");
        }
        folder_remove(folder);
        last = at;
        if (at > made) { /* no call was left to fail */
            assert_true(fine);
            break;
        }
    }
    assert_in_range(last, 10, 199); /* three writes, syncs and renames at least */
}

static void test_every_call_fails(void **state)
{
    (void)state;
    const int codes[] = {ENOSPC, EIO, EINTR};
    for (gsize i = 0; i < G_N_ELEMENTS(codes); i++) {
        try_all(TRUE, codes[i]);
        try_all(FALSE, codes[i]);
    }
}

/* How many files of the folder hold what was there before. */
static guint count_old(const char *folder)
{
    guint count = 0;
    const char *name;
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    while ((name = g_dir_read_name(dir))) {
        g_autofree char *path = g_build_filename(folder, name, NULL), *text = NULL;
        count += g_file_get_contents(path, &text, NULL, NULL) && g_str_has_prefix(text, "old") ? 1 : 0;
    }
    return count;
}

/* From some call on nothing works any more: what was there before is still there. */
static void test_disk_fails_on(void **state)
{
    (void)state;
    for (int at = 1; at < 14; at++) {
        char *folder = folder_new();
        failing = 0;
        assert_true(publish_word(folder, "old", NULL));
        calls = 0;
        failing = at;
        for_ever = TRUE;
        failure = EIO;
        gboolean fine = publish_word(folder, "new", NULL);
        failing = 0;
        for_ever = FALSE;
        assert_true(fine || count_old(folder) == 3);
        folder_remove(folder);
    }
}

/* An interrupted call is made again. */
static void test_interrupted(void **state)
{
    (void)state;
    char *folder = folder_new();
    calls = 0;
    failing = 1;
    failure = EINTR;
    assert_true(publish_word(folder, "new", NULL));
    failing = 0;
    g_autofree char *found = state_of(folder);
    assert_string_equal(found, "new new new 3");
    folder_remove(folder);
}

static void test_modes(void **state)
{
    (void)state;
    char *folder = folder_new();
    mode_t before = umask(0);
    g_autofree char *inner = g_build_filename(folder, "inner", NULL);
    assert_true(publish_word(inner, "new", NULL));
    umask(before);
    g_autofree char *path = g_build_filename(inner, "a.pdf", NULL);
    struct stat there;
    assert_int_equal(stat(path, &there), 0);
    assert_int_equal(there.st_mode & 07777, 0600);
    assert_int_equal(stat(inner, &there), 0);
    assert_int_equal(there.st_mode & 07777, 0700);
    folder_remove(g_steal_pointer(&inner));
    folder_remove(folder);
}

/* A link in a file's place leads elsewhere: nothing is written. */
static void test_link_refused(void **state)
{
    (void)state;
    char *folder = folder_new();
    g_autofree char *path = g_build_filename(folder, "b.txt", NULL);
    assert_int_equal(symlink("/dev/null", path), 0);
    g_autoptr(GError) error = NULL;
    assert_false(publish_word(folder, "new", &error));
    assert_non_null(strstr(error->message, "b.txt is there already and is not a plain file"));
    g_autofree char *found = state_of(folder);
    assert_string_equal(found, "non  non 1");
    folder_remove(folder);
}

static void test_left_over(void **state)
{
    (void)state;
    char *folder = folder_new();
    assert_true(publish_word(folder, "new", NULL));
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    publish_left_over(folder, names);
    assert_int_equal(names->len, 0);
    g_autofree char *path = g_build_filename(folder, ".dosewright-1-0.part", NULL);
    assert_true(g_file_set_contents(path, "half", -1, NULL));
    publish_left_over(folder, names);
    assert_int_equal(names->len, 1);
    assert_string_equal(g_ptr_array_index(names, 0), ".dosewright-1-0.part");
    folder_remove(folder);
}

/* What is read again is not what was written: nothing takes its place, and it is said. */
static void test_disk_turns_bytes(void **state)
{
    (void)state;
    char *folder = folder_new();
    failing = 0;
    assert_true(publish_word(folder, "old", NULL));
    turns = TRUE;
    g_autoptr(GError) error = NULL;
    gboolean fine = publish_word(folder, "new", &error);
    turns = FALSE;
    assert_false(fine);
    assert_non_null(strstr(error->message, "a.pdf"));
    g_autofree char *left = state_of(folder);
    assert_string_equal(left, "old old old 3");
    folder_remove(folder);
}

static gboolean stream_word(const char *folder, const char *word, GError **error)
{
    PublishStream *stream = publish_open(folder, "a.pdf", error);
    for (int part = 0; part < 3; part++)
        if (!publish_write(stream, word, strlen(word), error)) {
            publish_abandon(stream);
            return FALSE;
        }
    return publish_close(stream, error);
}

/* The same of what is too large to be held. */
static void test_disk_turns_stream(void **state)
{
    (void)state;
    Scene scene = {0};
    char *folder = folder_new();
    scene_set(&scene, "old"); /* names the files that state_of() looks for */
    assert_true(stream_word(folder, "old ", NULL));
    turns = TRUE;
    g_autoptr(GError) error = NULL;
    gboolean fine = stream_word(folder, "new ", &error);
    turns = FALSE;
    assert_false(fine);
    assert_non_null(strstr(error->message, "a.pdf"));
    g_autofree char *left = state_of(folder);
    assert_string_equal(left, "old non non 1");
    scene_clear(&scene);
    folder_remove(folder);
}

static void test_disk_forgets(void **state)
{
    (void)state;
    char *folder = folder_new();
    assert_true(publish_word(folder, "old", NULL));
    forgets = TRUE;
    g_autoptr(GError) error = NULL, stream_error = NULL;
    gboolean fine = publish_word(folder, "new", &error), stream_fine = stream_word(folder, "new ", &stream_error);
    forgets = FALSE;
    assert_false(fine || stream_fine);
    assert_non_null(strstr(error->message, "a.pdf"));
    assert_non_null(strstr(stream_error->message, "a.pdf"));
    g_autofree char *left = state_of(folder);
    assert_string_equal(left, "old old old 3");
    folder_remove(folder);
}

/* Each call of a stream fails once; nothing is left beside what was there before.  When the last ones fail, what is
 * new has its place already, and is told not to be sure. */
static void test_stream_fails(void **state)
{
    (void)state;
    static const int codes[] = {ENOSPC, EINTR};
    for (gsize i = 0; i < G_N_ELEMENTS(codes); i++) {
        int finished = 0;
        for (int at = 1; at < 16; at++) {
            char *folder = folder_new();
            failing = 0;
            assert_true(publish_word(folder, "old", NULL));
            calls = 0;
            failing = at;
            failure = codes[i];
            g_autoptr(GError) error = NULL;
            gboolean fine = stream_word(folder, "new ", &error);
            failing = 0;
            g_autofree char *found = state_of(folder);
            assert_int_equal(error == NULL, fine);
            assert_true(strcmp(found, "new old old 3") == 0 || (!fine && strcmp(found, "old old old 3") == 0));
            finished += fine;
            folder_remove(folder);
        }
        assert_in_range(finished, 1, 14); /* no call was left to fail, and some failed */
    }
}

/* A stream goes neither where a link leads nor into what is no folder. */
static void test_stream_refused(void **state)
{
    (void)state;
    char *folder = folder_new();
    g_autofree char *path = g_build_filename(folder, "a.pdf", NULL);
    assert_int_equal(symlink("/dev/null", path), 0);
    g_autoptr(GError) error = NULL, no_folder = NULL, no_files = NULL, no_place = NULL;
    assert_false(stream_word(folder, "new ", &error));
    assert_non_null(strstr(error->message, "a.pdf"));
    g_autofree char *found = state_of(folder);
    assert_string_equal(found, " non non 1"); /* where the link leads nothing stands */
    assert_int_equal(unlink(path), 0);
    assert_true(g_file_set_contents(path, "x", -1, NULL));
    assert_null(publish_open(path, "b.txt", &no_folder));
    assert_non_null(no_folder);
    assert_false(publish_word(path, "new", &no_files));
    assert_non_null(no_files);
    assert_null(publish_open(folder, "none/b.txt", &no_place));
    assert_non_null(strstr(no_place->message, "none/b.txt"));
    folder_remove(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_disk_turns_bytes), cmocka_unit_test(test_disk_turns_stream),
        cmocka_unit_test(test_every_call_fails), cmocka_unit_test(test_disk_fails_on),
        cmocka_unit_test(test_interrupted),      cmocka_unit_test(test_modes),
        cmocka_unit_test(test_link_refused),     cmocka_unit_test(test_left_over),
        cmocka_unit_test(test_disk_forgets),     cmocka_unit_test(test_stream_fails),
        cmocka_unit_test(test_stream_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
