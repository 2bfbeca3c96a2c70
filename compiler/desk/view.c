/* desk_view: see desk/view.h. */
#include "desk/view.h"

#include <string.h>

#define TEMPLATE_LIMIT (1u << 20)
#define DEEPEST 12 /* templates within one another */

typedef enum ThingKind { THING_TEXT, THING_FLAG, THING_LIST } ThingKind;

typedef struct Thing {
    ThingKind kind;
    const char *text;
    GPtrArray *list; /* of View* */
} Thing;

struct View {
    Arena *arena;
    const View *around;
    GHashTable *things; /* name -> Thing* */
};

static View *view_within(Arena *arena, const View *around)
{
    View *view = arena_new0(arena, View);
    *view = (View){arena, around, g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL)};
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, view->things);
    return view;
}

View *view_new(Arena *arena) { return view_within(arena, NULL); }

static Thing *put(View *view, const char *name, ThingKind kind)
{
    Thing *thing = arena_new0(view->arena, Thing);
    thing->kind = kind;
    g_hash_table_insert(view->things, g_strdup(name), thing);
    return thing;
}

void view_text(View *view, const char *name, const char *text)
{
    put(view, name, THING_TEXT)->text = text ? arena_copy(view->arena, text) : NULL;
}

void view_format(View *view, const char *name, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    view_text(view, name, text);
}

void view_flag(View *view, const char *name, gboolean holds)
{
    put(view, name, THING_FLAG)->text = holds ? "" : NULL;
}

View *view_add(View *view, const char *name)
{
    Thing *thing = g_hash_table_lookup(view->things, name);
    if (!thing || thing->kind != THING_LIST) {
        thing = put(view, name, THING_LIST);
        thing->list = arena_list(view->arena);
    }
    View *item = view_within(view->arena, view);
    g_ptr_array_add(thing->list, item);
    return item;
}

static const Thing *look_up(const View *view, const char *name)
{
    const Thing *thing = NULL;
    for (; view && !thing; view = view->around)
        thing = g_hash_table_lookup(view->things, name);
    return thing;
}

void view_link(View *view, const char *name, const View *other, const char *theirs)
{
    const Thing *thing = look_up(other, theirs);
    if (thing)
        *put(view, name, thing->kind) = *thing;
}

/* A text that is not empty, a flag that holds, a list that is not empty. */
static gboolean holds(const Thing *thing)
{
    if (!thing)
        return FALSE;
    if (thing->kind == THING_LIST)
        return thing->list->len > 0;
    return thing->text && (thing->kind == THING_FLAG || *thing->text);
}

/* ---- templates ---- */

typedef struct Rendering {
    const char *folder, *name;
    int depth;
    GString *out;
    GError **error;
} Rendering;

static gboolean wrong(const Rendering *rendering, const char *what, const char *tag)
{
    g_set_error(rendering->error, G_MARKUP_ERROR, G_MARKUP_ERROR_PARSE, "%s/%s.html: %s {{%s}}", rendering->folder,
                rendering->name, what, tag);
    return FALSE;
}

/* The tag at *at, behind which *at then stands; NULL when there is none before end. */
static char *next_tag(const Rendering *rendering, const View *view, const char **at, const char *end)
{
    const char *open = g_strstr_len(*at, end - *at, "{{");
    const char *close = open ? g_strstr_len(open, end - open, "}}") : NULL;
    if (view)
        g_string_append_len(rendering->out, *at, (close ? open : end) - *at);
    if (!close) {
        *at = end;
        return NULL;
    }
    *at = close + 2;
    return g_strstrip(g_strndup(open + 2, (gsize)(close - open - 2)));
}

/* What stands behind the end of the part that was opened, where *at stands too; NULL when it has no end. */
static const char *part_end(const Rendering *rendering, const char *name, const char **at, const char *end)
{
    for (int open = 1; *at < end;) {
        g_autofree char *tag = next_tag(rendering, NULL, at, end);
        if (!tag)
            break;
        if ((*tag == '#' || *tag == '^') && strcmp(tag + 1, name) == 0)
            open++;
        if (*tag == '/' && strcmp(tag + 1, name) == 0 && --open == 0)
            return *at;
    }
    return NULL;
}

static gboolean render(const Rendering *rendering, const View *view, const char *at, const char *end);

static gboolean render_file(const Rendering *around, const View *view, const char *name)
{
    g_autofree char *file = g_strconcat(name, ".html", NULL);
    g_autofree char *path = g_build_filename(around->folder, file, NULL);
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    Rendering rendering = *around;
    rendering.name = name;
    rendering.depth++;
    if (rendering.depth > DEEPEST || strchr(name, '/') || *name == '.')
        return wrong(around, "a template that cannot be taken in:", name);
    SourceStatus status = source_read_bytes(path, TEMPLATE_LIMIT, bytes, around->error);
    if (status == SOURCE_TOO_LARGE)
        return wrong(around, "a template that is too large:", name);
    return status == SOURCE_READ &&
           render(&rendering, view, (const char *)bytes->data, (const char *)bytes->data + bytes->len);
}

static gboolean render_part(const Rendering *rendering, const View *view, const Thing *thing, const char *at,
                            const char *end)
{
    if (!thing || thing->kind != THING_LIST)
        return render(rendering, view, at, end);
    for (guint i = 0; i < thing->list->len; i++)
        if (!render(rendering, g_ptr_array_index(thing->list, i), at, end))
            return FALSE;
    return TRUE;
}

/* {{#name}} or {{^name}}, behind which *at stands. */
static gboolean render_section(const Rendering *rendering, const View *view, const char *tag, const char **at,
                               const char *end)
{
    const char *start = *at, *behind = part_end(rendering, tag + 1, at, end);
    if (!behind)
        return wrong(rendering, "no end of", tag);
    const char *stop = behind;
    while (strncmp(--stop, "{{", 2) != 0)
        ;
    g_autofree char *name = g_strdup(tag + 1);
    gboolean once = g_str_has_suffix(name, "?");
    if (once)
        name[strlen(name) - 1] = '\0';
    const Thing *thing = look_up(view, name);
    if (holds(thing) != (*tag == '#'))
        return TRUE;
    return render_part(rendering, view, once || *tag == '^' ? NULL : thing, start, stop);
}

static gboolean render(const Rendering *rendering, const View *view, const char *at, const char *end)
{
    while (at < end) {
        g_autofree char *tag = next_tag(rendering, view, &at, end);
        if (!tag)
            break;
        gboolean fine = TRUE;
        const Thing *thing;
        switch (*tag) {
        case '#':
        case '^': fine = render_section(rendering, view, tag, &at, end); break;
        case '/': fine = wrong(rendering, "an end without a beginning:", tag); break;
        case '>': fine = render_file(rendering, view, g_strstrip(tag + 1)); break;
        case '!': break;
        default:
            thing = look_up(view, tag);
            if (thing && thing->kind == THING_TEXT && thing->text)
                source_markup(rendering->out, thing->text);
        }
        if (!fine)
            return FALSE;
    }
    return TRUE;
}

gboolean view_render(const View *view, const char *folder, const char *name, GString *out, GError **error)
{
    const Rendering rendering = {folder, name, 0, out, error};
    return render_file(&rendering, view, name);
}
