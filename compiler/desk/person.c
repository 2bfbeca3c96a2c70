/* desk_person: one person: what their file says, field by field; what stops a sheet, at its field;
 * the sheets that the record knows. */
#include "desk/person.h"

#include <string.h>

#include "rules/rules.h"


gboolean person_open(Person *person, const Desk *desk, const Request *request, const char *code, Answer *answer)
{
    GError *error = NULL;
    *person = (Person){.desk = desk, .request = request, .session = page_session(desk)};
    Session *session = person->session;
    if (!page_clinic(desk, request, session, &person->clinic, answer))
        return FALSE;
    person->view = page_view(request, session, person->clinic.clinic);
    if (PRESENT(person->clinic.clinic->zone))
        person->file.today = zone_local(person->clinic.clinic->zone.zone, session->now, NULL).day;
    if (commands_record(session, &person->clinic, &person->record) &&
        person_file_read(session->arena, desk, code, &person->file, &error))
        return TRUE;
    if (error)
        commands_system_error(error);
    page_said(desk, request, session, answer);
    return FALSE;
}

Desk person_reads(const Desk *desk)
{
    Desk reader = *desk;
    reader.glance = TRUE;
    return reader;
}

void person_judge(Person *person)
{
    Session *session = person->session;
    person->judged = FALSE;
    if (!person_file_read(session->arena, person->desk, person->file.code, &person->file, NULL) || !person->file.source)
        return; /* a command may have written it */
    session->loader = loader_new(session->arena, person->desk->clinic); /* what was read before may be old */
    person->judged = commands_judge(session, person->file.path, &person->own, &person->plan);
}

void person_try_text(Person *person, const char *text)
{
    Session *session = person->session;
    PersonFile *file = &person->file;
    person->tried = TRUE;
    file->source = source_from_text(session->arena, file->path, text, strlen(text));
    file->root = syntax_parse(session->arena, file->source, diagnostics_new(session->arena));
    session->loader = loader_new(session->arena, person->desk->clinic);
    loader_put(session->loader, file->path, text);
    person->judged = commands_judge(session, file->path, &person->own, &person->plan);
}

gboolean person_try(Person *person, const Request *form)
{
    const PersonFile *file = &person->file;
    if (file->source && !file->root)
        return FALSE;
    person_learn(person, form);
    const char *text = person_file_text(file, form);
    gboolean coded = file->source || *request_field(form, "patient"); /* its first key says what kind of file it is */
    person_try_text(person, coded ? text : arena_format(person->session->arena, "patient: \"\"\n%s", text));
    return TRUE;
}

/* ---- findings ---- */

/* What is not there has no place, and is said at the file's first key: the key that it misses;
 * else the one that it stands at. */
static const char *missing_key(const Finding *finding, const char *key)
{
    static const struct { RuleId rule; const char *key; } misses[] = {
        {RULE_giver_open, "by"}, {RULE_bleeding_not_asked, "bleeding"}, {RULE_box_missing, "boxes"}};
    const GPtrArray *facts = finding_facts(finding);
    RecordRow row = record_row(RECORD_Patient);
    if (strcmp(key, row.fields[0].key) != 0)
        return key;
    for (gsize i = 0; i < G_N_ELEMENTS(misses); i++)
        if (finding_rule(finding) == misses[i].rule)
            return misses[i].key;
    for (guint i = 0; finding_rule(finding) == RULE_key_missing && facts->len > 0 && i < row.count; i++) {
        g_autofree char *quoted = g_strdup_printf("\"%s\"", row.fields[i].key);
        if (strstr(g_ptr_array_index(facts, 0), quoted))
            return row.fields[i].key;
    }
    return key;
}

/* "at_name", "at_box_0": the list of the field that it stands under; "elsewhere" for what
 * stands in another file. */
static char *list_for(const Person *person, const Finding *finding)
{
    int box;
    const char *key = person_file_key(&person->file, finding_place(finding), &box);
    if (key)
        key = missing_key(finding, key);
    if (!key || strcmp(key, "acceptances") == 0)
        return g_strdup("elsewhere");
    if (box >= 0)
        box = person_box_shown(person, box);
    return box >= 0 ? g_strdup_printf("at_box_%d", box) : g_strdup_printf("at_%s", key);
}

