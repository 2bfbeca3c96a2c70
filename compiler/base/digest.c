/* digest: see digest.h. */
#include "base/digest.h"

#include <string.h>

#include <nettle/base16.h>
#include <nettle/sha2.h>

char *digest_hex(const void *bytes, gsize length)
{
    struct sha256_ctx context;
    uint8_t digest[SHA256_DIGEST_SIZE];
    char *hex = g_malloc0(BASE16_ENCODE_LENGTH(SHA256_DIGEST_SIZE) + 1);
    sha256_init(&context);
    sha256_update(&context, length, bytes);
    sha256_digest(&context, sizeof digest, digest);
    base16_encode_update(hex, sizeof digest, digest);
    return hex;
}

char *digest_text(const char *text) { return digest_hex(text, strlen(text)); }
