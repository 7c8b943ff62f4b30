/* Simulated patches of plastic for the region tests: body color under uneven light, soft and hard gloss,
 * flake, a strip of something else, lens blur, sensor noise, JPEG-like chroma averaging, 8-bit sRGB. */
#ifndef TESTS_REGION_SIMULATE_H
#define TESTS_REGION_SIMULATE_H

#include "dropwise/color.h"
#include "dropwise/numeric.h"
#include "dropwise/region.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum sim_gloss { SIM_BLOBS, SIM_STREAK, SIM_GLINTS, SIM_GLOSS_KINDS } sim_gloss;
typedef enum sim_flake { SIM_BRIGHT, SIM_DARK, SIM_COLORED, SIM_FLAKE_KINDS } sim_flake;

typedef struct sim_plan {
  int w, h;
  double body[3];         /* linear sRGB */
  double gloss, flake;    /* shares of the area */
  double shade;           /* light at the far side, relative: 0.15 is plus or minus 15% */
  double round;           /* how far the sides turn away: 0 flat, 0.8 a bait's belly; light falls as cosine */
  double sheen;           /* a wide soft reflection across the whole area, height at its middle */
  double sharpen;         /* the camera's own: 0.5 is a phone */
  double noise;           /* 1: a phone in room light, about 2% at a fifth of white */
  double strip, other[3]; /* share of the area that shows another color, and that color */
  double blend;    /* share of the other color at the far side of a smooth change over the whole area */
  double white[3]; /* color of the light, on the body and in its gloss; all 0 means 1,1,1 */
  sim_gloss gloss_kind;
  sim_flake flake_kind;
  uint64_t seed;
} sim_plan;

typedef struct sim {
  dw_patch patch;
  uint8_t *mask;  /* all 1 */
  uint8_t *truth; /* dw_pixel_class as drawn */
  double *linear; /* w x h x 3 */
} sim;

static inline double sim_between(dw_random *random, double low, double high) {
  return low + (high - low) * dw_random_uniform(random);
}

static inline void sim_body(const sim_plan *plan, dw_random *random, sim *out) {
  double angle = sim_between(random, 0, 6.2831853), dx = cos(angle), dy = sin(angle);
  for (int y = 0; y < plan->h; y++)
    for (int x = 0; x < plan->w; x++) {
      double u = 2.0 * x / (plan->w - 1) - 1, v = 2.0 * y / (plan->h - 1) - 1;
      double s = sqrt(1 - plan->round * plan->round * v * v);
      s *= 1 + plan->shade * (dx * u + dy * v) / (fabs(dx) + fabs(dy));
      double other = 1 / (1 + exp(-((plan->strip - 0.5) * 2 - u) * plan->w / 3.0));
      if (plan->strip <= 0) other = plan->blend / (1 + exp(-4 * u));
      for (int k = 0; k < 3; k++)
        out->linear[3 * (y * plan->w + x) + k] = s * (plan->body[k] * (1 - other) + plan->other[k] * other);
      out->truth[y * plan->w + x] = plan->strip > 0 && other > 0.02 ? DW_PIXEL_FLAKE : DW_PIXEL_KEPT;
    }
}

/* Specks of 1 to 3 pixels' radius until the share is reached; a speck covers what is below it. */
static inline void sim_flakes(const sim_plan *plan, dw_random *random, sim *out) {
  double covered = 0, area = plan->w * plan->h;
  while (covered < plan->flake * area) {
    double cx = sim_between(random, 0, plan->w), cy = sim_between(random, 0, plan->h);
    double radius = sim_between(random, 0.7, 3), level = sim_between(random, 0.4, 1.0), color[3];
    for (int k = 0; k < 3; k++) {
      color[k] = plan->flake_kind == SIM_BRIGHT ? level : 0.02 * level;
      if (plan->flake_kind == SIM_COLORED) color[k] = pow(dw_random_uniform(random), 2);
    }
    for (int y = (int)(cy - 4); y <= cy + 4; y++)
      for (int x = (int)(cx - 4); x <= cx + 4; x++) {
        if (x < 0 || y < 0 || x >= plan->w || y >= plan->h) continue;
        double cover = fmin(fmax(radius + 0.5 - hypot(x - cx, y - cy), 0), 1);
        double *at = out->linear + 3 * (y * plan->w + x);
        for (int k = 0; k < 3; k++) at[k] += cover * (color[k] - at[k]);
        covered += cover;
        if (cover > 0.05) out->truth[y * plan->w + x] = DW_PIXEL_FLAKE;
      }
  }
}

