/* publish: bytes as files, whole or not at all, and several of them all or none. */
#ifndef PUBLISH_H
#define PUBLISH_H

#include <glib.h>

/* A file to be written; both are the caller's. */
typedef struct PublishFile {
    const char *name; /* within the folder, without "/" */
    GBytes *bytes;
} PublishFile;

/* Writes files (of PublishFile*) into the folder, mode 0600, all of them or none: each is
 * made durable beside its place and read again first; then, with signals held back, all take their
 * places; when one cannot, those that were there before are put back.  The folder is
 * made when it is not there (0700).  FALSE with *error naming the file. */
gboolean publish_files(const char *folder, const GPtrArray *files, GError **error);

/* Waits for its turn in the folder, which is made when it is not there: two runs that read before
 * they write do so one after the other.  The turn ends with close(); -1 when it cannot be had. */
int publish_turn(const char *folder);

/* One file alone. */
gboolean publish_file(const char *folder, const char *name, GBytes *bytes, GError **error);

/* A file too large to be held whole: written bit by bit beside its place, which it takes when
 * it is closed. */
typedef struct PublishStream PublishStream;
PublishStream *publish_open(const char *folder, const char *name, GError **error);
gboolean publish_write(PublishStream *stream, const void *bytes, gsize length, GError **error);
/* Makes it durable, reads it again and puts it in its place; frees the stream.  FALSE with *error, and
 * nothing new is there. */
gboolean publish_close(PublishStream *stream, GError **error);
/* Nothing is left of it; frees the stream. */
void publish_abandon(PublishStream *stream);

/* Writes so many bytes to an open file or pipe, going on after an interrupted or a short
 * write; FALSE with errno. */
gboolean publish_bytes(int descriptor, const void *bytes, gsize left);

/* Names of what a killed run left in the folder, as char*; such files hold people's data
 * and are never taken for sheets. */
void publish_left_over(const char *folder, GPtrArray *names);

#endif
