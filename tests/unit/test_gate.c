/* gate: a seat ends when nobody used it for an hour, after a shift, when its person has another
 * password or is taken out; a form's token is good once; who guesses waits. */
#include "cmocka_all.h"

#include <glib/gstdio.h>

#include "desk/gate.h"

#define SECOND ((gint64)G_USEC_PER_SEC)

static gint64 now = 1000 * SECOND;

/* The linker sends the gate's question here (--wrap). */
gint64 __wrap_g_get_monotonic_time(void);
gint64 __wrap_g_get_monotonic_time(void) { return now; }

typedef struct Scene {
    char *clinic, *path;
    Gate *gate;
    char *cookie;
    Seat *seat;
} Scene;

static void write_people(const Scene *scene, const char *hash, const char *roles)
{
    g_autofree char *text = g_strdup_printf("dosewright people 1\n%s\t%s\tK. Madeup\n", roles, hash);
    g_assert_true(g_file_set_contents(scene->path, text, -1, NULL));
    g_chmod(scene->path, 0600);
}

#define HASH "$argon2id$v=19$m=65536,t=3,p=1$LFURFo1VF7Zi73tnKs7OSg$CqmgRjgIW1jO3GPL6Tv4uIU5Ssuur4Vdmqf97YYv3Bs"

static int set_up(void **state)
{
    Scene *scene = g_new0(Scene, 1);
    scene->clinic = g_dir_make_tmp("gate-XXXXXX", NULL);
    scene->path = g_build_filename(scene->clinic, PEOPLE_FILE, NULL);
    write_people(scene, HASH, "nurse");
    scene->gate = gate_new(scene->clinic, NULL);
    g_assert_true(gate_asks_names(scene->gate));
    scene->seat = gate_sign_in(scene->gate, "K. Madeup", NULL, &scene->cookie);
    assert_non_null(scene->seat);
    *state = scene;
    return 0;
}

static int tear_down(void **state)
{
    Scene *scene = *state;
    gate_free(scene->gate);
    g_unlink(scene->path);
    g_rmdir(scene->clinic);
    g_free(scene->cookie);
    g_free(scene->path);
    g_free(scene->clinic);
    g_free(scene);
    return 0;
}

static gboolean is_in(const Scene *scene, gboolean used) { return gate_seat(scene->gate, scene->cookie, used) != NULL; }

static void idle(void **state)
{
    const Scene *scene = *state;
    for (int hour = 0; hour < 3; hour++) {
        now += (SEAT_IDLE - 1) * SECOND;
        assert_true(is_in(scene, TRUE));
    }
    now += (SEAT_IDLE - 1) * SECOND;
    assert_true(is_in(scene, FALSE)); /* a page that renews itself */
    now += 2 * SECOND;
    assert_false(is_in(scene, TRUE));
}

static void absolute(void **state)
{
    const Scene *scene = *state;
    gint64 began = now;
    for (; now - began < SEAT_LASTS * SECOND; now += 30 * 60 * SECOND)
        assert_true(is_in(scene, TRUE));
    now += SECOND;
    assert_false(is_in(scene, TRUE));
}

static void another_password(void **state)
{
    const Scene *scene = *state;
    g_autofree char *other = g_strdup(HASH);
    other[strlen(other) - 1] = 't';
    write_people(scene, HASH, "night-phone");
    assert_true(is_in(scene, TRUE));
    assert_int_equal(seat_roles(scene->seat), ROLE_PHONE);
    write_people(scene, other, "nurse");
    assert_false(is_in(scene, TRUE));
}

static void people_unread(void **state)
{
    const Scene *scene = *state;
    g_chmod(scene->path, 0644);
    assert_false(is_in(scene, TRUE));
    g_chmod(scene->path, 0600);
    assert_true(is_in(scene, TRUE));
    g_unlink(scene->path);
    assert_false(is_in(scene, TRUE));
    assert_true(gate_asks_names(scene->gate)); /* nobody is believed because a file is gone */
}

static void signed_in_again(void **state)
{
    Scene *scene = *state;
    g_autofree char *before = g_steal_pointer(&scene->cookie);
    assert_non_null(gate_sign_in(scene->gate, "K. Madeup", before, &scene->cookie));
    assert_string_not_equal(before, scene->cookie);
    assert_null(gate_seat(scene->gate, before, TRUE));
    assert_true(is_in(scene, TRUE));
    gate_leave(scene->gate, scene->cookie);
    assert_false(is_in(scene, TRUE));
}

static void token_once(void **state)
{
    const Scene *scene = *state;
    g_autofree char *token = seat_token(scene->seat);
    assert_false(seat_spend(scene->seat, ""));
    assert_true(seat_spend(scene->seat, token));
    assert_false(seat_spend(scene->seat, token));
    g_autofree char *cookie = gate_stranger(), *others = gate_stranger();
    g_autofree char *own = gate_stranger_token(scene->gate, cookie);
    assert_true(gate_stranger_sends(scene->gate, cookie, own));
    assert_false(gate_stranger_sends(scene->gate, others, own));
    assert_false(gate_stranger_sends(scene->gate, NULL, own));
}

