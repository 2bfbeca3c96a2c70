#include "base/stack.h"

#include <signal.h>
#include <stddef.h>

void stack_for_faults(void)
{
    static _Thread_local char memory[64 << 10];
    const stack_t own = {.ss_sp = memory, .ss_size = sizeof memory};
    if (!SANITIZED) /* which has a stack of its own there, and takes it back at a thread's end */
        sigaltstack(&own, NULL);
}
