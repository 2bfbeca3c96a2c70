/* page_leaves: the sheet's sections on pages.  The rules stand in grid.h; here they are
 * followed, and proved before anything is drawn. */
#include <string.h>

#include "page/parts.h"

#define MOST_LEAVES 9     /* pages of one stretch of sections */
#define MOST_STRETCHES 12
#define COST_PAGE 100.0
#define COST_LEVEL 4.0    /* of all that yields one level further */
#define COST_LAST 22.0    /* of the last levels: for a page less, not for a better end of one */
#define LAST_LEVELS 2
#define COST_TURN 60.0    /* a leaf is turned between filling and injecting, or within either */
#define COST_TURN_LARGE 20.0 /* in large print, whose work takes more than two pages: before the needle is bare */
#define COST_OPEN 25.0    /* work on two pages that does not open on an even one */
#define COST_BARE 150.0   /* a needle is bare between two pages that lie open together: rather one page more */
#define COST_WASHED 90.0  /* a leaf is turned with washed hands */
#define COST_INJECTS 120.0 /* by those that inject: rather one page more */
#define COST_PARTED 25.0  /* a page that ends inside a section, which words call by its page */
#define COST_CALL 80.0    /* page one ends before it says whom to call */
#define COST_OVER 100.0   /* a page more than a sheet in large print should have */
#define COST_KIT 40.0     /* the kit stands at the end, and not on page one */
#define COST_ROW_END 3.0  /* a page that starts inside a band */
#define COST_AIR 30.0     /* of an empty page */
#define NEVER 1e9

/* Sections that follow one another on their pages, set at every level. */
typedef struct Stretch {
    const DocumentSection *section; /* the first */
    guint first, end;               /* among the document's sections */
    gboolean works;                 /* a needle is bare in it */
    GPtrArray **pieces;             /* of Piece*, for each level */
} Stretch;

/* One way to set a stretch from a page on. */
typedef struct Setting {
    double cost;
    int level;
    guint starts[MOST_LEAVES]; /* the first piece of each page */
} Setting;

typedef struct Leaves {
    Setter *setter;
    Stretch stretches[MOST_STRETCHES];
    guint count;
} Leaves;

/* ---- measuring ---- */

static void add_section_pieces(Setter *setter, const DocumentSection *section)
{
    setter->headed = section->heading != NULL;
    if (section->heading) {
        Piece *piece = piece_open(setter, setter->level->band_gap);
        piece->begins = line_text(setter->arena, section->heading);
        piece->keep = piece->band = TRUE;
        double height = put_line(setter, "H2", TYPE_TITLE, section->heading, 0, 0, BLOCK_WIDTH);
        last_box(setter)->bookmark = 2;
        piece_close(setter, piece, height);
    }
    for (guint i = 0; i < section->blocks->len; i++)
        pieces_of_sheet_block(setter, g_ptr_array_index(section->blocks, i));
}

/* In large print what faces the page before it goes on with it, and so do two kits: a page takes too little for
 * either. */
static gboolean goes_on_large(const DocumentSection *section)
{
    return section->faces || strcmp(section->role, "kits") == 0;
}

static guint stretch_end(const Document *document, gboolean large, guint first)
{
    for (guint end = first + 1; end < document->sections->len; end++) {
        const DocumentSection *before = g_ptr_array_index(document->sections, end - 1),
                              *section = g_ptr_array_index(document->sections, end);
        if (section->new_page && !before->shares && !(large && goes_on_large(section)))
            return end;
    }
    return document->sections->len;
}

/* Pieces of the sections at one level. */
static GPtrArray *measure_stretch(Setter *setter, guint first, guint end, int level)
{
    const Document *document = setter->document;
    setter->level = &page_levels[level];
    setter->pieces = arena_list(setter->arena);
    if (first == 0)
        piece_of_title(setter);
    for (guint i = first; i < end; i++) {
        guint from = setter->pieces->len;
        add_section_pieces(setter, g_ptr_array_index(document->sections, i));
        if (setter->pieces->len > from)
            ((Piece *)g_ptr_array_index(setter->pieces, from))->section = g_ptr_array_index(document->sections, i);
    }
    if (end == document->sections->len)
        piece_of_making(setter);
    return setter->pieces;
}