/* The input in which it is put right: of a key with several, the one inside; else the fields of the key. */
static char *input_for(const Person *person, const Finding *finding, const char *list)
{
    static const char *const whole[] = {"protocol", "patient", "name", "order", "zone", "weight", "phone", "language"};
    int box;
    const char *field = g_str_has_prefix(list, "at_") ? list + strlen("at_") : list;
    const Place place = finding_place(finding);
    const char *key = person_file_key(&person->file, place, &box);
    const char *inside = key ? person_file_inside(&person->file, key, box, place) : NULL;
    if (strcmp(field, "anchor") == 0)
        return g_strdup(g_strcmp0(inside, "clock") == 0 ? "clock" : "on");
    if (g_str_has_prefix(field, "box_") && inside && (!strcmp(inside, "lot") || !strcmp(inside, "expires")))
        return g_strdup_printf("%s%s", inside, field + strlen("box_"));
    for (gsize i = 0; i < G_N_ELEMENTS(whole); i++)
        if (strcmp(field, whole[i]) == 0)
            return g_strdup(field);
    return g_strdup_printf("f-%s", field);
}

/* Nothing was typed where it says so. */
static gboolean is_of_nothing(const Finding *finding)
{
    static const RuleId rules[] = {RULE_key_missing, RULE_empty_value, RULE_giver_open, RULE_bleeding_not_asked,
                                   RULE_box_missing, RULE_weight_missing};
    for (gsize i = 0; i < G_N_ELEMENTS(rules); i++)
        if (finding_rule(finding) == rules[i])
            return TRUE;
    return FALSE;
}

/* "at_box_0" stands under "box": each is named once, however much is missing there. */
static void is_to_fill(GHashTable *fields, const char *list)
{
    const char *field = list + strlen("at_");
    g_hash_table_insert(fields, g_strdup(g_str_has_prefix(field, "box") ? "box" : field), g_strdup(field));
}

/* In the order of the form. */
static void show_to_fill(Person *person, GHashTable *fields)
{
    static const char *const order[] = {"protocol", "patient",   "name",     "order",  "anchor", "zone",
                                        "by",       "allergies", "bleeding", "weight", "sex",    "phone",
                                        "language", "box",       "prepared_by"};
    for (gsize i = 0; i < G_N_ELEMENTS(order); i++) {
        const char *field = g_hash_table_lookup(fields, order[i]);
        if (!field)
            continue;
        View *one = view_add(person->view, "to_fill");
        g_autofree char *which = g_strdup_printf("is_%s", order[i]);
        view_text(one, "field", field);
        view_flag(one, which, TRUE);
    }
}

/* Who may accept it: the names of the clinic's own. */
static const char *who_accepts(const Person *person, const Finding *finding)
{
    const Governance *governance = &person->clinic.clinic->governance;
    const RuleId rule = finding_rule(finding);
    const Protocol *protocol = person->own.protocol;
    if (rule_row(rule)->stage != STAGE_PATIENT)
        return protocol && PRESENT(protocol->approval.by) ? protocol->approval.by.text : "the protocol's physician";
    const GPtrArray *names = rule_is_medical(rule) ? governance->physicians.items : governance->nurses.items;
    g_autoptr(GString) all = g_string_new(NULL);
    for (guint i = 0; i < names->len; i++) {
        const Text *name = g_ptr_array_index(names, i);
        if (PRESENT(*name))
            g_string_append_printf(all, "%s%s", all->len == 0 ? "" : i + 1 == names->len ? " or " : ", ", name->text);
    }
    return all->len > 0 ? arena_copy(person->session->arena, all->str) : NULL;
}

static void show_finding(Person *person, const Finding *finding, const char *list, guint n)
{
    Arena *arena = person->session->arena;
    gboolean here = g_str_has_prefix(list, "at_");
    View *at = view_add(person->view, list);
    finding_show(at, arena, finding);
    if (finding_severity(finding) == SEVERITY_WARNING && !finding_accepted(finding))
        view_text(at, "accepts", who_accepts(person, finding));
    if (here)
        view_text(at, "where", NULL); /* the field is the place */
    if (finding_rule(finding) == RULE_box_short) {
        g_autofree char *short_of = g_strdup_printf("short_%s", list);
        view_flag(person->view, short_of, TRUE);
    }
    if (finding_severity(finding) == SEVERITY_NOTE || finding_accepted(finding))
        return;
    View *line = view_add(person->view, "summary");
    finding_show(line, arena, finding);
    view_text(line, "field", here ? list + strlen("at_") : list);
    g_autofree char *input = input_for(person, finding, list);
    view_text(line, "input", input);
    view_link(line, "accepts", at, "accepts");
    view_format(line, "n", "%u", n);
}

