/* desk_sample: the sheet that a protocol makes, of somebody invented: with the box of each of its
 * medicines, a few days from now, asked and healthy. */
#include <string.h>

#include "desk/protocol.h"
#include "drawing/drawing.h"

#define CODE "SAMPLE-0"
#define DAYS 12  /* in which a day is looked for on which the clinic has procedures */
#define WIDTH 880 /* pixels */

static void add_boxes(GString *text, const Protocol *protocol, Day day)
{
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    CalendarDate date = day_date(day);
    g_string_append(text, "boxes:\n");
    for (guint i = 0; i < protocol->injections.items->len; i++) {
        const Text *medicine = &((const Injection *)g_ptr_array_index(protocol->injections.items, i))->medicine;
        if (!PRESENT(*medicine) || !g_hash_table_add(told, (gpointer)medicine->text))
            continue;
        g_string_append(text, "  - {medicine: ");
        syntax_quote(text, medicine->text);
        g_string_append_printf(text, ", lot: SAMPLE, expires: %04d-12, count: 99}\n", date.year + 1);
    }
    if (g_hash_table_size(told) == 0)
        g_string_append(text, "  []\n");
}

static gboolean leaves_open(const Protocol *protocol)
{
    for (guint i = 0; i < protocol->injections.items->len; i++) {
        const GiverChoice *by = &((const Injection *)g_ptr_array_index(protocol->injections.items, i))->give.by;
        if (PRESENT(*by) && by->value == Giver_EITHER)
            return TRUE;
    }
    return FALSE;
}

static char *sample_text(const ProtocolPage *page, Day day, const char *clock)
{
    g_autoptr(GString) text = g_string_new("patient: " CODE "\nname: Sample\norder: SAMPLE\n");
    const GPtrArray *nurses = page->clinic.clinic->governance.nurses.items;
    CalendarDate date = day_date(day);
    g_string_append_printf(text, "protocol: %s\n", page->file.code);
    if (nurses->len > 0 && PRESENT(*(const Text *)g_ptr_array_index(nurses, 0))) {
        g_string_append(text, "prepared_by: ");
        syntax_quote(text, ((const Text *)g_ptr_array_index(nurses, 0))->text);
        g_string_append_c(text, '\n');
    }
    g_string_append_printf(text, "anchor: {on: %04d-%02d-%02d, clock: ", date.year, date.month, date.day);
    syntax_quote(text, clock);
    g_string_append(text, "}\nallergies: []\nbleeding: []\nweight: 70 kg\nsex: woman\n");
    if (leaves_open(page->own.protocol))
        g_string_append(text, "by: helper\n");
    add_boxes(text, page->own.protocol, day);
    return arena_copy(page->session->arena, text->str);
}

/* A picture for this day, or NULL when the clinic makes no sheet for it. */
static GBytes *look_on(ProtocolPage *page, Day day, const char *clock, int number)
{
    Session *session = page->session;
    Case file;
    GBytes *picture = NULL;
    int pages = 0;
    char *path = arena_format(session->arena, "%s/patients/" CODE ".yaml", page->desk->clinic);
    loader_put(session->loader, path, sample_text(page, day, clock));
    if (!loader_load(session->loader, path, &file, NULL) || !file.patient)
        return NULL;
    file.protocol = page->own.protocol; /* the text that is read, and not the one approved before it */
    Plan *plan = commands_plan(session, &file);
    sheet_look(session, &file, plan, number - 1, WIDTH, &picture, &pages);
    return picture;
}

GBytes *protocol_look(ProtocolPage *page, int number)
{
    const char *on = request_field(page->request, "on"), *clock = request_field(page->request, "clock");
    const Clinic *clinic = page->clinic.clinic;
    Day day;
    GBytes *picture = NULL;
    if (!page->own.protocol || !PRESENT(clinic->zone))
        return NULL;
    ink_prepare();
    if (*on && day_parse(on, &day, NULL).fault == MOMENT_FINE) {
        picture = look_on(page, day, *clock ? clock : "11 am", number);
    } else {
        Day today = zone_local(clinic->zone.zone, page->session->now, NULL).day;
        for (int ahead = 3; ahead < DAYS && !picture; ahead++)
            picture = look_on(page, today + ahead, *clock ? clock : "11 am", number);
    }
    ink_prepared();
    return picture;
}
