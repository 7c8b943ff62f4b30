#include "read/strip_edge.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  LONG_SIDE = 400, /* cells of the reduced picture */
  REACH = 2,       /* cells on either side of a step */
  TRIES = 400,     /* pairs of steps that a line is laid through */
  STEPS_MAX = 4096
};
#define DARK_SHARE 0.25 /* between the picture's dark and light tenth: below is black, */
#define LIGHT_SHARE 0.6 /* above is white */
#define LEAST_STEP                                                                                           \
  0.25 /* between the two tenths, square root of linear light: else nothing is black and white */
#define NEAR_CELLS 1.2  /* a step this near belongs to the line */
#define LEAST_SHARE 0.3 /* of the lines across it must show the step */

typedef struct cells {
  int w, h, size;
  double *gray; /* square root of linear light */
} cells;

/* A step across which dark turns light; place: how far along the line of sight, at: which line. */
typedef struct step {
  double place, at;
  int up; /* 1 light follows dark, -1 the other way round */
} step;

static dw_status cells_make(const dw_patch *photo, cells *out, dw_error *err) {
  int longest = photo->rect.w > photo->rect.h ? photo->rect.w : photo->rect.h;
  out->size = longest > LONG_SIDE ? longest / LONG_SIDE : 1;
  out->w = photo->rect.w / out->size;
  out->h = photo->rect.h / out->size;
  out->gray = calloc((size_t)out->w * (size_t)out->h + 1, sizeof *out->gray);
  if (!out->gray) return dw_fail_memory(err, "the strips");
  for (int y = 0; y < out->h * out->size; y++)
    for (int x = 0; x < out->w * out->size; x++) {
      const float *p = &photo->rgb[3 * ((size_t)y * (size_t)photo->rect.w + (size_t)x)];
      out->gray[y / out->size * out->w + x / out->size] += (double)(p[0] + p[1] + p[2]) / 3;
    }
  for (int i = 0; i < out->w * out->h; i++)
    out->gray[i] = sqrt(fmax(out->gray[i] / (out->size * out->size), 0));
  return DW_OK;
}

/* What counts as black and as white in this picture; false where there is no such contrast. */
static bool levels_find(const cells *c, double *dark, double *light, dw_status *status, dw_error *err) {
  size_t n = (size_t)c->w * (size_t)c->h;
  double *sorted = malloc((n + 1) * sizeof *sorted);
  if (!sorted) {
    *status = dw_fail_memory(err, "the strips");
    return false;
  }
  memcpy(sorted, c->gray, n * sizeof *sorted);
  double low = dw_quantile(sorted, n, .1), high = dw_quantile(sorted, n, .9);
  free(sorted);
  *dark = low + DARK_SHARE * (high - low);
  *light = low + LIGHT_SHARE * (high - low);
  return high - low >= LEAST_STEP;
}

/* Steps seen along rows, or with turned along columns. */
static size_t steps_find(const cells *c, bool turned, double dark, double light, step *out) {
  int lines = turned ? c->w : c->h, length = turned ? c->h : c->w;
  int jump = turned ? c->w : 1, next = turned ? 1 : c->w;
  size_t n = 0;
  for (int l = 0; l < lines; l++)
    for (int i = REACH; i + REACH < length && n < STEPS_MAX; i++) {
      const double *at = &c->gray[l * next + i * jump];
      double before = at[-REACH * jump], after = at[REACH * jump];
      int up = before < dark && after > light ? 1 : before > light && after < dark ? -1 : 0;
      if (!up) continue;
      out[n++] = (step){i, l, up};
      i += 2 * REACH; /* the same step is seen from the next cells, too */
    }
  return n;
}

/* place = base + slope * at */
typedef struct line {
  double base, slope;
  int up;
  size_t count;
} line;

static size_t count_near(const step *steps, size_t n, const line *l) {
  size_t count = 0;
  for (size_t i = 0; i < n; i++)
    count +=
        steps[i].up == l->up && fabs(steps[i].place - l->base - l->slope * steps[i].at) <= NEAR_CELLS + 1;
  return count;
}

/* By the steps near it, anew. */
static void line_refine(const step *steps, size_t n, line *l) {
  double count = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (size_t i = 0; i < n; i++) {
    if (steps[i].up != l->up || fabs(steps[i].place - l->base - l->slope * steps[i].at) > NEAR_CELLS + 1)
      continue;
    count++, sx += steps[i].at, sy += steps[i].place;
    sxx += steps[i].at * steps[i].at, sxy += steps[i].at * steps[i].place;
  }
  double spread = count * sxx - sx * sx;
  if (count < 3 || !(spread > 0)) return;
  l->slope = (count * sxy - sx * sy) / spread;
  l->base = (sy - l->slope * sx) / count;
}

/* The line through two steps that most others lie near. */
static line line_find(const step *steps, size_t n) {
  dw_random random = dw_random_seed(1);
  line best = {0};
  for (int t = 0; t < TRIES && n >= 2; t++) {
    const step *p = &steps[(size_t)(dw_random_uniform(&random) * (double)n)];
    const step *q = &steps[(size_t)(dw_random_uniform(&random) * (double)n)];
    if (p->up != q->up || fabs(p->at - q->at) < 8) continue;
    line l = {.slope = (p->place - q->place) / (p->at - q->at), .up = p->up};
    if (fabs(l.slope) > 1) continue;
    l.base = p->place - l.slope * p->at;
    l.count = count_near(steps, n, &l);
    if (l.count > best.count) best = l;
  }
  line_refine(steps, n, &best);
  return best;
}

static dw__edge edge_of(const line *l, bool turned, int cell) {
  double across = l->up / hypot(1, l->slope), along = -l->slope * across;
  dw__edge edge = {turned ? along : across, turned ? across : along, 0};
  /* a cell's center in pixels, and so the line's offset */
  double half = (cell - 1) / 2.0;
  edge.c = across * l->base * cell + half * (edge.nx + edge.ny);
  return edge;
}

dw_status dw__edge_find(const dw_patch *photo, const char *name, dw__edge *out, dw_error *err) {
  cells c = {0};
  double dark, light;
  step *steps = malloc(STEPS_MAX * sizeof *steps);
  dw_status status = steps ? cells_make(photo, &c, err) : dw_fail_memory(err, "the strips");
  bool found = false;
  if (status == DW_OK && levels_find(&c, &dark, &light, &status, err)) {
    size_t most = 0;
    for (int turned = 0; turned < 2; turned++) {
      size_t n = steps_find(&c, turned, dark, light, steps);
      line l = line_find(steps, n);
      if ((double)l.count < LEAST_SHARE * (turned ? c.w : c.h) || l.count <= most) continue;
      most = l.count;
      *out = edge_of(&l, turned, c.size);
      found = true;
    }
  }
  free(steps);
  free(c.gray);
  if (status == DW_OK && !found)
    status = dw_fail(err, DW_NOT_FOUND,
                     "%s shows no straight edge between a black and a white strip: lay the baits across one.",
                     name);
  return status;
}
