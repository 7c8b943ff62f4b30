/* Reducing a picture by the mean of the area that each new pixel covers, row by row. */
#ifndef DROPWISE_PHOTO_BOXES_H
#define DROPWISE_PHOTO_BOXES_H

#include <stdbool.h>

/* From in_w x in_h to out_w x out_h, neither larger; rows of 3 floats a pixel. */
typedef struct dw__boxes {
  int in_w, in_h, out_w, out_h;
  float *sum;    /* out_w x 3: weighted rows so far */
  float *narrow; /* out_w x 3: one input row, reduced across */
} dw__boxes;

/* False when memory is out. */
bool dw__boxes_new(dw__boxes *boxes, int in_w, int in_h, int out_w, int out_h);
void dw__boxes_free(dw__boxes *boxes);

/* Takes input row y (each once, top down); calls done for every output row that it completes. */
void dw__boxes_row(dw__boxes *boxes, int y, const float *row,
                   void (*done)(void *ctx, int out_y, const float *out), void *ctx);

#endif
