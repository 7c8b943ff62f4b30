#include "figures.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

double figures_mean(const double *v, size_t n) {
  double sum = 0;
  for (size_t i = 0; i < n; i++) sum += v[i];
  return n ? sum / (double)n : 0;
}

static int rising(const void *a, const void *b) {
  double p = *(const double *)a, q = *(const double *)b;
  return (p > q) - (p < q);
}

double figures_median(const double *v, size_t n) {
  double *copy = malloc((n + 1) * sizeof *copy), out = 0;
  if (n && copy) {
    memcpy(copy, v, n * sizeof *copy);
    qsort(copy, n, sizeof *copy, rising);
    out = copy[n / 2];
  }
  free(copy);
  return out;
}

void figures_join(figures *to, const figures *from) {
  memcpy(to->border + to->borders, from->border, from->borders * sizeof *to->border);
  memcpy(to->color + to->colors, from->color, from->colors * sizeof *to->color);
  memcpy(to->band + to->colors, from->band, from->colors * sizeof *to->band);
  memcpy(to->card + to->colors, from->card, from->colors * sizeof *to->card);
  memcpy(to->overlap + to->counted, from->overlap, from->counted * sizeof *to->overlap);
  to->boards += from->boards, to->baits += from->baits, to->found += from->found, to->in_one += from->in_one;
  to->invented += from->invented, to->counted += from->counted, to->right += from->right;
  to->borders += from->borders, to->colors += from->colors;
}

void figures_print(const char *title, const figures *f) {
  printf(
      "%-12s boards %3zu  baits %4zu  found %5.1f%% (%zu as one)  invented %zu  layers right %5.1f%% of %zu  "
      "border median %.3f mean %.3f  color mean %.2f median %.2f (band %.2f card %.2f) of %zu  overlap "
      "%.3f\n",
      title, f->boards, f->baits, f->baits ? 100.0 * (double)f->found / (double)f->baits : 0, f->in_one,
      f->invented, f->counted ? 100.0 * (double)f->right / (double)f->counted : 0, f->counted,
      figures_median(f->border, f->borders), figures_mean(f->border, f->borders),
      figures_mean(f->color, f->colors), figures_median(f->color, f->colors),
      figures_mean(f->band, f->colors), figures_mean(f->card, f->colors), f->colors,
      figures_mean(f->overlap, f->counted));
}