/* The pieces of a stretch at a level, measured when they are first asked for. */
static GPtrArray *pieces_at(Setter *setter, const Stretch *stretch, int level)
{
    if (!stretch->pieces[level])
        stretch->pieces[level] = measure_stretch(setter, stretch->first, stretch->end, level);
    return stretch->pieces[level];
}

static const Piece *piece_at(const GPtrArray *pieces, guint index) { return g_ptr_array_index(pieces, index); }

static gboolean works_from(const GPtrArray *pieces, guint from)
{
    for (guint i = from; i < pieces->len; i++)
        if (piece_at(pieces, i)->works)
            return TRUE;
    return FALSE;
}

static void measure_all(Leaves *leaves)
{
    Setter *setter = leaves->setter;
    const GPtrArray *sections = setter->document->sections;
    for (guint i = 0, end; i < sections->len && leaves->count < MOST_STRETCHES; i = end) {
        Stretch *stretch = &leaves->stretches[leaves->count++];
        end = stretch_end(setter->document, setter->large, i);
        stretch->section = g_ptr_array_index(sections, i);
        stretch->first = i;
        stretch->end = end;
        stretch->pieces = arena_alloc(setter->arena, (gsize)page_level_most * sizeof(GPtrArray *));
        stretch->works = works_from(pieces_at(setter, stretch, page_level_count - 1), 0);
    }
}

/* ---- where a stretch is parted ---- */

/* What a page holds on Letter: A4 breaks where Letter does. */
double page_capacity(const Setter *setter)
{
    const PageSpec *spec = &setter->spec;
    return spec->height - spec->top - spec->bottom - spec->air;
}

static double stretch_height(const GPtrArray *pieces, guint from, guint until)
{
    double height = 0;
    for (guint i = from; i < until; i++)
        height += piece_at(pieces, i)->height + (i > from ? piece_at(pieces, i)->gap : 0);
    return height;
}

/* What it costs to end a page before this piece; page: the number of the page that ends. */
static double cost_of_end(const Setter *setter, const GPtrArray *pieces, guint next, int page)
{
    const Piece *before = piece_at(pieces, next - 1), *behind = piece_at(pieces, next);
    gboolean facing = page % 2 == 0; /* an even page and the next lie open together */
    const double turn = setter->large ? COST_TURN_LARGE : COST_TURN;
    if (before->keep)
        return NEVER;
    if (before->bare)
        return !facing ? NEVER : COST_BARE;
    if (before->washed && !facing)
        return before->injects ? COST_INJECTS : COST_WASHED;
    for (guint i = next; page == 1 && i < pieces->len; i++)
        if (piece_at(pieces, i)->first_page)
            return COST_CALL;
    if (behind->section)
        return 0;
    return COST_PARTED + (behind->band ? 0 : COST_ROW_END) + (!facing && works_from(pieces, next) ? turn : 0);
}

/* Page one has no running head. */
static double cost_of_page(const Setter *setter, const GPtrArray *pieces, guint from, guint until, int page)
{
    double most = page_capacity(setter) + (page == 1 ? setter->head_room : 0);
    double height = stretch_height(pieces, from, until);
    if (height > most + 0.01)
        return NEVER;
    double air = (most - height) / most;
    return COST_PAGE + COST_AIR * air * air;
}

/* The cheapest way to set pieces from one on upon so many of the last pages. */
typedef struct Parting {
    double cost;
    guint next; /* the first piece of the page behind */
} Parting;

