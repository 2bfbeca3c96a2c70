/* night_text: the night as plain text and as a screen of the terminal. */
#include <string.h>

#include "night/parts.h"

const char *night_phrase(Arena *arena, const Night *night, const char *id, const Filling *fillings, gint64 count)
{
    return said_phrase(arena, night->words, night->phrases, id, fillings, count);
}

const char *night_title(Arena *arena, const Night *night)
{
    const Filling filling[] = {{"date", said_day(arena, night->words, night->phrases, night->evening, TRUE)},
                               {"next", said_day(arena, night->words, night->phrases, night->evening + 1, FALSE)},
                               {NULL, NULL}};
    return night_phrase(arena, night, "night_title", filling, 0);
}

const char *night_rows_words(Arena *arena, const Night *night, const NightRow *row)
{
    g_autoptr(GString) out = g_string_new(NULL), rows = g_string_new(NULL);
    for (guint i = 0; i < row->not_rows->len; i++)
        g_string_append_printf(rows, "%s%d", i ? ", " : "",
                               ((const NightRow *)g_ptr_array_index(row->not_rows, i))->number);
    const Filling others[] = {{"n", rows->str}, {NULL, NULL}};
    if (rows->len > 0)
        g_string_append(out, night_phrase(arena, night, "night_not_row", others, 0));
    if (row->other) {
        g_autofree char *number = g_strdup_printf("%d", row->other->number);
        const Filling filling[] = {{"which", row->other->mark ? row->other->mark : ""}, {"n", number}, {NULL, NULL}};
        g_string_append_printf(out, "%s%s", out->len ? "; " : "",
                               night_phrase(arena, night, "night_other_row", filling, 0));
    }
    return out->len > 0 ? arena_copy(arena, out->str) : NULL;
}

/* "doctor on call 902 555 0149", or NULL. */
static const char *night_ring(Arena *arena, const Night *night)
{
    const Phone *phone = night->physician;
    if (!phone)
        return NULL;
    const char *answers = clinic_saying(night->clinic, &phone->answers), *who = answers ? answers : "";
    return arena_format(arena, "%s%s%s", who, *who ? " " : "", phone->number.text);
}

/* ---- one row ---- */

/* In a terminal a space is a space: columns are counted, and words are looked for. */
static const char *plain(Arena *arena, const char *text)
{
    g_autoptr(GString) out = g_string_new(text);
    g_string_replace(out, "\302\240", " ", 0);
    return arena_copy(arena, out->str);
}

static void make_plain(GString *out, gsize from)
{
    g_autoptr(GString) tail = g_string_new(out->str + from);
    g_string_replace(tail, "\302\240", " ", 0);
    g_string_truncate(out, from);
    g_string_append(out, tail->str);
}

static void add_row(Arena *arena, const Night *night, const NightRow *row, GString *out)
{
    const char *rows = night_rows_words(arena, night, row);
    g_string_append_printf(out, "%2d  %-9s %-12s %s%s%s\n", row->number, plain(arena, row->clock), row->code,
                           row->mark ? row->mark : "",
                           row->mark ? "  " : "", row->medicine);
    g_string_append_printf(out, "    %s%s%s · %s · %s, %s · %s\n", row->window, row->away ? " · " : "",
                           row->away ? row->away : "", row->sheet, row->dose, row->amount, row->place);
    g_string_append_printf(out, "    %s · %s · %s · %s", row->phone ? row->phone
                           : night_phrase(arena, night, "night_no_phone", NULL, 0), row->giver,
                           row->needle ? row->needle : night_phrase(arena, night, "night_fixed", NULL, 0), row->event);
    if (row->interpreter) {
        const Filling filling[] = {{"thing", row->language}, {NULL, NULL}};
        g_string_append_printf(out, " · %s", night_phrase(arena, night, "night_interpreter", filling, 0));
    }
    g_string_append_printf(out, "%s%s%s\n", rows ? " · " : "", rows ? rows : "", row->dose_marked ? " · (!) " : "");
    if (row->dose_marked)
        g_string_insert(out, (gssize)out->len - 1, night_phrase(arena, night, "night_read_dose", NULL, 0));
}

static void add_slip(Arena *arena, const Night *night, const NightSlip *slip, GString *out)
{
    g_string_append_printf(out, "    %s\n", slip->title);
    const struct { const char *id, *text; } parts[] = {
        {"night_ask", slip->ask}, {"night_say", slip->say}, {"night_then", slip->then}};
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
        if (parts[i].text)
            g_string_append_printf(out, "      %s: %s\n", night_phrase(arena, night, parts[i].id, NULL, 0),
                                   parts[i].text);
    if (!slip->say) {
        const char *ring = night_ring(arena, night);
        const Filling filling[] = {{"thing", ring ? ring : ""}, {NULL, NULL}};
        g_string_append_printf(out, "      %s\n", night_phrase(arena, night, "night_ring", filling, 0));
    }
}

