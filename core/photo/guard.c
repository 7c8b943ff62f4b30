#include "photo/guard.h"

bool pt__guard_run(pt__guard *guard, void (*work)(void *ctx), void *ctx) {
  if (setjmp(guard->at)) return false;
  work(ctx);
  return true;
}

void pt__guard_leave(pt__guard *guard) {
  longjmp(guard->at, 1);
}
