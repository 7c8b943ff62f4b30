/* Light without a card: none at all, or one gray patch of known reflectance. */
#include "card/light.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Mean CIEDE2000 of readings on simulated phones: the columns "no card" and "gray" of the table of phones in
 * docs/color-model.md#what-was-tried, over its seven rows. */
#define DOUBT_NONE 7.9
#define DOUBT_GRAY 3.3

enum { GRAY_PIXELS_MIN = 25, GRAY_PIXELS_USED = 4000 };
#define CLIPPED_SHARE 0.10
#define DARK_MIN 0.01
/* Gray means channels within this factor of each other: light from 2500 K to overcast stays below, left raw.
 */
#define CAST_MAX 3.0
#define SPREAD_MAX 8.0

dw_status dw_light_none(dw_light **out, dw_error *err) {
  dw_light *light = NULL;
  dw_status status = dw__light_new(DW_LIGHT_NONE, "none", &light, err);
  if (status != DW_OK) return status;
  light->info.uncertainty_de00 = DOUBT_NONE;
  dw_note(&light->info.notes,
          "No card or gray was marked: the photo's colors are taken as they are, often off by 6 "
          "and more. Put a card beside the bait.");
  *out = light;
  return DW_OK;
}

static double channel_middle(const float *rgb, size_t n, size_t step, size_t c, double *work,
                             double *spread) {
  size_t count = 0;
  for (size_t i = 0; i < n; i += step) work[count++] = dw__signed_root((double)rgb[3 * i + c]);
  const double median = dw_median(work, count), sigma = 100.0 * dw_mad_sigma(work, count, median);
  *spread = fmax(*spread, sigma);
  return median * fabs(median);
}

static dw_status gray_judge(const double value[3], double spread, dw_error *err) {
  const double low = fmin(fmin(value[0], value[1]), value[2]),
               high = fmax(fmax(value[0], value[1]), value[2]);
  if (!(low >= DARK_MIN))
    return dw_fail(err, DW_REFUSED,
                   "The gray patch is too dark to go by (%.1f%% of full): take the photo brighter.",
                   100.0 * fmax(low, 0.0));
  if (high > CAST_MAX * low)
    return dw_fail(
        err, DW_REFUSED,
        "The marked gray is far from gray (red %.2f, green %.2f, blue %.2f of full): mark a neutral gray.",
        value[0], value[1], value[2]);
  if (spread > SPREAD_MAX)
    return dw_fail(
        err, DW_REFUSED,
        "The marked gray is not even: glare lies on it or its edge is in the mark; mark its middle.");
  return DW_OK;
}

static dw_status gray_inputs_judge(const uint8_t *clip, size_t n, double gray_y, dw_error *err) {
  size_t clipped = 0;
  if (!(gray_y > 0.0 && gray_y <= 1.0))
    return dw_fail(err, DW_BAD_INPUT,
                   "The gray's reflectance %g is not between 0 and 1: a usual gray card has 0.18.", gray_y);
  if (n < GRAY_PIXELS_MIN)
    return dw_fail(err, DW_TOO_FEW, "The marked gray has %zu pixels and %d are needed: mark a larger area.",
                   n, GRAY_PIXELS_MIN);
  for (size_t i = 0; i < n; i++) clipped += (clip[i] & DW_CLIP_HIGH) != 0;
  if ((double)clipped > CLIPPED_SHARE * (double)n)
    return dw_fail(err, DW_REFUSED,
                   "The marked gray is clipped in %.0f%% of its pixels: take the photo darker.",
                   100.0 * (double)clipped / (double)n);
  return DW_OK;
}

dw_status dw_light_gray(const float *rgb, const uint8_t *clip, size_t n, double gray_y, dw_light **out,
                        dw_error *err) {
  dw_light *light = NULL;
  double *work = NULL, value[3], spread = 0.0;
  dw_status status = gray_inputs_judge(clip, n, gray_y, err);
  if (status != DW_OK) return status;
  work = malloc((GRAY_PIXELS_USED + 1) * sizeof *work);
  if (work == NULL) return dw_fail_memory(err, "the gray patch");
  for (size_t c = 0; c < 3; c++)
    value[c] = channel_middle(rgb, n, n / GRAY_PIXELS_USED + 1, c, work, &spread);
  free(work);
  status = gray_judge(value, spread, err);
  if (status == DW_OK) status = dw__light_new(DW_LIGHT_GRAY, "gray", &light, err);
  if (status != DW_OK) return status;
  for (int c = 0; c < 3; c++) light->gain[c] = gray_y / value[c];
  memcpy(light->white, value, sizeof light->white);
  light->info.patches = 1;
  light->info.uncertainty_de00 = DOUBT_GRAY;
  *out = light;
  return DW_OK;
}
