/* output_read_back: see output_read_back.h. */
#include "output/output.h"

#include <string.h>

#include "output/read_boxes.h"
#include "output/rims.h"
#include "output/seal.h"

#define MOST_REPORTED 5

typedef struct Reading {
    GHashTable *must; /* number -> how often it must stand there, at least */
    GHashTable *may;  /* numbers that may stand there */
    GHashTable *seen; /* number -> how often it was read */
    GString *text;    /* all pages, without spaces */
    gboolean amounts; /* numbers are compared with their units: not where words run from the right */
    const Document *document;
    Diagnostics *diagnostics;
    guint faults;
} Reading;

static void count(GHashTable *table, const char *word, int times)
{
    int before = GPOINTER_TO_INT(g_hash_table_lookup(table, word));
    g_hash_table_insert(table, g_strdup(word), GINT_TO_POINTER(before + times));
}

/* Digits with what may stand between them: "11:30", "10,000", "0.5".  Letters and
 * spaces end a number, since columns may be read without space between them. */
static gsize number_length(const char *at)
{
    gsize length = 0;
    while (g_ascii_isdigit(at[length]) || (strchr(",.:", at[length]) && at[length] && g_ascii_isdigit(at[length + 1])))
        length++;
    return length;
}

#define NO_BREAK_SPACE "\302\240"

/* What stands behind a number and is not parted from it: "mL", "pm", "units".  The
 * reader gives the no-break space back as one or the other. */
static char *amount_at(const char *number, gsize length, gboolean any_space)
{
    const char *unit = number + length;
    if (g_str_has_prefix(unit, NO_BREAK_SPACE))
        unit += strlen(NO_BREAK_SPACE);
    else if (any_space && *unit == ' ')
        unit++;
    else
        return NULL;
    gsize letters = 0;
    while (g_ascii_isalpha(unit[letters]))
        letters++;
    return letters > 0 ? g_strdup_printf("%.*s %.*s", (int)length, number, (int)letters, unit) : NULL;
}

typedef enum Units { UNITS_NONE, UNITS_NO_BREAK, UNITS_ANY_SPACE } Units;

static void count_numbers(GHashTable *table, const char *text, Units units)
{
    for (const char *at = text; *at;) {
        gsize length = g_ascii_isdigit(*at) ? number_length(at) : 0;
        gboolean joined = length > 0 && units != UNITS_NONE;
        g_autofree char *number = g_strndup(at, length);
        g_autofree char *amount = joined ? amount_at(at, length, units == UNITS_ANY_SPACE) : NULL;
        if (length > 0)
            count(table, number, 1);
        if (amount)
            count(table, amount, 1);
        at += MAX(1, length);
    }
}

/* Numbers in two columns may be read as one.  Only telephone numbers stand so, and
 * only groups of three digits or more are parted: a dose is never read as two. */
#define SHORTEST_GROUP 3

static void part_joined(Reading *reading)
{
    g_autoptr(GList) words = g_hash_table_get_keys(reading->seen);
    for (GList *item = words; item; item = item->next) {
        const char *word = item->data;
        gsize length = strlen(word);
        if (g_hash_table_contains(reading->must, word) || g_hash_table_contains(reading->may, word))
            continue;
        for (gsize at = SHORTEST_GROUP; at + SHORTEST_GROUP <= length; at++) {
            g_autofree char *left = g_strndup(word, at);
            if (!g_hash_table_contains(reading->must, left) || !g_hash_table_contains(reading->must, word + at))
                continue;
            count(reading->seen, left, 1);
            count(reading->seen, word + at, 1);
            g_hash_table_remove(reading->seen, word);
            break;
        }
    }
}

static void must_visit(const char *text, gpointer data)
{
    Reading *reading = data;
    count_numbers(reading->must, text, reading->amounts ? UNITS_NO_BREAK : UNITS_NONE);
}

static void may_visit(const char *text, gpointer data) { count_numbers(((Reading *)data)->may, text, UNITS_NONE); }

static void may_number(Reading *reading, Rational value)
{
    g_autoptr(GString) text = g_string_new(NULL);
    rational_print(text, value, 3, NULL);
    count(reading->may, text->str, 1);
}

static void barrel(Reading *reading, const Syringe *syringe)
{
    if (!syringe) /* a pen */
        return;
    Rational every = quantity_in(syringe->number_every.quantity, UNIT_mL).number;
    Rational capacity = quantity_in(syringe->capacity.quantity, UNIT_mL).number;
    gint64 marks = rational_floor(rational_div(capacity, every));
    for (gint64 i = 0; i <= marks; i++) {
        Rational volume = rational_mul(every, rational_make(i, 1));
        gboolean u100 = syringe->marks.value == Marks_U100;
        may_number(reading, u100 ? rational_mul(volume, rational_make(100, 1)) : volume);
    }
}

