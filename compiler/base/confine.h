/* confine: what a process may still reach, for good and for all that it starts: files that are
 * named (Landlock, Linux 5.13 and later) and calls of the system (seccomp).  Where the kernel has
 * less, less is closed, and nothing is said: confine_held() tells.  Under the sanitizers, which
 * trace and write by themselves, and with DOSEWRIGHT_OPEN (valgrind), nothing is closed. */
#ifndef CONFINE_H
#define CONFINE_H

#include <glib.h>

typedef enum ConfineCalls {
    CONFINE_NETWORK = 1, /* sockets stay allowed: of the internet and of this machine */
    CONFINE_START = 2,   /* and other programs, those of confine_run() */
    CONFINE_READER = 4,  /* no more than what reading a file and printing needs */
} ConfineCalls;

typedef struct Confine Confine;

/* Nothing is allowed yet; confine_close() frees it. */
Confine *confine_new(void);

/* The file, or all below the folder, may be read.  Links are followed now, and nowhere else led
 * out of what is named later; what is not there is passed over. */
void confine_read(Confine *confine, const char *path);
/* Names in the folder and below may be listed, no more. */
void confine_list(Confine *confine, const char *folder);
/* All below the folder may be read, written, made and removed; while it is not there, below the
 * nearest folder above it that is. */
void confine_write(Confine *confine, const char *folder);
/* The program may be started, with what loads it. */
void confine_run(Confine *confine, const char *program);
/* What every program reads of the system: libraries, fonts, zones; no person's files, no /etc
 * but the fonts' and the loader's. */
void confine_read_system(Confine *confine);

/* From here on.  calls: of ConfineCalls; to be called before any thread is started. */
void confine_close(Confine *confine, unsigned calls);

/* FALSE when nothing was closed in this process. */
gboolean confine_closed(void);

/* What this kernel can close, as "files by Landlock 4, calls by seccomp"; never NULL. */
const char *confine_held(void);

#endif
