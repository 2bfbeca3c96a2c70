/* page_furniture: running head and foot, and the marks of a draft and of an invented clinic. */
#include <string.h>

#include "page/parts.h"

static const char *page_words(const Setter *setter, int page, int pages)
{
    g_autoptr(GString) text = g_string_new(setter->document->page_of);
    g_autofree char *number = g_strdup_printf("%d", page);
    g_autofree char *total = g_strdup_printf("%d", pages);
    g_string_replace(text, "{page}", number, 0);
    g_string_replace(text, "{pages}", total, 0);
    return arena_copy(setter->arena, text->str);
}

static void add_pale_words(Setter *setter, const char *text)
{
    InkRun *words = arena_new0(setter->arena, InkRun);
    *words = (InkRun){text, TRUE, NULL};
    PageBox *mark = box_add(&setter->pile, BOX_MARK, 0, 0, setter->spec.width, setter->spec.height);
    mark->style = (InkStyle){.size = 60, .bold = TRUE, .grey = 0.88, .align = INK_CENTRE};
    mark->runs = words;
    mark->count = 1;
}

/* Above the block, where no word of the sheet stands and nothing has to make room.  White on black stays
 * what it is on any copy, and looks like no instruction. */
static void add_banner(Setter *setter, const char *text)
{
    const InkRun words = {text, TRUE, NULL};
    InkStyle style = {.size = MARK_POINTS, .bold = TRUE, .leading = 1.0, .align = INK_CENTRE, .grey = 1};
    double x = setter->spec.margin, full = line_height(setter, style, line_of_words(setter, text), BLOCK_WIDTH);
    gboolean tall = full > BANNER_HEIGHT; /* a script whose letters are set larger beside others; here none are */
    if (tall)
        style.size *= BANNER_LETTERS / full;
    box_add(&setter->pile, BOX_FILL, x, BANNER_TOP, BLOCK_WIDTH, BANNER_HEIGHT);
    double high = add_runs(setter, NULL, style, &words, 1, x,
                           BANNER_TOP + (tall ? BANNER_DROP_TALL : BANNER_DROP), BLOCK_WIDTH);
    box_move(last_box(setter), 0, (BANNER_HEIGHT - high) / 4);
}

void add_marks(Setter *setter)
{
    if (setter->document->draft)
        add_pale_words(setter, setter->document->draft);
    if (setter->document->banner)
        add_banner(setter, setter->document->banner);
}

#define CLINIC_ROOM 60.0
#define MARK_SIDE 6.3

/* What the clinic's name takes of a head, and no more than so much. */
static double clinic_width(const Setter *setter, double most)
{
    const InkRun run = {setter->document->clinic, FALSE, NULL};
    return setter->document->clinic
               ? MIN(most, ink_text_width(setter->ink, grid_type(setter->print, TYPE_SMALL), &run, 1) + 0.5) : 0;
}

static double add_clinic(Setter *setter, const char *tag, double x, double y, double most)
{
    double width = clinic_width(setter, most);
    if (width == 0)
        return 0;
    InkStyle style = grid_type(setter->print, TYPE_SMALL);
    style.align = INK_RIGHT;
    style.grey = 0.2;
    const InkRun run = {setter->document->clinic, FALSE, NULL};
    add_runs(setter, tag, style, &run, 1, x + BLOCK_WIDTH - width, y, width);
    return width;
}

/* White on black is A, black on white is B: both survive any copy. */
static double add_mark(Setter *setter, const char *mark, double x, double y)
{
    gboolean first = strcmp(mark, "A") == 0;
    const InkRun run = {mark, TRUE, NULL};
    InkStyle style = {.size = MARK_POINTS, .bold = TRUE, .leading = 1.1, .align = INK_CENTRE, .grey = first ? 1 : 0};
    if (first)
        box_add(&setter->pile, BOX_FILL, x, y, MARK_SIDE, MARK_SIDE);
    add_frame(setter, INK_STRONG, x, y, MARK_SIDE, MARK_SIDE, 0);
    add_runs(setter, NULL, style, &run, 1, x,
             y + MARK_DROP + (MARK_SIDE - style.size * INK_POINT * style.leading) / 2, MARK_SIDE);
    return MARK_SIDE + 3;
}

#define HEAD_GAP 4.0 /* between what stands at the two ends of a head */

/* Of small words; none: 0. */
static double own_width(const Setter *setter, const char *words)
{
    const InkRun run = {words, FALSE, NULL};
    return words ? ink_text_width(setter->ink, grid_type(setter->print, TYPE_SMALL), &run, 1) + 0.5 : 0;
}

