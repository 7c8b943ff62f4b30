#include "region/around.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>

/* Flake is smaller than a cell, so it hardly moves the cell's median.  Photos of more pixels have larger
 * flake: cells grow with the area, at the same number of pixels looked at. */
enum { CELL_SIDE = 8, CELL_PIXELS = CELL_SIDE * CELL_SIDE, CELL_LEAST = 8, CELLS_MANY = 300 };
/* Cells are stretched to fill the area: up to half longer each way. */
enum { CELL_MOST = 4 * CELL_PIXELS };

/* What lifts a cell must be the light's color up to this share, squared. */
#define GLOSS_OFF 0.3f

/* The cells with enough pixels: place and median color. */
typedef struct cells {
  size_t n, step;                    /* every step-th pixel is looked at, both ways */
  float *x, *y, *value[3], *scratch; /* one allocation, at x */
  float *offset;                     /* 3 for every cell, 0 where unknown: from the surface */
  size_t *at;                        /* which cell it is */
  dw__run *beside;                   /* for each row of nodes those that lie beside pixels of the area */
  dw__surface surface[3];
} cells;

static size_t cells_along(size_t length, size_t side) {
  size_t n = (length + side / 2) / side;
  return n ? n : 1;
}

static bool allocate(const dw__measuring *work, dw__around *out, cells *c) {
  c->step = 1 + (size_t)sqrt((double)work->inside / (CELLS_MANY * CELL_PIXELS));
  out->columns = cells_along(work->w, CELL_SIDE * c->step);
  out->rows = cells_along(work->h, CELL_SIDE * c->step);
  size_t n = out->columns * out->rows;
  out->nodes = malloc((out->columns + 2) * (out->rows + 2) * sizeof *out->nodes);
  out->line = malloc((out->columns + 2) * sizeof *out->line);
  c->x = malloc(n * (5 + DW__SURFACE_SCRATCH) * sizeof *c->x);
  c->offset = calloc(n * 3, sizeof *c->offset);
  c->at = malloc(n * sizeof *c->at);
  c->beside = calloc(out->rows + 2, sizeof *c->beside);
  if (!out->nodes || !out->line || !c->x || !c->offset || !c->at || !c->beside) return false;
  c->y = c->x + n;
  for (size_t k = 0; k < 3; k++) c->value[k] = c->x + (2 + k) * n;
  c->scratch = c->x + 5 * n;
  return true;
}

static void cell_measure(const dw__measuring *work, const dw__around *around, size_t column, size_t row,
                         cells *c) {
  float channel[3][CELL_MOST];
  size_t n = 0, x1 = (column + 1) * work->w / around->columns, y1 = (row + 1) * work->h / around->rows;
  double x_sum = 0, y_sum = 0;
  for (size_t y = row * work->h / around->rows; y < y1; y += c->step)
    for (size_t x = column * work->w / around->columns; x < x1 && n < CELL_MOST; x += c->step) {
      size_t i = y * work->w + x;
      if (!dw__usable(work, i)) continue;
      for (size_t k = 0; k < 3; k++) channel[k][n] = work->patch->rgb[3 * i + k];
      x_sum += (double)x;
      y_sum += (double)y;
      n++;
    }
  if (n < CELL_LEAST) return;
  for (size_t k = 0; k < 3; k++) c->value[k][c->n] = dw_median_f(channel[k], n);
  c->x[c->n] = (float)(x_sum / (double)n + work->patch->rect.x);
  c->y[c->n] = (float)(y_sum / (double)n + work->patch->rect.y);
  c->at[c->n++] = row * around->columns + column;
}

static void cells_measure(const dw__measuring *work, const dw__around *around, cells *c) {
  for (size_t row = 0; row < around->rows; row++) {
    dw__run pixels =
        dw__columns_touched(work, 1, row * work->h / around->rows, (row + 1) * work->h / around->rows);
    for (size_t column = 0; column < around->columns; column++)
      if (column * work->w / around->columns < pixels.end &&
          (column + 1) * work->w / around->columns > pixels.first)
        cell_measure(work, around, column, row, c);
  }
}

static float surface_at(const dw__surface *s, float x, float y) {
  return (float)(s->level * dw__surface_shade(s, x, y));
}

static void surfaces_fit(const dw__measuring *work, dw__around *out, cells *c) {
  for (size_t k = 0; k < 3; k++) {
    c->surface[k] = work->surface;
    dw__surface_fit(c->x, c->y, c->value[k], c->n, c->scratch, &c->surface[k]);
    out->middle[k] = (float)c->surface[k].level;
    for (size_t i = 0; i < c->n; i++)
      c->offset[3 * c->at[i] + k] = c->value[k][i] - surface_at(&c->surface[k], c->x[i], c->y[i]);
  }
}

