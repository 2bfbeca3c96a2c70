/* rules_beside: the people of one roster beside each other and beside those of other files.  A
 * roster may be long, so what is kept of a person is a few short digests; whoever has one in
 * common is read again and compared in full. */
#include <string.h>
#include <sys/mman.h>

#include "rules/rules.h"

#define MOST_READ 24 /* people with a digest in common that are read again */
#define MOST_TOLD 3  /* people with a like name or code that are named */

typedef struct Mark {
    guint32 digest, index;
} Mark;

/* Who has a digest in common with whom, looked up beforehand. */
typedef struct Hint {
    guint32 index, kind, other;
} Hint;

/* What two people must not share, or may share by mistake. */
typedef enum SharedKind {
    SHARED_CODE, SHARED_ORDER, SHARED_NUMBER, SHARED_PERSON, SHARED_LIKE, SHARED_COUNT
} SharedKind;

struct Beside {
    GArray *marks[SHARED_COUNT]; /* of Mark, until they are settled */
    const Mark *sorted[SHARED_COUNT];
    guint counts[SHARED_COUNT];
    GArray *hints; /* of Hint: for processes that have no marks; NULL while none are prepared */
};

static void free_array(gpointer array) { g_array_unref(array); }

static void free_beside(gpointer data)
{
    Beside *beside = data;
    for (int kind = 0; kind < SHARED_COUNT; kind++) {
        if (beside->sorted[kind])
            munmap((void *)beside->sorted[kind], beside->counts[kind] * sizeof(Mark));
        g_array_unref(beside->marks[kind]);
    }
    g_clear_pointer(&beside->hints, free_array);
}

Beside *beside_new(Arena *arena)
{
    Beside *beside = arena_new0(arena, Beside);
    for (int kind = 0; kind < SHARED_COUNT; kind++) {
        beside->marks[kind] = g_array_new(FALSE, FALSE, sizeof(Mark));
    }
    arena_defer(arena, free_beside, beside);
    return beside;
}

/* FNV-1a (from memory), which needs no more than to scatter. */
static guint32 digest_of(const char *text, gsize length, guint32 from)
{
    guint32 digest = from ? from : 2166136261u;
    for (gsize i = 0; i < length; i++)
        digest = (digest ^ (guchar)text[i]) * 16777619u;
    return digest;
}

static guint32 digest_word(const char *text, guint32 from) { return digest_of(text, strlen(text), from); }

/* ---- likeness ---- */

/* Of a name, its first word and the first letter of its last: "maren t". */
static char *short_name(const char *folded)
{
    const char *space = strchr(folded, ' '), *last = strrchr(folded, ' ');
    if (!space || !last[1])
        return g_strdup(folded);
    char letter[7] = "";
    g_unichar_to_utf8(g_utf8_get_char(last + 1), letter);
    return g_strdup_printf("%.*s %s", (int)(space - folded), folded, letter);
}

static gboolean one_apart(const char *a, const char *b)
{
    while (*a && *a == *b) {
        a++;
        b++;
    }
    gsize left = strlen(a), right = strlen(b);
    while (left > 0 && right > 0 && a[left - 1] == b[right - 1]) {
        left--;
        right--;
    }
    gboolean swapped = left == 2 && right == 2 && a[0] == b[1] && a[1] == b[0];
    return swapped || (g_utf8_strlen(a, (gssize)left) <= 1 && g_utf8_strlen(b, (gssize)right) <= 1);
}

/* Codes are given one after the other, so that most of a day's people are one digit apart: what
 * a hand or an ear confuses are two neighbours that changed places. */
static gboolean codes_like(const char *a, const char *b)
{
    while (*a && *a == *b) {
        a++;
        b++;
    }
    return a[0] && a[1] && a[0] == b[1] && a[1] == b[0] && strcmp(a + 2, b + 2) == 0;
}

static gboolean names_like(const char *a, const char *b)
{
    g_autofree char *first = short_name(a), *second = short_name(b);
    return strcmp(first, second) == 0 || one_apart(a, b);
}

/* Digests that two texts one letter apart have in common: of the text, and of it without each
 * of its letters. */
static void add_likeness(GArray *digests, const char *text, guint32 from)
{
    guint32 whole = digest_word(text, from);
    g_array_append_val(digests, whole);
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        const char *behind = g_utf8_next_char(at);
        guint32 without = digest_word(behind, digest_of(text, (gsize)(at - text), from));
        g_array_append_val(digests, without);
    }
}

