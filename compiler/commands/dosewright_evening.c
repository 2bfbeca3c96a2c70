/* dosewright_evening: the people of a night, gathered from their files and the record.  Files
 * are planned as of noon of the evening's day: then a plan at midnight says what the sheet said
 * that was printed in the afternoon. */
#include "commands/commands.h"

#include <string.h>

#include "output/output.h"
#include "rules/rules.h"

typedef struct Gathering {
    Session *session;
    NightRequest *request;
    int nights;
    GPtrArray *people, *stopped, *cancelled, *notes;
    const Template *template;
    GHashTable *phrases; /* tag -> const Phrases* */
    Arena *memory;       /* of whoever is looked at; kept with her when she is of tonight */
    gboolean kept;
    const RecordSheet *printed; /* of whoever is looked at: the sheet that counts, or NULL */
    const char *folder;  /* of the templates */
    const char *clinic;  /* folder of the one clinic */
    Record *record;
    Instant from, until;
    int status;
} Gathering;

static gboolean failed(Gathering *gathering, GError *error)
{
    gathering->status = commands_system_error(error);
    return FALSE;
}

/* ---- phrases ---- */

static const Phrases *phrases_for(Gathering *gathering, const char *tag)
{
    gpointer known;
    GError *error = NULL;
    if (g_hash_table_lookup_extended(gathering->phrases, tag, NULL, &known))
        return known;
    Diagnostics *unread = diagnostics_new(gathering->session->arena);
    const Phrases *phrases = phrases_read(gathering->session->arena, gathering->folder, tag, unread, &error);
    if (error)
        failed(gathering, error);
    else if (!phrases)
        commands_report(gathering->session, unread);
    g_hash_table_insert(gathering->phrases, (gpointer)tag, (gpointer)phrases);
    return phrases;
}

/* The first case settles which clinic it is, and which night. */
static gboolean set_clinic(Gathering *gathering, const Case *file)
{
    const Clinic *clinic = file->clinic;
    const GPtrArray *languages = clinic->languages.items;
    if (gathering->request->clinic) {
        if (g_strcmp0(gathering->clinic, file->folder) == 0)
            return TRUE;
        gathering->status = commands_usage("a night is that of one clinic: %s and %s are two", gathering->clinic,
                                           file->folder);
        return FALSE;
    }
    if (!PRESENT(clinic->zone) || languages->len == 0 || !PRESENT(*(const Text *)g_ptr_array_index(languages, 0)))
        return TRUE; /* its findings stop every person */
    gathering->clinic = file->folder;
    if (!commands_record(gathering->session, file, &gathering->record)) {
        gathering->status = EXIT_SYSTEM;
        return FALSE;
    }
    const Zone *zone = clinic->zone.zone;
    Day evening = night_evening(zone, gathering->session->now) + gathering->nights;
    gathering->request->evening = evening;
    gathering->from = night_noon(zone, evening);
    gathering->until = night_noon(zone, evening + 1);
    gathering->request->clinic = clinic;
    gathering->request->phrases = phrases_for(gathering, ((const Text *)g_ptr_array_index(languages, 0))->text);
    return gathering->request->phrases != NULL;
}

/* ---- the record ---- */

/* "at": a time with its offset, or the night's clock time; the noting itself when it says none. */
static Instant time_of(const Gathering *gathering, const RecordEntry *entry, const char *text)
{
    LocalTime local = {0, 0};
    gboolean has_offset = FALSE;
    Instant instant = entry->at, instants[2];
    if (!text)
        return instant;
    if (moment_parse(text, &local, &has_offset, &instant).fault == MOMENT_FINE && has_offset)
        return instant;
    const Zone *zone = gathering->request->clinic->zone.zone;
    if (clock_parse(text, &local.minute).fault != MOMENT_FINE)
        return entry->at;
    local.day = night_evening(zone, entry->at) + (local.minute < 12 * 60);
    return zone_instants(zone, local, instants) > 0 ? instants[0] : entry->at;
}

