/* digest: SHA-256 (FIPS 180-4) by nettle, which uses the processor's own instructions for it; the
 * one that GLib brings takes ten times as long, and was a quarter of a check. */
#ifndef DIGEST_H
#define DIGEST_H

#include <glib.h>

/* 64 hex digits; the caller frees them. */
char *digest_hex(const void *bytes, gsize length);
char *digest_text(const char *text);

#endif
