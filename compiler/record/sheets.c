/* record_sheets: numbers, printings, and what holds now. */
#include <string.h>

#include "record/parts.h"

static const char *const state_words[] = {
    [RECORD_IS_GIVEN] = "number given, not confirmed as printed",
    [RECORD_IS_VALID] = "valid",
    [RECORD_IS_REPLACED] = "replaced",
    [RECORD_IS_VOID] = "void",
    [RECORD_IS_CANCELLED] = "cancelled",
};

const char *record_state_word(RecordState state) { return state_words[state]; }

/* ---- from entries to what holds ---- */

static gint64 number_in(Arena *arena, const RecordEntry *entry, const char *word)
{
    const char *text = record_value(arena, entry->body, word);
    return text ? g_ascii_strtoll(text, NULL, 10) : 0;
}

static void take_number(Arena *arena, RecordSheet *sheet, const RecordEntry *entry)
{
    sheet->person = entry->person;
    sheet->clinic = entry->clinic;
    sheet->order = record_value(arena, entry->body, "order");
    sheet->digest = record_value(arena, entry->body, "digest");
    sheet->replaces = number_in(arena, entry, "replaces");
    sheet->made = number_in(arena, entry, "made");
    sheet->state = RECORD_IS_GIVEN;
}

static void take_entry(Arena *arena, RecordSheet *sheet, const RecordEntry *entry)
{
    switch (entry->kind) {
    case RECORD_NUMBERED: take_number(arena, sheet, entry); break;
    case RECORD_PRINTED:
        sheet->facts = entry->body;
        sheet->recalled = FALSE;
        if (sheet->state == RECORD_IS_GIVEN)
            sheet->state = RECORD_IS_VALID;
        break;
    case RECORD_REPLACED:
        sheet->state = RECORD_IS_REPLACED;
        sheet->replaced_by = number_in(arena, entry, "by_sheet");
        break;
    case RECORD_RECALLED: sheet->recalled = TRUE; break;
    case RECORD_CANCELLED: sheet->state = RECORD_IS_CANCELLED; break;
    case RECORD_VOID: sheet->state = RECORD_IS_VOID; break;
    case RECORD_OPENED:
    case RECORD_RESTORED:
    case RECORD_APPROVED:
    case RECORD_HANDED_OUT:
    case RECORD_ANSWERS:
    case RECORD_INJECTED:
    case RECORD_CALL:
    case RECORD_TOLD:
    case RECORD_RECEIVED:
    case RECORD_KINDS: break;
    }
}

RecordSheet *record_sheet(Record *record, gint64 number, GError **error)
{
    g_autofree char *text = g_strdup_printf("%" G_GINT64_FORMAT, number);
    GPtrArray *entries = arena_list(record->arena);
    if (number <= 0 || !record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE sheet = $1 ORDER BY seq",
                                       (const char *const[]){text}, 1, entries, error))
        return NULL;
    RecordSheet *sheet = arena_new0(record->arena, RecordSheet);
    sheet->number = number;
    sheet->facts = "";
    sheet->entries = entries;
    for (guint i = 0; i < entries->len; i++)
        take_entry(record->arena, sheet, g_ptr_array_index(entries, i));
    sheet->injections = record_injections(record->arena, sheet->facts);
    return sheet->person ? sheet : NULL;
}

const RecordEntry *record_last(const RecordSheet *sheet, RecordKind kind)
{
    for (guint i = sheet->entries->len; i > 0; i--)
        if (((const RecordEntry *)g_ptr_array_index(sheet->entries, i - 1))->kind == kind)
            return g_ptr_array_index(sheet->entries, i - 1);
    return NULL;
}

/* ---- lists ---- */

/* Not to be looked for by the kind, which thousands of entries share, but among those of one person or
 * sheet: as a sum it uses no index. */
#define NUMBERED "kind || '' = 'numbered'"

static void take_sheet_number(const char *const *columns, gpointer data)
{
    gint64 number = g_ascii_strtoll(columns[0], NULL, 10);
    g_array_append_val((GArray *)data, number);
}

