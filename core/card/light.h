/* Inside card/: the light that others use, and the model as tables. */
#ifndef DROPWISE_CARD_LIGHT_H
#define DROPWISE_CARD_LIGHT_H

#include "card/model.h"
#include "card/place.h"

/* The model as tables for whole regions: tone curves by sqrt, the residual as XYZ ratios over a grid. */
enum { DW__TONE_STEPS = 1024, DW__SHADE_STEPS = 256, DW__CUBE = 25 };
typedef struct dw__table {
  float tone[3][DW__TONE_STEPS + 1]; /* sqrt of reflectance by even steps of sqrt of value */
  float below[3];                    /* its step below zero */
  float root[DW__FEATURES][3];
  bool sloped, moved;
  float shade[2][DW__SHADE_STEPS + 1];          /* what undoes the slope, over the board's x and y */
  float ratio[DW__CUBE][DW__CUBE][DW__CUBE][4]; /* X, Y, Z and one that pads */
} dw__table;
void dw__table_make(const dw__model *model, dw__table *out);
/* wide: rgb is turned into the wide working values first.  x or y NULL: the card's middle. */
void dw__table_rows(const dw__table *table, const dw__board *board, bool wide, const float *rgb,
                    const float *x, const float *y, size_t n, float *xyz);

struct dw_light {
  dw_light_info info;
  double gain[3]; /* gray: rgb times this; none: 1 */
  double white[3];
  bool wide; /* card: the model works in wide primaries */
  dw__board board;
  dw__model model;  /* card only */
  dw__table *table; /* card only, owned */
  size_t n;         /* card: patches that took part */
  dw_lab lab[DW_CARD_PATCHES_MAX];
  double left_out[DW_CARD_PATCHES_MAX];
};
/* How well the plainest of dw_light_card's models fits: even light, the first edition, all patches.  Errors as that. */
dw_status dw__light_card_plainly(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                                 dw_fit_error *residual, dw_fit_error *left_out, dw_error *err);
dw_status dw__light_new(dw_light_method method, const char *text, dw_light **out, dw_error *err);

#endif
