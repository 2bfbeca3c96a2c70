/* dosewright_earlier: see dosewright_earlier.h. */
#include "commands/dosewright_earlier.h"

#include <string.h>

#include "output/output.h"

/* A final sheet that stands in the folder; a draft is none. */
typedef struct EarlierSheet {
    const char *name, *record;
} EarlierSheet;

static const char *value(Arena *arena, const EarlierSheet *sheet, const char *word)
{
    const char *text = output_record_value(arena, sheet->record, word);
    return text ? text : "";
}

static gint64 number(Arena *arena, const EarlierSheet *sheet, const char *word)
{
    return g_ascii_strtoll(value(arena, sheet, word), NULL, 10);
}

static GBytes *bytes_of(const char *folder, const char *name)
{
    g_autofree char *path = g_build_filename(folder, name, NULL);
    gboolean plain = g_file_test(path, G_FILE_TEST_IS_REGULAR);
    g_autoptr(GMappedFile) file = plain ? g_mapped_file_new(path, FALSE, NULL) : NULL;
    return file ? g_mapped_file_get_bytes(file) : NULL;
}

static gint by_name(gconstpointer a, gconstpointer b)
{
    const EarlierSheet *const *first = a, *const *second = b;
    return strcmp((*first)->name, (*second)->name);
}

static void add_sheet(Arena *arena, const char *folder, const char *name, GPtrArray *sheets)
{
    g_autoptr(GBytes) bytes = g_str_has_suffix(name, ".pdf") ? bytes_of(folder, name) : NULL;
    const char *record = bytes ? output_seal_record(arena, bytes) : NULL;
    if (!record || output_record_value(arena, record, "draft"))
        return;
    EarlierSheet *sheet = arena_new0(arena, EarlierSheet);
    *sheet = (EarlierSheet){arena_copy(arena, name), record};
    g_ptr_array_add(sheets, sheet);
}

static GPtrArray *sheets_in(Arena *arena, const char *folder)
{
    GPtrArray *sheets = arena_list(arena);
    g_autoptr(GDir) there = g_dir_open(folder, 0, NULL);
    const char *name;
    while (there && (name = g_dir_read_name(there)))
        add_sheet(arena, folder, name, sheets);
    g_ptr_array_sort(sheets, by_name);
    return sheets;
}

static GPtrArray *sheets_named(Arena *arena, const char *folder, const GPtrArray *names)
{
    GPtrArray *sheets = arena_list(arena);
    for (guint i = 0; i < names->len; i++)
        add_sheet(arena, folder, g_ptr_array_index(names, i), sheets);
    g_ptr_array_sort(sheets, by_name);
    return sheets;
}

/* ---- what stands against a new sheet ---- */

typedef struct Clash {
    Arena *arena;
    const char *folder;
    const Plan *plan;
    const GPtrArray *sheets; /* of EarlierSheet* */
    gint64 own, replaces;    /* numbers; replaces 0 when none */
    gint64 written;          /* the highest number in a person's file, 0 when none was looked at */
} Clash;

static gboolean same_person(const Clash *clash, const EarlierSheet *sheet)
{
    return strcmp(value(clash->arena, sheet, "person_code"), clash->plan->patient->patient.text) == 0;
}

/* The same sheet in another form: large, or the clinic's pages of it. */
static gboolean same_sheet(const Clash *clash, const EarlierSheet *sheet)
{
    const char *digest = plan_value(clash->plan, NULL, VALUE_source_digest)->text;
    return same_person(clash, sheet) && strcmp(value(clash->arena, sheet, "source_digest"), digest) == 0 &&
           strcmp(value(clash->arena, sheet, "acted_on"), plan_acted_on(clash->arena, clash->plan)) == 0;
}

static gboolean replaced_by_another(const Clash *clash, gint64 sheet)
{
    for (guint i = 0; i < clash->sheets->len; i++) {
        const EarlierSheet *other = g_ptr_array_index(clash->sheets, i);
        if (same_person(clash, other) && number(clash->arena, other, "replaces_number") == sheet)
            return TRUE;
    }
    return FALSE;
}

static gboolean is_replaced(const Clash *clash, gint64 sheet)
{
    return sheet == clash->replaces || replaced_by_another(clash, sheet);
}

