/* One area as a swirl: its places as a mixture of colors, and what share each color has. */
#include "read/swirl_fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PLACES_LEAST = 40, PLACES_WANTED = 3500, SLICES = 8 };
/* Places share blur and noise with their neighbors: so many count as one when colors are counted. */
#define PLACES_IN_ONE 15.0
/* A color found is one of the swirl's from this share on, this far from the others. */
#define SHARE_LEAST 0.04
#define APART_LEAST 4.0
/* Colors that a person counted and that lie so near are questioned. */
#define APART_SURE 3.0
#define MUCH_ASIDE 0.3

void dw__swirl_places_free(dw__swirl_places *p) {
  free(p->lab);
  free(p->x);
  free(p->weight);
  *p = (dw__swirl_places){.n = 0};
}

/* Mean of a square's usable pixels; nothing where fewer than half are. */
static void place_make(const dw_patch *patch, const uint8_t *mask, size_t side, size_t column, size_t row,
                       float *y_of, dw__swirl_places *out) {
  size_t w = (size_t)patch->rect.w, h = (size_t)patch->rect.h, count = 0;
  double sum[3] = {0};
  for (size_t y = row * side; y < (row + 1) * side && y < h; y++)
    for (size_t x = column * side; x < (column + 1) * side && x < w; x++) {
      size_t i = y * w + x;
      if (!mask[i]) continue;
      out->inside++;
      if (patch->clip[i] & DW_CLIP_HIGH) {
        out->clipped++;
        continue;
      }
      for (size_t k = 0; k < 3; k++) sum[k] += (double)patch->rgb[3 * i + k];
      count++;
    }
  if (2 * count < side * side || out->n == DW__SWIRL_PLACES_MAX) return;
  double step = dw_patch_step(patch);
  for (size_t k = 0; k < 3; k++) out->lab[3 * out->n + k] = (float)(sum[k] / (double)count);
  out->x[out->n] = (float)(patch->rect.x + step * ((double)column + .5) * (double)side);
  y_of[out->n] = (float)(patch->rect.y + step * ((double)row + .5) * (double)side);
  out->weight[out->n++] = (double)count;
}

dw_status dw__swirl_places_make(const dw_patch *patch, const uint8_t *mask, const dw_light *light,
                                dw__swirl_places *out, dw_error *err) {
  size_t w = (size_t)patch->rect.w, h = (size_t)patch->rect.h, inside = 0;
  for (size_t i = 0; i < w * h; i++) inside += mask[i] != 0;
  size_t side = (size_t)ceil(sqrt(fmax((double)inside / PLACES_WANTED, 1)));
  float *y = malloc(DW__SWIRL_PLACES_MAX * sizeof *y);
  *out = (dw__swirl_places){.lab = malloc(3 * DW__SWIRL_PLACES_MAX * sizeof *out->lab),
                            .x = malloc(DW__SWIRL_PLACES_MAX * sizeof *out->x),
                            .weight = malloc(DW__SWIRL_PLACES_MAX * sizeof *out->weight)};
  dw_status status = y && out->lab && out->x && out->weight ? DW_OK : dw_fail_memory(err, "a swirl's places");
  for (size_t row = 0; status == DW_OK && row * side < h; row++)
    for (size_t column = 0; column * side < w; column++) place_make(patch, mask, side, column, row, y, out);
  if (status == DW_OK && out->n < PLACES_LEAST)
    status = dw_fail(
        err, DW_TOO_FEW,
        "The area holds only %zu usable pixels, too few for a swirl; mark a larger one, or photograph "
        "it larger and with less exposure.",
        out->inside - out->clipped);
  if (status == DW_OK) {
    dw_light_xyz(light, out->lab, out->x, y, out->n, out->lab);
    dw_lab_from_xyz_rows(out->lab, out->n, out->lab);
  }
  free(y);
  return status;
}

/* ---- how many colors ------------------------------------------------------------------------------------- */

static dw_lab center_of(const dw__swirl_fit *fit, size_t c) {
  return (dw_lab){fit->center[c][0], fit->center[c][1], fit->center[c][2]};
}

