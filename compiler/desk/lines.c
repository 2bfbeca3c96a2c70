/* desk_lines: a protocol's text line by line: its findings under their lines, and what was changed
 * since the text before it was approved. */
#include <string.h>

#include "desk/protocol.h"

#define MOST 1500 /* lines of each that are compared */

typedef struct Texts {
    char **old, **now;
    guint old_count, now_count;
    guint16 *common; /* longest run of common lines from here to both ends */
} Texts;

static guint16 *common_at(const Texts *texts, guint i, guint k)
{
    return &texts->common[i * (texts->now_count + 1) + k];
}

static void compare(Texts *texts)
{
    texts->common = g_new0(guint16, (texts->old_count + 1) * (texts->now_count + 1));
    for (guint i = texts->old_count; i-- > 0;)
        for (guint k = texts->now_count; k-- > 0;)
            *common_at(texts, i, k) = strcmp(texts->old[i], texts->now[k]) == 0
                                          ? *common_at(texts, i + 1, k + 1) + 1
                                          : MAX(*common_at(texts, i + 1, k), *common_at(texts, i, k + 1));
}

/* The approval's line is new with each approval, and no change of what is done. */
static gboolean is_approval(const char *line) { return g_str_has_prefix(line, "approval:"); }

static void show_gone(View *view, const char *line)
{
    if (is_approval(line) || !*line)
        return;
    View *one = view_add(view, "lines");
    view_flag(one, "gone", TRUE);
    view_text(one, "text", line);
}

static void show_line(ProtocolPage *page, int number, const char *text, gboolean changed)
{
    View *one = view_add(page->view, "lines");
    view_format(one, "number", "%d", number);
    view_text(one, "text", text);
    view_flag(one, "changed", changed && !is_approval(text));
    Diagnostics *found = page->own.diagnostics;
    for (guint i = 0; i < diagnostics_count(found); i++) {
        const Finding *finding = diagnostics_at(found, i);
        Place place = finding_place(finding);
        if (place.source && strcmp(place.source->name, page->file.path) == 0 && place_line(place) == number)
            finding_show(view_add(one, "found"), page->session->arena, finding);
    }
}

static void show_compared(ProtocolPage *page, const Texts *texts)
{
    guint i = 0, k = 0;
    while (k < texts->now_count) {
        gboolean same = i < texts->old_count && strcmp(texts->old[i], texts->now[k]) == 0;
        if (!same && i < texts->old_count && *common_at(texts, i + 1, k) > *common_at(texts, i, k + 1)) {
            show_gone(page->view, texts->old[i++]);
            continue;
        }
        show_line(page, (int)k + 1, texts->now[k], !same);
        i += same;
        k++;
    }
    while (i < texts->old_count)
        show_gone(page->view, texts->old[i++]);
}

static guint count_of(char **lines)
{
    guint count = g_strv_length(lines);
    return count > 0 && !*lines[count - 1] ? count - 1 : count;
}

void protocol_show_lines(ProtocolPage *page)
{
    g_autofree char *before = NULL;
    g_auto(GStrv) now = g_strsplit(page->file.source->text, "\n", -1);
    if (page->kept)
        g_file_get_contents(page->kept, &before, NULL, NULL);
    g_auto(GStrv) old = g_strsplit(before ? before : "", "\n", -1);
    Texts texts = {old, now, count_of(old), count_of(now), NULL};
    if (before && texts.old_count <= MOST && texts.now_count <= MOST) {
        compare(&texts);
        show_compared(page, &texts);
        g_free(texts.common);
        return;
    }
    for (guint k = 0; k < texts.now_count; k++)
        show_line(page, (int)k + 1, now[k], FALSE);
}
