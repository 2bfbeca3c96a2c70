/* output_rims: see output_rims.h. */
#include "output/rims.h"

#include <math.h>
#include <string.h>

#include "output/content.h"

#define OPERANDS 6
#define DEEPEST 32
#define MM (72 / 25.4)
#define SLACK (0.1 * MM)
#define FEWEST_MARKS 3  /* below that it is no scale */
#define SURELY_MARKS 10 /* fewer are one when a pointer stands beside them */

typedef struct Matrix {
    double a, b, c, d, e, f;
} Matrix;

typedef struct Point {
    double x, y;
} Point;

typedef struct Stroke {
    double x, bottom; /* upright; bottom is the lower end on the page */
} Stroke;

typedef struct Scan {
    const char *name; /* the last one read */
    Token operands[OPERANDS]; /* the last ones, in a ring */
    guint count;
    Matrix matrix, kept[DEEPEST];
    double width, kept_width[DEEPEST];
    int depth, marked;    /* of q, of marked content */
    Point points[2];      /* of the path, as far as it is one line */
    int point_count, figure_at;
    GArray *ticks;        /* of Stroke, in this figure */
    GArray *rims;         /* of Stroke: what may be the rim */
    DrawnFigures *out;
} Scan;

/* ---- a figure ends ---- */

static int by_place(gconstpointer left, gconstpointer right)
{
    const Stroke *a = left, *b = right;
    if (fabs(a->bottom - b->bottom) > 0.1)
        return a->bottom < b->bottom ? -1 : 1;
    return a->x < b->x ? -1 : a->x > b->x;
}

/* The rim is drawn from wall to wall: it ends where the marks do.  An arrow does not. */
static void point_at_rim(const Scan *scan, double bottom, DrawnSyringe *syringe)
{
    for (guint i = 0; i < scan->rims->len; i++) {
        const Stroke *rim = &g_array_index(scan->rims, Stroke, i);
        if (fabs(rim->bottom - bottom) > 0.1)
            continue;
        syringe->rim = rim->x;
        syringe->pointed = TRUE;
    }
}

/* The marks of a barrel end on one line: the longest row of upright strokes. */
static void end_figure(Scan *scan)
{
    DrawnSyringe best = {.figure = scan->out->count};
    double bottom = 0;
    g_array_sort(scan->ticks, by_place);
    for (guint i = 0, first = 0; i < scan->ticks->len; i++) {
        const Stroke *tick = &g_array_index(scan->ticks, Stroke, i);
        const Stroke *start = &g_array_index(scan->ticks, Stroke, first);
        if (tick->bottom - start->bottom > 0.1) {
            first = i;
            start = tick;
        }
        if (i - first + 1 > best.marks) {
            best.marks = i - first + 1;
            best.zero = start->x;
            best.last = tick->x;
            bottom = start->bottom;
        }
    }
    point_at_rim(scan, bottom, &best);
    if (best.marks >= (best.pointed ? FEWEST_MARKS : SURELY_MARKS))
        g_array_append_val(scan->out->syringes, best);
}

/* ---- operators ---- */

static Matrix times(Matrix m, Matrix n)
{
    return (Matrix){m.a * n.a + m.b * n.c,       m.a * n.b + m.b * n.d,       m.c * n.a + m.d * n.c,
                    m.c * n.b + m.d * n.d,       m.e * n.a + m.f * n.c + n.e, m.e * n.b + m.f * n.d + n.f};
}

/* Counted from the last one, which is 1. */
static double operand(const Scan *scan, guint from_last)
{
    return token_number(&scan->operands[(scan->count - from_last) % OPERANDS]);
}

static void add_point(Scan *scan)
{
    if (scan->count < 2)
        return;
    const Matrix *m = &scan->matrix;
    if (scan->point_count < 2) {
        double x = operand(scan, 2), y = operand(scan, 1);
        scan->points[scan->point_count] = (Point){x * m->a + y * m->c + m->e, x * m->b + y * m->d + m->f};
    }
    scan->point_count++;
}

