/* The relaxed solve: drops as real numbers, by damped Gauss-Newton steps in the logarithm of the drops.
 *
 * There are at most six residuals and up to 13 unknowns, so each step is worked out on the side of the
 * residuals: delta = J' (J J' + damping)^-1 (-r), the smallest step that does the job (Levenberg 1944). */
#include "mix/solve.h"

#include <math.h>

#define STEP_MOST 2.0   /* in ln drops */
#define COST_DONE 4e-4  /* a difference of CIEDE2000 0.02 */
#define GAIN_LEAST 3e-2 /* share of the cost that a step must save to go on */
#define NEAR 2.0        /* CIEDE2000 up to which the metric at the target is good */
#define DAMPING_MOST 1e6

/* Solves A x = b for a symmetric positive definite A of n rows, in place of b. Written out because a call
 * into LAPACK costs more than the whole of a 4 by 4 system, and thousands are solved. */
static void solve_small(size_t n, double A[DW__ROWS][DW__ROWS], double b[DW__ROWS]) {
  for (size_t k = 0; k < n; k++) {
    for (size_t i = k + 1; i < n; i++) {
      const double f = A[i][k] / A[k][k];
      for (size_t j = k + 1; j < n; j++) A[i][j] -= f * A[k][j];
      b[i] -= f * b[k];
    }
  }
  for (size_t k = n; k-- > 0;) {
    for (size_t j = k + 1; j < n; j++) b[k] -= A[k][j] * b[j];
    b[k] /= A[k][k];
  }
}

/* The step over the unknowns still free. */
static void free_step(const dw__slopes *s, const bool *held, double damping, double *step) {
  double A[DW__ROWS][DW__ROWS], y[DW__ROWS];
  for (size_t i = 0; i < s->rows; i++) {
    for (size_t j = 0; j <= i; j++) {
      double sum = 0;
      for (size_t c = 0; c < s->columns; c++) sum += held[c] ? 0 : s->J[i][c] * s->J[j][c];
      A[i][j] = A[j][i] = sum;
    }
    A[i][i] += damping;
    y[i] = -s->residual[i];
  }
  solve_small(s->rows, A, y);
  for (size_t c = 0; c < s->columns; c++) {
    step[c] = 0;
    for (size_t i = 0; i < s->rows && !held[c]; i++) step[c] += s->J[i][c] * y[i];
  }
}

static double unknown(const dw__try *t, size_t i) {
  return i < t->n ? t->drops[i] : t->clear_floz;
}

/* Unknowns at zero (clear base also at its most) that would be pushed out are held, then the rest is solved
 * again. */
static void bounded_step(const dw__task *task, const dw__try *t, const dw__slopes *s, double damping,
                         double *step) {
  bool held[DW__COLUMNS] = {false};
  for (bool again = true; again;) {
    again = false;
    free_step(s, held, damping, step);
    for (size_t c = 0; c < s->columns; c++) {
      const bool low = unknown(t, c) <= 0 && step[c] < 0;
      const bool high = c >= t->n && t->clear_floz >= task->clear_most && step[c] > 0;
      if (held[c] || !(low || high)) continue;
      held[c] = again = true;
    }
  }
}

static double stepped(double x, double shift, double step, double most) {
  step = fmin(fmax(step, -STEP_MOST), STEP_MOST);
  return fmin(fmax((x + shift) * exp(step) - shift, 0), most);
}

static dw__try try_stepped(const dw__task *task, const dw__try *t, const double *step, size_t columns) {
  dw__try next = *t;
  for (size_t i = 0; i < t->n; i++)
    next.drops[i] = stepped(t->drops[i], DW__DROP_SHIFT, step[i], DW_AMOUNT_MAX);
  if (columns > t->n)
    next.clear_floz = stepped(t->clear_floz, dw__clear_shift(task), step[t->n], task->clear_most);
  return next;
}

/* Scales what breaks a limit back into it. */
static void bring_within(const dw__task *task, dw__try *t) {
  double drops = 0, floz = 0;
  for (size_t i = 0; i < t->n; i++) {
    drops += t->drops[i];
    floz += t->drops[i] * task->drop_floz[t->bottle[i]];
  }
  t->clear_floz = fmin(t->clear_floz, task->clear_most);
  double scale = drops > task->room_drops ? task->room_drops / drops : 1;
  if (floz * scale > task->room_floz) scale = task->room_floz / floz;
  for (size_t i = 0; i < t->n; i++) t->drops[i] *= scale;
  t->clear_floz = fmax(0, fmin(t->clear_floz, task->room_floz - floz * scale));
}

/* Steps by one measure; returns how many were taken, and the cost they led to. */
static int descend(const dw__task *task, dw__measure measure, int steps, dw__try *t, double *cost) {
  dw__slopes space[2], *here = &space[0], *there = &space[1];
  double step[DW__COLUMNS], damping = 0.02;
  bool done = false;
  int i = 0;
  dw__task_residuals(task, t, measure, here);
  for (; i < steps && !done && here->cost > COST_DONE && damping < DAMPING_MOST; i++) {
    dw__task_slopes(task, t, here);
    bounded_step(task, t, here, damping, step);
    dw__try next = try_stepped(task, t, step, here->columns);
    dw__task_residuals(task, &next, measure, there);
    if (!(there->cost < here->cost)) {
      damping *= 8;
      continue;
    }
    done = here->cost - there->cost < GAIN_LEAST * here->cost;
    damping *= 0.3;
    *t = next;
    dw__slopes *spare = here;
    here = there;
    there = spare;
  }
  *cost = here->cost;
  return i;
}

void dw__relax(const dw__task *task, int steps, dw__try *t) {
  double cost;
  const int taken = descend(task, DW__BY_METRIC, steps, t, &cost);
  if (cost > NEAR * NEAR)
    descend(task, DW__BY_PARTS, taken < steps / 2 ? steps - taken : steps / 2, t, &cost);
  bring_within(task, t);
  dw__task_score(task, t);
}
