/* The one place where a library's error leaves its C code by longjmp: libjpeg and libpng both ask for it. */
#ifndef POURTONE_PHOTO_GUARD_H
#define POURTONE_PHOTO_GUARD_H

#include <setjmp.h>
#include <stdbool.h>

typedef struct pt__guard {
  jmp_buf at;
} pt__guard;

/* Runs work(ctx). True when it returned, false when it left through pt__guard_leave. What work allocates must
 * hang on ctx, so that the caller can free it in both cases. */
bool pt__guard_run(pt__guard *guard, void (*work)(void *ctx), void *ctx);

/* Only below pt__guard_run of the same guard. */
_Noreturn void pt__guard_leave(pt__guard *guard);

#endif
