/* The one place where a library's error leaves its C code by longjmp: libjpeg and libpng both ask for it. */
#ifndef DROPWISE_PHOTO_GUARD_H
#define DROPWISE_PHOTO_GUARD_H

#include <setjmp.h>
#include <stdbool.h>

typedef struct dw__guard {
  jmp_buf at;
} dw__guard;

/* Runs work(ctx). True when it returned, false when it left through dw__guard_leave. What work allocates must
 * hang on ctx, so that the caller can free it in both cases. */
bool dw__guard_run(dw__guard *guard, void (*work)(void *ctx), void *ctx);

/* Only below dw__guard_run of the same guard. */
_Noreturn void dw__guard_leave(dw__guard *guard);

#endif
