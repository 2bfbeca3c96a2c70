/* desk_file: see desk/file.h. */
#include "desk/file.h"

#include <string.h>
#include <unistd.h>

#include "desk/written.h"

#define FOLDER "patients"

gboolean person_code_fits(const char *code)
{
    gsize length = strlen(code);
    for (gsize i = 0; i < length; i++)
        if (!g_ascii_isalnum(code[i]) && code[i] != '-')
            return FALSE;
    return length > 0 && length <= 40 && *code != '-';
}

gboolean person_file_read(Arena *arena, const Desk *desk, const char *code, PersonFile *out, GError **error)
{
    *out = (PersonFile){.arena = arena, .code = code, .digest = "", .today = out->today,
                        .path = arena_format(arena, "%s/" FOLDER "/%s.yaml", desk->clinic, code)};
    if (!g_file_test(out->path, G_FILE_TEST_EXISTS))
        return TRUE;
    SourceStatus status = source_read(arena, out->path, SYNTAX_FILE_LIMIT, &out->source, error);
    if (status == SOURCE_UNREADABLE)
        return FALSE;
    g_autofree char *digest = digest_hex(out->source->text, out->source->length);
    out->digest = arena_copy(arena, digest);
    Diagnostics *faults = diagnostics_new(arena);
    out->root = syntax_parse(arena, out->source, faults);
    if (diagnostics_stops(faults))
        out->root = NULL; /* a form would write over half of it: a key said twice, an entry refused */
    return TRUE;
}

/* ---- what it says ---- */

static const char *joined(Arena *arena, const Node *list)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (gsize i = 0; i < list->count; i++)
        if (list->items[i]->kind == NODE_TEXT)
            g_string_append_printf(text, "%s%s", text->len ? ", " : "", list->items[i]->text);
    return list->count == 0 ? "none" : arena_copy(arena, text->str);
}

static const char *said(Arena *arena, const Node *node)
{
    if (!node)
        return "";
    return node->kind == NODE_TEXT ? node->text : node->kind == NODE_LIST ? joined(arena, node) : "";
}

const char *person_file_says(const PersonFile *file, const char *key, const char *inside)
{
    const Node *node = file->root ? node_get(file->root, key) : NULL;
    if (inside)
        node = node && node->kind == NODE_MAP ? node_get(node, inside) : NULL;
    return said(file->arena, node);
}

static const Node *boxes_of(const PersonFile *file)
{
    const Node *node = file->root ? node_get(file->root, "boxes") : NULL;
    return node && node->kind == NODE_LIST ? node : NULL;
}

const char *person_file_box(const PersonFile *file, guint index, const char *inside)
{
    const Node *list = boxes_of(file);
    if (!list || index >= list->count || list->items[index]->kind != NODE_MAP)
        return "";
    return said(file->arena, node_get(list->items[index], inside));
}

static int last_line(const Node *node)
{
    int last = node->place.line;
    for (gsize i = 0; i < node->count; i++) {
        const Node *inside = node->kind == NODE_MAP ? node->entries[i].value : node->items[i];
        last = MAX(last, last_line(inside));
    }
    return last;
}

static gboolean is_held(const char *key);

/* Of a text of ours that cannot be read: the key that the line begins with, or whose list it is in. */
static const char *key_of_line(const PersonFile *file, int line, int *box)
{
    const char *text = file->source->text;
    int boxes = 0;
    for (int at = line; at >= 1; at--) {
        const char *start = text + file->source->line_starts[at - 1];
        g_autofree char *key = g_strndup(start, strcspn(start, ":\n"));
        boxes += *start == ' ';
        if (!is_held(key))
            continue;
        *box = boxes - 1;
        return arena_copy(file->arena, key);
    }
    return NULL;
}

const char *person_file_key(const PersonFile *file, Place place, int *box)
{
    *box = -1;
    if (!place.source || strcmp(place.source->name, file->path) != 0)
        return NULL;
    if (!file->root)
        return file->source && place.line <= (int)file->source->line_count ? key_of_line(file, place.line, box) : NULL;
    for (gsize i = 0; i < file->root->count; i++) {
        const Entry *entry = &file->root->entries[i];
        if (place.line < entry->key_place.line || place.line > MAX(last_line(entry->value), entry->key_place.line))
            continue;
        const Node *list = strcmp(entry->key, "boxes") == 0 ? boxes_of(file) : NULL;
        for (gsize k = 0; list && k < list->count; k++)
            if (place.line >= list->items[k]->place.line && place.line <= last_line(list->items[k]))
                *box = (int)k;
        return entry->key;
    }
    return NULL;
}

static gboolean is_behind(Place place, Place other)
{
    return place.line > other.line || (place.line == other.line && place.column >= other.column);
}

