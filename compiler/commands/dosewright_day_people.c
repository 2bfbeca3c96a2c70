/* dosewright_day_people: see dosewright_day.h. */
#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "commands/dosewright_day.h"
#include "commands/dosewright_earlier.h"
#include "commands/dosewright_number.h"
#include "commands/dosewright_press.h"
#include "drawing/drawing.h"
#include "night/night.h"

#define RESULT "(uuiixsssssssssssisxx)"
#define LONGEST_RESULT (16 * 1024 * 1024)

/* One person at hand. */
typedef struct Work {
    const DayRun *run;
    Session own;        /* its arena is this person's */
    const RosterRow *row;
    PressTools *tools;
    Case file;
    Plan *plan;
    GPtrArray *sheets, *slips; /* of PublishFile* */
    DayResult result;
} Work;

/* ---- results on their way ---- */

static gboolean read_all(int descriptor, void *bytes, gsize length)
{
    for (char *at = bytes; length > 0;) {
        ssize_t done = read(descriptor, at, length);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return FALSE;
        at += done;
        length -= (gsize)done;
    }
    return TRUE;
}

static const char *valid(const Work *work, const char *text)
{
    g_autofree char *fine = g_utf8_make_valid(text ? text : "", -1);
    return arena_copy(work->own.arena, fine);
}

static gboolean send(const Work *work, int descriptor)
{
    const DayResult *result = &work->result;
    g_autoptr(GVariant) packed = g_variant_ref_sink(g_variant_new(
        RESULT, result->index, result->row, (gint32)result->state, result->status, result->number,
        valid(work, result->code), valid(work, result->when), valid(work, result->told), valid(work, result->why),
        valid(work, result->findings), valid(work, result->shared), valid(work, result->sheets),
        valid(work, result->slips), valid(work, result->blank), valid(work, result->facts), valid(work, result->by),
        (gint32)result->paper, valid(work, result->language), (gint64)result->night.evening, result->night.noon));
    guint32 length = (guint32)g_variant_get_size(packed);
    return publish_bytes(descriptor, &length, sizeof length) &&
           publish_bytes(descriptor, g_variant_get_data(packed), length);
}

gboolean day_receive(int descriptor, DayResult *out)
{
    guint32 length;
    gint32 state, paper;
    gint64 evening;
    if (!read_all(descriptor, &length, sizeof length) || length > LONGEST_RESULT)
        return FALSE;
    gpointer data = g_malloc(length);
    if (!read_all(descriptor, data, length)) {
        g_free(data);
        return FALSE;
    }
    out->holder = g_variant_ref_sink(
        g_variant_new_from_data(G_VARIANT_TYPE(RESULT), data, length, FALSE, g_free, data));
    g_variant_get(out->holder, "(uuiix&s&s&s&s&s&s&s&s&s&s&si&sxx)", &out->index, &out->row, &state, &out->status,
                  &out->number, &out->code, &out->when, &out->told, &out->why, &out->findings, &out->shared,
                  &out->sheets, &out->slips, &out->blank, &out->facts, &out->by, &paper, &out->language, &evening,
                  &out->night.noon);
    out->night.evening = (Day)evening;
    out->state = (DayState)state;
    out->paper = (Paper)paper;
    return TRUE;
}

/* ---- drawing ---- */

static void set_names(const Work *work, const GPtrArray *files, const char **out)
{
    GString *names = g_string_new(NULL);
    for (guint i = 0; i < files->len; i++)
        g_string_append_printf(names, "%s%s", i ? "/" : "", ((const PublishFile *)g_ptr_array_index(files, i))->name);
    *out = arena_copy(work->own.arena, names->str);
    g_string_free(names, TRUE);
}

static int press(Work *work, const char *template_name, gboolean names_only, GPtrArray **files)
{
    Session own = work->own;
    PressResult pressed;
    own.options.template_name = (char *)template_name;
    if (template_name) /* the clinic's own pages have no twins */
        own.options.calendar = own.options.text = own.options.boxes = FALSE;
    const PressOrder order = {&own, work->plan, work->file.diagnostics, work->tools, names_only};
    int status = press_person(&order, &pressed);
    *files = pressed.files;
    if (!template_name) {
        work->result.blank = pressed.blank;
        work->result.paper = pressed.paper;
    }
    return status;
}

