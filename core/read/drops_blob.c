/* The form of a thing on the table. */
#include "read/drops_blob.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A drop's area is at most so many times that of the largest circle in it: it is rounded, or a little smeared. */
#define SMEARED_MOST 3.2
/* Its length at most so many times its width. */
#define LONG_MOST 2.2
/* Of its convex hull it fills so much. */
#define SOLID_LEAST 0.85
/* So much of the largest circle is looked at for one color, and its halves differ by no more, about CIEDE2000. */
#define EVEN_RADIUS 0.6
#define EVEN_MOST 9.0
/* Two drops that touch: a piece is at least so long, of the width; their neck is so narrow, of both; or the color
 * steps by so much. */
#define PIECE_LEAST 0.45
#define NECK_MOST 0.66
#define STEP_LEAST 9.0

enum { BINS = 64, NEAR = 2, CHAMFER = 3, CHAMFER_SKEW = 4 };

/* ---- forms -------------------------------------------------------------------------------------------------- */

static void blob_measure(const dw__view *view, dw__blob *b) {
  double x = 0, y = 0, xx = 0, yy = 0, xy = 0, n = (double)b->n;
  for (size_t i = 0; i < b->n; i++) {
    double px = (double)(b->pixel[i] % (uint32_t)view->w), py = (double)(b->pixel[i] / (uint32_t)view->w);
    x += px, y += py, xx += px * px, yy += py * py, xy += px * py;
  }
  b->x = x / n, b->y = y / n;
  xx = xx / n - b->x * b->x, yy = yy / n - b->y * b->y, xy = xy / n - b->x * b->y;
  double turn = .5 * atan2(2 * xy, xx - yy), mean = (xx + yy) / 2, far = hypot((xx - yy) / 2, xy);
  b->ux = cos(turn), b->uy = sin(turn);
  b->length = 4 * sqrt(mean + far);
  b->width = 4 * sqrt(fmax(mean - far, .05));
}

static double cross(const double *o, const double *p, const double *q) {
  return (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]);
}

/* The hull's area from both ends of each row, by Andrew's monotone chain along the columns of rows. */
static double hull_area(const dw__blob *b, uint32_t wide, double *scratch) {
  uint32_t top = b->pixel[0] / wide, bottom = top;
  for (size_t i = 0; i < b->n; i++) {
    uint32_t y = b->pixel[i] / wide;
    top = y < top ? y : top, bottom = y > bottom ? y : bottom;
  }
  size_t rows = bottom - top + 1;
  double *low = scratch, *high = low + rows, *chain = high + rows, area = 0;
  for (size_t i = 0; i < rows; i++) low[i] = wide, high[i] = 0;
  for (size_t i = 0; i < b->n; i++) {
    size_t y = b->pixel[i] / wide - top;
    double x = b->pixel[i] % wide;
    low[y] = fmin(low[y], x), high[y] = fmax(high[y], x + 1);
  }
  for (int side = 0; side < 2; side++) {
    size_t n = 0;
    for (size_t i = 0; i < rows; i++) {
      double p[2] = {side ? high[i] : -low[i], (double)i};
      while (n > 1 && cross(&chain[2 * n - 4], &chain[2 * n - 2], p) <= 0) n--;
      memcpy(&chain[2 * n++], p, sizeof p);
    }
    for (size_t i = 1; i < n; i++)
      area += (chain[2 * i + 1] - chain[2 * i - 1]) * (chain[2 * i] + chain[2 * i - 2]) / 2;
  }
  return area + (double)b->n / (double)rows; /* from the first row's middle to the last one's */
}

