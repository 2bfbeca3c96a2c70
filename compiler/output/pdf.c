/* output_pdf: a document as a PDF in memory. */
#include <cairo-pdf.h>
#include <string.h>

#include "drawing/drawing.h"
#include "output/output.h"
#include "output/finish.h"
#include "output/reader.h"
#include "output/rims.h"
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

static void no_glyph(Diagnostics *diagnostics, const char *text, gunichar letter)
{
    char bytes[7] = "";
    g_unichar_to_utf8(letter, bytes);
    Finding *finding = finding_add(diagnostics, RULE_glyph_missing, PLACE_NOWHERE);
    finding_fact(finding, "the letter %s (U+%04X)", bytes, letter);
    finding_fact(finding, "in the text \"%s\"", text);
    finding_help(finding, "in the file where %s stands, write the word with the letters of the sheet's language; if "
                          "it is a name, ask the person for that spelling", bytes);
}

static void no_room(Diagnostics *diagnostics, const char *text)
{
    Finding *finding = finding_add(diagnostics, RULE_does_not_fit, PLACE_NOWHERE);
    finding_fact(finding, "in the text \"%s\"", text);
    finding_help(finding, "in the file where this text stands, write its longest word or name shorter: type is "
                          "never made smaller");
}

static gboolean in_trouble(Ink *ink, Diagnostics *diagnostics)
{
    const char *text = NULL;
    InkTrouble trouble = ink_problem(ink, &text);
    if (trouble == INK_FINE)
        return FALSE;
    g_assert(trouble != INK_FAILED);
    if (trouble == INK_GLYPH_MISSING)
        no_glyph(diagnostics, text, ink_missing_letter(ink));
    else
        no_room(diagnostics, text);
    return TRUE;
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
} Press;

static gboolean draw_part(const Press *press, Ink *ink, const Document *document, PagePart part)
{
    GError *error = NULL;
    if (!ink_set_language(ink, document->language, &error)) {
        no_font(error, press->diagnostics);
        return FALSE;
    }
    Pages *pages = page_lay_out(press->arena, ink, document, press->spec, press->diagnostics);
    if (press->printing->boxes)
        page_print(pages, press->printing->boxes);
    for (int page = 0; page < page_count(pages); page++)
        g_ptr_array_add(press->pages, (gpointer)page_box(pages, page));
    page_draw(pages, ink, part);
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
    PagePart part = document->second ? PAGE_FIRST : PAGE_WHOLE;
    gboolean drawn = draw_part(press, ink, document, part) &&
                     (!document->second || draw_part(press, ink, document->second, PAGE_SECOND));
    gboolean fine = drawn && !in_trouble(ink, press->diagnostics) &&
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
static const char *record_of(Arena *arena, const Document *document)
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
    g_string_printf(record, "identity: %s\n", plan_identity(arena, plan, document->injection));
    record_values(record, document, document->injection, 1, of_sheet, G_N_ELEMENTS(of_sheet));
    for (guint i = 0; i < document->injections->len; i++)
        record_values(record, document, g_ptr_array_index(document->injections, i), i + 1, of_injection,
                      G_N_ELEMENTS(of_injection));
    g_string_append_printf(record, "acted_on: %s\n", plan_acted_on(arena, plan));
    g_string_append_printf(record, "seal: %s\n", plan->seal ? plan->seal : "-");
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
    const PageSpec spec = page_spec(document, printing->paper, printing->large);
    const Press press = {arena, printing, spec, diagnostics, arena_list(arena), arena_list(arena)};
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
        const char *parts[] = {document->language, document->second ? document->second->language : NULL};
        FinishWords words = {document->language, parts, document->title,
                             instant_text(arena, document->plan->zone, document->made_at), record_of(arena, document),
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
