#include "photo/boxes.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

bool dw__boxes_new(dw__boxes *b, int in_w, int in_h, int out_w, int out_h) {
  *b = (dw__boxes){.in_w = in_w, .in_h = in_h, .out_w = out_w, .out_h = out_h};
  b->sum = calloc((size_t)out_w * 3, sizeof *b->sum);
  b->narrow = calloc((size_t)out_w * 3, sizeof *b->narrow);
  return b->sum && b->narrow;
}

void dw__boxes_free(dw__boxes *b) {
  free(b->sum);
  free(b->narrow);
}

/* Input i of in covers [i * out, (i + 1) * out) on a line where each output is `in` long, so that every edge
 * is a whole number. It touches at most two outputs, since out <= in. */
typedef struct share {
  int first;          /* output that i begins in */
  float here, beyond; /* the part of the outputs `first` and `first + 1` that i makes up */
  bool ends;          /* output `first` ends with i or inside it */
} share;

static share share_of(int i, int in, int out) {
  int64_t begin = (int64_t)i * out, end = begin + out;
  share s = {.first = (int)(begin / in)};
  int64_t edge = ((int64_t)s.first + 1) * in;
  int64_t inside = end < edge ? out : edge - begin;
  s.here = (float)inside / (float)in;
  s.beyond = (float)(out - inside) / (float)in;
  s.ends = end >= edge;
  return s;
}

static void narrow_row(dw__boxes *b, const float *row) {
  memset(b->narrow, 0, (size_t)b->out_w * 3 * sizeof *b->narrow);
  for (int x = 0; x < b->in_w; x++, row += 3) {
    share s = share_of(x, b->in_w, b->out_w);
    float *to = b->narrow + 3 * (size_t)s.first;
    for (int c = 0; c < 3; c++) to[c] += s.here * row[c];
    if (s.beyond > 0)
      for (int c = 0; c < 3; c++) to[3 + c] += s.beyond * row[c];
  }
}

void dw__boxes_row(dw__boxes *b, int y, const float *row,
                   void (*done)(void *ctx, int out_y, const float *out), void *ctx) {
  size_t n = (size_t)b->out_w * 3;
  share s = share_of(y, b->in_h, b->out_h);
  narrow_row(b, row);
  for (size_t i = 0; i < n; i++) b->sum[i] += s.here * b->narrow[i];
  if (!s.ends) return;
  done(ctx, s.first, b->sum);
  for (size_t i = 0; i < n; i++) b->sum[i] = s.beyond * b->narrow[i];
}
