/* The board: the largest plain area of the frame whose color changes only as light does, continued under
 * what lies on it. */
#include "bait/cells.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CELL = 12, CELL_SAMPLE = CELL * CELL / 4, TERMS = 6, ROBUST_STEPS = 5, NEAR = 5 };

/* Where pixels typically lie farther off their cell than this, the view is softened, and again. */
#define GRAIN_MOST 2.0f
enum { SOFTEN_MOST = 4 };
/* The share of the frame that a board covers at least; and where it does not reach most of the frame's edge,
 * so that it is a thing in the photo and not what the photo was taken of. */
#define SHARE_LEAST 0.35
#define SHARE_INSIDE_LEAST 0.55
#define EDGE_REACHED 0.5
/* A difference of so many of the board's own deviations, and at least of so much, may be a thing. */
#define EDGE_DEVIATIONS 4.5
#define EDGE_LEAST 4.0

static dw_status cells_new(const dw__view *view, dw__cells *c, dw_error *err) {
  c->columns = (view->w + CELL - 1) / CELL;
  c->rows = (view->h + CELL - 1) / CELL;
  c->n = (size_t)c->columns * (size_t)c->rows;
  c->lab = dw_arena_take(view->arena, c->n, 3 * sizeof *c->lab);
  c->surface = dw_arena_take(view->arena, c->n, 3 * sizeof *c->surface);
  c->spread = dw_arena_take(view->arena, c->n, sizeof *c->spread);
  c->part = dw_arena_take(view->arena, c->n, sizeof *c->part);
  c->queue = dw_arena_take(view->arena, c->n, sizeof *c->queue);
  c->board = dw_arena_take(view->arena, c->n, 1);
  bool all = c->lab && c->surface && c->spread && c->part && c->queue && c->board;
  return all ? DW_OK : dw_fail_memory(err, "the board's cells");
}

/* Every second pixel of every second row is enough. */
static void cell_measure(const dw__view *view, dw__cells *c, int column, int row) {
  float channel[3][CELL_SAMPLE], far[CELL_SAMPLE], weight[2];
  size_t n = 0, cell = (size_t)(row * c->columns + column);
  for (int y = row * CELL; y < (row + 1) * CELL && y < view->h; y += 2)
    for (int x = column * CELL; x < (column + 1) * CELL && x < view->w; x += 2, n++)
      for (int k = 0; k < 3; k++) channel[k][n] = view->lab[k][y * view->w + x];
  float middle[3], pixel[3];
  float copy[CELL_SAMPLE];
  for (int k = 0; k < 3; k++) {
    memcpy(copy, channel[k], n * sizeof *copy);
    middle[k] = c->lab[3 * cell + (size_t)k] = dw_median_f(copy, n);
  }
  dw__search_weights(middle, weight);
  for (size_t i = 0; i < n; i++) {
    for (int k = 0; k < 3; k++) pixel[k] = channel[k][i];
    far[i] = dw__search_apart(pixel, middle, weight);
  }
  c->spread[cell] = dw_median_f(far, n);
}

static void cells_measure(const dw__view *view, dw__cells *c) {
  for (int row = 0; row < c->rows; row++)
    for (int column = 0; column < c->columns; column++) cell_measure(view, c, column, row);
}

/* How far pixels typically lie off their cell: the camera's noise, and the board's own grain. */
static float grain_of(dw__cells *c) {
  float *copy = c->surface; /* not used yet */
  memcpy(copy, c->spread, c->n * sizeof *copy);
  return dw_median_f(copy, c->n);
}

static void soften(dw__view *view) {
  size_t n = (size_t)view->w * (size_t)view->h;
  for (int k = 0; k < 3; k++) {
    memcpy(view->plane, view->lab[k], n * sizeof *view->plane);
    dw__view_soften(view, view->plane, view->lab[k]);
  }
}

