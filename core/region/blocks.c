#include "region/measuring.h"

#include <math.h>
#include <stdlib.h>

enum { SIDE_MAX = 8, BLOCKS_WANTED = 400, BLOCKS_MIN = 30 };

/* Squares as large as the region lets them be while there are still enough of them. */
static size_t side_for(size_t usable) {
  size_t side = (size_t)sqrt((double)usable / BLOCKS_WANTED);
  return side < 1 ? 1 : side > SIDE_MAX ? SIDE_MAX : side;
}

/* The mean of one square's sure pixels; kept = 0 when there are too few of them. */
static dw__block block_mean(const dw__measuring *work, size_t side, size_t column, size_t row) {
  dw__block out = {.column = (uint32_t)column, .row = (uint32_t)row, .body = true};
  for (size_t y = row * side; y < (row + 1) * side && y < work->h; y++)
    for (size_t x = column * side; x < (column + 1) * side && x < work->w; x++) {
      size_t i = y * work->w + x;
      if (work->cls[i] != DW_PIXEL_KEPT) continue;
      for (size_t k = 0; k < 3; k++) out.rgb[k] += work->patch->rgb[3 * i + k];
      out.x += (float)x;
      out.y += (float)y;
      out.kept++;
    }
  if (3 * out.kept < side * side) out.kept = 0;
  float share = out.kept ? 1 / (float)out.kept : 0;
  for (size_t k = 0; k < 3; k++) out.rgb[k] *= share;
  out.x = out.x * share + (float)work->patch->rect.x;
  out.y = out.y * share + (float)work->patch->rect.y;
  return out;
}

static void blocks_fill(const dw__measuring *work, dw__blocks *out) {
  out->n = 0;
  for (size_t row = 0; row < out->rows; row++) {
    dw__run columns = dw__columns_touched(work, out->side, row * out->side, (row + 1) * out->side);
    for (size_t column = columns.first; column < columns.end; column++) {
      dw__block block = block_mean(work, out->side, column, row);
      if (block.kept) out->block[out->n++] = block;
    }
  }
}

/* Marks the kept pixels of one square as what its mean shows it to be. */
static void block_mark(dw__measuring *work, const dw__block *block, size_t side, dw_pixel_class cls) {
  for (size_t y = block->row * side; y < (block->row + 1) * side && y < work->h; y++)
    for (size_t x = block->column * side; x < (block->column + 1) * side && x < work->w; x++) {
      uint8_t *at = &work->cls[y * work->w + x];
      if (dw__class_of(*at) == DW_PIXEL_KEPT) *at = (uint8_t)cls;
    }
}

/* One look at all squares under the given light: the body is fitted anew and each square judged by it. */
static dw_status squares_judge(const dw__measuring *work, dw__blocks *blocks, const dw__surface *light,
                               dw_pixel_class *classes, dw_error *err) {
  for (size_t i = 0; i < blocks->n; i++) {
    float even = (float)(1 / dw__surface_shade(light, blocks->block[i].x, blocks->block[i].y));
    for (size_t k = 0; k < 3; k++) blocks->rgb[3 * i + k] = blocks->block[i].rgb[k] * even;
  }
  dw__body body;
  dw_status status = dw__body_fit(blocks->rgb, blocks->n, work->white, blocks->scratch, &body, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < blocks->n; i++) {
    classes[i] = dw__body_class(&body, blocks->rgb + 3 * i);
    blocks->block[i].body = classes[i] == DW_PIXEL_KEPT;
  }
  return DW_OK;
}

/* The light over the squares that are body. */
static void squares_light(const dw__blocks *blocks, dw__surface *out) {
  float *x = blocks->rgb, *y = x + blocks->n, *value = y + blocks->n;
  size_t n = 0;
  for (size_t i = 0; i < blocks->n; i++) {
    const dw__block *block = &blocks->block[i];
    if (!block->body) continue;
    x[n] = block->x;
    y[n] = block->y;
    value[n++] = block->rgb[0] + 2 * block->rgb[1] + block->rgb[2];
  }
  dw__surface_fit(x, y, value, n, blocks->scratch, out);
}

/* Twice: with the slope and the roundness of the light taken out, what is left of gloss and of the next
 * layer stands out more. */
static dw_status blocks_judge(dw__measuring *work, dw__blocks *blocks, dw_error *err) {
  dw__surface light = work->surface;
  dw_pixel_class *classes = malloc(blocks->n * sizeof *classes);
  if (!classes) return dw_fail_memory(err, "the averages of the marked area");
  dw_status status = squares_judge(work, blocks, &light, classes, err);
  if (status == DW_OK) {
    squares_light(blocks, &light);
    status = squares_judge(work, blocks, &light, classes, err);
  }
  for (size_t i = 0; status == DW_OK && i < blocks->n; i++)
    if (!blocks->block[i].body) block_mark(work, &blocks->block[i], blocks->side, classes[i]);
  free(classes);
  return status;
}

static bool blocks_allocate(dw__blocks *out) {
  size_t n = out->columns * out->rows;
  out->block = malloc(n * sizeof *out->block);
  out->rgb = malloc(n * 3 * sizeof *out->rgb);
  out->scratch = malloc(n * DW__SURFACE_SCRATCH * sizeof *out->scratch);
  return out->block && out->rgb && out->scratch;
}

dw_status dw__blocks_build(dw__measuring *work, dw__blocks *out, dw_error *err) {
  out->side = side_for(dw__pixels_sure(work));
  out->columns = (work->w + out->side - 1) / out->side;
  out->rows = (work->h + out->side - 1) / out->side;
  if (!blocks_allocate(out)) return dw_fail_memory(err, "the averages of the marked area");
  blocks_fill(work, out);
  if (out->n < BLOCKS_MIN && out->side > 1) {
    out->side = 1;
    out->columns = work->w;
    out->rows = work->h;
    dw__blocks_free(out);
    if (!blocks_allocate(out)) return dw_fail_memory(err, "the averages of the marked area");
    blocks_fill(work, out);
  }
  /* Single pixels have been judged already. */
  return out->side > 1 ? blocks_judge(work, out, err) : DW_OK;
}

void dw__blocks_free(dw__blocks *blocks) {
  free(blocks->block);
  free(blocks->rgb);
  free(blocks->scratch);
  blocks->block = NULL;
  blocks->rgb = blocks->scratch = NULL;
}