/* Distance of each of its pixels from what is not it, in thirds of a pixel; returns the deepest one. */
static size_t deepest(const dw__blob_room *t, const dw__blob *b) {
  const int w = t->view->w, h = t->view->h;
  int x0 = w, y0 = h, x1 = 0, y1 = 0;
  for (size_t i = 0; i < b->n; i++) {
    int x = (int)b->pixel[i] % w, y = (int)b->pixel[i] / w;
    x0 = x < x0 ? x : x0, x1 = x > x1 ? x : x1, y0 = y < y0 ? y : y0, y1 = y > y1 ? y : y1;
  }
  for (int y = y0 ? y0 - 1 : 0; y <= y1 + 1 && y < h; y++)
    for (int x = x0 ? x0 - 1 : 0; x <= x1 + 1 && x < w; x++) t->depth[y * w + x] = 0;
  for (size_t i = 0; i < b->n; i++) t->depth[b->pixel[i]] = UINT16_MAX;
  size_t best = b->pixel[0];
  for (int pass = 0; pass < 2; pass++) {
    int step = pass ? -1 : 1;
    for (int y = pass ? y1 : y0; pass ? y >= y0 : y <= y1; y += step)
      for (int x = pass ? x1 : x0; pass ? x >= x0 : x <= x1; x += step) {
        const int near[4][3] = {{x - step, y, CHAMFER},
                                {x, y - step, CHAMFER},
                                {x - step, y - step, CHAMFER_SKEW},
                                {x + step, y - step, CHAMFER_SKEW}};
        uint16_t *own = &t->depth[y * w + x];
        for (int k = 0; k < 4 && *own; k++) {
          bool beyond = near[k][0] < 0 || near[k][1] < 0 || near[k][0] >= w || near[k][1] >= h;
          int reached = near[k][2] + (beyond ? 0 : t->depth[near[k][1] * w + near[k][0]]);
          if (reached < *own) *own = (uint16_t)reached;
        }
        if (pass && *own > t->depth[best]) best = (size_t)(y * w + x);
      }
  }
  return best;
}

/* ---- drops that touch ----------------------------------------------------------------------------------------- */

typedef struct profile {
  double wide[BINS]; /* across the axis, pixels */
  float lab[BINS][3];
  double from, step; /* along the axis */
} profile;

static double along(const dw__blob_room *t, const dw__blob *b, uint32_t pixel) {
  double x = (double)(pixel % (uint32_t)t->view->w) - b->x, y = (double)(pixel / (uint32_t)t->view->w) - b->y;
  return x * b->ux + y * b->uy;
}

/* Sorts the blob's pixels by bins along its axis; first[BINS] is n. */
static void sort_along(const dw__blob_room *t, dw__blob *b, profile *p, size_t first[BINS + 1]) {
  size_t count[BINS] = {0}, at[BINS];
  double low = INFINITY, high = -INFINITY;
  for (size_t i = 0; i < b->n; i++) {
    double s = along(t, b, b->pixel[i]);
    low = fmin(low, s), high = fmax(high, s);
  }
  p->from = low, p->step = fmax((high - low) / BINS, 1e-3) * (1 + 1e-9);
  for (size_t i = 0; i < b->n; i++) count[(int)((along(t, b, b->pixel[i]) - low) / p->step) % BINS]++;
  first[0] = 0;
  for (int k = 0; k < BINS; k++) at[k] = first[k], first[k + 1] = first[k] + count[k];
  for (size_t i = 0; i < b->n; i++)
    t->sorted[at[(int)((along(t, b, b->pixel[i]) - low) / p->step) % BINS]++] = b->pixel[i];
  memcpy(b->pixel, t->sorted, b->n * sizeof *b->pixel);
}

/* Width and color along the axis; the median across it takes no notice of gloss and rims. */
static void profile_make(const dw__blob_room *t, dw__blob *b, profile *p, size_t first[BINS + 1]) {
  sort_along(t, b, p, first);
  for (int k = 0; k < BINS; k++) {
    size_t n = first[k + 1] - first[k];
    p->wide[k] = (double)n / p->step;
    for (int c = 0; c < 3; c++) {
      for (size_t i = 0; i < n; i++) t->channel[i] = t->view->lab[c][b->pixel[first[k] + i]];
      p->lab[k][c] = n ? dw_median_f(t->channel, n) : k ? p->lab[k - 1][c] : 0;
    }
  }
}

static double lab_apart(const float p[3], const float q[3]) {
  float weight[2];
  dw__search_weights(p, weight);
  return (double)dw__search_apart(p, q, weight);
}

/* How clearly two drops meet in a bin: 1 and more where they do. */
static double seam_at(const profile *p, int k) {
  double left = 0, right = 0;
  for (int i = 0; i < k; i++) left = fmax(left, p->wide[i]);
  for (int i = k + 1; i < BINS; i++) right = fmax(right, p->wide[i]);
  double neck = (1 - p->wide[k] / fmax(fmin(left, right), 1)) / (1 - NECK_MOST);
  return fmax(neck, lab_apart(p->lab[k - NEAR], p->lab[k + NEAR]) / STEP_LEAST);
}

