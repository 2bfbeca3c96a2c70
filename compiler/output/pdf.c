/* output_pdf: a document as a PDF in memory. */
#include <cairo-pdf.h>
#include <string.h>

#include "drawing/drawing.h"
#include "output/output.h"
#include "output/finish.h"
#include "output/panels.h"
#include "output/reader.h"
#include "output/rims.h"
#include "output/trouble.h"
#include "page/page.h"

/* The file as cairo writes it, and who is shown each page. */
typedef struct Growing {
    GByteArray *bytes;
    Marker *marker;
} Growing;

#define STREAM_END "endstream\nendobj\n"

static cairo_status_t collect(void *closure, const unsigned char *data, unsigned int length)
{
    const Growing *file = closure;
    const gsize size = strlen(STREAM_END);
    g_byte_array_append(file->bytes, data, length);
    if (length >= size && memcmp(data + length - size, STREAM_END, size) == 0)
        output_marker_show(file->marker, file->bytes);
    return CAIRO_STATUS_SUCCESS;
}

/* The time of making is the plan's, so that the same input gives the same bytes. */
static void set_metadata(Arena *arena, cairo_surface_t *surface, const Document *document)
{
    const Value *clinic = plan_value(document->plan, NULL, VALUE_clinic_name);
    const char *made = instant_text(arena, document->plan->zone, document->made_at);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, document->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, clinic->text);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, document->subject);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, made);
}

static void no_font(GError *error, Diagnostics *diagnostics)
{
    Finding *finding = finding_add(diagnostics, RULE_glyph_missing, PLACE_NOWHERE);
    finding_fact(finding, "%s", error->message);
    finding_help(finding, "whoever looks after this computer installs it; nothing is wrong with your files");
    g_error_free(error);
}

/* One document on its way to paper. */
typedef struct Press {
    Arena *arena;
    const Printing *printing;
    PageSpec spec;
    Diagnostics *diagnostics;
    GPtrArray *alternatives; /* of char* */
    GPtrArray *pages;        /* of PageBox* */
    GPtrArray *parts;        /* of const char*: the language of each part */
    GString *panels;         /* lines of the record: the pages of a sheet's panels */
} Press;

/* A page of the file, whichever of its documents it belongs to. */
typedef struct Leaf {
    const Document *document;
    const Pages *pages;
    int page;
} Leaf;

static void add_leaf(GArray *leaves, const Document *document, const Pages *pages, int page)
{
    const Leaf leaf = {document, pages, page};
    g_array_append_val(leaves, leaf);
}

/* A sheet in two languages lies open with the same page in both: page one of the first language,
 * then the others in pairs, and page one of the second at the back.  Where that cannot be, the
 * second language comes behind the first. */
static GArray *order_leaves(const Document *document, const Pages *first, const Pages *second)
{
    GArray *leaves = g_array_new(FALSE, FALSE, sizeof(Leaf));
    int pages = page_count(first);
    gboolean facing = second && page_count(second) == pages;
    for (int i = 0; i < pages; i++) {
        add_leaf(leaves, document, first, i);
        if (facing && i > 0)
            add_leaf(leaves, document->second, second, i);
    }
    for (int i = 0; second && i < (facing ? 1 : page_count(second)); i++)
        add_leaf(leaves, document->second, second, i);
    return leaves;
}

static gboolean set_language(const Press *press, Ink *ink, const Document *document)
{
    GError *error = NULL;
    gboolean set = ink_set_language(ink, document->language, &error);
    if (!set)
        no_font(error, press->diagnostics);
    return set;
}

static const Pages *lay_out(const Press *press, Ink *ink, const Document *document)
{
    if (!document || !set_language(press, ink, document))
        return NULL;
    const Pages *pages = page_lay_out(press->arena, ink, document, press->spec, press->diagnostics);
    if (press->printing->boxes)
        page_print(pages, press->printing->boxes);
    return pages;
}

/* The document is one for all parts, and closes before its last page ends; so does each part. */
static void draw_leaf(const Press *press, Ink *ink, const GArray *leaves, guint at)
{
    const Leaf *leaf = &g_array_index(leaves, Leaf, at);
    const Document *before = at > 0 ? g_array_index(leaves, Leaf, at - 1).document : NULL;
    const Document *behind = at + 1 < leaves->len ? g_array_index(leaves, Leaf, at + 1).document : NULL;
    gboolean parts = leaf->document != g_array_index(leaves, Leaf, leaves->len - 1).document ||
                     leaf->document != g_array_index(leaves, Leaf, 0).document;
    if (at == 0)
        ink_tag(ink, "Document");
    if (parts && before != leaf->document) {
        g_ptr_array_add(press->parts, (gpointer)leaf->document->language);
        ink_tag(ink, "Sect");
    }
    set_language(press, ink, leaf->document);
    g_ptr_array_add(press->pages, (gpointer)page_box(leaf->pages, leaf->page));
    page_draw(leaf->pages, ink, leaf->page);
    if (parts && behind != leaf->document)
        ink_untag(ink, "Sect");
    if (!behind)
        ink_untag(ink, "Document");
    ink_next_page(ink);
}

static gboolean draw_all(const Press *press, Ink *ink, const Document *document)
{
    const Pages *first = lay_out(press, ink, document), *second = lay_out(press, ink, document->second);
    if (!first || (document->second && !second))
        return FALSE;
    if (!document->list)
        panels_say(panels_of(press->arena, document, first), press->panels);
    g_autoptr(GArray) leaves = order_leaves(document, first, second);
    for (guint i = 0; i < leaves->len; i++)
        draw_leaf(press, ink, leaves, i);
    return TRUE;
}