/* ways: of one page fewer, by the first piece. */
static Parting part_from(const Setter *setter, const GPtrArray *pieces, guint from, int page, const Parting *ways)
{
    Parting best = {.cost = NEVER};
    for (guint next = from + 1; next < pieces->len; next++) {
        double cost = cost_of_page(setter, pieces, from, next, page);
        if (cost >= NEVER)
            break;
        cost += cost_of_end(setter, pieces, next, page) + ways[next].cost;
        if (cost < best.cost)
            best = (Parting){cost, next};
    }
    return best;
}

/* The cheapest way to set all pieces upon so many pages, the first of which is page; starts: the first pieces
 * of the pages behind it. */
static double part(const Setter *setter, const GPtrArray *pieces, int pages, int page, guint *starts)
{
    guint count = pieces->len;
    g_autofree Parting *ways = g_new(Parting, (gsize)pages * count);
    for (guint from = 0; from < count; from++)
        ways[from].cost = cost_of_page(setter, pieces, from, count, page + pages - 1);
    for (int behind = 1; behind < pages; behind++) /* pages behind the one at hand */
        for (guint from = 0; from < count; from++)
            ways[(guint)behind * count + from] = part_from(setter, pieces, from, page + pages - 1 - behind,
                                                           ways + (guint)(behind - 1) * count);
    const Parting *way = ways + (guint)(pages - 1) * count;
    double cost = count > 0 ? MIN(way->cost, NEVER) : NEVER;
    for (int i = 0; cost < NEVER && i + 1 < pages; i++) {
        starts[i] = way->next;
        way = ways + (guint)(pages - 2 - i) * count + way->next;
    }
    return cost;
}

static Setting set_at(Setter *setter, const Stretch *stretch, int pages, int page, int level)
{
    Setting setting = {.level = level};
    setting.cost = level * COST_LEVEL + (level + LAST_LEVELS >= page_level_count ? COST_LAST : 0) +
                   part(setter, pieces_at(setter, stretch, level), pages, page, setting.starts + 1);
    return setting;
}

/* What fits at one level fits at those behind it too, so the first is found by halving; most levels are never
 * measured.  page_level_count: none. */
static int first_level(Setter *setter, const Stretch *stretch, int pages, int page)
{
    int none = -1, fits = page_level_count;
    for (int level = page_level_count - 1; fits - none > 1; level = (none + fits) / 2) {
        if (set_at(setter, stretch, pages, page, level).cost < NEVER)
            fits = level;
        else if (fits == page_level_count)
            return fits;
        else
            none = level;
    }
    return fits;
}

/* The level at which the stretch goes best on so many pages, the first of which is page: further ones may
 * part it better. */
static Setting set_stretch(Setter *setter, const Stretch *stretch, int pages, int page)
{
    Setting best = {.cost = NEVER};
    for (int level = first_level(setter, stretch, pages, page); level < page_level_count; level++) {
        if (level * COST_LEVEL + pages * COST_PAGE >= best.cost)
            break;
        const Setting setting = set_at(setter, stretch, pages, page, level);
        if (setting.cost < MIN(best.cost, NEVER))
            best = setting;
    }
    return best;
}

/* ---- all stretches ---- */

typedef struct LeafPlan {
    double cost;
    int pages[MOST_STRETCHES];
    Setting settings[MOST_STRETCHES];
} LeafPlan;

/* Pages of a stretch beyond those that a sheet should have. */
static int pages_over(const Setter *setter, int page, int pages)
{
    const GPtrArray *injections = setter->document->injections;
    const int most = injections && injections->len > 1 ? LARGE_PAGES_TWO : LARGE_PAGES;
    return setter->large ? MAX(0, page + pages - 1 - MAX(most, page - 1)) : 0;
}

/* Work lies open on an even page and the next; what follows faces it. */
static double cost_of_place(const Stretch *stretch, int page, int pages)
{
    double cost = 0;
    if (stretch->section->faces && page % 2 == 0)
        cost += COST_TURN;
    if (stretch->works && pages >= 2 && page % 2 == 1)
        cost += COST_OPEN;
    return cost;
}

