/* page_rows: panels in rows that hang from rails.  A rail runs the way of the eye and is
 * thick where a needle is bare. */
#include "page/parts.h"

#define MOST_IN_ROW 3
#define PARTS 24
#define LEAST_LARGE 11      /* parts of a panel in large print: half a row, or nearly */
#define RAIL_TOP 0.7        /* from a row's top to the middle of its rail */
#define ARROW 2.6           /* length of its head, of a thin rail */
#define COST_TOO_WIDE 1000.0 /* of a picture that does not fit, of a word wider than its column */
#define FULL_GAP 0.61       /* between the rows of a full page, mm */
#define FULLEST_GAP 0.41    /* of the last level, which takes the lowest rows of all */
#define COST_ROW 2.0        /* mm: fewer rows are easier to follow */
#define COST_LONE 3.0       /* a lone panel's words run over the whole page */

/* Ways to share a row out, in 24ths: thirds, halves or one; on the fullest pages also between them, where words
 * of unequal length then take fewer lines. */
typedef struct RowForm { guint count; int parts[MOST_IN_ROW]; gboolean full; } RowForm;
static const RowForm forms[] = {
    {1, {24}, FALSE},       {2, {12, 12}, FALSE},   {2, {8, 16}, FALSE},    {2, {16, 8}, FALSE},
    {3, {8, 8, 8}, FALSE},  {2, {10, 14}, TRUE},    {2, {14, 10}, TRUE},    {2, {11, 13}, TRUE},
    {2, {13, 11}, TRUE},    {2, {9, 15}, TRUE},     {2, {15, 9}, TRUE},     {2, {7, 17}, TRUE},
    {2, {17, 7}, TRUE},     {3, {10, 8, 6}, TRUE},  {3, {10, 6, 8}, TRUE},  {3, {8, 10, 6}, TRUE},
    {3, {6, 10, 8}, TRUE},  {3, {8, 6, 10}, TRUE},  {3, {6, 8, 10}, TRUE},  {3, {9, 8, 7}, TRUE},
    {3, {9, 7, 8}, TRUE},   {3, {8, 9, 7}, TRUE},   {3, {7, 9, 8}, TRUE},   {3, {8, 7, 9}, TRUE},
    {3, {7, 8, 9}, TRUE},
};

/* Parts of the rows' width have their gutters between them. */
static double part_width(const Setter *setter, int parts)
{
    return parts * (setter->rows_width + GUTTER) / PARTS - GUTTER;
}

typedef struct Row {
    guint from, count;
    const RowForm *form;
    double height; /* of the panels */
} Row;

/* The cheapest way to set the panels from here on. */
typedef struct RowChoice {
    double cost;
    Row row;
} RowChoice;

static double put_cell(Setter *setter, const Block *cell, double x, double y, double width)
{
    return cell->kind == BLOCK_PANEL ? put_panel(setter, cell, x, y, width) : put_block(setter, cell, x, y, width);
}

/* ---- choosing ---- */

static int narrowest(const RowForm *form)
{
    int least = PARTS;
    for (guint i = 0; i < form->count; i++)
        least = MIN(least, form->parts[i]);
    return least;
}

/* In large print what must stay on one page begins and ends with a row: the needle is not bared beside a panel before
 * it, nor what is done with a covered one begun beside the half that covered it. */
static gboolean widens_bare(const GPtrArray *cells, guint from, const RowForm *form)
{
    for (guint i = from; i + 1 < from + form->count; i++) {
        const Block *one = g_ptr_array_index(cells, i), *next = g_ptr_array_index(cells, i + 1);
        if ((one->needle == NEEDLE_COVERED && next->needle == NEEDLE_UNCOVERED) ||
            (one->needle == NEEDLE_PUT_AWAY && next->half))
            return TRUE;
    }
    return FALSE;
}

static gboolean may_stand(const Setter *setter, const GPtrArray *cells, guint from, const RowForm *form)
{
    if (from + form->count > cells->len || (setter->large && narrowest(form) < LEAST_LARGE) ||
        (form->full && setter->level->row_gap > FULL_GAP))
        return FALSE;
    if (setter->large && widens_bare(cells, from, form))
        return FALSE;
    for (guint i = 0; i < form->count; i++) {
        const Block *cell = g_ptr_array_index(cells, from + i);
        if (cell->columns > 0 && form->parts[i] < PARTS / COLUMNS * cell->columns)
            return FALSE;
    }
    return TRUE;
}

