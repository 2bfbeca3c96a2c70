/* wording_template: the order of a sheet, read strictly from template.yaml. */
#include <string.h>

#include "wording/parts.h"

#define TEMPLATE_FILE_LIMIT (256 * 1024)

static const struct { const char *word; BlockKind kind; } kinds[] = {
    {"band", BLOCK_BAND},     {"stop", BLOCK_STOP},       {"go", BLOCK_GO},         {"loop", BLOCK_LOOP},
    {"tick", BLOCK_TICK},     {"note", BLOCK_NOTE},       {"minute", BLOCK_WHEN},   {"pair", BLOCK_PAIR},
    {"columns", BLOCK_COLUMNS}, {"say", BLOCK_SAY},     {"writes", BLOCK_WRITES}, {"table", BLOCK_TABLE},
    {"text", BLOCK_TEXT},     {"list", BLOCK_LIST},       {"call", BLOCK_CALL},     {"ladder", BLOCK_LADDER},
    {"figure", BLOCK_FIGURE}, {"kit", BLOCK_KIT},         {"write", BLOCK_WRITE},
};

/* What may fill a block. */
static const char *const sources[] = {"night", "normal", "emergency", "signs",     "notes",  "others", "next", "dates",
                                      "days",  "acceptances", "packing", "questions", "ticked", "calls"};

typedef struct TemplateReading {
    Arena *arena;
    Diagnostics *diagnostics;
} TemplateReading;

static void fault(const TemplateReading *reading, Place place, const char *what)
{
    Finding *finding = finding_add(reading->diagnostics, RULE_template_form, place);
    finding_fact(finding, "%s", what);
    finding_help(finding, "templates/README.md shows every key and word");
}

static const char *text_of(const TemplateReading *reading, const Node *node)
{
    if (node->kind == NODE_TEXT)
        return node->text;
    fault(reading, node->place, "one word or phrase belongs here");
    return "";
}

static GPtrArray *texts_of(const TemplateReading *reading, const Node *node)
{
    GPtrArray *texts = arena_list(reading->arena);
    if (node->kind != NODE_LIST) {
        g_ptr_array_add(texts, (gpointer)text_of(reading, node));
        return texts;
    }
    for (gsize i = 0; i < node->count; i++)
        g_ptr_array_add(texts, (gpointer)text_of(reading, node->items[i]));
    return texts;
}

static GPtrArray *conditions_of(const TemplateReading *reading, const Node *node)
{
    GPtrArray *words = texts_of(reading, node);
    for (guint i = 0; i < words->len; i++)
        if (!condition_known(g_ptr_array_index(words, i)))
            fault(reading, node->place, "this is no condition and no value of the plan");
    return words;
}

/* A phrase, or a phrase with its conditions: "{line: check_line, when: part}". */
static TemplateLine *line_of(const TemplateReading *reading, const Node *node)
{
    TemplateLine *line = arena_new0(reading->arena, TemplateLine);
    line->conditions = arena_list(reading->arena);
    line->phrase = "";
    if (node->kind != NODE_MAP) {
        line->phrase = text_of(reading, node);
        return line;
    }
    for (gsize i = 0; i < node->count; i++) {
        const Entry *entry = &node->entries[i];
        if (strcmp(entry->key, "line") == 0)
            line->phrase = text_of(reading, entry->value);
        else if (strcmp(entry->key, "when") == 0)
            line->conditions = conditions_of(reading, entry->value);
        else
            fault(reading, entry->key_place, "a line has the keys line and when");
    }
    if (line->phrase[0] == '\0')
        fault(reading, node->place, "a line names its phrase: \"line: check_line\"");
    return line;
}

static GPtrArray *lines_of(const TemplateReading *reading, const Node *node)
{
    GPtrArray *lines = arena_list(reading->arena);
    if (node->kind != NODE_LIST)
        g_ptr_array_add(lines, line_of(reading, node));
    for (gsize i = 0; node->kind == NODE_LIST && i < node->count; i++)
        g_ptr_array_add(lines, line_of(reading, node->items[i]));
    return lines;
}

static void block_kind(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    const char *word = text_of(reading, node);
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++) {
        if (strcmp(kinds[i].word, word) == 0) {
            block->kind = kinds[i].kind;
            return;
        }
    }
    fault(reading, node->place, "there is no block of this kind");
}

static void block_source(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->source = text_of(reading, node);
    for (gsize i = 0; i < G_N_ELEMENTS(sources); i++)
        if (strcmp(sources[i], block->source) == 0)
            return;
    fault(reading, node->place, "nothing of this name fills a block");
}

static gboolean says_yes(const TemplateReading *reading, const Node *node)
{
    const char *word = text_of(reading, node);
    gboolean yes = strcmp(word, "yes") == 0;
    if (!yes && strcmp(word, "no") != 0)
        fault(reading, node->place, "write \"yes\", or leave the key out");
    return yes;
}

