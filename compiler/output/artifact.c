/* output_artifact: see output_artifact.h. */
#include "output/artifact.h"

#include <gio/gio.h>

#include "output/content.h"

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

/* ---- marking ---- */

void output_mark_artifacts(const char *content, gsize length, GString *out)
{
    ContentScan scan = {content, content + length};
    const char *copied = content, *behind = content; /* behind: the operator before */
    Token token;
    int depth = 0;
    g_string_append(out, "/Artifact BMC\n");
    while (content_next(&scan, &token)) {
        if (token.kind != TOKEN_OPERATOR)
            continue;
        gboolean opens = token_is(&token, "BDC") || token_is(&token, "BMC");
        if (opens && depth++ == 0) { /* its operands stand behind the operator before */
            g_string_append_len(out, copied, behind - copied);
            g_string_append(out, "\nEMC");
            copied = behind;
        } else if (token_is(&token, "EMC") && --depth == 0) {
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
