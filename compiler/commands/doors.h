/* doors: which files and calls a command keeps, worked out from the words that were typed, before
 * it begins; all else is closed to it (base/confine.h). */
#ifndef DOORS_H
#define DOORS_H

#include "commands/commands.h"

typedef enum Door {
    DOOR_WORDS = 1,   /* reads files and folders named, with what lies beside them, and their clinic */
    DOOR_OUT = 2,     /* writes below --out */
    DOOR_HERE = 4,    /* or, without it, where the program was called */
    DOOR_RECORD = 8,  /* writes the record of the clinics */
    DOOR_CLINIC = 16, /* writes in the clinic's folder */
    DOOR_BESIDE = 32, /* changes files named */
    DOOR_COPY = 64,   /* writes the file that the second word names, when the first is "backup" */
    DOOR_ASKS = 128,  /* starts the program that draws */
    DOOR_SHEET = 256, /* reads files from outside: none beside them, with the least of calls, time and memory */
    DOOR_SERVES = 512, /* closes itself: commands_close_desk() */
} Door;

void doors_close(Session *session, unsigned doors);

/* Each file from outside has so many seconds of its own. */
void doors_next_sheet(void);

#endif
