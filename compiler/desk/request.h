/* desk_request: what a browser asked for, taken apart, and what it is answered. */
#ifndef DESK_REQUEST_H
#define DESK_REQUEST_H

#include "desk/desk.h"
#include "desk/roles.h"

#define DESK_BODY_LIMIT (64 * 1024) /* bytes of a form */
#define DESK_FIELDS 200             /* fields of a form */
#define DESK_RENEWED "renewed"      /* field of a page that looked again by itself */
#define PASSWORD_FIELD "password"   /* none whose name begins so is ever shown again */
/* A form that came from somebody who was signed out waits in the page that signs in: the path that
 * it was sent to, and its fields with this before their names. */
#define DESK_TYPED "typed."
#define DESK_TYPED_PATH "typed_path"

typedef struct Entered {
    char *name;
    GString *value;
} Entered;

/* Asked for; owned by the visit it came with. */
typedef struct Request {
    const char *path;   /* "/person/LC-2041" */
    const char *argument; /* what the address's "*" stands for, or NULL */
    gboolean post;
    GPtrArray *entered; /* of Entered*: of the form, or behind the "?" */
    char *who;          /* at the desk; NULL: nobody has said yet */
    gboolean named;     /* who is there came in by a password */
    Roles roles;        /* of who is there; 0 before */
    const char *mark;   /* stands in the page for the name of who is there, or NULL: the server puts it in */
    char *token;        /* for the forms of the page that answers; NULL: nobody is let in */
    char *others;       /* who else has the same person open; or NULL */
    const char *notice; /* id of what went wrong before, for the page that says so; or NULL */
} Request;

/* Whether a page may be shown again within the minute while no file changes. */
typedef enum Keeps {
    KEEPS_NOT,
    KEEPS_OWN,     /* to the same person */
    KEEPS_FOR_ALL, /* to everybody with the same roles: of who is there it says the name alone */
} Keeps;

typedef struct Answer {
    guint status;       /* of HTTP */
    char *type;         /* media type */
    char *location;     /* of a 303, or NULL */
    char *who;          /* from now on at the desk, or NULL */
    gboolean proved;    /* a password came with the request, and was right */
    gboolean leaves;    /* who was at the desk goes */
    Keeps keeps;
    char *file;         /* a name for the file when it is kept, or NULL */
    GString *body;
} Answer;

Answer *answer_new(guint status, const char *type);
void answer_free(Answer *answer);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Answer, answer_free)

/* What was entered under a name, without spaces at its ends: "" when nothing was. */
const char *request_field(const Request *request, const char *name);
void entered_free(gpointer entered);

#endif
