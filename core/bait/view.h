/* What the steps of one search share: the photo, reduced. */
#ifndef BAIT_VIEW_H
#define BAIT_VIEW_H

#include "dropwise/bait.h"

#include <math.h>

/* What a pixel of the view is. */
enum { DW__ON_BOARD, DW__ON_SHADOW, DW__ON_THING };
/* Not looked at yet; not by its color; as dark as where a body touches the board; as dark as any shadow. */
enum { DW__SHADE_UNKNOWN, DW__SHADE_NONE, DW__SHADE_TOUCH, DW__SHADE_SOFT };

typedef struct dw__view {
  dw_arena *arena; /* of the search */
  int w, h;
  double origin[2], unit; /* a place of the view in the photo: origin + unit * place */
  float *lab[3];          /* L*, a*, b*, h x w each, by the photo's own numbers */
  float *cell;            /* rows x columns x 3: the board as it would be there, L*, a*, b* */
  int columns, rows;
  float *far;     /* h x w: difference from the board, about CIEDE2000 */
  uint8_t *on;    /* h x w */
  uint8_t *shade; /* h x w: DW__SHADE_ of the pixels that dw__view_shade was asked for */
  float *plane;   /* h x w each, for one step after another: */
  uint32_t *list;
  uint16_t *mark;
  float tint[2]; /* a*, b* of its shadows off the darkened board's, for all of the darkness */
  double beyond; /* cells farther than this from a smooth surface are no board; 0: as baits need it */
  double noise;  /* typical difference of the board's own pixels from it */
  double edge;   /* from this difference on a pixel may be a thing */
} dw__view;

/* Weights for L* and for a*, b* that turn a difference from this color into about CIEDE2000: its S_L and S_C
 * (CIE 142-2001). The search only; what is reported is CIEDE2000 itself. */
static inline void dw__search_weights(const float lab[3], float out[2]) {
  float l = lab[0] - 50;
  out[0] = 1 / (1 + 0.015f * l * l / sqrtf(20 + l * l));
  out[1] = 1 / (1 + 0.03f * sqrtf(lab[1] * lab[1] + lab[2] * lab[2]));
}

/* About CIEDE2000.  weight  dw__search_weights of one of the two */
static inline float dw__search_apart(const float p[3], const float q[3], const float weight[2]) {
  float l = weight[0] * (p[0] - q[0]), a = weight[1] * (p[1] - q[1]), b = weight[1] * (p[2] - q[2]);
  return sqrtf(l * l + a * a + b * b);
}

/* A color against the board under more or less light: returns the ratio of its lightness to the board's, with the 16 of
 * CIELAB's cube root.
 * off  a*, b* from the board's as they would be there */
static inline float dw__shade_ratio(const float board[3], const float lab[3], float off[2]) {
  float ratio = (lab[0] + 16) / (board[0] + 16);
  for (int k = 0; k < 2; k++) off[k] = lab[1 + k] - ratio * board[1 + k];
  return ratio;
}

/* A shadow is hardly lighter than the board by that ratio; from pixel to pixel its L* changes by so much at most. */
#define DW__SHADE_LIGHTEST 1.02f
#define DW__SHADE_STEP 1.9f

/* How far it lies off the color of a shadow of such a tint there, about CIEDE2000.
 * tint   a*, b* off the darkened board's for all of the darkness;  ratio  as dw__shade_ratio */
static inline float dw__shade_off_tinted(const float board[3], const float lab[3], const float tint[2],
                                         float *ratio) {
  float off[2];
  *ratio = dw__shade_ratio(board, lab, off);
  for (int k = 0; k < 2; k++) off[k] -= tint[k] * fmaxf(1 - *ratio, 0);
  return sqrtf(off[0] * off[0] + off[1] * off[1]) /
         (1 + 0.03f * sqrtf(board[1] * board[1] + board[2] * board[2]));
}

