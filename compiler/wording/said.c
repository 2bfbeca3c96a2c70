/* wording_said: single words of a phrase set, for pages that are no sheet, and the clinic's
 * words for slips with their slots filled in. */
#include <string.h>

#include "wording/parts.h"

static Wording words_of(Arena *arena, const Plan *plan, const PlanInjection *injection, const Phrases *phrases)
{
    return (Wording){.arena = arena, .plan = plan, .injection = injection, .phrases = phrases,
                     .diagnostics = diagnostics_new(arena)};
}

const char *said_phrase(Arena *arena, const Plan *plan, const Phrases *phrases, const char *id,
                        const Filling *fillings, gint64 count)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    return wording_plain(&wording, id, fillings, count);
}

const char *said_value(Arena *arena, const Plan *plan, const PlanInjection *injection, const Phrases *phrases,
                       ValueId id)
{
    Wording wording = words_of(arena, plan, injection, phrases);
    const Value *value = plan_value(plan, injection, id);
    ValueKind kind = value_row(id)->kind;
    return value->set ? wording_value(&wording, value, kind, kind == KIND_MOMENT ? FORM_CLOCK : FORM_PLAIN) : NULL;
}

const char *said_clock(Arena *arena, const Plan *plan, const Phrases *phrases, int minute)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    return minute == 0 ? wording_plain(&wording, "night_midnight", NULL, 0)
                       : wording_unbroken(arena, wording_clock(&wording, minute));
}

const char *said_day(Arena *arena, const Plan *plan, const Phrases *phrases, Day day, gboolean whole)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    Value value = {.set = TRUE, .moment = {.local = {.day = day, .minute = 12 * 60}}};
    return wording_value(&wording, &value, KIND_MOMENT, whole ? FORM_DATE : FORM_WEEKDAY);
}

const char *said_minutes(Arena *arena, const Plan *plan, const Phrases *phrases, gint64 minutes)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    Value value = {.set = TRUE, .quantity = quantity_make(minutes, 1, UNIT_min)};
    return wording_value(&wording, &value, KIND_SPAN, FORM_PLAIN);
}

const char *said_place(Arena *arena, const Plan *plan, const Phrases *phrases, const Zone *zone)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    Value value = {.set = TRUE, .zone = zone};
    return wording_value(&wording, &value, KIND_PLACE, FORM_PLAIN);
}

const char *said_word(Arena *arena, const Plan *plan, const Phrases *phrases, ChoiceWord word)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    return wording_word(&wording, word, 1);
}

const char *said_short(Arena *arena, const Plan *plan, const Phrases *phrases, ChoiceWord word)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    const char *id = arena_format(arena, "short_%s", choice_row(word)->phrase + strlen("word_"));
    return phrase_named(phrases, id) ? wording_plain(&wording, id, NULL, 0) : wording_word(&wording, word, 1);
}

Line *said_line(Arena *arena, const Plan *plan, const Phrases *phrases, const char *id, const Filling *fillings,
                gint64 count)
{
    Wording wording = words_of(arena, plan, NULL, phrases);
    return wording_line(&wording, id, fillings, count);
}

const char *phrases_tag(const Phrases *phrases) { return phrases->tag; }

gboolean phrases_from_right(const Phrases *phrases) { return phrases->right_to_left; }

/* ---- slips ---- */

/* The panel of an injection's own work, or of work that belongs to all. */
static const Block *panel_of(const Document *document, const PlanInjection *injection, const char *name)
{
    for (guint i = 0; document && i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        if (section->injection && section->injection != injection)
            continue;
        for (guint j = 0; j < section->blocks->len; j++) {
            const Block *found = panel_in_block(g_ptr_array_index(section->blocks, j), name);
            if (found)
                return found;
        }
    }
    return NULL;
}

typedef struct Slots {
    Arena *arena;
    const SlipSheet *sheet;
    const Phrases *phrases;
} Slots;

/* NULL when no page is known. */
static const char *page_text(const Slots *slots, const Block *block)
{
    const SlipSheet *sheet = slots->sheet;
    int large = 0, page = sheet->page_of ? sheet->page_of(block, sheet->pages, &large) : 0;
    const char *number = page > 0 ? arena_format(slots->arena, "%d", page) : NULL;
    if (!number || large == 0)
        return number;
    const Filling both[] = {{"page", number}, {"large", arena_format(slots->arena, "%d", large)}, {NULL, NULL}};
    return said_phrase(slots->arena, sheet->plan, slots->phrases, "page_or_large", both, 0);
}

static const char *slot_text(const Slots *slots, const char *slot, gsize length)
{
    const char *name;
    ValueId value;
    const SlipSheet *sheet = slots->sheet;
    SlipSlotKind kind = plan_slip_slot(slot, length, &name, &value);
    if (kind == SLOT_VALUE)
        return said_value(slots->arena, sheet->plan, sheet->injection, slots->phrases, value);
    if (kind == SLOT_UNKNOWN)
        return NULL;
    g_autofree char *panel = g_strndup(name, (gsize)(slot + length - name));
    const Block *block = panel_of(sheet->document, sheet->injection, panel);
    if (!block)
        return NULL;
    return kind == SLOT_PAGE ? page_text(slots, block)
                             : arena_format(slots->arena, "%d%s", block->number, block->half ? block->half : "");
}

/* NULL when the sheet has nothing for one of the slots. */
static const char *filled_in(const Slots *slots, const char *text)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (const char *at = text; *at;) {
        gsize words = strcspn(at, "{");
        g_string_append_len(out, at, (gssize)words);
        at += words;
        if (!*at)
            break;
        gsize length = strcspn(at + 1, "}");
        const char *said = slot_text(slots, at + 1, length);
        if (!said)
            return NULL;
        g_string_append(out, said);
        at += 1 + length + (at[1 + length] != '\0');
    }
    return arena_copy(slots->arena, out->str);
}

const char *said_slip(Arena *arena, const SlipSheet *sheet, const Saying *saying, const Phrases *phrases)
{
    const GPtrArray *languages = sheet->plan->clinic->languages.items;
    const char *own = languages->len > 0 ? ((const Text *)g_ptr_array_index(languages, 0))->text : "";
    const SayingVersion *version = PRESENT(*saying) ? saying_version_in(saying, phrases->tag, own) : NULL;
    const Slots slots = {arena, sheet, phrases};
    return version && PRESENT(version->text) ? filled_in(&slots, version->text.text) : NULL;
}
