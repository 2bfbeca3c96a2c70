/* output_artifact: see output_artifact.h. */
#include "output/artifact.h"

#include <gio/gio.h>
#include <string.h>

#define CHUNK 65536
#define LEVEL 1 /* of compression: pages are small, and printing should not wait */

/* ---- compressing ---- */

static GByteArray *converted(GConverter *converter, const char *bytes, gsize length)
{
    g_autoptr(GInputStream) input = g_memory_input_stream_new_from_data(bytes, (gssize)length, NULL);
    g_autoptr(GInputStream) stream = g_converter_input_stream_new(input, converter);
    GByteArray *out = g_byte_array_new();
    g_autofree guint8 *chunk = g_malloc(CHUNK);
    gssize read;
    while ((read = g_input_stream_read(stream, chunk, CHUNK, NULL, NULL)) > 0)
        g_byte_array_append(out, chunk, (guint)read);
    if (read == 0)
        return out;
    g_byte_array_unref(out);
    return NULL;
}

/* ---- tokens of a content stream (ISO 32000-1, 7.2 and 7.8.2) ---- */

typedef struct Scan {
    const char *at, *end;
} Scan;

static gboolean is_white(char c) { return c == ' ' || c == '\n' || c == '\r' || c == '\t' || c == '\f' || c == '\0'; }

static gboolean is_delimiter(char c) { return c != '\0' && strchr("()<>[]{}/%", c) != NULL; }

/* Strings in brackets may hold anything, brackets in pairs too. */
static void skip_string(Scan *scan)
{
    int depth = 0;
    for (; scan->at < scan->end; scan->at++) {
        if (*scan->at == '\\') {
            scan->at++;
        } else if (*scan->at == '(') {
            depth++;
        } else if (*scan->at == ')' && --depth == 0) {
            scan->at++;
            return;
        }
    }
}

static void skip_word(Scan *scan)
{
    scan->at++;
    while (scan->at < scan->end && !is_white(*scan->at) && !is_delimiter(*scan->at))
        scan->at++;
}

/* The next word that may be an operator; FALSE at the end. */
static gboolean next_operator(Scan *scan, const char **start)
{
    while (scan->at < scan->end) {
        char c = *scan->at;
        *start = scan->at;
        if (c == '(') {
            skip_string(scan);
        } else if (c == '<' && scan->at + 1 < scan->end && scan->at[1] != '<') {
            const char *close = memchr(scan->at, '>', (gsize)(scan->end - scan->at));
            scan->at = close ? close + 1 : scan->end;
        } else if (c == '<') {
            scan->at += 2;
        } else if (g_ascii_isalpha(c)) {
            skip_word(scan);
            return TRUE;
        } else if (c == '/') {
            skip_word(scan);
        } else {
            scan->at++;
        }
        scan->at = MIN(scan->at, scan->end);
    }
    return FALSE;
}

static gboolean is(const Scan *scan, const char *start, const char *word)
{
    return (gsize)(scan->at - start) == strlen(word) && memcmp(start, word, strlen(word)) == 0;
}

/* ---- marking ---- */

void output_mark_artifacts(const char *content, gsize length, GString *out)
{
    Scan scan = {content, content + length};
    const char *copied = content, *behind = content, *start; /* behind: the operator before */
    int depth = 0;
    g_string_append(out, "/Artifact BMC\n");
    while (next_operator(&scan, &start)) {
        gboolean opens = is(&scan, start, "BDC") || is(&scan, start, "BMC");
        if (opens && depth++ == 0) { /* its operands stand behind the operator before */
            g_string_append_len(out, copied, behind - copied);
            g_string_append(out, "\nEMC");
            copied = behind;
        } else if (is(&scan, start, "EMC") && --depth == 0) {
            g_string_append_len(out, copied, scan.at - copied);
            g_string_append(out, "\n/Artifact BMC");
            copied = scan.at;
        }
        behind = scan.at;
    }
    g_string_append_len(out, copied, scan.end - copied);
    g_string_append(out, "\nEMC\n");
}

GByteArray *output_artifacts(const char *compressed, gsize length, ContentRead read, gpointer data)
{
    g_autoptr(GZlibDecompressor) inflate = g_zlib_decompressor_new(G_ZLIB_COMPRESSOR_FORMAT_ZLIB);
    g_autoptr(GZlibCompressor) deflate = g_zlib_compressor_new(G_ZLIB_COMPRESSOR_FORMAT_ZLIB, LEVEL);
    g_autoptr(GByteArray) plain = converted(G_CONVERTER(inflate), compressed, length);
    if (!plain)
        return NULL;
    g_autoptr(GString) marked = g_string_sized_new(plain->len + CHUNK);
    output_mark_artifacts((const char *)plain->data, plain->len, marked);
    if (read)
        read(marked->str, marked->len, data);
    return converted(G_CONVERTER(deflate), marked->str, marked->len);
}