static GPtrArray *sheets_numbered(Record *record, const GArray *numbers, GError **error)
{
    GPtrArray *sheets = arena_list(record->arena);
    for (guint i = 0; i < numbers->len; i++) {
        GError *why = NULL;
        RecordSheet *sheet = record_sheet(record, g_array_index(numbers, gint64, i), &why);
        if (why) {
            g_propagate_error(error, why);
            return NULL;
        }
        if (sheet)
            g_ptr_array_add(sheets, sheet);
    }
    return sheets;
}

/* The sheets whose numbers a statement selects. */
static GPtrArray *sheets_of(Record *record, const char *sql, const char *const *values, int count, GError **error)
{
    g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(gint64));
    return record_run(record, sql, values, count, take_sheet_number, numbers, error)
               ? sheets_numbered(record, numbers, error) : NULL;
}

GPtrArray *record_of_person(Record *record, const char *person, GError **error)
{
    return sheets_of(record, "SELECT DISTINCT sheet FROM entry WHERE person = $1 AND " NUMBERED " ORDER BY sheet",
                     (const char *const[]){person}, 1, error);
}

#define DUE "SELECT DISTINCT sheet FROM due WHERE last >= $1 AND first < $2 ORDER BY sheet"
#define NAMED "SELECT sheet FROM entry WHERE sheet = $1 AND " NUMBERED \
              " UNION SELECT sheet FROM entry WHERE person = $2 AND " NUMBERED
#define OF_WORD "SELECT sheet FROM word WHERE word >= $1 AND word < $2"

/* Of a word that many share (a lot) not all are read: of the newest entries, $3 of them, and then of the sheets
 * that are due from $3 to $4.  As a sum the word uses no index. */
#define SHARED "100"
#define COUNT_SHARED "SELECT count(*) FROM (" OF_WORD " LIMIT " SHARED ") AS some"
#define OF_ENTRY "SELECT DISTINCT sheet FROM word WHERE word || '' >= $1 AND word || '' < $2 AND entry "
#define OF_NEWEST OF_ENTRY "> (SELECT max(seq) FROM entry) - $3"
#define OF_DUE OF_ENTRY "IN (SELECT seq FROM entry WHERE sheet IN " \
               "(SELECT sheet FROM due WHERE last >= $3 AND first < $4))"
#define ENTRIES_OF_SHEET 8 /* that are read for each sheet wanted */

typedef struct Lookup {
    char *folded, *after; /* between them lies each word that begins so */
    gboolean number;
} Lookup;

static Lookup lookup_of(Arena *arena, const char *word)
{
    g_autofree char *folded = record_folded(word);
    return (Lookup){arena_copy(arena, folded), arena_format(arena, "%s\364\217\277\277", folded),
                    *folded && strspn(folded, "0123456789") == strlen(folded) && strlen(folded) < 16};
}

/* Numbers of the sheets that may have something to be injected between two instants; FALSE with *error. */
static gboolean due_numbers(Record *record, Instant from, Instant until, GArray *numbers, GError **error)
{
    g_autofree char *first = g_strdup_printf("%" G_GINT64_FORMAT, from);
    g_autofree char *last = g_strdup_printf("%" G_GINT64_FORMAT, until);
    return record_run(record, DUE, (const char *const[]){first, last}, 2, take_sheet_number, numbers, error);
}

static gint by_number(gconstpointer a, gconstpointer b)
{
    const gint64 *left = a, *right = b;
    return *left == *right ? 0 : *left < *right ? -1 : 1;
}

static void sort_numbers(GArray *numbers)
{
    guint kept = 0;
    g_array_sort(numbers, by_number);
    for (guint i = 0; i < numbers->len; i++)
        if (kept == 0 || g_array_index(numbers, gint64, i) != g_array_index(numbers, gint64, kept - 1))
            g_array_index(numbers, gint64, kept++) = g_array_index(numbers, gint64, i);
    g_array_set_size(numbers, kept);
}

/* The newest, so many at most, and those that are due.  Chosen here: a database would build a tree of the
 * thousands that share a word, to give sixty. */
