/* desk_call: someone is on the telephone: who, in time or not, what to ask, say and do; and the
 * note of it. */
#include <string.h>

#include "desk/file.h"
#include "desk/tonight.h"

#define AHEAD 60  /* seconds by which clocks may differ */
#define EARLY (6 * 3600) /* seconds before a window opens: nobody has injected then */
#define LISTED 60 /* sheets of the record that one word finds: a lot is that of thousands */

/* A call while its page is made. */
typedef struct Call {
    const Desk *desk;
    const Request *request;
    Session *session;
    Case file;
    Record *record;   /* or NULL: none is kept */
    NightRequest people;
    int nights;       /* which night that is: see evening_gather() */
    Night *night;     /* or NULL: nobody injects in it */
    const char *word; /* that was asked for */
    View *view;
} Call;

#define SPOKEN 5 /* letters of a sheet's code, which may be somebody else's */

/* The file of whoever is named by her code, as each link to a call does: the others need not be worked out.
 * NULL when it takes all of them to know. */
static const char *file_of(const Call *call, const char *code)
{
    guint letters = 0;
    for (const char *at = code; *at; at++)
        letters += g_ascii_isalnum(*at);
    if (letters == SPOKEN || !person_code_fits(code))
        return NULL;
    const char *path = arena_format(call->session->arena, "%s/patients/%s.yaml", call->desk->clinic, code);
    return g_file_test(path, G_FILE_TEST_IS_REGULAR) ? path : NULL;
}

static gboolean gather_all(Call *call, Answer *answer)
{
    return tonight_gather(call->desk, call->request, call->session, call->nights, NULL, &call->people, &call->night,
                          answer);
}

static gboolean gather(Call *call, Answer *answer)
{
    const char *code = request_field(call->request, call->request->post ? "code" : "word");
    const char *file = file_of(call, code);
    char *files[] = {(char *)file, NULL};
    if (!file)
        return gather_all(call, answer);
    if (!tonight_gather(call->desk, call->request, call->session, call->nights, files, &call->people, &call->night,
                        answer))
        return FALSE;
    if (call->night && call->night->rows->len > 0 &&
        strcmp(((const NightRow *)g_ptr_array_index(call->night->rows, 0))->code, code) == 0)
        return TRUE;
    return gather_all(call, answer);
}

/* The night that a link names by its day: the last one, this one or the next; 0 when it names none of them. */
static int nights_of(const Call *call)
{
    Day day;
    const char *named = request_field(call->request, "night");
    if (!*named || day_parse(named, &day, NULL).fault != MOMENT_FINE)
        return 0;
    Day away = day - tonight_evening(call->session, &call->file, 0);
    return away == -1 || away == 1 ? (int)away : 0;
}

static gboolean set_up(Call *call, const Desk *desk, const Request *request, Answer *answer)
{
    *call = (Call){.desk = desk, .request = request, .session = page_session(desk)};
    Session *session = call->session;
    if (!page_clinic(desk, request, session, &call->file, answer))
        return FALSE;
    if (!commands_record(session, &call->file, &call->record)) {
        page_said(desk, request, session, answer);
        return FALSE;
    }
    call->view = page_view(request, session, call->file.clinic);
    call->nights = nights_of(call);
    if (!request->post && !*request_field(request, "word")) /* nobody is looked for */
        return TRUE;
    return gather(call, answer);
}

/* ---- who ---- */

static void add_code(const Call *call, GPtrArray *found, const char *code)
{
    for (guint i = 0; call->night && i < call->night->rows->len; i++) {
        NightRow *row = g_ptr_array_index(call->night->rows, i);
        if (strcmp(row->code, code) == 0 && !g_ptr_array_find(found, row, NULL))
            g_ptr_array_add(found, row);
    }
}

/* Rows of NightRow*: what the night knows by the word, else whose sheets the record knows by it:
 * a telephone, a lot, an order, a number. */
static GPtrArray *rows_of_night(const Call *call, const GPtrArray *sheets)
{
    GPtrArray *found = call->night ? night_find(call->session->arena, call->night, call->word)
                                   : arena_list(call->session->arena);
    gboolean by_record = found->len == 0;
    for (guint i = 0; by_record && sheets && i < sheets->len; i++)
        add_code(call, found, ((const RecordSheet *)g_ptr_array_index(sheets, i))->person);
    return found;
}

