/* Several readings of the same thing. */
#include "dropwise/region.h"

#include "dropwise/color.h"

#include <math.h>

/* Readings further apart than this many times their doubt are hardly of the same thing. */
#define APART_TIMES 3.0

static void shares_add(dw_shares *out, const dw_shares *more, double weight) {
  out->kept += weight * more->kept;
  out->gloss += weight * more->gloss;
  out->flake += weight * more->flake;
  out->shadow += weight * more->shadow;
  out->clipped += weight * more->clipped;
}

/* By the pixels that tell each. */
static void flake_add(dw_flake *out, const dw_flake *more) {
  double before = (double)out->pixels, now = (double)more->pixels, all = before + now;
  if (now <= 0) return;
  out->lab.L = (before * out->lab.L + now * more->lab.L) / all;
  out->lab.a = (before * out->lab.a + now * more->lab.a) / all;
  out->lab.b = (before * out->lab.b + now * more->lab.b) / all;
  out->uncertainty_de00 = (before * out->uncertainty_de00 + now * more->uncertainty_de00) / all;
  out->pixels += more->pixels;
}

/* Colors are averaged as Lab: the readings lie close together and their errors are even there. */
static void sums_take(const dw_reading *readings, size_t n, dw_reading *out) {
  double pixels = 0;
  for (size_t i = 0; i < n; i++) pixels += (double)readings[i].pixels;
  for (size_t i = 0; i < n; i++) {
    const dw_reading *r = &readings[i];
    double weight = pixels > 0 ? (double)r->pixels / pixels : 1 / (double)n;
    out->lab.L += r->lab.L / (double)n;
    out->lab.a += r->lab.a / (double)n;
    out->lab.b += r->lab.b / (double)n;
    out->uncertainty_de00 += r->uncertainty_de00 * r->uncertainty_de00 / (double)n;
    out->spread_de00 += weight * r->spread_de00;
    out->pixels += r->pixels;
    shares_add(&out->shares, &r->shares, weight);
    flake_add(&out->flake, &r->flake);
    dw_notes_add(&out->notes, &r->notes);
  }
  out->uncertainty_de00 = sqrt(out->uncertainty_de00);
  out->lch = dw_lch_from_lab(out->lab);
}

/* The readings' own doubt is not divided by their number: they share camera, card and light. */
dw_status dw_reading_mean(const dw_reading *readings, size_t n, dw_reading *out, dw_error *err) {
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "There is no reading to average; read at least one.");
  dw_reading mean = {0};
  sums_take(readings, n, &mean);
  double squares = 0;
  for (size_t i = 0; i < n; i++) {
    double de00 = dw_de00(mean.lab, readings[i].lab);
    squares += de00 * de00;
  }
  double apart = n > 1 ? sqrt(squares / (double)(n - 1)) : 0;
  if (apart > APART_TIMES * mean.uncertainty_de00)
    dw_note(&mean.notes, "The %zu readings differ by %.1f from each other, more than their doubt explains.",
            n, apart);
  mean.uncertainty_de00 = fmax(mean.uncertainty_de00, apart / sqrt((double)n));
  *out = mean;
  return DW_OK;
}