static void choose(GArray *found, int most, GArray *due)
{
    guint kept = 0, older = found->len - MIN(found->len, (guint)MAX(most, 0));
    for (guint i = 0; i < found->len; i++) {
        const gint64 number = g_array_index(found, gint64, i);
        if (i >= older || g_array_binary_search(due, &number, by_number, NULL))
            g_array_index(found, gint64, kept++) = number;
    }
    g_array_set_size(found, kept);
}

/* The newest of a word that many share, and those that are due; *enough: there were as many.  FALSE with *error. */
static gboolean find_shared(Record *record, const char *const *words, int most, const char *from, const char *until,
                            GArray *found, gboolean *enough, GError **error)
{
    g_autofree char *entries = g_strdup_printf("%d", most * ENTRIES_OF_SHEET);
    const char *newest[] = {words[0], words[1], entries}, *due[] = {words[0], words[1], from, until};
    gint64 shared;
    *enough = FALSE;
    if (!record_number_of(record, COUNT_SHARED, words, 2, &shared, error))
        return FALSE;
    if (shared < g_ascii_strtoll(SHARED, NULL, 10))
        return TRUE;
    if (!record_run(record, OF_NEWEST, newest, 3, take_sheet_number, found, error))
        return FALSE;
    *enough = found->len >= (guint)MAX(most, 0);
    return !*enough || record_run(record, OF_DUE, due, 4, take_sheet_number, found, error);
}

/* Numbers by the word, the code and the number itself; FALSE with *error. */
static gboolean find(Record *record, const char *word, int most, const char *from, const char *until, GArray *found,
                     GError **error)
{
    const Lookup wanted = lookup_of(record->arena, word);
    const char *words[] = {wanted.folded, wanted.after}, *names[] = {wanted.number ? wanted.folded : "0", word};
    gboolean all = most == G_MAXINT, enough = FALSE;
    if (!*wanted.folded)
        return TRUE;
    if (!all && !find_shared(record, words, most, from, until, found, &enough, error))
        return FALSE;
    if (!enough && !record_run(record, OF_WORD, words, 2, take_sheet_number, found, error))
        return FALSE;
    return record_run(record, NAMED, names, 2, take_sheet_number, found, error);
}

GPtrArray *record_lookup_some(Record *record, const char *word, int most, Instant from, Instant until, GError **error)
{
    const char *first = arena_format(record->arena, "%" G_GINT64_FORMAT, from);
    const char *last = arena_format(record->arena, "%" G_GINT64_FORMAT, until);
    g_autoptr(GArray) found = g_array_new(FALSE, FALSE, sizeof(gint64));
    g_autoptr(GArray) due = g_array_new(FALSE, FALSE, sizeof(gint64));
    if (!find(record, word, most, first, last, found, error) || !due_numbers(record, from, until, due, error))
        return NULL;
    sort_numbers(found);
    choose(found, most, due);
    return sheets_numbered(record, found, error);
}

GPtrArray *record_lookup(Record *record, const char *word, GError **error)
{
    return record_lookup_some(record, word, G_MAXINT, 0, 0, error);
}

static gboolean due(const RecordSheet *sheet, Instant from, Instant until)
{
    for (guint i = 0; i < sheet->injections->len; i++) {
        const RecordInjection *injection = g_ptr_array_index(sheet->injections, i);
        if (injection->from < until && injection->until >= from)
            return TRUE;
        for (guint act = 0; act < injection->acts->len; act++) {
            Instant at = g_array_index(injection->acts, Instant, act);
            if (at >= from && at < until)
                return TRUE;
        }
    }
    return FALSE;
}

gboolean record_due_after(const RecordSheet *sheet, Instant from) { return due(sheet, from, G_MAXINT64 / 2); }

GPtrArray *record_between(Record *record, Instant from, Instant until, GError **error)
{
    g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(gint64));
    GPtrArray *wide = due_numbers(record, from, until, numbers, error) ? sheets_numbered(record, numbers, error) : NULL;
    GPtrArray *sheets = wide ? arena_list(record->arena) : NULL;
    for (guint i = 0; wide && i < wide->len; i++)
        if (due(g_ptr_array_index(wide, i), from, until))
            g_ptr_array_add(sheets, g_ptr_array_index(wide, i));
    return sheets;
}

