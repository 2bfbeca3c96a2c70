/* output_reader: see output_reader.h.  The library is loaded late, since that takes as
 * long as the drawing of two pages.  Each thread has a document of its own. */
#include "output/reader.h"

#include "base/base.h"
#include "output/output.h"

#include <cairo.h>
#include <dlfcn.h>
#include <math.h>
#include <poppler.h>
#include <string.h>

/* What is called of the library. */
typedef struct Library {
    __typeof__(&poppler_document_new_from_bytes) open;
    __typeof__(&poppler_document_get_n_pages) count;
    __typeof__(&poppler_document_get_page) page;
    __typeof__(&poppler_page_get_text) text;
    __typeof__(&poppler_page_get_text_layout) places;
    __typeof__(&poppler_page_get_size) size;
    __typeof__(&poppler_page_get_text_for_area) within;
    __typeof__(&poppler_page_render) paint;
    const char *fault;      /* why it could not be loaded, or NULL */
    PopplerDocument *small; /* stays open */
} Library;

/* A file of one word.  Reading it opens what the library opens once, and the library keeps
 * that as long as a file is open. */
#define WORD "ready"
static const char small[] =
    "%PDF-1.4\n"
    "1 0 obj\n<</Type/Catalog/Pages 2 0 R>>\nendobj\n"
    "2 0 obj\n<</Type/Pages/Kids[3 0 R]/Count 1>>\nendobj\n"
    "3 0 obj\n<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>>>>>\nendobj\n"
    "4 0 obj\n<</Length 30>>\nstream\nBT /F 9 Tf 9 9 Td (" WORD ")Tj ET\nendstream\nendobj\n"
    "5 0 obj\n<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>\nendobj\n"
    "trailer\n<</Root 1 0 R/Size 6>>\n%%EOF\n";

static void read_small(Library *library)
{
    g_autoptr(GBytes) bytes = g_bytes_new_static(small, sizeof small - 1);
    library->small = library->open(bytes, NULL, NULL);
    PopplerPage *page = library->small ? library->page(library->small, 0) : NULL;
    g_autofree char *text = page ? library->text(page) : NULL;
    if (!text || !g_str_has_prefix(text, WORD))
        library->fault = DOSEWRIGHT_POPPLER " does not read a file of one word";
    g_clear_object(&page);
}

static gpointer load(gpointer unused)
{
    (void)unused;
    Library *library = g_new0(Library, 1);
    void *file = dlopen(DOSEWRIGHT_POPPLER, RTLD_LAZY | RTLD_LOCAL);
    if (!file) {
        library->fault = g_strdup(dlerror());
        return library;
    }
    *(void **)&library->open = dlsym(file, "poppler_document_new_from_bytes");
    *(void **)&library->count = dlsym(file, "poppler_document_get_n_pages");
    *(void **)&library->page = dlsym(file, "poppler_document_get_page");
    *(void **)&library->text = dlsym(file, "poppler_page_get_text");
    *(void **)&library->places = dlsym(file, "poppler_page_get_text_layout");
    *(void **)&library->size = dlsym(file, "poppler_page_get_size");
    *(void **)&library->within = dlsym(file, "poppler_page_get_text_for_area");
    *(void **)&library->paint = dlsym(file, "poppler_page_render");
    if (library->open && library->count && library->page && library->text && library->places && library->size &&
        library->within && library->paint)
        read_small(library);
    else
        library->fault = DOSEWRIGHT_POPPLER " is not the library that it was";
    return library;
}

/* Waits while another thread loads it. */
static gpointer library_loaded(gpointer unused)
{
    static GOnce once = G_ONCE_INIT;
    return g_once(&once, load, unused);
}

gboolean output_reader_ready(GError **error)
{
    const Library *library = library_loaded(NULL);
    if (library->fault)
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOENT, "sheets cannot be read back: %s", library->fault);
    return !library->fault;
}

static gpointer load_beside(gpointer unused)
{
    stack_for_faults();
    return library_loaded(unused);
}

void output_reader_prepare(void)
{
    static gsize begun;
    if (!g_once_init_enter(&begun))
        return;
    g_thread_unref(g_thread_new("library", load_beside, NULL));
    g_once_init_leave(&begun, 1);
}

struct Reader {
    GBytes *bytes;
    GThread *helper;
    GMutex mutex;     /* of what follows */
    GPtrArray *texts; /* NULL until a thread has counted the pages */
    guint next;       /* the first page that no thread has taken */
    GError *error;    /* the first that opening the file gave */
};

static void page_free(gpointer data)
{
    ReadPage *page = data;
    g_free(page->text);
    g_free(page->x);
    g_free(page->y);
    g_free(page->wide);
    g_free(page);
}

#define POINT (25.4 / 72) /* mm */

#define FROM_RIGHT "\342\200\253" /* what the library puts before words that run from the right */

