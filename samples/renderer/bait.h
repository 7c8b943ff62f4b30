/* Shapes of the baits: outlines, thickness, and where each layer of plastic lies. Lengths in mm. */
#ifndef RENDERER_BAIT_H
#define RENDERER_BAIT_H

#include "noise.h"
#include "plastic.h"

typedef enum bait_kind { BAIT_CRAWFISH, BAIT_BAITFISH, BAIT_CHIP } bait_kind;

/* How a bait was poured and where it lies.  Its own frame: x from nose (0) to tail, y from back to belly. */
typedef struct bait {
  bait_kind kind;
  double x_mm, y_mm;   /* of the nose (a chip: the center) on the board */
  double angle_deg;    /* turned clockwise as seen in the photo */
  double bend_mm;      /* how far the middle sags */
  double thickness_mm; /* at the thickest; a chip: everywhere */
  plastic layer[3];    /* back, middle, belly; a chip uses the first */
  double border[2];    /* where layers meet, -1 back edge to 1 belly edge */
  double blend;        /* half width of the blend, same scale */
  double flake;        /* share of the surface under flake */
  double gloss;        /* strength of the mirror reflection, 1 usual */
  double lamp[2];      /* where the surface must lean to mirror the lamp */
  double ripple;       /* height of the surface's unevenness, mm */
  uint32_t seed;
} bait;

typedef struct bait_point {
  double inside_mm; /* > 0 within the outline, about the distance to it */
  double height_mm; /* of the upper surface over the board */
  double thickness_mm;
  double across; /* -1 back edge .. 1 belly edge */
  double along;  /* 0 nose .. 1 tail */
} bait_point;

void bait_to_frame(const bait *b, double x_mm, double y_mm, double frame[2]);
void bait_from_frame(const bait *b, const double frame[2], double *x_mm, double *y_mm);
bait_point bait_at(const bait *b, const double frame[2]);
void bait_weights(const bait *b, const double frame[2], const bait_point *at, double weight[3]);
int bait_eye(const bait *b, const double frame[2]); /* 0 none, 1 ring, 2 pupil */

#endif
