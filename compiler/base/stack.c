#include "base/stack.h"

#include <signal.h>
#include <stddef.h>

/* The address sanitizer has a stack of its own there, and takes it back at a thread's end. */
#ifdef __SANITIZE_ADDRESS__
#define SANITIZED 1
#elif defined(__has_feature)
#define SANITIZED __has_feature(address_sanitizer)
#else
#define SANITIZED 0
#endif

void stack_for_faults(void)
{
    static _Thread_local char memory[64 << 10];
    const stack_t own = {.ss_sp = memory, .ss_size = sizeof memory};
    if (!SANITIZED)
        sigaltstack(&own, NULL);
}
