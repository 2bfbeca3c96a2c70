/* desk_preview: what is typed and not yet kept, judged and drawn: findings at the fields and a page
 * of the sheet, in one answer, so that it is judged once. */
#include "desk/person.h"
#include "drawing/drawing.h"

#define LOOK_WIDTH 660  /* pixels: three for two of the page's width on a desk */
#define LOOK_PAGES 20

static int page_asked(const Request *request)
{
    int page = (int)g_ascii_strtoll(request_field(request, "page"), NULL, 10);
    return CLAMP(page, 1, LOOK_PAGES);
}

static void show_pages(View *view, int shown, int pages)
{
    for (int i = 1; i <= pages; i++) {
        View *one = view_add(view, "look_pages");
        view_format(one, "page", "%d", i);
        view_flag(one, "shown", i == shown);
    }
    view_format(view, "look_page", "%d", shown);
    view_format(view, "look_count", "%d", pages);
}

/* The picture stands in the page itself: what is typed stands nowhere that it could be asked for. */
void person_show_look(Person *person, int page)
{
    GBytes *picture = NULL;
    int pages = 0;
    if (!person->judged || !person->plan)
        return;
    person->looked = TRUE;
    ink_prepare();
    int status = sheet_look(person->session, &person->own, person->plan, page - 1, LOOK_WIDTH, &picture, &pages);
    ink_prepared();
    if (status != EXIT_FINE)
        return;
    gsize length;
    const guchar *data = g_bytes_get_data(picture, &length);
    g_autofree char *text = g_base64_encode(data, length);
    view_text(person->view, "picture", text);
    show_pages(person->view, MIN(page, pages), pages);
    g_bytes_unref(picture);
}

/* Letters and lengths that every sheet has room for; tests/desk_changes.py prints them. */
#define WORD_FITS 14 /* letters */
#define TEXT_FITS 40

static gboolean surely_fits(const Text *text)
{
    if (!PRESENT(*text))
        return TRUE;
    glong letters = 0, word = 0;
    for (const char *at = text->text; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        word = letter == ' ' || letter == '-' ? 0 : word + 1;
        if (letter > 0x17f || word > WORD_FITS || ++letters > TEXT_FITS)
            return FALSE;
    }
    return TRUE;
}

void person_look_at_words(Person *person)
{
    const Patient *patient = person->judged ? person->own.patient : NULL;
    if (person->looked || !patient || !person->plan || diagnostics_stops(person->own.diagnostics) ||
        (surely_fits(&patient->name) && surely_fits(&patient->prepared_by) && surely_fits(&patient->order) &&
         surely_fits(&patient->patient)))
        return;
    person->looked = TRUE;
    ink_prepare();
    sheet_fits(person->session, &person->own, person->plan);
    ink_prepared();
}

void story_preview(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    Request form = *request;
    const char *code = request_field(request, "patient");
    /* no person's file is called so: without a code all else is judged */
    const Desk reader = person_reads(desk);
    if (!person_open(&person, &reader, request, person_code_fits(code) ? code : "-", answer))
        return;
    person_scan(&person.file, &form);
    person_take(&form);
    person.request = &form;
    person.retyped = TRUE;
    person.filling = !*person.file.digest;
    view_flag(person.view, "preview", TRUE);
    view_flag(person.view, "at_new", !*person.file.digest);
    if (person_try(&person, &form))
        person_show_look(&person, page_asked(request));
    person_show(&person, answer);
}