static double nearest_pair(const dw__swirl_fit *fit) {
  double least = INFINITY;
  for (size_t i = 0; i < fit->k; i++)
    for (size_t j = 0; j < i; j++) least = fmin(least, dw_de00(center_of(fit, i), center_of(fit, j)));
  return least;
}

static bool holds(const dw__swirl_fit *fit) {
  for (size_t c = 0; c < fit->k; c++)
    if (fit->pure[c] < SHARE_LEAST) return false;
  return nearest_pair(fit) >= APART_LEAST;
}

/* Bayes' information criterion (Schwarz, Ann. Stat. 6 (1978) 461): the least counts. */
static double criterion(const dw__swirl_fit *fit, size_t n) {
  /* a center, three of scatter and the weights of color, gloss and blends */
  double k = (double)fit->k, free = 8 * k + k * (k - 1) / 2;
  double count = (double)n / PLACES_IN_ONE;
  return free * log(count) - 2 * fit->likelihood / PLACES_IN_ONE;
}

void dw__swirl_fit_best(const float *lab, size_t n, size_t colors, dw__swirl_fit *out) {
  dw__swirl_fit fit;
  dw__swirl_fit_make(lab, n, colors ? colors : 1, out);
  for (size_t k = 2; !colors && k <= DW_SWIRL_COLORS_MAX; k++) {
    dw__swirl_fit_make(lab, n, k, &fit);
    if (holds(&fit) && criterion(&fit, n) < criterion(out, n)) *out = fit;
  }
}

/* ---- shares ---------------------------------------------------------------------------------------------- */

typedef struct tally {
  double part[SLICES][DW_SWIRL_COLORS_MAX], blend, gloss, all;
  double pure[DW_SWIRL_COLORS_MAX], lab[DW_SWIRL_COLORS_MAX][3], spread[DW_SWIRL_COLORS_MAX];
  size_t places[DW_SWIRL_COLORS_MAX]; /* wholly of that color */
} tally;

static void tally_make(const dw__swirl_places *p, const dw__swirl_fit *fit, tally *out) {
  float low = INFINITY, high = -INFINITY;
  dw__swirl_ready ready;
  for (size_t i = 0; i < p->n; i++) low = fminf(low, p->x[i]), high = fmaxf(high, p->x[i]);
  *out = (tally){.blend = 0};
  dw__swirl_ready_make(fit, &ready);
  for (size_t i = 0; i < p->n; i++) {
    double part[DW_SWIRL_COLORS_MAX], blend, gloss, weight = p->weight[i];
    size_t pure, slice = (size_t)((double)(p->x[i] - low) / ((double)(high - low) + 1) * SLICES);
    const float *lab = p->lab + 3 * i;
    dw__swirl_part(&ready, lab, part, &pure, &blend, &gloss);
    for (size_t c = 0; c < fit->k; c++) out->part[slice][c] += weight * part[c];
    out->blend += weight * blend;
    out->gloss += weight * gloss;
    out->all += weight;
    if (pure == fit->k) continue;
    dw_lab at = {(double)lab[0], (double)lab[1], (double)lab[2]};
    out->spread[pure] += weight * dw_de00(center_of(fit, pure), at);
    for (size_t k = 0; k < 3; k++) out->lab[pure][k] += weight * (double)lab[k];
    out->pure[pure] += weight;
    out->places[pure]++;
  }
}

/* The slices of the area are taken for samples of it. */
static double share_doubt(const tally *t, size_t k, size_t c, double share) {
  double sum = 0, n = 0;
  for (size_t s = 0; s < SLICES; s++) {
    double all = 0;
    for (size_t i = 0; i < k; i++) all += t->part[s][i];
    if (all <= 0) continue;
    sum += (t->part[s][c] / all - share) * (t->part[s][c] / all - share);
    n++;
  }
  return n > 1 ? sqrt(sum / (n - 1) / n) : 1;
}

/* Its own places tell a color where there are enough of them, else those of all areas together. */
static void color_fill(const dw__swirl_fit *fit, const tally *t, size_t c, const dw_light *light,
                       dw_swirl_color *to) {
  double pure = t->pure[c], count = fmax((double)t->places[c] / PLACES_IN_ONE, 1);
  to->lab = center_of(fit, c);
  if (t->places[c] >= PLACES_LEAST)
    to->lab = (dw_lab){t->lab[c][0] / pure, t->lab[c][1] / pure, t->lab[c][2] / pure};
  to->spread_de00 = pure > 0 ? t->spread[c] / pure : 0;
  to->uncertainty_de00 = hypot(to->spread_de00 / sqrt(count), dw_light_uncertainty(light, to->lab));
}

