/* Which bottles: sets grown one bottle at a time from the best sets so far, each solved with drops as real
 * numbers.
 *
 * All single bottles are tried, then all pairs, then whatever the best BEAM sets become with one more. On a
 * shelf of up to about eight that is nearly every set; on one of forty it is some three thousand of ninety
 * thousand. */
#include "mix/solve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BEAM = 20, STEPS = 10, LEVELS_MAX = 5, SEEN_MAX = DW_SHELF_MAX * (DW_SHELF_MAX + 1) / 2 };
/* Drops per fl oz that a joining bottle starts from. Where no set reaches the aim the miss has several
 * valleys, so a second search starts from a heavy cup. */
#define START_LIGHT 1.0
#define START_HEAVY 12.0

typedef struct ranked {
  size_t n, most;
  dw__try item[DW_SHELF_MAX];
} ranked;
_Static_assert((int)DW__POOL_MAX <= (int)DW_SHELF_MAX && (int)BEAM <= (int)DW_SHELF_MAX,
               "lists of tries are this long");

typedef struct search {
  dw__set usable; /* of the task's; in a second search the bottles of the first one's best sets */
  ranked parents, children;
  double start_loading;
  size_t pool_n;
  dw__met *met;
  dw__candidate *pool;
  size_t seen_n;
  dw__set seen[SEEN_MAX];
} search;

/* Keeps the best `most`, best first; of equals the earlier stays in front. */
static void rank_in(ranked *list, const dw__try *t) {
  size_t at = list->n;
  while (at > 0 && t->score < list->item[at - 1].score) at--;
  if (at == list->most) return;
  if (list->n < list->most) list->n++;
  memmove(&list->item[at + 1], &list->item[at], (list->n - at - 1) * sizeof list->item[0]);
  list->item[at] = *t;
}

/* Rounds a try and keeps it among the best. Rounding seldom helps, so one that is worse already need not be
 * rounded. */
static void enter_pool(const dw__task *task, const dw__try *relaxed, search *s) {
  if (s->pool_n == DW__POOL_MAX && relaxed->score >= s->pool[DW__POOL_MAX - 1].rounded.score) return;
  dw__candidate c = {.relaxed = *relaxed, .rounded = dw__round_near(task, s->met, relaxed)};
  size_t at = s->pool_n;
  while (at > 0 && c.rounded.score < s->pool[at - 1].rounded.score) at--;
  if (at == DW__POOL_MAX) return;
  if (s->pool_n < DW__POOL_MAX) s->pool_n++;
  memmove(&s->pool[at + 1], &s->pool[at], (s->pool_n - at - 1) * sizeof c);
  s->pool[at] = c;
}

static dw__set set_of(const dw__try *t) {
  dw__set set = 0;
  for (size_t i = 0; i < t->n; i++) set |= (dw__set)1 << t->bottle[i];
  return set;
}

static bool seen_before(search *s, dw__set set) {
  for (size_t i = 0; i < s->seen_n; i++)
    if (s->seen[i] == set) return true;
  if (s->seen_n < SEEN_MAX) s->seen[s->seen_n++] = set;
  return false;
}

/* Every set of `parents` with one bottle more. */
static void grow(const dw__task *task, search *s) {
  const size_t shelf_n = task->shelf->n;
  s->children.n = s->seen_n = 0;
  for (size_t p = 0; p < s->parents.n; p++) {
    const dw__try *parent = &s->parents.item[p];
    const dw__set have = set_of(parent) | task->own;
    for (size_t i = 0; i < shelf_n; i++) {
      const dw__set one = (dw__set)1 << i;
      if (!(s->usable & one) || (have & one) || seen_before(s, have | one)) continue;
      dw__try child = *parent;
      child.bottle[child.n] = (uint8_t)i;
      child.drops[child.n++] = s->start_loading * task->volume_floz;
      dw__relax(task, STEPS, &child);
      rank_in(&s->children, &child);
      enter_pool(task, &child, s);
    }
  }
}

/* The cup's own bottles, those that may be added from; few drops to begin with. */
static dw__try own_bottles(const dw__task *task, dw__set usable) {
  dw__try t = {0};
  for (size_t i = 0; i < task->shelf->n; i++) {
    if (!(task->own & usable & (dw__set)1 << i)) continue;
    t.bottle[t.n] = (uint8_t)i;
    t.drops[t.n++] = 1;
  }
  return t;
}

/* One search from the cup's own bottles up; returns the least relaxed miss met with. */
static double search_from(const dw__task *task, double start_loading, search *s) {
  s->start_loading = start_loading;
  s->parents.n = 1;
  dw__try *own = &s->parents.item[0];
  *own = own_bottles(task, s->usable);
  for (size_t i = 0; i < own->n; i++) own->drops[i] *= start_loading;
  dw__relax(task, 4 * STEPS, own);
  enter_pool(task, own, s);
  double least = own->miss;
  for (size_t level = 1; level <= task->new_most && level <= LEVELS_MAX && s->parents.n; level++) {
    s->children.most = level == 1 ? DW_SHELF_MAX : BEAM;
    grow(task, s);
    s->parents = s->children;
    if (s->parents.n) least = fmin(least, s->parents.item[0].miss);
  }
  return least;
}

/* The bottles that the best sets so far are made of. */
static dw__set in_pool(const search *s) {
  dw__set set = 0;
  for (size_t i = 0; i < s->pool_n; i++) set |= set_of(&s->pool[i].relaxed);
  return set;
}

size_t dw__subsets(const dw__task *task, dw__met *met, dw__candidate pool[DW__POOL_MAX], bool *fits) {
  search *s = malloc(sizeof *s);
  *fits = s != NULL;
  if (!s) return 0;
  s->pool = pool;
  s->met = met;
  s->usable = task->usable;
  s->pool_n = 0;
  if (search_from(task, START_LIGHT, s) > DW__REACHED) {
    s->usable &= in_pool(s);
    search_from(task, START_HEAVY, s);
  }
  const size_t n = s->pool_n;
  free(s);
  return n;
}
