/* A text in the place of the protocol, taken all the way: when only its approval stops it, the
 * sheet is drawn, finished and read back.  A page that says something else than the plan is
 * our mistake here. */
#include "output/output.h"
#include "words.h"

static gboolean differs(const Diagnostics *diagnostics)
{
    for (guint i = 0; i < diagnostics_count(diagnostics); i++)
        if (finding_rule(diagnostics_at(diagnostics, i)) == RULE_read_back_differs)
            return TRUE;
    return FALSE;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > FUZZ_LARGEST)
        return 0;
    Judged judged = fuzz_judge(FILE_PROTOCOL, (const char *)data, size);
    if (judged.whole && (rules_draft_only(judged.diagnostics) || !diagnostics_stops(judged.diagnostics))) {
        Document *document = fuzz_document(&judged, "templates", "home-injection", "en");
        const Printing printing = {.paper = Paper_LETTER};
        g_autoptr(GBytes) bytes =
            document ? output_pdf(judged.arena, document, &printing, judged.diagnostics) : NULL;
        FUZZ_DEMAND(!differs(judged.diagnostics), "the finished page says what the plan says");
        FUZZ_DEMAND(!bytes || output_seal_holds(bytes), "a finished sheet holds its own checksum");
    }
    fuzz_demand_findings_escaped(judged.diagnostics);
    arena_free(judged.arena);
    return 0;
}
