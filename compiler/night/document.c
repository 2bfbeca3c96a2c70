/* night_document: the page for the wall.  Everything on it is text in boxes of its own, so
 * that it is read back as a sheet is. */
#include <string.h>

#include "night/parts.h"

#define FIRST_HOUR 18 /* the strip's left end */
#define STRIP_MINUTES (12 * 60)
#define ROWS_A_PART 60 /* pages are set and read back in memory: no more than a few at once */

typedef struct Wall {
    Arena *arena;
    const Night *night;
    guint from, until; /* its rows */
} Wall;

static Line *line(const Wall *wall)
{
    Line *one = arena_new0(wall->arena, Line);
    one->runs = arena_list(wall->arena);
    return one;
}

static Run *add(const Wall *wall, Line *to, const char *text, gboolean strong)
{
    Run *run = arena_new0(wall->arena, Run);
    run->text = text;
    run->strong = strong;
    g_ptr_array_add(to->runs, run);
    return run;
}

static Line *words(const Wall *wall, const char *text, gboolean strong)
{
    Line *one = line(wall);
    add(wall, one, text, strong);
    return one;
}

static Line *phrase(const Wall *wall, const char *id, const char *thing)
{
    const Filling filling[] = {{"thing", thing ? thing : ""}, {NULL, NULL}};
    return said_line(wall->arena, wall->night->words, wall->night->phrases, id, filling, 0);
}

static void put(Block *to, Line *one) { g_ptr_array_add(to->lines, one); }

/* A text with its marked stretches as runs of their own. */
static void add_marked(const Wall *wall, Line *to, const char *text, const GArray *marks, gboolean strong)
{
    gsize all = strlen(text);
    g_autofree gboolean *marked = g_new0(gboolean, all + 1);
    for (guint i = 0; i < marks->len; i++) {
        const NightMark *mark = &g_array_index(marks, NightMark, i);
        for (gsize k = mark->start; k < mark->start + mark->length; k++)
            marked[k] = TRUE;
    }
    for (gsize from = 0, end; from < all; from = end) {
        for (end = from + 1; end < all && marked[end] == marked[from];)
            end++;
        add(wall, to, arena_copy_length(wall->arena, text + from, end - from), strong)->marked = marked[from];
    }
}

/* ---- cells ---- */

static Block *time_cell(const Wall *wall, const NightRow *row)
{
    Block *cell = block_new(wall->arena, BLOCK_TEXT, "time");
    put(cell, words(wall, row->clock, TRUE));
    put(cell, words(wall, row->window, FALSE));
    put(cell, words(wall, row->event, FALSE));
    if (row->away)
        put(cell, words(wall, row->away, TRUE));
    return cell;
}

static Block *code_cell(const Wall *wall, const NightRow *row)
{
    Block *cell = block_new(wall->arena, BLOCK_TEXT, "code");
    Line *code = line(wall), *sheet = line(wall);
    add_marked(wall, code, row->code, row->code_marks, TRUE);
    add_marked(wall, sheet, row->sheet ? row->sheet : "-", row->sheet_marks, FALSE);
    put(cell, code);
    put(cell, sheet);
    const char *rows = night_rows_words(wall->arena, wall->night, row);
    if (rows)
        put(cell, words(wall, rows, TRUE));
    return cell;
}

static Block *medicine_cell(const Wall *wall, const NightRow *row)
{
    Block *cell = block_new(wall->arena, BLOCK_TEXT, "medicine");
    Line *medicine = line(wall), *dose = line(wall);
    if (row->mark)
        add(wall, medicine, arena_format(wall->arena, "%s  ", row->mark), TRUE);
    add_marked(wall, medicine, row->medicine, row->medicine_marks, FALSE);
    add(wall, dose, row->dose, TRUE)->marked = row->dose_marked;
    if (*row->amount)
        add(wall, dose, arena_format(wall->arena, ", %s", row->amount), FALSE);
    put(cell, medicine);
    put(cell, dose);
    put(cell, words(wall, row->place, FALSE));
    return cell;
}

static Block *phone_cell(const Wall *wall, const NightRow *row)
{
    const Night *night = wall->night;
    Block *cell = block_new(wall->arena, BLOCK_TEXT, "phone");
    Line *who = line(wall);
    const char *nobody = night_phrase(wall->arena, night, "night_no_phone", NULL, 0);
    put(cell, words(wall, row->phone ? row->phone : nobody, TRUE));
    put(cell, words(wall, row->needle ? row->needle : night_phrase(wall->arena, night, "night_fixed", NULL, 0), FALSE));
    add(wall, who, arena_format(wall->arena, "%s%s", row->giver, row->interpreter ? ", " : ""), FALSE);
    if (row->interpreter)
        add(wall, who, row->language, TRUE);
    put(cell, who);
    return cell;
}

