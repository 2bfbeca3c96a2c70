/* digest: see digest.h. */
#include "base/digest.h"

#include <string.h>

#include <nettle/base16.h>
#include <nettle/sha2.h>

struct DigestRun {
    struct sha256_ctx context;
};

DigestRun *digest_run_new(void)
{
    DigestRun *run = g_new(DigestRun, 1);
    sha256_init(&run->context);
    return run;
}

void digest_run_add(DigestRun *run, const void *bytes, gsize length) { sha256_update(&run->context, length, bytes); }

static char *hex_of(struct sha256_ctx *context)
{
    uint8_t digest[SHA256_DIGEST_SIZE];
    char *hex = g_malloc0(BASE16_ENCODE_LENGTH(SHA256_DIGEST_SIZE) + 1);
    sha256_digest(context, sizeof digest, digest);
    base16_encode_update(hex, sizeof digest, digest);
    return hex;
}

char *digest_run_end(DigestRun *run)
{
    char *hex = hex_of(&run->context);
    g_free(run);
    return hex;
}

char *digest_hex(const void *bytes, gsize length)
{
    struct sha256_ctx context;
    sha256_init(&context);
    sha256_update(&context, length, bytes);
    return hex_of(&context);
}

char *digest_text(const char *text) { return digest_hex(text, strlen(text)); }
