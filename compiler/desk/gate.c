/* desk_gate: see desk/gate.h.  Secrets are kept as their digests, so that neither memory nor the
 * time of a comparison gives one away. */
#include "desk/gate.h"

#include <sodium.h>
#include <string.h>
#include <sys/random.h>

#include "base/base.h"

#define SECRET 32                           /* bytes of chance in a secret */
#define LINK_LASTS (15 * 60)                /* seconds */
#define TOKENS 1024                         /* pages that a seat may have open */
#define WRONG_LINKS 20                      /* within a minute */

struct Seat {
    char *who;
    char *hash;     /* of the password that let them in; NULL: believed */
    Roles roles;
    gint64 taken, used; /* microseconds */
    GQueue *tokens; /* of char*: digests, the newest first */
    char *at;       /* code of the person who is open there, or NULL */
};

struct Gate {
    char *link;         /* digest, or NULL */
    gint64 link_made;
    GHashTable *seats;  /* digest of the cookie -> Seat* */
    gint64 wrong_since;
    guint wrong;
    char *clinic, *stamp; /* stamp: of the people's file as it was read */
    Staff *staff;         /* NULL: it cannot be read any more, so nobody is let in */
    gboolean asks_names;
    Tries *tries;
    guint8 key[SECRET];   /* for what strangers send */
};

static void chance(guint8 *bytes, gsize count)
{
    gsize have = 0;
    while (have < count) {
        ssize_t got = getrandom(bytes + have, count - have, 0);
        g_assert(got > 0);
        have += (gsize)got;
    }
}

static char *secret_new(void)
{
    guint8 bytes[SECRET];
    chance(bytes, sizeof bytes);
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < sizeof bytes; i++)
        g_string_append_printf(text, "%02x", bytes[i]);
    return g_string_free(text, FALSE);
}

static char *digest_of(const char *secret) { return digest_text(secret); }

static gboolean is_over(gint64 since, gint64 seconds)
{
    return g_get_monotonic_time() - since > seconds * G_USEC_PER_SEC;
}

static void seat_free(gpointer data)
{
    Seat *seat = data;
    g_free(seat->who);
    g_free(seat->hash);
    g_free(seat->at);
    g_queue_free_full(seat->tokens, g_free);
    g_free(seat);
}

Gate *gate_new(const char *clinic, GError **error)
{
    g_autofree char *stamp = staff_stamp(clinic);
    Staff *staff = staff_read(clinic, error);
    if (!staff)
        return NULL;
    Gate *gate = g_new0(Gate, 1);
    gate->seats = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, seat_free);
    gate->clinic = g_strdup(clinic);
    gate->stamp = g_steal_pointer(&stamp);
    gate->staff = staff;
    gate->asks_names = staff_count(staff) > 0;
    gate->tries = tries_new();
    chance(gate->key, sizeof gate->key);
    return gate;
}

void gate_free(Gate *gate)
{
    g_hash_table_unref(gate->seats);
    g_free(gate->link);
    g_free(gate->clinic);
    g_free(gate->stamp);
    staff_free(gate->staff);
    tries_free(gate->tries);
    g_free(gate);
}

gboolean gate_asks_names(const Gate *gate) { return gate->asks_names; }

Tries *gate_tries(Gate *gate) { return gate->tries; }

/* Whoever is taken out, or given another password, is out with the next request. */
static void look_at_people(Gate *gate)
{
    g_autofree char *stamp = staff_stamp(gate->clinic);
    g_autoptr(GError) error = NULL;
    if (!gate->asks_names || strcmp(stamp, gate->stamp) == 0)
        return;
    staff_free(gate->staff);
    gate->staff = staff_read(gate->clinic, &error);
    if (!gate->staff)
        terminal_say(stderr, "dosewright: %s\n", error->message);
    g_free(gate->stamp);
    gate->stamp = g_steal_pointer(&stamp);
}

/* ---- by the link ---- */

char *gate_link(Gate *gate)
{
    char *secret = secret_new();
    g_free(gate->link);
    gate->link = digest_of(secret);
    gate->link_made = g_get_monotonic_time();
    return secret;
}

gboolean gate_besieged(const Gate *gate)
{
    return gate->wrong >= WRONG_LINKS && !is_over(gate->wrong_since, 60);
}

static void count_wrong(Gate *gate)
{
    if (is_over(gate->wrong_since, 60)) {
        gate->wrong_since = g_get_monotonic_time();
        gate->wrong = 0;
    }
    gate->wrong++;
}

/* ---- seats ---- */

/* Of a seat whose person is no longer as they signed in. */
static gboolean is_stale(const Gate *gate, const Seat *seat)
{
    const Named *named = seat->hash && gate->staff ? staff_find(gate->staff, seat->who) : NULL;
    return seat->hash && (!named || strcmp(named->hash, seat->hash) != 0 || is_over(seat->used, SEAT_IDLE));
}

static gboolean seat_is_over(gpointer cookie, gpointer data, gpointer gate)
{
    (void)cookie;
    const Seat *seat = data;
    return is_over(seat->taken, SEAT_LASTS) || is_stale(gate, seat);
}

