/* desk_secure: see desk/secure.h. */
#include "desk/secure.h"

#include <gnutls/gnutls.h>
#include <gnutls/x509.h>
#include <string.h>
#include <sys/stat.h>

struct Secure {
    char *certificate, *key; /* PEM */
    gsize key_length;
    gnutls_x509_crt_t own;   /* the first of the certificates */
};

void secure_free(Secure *secure)
{
    if (!secure)
        return;
    if (secure->own)
        gnutls_x509_crt_deinit(secure->own);
    if (secure->key)
        explicit_bzero(secure->key, secure->key_length);
    g_free(secure->key);
    g_free(secure->certificate);
    g_free(secure);
}

static gnutls_datum_t datum(const char *text)
{
    return (gnutls_datum_t){(unsigned char *)text, (unsigned)strlen(text)};
}

/* Debian's group "ssl-cert" may read keys; everybody may not. */
static gboolean is_kept(const char *path, GError **error)
{
    struct stat is;
    if (stat(path, &is) != 0 || !(is.st_mode & S_IRWXO))
        return TRUE;
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_PERM, "%s, a key, may be read by everybody: chmod o= first", path);
    return FALSE;
}

/* FALSE when certificate and key are none, or not of each other. */
static gboolean belong_together(const Secure *secure, const char *certificate, const char *key, GError **error)
{
    gnutls_datum_t public = datum(secure->certificate), own = datum(secure->key);
    gnutls_certificate_credentials_t both;
    gnutls_certificate_allocate_credentials(&both);
    int result = gnutls_certificate_set_x509_key_mem(both, &public, &own, GNUTLS_X509_FMT_PEM);
    gnutls_certificate_free_credentials(both);
    if (result < 0)
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, "%s and %s are no certificate with its key: %s",
                    certificate, key, gnutls_strerror(result));
    return result >= 0;
}

Secure *secure_read(const char *certificate, const char *key, GError **error)
{
    Secure *secure = g_new0(Secure, 1);
    gboolean fine = is_kept(key, error) && g_file_get_contents(certificate, &secure->certificate, NULL, error) &&
                    g_file_get_contents(key, &secure->key, &secure->key_length, error) &&
                    belong_together(secure, certificate, key, error);
    if (fine) {
        gnutls_datum_t public = datum(secure->certificate);
        gnutls_x509_crt_init(&secure->own);
        gnutls_x509_crt_import(secure->own, &public, GNUTLS_X509_FMT_PEM);
        return secure;
    }
    secure_free(secure);
    return NULL;
}

const char *secure_certificate(const Secure *secure) { return secure->certificate; }

const char *secure_key(const Secure *secure) { return secure->key; }

gboolean secure_is_named(const Secure *secure, const char *host)
{
    return gnutls_x509_crt_check_hostname(secure->own, host) != 0;
}

gint64 secure_ends(const Secure *secure) { return gnutls_x509_crt_get_expiration_time(secure->own); }
