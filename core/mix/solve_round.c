/* From real numbers to whole steps: every way to round a relaxed try up or down, then the best few improved
 * by single steps, by two steps at once (which swaps a drop between bottles too), and at last by every
 * neighbor. */
#include "mix/solve.h"

#include <math.h>

enum { FINALISTS = 8, CORNERS_MOST = 5, BOX_MOST = 5, ROUNDS_MOST = 60, SCALED_STEPS = 6 };
#define SCALE_LEAST 0.3    /* totals closer than this are the same try */
#define ROUNDED_WELL 0.2   /* rounding cost no more than this: no other total is tried */
#define DROPS_PER_FLOZ 60. /* no sensible cup holds more */

static size_t unknowns(const pt__task *task, const pt__try *t) {
  return t->n + (task->clear_most > 0);
}

static double *amount(pt__try *t, size_t i) {
  return i < t->n ? &t->drops[i] : &t->clear_floz;
}

static double step_of(const pt__task *task, const pt__try *t, size_t i) {
  return i < t->n ? task->step[t->bottle[i]] : task->clear_step;
}

/* Moves one unknown by whole steps; false when that would go below zero. */
static bool shift(const pt__task *task, pt__try *t, size_t i, int steps) {
  const double step = step_of(task, t, i);
  const double count = round(*amount(t, i) / step) + steps;
  *amount(t, i) = count * step;
  return count >= 0;
}

/* Keeps the better; of equals the one that was there. */
static bool keep_better(const pt__task *task, pt__try *candidate, pt__try *best) {
  pt__task_score(task, candidate);
  if (!(candidate->score < best->score)) return false;
  *best = *candidate;
  return true;
}

/* The best corner of the cell of whole steps around a relaxed try. Beyond CORNERS_MOST unknowns the rest is
 * rounded to nearest. */
pt__try pt__round_near(const pt__task *task, const pt__try *relaxed) {
  const size_t n = unknowns(task, relaxed), corners = n < CORNERS_MOST ? n : CORNERS_MOST;
  pt__try best = *relaxed;
  best.score = INFINITY;
  for (unsigned mask = 0; mask < 1u << corners; mask++) {
    pt__try t = *relaxed;
    for (size_t i = 0; i < n; i++) {
      const double step = step_of(task, &t, i), steps = *amount(&t, i) / step;
      *amount(&t, i) = step * (i < corners ? floor(steps) + (mask >> i & 1u) : round(steps));
    }
    keep_better(task, &t, &best);
  }
  return best;
}

/* One round of single steps and of pairs of them (the same one twice, too); the best of all is taken. */
static bool improve_by_pairs(const pt__task *task, pt__try *t) {
  const size_t n = unknowns(task, t);
  pt__try best = *t;
  bool better = false;
  for (size_t move = 0; move < 2 * n; move++) {
    pt__try one = *t;
    if (!shift(task, &one, move / 2, move % 2 ? 1 : -1)) continue;
    better |= keep_better(task, &one, &best);
    for (size_t second = move; second < 2 * n; second++) {
      pt__try two = one;
      if (second / 2 == move / 2 && second != move) continue; /* there and back */
      if (shift(task, &two, second / 2, second % 2 ? 1 : -1)) better |= keep_better(task, &two, &best);
    }
  }
  *t = best;
  return better;
}

/* One round over all neighbors of up to BOX_MOST unknowns: 3^n - 1 of them. */
static bool improve_by_box(const pt__task *task, pt__try *t) {
  const size_t n = unknowns(task, t);
  if (n > BOX_MOST) return false;
  pt__try best = *t;
  bool better = false;
  int total = 1;
  for (size_t i = 0; i < n; i++) total *= 3;
  for (int code = 0; code < total; code++) {
    pt__try next = *t;
    bool possible = true;
    for (int i = 0, rest = code; i < (int)n; i++, rest /= 3)
      possible &= shift(task, &next, (size_t)i, rest % 3 - 1);
    if (possible) better |= keep_better(task, &next, &best);
  }
  *t = best;
  return better;
}

/* The finalists, best first. */
typedef struct finals {
  size_t n;
  pt__try item[FINALISTS];
} finals;

static void enter(finals *f, const pt__try *t) {
  size_t at = f->n;
  while (at > 0 && t->score < f->item[at - 1].score) at--;
  if (at == FINALISTS) return;
  if (f->n < FINALISTS) f->n++;
  for (size_t j = f->n - 1; j > at; j--) f->item[j] = f->item[j - 1];
  f->item[at] = *t;
}

/* The same set with about `total` drops in all: where plastic is nearly opaque the color hangs on the shares
 * alone, and more drops round more finely. */
static void enter_scaled(const pt__task *task, const pt__try *relaxed, double total, finals *f) {
  double sum = 0;
  for (size_t i = 0; i < relaxed->n; i++) sum += relaxed->drops[i];
  if (sum <= 0 || fabs(total - sum) < SCALE_LEAST * sum) return;
  pt__try t = *relaxed;
  for (size_t i = 0; i < t.n; i++) t.drops[i] *= total / sum;
  pt__relax(task, SCALED_STEPS, &t);
  t = pt__round_near(task, &t);
  enter(f, &t);
}

pt__try pt__round(const pt__task *task, const pt__candidate *pool, size_t n) {
  static const double scale[] = {0.2, 0.4, 0.75}; /* of the drops that may be added */
  pt__try best = {0};
  finals f = {0};
  pt__task_score(task, &best);
  for (size_t i = 0; i < n; i++) {
    enter(&f, &pool[i].rounded);
    if (pool[i].rounded.score < pool[i].relaxed.score + ROUNDED_WELL) continue;
    for (size_t k = 0; k < sizeof scale / sizeof *scale; k++)
      enter_scaled(task, &pool[i].relaxed,
                   scale[k] * fmin(task->room_drops, DROPS_PER_FLOZ * task->volume_floz), &f);
  }
  for (size_t i = 0; i < f.n; i++) {
    pt__try *t = &f.item[i];
    int rounds = 0;
    while (rounds++ < ROUNDS_MOST && improve_by_pairs(task, t)) continue;
    while (rounds++ < ROUNDS_MOST && improve_by_box(task, t)) continue;
    if (t->score < best.score) best = *t;
  }
  return best;
}
