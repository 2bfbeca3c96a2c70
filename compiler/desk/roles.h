/* desk_roles: what a person may do at the desk, as a set of bits. */
#ifndef DESK_ROLES_H
#define DESK_ROLES_H

#include <glib.h>

typedef guint Roles;

enum {
#define ROLE(id, word) ROLE_NUMBER_##id,
#include "desk/roles.def"
    ROLE_COUNT
};

enum {
#define ROLE(id, word) ROLE_##id = 1u << ROLE_NUMBER_##id,
#include "desk/roles.def"
};

#define ROLES_ALL ((1u << ROLE_COUNT) - 1)

/* The role of a word, or 0. */
Roles role_of(const char *word);
/* The words of a set, with this between them; the caller frees it. */
char *roles_words(Roles roles, const char *between);

#endif