static void add_state(Arena *arena, const Night *night, const NightRow *row, GString *out)
{
    const char *left = row->injected ? NULL : night_countdown(arena, night, row);
    g_string_append_printf(out, "    %s %s%s%s", night_sign(row->state), night_state_words(arena, night, row->state),
                           left ? " · " : "", left ? left : "");
    if (night_is_over(night, row)) {
        LocalTime end = zone_local(night->zone, row->until, NULL);
        g_string_append_printf(out, "%s%s %s", row->state == NIGHT_OVER ? "" : " · ",
                               row->state == NIGHT_OVER ? "" : night_state_words(arena, night, NIGHT_OVER),
                               said_clock(arena, night->words, night->phrases, end.minute));
    }
    if (row->injected) {
        LocalTime local = zone_local(night->zone, row->injected->given, NULL);
        g_string_append_printf(out, " %s", said_clock(arena, night->words, night->phrases, local.minute));
    } else if (row->call) {
        LocalTime local = zone_local(night->zone, row->call->at, NULL);
        g_string_append_printf(out, " · %s%s%s", said_clock(arena, night->words, night->phrases, local.minute),
                               row->call->said ? ": " : "", row->call->said ? row->call->said : "");
    }
    g_string_append_c(out, '\n');
}

void night_row_text(const Night *night, const NightRow *row, GString *out)
{
    Arena *arena = arena_new();
    gsize from = out->len;
    add_row(arena, night, row, out);
    add_state(arena, night, row, out);
    const GPtrArray *slips = night_slips(arena, night, row);
    for (guint i = 0; i < slips->len; i++)
        add_slip(arena, night, g_ptr_array_index(slips, i), out);
    make_plain(out, from);
    arena_free(arena);
}

/* ---- the list ---- */

/* Who has no sheet and may be due: the codes behind one another; NULL when nobody. */
const char *night_stopped_words(Arena *arena, const Night *night)
{
    g_autoptr(GString) codes = g_string_new(NULL);
    for (guint i = 0; i < night->stopped->len; i++)
        g_string_append_printf(codes, "%s%s", i ? ", " : "",
                               ((const NightStopped *)g_ptr_array_index(night->stopped, i))->code);
    const Filling filling[] = {{"thing", codes->str}, {NULL, NULL}};
    return codes->len > 0 ? night_phrase(arena, night, "night_stopped", filling, 0) : NULL;
}

static void add_foot(Arena *arena, const Night *night, GString *out)
{
    const char *ring = night_ring(arena, night);
    const Filling who[] = {{"thing", ring ? ring : ""}, {NULL, NULL}};
    g_string_append_c(out, '\n');
    if (night->sends_word)
        g_string_append_printf(out, "%s\n", night_phrase(arena, night, "night_no_word", NULL, 0));
    if (ring)
        g_string_append_printf(out, "%s\n", night_phrase(arena, night, "night_unsure", who, 0));
    const char *stopped = night_stopped_words(arena, night);
    if (stopped)
        g_string_append_printf(out, "%s\n", stopped);
    if (night->typed)
        g_string_append_printf(out, "%s\n", night_phrase(arena, night, "dated_by_hand", NULL, 0));
}

Line *night_after(Arena *arena, const Night *night)
{
    const Filling filling[] = {
        {"weekday", said_day(arena, night->words, night->phrases, night->evening, FALSE)},
        {"next", said_day(arena, night->words, night->phrases, night->evening + 1, FALSE)}, {NULL, NULL}};
    return said_line(arena, night->words, night->phrases, "night_after", filling, 0);
}

static const char *midnight_words(Arena *arena, const Night *night)
{
    return line_text(arena, night_after(arena, night));
}

Line *night_count(Arena *arena, const Night *night)
{
    const Filling filling[] = {{"n", arena_format(arena, "%u", night->rows->len)}, {NULL, NULL}};
    return said_line(arena, night->words, night->phrases, "night_count", filling, night->rows->len);
}

void night_text(const Night *night, gboolean slips, GString *out)
{
    Arena *arena = arena_new();
    gboolean after = FALSE;
    gsize from = out->len;
    g_string_append_printf(out, "%s\n%s\n", night_title(arena, night), line_text(arena, night_count(arena, night)));
    for (guint i = 0; i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        g_string_append_c(out, '\n');
        if (row->local.day > night->evening && !after) {
            g_string_append_printf(out, "---- %s\n\n", midnight_words(arena, night));
            after = TRUE;
        }
        if (slips)
            night_row_text(night, row, out);
        else
            add_row(arena, night, row, out);
    }
    add_foot(arena, night, out);
    make_plain(out, from);
    arena_free(arena);
}

/* ---- the screen ---- */