static gboolean of_order(const Clash *clash, const EarlierSheet *sheet)
{
    return same_person(clash, sheet) &&
           strcmp(value(clash->arena, sheet, "order_number"), clash->plan->patient->order.text) == 0;
}

/* The sheet of this order that counts, which a new one has to replace: the last that none replaces. */
static gint64 counting(const Clash *clash, gint64 otherwise)
{
    gint64 found = 0;
    for (guint i = 0; i < clash->sheets->len; i++) {
        const EarlierSheet *sheet = g_ptr_array_index(clash->sheets, i);
        gint64 its = number(clash->arena, sheet, "sheet_number");
        if (of_order(clash, sheet) && !replaced_by_another(clash, its))
            found = MAX(found, its);
    }
    return found > 0 ? found : otherwise;
}

/* A number that no sheet of the folder and no person's file has. */
static gint64 free_number(const Clash *clash)
{
    gint64 most = MAX(clash->own, clash->written);
    for (guint i = 0; i < clash->sheets->len; i++)
        most = MAX(most, number(clash->arena, g_ptr_array_index(clash->sheets, i), "sheet_number"));
    return most + 1;
}

static Finding *refuse(const Clash *clash, Diagnostics *diagnostics)
{
    return finding_add(diagnostics, RULE_sheet_printed, clash->plan->patient->sheet.at.place);
}

/* A sheet says it for machines. */
static const char *made_at(const Clash *clash, const EarlierSheet *sheet)
{
    const char *text = value(clash->arena, sheet, "made_at"), *date = strchr(text, ' ');
    LocalTime local;
    gboolean offset;
    Instant instant;
    return date && moment_parse(date + 1, &local, &offset, &instant).fault == MOMENT_FINE
               ? clinic_time(clash->arena, clash->plan->clinic, local) : text;
}

static void printed_before(const Clash *clash, const char *name, const EarlierSheet *sheet, Diagnostics *diagnostics)
{
    Finding *finding = refuse(clash, diagnostics);
    if (sheet)
        finding_fact(finding, "%s/%s is sheet %" G_GINT64_FORMAT " already, made %s, with the code %s", clash->folder,
                     name, clash->own, made_at(clash, sheet), value(clash->arena, sheet, "check_code"));
    else
        finding_fact(finding, "%s/%s is there already and holds something else", clash->folder, name);
    finding_help(finding, "when the old one is still right, print that file again; when something changed, write "
                          "\"sheet: %" G_GINT64_FORMAT "\" and \"replaces: %" G_GINT64_FORMAT "\": the new sheet then "
                          "says which one to tear up", free_number(clash), counting(clash, clash->own));
}

static void taken(const Clash *clash, const EarlierSheet *sheet, Diagnostics *diagnostics)
{
    Finding *finding = refuse(clash, diagnostics);
    finding_fact(finding, "%s/%s is sheet %" G_GINT64_FORMAT " of another person", clash->folder, sheet->name,
                 clash->own);
    finding_help(finding, "write a number that no sheet has: \"sheet: %" G_GINT64_FORMAT "\"", free_number(clash));
}

static void two_valid(const Clash *clash, const EarlierSheet *sheet, Diagnostics *diagnostics)
{
    gint64 old = number(clash->arena, sheet, "sheet_number");
    Finding *finding = refuse(clash, diagnostics);
    finding_fact(finding, "%s/%s is sheet %" G_GINT64_FORMAT " of the same order, and nothing says that this one "
                 "replaces it", clash->folder, sheet->name, old);
    if (old < clash->own)
        finding_help(finding, "add \"replaces: %" G_GINT64_FORMAT "\"; or, when the old one is still right, print that "
                              "file again", old);
    else
        finding_help(finding, "write \"sheet: %" G_GINT64_FORMAT "\" and \"replaces: %" G_GINT64_FORMAT "\"; or, when "
                              "the old one is still right, print that file again", free_number(clash), old);
}

static void void_number(const Clash *clash, const EarlierSheet *sheet, Diagnostics *diagnostics)
{
    Finding *finding = refuse(clash, diagnostics);
    finding_fact(finding, "%s/%s is sheet %s and replaces sheet %" G_GINT64_FORMAT, clash->folder, sheet->name,
                 value(clash->arena, sheet, "sheet_number"), clash->own);
    finding_help(finding, "print that file again, or write \"sheet: %" G_GINT64_FORMAT "\" and \"replaces: %"
                          G_GINT64_FORMAT "\"", free_number(clash),
                 counting(clash, number(clash->arena, sheet, "sheet_number")));
}