/* ---- numbers ---- */

static gboolean stands(const RecordSheet *sheet, const char *order)
{
    return strcmp(sheet->order, order) == 0 && (sheet->state == RECORD_IS_GIVEN || sheet->state == RECORD_IS_VALID);
}

/* The sheet that counts for this order, or NULL. */
static const RecordSheet *standing(const GPtrArray *sheets, const char *order)
{
    for (guint i = sheets->len; i > 0; i--)
        if (stands(g_ptr_array_index(sheets, i - 1), order))
            return g_ptr_array_index(sheets, i - 1);
    return NULL;
}

/* A number that nobody had, above all that a lost record may have given. */
static gboolean next_number(Record *record, gint64 *number, GError **error)
{
    GPtrArray *restored = arena_list(record->arena);
    if (!record_number_of(record, "SELECT max(sheet) FROM entry", NULL, 0, number, error) ||
        !record_entries(record, "SELECT " RECORD_COLUMNS " FROM entry WHERE kind = 'restored'", NULL, 0, restored,
                        error))
        return FALSE;
    for (guint i = 0; i < restored->len; i++)
        *number = MAX(*number, number_in(record->arena, g_ptr_array_index(restored, i), "number"));
    (*number)++;
    return TRUE;
}

static void add_boxes(GString *body, const GPtrArray *all)
{
    for (guint i = 0; all && i < all->len; i++) {
        const RecordBoxes *boxes = g_ptr_array_index(all, i);
        g_autofree char *word = g_strdup_printf("lot_of_box_%u", i + 1);
        record_line(body, word, boxes->lot);
        g_string_append_printf(body, "count_of_box_%u: %" G_GINT64_FORMAT "\n", i + 1, boxes->count);
    }
}

/* What the sheet's last entry of this kind is found by. */
static gboolean add_index(Record *record, gint64 number, RecordKind kind, GError **error)
{
    const RecordSheet *sheet = record_sheet(record, number, error);
    const RecordEntry *entry = sheet ? record_last(sheet, kind) : NULL;
    return entry && record_index_insert(record->store, entry, record_index(record->arena, entry), error);
}

static RecordAnswer give_new(Record *record, const RecordWish *wish, RecordGiven *given, GError **error)
{
    g_autoptr(GString) body = g_string_new(NULL);
    given->made = record->place.now;
    if (!next_number(record, &given->number, error))
        return RECORD_FAILED;
    record_line(body, "order", wish->order);
    record_line(body, "digest", wish->digest);
    g_string_append_printf(body, "made: %" G_GINT64_FORMAT "\n", given->made);
    if (given->replaces > 0)
        g_string_append_printf(body, "replaces: %" G_GINT64_FORMAT "\n", given->replaces);
    add_boxes(body, wish->boxes);
    gboolean fine = record_append(record, RECORD_NUMBERED, given->number, wish->person, wish->by, body->str, error) &&
                    add_index(record, given->number, RECORD_NUMBERED, error);
    if (fine)
        record_lots_hold(record, wish);
    return fine ? RECORD_NEW : RECORD_FAILED;
}

/* The last sheet of the order that was made, when it was cancelled; else NULL. */
static const RecordSheet *cancelled(const GPtrArray *sheets, const char *order)
{
    for (guint i = sheets->len; i > 0; i--) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i - 1);
        if (strcmp(sheet->order, order) == 0 && sheet->state != RECORD_IS_VOID)
            return sheet->state == RECORD_IS_CANCELLED ? sheet : NULL;
    }
    return NULL;
}