/* A head has "the date was typed in" at its far end; in large print the foot has it. */
static double dated_width(const Setter *setter)
{
    return setter->large ? 0 : own_width(setter, setter->document->dated);
}

static double add_dated(Setter *setter, const char *tag, double x, double y, double width)
{
    const InkRun run = {setter->document->dated, FALSE, NULL};
    InkStyle style = grid_type(setter->print, TYPE_SMALL);
    style.align = INK_RIGHT;
    return add_runs(setter, tag, style, &run, 1, x, y, width);
}

double head_beyond_line(const Setter *setter)
{
    InkStyle style = grid_type(setter->print, TYPE_BODY);
    double most = 0, one = style.size * INK_POINT * style.leading * setter->tall;
    for (guint i = 0; i < setter->document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(setter->document->sections, i);
        const Line *head = section->head ? section->head : setter->document->head;
        double width = BLOCK_WIDTH - (section->mark ? MARK_SIDE + 3 : 0);
        double natural = head ? width_of(setter, TYPE_BODY, head) + 0.5 : 0, dated = dated_width(setter);
        double below = dated > 0 && natural + HEAD_GAP + dated > width
                           ? grid_type(PRINT_ORDINARY, TYPE_SMALL).size * INK_POINT * 1.25 : 0;
        double high = head ? line_height(setter, style, head, width) : 0;
        /* One line of a tall script in large print is higher than the room for it. */
        most = MAX(most, below + MAX(high - MIN(one, HEAD_ROOM), 0));
    }
    return most;
}

void add_sheet_head(Setter *setter, const DocumentSection *section)
{
    const Line *head = section->head ? section->head : setter->document->head;
    double y = setter->spec.top - setter->head_room, x = setter->spec.margin;
    if (section->mark)
        x += add_mark(setter, section->mark, x, y);
    double width = setter->spec.margin + BLOCK_WIDTH - x, natural = head ? width_of(setter, TYPE_BODY, head) + 0.5 : 0;
    if (head)
        add_line(setter, NULL, grid_type(setter->print, TYPE_BODY), head, x, y, MIN(width, natural));
    double dated = dated_width(setter);
    if (dated > 0) {
        gboolean beside = natural + HEAD_GAP + dated <= width;
        double below = beside || !head ? 0 : line_height(setter, grid_type(setter->print, TYPE_BODY), head, width);
        add_dated(setter, NULL, setter->spec.margin + BLOCK_WIDTH - dated, y + (beside ? 0.9 : below), dated);
    } else if (clinic_width(setter, BLOCK_WIDTH) <= width - natural - HEAD_GAP) /* it stands whole on page one */
        add_clinic(setter, NULL, setter->spec.margin, y + 0.4, width - natural - 4);
}

static double add_foot_number(Setter *setter, double x, double y)
{
    const Line *line = setter->document->foot_call;
    guint first = 0;
    while (first + 1 < line->runs->len && !((const Run *)g_ptr_array_index(line->runs, first))->dial)
        first++;
    const Run *number = g_ptr_array_index(line->runs, first);
    const InkRun run = {number->text, TRUE, number->dial};
    InkStyle style = grid_type(setter->print, TYPE_FOOT_NUMBER);
    double width = ink_text_width(setter->ink, style, &run, 1) + 1;
    add_runs(setter, NULL, style, &run, 1, x, y, width);
    return width;
}

#define PAGE_WORDS 34.0 /* of "page 10 of 12" in large print */

/* Sheet and order above, the spoken code and the page below. */
typedef struct FootEnd {
    InkRun all, upper, lower, page; /* lower.text: NULL when all of it stands above */
    double width, numbered;         /* mm, of both lines and of the page's words */
} FootEnd;

#define FOOT_PART " \302\267 "

static FootEnd foot_end(const Setter *setter, const char *page)
{
    InkStyle small = grid_type(setter->print, TYPE_SMALL);
    const char *all = setter->document->foot, *last = g_strrstr(all, FOOT_PART);
    FootEnd end = {.all = {all, FALSE, NULL}, .upper = {all, FALSE, NULL}, .page = {page, FALSE, NULL}};
    if (last) {
        end.upper.text = arena_format(setter->arena, "%.*s \302\267", (int)(last - all), all);
        end.lower.text = arena_format(setter->arena, "%s" FOOT_PART, last + strlen(FOOT_PART));
    }
    end.numbered = ink_text_width(setter->ink, small, &end.page, 1) + 0.5;
    double lower = end.lower.text ? ink_text_width(setter->ink, small, &end.lower, 1) + 1 : 0;
    end.width = larger(ink_text_width(setter->ink, small, &end.upper, 1) + 0.5, lower + end.numbered);
    return end;
}

