/* desk_scan: what a scanner typed into the field of a lot becomes lot, use-by date and item number. */
#include <string.h>

#include "desk/file.h"

static GString *entered_value(const Request *form, const char *name)
{
    for (guint i = 0; i < form->entered->len; i++) {
        const Entered *one = g_ptr_array_index(form->entered, i);
        if (strcmp(one->name, name) == 0)
            return one->value;
    }
    return NULL;
}

static void enter_field(Request *form, const char *name, const char *text)
{
    GString *value = entered_value(form, name);
    if (value) {
        g_string_assign(value, text);
        return;
    }
    Entered *one = g_new0(Entered, 1);
    *one = (Entered){g_strdup(name), g_string_new(text)};
    g_ptr_array_add(form->entered, one);
}

static void enter(Request *form, guint box, const char *inside, const char *text)
{
    g_autofree char *name = g_strdup_printf("box.%u.%s", box, inside);
    enter_field(form, name, text);
}

/* "anchor.clock=8:00 am": of what a field may mean, what was chosen. */
void person_take(Request *form)
{
    g_auto(GStrv) taken = g_strsplit(request_field(form, "take"), "=", 2);
    if (taken[0] && taken[1])
        enter_field(form, taken[0], taken[1]);
}

static int year_of(const PersonFile *file, const Request *form)
{
    Day day;
    gboolean read = day_parse(person_file_takes(file, form, "anchor.on"), &day, NULL).fault == MOMENT_FINE;
    return day_date(read ? day : file->today).year;
}

void person_scan(const PersonFile *file, Request *form)
{
    for (guint i = 0; i < DESK_BOXES; i++) {
        BoxScan scan;
        g_autofree char *name = g_strdup_printf("box.%u.lot", i);
        const GString *lot = entered_value(form, name);
        if (!lot || !*lot->str)
            continue;
        if (!scan_is_one(lot->str)) { /* typed anew: the number of the box before it says nothing of this one */
            if (strcmp(lot->str, person_file_box(file, i, "lot")) != 0)
                enter(form, i, "item", "");
            continue;
        }
        if (scan_read(lot->str, year_of(file, form), &scan) != SCAN_FINE)
            continue; /* check says why, at the field */
        enter(form, i, "lot", scan.lot);
        enter(form, i, "item", scan.item);
        if (scan.dated)
            enter(form, i, "expires", scan_expiry(file->arena, &scan));
    }
}
