/* The color a let-down will have, and how much to trust it. */
#include "mix/km.h"

#include <math.h>
#include <string.h>

/* K and S of the let-down at one posterior draw; draw < 0 is the best estimate. A bottle without draws stands
 * still. */
static void mix_spectra(const dw_shelf *shelf, const dw_recipe *loadings, int draw, dw_spectra *out) {
  *out = draw >= 0 && shelf->base_draws ? shelf->base_draws[draw] : shelf->base;
  for (size_t i = 0; i < loadings->n; i++) {
    const dw_bottle *bottle = &shelf->bottle[loadings->part[i].bottle];
    const dw_spectra *spectra = draw >= 0 && bottle->draws ? &bottle->draws[draw] : &bottle->spectra;
    dw__spectra_add(out, loadings->part[i].amount * bottle->strength, spectra);
  }
}

static dw_xyz xyz_over(const dw_spectra *mix, const dw_surface *surface, const dw_slab *slab) {
  double R[DW_BANDS];
  dw__km view = dw__km_view(surface, slab);
  dw__km_bands(&view, mix->k, mix->s, R);
  return dw_xyz_from_bands(R);
}

dw_lab dw_predict_lab(const dw_shelf *shelf, const double *c, const dw_slab *slab) {
  dw_spectra mix = shelf->base;
  for (size_t i = 0; i < shelf->n; i++) {
    if (c[i] == 0) continue;
    const dw_bottle *bottle = &shelf->bottle[i];
    dw__spectra_add(&mix, c[i] * bottle->strength, &bottle->spectra);
  }
  return dw_lab_from_xyz(xyz_over(&mix, &shelf->surface, slab));
}

static double contrast_ratio(const dw_spectra *mix, const dw_surface *surface, double thickness_mm) {
  dw_slab black = {thickness_mm, DW_BACKING_BLACK}, white = {thickness_mm, DW_BACKING_WHITE};
  return xyz_over(mix, surface, &black).Y / xyz_over(mix, surface, &white).Y;
}

/* Root mean square CIEDE2000 of what the color would be at other likely spectra and strengths: the joint
 * draws, and each strength alone a standard deviation up. */
static double uncertainty(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab, dw_lab lab) {
  dw_spectra mix;
  bool drawn = shelf->base_draws != NULL;
  double squares = 0;
  for (size_t i = 0; i < loadings->n; i++) drawn |= shelf->bottle[loadings->part[i].bottle].draws != NULL;
  for (int d = 0; drawn && d < DW_DRAWS; d++) {
    mix_spectra(shelf, loadings, d, &mix);
    double de = dw_de00(lab, dw_lab_from_xyz(xyz_over(&mix, &shelf->surface, slab)));
    squares += de * de / DW_DRAWS;
  }
  for (size_t i = 0; i < loadings->n; i++) {
    double sd = shelf->bottle[loadings->part[i].bottle].strength_sd;
    if (sd <= 0) continue;
    dw_recipe stronger = *loadings;
    stronger.part[i].amount *= exp(sd);
    mix_spectra(shelf, &stronger, -1, &mix);
    double de = dw_de00(lab, dw_lab_from_xyz(xyz_over(&mix, &shelf->surface, slab)));
    squares += de * de;
  }
  return sqrt(squares);
}

static dw_status check(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab, dw_error *err) {
  if (!(slab->thickness_mm >= 0 && slab->thickness_mm <= DW_THICKNESS_MAX_MM))
    return dw_fail(err, DW_BAD_INPUT, "a thickness of %g mm is out of range: give 0 to %d mm",
                   slab->thickness_mm, DW_THICKNESS_MAX_MM);
  if (!(slab->backing >= 0 && slab->backing <= 1))
    return dw_fail(err, DW_BAD_INPUT, "a backing of reflectance %g is out of range: give 0 to 1",
                   slab->backing);
  if (loadings->n > DW_CUP_BOTTLES_MAX)
    return dw_fail(err, DW_BAD_INPUT, "a cup holds at most %d bottles", DW_CUP_BOTTLES_MAX);
  for (size_t i = 0; i < loadings->n; i++) {
    const dw_part *part = &loadings->part[i];
    if (part->bottle >= shelf->n)
      return dw_fail(err, DW_BAD_INPUT, "bottle %zu of the recipe is not on the shelf of %zu", part->bottle,
                     shelf->n);
    if (!(part->amount >= 0 && part->amount <= DW_AMOUNT_MAX))
      return dw_fail(err, DW_BAD_INPUT, "%g drops per fl oz of %s are out of range: give 0 to %d",
                     part->amount, shelf->bottle[part->bottle].id, DW_AMOUNT_MAX);
  }
  return DW_OK;
}

static void warn(const dw_shelf *shelf, const dw_recipe *loadings, dw_notes *notes) {
  for (size_t i = 0; i < loadings->n; i++) {
    const dw_bottle *bottle = &shelf->bottle[loadings->part[i].bottle];
    double amount = loadings->part[i].amount;
    if (amount > 0 && bottle->role == DW_ROLE_EFFECT)
      dw_note(notes, "%s turns color with the angle: this color is a marked guess.", bottle->id);
    if (amount > bottle->max_loading)
      dw_note(notes,
              "%s at %.3g drops per fl oz is beyond the %.3g it is known for: take the color as a guess.",
              bottle->id, amount, bottle->max_loading);
  }
}

dw_status dw_predict(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab,
                     dw_prediction *out, dw_error *err) {
  dw_status status = check(shelf, loadings, slab, err);
  if (status != DW_OK) return status;
  dw_spectra mix;
  mix_spectra(shelf, loadings, -1, &mix);
  dw_prediction p = {.xyz = xyz_over(&mix, &shelf->surface, slab)};
  p.lab = dw_lab_from_xyz(p.xyz);
  p.see_through = contrast_ratio(&mix, &shelf->surface, slab->thickness_mm);
  p.uncertainty_de00 = uncertainty(shelf, loadings, slab, p.lab);
  warn(shelf, loadings, &p.notes);
  *out = p;
  return DW_OK;
}