static gboolean is_due(const RecordSheet *sheet, Instant from, Instant until)
{
    for (guint i = 0; i < sheet->injections->len; i++) {
        const GArray *acts = ((const RecordInjection *)g_ptr_array_index(sheet->injections, i))->acts;
        for (guint act = 0; act < acts->len; act++)
            if (g_array_index(acts, Instant, act) >= from && g_array_index(acts, Instant, act) < until)
                return TRUE;
    }
    return FALSE;
}

/* TRUE when a sheet that counts, of those found, has something to be injected in that night; where none is
 * found by the word (the end of a telephone number is no word of the record), any. */
static gboolean counts_in(const Call *call, const GPtrArray *sheets, int nights)
{
    const Zone *zone = call->file.clinic->zone.zone;
    Day evening = tonight_evening(call->session, &call->file, nights);
    Instant from = night_noon(zone, evening), until = night_noon(zone, evening + 1);
    if (!call->record)
        return TRUE;
    if (!sheets || sheets->len == 0)
        sheets = record_between(call->record, from, until, NULL);
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        if (sheet->state == RECORD_IS_VALID && is_due(sheet, from, until))
            return TRUE;
    }
    return FALSE;
}

/* Whoever rings at three may speak of last night; at eight in the morning, of the night that comes.  FALSE when
 * files cannot be read. */
static gboolean look_around(Call *call, const GPtrArray *sheets, GPtrArray **found, Answer *answer)
{
    static const int others[] = {-1, 1};
    const int asked = call->nights;
    *found = rows_of_night(call, sheets);
    for (gsize i = 0; i < G_N_ELEMENTS(others) && (*found)->len == 0 && asked == 0; i++) {
        call->nights = others[i];
        if (!counts_in(call, sheets, others[i]))
            continue;
        if (!gather(call, answer))
            return FALSE;
        *found = rows_of_night(call, sheets);
    }
    return TRUE;
}

/* The sheets of the record that say this code and do not count: she may hold one in her hand. */
static gboolean says_code(const Call *call, const RecordSheet *sheet)
{
    g_autoptr(GString) wanted = g_string_new(NULL);
    for (const char *at = call->word; *at; at++)
        if (g_ascii_isalnum(*at))
            g_string_append_c(wanted, g_ascii_toupper(*at));
    const char *code = record_fact(call->session->arena, sheet, "check_code", 1);
    return code && strcmp(code, wanted->str) == 0;
}

static void show_old(const Call *call, const RecordSheet *old)
{
    Arena *arena = call->session->arena;
    View *view = view_add(call->view, "old");
    const RecordSheet *new = old->replaced_by > 0 ? record_sheet(call->record, old->replaced_by, NULL) : NULL;
    view_format(view, "old_number", "%" G_GINT64_FORMAT, old->number);
    view_text(view, "old_state", record_state_word(old->state));
    view_text(view, "old_person", old->person);
    view_text(view, "old_code", record_fact(arena, old, "check_code", 1));
    view_text(view, "old_time", commands_sheet_time(call->session, call->file.clinic, old, 1));
    if (!new)
        return;
    view_format(view, "new_number", "%" G_GINT64_FORMAT, new->number);
    view_text(view, "new_code", record_fact(arena, new, "check_code", 1));
    view_text(view, "new_time", commands_sheet_time(call->session, call->file.clinic, new, 1));
}

/* Sheets that the record knows by the word, of whichever night, so that nobody is nobody. */
static void show_sheets(const Call *call, const GPtrArray *sheets)
{
    Arena *arena = call->session->arena;
    for (guint i = sheets->len; i > 0; i--) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i - 1);
        View *view = view_add(call->view, "sheets");
        const char *name = record_fact(arena, sheet, "person_name", 0);
        view_format(view, "number", "%" G_GINT64_FORMAT, sheet->number);
        view_text(view, "state", record_state_word(sheet->state));
        view_text(view, "code", sheet->person);
        view_text(view, "name", name ? name : "");
        view_text(view, "time", commands_sheet_time(call->session, call->file.clinic, sheet, 1));
        view_text(view, "spoken", record_fact(arena, sheet, "check_code", 1));
    }
}

static gboolean is_meant(const char *word, const char *code, const char *name)
{
    g_autofree char *folded = g_utf8_casefold(word, -1), *named = g_utf8_casefold(name, -1);
    return g_ascii_strcasecmp(word, code) == 0 || (*folded && g_str_has_prefix(named, folded));
}

/* People whose file was kept and who have no sheet yet: neither the night nor the record knows them.
 * Returns whether there is one. */
