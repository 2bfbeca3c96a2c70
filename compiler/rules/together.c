/* rules_together: the files of one call beside each other and beside those of the folder: a
 * person, an order or a number that stands in two of them, and protocols that are copies. */
#include <string.h>

#include "rules/rules.h"

/* What two files must not share: key (of clinic and value) -> the first Case that has it. */
typedef struct Shared {
    RuleId rule;
    const char *help;
    GHashTable *first;
} Shared;

static Shared shared_new(RuleId rule, const char *help)
{
    return (Shared){rule, help, g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL)};
}

static const char *clinic_of(const Case *file)
{
    return PRESENT(file->clinic->clinic) ? file->clinic->clinic.text : "";
}

static void say_shared(const Shared *shared, const Case *file, Place here, Place there)
{
    Finding *finding = finding_add(file->diagnostics, shared->rule, here);
    finding_note(finding, there, "it stands here too");
    finding_help(finding, "%s", shared->help);
}

static gboolean same_person(const Case *one, const Case *other)
{
    const Text *code = one->patient ? &one->patient->patient : NULL;
    return code && other->patient && PRESENT(*code) && PRESENT(other->patient->patient) &&
           strcmp(code->text, other->patient->patient.text) == 0;
}

/* A file of somebody's own may be a copy of the one in the clinic's folder. */
static gboolean is_copy(const Case *one, const Case *other)
{
    return ((one->apart && other->neighbour) || (other->apart && one->neighbour)) && same_person(one, other);
}

/* The place in a file of what it shares with another. */
typedef Place (*PlaceOf)(const Case *file);

static Place at_code(const Case *file) { return file->patient->patient.at.place; }
static Place at_name(const Case *file) { return file->patient->name.at.place; }
static Place at_order(const Case *file) { return file->patient->order.at.place; }
static Place at_sheet(const Case *file) { return file->patient->sheet.at.place; }
static Place at_protocol(const Case *file) { return file->protocol->protocol.at.place; }

static gboolean in_one_folder(const Case *one, const Case *other)
{
    g_autofree char *first = g_canonicalize_filename(one->path, NULL);
    g_autofree char *second = g_canonicalize_filename(other->path, NULL);
    g_autofree char *here = g_path_get_dirname(first), *there = g_path_get_dirname(second);
    return strcmp(here, there) == 0;
}

/* A file that nobody named, kept in another folder under another order: an earlier course. */
static gboolean is_earlier(const Case *one, const Case *other)
{
    const Text *order = &one->patient->order, *another = &other->patient->order;
    return (one->neighbour || other->neighbour) && !in_one_folder(one, other) && same_person(one, other) &&
           PRESENT(*order) && PRESENT(*another) && strcmp(order->text, another->text) != 0;
}

/* TRUE when the two may stand beside each other. */
static gboolean is_harmless(const Case *one, const Case *other, PlaceOf place_of)
{
    return (one->neighbour && other->neighbour) || is_copy(one, other) ||
           (place_of == at_code && is_earlier(one, other));
}

/* Two sheets of one person's night. */
static void say_beside(const Case *one, const Case *other)
{
    const Text *order = &one->patient->order, *another = &other->patient->order;
    const Date *day = &one->patient->anchor.on, *same = &other->patient->anchor.on;
    if (!PRESENT(*order) || !PRESENT(*another) || strcmp(order->text, another->text) == 0 || !PRESENT(*day) ||
        !PRESENT(*same) || day->day != same->day)
        return;
    Finding *finding = finding_add(one->diagnostics, RULE_orders_beside, at_order(one));
    finding_note(finding, at_order(other), "the other order, %s", another->text);
    finding_help(finding, "ask the physician whether both are meant; then say with each sheet that there are two");
}

