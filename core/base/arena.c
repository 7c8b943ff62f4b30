#include "dropwise/base.h"

#include <stdlib.h>
#include <sys/mman.h>

bool dw_size_mul(size_t a, size_t b, size_t *out) {
  if (b != 0 && a > SIZE_MAX / b) return false;
  *out = a * b;
  return true;
}

bool dw_size_add(size_t a, size_t b, size_t *out) {
  if (a > SIZE_MAX - b) return false;
  *out = a + b;
  return true;
}

/* Every object is a block of its own: the few large ones that a photo needs gain nothing from packing, and a
 * memory checker sees a write past any of them. */
typedef struct block {
  struct block *next;
  void *mapped; /* elsewhere, or NULL */
  size_t mapped_bytes;
  max_align_t data[];
} block;

struct dw_arena {
  block *blocks;
  size_t used, limit;
};

dw_arena *dw_arena_new(size_t limit_bytes) {
  dw_arena *arena = calloc(1, sizeof *arena);
  if (arena) arena->limit = limit_bytes ? limit_bytes : SIZE_MAX;
  return arena;
}

/* A block with room for own bytes, that counts as `counted`. */
static block *block_add(dw_arena *arena, size_t own, size_t counted) {
  size_t whole;
  if (!dw_size_add(own, sizeof(block), &whole) || counted > arena->limit - arena->used) return NULL;
  block *fresh = calloc(1, whole);
  if (!fresh) return NULL;
  fresh->next = arena->blocks;
  arena->blocks = fresh;
  arena->used += counted;
  return fresh;
}

enum { LARGE_PAGE = 2 << 20 };

/* In large pages where the system has them: thousands of small ones take longer to get than to fill. */
static void *take_large(dw_arena *arena, size_t n) {
  size_t bytes;
  if (!dw_size_add(n, LARGE_PAGE - 1, &bytes) || n > arena->limit - arena->used) return NULL;
  bytes -= bytes % LARGE_PAGE; /* a whole number of them is laid where they can be */
  /* cppcheck-suppress invalidFunctionArg ; without a file there is no descriptor, and -1 says so (mmap(2)) */
  void *memory = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (memory == MAP_FAILED) return NULL;
  madvise(memory, bytes, MADV_HUGEPAGE);
  block *fresh = block_add(arena, 0, n);
  if (fresh) {
    fresh->mapped = memory;
    fresh->mapped_bytes = bytes;
    return memory;
  }
  munmap(memory, bytes);
  return NULL;
}

void *dw_arena_take(dw_arena *arena, size_t n, size_t size) {
  size_t bytes;
  if (!dw_size_mul(n, size, &bytes)) return NULL;
  if (bytes >= 2 * LARGE_PAGE) return take_large(arena, bytes);
  block *fresh = block_add(arena, bytes, bytes);
  return fresh ? fresh->data : NULL;
}

bool dw_arena_keep_mapped(dw_arena *arena, void *memory, size_t bytes) {
  block *fresh = block_add(arena, 0, bytes);
  if (!fresh) return false;
  fresh->mapped = memory;
  fresh->mapped_bytes = bytes;
  return true;
}

void dw_arena_free(dw_arena *arena) {
  if (!arena) return;
  for (block *b = arena->blocks; b;) {
    block *next = b->next;
    if (b->mapped) munmap(b->mapped, b->mapped_bytes);
    free(b);
    b = next;
  }
  free(arena);
}
