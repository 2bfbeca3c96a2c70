/* night_near: who may be meant when nobody is called so: a code that was heard or typed wrongly.
 * Letters that sound alike when they are spelled out in English count as half a slip.  Common
 * practice, no source. */
#include <string.h>

#include "night/parts.h"

#define SLIP 2       /* cost of one wrong, missing or exchanged letter; of one that sounds alike half */
#define LEAST 4      /* letters, below which anything is near anything */
#define LONG_NAME 7  /* letters of a name that may hold two slips */
#define LONGEST 40

/* 0: sounds like no other. */
static guint sound_of(gunichar letter)
{
    static const char *const groups[] = {"AHJK8", "BCDEGPTVZ3", "FSX", "MN", "IY", "QUW2", "59", "O0"};
    for (guint i = 0; i < G_N_ELEMENTS(groups); i++)
        if (letter < 128 && letter > 0 && strchr(groups[i], (int)letter))
            return i + 1;
    return 0;
}

static guint cost_of(gunichar one, gunichar two)
{
    if (one == two)
        return 0;
    return sound_of(one) > 0 && sound_of(one) == sound_of(two) ? SLIP / 2 : SLIP;
}

/* What it costs to turn one into the other; two neighbours that changed places are one slip. */
static guint distance(const gunichar *a, gsize m, const gunichar *b, gsize n)
{
    guint rows[LONGEST + 1][LONGEST + 1];
    for (gsize i = 0; i <= m; i++)
        for (gsize j = 0; j <= n; j++) {
            if (i == 0 || j == 0) {
                rows[i][j] = SLIP * (guint)(i + j);
                continue;
            }
            guint best = rows[i - 1][j - 1] + cost_of(a[i - 1], b[j - 1]);
            best = MIN(best, MIN(rows[i - 1][j], rows[i][j - 1]) + SLIP);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                best = MIN(best, rows[i - 2][j - 2] + SLIP);
            rows[i][j] = best;
        }
    return rows[m][n];
}

/* Letters and digits alone, in capitals, owned by the caller. */
static gunichar *letters_of(const char *word, gsize *count)
{
    gunichar *letters = g_new0(gunichar, LONGEST + 1);
    *count = 0;
    for (const char *at = word; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_unichar_toupper(g_utf8_get_char(at));
        if (g_unichar_isalnum(letter) && *count < LONGEST)
            letters[(*count)++] = letter;
    }
    return letters;
}

/* most: what it may cost; G_MAXUINT when it costs more. */
static guint apart(const char *asked, const char *known, gboolean is_name)
{
    gsize m, n;
    g_autofree gunichar *one = letters_of(asked, &m), *two = letters_of(known, &n);
    guint most = is_name && MIN(m, n) >= LONG_NAME ? 2 * SLIP : SLIP;
    if (MIN(m, n) < LEAST)
        return G_MAXUINT;
    guint cost = distance(one, m, two, n);
    return cost <= most ? cost : G_MAXUINT;
}

static guint name_apart(const char *asked, const char *name)
{
    guint best = apart(asked, name, TRUE);
    g_auto(GStrv) words = g_strsplit_set(name, " -'", -1);
    for (char **word = words; *word; word++)
        best = MIN(best, apart(asked, *word, TRUE));
    return best;
}

static guint row_apart(const NightRow *row, const char *asked)
{
    guint sheet = row->sheet ? apart(asked, row->sheet, FALSE) : G_MAXUINT;
    return MIN(MIN(sheet, apart(asked, row->code, FALSE)), name_apart(asked, row->plan->patient->name.text));
}

typedef struct Near {
    NightRow *row;
    guint cost;
} Near;

static gint by_cost(gconstpointer a, gconstpointer b)
{
    const Near *one = a, *two = b;
    if (one->cost != two->cost)
        return one->cost < two->cost ? -1 : 1;
    return one->row->number - two->row->number;
}

GPtrArray *night_near(Arena *arena, const Night *night, const char *word)
{
    GPtrArray *near = arena_list(arena);
    g_autoptr(GArray) all = g_array_new(FALSE, FALSE, sizeof(Near));
    for (guint i = 0; i < night->rows->len && g_utf8_validate(word, -1, NULL); i++) {
        NightRow *row = g_ptr_array_index(night->rows, i);
        const Near one = {row, row_apart(row, word)};
        if (one.cost < G_MAXUINT)
            g_array_append_val(all, one);
    }
    g_array_sort(all, by_cost);
    for (guint i = 0; i < MIN(all->len, NIGHT_NEAR_MOST); i++)
        g_ptr_array_add(near, g_array_index(all, Near, i).row);
    return near;
}