static double row_height(Setter *setter, const GPtrArray *cells, guint from, const RowForm *form, double *cost)
{
    double height = 0;
    const Scratch before = scratch_open(setter);
    for (guint i = 0; i < form->count; i++) {
        const Block *cell = g_ptr_array_index(cells, from + i);
        double width = part_width(setter, form->parts[i]);
        height = larger(height, put_cell(setter, cell, 0, 0, width));
        *cost += cell->kind == BLOCK_PANEL && panel_is_crowded(setter, cell, width) ? COST_TOO_WIDE : 0;
    }
    *cost += COST_TOO_WIDE * scratch_close(setter, before);
    *cost += height + setter->level->row_gap + setter->level->rail_drop + RAIL_TOP;
    if (setter->level->row_gap > FULLEST_GAP && !setter->large) /* large print has rows of two where that is lower */
        *cost += COST_ROW + (form->count == 1 ? COST_LONE : 0);
    return height;
}

static void choose_row(Setter *setter, const GPtrArray *cells, RowChoice *choices, guint from)
{
    choices[from].cost = G_MAXDOUBLE;
    for (gsize i = 0; i < G_N_ELEMENTS(forms); i++) {
        if (!may_stand(setter, cells, from, &forms[i]))
            continue;
        double cost = choices[from + forms[i].count].cost;
        double height = row_height(setter, cells, from, &forms[i], &cost);
        if (cost < choices[from].cost)
            choices[from] = (RowChoice){cost, {from, forms[i].count, &forms[i], height}};
    }
    g_assert(choices[from].cost < G_MAXDOUBLE); /* one panel may always stand alone */
}

static RowChoice *choose_rows(Setter *setter, const GPtrArray *cells)
{
    RowChoice *choices = arena_alloc(setter->arena, (cells->len + 1) * sizeof(RowChoice));
    choices[cells->len] = (RowChoice){.cost = 0};
    for (guint i = cells->len; i-- > 0;)
        choose_row(setter, cells, choices, i);
    return choices;
}

/* ---- rails ---- */

typedef struct Rail {
    Setter *setter;
    double y, from, end; /* from: where the stretch at hand began; end: of the row */
    gboolean bare;
} Rail;

/* A thick line's round end stays within the block. */
static void rail_line(const Rail *rail, double until)
{
    double weight = rail->bare ? RULE_BARE : RULE_WAY;
    add_rule(rail->setter, weight, rail->from + weight / 2, rail->y, until, rail->y);
}

static void rail_to(Rail *rail, double x, gboolean bare)
{
    if (rail->bare == bare)
        return;
    if (x > rail->from)
        rail_line(rail, x);
    rail->from = x;
    rail->bare = bare;
}

static void end_rail(Rail *rail)
{
    double head = rail->bare ? ARROW * 1.3 : ARROW;
    rail_line(rail, rail->end - head);
    box_add(&rail->setter->pile, BOX_ARROW, rail->end - head, rail->y - head * 0.45, head, head * 0.9);
}

/* How the needle is at the end of a panel. */
static gboolean bare_behind(const Block *cell, gboolean bare)
{
    switch (cell->kind == BLOCK_PANEL ? cell->needle : NEEDLE_COVERED) {
    case NEEDLE_UNCOVERED:
    case NEEDLE_BARE: return TRUE;
    case NEEDLE_PUT_AWAY: return FALSE;
    case NEEDLE_COVERED: break;
    }
    return cell->kind == BLOCK_PANEL ? FALSE : bare;
}

static gboolean put_rail(Setter *setter, const GPtrArray *cells, const Row *row, double y, gboolean bare)
{
    double x = setter->rows_left;
    Rail rail = {setter, y, x, x + setter->rows_width, bare};
    for (guint i = 0; i < row->count; i++) {
        const Block *cell = g_ptr_array_index(cells, row->from + i);
        double width = part_width(setter, row->form->parts[i]);
        NeedleState needle = cell->kind == BLOCK_PANEL ? cell->needle : NEEDLE_COVERED;
        if (needle == NEEDLE_BARE)
            rail_to(&rail, x, TRUE);
        else if (needle == NEEDLE_UNCOVERED)
            rail_to(&rail, x + setter->level->number, TRUE);
        else if (needle == NEEDLE_PUT_AWAY)
            rail_to(&rail, x + width / 2, FALSE);
        else if (cell->kind == BLOCK_PANEL)
            rail_to(&rail, x, FALSE);
        x += width + GUTTER;
    }
    end_rail(&rail);
    return rail.bare;
}

