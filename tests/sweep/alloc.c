#include "alloc.h"

#include <errno.h>
#include <stddef.h>
#include <stdlib.h>

#define EXPORT __attribute__((visibility("default")))

/* The C library's own, behind the names that are taken here. */
void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *old, size_t n);
void *__libc_memalign(size_t alignment, size_t n);

static bool refused(void) {
  bool fails = sweep_fails();
  if (fails) errno = ENOMEM;
  return fails;
}

EXPORT void *malloc(size_t n) {
  return refused() ? NULL : __libc_malloc(n);
}

EXPORT void *calloc(size_t n, size_t size) {
  return refused() ? NULL : __libc_calloc(n, size);
}

EXPORT void *realloc(void *old, size_t n) {
  return refused() ? NULL : __libc_realloc(old, n);
}

EXPORT void *reallocarray(void *old, size_t n, size_t size) {
  size_t bytes;
  if (__builtin_mul_overflow(n, size, &bytes)) {
    errno = ENOMEM;
    return NULL;
  }
  return refused() ? NULL : __libc_realloc(old, bytes);
}

EXPORT void *memalign(size_t alignment, size_t n) {
  return refused() ? NULL : __libc_memalign(alignment, n);
}

EXPORT void *aligned_alloc(size_t alignment, size_t n) {
  return refused() ? NULL : __libc_memalign(alignment, n);
}

EXPORT int posix_memalign(void **out, size_t alignment, size_t n) {
  void *memory = refused() ? NULL : __libc_memalign(alignment, n);
  if (!memory) return ENOMEM;
  *out = memory;
  return 0;
}
