#include "dropwise/base.h"

#include <stdlib.h>

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

void *dw_arena_take(dw_arena *arena, size_t n, size_t size) {
  size_t bytes, whole;
  if (!dw_size_mul(n, size, &bytes) || !dw_size_add(bytes, sizeof(block), &whole)) return NULL;
  if (bytes > arena->limit - arena->used) return NULL;
  block *fresh = calloc(1, whole);
  if (!fresh) return NULL;
  fresh->next = arena->blocks;
  arena->blocks = fresh;
  arena->used += bytes;
  return fresh->data;
}

void dw_arena_free(dw_arena *arena) {
  if (!arena) return;
  for (block *b = arena->blocks; b;) {
    block *next = b->next;
    free(b);
    b = next;
  }
  free(arena);
}
