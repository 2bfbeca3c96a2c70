/* desk_form: a person's form: its fields, the boxes that it asks for, what was read of what was typed. */
#include <string.h>

#include "desk/person.h"
#include "desk/written.h"
#include "wording/wording.h"

/* ---- boxes ---- */

static const char *box_value(const Person *person, guint index, const char *inside)
{
    g_autofree char *field = g_strdup_printf("box.%u.%s", index, inside);
    return person->retyped ? request_field(person->request, field) : person_file_box(&person->file, index, inside);
}

static gboolean opens(const Protocol *protocol, const char *medicine)
{
    for (guint i = 0; protocol && i < protocol->injections.items->len; i++) {
        const Text *named = &((const Injection *)g_ptr_array_index(protocol->injections.items, i))->medicine;
        if (PRESENT(*named) && strcmp(named->text, medicine) == 0)
            return TRUE;
    }
    return FALSE;
}

static gboolean box_is_said(const Person *person, guint index)
{
    return !person->retyped || *box_value(person, index, "lot") || *box_value(person, index, "expires");
}

/* An empty one that the form asked for goes with the protocol that asked for it. */
static gboolean box_stays(const Person *person, guint index)
{
    const char *medicine = box_value(person, index, "medicine");
    return *medicine && (box_is_said(person, index) || opens(person->own.protocol, medicine));
}

/* Where the form shows the box that stands at this place of the file, which says none that is empty. */
int person_box_shown(const Person *person, int of_file)
{
    int shown = 0;
    for (guint i = 0; i < DESK_BOXES; i++) {
        if (!box_stays(person, i))
            continue;
        if (box_is_said(person, i) && of_file-- == 0)
            return shown;
        shown += 1;
    }
    return -1;
}

/* ---- fields ---- */

/* What a field may mean, each to be taken with one key. */
static void show_ways(Person *person, View *view, const char *field, const char *name)
{
    char **ways = person->retyped ? person_file_ways(&person->file, person->request, field) : NULL;
    gboolean left = ways && strcmp(person_file_takes(&person->file, person->request, field),
                                   request_field(person->request, field)) == 0;
    for (char **way = ways; left && *way; way++) {
        View *one = view_add(view, name);
        view_text(one, "way", *way);
        view_text(one, "way_of", field);
    }
}

/* What was taken of a field that is not what was typed, beside it. */
static void show_taken(Person *person, View *view, const char *field, const char *name)
{
    const char *taken = person_file_takes(&person->file, person->request, field);
    if (person->retyped && strcmp(taken, request_field(person->request, field)) != 0)
        view_text(view, name, taken);
}

/* What was typed, where this answers a form that was not kept; else what the file says. */
static const char *value_of(const Person *person, const char *field, const char *key, const char *inside)
{
    return person->retyped ? request_field(person->request, field) : person_file_says(&person->file, key, inside);
}

static void show_choices(Person *person, const char *key, ChoiceList list, gboolean several)
{
    guint count;
    ChoiceWord first = choice_first(list, &count);
    g_autofree char *items = g_strdup_printf("%s_choices", key);
    const char *now = person_file_says(&person->file, key, NULL);
    g_auto(GStrv) words = g_strsplit(now, ", ", -1);
    for (guint i = 0; i < count; i++) {
        const char *word = choice_word(first + i);
        if (first + i == (ChoiceWord)Giver_EITHER)
            continue; /* the protocol's word, not a person's */
        g_autofree char *field = several ? g_strdup_printf("%s.%s", key, word) : g_strdup(key);
        const char *typed = request_field(person->request, field);
        View *one = view_add(person->view, items);
        view_text(one, "word", word);
        view_flag(one, "chosen", !person->retyped ? g_strv_contains((const char *const *)words, word)
                                 : several        ? *typed != '\0'
                                                  : strcmp(typed, word) == 0);
    }
}

static void show_allergies(Person *person)
{
    const char *says = person_file_says(&person->file, "allergies", NULL);
    const char *asked = request_field(person->request, "allergies");
    gboolean none = person->retyped ? strcmp(asked, "none") == 0 : strcmp(says, "none") == 0;
    const char *these = person->retyped ? request_field(person->request, "allergies.these") : none ? "" : says;
    view_flag(person->view, "allergies_none", none && !*these);
    view_flag(person->view, "allergies_some", *these != '\0');
    view_text(person->view, "allergies_these", these);
    g_autofree char *ticked = g_strdup(request_field(person->request, "bleeding.none"));
    view_flag(person->view, "bleeding_none", person->retyped ? *ticked != '\0'
                                             : strcmp(person_file_says(&person->file, "bleeding", NULL), "none") == 0);
}

/* Another box of the form, else of somebody else, that has this lot. */
static void show_lot(Person *person, View *box, const char *medicine, guint from)
{
    const char *lot = box_value(person, from, "lot"), *whose, *other = NULL;
    for (guint i = 0; *lot && i < DESK_BOXES && !other; i++)
        if (i != from && strcmp(box_value(person, i, "lot"), lot) == 0 &&
            strcmp(box_value(person, i, "medicine"), medicine) != 0)
            other = box_value(person, i, "medicine");
    view_flag(box, "lot_here", other != NULL);
    if (!other)
        other = person_lot_elsewhere(person, medicine, lot, &whose);
    else
        whose = NULL;
    view_text(box, "lot_is_of", other);
    view_text(box, "lot_whose", whose);
}

