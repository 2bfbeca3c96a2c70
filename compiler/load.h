/* load: from the files that the user names to the case that is judged: finds
 * clinic.yaml above a file, the shelf beside it, a patient's protocol; reads
 * each file once.  The only room that knows how a clinic's folder is laid out:
 *   clinic.yaml  shelf.yaml  protocols/NAME.yaml  patients/CODE.yaml
 */
#ifndef LOAD_H
#define LOAD_H

#include "reader.h"

/* What one named file brings with it.  Members that could not be read are NULL. */
typedef struct Case {
    const char *path;       /* as the user named it */
    FileKind kind;
    const Clinic *clinic;
    const Shelf *shelf;
    const Protocol *protocol;
    const Patient *patient;
    const char *digest;     /* SHA-256 of all the bytes read for it, in hex */
    Diagnostics *diagnostics;
} Case;

typedef struct Loader Loader;

/* clinic_folder: from --clinic, or NULL to look upwards from each file. */
Loader *loader_new(Arena *arena, const char *clinic_folder);

/* Loads one file ("-" is standard input) and what it needs.  FALSE with *error
 * set when the system fails; findings go to out->diagnostics. */
gboolean loader_load(Loader *loader, const char *path, Case *out, GError **error);

/* The files under a folder that this program reads, sorted, as char*; FALSE
 * with *error when the folder cannot be read. */
gboolean loader_list(Arena *arena, const char *folder, GPtrArray *out, GError **error);

#endif