/* A sheet of an earlier run from the same files is the sheet. */
static gboolean stands(const Work *work)
{
    for (guint i = 0; i < work->sheets->len; i++) {
        const PublishFile *file = g_ptr_array_index(work->sheets, i);
        if (!earlier_is_same(work->own.arena, work->run->sheets, file->name, work->plan))
            return FALSE;
    }
    return work->sheets->len > 0;
}

/* The packing slip names people of like names, who may be others by now. */
static gboolean slips_stand(const Work *work)
{
    for (guint i = 0; work->run->resumed && i < work->slips->len; i++) {
        const PublishFile *file = g_ptr_array_index(work->slips, i);
        if (!earlier_is_same(work->own.arena, work->run->sheets, file->name, work->plan))
            return FALSE;
    }
    return work->run->resumed;
}

static int publish(Work *work, gboolean sheets)
{
    GError *error = NULL;
    Arena *arena = work->own.arena;
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    if (sheets) {
        const Patient *patient = work->plan->patient;
        GPtrArray *names = day_beside(arena, work->run, patient->patient.text, patient->sheet.value);
        if (!earlier_allows_beside(arena, work->run->sheets, names, work->plan, work->sheets, work->file.diagnostics))
            return EXIT_FINDINGS;
        g_ptr_array_extend(all, work->sheets, NULL, NULL);
    }
    g_ptr_array_extend(all, work->slips, NULL, NULL);
    return publish_files(work->run->sheets, all, &error) ? EXIT_FINE : commands_system_error(error);
}

static int number(Work *work)
{
    const DayRun *run = work->run;
    Numbering refused;
    if (run->record) {
        const DayNumber *given = &g_array_index(run->numbers, DayNumber, work->row->at.index);
        if (given->fine) {
            work->plan = number_plan(&work->own, &work->file, work->plan, &given->given);
            return EXIT_FINE;
        }
    }
    return number_take(&work->own, &work->file, FALSE, &work->plan, &refused);
}

static int print_person(Work *work)
{
    work->result.state = DAY_STOPPED;
    int status = number(work);
    if (status == EXIT_FINE)
        status = press(work, NULL, TRUE, &work->sheets);
    if (status == EXIT_FINE)
        status = press(work, DAY_SLIPS, TRUE, &work->slips);
    if (status != EXIT_FINE)
        return status;
    gboolean kept = stands(work);
    work->result.state = kept ? DAY_KEPT : DAY_PRINTED;
    set_names(work, work->sheets, &work->result.sheets);
    set_names(work, work->slips, &work->result.slips);
    if (kept && slips_stand(work))
        return EXIT_FINE;
    status = kept ? EXIT_FINE : press(work, NULL, FALSE, &work->sheets);
    if (status == EXIT_FINE)
        status = press(work, DAY_SLIPS, FALSE, &work->slips);
    if (status == EXIT_FINE)
        status = publish(work, !kept);
    if (status != EXIT_FINE)
        work->result.state = DAY_STOPPED;
    return status;
}

/* ---- telling ---- */

/* The first of what stops the person: "today.csv:5:31: the ... [rule]". */
static const char *why_of(const Work *work)
{
    const Diagnostics *found = work->file.diagnostics;
    const Finding *first = NULL;
    for (guint i = 0; i < diagnostics_count(found); i++) {
        const Finding *finding = diagnostics_at(found, i);
        gboolean stops = finding_severity(finding) != SEVERITY_NOTE && !finding_accepted(finding);
        if (stops && (!first || finding_severity(finding) > finding_severity(first)))
            first = finding;
    }
    if (!first)
        return "";
    Place place = finding_place(first);
    const RuleRow *rule = rule_row(finding_rule(first));
    if (!place.source)
        return arena_format(work->own.arena, "%s [%s]", rule->message, rule->id);
    return arena_format(work->own.arena, "%s:%d:%d: %s [%s]", place.source->name, place_line(place), place.column,
                        rule->message, rule->id);
}