static void show_box(Person *person, guint n, const char *medicine, guint from)
{
    View *box = view_add(person->view, "boxes");
    g_autofree char *found = g_strdup_printf("at_box_%u", n);
    g_autofree char *short_of = g_strdup_printf("short_%s", found);
    g_autofree char *expires = g_strdup_printf("box.%u.expires", from);
    view_format(box, "n", "%u", n);
    view_text(box, "medicine", medicine);
    view_text(box, "lot", box_value(person, from, "lot"));
    view_text(box, "expires", box_value(person, from, "expires"));
    view_text(box, "item", box_value(person, from, "item"));
    view_text(box, "count", box_value(person, from, "count"));
    if (*box_value(person, from, "count"))
        view_flag(box, "asks_count", TRUE);
    else
        view_link(box, "asks_count", person->view, short_of);
    view_flag(box, "first_box", n == 0);
    show_taken(person, box, expires, "taken_expires");
    show_ways(person, box, expires, "ways_expires");
    show_lot(person, box, medicine, from);
    view_link(box, "found", person->view, found);
}

/* The boxes of the file, and one of each medicine of the protocol that has none yet. */
static void show_boxes(Person *person, const Protocol *protocol)
{
    g_autoptr(GHashTable) shown = g_hash_table_new(g_str_hash, g_str_equal);
    guint n = 0;
    for (guint i = 0; i < DESK_BOXES; i++)
        if (box_stays(person, i)) {
            const char *medicine = box_value(person, i, "medicine");
            g_hash_table_add(shown, (gpointer)medicine);
            show_box(person, n++, medicine, i);
        }
    for (guint i = 0; protocol && i < protocol->injections.items->len && n < DESK_BOXES; i++) {
        const Text *medicine = &((const Injection *)g_ptr_array_index(protocol->injections.items, i))->medicine;
        if (PRESENT(*medicine) && g_hash_table_add(shown, (gpointer)medicine->text))
            show_box(person, n++, medicine->text, DESK_BOXES);
    }
}

/* Each key that the protocol's sheets need is asked for, and each that the file has. */
static void show_asked(Person *person, const Protocol *protocol)
{
    static const char *const optional[] = {"weight", "sex", "bleeding", "by"};
    RecordRow row = record_row(RECORD_Patient);
    for (guint i = 0; i < row.count; i++)
        for (gsize k = 0; k < G_N_ELEMENTS(optional); k++) {
            const char *key = optional[k];
            if (strcmp(row.fields[i].key, key) != 0)
                continue;
            g_autofree char *flag = g_strdup_printf("asks_%s", key);
            view_flag(person->view, flag, (protocol && roster_asks(person->clinic.clinic, protocol, &row.fields[i])) ||
                                              *person_file_says(&person->file, key, NULL));
        }
}

/* By the clinic's clock. */
static void show_taken_clock(Person *person)
{
    int minute;
    const char *taken = person_file_takes(&person->file, person->request, "anchor.clock");
    if (!person->retyped || strcmp(taken, request_field(person->request, "anchor.clock")) == 0)
        return;
    gboolean read = clock_parse(taken, &minute).fault == MOMENT_FINE;
    view_text(person->view, "taken_clock",
              read ? clinic_clock(person->session->arena, person->clinic.clinic, minute) : taken);
}

/* A course's first day may be typed in place of the day of its procedure. */
static void show_start(Person *person, const Protocol *protocol)
{
    Day first, procedure;
    PersonFile *file = &person->file;
    const char *typed = person->retyped ? request_field(person->request, "start") : "";
    file->starts = protocol && plan_starts(protocol, &file->start);
    view_flag(person->view, "asks_start", file->starts && file->start != 0);
    view_text(person->view, "v_start", typed);
    if (!file->starts || !*typed)
        return;
    gboolean read = person_file_start(file, person->request, &first, &procedure);
    view_flag(person->view, "start_unread", !read);
    view_flag(person->view, "start_differs", person_file_disagrees(file, person->request));
    if (!read)
        return;
    view_text(person->view, "start_first", written_in_full(person->session->arena, first));
    view_text(person->view, "start_procedure", written_in_full(person->session->arena, procedure));
}

/* The language's own name where its phrases can be read, else its tag. */
static const char *language_name(Person *person, const char *tag)
{
    Arena *arena = person->session->arena;
    g_autoptr(GError) error = NULL;
    const char *folder = person->session->options.templates ? person->session->options.templates
                                                            : commands_templates(arena);
    const Phrases *phrases = phrases_read(arena, folder, tag, diagnostics_new(arena), &error);
    return phrases ? phrases_words(arena, phrases, "language_name") : tag;
}

static void show_language(Person *person, const char *tag, const char *now)
{
    View *one = view_add(person->view, "languages");
    view_text(one, "tag", tag);
    view_text(one, "language_name", language_name(person, tag));
    view_flag(one, "chosen", strcmp(tag, now) == 0);
}

