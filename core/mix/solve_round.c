/* From real numbers to whole steps: every way to round a relaxed try up or down, then the best few improved
 * by single steps, by two steps at once (which swaps a drop between bottles too), and at last by every
 * neighbor. */
#include "mix/solve.h"

#include <math.h>

enum {
  FINALISTS = 12,
  BOXED = 4,
  SCORED = 4,
  CORNERS_MOST = 5,
  BOX_MOST = 5,
  ROUNDS_MOST = 60,
  SCALED_STEPS = 6,
  WIDE = 3,
  SINGLE_MOST = 64,
  RELAXED_LONGER = 16,
  LONG_STEPS = 30
};
#define SCALE_MOST 26.0    /* times the relaxed drops */
#define RELAXED_WELL 0.05  /* a relaxed try that misses by no more needs no further steps */
#define FAR 2.0            /* a miss from which slopes are taken by CIEDE2000's own parts */
#define ROUNDED_WELL 0.2   /* rounding cost no more than this: no other total is tried */
#define DROPS_PER_FLOZ 60. /* no sensible cup holds more */

static size_t unknowns(const dw__task *task, const dw__try *t) {
  return t->n + (task->clear_most > 0);
}

static double *amount(dw__try *t, size_t i) {
  return i < t->n ? &t->drops[i] : &t->clear_floz;
}

static double step_of(const dw__task *task, const dw__try *t, size_t i) {
  return i < t->n ? task->step[t->bottle[i]] : task->clear_step;
}

/* Moves one unknown by whole steps; false when that would go below zero. */
static bool shift(const dw__task *task, dw__try *t, size_t i, int steps) {
  const double step = step_of(task, t, i);
  const double count = round(*amount(t, i) / step) + steps;
  *amount(t, i) = count * step;
  return count >= 0;
}

/* Keeps the better; of equals the one that was there. */
static bool keep_better(const dw__task *task, dw__met *met, dw__try *candidate, dw__try *best) {
  if (!dw__task_beats(task, met, candidate, best->score)) return false;
  *best = *candidate;
  return true;
}

/* Corner `mask` of the cell of whole steps around a relaxed try: the first CORNERS_MOST unknowns down or up,
 * the rest to nearest. */
static dw__try corner(const dw__task *task, const dw__try *relaxed, unsigned mask) {
  dw__try t = *relaxed;
  for (size_t i = 0; i < unknowns(task, &t); i++) {
    const double step = step_of(task, &t, i), steps = *amount(&t, i) / step;
    *amount(&t, i) = step * (i < CORNERS_MOST ? floor(steps) + (mask >> i & 1u) : round(steps));
  }
  return t;
}

/* What the slopes at a relaxed try let expect of the miss, squared, at each corner around it. */
static void expect_corners(const dw__task *task, const dw__try *relaxed, size_t bits, double *square) {
  enum { ROWS_MOST = 4 }; /* color and see-through: what pushes back at a limit is no miss */
  const size_t rows = task->aim.weight_see_through > 0 ? ROWS_MOST : ROWS_MOST - 1;
  dw__slopes slopes;
  dw__try low = corner(task, relaxed, 0);
  double at_low[ROWS_MOST], step[CORNERS_MOST][ROWS_MOST] = {{0}};
  dw__task_residuals(task, relaxed, relaxed->miss > FAR ? DW__BY_PARTS : DW__BY_METRIC, &slopes);
  dw__task_slopes(task, relaxed, &slopes);
  for (size_t r = 0; r < rows; r++) {
    at_low[r] = slopes.residual[r];
    for (size_t c = 0; c < slopes.columns; c++) {
      const double at = c < relaxed->n ? relaxed->drops[c] : relaxed->clear_floz;
      const double slope = slopes.J[r][c] / (at + (c < relaxed->n ? DW__DROP_SHIFT : dw__clear_shift(task)));
      at_low[r] += slope * (*amount(&low, c) - at);
      if (c < bits) step[c][r] = slope * step_of(task, relaxed, c);
    }
  }
  for (unsigned mask = 0; mask < 1u << bits; mask++) {
    square[mask] = 0;
    for (size_t r = 0; r < rows; r++) {
      double residual = at_low[r];
      for (size_t c = 0; c < bits; c++) residual += mask >> c & 1u ? step[c][r] : 0;
      square[mask] += residual * residual;
    }
  }
}

