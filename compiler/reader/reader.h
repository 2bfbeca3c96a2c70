/* reader: nodes -> the structs of model.h, by the rows of fields.def.
 * Judges how each value is written, never what it asks for; invents no default.
 * A value that cannot be read is FIELD_BAD after one finding, so that rules
 * about it stay silent.  Rows and kinds live in model/table.h. */
#ifndef READER_H
#define READER_H

#include "base/base.h"
#include "language/language.h"
#include "syntax/syntax.h"

typedef enum FileKind { FILE_CLINIC, FILE_SHELF, FILE_PROTOCOL, FILE_PATIENT } FileKind;

/* What the file says it is by its first key.  FALSE after a finding. */
gboolean reader_kind(const Node *root, Diagnostics *diagnostics, FileKind *out);

/* Fill one struct, owned by the arena; never NULL, and its lists never NULL.
 * Every fault of the file is found in one run.  root must be a map, and must
 * outlive the struct (places point into its source). */
Clinic *reader_clinic(Arena *arena, const Node *root, Diagnostics *diagnostics);
Shelf *reader_shelf(Arena *arena, const Node *root, Diagnostics *diagnostics);
/* Also asks that the short name is the file's, when the file ends in .yaml. */
Protocol *reader_protocol(Arena *arena, const Node *root, Diagnostics *diagnostics);
Patient *reader_patient(Arena *arena, const Node *root, Diagnostics *diagnostics);

/* The same of one of the people in a roster; table: its values come from cells. */
Patient *reader_listed(Arena *arena, const Node *root, gboolean table, Diagnostics *diagnostics);

/* ---- load: from the files that the user names to the case that is judged: finds
 * clinic.yaml above a file, the shelf beside it, a patient's protocol; reads
 * each file once.  The only file that knows how a clinic's folder is laid out:
 *   clinic.yaml  shelf.yaml  protocols/NAME.yaml  patients/CODE.yaml
 */

/* What one named file brings with it.  Members that could not be read are NULL. */
typedef struct Case {
    const char *path;       /* as the user named it */
    FileKind kind;
    const Clinic *clinic;
    const Shelf *shelf;
    const Protocol *protocol;
    const Patient *patient;
    gint64 waiting;         /* revision of the file that waits for its approval; 0: the file itself is taken */
    const char *folder;     /* of its clinic, or NULL */
    gboolean neighbour;     /* nobody named it: read to be compared, without shelf and protocol */
    gboolean apart;         /* it lies outside the clinic's folder, perhaps as a copy */
    SealMemo *seals;        /* of clinic and shelf, when other cases share them; or NULL */
    const char *digest;     /* of all the bytes read for it: SHA-256, in hex, of those of its files */
    Diagnostics *diagnostics;
} Case;

typedef struct Loader Loader;

/* clinic_folder: from --clinic, or NULL to look upwards from each file. */
Loader *loader_new(Arena *arena, const char *clinic_folder);

/* From now on this text is what stands at the path: typed, and not yet kept.  Copied. */
void loader_put(Loader *loader, const char *path, const char *text);

/* Loads one file ("-" is standard input) and what it needs.  FALSE with *error
 * set when the system fails; findings go to out->diagnostics. */
gboolean loader_load(Loader *loader, const char *path, Case *out, GError **error);
/* The same, with what the file itself says in an arena of the caller's, so that it can be forgotten
 * alone; what other files share stays with the loader. */
gboolean loader_load_in(Loader *loader, Arena *own, const char *path, Case *out, GError **error);

/* The same of a person who stands in the roster at this path: root holds the person's keys
 * and words all that is said of the person, for the digest.  The case and its findings are
 * owned by the arena, so that a long roster needs no more memory than a short one. */
typedef struct Listed {
    Arena *arena;
    const Node *root;
    gboolean table;
    const char *words;
    Diagnostics *diagnostics; /* gets the findings */
} Listed;
gboolean loader_listed(Loader *loader, const char *path, const Listed *listed, Case *out, GError **error);

/* The nearest folder at or above the file's ("-": above this one) that holds a clinic, or
 * --clinic; NULL when there is none. */
char *loader_clinic_folder(Loader *loader, const char *path);
/* Where a clinic's protocol stands; NULL when it does not. */
char *loader_protocol_path(Arena *arena, const char *folder, const char *name);

/* The same of a person's file. */
char *loader_patient_path(Arena *arena, const char *folder, const char *code);

/* The files under a folder that this program reads, sorted, as char*, but for the kept
 * copies of approvals below it; FALSE with *error when the folder cannot be read. */
gboolean loader_list(Arena *arena, const char *folder, GPtrArray *out, GError **error);

/* TRUE when the path lies below the folder, as both are written. */
gboolean loader_lies_below(const char *path, const char *folder);
/* Where a clinic's files of people stand. */
char *loader_people_folder(Arena *arena, const char *folder);

/* Adds the people's files that stand in the clinic's folder of people, and beside a file within
 * the clinic's folder, as Case* that are neighbours; sets of->apart.  known: canonical paths that
 * are passed over, those that were named among them; grows, so that each folder is read once.
 * What cannot be read is passed over: a check of that file tells it. */
void loader_neighbours(Arena *arena, Case *of, GHashTable *known, GPtrArray *out);

/* ---- kept: what an approval rested on, so that a later change can be told.  Under the
 * clinic's folder, one folder for each approval, a small clinic's folder itself:
 *   approvals/NAME-REVISION-SEAL/  clinic.yaml  shelf.yaml  rules.txt  protocols/NAME.yaml
 */

/* What was approved under this seal.  FALSE when no copy is kept, or when the copy is
 * not what was sealed; *folder is then the spoilt copy's, or NULL. */
gboolean loader_kept(Arena *arena, const Case *file, const char *seal, Case *out, const char **rules,
                     const char **folder);

/* The revision that was approved under this seal, 0 when no copy is kept. */
gint64 loader_kept_revision(Arena *arena, const char *clinic_folder, const char *name, const char *seal);
/* The path of the newest kept protocol of this name below this revision that was approved on
 * this day or before it (LOADER_ANY_DAY: whenever); NULL when none is kept. */
#define LOADER_ANY_DAY G_MAXINT32
const char *loader_kept_before(Arena *arena, const char *clinic_folder, const char *name, gint64 revision, Day until);

/* The kept protocol that sheets go on from while this one waits for its approval; NULL when
 * it does not wait, or none is kept. */
const char *loader_goes_on(Arena *arena, const char *clinic_folder, const char *name, const Protocol *written);

/* Keeps it: file is a protocol's case that holds the approval, line the approval as
 * written.  *folder is where.  FALSE with *error when it cannot be written, or when
 * the line does not fit to the end of the protocol's text. */
gboolean loader_keep(Arena *arena, const Case *file, const char *line, const char *seal, const char *rules,
                     const char **folder, GError **error);

#endif