/* Which it will be; asked where there is a choice. */
static void show_languages(Person *person)
{
    const GPtrArray *items = person->clinic.clinic->languages.items;
    const char *now = value_of(person, "language", "language", NULL);
    gboolean known = !*now;
    for (guint i = 0; i < items->len; i++) {
        const Text *tag = g_ptr_array_index(items, i);
        if (!PRESENT(*tag))
            continue;
        if (i == 0 || strcmp(now, tag->text) == 0)
            view_text(person->view, "sheet_language", language_name(person, tag->text));
        if (i == 0)
            view_text(person->view, "own_language", language_name(person, tag->text));
        else
            show_language(person, tag->text, now);
        known |= strcmp(now, tag->text) == 0;
    }
    if (!known) { /* of a file: a language that the clinic does not have */
        show_language(person, now, now);
        view_text(person->view, "sheet_language", language_name(person, now));
    }
}

void person_learn(Person *person, const Request *form)
{
    Session *session = person->session;
    PersonFile kept = person->file;
    char **ways = person_file_ways(&kept, form, *request_field(form, "hour") ? "hour" : "anchor.clock");
    const char *name = *request_field(form, "protocol") ? request_field(form, "protocol")
                                                        : person_file_says(&kept, "protocol", NULL);
    if (!*name || (!ways[0] && !*request_field(form, "start")))
        return;
    g_autoptr(GString) text = g_string_new("patient: \"-\"\nprotocol: ");
    g_autofree char *line = person_file_line(name);
    syntax_quote(text, line);
    person_try_text(person, arena_copy(session->arena, text->str));
    const Protocol *protocol = person->own.protocol;
    const Procedures *procedures = &person->clinic.clinic->procedures;
    gboolean planned = protocol && PRESENT(protocol->anchor) && protocol->anchor.value != Anchor_INTERCOURSE;
    session->loader = loader_new(session->arena, person->desk->clinic); /* that one holds the text of nobody */
    person->file = kept;
    person->tried = person->judged = FALSE;
    person->file.hours = planned && PRESENT(*procedures) && PRESENT(procedures->hours) ? &procedures->hours : NULL;
    person->file.starts = protocol && plan_starts(protocol, &person->file.start);
}

static void show_fields(Person *person)
{
    static const struct { const char *field, *key, *inside; } texts[] = {
        {"patient", "patient", NULL}, {"name", "name", NULL}, {"protocol", "protocol", NULL}, {"order", "order", NULL},
        {"anchor.on", "anchor", "on"}, {"anchor.clock", "anchor", "clock"}, {"zone", "zone", NULL},
        {"weight", "weight", NULL}, {"phone", "phone", NULL}};
    const Protocol *protocol = person->own.protocol;
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        g_autofree char *name = g_strdup_printf("v_%s", texts[i].field);
        view_text(person->view, g_strdelimit(name, ".", '_'),
                  value_of(person, texts[i].field, texts[i].key, texts[i].inside));
    }
    if (protocol && PRESENT(protocol->anchor))
        view_text(person->view, "procedure", choice_word(protocol->anchor.value));
    show_taken(person, person->view, "anchor.on", "taken_on");
    show_taken_clock(person);
    show_ways(person, person->view, "anchor.clock", "ways_clock");
    show_start(person, protocol);
    show_languages(person);
    show_choices(person, "by", CHOICES_Giver, FALSE);
    show_choices(person, "sex", CHOICES_Sex, FALSE);
    show_choices(person, "bleeding", CHOICES_Bleeding, TRUE);
    show_allergies(person);
    show_boxes(person, protocol);
    show_asked(person, protocol);
    view_text(person->view, "digest", person->retyped ? request_field(person->request, "digest")
                                                      : person->file.digest);
    view_text(person->view, "prepared_by", person_file_says(&person->file, "prepared_by", NULL));
}

static void show_protocols(Person *person)
{
    g_autofree char *folder = g_build_filename(person->desk->clinic, "protocols", NULL);
    GPtrArray *paths = arena_list(person->session->arena);
    const char *now = value_of(person, "protocol", "protocol", NULL);
    if (!loader_list(person->session->arena, folder, paths, NULL))
        return;
    for (guint i = 0; i < paths->len; i++) {
        g_autofree char *name = g_path_get_basename(g_ptr_array_index(paths, i));
        if (!g_str_has_suffix(name, ".yaml"))
            continue;
        name[strlen(name) - strlen(".yaml")] = '\0';
        View *one = view_add(person->view, "protocols");
        view_text(one, "protocol", name);
        view_flag(one, "chosen", strcmp(name, now) == 0);
    }
}

/* Two days on, as it may be written. */
static void show_example(Person *person)
{
    const char *day = written_day(person->session->arena, "tomorrow", person->file.today + 1, WRITTEN_PROCEDURE);
    view_format(person->view, "example_weekday", "%.3s", day);
    view_text(person->view, "example_day", strchr(day, ' ') + 1);
}

void person_show_form(Person *person)
{
    show_example(person);
    show_fields(person);
    show_protocols(person);
}