/* Of a named person the one that was used longest ago makes room. */
static gboolean make_room(Gate *gate)
{
    GHashTableIter all;
    gpointer cookie, data, oldest = NULL;
    gint64 used = G_MAXINT64;
    g_hash_table_foreach_remove(gate->seats, seat_is_over, gate);
    if (g_hash_table_size(gate->seats) < SEATS)
        return TRUE;
    g_hash_table_iter_init(&all, gate->seats);
    while (g_hash_table_iter_next(&all, &cookie, &data))
        if (((const Seat *)data)->hash && ((const Seat *)data)->used < used) {
            used = ((const Seat *)data)->used;
            oldest = cookie;
        }
    return oldest && g_hash_table_remove(gate->seats, oldest);
}

static Seat *seat_new(Gate *gate, char **cookie)
{
    if (!make_room(gate))
        return NULL;
    Seat *seat = g_new0(Seat, 1);
    gint64 now = g_get_monotonic_time();
    *seat = (Seat){.taken = now, .used = now, .tokens = g_queue_new()};
    *cookie = secret_new();
    g_hash_table_insert(gate->seats, digest_of(*cookie), seat);
    return seat;
}

Seat *gate_open(Gate *gate, const char *secret, char **cookie)
{
    g_autofree char *digest = digest_of(secret);
    if (!gate->link || is_over(gate->link_made, LINK_LASTS) || g_strcmp0(digest, gate->link) != 0) {
        count_wrong(gate);
        return NULL;
    }
    g_clear_pointer(&gate->link, g_free);
    return seat_new(gate, cookie);
}

Seat *gate_seat(Gate *gate, const char *cookie, gboolean used)
{
    look_at_people(gate);
    g_autofree char *digest = cookie ? digest_of(cookie) : NULL;
    Seat *seat = digest ? g_hash_table_lookup(gate->seats, digest) : NULL;
    if (!seat || seat_is_over(NULL, seat, gate))
        return NULL;
    if (used)
        seat->used = g_get_monotonic_time();
    if (seat->hash)
        seat->roles = staff_find(gate->staff, seat->who)->roles;
    return seat;
}

void gate_leave(Gate *gate, const char *cookie)
{
    g_autofree char *digest = cookie ? digest_of(cookie) : NULL;
    if (digest)
        g_hash_table_remove(gate->seats, digest);
}

/* ---- by name ---- */

char *gate_stranger(void) { return secret_new(); }

char *gate_stranger_token(const Gate *gate, const char *cookie)
{
    return g_compute_hmac_for_string(G_CHECKSUM_SHA256, gate->key, sizeof gate->key, cookie, -1);
}

gboolean gate_stranger_sends(const Gate *gate, const char *cookie, const char *token)
{
    g_autofree char *wanted = cookie ? gate_stranger_token(gate, cookie) : NULL;
    return wanted && strlen(token) == strlen(wanted) && sodium_memcmp(token, wanted, strlen(wanted)) == 0;
}

Seat *gate_sign_in(Gate *gate, const char *who, const char *old, char **cookie)
{
    look_at_people(gate);
    const Named *named = gate->staff ? staff_find(gate->staff, who) : NULL;
    gate_leave(gate, old);
    Seat *seat = named ? seat_new(gate, cookie) : NULL;
    if (!seat)
        return NULL;
    seat_sit(seat, who, named->roles);
    seat->hash = g_strdup(named->hash);
    return seat;
}

/* ---- of a seat ---- */

const char *seat_who(const Seat *seat) { return seat->who; }

char *gate_beside(Gate *gate, Seat *seat, const char *code)
{
    GHashTableIter all;
    gpointer value;
    GString *names = g_string_new(NULL);
    g_free(seat->at);
    seat->at = code && *code ? g_strdup(code) : NULL;
    g_hash_table_iter_init(&all, gate->seats);
    while (seat->at && g_hash_table_iter_next(&all, NULL, &value)) {
        const Seat *other = value;
        gint64 ago = g_get_monotonic_time() - other->used;
        if (other != seat && other->who && g_strcmp0(other->at, code) == 0 && ago < BESIDE_LASTS * G_USEC_PER_SEC)
            g_string_append_printf(names, "%s%s", names->len > 0 ? ", " : "", other->who);
    }
    return g_string_free(names, names->len == 0);
}

gboolean seat_is_named(const Seat *seat) { return seat->hash != NULL; }

Roles seat_roles(const Seat *seat) { return seat->roles; }

void seat_sit(Seat *seat, const char *who, Roles roles)
{
    g_free(seat->who);
    seat->who = g_strdup(who);
    seat->roles = roles;
}

char *seat_token(Seat *seat)
{
    char *token = secret_new();
    g_queue_push_head(seat->tokens, digest_of(token));
    while (g_queue_get_length(seat->tokens) > TOKENS)
        g_free(g_queue_pop_tail(seat->tokens));
    return token;
}

gboolean seat_spend(Seat *seat, const char *token)
{
    g_autofree char *digest = digest_of(token);
    GList *found = g_queue_find_custom(seat->tokens, digest, (GCompareFunc)g_strcmp0);
    if (!found)
        return FALSE;
    g_free(found->data);
    g_queue_delete_link(seat->tokens, found);
    return TRUE;
}
