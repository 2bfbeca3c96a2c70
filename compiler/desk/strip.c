/* desk_strip: the night from 6 pm to 6 am with a sign at each minute.  Places are hundredths of a
 * percent of its width, so that one drawing fits every screen. */
#include <stdlib.h>
#include <string.h>

#include "desk/tonight.h"

#define FIRST_MINUTE (18 * 60)
#define MINUTES (12 * 60)
#define WHOLE 10000
#define SIGN 230      /* a sign's width */
#define SIGN_SMALL 560 /* on a telephone */
#define NOW_WIDE 950  /* from the label of now to one of an hour, so that both can be read */
#define NOW_SLIM 1900 /* on a telephone */
#define LETTER 75     /* a letter of a name */
#define LINE 40       /* half of what a line to a sign keeps clear */
#define LEVELS 2      /* rows of names above the strip */

/* Where an instant stands; outside 0..WHOLE when the strip does not hold it. */
static int place_of(const Night *night, Instant at)
{
    LocalTime local = zone_local(night->zone, at, NULL);
    int minute = (local.day - night->evening) * 24 * 60 + local.minute - FIRST_MINUTE;
    return minute * WHOLE / MINUTES;
}

static void put_place(View *view, const char *name, int place)
{
    view_format(view, name, "%d.%02d", place / 100, place % 100);
}

static gboolean is_on(int place) { return place >= 0 && place <= WHOLE; }

/* A name is written for those who are still open. */
static gboolean is_named(const NightRow *row)
{
    return row->state != NIGHT_INJECTED && row->state != NIGHT_OVER;
}

/* Where a name stands above its sign. */
typedef struct NamePlace {
    int left, right, level;
    gboolean before; /* its words end at the line that leads to the sign */
} NamePlace;

static gboolean is_free(const GArray *labels, int left, int right, int level)
{
    for (guint i = 0; i < labels->len; i++) {
        const NamePlace *one = &g_array_index(labels, NamePlace, i);
        if (one->level == level && left <= one->right && right >= one->left)
            return FALSE;
    }
    return TRUE;
}

/* A name that covers no other, nor the line of one above it.  FALSE when there is no room. */
static gboolean place_label(GArray *labels, int place, int width, NamePlace *out)
{
    for (int level = 0; level < LEVELS; level++)
        for (int before = place > WHOLE / 2 ? 0 : 1, tries = 0; tries < 2; tries++, before = !before) {
            *out = (NamePlace){before ? place - width : place - LINE, before ? place + LINE : place + width, level,
                               before};
            if (out->left < 0 || out->right > WHOLE || !is_free(labels, out->left, out->right, level) ||
                (level > 0 && !is_free(labels, place - LINE, place + LINE, 0)))
                continue;
            g_array_append_val(labels, *out);
            const NamePlace line = {place - LINE, place + LINE, 0, FALSE};
            if (level > 0)
                g_array_append_val(labels, line);
            return TRUE;
        }
    return FALSE;
}

static void name_sign(View *strip, const NightRow *row, int place, GArray *labels)
{
    const char *name = row->plan->patient->name.text;
    NamePlace label;
    if (!place_label(labels, place, (int)g_utf8_strlen(name, -1) * LETTER + 2 * LINE, &label))
        return; /* its row has it */
    View *view = view_add(strip, "labels");
    put_place(view, "x", place);
    view_text(view, "name", name);
    view_text(view, "anchor", label.before ? "end" : "start");
    view_text(view, "dx", label.before ? "-6" : "6");
    view_text(view, "top", label.level == 0 ? "34" : "10");
    view_text(view, "base", label.level == 0 ? "48" : "24");
    view_flag(view, "strong", row->state != NIGHT_TO_COME);
}

/* Signs nearer than one's width stand in two lanes; on a telephone that is sooner. */
static void add_sign(View *strip, const NightRow *row, int place, int before, int after, guint *lane)
{
    View *sign = view_add(strip, "signs");
    gboolean close = place - before < SIGN || after - place < SIGN;
    gboolean small = place - before < SIGN_SMALL || after - place < SIGN_SMALL;
    put_place(sign, "x", place);
    *lane = small ? *lane + 1 : 0;
    view_text(sign, "y", !close ? "84" : *lane % 2 ? "73" : "95");
    view_text(sign, "lane", !small ? "" : *lane % 2 ? "up" : "dn");
    view_flag(sign, "small", close);
    static const char *const states[] = {
#define NIGHT_STATE(id, sign, phrase) [NIGHT_##id] = #id,
#include "night/states.def"
    };
    view_flag(sign, states[row->state], TRUE);
}