/* Boxes to write in, each with its label. */
static Block *write_cell(const Wall *wall, const char *role, const char *first, const char *second,
                         const char *third)
{
    Block *cell = block_new(wall->arena, BLOCK_WRITE, role);
    const char *const labels[] = {first, second, third};
    for (gsize i = 0; i < G_N_ELEMENTS(labels); i++)
        if (labels[i])
            put(cell, phrase(wall, labels[i], NULL));
    return cell;
}

static Block *night_row(const Wall *wall, const NightRow *row)
{
    Block *one = block_new(wall->arena, BLOCK_ROW, "row");
    one->number = row->number;
    one->boxed = wall->night->next == row;
    g_ptr_array_add(one->items, time_cell(wall, row));
    g_ptr_array_add(one->items, code_cell(wall, row));
    g_ptr_array_add(one->items, medicine_cell(wall, row));
    g_ptr_array_add(one->items, phone_cell(wall, row));
    g_ptr_array_add(one->items, write_cell(wall, "called", "night_at", "night_by", NULL));
    g_ptr_array_add(one->items, write_cell(wall, "injected", "night_at", "night_yes", "night_no"));
    return one;
}

/* ---- the strip, the list ---- */

static Block *strip(const Wall *wall)
{
    const Night *night = wall->night;
    Block *hours = block_new(wall->arena, BLOCK_HOURS, "hours");
    hours->title = words(wall, said_day(wall->arena, night->words, night->phrases, night->evening, FALSE), TRUE);
    hours->aside = words(wall, said_day(wall->arena, night->words, night->phrases, night->evening + 1, FALSE), TRUE);
    for (int i = 0; i <= 6; i++)
        put(hours, words(wall, said_clock(wall->arena, night->words, night->phrases, (FIRST_HOUR + 2 * i) % 24 * 60),
                         FALSE));
    for (guint i = wall->from; i < wall->until; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        int along = (row->local.day - night->evening) * 24 * 60 + row->local.minute - FIRST_HOUR * 60;
        if (along < 0 || along > STRIP_MINUTES)
            continue; /* its row says when; the strip shows the dark hours */
        Block *dot = block_new(wall->arena, BLOCK_ROW, "dot");
        dot->number = row->number;
        dot->along = along;
        g_ptr_array_add(hours->items, dot);
    }
    return hours;
}

static Block *list(const Wall *wall)
{
    static const char *const heads[] = {"night_head_time", "night_head_code", "night_head_medicine",
                                        "night_head_phone", "night_head_called", "night_head_injected"};
    const Night *night = wall->night;
    Block *rows = block_new(wall->arena, BLOCK_NIGHT, "night");
    gboolean after = FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(heads); i++)
        put(rows, phrase(wall, heads[i], NULL));
    for (guint i = wall->from; i < wall->until; i++) {
        const NightRow *row = g_ptr_array_index(night->rows, i);
        if (row->local.day > night->evening && !after) {
            Block *heading = block_new(wall->arena, BLOCK_ROW, "heading");
            heading->title = night_after(wall->arena, night);
            g_ptr_array_add(rows->items, heading);
            after = TRUE;
        }
        g_ptr_array_add(rows->items, night_row(wall, row));
    }
    return rows;
}

static gboolean any_marked(const Wall *wall)
{
    for (guint i = wall->from; i < wall->until; i++) {
        const NightRow *row = g_ptr_array_index(wall->night->rows, i);
        if (row->code_marks->len || row->sheet_marks->len || row->medicine_marks->len || row->dose_marked)
            return TRUE;
    }
    return FALSE;
}

static gboolean any_language(const Wall *wall)
{
    for (guint i = wall->from; i < wall->until; i++)
        if (((const NightRow *)g_ptr_array_index(wall->night->rows, i))->interpreter)
            return TRUE;
    return FALSE;
}

static Block *notes(const Wall *wall)
{
    const Night *night = wall->night;
    Block *note = block_new(wall->arena, BLOCK_REMARKS, "notes");
    if (night->sends_word)
        put(note, phrase(wall, "night_no_word", NULL));
    if (any_marked(wall))
        put(note, phrase(wall, "night_marked", NULL));
    if (any_language(wall) && night->interpreter)
        put(note, phrase(wall, "night_bold", night->interpreter->number.text));
    const char *stopped = wall->until == night->rows->len ? night_stopped_words(wall->arena, night) : NULL;
    if (stopped)
        put(note, words(wall, stopped, TRUE));
    return note;
}