static gboolean show_unprinted(const Call *call)
{
    Arena *arena = call->session->arena;
    g_autofree char *folder = g_build_filename(call->desk->clinic, "patients", NULL);
    GPtrArray *paths = arena_list(arena);
    guint shown = 0;
    if (!loader_list(arena, folder, paths, NULL))
        return FALSE;
    for (guint i = 0; i < paths->len && shown < LISTED; i++) {
        PersonFile file;
        g_autofree char *code = g_path_get_basename(g_ptr_array_index(paths, i));
        if (!g_str_has_suffix(code, ".yaml"))
            continue;
        code[strlen(code) - strlen(".yaml")] = '\0';
        if (!person_code_fits(code) || !person_file_read(arena, call->desk, code, &file, NULL))
            continue;
        const char *name = person_file_says(&file, "name", NULL);
        if (!is_meant(call->word, code, name))
            continue;
        View *view = view_add(call->view, "unprinted");
        view_text(view, "code", code);
        view_text(view, "name", name);
        shown += 1;
    }
    return shown > 0;
}

/* ---- one person ---- */

static void show_slips(View *view, const Call *call, const NightRow *row)
{
    const char *entered = request_field(call->request, "slip");
    const NightSlip *late = NULL;
    const GPtrArray *slips = night_slips(call->session->arena, call->night, row);
    for (guint i = 0; i < slips->len; i++) {
        const NightSlip *slip = g_ptr_array_index(slips, i);
        View *one = view_add(view, "slips");
        const char *word = choice_word((ChoiceWord)slip->slip);
        view_text(one, "word", word);
        view_text(one, "title", slip->title);
        view_text(one, "ask", slip->ask ? slip->ask : "");
        view_text(one, "say", slip->say ? slip->say : "");
        view_text(one, "then", slip->then ? slip->then : "");
        view_flag(one, "foreign", slip->translated && row->interpreter);
        view_text(one, "person_tag", row->plan->patient->language.text);
        view_flag(one, "chosen", strcmp(word, entered) == 0);
        if (slip->slip == Slip_LATE)
            late = slip;
        view_flag(one, "first", slip == late && call->night->now > row->at && !row->injected);
    }
}

/* The state in the words of a call: in time until, not yet, over, done. */
static void show_standing(View *view, const Call *call, const NightRow *row)
{
    const Night *night = call->night;
    gboolean over = night->now > row->until;
    view_flag(view, "done", row->injected != NULL);
    view_flag(view, "ahead", !row->injected && night->now < row->from);
    view_flag(view, "in_time", !row->injected && night->now >= row->from && !over);
    view_flag(view, "over", !row->injected && over);
    view_text(view, "evening", weekday_name(day_weekday(call->night->evening)));
}

/* What the sheet asks for at which hour: what should be done by now, and what comes. */
static void show_rungs(View *view, const Call *call, const NightRow *row)
{
    const GPtrArray *ladder = row->injection->ladder;
    gint64 later = row->at - plan_first_act(row->injection)->at.instant; /* of a course */
    for (guint i = 0; ladder && !row->injected && i < ladder->len; i++) {
        const Rung *rung = g_ptr_array_index(ladder, i);
        View *one = view_add(view, "rungs");
        view_text(one, "at", page_clock(call->session->arena, call->file.clinic, rung->at.instant + later));
        view_text(one, "words", rung_row(rung->kind)->words);
        view_flag(one, "by_now", rung->at.instant + later <= call->session->now);
    }
}

static void show_fields(View *view, const Call *call)
{
    view_text(view, "at_value", request_field(call->request, "at"));
    view_text(view, "said_value", request_field(call->request, "said"));
    view_flag(view, "settled_value", *request_field(call->request, "settled") != '\0');
    view_flag(view, "other_value", strcmp(request_field(call->request, "slip"), "other") == 0);
}

static void show_allergies(View *view, const Patient *patient)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < patient->allergies.items->len; i++) {
        const Text *allergy = g_ptr_array_index(patient->allergies.items, i);
        g_string_append_printf(text, "%s%s", i > 0 ? ", " : "", PRESENT(*allergy) ? allergy->text : "");
    }
    view_text(view, "allergies", text->len > 0 ? text->str : PRESENT(patient->allergies) ? "asked, none" : "not asked");
}

