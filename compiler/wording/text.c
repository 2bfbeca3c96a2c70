/* wording_text: the document as plain text, the same words in the same order. */
#include <string.h>

#include "wording/parts.h"

static void print_line(GString *out, const char *lead, const Line *line)
{
    g_string_append(out, lead);
    for (guint i = 0; i < line->runs->len; i++)
        g_string_append(out, ((const Run *)g_ptr_array_index(line->runs, i))->text);
    g_string_append_c(out, '\n');
}

static void print_figures(GString *out, const Block *block)
{
    for (guint i = 0; i < block->figures->len; i++) {
        const Figure *figure = g_ptr_array_index(block->figures, i);
        if (figure->shape.kind == FIGURE_CODE) /* means nothing without its picture */
            continue;
        g_string_append_printf(out, "      (%s)\n", figure->alt);
    }
}

static const char *lead_of(const Block *block, GString *number)
{
    g_string_truncate(number, 0);
    switch (block->kind) {
    case BLOCK_LIST: return "  - ";
    case BLOCK_TICK:
    case BLOCK_ITEM: return "  [ ] ";
    case BLOCK_PANEL:
        g_string_printf(number, "  %d%s  ", block->number, block->half ? block->half : "");
        return number->str;
    case BLOCK_STOP: return "  * ";
    case BLOCK_PHONE: return "  ";
    case BLOCK_WRITE: return "  ________ ";
    case BLOCK_TEXT:
    case BLOCK_CALL:
    case BLOCK_LADDER:
    case BLOCK_RUNG:
    case BLOCK_FIGURE:
    case BLOCK_KIT:
    case BLOCK_BAND:
    case BLOCK_GO:
    case BLOCK_LOOP:
    case BLOCK_NOTE:
    case BLOCK_WHEN:
    case BLOCK_PAIR:
    case BLOCK_COLUMNS:
    case BLOCK_SAY:
    case BLOCK_WRITES:
    case BLOCK_TABLE:
    case BLOCK_HOURS:
    case BLOCK_NIGHT:
    case BLOCK_REMARKS:
    case BLOCK_ROW: return "";
    }
    g_assert_not_reached();
}

static void print_rung(GString *out, const Block *block)
{
    if (block->title)
        print_line(out, "  ", block->title);
    const Line *clock = g_ptr_array_index(block->lines, 0);
    const Run *time = g_ptr_array_index(clock->runs, 0);
    g_string_append_printf(out, "  [ ] %s  ", time->text);
    for (guint i = 1; i < block->lines->len; i++)
        print_line(out, i > 1 ? "      " : "", g_ptr_array_index(block->lines, i));
}

/* Lines that say more of the first one. */
static gboolean explains(BlockKind kind)
{
    return kind == BLOCK_PANEL || kind == BLOCK_ITEM || kind == BLOCK_PHONE;
}

static void print_words(GString *out, const Line *line)
{
    for (guint i = 0; line && i < line->runs->len; i++)
        g_string_append(out, ((const Run *)g_ptr_array_index(line->runs, i))->text);
}

/* "A  10:45 pm  Fill the syringe  (what the thick line means)". */
static void print_heading(GString *out, const Block *block)
{
    if (!block->title && !block->clock && !block->aside)
        return;
    const Line *words[] = {block->clock, block->title, block->aside};
    gboolean begun = block->mark != NULL;
    g_string_append(out, block->mark ? block->mark : "");
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        if (!words[i])
            continue;
        g_string_append(out, begun ? "  " : "");
        print_words(out, words[i]);
        begun = TRUE;
    }
    g_string_append_c(out, '\n');
}

/* Cells one beside the other; an empty one is to be written in. */
static void print_row(GString *out, const Block *block)
{
    for (guint i = 0; i < block->lines->len; i++) {
        const Line *cell = g_ptr_array_index(block->lines, i);
        g_string_append(out, "  ");
        if (cell->runs->len > 0)
            print_words(out, cell);
        else
            g_string_append(out, "________");
    }
    g_string_append_c(out, '\n');
}

static void print_block(GString *out, const Block *block);

static void print_items(GString *out, const Block *block)
{
    for (guint i = 0; i < block->items->len; i++)
        print_block(out, g_ptr_array_index(block->items, i));
}

static void print_block(GString *out, const Block *block)
{
    g_autoptr(GString) number = g_string_new(NULL);
    if (block->kind == BLOCK_RUNG) {
        print_rung(out, block);
        return;
    }
    if (block->kind == BLOCK_ROW) {
        print_row(out, block);
        return;
    }
    print_heading(out, block);
    if (block->kind == BLOCK_TABLE) {
        print_row(out, block);
        print_items(out, block);
        return;
    }
    const char *lead = lead_of(block, number);
    for (guint i = 0; i < block->lines->len; i++)
        print_line(out, i > 0 && explains(block->kind) ? "      " : lead, g_ptr_array_index(block->lines, i));
    print_figures(out, block);
    print_items(out, block);
}

void wording_text(const Document *document, GString *out)
{
    print_line(out, "", document->head);
    g_string_append_printf(out, "\n%s\n\n", document->title);
    if (document->banner)
        g_string_append_printf(out, "%s\n\n", document->banner);
    for (guint i = 0; i < document->sections->len; i++) {
        const DocumentSection *section = g_ptr_array_index(document->sections, i);
        if (section->heading) {
            print_line(out, "\n", section->heading);
            g_string_append_c(out, '\n');
        }
        for (guint j = 0; j < section->blocks->len; j++) {
            print_block(out, g_ptr_array_index(section->blocks, j));
            g_string_append_c(out, '\n');
        }
    }
    print_line(out, "", document->foot_call);
    g_string_append_printf(out, "%s\n", document->foot);
    if (document->dated)
        g_string_append_printf(out, "%s\n", document->dated);
}
