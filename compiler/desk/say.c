/* desk_say: what is to be said to a person whose sheet was replaced or cancelled, in the language of her
 * sheet: its own phrases for the hour and for the sheet that is torn up. */
#include <string.h>

#include "desk/person.h"
#include "wording/wording.h"

typedef struct Theirs {
    Arena *arena;
    const Plan *plan;
    const Phrases *phrases;
    View *view;
} Theirs;

static void say(const Theirs *theirs, const char *text) { view_text(view_add(theirs->view, "theirs"), "line", text); }

static const char *weekday(const Theirs *theirs, Day day)
{
    return said_day(theirs->arena, theirs->plan, theirs->phrases, day, FALSE);
}

/* From 10 pm to 6 am by both days, as a sheet names such a night. */
static void say_time(const Theirs *theirs, LocalTime at)
{
    const Filling whole[] = {
        {"date", said_day(theirs->arena, theirs->plan, theirs->phrases, at.day, TRUE)},
        {"clocks", said_clock(theirs->arena, theirs->plan, theirs->phrases, at.minute)}, {NULL, NULL}};
    say(theirs, said_phrase(theirs->arena, theirs->plan, theirs->phrases, "format_whole", whole, 0));
    gboolean small_hours = at.minute < 6 * 60;
    if (!small_hours && at.minute < 22 * 60)
        return;
    Day evening = small_hours ? at.day - 1 : at.day;
    const Filling night[] = {{"weekday", weekday(theirs, evening)},
                             {"next", weekday(theirs, evening + 1)},
                             {NULL, NULL}};
    say(theirs, said_phrase(theirs->arena, theirs->plan, theirs->phrases, "format_nights", night, 0));
}

static void say_times(const Theirs *theirs)
{
    for (guint i = 0; i < theirs->plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(theirs->plan->injections, i);
        if (!injection->timed || injection->acts->len == 0)
            continue;
        if (theirs->plan->injections->len > 1)
            say(theirs, injection->order->name.text);
        say_time(theirs, ((const Act *)g_ptr_array_index(injection->acts, 0))->at.local);
    }
}

/* The sentences that no sheet has stand in the template: "torn_es" of a new sheet, "not_es" of none. */
static void choose_sentence(Person *person, const char *tag, const RecordSheet *new)
{
    g_autofree char *sentence = g_strdup_printf("%s_%.2s", new ? "torn" : "not", tag);
    view_flag(person->view, sentence, TRUE);
    if (!new)
        return;
    view_format(person->view, "torn_sheet", "%" G_GINT64_FORMAT, new->replaces);
    view_format(person->view, "new_sheet", "%" G_GINT64_FORMAT, new->number);
    view_text(person->view, "new_code", record_fact(person->session->arena, new, "check_code", 1));
}

void person_say_theirs(Person *person, const RecordSheet *new)
{
    Arena *arena = person->session->arena;
    g_autoptr(GError) error = NULL;
    gboolean named = person->plan && PRESENT(person->plan->patient->language);
    const char *tag = named ? person->plan->patient->language.text : "en";
    if (g_str_has_prefix(tag, "en"))
        return;
    const Phrases *phrases = phrases_read(arena, commands_templates(arena), tag, diagnostics_new(arena), &error);
    if (!phrases)
        return; /* the words in the nurse's language stand there all the same */
    const Theirs theirs = {arena, person->plan, phrases, person->view};
    view_text(person->view, "their_tag", phrases_tag(phrases));
    view_text(person->view, "their_language", said_phrase(arena, person->plan, phrases, "language_name", NULL, 0));
    if (new)
        say_times(&theirs);
    choose_sentence(person, tag, new);
}