static void take_notes(Gathering *gathering, const RecordSheet *sheet)
{
    Arena *arena = gathering->session->arena;
    for (guint i = 0; i < sheet->entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(sheet->entries, i);
        if (entry->kind != RECORD_INJECTED && entry->kind != RECORD_CALL)
            continue;
        NightNote *note = arena_new0(arena, NightNote);
        const char *slip = record_value(arena, entry->body, "slip"), *said = record_value(arena, entry->body, "said");
        *note = (NightNote){.code = sheet->person, .sheet = sheet->number, .at = entry->at, .by = entry->by,
                            .injected = entry->kind == RECORD_INJECTED,
                            .injection = record_value(arena, entry->body, "injection"),
                            .said = slip && said ? arena_format(arena, "%s: %s", slip, said) : slip ? slip : said,
                            .settled = record_value(arena, entry->body, "settled") != NULL};
        note->given = time_of(gathering, entry, record_value(arena, entry->body, "at"));
        g_ptr_array_add(gathering->notes, note);
    }
}

/* The sheet of this order that counts; NULL when none does. */
static const RecordSheet *sheet_of(Gathering *gathering, const Case *file)
{
    GError *error = NULL;
    GPtrArray *sheets = record_of_person(gathering->record, file->patient->patient.text, &error);
    const RecordSheet *found = NULL;
    if (!sheets)
        failed(gathering, error);
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        if (sheet->state == RECORD_IS_VALID && strcmp(sheet->order, file->patient->order.text) == 0)
            found = sheet;
    }
    return found;
}

/* The last sheet of this order was cancelled: nothing is to be injected. */
static gboolean is_cancelled(Gathering *gathering, const Case *file)
{
    const Patient *patient = file->patient;
    gboolean known = gathering->record && patient && PRESENT(patient->patient) && PRESENT(patient->order);
    GError *error = NULL;
    GPtrArray *sheets = known ? record_of_person(gathering->record, patient->patient.text, &error) : NULL;
    gboolean cancelled = FALSE;
    if (error)
        failed(gathering, error);
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        if (strcmp(sheet->order, patient->order.text) == 0 && sheet->state != RECORD_IS_GIVEN)
            cancelled = sheet->state == RECORD_IS_CANCELLED;
    }
    return cancelled;
}

/* The files may have changed since it was printed; as long as the code is the same, all that is
 * acted on is. */
static gboolean says_the_same(const Gathering *gathering, const RecordSheet *sheet, const Plan *plan)
{
    const char *printed = record_fact(gathering->memory, sheet, "check_code", 1);
    const Value *code = plan_value(plan, g_ptr_array_index(plan->injections, 0), VALUE_check_code);
    return code->set && g_strcmp0(printed, code->text) == 0;
}

static void add_stopped(const Gathering *gathering, const char *code, guint errors)
{
    Arena *arena = gathering->session->arena;
    NightStopped *stopped = arena_new0(arena, NightStopped);
    *stopped = (NightStopped){arena_copy(arena, code), errors};
    g_ptr_array_add(gathering->stopped, stopped);
}

static Plan *plan_numbered(Gathering *gathering, Case *file, const Plan *judged)
{
    const RecordSheet *sheet = sheet_of(gathering, file);
    if (!sheet)
        return NULL;
    gathering->printed = sheet;
    take_notes(gathering, sheet);
    Patient *patient = arena_new0(gathering->memory, Patient);
    const Field read = {FIELD_READ, judged->patient->patient.at.place, judged->patient->patient.at.key};
    *patient = *file->patient;
    patient->sheet = (Number){read, sheet->number};
    file->patient = patient;
    const Instant made = sheet->made > 0 ? sheet->made : judged->now; /* a course's sheet tells its days from then on */
    const PlanContext context = {made, commands_version(), file->digest, judged->rules, FALSE, NULL,
                                 file->seals};
    Plan *plan = plan_build(gathering->memory, file->clinic, file->shelf, file->protocol, patient, &context);
    return says_the_same(gathering, sheet, plan) ? plan : NULL;
}

/* Whom the record knows to inject tonight, and no file named here. */
static gboolean add_unnamed(Gathering *gathering)
{
    GError *error = NULL;
    GPtrArray *sheets = record_between(gathering->record, gathering->from, gathering->until, &error);
    if (!sheets)
        return failed(gathering, error);
    for (guint i = 0; i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        gboolean known = sheet->state != RECORD_IS_VALID;
        for (guint k = 0; k < gathering->people->len && !known; k++) {
            const NightPerson *person = g_ptr_array_index(gathering->people, k);
            known = strcmp(person->plan->patient->patient.text, sheet->person) == 0;
        }
        for (guint k = 0; k < gathering->stopped->len && !known; k++)
            known = strcmp(((const NightStopped *)g_ptr_array_index(gathering->stopped, k))->code, sheet->person) == 0;
        if (!known)
            add_stopped(gathering, sheet->person, 0);
    }
    return TRUE;
}