const char *person_file_inside(const PersonFile *file, const char *key, int box, Place place)
{
    const Node *node = file->root ? node_get(file->root, key) : NULL;
    const char *inside = NULL;
    if (node && box >= 0 && node->kind == NODE_LIST && box < (int)node->count)
        node = node->items[box];
    for (gsize i = 0; node && node->kind == NODE_MAP && i < node->count; i++)
        if (is_behind(place, node->entries[i].key_place))
            inside = node->entries[i].key;
    return inside;
}

/* ---- what it shall say ---- */

/* Ends a line in a file, or cannot stand in one: a paste brings it, nobody sees it. */
static gboolean is_unseen(gunichar letter)
{
    return letter < 0x20 || (letter >= 0x7F && letter < 0xA0) || letter == 0x2028 || letter == 0x2029 ||
           (letter & 0xFFFE) == 0xFFFE;
}

char *person_file_line(const char *text)
{
    GString *line = g_string_new(NULL);
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        g_string_append_unichar(line, is_unseen(letter) ? ' ' : letter);
    }
    return g_string_free(line, FALSE);
}

static void add_value(GString *out, const char *text)
{
    g_autofree char *line = person_file_line(text);
    syntax_quote(out, line);
}

static void add_items(GString *out, const char *text)
{
    g_auto(GStrv) items = g_strsplit_set(text, ",;\n", -1);
    gboolean first = TRUE;
    g_string_append_c(out, '[');
    for (char **item = items; *item; item++) {
        if (!*g_strstrip(*item) || strcmp(*item, "none") == 0)
            continue;
        g_string_append(out, first ? "" : ", ");
        add_value(out, *item);
        first = FALSE;
    }
    g_string_append_c(out, ']');
}

/* "none", the words ticked, or "" when nobody was asked. */
static char *ticked(const Request *form, ChoiceList list, const char *name)
{
    guint count;
    ChoiceWord first = choice_first(list, &count);
    GString *words = g_string_new(NULL);
    for (guint i = 0; i < count; i++) {
        const char *word = choice_word(first + i);
        g_autofree char *field = g_strdup_printf("%s.%s", name, word);
        if (*request_field(form, field))
            g_string_append_printf(words, "%s%s", words->len ? ", " : "", word);
    }
    g_autofree char *none = g_strdup_printf("%s.none", name);
    if (words->len == 0 && *request_field(form, none))
        g_string_append(words, "none");
    return g_string_free(words, FALSE);
}

static char *allergies(const Request *form)
{
    const char *asked = request_field(form, "allergies"), *these = request_field(form, "allergies.these");
    if (*these || strcmp(asked, "some") == 0)
        return g_strdup(these);
    return g_strdup(strcmp(asked, "none") == 0 ? "none" : "");
}

static gboolean is_hour(const char *field) { return strcmp(field, "anchor.clock") == 0 || strcmp(field, "hour") == 0; }

gboolean person_file_start(const PersonFile *file, const Request *form, Day *first, Day *procedure)
{
    const char *typed = request_field(form, "start");
    if (!file->starts || !*typed ||
        day_parse(written_day(file->arena, typed, file->today, WRITTEN_COURSE), first, NULL).fault != MOMENT_FINE)
        return FALSE;
    *procedure = *first - file->start;
    return TRUE;
}

/* The day of the procedure that was typed into its field, and not left there from before. */
static const char *day_typed(const PersonFile *file, const Request *form)
{
    const char *typed = request_field(form, "anchor.on");
    return strcmp(typed, person_file_says(file, "anchor", "on")) == 0 ? "" : typed;
}

gboolean person_file_disagrees(const PersonFile *file, const Request *form)
{
    Day first, procedure, day;
    const char *typed = day_typed(file, form);
    const char *read = written_day(file->arena, typed, file->today, WRITTEN_PROCEDURE);
    return *typed && person_file_start(file, form, &first, &procedure) &&
           day_parse(read, &day, NULL).fault == MOMENT_FINE && day != procedure;
}

const char *person_file_takes(const PersonFile *file, const Request *form, const char *field)
{
    Day first, procedure;
    const char *typed = request_field(form, field);
    if (strcmp(field, "anchor.on") == 0 && !*day_typed(file, form) &&
        person_file_start(file, form, &first, &procedure))
        return written_in_full(file->arena, procedure);
    if (strcmp(field, "start") == 0)
        return written_day(file->arena, typed, file->today, WRITTEN_COURSE);
    if (strcmp(field, "anchor.on") == 0 || strcmp(field, "day") == 0)
        return written_day(file->arena, typed, file->today, WRITTEN_PROCEDURE);
    if (is_hour(field))
        return written_clock(file->arena, typed, file->hours);
    return g_str_has_suffix(field, ".expires") ? written_expiry(file->arena, typed) : typed;
}