static void barrels(Reading *reading, const PlanInjection *injection)
{
    barrel(reading, injection->syringe);
    if (injection->mixing_syringe != injection->syringe)
        barrel(reading, injection->mixing_syringe);
}

/* Each row of a list must show its number. */
static void numbers_of_rows(Reading *reading)
{
    for (guint i = 0; i < reading->document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(reading->document->sections, i);
        for (guint j = 0; j < section->blocks->len; j++) {
            const Block *block = g_ptr_array_index(section->blocks, j);
            if (block->kind == BLOCK_HOURS) /* with too many at one hour its dots are left out: the rows say all */
                continue;
            for (guint k = 0; k < block->items->len; k++) {
                const Block *row = g_ptr_array_index(block->items, k);
                g_autofree char *number = g_strdup_printf("%d", row->number);
                if (row->kind == BLOCK_ROW && row->number > 0)
                    count(reading->must, number, 1);
            }
        }
    }
}

/* The numbers printed on the barrels, of panels and pages, and the 0 of a pen's window. */
static void furniture(Reading *reading, int pages)
{
    for (int i = 0; i <= MAX(pages, document_steps(reading->document)); i++)
        may_number(reading, rational_make(i, 1));
    if (reading->document->list) {
        numbers_of_rows(reading);
        return;
    }
    barrels(reading, reading->document->injection);
    for (guint i = 0; i < reading->document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(reading->document->sections, i);
        if (section->injection)
            barrels(reading, section->injection);
    }
}

static void differs(Reading *reading, const char *what, const char *word)
{
    if (reading->faults++ >= MOST_REPORTED)
        return;
    Finding *finding = finding_add(reading->diagnostics, RULE_read_back_differs, PLACE_NOWHERE);
    finding_fact(finding, "%s \"%s\"", what, word);
    finding_help(finding, "this is a mistake of the program: do not use the sheet, and report it");
}

/* An amount may be read with what stands in the next column: "14 mgto fill". */
static int times_seen(const Reading *reading, const char *wanted)
{
    GHashTableIter iterator;
    gpointer word, times;
    int seen = GPOINTER_TO_INT(g_hash_table_lookup(reading->seen, wanted));
    if (!strchr(wanted, ' '))
        return seen;
    g_hash_table_iter_init(&iterator, reading->seen);
    while (g_hash_table_iter_next(&iterator, &word, &times))
        seen += strcmp(word, wanted) != 0 && g_str_has_prefix(word, wanted) ? GPOINTER_TO_INT(times) : 0;
    return seen;
}

/* Each number must be read as often as it was written; lines are drawn on one
 * page each, head and foot on all. */
static void compare(Reading *reading)
{
    GHashTableIter iterator;
    gpointer word, times;
    part_joined(reading);
    g_hash_table_iter_init(&iterator, reading->must);
    while (g_hash_table_iter_next(&iterator, &word, &times))
        if (times_seen(reading, word) < GPOINTER_TO_INT(times))
            differs(reading, "it should say", word);
    g_hash_table_iter_init(&iterator, reading->seen);
    while (g_hash_table_iter_next(&iterator, &word, &times))
        if (!strchr(word, ' ') && !g_hash_table_contains(reading->must, word) &&
            !g_hash_table_contains(reading->may, word))
            differs(reading, "it says", word);
}

/* The reader adds marks of direction that nobody wrote (U+200E, U+200F, U+202A to
 * U+202E); they part words as a space does.  Each stays one letter. */
static void blank_marks(ReadPage *page)
{
    GString *out = g_string_sized_new(strlen(page->text));
    for (const char *at = page->text; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        gboolean mark = letter == 0x200E || letter == 0x200F || (letter >= 0x202A && letter <= 0x202E);
        g_string_append_unichar(out, mark ? ' ' : letter);
    }
    g_free(page->text);
    page->text = g_string_free(out, FALSE);
}

/* ---- words ---- */

static void squeeze(GString *out, const char *text)
{
    for (const char *at = text; *at; at = g_utf8_next_char(at))
        if (!g_unichar_isspace(g_utf8_get_char(at)))
            g_string_append_len(out, at, g_utf8_next_char(at) - at);
}

#define SHORTEST_WORD 3

