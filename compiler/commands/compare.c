/* commands_compare: two protocols, or two folders of a clinic, in the words of the
 * person who injects. */
#include "commands/commands.h"

#include <stdio.h>
#include <string.h>

#include "report/report.h"
#include "rules/rules.h"

/* One side of a comparison; FALSE with *status set. */
static gboolean side_of(Session *session, const char *path, CompareSide *out, int *status)
{
    Case file;
    Plan *plan;
    *status = EXIT_SYSTEM;
    if (!commands_judge(session, path, &file, &plan))
        return FALSE;
    *status = EXIT_FINDINGS;
    if (!plan || file.kind != FILE_PROTOCOL) {
        commands_report(session, file.diagnostics);
        return FALSE;
    }
    Protocol bare = *file.protocol; /* who approved it is not what it does */
    bare.approval = (Approval){0};
    const SealBasis basis = {file.clinic, file.shelf, &bare, rules_basis()};
    *out = (CompareSide){plan, file.diagnostics, seal_text(session->arena, &basis), file.digest};
    return TRUE;
}

static int compare_files(Session *session, const char *old_path, const char *new_path, GString *out, gboolean *same)
{
    CompareSide old, new;
    int status;
    if (!side_of(session, old_path, &old, &status) || !side_of(session, new_path, &new, &status))
        return status;
    *same = compare_protocols(&old, &new, out);
    return EXIT_FINE;
}

/* ---- folders ---- */

static GPtrArray *protocols_of(Session *session, const char *folder)
{
    GPtrArray *names = arena_list(session->arena);
    g_autofree char *path = g_build_filename(folder, "protocols", NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    const char *entry;
    while (dir && (entry = g_dir_read_name(dir)))
        if (g_str_has_suffix(entry, ".yaml"))
            g_ptr_array_add(names, arena_copy(session->arena, entry));
    return names;
}

static gboolean listed(const GPtrArray *names, const char *name)
{
    for (guint i = 0; i < names->len; i++)
        if (strcmp(g_ptr_array_index(names, i), name) == 0)
            return TRUE;
    return FALSE;
}

static gint by_name(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* All names of both, each once, sorted. */
static GPtrArray *together(Session *session, const GPtrArray *old, const GPtrArray *new)
{
    GPtrArray *all = arena_list(session->arena);
    for (guint i = 0; i < old->len; i++)
        g_ptr_array_add(all, g_ptr_array_index(old, i));
    for (guint i = 0; i < new->len; i++)
        if (!listed(old, g_ptr_array_index(new, i)))
            g_ptr_array_add(all, g_ptr_array_index(new, i));
    g_ptr_array_sort(all, by_name);
    return all;
}

static char *protocol_path(Session *session, const char *folder, const char *name)
{
    g_autofree char *path = g_build_filename(folder, "protocols", name, NULL);
    return arena_copy(session->arena, path);
}

static int compare_folders(Session *session, const char *old_folder, const char *new_folder, GString *out)
{
    const GPtrArray *old = protocols_of(session, old_folder), *new = protocols_of(session, new_folder);
    const GPtrArray *all = together(session, old, new);
    int worst = EXIT_FINE;
    for (guint i = 0; i < all->len; i++) {
        const char *name = g_ptr_array_index(all, i);
        g_autoptr(GString) lines = g_string_new(NULL);
        gboolean same = FALSE;
        int status = EXIT_FINE;
        if (listed(old, name) && listed(new, name))
            status = compare_files(session, protocol_path(session, old_folder, name),
                                   protocol_path(session, new_folder, name), lines, &same);
        else
            g_string_append(lines, listed(new, name) ? "a new protocol\n" : "this protocol is gone\n");
        if (!same && lines->len > 0)
            g_string_append_printf(out, "%s%s\n%s", out->len ? "\n" : "", name, lines->str);
        worst = MAX(worst, status);
    }
    if (all->len == 0)
        return commands_usage("there is no folder \"protocols\" with a protocol in either");
    if (out->len == 0 && worst == EXIT_FINE)
        g_string_append(out, "nothing changed for any protocol here\n");
    return worst;
}

int command_compare(Session *session)
{
    char **words = session->options.words;
    if (!words || g_strv_length(words) != 2)
        return commands_usage("give the old and the new protocol file, or the old and the new folder of a clinic");
    gboolean folders[] = {g_file_test(words[0], G_FILE_TEST_IS_DIR), g_file_test(words[1], G_FILE_TEST_IS_DIR)};
    if (folders[0] != folders[1])
        return commands_usage("compare two files or two folders");
    g_autoptr(GString) text = g_string_new(NULL);
    gboolean same;
    int status = folders[0] ? compare_folders(session, words[0], words[1], text)
                            : compare_files(session, words[0], words[1], text, &same);
    terminal_text(stdout, text->str);
    return status;
}