/* An upright line: a mark when it is short, the pointer at the rim when it is long and strong. */
static void stroke(Scan *scan)
{
    double tall = fabs(scan->points[0].y - scan->points[1].y) / MM;
    double width = scan->width * sqrt(fabs(scan->matrix.a * scan->matrix.d - scan->matrix.b * scan->matrix.c)) / MM;
    if (scan->point_count != 2 || fabs(scan->points[0].x - scan->points[1].x) > 0.03)
        return;
    const Stroke upright = {scan->points[0].x, MIN(scan->points[0].y, scan->points[1].y)};
    if (width > 0.6 && tall > 5)
        g_array_append_val(scan->rims, upright);
    else if (tall > 0.5 && (tall < 6 || (tall < 12 && width < 0.4))) /* the long marks of a wide barrel */
        g_array_append_val(scan->ticks, upright);
}

static void begin_marked(Scan *scan)
{
    scan->marked++;
    if (scan->figure_at || !scan->name || strncmp(scan->name, "/Figure", 7) != 0)
        return;
    scan->figure_at = scan->marked;
    scan->out->count++;
    g_array_set_size(scan->rims, 0);
    g_array_set_size(scan->ticks, 0);
}

static void end_marked(Scan *scan)
{
    if (scan->figure_at && scan->figure_at == scan->marked) {
        end_figure(scan);
        scan->figure_at = 0;
    }
    scan->marked--;
}

/* The content is cairo's own, which keeps few and restores no more than it kept. */
static void keep_or_restore(Scan *scan, gboolean keep)
{
    if (keep) {
        g_assert(scan->depth < DEEPEST);
        scan->kept[scan->depth] = scan->matrix;
        scan->kept_width[scan->depth++] = scan->width;
    } else {
        g_assert(scan->depth > 0);
        scan->matrix = scan->kept[--scan->depth];
        scan->width = scan->kept_width[scan->depth];
    }
}

static void operate(Scan *scan, const Token *token)
{
    char single = token->length == 1 ? *token->start : '\0';
    if (single == 'm' || single == 'l') {
        add_point(scan);
    } else if (single == 'c' || single == 'v' || single == 'y' || single == 'h') {
        scan->point_count += 3; /* no single line */
    } else if (single == 'S') {
        if (scan->figure_at)
            stroke(scan);
        scan->point_count = 0;
    } else if (single != '\0' && strchr("fFBbsn", single)) {
        scan->point_count = 0;
    } else if (single == 'q' || single == 'Q') {
        keep_or_restore(scan, single == 'q');
    } else if (single == 'w' && scan->count > 0) {
        scan->width = operand(scan, 1);
    } else if (token_is(token, "cm") && scan->count >= OPERANDS) {
        const Matrix more = {operand(scan, 6), operand(scan, 5), operand(scan, 4),
                             operand(scan, 3), operand(scan, 2), operand(scan, 1)};
        scan->matrix = times(more, scan->matrix);
    } else if (token_is(token, "BDC") || token_is(token, "BMC")) {
        begin_marked(scan);
    } else if (token_is(token, "EMC")) {
        end_marked(scan);
    } else if (token->length == 2) {
        scan->point_count = token_is(token, "re") ? scan->point_count + 4 : 0; /* f*, B*, b* end a path */
    }
    scan->count = 0;
    scan->name = NULL;
}

/* ---- tokens ---- */

void output_rims_of(const char *content, gsize length, DrawnFigures *out)
{
    ContentScan tokens = {content, content + length};
    Scan scan = {.matrix = {1, 0, 0, 1, 0, 0}, .width = 1, .out = out};
    Token token;
    scan.ticks = g_array_new(FALSE, FALSE, sizeof(Stroke));
    scan.rims = g_array_new(FALSE, FALSE, sizeof(Stroke));
    while (content_next(&tokens, &token)) {
        if (token.kind == TOKEN_NUMBER)
            scan.operands[scan.count++ % OPERANDS] = token;
        else if (token.kind == TOKEN_OPERATOR)
            operate(&scan, &token);
        else if (!scan.name) /* the tag, not a key of what follows it */
            scan.name = token.start;
    }
    g_array_unref(scan.ticks);
    g_array_unref(scan.rims);
}

/* ---- against the plan ---- */

static double number_of(Rational value) { return (double)value.num / (double)value.den; }

static double ml(const Amount *amount) { return number_of(quantity_in(amount->quantity, UNIT_mL).number); }