/* Each word of a value that is no number: names, weekdays, places. */
static void find_words(Reading *reading, const char *text)
{
    g_auto(GStrv) words = g_strsplit_set(text, " ,.;:()/", -1);
    for (char **word = words; *word; word++) {
        g_autoptr(GString) wanted = g_string_new(NULL);
        squeeze(wanted, *word);
        if (g_utf8_strlen(wanted->str, -1) >= SHORTEST_WORD && !strstr(reading->text->str, wanted->str))
            differs(reading, "it should say", wanted->str);
    }
}

static void find_values(Reading *reading, const Block *block)
{
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *line = g_ptr_array_index(block->lines, i);
        for (guint j = 0; j < line->runs->len; j++) {
            const Run *run = g_ptr_array_index(line->runs, j);
            if (run->from_value)
                find_words(reading, run->text);
        }
    }
    for (guint i = 0; i < block->items->len; i++)
        find_values(reading, g_ptr_array_index(block->items, i));
}

#define STEP_START 12 /* letters that tell a step */

/* Each panel begins behind the one before it. */
static const char *find_steps(Reading *reading, const Block *block, const char *from)
{
    if (block->kind == BLOCK_PANEL && block->lines->len > 0 && from) {
        g_autoptr(GString) start = g_string_new(NULL), words = g_string_new(NULL);
        const Line *line = g_ptr_array_index(block->lines, 0);
        for (guint j = 0; j < line->runs->len; j++)
            squeeze(words, ((const Run *)g_ptr_array_index(line->runs, j))->text);
        g_string_append_printf(start, "%d%s%.*s", block->number, block->half ? block->half : "", STEP_START,
                               words->str);
        from = strstr(from, start->str);
        if (!from)
            differs(reading, "out of order or missing: step", start->str);
    }
    for (guint i = 0; from && i < block->items->len; i++)
        from = find_steps(reading, g_ptr_array_index(block->items, i), from);
    return from;
}

/* Readers give letters that join in the order of the eye: there only numbers are compared. */
static void compare_words(Reading *reading, const Document *document)
{
    for (const Document *part = document; part; part = part->second) {
        const char *at = reading->text->str; /* the pages of two languages may take turns */
        for (guint i = 0; !part->right_to_left && i < part->sections->len; i++) {
            const DocumentSection *section = g_ptr_array_index(part->sections, i);
            for (guint j = 0; j < section->blocks->len; j++) {
                find_values(reading, g_ptr_array_index(section->blocks, j));
                at = find_steps(reading, g_ptr_array_index(section->blocks, j), at);
            }
        }
    }
}

/* ---- box by box ---- */

/* What a box of words says must be what it was given, letter for letter, but for spaces; then its
 * numbers are those that it was given. */
static void compare_box(Reading *reading, const ReadBox *one)
{
    g_autoptr(GString) wanted = g_string_new(NULL);
    for (gsize i = 0; i < one->box->count; i++) {
        count_numbers(reading->seen, one->box->runs[i].text, UNITS_ANY_SPACE);
        squeeze(wanted, one->box->runs[i].text);
    }
    g_autofree char *read = output_read_lines(one);
    g_autofree char *composed = g_utf8_normalize(wanted->str, -1, G_NORMALIZE_NFC);
    g_autofree char *found = g_utf8_normalize(read, -1, G_NORMALIZE_NFC);
    squeeze(reading->text, wanted->str);
    if (g_strcmp0(composed, found) == 0)
        return;
    differs(reading, "it should say", composed);
    differs(reading, "it says", found);
}

static void read_boxes(Reading *reading, const PageBox *page, const ReadPage *read)
{
    g_autoptr(GArray) boxes = output_read_boxes(page, read);
    for (guint i = 0; i < boxes->len; i++) {
        const ReadBox *one = &g_array_index(boxes, ReadBox, i);
        if (!one->box && one->text->len > 0)
            differs(reading, "outside every box it says", one->text->str);
        /* letters that join come in the order of the eye: of those only numbers are compared */
        if (one->box && one->box->kind == BOX_TEXT && !page->from_right) {
            compare_box(reading, one);
            continue;
        }
        count_numbers(reading->seen, one->text->str, UNITS_ANY_SPACE);
        squeeze(reading->text, one->text->str);
    }
}

/* A long code goes over a line's end behind one of its hyphens. */
static gboolean begins_with_name(const char *at, const char *name)
{
    for (const char *letter = name; *letter; letter++, at++) {
        while (letter > name && letter[-1] == '-' && g_ascii_isspace(*at))
            at++;
        if (*at != *letter)
            return FALSE;
    }
    return TRUE;
}

