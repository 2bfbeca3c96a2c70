/* A text in the place of the shelf file: reader, plan, rules, findings. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_whole(FILE_SHELF, data, size);
    return 0;
}