/* Corners are ranked by the slopes at the relaxed try, and the first few scored in full. */
dw__try dw__round_near(const dw__task *task, dw__met *met, const dw__try *relaxed) {
  const size_t n = unknowns(task, relaxed), bits = n < CORNERS_MOST ? n : CORNERS_MOST;
  const unsigned corners = 1u << bits;
  double expected[1u << CORNERS_MOST] = {0};
  dw__try best = *relaxed;
  best.score = INFINITY;
  if (corners > SCORED) expect_corners(task, relaxed, bits, expected);
  for (unsigned seen = 0, scored = 0; seen < corners && scored < SCORED; seen++) {
    unsigned least = 0;
    for (unsigned mask = 1; mask < corners; mask++)
      if (expected[mask] < expected[least]) least = mask;
    expected[least] = INFINITY;
    dw__try t = corner(task, relaxed, least);
    if (!dw__within_limits(task, &t)) continue;
    scored++;
    keep_better(task, met, &t, &best);
  }
  return best;
}

/* One round of moves of one unknown and of two at once, each by up to `most` steps; the best of all is taken.
 */
static bool improve_by_pairs(const dw__task *task, dw__met *met, int most, dw__try *t) {
  const size_t n = unknowns(task, t);
  dw__try best = *t;
  bool better = false;
  for (size_t i = 0; i < n; i++)
    for (int first = -most; first <= most; first++) {
      dw__try one = *t;
      if (first == 0 || !shift(task, &one, i, first)) continue;
      better |= keep_better(task, met, &one, &best);
      for (size_t j = i + 1; j < n; j++)
        for (int second = -most; second <= most; second++) {
          dw__try two = one;
          if (second != 0 && shift(task, &two, j, second)) better |= keep_better(task, met, &two, &best);
        }
    }
  *t = best;
  return better;
}

/* One round over all neighbors of up to BOX_MOST unknowns: 3^n - 1 of them. */
static bool improve_by_box(const dw__task *task, dw__met *met, dw__try *t) {
  const size_t n = unknowns(task, t);
  if (n > BOX_MOST) return false;
  dw__try best = *t;
  bool better = false;
  int total = 1;
  for (size_t i = 0; i < n; i++) total *= 3;
  for (int code = 0; code < total; code++) {
    dw__try next = *t;
    bool possible = true;
    for (int i = 0, rest = code; i < (int)n; i++, rest /= 3)
      possible &= shift(task, &next, (size_t)i, rest % 3 - 1);
    if (possible) better |= keep_better(task, met, &next, &best);
  }
  *t = best;
  return better;
}

/* The finalists, best first. */
typedef struct finals {
  size_t n;
  dw__try item[FINALISTS];
} finals;

static void enter(finals *f, const dw__try *t) {
  size_t at = f->n;
  while (at > 0 && t->score < f->item[at - 1].score) at--;
  if (at == FINALISTS) return;
  if (f->n < FINALISTS) f->n++;
  for (size_t j = f->n - 1; j > at; j--) f->item[j] = f->item[j - 1];
  f->item[at] = *t;
}

/* The same shares with more drops in all: where plastic is nearly opaque the color hangs on the shares alone,
 * and more drops round more finely. Once as they are, once solved again from there. */
static void enter_scaled(const dw__task *task, dw__met *met, const dw__try *relaxed, double by, finals *f) {
  dw__try t = *relaxed;
  for (size_t i = 0; i < t.n; i++) t.drops[i] *= by;
  dw__try rounded = dw__round_near(task, met, &t);
  enter(f, &rounded);
  dw__relax(task, SCALED_STEPS, &t);
  rounded = dw__round_near(task, met, &t);
  enter(f, &rounded);
}

