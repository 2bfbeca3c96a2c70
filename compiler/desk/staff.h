/* desk_staff: the named people of a desk, what each may do, and their passwords, as the file
 * "desk.people" beside clinic.yaml has them.  Passwords are kept as Argon2id makes them (RFC 9106,
 * by libsodium), never as they are typed.  The file is written by this program alone, mode 0600. */
#ifndef DESK_STAFF_H
#define DESK_STAFF_H

#include "desk/roles.h"

#define PEOPLE_FILE "desk.people"
/* NIST SP 800-63B asks for 8 at least where another factor stands beside it; no other stands here. */
#define PASSWORD_LEAST 12 /* letters */
#define PASSWORD_MOST 200 /* bytes */

typedef struct Named {
    char *name;
    Roles roles;
    char *hash; /* of the password, as libsodium writes it */
} Named;

typedef struct Staff Staff;

/* Nobody when there is no file.  NULL with *error when it cannot be read, others may read it, or a
 * line is not understood. */
Staff *staff_read(const char *clinic, GError **error);
void staff_free(Staff *staff);
guint staff_count(const Staff *staff);
const Named *staff_nth(const Staff *staff, guint index);
/* NULL when nobody is called so. */
const Named *staff_find(const Staff *staff, const char *name);
/* Adds one, or changes one who is there: roles 0 and hash NULL stay as they were. */
void staff_put(Staff *staff, const char *name, Roles roles, const char *hash);
gboolean staff_remove(Staff *staff, const char *name);
gboolean staff_write(const Staff *staff, const char *clinic, GError **error);
/* Grows or changes whenever the file was written anew; the caller frees it. */
char *staff_stamp(const char *clinic);

/* Why a password is none for this name, or NULL. */
const char *password_fault(const char *password, const char *name);
/* The caller frees it; NULL with *error when memory does not suffice. */
char *password_hash(const char *password, GError **error);
/* Takes as long when nobody (NULL) is asked about. */
gboolean password_is(const Named *named, const char *password);

#endif