static void show_counts(Person *person, guint stops, guint waits, guint to_fill)
{
    gboolean none = stops + waits + to_fill == 0;
    view_format(person->view, "stops", "%u", stops);
    view_format(person->view, "waits", "%u", waits);
    view_flag(person->view, "any_stop", stops > 0);
    view_flag(person->view, "any_wait", waits > 0);
    view_flag(person->view, "ready", person->plan && none);
    view_flag(person->view, "printable", person->plan && none && !person->tried);
    view_flag(person->view, "drawable", person->plan && stops == 0 && !person->filling);
}

static void show_until(Person *person)
{
    const AnchorTime *anchor = person->own.patient ? &person->own.patient->anchor : NULL;
    gboolean dated = anchor && PRESENT(*anchor) && PRESENT(anchor->on) && PRESENT(anchor->clock);
    if (dated && person->plan) /* a procedure that cannot be read gives no day */
        view_text(person->view, "until",
                  page_date(person->session->arena, person->clinic.clinic, person->plan->anchor));
}

static void show_findings(Person *person)
{
    g_autoptr(GHashTable) to_fill = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    Diagnostics *found = person->own.diagnostics;
    guint stops = diagnostics_open(found, SEVERITY_ERROR), waits = diagnostics_open(found, SEVERITY_WARNING);
    diagnostics_sort(found);
    for (guint i = 0; i < diagnostics_count(found); i++) {
        const Finding *finding = diagnostics_at(found, i);
        g_autofree char *list = list_for(person, finding);
        if (person->filling && is_of_nothing(finding) && g_str_has_prefix(list, "at_")) {
            *(finding_severity(finding) == SEVERITY_ERROR ? &stops : &waits) -= 1;
            is_to_fill(to_fill, list);
        } else {
            show_finding(person, finding, list, i);
        }
    }
    show_to_fill(person, to_fill);
    show_counts(person, stops, waits, g_hash_table_size(to_fill));
    show_until(person);
}

/* ---- what comes of it ---- */

static void show_injections(Person *person)
{
    Arena *arena = person->session->arena;
    for (guint i = 0; person->plan && i < person->plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(person->plan->injections, i);
        if (!injection->timed || injection->acts->len == 0)
            continue;
        const Act *act = g_ptr_array_index(injection->acts, 0);
        View *view = view_add(person->view, "injections");
        view_text(view, "injection", injection->order->name.text);
        view_text(view, "medicine", injection->order->medicine.text);
        view_text(view, "time", page_clock(arena, person->clinic.clinic, act->at.instant));
        view_text(view, "day_of", page_day(arena, person->clinic.clinic, act->at.instant));
    }
}

static const char *stands_word(const RecordSheet *sheet)
{
    gboolean recalled = sheet->state == RECORD_IS_VALID && sheet->recalled;
    return recalled ? "valid, but called back" : record_state_word(sheet->state);
}

static void show_entries(View *view, Person *person, const RecordSheet *sheet)
{
    Arena *arena = person->session->arena;
    for (guint i = 0; i < sheet->entries->len; i++) {
        const RecordEntry *entry = g_ptr_array_index(sheet->entries, i);
        View *one = view_add(view, "entries");
        view_format(one, "at", "%s, %s", page_day(arena, person->clinic.clinic, entry->at),
                    page_clock(arena, person->clinic.clinic, entry->at));
        view_text(one, "word", record_kind_row(entry->kind)->word);
        view_text(one, "by", entry->by);
        const char *said = record_value(arena, entry->body, "said");
        const char *because = record_value(arena, entry->body, "because");
        gboolean own = entry->kind != RECORD_NUMBERED && entry->kind != RECORD_PRINTED;
        view_text(one, "said", !own ? NULL : said ? said : because);
    }
}

/* The files that were printed here for a sheet. */
static void show_files(View *view, Person *person, gint64 number)
{
    g_autofree char *folder = g_build_filename(person->desk->clinic, DESK_SHEETS, NULL);
    g_autofree char *start = g_strdup_printf("%s-%" G_GINT64_FORMAT "-", person->file.code, number);
    g_autoptr(GDir) there = g_dir_open(folder, 0, NULL);
    const char *name;
    while (there && (name = g_dir_read_name(there)))
        if (g_str_has_prefix(name, start) && g_str_has_suffix(name, ".pdf"))
            view_text(view_add(view, "files"), "file", name);
}