/* ---- sheets ---- */

/* Makes a sheet as it was printed, when it is asked for. */
typedef struct Maker {
    const NightPerson *person;
    const GPtrArray *injections;
    const Template *template;
    const RecordSheet *printed; /* or NULL */
} Maker;

/* Pages are those of the sheet that was printed; where the record does not have them they are counted in both
 * prints, when a slip's words ask for one, since nobody knows which of them she holds. */
typedef struct LazyPages {
    const char *printed; /* "wipe 3, push 4", or NULL */
    Arena *arena;
    const Document *document;
    Paper paper;
    gboolean tried;
    OutputLaid *laid, *large; /* or NULL */
} LazyPages;

static int printed_page(const char *panels, const char *name)
{
    gsize length = strlen(name);
    for (const char *at = panels; at; at = strstr(at, ", ") ? strstr(at, ", ") + 2 : NULL)
        if (strncmp(at, name, length) == 0 && at[length] == ' ')
            return (int)g_ascii_strtoll(at + length, NULL, 10);
    return 0;
}

static OutputLaid *lay_out_in(const LazyPages *pages, gboolean large)
{
    g_autoptr(GError) error = NULL;
    return output_lay_out(pages->arena, pages->document, pages->paper, large, diagnostics_new(pages->arena), &error);
}

/* In large print too, unless the document has taken its form for one leaf, which has other steps. */
static void lay_out(LazyPages *pages)
{
    if (pages->tried)
        return;
    const Document *document = pages->document;
    pages->laid = lay_out_in(pages, FALSE);
    if (!document->leaf || g_ptr_array_index(document->leaf, 0) != g_ptr_array_index(document->sections, 0))
        pages->large = lay_out_in(pages, TRUE);
    pages->tried = TRUE;
}

static int page_of(const Block *block, gpointer data, int *large)
{
    LazyPages *pages = data;
    if (pages->printed)
        return printed_page(pages->printed, block->role);
    lay_out(pages);
    int page = pages->laid ? output_page_of(block, pages->laid) : 0;
    int other = pages->large ? output_page_of(block, pages->large) : page;
    *large = other == page ? 0 : other;
    return page;
}

static const Document *word(const Maker *maker, Arena *arena)
{
    const NightPerson *person = maker->person;
    return wording_sheet(arena, person->plan, maker->injections, maker->template, person->phrases, FALSE,
                         diagnostics_new(arena));
}

static void open_sheet(gpointer made_by, Arena *arena, SlipSheet *sheet)
{
    const Maker *maker = made_by;
    LazyPages *pages = arena_new0(arena, LazyPages);
    sheet->document = word(maker, arena);
    const char *printed = maker->printed
                              ? record_fact(arena, maker->printed, "panel_pages", sheet->injection->number) : NULL;
    *pages = (LazyPages){printed, arena, sheet->document, maker->person->plan->clinic->paper.value, FALSE, NULL, NULL};
    if (sheet->document && sheet->document->leaf && !printed)
        lay_out(pages); /* it may take its form for one leaf */
    sheet->page_of = page_of;
    sheet->pages = pages;
}

/* FALSE when it could not be worded, and so was never printed; of the sheet that the record holds, with the
 * same code, it is known. */
static gboolean add_sheet(Gathering *gathering, NightPerson *person, const GPtrArray *injections)
{
    NightSheet *sheet = arena_new0(gathering->memory, NightSheet);
    Maker *maker = arena_new0(gathering->memory, Maker);
    *maker = (Maker){person, injections, gathering->template, gathering->printed};
    *sheet = (NightSheet){injections, open_sheet, maker};
    gboolean fine = gathering->record != NULL;
    Arena *tried = fine ? NULL : arena_new();
    if (tried)
        fine = word(maker, tried) != NULL;
    g_clear_pointer(&tried, arena_free);
    if (fine)
        g_ptr_array_add(person->sheets, sheet);
    return fine;
}

static gboolean add_sheets(Gathering *gathering, NightPerson *person)
{
    const GPtrArray *all = person->plan->injections;
    gboolean fine = TRUE;
    if (template_holds_all(gathering->template) && plan_one_sheet(person->plan))
        return add_sheet(gathering, person, all);
    for (guint i = 0; i < all->len; i++) {
        GPtrArray *alone = arena_list(gathering->memory);
        g_ptr_array_add(alone, g_ptr_array_index(all, i));
        fine &= add_sheet(gathering, person, alone);
    }
    return fine;
}

