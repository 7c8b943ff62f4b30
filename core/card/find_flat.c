/* Flat spots of a picture that may be patches.
 *
 * Where neighboring pixels hardly differ, a picture is flat. What counts as "hardly" differs between a smooth
 * photo and a noisy one, between a hard border and a blurred one: so the picture is parted at several levels,
 * and a part is kept where it has the shape of a parallelogram. That is asked of its second moments, which
 * need no outline: an even parallelogram of area A has a covariance of determinant (A / 12)^2, however
 * slanted. */
#include "card/find.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Steps of 8-bit values over two pixels, after smoothing. */
static const uint8_t levels[] = {3, 5, 7, 10, 15, 22, 32, 48};
enum { LEVELS = sizeof levels, AREA_LEAST = 30 };
/* A share A / (12 sqrt(det)) of a parallelogram is 1, of an ellipse 1.05, of a triangle 0.87. */
#define FILLED_LEAST 0.87
#define FILLED_MOST 1.08
/* The longer of its two axes against the shorter. */
#define ASPECT_MOST 3.0
/* Two spots are one when their centers are this near, in sides of the smaller, and their areas alike. */
#define SAME_NEAR 0.25
#define SAME_AREA 3.0

typedef struct part {
  uint32_t parent, n;
  double sx, sy, sxx, sxy, syy;
} part;

typedef struct run {
  int first, end;
  uint32_t part;
} run;

typedef struct flooder {
  int width, height;
  uint8_t *step; /* height x width: the largest difference around a pixel */
  uint8_t *flat; /* width: which pixels of a row are below a level */
  run *runs[2];  /* of the row above and of this one */
  part *parts;
  uint32_t n, room;
  double area_most;
} flooder;

double dw__flat_length(const dw__flat *flat, double dx, double dy) {
  const double *m = flat->metric;
  return sqrt(m[0] * dx * dx + 2.0 * m[1] * dx * dy + m[2] * dy * dy);
}

void dw__flats_free(dw__flats *flats) {
  free(flats->flat);
  *flats = (dw__flats){0};
}

/* Sobel's differences of three rows, n interleaved samples: the larger of both directions. */
static void row_differ(const uint8_t *above, const uint8_t *here, const uint8_t *below, int n, uint8_t *out) {
  for (int i = 3; i < n - 3; i++) {
    const int dx =
        above[i + 3] - above[i - 3] + 2 * (here[i + 3] - here[i - 3]) + below[i + 3] - below[i - 3];
    const int dy = below[i - 3] - above[i - 3] + 2 * (below[i] - above[i]) + below[i + 3] - above[i + 3];
    const int ax = abs(dx), ay = abs(dy);
    out[i] = (uint8_t)((ax > ay ? ax : ay) >> 2);
  }
}

static void steps_fill(const dw_preview *view, uint8_t *samples, uint8_t *step) {
  const int w = view->width;
  const size_t stride = 3 * (size_t)w;
  memset(step, UINT8_MAX, (size_t)w * (size_t)view->height); /* nothing spreads along the edge */
  for (int y = 1; y + 1 < view->height; y++) {
    const uint8_t *here = view->rgb + stride * (size_t)y;
    uint8_t *out = step + (size_t)w * (size_t)y;
    row_differ(here - stride, here, here + stride, 3 * w, samples);
    for (int x = 1; x + 1 < w; x++) {
      const uint8_t *s = &samples[3 * x];
      const uint8_t most = s[0] > s[1] ? s[0] : s[1];
      out[x] = most > s[2] ? most : s[2];
    }
  }
}

static uint32_t part_root(flooder *f, uint32_t i) {
  while (f->parts[i].parent != i) { /* -fanalyzer: what is asked for is a run's part, so there are some */
    f->parts[i].parent = f->parts[f->parts[i].parent].parent;
    i = f->parts[i].parent;
  }
  return i;
}

