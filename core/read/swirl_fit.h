/* Colors without order as a mixture: what each place is made of. */
#ifndef READ_SWIRL_FIT_H
#define READ_SWIRL_FIT_H

#include "dropwise/read_swirl.h"

enum { DW__SWIRL_PLACES_MAX = 4096, DW__SWIRL_WAYS_MAX = 2 * DW_SWIRL_COLORS_MAX + 1, DW__SWIRL_NODES = 8 };

typedef struct dw__swirl_fit {
  size_t k;
  double center[DW_SWIRL_COLORS_MAX][3]; /* Lab */
  double cov[DW_SWIRL_COLORS_MAX][9];
  double pure[DW_SWIRL_COLORS_MAX]; /* weights of the colors, */
  double way[DW__SWIRL_WAYS_MAX];   /* of the ways between them, and from each to its gloss, */
  double other;                     /* and of all else; sum 1 */
  double likelihood;                /* sum of logarithms over the places */
} dw__swirl_fit;

/* lab  n x 3 places, n at most DW__SWIRL_PLACES_MAX; k 1 to DW_SWIRL_COLORS_MAX */
void dw__swirl_fit_make(const float *lab, size_t n, size_t k, dw__swirl_fit *out);

/* A fit with what its densities need; made once for all places. */
typedef struct dw__swirl_ready {
  const dw__swirl_fit *fit; /* borrowed */
  double inverse[DW_SWIRL_COLORS_MAX][9], scale[DW_SWIRL_COLORS_MAX];
  double node[DW__SWIRL_WAYS_MAX][DW__SWIRL_NODES][3]; /* Lab */
  double narrow[DW__SWIRL_WAYS_MAX][DW__SWIRL_NODES];  /* 1 over the scatter's square */
  double part[DW__SWIRL_WAYS_MAX][DW__SWIRL_NODES][DW_SWIRL_COLORS_MAX]; /* what is in it */
} dw__swirl_ready;
void dw__swirl_ready_make(const dw__swirl_fit *fit, dw__swirl_ready *out);
/* What one place is made of.
 * part   k: of each color, the blend's parts included; sum 1 but for what belongs to none
 * pure   the color that it is wholly of, or k; blend, gloss: probability that it lies on the way between two
 *        colors, and on one to gloss */
void dw__swirl_part(const dw__swirl_ready *ready, const float lab[3], double part[DW_SWIRL_COLORS_MAX],
                    size_t *pure, double *blend, double *gloss);

/* An area's places: means over squares of its usable pixels. */
typedef struct dw__swirl_places {
  size_t n;
  float *lab, *x; /* n x 3; n: across the photo; owned */
  double *weight; /* usable pixels of each; owned */
  size_t inside, clipped;
} dw__swirl_places;

/* Errors DW_TOO_FEW, DW_NO_MEMORY; free what is there in any case */
dw_status dw__swirl_places_make(const dw_patch *patch, const uint8_t *mask, const dw_light *light,
                                dw__swirl_places *out, dw_error *err);
void dw__swirl_places_free(dw__swirl_places *places);
/* DW_BAD_INPUT: no such number of colors. */
dw_status dw__swirl_check(size_t colors, dw_error *err);
/* colors 2 or 3; 0: as many as the places show.  n at most DW__SWIRL_PLACES_MAX */
void dw__swirl_fit_best(const float *lab, size_t n, size_t colors, dw__swirl_fit *out);
/* What one area has of the colors that were fitted, to it or to several of the same plastics. */
void dw__swirl_tell(const dw__swirl_places *places, const dw__swirl_fit *fit, size_t asked,
                    const dw_light *light, dw_swirl *out);

#endif
