/* From unknowns to a chip's color and back: residuals and their derivatives in closed form. */
#include "mix/fit_model.h"

#include "mix/chain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MEAN_LN_K_BASE -6.5
#define MEAN_LN_S_BASE -5.0
#define MEAN_LN_K_BOTTLE -4.0
#define MEAN_LN_S_BOTTLE -5.3
/* Weak priors of the surface, so that chips which say nothing of it leave it where plastics usually are. */
#define K2_MEAN 0.60
#define K2_SD 0.10
#define GAP_SD 0.60

double dw__mean_ln_k(size_t material) {
  return material == 0 ? MEAN_LN_K_BASE : MEAN_LN_K_BOTTLE;
}

double dw__mean_ln_s(size_t material) {
  return material == 0 ? MEAN_LN_S_BASE : MEAN_LN_S_BOTTLE;
}

dw_surface dw__point_surface(const dw__problem *problem, const double *x) {
  const double *surface = x + problem->n_unknowns - DW__SURFACE_UNKNOWNS;
  return (dw_surface){.k1 = problem->k1, .k2 = surface[0], .gap = surface[1]};
}

static double curve_at(const dw__basis *basis, size_t band, const double *u) {
  double sum = 0;
  for (size_t j = 0; j < basis->rank; j++) sum += basis->b[band][j] * u[j];
  return sum;
}

void dw__spectra_fill(const dw__problem *problem, dw__point *point) {
  for (size_t m = 0; m < problem->n_materials; m++) {
    const double *u = point->x + m * problem->per_material, *v = u + problem->bk.rank;
    for (size_t i = 0; i < DW_BANDS; i++) {
      point->spectra[m].k[i] = exp(dw__mean_ln_k(m) + curve_at(&problem->bk, i, u));
      point->spectra[m].s[i] = exp(dw__mean_ln_s(m) + curve_at(&problem->bs, i, v));
    }
  }
}

/* Derivatives of the residual by one material's unknowns, given those by K and S of every band. */
static void material_slopes(const dw__problem *problem, const dw_spectra *spectra, double loading,
                            double by_K[3][DW_BANDS], double by_S[3][DW_BANDS], size_t stride, double *J) {
  const dw__basis *bk = &problem->bk, *bs = &problem->bs;
  for (int r = 0; r < 3; r++, J += stride) {
    memset(J, 0, problem->per_material * sizeof *J);
    for (size_t i = 0; i < DW_BANDS; i++) {
      double k = loading * by_K[r][i] * spectra->k[i], s = loading * by_S[r][i] * spectra->s[i];
      for (size_t j = 0; j < bk->rank; j++) J[j] += k * bk->b[i][j];
      for (size_t j = 0; j < bs->rank; j++) J[bk->rank + j] += s * bs->b[i][j];
    }
  }
}

/* Derivatives of every band's reflectance by k2 and by the air gap. */
static void surface_slopes(const dw_surface *surface, const dw_slab *slab, const dw__km *view,
                           const dw_spectra *mix, const double *R, double by_k2[DW_BANDS],
                           double by_gap[DW_BANDS]) {
  double backing[DW_BANDS], k1 = surface->k1, k2 = surface->k2, rg = slab->backing;
  double reflected = (1 - k1) * rg / (1 - k1 * rg); /* by the backing, seen through the slab's lower face */
  double backing_by_k2 = surface->gap * (1 - reflected);
  double backing_by_gap = k2 + (1 - k2) * reflected - rg;
  dw__km_bands_backing_slope(view, mix->k, mix->s, backing);
  for (size_t i = 0; i < DW_BANDS; i++) {
    double inside = R[i] / (view->transmitted + k2 * R[i]), through = 1 - k2 * inside;
    double by_backing = backing[i] * view->transmitted / (through * through);
    by_k2[i] = (1 - k1) * inside * (inside - 1) / (through * through) + by_backing * backing_by_k2;
    by_gap[i] = by_backing * backing_by_gap;
  }
}

static void chip_slopes(const dw__problem *problem, const dw__fit_chip *chip, const dw__point *point,
                        const dw__km *view, const dw_spectra *mix, double *J) {
  double R[DW_BANDS], by_K[3][DW_BANDS], by_S[3][DW_BANDS], dK[DW_BANDS], dS[DW_BANDS], dk2[DW_BANDS],
      dgap[DW_BANDS], slope[9], turn[9];
  dw_surface surface = dw__point_surface(problem, point->x);
  size_t stride = chip->n * problem->per_material + DW__SURFACE_UNKNOWNS;
  dw__km_bands_slopes(view, mix->k, mix->s, R, dK, dS);
  surface_slopes(&surface, &chip->slab, view, mix, R, dk2, dgap);
  dw__lab_slopes(dw_lab_from_xyz(dw_xyz_from_bands(R)), slope);
  dw__multiply3(chip->metric, slope, turn);
  for (size_t r = 0; r < 3; r++) {
    double k2 = 0, gap = 0;
    for (size_t i = 0; i < DW_BANDS; i++) {
      double g = turn[3 * r] * dw_band_xyz[i][0] + turn[3 * r + 1] * dw_band_xyz[i][1] +
                 turn[3 * r + 2] * dw_band_xyz[i][2];
      by_K[r][i] = g * dK[i], by_S[r][i] = g * dS[i];
      k2 += g * dk2[i], gap += g * dgap[i];
    }
    J[(r + 1) * stride - 2] = k2, J[(r + 1) * stride - 1] = gap;
  }
  for (size_t p = 0; p < chip->n; p++)
    material_slopes(problem, &point->spectra[chip->material[p]], chip->loading[p], by_K, by_S, stride,
                    J + p * problem->per_material);
}