static uint32_t parts_join(flooder *f, uint32_t one, uint32_t two) {
  one = part_root(f, one);
  two = part_root(f, two);
  if (one == two) return one;
  part *to = &f->parts[one < two ? one : two], *from = &f->parts[one < two ? two : one];
  from->parent = one < two ? one : two;
  to->n += from->n;
  to->sx += from->sx;
  to->sy += from->sy;
  to->sxx += from->sxx;
  to->sxy += from->sxy;
  to->syy += from->syy;
  return from->parent;
}

static dw_status part_new(flooder *f, uint32_t *out, dw_error *err) {
  if (f->n == f->room) {
    const uint32_t room = f->room ? 2 * f->room : 4096;
    part *more = realloc(f->parts, room * sizeof *more);
    if (more == NULL) return dw_fail_memory(err, "the search for a card");
    f->parts = more;
    f->room = room;
  }
  f->parts[f->n] = (part){.parent = f->n};
  *out = f->n++;
  return DW_OK;
}

/* The moments of pixels first .. end - 1 of row y. */
static void run_add(part *p, int first, int end, int y) {
  const double n = end - first, middle = 0.5 * (first + end - 1);
  p->n += (uint32_t)(end - first);
  p->sx += n * middle;
  p->sy += n * y;
  p->sxx += n * middle * middle + n * (n * n - 1.0) / 12.0;
  p->sxy += n * middle * y;
  p->syy += n * y * (double)y;
}

/* Joins a run to those above it that it touches; *above is moved on to the last of them. */
static dw_status run_place(flooder *f, run *r, int y, const run **above, dw_error *err) {
  bool placed = false;
  while ((*above)->end <= r->first) (*above)++;
  const run *over = *above;
  for (; over->first < r->end; over++) {
    r->part = placed ? parts_join(f, r->part, over->part) : part_root(f, over->part);
    placed = true;
  }
  dw_status status = placed ? DW_OK : part_new(f, &r->part, err);
  if (status == DW_OK) run_add(&f->parts[r->part], r->first, r->end, y);
  return status;
}

/* Runs of row y below the level; a run beyond the row ends the list. */
static dw_status row_flood(flooder *f, uint8_t level, int y, dw_error *err) {
  const size_t w = (size_t)f->width;
  const uint8_t *step = f->step + w * (size_t)y, *end = f->flat + w, *at = f->flat;
  const run *above = f->runs[0];
  run *next = f->runs[1];
  dw_status status = DW_OK;
  for (size_t x = 0; x < w; x++) f->flat[x] = step[x] < level;
  while (status == DW_OK && (at = memchr(at, 1, (size_t)(end - at)))) {
    next->first = (int)(at - f->flat);
    at = memchr(at, 0, (size_t)(end - at)); /* the last pixel of a row is above every level */
    next->end = (int)(at - f->flat);
    status = run_place(f, next++, y, &above, err);
  }
  *next = (run){.first = f->width + 1, .end = f->width + 1};
  next = f->runs[0];
  f->runs[0] = f->runs[1];
  f->runs[1] = next;
  return status;
}

/* False where the part has not the shape of a patch. */
static bool part_flat(const part *p, double area_most, dw__flat *out) {
  const double n = p->n;
  if (p->n < AREA_LEAST || n > area_most) return false;
  const double x = p->sx / n, y = p->sy / n, pixel = 1.0 / 12.0;
  const double xx = p->sxx / n - x * x + pixel, yy = p->syy / n - y * y + pixel, xy = p->sxy / n - x * y;
  const double det = xx * yy - xy * xy, mean = 0.5 * (xx + yy);
  const double filled = n / (12.0 * sqrt(det)), apart = sqrt(fmax(mean * mean - det, 0.0));
  if (!(filled > FILLED_LEAST && filled < FILLED_MOST)) return false;
  if (mean + apart > ASPECT_MOST * ASPECT_MOST * (mean - apart)) return false;
  *out = (dw__flat){x, y, n, {yy / (12.0 * det), -xy / (12.0 * det), xx / (12.0 * det)}};
  return true;
}

