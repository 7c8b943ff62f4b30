/* Things on the board cut into bodies and what hangs on them. */
#ifndef BAIT_PIECES_H
#define BAIT_PIECES_H

#include "bait/view.h"

enum { DW__PIECES_MAX = 4096 };

/* What a thing was judged to be. */
typedef enum dw__fate {
  DW__BAIT_PERHAPS, /* by its size and outline */
  DW__BAIT_CUT,     /* it reaches over the photo's edge */
  DW__BAIT_SHORT,   /* so little of it that it may be read */
  DW__OTHER_THING,
  DW__SCRAP,     /* too small to matter */
  DW__FLAT_SHEET /* the card, a label, a ruler: they may lie there */
} dw__fate;

typedef struct dw__thing {
  dw__fate fate;
  uint16_t body;      /* label of its body's pixels; limbs bear labels whose `owner` is this body */
  int x0, y0, x1, y1; /* with limbs, of the view */
  size_t area, limbs; /* pixels of the body, and of what hangs on it */
  float radius;       /* of the largest disk in the body */
  size_t edge;        /* pixels of it, limbs included, at the frame's edge */
  bool touches;       /* grown together with another */
  uint16_t group;     /* bodies grown together bear one number */
  size_t axis;        /* which of the axes is its, once it looks like a bait */
} dw__thing;

typedef struct dw__things {
  size_t n;
  dw__thing *thing;
  uint16_t *label; /* h x w: piece of each pixel, 0 none */
  uint16_t *owner; /* of each piece: the body it belongs to, itself for a body, 0 for a runner or nothing */
  float *depth;    /* h x w: distance to the nearest pixel that is no thing, view pixels */
} dw__things;

/* The thing with its limbs and a margin (view pixels) in the photo. */
dw_rect dw__thing_box(const dw__view *view, const dw__thing *thing, double margin);

dw_status dw__things_cut(const dw__view *view, dw__things *out, dw_error *err);

#endif