/* Beside the number who answers, at the end sheet, order, code and page; in large print they
 * stand below the number, so that who answers has room. */
void add_sheet_foot(Setter *setter, int page, int pages)
{
    double x = setter->spec.margin, y = setter->spec.height - setter->spec.bottom + FOOT_AIR;
    InkStyle small = grid_type(setter->print, TYPE_SMALL), end = small;
    const Document *document = setter->document;
    const FootEnd foot = foot_end(setter, page_words(setter, page, pages));
    double right = setter->large ? PAGE_WORDS : MIN(84, foot.width);
    end.align = INK_RIGHT;
    add_rule(setter, INK_STRONG, x, y, x + BLOCK_WIDTH, y);
    box_open(&setter->pile, NULL)->links = TRUE;
    double number = add_foot_number(setter, x, y + 1.5) + 4, beside = 0;
    if (document->foot_more)
        beside = add_line(setter, NULL, small, document->foot_more, x + number, y + 2.2,
                          BLOCK_WIDTH - number - right - 2);
    box_close(&setter->pile);
    double below = y + 2.2;
    if (setter->large) {
        double dated = own_width(setter, document->dated), low = below + MAX(beside, 9.5);
        add_runs(setter, NULL, small, &foot.all, 1, x, low, BLOCK_WIDTH - (dated > 0 ? dated + HEAD_GAP : 0));
        if (dated > 0)
            add_dated(setter, NULL, x + BLOCK_WIDTH - dated, low, dated);
    } else {
        below += add_runs(setter, NULL, end, &foot.upper, 1, x + BLOCK_WIDTH - right, below, right);
        if (foot.lower.text)
            add_runs(setter, NULL, end, &foot.lower, 1, x + BLOCK_WIDTH - right, below, right - foot.numbered);
    }
    add_runs(setter, NULL, end, &foot.page, 1, x + BLOCK_WIDTH - foot.numbered, below, foot.numbered);
}

static double bottom_of_last(Setter *setter) { return last_box(setter)->y + last_box(setter)->height; }

/* The clinic's name, and below it that the date was typed in; returns where they end. */
static double put_far_end(Setter *setter, double *width)
{
    double clinic = add_clinic(setter, "P", 0, 0.6, CLINIC_ROOM + 30), dated = dated_width(setter);
    double bottom = clinic > 0 ? bottom_of_last(setter) : 0;
    *width = clinic;
    if (dated <= 0)
        return bottom;
    add_dated(setter, "P", BLOCK_WIDTH - dated, larger(5.2, bottom), dated); /* a long name takes several lines */
    *width = larger(clinic, dated);
    return bottom_of_last(setter);
}

/* Beside what stands at the far end where that reaches so low and the title so far. */
static double title_width(const Setter *setter, InkStyle style, const InkRun *title, double y, double far,
                          double bottom)
{
    gboolean beside = bottom > y && ink_text_width(setter->ink, style, title, 1) > BLOCK_WIDTH - far - 3;
    return beside ? BLOCK_WIDTH - far - 3 : BLOCK_WIDTH;
}

void piece_of_title(Setter *setter)
{
    const Document *document = setter->document;
    Piece *piece = piece_open(setter, 0);
    double height = 0;
    piece->begins = document->title;
    piece->keep = piece->band = TRUE;
    double far, bottom = put_far_end(setter, &far);
    TypeSize person = document->list ? TYPE_SMALL : TYPE_PERSON, title = document->list ? TYPE_BAND : TYPE_TITLE;
    double above = document->list ? bottom : 0; /* the title of a list does not reach what stands at the far end */
    if (document->person)
        height += add_line(setter, "P", grid_type(setter->print, person), document->person, 0, 0,
                           BLOCK_WIDTH - clinic_width(setter, CLINIC_ROOM + 30) - 3);
    const InkRun run = {document->title, TRUE, NULL};
    height = larger(height, above);
    const InkStyle style = style_of(setter, title);
    height += add_runs(setter, "H1", style, &run, 1, 0, height, title_width(setter, style, &run, height, far, bottom));
    last_box(setter)->bookmark = 1;
    piece_close(setter, piece, larger(height, bottom));
}

void piece_of_making(Setter *setter)
{
    if (!setter->document->made)
        return;
    Piece *piece = piece_open(setter, setter->level->row_gap);
    piece->begins = line_text(setter->arena, setter->document->made);
    piece_close(setter, piece, add_line(setter, "P", grid_type(setter->print, TYPE_SMALL), setter->document->made, 0, 0,
                                        BLOCK_WIDTH));
}
