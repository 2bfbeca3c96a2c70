/* wording: phrases into lines, conditions, and the document as a whole. */
#include "wording/wording.h"

#include <string.h>

#include "wording/parts.h"

#define NO_BREAK "\302\240"

/* ---- lines ---- */

/* Plural forms by the rules of the languages that the project knows (CLDR, from
 * memory): Arabic has six, Chinese one, French counts zero as one. */
static Plural plural_of(const char *tag, gint64 count)
{
    gint64 hundred = count % 100;
    if (g_str_has_prefix(tag, "ar")) {
        if (count == 1 || count == 2)
            return count == 1 ? PLURAL_ONE : PLURAL_TWO;
        return hundred >= 3 && hundred <= 10 ? PLURAL_FEW : hundred >= 11 ? PLURAL_MANY : PLURAL_OTHER;
    }
    if (g_str_has_prefix(tag, "zh"))
        return PLURAL_OTHER;
    if (g_str_has_prefix(tag, "fr") && count == 0)
        return PLURAL_ONE;
    return count == 1 ? PLURAL_ONE : PLURAL_OTHER;
}

static GPtrArray *chosen_form(const Wording *wording, const Phrase *phrase, gint64 count)
{
    if (!phrase->counted)
        return phrase->forms[PLURAL_OTHER];
    if (phrase->by_value)
        count = plan_value(wording->plan, wording->injection, phrase->by)->number;
    GPtrArray *form = phrase->forms[plural_of(wording->phrases->tag, count)];
    return form ? form : phrase->forms[PLURAL_OTHER];
}

static const char *filled(const Filling *fillings, const char *name)
{
    for (; fillings && fillings->name; fillings++)
        if (strcmp(fillings->name, name) == 0)
            return fillings->text;
    return NULL;
}

static void add_run(const Wording *wording, Line *line, Run run)
{
    Run *kept = arena_new0(wording->arena, Run);
    *kept = run;
    g_ptr_array_add(line->runs, kept);
}

static const char *dial_of(const Wording *wording, const Value *value)
{
    const Phone *phone = value->phone;
    return PRESENT(phone->dial) ? arena_format(wording->arena, "tel:%s", phone->dial.text) : NULL;
}

/* Nothing is printed with a gap in it. */
static void unset(const Wording *wording, Place place, ValueId id)
{
    Finding *finding = finding_add(wording->diagnostics, RULE_value_not_shown, place);
    finding_fact(finding, "this phrase needs %s (%s), which this sheet has not", value_row(id)->id,
                 value_row(id)->description);
    finding_help(finding, "give its line in the template a condition: \"when: %s\"", value_row(id)->id);
}

static void value_run(const Wording *wording, Line *line, const Part *part, Place place)
{
    const Value *value = plan_value(wording->plan, wording->injection, part->value);
    ValueKind kind = value_row(part->value)->kind;
    if (!value->set) {
        unset(wording, place, part->value);
        return;
    }
    const char *text = wording_value(wording, value, kind, part->form);
    Run run = {.text = wording_isolated(wording, text), .strong = part->strong,
               .from_value = TRUE, .value = part->value, .injection = wording->injection};
    if (kind == KIND_PHONE)
        run.dial = dial_of(wording, value);
    add_run(wording, line, run);
}

/* A sentence that ends with "p. m." has one full stop, not two. */
static const char *one_stop(const Line *line, const char *text)
{
    const Run *last = line->runs->len ? g_ptr_array_index(line->runs, line->runs->len - 1) : NULL;
    return last && last->from_value && text[0] == '.' && g_str_has_suffix(last->text, ".") ? text + 1 : text;
}

Line *wording_line(const Wording *wording, const char *phrase_id, const Filling *fillings, gint64 count)
{
    const Phrase *phrase = phrase_named(wording->phrases, phrase_id);
    g_assert(phrase);
    Line *line = arena_new0(wording->arena, Line);
    line->runs = arena_list(wording->arena);
    const GPtrArray *parts = chosen_form(wording, phrase, count);
    for (guint i = 0; i < parts->len; i++) {
        const Part *part = g_ptr_array_index(parts, i);
        const char *text = part->is_caller ? filled(fillings, part->text) : part->text;
        if (part->page_of)
            add_run(wording, line, (Run){.text = "?", .strong = part->strong, .page_of = part->page_of,
                                         .injection = wording->injection});
        else if (part->is_value)
            value_run(wording, line, part, phrase->place);
        else if (text)
            add_run(wording, line, (Run){.text = one_stop(line, text), .strong = part->strong});
    }
    return line;
}