/* The one word that this key knows. */
static gboolean says(const TemplateReading *reading, const Node *node, const char *wanted, const char *otherwise)
{
    gboolean said = strcmp(text_of(reading, node), wanted) == 0;
    if (!said)
        fault(reading, node->place, otherwise);
    return said;
}

static void block_panel(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    NeedleState needle;
    block->kind = BLOCK_PANEL;
    block->role = text_of(reading, node);
    if (!panel_named(block->role, &needle))
        fault(reading, node->place, "there is no panel of this name");
}

/* A figure by its name, or with its condition: "{figure: swirl, when: powder}". */
static TemplateFigure *figure_of(const TemplateReading *reading, const Node *node)
{
    TemplateFigure *figure = arena_new0(reading->arena, TemplateFigure);
    figure->conditions = arena_list(reading->arena);
    const Node *name = node->kind == NODE_MAP ? node_get(node, "figure") : node;
    if (!name || !figure_named(text_of(reading, name), &figure->kind))
        fault(reading, node->place, "there is no figure of this name");
    for (gsize i = 0; node->kind == NODE_MAP && i < node->count; i++) {
        const Entry *entry = &node->entries[i];
        if (strcmp(entry->key, "when") == 0)
            figure->conditions = conditions_of(reading, entry->value);
        else if (strcmp(entry->key, "pleases") == 0)
            figure->pleases = says_yes(reading, entry->value);
        else if (strcmp(entry->key, "figure") != 0)
            fault(reading, entry->key_place, "a figure has the keys figure, when and pleases");
    }
    return figure;
}

static void block_figures(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    if (node->kind != NODE_LIST)
        g_ptr_array_add(block->figures, figure_of(reading, node));
    for (gsize i = 0; node->kind == NODE_LIST && i < node->count; i++)
        g_ptr_array_add(block->figures, figure_of(reading, node->items[i]));
}

static TemplateBlock *read_block(const TemplateReading *reading, const Node *node);

static void block_items(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    if (node->kind != NODE_LIST)
        fault(reading, node->place, "items is a list of blocks");
    for (gsize i = 0; node->kind == NODE_LIST && i < node->count; i++)
        g_ptr_array_add(block->items, read_block(reading, node->items[i]));
}

static void block_columns(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    const char *word = text_of(reading, node);
    if (strlen(word) != 1 || word[0] < '1' || word[0] > '3')
        fault(reading, node->place, "a block takes 1, 2 or 3 of the three columns");
    else
        block->columns = word[0] - '0';
}

static void block_each(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->each = says(reading, node, "injection", "a block is repeated for each \"injection\"");
}

static void block_half(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->half = text_of(reading, node);
}

static void block_role(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->role = text_of(reading, node);
}

static void block_boxed(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->boxed = says_yes(reading, node);
}

static void block_loop(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->opens_loop = says_yes(reading, node);
}

static void block_run_on(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->run_on = says_yes(reading, node);
}

#define LINES_KEY(name)                                                                                    \
    static void block_##name(const TemplateReading *reading, TemplateBlock *block, const Node *node)       \
    {                                                                                                      \
        block->name = lines_of(reading, node);                                                             \
    }
LINES_KEY(titles)
LINES_KEY(clocks)
LINES_KEY(asides)
LINES_KEY(lines)
LINES_KEY(remarks)

static void block_when(const TemplateReading *reading, TemplateBlock *block, const Node *node)
{
    block->conditions = conditions_of(reading, node);
}

typedef void (*BlockKey)(const TemplateReading *reading, TemplateBlock *block, const Node *node);

static const struct { const char *key; BlockKey read; } block_keys[] = {
    {"block", block_kind},     {"panel", block_panel},     {"role", block_role},       {"title", block_titles},
    {"clock", block_clocks},   {"aside", block_asides},    {"lines", block_lines},     {"remarks", block_remarks},
    {"items", block_items},    {"figures", block_figures}, {"when", block_when},
    {"from", block_source},    {"boxed", block_boxed},     {"each", block_each},       {"half", block_half},
    {"columns", block_columns}, {"opens_loop", block_loop}, {"run_on", block_run_on},
};

static void block_key(const TemplateReading *reading, TemplateBlock *block, const Entry *entry)
{
    for (gsize i = 0; i < G_N_ELEMENTS(block_keys); i++)
        if (strcmp(block_keys[i].key, entry->key) == 0) {
            block_keys[i].read(reading, block, entry->value);
            return;
        }
    fault(reading, entry->key_place, "a block has no key of this name");
}