static void choose(const Leaves *leaves, guint at, int page, LeafPlan *plan, LeafPlan *best)
{
    if (plan->cost >= best->cost)
        return;
    if (at == leaves->count) {
        *best = *plan;
        return;
    }
    const Stretch *stretch = &leaves->stretches[at];
    double before = plan->cost;
    guint found = 0;
    for (int pages = 1; pages <= MOST_LEAVES && found < 2; pages++) {
        plan->settings[at] = set_stretch(leaves->setter, stretch, pages, page);
        if (plan->settings[at].cost >= NEVER)
            continue;
        found++;
        plan->pages[at] = pages;
        plan->cost = before + plan->settings[at].cost + cost_of_place(stretch, page, pages) +
                     COST_OVER * pages_over(leaves->setter, page, pages);
        choose(leaves, at + 1, page + pages, plan, best);
    }
    plan->cost = before;
}

/* ---- what fits nowhere ---- */

static void too_much(const Leaves *leaves, Diagnostics *diagnostics, const Piece *piece, double height)
{
    const Setter *setter = leaves->setter;
    InkStyle body = grid_type(setter->large, TYPE_BODY);
    double line = body.size * INK_POINT * body.leading, over = height - page_capacity(setter);
    Finding *finding = finding_add(diagnostics, RULE_does_not_fit, PLACE_NOWHERE);
    finding_fact(finding, "what begins \"%s\" is %d mm tall, on a page that takes %d mm", piece->begins, (int)height,
                 (int)page_capacity(setter));
    finding_fact(finding, "%d lines too many", (int)(over / line) + 1);
    finding_help(finding, "shorten the texts of this block by so many lines: type is never made smaller");
}

/* How far the pieces from one on must stay together. */
static guint stay_end(const GPtrArray *pieces, guint from)
{
    guint end = from + 1;
    while (end < pieces->len && (piece_at(pieces, end - 1)->keep || piece_at(pieces, end - 1)->bare))
        end++;
    return end;
}

/* A piece that no page holds; or else the tallest of what must stay together, at the last level. */
static void say_what_fits_nowhere(const Leaves *leaves, Diagnostics *diagnostics)
{
    const Piece *worst = NULL;
    double tallest = 0;
    for (guint s = 0; s < leaves->count; s++) {
        const GPtrArray *pieces = pieces_at(leaves->setter, &leaves->stretches[s], page_level_count - 1);
        for (guint i = 0; i < pieces->len; i++) {
            double own = piece_at(pieces, i)->height, height = stretch_height(pieces, i, stay_end(pieces, i));
            height = own > page_capacity(leaves->setter) ? own + NEVER : height;
            if (height <= tallest)
                continue;
            tallest = height;
            worst = piece_at(pieces, i);
        }
    }
    if (worst)
        too_much(leaves, diagnostics, worst, tallest > NEVER ? tallest - NEVER : tallest);
}

/* ---- the pages ---- */

/* Leftover air goes between bands, and half as much between rows. */
static double share_of_air(const GPtrArray *pieces, guint from, guint until, double air)
{
    double parts = 0;
    for (guint i = from + 1; i < until; i++)
        parts += piece_at(pieces, i - 1)->keep ? 0 : piece_at(pieces, i)->band ? 2 : 1;
    return parts > 0 ? MIN(AIR_MOST / 2, air / parts) : 0;
}

/* Of the piece that opens a page: its head is the page's. */
static const DocumentSection *section_of(const Stretch *stretch, const GPtrArray *pieces, guint index)
{
    while (index > 0 && !piece_at(pieces, index)->section)
        index--;
    const DocumentSection *section = piece_at(pieces, index)->section;
    return section ? section : stretch->section;
}

/* The pieces of one page. */
typedef struct Leaf {
    const GPtrArray *pieces;
    guint from, until;
} Leaf;

static gboolean begins_alike(const Piece *one, const Piece *other)
{
    return one->number == other->number && strcmp(one->begins, other->begins) == 0;
}

