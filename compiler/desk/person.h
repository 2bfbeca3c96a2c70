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
    gboolean tried;       /* what was judged does not stand in the file */
    gboolean filling;     /* a new form that nobody has kept: what is empty is only named */
    gboolean looked;      /* its sheet was drawn, and what drawing finds is among its findings */
    gboolean retyped;     /* the page shows what was typed, since it was not kept */
    View *view;
} Person;

/* FALSE when clinic, record or file cannot be read: the answer then says why. */
gboolean person_open(Person *person, const Desk *desk, const Request *request, const char *code, Answer *answer);
/* The desk for a form that goes into no record, which is then looked at as by a page. */
Desk person_reads(const Desk *desk);
/* Judges the file as "check" does. */
void person_judge(Person *person);
/* Judges what the form says as if it were kept; nothing is written.  FALSE when the file that
 * stands there cannot be changed by a form. */
gboolean person_try(Person *person, const Request *form);
/* The same of a whole text in the place of the file. */
void person_try_text(Person *person, const char *text);
/* print.c: what to say to a person whose sheet replaced another one. */
void person_say_new(Person *person);
/* say.c: the same in the language of her sheet, when that is not English; of what was judged.
 * new: the sheet that replaces the one to be torn up; NULL: that was cancelled. */
void person_say_theirs(Person *person, const RecordSheet *new);
/* undo.c: the text from before this change is kept, when a sheet was printed from it.
 * FALSE with *error. */
gboolean person_keep_before(const Person *person, GError **error);
/* It was kept, at this change or an earlier one. */
gboolean person_has_before(const Person *person);
/* A new sheet was printed, or nothing was changed: there is no way back. */
void person_forget_before(const Person *person);
void person_show_before(Person *person);
/* others.c: people of the same first name who inject in the same night, or up to three from it. */
void person_show_alike(Person *person);
/* others.c: the medicine that a lot is known as, in other people's files or on their newest sheets, and whose that
 * was; NULL when it is known as this one's, or not at all. */
const char *person_lot_elsewhere(Person *person, const char *medicine, const char *lot, const char **whose);
/* form.c: what of the form's protocol decides how a day and an hour are read. */
void person_learn(Person *person, const Request *form);
/* form.c: the form, filled in. */
void person_show_form(Person *person);
/* form.c: where the form shows the box that stands at this place of the file, which says none that is empty; or -1. */
int person_box_shown(const Person *person, int of_file);
/* preview.c: what only drawing finds, of a person whose words might have no room, or letters no glyph. */
void person_look_at_words(Person *person);
/* preview.c: page of the sheet of what was judged, into the page. */
void person_show_look(Person *person, int page);
/* The page. */
void person_show(Person *person, Answer *answer);

#endif
