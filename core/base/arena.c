#include "pourtone/base.h"

#include <stdlib.h>

bool pt_size_mul(size_t a, size_t b, size_t *out) {
  if (b != 0 && a > SIZE_MAX / b) return false;
  *out = a * b;
  return true;
}

bool pt_size_add(size_t a, size_t b, size_t *out) {
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

struct pt_arena {
  block *blocks;
  size_t used, limit;
};

pt_arena *pt_arena_new(size_t limit_bytes) {
  pt_arena *arena = calloc(1, sizeof *arena);
  if (arena) arena->limit = limit_bytes ? limit_bytes : SIZE_MAX;
  return arena;
}

void *pt_arena_take(pt_arena *arena, size_t n, size_t size) {
  size_t bytes, whole;
  if (!pt_size_mul(n, size, &bytes) || !pt_size_add(bytes, sizeof(block), &whole)) return NULL;
  if (bytes > arena->limit - arena->used) return NULL;
  block *fresh = calloc(1, whole);
  if (!fresh) return NULL;
  fresh->next = arena->blocks;
  arena->blocks = fresh;
  arena->used += bytes;
  return fresh->data;
}

void pt_arena_free(pt_arena *arena) {
  if (!arena) return;
  for (block *b = arena->blocks; b;) {
    block *next = b->next;
    free(b);
    b = next;
  }
  free(arena);
}