static dw_status flats_add(dw__flats *flats, const dw__flat *flat, dw_error *err) {
  if (flats->n == flats->room) {
    const size_t room = flats->room ? 2 * flats->room : 1024;
    dw__flat *more = realloc(flats->flat, room * sizeof *more);
    if (more == NULL) return dw_fail_memory(err, "the search for a card");
    flats->flat = more;
    flats->room = room;
  }
  flats->flat[flats->n++] = *flat;
  return DW_OK;
}

static dw_status level_flood(flooder *f, uint8_t level, dw__flats *out, dw_error *err) {
  dw_status status = DW_OK;
  dw__flat flat;
  f->n = 0;
  f->runs[0][0] = (run){.first = f->width + 1, .end = f->width + 1};
  for (int y = 0; y < f->height && status == DW_OK; y++) status = row_flood(f, level, y, err);
  for (uint32_t i = 0; i < f->n && status == DW_OK; i++)
    if (f->parts[i].parent == i && part_flat(&f->parts[i], f->area_most, &flat))
      status = flats_add(out, &flat, err);
  return status;
}

static int by_x(const void *a, const void *b) {
  const dw__flat *p = a, *q = b;
  return (p->x > q->x) - (p->x < q->x);
}

static bool same_spot(const dw__flat *p, const dw__flat *q) {
  const double least = fmin(p->area, q->area), near = SAME_NEAR * SAME_NEAR * least;
  const double dx = p->x - q->x, dy = p->y - q->y;
  return dx * dx + dy * dy < near && fmax(p->area, q->area) < SAME_AREA * least;
}

/* Of spots found at several levels the largest stays. */
static void flats_unite(dw__flats *flats) {
  size_t kept = 0;
  if (flats->n > 0) qsort(flats->flat, flats->n, sizeof *flats->flat, by_x);
  for (size_t i = 0; i < flats->n; i++) {
    dw__flat *p = &flats->flat[i];
    const double reach = SAME_NEAR * sqrt(p->area);
    for (size_t j = i + 1; j < flats->n && flats->flat[j].x < p->x + reach && p->area > 0.0; j++) {
      dw__flat *q = &flats->flat[j];
      if (!same_spot(p, q)) continue;
      if (p->area < q->area)
        p->area = 0.0;
      else
        q->area = 0.0;
    }
  }
  for (size_t i = 0; i < flats->n; i++)
    if (flats->flat[i].area > 0.0) flats->flat[kept++] = flats->flat[i];
  flats->n = kept;
}

dw_status dw__flats_find(const dw_preview *view, size_t patches, dw__flats *out, dw_error *err) {
  const size_t w = (size_t)view->width, h = (size_t)view->height;
  dw_status status = DW_OK;
  flooder f = {.width = view->width, .height = view->height};
  *out = (dw__flats){0};
  f.area_most = (double)(w * h) / (double)patches;
  f.step = malloc(w * h);
  f.flat = malloc(w);
  f.runs[0] = calloc(w / 2 + 2, sizeof(run));
  f.runs[1] = calloc(w / 2 + 2, sizeof(run));
  uint8_t *samples = malloc(3 * w);
  if (!f.step || !f.flat || !f.runs[0] || !f.runs[1] || !samples)
    status = dw_fail_memory(err, "the search for a card");
  if (status == DW_OK) steps_fill(view, samples, f.step);
  for (size_t i = 0; i < LEVELS && status == DW_OK; i++) status = level_flood(&f, levels[i], out, err);
  if (status == DW_OK) flats_unite(out);
  free(samples);
  free(f.parts);
  free(f.runs[1]);
  free(f.runs[0]);
  free(f.flat);
  free(f.step);
  return status;
}
