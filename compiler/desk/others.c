/* desk_others: what the files of other people and the record say that matters to one form: somebody of the same
 * first name in a near night; a lot that is known as that of another medicine. */
#include <string.h>

#include "desk/person.h"
#include "desk/tonight.h"

/* Files of people but this one that hold a text, read: of PersonFile*.  Each is searched before it is parsed. */
static GPtrArray *files_with(const Person *person, const char *text)
{
    Arena *arena = person->session->arena;
    g_autofree char *folder = g_build_filename(person->desk->clinic, "patients", NULL);
    GPtrArray *paths = arena_list(arena), *found = arena_list(arena);
    if (!*text || !loader_list(arena, folder, paths, NULL))
        return found;
    for (guint i = 0; i < paths->len; i++) {
        const char *path = g_ptr_array_index(paths, i);
        g_autofree char *name = g_path_get_basename(path), *bytes = NULL;
        if (!g_str_has_suffix(name, ".yaml") || !g_file_get_contents(path, &bytes, NULL, NULL) || !strstr(bytes, text))
            continue;
        name[strlen(name) - strlen(".yaml")] = '\0';
        PersonFile *file = arena_new0(arena, PersonFile);
        if (strcmp(name, person->file.code) != 0 && person_code_fits(name) &&
            person_file_read(arena, person->desk, arena_copy(arena, name), file, NULL) && file->root)
            g_ptr_array_add(found, file);
    }
    return found;
}

/* ---- of one first name ---- */

#define NEAR 3 /* nights: sheets that lie ready on one table */

static gboolean in_near_nights(const Zone *zone, const Plan *one, const Plan *two, Instant *when)
{
    for (guint i = 0; i < one->injections->len * two->injections->len; i++) {
        const PlanInjection *left = g_ptr_array_index(one->injections, i / two->injections->len);
        const PlanInjection *right = g_ptr_array_index(two->injections, i % two->injections->len);
        for (guint k = 0; left->timed && right->timed && k < left->acts->len * right->acts->len; k++) {
            const Act *own = g_ptr_array_index(left->acts, k / right->acts->len);
            const Act *other = g_ptr_array_index(right->acts, k % right->acts->len);
            *when = other->at.instant;
            if (ABS(night_evening(zone, own->at.instant) - night_evening(zone, *when)) <= NEAR)
                return TRUE;
        }
    }
    return FALSE;
}

void person_show_alike(Person *person)
{
    Arena *arena = person->session->arena;
    const Patient *own = person->judged ? person->own.patient : NULL;
    if (!own || !person->plan || !PRESENT(own->name))
        return;
    g_auto(GStrv) names = g_strsplit(own->name.text, " ", 2);
    const GPtrArray *others = files_with(person, names[0] ? names[0] : "");
    for (guint i = 0; i < others->len; i++) {
        const PersonFile *file = g_ptr_array_index(others, i);
        const char *name = person_file_says(file, "name", NULL);
        Case other;
        Plan *plan;
        Instant when;
        if (!same_first_name(own->name.text, name) || !commands_judge(person->session, file->path, &other, &plan) ||
            !plan || !in_near_nights(person->clinic.clinic->zone.zone, person->plan, plan, &when))
            continue;
        View *one = view_add(person->view, "alike");
        view_text(one, "alike_name", name);
        view_text(one, "alike_code", file->code);
        view_format(one, "alike_when", "%s, %s", page_day(arena, person->clinic.clinic, when),
                    page_clock(arena, person->clinic.clinic, when));
    }
}

/* ---- of one lot ---- */

typedef struct LotKnown {
    const char *medicine, *lot;
    const char *other, *whose; /* that it was said of, and by which person; NULL: nobody did */
    gboolean same;             /* somebody has it under this very medicine: then nothing is said */
} LotKnown;

static void take_lot(LotKnown *known, const char *lot, const char *medicine, const char *whose)
{
    if (g_ascii_strcasecmp(lot, known->lot) != 0 || !*medicine)
        return;
    known->same |= strcmp(medicine, known->medicine) == 0;
    if (strcmp(medicine, known->medicine) == 0 || known->other)
        return;
    known->other = medicine;
    known->whose = whose;
}

/* "chorionic gonadotropin 10,000 units, lot A1234; follitropin ..., lot B7" of a sheet. */
static void take_sheet(LotKnown *known, Arena *arena, const RecordSheet *sheet)
{
    const char *boxes = record_fact(arena, sheet, "boxes", 0);
    g_auto(GStrv) each = g_strsplit(boxes ? boxes : "", "; ", -1);
    for (char **box = each; *box; box++) {
        char *lot = strstr(*box, ", lot ");
        if (!lot)
            continue;
        *lot = '\0';
        take_lot(known, lot + strlen(", lot "), arena_copy(arena, *box), sheet->person);
    }
}

#define LOOKED_AT 3 /* sheets of a lot: the newest */

const char *person_lot_elsewhere(Person *person, const char *medicine, const char *lot, const char **whose)
{
    Arena *arena = person->session->arena;
    LotKnown known = {medicine, lot, NULL, NULL, FALSE};
    const GPtrArray *sheets = person->record && *lot
                                  ? record_lookup_some(person->record, lot, LOOKED_AT, 0, 0, NULL) : NULL;
    for (guint i = sheets ? sheets->len : 0; i > 0; i--)
        take_sheet(&known, arena, g_ptr_array_index(sheets, i - 1));
    const GPtrArray *files = known.same || !*lot ? NULL : files_with(person, lot); /* the record is the cheaper one */
    for (guint i = 0; files && i < files->len; i++)
        for (guint box = 0; box < DESK_BOXES; box++) {
            const PersonFile *file = g_ptr_array_index(files, i);
            take_lot(&known, person_file_box(file, box, "lot"), person_file_box(file, box, "medicine"), file->code);
        }
    *whose = known.whose;
    return known.same ? NULL : known.other;
}