typedef struct Screen {
    Arena *arena;
    const Night *night;
    int columns;
    gboolean bold;
    GString *out;
} Screen;

static void put(const Screen *screen, gboolean strong, const char *text)
{
    const char *said = plain(screen->arena, text);
    g_autofree char *cut = g_utf8_strlen(said, -1) > screen->columns ? g_utf8_substring(said, 0, screen->columns)
                                                                      : g_strdup(said);
    gboolean shown = strong && screen->bold;
    g_string_append_printf(screen->out, "%s%s%s\n", shown ? "\033[1m" : "", cut, shown ? "\033[0m" : "");
}

static void put_next(const Screen *screen)
{
    const NightRow *row = screen->night->next;
    Arena *arena = screen->arena;
    if (!row) {
        put(screen, TRUE, night_phrase(arena, screen->night, "night_nobody", NULL, 0));
        return;
    }
    const char *left = night_countdown(arena, screen->night, row);
    put(screen, TRUE, arena_format(arena, "%s   %s   %s %s%s%s", row->clock, left ? left : "", row->code, row->sheet,
                                   row->mark ? " " : "", row->mark ? row->mark : ""));
    put(screen, FALSE, arena_format(arena, "%s %s, %s · %s", row->medicine, row->dose, row->amount, row->place));
    put(screen, FALSE, arena_format(arena, "%s · %s · %s%s%s", row->window, row->giver, row->language,
                                    row->phone ? " · " : "", row->phone ? row->phone : ""));
}


static const char *clock_of(const Screen *screen, Instant at)
{
    const Night *night = screen->night;
    return said_clock(screen->arena, night->words, night->phrases, zone_local(night->zone, at, NULL).minute);
}

static void put_one_open(const Screen *screen, const NightRow *row)
{
    const char *said = row->call && row->call->said ? row->call->said : NULL;
    put(screen, TRUE,
        arena_format(screen->arena, "%s %s %s · %s %s%s%s%s%s", night_sign(row->state), row->code, row->sheet,
                     night_state_words(screen->arena, screen->night, row->state),
                     clock_of(screen, row->call ? row->call->at : row->until), said ? ": " : "", said ? said : "",
                     row->phone ? " · " : "", row->phone ? row->phone : ""));
}

static void put_open(const Screen *screen)
{
    gboolean headed = FALSE;
    for (guint i = 0; i < screen->night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(screen->night->rows, i);
        if (!night_is_open(row))
            continue;
        if (!headed)
            put(screen, TRUE, night_phrase(screen->arena, screen->night, "night_open", NULL, 0));
        headed = TRUE;
        put_one_open(screen, row);
    }
    if (headed)
        put(screen, FALSE, "");
}

static void put_row(const Screen *screen, const NightRow *row)
{
    const Night *night = screen->night;
    const char *rows = night_rows_words(screen->arena, night, row);
    const char *state = night_state_words(screen->arena, night, row->state);
    put(screen, row == night->next,
        arena_format(screen->arena, "%s %2d %-9s%-12s%-6s %s %s %s · %s%s%s%s%s", night_sign(row->state), row->number,
                     plain(screen->arena, row->clock), row->code, row->sheet, row->mark ? row->mark : " ",
                     row->medicine, row->dose, state, row->injected ? " " : "",
                     row->injected ? clock_of(screen, row->injected->given) : "", rows ? " · " : "", rows ? rows : ""));
}

static void put_rows(const Screen *screen)
{
    const Night *night = screen->night;
    gboolean after = FALSE;
    for (guint i = 0; i < night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (row->local.day > night->evening && !after)
            put(screen, FALSE, arena_format(screen->arena, "---- %s", midnight_words(screen->arena, night)));
        after |= row->local.day > night->evening;
        put_row(screen, row);
    }
}

void night_screen(const Night *night, int columns, gboolean bold, GString *out)
{
    Screen screen = {arena_new(), night, columns, bold, out};
    LocalTime local = zone_local(night->zone, night->now, NULL);
    put(&screen, FALSE, arena_format(screen.arena, "%s · %s", said_clock(screen.arena, night->words, night->phrases,
                                                                         local.minute),
                                     night_title(screen.arena, night)));
    put(&screen, FALSE, "");
    put_next(&screen);
    put(&screen, FALSE, "");
    put_open(&screen);
    put_rows(&screen);
    const char *ring = night_ring(screen.arena, night);
    const Filling who[] = {{"thing", ring ? ring : ""}, {NULL, NULL}};
    put(&screen, FALSE, "");
    if (ring)
        put(&screen, FALSE, night_phrase(screen.arena, night, "night_unsure", who, 0));
    const char *stopped = night_stopped_words(screen.arena, night);
    if (stopped)
        put(&screen, TRUE, stopped);
    arena_free(screen.arena);
}
