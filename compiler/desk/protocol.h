/* desk_protocol: a protocol's pages.  For the stories. */
#ifndef DESK_PROTOCOL_H
#define DESK_PROTOCOL_H

#include "desk/file.h"

typedef struct ProtocolPage {
    const Desk *desk;
    const Request *request;
    Session *session;
    Case clinic;     /* the clinic alone */
    PersonFile file; /* the protocol's file: it is changed as a person's is */
    Case own;        /* when it was judged */
    Plan *plan;      /* or NULL */
    const char *kept; /* path of the approved text before this one, or NULL */
    View *view;
} ProtocolPage;

/* FALSE when there is none of this name, or clinic or file cannot be read: the answer then says so. */
gboolean protocol_open(ProtocolPage *page, const Desk *desk, const Request *request, Answer *answer);
/* Judges the file; text: this in its stead, or NULL. */
void protocol_judge(ProtocolPage *page, const char *text);
/* Findings, the text line by line, how it stands. */
void protocol_show(ProtocolPage *page);
/* All of the clinic, as they are called. */
GPtrArray *protocol_names(Arena *arena, const Desk *desk);
/* The page for reading. */
void protocol_read(ProtocolPage *page, Answer *answer);

/* lines.c: the text with its findings under their lines, and what was changed since it was approved. */
void protocol_show_lines(ProtocolPage *page);

/* sample.c: the sheet that it makes, of somebody invented: a picture, or NULL. */
GBytes *protocol_look(ProtocolPage *page, int number);

#endif
