/* What the steps of one measurement share. */
#ifndef REGION_MEASURING_H
#define REGION_MEASURING_H

#include "region/body.h"
#include "region/surface.h"

enum {
  DW__KEPT_MIN = 50,     /* pixels below which no color is given */
  DW__SURE_MIN = 100,    /* pixels that margins must leave */
  DW__SAMPLE_MAX = 4096, /* pixels that decide what the body is */
  DW__MARGIN = 64        /* added to KEPT beside gloss and flake: plastic, but blurred with its neighbor */
};

static inline dw_pixel_class dw__class_of(uint8_t mark) {
  return (dw_pixel_class)(mark & ~DW__MARGIN);
}

typedef struct dw__measuring {
  const dw_patch *patch;
  const dw_light *light;
  double white[3];
  size_t w, h, inside;
  dw__run *run;        /* h: places in the arrays below; first = end where a row has none */
  dw__surface surface; /* its places, patch coordinates; flat */
  uint8_t *cls;        /* h x w of dw_pixel_class, KEPT possibly with DW__MARGIN */
  uint8_t *shown;      /* h x w of dw_pixel_class: what people see and the shares count */
  float *sample;       /* DW__SAMPLE_MAX x 3 */
  float *scratch;      /* 2 x DW__SAMPLE_MAX */
  uint32_t *queue; /* h x w: pixels of one patch of shadow; then squared distances, of shown pixels alone */
  uint8_t *grown;  /* h x w */
} dw__measuring;

/* Photo position of a place in the patch, for the light; a thinned patch holds every step-th pixel. */
static inline void dw__place_of(const dw__measuring *work, float column, float row, float *x, float *y) {
  float step = (float)dw_patch_step(work->patch);
  *x = (float)work->patch->rect.x + step * column;
  *y = (float)work->patch->rect.y + step * row;
}

/* Which columns of squares the runs of the rows from y0 to before y1 touch. */
static inline dw__run dw__columns_touched(const dw__measuring *work, size_t side, size_t y0, size_t y1) {
  size_t first = work->w, end = 0;
  for (size_t y = y0; y < y1 && y < work->h; y++) {
    const dw__run *run = &work->run[y];
    if (run->first == run->end) continue;
    first = run->first - y * work->w < first ? run->first - y * work->w : first;
    end = run->end - y * work->w > end ? run->end - y * work->w : end;
  }
  return first < end ? (dw__run){first / side, (end + side - 1) / side} : (dw__run){0, 0};
}

/* One square of pixels: the mean of those that are surely plastic. */
typedef struct dw__block {
  float rgb[3], x, y; /* linear, patch coordinates */
  uint32_t column, row, kept;
  bool body;
} dw__block;

typedef struct dw__blocks {
  size_t side, columns, rows, n;
  dw__block *block; /* n used ones, row by row; owned */
  float *rgb;       /* n x 3; owned */
  float *scratch;   /* DW__SURFACE_SCRATCH times n; owned */
} dw__blocks;

/* Marks every pixel of the mask: clipped, kept, gloss, flake or shadow; then the margins. */
dw_status dw__pixels_classify(dw__measuring *work, const uint8_t *mask, dw_error *err);
size_t dw__pixels_count(const dw__measuring *work, dw_pixel_class wanted);
/* Of those kept, the ones beside no gloss and no flake. */
size_t dw__pixels_sure(const dw__measuring *work);

/* Fills work->shown: every pixel beside its surroundings, so that a smooth change counts as plastic. */
dw_status dw__shown_classify(dw__measuring *work, dw_error *err);

/* Averages over squares beat noise: what one pixel cannot show, a soft halo or a strip of the next layer,
 * stands out among the averages and is set aside in work->cls too. */
dw_status dw__blocks_build(dw__measuring *work, dw__blocks *out, dw_error *err);
void dw__blocks_free(dw__blocks *blocks);

#endif