char **person_file_ways(const PersonFile *file, const Request *form, const char *field)
{
    static char *none[] = {NULL};
    const char *typed = request_field(form, field);
    return is_hour(field)                          ? written_clocks(file->arena, typed, file->hours)
           : g_str_has_suffix(field, ".expires") ? written_expiries(file->arena, typed, file->today)
                                                   : none;
}

static void add_anchor(GString *out, const PersonFile *file, const Request *form)
{
    const char *on = person_file_takes(file, form, "anchor.on"), *clock = person_file_takes(file, form, "anchor.clock");
    const char *which = person_file_says(file, "anchor", "which");
    const struct { const char *key, *text; } parts[] = {{"on", on}, {"clock", clock}, {"which", which}};
    gboolean first = TRUE;
    g_string_append(out, "anchor: {");
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
        if (!*parts[i].text)
            continue;
        g_string_append_printf(out, "%s%s: ", first ? "" : ", ", parts[i].key);
        add_value(out, parts[i].text);
        first = FALSE;
    }
    g_string_append(out, "}\n");
}

static const char *box_field(const PersonFile *file, const Request *form, guint index, const char *inside)
{
    g_autofree char *name = g_strdup_printf("box.%u.%s", index, inside);
    return person_file_takes(file, form, name);
}

static gboolean box_said(const PersonFile *file, const Request *form, guint index)
{
    gboolean any = *box_field(file, form, index, "lot") || *box_field(file, form, index, "expires");
    return any && *box_field(file, form, index, "medicine");
}

/* What the form says, or the file where the form was not asked. */
static const char *box_count(const PersonFile *file, const Request *form, guint index)
{
    const char *typed = box_field(file, form, index, "count");
    return *typed ? typed : person_file_box(file, index, "count");
}

static void add_boxes(GString *out, const PersonFile *file, const Request *form)
{
    static const char *const keys[] = {"medicine", "lot", "item", "expires", "count"};
    gboolean any = FALSE;
    for (guint i = 0; i < DESK_BOXES; i++) {
        if (!box_said(file, form, i))
            continue;
        g_string_append(out, any ? "  - {" : "boxes:\n  - {");
        any = TRUE;
        for (gsize k = 0; k < G_N_ELEMENTS(keys); k++) {
            gboolean count = k + 1 == G_N_ELEMENTS(keys); /* the form asks for it only where it matters */
            const char *text = count ? box_count(file, form, i) : box_field(file, form, i, keys[k]);
            if (!*text)
                continue;
            g_string_append_printf(out, "%s%s: ", k ? ", " : "", keys[k]);
            add_value(out, text);
        }
        g_string_append(out, "}\n");
    }
    if (!any)
        g_string_append(out, "boxes: []\n");
}

static gboolean boxes_changed(const PersonFile *file, const Request *form)
{
    gboolean changed = FALSE;
    for (guint i = 0; i < DESK_BOXES; i++)
        changed |= strcmp(box_field(file, form, i, "lot"), person_file_box(file, i, "lot")) != 0 ||
                   strcmp(box_field(file, form, i, "item"), person_file_box(file, i, "item")) != 0 ||
                   strcmp(box_field(file, form, i, "expires"), person_file_box(file, i, "expires")) != 0 ||
                   strcmp(box_count(file, form, i), person_file_box(file, i, "count")) != 0 ||
                   (box_said(file, form, i) &&
                    strcmp(box_field(file, form, i, "medicine"), person_file_box(file, i, "medicine")) != 0);
    return changed;
}

/* The new lines of a key in *out, or nothing when it goes.  FALSE when it stays as it is. */
static gboolean key_changed(const PersonFile *file, const Request *form, const char *key, GString *out)
{
    g_autofree char *value = NULL;
    gboolean list = strcmp(key, "allergies") == 0 || strcmp(key, "bleeding") == 0;
    if (strcmp(key, "anchor") == 0) {
        if (strcmp(person_file_takes(file, form, "anchor.on"), person_file_says(file, key, "on")) == 0 &&
            strcmp(person_file_takes(file, form, "anchor.clock"), person_file_says(file, key, "clock")) == 0)
            return FALSE;
        add_anchor(out, file, form);
        return TRUE;
    }
    if (strcmp(key, "boxes") == 0) {
        if (file->root && node_get(file->root, key) && !boxes_changed(file, form))
            return FALSE;
        add_boxes(out, file, form);
        return TRUE;
    }
    if (strcmp(key, "allergies") == 0)
        value = allergies(form);
    else if (strcmp(key, "bleeding") == 0)
        value = ticked(form, CHOICES_Bleeding, key);
    else if (strcmp(key, "prepared_by") == 0)
        value = g_strdup(form->who);
    else
        value = g_strdup(request_field(form, key));
    if (strcmp(value, person_file_says(file, key, NULL)) == 0)
        return FALSE;
    if (!*value)
        return TRUE;
    g_string_append_printf(out, "%s: ", key);
    if (list)
        add_items(out, value);
    else
        add_value(out, value);
    g_string_append_c(out, '\n');
    return TRUE;
}

