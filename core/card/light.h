/* Inside card/: the light that others use, and the model as tables. */
#ifndef POURTONE_CARD_LIGHT_H
#define POURTONE_CARD_LIGHT_H

#include "card/model.h"
#include "card/place.h"

/* The model as tables for whole regions: tone curves by sqrt, the residual as XYZ ratios over a grid. */
enum { PT__TONE_STEPS = 1024, PT__SHADE_STEPS = 256, PT__CUBE = 25 };
typedef struct pt__table {
  float tone[3][PT__TONE_STEPS + 1]; /* sqrt of reflectance by even steps of sqrt of value */
  float below[3];                    /* its step below zero */
  float root[PT__FEATURES][3];
  bool sloped, moved;
  float shade[2][PT__SHADE_STEPS + 1];          /* what undoes the slope, over the board's x and y */
  float ratio[PT__CUBE][PT__CUBE][PT__CUBE][4]; /* X, Y, Z and one that pads */
} pt__table;
void pt__table_make(const pt__model *model, pt__table *out);
/* wide: rgb is turned into the wide working values first.  x or y NULL: the card's middle. */
void pt__table_rows(const pt__table *table, const pt__board *board, bool wide, const float *rgb,
                    const float *x, const float *y, size_t n, float *xyz);

struct pt_light {
  pt_light_info info;
  double gain[3]; /* gray: rgb times this; none: 1 */
  double white[3];
  bool wide; /* card: the model works in wide primaries */
  pt__board board;
  pt__model model;  /* card only */
  pt__table *table; /* card only, owned */
  size_t n;         /* card: patches that took part */
  pt_lab lab[PT_CARD_PATCHES_MAX];
  double left_out[PT_CARD_PATCHES_MAX];
};
pt_status pt__light_new(pt_light_method method, const char *text, pt_light **out, pt_error *err);

#endif
