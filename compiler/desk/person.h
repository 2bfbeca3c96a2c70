/* desk_person: a person's page.  For the stories. */
#ifndef DESK_PERSON_H
#define DESK_PERSON_H

#include "desk/file.h"

typedef struct Person {
    const Desk *desk;
    const Request *request;
    Session *session;
    Case clinic;          /* the clinic alone */
    Record *record;       /* or NULL: none is kept */
    PersonFile file;
    Case own;             /* of the person's file, when it was judged */
    Plan *plan;           /* or NULL */
    gboolean judged;
    gboolean retyped;     /* the page shows what was typed, since it was not kept */
    View *view;
} Person;

/* FALSE when clinic, record or file cannot be read: the answer then says why. */
gboolean person_open(Person *person, const Desk *desk, const Request *request, const char *code, Answer *answer);
/* Judges the file as "check" does. */
void person_judge(Person *person);
/* The page. */
void person_show(Person *person, Answer *answer);

#endif