/* Keys that the form holds, in the order of a new file. */
static const char *const keys[] = {"patient",   "name",     "protocol", "order",    "prepared_by",
                                   "anchor",    "zone",     "weight",   "sex",      "allergies",
                                   "bleeding",  "by",       "language", "phone",    "boxes"};

static gboolean is_held(const char *key)
{
    for (gsize i = 0; i < G_N_ELEMENTS(keys); i++)
        if (strcmp(keys[i], key) == 0)
            return TRUE;
    return FALSE;
}

static gsize start_of(const PersonFile *file, gsize index)
{
    if (index >= file->root->count)
        return file->source->length;
    return file->source->line_starts[file->root->entries[index].key_place.line - 1];
}

/* Where the lines of an entry end, before the comments and blank lines that follow it. */
static gsize end_of(const PersonFile *file, gsize index)
{
    gsize start = start_of(file, index), end = start_of(file, index + 1);
    const char *text = file->source->text;
    for (;;) {
        gsize line = end;
        while (line > start && (line == end || text[line - 1] != '\n'))
            line--;
        gsize first = line + strspn(text + line, " \t");
        if (line <= start || (text[first] != '#' && text[first] != '\n'))
            return end;
        end = line;
    }
}

static void add_lines(GString *out, const PersonFile *file, gsize from, gsize until)
{
    g_string_append_len(out, file->source->text + from, (gssize)(until - from));
}

char *person_file_text(const PersonFile *file, const Request *form)
{
    g_autoptr(GString) out = g_string_new(NULL);
    gsize count = file->root ? file->root->count : 0;
    if (count > 0)
        add_lines(out, file, 0, start_of(file, 0));
    for (gsize i = 0; i < count; i++) {
        const char *key = file->root->entries[i].key;
        if (is_held(key) && key_changed(file, form, key, out))
            add_lines(out, file, end_of(file, i), start_of(file, i + 1));
        else
            add_lines(out, file, start_of(file, i), start_of(file, i + 1));
    }
    if (out->len > 0 && out->str[out->len - 1] != '\n')
        g_string_append_c(out, '\n');
    for (gsize i = 0; i < G_N_ELEMENTS(keys); i++)
        if (!file->root || !node_get(file->root, keys[i]))
            key_changed(file, form, keys[i], out);
    return arena_copy(file->arena, out->str);
}

char *person_file_accepting(const PersonFile *file, const char *acceptance)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (gsize i = 0; i < file->root->count; i++) {
        gboolean here = strcmp(file->root->entries[i].key, "acceptances") == 0;
        if (!here)
            continue;
        g_string_append_len(out, file->source->text, (gssize)end_of(file, i));
        if (out->str[out->len - 1] != '\n')
            g_string_append_c(out, '\n');
        g_string_append_printf(out, "  - %s\n", acceptance);
        add_lines(out, file, end_of(file, i), file->source->length);
        return arena_copy(file->arena, out->str);
    }
    g_string_append(out, file->source->text);
    if (out->len > 0 && out->str[out->len - 1] != '\n')
        g_string_append_c(out, '\n');
    g_string_append_printf(out, "acceptances:\n  - %s\n", acceptance);
    return arena_copy(file->arena, out->str);
}

/* ---- writing ---- */

static gboolean write_locked(const PersonFile *file, const char *digest, const char *text, gboolean *taken,
                             GError **error)
{
    g_autofree char *bytes = NULL, *now = NULL, *folder = g_path_get_dirname(file->path);
    g_autofree char *name = g_path_get_basename(file->path);
    gsize length = 0;
    if (g_file_get_contents(file->path, &bytes, &length, NULL))
        now = digest_hex(bytes, length);
    *taken = strcmp(now ? now : "", digest) != 0;
    if (*taken)
        return TRUE;
    g_autoptr(GBytes) written = g_bytes_new(text, strlen(text));
    return publish_file(folder, name, written, error);
}

gboolean person_file_write(const PersonFile *file, const char *digest, const char *text, gboolean *taken,
                           GError **error)
{
    g_autofree char *folder = g_path_get_dirname(file->path);
    int lock = publish_turn(folder); /* of two desks */
    gboolean fine = write_locked(file, digest, text, taken, error);
    if (lock >= 0)
        close(lock);
    return fine;
}