static void show_person(const Call *call, const NightRow *row)
{
    Arena *arena = call->session->arena;
    View *view = view_add(call->view, "person");
    tonight_show_row(view, arena, call->night, row);
    view_flag(view, "other_night", call->nights != 0);
    view_text(view, "of_night",
              page_date(arena, call->file.clinic, night_noon(call->night->zone, call->night->evening)));
    view_text(view, "morning", weekday_name(day_weekday(call->night->evening + 1)));
    show_standing(view, call, row);
    show_allergies(view, row->plan->patient);
    show_rungs(view, call, row);
    show_slips(view, call, row);
    show_fields(view, call);
    tonight_show_strip(view, arena, call->night, row);
    for (guint i = 0; i < call->people.notes->len; i++) {
        const NightNote *note = g_ptr_array_index(call->people.notes, i);
        if (strcmp(note->code, row->code) != 0)
            continue;
        View *one = view_add(view, "notes");
        view_text(one, "at", page_clock(arena, call->file.clinic, note->injected ? note->given : note->at));
        view_flag(one, "injection_done", note->injected);
        view_text(one, "words", note->said ? note->said : "");
        view_text(one, "by", note->by ? note->by : "");
        view_flag(one, "is_settled", note->settled);
    }
}

/* The one whose injection was chosen, of those found; NULL when it is still to be chosen. */
static const NightRow *chosen(const Call *call, const GPtrArray *rows)
{
    const char *code = request_field(call->request, "code"), *injection = request_field(call->request, "injection");
    if (rows->len == 1)
        return g_ptr_array_index(rows, 0);
    for (guint i = 0; i < rows->len; i++) {
        const NightRow *row = g_ptr_array_index(rows, i);
        if (strcmp(row->code, code) == 0 && strcmp(row->injection->order->name.text, injection) == 0)
            return row;
    }
    return NULL;
}

static void show_found(const Call *call, const GPtrArray *rows, const GPtrArray *sheets)
{
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        if (sheet->state != RECORD_IS_VALID && sheet->state != RECORD_IS_GIVEN && says_code(call, sheet))
            show_old(call, sheet);
    }
    const NightRow *row = chosen(call, rows);
    if (row)
        show_person(call, row);
    for (guint i = 0; !row && i < rows->len; i++)
        tonight_show_row(view_add(call->view, "several"), call->session->arena, call->night,
                         g_ptr_array_index(rows, i));
    gboolean known = rows->len > 0 || (sheets && sheets->len > 0);
    if (rows->len == 0 && sheets)
        show_sheets(call, sheets);
    view_flag(call->view, "more_sheets", sheets && sheets->len >= LISTED);
    view_flag(call->view, "nobody", !known && !show_unprinted(call));
    view_flag(call->view, "not_tonight", rows->len == 0 && sheets && sheets->len > 0);
}

/* FALSE when the record cannot be read. */
static gboolean show_word(Call *call, Answer *answer)
{
    g_autoptr(GError) error = NULL;
    const Zone *zone = call->file.clinic->zone.zone;
    Day evening = tonight_evening(call->session, &call->file, 0);
    const GPtrArray *sheets = !call->record ? NULL
                              : record_lookup_some(call->record, call->word, LISTED, night_noon(zone, evening - 1),
                                                   night_noon(zone, evening + 2), &error);
    if (error) {
        commands_system_error(g_steal_pointer(&error));
        page_said(call->desk, call->request, call->session, answer);
        return FALSE;
    }
    GPtrArray *found;
    if (!look_around(call, sheets, &found, answer))
        return FALSE;
    show_found(call, found, sheets);
    return TRUE;
}

static void show_call(Call *call, Answer *answer)
{
    view_text(call->view, "word", call->word);
    view_flag(call->view, "at_call", TRUE);
    view_flag(call->view, "asked", *call->word != '\0');
    if (!*call->word || show_word(call, answer))
        page_show(call->desk, call->view, "call", answer);
}

void story_call(const Desk *desk, const Request *request, Answer *answer)
{
    Call call;
    if (!set_up(&call, desk, request, answer))
        return;
    page_is_for_all(answer);
    call.word = request_field(request, "word");
    show_call(&call, answer);
}

/* ---- the note ---- */

typedef struct NoteWanted {
    const NightRow *row;
    const char *at, *slip, *said;
    gboolean settled;
} NoteWanted;

/* The row that the form was about, as the files and the record have it now. */
static const NightRow *row_of(const Call *call)
{
    const char *code = request_field(call->request, "code"), *injection = request_field(call->request, "injection");
    const char *number = request_field(call->request, "sheet");
    for (guint i = 0; call->night && i < call->night->rows->len; i++) {
        const NightRow *row = g_ptr_array_index(call->night->rows, i);
        g_autofree char *own = g_strdup_printf("%" G_GINT64_FORMAT, row->plan->patient->sheet.value);
        if (strcmp(row->code, code) == 0 && strcmp(row->injection->order->name.text, injection) == 0 &&
            strcmp(own, number) == 0)
            return row;
    }
    return NULL;
}