static void colors_fill(const dw__swirl_fit *fit, const tally *t, const dw_light *light, dw_swirl *out) {
  double sum[DW_SWIRL_COLORS_MAX] = {0}, all = 0;
  for (size_t s = 0; s < SLICES; s++)
    for (size_t c = 0; c < fit->k; c++) sum[c] += t->part[s][c], all += t->part[s][c];
  for (size_t c = 0; c < fit->k; c++) {
    dw_swirl_color *to = &out->color[c];
    to->share = all > 0 ? sum[c] / all : 1 / (double)fit->k;
    to->share_doubt = share_doubt(t, fit->k, c, to->share);
    color_fill(fit, t, c, light, to);
  }
}

static void by_share(dw_swirl *swirl) {
  for (size_t i = 1; i < swirl->n; i++)
    for (size_t j = i; j > 0 && swirl->color[j].share > swirl->color[j - 1].share; j--) {
      dw_swirl_color keep = swirl->color[j];
      swirl->color[j] = swirl->color[j - 1];
      swirl->color[j - 1] = keep;
    }
}

static void notes_fill(const dw__swirl_fit *fit, const tally *t, size_t asked, dw_swirl *out) {
  if (!asked && fit->k == 1)
    dw_note(&out->notes,
            "One color explains it: no swirl is seen here; say how many there are to look for them.");
  if (fit->k > 1 && nearest_pair(fit) < APART_SURE)
    dw_note(&out->notes, "Two of the colors lie only %.1f apart: their shares can't be told well.",
            nearest_pair(fit));
  bool scarce = false;
  for (size_t c = 0; c < fit->k; c++) scarce = scarce || t->places[c] < PLACES_LEAST;
  if (scarce && fit->k > 1)
    dw_note(&out->notes, "One of the colors is seen hardly anywhere pure here: its share is partly a guess.");
  if (out->aside > MUCH_ASIDE)
    dw_note(&out->notes, "%.0f%% of the area is gloss or none of these colors.", 100 * out->aside);
}

void dw__swirl_tell(const dw__swirl_places *places, const dw__swirl_fit *fit, size_t asked,
                    const dw_light *light, dw_swirl *out) {
  tally t;
  tally_make(places, fit, &t);
  double all = 0, inside = (double)places->inside, usable = inside - (double)places->clipped;
  for (size_t s = 0; s < SLICES; s++)
    for (size_t c = 0; c < fit->k; c++) all += t.part[s][c];
  *out = (dw_swirl){.n = fit->k, .blended = t.blend / t.all, .pixels = places->inside};
  out->aside = ((double)places->clipped + (1 - (all - t.gloss) / t.all) * usable) / inside;
  colors_fill(fit, &t, light, out);
  notes_fill(fit, &t, asked, out);
  by_share(out);
}

dw_status dw__swirl_check(size_t colors, dw_error *err) {
  if (colors != 1 && colors <= DW_SWIRL_COLORS_MAX) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "A swirl has 2 or %d colors, not %zu.", DW_SWIRL_COLORS_MAX, colors);
}

/* ---- order ----------------------------------------------------------------------------------------------- */

void dw_swirl_order(dw_swirl *swirl, const dw_lab *targets, size_t n) {
  static const size_t orders[6][3] = {{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}, {1, 2, 0}, {2, 0, 1}};
  dw_swirl_color was[DW_SWIRL_COLORS_MAX];
  size_t best = 0, count = n == 2 ? 2 : n == 3 ? 6 : 1;
  double least = INFINITY;
  if (swirl->n != n) return;
  memcpy(was, swirl->color, sizeof was);
  for (size_t o = 0; o < count; o++) {
    double sum = 0;
    for (size_t i = 0; i < n; i++) sum += dw_de00(was[orders[o][i]].lab, targets[i]);
    if (sum < least) least = sum, best = o;
  }
  for (size_t i = 0; i < n; i++) swirl->color[i] = was[orders[best][i]];
}
