#ifndef STACK_H
#define STACK_H

/* Whether the address sanitizer is built in: it shows where, which a test wants to see, and
 * nobody else then catches SIGSEGV. */
#ifdef __SANITIZE_ADDRESS__
#define SANITIZED 1
#elif defined(__has_feature)
#define SANITIZED __has_feature(address_sanitizer)
#else
#define SANITIZED 0
#endif

/* Gives the calling thread a stack of its own for handlers of SIGSEGV and SIGBUS, in memory that
 * is there from the thread's start: when memory ends, the ordinary stack cannot grow, and GLib
 * may run through all of it while it tries to say so.  Each thread calls it first. */
void stack_for_faults(void);

#endif