/* Digests that two codes have in common which differ by two neighbours that changed places: of
 * the code with each pair of neighbours in order. */
static void add_swaps(GArray *digests, const char *code, guint32 from)
{
    for (gsize i = 0; code[0] && code[i + 1]; i++) {
        const char pair[] = {MIN(code[i], code[i + 1]), MAX(code[i], code[i + 1]), '\0'};
        guint32 digest = digest_word(code + i + 2, digest_word(pair, digest_of(code, i, from ^ (guint32)i)));
        if (code[i] != code[i + 1])
            g_array_append_val(digests, digest);
    }
}

static void take_likeness(GArray *digests, const BesidePerson *person)
{
    g_autofree char *name = short_name(person->name);
    guint32 day = digest_word(person->day, 0);
    guint32 like = digest_word(name, day ^ 1);
    g_array_append_val(digests, like);
    add_likeness(digests, person->name, day ^ 2);
    add_swaps(digests, person->code, day ^ 3);
}

/* ---- keeping ---- */

static void keep(Beside *beside, SharedKind kind, guint index, guint32 digest)
{
    const Mark mark = {digest, index};
    g_array_append_val(beside->marks[kind], mark);
}

static guint32 digest_person(const BesidePerson *person)
{
    return digest_word(person->hour, digest_word(person->day, digest_word(person->name, 0)));
}

void beside_add(Beside *beside, guint index, const BesidePerson *person)
{
    g_autoptr(GArray) digests = g_array_new(FALSE, FALSE, sizeof(guint32));
    if (*person->code)
        keep(beside, SHARED_CODE, index, digest_word(person->code, 0));
    if (*person->order)
        keep(beside, SHARED_ORDER, index, digest_word(person->order, 0));
    if (*person->sheet)
        keep(beside, SHARED_NUMBER, index, digest_word(person->sheet, 0));
    if (!*person->name || !*person->day)
        return;
    keep(beside, SHARED_PERSON, index, digest_person(person));
    take_likeness(digests, person);
    for (guint i = 0; i < digests->len; i++)
        keep(beside, SHARED_LIKE, index, g_array_index(digests, guint32, i));
}

static gint by_digest(gconstpointer left, gconstpointer right)
{
    const Mark *a = left, *b = right;
    if (a->digest != b->digest)
        return a->digest < b->digest ? -1 : 1;
    return (a->index > b->index) - (a->index < b->index);
}

/* Those whose digest nobody else has are of no use any more. */
static void drop_lonely(GArray *marks)
{
    guint kept = 0;
    for (guint i = 0; i < marks->len;) {
        guint end = i + 1;
        const Mark first = g_array_index(marks, Mark, i);
        while (end < marks->len && g_array_index(marks, Mark, end).digest == first.digest)
            end++;
        gboolean shared = g_array_index(marks, Mark, end - 1).index != first.index;
        for (; i < end; i++)
            if (shared)
                g_array_index(marks, Mark, kept++) = g_array_index(marks, Mark, i);
    }
    g_array_set_size(marks, kept);
}

/* In pages that a forked process does not get: it needs what concerns its own people only. */
static void move_apart(Beside *beside, SharedKind kind)
{
    GArray *marks = beside->marks[kind];
    gsize size = marks->len * sizeof(Mark);
    void *apart = size > 0 ? mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) : NULL;
    if (apart == MAP_FAILED)
        g_error("no memory"); /* ends as GLib ends when memory does */
    if (size > 0) {
        memcpy(apart, marks->data, size);
        madvise(apart, size, MADV_DONTFORK);
    }
    beside->sorted[kind] = apart;
    beside->counts[kind] = marks->len;
    g_array_unref(marks);
    beside->marks[kind] = g_array_new(FALSE, FALSE, sizeof(Mark));
}

void beside_settle(Beside *beside)
{
    for (int kind = 0; kind < SHARED_COUNT; kind++) {
        g_array_sort(beside->marks[kind], by_digest);
        drop_lonely(beside->marks[kind]);
        move_apart(beside, (SharedKind)kind);
    }
}

/* ---- looking ---- */