const char *line_text(Arena *arena, const Line *line)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < line->runs->len; i++)
        g_string_append(text, ((const Run *)g_ptr_array_index(line->runs, i))->text);
    return arena_copy(arena, text->str);
}

const char *wording_plain(const Wording *wording, const char *phrase_id, const Filling *fillings, gint64 count)
{
    return line_text(wording->arena, wording_line(wording, phrase_id, fillings, count));
}

Line *line_of_text(Arena *arena, const char *text)
{
    Line *line = arena_new0(arena, Line);
    line->runs = arena_list(arena);
    Run *run = arena_new0(arena, Run);
    run->text = text;
    g_ptr_array_add(line->runs, run);
    return line;
}

/* ---- conditions ---- */

static int value_minute(const PlanInjection *injection)
{
    return injection->values[VALUE_injection_time].moment.local.minute;
}

static gboolean zones_differ(const Wording *wording)
{
    const Value *here = plan_value(wording->plan, NULL, VALUE_clinic_zone);
    const Value *there = plan_value(wording->plan, NULL, VALUE_person_zone);
    return here->set && there->set && strcmp(zone_name(here->zone), zone_name(there->zone)) != 0;
}

/* The containers hold more than the dose, and it is the only one. */
static gboolean leaves_some(const PlanInjection *injection)
{
    return injection->acts->len == 1 && rational_ok(injection->content) &&
           rational_compare(injection->content, quantity_base(injection->order->dose.quantity)) > 0;
}

static gboolean is_slip(const Syringe *syringe)
{
    return syringe && PRESENT(syringe->tip) && syringe->tip.value == Tip_SLIP;
}

/* How long an opened container may be used. */
static gint64 use_hours(const PlanInjection *injection)
{
    const Field *at;
    return rational_floor(plan_use_limit(injection, &at)) / 60;
}

static gboolean is_dark(const PlanInjection *injection)
{
    const YesNoChoice *light = &injection->medicine->storage.light;
    return PRESENT(*light) && light->value == YesNo_YES;
}

/* What to do when late is not the same for both injections of the sheet. */
static gboolean lates_differ(const Wording *wording)
{
    const PlanInjection *first = g_ptr_array_index(wording->injections, 0);
    for (guint i = 1; i < wording->injections->len; i++) {
        const PlanInjection *other = g_ptr_array_index(wording->injections, i);
        if (!saying_equal(&first->order->late, &other->order->late))
            return TRUE;
    }
    return FALSE;
}

/* An injection before this one was measured by the rim, where the word is explained. */
static gboolean rim_is_known(const Wording *wording)
{
    for (guint i = 0; g_ptr_array_index(wording->injections, i) != wording->injection; i++) {
        Wording before = *wording;
        before.injection = g_ptr_array_index(wording->injections, i);
        if (condition_holds(&before, "measured"))
            return TRUE;
    }
    return FALSE;
}

static gboolean any_powder(const Wording *wording)
{
    for (guint i = 0; i < wording->injections->len; i++)
        if (((const PlanInjection *)g_ptr_array_index(wording->injections, i))->way == WAY_POWDER)
            return TRUE;
    return FALSE;
}

static gboolean any_helper(const Wording *wording)
{
    for (guint i = 0; i < wording->injections->len; i++)
        if (plan_giver(wording->plan, g_ptr_array_index(wording->injections, i)) == Giver_HELPER)
            return TRUE;
    return FALSE;
}