float dw__gloss_of(const double white[3], const float lift[3], float *off) {
  float along = 0, ww = 0, length = 0;
  for (size_t k = 0; k < 3; k++) {
    along += lift[k] * (float)white[k];
    ww += (float)(white[k] * white[k]);
    length += lift[k] * lift[k];
  }
  *off = length > 0 ? 1 - along * along / (ww * length) : 1;
  return along / ww;
}

/* One node from the surface at its place and the offset of its cell, or of the nearest at the rim. */
static void node_set(const dw__measuring *work, const dw__around *around, const cells *c, size_t column,
                     size_t row, dw__node *out) {
  double wide = (double)work->w / (double)around->columns, high = (double)work->h / (double)around->rows;
  float x = (float)(((double)column - 0.5) * wide - 0.5 + work->patch->rect.x);
  float y = (float)(((double)row - 0.5) * high - 0.5 + work->patch->rect.y);
  size_t in_row = row < 1 ? 0 : row > around->rows ? around->rows - 1 : row - 1;
  size_t in_column = column < 1 ? 0 : column > around->columns ? around->columns - 1 : column - 1;
  const float *offset = c->offset + 3 * (in_row * around->columns + in_column);
  for (size_t k = 0; k < 3; k++) {
    out->smooth[k] = surface_at(&c->surface[k], x, y);
    out->rgb[k] = out->smooth[k] + offset[k];
  }
  float off;
  out->gloss = dw__gloss_of(work->white, offset, &off);
  if (off > GLOSS_OFF) out->gloss = 0;
}

/* The node above a row of pixels, or left of a column of them, of so many and so many cells; *share how far it is on the
 * way to the next. */
static inline size_t node_before(size_t pixel, size_t pixels, size_t many, float *share) {
  float at = ((float)pixel + 0.5f) * (float)many / (float)pixels + 0.5f;
  size_t node = (size_t)at;
  *share = at - (float)node;
  return node;
}

/* The nodes to both sides of a row's pixels. */
static dw__run nodes_beside(const dw__measuring *work, const dw__around *around, size_t y) {
  const dw__run *run = &work->run[y];
  float share;
  if (run->first == run->end) return (dw__run){0, 0};
  return (dw__run){node_before(run->first - y * work->w, work->w, around->columns, &share),
                   node_before(run->end - 1 - y * work->w, work->w, around->columns, &share) + 2};
}

static void nodes_find(const dw__measuring *work, const dw__around *around, cells *c) {
  for (size_t y = 0; y < work->h; y++) {
    const dw__run run = nodes_beside(work, around, y);
    float share;
    dw__run *of = c->beside + node_before(y, work->h, around->rows, &share);
    for (dw__run *both = of; both < of + 2 && run.end; both++) {
      if (!both->end || run.first < both->first) both->first = run.first;
      if (run.end > both->end) both->end = run.end;
    }
  }
}

dw_status dw__around_build(const dw__measuring *work, dw__around *out, dw_error *err) {
  cells c = {0};
  dw_status status = DW_OK;
  if (!allocate(work, out, &c)) {
    status = dw_fail_memory(err, "the surroundings of the marked area's pixels");
    goto done;
  }
  cells_measure(work, out, &c);
  surfaces_fit(work, out, &c);
  nodes_find(work, out, &c);
  for (size_t row = 0; row < out->rows + 2; row++)
    for (size_t column = c.beside[row].first; column < c.beside[row].end; column++)
      node_set(work, out, &c, column, row, &out->nodes[row * (out->columns + 2) + column]);
done:
  free(c.x);
  free(c.offset);
  free(c.at);
  free(c.beside);
  return status;
}

void dw__around_free(dw__around *around) {
  free(around->nodes);
  free(around->line);
  *around = (dw__around){0};
}

/* Between two nodes. */
static inline dw__node node_mix(const dw__node *a, const dw__node *b, float share) {
  dw__node out;
  for (size_t k = 0; k < 3; k++) {
    out.rgb[k] = a->rgb[k] + share * (b->rgb[k] - a->rgb[k]);
    out.smooth[k] = a->smooth[k] + share * (b->smooth[k] - a->smooth[k]);
  }
  out.gloss = a->gloss + share * (b->gloss - a->gloss);
  return out;
}

void dw__around_row(const dw__measuring *work, dw__around *around, size_t y) {
  float share;
  const dw__run run = nodes_beside(work, around, y);
  const size_t wide = around->columns + 2;
  const dw__node *above = around->nodes + node_before(y, work->h, around->rows, &share) * wide,
                 *below = above + wide;
  for (size_t i = run.first; i < run.end; i++) around->line[i] = node_mix(above + i, below + i, share);
}

dw__node dw__around_at(const dw__measuring *work, const dw__around *around, size_t x) {
  float share;
  const dw__node *left = around->line + node_before(x, work->w, around->columns, &share);
  return node_mix(left, left + 1, share);
}