/* The area of plain cells connected to `first` by small steps; returns its size. */
static size_t grow(dw__cells *c, int first, int part) {
  size_t head = 0, tail = 0;
  c->queue[tail++] = first;
  c->part[first] = part;
  while (head < tail) {
    int at = c->queue[head++], x = at % c->columns, y = at / c->columns;
    float weight[2];
    dw__search_weights(c->lab + 3 * at, weight);
    static const int way[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
    for (int k = 0; k < 4; k++) {
      int nx = x + way[k][0], ny = y + way[k][1], next = ny * c->columns + nx;
      if (nx < 0 || ny < 0 || nx >= c->columns || ny >= c->rows || c->part[next]) continue;
      if (c->spread[next] > DW__PLAIN_SPREAD ||
          dw__search_apart(c->lab + 3 * next, c->lab + 3 * at, weight) > DW__CELL_STEP)
        continue;
      c->part[next] = part;
      c->queue[tail++] = next;
    }
  }
  return tail;
}

/* Cuts the plain cells into parts, of which the largest is the board; returns its number, 0 where there is none. */
static int largest_part(dw__cells *c) {
  size_t most = 0;
  int which = 0;
  for (size_t i = 0; i < c->n; i++) {
    if (c->part[i] || c->spread[i] > DW__PLAIN_SPREAD) continue;
    size_t n = grow(c, (int)i, ++c->parts);
    if (n > most) most = n, which = c->parts;
  }
  for (size_t i = 0; i < c->n; i++) c->board[i] = which && c->part[i] == which;
  return which;
}

static void terms_at(const dw__cells *c, size_t cell, double out[TERMS]) {
  double u = 2.0 * ((double)(cell % (size_t)c->columns) + .5) / c->columns - 1;
  double v = 2.0 * ((double)(cell / (size_t)c->columns) + .5) / c->rows - 1;
  memcpy(out, (double[TERMS]){1, u, v, u * u, u * v, v * v}, TERMS * sizeof *out);
}

/* A surface of second degree in each of L*, a*, b*. */
static dw_status surface_fit(const dw__cells *c, double out[3][TERMS]) {
  double normal[TERMS * TERMS] = {0}, right[TERMS][3] = {{0}}, t[TERMS];
  for (int k = 0; k < TERMS; k++) normal[k * TERMS + k] = 1e-3 * (k > 2 ? (double)c->n : 1);
  for (size_t i = 0; i < c->n; i++) {
    if (!c->board[i]) continue;
    terms_at(c, i, t);
    for (int r = 0; r < TERMS; r++) {
      for (int s = 0; s < TERMS; s++) normal[r * TERMS + s] += t[r] * t[s];
      for (int k = 0; k < 3; k++) right[r][k] += t[r] * (double)c->lab[3 * i + (size_t)k];
    }
  }
  dw_status status = dw_cholesky(normal, TERMS, NULL);
  if (status != DW_OK) return status;
  dw_cholesky_solve(normal, TERMS, &right[0][0], 3);
  for (int r = 0; r < TERMS; r++)
    for (int k = 0; k < 3; k++) out[k][r] = right[r][k];
  return DW_OK;
}

static void surface_at(const dw__cells *c, double s[3][TERMS], size_t cell, float out[3]) {
  double t[TERMS];
  terms_at(c, cell, t);
  for (int k = 0; k < 3; k++) {
    double sum = 0;
    for (int r = 0; r < TERMS; r++) sum += s[k][r] * t[r];
    out[k] = (float)sum;
  }
}

/* Cells of the board by the surface, wherever they lie. */
static void board_by_surface(dw__cells *c, double s[3][TERMS], float beyond) {
  for (size_t i = 0; i < c->n; i++) {
    float *at = c->surface + 3 * i, weight[2];
    surface_at(c, s, i, at);
    dw__search_weights(at, weight);
    c->board[i] = c->spread[i] <= DW__PLAIN_SPREAD && dw__search_apart(c->lab + 3 * i, at, weight) < beyond;
  }
}

/* Sums of n values around each one along a line, nearer ones more; values lie `step` apart. */
static void sum_near(const float *in, int n, size_t step, const float near[NEAR + 1], float *out) {
  for (int i = 0; i < n; i++) {
    float sum = 0;
    for (int k = i > NEAR ? i - NEAR : 0; k <= i + NEAR && k < n; k++)
      sum += near[abs(k - i)] * in[(size_t)k * step];
    out[(size_t)i * step] = sum;
  }
}

static void sum_around(const dw__cells *c, float *plane, float *work) {
  float near[NEAR + 1];
  for (int k = 0; k <= NEAR; k++) near[k] = expf((float)(-k * k) / 8);
  for (int y = 0; y < c->rows; y++)
    sum_near(plane + y * c->columns, c->columns, 1, near, work + y * c->columns);
  for (int x = 0; x < c->columns; x++) sum_near(work + x, c->rows, (size_t)c->columns, near, plane + x);
}

/* c->lab becomes the board at each cell: the surface, and what the board's cells around differ from it in the
 * mean, nearer ones more, since light is not that simple.  Few cells around: less of it. */
static dw_status cells_to_board(const dw__view *view, dw__cells *c, dw_error *err) {
  float *rest[4]; /* of L*, a*, b*; how many */
  for (int k = 0; k < 4; k++)
    if (!(rest[k] = dw_arena_take(view->arena, c->n, sizeof *rest[k])))
      return dw_fail_memory(err, "the board's cells");
  for (size_t i = 0; i < c->n; i++) {
    const float *at = c->surface + 3 * i;
    for (size_t k = 0; k < 3; k++) {
      rest[k][i] = c->board[i] ? c->lab[3 * i + k] - at[k] : 0;
      c->lab[3 * i + k] = at[k];
    }
    rest[3][i] = c->board[i];
  }
  for (int k = 0; k < 4; k++) sum_around(c, rest[k], c->spread);
  for (size_t i = 0; i < c->n; i++)
    for (size_t k = 0; k < 3; k++) c->lab[3 * i + k] += rest[k][i] / (1 + rest[3][i]);
  return DW_OK;
}

/* Which cell's middle lies before a place, of two that it lies between or beyond, and how far it lies past it.
 */
static int cell_before(int place, int count, float *past) {
  float at = ((float)place + .5f) / CELL - .5f;
  int cell = at < 1 ? 0 : at >= (float)(count - 2) ? count - 2 : (int)at;
  *past = at - (float)cell;
  return cell;
}

void dw__view_board(const dw__view *view, int x, int y, float out[3]) {
  float fx, fy;
  int x0 = cell_before(x, view->columns, &fx), y0 = cell_before(y, view->rows, &fy);
  const float *p = view->cell + 3 * (y0 * view->columns + x0), *q = p + 3 * view->columns;
  for (int k = 0; k < 3; k++) {
    float above = p[k] + fx * (p[3 + k] - p[k]), below = q[k] + fx * (q[3 + k] - q[k]);
    out[k] = above + fy * (below - above);
  }
}

/* From x to `end` in row y, between the middles of the same cells: the board changes evenly there, and its
 * color in the middle is enough for the weights. */
static void differences_between(dw__view *view, int x, int end, int y) {
  float first[3], last[3], middle[3], weight[2], slope[3];
  size_t row = (size_t)y * (size_t)view->w;
  dw__view_board(view, x, y, first);
  dw__view_board(view, end - 1, y, last);
  for (int k = 0; k < 3; k++) {
    middle[k] = (first[k] + last[k]) / 2;
    slope[k] = end - 1 > x ? (last[k] - first[k]) / (float)(end - 1 - x) : 0;
  }
  dw__search_weights(middle, weight);
  const float *L = view->lab[0] + row, *a = view->lab[1] + row, *b = view->lab[2] + row;
  float *far = view->far + row;
  for (int i = x; i < end; i++) {
    float on = (float)(i - x);
    float l = weight[0] * (L[i] - first[0] - on * slope[0]),
          p = weight[1] * (a[i] - first[1] - on * slope[1]),
          q = weight[1] * (b[i] - first[2] - on * slope[2]);
    far[i] = sqrtf(l * l + p * p + q * q);
  }
}

static void differences(dw__view *view) {
  for (int y = 0; y < view->h; y++)
    for (int x = 0, end; x < view->w; x = end) {
      int cell = (x + CELL / 2) / CELL; /* the next middle is this cell's */
      end = cell < 2 ? CELL + CELL / 2 : cell * CELL + CELL / 2;
      if (cell >= view->columns - 1 || end > view->w) end = view->w;
      differences_between(view, x, end, y);
    }
}

/* The board's own differences, from a sample of its cells' pixels. */
static dw_status noise_measure(dw__view *view, const dw__cells *c, dw_error *err) {
  enum { SAMPLE = 8192 };
  float *sample = dw_arena_take(view->arena, SAMPLE, sizeof *sample);
  if (!sample) return dw_fail_memory(err, "the board's cells");
  size_t n = 0, area = (size_t)view->w * (size_t)view->h, step = area / SAMPLE + 1;
  for (size_t i = 0; i < area && n < SAMPLE; i += step) {
    int x = (int)(i % (size_t)view->w) / CELL, y = (int)(i / (size_t)view->w) / CELL;
    if (c->board[y * c->columns + x]) sample[n++] = view->far[i];
  }
  view->noise = (double)dw_median_f(sample, n) / 1.538; /* square root of chi-square of 3's median */
  view->edge = fmax(EDGE_LEAST, EDGE_DEVIATIONS * view->noise);
  return DW_OK;
}

/* The board's share of the frame, 0 where it is too little. */
static double share_of(const dw__cells *c) {
  double board = 0, edge = 0, all = 0;
  for (int y = 0, i = 0; y < c->rows; y++)
    for (int x = 0; x < c->columns; x++, i++) {
      board += c->board[i];
      if (x > 0 && y > 0 && x < c->columns - 1 && y < c->rows - 1) continue;
      edge += c->board[i];
      all++;
    }
  double share = board / (double)c->n;
  return share >= (edge >= EDGE_REACHED * all ? SHARE_LEAST : SHARE_INSIDE_LEAST) ? share : 0;
}

static size_t board_count(const dw__cells *c) {
  size_t n = 0;
  for (size_t i = 0; i < c->n; i++) n += c->board[i];
  return n;
}

/* Chooses the board's cells and fits the surface to them.
 * levels  whether light of several levels lies on them;  found  whether there is a board */
static dw_status board_choose(const dw__view *view, dw__cells *c, double s[3][TERMS], bool *levels,
                              bool *found, dw_error *err) {
  int which = largest_part(c);
  uint8_t *kept = dw_arena_take(view->arena, c->n, 1);
  *found = false;
  if (!kept) return dw_fail_memory(err, "the board's cells");
  dw_status status = which ? dw__levels_join(view, c, which, err) : DW_OK;
  if (status != DW_OK || (double)board_count(c) < SHARE_LEAST * (double)c->n) return status;
  memcpy(kept, c->board, c->n);
  for (int step = 0; step < ROBUST_STEPS; step++) {
    if (surface_fit(c, s) != DW_OK) return DW_OK;
    board_by_surface(c, s, view->beyond > 0 ? (float)view->beyond : DW__CELL_BEYOND);
  }
  *found = true;
  size_t added = 0;
  if (!(view->beyond > 0)) status = dw__levels_add(view, c, kept, &added, err);
  *levels = added > 0;
  return status;
}

dw_status dw__board_fit(dw__view *view, double *share, dw_lab *color, dw_error *err) {
  dw__cells c = {0};
  double s[3][TERMS];
  bool levels = false, found = false;
  *share = 0;
  if (view->w < 8 * CELL || view->h < 8 * CELL) return DW_OK;
  dw_status status = cells_new(view, &c, err);
  if (status != DW_OK) return status;
  cells_measure(view, &c);
  for (int k = 0; k < SOFTEN_MOST && grain_of(&c) > GRAIN_MOST; k++) {
    soften(view);
    cells_measure(view, &c);
  }
  status = board_choose(view, &c, s, &levels, &found, err);
  if (status != DW_OK || !found) return status;
  *share = share_of(&c);
  if (!(*share > 0)) return DW_OK;
  *color = (dw_lab){s[0][0], s[1][0], s[2][0]};
  status = levels ? dw__levels_fill(view, &c, err) : cells_to_board(view, &c, err);
  if (status != DW_OK) return status;
  view->cell = c.lab, view->columns = c.columns, view->rows = c.rows;
  differences(view);
  return noise_measure(view, &c, err);
}