gboolean condition_known(const char *word)
{
    ValueId id;
    if (g_str_has_prefix(word, "not "))
        word += strlen("not ");
#define CONDITION(name, expression) \
    if (strcmp(word, #name) == 0)   \
        return TRUE;
#include "wording/conditions.def"
    return value_find(word, &id);
}

gboolean condition_holds(const Wording *w, const char *word)
{
    enum { LONG_LIST = 8 }; /* days whose list leaves no room for what else ends a course */
    const PlanInjection *i = w->injection;
    if (g_str_has_prefix(word, "not "))
        return !condition_holds(w, word + strlen("not "));
#define CONDITION(name, expression) \
    if (strcmp(word, #name) == 0)   \
        return (expression);
#include "wording/conditions.def"
    ValueId id;
    g_assert(value_find(word, &id));
    return plan_value(w->plan, i, id)->set;
}

gboolean conditions_hold(const Wording *wording, const GPtrArray *conditions)
{
    for (guint i = 0; i < conditions->len; i++)
        if (!condition_holds(wording, g_ptr_array_index(conditions, i)))
            return FALSE;
    return TRUE;
}

/* ---- the document ---- */

typedef struct Cover {
    const Wording *wording;
    GHashTable *told; /* phrases that are missing: each is told where it is asked for first */
} Cover;

static void phrase_check(const Cover *cover, Place place, const char *id)
{
    if (!id || phrase_named(cover->wording->phrases, id) || !g_hash_table_add(cover->told, (gpointer)id))
        return;
    Finding *finding = finding_add(cover->wording->diagnostics, RULE_phrase_missing, place);
    finding_fact(finding, "the template asks for %s", id);
    finding_help(finding, "add it to the phrase set, or take it out of the template");
}

static void lines_check(const Cover *cover, Place place, const GPtrArray *lines)
{
    for (guint i = 0; i < lines->len; i++)
        phrase_check(cover, place, ((const TemplateLine *)g_ptr_array_index(lines, i))->phrase);
}

static void block_check(const Cover *cover, const TemplateBlock *block)
{
    const GPtrArray *lists[] = {block->titles, block->clocks, block->asides, block->lines, block->remarks};
    for (gsize i = 0; i < G_N_ELEMENTS(lists); i++)
        lines_check(cover, block->place, lists[i]);
    for (guint i = 0; i < block->items->len; i++)
        block_check(cover, g_ptr_array_index(block->items, i));
}

/* TRUE when the phrase set has all that the template asks for. */
static gboolean covers(const Wording *wording, const Template *template)
{
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    const Cover cover = {wording, told};
    phrase_check(&cover, PLACE_NOWHERE, template->title);
    for (guint i = 0; i < template->sections->len; i++) {
        const TemplateSection *section = g_ptr_array_index(template->sections, i);
        lines_check(&cover, section->place, section->headings);
        for (guint j = 0; j < section->blocks->len; j++)
            block_check(&cover, g_ptr_array_index(section->blocks, j));
    }
    return g_hash_table_size(told) == 0;
}

gboolean block_says_something(const Block *block)
{
    return block->lines->len > 0 || block->items->len > 0 || block->figures->len > 0;
}

static void join(Line *line, const Line *more)
{
    for (guint i = 0; i < more->runs->len; i++)
        g_ptr_array_add(line->runs, g_ptr_array_index(more->runs, i));
}

static Line *page_head(const Wording *wording)
{
    return wording_line(wording, "page_head", NULL, 0);
}

void wording_turn_to(Wording *wording, guint injection)
{
    static const char *const marks[] = {"A", "B", "C", "D", "E", "F", "G", "H"};
    g_assert(injection < G_N_ELEMENTS(marks));
    wording->injection = g_ptr_array_index(wording->injections, injection);
    wording->mark = wording->injections->len > 1 ? marks[injection] : NULL;
}

static void add_section(Wording *wording, Document *document, const TemplateSection *from)
{
    if (!conditions_hold(wording, from->conditions))
        return;
    DocumentSection *section = arena_new0(wording->arena, DocumentSection);
    wording->mixing = strcmp(from->role, "mix") == 0;
    section->role = from->role;
    section->new_page = from->new_page;
    section->faces = from->faces;
    section->shares = from->shares;
    section->mark = wording->mark;
    section->injection = from->each ? wording->injection : NULL;
    section->head = from->each ? page_head(wording) : NULL;
    section->blocks = arena_list(wording->arena);
    section->heading = first_line(wording, from->headings);
    for (guint i = 0; i < from->blocks->len; i++)
        blocks_add(wording, section->blocks, g_ptr_array_index(from->blocks, i));
    if (section->blocks->len > 0)
        g_ptr_array_add(document->sections, section);
}

/* Pages of one injection stay together, before those of the next. */
static guint add_each(Wording *wording, Document *document, const GPtrArray *sections, guint first)
{
    guint end = first;
    while (end < sections->len && ((const TemplateSection *)g_ptr_array_index(sections, end))->each)
        end++;
    for (guint i = 0; i < wording->injections->len; i++) {
        wording_turn_to(wording, i);
        for (guint j = first; j < end; j++)
            add_section(wording, document, g_ptr_array_index(sections, j));
    }
    wording_turn_to(wording, 0);
    wording->mark = NULL;
    return end;
}

static void add_sections(Wording *wording, Document *document, const GPtrArray *sections)
{
    for (guint i = 0; i < sections->len;) {
        const TemplateSection *section = g_ptr_array_index(sections, i);
        if (section->each) {
            i = add_each(wording, document, sections, i);
            continue;
        }
        add_section(wording, document, section);
        i++;
    }
}

static const char *wording_banner(const Wording *wording, gboolean draft)
{
    if (plan_value(wording->plan, NULL, VALUE_demonstration)->set)
        return wording_plain(wording, draft ? "invented_draft_mark" : "invented_mark", NULL, 0);
    return draft ? wording_plain(wording, "draft_mark", NULL, 0) : NULL;
}

static void set_frame(const Wording *wording, Document *document, const Template *template, gboolean draft)
{
    document->language = wording->phrases->tag;
    document->right_to_left = wording->phrases->right_to_left;
    document->title = template->title
                          ? wording_plain(wording, template->title, NULL, 0)
                          : saying_text(wording, plan_value(wording->plan, NULL, VALUE_protocol_title)->saying);
    const Filling slots[] = {{"page", "{page}"}, {"pages", "{pages}"}, {NULL, NULL}};
    document->page_of = wording_plain(wording, "page_of", slots, 0);
    document->subject = wording_plain(wording, "subject", NULL, 0);
    document->banner = wording_banner(wording, draft);
    document->draft = draft ? wording_plain(wording, "draft_mark", NULL, 0) : NULL;
    document->made_at = wording->plan->now;
}

/* Who answers, and whom to try next, below each other. */
static Line *foot_more(const Wording *wording)
{
    gboolean second = condition_holds(wording, "phone_second");
    Line *line = wording_line(wording, "foot_more", NULL, 0);
    join(line, line_of_text(wording->arena, "\n"));
    join(line, wording_line(wording, second ? "foot_below_second" : "foot_below", NULL, 0));
    return line;
}

/* The head of a page that belongs to all injections of the sheet. */
static Line *head_of_all(Wording *wording)
{
    if (wording->injections->len == 1)
        return page_head(wording);
    Line *line = wording_line(wording, "page_head_person", NULL, 0);
    for (guint i = 0; i < wording->injections->len; i++) {
        wording_turn_to(wording, i);
        const Filling which[] = {{"which", wording_which(wording)}, {NULL, NULL}};
        join(line, wording_line(wording, "page_head_each", which, 0));
    }
    wording_turn_to(wording, 0);
    wording->mark = NULL;
    return line;
}

/* What stands on every page. */
static void set_pages(Wording *wording, Document *document)
{
    gboolean invented = plan_value(wording->plan, NULL, VALUE_demonstration)->set;
    document->head = head_of_all(wording);
    document->person = wording_line(wording, "page_person", NULL, 0);
    document->clinic = wording_plain(wording, invented ? "page_clinic_invented" : "page_clinic", NULL, 0);
    document->foot_call = wording_line(wording, "foot_number", NULL, 0);
    document->foot_more = foot_more(wording);
    document->foot = wording_plain(wording, "foot_sheet", NULL, 0);
    /* Whoever packs and checks is told on each page; of a person's sheet the line that says when it was made does. */
    gboolean dated = wording->plan->dated_by_hand;
    document->dated = dated && document->for_clinic ? wording_plain(wording, "dated_by_hand", NULL, 0) : NULL;
    document->made = wording_line(wording, dated && !document->for_clinic ? "made_words_dated" : "made_words", NULL, 0);
}

/* A filled syringe with its needle, given once, may stand on one leaf. */
static gboolean has_leaf(Wording *wording, const Template *template)
{
    return !template->for_clinic && condition_holds(wording, "read_at_stop");
}

/* Words the sections, in the form for one leaf or in the other. */
static GPtrArray *word_form(Wording *wording, const Document *document, const Template *template, gboolean leaf)
{
    Document *form = arena_new0(wording->arena, Document);
    *form = *document;
    form->sections = arena_list(wording->arena);
    wording->leaf = leaf;
    wording->step = 0;
    add_sections(wording, form, template->sections);
    if (!template->for_clinic)
        wording_needed(wording, form);
    return form->sections;
}

Document *wording_sheet(Arena *arena, const Plan *plan, const GPtrArray *injections, const Template *template,
                        const Phrases *phrases, gboolean draft, Diagnostics *diagnostics)
{
    g_assert(plan_complete(plan));
    Wording wording = {.arena = arena, .plan = plan, .injections = injections, .phrases = phrases,
                       .diagnostics = diagnostics};
    guint before = diagnostics_open(diagnostics, SEVERITY_ERROR);
    wording_turn_to(&wording, 0);
    wording.mark = NULL;
    if (!covers(&wording, template))
        return NULL;
    Document *document = arena_new0(arena, Document);
    document->plan = plan;
    document->injection = wording.injection;
    document->injections = injections;
    document->for_clinic = template->for_clinic;
    set_frame(&wording, document, template, draft);
    set_pages(&wording, document);
    document->sections = word_form(&wording, document, template, FALSE);
    if (has_leaf(&wording, template))
        document->leaf = word_form(&wording, document, template, TRUE);
    return diagnostics_open(diagnostics, SEVERITY_ERROR) == before ? document : NULL;
}
