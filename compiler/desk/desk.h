/* desk: the commands' other face, for a browser on the same machine.  Reads and writes the same
 * files and the same record through the same functions; judges nothing itself.
 *
 * One process listens (libmicrohttpd, one thread) and keeps who is at the desk; it reads no
 * clinic's file.  Each answer is made by a child of its own, forked for it: what it takes in
 * memory ends with it, and a check of ours that fails in it stops nobody else's page. */
#ifndef DESK_H
#define DESK_H

#include "commands/commands.h"

int command_desk(Session *session);
/* Who may sign in there, and with what password. */
int command_people(Session *session);

#endif
