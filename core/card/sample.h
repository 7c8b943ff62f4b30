/* Inside card/: a patch as the photo shows it, and beside what the card has for it. */
#ifndef DROPWISE_CARD_SAMPLE_H
#define DROPWISE_CARD_SAMPLE_H

#include "dropwise/card.h"
#include "dropwise/numeric.h"

typedef struct dw__reading {
  double rgb[3];    /* linear; mean of the pixels kept */
  double spread;    /* robust deviation, largest channel: about L* units */
  double high, low; /* shares with a sample clipped high, low */
  double set_aside; /* share of pixels far from the median: dust, gloss, an edge */
  size_t pixels;    /* looked at */
} dw__reading;

/* Robust color of patch i inside its sampled square.
 * scratch  room for 4 * DW__PATCH_PIXELS doubles */
enum { DW__PATCH_PIXELS = 1600 };
void dw__patch_read(const dw_patch *patch, const dw_homography *to_grid, double column, double row,
                    double *scratch, dw__reading *out);

typedef struct dw__sample {
  double rgb[3];    /* working values: linear, in wide primaries where the photo needs them */
  double place[2];  /* board units */
  dw_lab lab;       /* as the card has it */
  dw_xyz xyz;       /* the same */
  double metric[9]; /* turns a small XYZ error at xyz into a CIEDE2000 vector, row-major */
  double weight;    /* 1, less where a channel is clipped low */
  bool gray;        /* belongs to the gray ramp */
  size_t patch;     /* index in the card */
} dw__sample;

/* Linear sRGB to linear values of the Display P3 primaries (SMPTE EG 432-1, with white D65), derived from the
 * chromaticities. Many phones write such photos: their tone curve bends these channels, not those of sRGB,
 * and deep colors are below 0 in sRGB. May be in place. */
void dw__wide_from_linear(const double rgb[3], double out[3]);

/* Chroma below which a patch of a card counts as gray. */
#define DW__GRAY_CHROMA 5.0
bool dw__patch_gray(dw_lab lab);
/* Fills all but rgb and place. */
void dw__sample_target(dw__sample *sample, dw_lab lab);

#endif
