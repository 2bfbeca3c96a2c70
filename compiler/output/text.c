/* output_text: see output_text.h. */
#include "output/text.h"

#include <string.h>

#define MARK "<FEFF"

char *output_pdf_text(const char *text)
{
    glong count;
    g_autofree gunichar2 *units = g_utf8_to_utf16(text, -1, NULL, &count, NULL);
    GString *out = g_string_new(MARK);
    for (glong i = 0; units && i < count; i++)
        g_string_append_printf(out, "%04X", units[i]);
    g_string_append_c(out, '>');
    return g_string_free(out, FALSE);
}

static gboolean read_unit(const char *digits, gunichar2 *out)
{
    guint value = 0;
    for (int i = 0; i < 4; i++) {
        if (!g_ascii_isxdigit(digits[i]))
            return FALSE;
        value = value * 16 + (guint)g_ascii_xdigit_value(digits[i]);
    }
    *out = (gunichar2)value;
    return TRUE;
}

char *output_pdf_text_read(const char *digits)
{
    if (g_ascii_strncasecmp(digits, MARK, strlen(MARK)) != 0) /* other writers use small letters */
        return NULL;
    digits += strlen(MARK);
    g_autofree gunichar2 *units = g_new0(gunichar2, strlen(digits) / 4 + 1);
    glong count = 0;
    for (; *digits != '>'; digits += 4, count++)
        if (!read_unit(digits, &units[count]))
            return NULL;
    return g_utf16_to_utf8(units, count, NULL, NULL, NULL);
}
