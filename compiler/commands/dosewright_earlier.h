/* dosewright_earlier: the sheets that stand in a folder already.  None is ever written
 * over, and no number stands for two things. */
#ifndef DOSEWRIGHT_EARLIER_H
#define DOSEWRIGHT_EARLIER_H

#include "commands/commands.h"

/* TRUE when these files (of PublishFile*) of the plan may be put into the folder; else a
 * finding says which sheet stands against it and what the two ways out are.  Files that
 * are there byte for byte may be written again. */
gboolean earlier_allows(const Session *session, const char *folder, const Plan *plan, const GPtrArray *files,
                        Diagnostics *diagnostics);
/* The same where only these files of the folder (of char*) can stand against it. */
gboolean earlier_allows_beside(Arena *arena, const char *folder, const GPtrArray *names, const Plan *plan,
                               const GPtrArray *files, Diagnostics *diagnostics);
/* TRUE when the file stands there whole and is this plan's sheet, made from the same files. */
gboolean earlier_is_same(Arena *arena, const char *folder, const char *name, const Plan *plan);

/* Names the files of the sheet that this plan's replaces: they still look valid. */
void earlier_tell_replaced(Arena *arena, const char *folder, const Plan *plan);

#endif
