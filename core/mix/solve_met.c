/* Scores of whole steps met before. The search comes by the same drops again and again, as neighbors of
 * neighbors and from finalists that end in one place: more than half of all scores asked for. */
#include "mix/solve.h"

#include <math.h>

/* Splitmix's finalizer: every bit of x moves every bit of the result (Steele, Lea, Flood, OOPSLA 2014). */
static uint64_t mixed(uint64_t x) {
  x = (x ^ x >> 30) * 0xbf58476d1ce4e5b9u;
  x = (x ^ x >> 27) * 0x94d049bb133111ebu;
  return x ^ x >> 31;
}

static uint64_t part_key(uint64_t bottle, double steps) {
  return steps > 0 ? mixed((bottle + 1) << 32 | (uint64_t)llround(steps)) : 0;
}

/* The same for the same drops in whatever order, and whether or not bottles that give none are listed. Of a
 * few thousand tries two share a key by chance once in 10^12 solves. */
static uint64_t key_of(const dw__task *task, const dw__try *t) {
  uint64_t key = part_key(DW_SHELF_MAX, t->clear_floz / task->clear_step);
  for (size_t i = 0; i < t->n; i++) key += part_key(t->bottle[i], t->drops[i] / task->step[t->bottle[i]]);
  return key;
}

bool dw__task_beats(const dw__task *task, dw__met *met, dw__try *t, double score) {
  const uint64_t key = key_of(task, t);
  dw__met_slot *slot = &met->slot[key % DW__MET_SLOTS];
  if (key && slot->key == key && !(slot->score < score)) return false;
  dw__task_score(task, t);
  *slot = (dw__met_slot){.key = key, .score = t->score};
  return t->score < score;
}
