/* dosewright_edits: words put in at places of a person's file or a roster; all else stays
 * letter for letter, and so does the file's mode. */
#ifndef DOSEWRIGHT_EDITS_H
#define DOSEWRIGHT_EDITS_H

#include "base/base.h"

typedef struct FileEdits FileEdits;

/* The file as it stands, owned by the arena; NULL with *error. */
FileEdits *edits_new(Arena *arena, const char *path, GError **error);
/* These words in the stead of what stands there; a place of length 0 is where they are put in.
 * The place may be of a part of the file.  The same place once more changes nothing. */
void edits_put(FileEdits *edits, Place place, const char *words);
gboolean edits_any(const FileEdits *edits);
/* What would be written; owned by the arena. */
const char *edits_text(const FileEdits *edits);
/* Writes the file, whole or not at all.  FALSE with *error. */
gboolean edits_write(const FileEdits *edits, GError **error);
/* Writes what stood there before. */
gboolean edits_undo(const FileEdits *edits, GError **error);

#endif