static double put_cells(Setter *setter, const GPtrArray *cells, const Row *row, double y)
{
    double x = setter->rows_left;
    box_open(&setter->pile, "L");
    for (guint i = 0; i < row->count; i++) {
        double width = part_width(setter, row->form->parts[i]);
        put_cell(setter, g_ptr_array_index(cells, row->from + i), x, y, width);
        if (i > 0) /* a picture at the end of one panel is not taken for the next one's */
            add_rule(setter, INK_FINE_LINE, x - GUTTER / 2, y, x - GUTTER / 2, y + row->height);
        x += width + GUTTER;
    }
    box_close(&setter->pile);
    return row->height;
}

static const char *first_words(const Setter *setter, const Block *cell)
{
    return cell->lines->len > 0 ? line_text(setter->arena, line_at(cell, 0)) : "";
}

gboolean pieces_of_rows(Setter *setter, const GPtrArray *cells, gboolean bare)
{
    const RowChoice *choices = choose_rows(setter, cells);
    const double drop = RAIL_TOP + setter->level->rail_drop;
    for (guint i = 0; i < cells->len; i += choices[i].row.count) {
        Piece *piece = piece_open(setter, setter->level->row_gap);
        piece->begins = first_words(setter, g_ptr_array_index(cells, i));
        piece->number = ((const Block *)g_ptr_array_index(cells, i))->number;
        piece->bare = bare = put_rail(setter, cells, &choices[i].row, RAIL_TOP, bare);
        piece_close(setter, piece, drop + put_cells(setter, cells, &choices[i].row, drop));
    }
    return bare;
}

/* ---- a track that is walked again ---- */

#define TRACK 1.8    /* from the block's edge to the track: half of its arrow */
#define TRACK_IN 4.5 /* and to the rows inside it */

static void set_rows(Setter *setter, double in)
{
    setter->rows_left = in;
    setter->rows_width = BLOCK_WIDTH - 2 * in;
}

/* The words of the way back, its pictures behind them. */
static double put_way_back(Setter *setter, const Block *loop, double y)
{
    double pictures = 0, x = BLOCK_WIDTH - 10;
    PageBox *white = box_add(&setter->pile, BOX_FILL, 6, y - 1, BLOCK_WIDTH - 12, 0);
    white->grey = 1;
    for (guint i = loop->figures->len; i-- > 0;) {
        const Figure *figure = g_ptr_array_index(loop->figures, i);
        const FigureRoom offered = {setter->level->picture, grid_type(setter->print, TYPE_BODY).size};
        x -= size_of(setter, &figure->shape, offered).width;
        pictures = larger(pictures, put_picture(setter, figure, x, y, offered.width).height);
        x -= GUTTER;
    }
    double words = put_lines(setter, loop, 0, TYPE_BODY, 10, y, x - 10);
    white->height = MAX(words, pictures) + 1;
    return MAX(words, pictures);
}

gboolean piece_of_loop(Setter *setter, const GPtrArray *cells, const Block *loop, gboolean bare)
{
    set_rows(setter, TRACK_IN);
    const RowChoice *choices = choose_rows(setter, cells);
    Piece *piece = piece_open(setter, setter->level->row_gap);
    piece->begins = first_words(setter, g_ptr_array_index(cells, 0));
    PageBox *track = add_frame(setter, RULE_BARE, TRACK, RAIL_TOP, BLOCK_WIDTH - 2 * TRACK, 0, 2 * RADIUS);
    double at = RAIL_TOP + setter->level->rail_drop;
    for (guint i = 0; i < cells->len; i += choices[i].row.count) {
        if (i > 0) {
            at += setter->level->row_gap + RAIL_TOP;
            put_rail(setter, cells, &choices[i].row, at, TRUE);
            at += setter->level->rail_drop;
        }
        at += put_cells(setter, cells, &choices[i].row, at);
    }
    bare = bare_behind(g_ptr_array_index(cells, cells->len - 1), bare);
    double back = put_way_back(setter, loop, at + 2);
    track->height = at + 2 + back / 2 - RAIL_TOP;
    set_rows(setter, 0);
    PageBox *head = box_add(&setter->pile, BOX_ARROW, 0, 8, 2 * TRACK, 4);
    head->upward = TRUE;
    piece->bare = bare;
    piece_close(setter, piece, at + 2 + back + MIN(1, setter->level->row_gap));
    return bare;
}
