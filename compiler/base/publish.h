/* publish: bytes as files, whole or not at all. */
#ifndef PUBLISH_H
#define PUBLISH_H

#include <glib.h>

/* Writes bytes as folder/name, mode 0600, whole or not at all: an older file
 * stays untouched until the new one is durable.  The folder is made when it is
 * not there (0700).  FALSE with *error naming the file. */
gboolean publish_file(const char *folder, const char *name, GBytes *bytes, GError **error);

#endif