static const char *told(const Work *work, gboolean own)
{
    g_autoptr(GString) text = g_string_new(NULL);
    Diagnostics *found = diagnostics_part(work->file.diagnostics, work->row->source, own);
    if (work->own.format == FINDINGS_LINES)
        diagnostics_print_lines(found, text);
    else if (diagnostics_count(found) > 0)
        diagnostics_print(found, text, FALSE);
    return arena_copy(work->own.arena, text->str);
}

static DayNight first_night(const Plan *plan)
{
    const Zone *zone = plan->clinic->zone.zone;
    const Act *first = NULL;
    for (guint i = 0; i < plan->injections->len; i++) {
        const Act *act = plan_first_act(g_ptr_array_index(plan->injections, i));
        if (act && act->exists && (!first || act->at.instant < first->at.instant))
            first = act;
    }
    if (!first)
        return (DayNight){0, 0};
    Day evening = night_evening(zone, first->at.instant);
    return (DayNight){evening, night_noon(zone, evening)};
}

static void tell(Work *work)
{
    const Diagnostics *found = work->file.diagnostics;
    work->result.findings = told(work, TRUE);
    work->result.shared = told(work, FALSE);
    work->result.code = people_code(work->row);
    work->result.why = work->result.state == DAY_STOPPED || work->result.state == DAY_WAITING ? why_of(work) : "";
    if (!work->plan || work->result.state > DAY_KEPT)
        return;
    const PlanInjection *first = g_ptr_array_index(work->plan->injections, 0);
    const Value *when = plan_value(work->plan, first, VALUE_injection_time);
    if (when->set) {
        work->result.when = value_text(work->own.arena, when, KIND_MOMENT);
        work->result.told = clinic_time(work->own.arena, work->plan->clinic, when->moment.local);
    }
    work->result.night = first_night(work->plan);
    work->result.number = work->plan->patient->sheet.value;
    work->result.by = work->plan->patient->prepared_by.text;
    const Text *own = &work->plan->patient->language;
    const Text *clinic = g_ptr_array_index(work->plan->clinic->languages.items, 0);
    work->result.language = PRESENT(*own) ? own->text : clinic->text;
    if (work->run->record)
        work->result.facts = record_facts(work->own.arena, work->plan, found);
}

static void do_person(Work *work)
{
    const char *alike = people_compare(work->own.arena, work->run->people, work->row);
    work->result.index = work->row->at.index;
    work->result.row = work->row->at.number;
    if (work->run->people->lost ||
        !commands_judge_listed(&work->own, work->run->people->path, work->run->people->roster, work->row, alike,
                               &work->file, &work->plan)) {
        work->result.state = DAY_FAILED;
        work->result.status = EXIT_SYSTEM;
        work->result.code = people_code(work->row);
        return;
    }
    gboolean stops = diagnostics_stops(work->file.diagnostics);
    work->result.status = EXIT_FINDINGS;
    work->result.state = work->plan && rules_draft_only(work->file.diagnostics) ? DAY_WAITING : DAY_STOPPED;
    if (work->plan && !stops)
        work->result.status = print_person(work);
    if (work->result.status > EXIT_FINDINGS)
        work->result.state = DAY_FAILED;
    tell(work);
    people_forget(work->run->people);
}

void day_work(const DayRun *run, guint from, guint until, int descriptor)
{
    RosterRow row;
    PressTools *tools = press_tools_new(run->session->arena);
    if (!people_reopen(run->session, run->people))
        _exit(EXIT_SYSTEM);
    ink_prepare();
    roster_go(run->people->roster, &g_array_index(run->people->marks, RosterMark, from));
    for (guint i = from; i < until; i++) {
        Work work = {.run = run, .own = *run->session, .row = &row, .tools = tools};
        work.own.arena = arena_new();
        if (!roster_next(run->people->roster, work.own.arena, &row))
            break;
        do_person(&work);
        if (!send(&work, descriptor))
            break;
        arena_free(work.own.arena);
    }
    ink_prepared();
    _exit(EXIT_FINE);
}