static gboolean draw(const Press *press, cairo_t *cairo, const Document *document)
{
    GError *error = NULL;
    Ink *ink = ink_new(cairo, &error);
    if (!ink) {
        no_font(error, press->diagnostics);
        return FALSE;
    }
    guint before = diagnostics_open(press->diagnostics, SEVERITY_ERROR);
    gboolean fine = draw_all(press, ink, document) && !output_in_trouble(ink, press->diagnostics) &&
                    diagnostics_open(press->diagnostics, SEVERITY_ERROR) == before;
    for (guint i = 0; i < ink_alternatives(ink)->len; i++)
        g_ptr_array_add(press->alternatives, arena_copy(press->arena, g_ptr_array_index(ink_alternatives(ink), i)));
    ink_free(ink);
    return fine;
}

static void read_content(const char *content, gsize length, gpointer drawn)
{
    output_rims_of(content, length, drawn);
}

static void record_values(GString *record, const Document *document, const PlanInjection *injection, guint number,
                          const ValueId *shown, gsize count)
{
    Arena *arena = arena_new();
    for (gsize i = 0; i < count; i++) {
        const Value *value = plan_value(document->plan, injection, shown[i]);
        const ValueRow *row = value_row(shown[i]);
        if (!value->set)
            continue;
        g_autofree char *text = g_strdup(value_text(arena, value, row->kind));
        g_string_append_printf(record, "%s", row->id);
        if (number > 1)
            g_string_append_printf(record, "_%u", number);
        g_string_append_printf(record, ": %s\n", g_strdelimit(text, "\n", ' '));
    }
    arena_free(arena);
}

/* What a later reader must know of the making. */
static const char *record_of(Arena *arena, const Document *document, const GString *panels)
{
    static const ValueId of_sheet[] = {VALUE_check_code,    VALUE_sheet_number,  VALUE_replaces_number,
                                       VALUE_order_number,  VALUE_person_code,   VALUE_protocol_name,
                                       VALUE_revision,      VALUE_approved_by,   VALUE_approved_on,
                                       VALUE_source_digest, VALUE_made_at,       VALUE_program_version};
    static const ValueId of_injection[] = {VALUE_injection_name, VALUE_medicine, VALUE_dose, VALUE_volume, VALUE_mark,
                                           VALUE_dial, VALUE_site, VALUE_injecting_needle, VALUE_injection_time,
                                           VALUE_last_time, VALUE_earliest, VALUE_latest};
    const Plan *plan = document->plan;
    g_autoptr(GString) record = g_string_new(NULL);
    if (document->list) { /* of many people: no sheet, which "read" would compare */
        g_string_append_printf(record, "list: %s\n", document->subject);
        return arena_copy(arena, record->str);
    }
    g_string_printf(record, "identity: %s\n", plan_identity(arena, plan, document->injection));
    record_values(record, document, document->injection, 1, of_sheet, G_N_ELEMENTS(of_sheet));
    for (guint i = 0; i < document->injections->len; i++)
        record_values(record, document, g_ptr_array_index(document->injections, i), i + 1, of_injection,
                      G_N_ELEMENTS(of_injection));
    g_string_append_printf(record, "acted_on: %s\n", plan_acted_on(arena, plan));
    g_string_append_printf(record, "seal: %s\n", plan->seal ? plan->seal : "-");
    g_string_append_len(record, panels->str, (gssize)panels->len);
    g_string_append_printf(record, "page_label: %s\n", document->page_of);
    if (document->second)
        g_string_append_printf(record, "page_label_2: %s\n", document->second->page_of);
    if (document->draft)
        g_string_append(record, "draft: yes\n");
    if (plan->dated_by_hand)
        g_string_append(record, "date_typed_in: yes\n");
    return arena_copy(arena, record->str);
}

gboolean output_ready(GError **error) { return output_reader_ready(error); }

GBytes *output_pdf(Arena *arena, const Document *document, const Printing *printing, Diagnostics *diagnostics)
{
    output_reader_prepare();
    const PageSpec spec = page_spec(printing->paper, printing->large);
    g_autoptr(GString) panels = g_string_new(NULL);
    const Press press = {arena, printing, spec, diagnostics, arena_list(arena), arena_list(arena), arena_list(arena),
                         panels};
    Growing file = {g_byte_array_new(), output_marker_new()};
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(collect, &file, spec.width / INK_POINT,
                                                                   spec.height / INK_POINT);
    set_metadata(arena, surface, document);
    cairo_t *cairo = cairo_create(surface);
    gboolean fine = draw(&press, cairo, document);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    g_assert(cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS);
    cairo_surface_destroy(surface);
    GBytes *finished = NULL;
    g_autoptr(GArray) drawn = g_array_new(FALSE, FALSE, sizeof(DrawnSyringe));
    DrawnFigures figures = {drawn, 0};
    if (fine) {
        FinishWords words = {document->language, (const char *const *)press.parts->pdata, document->title,
                             instant_text(arena, document->plan->zone, document->made_at),
                             record_of(arena, document, panels),
                             press.alternatives, read_content, &figures, file.marker};
        finished = output_finish(file.bytes, &words);
        g_assert(finished);
        output_rims_sift(drawn, press.pages);
    }
    if (finished && !output_read_back(document, finished, &(Drawn){press.pages, drawn}, diagnostics))
        g_clear_pointer(&finished, g_bytes_unref);
    output_reader_ready(NULL); /* the thread that loads it must not outlive the program */
    output_marker_free(file.marker);
    g_byte_array_unref(file.bytes);
    return finished;
}
