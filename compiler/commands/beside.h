/* commands_beside: the people of a roster beside each other, beside the clinic's files of people
 * and, where it lies in the clinic's folder, beside the other rosters there; read twice: once to know who has
 * something in common, and again where two are compared. */
#ifndef COMMANDS_BESIDE_H
#define COMMANDS_BESIDE_H

#include "commands/commands.h"
#include "rules/rules.h"

/* A person in another file. */
typedef struct BesideFile {
    const char *path;
    gboolean listed;  /* in a roster, at the mark */
    RosterMark mark;
} BesideFile;

typedef struct Listing {
    const char *path;
    Roster *roster;     /* for reading one person after the other */
    GArray *marks;      /* of RosterMark: where each person begins */
    GArray *elsewhere;  /* of BesideFile: people of other files, counted on behind the roster's */
    gboolean apart;     /* the roster lies outside the clinic's folder */
    gboolean lost;      /* a file of other people could not be had, which was said: nobody can be told apart for sure */
    Beside *beside;
    Roster *again;      /* for reading another person in between */
    Arena *arena;       /* of the people read again; NULL until one is */
} Listing;

/* Reads all of it once; NULL when nobody can be read, and *status says why. */
Listing *people_read(Session *session, const char *path, int *status);
/* Whom this person might be mistaken for, or NULL; adds what two must not share to its findings.  Look at
 * people->lost behind it. */
const char *people_compare(Arena *arena, Listing *people, const RosterRow *row);
/* Before a process is forked for these people, and behind it. */
void people_prepare(Listing *people, guint from, guint until);
void people_prepared(Listing *people);
/* What was read again is of no use once a person is told. */
void people_forget(Listing *people);
/* The same, once that arena goes: findings that are told later point into it. */
void people_forget_with(Listing *people, Arena *arena);
/* Each process needs files of its own: a place in a file is shared by all who inherit it. */
gboolean people_reopen(Session *session, Listing *people);
/* Adds those people of the rosters that lie in the cases' clinic folders, and beside their files, who
 * share a code, an order or a sheet's number with one of the cases, as Case* that are neighbours. */
void people_listed_beside(Session *session, const GPtrArray *cases, GPtrArray *out);
/* What is compared of a person, as the keys of a file say it; the texts are the arena's or the keys'. */
void beside_describe(Arena *arena, const Node *root, BesidePerson *out);
/* The keys of a person's file, or NULL when it is none, and with *error when the system does not give it. */
const Node *beside_person_in(Arena *arena, const char *path, GError **error);
/* Of a file that the system does not give: somebody with a like name may stand in it.  Says so, and TRUE, unless
 * it is gone; frees the error. */
gboolean beside_lost(GError *error);
/* The code as written, "" when there is none. */
const char *people_code(const RosterRow *row);

/* ---- commands_alike.c: a person of a file of her own ---- */

/* Whom the person might be mistaken for on her day: of the clinic's folder of people and the rosters of
 * its folder; NULL when for nobody.  Notes are added to the file's findings. */
const char *alike_of(Session *session, const Case *file);

#endif
