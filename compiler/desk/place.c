/* desk_place: where the desk listens; see desk/server.h. */
#include <arpa/inet.h>
#include <string.h>

#include "desk/server.h"

gboolean place_parse(const char *words, DeskPlace *place)
{
    const char *colon = strrchr(words, ':');
    guint64 port;
    if (!colon || !g_ascii_string_to_unsigned(colon + 1, 10, 0, 65535, &port, NULL))
        return FALSE;
    g_autofree char *host = g_strndup(words, (gsize)(colon - words));
    gsize length = strlen(host);
    *place = (DeskPlace){.words = words};
    if (inet_pton(AF_INET, host, &place->address.four.sin_addr) == 1) {
        place->address.four.sin_family = AF_INET;
        place->address.four.sin_port = htons((guint16)port);
        return TRUE;
    }
    if (length < 3 || host[0] != '[' || host[length - 1] != ']')
        return FALSE;
    host[length - 1] = '\0';
    place->address.six.sin6_family = AF_INET6;
    place->address.six.sin6_port = htons((guint16)port);
    return inet_pton(AF_INET6, host + 1, &place->address.six.sin6_addr) == 1;
}

gboolean place_is_here(const DeskPlace *place)
{
    return place->address.any.sa_family == AF_INET && place->address.four.sin_addr.s_addr == htonl(INADDR_LOOPBACK);
}
