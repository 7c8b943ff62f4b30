/* The quick way through matrix profiles, which nearly every camera and phone embeds: a table look-up for each
 * sample, then one matrix. The values are those LittleCMS computes; only its stages are folded into one. */
#include "color/profile.h"
#include "color/srgb.h"

#include <math.h>
#include <stdlib.h>

dw_status dw__shaper_prepare(dw_profile *profile, dw_error *err) {
  dw__shaper *shaper = &profile->shaper;
  shaper->channels = profile->kind == DW_PIXEL_GRAY ? 1 : 3;
  shaper->steps = (size_t)1 << profile->bits;
  shaper->tables = calloc(shaper->channels * shaper->steps, sizeof *shaper->tables);
  return shaper->tables ? DW_OK : dw_fail_memory(err, "the tables of the photo's color profile");
}

void dw__shaper_fill_srgb(dw__shaper *shaper) {
  for (size_t i = 0; i < shaper->steps; i++) {
    const float linear = (float)dw_srgb_decode((double)i / (double)(shaper->steps - 1));
    for (size_t k = 0; k < shaper->channels; k++) shaper->tables[k * shaper->steps + i] = linear;
  }
  for (int i = 0; i < 9; i++) shaper->matrix[i] = i % 4 == 0 ? 1.0f : 0.0f;
}

static bool has_lookup_table(cmsHPROFILE icc) {
  static const cmsTagSignature tables[] = {cmsSigAToB0Tag, cmsSigAToB1Tag, cmsSigDToB0Tag, cmsSigDToB1Tag};
  for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
    if (cmsIsTag(icc, tables[i])) return true;
  return false;
}

/* Column k of the matrix: the k-th colorant, XYZ D50, in linear sRGB. */
static bool column_fill(dw__shaper *shaper, size_t k, const cmsCIEXYZ *colorant) {
  double rgb[3];
  dw_linear_from_xyz((dw_xyz){colorant->X, colorant->Y, colorant->Z}, rgb);
  for (size_t row = 0; row < 3; row++) {
    if (!isfinite(rgb[row])) return false;
    shaper->matrix[3 * row + k] = (float)rgb[row];
  }
  return true;
}

static bool table_fill(float *table, size_t steps, const cmsToneCurve *curve) {
  for (size_t i = 0; i < steps; i++) {
    table[i] = cmsEvalToneCurveFloat(curve, (float)i / (float)(steps - 1));
    if (!isfinite(table[i])) return false;
  }
  return true;
}

bool dw__shaper_fill_icc(dw__shaper *shaper, cmsHPROFILE icc) {
  static const cmsTagSignature colorants[] = {cmsSigRedColorantTag, cmsSigGreenColorantTag,
                                              cmsSigBlueColorantTag};
  static const cmsTagSignature curves[] = {cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag};
  if (has_lookup_table(icc) || cmsGetPCS(icc) != cmsSigXYZData) return false;
  for (size_t k = 0; k < 3; k++) {
    const cmsCIEXYZ *colorant = cmsReadTag(icc, colorants[k]);
    const cmsToneCurve *curve = cmsReadTag(icc, curves[k]);
    if (!colorant || !curve || !column_fill(shaper, k, colorant) ||
        !table_fill(shaper->tables + k * shaper->steps, shaper->steps, curve))
      return false;
  }
  return true;
}

void dw__shaper_fill_gray(dw__shaper *shaper, cmsHTRANSFORM transform) {
  for (size_t i = 0; i < shaper->steps; i++) {
    const float in = (float)i / (float)(shaper->steps - 1);
    float rgb[3] = {0};
    cmsDoTransform(transform, &in, rgb, 1);
    shaper->tables[i] = isfinite(rgb[1]) ? rgb[1] : 0.0f;
  }
}

static void run_gray(const float *table, const void *pixels, int bits, size_t n, float *rgb) {
  for (size_t i = 0; i < n; i++) {
    const size_t v = bits == 8 ? ((const uint8_t *)pixels)[i] : ((const uint16_t *)pixels)[i];
    rgb[3 * i] = rgb[3 * i + 1] = rgb[3 * i + 2] = table[v];
  }
}

/* One body for both sample types; the compiler makes two loops of it. */
#define DEFINE_RUN_RGB(name, sample)                                                                         \
  static void name(const dw__shaper *shaper, const sample *pixels, size_t n, float *rgb) {                   \
    const float *m = shaper->matrix, *t = shaper->tables;                                                    \
    const size_t steps = shaper->steps;                                                                      \
    for (size_t i = 0; i < n; i++) {                                                                         \
      const float r = t[pixels[3 * i]], g = t[steps + pixels[3 * i + 1]],                                    \
                  b = t[2 * steps + pixels[3 * i + 2]];                                                      \
      for (size_t k = 0; k < 3; k++) rgb[3 * i + k] = m[3 * k] * r + m[3 * k + 1] * g + m[3 * k + 2] * b;    \
    }                                                                                                        \
  }
DEFINE_RUN_RGB(run_rgb8, uint8_t)
DEFINE_RUN_RGB(run_rgb16, uint16_t)

void dw__shaper_run(const dw_profile *profile, const void *pixels, size_t n, float *rgb) {
  if (profile->kind == DW_PIXEL_GRAY)
    run_gray(profile->shaper.tables, pixels, profile->bits, n, rgb);
  else if (profile->bits == 8)
    run_rgb8(&profile->shaper, pixels, n, rgb);
  else
    run_rgb16(&profile->shaper, pixels, n, rgb);
}