static gboolean show_sheets(Person *person)
{
    g_autoptr(GError) error = NULL;
    Arena *arena = person->session->arena;
    const GPtrArray *sheets = person->record ? record_of_person(person->record, person->file.code, &error) : NULL;
    if (error) {
        commands_system_error(g_steal_pointer(&error));
        return FALSE;
    }
    for (guint i = sheets ? sheets->len : 0; i > 0; i--) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i - 1);
        View *view = view_add(person->view, "sheets");
        gboolean counts = sheet->state == RECORD_IS_VALID;
        view_format(view, "number", "%" G_GINT64_FORMAT, sheet->number);
        view_text(view, "state", stands_word(sheet));
        view_flag(view, "counts", counts);
        view_text(view, "spoken", record_fact(arena, sheet, "check_code", 1));
        view_text(view, "sheet_time", commands_sheet_time(person->session, person->clinic.clinic, sheet, 1));
        view_format(view, "replaced_by", "%" G_GINT64_FORMAT, sheet->replaced_by);
        view_flag(view, "is_replaced", sheet->replaced_by > 0);
        show_entries(view, person, sheet);
        show_files(view, person, sheet->number);
        if (!counts || strcmp(sheet->order, person_file_says(&person->file, "order", NULL)) != 0)
            continue;
        view_format(person->view, "counting", "%" G_GINT64_FORMAT, sheet->number);
        view_link(person->view, "counting_files", view, "files");
    }
    return TRUE;
}

void person_show(Person *person, Answer *answer)
{
    view_text(person->view, "code", person->file.code);
    view_text(person->view, "others_here", person->request->others);
    view_flag(person->view, "new_person", !*person->file.digest);
    view_flag(person->view, "tried", person->tried);
    person_look_at_words(person);
    if (person->judged)
        show_findings(person);
    person_show_form(person);
    person_show_before(person);
    show_injections(person);
    person_show_alike(person);
    if (show_sheets(person))
        page_show(person->desk, person->view, "person", answer);
    else
        page_said(person->desk, person->request, person->session, answer);
}

/* ---- stories ---- */

void story_person(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    if (!person.file.source) {
        Request none = *request;
        none.notice = "nobody";
        story_notice(desk, &none, answer);
        return;
    }
    page_is_for_all(answer);
    person_judge(&person);
    view_flag(person.view, "saved", *request_field(request, "saved") != '\0');
    view_flag(person.view, "printed", *request_field(request, "printed") != '\0');
    view_flag(person.view, "on_paper", *request_field(request, "printed") != '\0');
    view_flag(person.view, "back", *request_field(request, "back") != '\0');
    if (*request_field(request, "printed"))
        person_say_new(&person);
    person_show(&person, answer);
}

static void free_string(gpointer string) { g_string_free(string, TRUE); }

/* The next of an afternoon: of the address the protocol alone is taken, all else is this person's own. */
static void begin_with_protocol(Person *person)
{
    Request *form = arena_new0(person->session->arena, Request);
    Entered *protocol = arena_new0(person->session->arena, Entered);
    *protocol = (Entered){"protocol", g_string_new(request_field(person->request, "protocol"))};
    arena_defer(person->session->arena, free_string, protocol->value);
    *form = *person->request;
    form->entered = arena_list(person->session->arena);
    g_ptr_array_add(form->entered, protocol);
    person->request = form;
    person->retyped = person->filling = TRUE;
    view_flag(person->view, "next_person", TRUE);
    person_try(person, form);
}

void story_new(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, "", answer))
        return;
    view_flag(person.view, "at_new", TRUE);
    if (*request_field(request, "protocol"))
        begin_with_protocol(&person);
    else
        page_is_for_all(answer);
    person_show(&person, answer);
}

/* ---- keeping it ---- */

/* retyped: the page shows what was typed, in place of what the file says. */
static void refuse(Person *person, const char *why, gboolean retyped, Answer *answer)
{
    person->retyped = retyped;
    if (!retyped || !person_try(person, person->request))
        person_judge(person);
    view_flag(person->view, why, TRUE);
    view_flag(person->view, "not_kept", TRUE);
    answer->status = strcmp(why, "changed_meanwhile") == 0 || strcmp(why, "code_taken") == 0 ? 409 : 422;
    person_show(person, answer);
}

