/* output_trouble: see trouble.h. */
#include "output/trouble.h"

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

gboolean output_in_trouble(Ink *ink, Diagnostics *diagnostics)
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
