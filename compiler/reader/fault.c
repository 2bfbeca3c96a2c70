/* reader_fault: findings about one value, at the part of it that is at fault. */
#include "reader/parts.h"

#include <string.h>

static Place part_place(const Written *written, int skip, int length)
{
    const Node *node = written->node;
    if (node->kind != NODE_TEXT || !node->verbatim)
        return node->place;
    int total = (int)g_utf8_strlen(node->text, -1);
    skip = CLAMP(skip, 0, MAX(total - 1, 0));
    int left = total - skip;
    if (length < 0 || length > left)
        length = left;
    return place_within(node->place, skip, MAX(length, 1));
}

Finding *fault_at_as(const Written *written, RuleId id, Severity severity, int skip, int length)
{
    Diagnostics *diagnostics = written->reader->diagnostics;
    return finding_add_as(diagnostics, id, severity, part_place(written, skip, length));
}

Finding *fault_at(const Written *written, RuleId id, int skip, int length)
{
    return fault_at_as(written, id, SEVERITY_ERROR, skip, length);
}

const char *fault_ask(const FieldRow *row)
{
    if (!g_str_equal(row->key, "allergies"))
        return NULL;
    return "ask the person; write their names, like [NAME, NAME], or [] when there are none";
}

const char *fault_example(const Written *written)
{
    const char *example = written->row->example;
    if (!kind_row(written->row->kind)->is_list || example[0] != '[')
        return example;
    gsize length = strcspn(example + 1, ",]");
    return arena_copy_length(written->reader->arena, example + 1, length);
}

void fault_help(Finding *finding, const Written *written)
{
    FieldKind item = kind_row(written->row->kind)->item;
    const KindRow *kind = kind_row(item);
    const char *example = fault_example(written);
    if (item == AS_SEAL)
        finding_help(finding, "a seal is not made by hand: \"dosewright approve\" prints the line that holds it");
    else if (item == AS_RECORD)
        finding_help(finding, "write %s: %s", kind->form,
                     keys_required(written->reader->arena, field_record(written->row)));
    else if (item == AS_TIMING || item == AS_WINDOW || item == AS_KEEP)
        finding_help(finding, "write %s; the figures only show the form", kind->form);
    else if (example[0] == '\0' || strchr(kind->form, '"'))
        finding_help(finding, "write %s", kind->form);
    else
        finding_help(finding, "write %s, like \"%s\"", kind->form, example);
}

void fault_readings(Finding *finding, const Written *written, char *const *readings)
{
    Arena *arena = written->reader->arena;
    const char *text = arena_format(arena, "\"%s\"", readings[0]);
    for (guint i = 1; readings[i]; i++)
        text = arena_format(arena, "%s%s\"%s\"", text, readings[i + 1] ? ", " : " or ", readings[i]);
    finding_help(finding, "write %s", text);
}

gboolean fault_comma_ends(const Written *written)
{
    const Place place = written->node->place;
    const char *end = place.source->text + source_offset(place), *at = end;
    int open = 0;
    while (at > place.source->text && at[-1] != '\n')
        at--;
    for (; at < end; at++)
        open += (strchr("{[", *at) != NULL) - (strchr("}]", *at) != NULL);
    return open > 0 && end[-1] != '"' && end[-1] != '\'';
}

gboolean fault_form(const Written *written, RuleId id, const char *fact)
{
    Finding *finding = fault_at(written, id, 0, -1);
    if (fact)
        finding_fact(finding, "%s", fact);
    fault_help(finding, written);
    return FALSE;
}

gboolean fault_part(const Written *written, RuleId id, Part part, const char *fact)
{
    int length = (int)g_utf8_strlen(part.text, -1);
    Finding *finding = fault_at(written, id, part.skip, length);
    if (fact)
        finding_fact(finding, "%s", fact);
    fault_help(finding, written);
    return FALSE;
}

Part part_whole_text(const Written *written)
{
    return (Part){written->node->text, 0};
}

Part part_inside(const Written *written, Part part, int skip, int length)
{
    const char *start = g_utf8_offset_to_pointer(part.text, skip);
    gsize bytes = strlen(start);
    if (length >= 0)
        bytes = (gsize)(g_utf8_offset_to_pointer(start, length) - start);
    const char *text = arena_copy_length(written->reader->arena, start, bytes);
    return (Part){text, part.skip + skip};
}

gboolean part_cut(const Written *written, Part whole, const char *separator, Part *before,
                  Part *after)
{
    const char *found = strstr(whole.text, separator);
    if (!found)
        return FALSE;
    int left = (int)g_utf8_strlen(whole.text, found - whole.text);
    int gap = (int)g_utf8_strlen(separator, -1);
    *before = part_inside(written, whole, 0, left);
    *after = part_inside(written, whole, left + gap, -1);
    return TRUE;
}
