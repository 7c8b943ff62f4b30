/* What the steps of one measurement share. */
#ifndef REGION_WORK_H
#define REGION_WORK_H

#include "region/body.h"
#include "region/surface.h"

enum {
  PT__KEPT_MIN = 50,     /* pixels below which no color is given */
  PT__SURE_MIN = 100,    /* pixels that margins must leave */
  PT__SAMPLE_MAX = 4096, /* pixels that decide what the body is */
  PT__MARGIN = 64        /* added to KEPT beside gloss and flake: plastic, but blurred with its neighbor */
};

static inline pt_pixel_class pt__class_of(uint8_t mark) {
  return (pt_pixel_class)(mark & ~PT__MARGIN);
}

typedef struct pt__work {
  const pt_patch *patch;
  const pt_light *light;
  double white[3];
  size_t w, h, inside;
  pt__surface surface; /* its places, patch coordinates; flat */
  uint8_t *cls;        /* h x w of pt_pixel_class, KEPT possibly with PT__MARGIN */
  uint8_t *shown;      /* h x w of pt_pixel_class: what people see and the shares count */
  float *sample;       /* PT__SAMPLE_MAX x 3 */
  float *scratch;      /* 2 x PT__SAMPLE_MAX */
  uint32_t *queue;     /* h x w: pixels of one patch of shadow */
  uint8_t *grown;      /* h x w */
} pt__work;

/* Photo position of a place in the patch, for the light; a thinned patch holds every step-th pixel. */
static inline void pt__place_of(const pt__work *work, float column, float row, float *x, float *y) {
  float step = work->patch->step > 1 ? (float)work->patch->step : 1;
  *x = (float)work->patch->rect.x + step * column;
  *y = (float)work->patch->rect.y + step * row;
}

/* One square of pixels: the mean of those that are surely plastic. */
typedef struct pt__block {
  float rgb[3], x, y; /* linear, patch coordinates */
  uint32_t column, row, kept;
  bool body;
} pt__block;

typedef struct pt__blocks {
  size_t side, columns, rows, n;
  pt__block *block; /* n used ones, row by row; owned */
  float *rgb;       /* n x 3; owned */
  float *scratch;   /* 2 n; owned */
} pt__blocks;

/* Marks every pixel of the mask: clipped, kept, gloss, flake or shadow; then the margins. */
pt_status pt__pixels_classify(pt__work *work, const uint8_t *mask, pt_error *err);
size_t pt__pixels_count(const pt__work *work, pt_pixel_class wanted);

/* Fills work->shown: every pixel beside its surroundings, so that a smooth change counts as plastic. */
pt_status pt__shown_classify(pt__work *work, pt_error *err);

/* Averages over squares beat noise: what one pixel cannot show, a soft halo or a strip of the next layer,
 * stands out among the averages and is set aside in work->cls too. */
pt_status pt__blocks_build(pt__work *work, pt__blocks *out, pt_error *err);
void pt__blocks_free(pt__blocks *blocks);

#endif
