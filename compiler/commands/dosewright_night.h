/* dosewright_night: who injects what tonight: list, page, watch, one person. */
#ifndef DOSEWRIGHT_NIGHT_H
#define DOSEWRIGHT_NIGHT_H

#include "commands/commands.h"

int command_night(Session *session);
int command_find(Session *session);

/* "night-2026-11-24.pdf" */
const char *night_file(Arena *arena, Day evening, const char *ending);
/* Publishes the page of the night that holds the session's time, said to be made at another
 * one, into the session's folder, without a word.  EXIT_FINDINGS: nobody is on it. */
int night_publish(Session *session, char **words, Instant made);

#endif
