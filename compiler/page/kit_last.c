/* page_kit_last: a kit for which page one has no room, or kits of two injections for which the page of the first
 * work has none, stand at the end of the sheet, where page one sends who checks them.  The document itself is
 * changed, so that its twins, its tags and whoever reads it back follow. */
#include <string.h>

#include "page/parts.h"

#define NOTE "kit-page" /* role of the words that name the kit's page */
#define PLACE "kits"    /* role of the section that it gets */
#define BEHIND "closing" /* and of what stands behind it */

/* What stands on page one beside the kit, and the kit; NULL: there is none, or it stands elsewhere. */
static Block *pair_with_kit(const Setter *setter)
{
    const GPtrArray *sections = setter->document->sections;
    const DocumentSection *first = sections->len > 0 ? g_ptr_array_index(sections, 0) : NULL;
    for (guint i = 0; first && i < first->blocks->len; i++) {
        Block *pair = g_ptr_array_index(first->blocks, i);
        if (pair->kind == BLOCK_PAIR && pair->items->len == 2 && item_at(pair, 1)->kind == BLOCK_KIT)
            return pair;
    }
    return NULL;
}

static Block *left_of(const Block *pair) { return g_ptr_array_index(pair->items, 0); }

void kit_note_take(Setter *setter)
{
    const Block *pair = pair_with_kit(setter);
    const GPtrArray *items = pair ? left_of(pair)->items : NULL;
    for (guint i = 0; items && i < items->len; i++)
        if (strcmp(((const Block *)g_ptr_array_index(items, i))->role, NOTE) == 0) {
            setter->kit_note = g_ptr_array_steal_index(left_of(pair)->items, i);
            return;
        }
}

/* On the pages of the section before it. */
static DocumentSection *add_section(Setter *setter, const char *role)
{
    GPtrArray *sections = setter->document->sections;
    DocumentSection *section = arena_new0(setter->arena, DocumentSection);
    *section = *(const DocumentSection *)g_ptr_array_index(sections, sections->len - 1);
    section->role = role;
    section->heading = NULL;
    section->new_page = section->shares = section->faces = FALSE;
    section->blocks = arena_list(setter->arena);
    g_ptr_array_add(sections, section);
    return section;
}

/* Where what closes the sheet begins: why, the bank card, what is said back and signed when it is handed out. */
static guint closing_of(const GPtrArray *blocks)
{
    static const char *const roles[] = {"why", "card", "teachback", NULL};
    guint at = 0;
    while (at < blocks->len && !g_strv_contains(roles, ((const Block *)g_ptr_array_index(blocks, at))->role))
        at++;
    return at;
}

/* A new one for kits, before what closes the sheet, which stays last. */
static DocumentSection *add_kit_section(Setter *setter)
{
    GPtrArray *sections = setter->document->sections;
    const DocumentSection *last = g_ptr_array_index(sections, sections->len - 1);
    const guint closing = closing_of(last->blocks);
    DocumentSection *kits = add_section(setter, PLACE), *behind = add_section(setter, BEHIND);
    while (last->blocks->len > closing)
        g_ptr_array_add(behind->blocks, g_ptr_array_steal_index(last->blocks, closing));
    return kits;
}

static void move_blocks(GPtrArray *from, GPtrArray *to)
{
    for (guint i = 0; i < from->len; i++)
        g_ptr_array_add(to, g_ptr_array_index(from, i));
}

/* The section of two injections' kits; G_MAXUINT: none. */
static guint kits_at(const Setter *setter)
{
    const GPtrArray *sections = setter->document->sections;
    for (guint i = 0; i < sections->len; i++)
        if (strcmp(((const DocumentSection *)g_ptr_array_index(sections, i))->role, PLACE) == 0)
            return i;
    return G_MAXUINT;
}

/* Times and code then stand beside each other. */
static void pair_to_end(Setter *setter, Block *pair)
{
    setter->kit_pair = pair;
    g_ptr_array_add(add_kit_section(setter)->blocks, g_ptr_array_steal_index(pair->items, 1));
    left_of(pair)->columns = 2;
    g_ptr_array_add(left_of(pair)->items, setter->kit_note);
}

static void section_to_end(Setter *setter, guint at)
{
    setter->kits_at = at;
    setter->kits = g_ptr_array_steal_index(setter->document->sections, at);
    move_blocks(setter->kits->blocks, add_kit_section(setter)->blocks);
}

gboolean kit_to_end(Setter *setter)
{
    Block *pair = setter->large || !setter->kit_note ? NULL : pair_with_kit(setter);
    const guint at = setter->large || pair ? G_MAXUINT : kits_at(setter);
    if (pair)
        pair_to_end(setter, pair);
    else if (at != G_MAXUINT)
        section_to_end(setter, at);
    else
        return FALSE;
    measures_forget(setter);
    return TRUE;
}

void kit_back(Setter *setter)
{
    Block *pair = setter->kit_pair;
    GPtrArray *sections = setter->document->sections;
    const DocumentSection *behind = g_ptr_array_steal_index(sections, sections->len - 1);
    const DocumentSection *kits = g_ptr_array_steal_index(sections, sections->len - 1);
    const DocumentSection *last = g_ptr_array_index(sections, sections->len - 1);
    move_blocks(behind->blocks, last->blocks);
    if (setter->kits) {
        g_ptr_array_insert(sections, (int)setter->kits_at, setter->kits);
    } else {
        g_ptr_array_add(pair->items, g_ptr_array_index(kits->blocks, 0));
        left_of(pair)->columns = 1;
        g_ptr_array_steal_index(left_of(pair)->items, left_of(pair)->items->len - 1);
    }
    measures_forget(setter);
}