/* A full disk, say: the form comes back as it was filled in; an acceptance, which is of another form,
 * as a list that can be sent again. */
static void not_written(Person *person, Answer *answer)
{
    if (!*request_field(person->request, "patient")) {
        page_said(person->desk, person->request, person->session, answer);
        return;
    }
    view_text(person->view, "said", child_said(person->session->arena));
    refuse(person, "not_written", TRUE, answer);
    answer->status = 500;
}

static gboolean can_be_changed(const PersonFile *file) { return !file->source || file->root; }

static void person_keep(Person *person, const char *text, Answer *answer)
{
    GError *error = NULL;
    gboolean taken = FALSE, had = person_has_before(person);
    const char *digest = request_field(person->request, "digest");
    gboolean fine = person_keep_before(person, &error) &&
                    person_file_write(&person->file, digest, text, &taken, &error);
    if (!had && (!fine || taken)) /* nothing was changed that could be taken back */
        person_forget_before(person);
    if (!fine) {
        commands_system_error(error);
        not_written(person, answer);
    } else if (taken) {
        refuse(person, *digest ? "changed_meanwhile" : "code_taken", *request_field(person->request, "patient") != '\0',
               answer);
    } else {
        page_go(answer, "/person/%s?saved=1", person->file.code);
    }
}

static gboolean can_be_read(const Person *person, const char *text)
{
    Arena *arena = person->session->arena;
    const Source *source = source_from_text(arena, person->file.path, text, strlen(text));
    return syntax_parse(arena, source, diagnostics_new(arena)) != NULL;
}

/* A letter that no file may hold would shut every form out of it: what was typed comes back with
 * what is wrong at its field, and the file stays as it is. */
static void show_unreadable(Person *person, const char *text, Answer *answer)
{
    person_try_text(person, text);
    person->retyped = TRUE;
    view_flag(person->view, "not_kept", TRUE);
    answer->status = 422;
    person_show(person, answer);
}

static void keep_form(Person *person, Answer *answer)
{
    Request form = *person->request;
    person_scan(&person->file, &form);
    person_learn(person, &form);
    const char *text = person_file_text(&person->file, &form);
    Day first, procedure;
    gboolean begun = *request_field(&form, "start") && person->file.starts;
    if (begun && (!person_file_start(&person->file, &form, &first, &procedure) ||
                  person_file_disagrees(&person->file, &form)))
        refuse(person, "start_wrong", TRUE, answer);
    else if (can_be_read(person, text))
        person_keep(person, text, answer);
    else
        show_unreadable(person, text, answer);
}

void story_keep(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    const Desk reader = person_reads(desk);
    const char *code = request_field(request, "patient");
    gboolean fits = person_code_fits(code);
    if (!person_open(&person, &reader, request, fits ? code : "", answer))
        return;
    if (!fits)
        refuse(&person, "code_unfit", TRUE, answer);
    else if (!can_be_changed(&person.file))
        refuse(&person, "file_unread", TRUE, answer);
    else
        keep_form(&person, answer);
}

/* ---- a warning waits for a name ---- */

/* "{rule: ..., because: ...}" of a form; NULL when it gives no reason. */
const char *acceptance_item(Session *session, const Clinic *clinic, const Request *request)
{
    RuleId rule;
    if (!rule_find(request_field(request, "rule"), &rule) || !*request_field(request, "because"))
        return NULL;
    g_autoptr(GString) item = g_string_new(NULL);
    const struct { const char *key, *text; } parts[] = {
        {"rule", rule_row(rule)->id}, {"injection", request_field(request, "injection")},
        {"because", request_field(request, "because")}, {"by", request->who},
        {"on", page_date(session->arena, clinic, session->now)}, {"until", request_field(request, "until")}};
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
        if (!*parts[i].text)
            continue;
        g_autofree char *line = person_file_line(parts[i].text);
        g_string_append_printf(item, "%s%s: ", item->len ? ", " : "{", parts[i].key);
        syntax_quote(item, line);
    }
    g_string_append_c(item, '}');
    return arena_copy(session->arena, item->str);
}

void story_accept(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    if (!person_open(&person, desk, request, request->argument, answer))
        return;
    const char *item = person.file.root ? acceptance_item(person.session, person.clinic.clinic, request) : NULL;
    if (item)
        person_keep(&person, person_file_accepting(&person.file, item), answer);
    else
        refuse(&person, "no_reason", FALSE, answer);
}