/* ---- people ---- */

/* TRUE too when nobody can say. */
static gboolean may_be_tonight(const Gathering *gathering, const Plan *plan)
{
    gboolean known = plan != NULL;
    for (guint i = 0; plan && i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        known &= injection->timed;
        for (guint k = 0; injection->timed && k < injection->acts->len; k++) {
            const Act *act = g_ptr_array_index(injection->acts, k);
            if (act->at.instant >= gathering->from && act->at.instant < gathering->until)
                return TRUE;
        }
    }
    return !known;
}

static void stop(Gathering *gathering, const Case *file)
{
    gboolean coded = file->patient && PRESENT(file->patient->patient);
    add_stopped(gathering, coded ? file->patient->patient.text : file->path,
                diagnostics_open(file->diagnostics, SEVERITY_ERROR));
}

/* A row of a roster and a file that say the same of the same person. */
static gboolean is_known(const Gathering *gathering, const Plan *plan)
{
    const char *code = plan_value(plan, g_ptr_array_index(plan->injections, 0), VALUE_check_code)->text;
    for (guint i = 0; i < gathering->people->len; i++) {
        const Plan *other = ((const NightPerson *)g_ptr_array_index(gathering->people, i))->plan;
        const Value *own = plan_value(other, g_ptr_array_index(other->injections, 0), VALUE_check_code);
        if (strcmp(other->patient->patient.text, plan->patient->patient.text) == 0 && g_strcmp0(own->text, code) == 0)
            return TRUE;
    }
    return FALSE;
}

static gboolean add_person(Gathering *gathering, Case *file)
{
    Session own = *gathering->session;
    own.arena = gathering->memory;
    if (gathering->request->clinic)
        own.now = gathering->from;
    Plan *plan = commands_plan(&own, file);
    if (!gathering->request->clinic || !may_be_tonight(gathering, plan))
        return TRUE;
    if (is_cancelled(gathering, file)) {
        g_ptr_array_add(gathering->cancelled, arena_copy(gathering->session->arena, file->patient->patient.text));
        return TRUE;
    }
    if (plan && diagnostics_stops(file->diagnostics))
        plan = NULL;
    if (plan && gathering->record) /* the number is the record's to give */
        plan = plan_numbered(gathering, file, plan);
    if (!plan || !plan_complete(plan)) {
        stop(gathering, file);
        return gathering->status == EXIT_FINE;
    }
    if (is_known(gathering, plan))
        return TRUE;
    const Text *hers = &file->patient->language, *first = g_ptr_array_index(file->clinic->languages.items, 0);
    NightPerson *person = arena_new0(gathering->memory, NightPerson);
    person->plan = plan;
    person->phrases = phrases_for(gathering, PRESENT(*hers) ? hers->text : first->text);
    person->sheets = arena_list(gathering->memory);
    gboolean reviewed = person->phrases && phrases_reviewer(person->phrases); /* others print drafts only */
    gathering->kept = reviewed && add_sheets(gathering, person);
    if (gathering->kept)
        g_ptr_array_add(gathering->people, person);
    else
        stop(gathering, file);
    return gathering->status == EXIT_FINE;
}

static gboolean add_case(Gathering *gathering, Case *file)
{
    if (file->clinic && !set_clinic(gathering, file))
        return FALSE;
    return add_person(gathering, file);
}

/* What was worked out for somebody goes when she is not of tonight. */
static void begin_person(Gathering *gathering)
{
    gathering->memory = arena_new();
    gathering->kept = FALSE;
    gathering->printed = NULL;
}

static void end_person(Gathering *gathering)
{
    if (gathering->kept)
        g_ptr_array_add(gathering->request->memories, gathering->memory);
    else
        arena_free(gathering->memory);
    gathering->memory = NULL;
}

/* FALSE behind the last. */
static gboolean add_row(Gathering *gathering, Roster *roster, const char *path, gboolean *fine)
{
    GError *error = NULL;
    RosterRow row;
    Arena *arena = gathering->memory;
    if (!roster_next(roster, arena, &row))
        return FALSE;
    Case *file = arena_new0(arena, Case);
    *file = (Case){.path = path, .kind = FILE_PATIENT, .diagnostics = row.diagnostics};
    const Listed listed = {arena, row.root, roster_is_table(roster), row.words, row.diagnostics};
    if (row.root && !loader_listed(gathering->session->loader, path, &listed, file, &error))
        *fine = failed(gathering, error);
    else
        *fine = add_case(gathering, file);
    return TRUE;
}