/* K and S of a chip's mixture. */
static void chip_mix(const dw__fit_chip *chip, const dw__point *point, dw_spectra *out) {
  memset(out, 0, sizeof *out);
  for (size_t p = 0; p < chip->n; p++)
    dw__spectra_add(out, chip->loading[p], &point->spectra[chip->material[p]]);
}

static dw_lab mix_lab(const dw__km *view, const dw_spectra *mix) {
  double R[DW_BANDS];
  dw__km_bands(view, mix->k, mix->s, R);
  return dw_lab_from_xyz(dw_xyz_from_bands(R));
}

dw_lab dw__chip_lab(const dw__problem *problem, const dw__fit_chip *chip, const dw__point *point) {
  dw_spectra mix;
  dw_surface surface = dw__point_surface(problem, point->x);
  dw__km view = dw__km_view(&surface, &chip->slab);
  chip_mix(chip, point, &mix);
  return mix_lab(&view, &mix);
}

void dw__chip_residual(const dw__problem *problem, const dw__fit_chip *chip, const dw__point *point,
                       double residual[3], double *J) {
  dw_spectra mix;
  dw_surface surface = dw__point_surface(problem, point->x);
  dw__km view = dw__km_view(&surface, &chip->slab);
  chip_mix(chip, point, &mix);
  dw_lab lab = mix_lab(&view, &mix);
  const double off[3] = {lab.L - chip->lab.L, lab.a - chip->lab.a, lab.b - chip->lab.b};
  const double *m = chip->metric;
  for (int r = 0; r < 3; r++, m += 3) residual[r] = m[0] * off[0] + m[1] * off[1] + m[2] * off[2];
  if (J) chip_slopes(problem, chip, point, &view, &mix, J);
}

/* Prior of the surface as two residuals of slope 1/sd. */
static void surface_prior(const double surface[2], double residual[2], double slope[2]) {
  slope[0] = 1 / K2_SD, slope[1] = 1 / GAP_SD;
  residual[0] = (surface[0] - K2_MEAN) * slope[0], residual[1] = surface[1] * slope[1];
}

void dw__cost_fill(const dw__problem *problem, dw__point *point) {
  size_t last = problem->n_unknowns - DW__SURFACE_UNKNOWNS;
  double cost = 0, r[3], prior[2], slope[2];
  for (size_t i = 0; i < problem->n; i++) {
    dw__chip_residual(problem, &problem->chip[i], point, r, NULL);
    cost += problem->trust * problem->chip[i].weight * (r[0] * r[0] + r[1] * r[1] + r[2] * r[2]);
  }
  for (size_t i = 0; i < last; i++) cost += point->x[i] * point->x[i];
  surface_prior(point->x + last, prior, slope);
  point->cost = cost + prior[0] * prior[0] + prior[1] * prior[1];
}

/* Adds one chip's part of H and g; blocks of H only where its materials meet. */
static void normal_add(const dw__problem *problem, const dw__fit_chip *chip, const double residual[3],
                       const double *J, size_t *place, double *H, double *g) {
  size_t n = problem->n_unknowns, stride = chip->n * problem->per_material + DW__SURFACE_UNKNOWNS;
  for (size_t p = 0; p < chip->n; p++)
    for (size_t j = 0; j < problem->per_material; j++)
      place[p * problem->per_material + j] = chip->material[p] * problem->per_material + j;
  place[stride - 2] = n - 2, place[stride - 1] = n - 1;
  for (size_t r = 0; r < 3; r++) {
    const double *row = J + r * stride;
    for (size_t i = 0; i < stride; i++) {
      double w = problem->trust * chip->weight * row[i]; /* -fanalyzer: the caller has filled J */
      double *out = H + place[i] * n;
      g[place[i]] -= w * residual[r];
      for (size_t j = 0; j <= i; j++) out[place[j]] += w * row[j];
    }
  }
}

dw_status dw__normal_fill(const dw__problem *problem, const dw__point *point, double *H, double *g,
                          dw_error *err) {
  size_t n = problem->n_unknowns, last = n - DW__SURFACE_UNKNOWNS;
  size_t widest = DW__CHIP_MATERIALS * problem->per_material + DW__SURFACE_UNKNOWNS;
  double r[3], prior[2], slope[2];
  double *J = malloc(3 * widest * sizeof *J);
  size_t *place = malloc(widest * sizeof *place);
  dw_status status = DW_OK;
  if (!J || !place) {
    status = dw_fail_memory(err, "the fit's derivatives");
    goto done;
  }
  memset(H, 0, n * n * sizeof *H), memset(g, 0, n * sizeof *g);
  for (size_t i = 0; i < problem->n; i++) {
    dw__chip_residual(problem, &problem->chip[i], point, r, J);
    normal_add(problem, &problem->chip[i], r, J, place, H, g);
  }
  for (size_t i = 0; i < last; i++) H[i * n + i] += 1, g[i] -= point->x[i];
  surface_prior(point->x + last, prior, slope);
  for (size_t i = 0; i < 2; i++) {
    H[(last + i) * (n + 1)] += slope[i] * slope[i];
    g[last + i] -= slope[i] * prior[i];
  }
done:
  free(J), free(place);
  return status;
}
