/* A text as a scanner types it.  What is read from it stays within its limits, and is read from its
 * own printed form once more. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    BoxScan scan, again;
    if (size > FUZZ_LARGEST)
        return 0;
    g_autofree char *text = g_strndup((const char *)data, size);
    if (scan_read(text, 2026, &scan) != SCAN_FINE)
        return 0;
    FUZZ_DEMAND(strlen(scan.item) == SCAN_ITEM && item_number_fits(scan.item), "the item number's check digit");
    FUZZ_DEMAND(strlen(scan.lot) > 0 && strlen(scan.lot) <= SCAN_TEXT, "the lot's length");
    g_autofree char *printed = g_strdup_printf("01%s10%s\x1d%s%s", scan.item, scan.lot, *scan.serial ? "21" : "",
                                               scan.serial);
    FUZZ_DEMAND(scan_read(printed, 2026, &again) == SCAN_FINE && strcmp(again.lot, scan.lot) == 0 &&
                    strcmp(again.item, scan.item) == 0 && strcmp(again.serial, scan.serial) == 0,
                "the same, written anew");
    return 0;
}