/* Height of one highlight at a distance from its middle, in its own widths. */
static inline double sim_highlight(sim_gloss kind, double along, double across) {
  if (kind == SIM_STREAK) return exp(-across * across) * (0.7 + 0.3 * sin(along * 0.7));
  return exp(-along * along - across * across);
}

/* Adds one highlight where it reaches; returns by how many pixels the area over 0.02 grew. */
static inline int sim_highlight_add(const sim_plan *plan, dw_random *random, double *gloss) {
  double small = fmin(plan->w, plan->h), angle = sim_between(random, 0, 3.14159);
  double cx = sim_between(random, 0, plan->w), cy = sim_between(random, 0, plan->h);
  double width = plan->gloss_kind == SIM_GLINTS ? sim_between(random, 0.6, 1.5)
                                                : small * sim_between(random, 0.02, 0.08);
  double length = plan->gloss_kind == SIM_STREAK ? 8 * width : width * sim_between(random, 1, 2);
  double peak = pow(10, sim_between(random, -1.0, 0.3)), reach = 3.2 * length;
  int grown = 0;
  for (int y = (int)fmax(cy - reach, 0); y < fmin(cy + reach, plan->h); y++)
    for (int x = (int)fmax(cx - reach, 0); x < fmin(cx + reach, plan->w); x++) {
      double dx = x - cx, dy = y - cy, *at = &gloss[y * plan->w + x];
      double along = (dx * cos(angle) + dy * sin(angle)) / length;
      double across = (dy * cos(angle) - dx * sin(angle)) / width;
      if (fabs(along) > 3.2 || fabs(across) > 3.2) continue; /* 4e-5 of the peak */
      bool before = *at > 0.02;
      *at += peak * sim_highlight(plan->gloss_kind, along, across);
      grown += *at > 0.02 && !before;
    }
  return grown;
}

/* Highlights until the share of pixels with gloss over 0.02 is reached. */
static inline void sim_glosses(const sim_plan *plan, dw_random *random, sim *out) {
  int area = plan->w * plan->h, covered = 0;
  double *gloss = calloc((size_t)area, sizeof *gloss);
  while (gloss && covered < plan->gloss * area) covered += sim_highlight_add(plan, random, gloss);
  for (int i = 0; gloss && i < area; i++) {
    double v = 2.0 * (i / plan->w) / (plan->h - 1) - 0.7;
    gloss[i] += plan->sheen * exp(-v * v * 8);
    for (int k = 0; k < 3; k++) out->linear[3 * i + k] += gloss[i];
    if (gloss[i] > 0.02) out->truth[i] = DW_PIXEL_GLOSS;
  }
  free(gloss);
}

/* The 1-2-1 mean along one axis: step values apart, edges repeated. */
static inline void sim_smooth(const double *from, int n, int step, double *to) {
  for (int i = 0; i < n; i++) {
    int before = i > 0 ? i - 1 : 0, after = i + 1 < n ? i + 1 : i;
    to[i * step] = (from[before * step] + 2 * from[i * step] + from[after * step]) / 4;
  }
}

/* Adds amount times the difference to the 1-2-1 mean along both axes: 1 blurs as lens and demosaicing do, a
 * negative amount sharpens as cameras do. */
