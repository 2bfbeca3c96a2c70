/* cmocka_all: cmocka and what it needs before it. */
#ifndef CMOCKA_ALL_H
#define CMOCKA_ALL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka comes last */
#include <cmocka.h>

#endif
