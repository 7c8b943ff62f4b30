/* Outlines of baits, of our own drawing. Shared inside core/report. */
#ifndef DROPWISE_REPORT_BAIT_OUTLINE_H
#define DROPWISE_REPORT_BAIT_OUTLINE_H

#include "dropwise/report_blend.h"

enum { DW__BAIT_WIDTH = 600, DW__BAIT_HEIGHT = 200, DW__PROFILE_POINTS = 61, DW__OUTLINE_PARTS_MAX = 8 };

/* One closed part: a start and cubic curves of six numbers each. */
typedef struct dw__outline_part {
  size_t n;         /* curves */
  const double *xy; /* x, y, then 6 n numbers */
} dw__outline_part;

typedef struct dw__bait_outline {
  const char *name;
  size_t n_parts, n_body; /* the first n_body parts make up the body whose height the layers share */
  dw__outline_part part[DW__OUTLINE_PARTS_MAX];
  double eye[3];       /* x, y, radius; radius 0: none */
  const char *creases; /* fine lines on it, as an SVG path; "" */
} dw__bait_outline;

const dw__bait_outline *dw__bait_outline_of(dw_outline which);

enum { DW__FOUND_CURVES = 2 * DW_BAIT_STATIONS };
typedef struct dw__found_outline {
  dw__bait_outline outline;
  double xy[2 + 6 * DW__FOUND_CURVES];
} dw__found_outline;
/* The body of a bait that was found in a photo, its axis laid straight with the head to the left, as large as
 * the picture has room for. The answer points into out. */
const dw__bait_outline *dw__bait_outline_found(const dw_bait *bait, dw__found_outline *out);

/* Appends a part as an SVG path element. */
void dw__bait_part_path(const dw__outline_part *part, dw_text *out);

/* Points along a part, close together: (x, y) of each, DW__PART_SAMPLES a curve. */
enum { DW__PART_SAMPLES = 60 };
void dw__bait_part_at(const dw__outline_part *part, size_t curve, int sample, double xy[2]);

/* The body's upper and lower edge along its length, smoothed, at x = 0, 10, ... DW__BAIT_WIDTH. */
typedef struct dw__profile {
  double top[DW__PROFILE_POINTS], bottom[DW__PROFILE_POINTS];
} dw__profile;
void dw__bait_profile(const dw__bait_outline *outline, dw__profile *out);

#endif