static gboolean is_syringe(FigureKind kind)
{
    return kind == FIGURE_SYRINGE_ADD || kind == FIGURE_SYRINGE_DOSE || kind == FIGURE_SYRINGE_GIVE;
}

static void add_shape(const PageBox *box, double left, gpointer shapes)
{
    (void)left;
    if (box->kind == BOX_DRAWING && box->alt)
        g_ptr_array_add(shapes, (gpointer)box->shape);
}

void output_rims_sift(GArray *syringes, const GPtrArray *pages)
{
    g_autoptr(GPtrArray) shapes = g_ptr_array_new();
    for (guint i = 0; i < pages->len; i++)
        box_visit(g_ptr_array_index(pages, i), add_shape, shapes);
    for (guint i = syringes->len; i-- > 0;) {
        DrawnSyringe *drawn = &g_array_index(syringes, DrawnSyringe, i);
        drawn->shape = drawn->figure >= 1 && drawn->figure <= shapes->len
                           ? g_ptr_array_index(shapes, drawn->figure - 1) : NULL;
        if (drawn->shape && !is_syringe(drawn->shape->kind))
            g_array_remove_index(syringes, i);
    }
}

/* What the plan says, not what the picture was handed. */
static char *differs(const PlanInjection *injection, const Figure *figure, const DrawnSyringe *drawn)
{
    const Syringe *syringe = figure_syringe(injection, figure->shape.kind);
    double capacity = ml(&syringe->capacity);
    gboolean add = figure->shape.kind == FIGURE_SYRINGE_ADD;
    double volume = number_of(add ? injection->add_on_mark_ml : injection->volume_ml);
    double every = ml(&syringe->mark_every);
    guint marks = (guint)(capacity / every + 0.5) + 1;
    /* A barrel that is cut to its room shows its first marks, to the rim at least. */
    gboolean cut = drawn->marks < marks && (drawn->marks - 1) * every >= volume;
    double wanted = drawn->zero + (drawn->last - drawn->zero) * volume / ((drawn->marks - 1) * every);
    if (drawn->marks != marks && !cut)
        return g_strdup_printf("figure \"%s\" has %u marks of %u", figure->alt, drawn->marks, marks);
    if (!drawn->pointed || fabs(drawn->rim - wanted) > SLACK)
        return g_strdup_printf("figure \"%s\" has its rim %.2f mm off", figure->alt,
                               drawn->pointed ? (drawn->rim - wanted) / MM : INFINITY);
    return NULL;
}

typedef struct Match {
    const GArray *drawn;
    const PlanInjection *injection;
    guint next;
    char *fault;
} Match;

/* The one that was drawn of this figure, or, where that is not known, the next. */
static const DrawnSyringe *drawn_of(Match *match, const Figure *figure)
{
    guint next = match->next++;
    for (guint i = 0; i < match->drawn->len; i++) {
        const DrawnSyringe *drawn = &g_array_index(match->drawn, DrawnSyringe, i);
        if (drawn->shape == &figure->shape || (!drawn->shape && i == next))
            return drawn;
    }
    return NULL;
}

static void match_block(Match *match, const Block *block)
{
    for (guint i = 0; i < block->figures->len; i++) {
        const Figure *figure = g_ptr_array_index(block->figures, i);
        if (!is_syringe(figure->shape.kind) || match->fault)
            continue;
        const DrawnSyringe *drawn = drawn_of(match, figure);
        match->fault = drawn ? differs(match->injection, figure, drawn)
                             : g_strdup_printf("figure \"%s\" is not drawn", figure->alt);
    }
    for (guint i = 0; i < block->items->len; i++)
        match_block(match, g_ptr_array_index(block->items, i));
}

char *output_rims_differ(const Document *document, const GArray *drawn)
{
    Match match = {.drawn = drawn};
    for (const Document *part = document; part; part = part->second) {
        for (guint i = 0; i < part->sections->len; i++) {
            const DocumentSection *section = g_ptr_array_index(part->sections, i);
            match.injection = section->injection ? section->injection : part->injection;
            for (guint j = 0; j < section->blocks->len; j++)
                match_block(&match, g_ptr_array_index(section->blocks, j));
        }
    }
    if (!match.fault && match.next != drawn->len)
        match.fault = g_strdup_printf("%u syringes are drawn, %u are meant", drawn->len, match.next);
    return match.fault;
}
