/* dosewright_evening: the people of a night, gathered from their files and the record. */
#ifndef DOSEWRIGHT_EVENING_H
#define DOSEWRIGHT_EVENING_H

#include "commands/commands.h"
#include "night/night.h"

/* Fills a request from the files and folders named: people with a sheet for tonight, those
 * without one, what the record has noted.  A status, said when it is not EXIT_FINE.  Owned
 * by the session's arena. */
int evening_gather(Session *session, char **words, NightRequest *request);

#endif
