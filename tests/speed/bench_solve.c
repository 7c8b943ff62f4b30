/* How long one solve takes: milliseconds of this process's own time, the least of three runs of each
 * question, so that a busy machine matters little. Prints a table; asserts nothing. */
#include "pourtone/mix.h"
#include "pourtone/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

static const pt_slab bait = {10, PT_BACKING_GRAY};

static double now_ms(void) {
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static size_t pick(pt_random *random, size_t n) {
  return (size_t)(pt_random_uniform(random) * (double)n);
}

/* The starter shelf cut or filled up to n color bottles; the further ones are shifted, stronger or weaker
 * cousins. */
static bool shelf_of(size_t n, pt_random *random, pt_shelf **out) {
  if (pt_shelf_starter(out, NULL) != PT_OK) return false;
  pt_shelf *shelf = *out;
  const size_t own = --shelf->n; /* without the effect bottle, which is the last */
  for (; shelf->n < n; shelf->n++) {
    const pt_bottle *from = &shelf->bottle[shelf->n % own];
    pt_bottle *to = &shelf->bottle[shelf->n];
    const double strength = exp(0.5 * pt_random_normal(random));
    const long shift = (long)pick(random, 9) - 4;
    *to = *from;
    snprintf(to->id, sizeof to->id, "cousin-%zu", shelf->n);
    for (long i = 0; i < PT_BANDS; i++) {
      const long j = i + shift < 0 ? 0 : i + shift >= PT_BANDS ? PT_BANDS - 1 : i + shift;
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

static bool measure(const pt_shelf *shelf, bool reachable, int trials, pt_random *random, figures *out) {
  const pt_rules rules = pt_rules_default();
  *out = (figures){0};
  for (int i = 0; i < trials; i++) {
    const pt_cup empty = {.volume_floz = 4, .capacity_floz = 5};
    pt_aim aim =
        pt_aim_nearest((pt_lab){15 + 60 * pt_random_uniform(random), 120 * pt_random_uniform(random) - 60,
                                140 * pt_random_uniform(random) - 70});
    if (reachable) {
      pt_recipe made = {0};
      pt_prediction p;
      const size_t bottles = 2 + pick(random, 3);
      while (made.n < bottles) {
        const size_t bottle = pick(random, shelf->n);
        const double drops = 1 + (double)pick(random, 60 / bottles);
        if (pt_recipe_amount(&made, bottle) == 0) pt_recipe_add(&made, bottle, drops / 4);
      }
      if (pt_predict(shelf, &made, &bait, &p, NULL) != PT_OK) return false;
      aim = pt_aim_nearest(p.lab);
    }
    pt_solution s;
    double ms = INFINITY;
    for (int run = 0; run < 3; run++) {
      const double start = now_ms();
      if (pt_solve(shelf, &empty, &bait, &aim, &rules, &s, NULL) != PT_OK) return false;
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
    pt_random random = pt_random_seed(17);
    pt_shelf *shelf = NULL;
    figures f;
    const size_t n = sizes[i / 2];
    const bool reachable = i % 2 == 0;
    const bool done =
        shelf_of(n, &random, &shelf) && measure(shelf, reachable, n > 8 ? 50 : 500, &random, &f);
    pt_shelf_free(shelf);
    if (!done) return 1;
    printf("shelf of %2zu, %-12s targets: mean %6.2f ms, worst %6.2f ms; CIEDE2000 mean %.3f, worst %.3f\n",
           n, reachable ? "reachable" : "any", f.mean_ms, f.worst_ms, f.mean_de, f.worst_de);
  }
  return 0;
}
