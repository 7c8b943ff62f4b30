/* A bait to be drawn, whatever draws it: its outline, where its layers end, and their colors over two bottoms.
 * Shared inside core/report. */
#ifndef DROPWISE_REPORT_BAIT_DRAWING_H
#define DROPWISE_REPORT_BAIT_DRAWING_H

#include "report/bait_outline.h"

enum {
  DW__BANDS = 12,    /* of a border, each a little further into the next layer */
  DW__GROUNDS = 2,   /* a light bottom, then a dark one */
  DW__BAIT_GAP = 20, /* between baits side by side */
  DW__BAIT_ID_ROOM = 32
};
/* How a body is shaded: opacities, and blurs as standard deviations in units of the picture. */
#define DW__SHADOW 0.3
#define DW__SHADOW_BLUR 7.0
#define DW__SHADOW_X 3.0
#define DW__SHADOW_Y 7.0
#define DW__THIN_MOST 0.9 /* how far a clear bait fades at its edges */
#define DW__THIN_BLUR 8.0
#define DW__ROUND 0.38
#define DW__ROUND_BLUR 5.0
#define DW__ROUND_UP 4.0
#define DW__EYE 0.85
#define DW__EYE_GLEAM 0.8
/* Of the gleam in an eye, in shares of the eye's radius: where, and how wide. */
#define DW__EYE_GLEAM_X (-0.3)
#define DW__EYE_GLEAM_Y (-0.35)
#define DW__EYE_GLEAM_RADIUS 0.28

/* Large: on the heap. */
typedef struct dw__bait_drawing {
  char id[DW__BAIT_ID_ROOM]; /* begins the ids in a document that holds several */
  const char *title;         /* "as it is"; "" */
  const double *share;
  const dw__bait_outline *outline;
  dw__found_outline found; /* what outline is, where it was found in a photo */
  dw__profile profile;
  double border[DW_BLEND_LAYERS_MAX]; /* where layer i ends, 0 back to 1 belly */
  dw_blends over[DW__GROUNDS];
} dw__bait_drawing;

/* n of them, side by side.  *out owned by the caller (free); unchanged on error
 * Errors DW_NO_MEMORY, or as dw_blends_over */
dw_status dw__bait_drawings_make(const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                                 const dw_bait_picture *picture, dw__bait_drawing **out, dw_error *err);

enum { DW__BAIT_WORDS_ROOM = 96 };
/* "over a light bottom, as it is" */
void dw__bait_words(const dw__bait_drawing *d, const dw_blends *over, char out[DW__BAIT_WORDS_ROOM]);
/* Band 0 to DW__BANDS - 1 of a border: the height on the body, 0 back to 1 belly, at which it begins at x, and its
 * color, the blend's there. It reaches down to the next band, the last one to the next border. */
double dw__bait_band_at(const dw__bait_drawing *d, size_t border, int band, double x);
dw_lab dw__bait_band_color(const dw_blends *over, size_t border, int band);
dw_lab dw__bait_ground(const dw_blends *over);
uint8_t dw__bait_ink(const dw_blends *over); /* of the words on that ground: a gray */
/* How opaque the edges are that let the bottom through. */
double dw__bait_thin(const dw__bait_drawing *d, const dw_blends *over);

#endif