/* How far it lies off the board's hue and chroma there, about CIEDE2000.  ratio  as dw__shade_ratio */
static inline float dw__shade_off(const float board[3], const float lab[3], float *ratio) {
  static const float none[2] = {0, 0};
  return dw__shade_off_tinted(board, lab, none, ratio);
}

dw_status dw__view_of_patch(const dw_patch *photo, dw_arena *arena, dw__view *out, dw_error *err);
dw_status dw__view_of_preview(const dw_preview *photo, dw_arena *arena, dw__view *out, dw_error *err);

/* The up to four pixels beside one; returns how many. */
static inline int dw__view_beside(const dw__view *view, uint32_t i, uint32_t out[4]) {
  int w = view->w, x = (int)i % w, y = (int)i / w, n = 0;
  if (x + 1 < w) out[n++] = i + 1;
  if (x > 0) out[n++] = i - 1;
  if (y + 1 < view->h) out[n++] = i + (uint32_t)w;
  if (y > 0) out[n++] = i - (uint32_t)w;
  return n;
}

/* Averages a plane over 3 x 3, 1, 2, 1 along each row, then down.  from, to  h x w, not the same; view->list is
 * overwritten */
void dw__view_soften(const dw__view *view, const float *from, float *to);

/* A place of the view in the photo, and back. */
static inline void dw__view_in_photo(const dw__view *view, double vx, double vy, double *x, double *y) {
  *x = view->origin[0] + view->unit * vx;
  *y = view->origin[1] + view->unit * vy;
}
static inline void dw__photo_in_view(const dw__view *view, double x, double y, double *vx, double *vy) {
  *vx = (x - view->origin[0]) / view->unit;
  *vy = (y - view->origin[1]) / view->unit;
}

/* Finds the board and fills cell, far, noise and edge.  share  of the frame that is plainly board; 0 where
 * there is none */
dw_status dw__board_fit(dw__view *view, double *share, dw_lab *color, dw_error *err);

/* The board as it would be at a pixel: L*, a*, b*. */
void dw__view_board(const dw__view *view, int x, int y, float out[3]);
/* A pixel against the board there, as dw__shade_ratio. */
static inline float dw__view_ratio(const dw__view *view, uint32_t i, float off[2]) {
  const float lab[3] = {view->lab[0][i], view->lab[1][i], view->lab[2][i]};
  float board[3];
  dw__view_board(view, (int)i % view->w, (int)i / view->w, board);
  return dw__shade_ratio(board, lab, off);
}

static inline bool dw__view_holds(const dw__view *view, int x, int y) {
  return x >= 0 && y >= 0 && x < view->w && y < view->h;
}

/* Takes from `on` the lines printed all over a board, where there are any.  spare  h x w */
void dw__lines_leave(dw__view *view, uint8_t *spare);

/* Whether a pixel's color could be the board's in shadow: DW__SHADE_. */
uint8_t dw__view_shade(const dw__view *view, size_t i);

/* Learns the tint of the board's shadows from where they are faint; it stays 0 where too little tells one.
 * soft    L* softened, h x w;  step  h x w: not 0 near a step of L*;  seen  h x w, is overwritten
 * beside  view->list holds so many pixels, those beside a thing; what follows them is overwritten */
void dw__tint_learn(dw__view *view, const float *soft, const uint8_t *step, uint8_t *seen, size_t beside);

/* Takes shadows with an edge from `on`.
 * soft    L* softened, h x w;  state  h x w
 * beside  view->list holds so many pixels, those beside a thing; it is overwritten.  Errors DW_NO_MEMORY */
dw_status dw__cast_leave(dw__view *view, const float *soft, uint8_t *state, size_t beside, dw_error *err);

/* Adds to `on` what parts a body in two because a blend has the board's color there.  state  h x w; view->list is
 * overwritten */
void dw__seams_close(dw__view *view, uint8_t *state);

/* Fills `on`: what is neither board nor its shadow. */
dw_status dw__things_mark(dw__view *view, dw_error *err);

#endif
