/* desk_stories: what is done at the desk, each as a function that makes an answer.  They run in a
 * child (desk/child.h), and read and write files and record as the commands do. */
#ifndef DESK_STORIES_H
#define DESK_STORIES_H

#include "desk/child.h"
#include "desk/view.h"

#define DESK_SHEETS "sheets"           /* folder below the clinic's, that sheets are printed into */
#define DESK_SHEET_LIMIT (64u << 20)   /* bytes of a sheet */
#define DESK_BOXES 12                  /* that a form shows of a person */

typedef enum Needs { NEEDS_SEAT, NEEDS_NAME } Needs;

typedef struct Address {
    gboolean post;
    const char *path;
    const char *name; /* of the story, "story_tonight" */
    Story story;
    Needs needs;
    Roles roles;      /* who may use it */
} Address;

/* The address of a path, and in *argument what its "*" stands for, owned by the caller.  NULL
 * when there is none; *known tells whether there is one with the other method. */
const Address *address_find(const char *path, gboolean post, char **argument, gboolean *known);
/* "may_tonight" and so on, for each address that these roles may use. */
void addresses_show(View *view, Roles roles);

#define ADDRESS(method, path, story, needs, roles) void story(const Desk *, const Request *, Answer *);
#include "desk/addresses.def"

/* The page for request->notice, with all that was entered. */
void story_notice(const Desk *desk, const Request *request, Answer *answer);
guint notice_status(const char *id);

/* ---- for the stories: page.c ---- */

/* A run of the commands' own: arena, clock, loader. */
Session *page_session(const Desk *desk);
/* The clinic of the desk; FALSE when it cannot be read: the answer then says why. */
gboolean page_clinic(const Desk *desk, const Request *request, Session *session, Case *file, Answer *answer);
/* What every page shows: title, who, token, clinic, telephones.  clinic: NULL when not read. */
View *page_view(const Request *request, Session *session, const Clinic *clinic);
/* Renders the template into the answer. */
void page_show(const Desk *desk, const View *view, const char *template_name, Answer *answer);
/* "11:40 pm" in the clinic's way of writing, and "Tuesday 2026-11-24"; owned by the arena. */
char *page_clock(Arena *arena, const Clinic *clinic, Instant at);
char *page_day(Arena *arena, const Clinic *clinic, Instant at);
char *page_date(Arena *arena, const Clinic *clinic, Instant at); /* "2026-11-24" */
/* TRUE when the field "password" holds the password of who is there, or where none is asked for: to be
 * asked before what is signed with a name.  The server counts those that are wrong. */
gboolean page_proves(const Desk *desk, const Request *request, Answer *answer);
/* A finding's words into the view, and "to_line" where its place is a page of the desk: finding.c. */
void finding_show(View *view, Arena *arena, const Finding *finding);
void finding_link(View *view, Place place);
/* The page says of who is there nothing but the name, and may be shown to everybody with the same roles. */
void page_is_for_all(Answer *answer);
/* Says what was told the terminal, as the reason why nothing was done. */
void page_said(const Desk *desk, const Request *request, Session *session, Answer *answer);
/* 303 to the address. */
void page_go(Answer *answer, const char *format, ...) G_GNUC_PRINTF(2, 3);

#endif