static guint first_with(const Mark *marks, guint count, guint32 digest)
{
    guint low = 0, high = count;
    while (low < high) {
        guint middle = (low + high) / 2;
        if (marks[middle].digest < digest)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static gboolean is_known(const GArray *list, guint index)
{
    for (guint i = 0; i < list->len; i++)
        if (g_array_index(list, guint, i) == index)
            return TRUE;
    return FALSE;
}

static void others_with(const Beside *beside, SharedKind kind, guint32 digest, guint own, GArray *others)
{
    const Mark *marks = beside->sorted[kind];
    guint count = beside->counts[kind];
    for (guint i = first_with(marks, count, digest); i < count && others->len < MOST_READ; i++) {
        guint index = marks[i].index;
        if (marks[i].digest != digest)
            break;
        if (index != own && !is_known(others, index))
            g_array_append_val(others, index);
    }
}

static void others_hinted(const GArray *hints, SharedKind kind, guint own, GArray *others)
{
    for (guint i = 0; i < hints->len; i++) {
        const Hint *hint = &g_array_index(hints, Hint, i);
        guint index = hint->other;
        if (hint->index == own && hint->kind == kind)
            g_array_append_val(others, index);
    }
}

static guint32 digest_for(const BesidePerson *person, SharedKind kind)
{
    switch (kind) {
    case SHARED_CODE: return digest_word(person->code, 0);
    case SHARED_ORDER: return digest_word(person->order, 0);
    case SHARED_NUMBER: return digest_word(person->sheet, 0);
    case SHARED_PERSON: return digest_person(person);
    case SHARED_LIKE:
    case SHARED_COUNT: break;
    }
    return 0;
}

/* All who have something of this kind in common with the person, as far as digests tell. */
static GArray *find_others(const Beside *beside, SharedKind kind, guint own, const BesidePerson *person)
{
    GArray *others = g_array_new(FALSE, FALSE, sizeof(guint));
    if (beside->hints) {
        others_hinted(beside->hints, kind, own, others);
        return others;
    }
    if (kind != SHARED_LIKE) {
        others_with(beside, kind, digest_for(person, kind), own, others);
        return others;
    }
    g_autoptr(GArray) digests = g_array_new(FALSE, FALSE, sizeof(guint32));
    take_likeness(digests, person);
    for (guint i = 0; i < digests->len; i++)
        others_with(beside, kind, g_array_index(digests, guint32, i), own, others);
    return others;
}

void beside_prepare(Beside *beside, guint from, guint until, const BesideReader *reader)
{
    GArray *hints = g_array_new(FALSE, FALSE, sizeof(Hint));
    g_clear_pointer(&beside->hints, free_array);
    for (guint index = from; index < until; index++) {
        BesidePerson person;
        if (!reader->read(reader->data, index, &person))
            continue;
        for (int kind = 0; kind < SHARED_COUNT; kind++) {
            g_autoptr(GArray) others = find_others(beside, (SharedKind)kind, index, &person);
            for (guint i = 0; i < others->len; i++) {
                const Hint hint = {index, (guint32)kind, g_array_index(others, guint, i)};
                g_array_append_val(hints, hint);
            }
        }
    }
    beside->hints = hints;
}

void beside_prepared(Beside *beside) { g_clear_pointer(&beside->hints, free_array); }

static gint by_number(gconstpointer left, gconstpointer right)
{
    const guint *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

/* One person being compared. */
typedef struct Look {
    const Beside *beside;
    guint index;
    const BesidePerson *person;
    const BesideReader *reader;
    Diagnostics *diagnostics;
} Look;

static const char *value_of(const BesidePerson *person, SharedKind kind)
{
    switch (kind) {
    case SHARED_CODE: return person->code;
    case SHARED_ORDER: return person->order;
    case SHARED_NUMBER: return person->sheet;
    case SHARED_PERSON:
    case SHARED_LIKE:
    case SHARED_COUNT: break;
    }
    return person->name;
}

static gboolean shares(const BesidePerson *a, const BesidePerson *b, SharedKind kind)
{
    gboolean same = strcmp(value_of(a, kind), value_of(b, kind)) == 0;
    return same && (kind != SHARED_PERSON || (strcmp(a->day, b->day) == 0 && strcmp(a->hour, b->hour) == 0));
}

/* A person of another file with the same code may be here too: a roster of somebody's own, or an
 * earlier course under another order. */
static gboolean is_harmless(const BesidePerson *one, const BesidePerson *other, SharedKind kind)
{
    if (!other->elsewhere || strcmp(one->code, other->code) != 0)
        return FALSE;
    gboolean earlier = *one->order && *other->order && strcmp(one->order, other->order) != 0;
    return other->copy || (earlier && (kind == SHARED_CODE || kind == SHARED_PERSON));
}

/* Two sheets of one person's night. */
static void say_beside(const Look *look, const BesidePerson *other)
{
    const BesidePerson *one = look->person;
    if (!*one->day || strcmp(one->day, other->day) != 0 || strcmp(one->order, other->order) == 0)
        return;
    Finding *finding = finding_add(look->diagnostics, RULE_orders_beside, one->order_place);
    finding_note(finding, other->order_place, "the other order, %s", other->order);
    finding_help(finding, "ask the physician whether both are meant; then say with each sheet that there are two");
}

/* TRUE after a finding. */
static gboolean compare(const Look *look, SharedKind kind, RuleId rule, Place place, const char *help)
{
    if (!*value_of(look->person, kind))
        return FALSE;
    g_autoptr(GArray) others = find_others(look->beside, kind, look->index, look->person);
    for (guint i = 0; i < others->len; i++) {
        BesidePerson other;
        guint index = g_array_index(others, guint, i);
        if (!look->reader->read(look->reader->data, index, &other) || !shares(look->person, &other, kind))
            continue;
        if (is_harmless(look->person, &other, kind)) {
            if (kind == SHARED_CODE)
                say_beside(look, &other);
            continue;
        }
        Finding *finding = finding_add(look->diagnostics, rule, place);
        finding_note(finding, other.place, "it stands here too");
        finding_help(finding, "%s", help);
        return TRUE;
    }
    return FALSE;
}

static gboolean is_like(const BesidePerson *a, const BesidePerson *b)
{
    return *b->name && strcmp(a->code, b->code) != 0 && strcmp(a->day, b->day) == 0 &&
           (names_like(a->name, b->name) || codes_like(a->code, b->code));
}

/* The text with one more. */
static const char *say_like(Arena *arena, const BesidePerson *person, const BesidePerson *other,
                            Diagnostics *diagnostics, const char *text)
{
    Finding *finding = finding_add(diagnostics, RULE_names_alike, person->name_place);
    finding_fact(finding, "%s, %s, has the same day", other->shown, other->code);
    finding_note(finding, other->place, "here");
    finding_help(finding, "compare code and date of birth when the sheet is handed out and on the telephone");
    return arena_format(arena, "%s%s%s, %s", text ? text : "", text ? "; " : "", other->shown, other->code);
}

/* Says whom they might be mistaken for; the text is the arena's, NULL when nobody. */
static const char *find_like(Arena *arena, const Look *look)
{
    g_autoptr(GArray) others = find_others(look->beside, SHARED_LIKE, look->index, look->person);
    g_array_sort(others, by_number);
    const char *text = NULL;
    guint told = 0;
    for (guint i = 0; i < others->len && told < MOST_TOLD; i++) {
        BesidePerson other;
        if (!look->reader->read(look->reader->data, g_array_index(others, guint, i), &other) ||
            !is_like(look->person, &other))
            continue;
        text = say_like(arena, look->person, &other, look->diagnostics, text);
        told++;
    }
    return text;
}

const char *beside_like(Arena *arena, const BesidePerson *person, const GPtrArray *others, Diagnostics *diagnostics)
{
    const char *text = NULL;
    guint told = 0;
    for (guint i = 0; i < others->len && told < MOST_TOLD; i++) {
        const BesidePerson *other = g_ptr_array_index(others, i);
        if (!is_like(person, other))
            continue;
        text = say_like(arena, person, other, diagnostics, text);
        told++;
    }
    return text;
}

const char *beside_judge(Arena *arena, const Beside *beside, guint index, const BesidePerson *person,
                         const BesideReader *reader, Diagnostics *diagnostics)
{
    const Look look = {beside, index, person, reader, diagnostics};
    if (compare(&look, SHARED_CODE, RULE_person_twice, person->place,
                "name a person once; two orders are two sheets of two calls"))
        return NULL; /* one cause, one finding */
    compare(&look, SHARED_ORDER, RULE_order_twice, person->order_place,
            "an order is for one person: correct the number in one of the two");
    compare(&look, SHARED_NUMBER, RULE_sheet_twice, person->sheet_place,
            "give one of the two the next free number");
    if (!*person->name || !*person->day)
        return NULL;
    compare(&look, SHARED_PERSON, RULE_person_alike, person->name_place,
            "compare the two orders: is it one person under two codes?");
    return find_like(arena, &look);
}