/* The time that was entered, of the row's night; of the day behind it when that is past and nearer.  FALSE when
 * it is none. */
static gboolean read_time(const Call *call, const NightRow *row, const char *text, Instant *at)
{
    LocalTime local;
    Instant instants[2], next[2];
    const Zone *zone = call->night->zone;
    if (clock_parse(text, &local.minute).fault != MOMENT_FINE)
        return FALSE;
    local.day = call->night->evening + (local.minute < 12 * 60);
    if (zone_instants(zone, local, instants) == 0)
        return FALSE;
    *at = instants[0];
    local.day++;
    if (row && *at < row->from - EARLY && zone_instants(zone, local, next) > 0 && next[0] <= call->session->now)
        *at = next[0];
    return TRUE;
}

/* What is wrong with the time that was entered, as a flag of the page; NULL when nothing is. */
static const char *time_fault(const Call *call, const NightRow *row, const char *text)
{
    Instant at;
    if (!*text)
        return NULL;
    if (!read_time(call, row, text, &at))
        return "time_unread";
    return at > call->session->now + AHEAD ? "time_ahead" : NULL;
}

/* As the record keeps it: as it was typed, where that means this night's to whoever reads it. */
static const char *time_kept(const Call *call, const NoteWanted *wanted)
{
    Instant at;
    gboolean read = read_time(call, wanted->row, wanted->at, &at);
    g_assert(read);
    const Zone *zone = call->night->zone;
    LocalTime local = zone_local(zone, at, NULL);
    Day day = night_evening(zone, call->session->now) + (local.minute < 12 * 60);
    return local.day == day ? wanted->at : instant_text(call->session->arena, zone, at);
}

static const char *note_fault(const Call *call, const NoteWanted *wanted)
{
    const char *fault = time_fault(call, wanted->row, wanted->at);
    if (fault)
        return fault;
    return !*wanted->at && !*wanted->slip && !*wanted->said ? "note_empty" : NULL;
}

static gboolean append(const Call *call, const NoteWanted *wanted, RecordKind kind, GString *body, GError **error)
{
    const Patient *patient = wanted->row->plan->patient;
    record_line(body, "injection", wanted->row->injection->order->name.text);
    return record_append(call->record, kind, patient->sheet.value, patient->patient.text, call->request->who, body->str,
                         error);
}

/* Both of it or nothing. */
static gboolean keep(const Call *call, const NoteWanted *wanted, GError **error)
{
    g_autoptr(GString) given = g_string_new(NULL), said = g_string_new(NULL);
    if (!record_begin(call->record, error))
        return FALSE;
    gboolean fine = TRUE;
    if (*wanted->at) {
        record_line(given, "at", time_kept(call, wanted));
        fine = append(call, wanted, RECORD_INJECTED, given, error);
    }
    if (fine && (*wanted->slip || *wanted->said)) {
        if (*wanted->slip)
            record_line(said, "slip", wanted->slip);
        if (*wanted->said)
            record_line(said, "said", wanted->said);
        if (wanted->settled)
            record_line(said, "settled", "yes");
        fine = append(call, wanted, RECORD_CALL, said, error);
    }
    return record_end(call->record, fine, error) && fine;
}

static void show_fault(Call *call, const char *fault, Answer *answer)
{
    call->word = request_field(call->request, "code");
    view_flag(call->view, fault, TRUE);
    view_flag(call->view, "not_noted", TRUE);
    show_call(call, answer);
    if (answer->status == 200)
        answer->status = 422;
}

static void note(Call *call, const NoteWanted *wanted, Answer *answer)
{
    GError *error = NULL;
    const char *fault = note_fault(call, wanted);
    if (fault) {
        show_fault(call, fault, answer);
    } else if (!keep(call, wanted, &error)) {
        commands_system_error(error);
        view_text(call->view, "said", child_said(call->session->arena));
        answer->status = 500;
        show_fault(call, "not_written", answer);
    } else {
        page_go(answer, "/?noted=%s", wanted->row->code);
    }
}

void story_note(const Desk *desk, const Request *request, Answer *answer)
{
    Call call;
    if (!set_up(&call, desk, request, answer))
        return;
    const char *slip = request_field(request, "slip");
    const NoteWanted wanted = {row_of(&call), request_field(request, "at"), strcmp(slip, "other") ? slip : "",
                               request_field(request, "said"), *request_field(request, "settled") != '\0'};
    if (!call.record)
        show_fault(&call, "no_record", answer);
    else if (!wanted.row)
        show_fault(&call, "sheet_changed", answer);
    else
        note(&call, &wanted, answer);
}