/* Where among other pieces of the same stretch the piece stands that begins as this one does; len: at the end. */
static guint same_piece(const GPtrArray *pieces, guint index, const GPtrArray *others)
{
    guint before = 0;
    for (guint i = 0; i < MIN(index, pieces->len); i++)
        before += index < pieces->len && begins_alike(piece_at(pieces, i), piece_at(pieces, index));
    for (guint i = 0; index < pieces->len && i < others->len; i++)
        if (begins_alike(piece_at(others, i), piece_at(pieces, index)) && before-- == 0)
            return i;
    return index < pieces->len ? G_MAXUINT : others->len;
}

/* The same pieces at another level; no pieces: the page does not hold them.  What A4 is higher is room for them. */
static Leaf leaf_at(Setter *setter, const Stretch *stretch, Leaf leaf, int level, gboolean first)
{
    const GPtrArray *others = pieces_at(setter, stretch, level);
    const Leaf other = {others, same_piece(leaf.pieces, leaf.from, others),
                        same_piece(leaf.pieces, leaf.until, others)};
    const double most = page_capacity(setter) + setter->spec.air + (first ? setter->head_room : 0);
    if (other.from >= other.until || other.until == G_MAXUINT ||
        stretch_height(others, other.from, other.until) > most)
        return (Leaf){others, 0, 0};
    return other;
}

static guint drawings_in(const PageBox *box)
{
    guint count = box->kind == BOX_DRAWING;
    for (const PageBox *inner = box->first; inner; inner = inner->next)
        count += drawings_in(inner);
    return count;
}

static guint drawings_on(Leaf leaf)
{
    guint count = 0;
    for (guint i = leaf.from; i < leaf.until; i++)
        count += drawings_in(piece_at(leaf.pieces, i)->box);
    return count;
}

/* What stands on the page, with lines that are read with ease if they were not and the page holds that at this
 * level or at one that yields more, with all its pictures; long lines stay long where short ones find no room. */
static Leaf evened(Setter *setter, const Stretch *stretch, Leaf leaf, int level, gboolean first)
{
    const gboolean wide = page_levels[level].measure > page_levels[0].measure;
    if (page_level_is_even(&page_levels[level]))
        return leaf;
    for (int from = page_level_count; from <= page_level_count * (wide ? 2 : 1); from += page_level_count) {
        const Leaf tightest = leaf_at(setter, stretch, leaf, from + page_level_count - 1, first);
        for (int i = level; tightest.until > 0 && i < page_level_count; i++) {
            const Leaf other = leaf_at(setter, stretch, leaf, from + i, first);
            if (other.until > 0 && drawings_on(other) >= drawings_on(leaf))
                return other;
        }
    }
    return leaf;
}

/* A page of several may need to yield less than the fullest of them: what stands on it is set at the roomiest
 * level at which it still holds the same. */
static Leaf roomiest(Setter *setter, const Stretch *stretch, const Setting *setting, Leaf leaf, gboolean first)
{
    const Leaf fullest = leaf;
    int level = setting->level;
    while (level > 0 && (setter->spec.air > 0 || leaf.until - leaf.from < leaf.pieces->len)) {
        const Leaf other = leaf_at(setter, stretch, fullest, level - 1, first);
        if (other.until == 0)
            break;
        leaf = other;
        level--;
    }
    return evened(setter, stretch, leaf, level, first);
}