/* TRUE when an earlier file has it too, and at least one of the two was named. */
static gboolean compare(Shared *shared, const Case *file, const char *value, PlaceOf place_of)
{
    char *key = g_strdup_printf("%s\n%s", clinic_of(file), value);
    const Case *first = g_hash_table_lookup(shared->first, key);
    if (!first) {
        g_hash_table_insert(shared->first, key, (gpointer)file);
        return FALSE;
    }
    g_free(key);
    if (is_harmless(first, file, place_of)) {
        if (place_of == at_code && !(first->neighbour && file->neighbour)) {
            say_beside(file, first);
            say_beside(first, file);
        }
        return FALSE;
    }
    say_shared(shared, file, place_of(file), place_of(first));
    if (first->diagnostics != file->diagnostics)
        say_shared(shared, first, place_of(first), place_of(file));
    return TRUE;
}

/* Same name, same procedure: perhaps one person under two codes. */
static void compare_names(Shared *shared, const Case *file)
{
    const Patient *patient = file->patient;
    if (!PRESENT(patient->name) || !PRESENT(patient->anchor.on) || !PRESENT(patient->anchor.clock))
        return;
    g_autofree char *name = g_utf8_casefold(patient->name.text, -1);
    g_autofree char *whole = g_strdup_printf("%s %d %d", name, patient->anchor.on.day, patient->anchor.clock.minute);
    compare(shared, file, whole, at_name);
}

static void compare_sheets(Shared *shared, const Case *file)
{
    if (!PRESENT(file->patient->sheet))
        return;
    g_autofree char *number = g_strdup_printf("%" G_GINT64_FORMAT, file->patient->sheet.value);
    compare(shared, file, number, at_sheet);
}

static gboolean is_act(const char *line)
{
    static const char *const apart[] = {"protocol.protocol", "protocol.title", "protocol.revision", "protocol.author",
                                        "protocol.why", "protocol.acceptances"};
    for (gsize i = 0; i < G_N_ELEMENTS(apart); i++)
        if (g_str_has_prefix(line, apart[i]))
            return FALSE;
    return *line != '\n';
}

char *rules_acts(const Case *file)
{
    if (file->kind != FILE_PROTOCOL || !file->protocol || !file->clinic || !file->shelf ||
        !PRESENT(file->protocol->protocol))
        return NULL;
    Arena *arena = arena_new();
    const char *text = seal_protocol_text(arena, file->protocol);
    DigestRun *run = digest_run_new();
    digest_run_add(run, clinic_of(file), strlen(clinic_of(file)) + 1);
    for (const char *line = text; line && *line;) {
        gsize length = strcspn(line, "\n") + 1; /* each line has its end */
        if (is_act(line))
            digest_run_add(run, line, length);
        line += length;
    }
    arena_free(arena);
    g_autofree char *digest = digest_run_end(run);
    return text ? g_steal_pointer(&digest) : NULL;
}

void rules_together(const GPtrArray *cases)
{
    Shared codes = shared_new(RULE_person_twice, "name a person once, and of two files of one order keep one; two "
                                                 "orders are two calls");
    Shared names = shared_new(RULE_person_alike, "compare the two orders: is it one person under two codes?");
    Shared orders = shared_new(RULE_order_twice, "an order is for one person: correct the number in one of the two");
    Shared sheets = shared_new(RULE_sheet_twice, "give one of the two the next free number");
    Shared acts = shared_new(RULE_protocol_copy, "keep one of the two, and let the orders name it");
    for (guint i = 0; i < cases->len; i++) {
        const Case *file = g_ptr_array_index(cases, i);
        if (file->kind == FILE_PATIENT && file->patient && file->clinic) {
            const Text *code = &file->patient->patient;
            if (PRESENT(*code) && compare(&codes, file, code->text, at_code))
                continue; /* one cause, one finding */
            if (PRESENT(file->patient->order))
                compare(&orders, file, file->patient->order.text, at_order);
            compare_sheets(&sheets, file);
            compare_names(&names, file);
        } else {
            g_autofree char *digest = rules_acts(file);
            if (digest)
                compare(&acts, file, digest, at_protocol);
        }
    }
    GHashTable *tables[] = {codes.first, names.first, orders.first, sheets.first, acts.first};
    for (gsize i = 0; i < G_N_ELEMENTS(tables); i++)
        g_hash_table_unref(tables[i]);
}
