/* digest: SHA-256 (FIPS 180-4) by nettle, which uses the processor's own instructions for it; the
 * one that GLib brings takes ten times as long, and was a quarter of a check. */
#ifndef DIGEST_H
#define DIGEST_H

#include <glib.h>

/* 64 hex digits; the caller frees them. */
char *digest_hex(const void *bytes, gsize length);
char *digest_text(const char *text);

/* Of bytes that come bit by bit. */
typedef struct DigestRun DigestRun;
DigestRun *digest_run_new(void);
void digest_run_add(DigestRun *run, const void *bytes, gsize length);
/* As digest_hex() of all of them; frees the run. */
char *digest_run_end(DigestRun *run);

#endif