static void put_page(Setter *setter, const Stretch *stretch, const Setting *setting, Leaf leaf, GPtrArray *pages)
{
    gboolean first = pages->len == 0;
    leaf = roomiest(setter, stretch, setting, leaf, first);
    const GPtrArray *pieces = leaf.pieces;
    guint from = leaf.from, until = leaf.until;
    double most = page_capacity(setter) + setter->spec.air + (first ? setter->head_room : 0), y = 0;
    double air = share_of_air(pieces, from, until, MAX(0, most - stretch_height(pieces, from, until)));
    box_pile_begin(&setter->pile, setter->arena);
    PageBox *page = box_open(&setter->pile, NULL);
    page->width = setter->spec.width;
    page->height = setter->spec.height;
    page->from_right = setter->document->right_to_left;
    add_marks(setter);
    if (!first)
        add_sheet_head(setter, section_of(stretch, pieces, from));
    for (guint i = from; i < until; i++) {
        const Piece *piece = piece_at(pieces, i);
        if (i > from)
            y += piece->gap + (piece_at(pieces, i - 1)->keep ? 0 : air * (piece->band ? 2 : 1));
        box_move(piece->box, setter->spec.margin, setter->spec.top - (first ? setter->head_room : 0) + y);
        box_take(page, piece->box);
        y += piece->height;
    }
    g_ptr_array_add(pages, page);
}

/* ---- numbers of pages in the words ---- */

typedef struct FirstPage {
    const DocumentSection *section;
    int page;
} FirstPage;

/* Whether a number stands in it. */
static gboolean number_line(Setter *setter, const Line *line, const GArray *firsts)
{
    gboolean numbered = FALSE;
    for (guint i = 0; line && i < line->runs->len; i++) {
        Run *run = g_ptr_array_index(line->runs, i);
        for (guint j = 0; run->page_of && j < firsts->len; j++) {
            const FirstPage *first = &g_array_index(firsts, FirstPage, j);
            const PlanInjection *of = first->section->injection;
            if (strcmp(first->section->role, run->page_of) != 0 || (of && of != run->injection))
                continue;
            run->text = arena_format(setter->arena, "%d", first->page);
            numbered = TRUE;
        }
    }
    return numbered;
}

static gboolean number_block(Setter *setter, const Block *block, const GArray *firsts)
{
    const Line *lines[] = {block->title, block->clock, block->aside};
    gboolean numbered = FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++)
        numbered |= number_line(setter, lines[i], firsts);
    for (guint i = 0; i < block->lines->len; i++)
        numbered |= number_line(setter, line_at(block, i), firsts);
    for (guint i = 0; i < block->items->len; i++)
        numbered |= number_block(setter, item_at(block, i), firsts);
    return numbered;
}

/* Where the sections of a stretch begin, the first page of which is page. */
static void first_pages(const Stretch *stretch, const Setting *setting, int pages, int page, GArray *firsts)
{
    const GPtrArray *pieces = stretch->pieces[setting->level];
    int leaf = 0;
    for (guint i = 0; i < pieces->len; i++) {
        while (leaf + 1 < pages && i >= setting->starts[leaf + 1])
            leaf++;
        FirstPage first = {piece_at(pieces, i)->section, page + leaf};
        if (first.section)
            g_array_append_val(firsts, first);
    }
}

static gboolean number_stretch(Setter *setter, const Stretch *stretch, const GArray *firsts)
{
    gboolean numbered = FALSE;
    for (guint i = stretch->first; i < stretch->end; i++) {
        const DocumentSection *section = g_ptr_array_index(setter->document->sections, i);
        for (guint j = 0; j < section->blocks->len; j++)
            numbered |= number_block(setter, g_ptr_array_index(section->blocks, j), firsts);
    }
    return numbered;
}

/* The words say on which page a section starts: known only now, and written into the document so
 * that its twins and whoever reads it back have them too.  What has such words is measured again. */
static void number_pages(const Leaves *leaves, const LeafPlan *plan)
{
    g_autoptr(GArray) firsts = g_array_new(FALSE, FALSE, sizeof(FirstPage));
    int page = 1;
    for (guint s = 0; s < leaves->count; s++) {
        first_pages(&leaves->stretches[s], &plan->settings[s], plan->pages[s], page, firsts);
        page += plan->pages[s];
    }
    measures_forget(leaves->setter);
    for (guint s = 0; s < leaves->count; s++)
        if (number_stretch(leaves->setter, &leaves->stretches[s], firsts))
            memset(leaves->stretches[s].pieces, 0, (gsize)page_level_most * sizeof(GPtrArray *));
}

