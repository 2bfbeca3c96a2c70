/* A phrase set over the English one: read, and worded by our own template. */
#include "words.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static gboolean ready;
    if (size > FUZZ_LARGEST)
        return 0;
    if (!ready) {
        fuzz_copy("languages/en.yaml");
        fuzz_copy("home-injection/template.yaml");
    }
    ready = TRUE;
    fuzz_place("languages/en-XA.yaml", data, size);
    fuzz_words(fuzz_folder(), "home-injection", "en-XA");
    return 0;
}
