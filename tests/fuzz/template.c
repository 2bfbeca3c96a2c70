/* A template: read, and worded with the English phrases for the clean clinic. */
#include "words.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static gboolean ready;
    if (size > FUZZ_LARGEST)
        return 0;
    if (!ready)
        fuzz_copy("languages/en.yaml");
    ready = TRUE;
    fuzz_place("own/template.yaml", data, size);
    fuzz_words(fuzz_folder(), "own", "en");
    return 0;
}