/* The library reads from the upper left corner to the lower right one, and leaves out what
 * stands before the first or after the last: of a page that runs from the right that is the
 * head and the foot.  So such a page is read from corner to corner the other way. */
static char *page_text(const Library *library, PopplerPage *page)
{
    char *text = library->text(page);
    if (!text || !strstr(text, FROM_RIGHT))
        return text;
    PopplerRectangle turned = {0};
    library->size(page, &turned.x1, &turned.y2);
    g_free(text);
    return library->within(page, &turned);
}

static ReadPage *read_page(const Library *library, PopplerPage *page)
{
    ReadPage *read = g_new0(ReadPage, 1);
    PopplerRectangle *places = NULL;
    read->text = page ? page_text(library, page) : NULL;
    if (!read->text || !library->places(page, &places, &read->letters) ||
        read->letters != (guint)g_utf8_strlen(read->text, -1))
        read->letters = 0;
    read->x = g_new(double, read->letters + 1);
    read->y = g_new(double, read->letters + 1);
    read->wide = g_new(double, read->letters + 1);
    for (guint i = 0; i < read->letters; i++) {
        read->x[i] = (places[i].x1 + places[i].x2) / 2 * POINT;
        read->wide[i] = fabs(places[i].x2 - places[i].x1) * POINT;
        read->y[i] = (places[i].y1 + places[i].y2) / 2 * POINT;
    }
    g_free(places);
    return read;
}

static void failed(Reader *reader, GError *error)
{
    g_mutex_lock(&reader->mutex);
    if (!reader->error)
        reader->error = g_steal_pointer(&error);
    g_mutex_unlock(&reader->mutex);
    g_clear_error(&error);
}

/* The next page to read, or -1. */
static int take(Reader *reader, int pages)
{
    g_mutex_lock(&reader->mutex);
    if (!reader->texts) {
        reader->texts = g_ptr_array_new_with_free_func(page_free);
        g_ptr_array_set_size(reader->texts, pages);
    }
    int taken = reader->next < reader->texts->len ? (int)reader->next++ : -1;
    g_mutex_unlock(&reader->mutex);
    return taken;
}

static gpointer read_pages(gpointer data)
{
    stack_for_faults();
    Reader *reader = data;
    const Library *library = library_loaded(NULL);
    GError *error = NULL;
    if (!output_reader_ready(&error)) {
        failed(reader, error);
        return NULL;
    }
    PopplerDocument *file = library->open(reader->bytes, NULL, &error);
    if (!file) {
        failed(reader, error);
        return NULL;
    }
    int pages = library->count(file);
    for (int at = take(reader, pages); at >= 0; at = take(reader, pages)) {
        PopplerPage *page = library->page(file, at);
        g_ptr_array_index(reader->texts, at) = read_page(library, page); /* no other thread's place */
        g_clear_object(&page);
    }
    g_object_unref(file);
    return NULL;
}

Reader *output_reader_begin(GBytes *bytes)
{
    Reader *reader = g_new0(Reader, 1);
    reader->bytes = g_bytes_ref(bytes);
    g_mutex_init(&reader->mutex);
    reader->helper = g_thread_new("reader", read_pages, reader);
    return reader;
}

GPtrArray *output_reader_end(Reader *reader, GError **error)
{
    read_pages(reader);
    g_thread_join(reader->helper);
    GPtrArray *texts = reader->texts;
    if (reader->error) {
        g_clear_pointer(&texts, g_ptr_array_unref);
        g_propagate_error(error, reader->error);
    }
    g_bytes_unref(reader->bytes);
    g_mutex_clear(&reader->mutex);
    g_free(reader);
    return texts;
}

/* ---- a page to be looked at ---- */

static cairo_status_t add_bytes(void *data, const unsigned char *bytes, unsigned int length)
{
    g_byte_array_append(data, bytes, length);
    return CAIRO_STATUS_SUCCESS;
}

static GBytes *paint(const Library *library, PopplerPage *page, int width)
{
    double wide, high;
    library->size(page, &wide, &high);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, (int)lround(width * high / wide));
    cairo_t *cairo = cairo_create(surface);
    GByteArray *bytes = g_byte_array_new();
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    cairo_scale(cairo, width / wide, width / wide);
    library->paint(page, cairo);
    cairo_destroy(cairo);
    cairo_surface_write_to_png_stream(surface, add_bytes, bytes);
    cairo_surface_destroy(surface);
    return g_byte_array_free_to_bytes(bytes);
}

GBytes *output_picture(GBytes *file, int page, int width, GError **error)
{
    const Library *library = library_loaded(NULL);
    PopplerDocument *document = output_reader_ready(error) ? library->open(file, NULL, error) : NULL;
    if (!document)
        return NULL;
    PopplerPage *one = page < library->count(document) ? library->page(document, page) : NULL;
    GBytes *picture = one ? paint(library, one, width) : NULL;
    if (!one)
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, "the sheet has no page %d", page + 1);
    g_clear_object(&one);
    g_object_unref(document);
    return picture;
}