/* The next one's name has its place first, then of those who are not settled, then the others. */
static void name_signs(View *strip, const Night *night)
{
    g_autoptr(GArray) labels = g_array_new(FALSE, FALSE, sizeof(NamePlace));
    for (int turn = 0; turn < 3; turn++)
        for (guint i = 0; i < night->rows->len; i++) {
            const NightRow *row = g_ptr_array_index(night->rows, i);
            int place = place_of(night, row->at), own = row == night->next ? 0 : night_is_open(row) ? 1 : 2;
            if (own == turn && is_on(place) && is_named(row))
                name_sign(strip, row, place, labels);
        }
}

static void add_signs(View *strip, const Night *night, const NightRow *only)
{
    guint lane = 0;
    for (guint i = 0; i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        const NightRow *last = i > 0 ? g_ptr_array_index(night->rows, i - 1) : NULL;
        const NightRow *next = i + 1 < night->rows->len ? g_ptr_array_index(night->rows, i + 1) : NULL;
        int place = place_of(night, row->at);
        if (!is_on(place) || (only && row != only))
            continue;
        add_sign(strip, row, place, last && !only ? place_of(night, last->at) : -WHOLE,
                 next && !only ? place_of(night, next->at) : 2 * WHOLE, &lane);
    }
    if (!only)
        name_signs(strip, night);
}

/* "6 pm" or "18:00" */
static char *hour_text(Arena *arena, const Clinic *clinic, int hour)
{
    gboolean twelve = PRESENT(clinic->clock) && clinic->clock.value == Clock_TWELVE;
    return twelve ? arena_format(arena, "%d %s", (hour + 11) % 12 + 1, hour < 12 ? "am" : "pm")
                  : clinic_clock(arena, clinic, hour * 60);
}

/* now: where its label stands, which goes first. */
static void add_hours(View *strip, Arena *arena, const Clinic *clinic, int now)
{
    static const int hours[] = {18, 20, 22, 0, 2, 4, 6}; /* midnight parts the days, and is named by them */
    view_text(strip, "from", hour_text(arena, clinic, hours[0]));
    view_text(strip, "until", hour_text(arena, clinic, hours[6]));
    for (int i = 0; i < 13; i++)
        put_place(view_add(strip, "ticks"), "x", i * WHOLE / 12);
    for (int i = 0; i < 7; i++) {
        int apart = abs(i * WHOLE / 6 - now);
        if (hours[i] == 0 || (is_on(now) && apart < NOW_WIDE))
            continue;
        View *hour = view_add(strip, "hours");
        put_place(hour, "x", i * WHOLE / 6);
        view_text(hour, "hour", hour_text(arena, clinic, hours[i]));
        view_text(hour, "anchor", i == 0 ? "start" : i == 6 ? "end" : "middle");
        view_flag(hour, "wide", (i % 6 != 0 && i != 4) || (is_on(now) && apart < NOW_SLIM));
    }
}

/* The white window of the one that is next, or of the only one. */
static void add_frame(View *strip, const Night *night, const NightRow *row)
{
    int from = row ? place_of(night, row->from) : -1, until = row ? place_of(night, row->until) : -1;
    if (!is_on(from) || !is_on(until))
        return;
    View *frame = view_add(strip, "frame");
    put_place(frame, "x", from);
    put_place(frame, "width", MAX(until - from, 100));
}

void tonight_show_strip(View *view, Arena *arena, const Night *night, const NightRow *only)
{
    View *strip = view_add(view, "strip");
    int now = place_of(night, night->now);
    view_text(strip, "evening", weekday_name(day_weekday(night->evening)));
    view_text(strip, "morning", weekday_name(day_weekday(night->evening + 1)));
    view_flag(strip, "alone", only != NULL);
    add_hours(strip, arena, night->clinic, now);
    add_frame(strip, night, only ? only : night->next);
    if (is_on(now)) {
        View *line = view_add(strip, "now");
        put_place(line, "x", now);
        view_text(line, "clock", page_clock(arena, night->clinic, night->now));
        view_text(line, "anchor", now < 600 ? "start" : now > WHOLE - 600 ? "end" : "middle");
    }
    add_signs(strip, night, only);
}
