/* What each pixel shows beside its surroundings: the classes that people see and the shares that are
 * reported.
 *
 * The color is read from the pixels and squares that are surely the body, so whatever is doubtful is left
 * out there.  A person asks something else: is this gloss, is that flake?  A color that changes smoothly, by
 * blend, thickness or shading, is neither.  So every pixel is compared with what surrounds it: specks differ
 * from that and are flake or a glint, while gloss wider than a cell lifts the surroundings themselves above
 * the area's smooth surface, toward the light's color. */
#include "region/around.h"

#include <math.h>
#include <string.h>

enum { SAMPLE = 1024 };

/* Mirror light of this share of a perfect white's counts as gloss. */
#define GLOSS_OVER 0.015
/* Squared distance, in units of the noise, from which a speck is flake: nearer by lie the ripples that JPEG
 * leaves around real ones. */
#define FLAKE_BEYOND 30.0f
/* A pixel whose squared distance is below this share of a speck's beside it is only touched by that speck's
 * blur, or by its color spread over the photo's coarser color. */
#define FLAKE_TOUCHED 0.06
enum { TOUCH_REACH = 2 };
/* Below this share of the surface a dark place may be shadow. */
#define SHADOW_BELOW 0.8f

/* The pixel's color as if what surrounds it had the area's middle color. */
static void flatten(const dw__around *around, const float rgb[3], const float from[3], float out[3]) {
  for (size_t k = 0; k < 3; k++) out[k] = rgb[k] - from[k] + around->middle[k];
}

/* The scatter of single pixels about their surroundings: noise, not the color's change over the area. */
static dw_status scatter_fit(dw__measuring *work, dw__around *around, dw__body *out, dw_error *err) {
  size_t count = 0, n = 0, wait = 0;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) count += dw__usable(work, i);
  size_t step = (count + SAMPLE - 1) / SAMPLE;
  for (size_t y = 0; y < work->h; y++) {
    dw__around_row(work, around, y);
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      if (!dw__usable(work, i) || wait-- > 0) continue;
      dw__node at = dw__around_at(work, around, i - y * work->w);
      flatten(around, work->patch->rgb + 3 * i, at.rgb, work->sample + 3 * n++);
      wait = step - 1;
    }
  }
  return dw__body_fit(work->sample, n, work->white, work->scratch, out, err);
}

/* How much of the light's direction is GLOSS_OVER of a perfect white's luminance. */
static float gloss_least(const dw__measuring *work, const dw__around *around) {
  float rgb[6], xyz[6];
  for (size_t k = 0; k < 3; k++) {
    rgb[k] = around->middle[k];
    rgb[3 + k] = rgb[k] + (float)(GLOSS_OVER * work->white[k]);
  }
  dw_light_xyz(work->light, rgb, NULL, NULL, 2, xyz);
  double lifted = (double)(xyz[4] - xyz[1]);
  return lifted > GLOSS_OVER / 10 ? (float)(GLOSS_OVER * GLOSS_OVER / lifted) : (float)GLOSS_OVER;
}

/* Dark against the surface, and left out of the color as shadow. */
static bool in_shadow(const dw__measuring *work, const dw__node *at, size_t i) {
  const float *rgb = work->patch->rgb + 3 * i;
  float level = at->smooth[0] + at->smooth[1] + at->smooth[2];
  return rgb[0] + rgb[1] + rgb[2] < SHADOW_BELOW * level && dw__class_of(work->cls[i]) == DW_PIXEL_SHADOW;
}

/* A glint, a speck or a shadow differs both from what is around it and from the surface; plastic beside a
 * wide gloss only from what is around it.  Gloss lies on top, so a speck under wide gloss is gloss. */
static dw_pixel_class shown_as(const dw__measuring *work, const dw__around *around, const dw__body *body,
                               float least, const dw__node *at, size_t i) {
  const float *rgb = work->patch->rgb + 3 * i;
  float near[3], alone[3], lift[3], off;
  flatten(around, rgb, at->rgb, near);
  for (size_t k = 0; k < 3; k++) lift[k] = rgb[k] - at->smooth[k];
  float far_near = dw__body_distance(body, near);
  bool lifted = dw__gloss_of(work->white, lift, &off) >= least, wide = at->gloss >= least;
  bool plain = far_near <= DW__BODY_WITHIN;
  if (plain && (wide || !lifted)) return wide ? DW_PIXEL_GLOSS : DW_PIXEL_KEPT;
  flatten(around, rgb, at->smooth, alone);
  float far_alone = dw__body_distance(body, alone);
  if (far_alone <= DW__BODY_WITHIN) return DW_PIXEL_KEPT;
  if (wide) return DW_PIXEL_GLOSS;
  if (dw__body_class(body, alone) == DW_PIXEL_GLOSS ||
      (!plain && dw__body_class(body, near) == DW_PIXEL_GLOSS))
    return lifted ? DW_PIXEL_GLOSS : DW_PIXEL_KEPT;
  if (plain) return DW_PIXEL_KEPT;
  if (in_shadow(work, at, i)) return DW_PIXEL_SHADOW;
  float far = fminf(far_near, far_alone);
  work->queue[i] = (uint32_t)fminf(far, 1e9f);
  return far > FLAKE_BEYOND ? DW_PIXEL_FLAKE : DW_PIXEL_KEPT;
}

/* Specks as wide as they are; work->queue holds the squared distances. */
static void flake_trim(dw__measuring *work) {
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      size_t x = i - y * work->w, y0 = y > TOUCH_REACH ? y - TOUCH_REACH : 0;
      if (work->shown[i] != DW_PIXEL_FLAKE) continue;
      uint32_t most = 0;
      for (size_t ny = y0; ny <= y + TOUCH_REACH && ny < work->h; ny++)
        for (size_t nx = x > TOUCH_REACH ? x - TOUCH_REACH : 0; nx <= x + TOUCH_REACH && nx < work->w; nx++)
          if (work->cls[ny * work->w + nx] != DW_PIXEL_OUTSIDE && work->queue[ny * work->w + nx] > most)
            most = work->queue[ny * work->w + nx];
      if (work->queue[i] < FLAKE_TOUCHED * most) work->shown[i] = DW_PIXEL_KEPT;
    }
}

dw_status dw__shown_classify(dw__measuring *work, dw_error *err) {
  dw__around around = {0};
  dw__body body;
  dw_status status = dw__around_build(work, &around, err);
  if (status == DW_OK) status = scatter_fit(work, &around, &body, err);
  float least = status == DW_OK ? gloss_least(work, &around) : 0;
  memset(work->shown, DW_PIXEL_OUTSIDE, work->w * work->h);
  for (size_t y = 0; status == DW_OK && y < work->h; y++) {
    dw__around_row(work, &around, y);
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      work->shown[i] = work->cls[i];
      work->queue[i] = 0;
      if (!dw__usable(work, i)) continue;
      dw__node at = dw__around_at(work, &around, i - y * work->w);
      work->shown[i] = (uint8_t)shown_as(work, &around, &body, least, &at, i);
    }
  }
  if (status == DW_OK) flake_trim(work);
  dw__around_free(&around);
  return status;
}