/* ---- the whole ---- */

static DocumentSection *section(const Wall *wall)
{
    DocumentSection *one = arena_new0(wall->arena, DocumentSection);
    one->role = "night";
    one->blocks = arena_list(wall->arena);
    g_ptr_array_add(one->blocks, strip(wall));
    g_ptr_array_add(one->blocks, list(wall));
    Block *note = notes(wall);
    if (note->lines->len > 0)
        g_ptr_array_add(one->blocks, note);
    return one;
}

/* Whom the nurse rings. */
static const Phone *whom_to_ring(const Night *night)
{
    return night->physician ? night->physician : &night->clinic->phones.night;
}

static Line *foot_number(const Wall *wall)
{
    const Phone *phone = whom_to_ring(wall->night);
    Line *one = line(wall);
    Run *run = add(wall, one, PRESENT(phone->number) ? phone->number.text : "-", TRUE);
    if (PRESENT(phone->dial))
        run->dial = arena_format(wall->arena, "tel:%s", phone->dial.text);
    return one;
}

static const char *made_words(const Wall *wall)
{
    const Night *night = wall->night;
    LocalTime local = zone_local(night->zone, night->made, NULL);
    return arena_format(wall->arena, "%s, %s", said_day(wall->arena, night->words, night->phrases, local.day, TRUE),
                        said_clock(wall->arena, night->words, night->phrases, local.minute));
}

/* Which of many: its first and last time. */
static Line *person_words(const Wall *wall)
{
    const Night *night = wall->night;
    Line *count = night_count(wall->arena, night);
    if (wall->until - wall->from == night->rows->len)
        return count;
    const NightRow *first = g_ptr_array_index(night->rows, wall->from);
    const NightRow *last = g_ptr_array_index(night->rows, wall->until - 1);
    const Filling filling[] = {{"from", first->clock}, {"until", last->clock}, {NULL, NULL}};
    const char *window = night_phrase(wall->arena, night, "night_window", filling, 0);
    add(wall, count, arena_format(wall->arena, " %s", window), TRUE);
    return count;
}

static Document *document_of(const Wall *whole)
{
    const Wall wall = *whole;
    Arena *arena = wall.arena;
    const Night *night = wall.night;
    Document *document = arena_new0(arena, Document);
    const Filling slots[] = {{"page", "{page}"}, {"pages", "{pages}"}, {NULL, NULL}};
    gboolean invented = plan_value(night->words, NULL, VALUE_demonstration)->set;
    const char *made = made_words(&wall);
    document->language = phrases_tag(night->phrases);
    document->right_to_left = phrases_from_right(night->phrases);
    document->title = night_title(arena, night);
    document->head = words(&wall, document->title, TRUE);
    document->person = person_words(&wall);
    document->clinic = night_phrase(arena, night, invented ? "page_clinic_invented" : "page_clinic", NULL, 0);
    document->banner = invented ? night_phrase(arena, night, "invented_mark", NULL, 0) : NULL;
    document->foot_call = foot_number(&wall);
    document->foot_more = phrase(&wall, "night_unsure_foot", NULL);
    const char *typed = night_phrase(arena, night, "dated_by_hand", NULL, 0);
    document->foot = night->typed ? arena_format(arena, "%s. %s", made, typed) : made;
    document->page_of = night_phrase(arena, night, "page_of", slots, 0);
    document->subject = night_phrase(arena, night, "night_subject", NULL, 0);
    document->made_at = night->made;
    document->list = TRUE;
    document->page_sign = PRESENT(whom_to_ring(night)->number) ? whom_to_ring(night)->number.text : "-";
    document->plan = night->words;
    document->injections = arena_list(arena);
    document->sections = arena_list(arena);
    g_ptr_array_add(document->sections, section(&wall));
    return document;
}

Document *night_document(Arena *arena, const Night *night)
{
    return document_of(&(Wall){arena, night, 0, night->rows->len});
}

guint night_parts(const Night *night) { return MAX(1, (night->rows->len + ROWS_A_PART - 1) / ROWS_A_PART); }

Document *night_part(Arena *arena, const Night *night, guint part)
{
    guint from = part * ROWS_A_PART;
    return document_of(&(Wall){arena, night, from, MIN(from + ROWS_A_PART, night->rows->len)});
}
