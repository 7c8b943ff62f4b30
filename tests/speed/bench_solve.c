/* How long one solve takes: milliseconds of this process's own time, the least of three runs of each
 * question, so that a busy machine matters little. Prints a table; asserts nothing. */
#include "dropwise/mix.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

static const dw_slab bait = {10, DW_BACKING_GRAY};

static double now_ms(void) {
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static size_t pick(dw_random *random, size_t n) {
  return (size_t)(dw_random_uniform(random) * (double)n);
}

/* The starter shelf cut or filled up to n color bottles; the further ones are shifted, stronger or weaker
 * cousins. */
static bool shelf_of(size_t n, dw_random *random, dw_shelf **out) {
  if (dw_shelf_starter(out, NULL) != DW_OK) return false;
  dw_shelf *shelf = *out;
  const size_t own = --shelf->n; /* without the effect bottle, which is the last */
  for (; shelf->n < n; shelf->n++) {
    const dw_bottle *from = &shelf->bottle[shelf->n % own];
    dw_bottle *to = &shelf->bottle[shelf->n];
    const double strength = exp(0.5 * dw_random_normal(random));
    const long shift = (long)pick(random, 9) - 4;
    *to = *from;
    snprintf(to->id, sizeof to->id, "cousin-%zu", shelf->n);
    for (long i = 0; i < DW_BANDS; i++) {
      const long j = i + shift < 0 ? 0 : i + shift >= DW_BANDS ? DW_BANDS - 1 : i + shift;
      to->spectra.k[i] = strength * from->spectra.k[j];
      to->spectra.s[i] = strength * from->spectra.s[j];
    }
  }
  shelf->n = n;
  return true;
}

typedef struct figures {
  double mean_ms, worst_ms, mean_de, worst_de;
} figures;

static bool measure(const dw_shelf *shelf, bool reachable, int trials, dw_random *random, figures *out) {
  const dw_rules rules = dw_rules_default();
  *out = (figures){0};
  for (int i = 0; i < trials; i++) {
    const dw_cup empty = {.volume_floz = 4, .capacity_floz = 5};
    dw_aim aim =
        dw_aim_nearest((dw_lab){15 + 60 * dw_random_uniform(random), 120 * dw_random_uniform(random) - 60,
                                140 * dw_random_uniform(random) - 70});
    if (reachable) {
      dw_recipe made = {0};
      dw_prediction p;
      const size_t bottles = 2 + pick(random, 3);
      while (made.n < bottles) {
        const size_t bottle = pick(random, shelf->n);
        const double drops = 1 + (double)pick(random, 60 / bottles);
        if (dw_recipe_amount(&made, bottle) == 0) dw_recipe_add(&made, bottle, drops / 4);
      }
      if (dw_predict(shelf, &made, &bait, &p, NULL) != DW_OK) return false;
      aim = dw_aim_nearest(p.lab);
    }
    dw_solution s;
    double ms = INFINITY;
    for (int run = 0; run < 3; run++) {
      const double start = now_ms();
      if (dw_solve(shelf, &empty, &bait, &aim, &rules, &s, NULL) != DW_OK) return false;
      ms = fmin(ms, now_ms() - start);
    }
    out->mean_ms += ms / trials;
    out->worst_ms = fmax(out->worst_ms, ms);
    out->mean_de += s.de00 / trials;
    out->worst_de = fmax(out->worst_de, s.de00);
  }
  return true;
}

int main(void) {
  static const size_t sizes[] = {4, 8, 20, 40};
  for (size_t i = 0; i < 2 * sizeof sizes / sizeof *sizes; i++) {
    dw_random random = dw_random_seed(17);
    dw_shelf *shelf = NULL;
    figures f;
    const size_t n = sizes[i / 2];
    const bool reachable = i % 2 == 0;
    const bool done =
        shelf_of(n, &random, &shelf) && measure(shelf, reachable, n > 8 ? 50 : 500, &random, &f);
    dw_shelf_free(shelf);
    if (!done) return 1;
    printf("shelf of %2zu, %-12s targets: mean %6.2f ms, worst %6.2f ms; CIEDE2000 mean %.3f, worst %.3f\n",
           n, reachable ? "reachable" : "any", f.mean_ms, f.worst_ms, f.mean_de, f.worst_de);
  }
  return 0;
}