static gboolean plan_leaves(Leaves *leaves, LeafPlan *best)
{
    LeafPlan plan = {.cost = 0};
    best->cost = NEVER;
    leaves->count = 0;
    measure_all(leaves);
    choose(leaves, 0, 1, &plan, best);
    return best->cost < NEVER;
}

/* How often a leaf is turned where the work should lie open. */
static guint leaves_turned(const Leaves *leaves, const LeafPlan *plan)
{
    guint turned = 0;
    int page = 1;
    for (guint s = 0; s < leaves->count; s++) {
        turned += cost_of_place(&leaves->stretches[s], page, plan->pages[s]) > 0;
        page += plan->pages[s];
    }
    return turned;
}

/* The stretch with the kit, or the kits, goes on one page. */
static gboolean kit_has_room(const Leaves *leaves, const LeafPlan *plan)
{
    for (guint s = 0; s < leaves->count; s++)
        if (plan->pages[s] > 1 && (s == 0 || strcmp(leaves->stretches[s].section->role, "kits") == 0))
            return FALSE;
    return TRUE;
}

/* Where a page has no room for its kit, that stands at the end if all then goes better on its pages, and the work
 * lies open as it did. */
static gboolean plan_with_kit(Leaves *leaves, LeafPlan *plan)
{
    gboolean fits = plan_leaves(leaves, plan);
    double cost = plan->cost;
    guint turned = fits ? leaves_turned(leaves, plan) : G_MAXUINT;
    if ((fits && kit_has_room(leaves, plan)) || !kit_to_end(leaves->setter))
        return fits;
    if (plan_leaves(leaves, plan) && plan->cost + COST_KIT < cost && leaves_turned(leaves, plan) <= turned)
        return TRUE;
    kit_back(leaves->setter);
    return plan_leaves(leaves, plan);
}

/* Once the numbers of pages stand in the words, each stretch is set again as it was planned.  FALSE
 * when a number was so much longer that it does not fit any more. */
static gboolean set_again(Leaves *leaves, LeafPlan *plan)
{
    int page = 1;
    for (guint s = 0; s < leaves->count; s++) {
        const Stretch *stretch = &leaves->stretches[s];
        Setting *setting = &plan->settings[s];
        const GPtrArray *pieces = pieces_at(leaves->setter, stretch, setting->level);
        if (part(leaves->setter, pieces, plan->pages[s], page, setting->starts + 1) >= NEVER)
            return FALSE;
        page += plan->pages[s];
    }
    return TRUE;
}

void pages_of_sheet(Setter *setter, GPtrArray *pages, Diagnostics *diagnostics)
{
    Leaves leaves = {.setter = setter};
    LeafPlan *plan = arena_new0(setter->arena, LeafPlan);
    kit_note_take(setter);
    if (!plan_with_kit(&leaves, plan)) {
        say_what_fits_nowhere(&leaves, diagnostics);
        return;
    }
    number_pages(&leaves, plan);
    if (!set_again(&leaves, plan) && !plan_leaves(&leaves, plan)) {
        say_what_fits_nowhere(&leaves, diagnostics);
        return;
    }
    for (guint s = 0; s < leaves.count; s++)
        for (int i = 0; i < plan->pages[s]; i++) {
            const Stretch *stretch = &leaves.stretches[s];
            const Setting *setting = &plan->settings[s];
            const GPtrArray *pieces = stretch->pieces[setting->level];
            guint until = i + 1 < plan->pages[s] ? setting->starts[i + 1] : pieces->len;
            const Leaf leaf = {pieces, setting->starts[i], until};
            put_page(setter, stretch, setting, leaf, pages);
        }
    for (guint i = 0; i < pages->len; i++) {
        setter->pile.open = g_ptr_array_index(pages, i);
        add_sheet_foot(setter, (int)i + 1, (int)pages->len);
    }
}
