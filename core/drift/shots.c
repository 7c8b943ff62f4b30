/* What differs between the baits of one shot, and what between batches: a one-way analysis of variance with
 * random effects (Montgomery, Design and Analysis of Experiments; NIST/SEMATECH e-Handbook 7.4.3 for the sums
 * of squares), of each part of CIEDE2000. */
#include "dropwise/drift.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

#define P_SURE 0.05 /* the usual level */

/* Sums of squares of one part. */
typedef struct squares {
  double within, between;
} squares;

static void group_mean(dw_lab target, const double metric[9], const dw_lab *bait, size_t n, double out[3]) {
  double part[3];
  memset(out, 0, 3 * sizeof *out);
  for (size_t i = 0; i < n; i++) {
    dw_de00_parts(metric, target, bait[i], part);
    for (size_t r = 0; r < 3; r++) out[r] += part[r] / (double)n;
  }
}

/* Groups of one bait tell nothing of a shot and are left out. */
static void squares_sum(dw_lab target, const dw_shot *shot, size_t n, squares out[3],
                        dw_shot_spread *counts) {
  double metric[9], grand[3] = {0}, mean[3], part[3];
  dw_de00_metric(target, metric);
  for (size_t g = 0; g < n; g++) {
    if (shot[g].n < 2) continue;
    group_mean(target, metric, shot[g].bait, shot[g].n, mean);
    counts->batches++;
    counts->baits += shot[g].n;
    for (size_t r = 0; r < 3; r++) grand[r] += (double)shot[g].n * mean[r];
  }
  for (size_t r = 0; r < 3 && counts->baits; r++) grand[r] /= (double)counts->baits;
  for (size_t g = 0; g < n; g++) {
    if (shot[g].n < 2) continue;
    group_mean(target, metric, shot[g].bait, shot[g].n, mean);
    for (size_t i = 0; i < shot[g].n; i++) {
      dw_de00_parts(metric, target, shot[g].bait[i], part);
      for (size_t r = 0; r < 3; r++) out[r].within += (part[r] - mean[r]) * (part[r] - mean[r]);
    }
    for (size_t r = 0; r < 3; r++)
      out[r].between += (double)shot[g].n * (mean[r] - grand[r]) * (mean[r] - grand[r]);
  }
}

/* The number of baits that a batch has for all that follows; of groups alike their size. */
static double effective_size(const dw_shot *shot, size_t n, const dw_shot_spread *counts) {
  double squared = 0, all = (double)counts->baits;
  for (size_t g = 0; g < n; g++)
    if (shot[g].n >= 2) squared += (double)shot[g].n * (double)shot[g].n;
  return (all - squared / all) / (double)(counts->batches - 1);
}

static const char *most_of(const double part[3]) {
  static const char *const names[] = {"lightness", "chroma", "hue"};
  size_t most = 0;
  for (size_t r = 1; r < 3; r++)
    if (part[r] > part[most]) most = r;
  return names[most];
}

static void words_write(const char *name, dw_shot_spread *out) {
  char batches[100];
  if (out->batches < 2)
    snprintf(batches, sizeof batches, "one batch alone says nothing of batches.");
  else if (out->apart)
    snprintf(batches, sizeof batches, "batches by %.1f beyond that, most in %s.", out->between_de00,
             most_of(out->between));
  else
    snprintf(batches, sizeof batches, "batches by no more than that explains.");
  snprintf(out->words, sizeof out->words,
           "The %s: baits of one shot differ by %.1f, most in %s (%zu baits of %zu batch%s); %s", name,
           out->within_de00, most_of(out->within), out->baits, out->batches, out->batches == 1 ? "" : "es",
           batches);
}

bool dw_shots_compare(const char *name, dw_lab target, const dw_shot *shot, size_t n, dw_shot_spread *out) {
  squares sums[3] = {{0}};
  double within = 0, between = 0;
  *out = (dw_shot_spread){.p = 1};
  squares_sum(target, shot, n, sums, out);
  if (out->batches == 0) return false;
  double free_within = (double)(out->baits - out->batches), free_between = (double)out->batches - 1;
  double size = out->batches > 1 ? effective_size(shot, n, out) : 1;
  for (size_t r = 0; r < 3; r++) {
    double own = sums[r].within / free_within, other = free_between > 0 ? sums[r].between / free_between : 0;
    double beyond = fmax(0, (other - own) / size);
    out->within[r] = sqrt(own);
    out->between[r] = sqrt(beyond);
    out->within_de00 += own;
    out->between_de00 += beyond;
    within += sums[r].within;
    between += sums[r].between;
  }
  out->within_de00 = sqrt(out->within_de00);
  out->between_de00 = sqrt(out->between_de00);
  if (free_between > 0 && within > 0) /* all parts in one: each has the same degrees of freedom */
    out->p =
        dw_f_upper_tail(between / free_between / (within / free_within), 3 * free_between, 3 * free_within);
  out->apart = free_between > 0 && out->p < P_SURE;
  words_write(name, out);
  return true;
}
