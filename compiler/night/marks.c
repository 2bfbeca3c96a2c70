/* night_marks: what is easily taken for one another on one night.  Two codes are when they
 * differ in one letter or in two neighbours that changed places; two medicines when their
 * names begin alike or are mostly the same letters; two doses when the medicine is the same
 * or their digits are (0.1 and 1, 500 and 5,000).  Common practice, no source. */
#include <string.h>

#include "night/parts.h"

#define LIKE_START 5  /* letters at the start */
#define MOST_NOT 3    /* rows that one is told apart from by their numbers; of codes in a row all are */
#define LIKE_SHARE 60 /* percent of the longer name that is the same, in order */

static GArray *marks_new(Arena *arena)
{
    GArray *marks = g_array_new(FALSE, FALSE, sizeof(NightMark));
    arena_defer(arena, (GDestroyNotify)g_array_unref, marks);
    return marks;
}

static void add_mark(GArray *marks, gsize start, gsize length)
{
    for (guint i = 0; i < marks->len; i++) {
        const NightMark *mark = &g_array_index(marks, NightMark, i);
        if (mark->start == start && mark->length == length)
            return;
    }
    const NightMark mark = {start, length};
    g_array_append_val(marks, mark);
}

/* Where two codes differ, when that is in one place: *start, *length of it. */
static gboolean codes_alike(const char *a, const char *b, gsize *start, gsize *length)
{
    gsize all = strlen(a), same = 0, end = all;
    if (strlen(b) != all || strcmp(a, b) == 0)
        return FALSE;
    while (a[same] == b[same])
        same++;
    while (a[end - 1] == b[end - 1])
        end--;
    *start = same;
    *length = end - same;
    return *length == 1 || (*length == 2 && a[same] == b[same + 1] && a[same + 1] == b[same]);
}

static void mark_codes(NightRow *one, NightRow *two)
{
    gsize start, length;
    if (codes_alike(one->code, two->code, &start, &length)) {
        add_mark(one->code_marks, start, length);
        add_mark(two->code_marks, start, length);
        g_ptr_array_add(one->not_rows, two);
        g_ptr_array_add(two->not_rows, one);
    }
    if (one->sheet && two->sheet && codes_alike(one->sheet, two->sheet, &start, &length)) {
        add_mark(one->sheet_marks, start, length);
        add_mark(two->sheet_marks, start, length);
    }
}

/* Letters of the longest common subsequence. */
static gsize common_letters(const char *a, const char *b)
{
    gsize m = strlen(a), n = strlen(b);
    g_autofree gsize *row = g_new0(gsize, n + 1);
    for (gsize i = 0; i < m; i++) {
        gsize corner = 0;
        for (gsize j = 0; j < n; j++) {
            gsize above = row[j + 1];
            row[j + 1] = a[i] == b[j] ? corner + 1 : MAX(above, row[j]);
            corner = above;
        }
    }
    return row[n];
}

static gboolean names_alike(const char *a, const char *b)
{
    if (strcmp(a, b) == 0)
        return FALSE;
    return strncmp(a, b, LIKE_START) == 0 || common_letters(a, b) * 100 >= MAX(strlen(a), strlen(b)) * LIKE_SHARE;
}

/* The words of a name that the other one lacks. */
static void mark_words(GArray *marks, const char *name, const char *other)
{
    g_auto(GStrv) words = g_strsplit(other, " ", -1);
    for (const char *at = name; *at;) {
        gsize length = strcspn(at, " ");
        g_autofree char *word = g_strndup(at, length);
        if (length > 0 && !g_strv_contains((const char *const *)words, word))
            add_mark(marks, (gsize)(at - name), length);
        at += length + (at[length] == ' ');
    }
}

static char *digits_of(const char *dose)
{
    GString *out = g_string_new(NULL);
    for (; *dose; dose++)
        if (g_ascii_isdigit(*dose) && *dose != '0')
            g_string_append_c(out, *dose);
    return g_string_free(out, FALSE);
}

static void mark_medicines(NightRow *one, NightRow *two)
{
    if (!one->medicine || !two->medicine || !one->dose || !two->dose)
        return;
    if (names_alike(one->medicine, two->medicine)) {
        mark_words(one->medicine_marks, one->medicine, two->medicine);
        mark_words(two->medicine_marks, two->medicine, one->medicine);
    }
    if (strcmp(one->dose, two->dose) == 0)
        return;
    g_autofree char *first = digits_of(one->dose), *second = digits_of(two->dose);
    gboolean same_unit = one->injection->order->dose.quantity.unit == two->injection->order->dose.quantity.unit;
    if (strcmp(one->medicine, two->medicine) == 0 || (same_unit && strcmp(first, second) == 0))
        one->dose_marked = two->dose_marked = TRUE;
}

void night_mark(Arena *arena, const Night *night)
{
    for (guint i = 0; i < night->rows->len; i++) {
        NightRow *row = g_ptr_array_index(night->rows, i);
        row->code_marks = marks_new(arena);
        row->sheet_marks = marks_new(arena);
        row->medicine_marks = marks_new(arena);
    }
    for (guint i = 0; i < night->rows->len; i++)
        for (guint k = i + 1; k < night->rows->len; k++) {
            NightRow *one = g_ptr_array_index(night->rows, i), *two = g_ptr_array_index(night->rows, k);
            if (one->plan == two->plan)
                continue; /* one person's codes are one */
            mark_codes(one, two);
            mark_medicines(one, two);
        }
    for (guint i = 0; i < night->rows->len; i++) {
        NightRow *row = g_ptr_array_index(night->rows, i);
        if (row->not_rows->len > MOST_NOT)
            g_ptr_array_set_size(row->not_rows, 0);
    }
}
