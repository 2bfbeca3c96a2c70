/* desk_gate: see desk/gate.h.  Secrets are kept as their digests, so that neither memory nor the
 * time of a comparison gives one away. */
#include "desk/gate.h"

#include <sys/random.h>

#define SECRET 32                           /* bytes of chance in a secret */
#define LINK_LASTS (15 * 60)                /* seconds */
#define SEAT_LASTS (16 * 3600)              /* a long night's shift */
#define SEATS 64
#define TOKENS 1024                         /* pages that a seat may have open */
#define WRONG_LINKS 20                      /* within a minute */

struct Seat {
    char *who;
    Roles roles;
    gint64 taken;   /* microseconds */
    GQueue *tokens; /* of char*: digests, the newest first */
};

struct Gate {
    char *link;         /* digest, or NULL */
    gint64 link_made;
    GHashTable *seats;  /* digest of the cookie -> Seat* */
    gint64 wrong_since;
    guint wrong;
};

static char *secret_new(void)
{
    guint8 bytes[SECRET];
    gsize have = 0;
    while (have < sizeof bytes) {
        ssize_t got = getrandom(bytes + have, sizeof bytes - have, 0);
        g_assert(got > 0);
        have += (gsize)got;
    }
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < sizeof bytes; i++)
        g_string_append_printf(text, "%02x", bytes[i]);
    return g_string_free(text, FALSE);
}

static char *digest_of(const char *secret) { return g_compute_checksum_for_string(G_CHECKSUM_SHA256, secret, -1); }

static gboolean is_over(gint64 since, gint64 seconds)
{
    return g_get_monotonic_time() - since > seconds * G_USEC_PER_SEC;
}

static void seat_free(gpointer data)
{
    Seat *seat = data;
    g_free(seat->who);
    g_queue_free_full(seat->tokens, g_free);
    g_free(seat);
}

Gate *gate_new(void)
{
    Gate *gate = g_new0(Gate, 1);
    gate->seats = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, seat_free);
    return gate;
}

void gate_free(Gate *gate)
{
    g_hash_table_unref(gate->seats);
    g_free(gate->link);
    g_free(gate);
}

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

static gboolean seat_is_over(gpointer cookie, gpointer seat, gpointer data)
{
    (void)cookie, (void)data;
    return is_over(((const Seat *)seat)->taken, SEAT_LASTS);
}

Seat *gate_open(Gate *gate, const char *secret, char **cookie)
{
    g_autofree char *digest = digest_of(secret);
    if (!gate->link || is_over(gate->link_made, LINK_LASTS) || g_strcmp0(digest, gate->link) != 0) {
        count_wrong(gate);
        return NULL;
    }
    g_clear_pointer(&gate->link, g_free);
    g_hash_table_foreach_remove(gate->seats, seat_is_over, NULL);
    if (g_hash_table_size(gate->seats) >= SEATS)
        return NULL;
    Seat *seat = g_new0(Seat, 1);
    *seat = (Seat){.taken = g_get_monotonic_time(), .tokens = g_queue_new()};
    *cookie = secret_new();
    g_hash_table_insert(gate->seats, digest_of(*cookie), seat);
    return seat;
}

Seat *gate_seat(Gate *gate, const char *cookie)
{
    g_autofree char *digest = cookie ? digest_of(cookie) : NULL;
    Seat *seat = digest ? g_hash_table_lookup(gate->seats, digest) : NULL;
    return seat && !is_over(seat->taken, SEAT_LASTS) ? seat : NULL;
}

const char *seat_who(const Seat *seat) { return seat->who; }

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
