/* desk_secure: the certificate and key by which the desk is known on a network.  TLS itself is
 * GnuTLS's, through libmicrohttpd. */
#ifndef DESK_SECURE_H
#define DESK_SECURE_H

#include <glib.h>

/* RFC 9325: TLS 1.3 and 1.2 alone, keys agreed on anew for each connection, sealed records. */
#define SECURE_PRIORITIES "NORMAL:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2:-RSA:-DHE-RSA:-CIPHER-ALL:+AES-256-GCM:" \
                          "+AES-128-GCM:+CHACHA20-POLY1305:%SERVER_PRECEDENCE"

typedef struct Secure Secure;

/* Both files in PEM, that of the certificate with those that lead to it.  NULL with *error when one
 * cannot be read, they do not belong together, or everybody may read the key. */
Secure *secure_read(const char *certificate, const char *key, GError **error);
void secure_free(Secure *secure);
/* As the library wants them. */
const char *secure_certificate(const Secure *secure);
const char *secure_key(const Secure *secure);
/* TRUE when the certificate is made out to this host (a name or an address, without a port). */
gboolean secure_is_named(const Secure *secure, const char *host);
/* Seconds since 1970 at which it ends. */
gint64 secure_ends(const Secure *secure);

#endif
