#ifndef STACK_H
#define STACK_H

/* Gives the calling thread a stack of its own for handlers of SIGSEGV and SIGBUS, in memory that
 * is there from the thread's start: when memory ends, the ordinary stack cannot grow, and GLib
 * may run through all of it while it tries to say so.  Each thread calls it first. */
void stack_for_faults(void);

#endif