static void enter_all_scaled(const dw__task *task, dw__met *met, const dw__try *relaxed, finals *f) {
  double sum = 0;
  for (size_t i = 0; i < relaxed->n; i++) sum += relaxed->drops[i];
  const double most = fmin(task->room_drops, DROPS_PER_FLOZ * task->volume_floz);
  for (double by = 1.9; sum > 0 && by * sum <= most && by <= SCALE_MOST; by *= 1.9)
    enter_scaled(task, met, relaxed, by, f);
}

/* A few drops of one bottle: where a color is far out of reach a relaxed try may end beside the best corner.
 */
static void enter_singles(const dw__task *task, finals *f) {
  const dw__set may = task->new_most > 0 ? task->usable : task->usable & task->own;
  for (size_t i = 0; i < task->shelf->n; i++) {
    if (!(may >> i & 1u)) continue;
    dw__try t = {.n = 1, .bottle = {(uint8_t)i}};
    for (double steps = 1; steps * task->step[i] <= task->room_drops && steps <= SINGLE_MOST; steps *= 2) {
      t.drops[0] = steps * task->step[i];
      for (int clear = 0; clear <= (task->clear_most > 0 ? 2 : 0); clear++) {
        t.clear_floz = task->clear_step * floor(0.5 * clear * task->clear_most / task->clear_step);
        dw__task_score(task, &t);
        enter(f, &t);
      }
    }
  }
}

/* Lets an unknown go, for each that is in use, and improves what is left. */
static bool improve_without(const dw__task *task, dw__met *met, dw__try *t) {
  dw__try best = *t;
  for (size_t i = 0; i < unknowns(task, t); i++) {
    dw__try next = *t;
    if (*amount(&next, i) <= 0) continue;
    *amount(&next, i) = 0;
    dw__task_score(task, &next);
    for (int rounds = 0; rounds < ROUNDS_MOST && improve_by_pairs(task, met, 1, &next); rounds++) continue;
    if (next.score < best.score) best = next;
  }
  const bool better = best.score < t->score;
  *t = best;
  return better;
}

dw__try dw__round(const dw__task *task, dw__met *met, const dw__candidate *pool, size_t n) {
  dw__try best = {0};
  finals f = {0};
  dw__task_score(task, &best);
  for (size_t i = 0; i < n; i++) {
    dw__try relaxed = pool[i].relaxed, rounded = pool[i].rounded;
    if (i < RELAXED_LONGER && relaxed.miss > RELAXED_WELL) {
      dw__relax(task, LONG_STEPS, &relaxed);
      rounded = dw__round_near(task, met, &relaxed);
    }
    enter(&f, &pool[i].rounded);
    if (rounded.score < pool[i].rounded.score) enter(&f, &rounded);
    if (rounded.score > relaxed.score + ROUNDED_WELL) enter_all_scaled(task, met, &relaxed, &f);
  }
  if (n > 0 && pool[0].relaxed.miss > DW__REACHED) enter_singles(task, &f);
  finals last = {0};
  for (size_t i = 0; i < f.n; i++) {
    for (int rounds = 0; rounds < ROUNDS_MOST && improve_by_pairs(task, met, 1, &f.item[i]); rounds++)
      continue;
    enter(&last, &f.item[i]);
  }
  for (size_t i = 0; i < last.n && i < BOXED; i++) {
    for (int rounds = 0; rounds < ROUNDS_MOST && improve_by_box(task, met, &last.item[i]); rounds++) continue;
    if (last.item[i].score < best.score) best = last.item[i];
  }
  for (int rounds = 0; rounds < ROUNDS_MOST; rounds++)
    if (!improve_by_pairs(task, met, WIDE, &best) && !improve_without(task, met, &best)) break;
  return best;
}
