/* output_seal: see output_seal.h. */
#define _GNU_SOURCE /* memmem */
#include "output/seal.h"
#include "output/output.h"

#include <string.h>

#include "base/base.h"
#include "output/text.h"

#define RECORD "/DosewrightRecord "
#define SEAL "/DosewrightSeal <"
#define DIGITS 64 /* of SHA-256 in hexadecimal */
#define END "%%EOF\n"

char *output_seal_keys(const char *record)
{
    g_autofree char *text = output_pdf_text(record);
    return g_strdup_printf(RECORD "%s\n   " SEAL "%0*d>", text, DIGITS, 0);
}

/* The last place of the words: a file may hold older versions of itself. */
static const char *last_place(const char *bytes, gsize length, const char *words)
{
    const char *found = NULL, *at = bytes;
    gsize size = strlen(words);
    while ((at = memmem(at, length - (gsize)(at - bytes), words, size)) != NULL) {
        found = at;
        at += size;
    }
    return found;
}

/* Of the file with zeros in the room of its seal. */
static char *digest(const char *bytes, gsize length, gsize room)
{
    DigestRun *sum = digest_run_new();
    g_autofree char *zeros = g_strnfill(DIGITS, '0');
    digest_run_add(sum, bytes, room);
    digest_run_add(sum, zeros, DIGITS);
    digest_run_add(sum, bytes + room + DIGITS, length - room - DIGITS);
    return digest_run_end(sum);
}

/* Where the seal's digits start; 0 when there are none. */
static gsize room_of(const char *bytes, gsize length)
{
    const char *at = last_place(bytes, length, SEAL);
    gsize room = at ? (gsize)(at - bytes) + strlen(SEAL) : 0;
    return room > 0 && room + DIGITS < length ? room : 0;
}

void output_seal_fill(GString *file)
{
    gsize room = room_of(file->str, file->len);
    g_assert(room > 0);
    g_autofree char *digits = digest(file->str, file->len, room);
    memcpy(file->str + room, digits, DIGITS);
}

gboolean output_seal_holds(GBytes *file)
{
    gsize length;
    const char *bytes = g_bytes_get_data(file, &length);
    gsize room = bytes ? room_of(bytes, length) : 0;
    if (room == 0 || length < strlen(END) || memcmp(bytes + length - strlen(END), END, strlen(END)) != 0)
        return FALSE;
    g_autofree char *digits = digest(bytes, length, room);
    return memcmp(bytes + room, digits, DIGITS) == 0;
}

const char *output_seal_record(Arena *arena, GBytes *file)
{
    gsize length;
    const char *bytes = g_bytes_get_data(file, &length);
    const char *at = bytes ? last_place(bytes, length, RECORD) : NULL;
    const char *close = at ? memchr(at, '>', length - (gsize)(at - bytes)) : NULL;
    if (!close)
        return NULL;
    g_autofree char *digits = g_strndup(at + strlen(RECORD), (gsize)(close - at) - strlen(RECORD) + 1);
    g_autofree char *text = output_pdf_text_read(digits);
    return text ? arena_copy(arena, text) : NULL;
}

const char *output_record_value(Arena *arena, const char *record, const char *word)
{
    g_auto(GStrv) lines = g_strsplit(record, "\n", -1);
    gsize size = strlen(word);
    for (char **line = lines; *line; line++)
        if (strncmp(*line, word, size) == 0 && g_str_has_prefix(*line + size, ": "))
            return arena_copy(arena, *line + size + 2);
    return NULL;
}