/* The clearest seam between two bins that leaves room for a drop on both sides, or 0. */
static int seam_find(const profile *p, int from, int to) {
  double wide = 0, best = 1;
  int found = 0;
  for (int k = from; k < to; k++) wide = fmax(wide, p->wide[k]);
  int room = (int)ceil(PIECE_LEAST * wide / p->step);
  room = room > NEAR ? room : NEAR + 1;
  for (int k = from + room; k < to - room; k++) {
    double own = seam_at(p, k);
    if (own > best) best = own, found = k;
  }
  return found;
}

/* Bins at which pieces begin, in order, after the first; returns how many. */
static int seams_find(const profile *p, int from, int to, int *seam, int n) {
  int at = n < DW__PIECES_MAX - 1 ? seam_find(p, from, to) : 0;
  if (!at) return n;
  n = seams_find(p, from, at, seam, n);
  if (n < DW__PIECES_MAX - 1) seam[n++] = at;
  return seams_find(p, at, to, seam, n);
}

/* ---- which blob is a drop --------------------------------------------------------------------------------------- */

/* The blob's color in each half of the circle about its deepest place. */
static double uneven(const dw__blob_room *t, const dw__blob *b, double x, double y, double radius) {
  double worst = 0;
  for (int way = 0; way < 4; way++) {
    double c = cos(way * .7853981633974483), s = sin(way * .7853981633974483);
    float half[2][3];
    for (int side = 0; side < 2; side++)
      for (int k = 0; k < 3; k++) {
        size_t n = 0;
        for (size_t i = 0; i < b->n; i++) {
          double dx = (double)(b->pixel[i] % (uint32_t)t->view->w) - x,
                 dy = (double)(b->pixel[i] / (uint32_t)t->view->w) - y;
          if (dx * dx + dy * dy > radius * radius || (dx * c + dy * s > 0) != side) continue;
          t->channel[n++] = t->view->lab[k][b->pixel[i]];
        }
        half[side][k] = n ? dw_median_f(t->channel, n) : 0;
      }
    worst = fmax(worst, lab_apart(half[0], half[1]));
  }
  return worst;
}

const char *dw__blob_no_drop(const dw__blob_room *t, const dw__blob *b, const dw__circle *c) {
  double area = (double)b->n, circle = 3.14159265 * c->radius * c->radius;
  if (b->length > LONG_MOST * b->width) return "is long, as a bait is";
  if (area < SOLID_LEAST * hull_area(b, (uint32_t)t->view->w, t->rows)) return "has limbs or bays";
  if (area > SMEARED_MOST * circle) return "is not rounded";
  if (uneven(t, b, c->x, c->y, EVEN_RADIUS * c->radius) > EVEN_MOST) return "has several colors";
  return NULL;
}

dw__circle dw__blob_circle(const dw__blob_room *t, const dw__blob *b) {
  size_t middle = deepest(t, b), wide = (size_t)t->view->w;
  return (dw__circle){(double)(middle % wide), (double)(middle / wide), t->depth[middle] / (double)CHAMFER};
}

int dw__blob_part(const dw__blob_room *t, dw__blob *whole, dw__blob piece[DW__PIECES_MAX]) {
  profile p;
  size_t first[BINS + 1];
  int seam[DW__PIECES_MAX + 1], n, pieces = 0;
  blob_measure(t->view, whole);
  profile_make(t, whole, &p, first);
  seam[0] = 0;
  n = 1 + seams_find(&p, 0, BINS, seam + 1, 0);
  seam[n] = BINS;
  for (int i = 0; i < n; i++) {
    dw__blob own = {.pixel = whole->pixel + first[seam[i]], .n = first[seam[i + 1]] - first[seam[i]]};
    if (!own.n) continue;
    blob_measure(t->view, &own);
    piece[pieces++] = own;
  }
  return pieces;
}

dw_status dw__blob_room_take(const dw__view *view, dw__blob_room *out, dw_error *err) {
  size_t n = (size_t)view->w * (size_t)view->h;
  *out = (dw__blob_room){.view = view,
                         .sorted = dw_arena_take(view->arena, n, sizeof *out->sorted),
                         .depth = dw_arena_take(view->arena, n, sizeof *out->depth),
                         .channel = dw_arena_take(view->arena, n, sizeof *out->channel),
                         .rows = dw_arena_take(view->arena, (size_t)view->h + 1, 4 * sizeof *out->rows)};
  return out->sorted && out->depth && out->channel && out->rows ? DW_OK : dw_fail_memory(err, "the drops");
}
