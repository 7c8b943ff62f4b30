/* The color a let-down will have, and how much to trust it. */
#include "mix/km.h"

#include <math.h>
#include <string.h>

/* K and S of the let-down at one posterior draw; draw < 0 is the best estimate. A bottle without draws stands
 * still. */
static void mix_spectra(const pt_shelf *shelf, const pt_recipe *loadings, int draw, pt_spectra *out) {
  *out = draw >= 0 && shelf->base_draws ? shelf->base_draws[draw] : shelf->base;
  for (size_t i = 0; i < loadings->n; i++) {
    const pt_bottle *bottle = &shelf->bottle[loadings->part[i].bottle];
    const pt_spectra *spectra = draw >= 0 && bottle->draws ? &bottle->draws[draw] : &bottle->spectra;
    pt__spectra_add(out, loadings->part[i].amount * bottle->strength, spectra);
  }
}

static pt_xyz xyz_over(const pt_spectra *mix, const pt_surface *surface, const pt_slab *slab) {
  double R[PT_BANDS];
  pt__km view = pt__km_view(surface, slab);
  pt__km_bands(&view, mix->k, mix->s, R);
  return pt_xyz_from_bands(R);
}

pt_lab pt_predict_lab(const pt_shelf *shelf, const double *c, const pt_slab *slab) {
  pt_spectra mix = shelf->base;
  for (size_t i = 0; i < shelf->n; i++) {
    if (c[i] == 0) continue;
    const pt_bottle *bottle = &shelf->bottle[i];
    pt__spectra_add(&mix, c[i] * bottle->strength, &bottle->spectra);
  }
  return pt_lab_from_xyz(xyz_over(&mix, &shelf->surface, slab));
}

static double contrast_ratio(const pt_spectra *mix, const pt_surface *surface, double thickness_mm) {
  pt_slab black = {thickness_mm, PT_BACKING_BLACK}, white = {thickness_mm, PT_BACKING_WHITE};
  return xyz_over(mix, surface, &black).Y / xyz_over(mix, surface, &white).Y;
}

/* Root mean square CIEDE2000 of what the color would be at other likely spectra and strengths: the joint
 * draws, and each strength alone a standard deviation up. */
static double uncertainty(const pt_shelf *shelf, const pt_recipe *loadings, const pt_slab *slab, pt_lab lab) {
  pt_spectra mix;
  bool drawn = shelf->base_draws != NULL;
  double squares = 0;
  for (size_t i = 0; i < loadings->n; i++) drawn |= shelf->bottle[loadings->part[i].bottle].draws != NULL;
  for (int d = 0; drawn && d < PT_DRAWS; d++) {
    mix_spectra(shelf, loadings, d, &mix);
    double de = pt_de00(lab, pt_lab_from_xyz(xyz_over(&mix, &shelf->surface, slab)));
    squares += de * de / PT_DRAWS;
  }
  for (size_t i = 0; i < loadings->n; i++) {
    double sd = shelf->bottle[loadings->part[i].bottle].strength_sd;
    if (sd <= 0) continue;
    pt_recipe stronger = *loadings;
    stronger.part[i].amount *= exp(sd);
    mix_spectra(shelf, &stronger, -1, &mix);
    double de = pt_de00(lab, pt_lab_from_xyz(xyz_over(&mix, &shelf->surface, slab)));
    squares += de * de;
  }
  return sqrt(squares);
}

static pt_status check(const pt_shelf *shelf, const pt_recipe *loadings, const pt_slab *slab, pt_error *err) {
  if (!(slab->thickness_mm >= 0 && slab->thickness_mm <= PT_THICKNESS_MAX_MM))
    return pt_fail(err, PT_BAD_INPUT, "a thickness of %g mm is out of range: give 0 to %d mm",
                   slab->thickness_mm, PT_THICKNESS_MAX_MM);
  if (!(slab->backing >= 0 && slab->backing <= 1))
    return pt_fail(err, PT_BAD_INPUT, "a backing of reflectance %g is out of range: give 0 to 1",
                   slab->backing);
  if (loadings->n > PT_CUP_BOTTLES_MAX)
    return pt_fail(err, PT_BAD_INPUT, "a cup holds at most %d bottles", PT_CUP_BOTTLES_MAX);
  for (size_t i = 0; i < loadings->n; i++) {
    const pt_part *part = &loadings->part[i];
    if (part->bottle >= shelf->n)
      return pt_fail(err, PT_BAD_INPUT, "bottle %zu of the recipe is not on the shelf of %zu", part->bottle,
                     shelf->n);
    if (!(part->amount >= 0 && part->amount <= PT_AMOUNT_MAX))
      return pt_fail(err, PT_BAD_INPUT, "%g drops per fl oz of %s are out of range: give 0 to %d",
                     part->amount, shelf->bottle[part->bottle].id, PT_AMOUNT_MAX);
  }
  return PT_OK;
}

static void warn(const pt_shelf *shelf, const pt_recipe *loadings, pt_notes *notes) {
  for (size_t i = 0; i < loadings->n; i++) {
    const pt_bottle *bottle = &shelf->bottle[loadings->part[i].bottle];
    double amount = loadings->part[i].amount;
    if (amount > 0 && bottle->role == PT_ROLE_EFFECT)
      pt_note(notes, "%s turns color with the angle: this color is a marked guess.", bottle->id);
    if (amount > bottle->max_loading)
      pt_note(notes,
              "%s at %.3g drops per fl oz is beyond the %.3g it is known for: take the color as a guess.",
              bottle->id, amount, bottle->max_loading);
  }
}

pt_status pt_predict(const pt_shelf *shelf, const pt_recipe *loadings, const pt_slab *slab,
                     pt_prediction *out, pt_error *err) {
  pt_status status = check(shelf, loadings, slab, err);
  if (status != PT_OK) return status;
  pt_spectra mix;
  mix_spectra(shelf, loadings, -1, &mix);
  pt_prediction p = {.xyz = xyz_over(&mix, &shelf->surface, slab)};
  p.lab = pt_lab_from_xyz(p.xyz);
  p.see_through = contrast_ratio(&mix, &shelf->surface, slab->thickness_mm);
  p.uncertainty_de00 = uncertainty(shelf, loadings, slab, p.lab);
  warn(shelf, loadings, &p.notes);
  *out = p;
  return PT_OK;
}
