#include "photo/guard.h"

bool dw__guard_run(dw__guard *guard, void (*work)(void *ctx), void *ctx) {
  if (setjmp(guard->at)) return false;
  work(ctx);
  return true;
}

void dw__guard_leave(dw__guard *guard) {
  longjmp(guard->at, 1);
}
