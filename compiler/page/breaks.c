/* page_breaks: which pieces stand on which page. */
#include "page/parts.h"

#include <string.h>

static void too_tall(const Setter *setter, Diagnostics *diagnostics, double height, const Piece *first)
{
    Finding *finding = finding_add(diagnostics, RULE_does_not_fit, PLACE_NOWHERE);
    finding_fact(finding, "what begins \"%s\" is %d mm tall, on a page that takes %d mm", first->begins,
                 (int)height, (int)room(&setter->spec));
    finding_help(finding, "shorten the texts of this block");
}

/* ---- where pages end ---- */

/* A stretch of pieces that no page end may part. */
typedef struct Group {
    guint from, until;
    double gap, height; /* gap: above it, unless it starts a page */
    gboolean urgent;    /* every page that ends before it costs more */
    double cost;        /* of a page that starts with it */
    double best;        /* cheapest way to set this group and all behind it */
    guint next;         /* the group that starts the page after */
} Group;

/* A page should end where a task ends; inside a list is worst. */
#define COST_PAGE 10.0
#define COST_TASK 0.0
#define COST_TITLE 1.0
#define COST_INSIDE 2.5
#define COST_URGENT 6.0
#define COST_AIR 3.0 /* of an empty page; a half empty one costs a quarter */

static double cost_of_start(const Piece *piece)
{
    gboolean heading = piece->tag && (strcmp(piece->tag, "H1") == 0 || strcmp(piece->tag, "H2") == 0);
    return heading ? COST_TASK : piece->tag ? COST_TITLE : COST_INSIDE;
}

/* The longest part of a group that a page holds and that ends where pieces may be parted;
 * the group as it is when there is none. */
static void let_go(const Setter *setter, Group *group)
{
    double height = 0, limit = room(&setter->spec);
    guint until = group->until;
    for (guint i = group->from; i < until; i++) {
        const Piece *piece = g_ptr_array_index(setter->pieces, i);
        height += piece->height + (i > group->from ? piece->gap : 0);
        if (height > limit)
            return;
        if (!piece->yields)
            continue;
        group->until = i;
        group->height = height;
    }
}

static GArray *groups_of(const Setter *setter, Diagnostics *diagnostics)
{
    GArray *groups = g_array_new(FALSE, TRUE, sizeof(Group));
    for (guint i = 0; i < setter->pieces->len;) {
        const Piece *first = g_ptr_array_index(setter->pieces, i);
        Group group = {.from = i, .gap = first->gap, .cost = cost_of_start(first)};
        group.height = group_height(setter->pieces, i, &group.until);
        if (group.height > room(&setter->spec))
            let_go(setter, &group);
        if (group.height > room(&setter->spec))
            too_tall(setter, diagnostics, group.height, first);
        for (guint j = group.from; j <= group.until; j++)
            group.urgent |= ((const Piece *)g_ptr_array_index(setter->pieces, j))->urgent;
        i = group.until + 1;
        g_array_append_val(groups, group);
    }
    return groups;
}

/* The last urgent group, or 0. */
static guint urgent_group(const GArray *groups)
{
    guint urgent = 0;
    for (guint i = 0; i < groups->len; i++)
        if (g_array_index(groups, Group, i).urgent)
            urgent = i;
    return urgent;
}

static gboolean must_start_page(const Setter *setter, const Group *group)
{
    return ((const Piece *)g_ptr_array_index(setter->pieces, group->from))->new_page;
}

/* The cheapest end for a page that starts with this group, all later ones known. */
static void choose_end(const Setter *setter, GArray *groups, guint start, guint urgent)
{
    Group *group = &g_array_index(groups, Group, start);
    double limit = room(&setter->spec), height = 0;
    group->best = G_MAXDOUBLE;
    for (guint end = start; end < groups->len; end++) {
        const Group *last = &g_array_index(groups, Group, end);
        height += last->height + (end > start ? last->gap : 0);
        if (end > start && (height > limit || must_start_page(setter, last)))
            break;
        double air = MAX(0, limit - height) / limit, cost = COST_PAGE + group->cost;
        if (end < urgent)
            cost += COST_URGENT;
        if (end + 1 < groups->len)
            cost += COST_AIR * air * air + g_array_index(groups, Group, end + 1).best;
        if (cost < group->best) {
            group->best = cost;
            group->next = end + 1;
        }
    }
}

/* ---- the pages ---- */

/* A list that goes on ends with the page and starts anew on the next, so that the
 * foot stands in none. */
typedef struct Assembly {
    Setter *setter;
    const char *open; /* the tag around the pieces at hand, or NULL */
    double y;         /* where the next one may start, from the top of the content */
} Assembly;

static void put_piece(Assembly *assembly, const Piece *piece)
{
    Setter *setter = assembly->setter;
    BoxPile *pile = &setter->pile;
    assembly->y += assembly->y > 0 ? piece->gap : 0;
    if (piece->opens)
        box_open(pile, assembly->open = piece->opens);
    box_move(piece->box, setter->spec.margin, setter->spec.top + assembly->y);
    g_ptr_array_add(((PageBox *)g_ptr_array_index(pile->open, pile->open->len - 1))->inside, piece->box);
    assembly->y += piece->height;
    if (!piece->closes)
        return;
    box_close(pile);
    assembly->open = NULL;
}

static void put_page(Assembly *assembly, GPtrArray *pages, const GArray *groups, guint from, guint until)
{
    Setter *setter = assembly->setter;
    box_pile_begin(&setter->pile, setter->arena);
    PageBox *page = box_open(&setter->pile, NULL);
    page->width = setter->spec.width;
    page->height = setter->spec.height;
    page->from_right = setter->document->right_to_left;
    add_draft(setter);
    add_head(setter);
    assembly->y = 0;
    if (assembly->open)
        box_open(&setter->pile, assembly->open);
    const Group *first = &g_array_index(groups, Group, from), *last = &g_array_index(groups, Group, until - 1);
    for (guint i = first->from; i <= last->until; i++)
        put_piece(assembly, g_ptr_array_index(setter->pieces, i));
    if (assembly->open)
        box_close(&setter->pile);
    g_ptr_array_add(pages, page);
}

void pages_of_pieces(Setter *setter, GPtrArray *pages, Diagnostics *diagnostics)
{
    g_autoptr(GArray) groups = groups_of(setter, diagnostics);
    const guint urgent = urgent_group(groups);
    Assembly assembly = {setter, NULL, 0};
    for (guint i = groups->len; i-- > 0;)
        choose_end(setter, groups, i, urgent);
    for (guint start = 0; start < groups->len; start = g_array_index(groups, Group, start).next)
        put_page(&assembly, pages, groups, start, g_array_index(groups, Group, start).next);
    for (guint i = 0; i < pages->len; i++) {
        g_ptr_array_set_size(setter->pile.open, 0);
        g_ptr_array_add(setter->pile.open, g_ptr_array_index(pages, i));
        add_foot(setter, (int)i + 1, (int)pages->len);
    }
}