static inline void sim_blur(const sim_plan *plan, double amount, double *linear) {
  int w = plan->w, h = plan->h;
  double *rows = malloc((size_t)(w * h) * 6 * sizeof *rows), *both = rows + 3 * w * h;
  if (!rows) return;
  for (int i = 0; i < 3 * h; i++) {
    int start = i / 3 * 3 * w + i % 3;
    sim_smooth(linear + start, w, 3, rows + start);
  }
  for (int i = 0; i < 3 * w; i++) sim_smooth(rows + i, h, 3 * w, both + i);
  for (int i = 0; i < 3 * w * h; i++) linear[i] += amount * (both[i] - linear[i]);
  free(rows);
}

static inline void sim_noise(const sim_plan *plan, dw_random *random, sim *out) {
  for (int i = 0; i < 3 * plan->w * plan->h; i++) {
    double v = fmax(out->linear[i], 0) * (plan->white[0] > 0 ? plan->white[i % 3] : 1);
    double sigma = plan->noise * sqrt(0.0012 * 0.0012 + 8e-5 * v);
    out->linear[i] = v + sigma * dw_random_normal(random);
  }
}

/* Encodes to sRGB, averages the two color differences over 2 x 2 pixels as JPEG does, rounds to 8 bits. */
static inline void sim_encode(const sim_plan *plan, sim *out) {
  int w = plan->w, h = plan->h;
  double *v = out->linear;
  for (int i = 0; i < 3 * w * h; i++) v[i] = dw_srgb_encode(fmin(fmax(v[i], 0), 1));
  for (int y = 0; y < h; y += 2)
    for (int x = 0; x < w; x += 2) {
      double sum[3] = {0}, n = 0;
      for (int j = 0; j < 4; j++) {
        if (x + j % 2 >= w || y + j / 2 >= h) continue;
        const double *p = v + 3 * ((y + j / 2) * w + x + j % 2);
        double luma = 0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2];
        for (int k = 0; k < 3; k++) sum[k] += p[k] - luma;
        n++;
      }
      for (int j = 0; j < 4; j++) {
        if (x + j % 2 >= w || y + j / 2 >= h) continue;
        double *p = v + 3 * ((y + j / 2) * w + x + j % 2);
        double luma = 0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2];
        for (int k = 0; k < 3; k++) p[k] = luma + sum[k] / n;
      }
    }
  for (int i = 0; i < w * h; i++)
    for (int k = 0; k < 3; k++) {
      double code = fmin(fmax(floor(v[3 * i + k] * 255 + 0.5), 0), 255);
      out->patch.rgb[3 * i + k] = (float)dw_srgb_decode(code / 255);
      if (code >= 255) out->patch.clip[i] |= DW_CLIP_HIGH;
      if (code <= 0) out->patch.clip[i] |= DW_CLIP_LOW;
    }
}

static inline void sim_free(sim *s) {
  free(s->patch.rgb);
  free(s->patch.clip);
  free(s->mask);
  free(s->truth);
  free(s->linear);
  *s = (sim){0};
}

/* False when out of memory. */
static inline bool sim_make(const sim_plan *plan, sim *out) {
  size_t area = (size_t)plan->w * (size_t)plan->h;
  dw_random random = dw_random_seed(plan->seed + 1);
  *out = (sim){.patch = {.rect = {100, 50, plan->w, plan->h}}};
  out->patch.rgb = calloc(area * 3, sizeof(float));
  out->patch.clip = calloc(area, 1);
  out->mask = malloc(area);
  out->truth = calloc(area, 1);
  out->linear = calloc(area * 3, sizeof(double));
  if (!out->patch.rgb || !out->patch.clip || !out->mask || !out->truth || !out->linear) {
    sim_free(out);
    return false;
  }
  memset(out->mask, 1, area);
  sim_body(plan, &random, out);
  sim_flakes(plan, &random, out);
  sim_glosses(plan, &random, out);
  sim_blur(plan, 1, out->linear);
  sim_noise(plan, &random, out);
  if (plan->sharpen > 0) sim_blur(plan, -plan->sharpen, out->linear);
  sim_encode(plan, out);
  return true;
}

#endif
