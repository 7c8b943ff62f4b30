/* The camera: sensor signals to an 8-bit picture, much as a phone does it. */
#ifndef RENDERER_CAMERA_H
#define RENDERER_CAMERA_H

#include <stddef.h>
#include <stdint.h>

#include "noise.h"
#include "spectra.h"

typedef struct camera {
  double weight[3][BANDS]; /* sensitivity times light; a perfect white gives the signals `white` */
  double white[3];
  double balance[3]; /* gains the camera chose */
  double matrix[9];  /* balanced signals to linear sRGB */
  double exposure;   /* linear value of a perfect white */
  double electrons;  /* at signal 1: the fewer, the noisier */
  double blur;       /* of the lens, pixels (one deviation) */
  double sharpen;    /* share of what a wider blur takes away that is added again */
} camera;

/* share of the light's color that white balance takes away: 1 all. */
camera camera_make(light_kind light, double balance_share, double exposure, double electrons);
void camera_signal(const camera *c, const spectrum *reflectance, double rgb[3]);
/* signal: width x height x 3, changed on the way; out the same shape, 8 bit. Nonzero when memory ran out. */
int camera_develop(const camera *c, float *signal, int width, int height, uint32_t seed, uint8_t *out);

#endif