static TemplateBlock *read_block(const TemplateReading *reading, const Node *node)
{
    TemplateBlock *block = arena_new0(reading->arena, TemplateBlock);
    block->place = node->place;
    block->role = "";
    GPtrArray **lists[] = {&block->lines, &block->titles, &block->clocks,  &block->asides,
                           &block->remarks, &block->items, &block->figures, &block->conditions};
    for (gsize i = 0; i < G_N_ELEMENTS(lists); i++)
        *lists[i] = arena_list(reading->arena);
    if (node->kind != NODE_MAP) {
        fault(reading, node->place, "a block is a group of keys");
        return block;
    }
    if (!node_get(node, "block") && !node_get(node, "panel"))
        fault(reading, node->place, "a block says its kind: \"block: text\"");
    for (gsize i = 0; i < node->count; i++)
        block_key(reading, block, &node->entries[i]);
    return block;
}

static void section_page(const TemplateReading *reading, TemplateSection *section, const Node *value)
{
    const char *word = text_of(reading, value);
    section->new_page = strcmp(word, "new") == 0;
    section->faces = strcmp(word, "facing") == 0;
    section->shares = strcmp(word, "shared") == 0;
    section->new_page |= section->faces || section->shares;
    if (!section->new_page)
        fault(reading, value->place, "a section's page is \"new\", \"facing\" or \"shared\"");
}

static void section_key(const TemplateReading *reading, TemplateSection *section, const Entry *entry)
{
    const char *key = entry->key;
    const Node *value = entry->value;
    if (strcmp(key, "section") == 0)
        section->role = text_of(reading, value);
    else if (strcmp(key, "heading") == 0)
        section->headings = lines_of(reading, value);
    else if (strcmp(key, "page") == 0)
        section_page(reading, section, value);
    else if (strcmp(key, "each") == 0)
        section->each = says(reading, value, "injection", "a section is repeated for each \"injection\"");
    else if (strcmp(key, "when") == 0)
        section->conditions = conditions_of(reading, value);
    else if (strcmp(key, "blocks") == 0 && value->kind == NODE_LIST)
        for (gsize i = 0; i < value->count; i++)
            g_ptr_array_add(section->blocks, read_block(reading, value->items[i]));
    else
        fault(reading, entry->key_place, "a section has no key of this name");
}

static TemplateSection *read_section(const TemplateReading *reading, const Node *node)
{
    TemplateSection *section = arena_new0(reading->arena, TemplateSection);
    section->place = node->place;
    section->role = "";
    section->conditions = arena_list(reading->arena);
    section->headings = arena_list(reading->arena);
    section->blocks = arena_list(reading->arena);
    for (gsize i = 0; node->kind == NODE_MAP && i < node->count; i++)
        section_key(reading, section, &node->entries[i]);
    if (section->blocks->len == 0)
        fault(reading, node->place, "a section has blocks");
    return section;
}

static void template_key(const TemplateReading *reading, Template *template, const Entry *entry)
{
    if (strcmp(entry->key, "title") == 0)
        template->title = text_of(reading, entry->value);
    else if (strcmp(entry->key, "for") == 0)
        template->for_clinic = says(reading, entry->value, "clinic",
                                    "a template is for the \"clinic\"; without the key it is the person's");
    else if (strcmp(entry->key, "template") != 0 && strcmp(entry->key, "sections") != 0)
        fault(reading, entry->key_place, "a template has no key of this name");
}

static Template *read_template(const TemplateReading *reading, const Node *root, const char *name)
{
    Template *template = arena_new0(reading->arena, Template);
    template->name = name;
    template->sections = arena_list(reading->arena);
    for (gsize i = 0; root->kind == NODE_MAP && i < root->count; i++)
        template_key(reading, template, &root->entries[i]);
    const Node *list = node_get(root, "sections");
    for (gsize i = 0; list && list->kind == NODE_LIST && i < list->count; i++)
        g_ptr_array_add(template->sections, read_section(reading, list->items[i]));
    if (template->sections->len == 0)
        fault(reading, root->place, "a template has sections");
    return template;
}

gboolean template_holds_all(const Template *template)
{
    for (guint i = 0; i < template->sections->len; i++)
        if (((const TemplateSection *)g_ptr_array_index(template->sections, i))->each)
            return TRUE;
    return FALSE;
}

gboolean template_for_clinic(const Template *template) { return template->for_clinic; }

Template *template_read(Arena *arena, const char *folder, const char *name, Diagnostics *diagnostics, GError **error)
{
    g_autofree char *path = g_build_filename(folder, name, "template.yaml", NULL);
    const Source *source;
    Template *known = wording_kept(path);
    if (known)
        return known;
    if (source_read(arena, path, TEMPLATE_FILE_LIMIT, &source, error) == SOURCE_UNREADABLE)
        return NULL;
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    const Node *root = syntax_parse(arena, source, diagnostics);
    TemplateReading reading = {arena, diagnostics};
    Template *template = root ? read_template(&reading, root, name) : NULL;
    if (template)
        template->source = source;
    return diagnostics_open(diagnostics, SEVERITY_ERROR) == before ? template : NULL;
}