static void seats_are_few(void **state)
{
    const Scene *scene = *state;
    for (int i = 0; i < 3 * SEATS; i++) {
        g_autofree char *cookie = NULL;
        now += SECOND;
        assert_non_null(gate_sign_in(scene->gate, "K. Madeup", NULL, &cookie));
        assert_non_null(gate_seat(scene->gate, cookie, TRUE));
    }
    assert_false(is_in(scene, TRUE)); /* used longest ago */
}

/* Nobody, from however many places, has more guesses at one person than this; from one place no
 * more guesses at all people together.  Who signed in there before still may. */
static void guesses(void **state)
{
    (void)state;
    Tries *tries = tries_new();
    guint taken = 0;
    assert_true(tries_begin(tries, "K. Madeup", "192.0.2.1"));
    tries_right(tries, "K. Madeup", "192.0.2.1");
    for (int i = 0; i < 100; i++) {
        g_autofree char *place = g_strdup_printf("198.51.100.%d", i);
        taken += tries_begin(tries, "K. Madeup", place);
    }
    assert_int_equal(taken, TRIES_WRONG);
    assert_true(tries_begin(tries, "K. Madeup", "192.0.2.1"));
    taken = 0;
    for (int i = 0; i < 100; i++) {
        g_autofree char *name = g_strdup_printf("Person %d", i);
        taken += tries_begin(tries, name, "203.0.113.7");
    }
    assert_int_equal(taken, TRIES_WRONG);
    now += (TRIES_WITHIN + 1) * SECOND;
    assert_true(tries_begin(tries, "K. Madeup", "203.0.113.7"));
    tries_free(tries);
}

/* Somebody with an account of their own does not buy more guesses with it. */
static void own_account(void **state)
{
    (void)state;
    Tries *tries = tries_new();
    guint taken = 0;
    for (int i = 0; i < 100; i++) {
        taken += tries_begin(tries, "K. Madeup", "192.0.2.1");
        if (tries_begin(tries, "Own", "192.0.2.1"))
            tries_right(tries, "Own", "192.0.2.1");
    }
    assert_int_equal(taken, TRIES_WRONG);
    tries_free(tries);
}

/* Memory for counting ends before the machine's does. */
static void many_names(void **state)
{
    (void)state;
    Tries *tries = tries_new();
    guint taken = 0;
    for (int i = 0; i < 3 * TRIES_KEPT; i++) {
        g_autofree char *name = g_strdup_printf("Person %d", i), *place = g_strdup_printf("place %d", i);
        taken += tries_begin(tries, name, place);
    }
    assert_int_equal(taken, TRIES_KEPT / 2);
    now += (TRIES_WITHIN + 1) * SECOND;
    assert_true(tries_begin(tries, "K. Madeup", "192.0.2.1"));
    tries_free(tries);
}

static void passwords(void **state)
{
    (void)state;
    static const char *const unfit[] = {"", "eleven lett", "k. madeup 2026", "aaaaaaaaaaaaaaaa", "bad \xff bytes here"};
    for (gsize i = 0; i < G_N_ELEMENTS(unfit); i++)
        assert_non_null(password_fault(unfit[i], "K. Madeup"));
    assert_null(password_fault("three words here", "K. Madeup"));
    const Named named = {(char *)"K. Madeup", ROLE_NURSE, (char *)HASH};
    assert_true(password_is(&named, "correct horse battery"));
    assert_false(password_is(&named, "correct horse batterz"));
}

/* A file that the program did not write lets nobody in. */
static void spoilt_files(void **state)
{
    const Scene *scene = *state;
    static const char *const texts[] = {
        "", "dosewright people 2\n", "dosewright people 1\nnurse\tx\tK. Madeup\n",
        "dosewright people 1\ndoctor\t" HASH "\tK. Madeup\n", "dosewright people 1\nnurse\t" HASH "\t\n",
        "dosewright people 1\nnurse\t" HASH "\tA\nnurse\t" HASH "\tA\n", "dosewright people 1\nnurse\t" HASH "\n"};
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        g_autoptr(GError) error = NULL;
        g_assert_true(g_file_set_contents(scene->path, texts[i], -1, NULL));
        g_chmod(scene->path, 0600);
        assert_null(staff_read(scene->clinic, &error));
        assert_non_null(strstr(error->message, "line"));
    }
}

int main(void)
{
#define CASE(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)
    const struct CMUnitTest tests[] = {
        CASE(idle), CASE(absolute), CASE(another_password), CASE(people_unread), CASE(signed_in_again),
        CASE(token_once), CASE(seats_are_few), cmocka_unit_test(guesses), cmocka_unit_test(own_account),
        cmocka_unit_test(many_names), cmocka_unit_test(passwords), CASE(spoilt_files)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