static RecordAnswer give(Record *record, const RecordWish *wish, RecordGiven *given, GError **error)
{
    const GPtrArray *sheets = record_of_person(record, wish->person, error);
    if (!sheets)
        return RECORD_FAILED;
    const RecordSheet *old = standing(sheets, wish->order);
    *given = (RecordGiven){0};
    if (old && !old->recalled && strcmp(old->digest, wish->digest) == 0) {
        *given = (RecordGiven){old->number, old->replaces, old->made};
        return RECORD_AGAIN;
    }
    const RecordSheet *back = cancelled(sheets, wish->order);
    if (back && !wish->revive) {
        given->number = back->number;
        return RECORD_TAKEN_BACK;
    }
    if (wish->replaces > 0 && (!old || old->number != wish->replaces)) {
        given->number = old ? old->number : 0;
        return RECORD_NOT_THERE;
    }
    given->replaces = old ? old->number : back ? back->number : 0; /* who kept the cancelled one tears it up */
    if (old && !wish->replace && wish->replaces == 0) {
        *given = (RecordGiven){old->number, old->replaces, old->made};
        return RECORD_STANDS;
    }
    return give_new(record, wish, given, error);
}

RecordAnswer record_give_number(Record *record, const RecordWish *wish, RecordGiven *given, GError **error)
{
    Arena *own = record_scratch(record);
    RecordAnswer answer = RECORD_FAILED;
    if (record_begin(record, error)) {
        answer = give(record, wish, given, error);
        if (!record_end(record, answer != RECORD_FAILED, error))
            answer = RECORD_FAILED;
    }
    record_scratch_end(record, own);
    return answer;
}

/* ---- printings ---- */

static void add_files(GString *body, const GPtrArray *files)
{
    for (guint i = 0; i < files->len; i++) {
        const PublishFile *file = g_ptr_array_index(files, i);
        g_autofree char *digest = digest_hex(g_bytes_get_data(file->bytes, NULL), g_bytes_get_size(file->bytes));
        g_autofree char *word = g_strdup_printf("file_%u", i + 1);
        g_autofree char *value = g_strdup_printf("%s sha256 %s", file->name, digest);
        record_line(body, word, value);
    }
}

static gboolean printed_before(const RecordSheet *sheet, const char *body)
{
    for (guint i = 0; i < sheet->entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(sheet->entries, i);
        if (entry->kind == RECORD_PRINTED && strcmp(entry->body, body) == 0)
            return TRUE;
    }
    return FALSE;
}

static gboolean replace_old(Record *record, const RecordSheet *sheet, const char *by, GError **error)
{
    if (sheet->replaces == 0)
        return TRUE;
    g_autofree char *body = g_strdup_printf("by_sheet: %" G_GINT64_FORMAT "\n", sheet->number);
    return record_append(record, RECORD_REPLACED, sheet->replaces, sheet->person, by, body, error);
}

static gboolean confirm(Record *record, gint64 number, const char *person, const char *by, const char *body,
                        GError **error)
{
    const RecordSheet *sheet = record_sheet(record, number, error);
    if (error && *error)
        return FALSE;
    if (!sheet || strcmp(sheet->person, person) != 0 ||
        (sheet->state != RECORD_IS_GIVEN && sheet->state != RECORD_IS_VALID)) {
        g_set_error(error, STORE_ERROR, STORE_FAILED, "the record no longer holds sheet %" G_GINT64_FORMAT " of %s as "
                    "one that counts (%s): do not hand it out", number, person,
                    sheet ? record_state_word(sheet->state) : "not there");
        return FALSE;
    }
    if (printed_before(sheet, body))
        return TRUE;
    gboolean first = sheet->state == RECORD_IS_GIVEN;
    return record_append(record, RECORD_PRINTED, number, person, by, body, error) &&
           (!first || (add_index(record, number, RECORD_PRINTED, error) && replace_old(record, sheet, by, error)));
}

gboolean record_printed(Record *record, gint64 number, const char *person, const char *by, const char *facts,
                        const GPtrArray *files, GError **error)
{
    g_autoptr(GString) body = g_string_new(facts);
    add_files(body, files);
    Arena *own = record_scratch(record);
    gboolean fine = record_begin(record, error);
    if (fine) {
        fine = confirm(record, number, person, by, body->str, error);
        fine = record_end(record, fine, error);
    }
    record_scratch_end(record, own);
    return fine;
}
