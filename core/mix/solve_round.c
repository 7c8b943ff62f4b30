/* From real numbers to whole steps: every way to round a relaxed try up or down, then the best few improved
 * by single steps, by two steps at once (which swaps a drop between bottles too), and at last by every
 * neighbor. */
#include "mix/solve.h"

#include <math.h>

enum { FINALISTS = 8, CORNERS_MOST = 5, BOX_MOST = 5, ROUNDS_MOST = 60 };

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
static pt__try best_corner(const pt__task *task, const pt__try *relaxed) {
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

pt__try pt__round(const pt__task *task, const pt__try *pool, size_t n) {
  pt__try finalist[FINALISTS], best = {0};
  size_t finalists = 0;
  pt__task_score(task, &best);
  for (size_t i = 0; i < n; i++) {
    pt__try t = best_corner(task, &pool[i]);
    size_t at = finalists;
    while (at > 0 && t.score < finalist[at - 1].score) at--;
    if (at == FINALISTS) continue;
    if (finalists < FINALISTS) finalists++;
    for (size_t j = finalists - 1; j > at; j--) finalist[j] = finalist[j - 1];
    finalist[at] = t;
  }
  for (size_t i = 0; i < finalists; i++) {
    pt__try *t = &finalist[i];
    int rounds = 0;
    while (rounds++ < ROUNDS_MOST && improve_by_pairs(task, t)) continue;
    while (rounds++ < ROUNDS_MOST && improve_by_box(task, t)) continue;
    if (t->score < best.score) best = *t;
  }
  return best;
}
