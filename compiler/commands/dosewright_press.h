/* dosewright_press: one person's sheets of one template, drawn and not yet written. */
#ifndef DOSEWRIGHT_PRESS_H
#define DOSEWRIGHT_PRESS_H

#include "commands/commands.h"

/* Templates and phrases that were read, kept from person to person. */
typedef struct PressTools PressTools;
PressTools *press_tools_new(Arena *arena);

typedef struct PressOrder {
    Session *session;       /* its options name the template; its arena owns the result */
    Plan *plan;             /* complete, nothing stops it */
    Diagnostics *diagnostics;
    PressTools *tools;
    gboolean names_only;    /* only what the files would be called */
} PressOrder;

typedef struct PressResult {
    GPtrArray *files;       /* of PublishFile*; without bytes when only the names were asked for */
    const char *blank;      /* what a page says that is blank on purpose, in the language of these */
    Paper paper;
} PressResult;

/* An exit status; findings go to the order's diagnostics. */
int press_person(const PressOrder *order, PressResult *out);

#endif