static gboolean says_name(const char *text, const char *name)
{
    for (const char *at = strchr(text, *name); at && *name; at = strchr(at + 1, *name))
        if (begins_with_name(at, name))
            return TRUE;
    return FALSE;
}

static gboolean read_pages(Reading *reading, const GPtrArray *pages, const GPtrArray *boxes)
{
    const Document *document = reading->document;
    const char *name = document->list ? document->page_sign : plan_value(document->plan, NULL, VALUE_person_code)->text;
    for (guint i = 0; i < pages->len; i++) {
        ReadPage *page = g_ptr_array_index(pages, i);
        if (page->text)
            blank_marks(page);
        if (!page->text || !says_name(page->text, name)) {
            differs(reading, "a page lacks", name);
            return FALSE;
        }
        if (boxes && i < boxes->len && page->letters > 0) {
            read_boxes(reading, g_ptr_array_index(boxes, i), page);
        } else {
            count_numbers(reading->seen, page->text, UNITS_ANY_SPACE);
            squeeze(reading->text, page->text);
        }
    }
    furniture(reading, (int)pages->len);
    return pages->len > 0;
}

GPtrArray *output_page_texts(GBytes *bytes)
{
    g_autoptr(GPtrArray) read = output_reader_end(output_reader_begin(bytes), NULL);
    GPtrArray *texts = read ? g_ptr_array_new_with_free_func(g_free) : NULL;
    for (guint i = 0; read && i < read->len; i++) {
        ReadPage *page = g_ptr_array_index(read, i);
        if (page->text)
            blank_marks(page);
        g_ptr_array_add(texts, g_strdup(page->text));
    }
    return texts;
}

gboolean output_pages_with(GBytes *bytes, const char *word, int *pages, int *with)
{
    g_autoptr(GPtrArray) texts = output_page_texts(bytes);
    *with = 0;
    *pages = texts ? (int)texts->len : 0;
    for (int i = 0; i < *pages; i++) {
        const char *text = g_ptr_array_index(texts, i);
        *with += text && strstr(text, word);
    }
    return *pages > 0;
}

static GHashTable *table(void) { return g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL); }

static void may_line(Reading *reading, const Line *line)
{
    for (guint i = 0; line && i < line->runs->len; i++)
        may_visit(((const Run *)g_ptr_array_index(line->runs, i))->text, reading);
}

static void furnish(Reading *reading, const Document *document)
{
    const Line *lines[] = {document->head, document->foot_call, document->foot_more, document->person, document->made};
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++)
        may_line(reading, lines[i]);
    for (guint i = 0; i < document->sections->len; i++)
        may_line(reading, ((const DocumentSection *)g_ptr_array_index(document->sections, i))->head);
    may_visit(document->foot, reading);
    if (document->dated)
        may_visit(document->dated, reading);
    if (document->clinic)
        may_visit(document->clinic, reading);
}

gboolean output_read_back(const Document *document, GBytes *bytes, const Drawn *drawn, Diagnostics *diagnostics)
{
    g_autoptr(GString) text = g_string_new(NULL);
    Reading reading = {table(), table(), table(), text, TRUE, document, diagnostics, 0};
    const DocumentVisitor visitor = {must_visit, may_visit, &reading};
    g_autoptr(GError) error = NULL;
    Reader *reader = output_reader_begin(bytes);
    for (const Document *part = document; part; part = part->second) {
        reading.amounts = !part->right_to_left;
        document_visit(part, &visitor);
        furnish(&reading, part);
    }
    if (!output_seal_holds(bytes))
        differs(&reading, "it lacks", "its own seal");
    g_autoptr(GPtrArray) pages = output_reader_end(reader, &error);
    if (!pages && !output_reader_ready(NULL)) {
        reading.faults++; /* no mistake of the sheet: output_ready says what it is */
    } else if (!pages) {
        differs(&reading, "it cannot be read:", error->message);
    } else if (read_pages(&reading, pages, drawn ? drawn->pages : NULL)) {
        compare(&reading);
        compare_words(&reading, document);
    }
    g_autofree char *fault = drawn ? output_rims_differ(document, drawn->syringes) : NULL;
    if (fault)
        differs(&reading, "a drawing differs:", fault);
    g_hash_table_unref(reading.must);
    g_hash_table_unref(reading.may);
    g_hash_table_unref(reading.seen);
    return reading.faults == 0;
}