/* FALSE after a finding. */
static gboolean sheet_allows(const Clash *clash, const EarlierSheet *sheet, Diagnostics *diagnostics)
{
    gint64 its = number(clash->arena, sheet, "sheet_number");
    if (its == clash->own && !same_person(clash, sheet))
        taken(clash, sheet, diagnostics);
    else if (its == clash->own && !same_sheet(clash, sheet))
        printed_before(clash, sheet->name, sheet, diagnostics);
    else if (same_person(clash, sheet) && number(clash->arena, sheet, "replaces_number") == clash->own)
        void_number(clash, sheet, diagnostics);
    else if (its != clash->own && of_order(clash, sheet) && !is_replaced(clash, its))
        two_valid(clash, sheet, diagnostics);
    else
        return TRUE;
    return FALSE;
}

static const EarlierSheet *sheet_named(const Clash *clash, const char *name)
{
    for (guint i = 0; i < clash->sheets->len; i++)
        if (strcmp(((const EarlierSheet *)g_ptr_array_index(clash->sheets, i))->name, name) == 0)
            return g_ptr_array_index(clash->sheets, i);
    return NULL;
}

/* FALSE after a finding. */
static gboolean file_allows(const Clash *clash, const PublishFile *file, Diagnostics *diagnostics)
{
    g_autoptr(GBytes) there = bytes_of(clash->folder, file->name);
    if (!there || g_bytes_equal(there, file->bytes))
        return TRUE;
    printed_before(clash, file->name, sheet_named(clash, file->name), diagnostics);
    return FALSE;
}

static Clash clash_of(Arena *arena, const char *folder, const GPtrArray *names, const Plan *plan)
{
    const Number *replaces = &plan->patient->replaces;
    const GPtrArray *sheets = names ? sheets_named(arena, folder, names) : sheets_in(arena, folder);
    return (Clash){arena, folder, plan, sheets, plan->patient->sheet.value,
                   PRESENT(*replaces) ? replaces->value : 0, 0};
}

gboolean earlier_is_same(Arena *arena, const char *folder, const char *name, const Plan *plan)
{
    const Clash clash = {.arena = arena, .folder = folder, .plan = plan};
    g_autoptr(GBytes) bytes = bytes_of(folder, name);
    if (!bytes || !output_seal_holds(bytes))
        return FALSE;
    const EarlierSheet sheet = {name, output_seal_record(arena, bytes)};
    return sheet.record && same_sheet(&clash, &sheet);
}

static gboolean allows(const Clash *clash, const GPtrArray *files, Diagnostics *diagnostics)
{
    for (guint i = 0; i < clash->sheets->len; i++)
        if (!sheet_allows(clash, g_ptr_array_index(clash->sheets, i), diagnostics))
            return FALSE;
    for (guint i = 0; i < files->len; i++)
        if (!file_allows(clash, g_ptr_array_index(files, i), diagnostics))
            return FALSE;
    return TRUE;
}

gboolean earlier_allows(const Session *session, const char *folder, const Plan *plan, const GPtrArray *files,
                        Diagnostics *diagnostics)
{
    Clash clash = clash_of(session->arena, folder, NULL, plan);
    clash.written = session->last_number;
    return allows(&clash, files, diagnostics);
}

gboolean earlier_allows_beside(Arena *arena, const char *folder, const GPtrArray *names, const Plan *plan,
                               const GPtrArray *files, Diagnostics *diagnostics)
{
    const Clash clash = clash_of(arena, folder, names, plan);
    return allows(&clash, files, diagnostics);
}

void earlier_tell_replaced(Arena *arena, const char *folder, const Plan *plan)
{
    const Clash clash = clash_of(arena, folder, NULL, plan);
    for (guint i = 0; clash.replaces > 0 && i < clash.sheets->len; i++) {
        const EarlierSheet *sheet = g_ptr_array_index(clash.sheets, i);
        if (same_person(&clash, sheet) && number(arena, sheet, "sheet_number") == clash.replaces)
            terminal_say(stderr, "%s/%s is sheet %d, which sheet %d replaces: do not hand it out\n", folder,
                         sheet->name, (int)clash.replaces, (int)clash.own);
    }
}
