/* A file that somebody says is a sheet: its checksum, its record, the words of its pages. */
#include "fuzz.h"
#include "output/output.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    Arena *arena = arena_new();
    g_autoptr(GBytes) bytes = g_bytes_new(data, size);
    output_seal_holds(bytes);
    const char *record = output_seal_record(arena, bytes);
    if (record) {
        FUZZ_DEMAND(g_utf8_validate(record, -1, NULL), "a sheet's record is UTF-8");
        output_record_value(arena, record, "code");
    }
    GPtrArray *texts = output_page_texts(bytes);
    int pages, with;
    if (texts)
        output_pages_with(bytes, "LC-2041", &pages, &with);
    g_clear_pointer(&texts, g_ptr_array_unref);
    arena_free(arena);
    return 0;
}
