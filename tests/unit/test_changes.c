/* What the person would notice when one plan takes the place of another: tests/unit/changes.case has
 * changes of the clean clinic, and behind "> " what is said of each.  "== which" begins a case on that
 * protocol; "file NAME" names the file, -lines go and +lines come; "approvals" also gives the approvals' lines.
 * CHANGES_UPDATE=1 writes down what is said now; the difference is read before it is committed. */
#include <string.h>

#include "plan/plan.h"
#include "reader/reader.h"

#include "cmocka_all.h"

#define BASE "tests/rules/base/"
#define CASES "tests/unit/changes.case"

typedef struct ChangeCase {
    GString *which, *file, *old, *new;
    gboolean approvals;
} ChangeCase;

static Node *read_changed(Arena *arena, Diagnostics *found, const char *name, const ChangeCase *change)
{
    g_autofree char *text = NULL;
    g_autofree char *path = g_strconcat(BASE, name, NULL);
    assert_true(g_file_get_contents(path, &text, NULL, NULL));
    g_autoptr(GString) changed = g_string_new(text);
    if (change && strcmp(change->file->str, name) == 0)
        assert_int_equal(g_string_replace(changed, change->old->str, change->new->str, 0), 1);
    return syntax_parse(arena, source_from_text(arena, arena_copy(arena, name), changed->str, changed->len), found);
}

static Plan *plan_of(Arena *arena, const char *which, const ChangeCase *change)
{
    Diagnostics *found = diagnostics_new(arena);
    g_autofree char *protocol = g_strconcat("protocols/", which, ".yaml", NULL);
    g_autofree char *patient = g_strconcat("patients/", which, ".yaml", NULL);
    PlanContext context = {1795000000, "test", "0123456789abcdef", "", FALSE, NULL, NULL};
    return plan_build(arena, reader_clinic(arena, read_changed(arena, found, "clinic.yaml", change), found),
                      reader_shelf(arena, read_changed(arena, found, "shelf.yaml", change), found),
                      reader_protocol(arena, read_changed(arena, found, protocol, change), found),
                      reader_patient(arena, read_changed(arena, found, patient, change), found), &context);
}

/* Both ways: the change, and what takes it back. */
static void say(const ChangeCase *change, GString *out)
{
    if (!change->which->len)
        return;
    Arena *arena = arena_new();
    const Plan *old = plan_of(arena, change->which->str, NULL), *new = plan_of(arena, change->which->str, change);
    for (int back = 0; back < 2; back++) {
        g_autoptr(GString) text = g_string_new("before\n");
        gboolean told = plan_changes(back ? new : old, back ? old : new, change->approvals, text);
        g_string_append_printf(out, "> %s, %s\n", back ? "back" : "forth", told ? "told" : "nothing to tell");
        g_auto(GStrv) lines = g_strsplit(text->str, "\n", -1);
        assert_string_equal(lines[0], "before");
        for (char **line = lines + 1; *line; line++)
            if (**line || line[1])
                g_string_append_printf(out, "> %s\n", *line);
    }
    arena_free(arena);
    g_string_append_c(out, '\n');
    g_string_truncate(change->which, 0);
}

static void read_line(ChangeCase *change, const char *line)
{
    GString *part = *line == '-' ? change->old : change->new;
    if (g_str_has_prefix(line, "file "))
        g_string_assign(change->file, line + 5);
    else if (strcmp(line, "approvals") == 0)
        change->approvals = TRUE;
    else
        g_string_append_printf(part, "%s%s", part->len ? "\n" : "", line + 1);
}

static void begin(ChangeCase *change, const char *which)
{
    g_string_assign(change->which, which);
    g_string_truncate(change->file, 0);
    g_string_truncate(change->old, 0);
    g_string_truncate(change->new, 0);
    change->approvals = FALSE;
}

static void test_changes(void **state)
{
    (void)state;
    g_autofree char *text = NULL;
    g_autoptr(GString) out = g_string_new(NULL), which = g_string_new(NULL), file = g_string_new(NULL),
                       old = g_string_new(NULL), new = g_string_new(NULL);
    ChangeCase change = {which, file, old, new, FALSE};
    assert_true(g_file_get_contents(CASES, &text, NULL, NULL));
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (char **line = lines; *line; line++) {
        if (**line == '>' || !**line)
            continue;
        if (g_str_has_prefix(*line, "== ")) {
            say(&change, out);
            begin(&change, *line + 3);
        } else if (**line != '#') {
            read_line(&change, *line);
        }
        g_string_append_printf(out, "%s\n", *line);
    }
    say(&change, out);
    if (g_getenv("CHANGES_UPDATE"))
        assert_true(g_file_set_contents(CASES, out->str, (gssize)out->len, NULL));
    else
        assert_string_equal(out->str, text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_changes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
