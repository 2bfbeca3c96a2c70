/* A text in the place of the patient file: reader, plan, rules, findings. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_whole(FILE_PATIENT, data, size);
    return 0;
}