/* Each row is a person as a file of its own would be.  A roster that cannot be read as one holds people whom nobody
 * sees: it stands among those who are stopped. */
static gboolean add_roster(Gathering *gathering, const char *path)
{
    GError *error = NULL;
    Arena *arena = gathering->session->arena;
    Diagnostics *unread = diagnostics_new(arena);
    Roster *roster = roster_open(arena, path, unread, &error);
    gboolean fine = TRUE, more = roster != NULL;
    guint faults = diagnostics_open(unread, SEVERITY_ERROR);
    if (error)
        return failed(gathering, error);
    if (faults > 0)
        add_stopped(gathering, path, faults);
    while (fine && more) {
        begin_person(gathering);
        more = add_row(gathering, roster, path, &fine);
        end_person(gathering);
    }
    return fine;
}

static gboolean add_file(Gathering *gathering, const char *path)
{
    GError *error = NULL;
    Case file;
    if (roster_is(path))
        return add_roster(gathering, path);
    if (!loader_load(gathering->session->loader, path, &file, &error))
        return failed(gathering, error);
    begin_person(gathering);
    gboolean fine = file.kind != FILE_PATIENT || add_case(gathering, &file);
    end_person(gathering);
    return fine;
}

/* Nobody's file is there: whom the record knows is told all the same. */
static gboolean begin_with_clinic(Gathering *gathering, const char *folder)
{
    GError *error = NULL;
    Case file;
    const char *path = arena_format(gathering->session->arena, "%s/clinic.yaml", folder);
    if (!loader_load(gathering->session->loader, path, &file, &error))
        return failed(gathering, error);
    return !file.clinic || set_clinic(gathering, &file);
}

/* The files named, or the clinic's people. */
static gboolean collect(Gathering *gathering, char **words, GPtrArray *paths)
{
    GError *error = NULL;
    Session *session = gathering->session;
    if (words && *words) {
        for (char **word = words; *word; word++)
            if (!commands_collect(session, *word, paths, &error))
                return failed(gathering, error);
        return TRUE;
    }
    const char *folder = loader_clinic_folder(session->loader, "-");
    if (!folder) {
        gathering->status = commands_usage("name the patients' files or their folder, or the clinic's with --clinic");
        return FALSE;
    }
    const char *people = arena_format(session->arena, "%s/patients", folder);
    if (g_file_test(people, G_FILE_TEST_EXISTS) && !loader_list(session->arena, people, paths, &error))
        return failed(gathering, error);
    return paths->len > 0 || begin_with_clinic(gathering, folder);
}

int evening_gather(Session *session, char **words, int nights, NightRequest *request)
{
    GError *error = NULL;
    Arena *arena = session->arena;
    Gathering gathering = {.session = session, .request = request, .nights = nights, .people = arena_list(arena),
                           .stopped = arena_list(arena), .cancelled = arena_list(arena), .notes = arena_list(arena)};
    gathering.folder = session->options.templates ? session->options.templates : commands_templates(arena);
    gathering.phrases = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, gathering.phrases);
    GPtrArray *memories = g_ptr_array_new_with_free_func((GDestroyNotify)arena_free);
    arena_defer(arena, (GDestroyNotify)g_ptr_array_unref, memories);
    *request = (NightRequest){.people = gathering.people, .memories = memories, .stopped = gathering.stopped,
                              .cancelled = gathering.cancelled, .notes = gathering.notes,
                              .now = session->now, .made = session->now, .typed = session->options.now != NULL};
    Diagnostics *unread = diagnostics_new(arena);
    gathering.template = template_read(arena, gathering.folder, COMMANDS_TEMPLATE, unread, &error);
    if (!gathering.template) {
        commands_report(session, unread);
        return error ? commands_system_error(error) : EXIT_FINDINGS;
    }
    GPtrArray *paths = arena_list(arena);
    gboolean fine = collect(&gathering, words, paths);
    for (guint i = 0; fine && i < paths->len; i++)
        fine = add_file(&gathering, g_ptr_array_index(paths, i));
    if (fine && gathering.record)
        fine = add_unnamed(&gathering);
    return fine ? EXIT_FINE : gathering.status != EXIT_FINE ? gathering.status : EXIT_FINDINGS;
}
