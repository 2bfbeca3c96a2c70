/* desk_file: a person's file as a form shows and changes it.  What a form leaves as it was stays
 * letter for letter, comments too; only what was changed is written anew. */
#ifndef DESK_FILE_H
#define DESK_FILE_H

#include "desk/stories.h"

typedef struct PersonFile {
    Arena *arena;
    const char *code;     /* of the person: the file's name */
    const char *path;
    const Source *source; /* NULL: there is no such file yet */
    const Node *root;     /* NULL: it cannot be read */
    const char *digest;   /* SHA-256 of its bytes; "" when there is none */
    Day today;
    const ClockSpan *hours; /* in which procedures are, or NULL: this one may be at any hour, or nobody knows */
    gboolean starts;      /* its protocol says how far from the procedure its first injection is: */
    int start;            /* so many days, before it below 0 */
} PersonFile;

/* TRUE when a file may be called so: letters, digits and hyphens. */
gboolean person_code_fits(const char *code);
/* FALSE with *error when the system fails. */
gboolean person_file_read(Arena *arena, const Desk *desk, const char *code, PersonFile *out, GError **error);

/* What stands under a key, as it is written; "" when nothing does.  anchor has "on" and "clock"
 * inside, lists are joined by commas, an empty list is "none". */
const char *person_file_says(const PersonFile *file, const char *key, const char *inside);
/* The same of the nth box. */
const char *person_file_box(const PersonFile *file, guint index, const char *inside);
/* The key of the file that a place stands under, or NULL; *box from 0, when it is one.  Of a text that
 * cannot be read: by its lines, as person_file_text() writes them. */
const char *person_file_key(const PersonFile *file, Place place, int *box);
/* Of a key with others inside, or of a box (-1: none), the one inside that the place stands at; or NULL. */
const char *person_file_inside(const PersonFile *file, const char *key, int box, Place place);

/* A text as it may stand in a file: nothing of a form goes over one line.  Freed with g_free(). */
char *person_file_line(const char *text);
/* Takes what a scanner typed into the field of a lot apart, within the form. */
void person_scan(const PersonFile *file, Request *form);
/* Puts the meaning that was chosen by a button ("take") into its field. */
void person_take(Request *form);
/* What the file takes of a field: a day, an hour or a use-by date written out (desk/written.h), else what
 * was typed. */
const char *person_file_takes(const PersonFile *file, const Request *form, const char *field);
/* The day of the first injection that a form says ("start"), and of the procedure that belongs to it; FALSE when it
 * says none that can be read. */
gboolean person_file_start(const PersonFile *file, const Request *form, Day *first, Day *procedure);
/* TRUE when it says both days anew, and they are not of one plan. */
gboolean person_file_disagrees(const PersonFile *file, const Request *form);
/* What a field may mean that was left as it was typed: ended by NULL, none or two and more. */
char **person_file_ways(const PersonFile *file, const Request *form, const char *field);
/* The file's text with what the form says; owned by the arena. */
char *person_file_text(const PersonFile *file, const Request *form);
/* The file's text with one more acceptance; owned by the arena. */
char *person_file_accepting(const PersonFile *file, const char *acceptance);
/* The acceptance that a form gives (person.c), as a file says it; NULL when it lacks a reason. */
const char *acceptance_item(Session *session, const Clinic *clinic, const Request *request);
/* Writes it when the file is still the one that was read, with this digest.  *taken: somebody
 * else changed it meanwhile, and nothing was written.  FALSE with *error. */
gboolean person_file_write(const PersonFile *file, const char *digest, const char *text, gboolean *taken,
                           GError **error);

#endif
