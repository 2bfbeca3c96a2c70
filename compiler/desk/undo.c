/* desk_undo: what a form changed in a person's file after a sheet was printed can be taken back until the
 * next one is: the text from before stands in a folder that no command reads. */
#include <glib/gstdio.h>
#include <string.h>

#include "desk/person.h"

#define BEFORE_LIMIT SYNTAX_FILE_LIMIT

#define FOLDER "before" /* within the clinic's */

static char *name_of(const Person *person)
{
    return arena_format(person->session->arena, "%s.before", person->file.code);
}

static char *path_of(const Person *person)
{
    return arena_format(person->session->arena, "%s/" FOLDER "/%s", person->desk->clinic, name_of(person));
}

static gboolean has_sheet(const Person *person)
{
    const GPtrArray *sheets = person->record ? record_of_person(person->record, person->file.code, NULL) : NULL;
    for (guint i = 0; sheets && i < sheets->len; i++)
        if (((const RecordSheet *)g_ptr_array_index(sheets, i))->state == RECORD_IS_VALID)
            return TRUE;
    return FALSE;
}

gboolean person_has_before(const Person *person)
{
    const char *path = path_of(person);
    return g_file_test(path, G_FILE_TEST_IS_REGULAR) && !g_file_test(path, G_FILE_TEST_IS_SYMLINK);
}

gboolean person_keep_before(const Person *person, GError **error)
{
    const Source *source = person->file.source;
    if (!source || !has_sheet(person) || person_has_before(person))
        return TRUE;
    g_autofree char *folder = g_build_filename(person->desk->clinic, FOLDER, NULL);
    g_autoptr(GBytes) text = g_bytes_new(source->text, source->length);
    return publish_file(folder, name_of(person), text, error);
}

void person_forget_before(const Person *person) { g_unlink(path_of(person)); }

void person_show_before(Person *person)
{
    view_flag(person->view, "can_go_back", person->file.source && person_has_before(person) && has_sheet(person));
}

/* Back only from what the page showed. */
static gboolean go_back(Person *person, gboolean *taken, GError **error)
{
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    if (source_read_bytes(path_of(person), BEFORE_LIMIT, bytes, error) != SOURCE_READ)
        return FALSE;
    g_byte_array_append(bytes, (const guint8 *)"", 1);
    const char *digest = request_field(person->request, "digest");
    if (!person_file_write(&person->file, digest, (const char *)bytes->data, taken, error))
        return FALSE;
    if (!*taken)
        person_forget_before(person);
    return TRUE;
}

void story_back(const Desk *desk, const Request *request, Answer *answer)
{
    Person person;
    GError *error = NULL;
    gboolean taken = FALSE;
    const Desk reader = person_reads(desk);
    if (!person_open(&person, &reader, request, request->argument, answer))
        return;
    gboolean fine = !person_has_before(&person) || go_back(&person, &taken, &error);
    if (fine && !taken) {
        page_go(answer, "/person/%s?back=1", person.file.code);
        return;
    }
    if (error)
        commands_system_error(error);
    view_text(person.view, "said", child_said(person.session->arena));
    view_flag(person.view, "not_back", TRUE);
    answer->status = taken ? 409 : 500;
    person_judge(&person);
    person_show(&person, answer);
}
